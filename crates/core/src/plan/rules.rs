//! The hard rules of a test on a day: one question, one answer. The planner, a booking that is moved
//! and the weekly checks all ask here.
//!
//! Standing of the rules: judgement, but for the 48 hours, which are the convention of the reliability
//! studies (Front Physiol 2021;12:680790 among them). A clinician and local rules come first.

use chrono::{NaiveDate, NaiveTime, TimeDelta};

use crate::athlete::Athlete;
use crate::retest::may_test_from;
use crate::schedule::{Away, AwayKind};
use crate::screening::{NotCleared, not_cleared, whole_years};
use crate::test::TestKind;
use crate::units::Distance;

/// All-out efforts stand at least this far apart (convention) ...
const APART_HOURS: i64 = 48;
/// ... and this far for whoever is younger than [`YOUNG_YEARS`] (judgement).
const APART_YOUNG_HOURS: i64 = 72;
/// Below this age recovery is given another day.
const YOUNG_YEARS: i32 = 16;
/// No all-out test so many days before a goal race (judgement).
const BEFORE_GOAL_DAYS: i64 = 7;

/// Recovery after a race, in days, by its distance in metres: up to 10 km, half marathon, beyond
/// (judgement). A course measured long by 1 % is still that race.
const AFTER_RACE: [(f64, i64); 2] = [(10_100.0, 4), (21_310.0, 10)];
const AFTER_MARATHON_DAYS: i64 = 21;

/// A race as far as the calendar needs it, run or to be run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RaceDay {
    /// When.
    pub on: NaiveDate,
    /// How far.
    pub distance: Distance,
    /// Whether the season is built around it.
    pub goal: bool,
}

impl RaceDay {
    /// The first day of a test after it.
    pub fn tests_from(&self) -> Option<NaiveDate> {
        let metres = self.distance.m();
        let days = AFTER_RACE
            .iter()
            .find(|(up_to, _)| metres <= *up_to)
            .map_or(AFTER_MARATHON_DAYS, |(_, days)| *days);
        self.on.checked_add_signed(TimeDelta::days(days))
    }
}

/// A test that was run or is planned, as the rules see it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stands {
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub on: NaiveDate,
    /// At what time, where it is known.
    pub at: Option<NaiveTime>,
}

/// What is known of an athlete that bears on when they may be tested.
#[derive(Debug, Clone, Copy)]
pub struct Person<'a> {
    /// Who.
    pub athlete: &'a Athlete,
    /// Spans away.
    pub aways: &'a [Away],
    /// Races, run and to come.
    pub races: &'a [RaceDay],
    /// Tests that were run, whatever became of them: each was an effort.
    pub run: &'a [Stands],
    /// The day of the first 20-minute test (or what stands in for it) that gives the 40-minute test
    /// its target.
    pub target_from: Option<NaiveDate>,
    /// Whether the 40-minute test is held by talk test: on rate-lowering medication.
    pub by_talk: bool,
}

/// The one reason why a test may not stand on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Broken {
    /// The day is over.
    Past,
    /// Screening, clearance or consent says no. Why is private.
    NotCleared(NotCleared),
    /// Away on that day.
    Away {
        /// Why.
        kind: AwayKind,
        /// Last day away; `None` while it is open.
        until: Option<NaiveDate>,
    },
    /// Too soon after injury or illness.
    Returning {
        /// Why they were away.
        kind: AwayKind,
        /// First day of a test; `None` while running without pain is not noted.
        from: Option<NaiveDate>,
    },
    /// A race on that day.
    RaceDay,
    /// Too soon after a race.
    AfterRace {
        /// When it is run.
        race: NaiveDate,
        /// First day of a test.
        from: NaiveDate,
    },
    /// Too close before a race.
    BeforeRace {
        /// When it is run.
        race: NaiveDate,
        /// Whether it is a goal race.
        goal: bool,
    },
    /// Another test of theirs on that day.
    SameDay {
        /// The other.
        other: TestKind,
    },
    /// Too close to another all-out test of theirs.
    TooClose {
        /// The other.
        other: TestKind,
        /// When it stands.
        on: NaiveDate,
        /// Hours that must lie between.
        hours: i64,
    },
    /// A 40-minute test without a 20-minute test on an earlier day to give its target.
    NoTarget {
        /// Whether that is a pace to set out at, and no heart rate.
        by_talk: bool,
    },
}

/// Whether a test may stand on a day beside the other planned tests of the athlete, and if not the one
/// reason. `others` are the tests planned for them, without this one.
///
/// # Errors
/// The reason, the weightiest first: health before calendar before the other tests.
pub fn may_stand(
    person: &Person<'_>,
    test: Stands,
    others: &[Stands],
    today: NaiveDate,
) -> Result<(), Broken> {
    may_stand_alone(person, test, today)?;
    others.iter().try_for_each(|other| beside(person, test, *other))?;
    let has_target = person.target_from.is_some_and(|from| from < test.on)
        || others.iter().any(|o| o.kind == TestKind::TwentyMinutes && o.on < test.on);
    if test.kind == TestKind::FortyMinutes && !has_target {
        return Err(Broken::NoTarget { by_talk: person.by_talk });
    }
    Ok(())
}

/// As [`may_stand`], but for what other planned tests have to do with it.
///
/// # Errors
/// The reason.
pub fn may_stand_alone(person: &Person<'_>, test: Stands, today: NaiveDate) -> Result<(), Broken> {
    if test.on < today {
        return Err(Broken::Past);
    }
    if let Some(why) = not_cleared(person.athlete, test.on) {
        return Err(Broken::NotCleared(why));
    }
    away(person, test.on)?;
    rested(person, test)
}

/// Whether races and the tests that were run leave room for a test.
///
/// # Errors
/// The reason.
pub fn rested(person: &Person<'_>, test: Stands) -> Result<(), Broken> {
    person.races.iter().try_for_each(|race| race_allows(person, test, race))?;
    person.run.iter().try_for_each(|run| beside(person, test, *run))
}

/// Away on a day, or back too soon.
fn away(person: &Person<'_>, on: NaiveDate) -> Result<(), Broken> {
    let begun = || person.aways.iter().filter(|away| away.from <= on);
    if let Some(away) = begun().find(|away| away.to.is_none_or(|to| to >= on)) {
        return Err(Broken::Away { kind: away.kind, until: away.to });
    }
    let soon = begun().filter(|away| may_test_from(away).is_none_or(|from| from > on));
    // of several, the one that holds longest
    match soon.max_by_key(|away| may_test_from(away).unwrap_or(NaiveDate::MAX)) {
        Some(away) => Err(Broken::Returning { kind: away.kind, from: may_test_from(away) }),
        None => Ok(()),
    }
}

fn race_allows(person: &Person<'_>, test: Stands, race: &RaceDay) -> Result<(), Broken> {
    if test.on == race.on {
        return Err(Broken::RaceDay);
    }
    if test.on > race.on {
        return match race.tests_from() {
            Some(from) if test.on < from => Err(Broken::AfterRace { race: race.on, from }),
            _ => Ok(()),
        };
    }
    if !test.kind.all_out() {
        return Ok(());
    }
    // a race is an all-out effort too, also one that is no goal
    let spacing = apart(person.athlete, test.on);
    let days = (race.on - test.on).num_days();
    let clear = if race.goal { BEFORE_GOAL_DAYS + 1 } else { (spacing + 23) / 24 };
    if days < clear { Err(Broken::BeforeRace { race: race.on, goal: race.goal }) } else { Ok(()) }
}

/// What two tests of one athlete have to do with each other.
fn beside(person: &Person<'_>, test: Stands, other: Stands) -> Result<(), Broken> {
    if test.on == other.on {
        return Err(Broken::SameDay { other: other.kind });
    }
    if !(test.kind.all_out() && other.kind.all_out()) {
        return Ok(());
    }
    let hours = apart(person.athlete, test.on.min(other.on));
    if hours_between(test, other) < hours {
        return Err(Broken::TooClose { other: other.kind, on: other.on, hours });
    }
    Ok(())
}

/// Hours between two tests; those without a time stand at the same time of day.
fn hours_between(one: Stands, other: Stands) -> i64 {
    match (one.at, other.at) {
        (Some(at), Some(then)) => (one.on.and_time(at) - other.on.and_time(then)).num_hours().abs(),
        _ => (one.on - other.on).num_days().abs() * 24,
    }
}

/// Hours between all-out efforts of an athlete of that age.
fn apart(athlete: &Athlete, on: NaiveDate) -> i64 {
    let young = athlete.born.is_some_and(|born| whole_years(born, on) < YOUNG_YEARS);
    if young { APART_YOUNG_HOURS } else { APART_HOURS }
}

#[cfg(test)]
mod tests;
