//! The log of acts, and the way back and forth along it.
//!
//! An act's entry holds the rows an undo writes back. The undo puts in their place the rows it found,
//! so that the same entry then serves the redo, to the bit. Entries are numbered without a gap: one
//! that vanished is noticed before a wrong act is undone.

use chrono::{DateTime, Utc};
use rusqlite::Connection;
use rusqlite::types::Value;
use serde_json::Value as Json;

use crate::act::{Act, Done};
use crate::columns::{Cells, Column};
use crate::door::{self, Door, Traces};
use crate::error::StoreError;
use crate::exact_json::{as_float, float};
use crate::migrate::VERSION;
use crate::rows;
use crate::table::{Row, Table};
use crate::tally;

pub(crate) static ACT: Table = Table {
    name: "act",
    noun: "act",
    kind: None,
    columns: &["what", "done_at", "state", "schema_version", "rows"],
    owner: None,
    references: &[],
};

/// Where an act stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ActState {
    /// It is in force and can be undone.
    Done,
    /// It was undone and can be redone.
    Undone,
    /// It was undone and something else was done since: it can no longer be redone.
    Dropped,
}

/// An act as the log tells it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoggedAct {
    /// Its place in the log, from 1.
    pub number: i64,
    /// What was done, in the words it was done under.
    pub what: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Where it stands.
    pub state: ActState,
}

/// Which way along the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// Undo.
    Back,
    /// Redo.
    Forth,
}

/// An entry with all that the log keeps of it.
struct Entry {
    act: LoggedAct,
    version: i64,
    rows: String,
}

impl Entry {
    fn read(row: &Row) -> Result<Self, StoreError> {
        let mut cells = Cells::new(&ACT, row);
        let (what, at, state) = (cells.take()?, cells.take()?, cells.take()?);
        let act = LoggedAct { number: row.id, what, at, state };
        Ok(Self { act, version: cells.take()?, rows: cells.take()? })
    }

    fn row(&self) -> Row {
        let act = &self.act;
        let cells = vec![
            act.what.cell(),
            act.at.cell(),
            act.state.cell(),
            self.version.cell(),
            self.rows.cell(),
        ];
        Row::live(act.number, cells)
    }

    /// Writes the entry again in another state.
    fn turn(
        mut self,
        connection: &Connection,
        state: ActState,
        rows: Option<String>,
    ) -> Result<(), StoreError> {
        let before = self.row();
        self.act.state = state;
        self.rows = rows.unwrap_or(self.rows);
        rows::write(connection, &ACT, Some(&before), &self.row())
    }
}

/// The newest acts, newest first, at most `limit`.
pub(crate) fn newest(connection: &Connection, limit: usize) -> Result<Vec<LoggedAct>, StoreError> {
    back(connection)?.take(limit).map(|entry| entry.map(|entry| entry.act)).collect()
}

/// The act an undo or a redo would turn.
pub(crate) fn next(connection: &Connection, way: Way) -> Result<Option<LoggedAct>, StoreError> {
    Ok(target(connection, way)?.map(|entry| entry.act))
}

/// Notes an act that was done; what was undone before can no longer be redone.
pub(crate) fn append(
    connection: &Connection,
    act: &Act,
    traces: &Traces,
) -> Result<(), StoreError> {
    for entry in back(connection)? {
        let entry = entry?;
        match entry.act.state {
            ActState::Done => break,
            ActState::Undone => entry.turn(connection, ActState::Dropped, None)?,
            ActState::Dropped => {}
        }
    }
    let act = LoggedAct {
        number: door::next_id(connection, &ACT)?,
        what: act.what.clone(),
        at: act.at,
        state: ActState::Done,
    };
    let entry = Entry { act, version: VERSION, rows: write_rows(&traces.before) };
    rows::write(connection, &ACT, None, &entry.row())
}

/// Undoes the newest act, or redoes the one undone last; `None` where there is none.
pub(crate) fn turn(connection: &Connection, way: Way) -> Result<Option<Done>, StoreError> {
    let Some(entry) = target(connection, way)? else {
        return Ok(None);
    };
    if entry.version != VERSION {
        return Err(StoreError::refused(format!(
            "\"{}\" was done with an earlier form of the library and can no longer be undone: change it by hand",
            entry.act.what
        )));
    }
    let rows = read_rows(&entry.rows)
        .ok_or_else(|| StoreError::damaged(ACT.name, entry.act.number, "rows cannot be read"))?;
    let mut door = Door::new(connection);
    for (table, row) in rows.into_iter().rev() {
        door.put(table, &row)?;
    }
    let traces = door.close()?;
    let done = Done { what: entry.act.what.clone(), changed: traces.changed };
    let state = if way == Way::Back { ActState::Undone } else { ActState::Done };
    entry.turn(connection, state, Some(write_rows(&traces.before)))?;
    Ok(Some(done))
}

fn target(connection: &Connection, way: Way) -> Result<Option<Entry>, StoreError> {
    let mut oldest_undone = None;
    for entry in back(connection)? {
        let entry = entry?;
        match (entry.act.state, way) {
            (ActState::Done, Way::Back) => return Ok(Some(entry)),
            (ActState::Done, Way::Forth) => break,
            (ActState::Undone, Way::Forth) => oldest_undone = Some(entry),
            (ActState::Undone, Way::Back) | (ActState::Dropped, _) => {}
        }
    }
    Ok(oldest_undone)
}

/// The entries from the newest to the first.
fn back(
    connection: &Connection,
) -> Result<impl Iterator<Item = Result<Entry, StoreError>> + '_, StoreError> {
    let last = tally::of_table(connection, &ACT)?.last_id;
    Ok((1..=last).rev().map(move |number| match rows::get(connection, &ACT, number)? {
        Some(row) => Entry::read(&row),
        None => Err(StoreError::damaged(ACT.name, number, "it is missing")),
    }))
}

/// Rows as JSON: `["test", 5, false, [...]]` each. Rows of the log hold no blobs.
fn write_rows(rows: &[(&'static Table, Row)]) -> String {
    let cell = |value: &Value| match value {
        Value::Null | Value::Blob(_) => Json::Null,
        Value::Integer(number) => Json::from(*number),
        Value::Real(number) => float(*number),
        Value::Text(text) => Json::from(text.as_str()),
    };
    let row = |(table, row): &(&'static Table, Row)| {
        let cells: Vec<Json> = row.cells.iter().map(cell).collect();
        serde_json::json!([table.name, row.id, row.removed, cells])
    };
    Json::Array(rows.iter().map(row).collect()).to_string()
}

fn read_rows(text: &str) -> Option<Vec<(&'static Table, Row)>> {
    let cell = |value: &Json| match value {
        Json::Null => Some(Value::Null),
        Json::Number(number) => number.as_i64().map(Value::Integer),
        Json::String(text) => Some(Value::Text(text.clone())),
        Json::Object(_) => as_float(value).map(Value::Real),
        Json::Bool(_) | Json::Array(_) => None,
    };
    let rows: Vec<(String, i64, bool, Vec<Json>)> = serde_json::from_str(text).ok()?;
    rows.into_iter()
        .map(|(name, id, removed, cells)| {
            let table = Table::named(&name).filter(|table| table.columns.len() == cells.len())?;
            let cells = cells.iter().map(cell).collect::<Option<_>>()?;
            Some((table, Row { id, removed, cells }))
        })
        .collect()
}
