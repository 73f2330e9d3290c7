//! What stands beside the tests: kept, changed, removed, each in one act.

use chrono::NaiveDate;
use pacewright_core::athlete::{Athlete, Screening};
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::format::{day_short, percent, race_distance, whole_beats};
use pacewright_core::ids::AthleteId;
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::race::Race;
use pacewright_core::screening::ran_uncleared;
use pacewright_core::test::TestConditions;
use pacewright_core::words;
use pacewright_store::{Act, Change, Fact, Library};

use crate::desk::Desk;
use crate::history::whom;
use crate::{Now, Problem};

/// A fact beside the tests; one of number 0 is new.
#[derive(Debug, Clone, PartialEq)]
pub enum Evidence {
    /// A race or time trial.
    Race(Race),
    /// A laboratory value.
    Laboratory(LaboratoryValue),
    /// A factor from LT2 to LT1 heart rate.
    Factor(FactorFrom),
    /// A span on medication.
    Medication(Medication),
    /// The conditions of a test.
    Conditions(TestConditions),
}

impl Evidence {
    /// What it is, in words: "the 5 km race of 3 May".
    pub fn in_words(&self) -> String {
        match self {
            Self::Race(race) => {
                format!("the {} race of {}", race_distance(race.distance), day_short(race.on))
            }
            Self::Laboratory(value) => format!(
                "the laboratory value of {} of {}",
                words::marker(value.marker),
                day_short(value.on)
            ),
            Self::Factor(factor) => format!(
                "LT1 heart rate at {} of LT2 from {}",
                percent(factor.factor.ratio()),
                day_short(factor.from)
            ),
            Self::Medication(span) => format!("the medication from {}", day_short(span.from)),
            Self::Conditions(_) => "the conditions of a test".to_owned(),
        }
    }

    /// The day it is of, where it has one.
    pub fn on(&self) -> Option<NaiveDate> {
        match self {
            Self::Race(race) => Some(race.on),
            Self::Laboratory(value) => Some(value.on),
            Self::Factor(factor) => Some(factor.from),
            Self::Medication(span) => Some(span.from),
            Self::Conditions(_) => None,
        }
    }

    fn athlete(&self) -> AthleteId {
        match self {
            Self::Race(race) => race.athlete,
            Self::Laboratory(value) => value.athlete,
            Self::Factor(factor) => factor.athlete,
            Self::Medication(span) => span.athlete,
            Self::Conditions(noted) => noted.athlete,
        }
    }

    fn fact(&self) -> Fact {
        match self {
            Self::Race(race) => Fact::Race(race.id),
            Self::Laboratory(value) => Fact::LaboratoryValue(value.id),
            Self::Factor(factor) => Fact::Factor(factor.id),
            Self::Medication(span) => Fact::Medication(span.id),
            Self::Conditions(noted) => Fact::Conditions(noted.id),
        }
    }

    fn number(&mut self) -> &mut i64 {
        match self {
            Self::Race(race) => &mut race.id.0,
            Self::Laboratory(value) => &mut value.id.0,
            Self::Factor(factor) => &mut factor.id.0,
            Self::Medication(span) => &mut span.id.0,
            Self::Conditions(noted) => &mut noted.id.0,
        }
    }

    /// A number that no fact of its kind ever had.
    fn fresh(&self, library: &mut Library) -> Result<i64, Problem> {
        fn of<I: pacewright_store::FactId>(
            library: &mut Library,
            number: fn(I) -> i64,
        ) -> Result<i64, Problem> {
            Ok(number(library.fresh_id::<I>()?))
        }
        use pacewright_core::ids;
        match self {
            Self::Race(_) => of(library, |id: ids::RaceId| id.0),
            Self::Laboratory(_) => of(library, |id: ids::LaboratoryId| id.0),
            Self::Factor(_) => of(library, |id: ids::FactorId| id.0),
            Self::Medication(_) => of(library, |id: ids::MedicationId| id.0),
            Self::Conditions(_) => of(library, |id: ids::ConditionsId| id.0),
        }
    }

    fn change(self) -> Change {
        match self {
            Self::Race(race) => Change::PutRace(race),
            Self::Laboratory(value) => Change::PutLaboratoryValue(value),
            Self::Factor(factor) => Change::PutFactor(factor),
            Self::Medication(span) => Change::PutMedication(span),
            Self::Conditions(noted) => Change::PutConditions(noted),
        }
    }
}

/// Keeps a fact, new or over the one of its number, and says what was done. New medication ends an
/// earlier clearance in the same act (judgement): the health questions are asked again.
///
/// # Errors
/// A library that takes nothing more.
pub fn keep_evidence(desk: &Desk, mut evidence: Evidence, now: &Now) -> Result<String, Problem> {
    let (at, today) = (now.instant, now.today);
    desk.ask(move |library| {
        let is_new = *evidence.number() == 0;
        if is_new {
            *evidence.number() = evidence.fresh(library)?;
        }
        let verb = if is_new { "Note" } else { "Change" };
        let athlete = library.athlete(evidence.athlete())?;
        let (named, are) = match &evidence {
            Evidence::Conditions(noted) => {
                let test = library.test(noted.test)?;
                let (test, on) = (words::test(test.kind), day_short(test.on));
                (format!("the conditions of the {test} of {on}"), "are")
            }
            other => (other.in_words(), "is"),
        };
        let what = format!("{verb} {named} for {}", athlete.name);
        let mut said = format!("{} {are} noted.", words::capital(&named));
        let mut changes = Vec::new();
        match &evidence {
            Evidence::Medication(_) => {
                said.push_str(" While it lasts no heart rates stand on the card.");
            }
            Evidence::Race(race) => said.extend(about_run(race, &athlete, today)),
            _ => {}
        }
        if let Evidence::Medication(span) = &evidence
            && let Some(athlete) = unclear(&athlete, span)
        {
            said.push_str(" The clearance ends with it: ask the health questions again.");
            changes.push(Change::PutAthlete(athlete));
        }
        changes.push(evidence.change());
        let _done = library.act(&Act { what, at, changes })?;
        Ok(said)
    })
}

/// What to look at in a race that was run: whether it should have been, and a heart rate above the
/// highest that is known.
fn about_run(race: &Race, athlete: &Athlete, today: NaiveDate) -> Option<String> {
    let result = race.result?;
    let ran = ran_uncleared(athlete, race.on, today).map(|why| {
        let ran = words::capital(&words::ran_uncleared(why, true));
        format!(" {ran}: speak with them before any zones stand on it.")
    });
    let above = result.peak_heart_rate.zip(athlete.max_heart_rate).filter(|(peak, max)| peak > max);
    let above = above.map(|(peak, max)| {
        format!(
            " Its highest heart rate, {}, stands above the {} entered as {}'s highest: correct one of them.",
            whole_beats(peak),
            whole_beats(max),
            athlete.name
        )
    });
    Some([ran, above].into_iter().flatten().collect())
}

/// Notes the same conditions for every test of one kind on one day: who runs together runs in the
/// same weather.
///
/// # Errors
/// The test is not there (any more); a library that takes nothing more.
pub fn keep_conditions_of_day(
    desk: &Desk,
    like: &TestConditions,
    now: &Now,
) -> Result<String, Problem> {
    let (at, like) = (now.instant, *like);
    desk.ask(move |library| {
        let of = library.test(like.test)?;
        let (tests, noted) = (library.tests()?, library.conditions()?);
        let (mut changes, mut whose) = (Vec::new(), Vec::new());
        for test in tests.iter().filter(|test| test.kind == of.kind && test.on == of.on) {
            let id = match noted.iter().rev().find(|noted| noted.test == test.id) {
                Some(noted) => noted.id,
                None => library.fresh_id()?,
            };
            let conditions = like.conditions;
            let noted = TestConditions { id, athlete: test.athlete, test: test.id, conditions };
            changes.push(Change::PutConditions(noted));
            whose.push(test.athlete);
        }
        let (test, on, count) = (words::test(of.kind), day_short(of.on), changes.len());
        let whom = whom(library, whose)?;
        let what = format!("Note the conditions of every {test} of {on}, run by {whom}");
        let _done = library.act(&Act { what, at, changes })?;
        Ok(format!("The conditions of {count} tests of {on} are noted."))
    })
}

/// The athlete without the clearance from before a medication that began since, or whose reason is
/// not noted; `None` where it stands.
fn unclear(athlete: &Athlete, span: &Medication) -> Option<Athlete> {
    let Screening::Cleared { on } = athlete.screening else { return None };
    let ends = span.to.is_none() && (span.from > on || span.reason.is_none());
    ends.then(|| Athlete { screening: Screening::NotAsked, ..athlete.clone() })
}

/// Removes a fact; undo brings it back. Zones that were confirmed on it stay as they were handed out.
///
/// # Errors
/// It is not there (any more).
pub fn remove_evidence(desk: &Desk, evidence: &Evidence, now: &Now) -> Result<String, Problem> {
    let what = evidence.in_words();
    super::remove(desk, &format!("Remove {what}"), evidence.athlete(), evidence.fact(), now)?;
    let what = words::capital(&what);
    Ok(format!("{what} was removed; zones confirmed on it stay until new ones are."))
}
