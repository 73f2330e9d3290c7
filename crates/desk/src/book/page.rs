//! What one athlete's page answers: what is in force, what is due, what waits.

use chrono::NaiveDate;
use pacewright_core::aging::{OutOfDate, out_of_date};
use pacewright_core::calibration::{Basis, Calibration, Facts};
use pacewright_core::medication::medicated;
use pacewright_core::remark::{Remark, Use};
use pacewright_core::retest::{self, State};
use pacewright_core::review::{DueTest, Waiting};
use pacewright_core::schedule::Booking;
use pacewright_core::screening::{NotCleared, not_cleared, ran_uncleared};
use pacewright_core::test::{Decision, Test, TestKind};
use pacewright_core::trend::{Trend, trend};

use super::{Page, facts_of};
use crate::Now;

impl Page {
    /// Whether the athlete is on rate-lowering medication on a day.
    pub fn is_medicated(&self, on: NaiveDate) -> bool {
        medicated(&self.athlete, &self.beside.medications, on)
    }

    /// The trends of the qualities that have been tested.
    pub fn trends(&self, today: NaiveDate) -> Vec<Trend> {
        let facts = self.facts(&self.tests);
        TestKind::ALL
            .into_iter()
            .filter_map(|kind| trend(&facts, &self.aways, kind, today))
            .collect()
    }

    /// What is known of the athlete, with these tests in place of the page's own.
    pub fn facts<'a>(&'a self, tests: &'a [Test]) -> Facts<'a> {
        Facts {
            judged: Some(&self.judged),
            scheme: &self.scheme,
            ..facts_of(&self.athlete, tests, &self.beside)
        }
    }

    /// The zones in force on a day.
    pub fn current(&self, on: NaiveDate) -> Option<&Calibration> {
        self.calibrations.iter().rev().find(|c| c.from <= on)
    }

    /// The zones in force before the current ones.
    pub fn before_current(&self, on: NaiveDate) -> Option<&Calibration> {
        self.calibrations.iter().rev().filter(|c| c.from <= on).nth(1)
    }

    /// Whether the zones in force on a day are out of date: a window has closed, or an edge has grown too
    /// uncertain.
    pub fn is_out_of_date(&self, on: NaiveDate) -> bool {
        self.current(on).is_some_and(|zones| !self.outdated(zones, on).is_empty())
    }

    /// Why zones are out of date on a day.
    pub(crate) fn outdated(&self, zones: &Calibration, on: NaiveDate) -> Vec<OutOfDate> {
        out_of_date(zones, &self.tests, &self.aways, self.planning.window(), on)
    }

    /// The day of the last accepted test of a kind.
    pub fn last_on(&self, kind: TestKind) -> Option<NaiveDate> {
        let counts = |t: &&Test| t.kind == kind && t.decision.is_accepted();
        self.tests.iter().filter(counts).map(|t| t.on).max()
    }

    /// The race the zones in force stand on in place of a test, where it is newer than the last one.
    pub fn race_in_place_of(&self, kind: TestKind, today: NaiveDate) -> Option<&Basis> {
        let race = self.current(today)?.race_in_place_of(kind)?;
        self.last_on(kind).is_none_or(|last| last < race.on).then_some(race)
    }

    /// The three tests with their freshness and what holds them. One whose zones are out of date
    /// counts as due before its window opens.
    pub fn due(&self, now: &Now) -> Vec<DueTest> {
        let cleared = not_cleared(&self.athlete, now.today).is_none();
        let window = self.planning.window();
        let bookings: Vec<Booking> = self.open_bookings(now.today).cloned().collect();
        let grown = self.outgrown(now.today);
        let not_before = retest::not_before(&self.aways, now.today);
        TestKind::ALL
            .into_iter()
            .map(|kind| {
                let raced = self.race_in_place_of(kind, now.today).map(|race| race.on);
                let last = raced.or_else(|| self.last_on(kind));
                let mut freshness = retest::freshness(last, window, now.today);
                let early = freshness.state == State::Fresh && grown.contains(&kind);
                if early {
                    freshness.state = State::Due;
                }
                let holds = retest::holds(kind, &bookings, &self.aways, cleared, now.today);
                let in_season = self.planning.in_season(kind, now.today);
                DueTest { kind, freshness, holds, not_before, early, in_season }
            })
            .collect()
    }

    /// The tests behind zones that have grown too uncertain, though their windows are not closed.
    fn outgrown(&self, today: NaiveDate) -> Vec<TestKind> {
        let Some(current) = self.current(today) else { return Vec::new() };
        let reasons = self.outdated(current, today);
        let grown = reasons.into_iter().filter(|r| matches!(r, OutOfDate::Outgrown { .. }));
        grown.map(OutOfDate::kind).collect()
    }

    /// Bookings from a day on that no test has closed.
    pub fn open_bookings(&self, from: NaiveDate) -> impl Iterator<Item = &Booking> {
        let open = move |b: &&Booking| b.on >= from && !b.is_done(&self.tests);
        self.bookings.iter().filter(open)
    }

    /// Whether nothing but a booking holds a test on a day.
    pub fn may_test(&self, kind: TestKind, day: &Now) -> bool {
        self.due(day).iter().any(|test| test.kind == kind && test.may_be_run())
    }

    /// The bookings to come that the athlete may run, as far as is known today.
    pub fn bookings_to_come<'a>(&'a self, now: &'a Now) -> impl Iterator<Item = &'a Booking> {
        self.open_bookings(now.today)
            .filter(|booking| self.may_test(booking.kind, &Now { today: booking.on, ..*now }))
    }

    /// Tests that wait for a decision, newest last.
    pub fn waiting(&self) -> Vec<Waiting> {
        self.tests
            .iter()
            .filter(|t| t.decision == Decision::ToConfirm)
            .map(|t| Waiting { kind: t.kind, on: t.on, good_for: self.good_for(t) })
            .collect()
    }

    /// The newest test of a kind that waits for a decision.
    pub fn waiting_of(&self, kind: TestKind) -> Option<&Test> {
        let waits = |test: &&Test| test.kind == kind && test.decision == Decision::ToConfirm;
        self.tests.iter().rev().find(waits)
    }

    /// What the checks say about a test that waits.
    pub fn remarks(&self, test: &Test) -> &[Remark] {
        self.judged.get(&test.id).map(Vec::as_slice).unwrap_or_default()
    }

    /// What a test that waits is good for.
    pub fn good_for(&self, test: &Test) -> Use {
        let by_itself = Use::of(self.remarks(test));
        if by_itself == Use::Usable && self.uncleared(test).is_some() {
            return Use::Doubtful;
        }
        by_itself
    }

    /// Why a test should not have been run, by all that was answered since.
    pub fn uncleared(&self, test: &Test) -> Option<NotCleared> {
        ran_uncleared(&self.athlete, test.on, NaiveDate::MAX)
    }
}
