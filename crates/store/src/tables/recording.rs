//! Recordings: a short row to list, and the content apart, read only when it is asked for.

use chrono::{DateTime, NaiveDate, Utc};
use pacewright_core::ids::{AthleteId, RecordingId};
use pacewright_core::recording::{Circumstances, Lap, Leg, Parts, Recording, Repair, Span, Sport};
use pacewright_core::units::Seconds;
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

use super::athlete::ATHLETE;
use crate::act::Kind;
use crate::change::NewRecording;
use crate::columns::{Cells, Column};
use crate::door::Door;
use crate::error::StoreError;
use crate::hash::ContentHash;
use crate::table::{Record, Reference, Row, Table};
use crate::{exact_json, rows, samples};

pub(crate) static CONTENT: Table = Table {
    name: "content",
    noun: "recording's content",
    kind: None,
    columns: &["details", "samples"],
    owner: None,
    references: &[],
};

pub(crate) static RECORDING: Table = Table {
    name: "recording",
    noun: "recording",
    kind: Some(Kind::Recordings),
    columns: &[
        "athlete",
        "content",
        "content_hash",
        "file_name",
        "started_at",
        "duration_s",
        "added_on",
    ],
    owner: Some(0),
    references: &[
        Reference { column: 0, table: &ATHLETE, live: true },
        Reference { column: 1, table: &CONTENT, live: true },
    ],
};

/// A recording as it is listed.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredRecording {
    /// Its identity.
    pub id: RecordingId,
    /// Whose, where that is known.
    pub athlete: Option<AthleteId>,
    /// The fingerprint of the file it was read from.
    pub content_hash: ContentHash,
    /// That file's name.
    pub file_name: String,
    /// When it began, where its clock has a date.
    pub started_at: Option<DateTime<Utc>>,
    /// From its first sample to its last.
    pub duration: Seconds,
    /// The day it was taken in.
    pub added_on: NaiveDate,
    /// Where its content stands.
    content: i64,
}

impl Record for StoredRecording {
    const TABLE: &'static Table = &RECORDING;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.content.cell(),
            self.content_hash.cell(),
            self.file_name.cell(),
            self.started_at.cell(),
            self.duration.cell(),
            self.added_on.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        let id = RecordingId(cells.id());
        let (athlete, content) = (cells.take()?, cells.take()?);
        Ok(Self {
            id,
            athlete,
            content_hash: cells.take()?,
            file_name: cells.take()?,
            started_at: cells.take()?,
            duration: cells.take()?,
            added_on: cells.take()?,
            content,
        })
    }
}

/// All of a recording but its samples and its start.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Details {
    sport: Sport,
    /// Absent in libraries written before it was read.
    #[serde(default)]
    circumstances: Circumstances,
    timer_pauses: Option<Vec<Span>>,
    laps: Vec<Lap>,
    legs: Vec<Leg>,
    repairs: Vec<Repair>,
}

/// Takes a recording in. Content that is there already, from a recording removed since, is used again.
pub(crate) fn add(door: &mut Door<'_>, new: &NewRecording) -> Result<(), StoreError> {
    if door.get(&RECORDING, new.id.0)?.is_some() {
        return Err(StoreError::refused(format!(
            "recording number {} is already there: take a fresh number",
            new.id.0
        )));
    }
    let cells = content_cells(&new.recording)?;
    let started_at = new.recording.started_at();
    if read_content(started_at, &Row::live(1, cells.clone()))? != new.recording {
        return Err(StoreError::refused(
            "the recording would not be kept exactly as it was read; report this file",
        ));
    }
    let mut content = None;
    for row in rows_of_hash(door.connection, &new.content_hash)? {
        if is_visible(door.connection, &row)? {
            return Err(StoreError::Duplicate { recording: RecordingId(row.id) });
        }
        let id = row.integer(1).unwrap_or_default();
        if door.get(&CONTENT, id)?.is_some_and(|there| there.cells == cells) {
            content = Some(id);
        }
    }
    let content = if let Some(id) = content {
        id
    } else {
        // Not by way of the door: content is never changed, and the undo list need not hold it.
        let row = Row::live(door.next_id(&CONTENT)?, cells);
        rows::write(door.connection, &CONTENT, None, &row)?;
        row.id
    };
    let head = StoredRecording {
        id: new.id,
        athlete: new.athlete,
        content_hash: new.content_hash,
        file_name: new.file_name.clone(),
        started_at,
        duration: new.recording.duration(),
        added_on: new.added_on,
        content,
    };
    door.put(&RECORDING, &head.row()?)
}

/// Says whose a recording is.
pub(crate) fn assign(
    door: &mut Door<'_>,
    id: RecordingId,
    athlete: Option<AthleteId>,
) -> Result<(), StoreError> {
    let row = door.get(&RECORDING, id.0)?.filter(|row| !row.removed);
    let row = row.ok_or(StoreError::NotFound { what: RECORDING.noun, id: id.0 })?;
    let head = StoredRecording::read(&mut Cells::new(&RECORDING, &row))?;
    door.put(&RECORDING, &StoredRecording { athlete, ..head }.row()?)
}

/// The rows of recordings with a fingerprint, removed ones too.
pub(crate) fn rows_of_hash(
    connection: &Connection,
    hash: &ContentHash,
) -> Result<Vec<Row>, StoreError> {
    let mut found = Vec::new();
    let text = hash.to_string();
    let _ = rows::select(
        connection,
        &RECORDING,
        "WHERE content_hash = ?1 ORDER BY id",
        &[&text],
        &mut |raw| {
            found.push(raw?.kept()?);
            Ok(())
        },
    )?;
    Ok(found)
}

/// Whether a recording is in sight: not removed, nor its athlete.
pub(crate) fn is_visible(connection: &Connection, row: &Row) -> Result<bool, StoreError> {
    if row.removed {
        return Ok(false);
    }
    match row.owner(&RECORDING) {
        None => Ok(true),
        Some(athlete) => {
            Ok(rows::get(connection, &ATHLETE, athlete)?.is_some_and(|athlete| !athlete.removed))
        }
    }
}

/// All that a recording holds.
pub(crate) fn content(
    connection: &Connection,
    head: &StoredRecording,
) -> Result<Recording, StoreError> {
    let row = rows::get(connection, &CONTENT, head.content)?
        .ok_or_else(|| StoreError::damaged(CONTENT.name, head.content, "it is missing"))?;
    read_content(head.started_at, &row)
}

fn content_cells(recording: &Recording) -> Result<Vec<rusqlite::types::Value>, StoreError> {
    let parts = recording.clone().into_parts();
    let Parts { started_at: _, sport, circumstances, samples, timer_pauses, laps, legs, repairs } =
        parts;
    let details =
        exact_json::to_text(&Details { sport, circumstances, timer_pauses, laps, legs, repairs })?;
    let samples = samples::encode(&samples).ok_or_else(|| {
        StoreError::refused("the recording's samples could not be compressed; report this file")
    })?;
    Ok(vec![details.cell(), samples.cell()])
}

/// A recording from its content.
pub(crate) fn read_content(
    started_at: Option<DateTime<Utc>>,
    row: &Row,
) -> Result<Recording, StoreError> {
    let mut cells = Cells::new(&CONTENT, row);
    let Details { sport, circumstances, timer_pauses, laps, legs, repairs } = cells.json()?;
    let samples = samples::decode(&cells.take::<Vec<u8>>()?)
        .ok_or_else(|| cells.damaged("samples cannot be read"))?;
    Recording::from_parts(Parts {
        started_at,
        sport,
        circumstances,
        samples,
        timer_pauses,
        laps,
        legs,
        repairs,
    })
    .map_err(|reason| cells.damaged(&reason.to_string()))
}
