//! Athletes. The squads they are in stand in a table of their own, see [`super::squad`].

use chrono::NaiveDate;
use pacewright_core::athlete::{Athlete, Screening};
use pacewright_core::ids::AthleteId;
use rusqlite::types::Value;

use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::error::StoreError;
use crate::exact_json;
use crate::table::{Record, Row, Table};

pub(crate) static ATHLETE: Table = Table {
    name: "athlete",
    noun: "athlete",
    kind: Some(Kind::Athletes),
    columns: &[
        "name",
        "born",
        "sex",
        "resting_heart_rate_bpm",
        "max_heart_rate_bpm",
        "rate_lowering_medication",
        "screening",
        "screening_on",
        "guardian_consent",
        "sensor",
        "aliases",
        "notes",
    ],
    owner: None,
    references: &[],
};

impl Record for Athlete {
    const TABLE: &'static Table = &ATHLETE;

    fn row(&self) -> Result<Row, StoreError> {
        let [screening, screening_on] = screening_cells(self.screening);
        let cells = vec![
            self.name.cell(),
            self.born.cell(),
            self.sex.cell(),
            self.resting_heart_rate.cell(),
            self.max_heart_rate.cell(),
            self.rate_lowering_medication.cell(),
            screening,
            screening_on,
            self.guardian_consent.cell(),
            self.sensor.cell(),
            exact_json::to_text(&self.aliases)?.cell(),
            self.notes.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: AthleteId(cells.id()),
            name: cells.take()?,
            born: cells.take()?,
            sex: cells.take()?,
            resting_heart_rate: cells.take()?,
            max_heart_rate: cells.take()?,
            rate_lowering_medication: cells.take()?,
            screening: read_screening(cells)?,
            guardian_consent: cells.take()?,
            sensor: cells.take()?,
            aliases: cells.json()?,
            notes: cells.take()?,
            squads: Vec::new(),
        })
    }
}

fn screening_cells(screening: Screening) -> [Value; 2] {
    let (word, on) = match screening {
        Screening::NotAsked => ("not asked", None),
        Screening::Cleared { on } => ("cleared", Some(on)),
        Screening::Hold { since } => ("hold", since),
    };
    [Value::Text(word.to_owned()), on.cell()]
}

fn read_screening(cells: &mut Cells<'_>) -> Result<Screening, StoreError> {
    let (word, on) = (cells.take::<String>()?, cells.take::<Option<NaiveDate>>()?);
    match (word.as_str(), on) {
        ("not asked", None) => Ok(Screening::NotAsked),
        ("cleared", Some(on)) => Ok(Screening::Cleared { on }),
        ("hold", since) => Ok(Screening::Hold { since }),
        _ => Err(cells.damaged("screening cannot be read")),
    }
}
