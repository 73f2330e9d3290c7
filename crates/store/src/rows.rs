//! Reading and writing rows of any table, seals and tallies included. Nothing else reads or writes a
//! table of facts.

use std::collections::HashSet;

use rusqlite::types::{Value, ValueRef};
use rusqlite::{Connection, ToSql};

use crate::columns::Cells;
use crate::error::StoreError;
use crate::seal::seal;
use crate::sheaf::Sheaf;
use crate::table::{Row, Table};
use crate::tally::{self, Tally};

/// The columns of the widest table, with `id`, `removed` and `seal`, and some to spare.
pub(crate) const MOST_COLUMNS: usize = 24;

/// A row as it stands in the file: `id`, `removed`, its own columns, `seal`; empty cells after that.
pub(crate) type Standing<'s> = [ValueRef<'s>; MOST_COLUMNS];

/// Every row of a table, removed ones too, in order of their ids.
///
/// # Errors
/// Damaged where a row is not what was written, is missing, or stands there twice.
pub(crate) fn all(connection: &Connection, table: &Table) -> Result<Vec<Row>, StoreError> {
    let mut rows = Vec::new();
    each(connection, table, &mut |raw| {
        rows.push(raw.kept()?);
        Ok(())
    })?;
    Ok(rows)
}

/// As [`all`], handed on one by one: a long table is never held twice. What was handed on counts only
/// once this is done: only then it is known that no row is missing.
///
/// # Errors
/// As [`all`], or what `take` gives back.
pub(crate) fn each(
    connection: &Connection,
    table: &Table,
    take: &mut dyn FnMut(&Raw<'_>) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let counted = select(connection, table, "ORDER BY id", &[], &mut |raw| take(&raw?))?;
    counted.must_be(tally::of_table(connection, table)?, table)
}

/// As [`each`], copied into sheaves for other threads to open, while this one goes on reading.
///
/// # Errors
/// As [`each`], but for seals that do not match, or what `take` gives back.
pub(crate) fn sheaves(
    connection: &Connection,
    table: &'static Table,
    take: &mut dyn FnMut(Sheaf) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let mut counted = Tally::default();
    let mut sheaf = Sheaf::of(table);
    step(connection, table, ("ORDER BY id", &[]), &mut |values| {
        counted.add(seal_in(table, values)?);
        sheaf.add(values);
        if sheaf.is_full() {
            take(std::mem::replace(&mut sheaf, Sheaf::of(table)))?;
        }
        Ok(())
    })?;
    take(sheaf)?;
    counted.must_be(tally::of_table(connection, table)?, table)
}

/// Every row of an athlete, removed ones too, in order of their ids.
///
/// # Errors
/// As [`all`].
pub(crate) fn of_owner(
    connection: &Connection,
    table: &Table,
    owner: i64,
) -> Result<Vec<Row>, StoreError> {
    let Some(column) = table.owner.and_then(|column| table.columns.get(column)) else {
        return Ok(Vec::new());
    };
    let mut rows = Vec::new();
    let filter = format!("WHERE {column} = ?1 ORDER BY id");
    let counted = select(connection, table, &filter, &[&owner], &mut |raw| {
        rows.push(raw?.kept()?);
        Ok(())
    })?;
    counted.must_be(tally::of_owner(connection, table, owner)?, table)?;
    Ok(rows)
}

/// The row of an id, removed or not. Where it is not found the whole table is read, so that a row
/// lost to damage is not taken for one that never was.
///
/// # Errors
/// As [`all`].
pub(crate) fn one(
    connection: &Connection,
    table: &Table,
    id: i64,
) -> Result<Option<Row>, StoreError> {
    let found = get(connection, table, id)?;
    if found.is_none() && all(connection, table)?.iter().any(|row| row.id == id) {
        return Err(StoreError::damaged(table.name, id, "it cannot be found by its number"));
    }
    Ok(found)
}

/// The row of an id by the plain way, for new ids and for whoever checks otherwise.
///
/// # Errors
/// Damaged where the row is not what was written.
pub(crate) fn get(
    connection: &Connection,
    table: &Table,
    id: i64,
) -> Result<Option<Row>, StoreError> {
    let mut found = None;
    let _ = select(connection, table, "WHERE id = ?1", &[&id], &mut |raw| {
        found = Some(raw?.kept()?);
        Ok(())
    })?;
    Ok(found)
}

/// What is done with each row, or with what is wrong with it.
type Each<'e> = dyn FnMut(Result<Raw<'_>, StoreError>) -> Result<(), StoreError> + 'e;

/// Rows by a filter, each with its seal checked, handed on one by one; gives their tally.
///
/// # Errors
/// What `each` gives back, or where the file cannot be read.
pub(crate) fn select(
    connection: &Connection,
    table: &Table,
    filter: &str,
    parameters: &[&dyn ToSql],
    each: &mut Each<'_>,
) -> Result<Tally, StoreError> {
    let mut counted = Tally::default();
    step(connection, table, (filter, parameters), &mut |values| {
        each(opened(table, values).inspect(|raw| counted.add(raw.seal)))
    })?;
    Ok(counted)
}

/// Steps through rows by a filter with its parameters.
///
/// # Errors
/// What `take` gives back, or where the file cannot be read.
fn step(
    connection: &Connection,
    table: &Table,
    (filter, parameters): (&str, &[&dyn ToSql]),
    take: &mut dyn FnMut(&Standing<'_>) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let failed = |error| StoreError::sqlite(table.name, "reading", error);
    let text = format!(
        "SELECT id, removed, {}, seal FROM {} {filter}",
        table.columns.join(", "),
        table.name
    );
    let mut statement = connection.prepare_cached(&text).map_err(failed)?;
    let mut found = statement.query(parameters).map_err(failed)?;
    while let Some(raw) = found.next().map_err(failed)? {
        let mut values = [ValueRef::Null; MOST_COLUMNS];
        for (index, value) in values.iter_mut().enumerate().take(table.columns.len() + 3) {
            *value = raw.get_ref(index).unwrap_or(ValueRef::Null);
        }
        take(&values)?;
    }
    Ok(())
}

/// One row, its seal checked before anything else is believed.
///
/// # Errors
/// Damaged where it is not what was written.
pub(crate) fn opened<'s>(
    table: &'s Table,
    values: &'s Standing<'_>,
) -> Result<Raw<'s>, StoreError> {
    let sealed = seal_in(table, values)?;
    let (own, _) = values.split_at(table.columns.len() + 2);
    let (ValueRef::Integer(id), Some(cells)) = (values[0], own.get(2..)) else {
        return Err(StoreError::damaged(table.name, None, "a row has no number"));
    };
    if seal(table.name, own.iter().copied()) != sealed {
        return Err(broken(table, id));
    }
    Ok(Raw { table, id, removed: values[1] != ValueRef::Integer(0), cells, seal: sealed })
}

/// The seal that stands in a row.
fn seal_in(table: &Table, values: &Standing<'_>) -> Result<i64, StoreError> {
    match values.get(table.columns.len() + 2) {
        Some(ValueRef::Integer(sealed)) => Ok(*sealed),
        _ => Err(StoreError::damaged(table.name, None, "a row has no seal")),
    }
}

fn broken(table: &Table, id: i64) -> StoreError {
    StoreError::damaged(table.name, id, "it is not what was written (its seal does not match)")
}

/// One row as it stands in the file, for as long as it is looked at: nothing of it is copied.
#[derive(Debug)]
pub(crate) struct Raw<'s> {
    table: &'s Table,
    id: i64,
    /// Whether it is marked as removed.
    pub(crate) removed: bool,
    cells: &'s [ValueRef<'s>],
    seal: i64,
}

impl Raw<'_> {
    /// Its own columns.
    pub(crate) fn cells(&self) -> Cells<'_> {
        Cells::raw(self.table, self.id, self.cells)
    }

    /// The athlete the row belongs to.
    pub(crate) fn owner(&self) -> Option<i64> {
        match self.cells.get(self.table.owner?) {
            Some(ValueRef::Integer(owner)) => Some(*owner),
            _ => None,
        }
    }

    /// Whether it is out of sight: marked as removed, or of an athlete who is.
    pub(crate) fn is_hidden(&self, removed: &HashSet<i64>) -> bool {
        self.removed || self.owner().is_some_and(|owner| removed.contains(&owner))
    }

    /// The row, to be kept.
    ///
    /// # Errors
    /// Damaged where it holds text that cannot be read.
    pub(crate) fn kept(&self) -> Result<Row, StoreError> {
        let unreadable =
            |_| StoreError::damaged(self.table.name, self.id, "it holds text that cannot be read");
        let mut cells = Vec::with_capacity(self.cells.len());
        for cell in self.cells {
            cells.push(Value::try_from(*cell).map_err(unreadable)?);
        }
        Ok(Row { id: self.id, removed: self.removed, cells })
    }
}

/// Writes a row, new or over the one of the same id, with its seal and its tallies.
///
/// # Errors
/// Refused for an id below 1; damaged; or where the file cannot be written.
pub(crate) fn write(
    connection: &Connection,
    table: &Table,
    before: Option<&Row>,
    row: &Row,
) -> Result<(), StoreError> {
    if row.id < 1 {
        return Err(StoreError::refused(format!(
            "{} number {} cannot be: numbers begin at 1",
            table.noun, row.id
        )));
    }
    let sealed = row.seal(table);
    let columns = table.columns.join(", ");
    let marks = ", ?".repeat(table.columns.len());
    let update: Vec<_> =
        table.columns.iter().map(|name| format!("{name} = excluded.{name}")).collect();
    let text = format!(
        "INSERT INTO {} (id, removed, seal, {columns}) VALUES (?, ?, ?{marks})
         ON CONFLICT (id) DO UPDATE SET removed = excluded.removed, seal = excluded.seal, {}",
        table.name,
        update.join(", ")
    );
    let head: [&dyn ToSql; 3] = [&row.id, &row.removed, &sealed];
    let values: Vec<&dyn ToSql> =
        head.into_iter().chain(row.cells.iter().map(|cell| cell as &dyn ToSql)).collect();
    let written = connection
        .prepare_cached(&text)
        .and_then(|mut statement| statement.execute(values.as_slice()))
        .map_err(|error| StoreError::sqlite(table.name, "writing", error))?;
    if written != 1 {
        return Err(StoreError::damaged(table.name, row.id, "it could not be written"));
    }
    let old = before.map(|before| (before.seal(table), before.owner(table)));
    tally::note(connection, table, row.id, old, (sealed, row.owner(table)))
}

#[cfg(test)]
mod tests {
    use super::MOST_COLUMNS;
    use crate::table::ALL;

    #[test]
    fn every_table_fits_the_width_rows_are_read_in() {
        for table in ALL {
            assert!(table.columns.len() + 3 <= MOST_COLUMNS, "{}", table.name);
        }
    }
}
