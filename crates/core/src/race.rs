//! Races and time trials: all-out efforts over a distance instead of a time.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, RaceId};
use crate::physiology::power_law::{self, Exponent};
use crate::physiology::reliability;
use crate::test::TestKind;
use crate::units::{Distance, HeartRate, Seconds, Speed};

/// How much a race matters to the athlete's season.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Priority {
    /// One the season is built for: nothing all-out in the days before it.
    Goal,
    /// Any other race or time trial.
    Other,
}

/// What came of a race.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RaceResult {
    /// In what time.
    pub duration: Seconds,
    /// Highest heart rate, where it is known.
    pub peak_heart_rate: Option<HeartRate>,
}

/// A race or time trial on a known distance: planned, or run all-out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Race {
    /// Identity in the library.
    pub id: RaceId,
    /// Who.
    pub athlete: AthleteId,
    /// When.
    pub on: NaiveDate,
    /// What it is called; may be empty.
    pub name: String,
    /// How far.
    pub distance: Distance,
    /// How much it matters.
    pub priority: Priority,
    /// What came of it; `None` while it is still to be run, or its time is not known.
    pub result: Option<RaceResult>,
}

impl Race {
    /// The race as a performance; `None` while it has no time.
    pub fn ran(&self) -> Option<Ran> {
        let duration = self.result?.duration;
        Some(Ran { race: self.id, on: self.on, distance: self.distance, duration })
    }
}

/// A race that was run: evidence like a test's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ran {
    /// Which race.
    pub race: RaceId,
    /// When.
    pub on: NaiveDate,
    /// How far.
    pub distance: Distance,
    /// In what time.
    pub duration: Seconds,
}

/// A speed read from a race, with its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equivalent {
    /// The speed.
    pub speed: Speed,
    /// Repeatability relative to it: the race's own.
    pub repeatability: f64,
    /// What reading it from another distance adds, relative to it; repeating the race never mends it.
    pub validity: f64,
}

/// The distances, in metres, that may stand in for a 20-minute test: 3 to 10 km, with a little grace
/// for how a course was measured.
const STANDS_IN_M: std::ops::RangeInclusive<f64> = 2_970.0..=10_100.0;

/// The mean speed a 20-minute test would have had, from a race of 3 to 10 km by the power law; `None`
/// for any other distance.
///
/// Its error joins the race's repeatability with what an exponent other than the published one would
/// make of it: nothing for a race of 20 minutes, about 1.5 % for one of 40.
pub fn as_twenty_minutes(race: &Ran) -> Option<Equivalent> {
    if !STANDS_IN_M.contains(&race.distance.m()) {
        return None;
    }
    let exponent = Exponent::published();
    let wanted = Seconds::from_s(TestKind::TwentyMinutes.length_s()).ok()?;
    Some(Equivalent {
        speed: exponent.speed_for((race.distance, race.duration), wanted)?,
        repeatability: reliability::RACE_PERCENT / 100.0,
        validity: power_law::BETWEEN_PEOPLE * exponent.sensitivity(race.duration, wanted),
    })
}
