//! How squads test, and athletes' own retest windows.

use pacewright_core::ids::{OwnWindowId, ProgrammeId};
use pacewright_core::programme::{OwnWindow, Programme};
use pacewright_core::retest::RetestWindow;

use super::athlete::ATHLETE;
use super::squad::SQUAD;
use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::error::StoreError;
use crate::exact_json;
use crate::table::{Record, Reference, Row, Table};

pub(crate) static PROGRAMME: Table = Table {
    name: "programme",
    noun: "programme",
    kind: Some(Kind::Squads),
    columns: &["squad", "meeting_days", "capacity", "opens_weeks", "closes_weeks", "season"],
    owner: None,
    references: &[Reference { column: 0, table: &SQUAD, live: true }],
};

pub(crate) static OWN_WINDOW: Table = Table {
    name: "own_window",
    noun: "retest window",
    kind: Some(Kind::Athletes),
    columns: &["athlete", "opens_weeks", "closes_weeks"],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

impl Record for Programme {
    const TABLE: &'static Table = &PROGRAMME;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.squad.cell(),
            exact_json::to_text(&self.days)?.cell(),
            self.capacity.cell(),
            self.window.opens_weeks.cell(),
            self.window.closes_weeks.cell(),
            exact_json::to_text(&self.season)?.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: ProgrammeId(cells.id()),
            squad: cells.take()?,
            days: cells.json()?,
            capacity: cells.take()?,
            window: window(cells)?,
            season: cells.json()?,
        })
    }
}

impl Record for OwnWindow {
    const TABLE: &'static Table = &OWN_WINDOW;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.window.opens_weeks.cell(),
            self.window.closes_weeks.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        let id = OwnWindowId(cells.id());
        Ok(Self { id, athlete: cells.take()?, window: window(cells)? })
    }
}

fn window(cells: &mut Cells<'_>) -> Result<RetestWindow, StoreError> {
    Ok(RetestWindow { opens_weeks: cells.take()?, closes_weeks: cells.take()? })
}
