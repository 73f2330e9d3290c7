//! Results typed on test day: who may run, what a row says, and what it would change.
//!
//! Nothing here is kept: a [`Reading`] becomes a fact only through [`crate::decide::decide`].

pub(crate) mod foresee;

use chrono::NaiveDate;
use pacewright_core::athlete::Sensor;
use pacewright_core::change::Change;
use pacewright_core::checks::{plausible_distance, plausible_mean_heart_rate};
use pacewright_core::format::metres;
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::markers::Markers;
use pacewright_core::parse;
use pacewright_core::remark::Use;
use pacewright_core::retest::{self, Hold};
use pacewright_core::screening::ran_uncleared;
use pacewright_core::test::{Test, TestKind};
use pacewright_core::units::{Distance, HeartRate, UnitSystem};
use pacewright_core::words;

use crate::book::{Book, Page};
use crate::decide::{Choice, Decided};
use crate::plan::rules::too_near;

pub use foresee::Foreseen;

/// The shortest and longest lap a course can have, metres (judgement).
const LAP_M: std::ops::RangeInclusive<f64> = 50.0..=10_000.0;

/// What is run, when, and on which course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Occasion {
    /// Which test.
    pub kind: TestKind,
    /// The day.
    pub on: NaiveDate,
    /// The length of a lap, where results are counted in laps.
    pub lap: Option<Distance>,
    /// Today.
    pub today: NaiveDate,
    /// The units of sentences.
    pub units: UnitSystem,
}

/// One row as it was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Whose.
    pub athlete: AthleteId,
    /// What stands under laps.
    pub laps: String,
    /// What stands under metres.
    pub metres: String,
    /// What stands under mean heart rate.
    pub heart_rate: String,
    /// Why it counts, where something speaks against it.
    pub reason: String,
    /// What the coach chose, where it is not the usual.
    pub turned: Option<Choice>,
}

/// What a row says.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// Nothing yet.
    Empty,
    /// What is wrong, field by field.
    Wrong {
        /// About laps and metres.
        distance: Option<String>,
        /// About the heart rate.
        heart_rate: Option<String>,
    },
    /// A result, and what would follow from it.
    Result(Box<Foreseen>),
    /// This very result counts already.
    Counted(Box<Counted>),
}

/// A result that counts already.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// The test.
    pub test: Test,
    /// Against the test it is held against.
    pub change: Option<Change>,
    /// The trend's verdict in words.
    pub verdict: String,
    /// The markers before, where they changed.
    pub before: Option<Markers>,
    /// The markers in force.
    pub markers: Option<Markers>,
    /// Whether zones stand on it.
    pub new_zones: bool,
}

/// The day that was typed, not after today.
///
/// # Errors
/// What is wrong, in one sentence.
pub fn day(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let on = parse::day(text).map_err(|wrong| wrong.to_string())?;
    if on > today { Err("that day is still to come".to_owned()) } else { Ok(on) }
}

/// The length of a lap that was typed; `None` while nothing was.
///
/// # Errors
/// What is wrong, in one sentence.
pub fn lap(text: &str) -> Result<Option<Distance>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let lap = parse::distance(text).map_err(|wrong| wrong.to_string())?;
    if LAP_M.contains(&lap.m()) {
        Ok(Some(lap))
    } else {
        Err(format!("a lap of {} cannot be: give 50 m to 10 km", metres(lap)))
    }
}

/// Why an athlete must not run a test today, or should not have on a day that is over; `None` where
/// they may.
pub fn held(page: &Page, kind: TestKind, on: NaiveDate, today: NaiveDate) -> Option<&'static str> {
    let health = ran_uncleared(&page.athlete, on, today).map(words::not_cleared);
    let holds = || retest::holds(kind, &page.bookings, &page.aways, true, on);
    health.or_else(|| holds().into_iter().find(|hold| *hold != Hold::Booked).map(words::hold))
}

/// Why an athlete who may run is left out of a test on a day all the same, in a few words: a race or
/// another all-out test stands too near. The coach can add them by hand.
pub fn left_out(page: &Page, kind: TestKind, on: NaiveDate) -> Option<String> {
    too_near(page, kind, on)
}

/// Everyone (of a squad) who may run a test on a day and is rested enough for it, by name.
pub fn runners(
    book: &Book,
    squad: Option<SquadId>,
    kind: TestKind,
    (on, today): (NaiveDate, NaiveDate),
) -> Vec<AthleteId> {
    let in_squad = |page: &&Page| squad.is_none_or(|squad| page.athlete.squads.contains(&squad));
    let may =
        |page: &&Page| held(page, kind, on, today).is_none() && left_out(page, kind, on).is_none();
    book.pages.iter().filter(in_squad).filter(may).map(|page| page.athlete.id).collect()
}

/// Those booked for a test on a day who may run it, by name.
pub fn booked(book: &Book, kind: TestKind, on: NaiveDate, today: NaiveDate) -> Vec<AthleteId> {
    let is_booked = |page: &&Page| page.bookings.iter().any(|b| b.kind == kind && b.on == on);
    let may = |page: &&Page| held(page, kind, on, today).is_none();
    book.pages.iter().filter(is_booked).filter(may).map(|page| page.athlete.id).collect()
}

/// What a row says on an occasion.
pub fn read(entry: &Entry, page: &Page, occasion: &Occasion) -> Reading {
    let distance = distance(entry, occasion);
    let heart_rate = heart_rate(entry);
    match (distance, heart_rate) {
        (Ok(None), Ok(None)) => Reading::Empty,
        (Ok(None), Ok(Some(_))) => Reading::Wrong {
            distance: Some("a heart rate needs its distance: type laps and metres".to_owned()),
            heart_rate: None,
        },
        (Ok(Some(distance)), Ok(rate)) => with_result(entry, page, occasion, distance, rate),
        (distance, heart_rate) => {
            Reading::Wrong { distance: distance.err(), heart_rate: heart_rate.err() }
        }
    }
}

fn distance(entry: &Entry, occasion: &Occasion) -> Result<Option<Distance>, String> {
    let typed = parse::result(&entry.laps, &entry.metres, occasion.lap);
    let Some(distance) = typed.map_err(|wrong| wrong.to_string())? else { return Ok(None) };
    let plausible = plausible_distance(occasion.kind, distance);
    plausible.map(Some).map_err(|wrong| wrong.to_string())
}

fn heart_rate(entry: &Entry) -> Result<Option<HeartRate>, String> {
    if entry.heart_rate.trim().is_empty() {
        return Ok(None);
    }
    let rate = parse::heart_rate(&entry.heart_rate).map_err(|wrong| wrong.to_string())?;
    plausible_mean_heart_rate(rate).map(Some).map_err(|wrong| wrong.to_string())
}

fn with_result(
    entry: &Entry,
    page: &Page,
    occasion: &Occasion,
    distance: Distance,
    rate: Option<HeartRate>,
) -> Reading {
    let of_the_day = page.tests.iter().filter(|t| t.kind == occasion.kind && t.on == occasion.on);
    if let Some(there) = of_the_day.clone().find(|t| t.decision.is_accepted()) {
        let run = there.performance;
        if run.distance == distance && run.mean_heart_rate == rate {
            return Reading::Counted(Box::new(counted(there, page)));
        }
        let sentence = format!(
            "a {} of this day counts already, {}: take that back first",
            words::test(occasion.kind),
            metres(run.distance)
        );
        return Reading::Wrong { distance: Some(sentence), heart_rate: None };
    }
    match foresee::foresee(entry, page, occasion, distance, rate) {
        Ok(foreseen) => Reading::Result(Box::new(foreseen)),
        Err(problem) => Reading::Wrong { distance: Some(problem.to_string()), heart_rate: None },
    }
}

fn counted(test: &Test, page: &Page) -> Counted {
    let stands_on =
        page.calibrations.iter().position(|c| c.basis.iter().any(|b| b.test() == Some(test.id)));
    let calibration = |place: usize| page.calibrations.get(place).map(|c| c.markers);
    let change = foresee::change(test, page);
    Counted {
        verdict: foresee::verdict(
            test,
            page,
            change.as_ref(),
            foresee::by_the_trend(test, page).as_ref(),
        ),
        change,
        before: stands_on.and_then(|place| calibration(place.checked_sub(1)?)),
        markers: match stands_on {
            Some(place) => calibration(place),
            None => page.current(test.on).map(|c| c.markers),
        },
        new_zones: stands_on.is_some(),
        test: test.clone(),
    }
}

impl Entry {
    /// An empty row.
    pub fn new(athlete: AthleteId) -> Self {
        Self {
            athlete,
            laps: String::new(),
            metres: String::new(),
            heart_rate: String::new(),
            reason: String::new(),
            turned: None,
        }
    }

    /// Whether nothing was typed.
    pub fn is_blank(&self) -> bool {
        [&self.laps, &self.metres, &self.heart_rate, &self.reason]
            .into_iter()
            .all(|text| text.trim().is_empty())
    }
}

/// The rows that are ready, as decisions; each new test with an identity of its own from 0 down.
pub fn decisions<'a>(rows: impl IntoIterator<Item = (&'a Entry, &'a Reading)>) -> Vec<Decided> {
    let ready = rows.into_iter().filter_map(|(entry, reading)| match reading {
        Reading::Result(foreseen) if foreseen.is_ready(entry) => Some((entry, foreseen)),
        _ => None,
    });
    (0_i64..)
        .zip(ready)
        .map(|(place, (entry, foreseen))| {
            let mut test = foreseen.test.clone();
            test.id.0 = -place;
            Decided {
                test,
                choice: foreseen.choice,
                reason: Some(entry.reason.clone()).filter(|_| !foreseen.doubts.is_empty()),
                good_for: if foreseen.doubts.is_empty() { Use::Usable } else { Use::Doubtful },
            }
        })
        .collect()
}

/// Why an athlete's heart rate sets no zones, whatever is typed.
fn no_heart_rate_zones(page: &Page, on: NaiveDate) -> Option<&'static str> {
    if page.is_medicated(on) {
        Some("medication: zones by pace only")
    } else if page.athlete.sensor == Some(Sensor::Wrist) {
        Some("wrist sensor: its heart rate sets no zones")
    } else {
        None
    }
}

#[cfg(test)]
mod tests;
