//! The one door through which facts change: it puts rows and keeps what stood there before, which is
//! all that an undo needs.

use std::collections::{BTreeSet, HashSet};

use rusqlite::Connection;

use crate::act::Kind;
use crate::error::StoreError;
use crate::rows;
use crate::table::{Row, Table};
use crate::tally;

/// An act at work, inside one transaction.
pub(crate) struct Door<'c> {
    /// The transaction.
    pub(crate) connection: &'c Connection,
    /// Every row touched, with what stood there before: nothing, where it is new.
    before: Vec<(&'static Table, i64, Option<Row>)>,
    seen: HashSet<(&'static str, i64)>,
    changed: BTreeSet<Kind>,
}

/// What an act leaves behind.
pub(crate) struct Traces {
    /// The rows as they stood before, in the order they were first touched.
    pub(crate) before: Vec<(&'static Table, Row)>,
    /// What kinds of facts changed.
    pub(crate) changed: BTreeSet<Kind>,
}

impl<'c> Door<'c> {
    /// The door, nothing put through yet.
    pub(crate) fn new(connection: &'c Connection) -> Self {
        Self { connection, before: Vec::new(), seen: HashSet::new(), changed: BTreeSet::new() }
    }

    /// The row of an id, removed or not.
    pub(crate) fn get(&self, table: &'static Table, id: i64) -> Result<Option<Row>, StoreError> {
        rows::get(self.connection, table, id)
    }

    /// An id that no row of the table ever had.
    pub(crate) fn next_id(&self, table: &'static Table) -> Result<i64, StoreError> {
        next_id(self.connection, table)
    }

    /// Puts a row, new or over the one of its id. What stood there is kept for the undo.
    pub(crate) fn put(&mut self, table: &'static Table, row: &Row) -> Result<(), StoreError> {
        let before = self.get(table, row.id)?;
        if before.as_ref() == Some(row) {
            return Ok(());
        }
        rows::write(self.connection, table, before.as_ref(), row)?;
        if self.seen.insert((table.name, row.id)) {
            self.before.push((table, row.id, before));
        }
        self.changed.extend(table.kind);
        Ok(())
    }

    /// Checks that what was put refers to facts that are there.
    ///
    /// # Errors
    /// Not found, with what is missing.
    pub(crate) fn check_references(&self) -> Result<(), StoreError> {
        for (table, id, _) in &self.before {
            let Some(row) = self.get(table, *id)?.filter(|row| !row.removed) else {
                continue;
            };
            for reference in table.references {
                let Some(id) = row.integer(reference.column) else {
                    continue;
                };
                match self.get(reference.table, id)? {
                    Some(other) if !(reference.live && other.removed) => {}
                    _ => {
                        return Err(StoreError::NotFound { what: reference.table.noun, id });
                    }
                }
            }
        }
        Ok(())
    }

    /// What the act leaves behind. The way back from a new row is the same row marked as removed,
    /// because nothing is ever erased: as it stands now, when all it refers to is there.
    pub(crate) fn close(self) -> Result<Traces, StoreError> {
        let mut traces =
            Traces { before: Vec::with_capacity(self.before.len()), changed: self.changed };
        for (table, id, before) in self.before {
            let row = match before {
                Some(row) => row,
                None => rows::get(self.connection, table, id)?
                    .map(|row| Row { removed: true, ..row })
                    .ok_or_else(|| {
                        StoreError::damaged(table.name, id, "it was lost while it was written")
                    })?,
            };
            traces.before.push((table, row));
        }
        Ok(traces)
    }
}

/// An id that no row of a table ever had.
pub(crate) fn next_id(connection: &Connection, table: &'static Table) -> Result<i64, StoreError> {
    tally::of_table(connection, table)?
        .last_id
        .checked_add(1)
        .ok_or_else(|| StoreError::refused(format!("the numbers for {} are used up", table.name)))
}
