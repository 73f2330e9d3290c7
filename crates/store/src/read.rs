//! Reading facts. Every row's seal is checked, every list's tally too; what is removed, or belongs to a
//! removed athlete, is out of sight.

use std::collections::{BTreeMap, HashMap, HashSet};

use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::calibration::Calibration;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{AthleteId, RecordingId, SquadId, TestId};
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::programme::{OwnWindow, Programme};
use pacewright_core::race::Race;
use pacewright_core::recording::Recording;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::test::{Test, TestConditions};

use crate::columns::Cells;
use crate::error::StoreError;
use crate::hash::ContentHash;
use crate::library::Library;
use crate::rows::{self, Raw};
use crate::table::{Record, Row, Table};
use crate::tables::athlete::ATHLETE;
use crate::tables::recording::{self, RECORDING, StoredRecording};
use crate::tables::setting;
use crate::tables::squad::{self, MEMBERSHIP, SQUAD};
use crate::tally;

/// Lists are ordered by identity, the order in which facts were added. A single fact that is not there
/// is [`StoreError::NotFound`]; anything that is not what was written is [`StoreError::Damaged`].
#[expect(clippy::missing_errors_doc, reason = "said once for all of them above")]
impl Library {
    /// Every athlete.
    pub fn athletes(&self) -> Result<Vec<Athlete>, StoreError> {
        self.athletes_where(false)
    }

    /// Every athlete who was removed, or whose adding was undone, and can be brought back.
    pub fn removed_athletes(&self) -> Result<Vec<Athlete>, StoreError> {
        self.athletes_where(true)
    }

    /// One athlete.
    pub fn athlete(&self, id: AthleteId) -> Result<Athlete, StoreError> {
        let row = self.live_row::<Athlete>(id.0)?;
        let memberships = rows::of_owner(&self.connection, &MEMBERSHIP, id.0)?;
        with_squads(&row, &mut squad::by_athlete(&memberships)?, &self.live_squads()?)
    }

    /// Every squad.
    pub fn squads(&self) -> Result<Vec<Squad>, StoreError> {
        self.everything()
    }

    /// Every test of every athlete.
    pub fn tests(&self) -> Result<Vec<Test>, StoreError> {
        self.everything()
    }

    /// An athlete's tests.
    pub fn tests_of(&self, athlete: AthleteId) -> Result<Vec<Test>, StoreError> {
        self.of_athlete(athlete)
    }

    /// One test.
    pub fn test(&self, id: TestId) -> Result<Test, StoreError> {
        let test: Test = read(&self.live_row::<Test>(id.0)?)?;
        let _ = self.live_row::<Athlete>(test.athlete.0)?;
        Ok(test)
    }

    /// Every calibration of every athlete.
    pub fn calibrations(&self) -> Result<Vec<Calibration>, StoreError> {
        self.everything()
    }

    /// An athlete's calibrations.
    pub fn calibrations_of(&self, athlete: AthleteId) -> Result<Vec<Calibration>, StoreError> {
        self.of_athlete(athlete)
    }

    /// Every booking.
    pub fn bookings(&self) -> Result<Vec<Booking>, StoreError> {
        self.everything()
    }

    /// An athlete's bookings.
    pub fn bookings_of(&self, athlete: AthleteId) -> Result<Vec<Booking>, StoreError> {
        self.of_athlete(athlete)
    }

    /// Every span away.
    pub fn aways(&self) -> Result<Vec<Away>, StoreError> {
        self.everything()
    }

    /// An athlete's spans away.
    pub fn aways_of(&self, athlete: AthleteId) -> Result<Vec<Away>, StoreError> {
        self.of_athlete(athlete)
    }

    /// Every race and time trial.
    pub fn races(&self) -> Result<Vec<Race>, StoreError> {
        self.everything()
    }

    /// An athlete's races and time trials.
    pub fn races_of(&self, athlete: AthleteId) -> Result<Vec<Race>, StoreError> {
        self.of_athlete(athlete)
    }

    /// Every laboratory value.
    pub fn laboratory_values(&self) -> Result<Vec<LaboratoryValue>, StoreError> {
        self.everything()
    }

    /// An athlete's laboratory values.
    pub fn laboratory_values_of(
        &self,
        athlete: AthleteId,
    ) -> Result<Vec<LaboratoryValue>, StoreError> {
        self.of_athlete(athlete)
    }

    /// Every factor from LT2 to LT1 heart rate that was chosen.
    pub fn factors(&self) -> Result<Vec<FactorFrom>, StoreError> {
        self.everything()
    }

    /// The factors chosen for an athlete.
    pub fn factors_of(&self, athlete: AthleteId) -> Result<Vec<FactorFrom>, StoreError> {
        self.of_athlete(athlete)
    }

    /// Every span on rate-lowering medication.
    pub fn medications(&self) -> Result<Vec<Medication>, StoreError> {
        self.everything()
    }

    /// An athlete's spans on rate-lowering medication.
    pub fn medications_of(&self, athlete: AthleteId) -> Result<Vec<Medication>, StoreError> {
        self.of_athlete(athlete)
    }

    /// What was noted of the conditions of every test.
    pub fn conditions(&self) -> Result<Vec<TestConditions>, StoreError> {
        self.everything()
    }

    /// What was noted of the conditions of an athlete's tests.
    pub fn conditions_of(&self, athlete: AthleteId) -> Result<Vec<TestConditions>, StoreError> {
        self.of_athlete(athlete)
    }

    /// How each squad tests, where it was said.
    pub fn programmes(&self) -> Result<Vec<Programme>, StoreError> {
        self.everything()
    }

    /// The athletes' own retest windows.
    pub fn own_windows(&self) -> Result<Vec<OwnWindow>, StoreError> {
        self.everything()
    }

    /// The bookings that were cancelled, or whose entering was undone, and those of removed athletes:
    /// a calendar program that took one in has to hear that it is gone.
    pub fn cancelled_bookings(&self) -> Result<Vec<Booking>, StoreError> {
        let kept: HashSet<i64> = self.bookings()?.iter().map(|booking| booking.id.0).collect();
        let rows = rows::all(&self.connection, <Booking as Record>::TABLE)?;
        rows.iter().filter(|row| !kept.contains(&row.id)).map(read).collect()
    }

    /// Every recording as it is listed, without its samples.
    pub fn recordings(&self) -> Result<Vec<StoredRecording>, StoreError> {
        self.everything()
    }

    /// An athlete's recordings as they are listed.
    pub fn recordings_of(&self, athlete: AthleteId) -> Result<Vec<StoredRecording>, StoreError> {
        self.of_athlete(athlete)
    }

    /// One recording with all it holds, exactly as it was read in.
    pub fn recording(&self, id: RecordingId) -> Result<(StoredRecording, Recording), StoreError> {
        let row = self.live_row::<StoredRecording>(id.0)?;
        if !recording::is_visible(&self.connection, &row)? {
            return Err(StoreError::NotFound { what: RECORDING.noun, id: id.0 });
        }
        let head: StoredRecording = read(&row)?;
        let content = recording::content(&self.connection, &head)?;
        Ok((head, content))
    }

    /// The recording that was read from a file with these bytes, where there is one.
    pub fn recording_by_hash(
        &self,
        hash: &ContentHash,
    ) -> Result<Option<StoredRecording>, StoreError> {
        for row in recording::rows_of_hash(&self.connection, hash)? {
            if recording::is_visible(&self.connection, &row)? {
                return read(&row).map(Some);
            }
        }
        self.check_hashes()?;
        Ok(None)
    }

    /// The value of a setting, where it is set.
    pub fn setting(&self, name: &str) -> Result<Option<String>, StoreError> {
        Ok(self.settings()?.remove(name))
    }

    /// Every setting that is set.
    pub fn settings(&self) -> Result<BTreeMap<String, String>, StoreError> {
        setting::all(&self.connection)
    }

    fn athletes_where(&self, removed: bool) -> Result<Vec<Athlete>, StoreError> {
        let athletes = rows::all(&self.connection, &ATHLETE)?;
        let mut squads = squad::by_athlete(&rows::all(&self.connection, &MEMBERSHIP)?)?;
        let live = self.live_squads()?;
        let wanted = athletes.iter().filter(|row| row.removed == removed);
        wanted.map(|row| with_squads(row, &mut squads, &live)).collect()
    }

    fn live_squads(&self) -> Result<HashSet<SquadId>, StoreError> {
        let rows = rows::all(&self.connection, &SQUAD)?;
        Ok(rows.iter().filter(|row| !row.removed).map(|row| SquadId(row.id)).collect())
    }

    /// Every fact of a kind that is in sight.
    fn everything<R: Record>(&self) -> Result<Vec<R>, StoreError> {
        let mut facts = Vec::new();
        self.each_in_sight(R::TABLE, &mut |raw| {
            facts.push(R::read(&mut raw.cells())?);
            Ok(())
        })?;
        Ok(facts)
    }

    fn each_in_sight(
        &self,
        table: &'static Table,
        take: &mut dyn FnMut(&Raw<'_>) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let removed = self.removed_owners(table)?;
        rows::each(&self.connection, table, &mut |raw| {
            if raw.is_hidden(&removed) { Ok(()) } else { take(raw) }
        })
    }

    /// The athletes who are removed, where rows of a table belong to athletes and there are any.
    pub(crate) fn removed_owners(&self, table: &Table) -> Result<HashSet<i64>, StoreError> {
        if table.owner.is_none() || tally::of_table(&self.connection, table)?.rows() == 0 {
            return Ok(HashSet::new());
        }
        let athletes = rows::all(&self.connection, &ATHLETE)?;
        Ok(athletes.iter().filter(|row| row.removed).map(|row| row.id).collect())
    }

    /// An athlete's facts of a kind.
    fn of_athlete<R: Record>(&self, athlete: AthleteId) -> Result<Vec<R>, StoreError> {
        self.rows_of_athlete::<R>(athlete)?.iter().map(read).collect()
    }

    fn rows_of_athlete<R: Record>(&self, athlete: AthleteId) -> Result<Vec<Row>, StoreError> {
        let _ = self.live_row::<Athlete>(athlete.0)?;
        let mut rows = rows::of_owner(&self.connection, R::TABLE, athlete.0)?;
        rows.retain(|row| !row.removed);
        Ok(rows)
    }

    fn live_row<R: Record>(&self, id: i64) -> Result<Row, StoreError> {
        rows::one(&self.connection, R::TABLE, id)?
            .filter(|row| !row.removed)
            .ok_or(StoreError::NotFound { what: R::TABLE.noun, id })
    }

    /// Compares the index of fingerprints with its table, once a session: a recording that the index
    /// lost would be taken in a second time.
    fn check_hashes(&self) -> Result<(), StoreError> {
        if self.hashes_checked.get() {
            return Ok(());
        }
        let failed = |error| StoreError::sqlite(RECORDING.name, "checking", error);
        let found: String = self
            .connection
            .query_row("PRAGMA integrity_check('recording')", [], |row| row.get(0))
            .map_err(failed)?;
        if found != "ok" {
            return Err(StoreError::damaged(RECORDING.name, None, found));
        }
        let _ = rows::all(&self.connection, &RECORDING)?;
        self.hashes_checked.set(true);
        Ok(())
    }
}

pub(crate) fn read<R: Record>(row: &Row) -> Result<R, StoreError> {
    R::read(&mut Cells::new(R::TABLE, row))
}

fn with_squads(
    row: &Row,
    squads: &mut HashMap<AthleteId, Vec<SquadId>>,
    live: &HashSet<SquadId>,
) -> Result<Athlete, StoreError> {
    let mut athlete: Athlete = read(row)?;
    athlete.squads = squads.remove(&athlete.id).unwrap_or_default();
    athlete.squads.retain(|squad| live.contains(squad));
    Ok(athlete)
}
