//! The check of a whole library: everything that is not what was written, in words.

use std::collections::BTreeSet;
use std::fmt;

use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::calibration::Calibration;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::race::Race;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::test::{Test, TestConditions};
use rusqlite::Connection;

use crate::error::StoreError;
use crate::library::Library;
use crate::read::read;
use crate::table::{self, Record, Row, Table};
use crate::tables::recording::{CONTENT, StoredRecording, read_content};
use crate::{migrate, rows, tally};

/// One thing that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// In which table, or "the file".
    pub table: String,
    /// In which row, where one is to blame.
    pub row: Option<i64>,
    /// What is wrong.
    pub what: String,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.table)?;
        if let Some(row) = self.row {
            write!(f, " row {row}")?;
        }
        write!(f, ": {}", self.what)
    }
}

impl Library {
    /// Reads everything and tells what is not as it was written; nothing to tell means all is well.
    ///
    /// # Errors
    /// Where the file cannot be read at all.
    pub fn check(&self) -> Result<Vec<Finding>, StoreError> {
        check(&self.connection)
    }
}

pub(crate) fn check(connection: &Connection) -> Result<Vec<Finding>, StoreError> {
    let mut findings = Vec::new();
    note(&mut findings, integrity(connection))?;
    note(&mut findings, migrate::check_structure(connection).map(|()| Vec::new()))?;
    note(&mut findings, migrate::broken_references(connection))?;
    for table in table::ALL {
        let scanned = scan(connection, table, &mut findings);
        note(&mut findings, scanned.map(|()| Vec::new()))?;
    }
    Ok(findings)
}

/// Every row of a table: its seal, its content, and whether all are there.
fn scan(
    connection: &Connection,
    table: &Table,
    findings: &mut Vec<Finding>,
) -> Result<(), StoreError> {
    let mut torn = false;
    let mut owners = BTreeSet::new();
    let counted = rows::select(connection, table, "ORDER BY id", &[], &mut |raw| {
        let read = raw.and_then(|raw| {
            let row = raw.kept()?;
            owners.extend(row.owner(table));
            readable(table, &row)
        });
        torn |= read.is_err();
        note(findings, read.map(|()| Vec::new()))
    })?;
    // a row that was already told of is missing from the count for that reason
    if !torn {
        counted.must_be(tally::of_table(connection, table)?, table)?;
        owners.extend(tally::owners(connection, table)?);
        for owner in owners {
            let listed = rows::of_owner(connection, table, owner);
            note(findings, listed.map(|_| Vec::new()))?;
        }
    }
    Ok(())
}

/// Whether a row holds a fact. The log's entries are read when they are undone.
fn readable(table: &Table, row: &Row) -> Result<(), StoreError> {
    fn fact<R: Record>(row: &Row) -> Result<(), StoreError> {
        read::<R>(row).map(|_| ())
    }
    match table.name {
        "athlete" => fact::<Athlete>(row),
        "squad" => fact::<Squad>(row),
        "recording" => fact::<StoredRecording>(row),
        "test" => fact::<Test>(row),
        "calibration" => fact::<Calibration>(row),
        "booking" => fact::<Booking>(row),
        "away" => fact::<Away>(row),
        "race" => fact::<Race>(row),
        "laboratory_value" => fact::<LaboratoryValue>(row),
        "factor" => fact::<FactorFrom>(row),
        "medication" => fact::<Medication>(row),
        "test_conditions" => fact::<TestConditions>(row),
        name if name == CONTENT.name => read_content(None, row).map(|_| ()),
        _ => Ok(()),
    }
}

fn integrity(connection: &Connection) -> Result<Vec<String>, StoreError> {
    let failed = |error| StoreError::sqlite("the file", "checking", error);
    let mut statement = connection.prepare("PRAGMA integrity_check").map_err(failed)?;
    let lines = statement.query_map([], |row| row.get::<_, String>(0)).map_err(failed)?;
    let lines: Vec<String> = lines.collect::<Result<_, _>>().map_err(failed)?;
    Ok(lines.into_iter().filter(|line| line != "ok").collect())
}

/// Damage becomes a finding; any other error ends the check.
fn note(
    findings: &mut Vec<Finding>,
    outcome: Result<Vec<String>, StoreError>,
) -> Result<(), StoreError> {
    match outcome {
        Ok(lines) => {
            let found = lines.into_iter().map(|what| Finding {
                table: "the file".to_owned(),
                row: None,
                what,
            });
            findings.extend(found);
            Ok(())
        }
        Err(StoreError::Damaged { table, row, what }) => {
            findings.push(Finding { table, row, what });
            Ok(())
        }
        Err(error) => Err(error),
    }
}
