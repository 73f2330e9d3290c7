//! The week's papers from the book: facts in, documents out.

mod calendar;
mod cards;
mod review;
mod splits;
pub(crate) mod tables;
mod test_day;
mod weekly;

use pacewright_sheets::{Document, Warning};

use crate::Problem;

pub use calendar::calendar_file;
pub use cards::{CardSheets, CardsAsked, card_facts, card_of, cards, sheets_of};
pub use splits::{
    SessionTyped, SplitSheet, SplitsAsked, SplitsWritten, USUAL_LAP, WrongTyped, session_day,
    split_sheet, splits, splits_of,
};
pub use weekly::{PAPERS, WeeklyAsked, WeeklyOutcome, weekly};

/// The dots an inch of a preview.
const PREVIEW_DPI: u32 = 110;

/// A document's PDF and what has to be said about it.
pub(crate) fn print(document: &Document) -> Result<(Vec<u8>, Vec<String>), Problem> {
    let printed = document.pdf()?;
    Ok((printed.pdf, printed.warnings.iter().map(Warning::to_string).collect()))
}
