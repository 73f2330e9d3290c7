//! Numbers without a library: zones from distances run, and whether a change is real.

use chrono::NaiveDate;
use pacewright_core::balance::{balance, is_growing};
use pacewright_core::change::{self, Change};
use pacewright_core::checks::{ImpossibleTest, plausible_distance, plausible_mean_heart_rate};
use pacewright_core::format::race_distance;
use pacewright_core::markers::{Attempt, Derived, MarkerEvidence, derive};
use pacewright_core::outlook::{tested, usual};
use pacewright_core::test::{Performance, TestKind};
use pacewright_core::units::{
    Distance, HeartRate, OutOfRange, Seconds, Share, Speed, UnitSystem, Years,
};
use pacewright_core::words;
use pacewright_core::zones::{self, Scheme, Zones};

use crate::Problem;
use crate::whence::of_markers;

/// What was run and what is known, as typed. Metres, beats per minute, years.
#[derive(Debug, Clone, Copy, Default)]
pub struct Typed {
    /// Distance of the 5-minute test.
    pub five_m: Option<f64>,
    /// Distance of the 20-minute test.
    pub twenty_m: Option<f64>,
    /// Its mean heart rate.
    pub twenty_bpm: Option<f64>,
    /// Distance of the 40-minute test.
    pub forty_m: Option<f64>,
    /// Its mean heart rate.
    pub forty_bpm: Option<f64>,
    /// Maximal heart rate.
    pub maximum_bpm: Option<f64>,
    /// Age.
    pub age_years: Option<f64>,
}

/// Markers and the zones between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Calculated {
    /// What they were made from.
    pub evidence: MarkerEvidence,
    /// Markers, critical speed and remarks.
    pub derived: Derived,
    /// The zones of the default scheme.
    pub zones: Zones,
}

impl Calculated {
    /// A line for each number of each marker: its range, the test, the rule, the source.
    pub fn why(&self, units: UnitSystem) -> Vec<String> {
        let answers = of_markers(&self.evidence, &self.derived.markers, units);
        answers.into_iter().map(|told| format!("{}. {}", told.what, told.answer)).collect()
    }

    /// A line about the weakest quality, and one for each usual race; only the balance where no
    /// all-out test was run.
    pub fn outlook(&self) -> Vec<String> {
        let age = self.evidence.age;
        let found = balance(&self.derived.markers, age);
        let efforts = tested(&self.evidence, NaiveDate::MIN);
        let races = if efforts.is_empty() { Vec::new() } else { usual(&efforts) };
        let races = races.into_iter().map(|(distance, outlook)| {
            let said = outlook.map_or_else(|why| why.to_string(), |found| words::race_time(&found));
            format!("{:<14} {said}", race_distance(distance))
        });
        std::iter::once(words::balance(found.as_ref(), is_growing(age))).chain(races).collect()
    }
}

/// Zones from typed results.
///
/// # Errors
/// No distance at all, a heart rate without its distance, or a value nobody can have.
pub fn zones(typed: &Typed) -> Result<Calculated, Problem> {
    if typed.five_m.is_none() && typed.twenty_m.is_none() && typed.forty_m.is_none() {
        return Err(Problem::new("Give at least one distance run: in 5, 20 or 40 minutes."));
    }
    for (rate, distance, minutes) in
        [(typed.twenty_bpm, typed.twenty_m, 20), (typed.forty_bpm, typed.forty_m, 40)]
    {
        if rate.is_some() && distance.is_none() {
            return Err(Problem::new(format!(
                "A heart rate for {minutes} minutes needs the distance run in them."
            )));
        }
    }
    let evidence = MarkerEvidence {
        five: performance(TestKind::FiveMinutes, typed.five_m, None)?.map(Attempt::from),
        twenty: performance(TestKind::TwentyMinutes, typed.twenty_m, typed.twenty_bpm)?
            .map(Attempt::from),
        forty: performance(TestKind::FortyMinutes, typed.forty_m, typed.forty_bpm)?
            .map(Attempt::from),
        entered_maximum: typed.maximum_bpm.map(rate).transpose()?,
        age: typed.age_years.map(Years::from_years).transpose().map_err(|e| out_of_range(&e))?,
        ..MarkerEvidence::default()
    };
    let derived = derive(&evidence);
    let zones = zones::derive(&derived.markers, &Scheme::five_zones());
    Ok(Calculated { evidence, derived, zones })
}

/// Whether the change between tests of one kind, given as distances in metres, is real.
///
/// # Errors
/// An empty side, or a distance nobody can have run.
pub fn compare(kind: TestKind, before_m: &[f64], after_m: &[f64]) -> Result<Change, Problem> {
    let speeds = |metres: &[f64]| -> Result<Vec<Speed>, Problem> {
        metres
            .iter()
            .map(|&m| {
                let run = performance(kind, Some(m), None)?.and_then(|p| p.mean_speed());
                run.ok_or_else(|| Problem::new("A distance is needed on both sides."))
            })
            .collect()
    };
    change::compare(kind, &speeds(before_m)?, &speeds(after_m)?)
        .ok_or_else(|| Problem::new("Give at least one distance before and one after."))
}

/// The target heart rate of a 40-minute test, as typed.
///
/// # Errors
/// A heart rate nobody holds.
pub fn target(bpm: f64) -> Result<HeartRate, Problem> {
    rate(bpm)
}

/// A typed result as a performance of its test's exact length; `None` without a distance.
pub(crate) fn performance(
    kind: TestKind,
    metres: Option<f64>,
    mean_bpm: Option<f64>,
) -> Result<Option<Performance>, Problem> {
    let Some(metres) = metres else { return Ok(None) };
    let distance = Distance::from_m(metres).map_err(|e| out_of_range(&e))?;
    let distance = plausible_distance(kind, distance).map_err(refused)?;
    Ok(Some(Performance {
        distance,
        duration: Seconds::from_s(kind.length_s()).map_err(|e| out_of_range(&e))?,
        mean_heart_rate: mean_bpm.map(rate).transpose()?,
        heart_rate_share: Share::from_ratio(1.0).map_err(|e| out_of_range(&e))?,
        peak_heart_rate: None,
    }))
}

fn rate(bpm: f64) -> Result<HeartRate, Problem> {
    let rate = HeartRate::from_bpm(bpm).map_err(|e| out_of_range(&e))?;
    plausible_mean_heart_rate(rate).map_err(refused)
}

fn refused(error: ImpossibleTest) -> Problem {
    Problem::worded(&error)
}

fn out_of_range(error: &OutOfRange) -> Problem {
    Problem::worded(&format_args!("{error}; check what was typed"))
}
