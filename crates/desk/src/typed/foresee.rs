//! What would follow from a typed result: the change and its verdict, the zones, what is usual to do,
//! and what speaks against it.

use pacewright_core::calibration::Proposal;
use pacewright_core::change::{self, Change};
use pacewright_core::checks::{
    no_target, off_target, plausible_change, plausible_heart_rate_change,
};
use pacewright_core::format::{day_short, whole_beats};
use pacewright_core::ids::TestId;
use pacewright_core::markers::Markers;
use pacewright_core::quality::LeftOut;
use pacewright_core::remark::Severity;
use pacewright_core::test::{Decision, Evidence, Test, TestKind};
use pacewright_core::trend::{TrendChange, change_since, left_out};
use pacewright_core::units::{Distance, HeartRate};
use pacewright_core::words;

use super::{Entry, Occasion, held, no_heart_rate_zones};
use crate::book::{Page, target_on};
use crate::decide::{Choice, held_back, proposed_with};
use crate::plan::rules::too_near;
use crate::second_look::{contradiction, first_choice, moved_rate};
use crate::{Problem, calculate};

/// What would follow from a typed result.
#[derive(Debug, Clone, PartialEq)]
pub struct Foreseen {
    /// The test as it would be kept.
    pub test: Test,
    /// Against the test it is held against; `None` for a first one.
    pub change: Option<Change>,
    /// What all tests together say, by the trend: "+1.2 ± 1.1 %, no clear change".
    pub verdict: String,
    /// The markers in force.
    pub before: Option<Markers>,
    /// The markers that new zones would stand on.
    pub after: Option<Markers>,
    /// What will be done with it.
    pub choice: Choice,
    /// Why new zones could not come into force, although the test counts, in one sentence.
    pub held_back: Option<String>,
    /// What speaks against it, in sentences; it waits for a reason.
    pub doubts: Vec<String>,
    /// What else to know, in a few words each.
    pub notes: Vec<String>,
}

impl Foreseen {
    /// Whether it can be confirmed as it stands.
    pub fn is_ready(&self, entry: &Entry) -> bool {
        self.doubts.is_empty() || !entry.reason.trim().is_empty()
    }
}

pub(super) fn foresee(
    entry: &Entry,
    page: &Page,
    occasion: &Occasion,
    distance: Distance,
    rate: Option<HeartRate>,
) -> Result<Foreseen, Problem> {
    let Occasion { kind, on, .. } = *occasion;
    let run = calculate::performance(kind, Some(distance.m()), rate.map(HeartRate::bpm))?;
    let performance = run.ok_or_else(|| Problem::new("A distance is needed."))?;
    let test = Test {
        id: TestId(0),
        athlete: page.athlete.id,
        kind,
        on,
        performance,
        evidence: Evidence::Typed,
        decision: Decision::Accepted { reason: None },
    };
    let change = change(&test, page);
    let trend = by_the_trend(&test, page);
    let (from, proposal) = proposed_with(page, std::slice::from_ref(&test), on)
        .ok_or_else(|| Problem::new("No markers follow from this distance."))?;
    let before = page.current(from).map(|c| c.markers);
    let usual = first_choice(&test, page, before.as_ref(), Some(&proposal.derived.markers));
    let choice = entry.turned.unwrap_or(usual);
    let moved = moved_rate(before.as_ref(), Some(&proposal.derived.markers));
    let moved = moved.filter(|_| change.as_ref().is_some_and(Change::is_inside_error));
    let moved = moved.map(|(old, new)| {
        format!("LT2 heart rate {} before, {} now", whole_beats(old), whole_beats(new))
    });
    Ok(Foreseen {
        held_back: held_back(page, &proposal).filter(|_| choice == Choice::NewZones),
        doubts: doubts(&test, page, (change.as_ref(), trend.as_ref()), occasion)
            .chain(contradiction(&test, &proposal, occasion.units).filter(|_| {
                // inside the error nothing new is said of zones that stand already
                [usual, choice].contains(&Choice::NewZones)
            }))
            .collect(),
        notes: moved.into_iter().chain(notes(&test, page, &proposal, choice, occasion)).collect(),
        verdict: verdict(&test, page, change.as_ref(), trend.as_ref()),
        change,
        before,
        after: Some(proposal.derived.markers).filter(|_| !proposal.is_spoiled()),
        choice,
        test,
    })
}

/// The accepted tests of a test's kind before its day, oldest first.
fn earlier<'a>(test: &Test, page: &'a Page) -> impl DoubleEndedIterator<Item = &'a Test> {
    let (kind, on) = (test.kind, test.on);
    page.tests.iter().filter(move |t| t.kind == kind && t.decision.is_accepted() && t.on < on)
}

/// The test a new one is held against: the one that carries the zones, so that small changes add up
/// however often the date was renewed; else the last that counts.
pub(crate) fn held_against<'a>(test: &Test, page: &'a Page) -> Option<&'a Test> {
    // a run that gives no pace of its own is nothing to hold another against
    let facts = page.facts(&page.tests);
    let counts = |t: &&Test| left_out(&facts, t).is_none();
    let newest_first = || earlier(test, page).rev();
    let carries = newest_first().filter(|t| t.decision.sets_zones()).find(counts);
    carries.or_else(|| newest_first().find(counts))
}

/// What was run, against the test it is held against.
pub(crate) fn change(test: &Test, page: &Page) -> Option<Change> {
    let last = held_against(test, page)?.performance.mean_speed()?;
    change::compare(test.kind, &[last], &[test.performance.mean_speed()?])
}

/// What the trend of all tests makes of it, if this one counts.
pub(crate) fn by_the_trend(test: &Test, page: &Page) -> Option<TrendChange> {
    let from = held_against(test, page)?.on;
    let tests = with_it_counted(test, page);
    change_since(&page.facts(&tests), &page.aways, test.kind, (from, test.on))
}

/// Why the trend would leave it out, if it counts.
pub(crate) fn out_of_trend(test: &Test, page: &Page) -> Option<LeftOut> {
    left_out(&page.facts(&with_it_counted(test, page)), test)
}

fn with_it_counted(test: &Test, page: &Page) -> Vec<Test> {
    let mut tests: Vec<Test> = page.tests.iter().filter(|t| t.id != test.id).cloned().collect();
    tests.push(Test { decision: Decision::Accepted { reason: None }, ..test.clone() });
    tests
}

/// What all tests together say, by the trend, beside a change of two tests that may say more or less.
/// After a first 5-minute test, which is practice, no gain is called.
pub(crate) fn verdict(
    test: &Test,
    page: &Page,
    change: Option<&Change>,
    trend: Option<&TrendChange>,
) -> String {
    match (change, trend) {
        (None, _) => "first test".to_owned(),
        (Some(change), _) if change.change_percent > 0.0 && is_after_practice(test, page) => {
            "no gain called".to_owned()
        }
        (Some(_), Some(trend)) => words::trend_in_short(trend),
        (Some(_), None) => match out_of_trend(test, page) {
            Some(why) => words::left_out(why).to_owned(),
            None => "a new series: not compared".to_owned(),
        },
    }
}

pub(crate) fn is_after_practice(test: &Test, page: &Page) -> bool {
    test.kind == TestKind::FiveMinutes && earlier(test, page).count() == 1
}

/// Whether a newer test of its kind carries the zones already.
pub(crate) fn is_outdated(test: &Test, page: &Page) -> bool {
    page.tests.iter().any(|t| t.kind == test.kind && t.decision.sets_zones() && t.on > test.on)
}

fn doubts(
    test: &Test,
    page: &Page,
    (change, trend): (Option<&Change>, Option<&TrendChange>),
    occasion: &Occasion,
) -> impl Iterator<Item = String> {
    let must_not = held(page, test.kind, test.on, occasion.today);
    let unlikely = change.and_then(|change| plausible_change(change).err());
    let off = trend.and_then(|trend| trend.off_percent);
    let run = test.performance;
    let last =
        held_against(test, page).filter(|_| test.kind.all_out() && !page.is_medicated(test.on));
    let other_rate = last
        .and_then(|last| last.performance.mean_heart_rate.zip(run.mean_heart_rate))
        .and_then(|(before, now)| plausible_heart_rate_change(before, now).err());
    let held_at = run.mean_heart_rate.filter(|_| !test.kind.all_out());
    let target = held_at.and_then(|_| target_on(&page.facts(&page.tests), test.on));
    let missed = held_at
        .zip(run.mean_speed())
        .zip(target)
        .and_then(|((rate, speed), target)| off_target(rate, target, speed));
    let untargeted = held_at.and_then(|_| no_target(test.kind, target, page.is_medicated(test.on)));
    [
        must_not.map(|why| format!("{why}: should not have run")),
        unlikely.as_ref().map(ToString::to_string),
        other_rate.as_ref().map(ToString::to_string),
        off.filter(|_| unlikely.is_none()).map(words::off_its_trend),
        missed.or(untargeted).map(|remark| words::remark(&remark, occasion.units)),
    ]
    .into_iter()
    .flatten()
}

fn notes(
    test: &Test,
    page: &Page,
    proposal: &Proposal,
    choice: Choice,
    occasion: &Occasion,
) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(waits) = page
        .tests
        .iter()
        .find(|t| t.kind == test.kind && t.on == test.on && t.decision == Decision::ToConfirm)
    {
        notes.push(format!("a recording of {} waits to be looked at", day_short(waits.on)));
    }
    notes.extend(too_near(page, test.kind, test.on));
    if is_outdated(test, page) {
        notes.push("a newer test carries the zones".to_owned());
    }
    if choice == Choice::NewZones {
        let checks = proposal.derived.remarks.iter().filter(|r| r.severity == Severity::Check);
        let checks = checks.map(|remark| words::remark(remark, occasion.units));
        // what needs a reason is said among the doubts
        let doubt = contradiction(test, proposal, occasion.units);
        notes.extend(checks.filter(|said| doubt.as_ref() != Some(said)));
        notes.extend(about_zones(test, page, proposal));
    }
    notes
}

/// What to know about new zones.
fn about_zones(test: &Test, page: &Page, proposal: &Proposal) -> Vec<String> {
    let mut notes = Vec::new();
    let typed_none = test.kind == TestKind::TwentyMinutes
        && test.performance.mean_heart_rate.is_none()
        && proposal.derived.markers.lt2.heart_rate.is_none();
    match no_heart_rate_zones(page, test.on) {
        Some(why) => notes.push(why.to_owned()),
        None if typed_none => {
            notes.push("no heart rate: zones by pace only until the next test".to_owned());
        }
        None => {}
    }
    if proposal.basis.len() == 1 {
        notes.push("zones estimated from one test".to_owned());
    }
    if test.kind == TestKind::FiveMinutes && earlier(test, page).next().is_none() {
        notes.push("a first 5-minute test is practice".to_owned());
    } else if is_after_practice(test, page) {
        notes.push("the one before was practice: about 1.2 % is learning".to_owned());
    }
    notes
}
