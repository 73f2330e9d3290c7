//! Reading and writing rows of any table, seals and tallies included. Nothing else reads or writes a
//! table of facts.

use rusqlite::types::{Value, ValueRef};
use rusqlite::{Connection, ToSql};

use crate::error::StoreError;
use crate::seal::seal;
use crate::table::{Row, Table};
use crate::tally::{self, Tally};

/// The columns of the widest table, with `id`, `removed` and `seal`, and some to spare.
const MOST_COLUMNS: usize = 24;

/// Every row of a table, removed ones too, in order of their ids.
///
/// # Errors
/// Damaged where a row is not what was written, is missing, or stands there twice.
pub(crate) fn all(connection: &Connection, table: &Table) -> Result<Vec<Row>, StoreError> {
    let mut rows = Vec::new();
    each(connection, table, &mut |row| {
        rows.push(row);
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
    take: &mut dyn FnMut(Row) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let counted = select(connection, table, "ORDER BY id", &[], &mut |row| take(row?))?;
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
    let counted = select(connection, table, &filter, &[&owner], &mut |row| {
        rows.push(row?);
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
    let _ = select(connection, table, "WHERE id = ?1", &[&id], &mut |row| {
        found = Some(row?);
        Ok(())
    })?;
    Ok(found)
}

/// Rows by a filter, each with its seal checked, handed on one by one; gives their tally.
///
/// # Errors
/// What `each` gives back, or where the file cannot be read.
pub(crate) fn select(
    connection: &Connection,
    table: &Table,
    filter: &str,
    parameters: &[&dyn ToSql],
    each: &mut dyn FnMut(Result<Row, StoreError>) -> Result<(), StoreError>,
) -> Result<Tally, StoreError> {
    let failed = |error| StoreError::sqlite(table.name, "reading", error);
    let text = format!(
        "SELECT id, removed, {}, seal FROM {} {filter}",
        table.columns.join(", "),
        table.name
    );
    let mut statement = connection.prepare_cached(&text).map_err(failed)?;
    let mut found = statement.query(parameters).map_err(failed)?;
    let mut counted = Tally::default();
    while let Some(raw) = found.next().map_err(failed)? {
        let read = check(table, raw).map(|(row, sealed)| {
            counted.add(sealed);
            row
        });
        each(read)?;
    }
    Ok(counted)
}

/// One row as it stands in the file, its seal checked before anything else is believed.
fn check(table: &Table, raw: &rusqlite::Row<'_>) -> Result<(Row, i64), StoreError> {
    let count = table.columns.len();
    let mut values = [ValueRef::Null; MOST_COLUMNS];
    for (index, value) in values.iter_mut().enumerate().take(count + 3) {
        *value = raw.get_ref(index).unwrap_or(ValueRef::Null);
    }
    let (head, rest) = values.split_at(2);
    let (cells, rest) = rest.split_at(count);
    let (ValueRef::Integer(id), Some(ValueRef::Integer(sealed))) = (values[0], rest.first()) else {
        return Err(StoreError::damaged(table.name, None, "a row has no number or no seal"));
    };
    if seal(table.name, head.iter().chain(cells).copied()) != *sealed {
        return Err(StoreError::damaged(
            table.name,
            id,
            "it is not what was written (its seal does not match)",
        ));
    }
    let unreadable = |_| StoreError::damaged(table.name, id, "it holds text that cannot be read");
    let removed = values[1] != ValueRef::Integer(0);
    let mut owned = Vec::with_capacity(count);
    for cell in cells {
        owned.push(Value::try_from(*cell).map_err(unreadable)?);
    }
    Ok((Row { id, removed, cells: owned }, *sealed))
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
