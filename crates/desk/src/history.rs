//! Undo and redo, and the list of what was done.

use std::collections::BTreeSet;

use pacewright_core::ids::AthleteId;
use pacewright_store::{Library, LoggedAct};

use crate::Problem;
use crate::desk::Desk;

/// Takes the last act back; gives its words, or `None` where there is nothing to take back.
///
/// # Errors
/// A library that takes nothing more.
pub fn undo(desk: &Desk) -> Result<Option<String>, Problem> {
    desk.ask(|library| Ok(library.undo()?.map(|done| done.what)))
}

/// Does again what was taken back last; gives its words.
///
/// # Errors
/// A library that takes nothing more.
pub fn redo(desk: &Desk) -> Result<Option<String>, Problem> {
    desk.ask(|library| Ok(library.redo()?.map(|done| done.what)))
}

/// The newest acts first, at most `limit`.
///
/// # Errors
/// Damage in the library.
pub fn acts(desk: &Desk, limit: usize) -> Result<Vec<LoggedAct>, Problem> {
    desk.ask(move |library| Ok(library.log(limit)?))
}

/// Whom an act is about, for its line in the history: one athlete by name, several by their number.
pub(crate) fn whom(
    library: &Library,
    athletes: impl IntoIterator<Item = AthleteId>,
) -> Result<String, Problem> {
    let athletes: BTreeSet<AthleteId> = athletes.into_iter().collect();
    Ok(match athletes.first() {
        Some(only) if athletes.len() == 1 => library.athlete(*only)?.name,
        _ => format!("{} athletes", athletes.len()),
    })
}
