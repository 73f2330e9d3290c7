//! What the checks say about recorded tests: kept remarks where nothing they rest on has changed, else
//! made anew from the recording.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;
use pacewright_core::assess::{Known, assess_at_known};
use pacewright_core::athlete::Athlete;
use pacewright_core::calibration::{Facts, propose};
use pacewright_core::checks::{RULES_VERSION, heat};
use pacewright_core::ids::TestId;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::medication::{Medication, medicated};
use pacewright_core::remark::Remark;
use pacewright_core::test::{Decision, Evidence, Test, TestConditions, TestKind};
use pacewright_core::units::HeartRate;
use pacewright_store::{CachedRemarks, Library};

use super::{Beside, Page, facts_of, measured, pairs};
use crate::desk::Desk;
use crate::{Problem, rules};

/// What the checks say about every recorded test of a page, whatever was decided on it. Those kept
/// from before are read; only a change of the rules makes any of them anew.
///
/// # Errors
/// Damage in the library.
pub fn judged(desk: &Desk, page: &Page) -> Result<HashMap<TestId, Vec<Remark>>, Problem> {
    let page = page.clone();
    desk.ask(move |library| {
        let settings = library.settings()?;
        let Page { athlete, tests, started, .. } = &page;
        let Beside { conditions, medications, .. } = &page.beside;
        let settings = &settings;
        let around = Around { athlete, tests, started, settings, conditions, medications };
        let remarks = tests.iter().map(|test| {
            let target = target_on(&page.facts(tests), test.on);
            Ok((test.id, judge(library, &around, test, target)?))
        });
        remarks.collect()
    })
}

/// What remarks about a test rest on beside its recording and its target.
pub(super) struct Around<'a> {
    pub(super) athlete: &'a Athlete,
    pub(super) tests: &'a [Test],
    pub(super) started: &'a pairs::Starts,
    pub(super) settings: &'a BTreeMap<String, String>,
    pub(super) conditions: &'a [TestConditions],
    pub(super) medications: &'a [Medication],
}

/// Remarks about a test among the others of its athlete.
pub(super) fn judge(
    library: &mut Library,
    around: &Around<'_>,
    test: &Test,
    target: Option<HeartRate>,
) -> Result<Vec<Remark>, Problem> {
    let mut remarks = judge_alone(library, around, test, target)?;
    if let Some(other) = pairs::other_of(around.started, test, around.tests) {
        // of the same day: its target is the same
        let theirs = judge_alone(library, around, other, target)?;
        let second = pairs::remark_on((test, &remarks), (other, &theirs));
        pairs::add(second, &mut remarks);
    }
    let noted = around.conditions.iter().rev().find(|noted| noted.test == test.id);
    if let Some(hot) = noted.and_then(|noted| heat(&noted.conditions)) {
        pairs::add(hot, &mut remarks);
    }
    Ok(remarks)
}

/// What is to be said of a test where another recording holds the same effort.
pub(crate) fn second_recording(
    library: &mut Library,
    test: &Test,
) -> Result<Option<Remark>, Problem> {
    let (athlete, mut tests) = (library.athlete(test.athlete)?, library.tests_of(test.athlete)?);
    tests.sort_by_key(|t| (t.on, t.id));
    let started = pairs::starts(library, &tests)?;
    let Some(other) = pairs::other_of(&started, test, &tests) else { return Ok(None) };
    let target = known_of(library, test)?.target;
    let medications = library.medications_of(test.athlete)?;
    let settings = library.settings()?;
    let around = Around {
        athlete: &athlete,
        tests: &tests,
        started: &started,
        settings: &settings,
        conditions: &[],
        medications: &medications,
    };
    let mine = judge_alone(library, &around, test, target)?;
    let theirs = judge_alone(library, &around, other, target)?;
    Ok(Some(pairs::remark_on((test, &mine), (other, &theirs))))
}

/// Remarks about a test on its own: kept ones where neither the rules nor what was measured have
/// changed, else made anew from its recording. A typed test has none of its own.
fn judge_alone(
    library: &mut Library,
    around: &Around<'_>,
    test: &Test,
    target: Option<HeartRate>,
) -> Result<Vec<Remark>, Problem> {
    let Evidence::Recorded { recording, span, found_by } = test.evidence else {
        return Ok(Vec::new());
    };
    let beside = beside(around, test, target);
    let beside = beside.as_ref();
    if let CachedRemarks::Known(remarks) = library.cached_remarks(test.id, RULES_VERSION, beside)? {
        return Ok(remarks);
    }
    let measured = measured::in_settings(around.settings, test)?;
    let medicated = medicated(around.athlete, around.medications, test.on);
    let known = Known { target, medicated, sensor: around.athlete.sensor, measured };
    let (_, recording) = library.recording(recording)?;
    // where it was found or set stays, also where newer rules would find it elsewhere
    let remarks = match assess_at_known(&recording, test.kind, span, found_by, &known) {
        Ok(assessment) => assessment.remarks,
        Err(error) => {
            return Err(Problem::new(format!(
                "A stored test no longer stands on its recording: {error}."
            )));
        }
    };
    library.cache_remarks(test.id, RULES_VERSION, beside, &remarks)?;
    Ok(remarks)
}

/// What a test's kept remarks rest on beside its recording and the rules. Of a 40-minute test that is
/// its target too, which may be known only once an earlier test is accepted.
fn beside<'a>(around: &Around<'a>, test: &Test, target: Option<HeartRate>) -> Cow<'a, str> {
    let measured = measured::text_in_settings(around.settings, test);
    if test.kind != TestKind::FortyMinutes {
        return Cow::Borrowed(measured);
    }
    let target = match target {
        Some(target) => format!("{:.2}", target.bpm()),
        None if medicated(around.athlete, around.medications, test.on) => "by talk".to_owned(),
        None => "none".to_owned(),
    };
    Cow::Owned(format!("{measured} target {target}"))
}

/// The target a 40-minute test on a day should have been held at: LT1 heart rate by rule, from the
/// tests accepted until then; where they give none, from a 20-minute test that still waits.
pub(crate) fn target_on(facts: &Facts<'_>, on: NaiveDate) -> Option<HeartRate> {
    let by = |facts: &Facts<'_>| {
        propose(facts, on).and_then(|p| forty_minute_target(&p.derived.markers))
    };
    let waits = |test: &&Test| {
        test.kind == TestKind::TwentyMinutes
            && test.decision == Decision::ToConfirm
            && test.on <= on
    };
    by(facts).or_else(|| {
        let newest = facts.tests.iter().filter(waits).max_by_key(|test| (test.on, test.id))?;
        let mut tests = facts.tests.to_vec();
        tests.push(Test { decision: Decision::Accepted { reason: None }, ..newest.clone() });
        by(&Facts { tests: &tests, ..*facts })
    })
}

/// All that is known of a recorded test from elsewhere than its recording.
pub(crate) fn known_of(library: &mut Library, test: &Test) -> Result<Known, Problem> {
    let id = test.athlete;
    let (athlete, tests) = (library.athlete(id)?, library.tests_of(id)?);
    let beside = Beside {
        races: library.races_of(id)?,
        laboratory: library.laboratory_values_of(id)?,
        factors: library.factors_of(id)?,
        medications: library.medications_of(id)?,
        conditions: library.conditions_of(id)?,
        rules: rules::read(&library.settings()?)?,
    };
    Ok(Known {
        target: target_on(&facts_of(&athlete, &tests, &beside), test.on),
        medicated: medicated(&athlete, &beside.medications, test.on),
        sensor: athlete.sensor,
        measured: measured::of_test(library, test)?,
    })
}
