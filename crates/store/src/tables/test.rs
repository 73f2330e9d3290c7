//! Tests.

use pacewright_core::effort::FoundBy;
use pacewright_core::ids::{RecordingId, TestId};
use pacewright_core::recording::Span;
use pacewright_core::test::{Decision, Evidence, Performance, Test};
use pacewright_core::units::Seconds;
use rusqlite::types::Value;

use super::athlete::ATHLETE;
use super::recording::RECORDING;
use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::error::StoreError;
use crate::table::{Record, Reference, Row, Table};

/// A test keeps its numbers when its recording is removed, so the recording need only be known.
pub(crate) static TEST: Table = Table {
    name: "test",
    noun: "test",
    kind: Some(Kind::Tests),
    columns: &[
        "athlete",
        "kind",
        "run_on",
        "distance_m",
        "duration_s",
        "mean_heart_rate_bpm",
        "heart_rate_share",
        "peak_heart_rate_bpm",
        "evidence",
        "recording",
        "effort_from_s",
        "effort_to_s",
        "found_by",
        "decision",
        "reason",
    ],
    owner: Some(0),
    references: &[
        Reference { column: 0, table: &ATHLETE, live: true },
        Reference { column: 9, table: &RECORDING, live: false },
    ],
};

impl Record for Test {
    const TABLE: &'static Table = &TEST;

    fn row(&self) -> Result<Row, StoreError> {
        let run = &self.performance;
        let mut cells = vec![
            self.athlete.cell(),
            self.kind.cell(),
            self.on.cell(),
            run.distance.cell(),
            run.duration.cell(),
            run.mean_heart_rate.cell(),
            run.heart_rate_share.cell(),
            run.peak_heart_rate.cell(),
        ];
        cells.extend(evidence_cells(self.evidence));
        cells.extend(decision_cells(&self.decision));
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: TestId(cells.id()),
            athlete: cells.take()?,
            kind: cells.take()?,
            on: cells.take()?,
            performance: Performance {
                distance: cells.take()?,
                duration: cells.take()?,
                mean_heart_rate: cells.take()?,
                heart_rate_share: cells.take()?,
                peak_heart_rate: cells.take()?,
            },
            evidence: read_evidence(cells)?,
            decision: read_decision(cells)?,
        })
    }
}

fn word(word: &str) -> Value {
    Value::Text(word.to_owned())
}

fn evidence_cells(evidence: Evidence) -> [Value; 5] {
    match evidence {
        Evidence::Typed => [word("typed"), Value::Null, Value::Null, Value::Null, Value::Null],
        Evidence::Recorded { recording, span, found_by } => {
            [word("recorded"), recording.cell(), span.from.cell(), span.to.cell(), found_by.cell()]
        }
    }
}

fn read_evidence(cells: &mut Cells<'_>) -> Result<Evidence, StoreError> {
    let kind = cells.text()?;
    let recording = cells.take::<Option<RecordingId>>()?;
    let ends = (cells.take::<Option<Seconds>>()?, cells.take::<Option<Seconds>>()?);
    let found_by = cells.take::<Option<FoundBy>>()?;
    match (kind, recording, ends, found_by) {
        ("typed", None, (None, None), None) => Ok(Evidence::Typed),
        ("recorded", Some(recording), (Some(from), Some(to)), Some(found_by)) => {
            Ok(Evidence::Recorded { recording, span: Span { from, to }, found_by })
        }
        _ => Err(cells.damaged("evidence cannot be read")),
    }
}

fn decision_cells(decision: &Decision) -> [Value; 2] {
    match decision {
        Decision::ToConfirm => [word("to confirm"), Value::Null],
        Decision::Accepted { reason } => [word("accepted"), reason.cell()],
        Decision::Renewed { reason } => [word("renewed"), reason.cell()],
        Decision::SetAside { reason } => [word("set aside"), reason.cell()],
    }
}

fn read_decision(cells: &mut Cells<'_>) -> Result<Decision, StoreError> {
    match (cells.text()?, cells.take::<Option<String>>()?) {
        ("to confirm", None) => Ok(Decision::ToConfirm),
        ("accepted", reason) => Ok(Decision::Accepted { reason }),
        ("renewed", reason) => Ok(Decision::Renewed { reason }),
        ("set aside", Some(reason)) => Ok(Decision::SetAside { reason }),
        _ => Err(cells.damaged("decision cannot be read")),
    }
}
