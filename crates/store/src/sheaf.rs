//! Rows copied together as they stand in the file, to be opened by another thread.

use rusqlite::types::ValueRef;

use crate::error::StoreError;
use crate::rows::{self, MOST_COLUMNS, Raw, Standing};
use crate::table::Table;

/// So many cells, or so many bytes, are handed over at once: each time another thread has to be woken.
/// No more, so that the memory of one serves the next.
const FULL_CELLS: usize = 2_048;
const FULL_BYTES: usize = 64 * 1_024;

/// Rows of one table, their seals still to be checked. All of their text and bytes lie in one piece.
#[derive(Debug)]
pub(crate) struct Sheaf {
    table: &'static Table,
    cells: Vec<Copied>,
    bytes: Vec<u8>,
}

/// A cell; of text and bytes the length, what they are stands in the sheaf.
#[derive(Debug, Clone, Copy)]
enum Copied {
    Null,
    Integer(i64),
    Real(f64),
    Text(usize),
    Blob(usize),
}

impl Sheaf {
    /// Nothing of a table yet.
    pub(crate) fn of(table: &'static Table) -> Self {
        let cells = Vec::with_capacity(FULL_CELLS + MOST_COLUMNS);
        Self { table, cells, bytes: Vec::with_capacity(FULL_BYTES + FULL_BYTES / 4) }
    }

    /// The table its rows are of.
    pub(crate) fn table(&self) -> &'static Table {
        self.table
    }

    /// Copies one more row.
    pub(crate) fn add(&mut self, row: &Standing<'_>) {
        for value in row.iter().take(self.width()) {
            let copied = match value {
                ValueRef::Null => Copied::Null,
                ValueRef::Integer(number) => Copied::Integer(*number),
                ValueRef::Real(number) => Copied::Real(*number),
                ValueRef::Text(text) => Copied::Text(self.keep(text)),
                ValueRef::Blob(bytes) => Copied::Blob(self.keep(bytes)),
            };
            self.cells.push(copied);
        }
    }

    /// Whether it is time to hand it over.
    pub(crate) fn is_full(&self) -> bool {
        self.cells.len() >= FULL_CELLS || self.bytes.len() >= FULL_BYTES
    }

    /// Opens its rows one by one, in their order.
    ///
    /// # Errors
    /// Damaged where a row is not what was written, or what `take` gives back.
    pub(crate) fn open(
        &self,
        take: &mut dyn FnMut(&Raw<'_>) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let mut bytes = self.bytes.as_slice();
        for row in self.cells.chunks_exact(self.width()) {
            let mut values = [ValueRef::Null; MOST_COLUMNS];
            for (value, copied) in values.iter_mut().zip(row) {
                let mut next = |length: usize| bytes.split_off(..length).unwrap_or_default();
                *value = match *copied {
                    Copied::Null => ValueRef::Null,
                    Copied::Integer(number) => ValueRef::Integer(number),
                    Copied::Real(number) => ValueRef::Real(number),
                    Copied::Text(length) => ValueRef::Text(next(length)),
                    Copied::Blob(length) => ValueRef::Blob(next(length)),
                };
            }
            take(&rows::opened(self.table, &values)?)?;
        }
        Ok(())
    }

    /// With `id`, `removed` and `seal`.
    fn width(&self) -> usize {
        self.table.columns.len() + 3
    }

    fn keep(&mut self, bytes: &[u8]) -> usize {
        self.bytes.extend_from_slice(bytes);
        bytes.len()
    }
}
