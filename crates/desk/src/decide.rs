//! The coach's decision on tests, and the zones that follow: the one way zones come into force.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use pacewright_core::calibration::{Basis, Calibration, Proposal, StandsOn, propose};
use pacewright_core::format;
use pacewright_core::ids::{AthleteId, CalibrationId, TestId};
use pacewright_core::remark::{Remark, Severity, Use};
use pacewright_core::test::{Decision, Test};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_core::zones::Zones;
use pacewright_core::zones::shown::shown;
use pacewright_store::{Act, Change};

use crate::book::{Book, Page, pairs};
use crate::desk::Desk;
use crate::measured::with_stretches;
use crate::{Now, Problem};

/// What to do with a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// It counts, and zones follow from it.
    NewZones,
    /// It counts as tested again; the zones stay as they are.
    KeepZones,
    /// It does not count.
    SetAside,
}

/// A test with what is decided about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Decided {
    /// The test; a new one has an identity of 0 or below, unlike its neighbours', and gets its own.
    pub test: Test,
    /// What to do with it.
    pub choice: Choice,
    /// Why, in the coach's words; needed against what the checks say, and to set a test aside.
    pub reason: Option<String>,
    /// What the checks say it is good for.
    pub good_for: Use,
}

/// What came of it for one athlete.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Whose.
    pub athlete: AthleteId,
    /// The zones in force before.
    pub before: Option<Calibration>,
    /// The zones that came into force.
    pub zones: Option<Calibration>,
    /// Why none did although the tests count, in one sentence.
    pub held_back: Option<String>,
    /// How many other recordings of the same efforts are set aside with them.
    pub others: usize,
}

/// Decides on tests in one act; zones come into force from the day of the newest of each athlete.
/// Another recording of the effort of a test that counts is set aside with it.
///
/// # Errors
/// A decision against the checks without a reason; a test of a day to come; an athlete who is not there; a library that
/// takes nothing more. Nothing is half decided.
pub fn decide(
    desk: &Desk,
    book: &Book,
    decided: Vec<Decided>,
    now: &Now,
) -> Result<Vec<Outcome>, Problem> {
    let mut by_athlete: BTreeMap<AthleteId, Vec<(Test, bool)>> = BTreeMap::new();
    let what = in_words(book, &decided)?;
    for one in decided {
        let new_zones = one.choice == Choice::NewZones;
        let test = with_decision(one)?;
        if test.on > now.today {
            // zones in force from a day to come would keep all earlier ones out
            return Err(Problem::new(format!(
                "A test of {} is of a day yet to come; give the day it was run.",
                format::day(test.on)
            )));
        }
        by_athlete.entry(test.athlete).or_default().push((test, new_zones));
    }
    let mut outcomes = Vec::new();
    let mut changes = Vec::new();
    for (athlete, mut tests) in by_athlete {
        let page = book.of_id(athlete)?;
        let others = others_aside(page, &tests.iter().map(|(test, _)| test).collect::<Vec<_>>());
        let count = others.len();
        tests.extend(others.into_iter().map(|other| (other, false)));
        outcomes.push(Outcome { others: count, ..follow(page, &tests) });
        changes.extend(tests.into_iter().map(|(test, _)| Change::PutTest(test)));
    }
    changes.extend(outcomes.iter().filter_map(|o| o.zones.clone()).map(Change::PutCalibration));
    let written = write(desk, what, changes, now)?;
    for (outcome, zones) in outcomes.iter_mut().filter(|o| o.zones.is_some()).zip(written) {
        outcome.zones = Some(zones);
    }
    Ok(outcomes)
}

/// What is decided, for the history.
fn in_words(book: &Book, decided: &[Decided]) -> Result<String, Problem> {
    let whose: BTreeSet<AthleteId> = decided.iter().map(|one| one.test.athlete).collect();
    let whom = match whose.first() {
        Some(only) if whose.len() == 1 => book.of_id(*only)?.athlete.name.clone(),
        _ => format!("{} athletes", whose.len()),
    };
    let [one] = decided else {
        return Ok(format!("Decide on {} tests of {whom}", decided.len()));
    };
    let test = words::test(one.test.kind);
    Ok(match one.choice {
        Choice::NewZones => format!("Accept the {test} of {whom}"),
        Choice::KeepZones => format!("Accept the {test} of {whom}, zones kept"),
        Choice::SetAside => format!("Set the {test} of {whom} aside"),
    })
}

fn with_decision(decided: Decided) -> Result<Test, Problem> {
    let Decided { mut test, choice, reason, good_for } = decided;
    let reason = reason.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty());
    test.decision = match (choice, reason) {
        (Choice::SetAside, Some(reason)) => Decision::SetAside { reason },
        (Choice::SetAside, None) => {
            return Err(Problem::new("Say in a few words why the test is set aside."));
        }
        (_, None) if good_for != Use::Usable => {
            return Err(Problem::new(
                "The checks speak against this test: say in a few words why it counts all the same.",
            ));
        }
        (Choice::NewZones, reason) => Decision::Accepted { reason },
        (Choice::KeepZones, reason) => Decision::Renewed { reason },
    };
    Ok(test)
}

/// Other recordings of the efforts of tests that are decided to count, as far as these still stand:
/// set aside, for one run counts once.
pub(crate) fn others_aside(page: &Page, decided: &[&Test]) -> Vec<Test> {
    let given_up = |other: &&Test| {
        let same = |test: &&Test| {
            test.decision.is_accepted() && pairs::share_effort(&page.started, test, other)
        };
        pairs::stands(other)
            && decided.iter().all(|test| test.id != other.id)
            && decided.iter().any(same)
    };
    page.tests.iter().filter(given_up).map(pairs::given_up).collect()
}

/// What zones would follow if a test counted, without deciding anything.
pub fn preview(page: &Page, test: &Test) -> Outcome {
    let decision = Decision::Accepted { reason: None };
    follow(page, &[(Test { decision, ..test.clone() }, true)])
}

/// The zones that follow for one athlete once their tests are decided. Where zones in force stood on
/// a test that no longer sets any, those of the tests that remain take their place.
fn follow(page: &Page, decided: &[(Test, bool)]) -> Outcome {
    let athlete = page.athlete.id;
    let newest = decided.iter().filter(|(_, new_zones)| *new_zones).map(|(test, _)| test.on).max();
    let Some(on) = newest.or_else(|| bereft(page, decided).map(|zones| zones.from)) else {
        return Outcome { athlete, before: None, zones: None, held_back: None, others: 0 };
    };
    let before = page.current(on).cloned();
    let tests: Vec<Test> = decided.iter().map(|(test, _)| test.clone()).collect();
    let (zones, held_back) = if let Some((from, proposal)) = proposed_with(page, &tests, on) {
        put_in_force(page, from, proposal)
    } else {
        let why = "No other test counts: the zones in force stay until the next one does.";
        (None, Some(why.to_owned()))
    };
    Outcome { athlete, before, zones, held_back, others: 0 }
}

/// The zones in force, where they stand on a test that is now decided to set none.
fn bereft<'a>(page: &'a Page, decided: &[(Test, bool)]) -> Option<&'a Calibration> {
    let taken = |id: TestId| decided.iter().any(|(test, sets)| test.id == id && !sets);
    page.calibrations.last().filter(|zones| zones.basis.iter().filter_map(Basis::test).any(taken))
}

/// What all tests that count say once these are among them, and the day it would be in force from: a
/// late decision on an old test never puts older zones over newer.
pub(crate) fn proposed_with(
    page: &Page,
    decided: &[Test],
    on: NaiveDate,
) -> Option<(NaiveDate, Proposal)> {
    let mut tests: Vec<Test> =
        page.tests.iter().filter(|t| decided.iter().all(|d| d.id != t.id)).cloned().collect();
    tests.extend_from_slice(decided);
    let from = in_force_from(page, on);
    Some((from, propose(&page.facts(&tests), from)?))
}

/// The day from which zones decided on for a day would be in force.
fn in_force_from(page: &Page, on: NaiveDate) -> NaiveDate {
    page.calibrations.last().map_or(on, |newest| newest.from.max(on))
}

/// Why zones are not handed out: they contradict themselves, or the athlete holds them already (a
/// smaller error of the same number needs no new card). `None` where they can be.
pub(crate) fn held_back(page: &Page, proposal: &Proposal) -> Option<String> {
    if proposal.is_spoiled() {
        let why = worst(&proposal.derived.remarks);
        return Some(format!("The zones in force stay as they are. {why}"));
    }
    let same =
        |last: &Calibration| last.basis == proposal.basis && last.zones.same_as(&proposal.zones);
    let why = "The zones in force stand on newer tests and stay as they are.";
    page.calibrations.last().is_some_and(same).then(|| why.to_owned())
}

/// What is known today says other zones than those in force: a race or laboratory value that came
/// in, another factor, medication, another scheme. `None` where the card would read the same, or
/// where what is known contradicts itself.
pub fn offered(page: &Page, today: NaiveDate) -> Option<Calibration> {
    let from = in_force_from(page, today);
    let proposal = propose(&page.facts(&page.tests), from)?;
    if page.current(from).is_some_and(|current| current.zones.same_as(&proposal.zones)) {
        return None;
    }
    let medicated = page.is_medicated(today);
    let read = |zones: &Zones| {
        let zones = zones.clone();
        let zones = if medicated { zones.without_heart_rate() } else { zones };
        shown(&zones, UnitSystem::Kilometres)
    };
    let in_force = page.current(from).map(|current| read(&current.zones));
    if in_force.is_some_and(|in_force| in_force == read(&proposal.zones)) {
        return None;
    }
    put_in_force(page, from, proposal).0
}

/// Puts the offered zones in force.
///
/// # Errors
/// Nothing is offered (any more); a library that takes nothing more.
pub fn take_offered(desk: &Desk, page: &Page, now: &Now) -> Result<Calibration, Problem> {
    let gone =
        || Problem::new("What is known says the zones that are in force: nothing to change.");
    let offered = offered(page, now.today).ok_or_else(gone)?;
    let what = format!("Put new zones of {} in force", page.athlete.name);
    let written = write(desk, what, vec![Change::PutCalibration(offered)], now)?;
    written.into_iter().next().ok_or_else(gone)
}

fn put_in_force(
    page: &Page,
    from: NaiveDate,
    proposal: Proposal,
) -> (Option<Calibration>, Option<String>) {
    if let Some(why) = held_back(page, &proposal) {
        return (None, Some(why));
    }
    let Proposal { basis, derived, zones } = proposal;
    let (id, athlete, markers) = (CalibrationId(0), page.athlete.id, derived.markers);
    (Some(Calibration { id, athlete, from, basis, markers, zones }), None)
}

/// The sentence of the worst remark that is more than a note.
pub(crate) fn worst(remarks: &[Remark]) -> String {
    let worst = remarks.iter().max_by_key(|r| r.severity).filter(|r| r.severity > Severity::Note);
    worst.map(|r| words::remark(r, UnitSystem::Kilometres)).unwrap_or_default()
}

/// Gives new facts their identities, writes everything in one act, and gives the calibrations back.
fn write(
    desk: &Desk,
    what: String,
    mut changes: Vec<Change>,
    now: &Now,
) -> Result<Vec<Calibration>, Problem> {
    let at = now.instant;
    if changes.is_empty() {
        return Ok(Vec::new());
    }
    desk.ask(move |library| {
        let tests = changes.iter().filter_map(|change| match change {
            Change::PutTest(test) => Some(test),
            _ => None,
        });
        let stretches = with_stretches(library, &tests.collect::<Vec<_>>())?;
        changes.extend(stretches);
        let mut given: BTreeMap<(AthleteId, i64), TestId> = BTreeMap::new();
        let mut written = Vec::new();
        for change in &mut changes {
            match change {
                Change::PutTest(test) if test.id.0 <= 0 => {
                    let provisional = test.id.0;
                    test.id = library.fresh_id()?;
                    let _none_before = given.insert((test.athlete, provisional), test.id);
                }
                Change::PutCalibration(calibration) => {
                    calibration.id = library.fresh_id()?;
                    for basis in &mut calibration.basis {
                        if let StandsOn::Test(test) = &mut basis.stands_on
                            && let Some(id) = given.get(&(calibration.athlete, test.0))
                        {
                            *test = *id;
                        }
                    }
                    written.push(calibration.clone());
                }
                _ => {}
            }
        }
        let _done = library.act(&Act { what, at, changes })?;
        Ok(written)
    })
}
