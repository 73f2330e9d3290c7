//! Accept usable tests and put their zones in force.

use chrono::NaiveDate;
use pacewright_core::calibration::{Calibration, Proposal, propose};
use pacewright_core::format;
use pacewright_core::ids::CalibrationId;
use pacewright_core::remark::{Remark, Severity, Use};
use pacewright_core::test::{Decision, Test, TestKind};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_store::{Act, Change};

use crate::book::{self, Page};
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
    let mut changes = Vec::new();
    let mut confirmed = Vec::new();
    for page in pages.into_iter().filter(|p| !p.waiting().is_empty()) {
        let (outcome, mut put) = confirm_page(page);
        changes.append(&mut put);
        confirmed.push(outcome);
    }
    if !changes.is_empty() {
        let at = now.instant;
        let count: usize = confirmed.iter().map(|c| c.accepted.len()).sum();
        let what =
            if count == 1 { "Confirm 1 test".to_owned() } else { format!("Confirm {count} tests") };
        let ids = desk.ask(move |library| {
            let mut ids = Vec::new();
            for change in &mut changes {
                if let Change::PutCalibration(calibration) = change {
                    calibration.id = library.fresh_id()?;
                    ids.push(calibration.id);
                }
            }
            let _done = library.act(&Act { what, at, changes })?;
            Ok(ids)
        })?;
        let put = confirmed.iter_mut().filter_map(|c| c.zones.as_mut());
        for (calibration, id) in put.zip(ids) {
            calibration.id = id;
        }
    }
    Ok(confirmed)
}

fn confirm_page(page: &Page) -> (Confirmed, Vec<Change>) {
    let mut tests = page.tests.clone();
    let mut accepted = Vec::new();
    let mut left = Vec::new();
    let mut changes = Vec::new();
    for test in tests.iter_mut().filter(|t| t.decision == Decision::ToConfirm) {
        let good_for = page.good_for(test);
        if good_for == Use::Usable {
            test.decision = Decision::Accepted { reason: None };
            accepted.push((test.kind, test.on));
            changes.push(Change::PutTest(test.clone()));
        } else {
            let remarks = page.judged.get(&test.id).map(Vec::as_slice).unwrap_or_default();
            left.push(Left {
                kind: test.kind,
                on: test.on,
                good_for,
                reason: first_sentence(remarks),
            });
        }
    }
    let newest = accepted.iter().map(|(_, on)| *on).max();
    let (zones, held_back) =
        match newest.and_then(|on| Some((on, propose(&page.athlete, &tests, on)?))) {
            Some((on, proposal)) => put_in_force(page, &tests, on, proposal),
            None => (None, None),
        };
    changes.extend(zones.clone().map(Change::PutCalibration));
    let before = newest.and_then(|on| page.current(on)).cloned();
    let athlete = page.athlete.name.clone();
    (Confirmed { athlete, accepted, left, before, zones, held_back }, changes)
}

/// The zones of a proposal, unless newer ones are in force already or its markers contradict each
/// other: contradictory zones are never handed out.
fn put_in_force(
    page: &Page,
    tests: &[Test],
    on: NaiveDate,
    proposal: Proposal,
) -> (Option<Calibration>, Option<String>) {
    // a late confirmation of an old test must not put older zones over newer ones
    let newest_zones = page.calibrations.last().map(|c| c.from);
    let from = newest_zones.map_or(on, |newest| newest.max(on));
    let proposal =
        if from > on { propose(&page.athlete, tests, from).unwrap_or(proposal) } else { proposal };
    if proposal.is_spoiled() {
        let why = first_sentence(&proposal.derived.remarks);
        return (None, Some(format!("The zones in force stay as they are. {why}")));
    }
    let Proposal { basis, derived, zones } = proposal;
    let same = |last: &Calibration| {
        (&last.basis, &last.markers, &last.zones) == (&basis, &derived.markers, &zones)
    };
    if page.calibrations.last().is_some_and(same) {
        return (
            None,
            Some("The zones in force stand on newer tests and stay as they are.".to_owned()),
        );
    }
    // the identity is given out when the act is written
    let id = CalibrationId(0);
    (
        Some(Calibration {
            id,
            athlete: page.athlete.id,
            from,
            basis,
            markers: derived.markers,
            zones,
        }),
        None,
    )
}

fn first_sentence(remarks: &[Remark]) -> String {
    let worst = remarks.iter().max_by_key(|r| r.severity).filter(|r| r.severity > Severity::Note);
    worst.map(|r| words::remark(r, UnitSystem::Kilometres)).unwrap_or_default()
}

impl Confirmed {
    /// LT2 pace before and after, where both are known: "4:12 to 4:04".
    pub fn lt2_change(&self, units: UnitSystem) -> Option<(String, String)> {
        let pace = |c: &Calibration| c.markers.lt2.speed.map(|e| format::pace(e.value, units));
        Some((self.before.as_ref().and_then(pace)?, self.zones.as_ref().and_then(pace)?))
    }
}
