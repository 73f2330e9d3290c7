//! Remarks already worked out, to be dropped at will: no fact is lost with them. Written outside the
//! log of acts. A damaged entry is a miss.

use std::collections::HashMap;

use pacewright_core::ids::TestId;
use pacewright_core::remark::Remark;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::error::StoreError;
use crate::exact_json;
use crate::library::Library;
use crate::rows;
use crate::seal::seal;
use crate::tables::test::TEST;

const TABLE: &str = "remark_cache";

/// What the cache knows of a test.
#[derive(Debug, Clone, PartialEq)]
pub enum CachedRemarks {
    /// The remarks, worked out from the test as it stands and by these rules.
    Known(Vec<Remark>),
    /// Nothing that still holds.
    Unknown,
    /// The entry was damaged and was dropped: work the remarks out again.
    Dropped,
}

/// An entry as it stands in the file.
struct Entry {
    test: i64,
    test_seal: i64,
    rules_version: i64,
    /// `None` where the entry is damaged.
    remarks: Option<Vec<Remark>>,
}

impl Library {
    /// Keeps the remarks on a test, worked out from the test as it stands, and from what else is
    /// known `beside` it, by rules of a version.
    ///
    /// # Errors
    /// The test is not there; a remark holds a number that is not finite; no room.
    pub fn cache_remarks(
        &mut self,
        test: TestId,
        rules_version: u32,
        beside: &str,
        remarks: &[Remark],
    ) -> Result<(), StoreError> {
        keep(&self.connection, (test, beside), rules_version, remarks)
    }

    /// Keeps the remarks on several tests, each with what was known beside it, all or none: one wait
    /// for the disk instead of one a test.
    ///
    /// # Errors
    /// As [`Library::cache_remarks`].
    pub fn cache_remarks_of_all(
        &mut self,
        rules_version: u32,
        judged: &[(TestId, String, Vec<Remark>)],
    ) -> Result<(), StoreError> {
        self.in_one_go("writing", |transaction| {
            judged.iter().try_for_each(|(test, beside, remarks)| {
                keep(transaction, (*test, beside), rules_version, remarks)
            })
        })
    }

    /// The remarks kept on a test, if they are by these rules and neither the test nor what is known
    /// beside it has changed since.
    ///
    /// # Errors
    /// The test itself is damaged, or the file cannot be read.
    pub fn cached_remarks(
        &self,
        test: TestId,
        rules_version: u32,
        beside: &str,
    ) -> Result<CachedRemarks, StoreError> {
        let Some(row) = rows::one(&self.connection, &TEST, test.0)? else {
            return Ok(CachedRemarks::Unknown);
        };
        let found = self
            .connection
            .prepare_cached("SELECT test, test_seal, rules_version, remarks, seal FROM remark_cache WHERE test = ?1")
            .and_then(|mut statement| statement.query_row([test.0], |row| Ok(entry(row))).optional());
        let found = match found.map_err(|error| StoreError::sqlite(TABLE, "reading", error)) {
            Ok(found) => found,
            Err(StoreError::Damaged { .. }) => return Ok(CachedRemarks::Dropped),
            Err(error) => return Err(error),
        };
        match found {
            None => Ok(CachedRemarks::Unknown),
            Some(Entry { remarks: None, .. }) => {
                drop_entry(&self.connection, test.0)?;
                Ok(CachedRemarks::Dropped)
            }
            Some(Entry { test_seal, rules_version: version, remarks: Some(remarks), .. }) => {
                let holds = test_seal == with_beside(row.seal(&TEST), beside)
                    && version == i64::from(rules_version);
                Ok(if holds { CachedRemarks::Known(remarks) } else { CachedRemarks::Unknown })
            }
        }
    }

    /// The remarks kept on every test with nothing known beside it, as far as they still hold;
    /// damaged entries are left out.
    ///
    /// # Errors
    /// A test is damaged, or the file cannot be read.
    pub fn all_cached_remarks(
        &self,
        rules_version: u32,
    ) -> Result<HashMap<TestId, Vec<Remark>>, StoreError> {
        let seals: HashMap<i64, i64> = rows::all(&self.connection, &TEST)?
            .iter()
            .map(|row| (row.id, row.seal(&TEST)))
            .collect();
        let entries = match all_entries(&self.connection) {
            Err(StoreError::Damaged { .. }) => Vec::new(),
            other => other?,
        };
        let holds = |entry: &Entry| {
            entry.rules_version == i64::from(rules_version)
                && seals.get(&entry.test) == Some(&entry.test_seal)
        };
        let known = entries.into_iter().filter(holds);
        Ok(known.filter_map(|entry| Some((TestId(entry.test), entry.remarks?))).collect())
    }

    /// Drops everything that was only kept to save time.
    ///
    /// # Errors
    /// Where the file cannot be written.
    pub fn clear_cache(&mut self) -> Result<(), StoreError> {
        let cleared = self.connection.execute("DELETE FROM remark_cache", []);
        cleared.map(|_| ()).map_err(|error| StoreError::sqlite(TABLE, "clearing", error))
    }
}

/// The seal of what remarks were worked out from: a test's own where nothing stands beside it.
fn with_beside(test_seal: i64, beside: &str) -> i64 {
    if beside.is_empty() {
        return test_seal;
    }
    let values = [ValueRef::Integer(test_seal), ValueRef::Text(beside.as_bytes())];
    seal(TABLE, values)
}

fn keep(
    connection: &Connection,
    (test, beside): (TestId, &str),
    rules_version: u32,
    remarks: &[Remark],
) -> Result<(), StoreError> {
    let remarks = exact_json::to_text(&remarks.to_vec())?;
    let row = rows::one(connection, &TEST, test.0)?;
    let row = row.ok_or(StoreError::NotFound { what: TEST.noun, id: test.0 })?;
    let test_seal = with_beside(row.seal(&TEST), beside);
    let (id, version) = (test.0, i64::from(rules_version));
    let values = [id, test_seal, version].map(ValueRef::Integer);
    let sealed = seal(TABLE, values.into_iter().chain([ValueRef::Text(remarks.as_bytes())]));
    let written = connection.execute(
        "INSERT OR REPLACE INTO remark_cache (test, test_seal, rules_version, remarks, seal)
         VALUES (?1, ?2, ?3, ?4, ?5)",
        params![id, test_seal, version, remarks, sealed],
    );
    written.map(|_| ()).map_err(|error| StoreError::sqlite(TABLE, "writing", error))
}

fn all_entries(connection: &Connection) -> Result<Vec<Entry>, StoreError> {
    let failed = |error| StoreError::sqlite(TABLE, "reading", error);
    let mut statement = connection
        .prepare_cached("SELECT test, test_seal, rules_version, remarks, seal FROM remark_cache")
        .map_err(failed)?;
    let found = statement.query_map([], |row| Ok(entry(row))).map_err(failed)?;
    found.collect::<Result<_, _>>().map_err(failed)
}

fn entry(row: &Row<'_>) -> Entry {
    let value = |index| row.get_ref(index).unwrap_or(ValueRef::Null);
    let number = |index| value(index).as_i64().unwrap_or_default();
    let whole = value(4) == ValueRef::Integer(seal(TABLE, (0..4).map(value)));
    let remarks = value(3).as_str().ok().filter(|_| whole).and_then(exact_json::from_text);
    Entry { test: number(0), test_seal: number(1), rules_version: number(2), remarks }
}

/// Where even that fails the entry stays a miss, and a later one is written over it.
fn drop_entry(connection: &Connection, test: i64) -> Result<(), StoreError> {
    let dropped = connection.execute("DELETE FROM remark_cache WHERE test = ?1", [test]);
    match dropped.map_err(|error| StoreError::sqlite(TABLE, "clearing", error)) {
        Ok(_) | Err(StoreError::Damaged { .. }) => Ok(()),
        Err(error) => Err(error),
    }
}
