//! The single changes an act is made of. Each turns into rows put through the [`Door`]; the door
//! keeps what stood there before.

use chrono::NaiveDate;
use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::calibration::Calibration;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{
    AthleteId, AwayId, BookingId, CalibrationId, ConditionsId, FactorId, LaboratoryId,
    MedicationId, OwnWindowId, ProgrammeId, RaceId, RecordingId, SquadId, TestId,
};
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::programme::{OwnWindow, Programme};
use pacewright_core::race::Race;
use pacewright_core::recording::Recording;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::test::{Test, TestConditions};

use crate::door::Door;
use crate::error::StoreError;
use crate::hash::ContentHash;
use crate::table::{Record, Table};
use crate::tables::{
    athlete, calibration, evidence, programme, recording, schedule, setting, squad, test,
};

/// One change. To put a fact is to add it, or to write it over the one of the same id.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// An athlete with the squads they are in.
    PutAthlete(Athlete),
    /// A squad.
    PutSquad(Squad),
    /// A recording that was read in. The same file is taken in once.
    AddRecording(NewRecording),
    /// Says whose a recording is.
    AssignRecording {
        /// Which recording.
        recording: RecordingId,
        /// Whose; `None` for nobody's.
        athlete: Option<AthleteId>,
    },
    /// A test.
    PutTest(Test),
    /// A calibration; only ever added, because it was handed out as it is.
    PutCalibration(Calibration),
    /// A booking.
    PutBooking(Booking),
    /// A span away.
    PutAway(Away),
    /// A race or time trial.
    PutRace(Race),
    /// A laboratory value.
    PutLaboratoryValue(LaboratoryValue),
    /// The factor from LT2 to LT1 heart rate from a day on.
    PutFactor(FactorFrom),
    /// A span on rate-lowering medication.
    PutMedication(Medication),
    /// What was noted of a test's conditions.
    PutConditions(TestConditions),
    /// How a squad tests.
    PutProgramme(Programme),
    /// An athlete's own retest window.
    PutOwnWindow(OwnWindow),
    /// A setting, by its name.
    PutSetting {
        /// Its name.
        name: String,
        /// Its value.
        value: String,
    },
    /// A setting goes back to not being set.
    RemoveSetting {
        /// Its name.
        name: String,
    },
    /// Marks a fact as removed. What belongs to a removed athlete is out of sight with them.
    Remove(Fact),
    /// Brings a removed fact back.
    Restore(Fact),
}

/// A recording to be taken in.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRecording {
    /// Its identity, from [`crate::Library::fresh_id`].
    pub id: RecordingId,
    /// Whose, where it is known.
    pub athlete: Option<AthleteId>,
    /// The fingerprint of the file it was read from.
    pub content_hash: ContentHash,
    /// That file's name, without its folder.
    pub file_name: String,
    /// The day it was taken in.
    pub added_on: NaiveDate,
    /// What was read.
    pub recording: Recording,
}

/// A fact by its identity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fact {
    /// An athlete.
    Athlete(AthleteId),
    /// A squad.
    Squad(SquadId),
    /// A recording.
    Recording(RecordingId),
    /// A test.
    Test(TestId),
    /// A calibration.
    Calibration(CalibrationId),
    /// A booking.
    Booking(BookingId),
    /// A span away.
    Away(AwayId),
    /// A race.
    Race(RaceId),
    /// A laboratory value.
    LaboratoryValue(LaboratoryId),
    /// A factor.
    Factor(FactorId),
    /// A span on medication.
    Medication(MedicationId),
    /// A note on a test's conditions.
    Conditions(ConditionsId),
    /// How a squad tests.
    Programme(ProgrammeId),
    /// An athlete's own retest window.
    OwnWindow(OwnWindowId),
}

impl Fact {
    pub(crate) fn place(self) -> (&'static Table, i64) {
        match self {
            Self::Athlete(id) => (&athlete::ATHLETE, id.0),
            Self::Squad(id) => (&squad::SQUAD, id.0),
            Self::Recording(id) => (&recording::RECORDING, id.0),
            Self::Test(id) => (&test::TEST, id.0),
            Self::Calibration(id) => (&calibration::CALIBRATION, id.0),
            Self::Booking(id) => (&schedule::BOOKING, id.0),
            Self::Away(id) => (&schedule::AWAY, id.0),
            Self::Race(id) => (&evidence::RACE, id.0),
            Self::LaboratoryValue(id) => (&evidence::LABORATORY, id.0),
            Self::Factor(id) => (&evidence::FACTOR, id.0),
            Self::Medication(id) => (&evidence::MEDICATION, id.0),
            Self::Conditions(id) => (&evidence::CONDITIONS, id.0),
            Self::Programme(id) => (&programme::PROGRAMME, id.0),
            Self::OwnWindow(id) => (&programme::OWN_WINDOW, id.0),
        }
    }
}

impl Change {
    /// Puts the change through the door.
    pub(crate) fn apply(&self, door: &mut Door<'_>) -> Result<(), StoreError> {
        match self {
            Self::PutAthlete(athlete) => {
                put(door, athlete)?;
                squad::put_memberships(door, athlete)
            }
            Self::PutSquad(squad) => put(door, squad),
            Self::AddRecording(new) => recording::add(door, new),
            Self::AssignRecording { recording, athlete } => {
                recording::assign(door, *recording, *athlete)
            }
            Self::PutTest(test) => put(door, test),
            Self::PutCalibration(calibration) => put_once(door, calibration),
            Self::PutBooking(booking) => put(door, booking),
            Self::PutAway(away) => put(door, away),
            Self::PutRace(race) => put(door, race),
            Self::PutLaboratoryValue(value) => put(door, value),
            Self::PutFactor(factor) => put(door, factor),
            Self::PutMedication(medication) => put(door, medication),
            Self::PutConditions(conditions) => put(door, conditions),
            Self::PutProgramme(programme) => put(door, programme),
            Self::PutOwnWindow(own) => put(door, own),
            Self::PutSetting { name, value } => setting::put(door, name, value),
            Self::RemoveSetting { name } => setting::remove(door, name),
            Self::Remove(fact) => mark(door, *fact, true),
            Self::Restore(fact) => mark(door, *fact, false),
        }
    }
}

fn put<R: Record>(door: &mut Door<'_>, record: &R) -> Result<(), StoreError> {
    door.put(R::TABLE, &record.row()?)
}

/// Puts a fact that may be added but never written over.
fn put_once<R: Record>(door: &mut Door<'_>, record: &R) -> Result<(), StoreError> {
    let row = record.row()?;
    if door.get(R::TABLE, row.id)?.is_some() {
        let noun = R::TABLE.noun;
        return Err(StoreError::refused(format!(
            "{noun} number {} is already there and is never changed: add a new {noun} instead",
            row.id
        )));
    }
    door.put(R::TABLE, &row)
}

fn mark(door: &mut Door<'_>, fact: Fact, removed: bool) -> Result<(), StoreError> {
    let (table, id) = fact.place();
    match door.get(table, id)? {
        Some(mut row) if row.removed != removed => {
            row.removed = removed;
            door.put(table, &row)
        }
        _ => Err(StoreError::NotFound { what: table.noun, id }),
    }
}
