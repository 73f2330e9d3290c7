//! Accept usable tests and put their zones in force.

use chrono::NaiveDate;
use pacewright_core::calibration::Calibration;
use pacewright_core::format;
use pacewright_core::remark::Use;
use pacewright_core::test::{Decision, TestKind};
use pacewright_core::units::UnitSystem;

use crate::book::{self, Page};
use crate::decide::{Choice, Decided, Outcome, decide, worst};
use crate::desk::Desk;
use crate::{Now, Problem};

/// What confirming did for one athlete with tests that waited.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmed {
    /// Full name.
    pub athlete: String,
    /// Tests that count now.
    pub accepted: Vec<(TestKind, NaiveDate)>,
    /// Tests that still wait: what they are good for and the first thing to look at.
    pub left: Vec<Left>,
    /// The zones in force before.
    pub before: Option<Calibration>,
    /// The zones in force now, where they changed.
    pub zones: Option<Calibration>,
    /// Why no zones came of the accepted tests, in one sentence.
    pub held_back: Option<String>,
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

/// Accepts every usable test that waits (of one athlete, or of all) and puts the zones that follow
/// in force from the day of the newest. Doubtful and unusable tests go on waiting for the coach.
///
/// # Errors
/// An athlete who is not there; a library that takes nothing more. Nothing is half confirmed.
pub fn confirm(desk: &Desk, athlete: Option<&str>, now: &Now) -> Result<Vec<Confirmed>, Problem> {
    let book = book::open(desk)?;
    let pages = match athlete {
        Some(name) => vec![book.of_athlete(name)?],
        None => book.pages.iter().collect(),
    };
    let waiting: Vec<&Page> = pages.into_iter().filter(|p| !p.waiting().is_empty()).collect();
    let usable = waiting.iter().flat_map(|page| {
        page.tests
            .iter()
            .filter(|t| t.decision == Decision::ToConfirm && page.good_for(t) == Use::Usable)
            .map(|test| Decided {
                test: test.clone(),
                choice: Choice::NewZones,
                reason: None,
                good_for: Use::Usable,
            })
    });
    let outcomes = decide(desk, &book, usable.collect(), now)?;
    Ok(waiting.into_iter().map(|page| confirmed(page, &outcomes)).collect())
}

fn confirmed(page: &Page, outcomes: &[Outcome]) -> Confirmed {
    let waited = || page.tests.iter().filter(|t| t.decision == Decision::ToConfirm);
    let outcome = outcomes.iter().find(|o| o.athlete == page.athlete.id);
    Confirmed {
        athlete: page.athlete.name.clone(),
        accepted: waited()
            .filter(|t| page.good_for(t) == Use::Usable)
            .map(|t| (t.kind, t.on))
            .collect(),
        left: waited()
            .filter(|t| page.good_for(t) != Use::Usable)
            .map(|t| Left {
                kind: t.kind,
                on: t.on,
                good_for: page.good_for(t),
                reason: worst(page.remarks(t)),
            })
            .collect(),
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
