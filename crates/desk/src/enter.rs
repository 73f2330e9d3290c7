//! Entering what stands beside the tests of one athlete, by their name: as a script does it.

use chrono::NaiveDate;
use pacewright_core::calibration::Calibration;
use pacewright_core::format::day;
use pacewright_core::ids::TestId;
use pacewright_core::test::TestKind;
use pacewright_core::words;

use crate::book::{self, Book};
use crate::decide::{offered, take_offered};
use crate::desk::Desk;
use crate::people::{EvidenceForm, keep_evidence};
use crate::schemes::Whose;
use crate::settings::settings;
use crate::{Now, Problem};

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Entered {
    /// What was noted.
    pub said: String,
    /// The zones that follow from it, where they differ from those in force.
    pub zones: Option<Calibration>,
    /// Whether they are in force now.
    pub in_force: bool,
}

/// Keeps a form for an athlete; puts the zones that follow in force where that is asked for.
///
/// # Errors
/// Nobody of that name; everything that is wrong with the form, in sentences; a library that takes
/// nothing more. Nothing is kept then.
pub fn enter(
    desk: &Desk,
    athlete: &str,
    form: &EvidenceForm,
    put_in_force: bool,
    now: &Now,
) -> Result<Entered, Problem> {
    let book = book::open(desk)?;
    let page = book.of_athlete(athlete)?;
    let evidence = form.check(page, settings(desk)?.units, now.today).map_err(|wrong| {
        let sentences: Vec<&str> = wrong.iter().map(|wrong| wrong.sentence.as_str()).collect();
        Problem::new(sentences.join(" "))
    })?;
    let said = keep_evidence(desk, evidence, now)?;
    let (zones, in_force) = follow(desk, athlete, put_in_force, now)?;
    Ok(Entered { said, zones, in_force })
}

/// The zones that follow for an athlete from what is known, and whether they are in force.
///
/// # Errors
/// As [`enter`].
pub fn follow(
    desk: &Desk,
    athlete: &str,
    put_in_force: bool,
    now: &Now,
) -> Result<(Option<Calibration>, bool), Problem> {
    let book = book::open(desk)?;
    let page = book.of_athlete(athlete)?;
    match offered(page, now.today) {
        Some(_) if put_in_force => Ok((Some(take_offered(desk, page, now)?), true)),
        offered => Ok((offered, false)),
    }
}

/// The test of a kind that an athlete ran on a day.
///
/// # Errors
/// Nobody of that name; no such test.
pub fn test_on(
    desk: &Desk,
    athlete: &str,
    kind: TestKind,
    on: NaiveDate,
) -> Result<TestId, Problem> {
    let book = book::open(desk)?;
    let page = book.of_athlete(athlete)?;
    let found = page.tests.iter().find(|test| test.kind == kind && test.on == on);
    found.map(|test| test.id).ok_or_else(|| {
        let (test, on) = (words::test(kind), day(on));
        Problem::new(format!("{athlete} has no {test} of {on}: read or type it first."))
    })
}

/// Who is meant by the name of an athlete or a squad.
///
/// # Errors
/// Neither or no such name.
pub fn whose(
    book: &Book,
    athlete: Option<&str>,
    squad: Option<&str>,
) -> Result<Option<Whose>, Problem> {
    match (athlete, squad) {
        (Some(name), _) => Ok(Some(Whose::Athlete(book.of_athlete(name)?.athlete.id))),
        (None, Some(name)) => Ok(Some(Whose::Squad(book.squad(name)?.id))),
        (None, None) => Ok(None),
    }
}
