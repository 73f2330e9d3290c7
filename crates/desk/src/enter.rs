//! Entering what stands beside the tests of one athlete, by their name: as a script does it.

use chrono::NaiveDate;
use pacewright_core::calibration::{Calibration, propose};
use pacewright_core::format::{day, pace, whole_beats};
use pacewright_core::ids::TestId;
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::markers::{MarkerName, Markers};
use pacewright_core::race::as_twenty_minutes;
use pacewright_core::test::TestKind;
use pacewright_core::units::{Origin, UnitSystem};
use pacewright_core::words;

use crate::book::{self, Book, Page};
use crate::decide::{offered, take_offered};
use crate::desk::Desk;
use crate::people::{Evidence, EvidenceForm, keep_evidence};
use crate::schemes::Whose;
use crate::settings::settings;
use crate::{Now, Problem};

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Entered {
    /// What was noted.
    pub said: String,
    /// What this entry changes, in words, number by number: "LT2 pace 3:51 per km".
    pub moved: Vec<String>,
    /// Why it changes nothing, in one sentence, where that is so and can be said.
    pub why_not: Option<String>,
    /// Whether other zones follow from this entry than did before it.
    pub other_zones: bool,
    /// The zones that follow from all that is known, where they differ from those in force.
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
    let said = keep_evidence(desk, evidence.clone(), now)?;
    let after = book::open(desk)?;
    let after = after.of_id(page.athlete.id)?;
    let why_not = why_not(&evidence, after, now);
    let entered = follows(desk, (page, after), said, put_in_force, now)?;
    // of a laboratory value one number may be used and the other not
    let in_part = matches!(evidence, Evidence::Laboratory(_));
    let why_not = why_not.filter(|_| in_part || entered.moved.is_empty());
    Ok(Entered { why_not, ..entered })
}

/// What follows for an athlete from what is known now, beside how they stood before.
///
/// # Errors
/// As [`enter`].
pub fn follow(
    desk: &Desk,
    before: &Page,
    said: String,
    put_in_force: bool,
    now: &Now,
) -> Result<Entered, Problem> {
    let after = book::open(desk)?;
    follows(desk, (before, after.of_id(before.athlete.id)?), said, put_in_force, now)
}

fn follows(
    desk: &Desk,
    (before, page): (&Page, &Page),
    said: String,
    put_in_force: bool,
    now: &Now,
) -> Result<Entered, Problem> {
    let moved = match (known(before, now.today), known(page, now.today)) {
        (_, None) => Vec::new(),
        (before, Some(after)) => moved(before.as_ref(), &after),
    };
    let zones_of = |offered: Option<Calibration>| offered.map(|offered| offered.zones);
    let follows = offered(page, now.today);
    let other_zones = zones_of(offered(before, now.today)) != zones_of(follows.clone());
    let (zones, in_force) = match follows {
        Some(_) if put_in_force => (Some(take_offered(desk, page, now)?), true),
        offered => (offered, false),
    };
    Ok(Entered { said, moved, why_not: None, other_zones, zones, in_force })
}

/// What all that is known of an athlete says today.
fn known(page: &Page, today: NaiveDate) -> Option<Markers> {
    Some(propose(&page.facts(&page.tests), today)?.derived.markers)
}

/// The numbers that read otherwise than before.
fn moved(before: Option<&Markers>, after: &Markers) -> Vec<String> {
    let units = UnitSystem::Kilometres;
    let named = [MarkerName::Lt2, MarkerName::Lt1, MarkerName::Vo2max, MarkerName::AerobicFloor];
    let numbers = |markers: &Markers, name: MarkerName| {
        let marker = *markers.get(name);
        let speed = marker.speed.map(|speed| {
            format!("{} {} per km", words::marker_pace(name), pace(speed.value, units))
        });
        let rate = marker
            .heart_rate
            .map(|rate| format!("{} {}", words::marker_heart_rate(name), whole_beats(rate.value)));
        [speed, rate]
    };
    let of = |name: MarkerName| {
        let was = before.map_or([None, None], |before| numbers(before, name));
        let is = numbers(after, name).into_iter().zip(was);
        is.filter(|(is, was)| is != was).filter_map(|(is, _)| is).collect::<Vec<String>>()
    };
    named.into_iter().flat_map(of).collect()
}

/// What of a laboratory value stands on no card, and why: something newer goes before it.
fn unused(value: &LaboratoryValue, page: &Page, today: NaiveDate) -> Option<String> {
    let marker = *known(page, today)?.get(value.marker);
    let is_used = |origin: Option<Origin>| origin == Some(Origin::Entered);
    let pace_unused = value.speed.is_some() && !is_used(marker.speed.map(|e| e.origin));
    let beats_unused = value.heart_rate.is_some() && !is_used(marker.heart_rate.map(|e| e.origin));
    // LT1 heart rate rests on the 20-minute test by rule
    let beats_by = match value.marker {
        MarkerName::Lt1 => TestKind::TwentyMinutes,
        other => other.renewed_by(),
    };
    let newest = |kind: TestKind| page.last_on(kind).filter(|last| *last >= value.on);
    let by = |kind: TestKind| match newest(kind) {
        Some(on) => format!("a newer {}, of {}, goes before it", words::test(kind), day(on)),
        None => "something newer goes before it, or no heart rate may stand on the card".to_owned(),
    };
    let of_pace =
        pace_unused.then(|| format!("Its pace is not used: {}.", by(value.marker.renewed_by())));
    let of_beats = beats_unused.then(|| format!("Its heart rate is not used: {}.", by(beats_by)));
    let said: Vec<String> = [of_pace, of_beats].into_iter().flatten().collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// Why an entry changes no number, where that is to be told.
fn why_not(evidence: &Evidence, page: &Page, now: &Now) -> Option<String> {
    let tested = |kind: TestKind, on: NaiveDate| page.last_on(kind).filter(|last| *last >= on);
    match evidence {
        Evidence::Race(race) if race.result.is_none() => {
            Some("It is still to be run, so the zones stay as they are.".to_owned())
        }
        Evidence::Race(race) if race.on > now.today => None,
        Evidence::Race(race) => match race.ran().and_then(|ran| as_twenty_minutes(&ran)) {
            None => Some(
                "Only a race of 3 to 10 km stands in for a test, so the zones stay as they are."
                    .to_owned(),
            ),
            Some(_) => tested(TestKind::TwentyMinutes, race.on).map(newer(TestKind::TwentyMinutes)),
        },
        Evidence::Laboratory(value) => unused(value, page, now.today),
        Evidence::Medication(_) => Some("The paces stay as they are.".to_owned()),
        _ => None,
    }
}

/// "A newer 20-minute test, of 5 October 2026, stands before it."
fn newer(kind: TestKind) -> impl Fn(NaiveDate) -> String {
    move |on| {
        let (test, on) = (words::test(kind), day(on));
        format!("A newer {test}, of {on}, goes before it: the zones stay as they are.")
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
