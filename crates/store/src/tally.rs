//! Tallies: how many rows there are and the exclusive or of their seals, for each table and for each
//! athlete's rows in it. A seal shows that a row is what was written; a tally shows that no row is
//! missing from a list and none stands in it twice.

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, params};

use crate::error::StoreError;
use crate::seal::seal;
use crate::table::Table;

/// The owner that stands for a whole table; athletes' ids begin at 1.
const WHOLE: i64 = 0;

/// What a list of rows must come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Tally {
    rows: i64,
    mix: i64,
    /// The highest id ever given; of a whole table only.
    pub(crate) last_id: i64,
}

impl Tally {
    /// How many rows there are, removed ones too.
    pub(crate) fn rows(self) -> i64 {
        self.rows
    }

    /// One more row.
    pub(crate) fn add(&mut self, seal: i64) {
        self.rows += 1;
        self.mix ^= seal;
    }

    /// One row less.
    fn remove(&mut self, seal: i64) {
        self.rows -= 1;
        self.mix ^= seal;
    }

    /// Checks a list that was counted against what it must come to.
    ///
    /// # Errors
    /// Damaged where a row is missing or one too many.
    pub(crate) fn must_be(self, expected: Self, table: &Table) -> Result<(), StoreError> {
        if (self.rows, self.mix) == (expected.rows, expected.mix) {
            return Ok(());
        }
        let what = format!(
            "{} rows were found where {} were written, or not the same ones",
            self.rows, expected.rows
        );
        Err(StoreError::damaged(table.name, None, what))
    }

    fn seal(self, table: &Table, owner: i64) -> i64 {
        let values = [owner, self.rows, self.mix, self.last_id].map(ValueRef::Integer);
        seal("tally", [ValueRef::Text(table.name.as_bytes())].into_iter().chain(values))
    }
}

/// What a whole table must come to.
///
/// # Errors
/// Damaged where the tally is missing or is not what was written.
pub(crate) fn of_table(connection: &Connection, table: &Table) -> Result<Tally, StoreError> {
    read(connection, table, WHOLE)?.ok_or_else(|| {
        StoreError::damaged("tally", None, format!("the tally of {} is missing", table.name))
    })
}

/// What an athlete's rows of a table must come to: none where nothing was ever written.
///
/// # Errors
/// Damaged where the tally is not what was written.
pub(crate) fn of_owner(
    connection: &Connection,
    table: &Table,
    owner: i64,
) -> Result<Tally, StoreError> {
    Ok(read(connection, table, owner)?.unwrap_or_default())
}

/// Writes the empty tally of a new table.
///
/// # Errors
/// Where the file cannot be written.
pub(crate) fn begin(connection: &Connection, table: &Table) -> Result<(), StoreError> {
    write(connection, table, WHOLE, Tally::default())
}

/// Drops the tallies of a table that was made anew.
///
/// # Errors
/// Where the file cannot be written.
pub(crate) fn forget(connection: &Connection, table: &Table) -> Result<(), StoreError> {
    let _gone = connection
        .execute("DELETE FROM tally WHERE of_table = ?1", [table.name])
        .map_err(|error| StoreError::sqlite("tally", "writing", error))?;
    Ok(())
}

/// Notes that a row was written: its old seal, where it was there before, and its new one; each with
/// the athlete it belonged and belongs to.
///
/// # Errors
/// Damaged, or where the file cannot be written.
pub(crate) fn note(
    connection: &Connection,
    table: &Table,
    id: i64,
    old: Option<(i64, Option<i64>)>,
    new: (i64, Option<i64>),
) -> Result<(), StoreError> {
    let mut whole = of_table(connection, table)?;
    whole.last_id = whole.last_id.max(id);
    whole.add(new.0);
    if let Some((seal, owner)) = old {
        whole.remove(seal);
        if let Some(owner) = owner {
            let mut tally = of_owner(connection, table, owner)?;
            tally.remove(seal);
            write(connection, table, owner, tally)?;
        }
    }
    if let (seal, Some(owner)) = new {
        let mut tally = of_owner(connection, table, owner)?;
        tally.add(seal);
        write(connection, table, owner, tally)?;
    }
    write(connection, table, WHOLE, whole)
}

/// Every athlete that has a tally of a table.
///
/// # Errors
/// Where the file cannot be read.
pub(crate) fn owners(connection: &Connection, table: &Table) -> Result<Vec<i64>, StoreError> {
    let failed = |error| StoreError::sqlite("tally", "reading", error);
    let mut statement = connection
        .prepare_cached("SELECT owner FROM tally WHERE of_table = ?1 AND owner <> 0")
        .map_err(failed)?;
    let owners = statement.query_map([table.name], |row| row.get(0)).map_err(failed)?;
    owners.collect::<Result<_, _>>().map_err(failed)
}

fn read(connection: &Connection, table: &Table, owner: i64) -> Result<Option<Tally>, StoreError> {
    let failed = |error| StoreError::sqlite("tally", "reading", error);
    let mut statement = connection
        .prepare_cached(
            "SELECT row_count, mix, last_id, seal FROM tally WHERE of_table = ?1 AND owner = ?2",
        )
        .map_err(failed)?;
    let found = statement
        .query_row(params![table.name, owner], |row| {
            let tally = Tally { rows: row.get(0)?, mix: row.get(1)?, last_id: row.get(2)? };
            Ok((tally, row.get::<_, i64>(3)?))
        })
        .optional()
        .map_err(failed)?;
    match found {
        Some((tally, sealed)) if tally.seal(table, owner) == sealed => Ok(Some(tally)),
        Some(_) => {
            let what = format!("the tally of {} is not what was written", table.name);
            Err(StoreError::damaged("tally", None, what))
        }
        None => Ok(None),
    }
}

fn write(
    connection: &Connection,
    table: &Table,
    owner: i64,
    tally: Tally,
) -> Result<(), StoreError> {
    let Tally { rows, mix, last_id } = tally;
    let changed = connection
        .prepare_cached(
            "INSERT INTO tally (of_table, owner, row_count, mix, last_id, seal) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
             ON CONFLICT (of_table, owner) DO UPDATE
             SET row_count = ?3, mix = ?4, last_id = ?5, seal = ?6",
        )
        .and_then(|mut statement| {
            statement.execute(params![table.name, owner, rows, mix, last_id, tally.seal(table, owner)])
        })
        .map_err(|error| StoreError::sqlite("tally", "writing", error))?;
    if changed == 1 {
        Ok(())
    } else {
        Err(StoreError::damaged("tally", None, "it could not be written"))
    }
}
