//! Calibrations: added once, never changed.

use pacewright_core::calibration::Calibration;
use pacewright_core::ids::CalibrationId;

use super::athlete::ATHLETE;
use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::error::StoreError;
use crate::exact_json;
use crate::table::{Record, Reference, Row, Table};

pub(crate) static CALIBRATION: Table = Table {
    name: "calibration",
    noun: "calibration",
    kind: Some(Kind::Calibrations),
    columns: &["athlete", "in_force_from", "basis", "markers", "zones"],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

impl Record for Calibration {
    const TABLE: &'static Table = &CALIBRATION;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.from.cell(),
            exact_json::to_text(&self.basis)?.cell(),
            exact_json::to_text(&self.markers)?.cell(),
            exact_json::to_text(&self.zones)?.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: CalibrationId(cells.id()),
            athlete: cells.take()?,
            from: cells.take()?,
            basis: cells.json()?,
            markers: cells.json()?,
            zones: cells.json()?,
        })
    }
}
