//! Undo and redo, and the list of what was done.

use pacewright_store::LoggedAct;

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
