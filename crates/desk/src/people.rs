//! Who is coached, and what stands in their calendar: entered, corrected, removed, each in one act
//! that can be undone.

mod evidence;
mod form;

use pacewright_core::athlete::{Athlete, Screening};
use pacewright_core::format::day_short;
use pacewright_core::ids::AthleteId;
use pacewright_core::schedule::Away;
use pacewright_core::test::Test;
use pacewright_core::words;
use pacewright_store::{Act, Change, Fact};

use crate::desk::Desk;
use crate::roster::Squads;
use crate::{Now, Problem};

pub use evidence::{Evidence, keep_conditions_of_day, keep_evidence, remove_evidence};
pub use form::{
    AwayForm, BookingForm, Draft, EvidenceForm, Field, Form, ScreeningChoice, Subject, Wrong,
};

/// Adds an athlete, or writes over the one of that identity; gives the identity back. Squads that
/// are named for the first time are made.
///
/// # Errors
/// A library that takes nothing more.
pub fn put_athlete(
    desk: &Desk,
    id: Option<AthleteId>,
    draft: Draft,
    now: &Now,
) -> Result<AthleteId, Problem> {
    let at = now.instant;
    desk.ask(move |library| {
        let mut changes = Vec::new();
        let mut squads = Squads::of(library)?;
        let wanted: Result<Vec<_>, Problem> =
            draft.squads.iter().map(|name| squads.named(name, library, &mut changes)).collect();
        let (what, id) = match id {
            Some(id) => (format!("Change the facts about {}", draft.name), id),
            None => (format!("Add {}", draft.name), library.fresh_id()?),
        };
        changes.push(Change::PutAthlete(athlete(id, draft, wanted?)));
        let _done = library.act(&Act { what, at, changes })?;
        Ok(id)
    })
}

fn athlete(id: AthleteId, draft: Draft, mut squads: Vec<pacewright_core::ids::SquadId>) -> Athlete {
    squads.dedup();
    Athlete {
        name: draft.name,
        born: draft.born,
        sex: draft.sex,
        resting_heart_rate: draft.resting_heart_rate,
        max_heart_rate: draft.max_heart_rate,
        rate_lowering_medication: draft.medication,
        screening: draft.screening,
        guardian_consent: draft.guardian_consent,
        sensor: draft.sensor,
        aliases: draft.aliases,
        notes: draft.notes,
        squads,
        ..Athlete::new(id, "")
    }
}

/// Removes an athlete with all that is theirs from sight; undo brings everything back.
///
/// # Errors
/// They are not there (any more).
pub fn remove_athlete(desk: &Desk, athlete: &Athlete, now: &Now) -> Result<(), Problem> {
    act(desk, format!("Remove {}", athlete.name), Change::Remove(Fact::Athlete(athlete.id)), now)
}

/// Removes a test; zones that were confirmed on it stay as they were handed out.
///
/// # Errors
/// It is not there (any more).
pub fn remove_test(desk: &Desk, test: &Test, now: &Now) -> Result<(), Problem> {
    let what = format!("Remove the {} of {}", words::test(test.kind), day_short(test.on));
    remove(desk, &what, test.athlete, Fact::Test(test.id), now)
}

/// Removes a span away.
///
/// # Errors
/// It is not there (any more).
pub fn remove_away(desk: &Desk, away: &Away, now: &Now) -> Result<(), Problem> {
    let what = format!("Remove the {} from {}", words::away(away.kind), day_short(away.from));
    remove(desk, &what, away.athlete, Fact::Away(away.id), now)
}

/// Writes over a span away.
///
/// # Errors
/// A library that takes nothing more.
pub fn change_away(desk: &Desk, away: Away, now: &Now) -> Result<(), Problem> {
    let what = format!("Change the {} from {}", words::away(away.kind), day_short(away.from));
    act_for(desk, &what, away.athlete, Change::PutAway(away), now)
}

fn remove(desk: &Desk, what: &str, whose: AthleteId, fact: Fact, now: &Now) -> Result<(), Problem> {
    act_for(desk, what, whose, Change::Remove(fact), now)
}

/// One act about what is an athlete's; the history says whose.
fn act_for(
    desk: &Desk,
    what: &str,
    whose: AthleteId,
    change: Change,
    now: &Now,
) -> Result<(), Problem> {
    let name = desk.ask(move |library| Ok(library.athlete(whose)?.name))?;
    act(desk, format!("{what} for {name}"), change, now)
}

fn act(desk: &Desk, what: String, change: Change, now: &Now) -> Result<(), Problem> {
    let at = now.instant;
    desk.ask(move |library| {
        let _done = library.act(&Act { what, at, changes: vec![change] })?;
        Ok(())
    })
}

/// Whether screening says an athlete is cleared, as the form chooses it.
fn cleared(screening: Screening) -> bool {
    matches!(screening, Screening::Cleared { .. })
}
