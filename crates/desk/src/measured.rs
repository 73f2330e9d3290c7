//! Distances measured by other means than the recording: courses named once, and what was typed for
//! a test. Kept as settings, through the library's one door, so that they can be undone.

use std::collections::BTreeMap;

use pacewright_core::assess::{Known, assess_at_known};
use pacewright_core::checks::{RULES_VERSION, plausible_distance};
use pacewright_core::course::{Course, Measured, MeasuredEffort};
use pacewright_core::effort::FoundBy;
use pacewright_core::ids::TestId;
use pacewright_core::parse;
use pacewright_core::recording::Span;
use pacewright_core::test::{Decision, Evidence, Test};
use pacewright_store::{Act, Change, Library};

use crate::book::measured::{in_settings, kept_for, name_of, text_in_settings, text_of};
use crate::book::{self};
use crate::desk::Desk;
use crate::{Now, Problem};

/// Settings that hold courses begin so, their name after it.
const COURSE: &str = "course/";

/// The courses named so far, by their names.
///
/// # Errors
/// Damage in the library.
pub fn courses(desk: &Desk) -> Result<Vec<Course>, Problem> {
    desk.ask(|library| {
        let settings = library.settings()?;
        named(&settings, COURSE)
            .map(|(name, text)| {
                serde_json::from_str(text).map_err(|_| {
                    Problem::new(format!("The course \"{name}\" cannot be read; enter it again."))
                })
            })
            .collect()
    })
}

/// A measured distance as it was typed, by the courses named so far.
///
/// # Errors
/// Words nobody understands, a course nobody named, damage in the library.
pub fn measured_as(desk: &Desk, text: &str) -> Result<Measured, Problem> {
    parse::measured(text, &courses(desk)?).map_err(|error| Problem::new(format!("{error}.")))
}

/// The same without a library: no course has a name then.
///
/// # Errors
/// Words nobody understands.
pub fn measured_without_library(text: &str) -> Result<Measured, Problem> {
    parse::measured(text, &[]).map_err(|error| Problem::new(format!("{error}.")))
}

/// Why a measured distance is not taken for several files.
pub fn one_file_only() -> Problem {
    Problem::new("A measured distance is that of one run; give it with one file.")
}

/// Names a course as it was typed.
///
/// # Errors
/// Words nobody understands; as [`put_course`].
pub fn name_course(desk: &Desk, text: &str, now: &Now) -> Result<Course, Problem> {
    let course = parse::course(text).map_err(|error| Problem::new(format!("{error}.")))?;
    put_course(desk, &course, now)?;
    Ok(course)
}

/// Names a course, or writes it over the one of the same name.
///
/// # Errors
/// No name; a library that takes nothing more.
pub fn put_course(desk: &Desk, course: &Course, now: &Now) -> Result<(), Problem> {
    let name = course.name.trim();
    if name.is_empty() {
        return Err(Problem::new("Give the course a name."));
    }
    let change = Change::PutSetting { name: format!("{COURSE}{name}"), value: text_of(course)? };
    let act =
        Act { what: format!("Name the course {name}"), at: now.instant, changes: vec![change] };
    desk.ask(move |library| {
        let _done = library.act(&act)?;
        Ok(())
    })
}

/// Enters how far a recorded test went, as somebody measured it (`None` goes back to the
/// recording), and judges it anew where its edges stand: those of `at`, which are kept with it, else
/// those the test has. The test waits for the coach's decision again.
///
/// # Errors
/// A typed test, which has no recording to override; a distance nobody can have run; a library that
/// takes nothing more.
pub fn measure(
    desk: &Desk,
    test: TestId,
    measured: Option<Measured>,
    at: Option<(Span, FoundBy)>,
    now: &Now,
) -> Result<Test, Problem> {
    let book = book::open(desk)?;
    let page = book
        .pages
        .iter()
        .find(|page| page.tests.iter().any(|t| t.id == test))
        .ok_or_else(|| Problem::new("That test is not in the library any more."))?;
    let mut test = page.tests.iter().find(|t| t.id == test).cloned().ok_or_else(gone)?;
    let Evidence::Recorded { recording, span, found_by } = test.evidence else {
        return Err(Problem::new("That test was typed: correct its distance there."));
    };
    let (span, found_by) = at.unwrap_or((span, found_by));
    test.evidence = Evidence::Recorded { recording, span, found_by };
    let measured = measured.map(|measured| MeasuredEffort { measured, over: Some(span) });
    let known = Known {
        target: book::target_on(&page.facts(&page.tests), test.on),
        medicated: page.is_medicated(test.on),
        sensor: page.athlete.sensor,
        measured: measured.clone(),
    };
    let (_, stored) = desk.ask(move |library| Ok(library.recording(recording)?))?;
    let refuse = |why: String| Problem::new(format!("The distance cannot be used: {why}."));
    let assessment = assess_at_known(&stored, test.kind, span, found_by, &known)
        .map_err(|e| refuse(e.to_string()))?;
    test.performance = assessment.performance().ok_or_else(gone)?;
    let _plausible = plausible_distance(test.kind, test.performance.distance)
        .map_err(|e| refuse(e.to_string()))?;
    test.decision = Decision::ToConfirm;
    let setting = match &measured {
        Some(measured) => kept_for(recording, measured)?,
        None => Change::RemoveSetting { name: name_of(recording) },
    };
    let beside = measured.as_ref().map(text_of).transpose()?.unwrap_or_default();
    let act = Act {
        what: format!("Enter the distance of a test of {}", page.athlete.name),
        at: now.instant,
        changes: vec![setting, Change::PutTest(test.clone())],
    };
    let judged = vec![(test.id, beside, assessment.remarks)];
    desk.ask(move |library| {
        let _done = library.act(&act)?;
        // made anew when they are asked for, where they could not be kept
        let _kept = library.cache_remarks_of_all(RULES_VERSION, &judged);
        Ok(())
    })?;
    Ok(test)
}

/// What was kept without the stretch it was measured for, for tests that are about to be written:
/// with the stretch they have until now, else it would be that of wherever their edges go.
pub(crate) fn with_stretches(library: &Library, tests: &[&Test]) -> Result<Vec<Change>, Problem> {
    if !tests.iter().any(|test| matches!(test.evidence, Evidence::Recorded { .. })) {
        return Ok(Vec::new());
    }
    let settings = library.settings()?;
    let mut changes = Vec::new();
    for test in tests {
        let kept = text_in_settings(&settings, test);
        let Evidence::Recorded { recording, .. } = test.evidence else { continue };
        if kept.is_empty() || serde_json::from_str::<MeasuredEffort>(kept).is_ok() {
            continue;
        }
        if let Some(measured) = in_settings(&settings, &library.test(test.id)?)? {
            changes.push(kept_for(recording, &measured)?);
        }
    }
    Ok(changes)
}

fn named<'a>(
    settings: &'a BTreeMap<String, String>,
    kind: &'static str,
) -> impl Iterator<Item = (&'a str, &'a String)> {
    settings.iter().filter_map(move |(name, text)| Some((name.strip_prefix(kind)?, text)))
}

fn gone() -> Problem {
    Problem::new("That test is not in the library any more.")
}
