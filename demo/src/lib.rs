//! An invented club of fourteen with eighteen months of tests, and the simulator behind it.
//!
//! People, club and places are invented. There is no clock here: every date is an offset from the
//! day given, and the same day gives the same squad to the last byte.
//!
//! - [`squad`]: the demo's club; who is who stands in `cast.rs`.
//! - [`large()`]: any number of invented athletes, for checks of scale.
//! - [`finder`]: whether efforts are found and faults are seen, over many simulated runs;
//!   `effort-study` prints its tables.
//! - [`simulate`]: single runs with stated faults and the truth beside them, for studies.
//! - [`planning`]: half a year with the planner; `planner-study` prints its table.
//! - [`study`]: whether the stated doubt is honest; `doubt-study` prints its tables.

mod calendar;
mod cast;
mod files;
pub mod finder;
mod large;
mod library;
pub mod planning;
mod roster;
mod season;
pub mod simulate;
pub mod study;

pub use files::FileError;
pub use large::{LargeSquad, large, large_squad};
pub use library::{fill, fill_in_steps};
pub use roster::roster_csv;

use chrono::{DateTime, NaiveDate, Utc};
use pacewright_core::athlete::{Screening, Sensor, Sex};
use pacewright_core::recording::Recording;
use pacewright_core::schedule::AwayKind;
use pacewright_core::test::TestKind;
use pacewright_core::units::HeartRate;

use simulate::{Run, Simulated, SimulationError};

/// The invented club with everything that was run.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoSquad {
    /// The club's name.
    pub club: &'static str,
    /// Who is coached.
    pub athletes: Vec<DemoAthlete>,
    /// Every test run, athlete after athlete, oldest first.
    pub runs: Vec<DemoRun>,
}

/// An invented athlete, as a coach would enter them.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoAthlete {
    /// Full name.
    pub name: String,
    /// Names of the squads they are in.
    pub squads: Vec<String>,
    /// Day of birth.
    pub born: NaiveDate,
    /// Sex.
    pub sex: Sex,
    /// Resting heart rate, where the coach knows it.
    pub resting_heart_rate: Option<HeartRate>,
    /// Highest heart rate, where the coach knows it.
    pub max_heart_rate: Option<HeartRate>,
    /// Takes medication that lowers the heart rate.
    pub rate_lowering_medication: bool,
    /// What screening said.
    pub screening: Screening,
    /// The day a guardian consented.
    pub guardian_consent: Option<NaiveDate>,
    /// What measures their heart rate.
    pub sensor: Sensor,
    /// Other names their files carry.
    pub aliases: Vec<String>,
    /// The coach's notes.
    pub notes: String,
    /// Spans without tests.
    pub away: Vec<DemoAway>,
    /// Booked tests.
    pub bookings: Vec<DemoBooking>,
}

/// A span without tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DemoAway {
    /// Why.
    pub kind: AwayKind,
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: Option<NaiveDate>,
    /// The day running without pain or symptoms was noted.
    pub well_on: Option<NaiveDate>,
}

/// A planned test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DemoBooking {
    /// Which.
    pub kind: TestKind,
    /// When.
    pub on: NaiveDate,
}

/// What the athlete's device writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileFormat {
    /// FIT: laps, pauses, the device's own distance.
    Fit,
    /// GPX: positions, times, heart rate.
    Gpx,
}

impl FileFormat {
    /// The end of the file's name, without the dot.
    pub fn extension(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Gpx => "gpx",
        }
    }
}

/// One test run of the past; its recording is simulated when asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoRun {
    /// Whose: the place in the list of athletes.
    pub athlete: usize,
    /// Which test.
    pub kind: TestKind,
    /// The day.
    pub on: NaiveDate,
    /// Date and time of the first sample.
    pub start: DateTime<Utc>,
    /// What the file is.
    pub format: FileFormat,
    /// The file's name, with the athlete's name or alias in it.
    pub file_name: String,
    /// The heart rate the coach asked for; only in 40-minute tests, and none on rate-lowering
    /// medication.
    pub target_heart_rate: Option<HeartRate>,
    /// Whether the coach has yet to look at it.
    pub to_confirm: bool,
    run: Run,
}

impl DemoRun {
    /// The recording and the truth behind it.
    ///
    /// # Errors
    /// As [`Run::simulate`]; no run of the demo does.
    pub fn simulate(&self) -> Result<Simulated, SimulationError> {
        self.run.simulate()
    }

    /// The recording alone.
    ///
    /// # Errors
    /// As [`Run::simulate`]; no run of the demo does.
    pub fn recording(&self) -> Result<Recording, SimulationError> {
        Ok(self.simulate()?.recording)
    }
}

/// The invented club as it stands on a day; all dates are offsets from it.
pub fn squad(on: NaiveDate) -> DemoSquad {
    let mut athletes = Vec::with_capacity(cast::CAST.len());
    let mut runs = Vec::new();
    for (index, member) in cast::CAST.iter().enumerate() {
        let athlete = member.athlete(on);
        runs.extend(member.season(index, &athlete).runs(on));
        athletes.push(athlete);
    }
    DemoSquad { club: cast::CLUB, athletes, runs }
}

#[cfg(test)]
mod tests;
