//! Accept usable tests and put their zones in force.

use chrono::NaiveDate;
use pacewright_core::calibration::Calibration;
use pacewright_core::change::Change;
use pacewright_core::format;
use pacewright_core::remark::Use;
use pacewright_core::test::{Decision, Test, TestKind};
use pacewright_core::units::UnitSystem;

use crate::book::{self, Page};
use crate::decide::{Choice, Decided, Outcome, decide, proposed_with, worst};
use crate::desk::Desk;
use crate::second_look::{
    clear_loss, contradiction, first_choice, off_its_trend, should_not_have_run,
};
use crate::typed::foresee;
use crate::{Now, Problem};

/// What confirming did for one athlete with tests that waited.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmed {
    /// Full name.
    pub athlete: String,
    /// Tests that count now.
    pub accepted: Vec<Accepted>,
    /// Tests that still wait: what they are good for and the first thing to look at.
    pub left: Vec<Left>,
    /// The zones in force before.
    pub before: Option<Calibration>,
    /// The zones in force now, where they changed.
    pub zones: Option<Calibration>,
    /// Why no zones came of the accepted tests, in one sentence.
    pub held_back: Option<String>,
}

/// A test that counts now.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    /// Which test.
    pub kind: TestKind,
    /// The day it was run.
    pub on: NaiveDate,
    /// What was done with it: new zones, or the zones kept and the date renewed.
    pub choice: Choice,
    /// Against the test it is held against; `None` for a first one.
    pub change: Option<Change>,
    /// The trend's verdict in words.
    pub verdict: String,
}

/// A test that was not accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Left {
    /// Which test.
    pub kind: TestKind,
    /// The day it was run.
    pub on: NaiveDate,
    /// What it is good for.
    pub good_for: Use,
    /// What to look at, in one sentence.
    pub reason: String,
}

/// Accepts every usable test that waits (of one athlete, or of all), as the window's first choice
/// would have it: inside the error the zones stay and the date is renewed, else the zones that follow
/// come into force from the day of the newest. Doubtful and unusable tests go on waiting for the
/// coach, and so do those that nobody should have run, that contradict others, or show a clear loss.
///
/// # Errors
/// An athlete who is not there; a library that takes nothing more. Nothing is half confirmed.
pub fn confirm(desk: &Desk, athlete: Option<&str>, now: &Now) -> Result<Vec<Confirmed>, Problem> {
    let book = book::open(desk)?;
    let pages = match athlete {
        Some(name) => vec![book.of_athlete(name)?],
        None => book.pages.iter().collect(),
    };
    let waiting = pages.into_iter().filter(|page| !page.waiting().is_empty());
    let judged: Vec<(&Page, Vec<Judged>)> = waiting.map(|page| (page, judge(page))).collect();
    let counting = judged.iter().flat_map(|(_, judged)| judged).filter_map(|judged| {
        let choice = judged.outcome.as_ref().ok()?.choice;
        Some(Decided { test: judged.test.clone(), choice, reason: None, good_for: Use::Usable })
    });
    let outcomes = decide(desk, &book, counting.collect(), now)?;
    Ok(judged.into_iter().map(|(page, judged)| confirmed(page, judged, &outcomes)).collect())
}

/// A test that waits, with what becomes of it.
struct Judged {
    test: Test,
    outcome: Result<Accepted, Left>,
}

/// What becomes of the tests of an athlete that wait. Those that speak against nothing by themselves
/// are looked at once more as the set that zones would stand on.
fn judge(page: &Page) -> Vec<Judged> {
    let waits = page.tests.iter().filter(|test| test.decision == Decision::ToConfirm);
    let mut judged: Vec<(&Test, Option<String>)> =
        waits.map(|test| (test, alone(test, page))).collect();
    let set: Vec<Test> = judged
        .iter()
        .filter(|(_, against)| against.is_none())
        .map(|(test, _)| Test {
            decision: Decision::Accepted { reason: None },
            ..Test::clone(test)
        })
        .collect();
    let on = set.iter().map(|test| test.on).max().unwrap_or_default();
    let together = proposed_with(page, &set, on);
    for (test, against) in judged.iter_mut().filter(|(_, against)| against.is_none()) {
        let all = together.as_ref().map(|(_, all)| all);
        *against = all.and_then(|all| contradiction(test, all, UnitSystem::Kilometres));
    }
    let after = together.as_ref().map(|(_, proposal)| &proposal.derived.markers);
    let before = page.current(together.as_ref().map_or(on, |(from, _)| *from)).map(|c| c.markers);
    let outcome = |test: &Test, against: Option<String>| {
        if let Some(reason) = against {
            let good_for = page.good_for(test);
            return Err(Left { kind: test.kind, on: test.on, good_for, reason });
        }
        let change = foresee::change(test, page);
        Ok(Accepted {
            kind: test.kind,
            on: test.on,
            choice: first_choice(test, page, before.as_ref(), after),
            verdict: foresee::verdict(
                test,
                page,
                change.as_ref(),
                foresee::by_the_trend(test, page).as_ref(),
            ),
            change,
        })
    };
    let judged = judged.into_iter();
    judged
        .map(|(test, against)| Judged { test: test.clone(), outcome: outcome(test, against) })
        .collect()
}

/// What speaks against a test by itself.
fn alone(test: &Test, page: &Page) -> Option<String> {
    let by_its_checks = || (page.good_for(test) != Use::Usable).then(|| worst(page.remarks(test)));
    should_not_have_run(page, test).or_else(by_its_checks).or_else(|| {
        let trend = foresee::by_the_trend(test, page);
        clear_loss(test, page, trend.as_ref()).or_else(|| off_its_trend(trend.as_ref()))
    })
}

fn confirmed(page: &Page, judged: Vec<Judged>, outcomes: &[Outcome]) -> Confirmed {
    let outcome = outcomes.iter().find(|o| o.athlete == page.athlete.id);
    let (mut accepted, mut left) = (Vec::new(), Vec::new());
    for one in judged {
        match one.outcome {
            Ok(counts) => accepted.push(counts),
            Err(waits) => left.push(waits),
        }
    }
    Confirmed {
        athlete: page.athlete.name.clone(),
        accepted,
        left,
        before: outcome.and_then(|o| o.before.clone()),
        zones: outcome.and_then(|o| o.zones.clone()),
        held_back: outcome.and_then(|o| o.held_back.clone()),
    }
}

impl Confirmed {
    /// LT2 pace before and after, where both are known: "4:12 to 4:04".
    pub fn lt2_change(&self, units: UnitSystem) -> Option<(String, String)> {
        let pace = |c: &Calibration| c.markers.lt2.speed.map(|e| format::pace(e.value, units));
        Some((self.before.as_ref().and_then(pace)?, self.zones.as_ref().and_then(pace)?))
    }
}
