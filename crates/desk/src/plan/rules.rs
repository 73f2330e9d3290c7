//! A page before the hard rules of the calendar: for the planner, a booking that is moved, and a
//! booking that is typed.

use chrono::NaiveDate;
use pacewright_core::athlete::Sensor;
use pacewright_core::calibration::Calibration;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::plan::{Broken, Person, RaceDay, Stands, may_stand, rested};
use pacewright_core::schedule::Booking;
use pacewright_core::test::{Test, TestKind};
use pacewright_core::words;

use super::race_days;
use crate::book::{Book, Page};

/// What the rules borrow of a page.
pub(super) struct Known {
    races: Vec<RaceDay>,
    run: Vec<Stands>,
    target_from: Option<NaiveDate>,
    by_talk: bool,
}

impl Known {
    pub(super) fn of(page: &Page, today: NaiveDate) -> Self {
        let run = page.tests.iter().map(|test| stands(page, test.kind, test.on)).collect();
        let by_talk = page.is_medicated(today);
        Self { races: race_days(page), run, target_from: target_from(page, by_talk), by_talk }
    }

    pub(super) fn person<'a>(&'a self, page: &'a Page) -> Person<'a> {
        Person {
            athlete: &page.athlete,
            aways: &page.aways,
            races: &self.races,
            run: &self.run,
            target_from: self.target_from,
            by_talk: self.by_talk,
        }
    }
}

/// A test of an athlete on a day, at the time their squad meets.
pub(super) fn stands(page: &Page, kind: TestKind, on: NaiveDate) -> Stands {
    let at = page.planning.programme.as_ref().and_then(|programme| programme.time_on(on));
    Stands { kind, on, at }
}

/// The first day a target for the 40-minute test was known: by an accepted 20-minute test with a heart
/// rate that sets zones, or by zones with an LT1 heart rate to hold in them. By talk test, where no
/// heart rate can be held, any that counts will do: its pace says what to set out at (judgement).
fn target_from(page: &Page, by_talk: bool) -> Option<NaiveDate> {
    let by_strap = page.athlete.sensor != Some(Sensor::Wrist);
    let has_rate = |test: &Test| {
        by_strap && test.performance.mean_heart_rate.is_some() && !page.is_medicated(test.on)
    };
    let twenty = page.tests.iter().filter(|test| {
        test.kind == TestKind::TwentyMinutes
            && test.decision.is_accepted()
            && (by_talk || has_rate(test))
    });
    let target = |zones: &&Calibration| forty_minute_target(&zones.markers).is_some();
    let zones = page.calibrations.iter().filter(target);
    twenty.map(|test| test.on).chain(zones.map(|zones| zones.from)).min()
}

/// The rule that a test of an athlete on a day would break, beside what else is booked for them;
/// `moved` is the booking it would take the place of.
pub fn broken_by(
    page: &Page,
    kind: TestKind,
    on: NaiveDate,
    moved: Option<&Booking>,
    today: NaiveDate,
) -> Option<Broken> {
    let others: Vec<Stands> = page
        .open_bookings(today)
        .filter(|booking| moved.is_none_or(|moved| moved.id != booking.id))
        .map(|booking| stands(page, booking.kind, booking.on))
        .collect();
    let known = Known::of(page, today);
    let person = known.person(page);
    if let Err(broken) = may_stand(&person, stands(page, kind, on), &others, today) {
        return Some(broken);
    }
    // a 20-minute test that moves takes its target away from the 40-minute test behind it
    let others_with = |index: usize| {
        let rest = others.iter().enumerate().filter(move |(place, _)| *place != index);
        rest.map(|(_, other)| *other).chain([stands(page, kind, on)]).collect::<Vec<Stands>>()
    };
    others.iter().enumerate().find_map(|(index, other)| {
        let beside = others_with(index);
        let broken = may_stand(&person, *other, &beside, today).err();
        broken.filter(|broken| matches!(broken, Broken::NoTarget { .. }))
    })
}

/// What stands too near a test that is to be run on a day, in a few words: a race, or another test
/// that was run.
pub(crate) fn too_near(page: &Page, kind: TestKind, on: NaiveDate) -> Option<String> {
    let mut known = Known::of(page, on);
    // the test itself, where it was typed or read already
    known.run.retain(|run| run.kind != kind || run.on != on);
    let broken = rested(&known.person(page), stands(page, kind, on)).err()?;
    words::too_near(&broken)
}

/// The first day that races and the tests that were run leave room for a test of a kind; `None` where today
/// does.
pub fn room_from(page: &Page, kind: TestKind, today: NaiveDate) -> Option<NaiveDate> {
    let free = |on: &NaiveDate| too_near(page, kind, *on).is_none();
    // races and tests are few, and each holds another for days
    today.iter_days().find(free).filter(|on| *on > today)
}

/// As [`broken_by`], in one sentence.
pub fn why_not(
    page: &Page,
    kind: TestKind,
    on: NaiveDate,
    moved: Option<&Booking>,
    today: NaiveDate,
) -> Option<String> {
    broken_by(page, kind, on, moved, today).map(|broken| words::broken(&broken))
}

/// Why a booking may not stand on a day: a rule, or no room left on it.
pub fn why_not_here(
    book: &Book,
    page: &Page,
    booking: &Booking,
    on: NaiveDate,
    today: NaiveDate,
) -> Option<String> {
    why_not(page, booking.kind, on, Some(booking), today).or_else(|| full(book, page, booking, on))
}

/// Whether every place of the athlete's squad on a day is taken by others.
fn full(book: &Book, page: &Page, booking: &Booking, on: NaiveDate) -> Option<String> {
    let programme = page.planning.programme.as_ref()?;
    let mates = book.pages.iter().filter(|p| p.athlete.squads.contains(&programme.squad));
    let others = mates.flat_map(|mate| mate.open_bookings(on));
    let taken = others.filter(|other| other.on == on && other.id != booking.id).count();
    (taken >= programme.capacity as usize).then(|| {
        format!("All {} places on that day are taken: choose another.", programme.capacity)
    })
}
