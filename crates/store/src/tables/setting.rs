//! Settings: few, so they are always read whole.

use std::collections::BTreeMap;

use rusqlite::Connection;

use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::door::Door;
use crate::error::StoreError;
use crate::rows;
use crate::table::{Row, Table};

pub(crate) static SETTING: Table = Table {
    name: "setting",
    noun: "setting",
    kind: Some(Kind::Settings),
    columns: &["name", "value"],
    owner: None,
    references: &[],
};

/// Every setting that is set, by its name.
pub(crate) fn all(connection: &Connection) -> Result<BTreeMap<String, String>, StoreError> {
    let rows = rows::all(connection, &SETTING)?;
    let live = rows.iter().filter(|row| !row.removed);
    live.map(|row| {
        let mut cells = Cells::new(&SETTING, row);
        Ok((cells.take()?, cells.take()?))
    })
    .collect()
}

pub(crate) fn put(door: &mut Door<'_>, name: &String, value: &String) -> Result<(), StoreError> {
    let id = match find(door, name)? {
        Some(row) => row.id,
        None => door.next_id(&SETTING)?,
    };
    door.put(&SETTING, &Row::live(id, vec![name.cell(), value.cell()]))
}

/// Removing a setting that is not set changes nothing.
pub(crate) fn remove(door: &mut Door<'_>, name: &String) -> Result<(), StoreError> {
    match find(door, name)? {
        Some(row) => door.put(&SETTING, &Row { removed: true, ..row }),
        None => Ok(()),
    }
}

fn find(door: &Door<'_>, name: &String) -> Result<Option<Row>, StoreError> {
    let rows = rows::all(door.connection, &SETTING)?;
    Ok(rows.into_iter().find(|row| row.cells.first() == Some(&name.cell())))
}
