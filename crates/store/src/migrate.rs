//! From any earlier form of the library to the present one, in one transaction or not at all.

use rusqlite::{Connection, TransactionBehavior};

mod recast;

use crate::error::StoreError;
use crate::table;
use crate::tally;
use recast::Recast;

/// Says that a SQLite file is one of ours: "PACE" in ASCII.
pub(crate) const APPLICATION_ID: i64 = 0x5041_4345;

/// The form of the library this program writes, kept in SQLite's `user_version`.
pub(crate) const VERSION: i64 = form(STEPS);

/// One step from a form to the next.
pub(crate) struct Step {
    /// What it does to the tables.
    pub(crate) sql: &'static str,
    /// Tables it makes anew whose rows are carried over.
    pub(crate) recast: &'static [Recast],
    /// What it does beyond SQL: seals and tallies are worked out here, not in SQL.
    pub(crate) after: fn(&Connection) -> Result<(), StoreError>,
}

/// Every step, from an empty file on. A step that was shipped never changes.
pub(crate) const STEPS: &[Step] = &[
    Step {
        sql: include_str!("../../../migrations/0001_first.sql"),
        recast: &[],
        after: |connection| begin(connection, 0, table::OF_FORM[0]),
    },
    Step {
        sql: include_str!("../../../migrations/0002_evidence.sql"),
        recast: &[],
        after: |connection| begin(connection, table::OF_FORM[0], table::OF_FORM[1]),
    },
    Step {
        sql: include_str!("../../../migrations/0003_races_and_weather.sql"),
        recast: recast::RACES_AND_WEATHER,
        after: |_| Ok(()),
    },
    Step {
        sql: include_str!("../../../migrations/0004_programme.sql"),
        recast: &[],
        after: |connection| begin(connection, table::OF_FORM[1], table::OF_FORM[2]),
    },
];

/// Writes the empty tallies of the tables a step made.
fn begin(connection: &Connection, from: usize, to: usize) -> Result<(), StoreError> {
    let made = table::ALL.iter().take(to).skip(from);
    made.copied().try_for_each(|table| tally::begin(connection, table))
}

/// The number of the form that steps lead to.
#[expect(clippy::cast_possible_wrap, reason = "steps are few")]
const fn form(steps: &[Step]) -> i64 {
    steps.len() as i64
}

/// Brings a library to the newest form of `steps`.
///
/// # Errors
/// Too new; damaged; or what the database refuses: then nothing changed.
pub(crate) fn run(connection: &mut Connection, steps: &[Step]) -> Result<(), StoreError> {
    let found = pragma(connection, "user_version")?;
    let supported = form(steps);
    if found > supported {
        return Err(StoreError::FileTooNew { found, supported });
    }
    if found == supported {
        return Ok(());
    }
    let done = usize::try_from(found)
        .map_err(|_| StoreError::damaged("the file", None, "its version number cannot be read"))?;
    // A rebuilt table would silently take its children with it. Inside a transaction this is ignored.
    set(connection, "PRAGMA foreign_keys = OFF")?;
    let outcome = climb(connection, steps, done);
    set(connection, "PRAGMA foreign_keys = ON")?;
    outcome
}

fn climb(connection: &mut Connection, steps: &[Step], done: usize) -> Result<(), StoreError> {
    let failed = |error| StoreError::sqlite("the library", "bringing to its newest form", error);
    let transaction =
        connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
    for step in steps.iter().skip(done) {
        let kept: Vec<_> =
            step.recast.iter().map(|r| r.read(&transaction)).collect::<Result<_, _>>()?;
        transaction.execute_batch(step.sql).map_err(failed)?;
        for (recast, rows) in step.recast.iter().zip(kept) {
            recast.write(&transaction, rows)?;
        }
        (step.after)(&transaction)?;
    }
    if let Some(broken) = broken_references(&transaction)?.into_iter().next() {
        return Err(StoreError::damaged("the file", None, broken));
    }
    let version = steps.len();
    transaction
        .execute_batch(&format!(
            "PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {version}"
        ))
        .and_then(|()| transaction.commit())
        .map_err(failed)
}

/// References that lead nowhere, in words.
pub(crate) fn broken_references(connection: &Connection) -> Result<Vec<String>, StoreError> {
    let failed = |error| StoreError::sqlite("the library", "checking references in", error);
    let mut statement = connection.prepare("PRAGMA foreign_key_check").map_err(failed)?;
    let found = statement
        .query_map([], |row| {
            let (table, id, parent): (String, Option<i64>, String) =
                (row.get(0)?, row.get(1)?, row.get(2)?);
            let id = id.map_or_else(String::new, |id| format!(" row {id}"));
            Ok(format!("{table}{id} refers to a row of {parent} that is not there"))
        })
        .map_err(failed)?;
    found.collect::<Result<_, _>>().map_err(failed)
}

/// Checks that the tables and indexes are the ones this program makes: a changed definition could
/// make a whole list of rows look different.
///
/// # Errors
/// Damaged where they are not.
pub(crate) fn check_structure(connection: &Connection) -> Result<(), StoreError> {
    let mut fresh = Connection::open_in_memory()
        .map_err(|error| StoreError::sqlite("the library", "preparing", error))?;
    run(&mut fresh, STEPS)?;
    if structure(connection)? == structure(&fresh)? {
        Ok(())
    } else {
        Err(StoreError::damaged("the file", None, "its tables are not the ones that were made"))
    }
}

type Definition = (String, String, String, Option<String>);

fn structure(connection: &Connection) -> Result<Vec<Definition>, StoreError> {
    let failed = |error| StoreError::sqlite("the file", "reading the structure of", error);
    let mut statement = connection
        .prepare("SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY type, name")
        .map_err(failed)?;
    let found = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))
        .map_err(failed)?;
    found.collect::<Result<_, _>>().map_err(failed)
}

/// The whole number of a pragma.
pub(crate) fn pragma(connection: &Connection, name: &str) -> Result<i64, StoreError> {
    connection
        .pragma_query_value(None, name, |row| row.get(0))
        .map_err(|error| StoreError::sqlite("the file", "opening", error))
}

fn set(connection: &Connection, pragma: &str) -> Result<(), StoreError> {
    connection
        .execute_batch(pragma)
        .map_err(|error| StoreError::sqlite("the library", "preparing", error))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIRST: Step = Step {
        sql: "CREATE TABLE parent (id INTEGER PRIMARY KEY);
              CREATE TABLE child (id INTEGER PRIMARY KEY, parent INTEGER REFERENCES parent (id) ON DELETE CASCADE);
              INSERT INTO parent VALUES (1);
              INSERT INTO child VALUES (1, 1), (2, 1);",
        recast: &[],
        after: |_| Ok(()),
    };
    /// A rebuild the way SQLite's documentation describes it.
    const REBUILD: Step = Step {
        sql: "CREATE TABLE new_parent (id INTEGER PRIMARY KEY, name TEXT);
              INSERT INTO new_parent (id) SELECT id FROM parent;
              DROP TABLE parent;
              ALTER TABLE new_parent RENAME TO parent;",
        recast: &[],
        after: |_| Ok(()),
    };
    const LOSES_A_PARENT: Step =
        Step { sql: "DELETE FROM parent;", recast: &[], after: |_| Ok(()) };

    fn fresh(steps: &[Step]) -> Connection {
        let mut connection = Connection::open_in_memory().unwrap();
        run(&mut connection, steps).unwrap();
        connection
    }

    fn count(connection: &Connection, table: &str) -> i64 {
        connection
            .query_row(&format!("SELECT count(*) FROM {table}"), [], |row| row.get(0))
            .unwrap()
    }

    #[test]
    fn a_parent_and_its_children_survive_a_rebuild() {
        let mut connection = fresh(&[FIRST]);
        run(&mut connection, &[FIRST, REBUILD]).unwrap();
        assert_eq!((count(&connection, "parent"), count(&connection, "child")), (1, 2));
        assert_eq!(pragma(&connection, "user_version").unwrap(), 2);
        assert_eq!(pragma(&connection, "foreign_keys").unwrap(), 1);
    }

    #[test]
    fn a_step_that_breaks_a_reference_leaves_everything_as_it_was() {
        let mut connection = fresh(&[FIRST]);
        let outcome = run(&mut connection, &[FIRST, LOSES_A_PARENT]);
        assert!(matches!(outcome, Err(StoreError::Damaged { .. })), "{outcome:?}");
        assert_eq!((count(&connection, "parent"), count(&connection, "child")), (1, 2));
        assert_eq!(pragma(&connection, "user_version").unwrap(), 1);
        assert_eq!(pragma(&connection, "foreign_keys").unwrap(), 1);
    }

    #[test]
    fn a_newer_form_is_not_touched() {
        let mut connection = fresh(&[FIRST, REBUILD]);
        let outcome = run(&mut connection, &[FIRST]);
        assert!(
            matches!(outcome, Err(StoreError::FileTooNew { found: 2, supported: 1 })),
            "{outcome:?}"
        );
    }

    #[test]
    fn a_library_of_an_older_form_gains_what_the_newer_has() {
        for older in 1..STEPS.len() {
            let mut connection = fresh(&STEPS[..older]);
            run(&mut connection, STEPS).unwrap();
            check_structure(&connection).unwrap();
            assert_eq!(count(&connection, "tally"), count(&fresh(STEPS), "tally"), "{older}");
        }
    }

    #[test]
    fn the_library_is_strict_and_needs_nothing_of_ours_to_be_opened() {
        let connection = fresh(STEPS);
        check_structure(&connection).unwrap();
        for (kind, name, _, sql) in structure(&connection).unwrap() {
            let sql = sql.unwrap_or_default();
            assert!(kind != "table" || sql.contains("STRICT"), "{name} is not strict");
            assert!(!sql.contains("COLLATE"), "{name} has a collation");
        }
    }
}
