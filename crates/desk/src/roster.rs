//! Athletes from a table: added, or brought up to date; nothing the library knows is lost to an
//! empty cell.

pub(crate) mod table;

use std::collections::HashMap;
use std::path::Path;

use chrono::NaiveDate;
use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::ids::SquadId;
use pacewright_core::screening::lacks_consent;
use pacewright_core::words;
use pacewright_store::{Act, Change, Library};

use crate::desk::Desk;
use crate::files::read_bytes;
use crate::{Now, Problem};

pub use table::{RefusedRow, Row, parse};

/// What a roster did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RosterOutcome {
    /// Names added.
    pub added: Vec<String>,
    /// Names whose facts changed.
    pub updated: Vec<String>,
    /// What to look at, in sentences: names that somebody born on another day has too, and minors whose
    /// guardian has not consented.
    pub to_look_at: Vec<String>,
    /// How many were there already, just so.
    pub unchanged: usize,
    /// Rows that were left out, with the reason.
    pub refused: Vec<RefusedRow>,
}

/// Adds or updates the athletes of a table in one act.
///
/// # Errors
/// A file that cannot be read or has no column of names, or no rows. Rows with a wrong cell are left out and
/// said; the others are taken in.
pub fn roster(desk: &Desk, file: &Path, now: &Now) -> Result<RosterOutcome, Problem> {
    let bytes = read_bytes(file)?;
    let text = pacewright_recording::decode_text(&bytes);
    let (rows, refused) = parse(&text).map_err(|why| Problem::about(file, why))?;
    if rows.is_empty() && refused.is_empty() {
        let what = "names no athlete below its header; give each a line.";
        return Err(Problem::about(file, what));
    }
    let mut outcome = take_in_rows(desk, rows, now)?;
    outcome.refused.extend(refused);
    outcome.refused.sort_by_key(|row| row.line);
    Ok(outcome)
}

/// Adds or updates athletes from rows in one act.
///
/// # Errors
/// A library that takes nothing more.
pub fn take_in_rows(desk: &Desk, rows: Vec<Row>, now: &Now) -> Result<RosterOutcome, Problem> {
    let (at, today) = (now.instant, now.today);
    desk.ask(move |library| {
        let (outcome, changes) = merge(library, rows, today)?;
        if !changes.is_empty() {
            let what = match (outcome.added.as_slice(), outcome.updated.as_slice()) {
                ([name], []) | ([], [name]) => format!("Take in a roster of {name}"),
                (added, updated) => {
                    format!("Take in a roster of {} athletes", added.len() + updated.len())
                }
            };
            let _done = library.act(&Act { what, at, changes })?;
        }
        Ok(outcome)
    })
}

fn merge(
    library: &mut Library,
    rows: Vec<Row>,
    today: NaiveDate,
) -> Result<(RosterOutcome, Vec<Change>), Problem> {
    let mut outcome = RosterOutcome::default();
    let (mut changes, mut minors) = (Vec::new(), Vec::new());
    let mut squads = Squads::of(library)?;
    let mut athletes = library.athletes()?;
    for row in rows {
        if let Some(reason) = row.impossible_day(today) {
            outcome.refused.push(RefusedRow { line: row.line, reason });
            continue;
        }
        let wanted: Vec<SquadId> = row
            .squads
            .iter()
            .map(|name| squads.named(name, library, &mut changes))
            .collect::<Result<_, _>>()?;
        match find(&athletes, &row) {
            Found::None => {
                let athlete = updated(&Athlete::new(library.fresh_id()?, ""), &row, &wanted);
                outcome.to_look_at.extend(namesake(&athletes, &athlete));
                minors.extend(lacks_consent(&athlete, today).then(|| athlete.name.clone()));
                outcome.added.push(athlete.name.clone());
                changes.push(Change::PutAthlete(athlete.clone()));
                athletes.push(athlete);
            }
            Found::One(index) => {
                let after = athletes
                    .get(index)
                    .map(|before| (before.clone(), updated(before, &row, &wanted)));
                match after {
                    Some((before, after)) if before != after => {
                        outcome.updated.push(after.name.clone());
                        changes.push(Change::PutAthlete(after.clone()));
                        if let Some(slot) = athletes.get_mut(index) {
                            *slot = after;
                        }
                    }
                    _ => outcome.unchanged += 1,
                }
            }
            Found::Several => outcome.refused.push(RefusedRow {
                line: row.line,
                reason: format!(
                    "there is more than one {}; give the day of birth to tell them apart.",
                    row.name
                ),
            }),
        }
    }
    outcome.to_look_at.extend(words::no_consent(&minors));
    Ok((outcome, changes))
}

enum Found {
    None,
    One(usize),
    Several,
}

/// Name is the identity, together with the day of birth where both sides know it.
fn find(athletes: &[Athlete], row: &Row) -> Found {
    let name = row.name.to_lowercase();
    let same: Vec<usize> = athletes
        .iter()
        .enumerate()
        .filter(|(_, a)| a.name.to_lowercase() == name)
        .filter(|(_, a)| match (a.born, row.born) {
            (Some(known), Some(given)) => known == given,
            _ => true,
        })
        .map(|(index, _)| index)
        .collect();
    match same.as_slice() {
        [] => Found::None,
        [one] => Found::One(*one),
        _ => Found::Several,
    }
}

/// What to say where somebody of another day of birth has the name of an athlete who is added: two
/// people, or one and a slip of the pen.
fn namesake(athletes: &[Athlete], added: &Athlete) -> Option<String> {
    let name = added.name.to_lowercase();
    let other = athletes.iter().find(|a| a.name.to_lowercase() == name)?;
    let (born, theirs) = (added.born?, other.born?);
    Some(format!(
        "{} born {born} was added beside {} born {theirs}: if they are one, remove the wrong one.",
        added.name, other.name
    ))
}

fn updated(before: &Athlete, row: &Row, squads: &[SquadId]) -> Athlete {
    let mut after = before.clone();
    after.name.clone_from(&row.name);
    after.born = row.born.or(after.born);
    after.sex = row.sex.or(after.sex);
    after.resting_heart_rate = row.resting_heart_rate.or(after.resting_heart_rate);
    after.max_heart_rate = row.max_heart_rate.or(after.max_heart_rate);
    after.rate_lowering_medication = row.medication.unwrap_or(after.rate_lowering_medication);
    after.screening = row.screening.unwrap_or(after.screening);
    after.guardian_consent = row.guardian_consent.or(after.guardian_consent);
    after.sensor = row.sensor.or(after.sensor);
    if !row.aliases.is_empty() {
        after.aliases.clone_from(&row.aliases);
    }
    if !row.notes.is_empty() {
        after.notes.clone_from(&row.notes);
    }
    if !squads.is_empty() {
        after.squads = squads.to_vec();
    }
    after
}

/// Squads by name, made where a row names a new one.
pub(crate) struct Squads(HashMap<String, SquadId>);

impl Squads {
    pub(crate) fn of(library: &Library) -> Result<Self, Problem> {
        let known = library.squads()?;
        Ok(Self(known.into_iter().map(|s| (s.name.to_lowercase(), s.id)).collect()))
    }

    pub(crate) fn named(
        &mut self,
        name: &str,
        library: &mut Library,
        changes: &mut Vec<Change>,
    ) -> Result<SquadId, Problem> {
        if let Some(id) = self.0.get(&name.to_lowercase()) {
            return Ok(*id);
        }
        let id: SquadId = library.fresh_id()?;
        changes.push(Change::PutSquad(Squad { id, name: name.to_owned() }));
        let _none_before = self.0.insert(name.to_lowercase(), id);
        Ok(id)
    }
}
