//! What stands beside the field tests: races, laboratory values, factors, medication, conditions.

use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{ConditionsId, FactorId, LaboratoryId, MedicationId, RaceId};
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::physiology::conditions::{Conditions, Weather};
use pacewright_core::race::{Race, RaceResult};
use pacewright_core::test::TestConditions;

use super::athlete::ATHLETE;
use super::test::TEST;
use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::error::StoreError;
use crate::table::{Record, Reference, Row, Table};

pub(crate) static RACE: Table = Table {
    name: "race",
    noun: "race",
    kind: Some(Kind::Evidence),
    columns: &[
        "athlete",
        "run_on",
        "name",
        "distance_m",
        "priority",
        "duration_s",
        "peak_heart_rate_bpm",
    ],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

pub(crate) static LABORATORY: Table = Table {
    name: "laboratory_value",
    noun: "laboratory value",
    kind: Some(Kind::Evidence),
    columns: &[
        "athlete",
        "measured_on",
        "marker",
        "speed_m_per_s",
        "heart_rate_bpm",
        "protocol",
        "notes",
    ],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

pub(crate) static FACTOR: Table = Table {
    name: "factor",
    noun: "factor",
    kind: Some(Kind::Evidence),
    columns: &["athlete", "in_force_from", "lt1_of_lt2_heart_rate", "reason"],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

pub(crate) static MEDICATION: Table = Table {
    name: "medication",
    noun: "span on medication",
    kind: Some(Kind::Evidence),
    columns: &["athlete", "taken_from", "taken_to", "dose", "reason"],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

pub(crate) static CONDITIONS: Table = Table {
    name: "test_conditions",
    noun: "note on a test's conditions",
    kind: Some(Kind::Evidence),
    columns: &[
        "athlete",
        "test",
        "air_celsius",
        "relative_humidity",
        "wet_bulb_globe_celsius",
        "altitude_m",
        "ground",
    ],
    owner: Some(0),
    references: &[
        Reference { column: 0, table: &ATHLETE, live: true },
        Reference { column: 1, table: &TEST, live: false },
    ],
};

impl Record for Race {
    const TABLE: &'static Table = &RACE;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.on.cell(),
            self.name.cell(),
            self.distance.cell(),
            self.priority.cell(),
            self.result.map(|result| result.duration).cell(),
            self.result.and_then(|result| result.peak_heart_rate).cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: RaceId(cells.id()),
            athlete: cells.take()?,
            on: cells.take()?,
            name: cells.take()?,
            distance: cells.take()?,
            priority: cells.take()?,
            result: result(cells)?,
        })
    }
}

/// What came of a race; a peak without a time is no result.
fn result(cells: &mut Cells<'_>) -> Result<Option<RaceResult>, StoreError> {
    let (duration, peak_heart_rate) = (cells.take()?, cells.take()?);
    match (duration, peak_heart_rate) {
        (Some(duration), peak_heart_rate) => Ok(Some(RaceResult { duration, peak_heart_rate })),
        (None, None) => Ok(None),
        (None, Some(_)) => Err(cells.damaged("it has a peak heart rate without a time")),
    }
}

impl Record for LaboratoryValue {
    const TABLE: &'static Table = &LABORATORY;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.on.cell(),
            self.marker.cell(),
            self.speed.cell(),
            self.heart_rate.cell(),
            self.protocol.cell(),
            self.notes.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: LaboratoryId(cells.id()),
            athlete: cells.take()?,
            on: cells.take()?,
            marker: cells.take()?,
            speed: cells.take()?,
            heart_rate: cells.take()?,
            protocol: cells.take()?,
            notes: cells.take()?,
        })
    }
}

impl Record for FactorFrom {
    const TABLE: &'static Table = &FACTOR;

    fn row(&self) -> Result<Row, StoreError> {
        let cells =
            vec![self.athlete.cell(), self.from.cell(), self.factor.cell(), self.reason.cell()];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: FactorId(cells.id()),
            athlete: cells.take()?,
            from: cells.take()?,
            factor: cells.take()?,
            reason: cells.take()?,
        })
    }
}

impl Record for Medication {
    const TABLE: &'static Table = &MEDICATION;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.from.cell(),
            self.to.cell(),
            self.dose.cell(),
            self.reason.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: MedicationId(cells.id()),
            athlete: cells.take()?,
            from: cells.take()?,
            to: cells.take()?,
            dose: cells.take()?,
            reason: cells.take()?,
        })
    }
}

impl Record for TestConditions {
    const TABLE: &'static Table = &CONDITIONS;

    fn row(&self) -> Result<Row, StoreError> {
        let (temperature, humidity, heat) = match self.conditions.weather {
            Some(Weather::Air { temperature, humidity }) => {
                (Some(temperature), Some(humidity), None)
            }
            Some(Weather::WetBulbGlobe(heat)) => (None, None, Some(heat)),
            None => (None, None, None),
        };
        let cells = vec![
            self.athlete.cell(),
            self.test.cell(),
            temperature.cell(),
            humidity.cell(),
            heat.cell(),
            self.conditions.altitude.cell(),
            self.conditions.ground.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: ConditionsId(cells.id()),
            athlete: cells.take()?,
            test: cells.take()?,
            conditions: Conditions {
                weather: weather(cells)?,
                altitude: cells.take()?,
                ground: cells.take()?,
            },
        })
    }
}

fn weather(cells: &mut Cells<'_>) -> Result<Option<Weather>, StoreError> {
    match (cells.take()?, cells.take()?, cells.take()?) {
        (None, None, None) => Ok(None),
        (Some(temperature), Some(humidity), None) => {
            Ok(Some(Weather::Air { temperature, humidity }))
        }
        (None, None, Some(heat)) => Ok(Some(Weather::WetBulbGlobe(heat))),
        _ => Err(cells.damaged("its weather cannot be read")),
    }
}
