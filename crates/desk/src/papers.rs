//! The week's papers from the book: facts in, documents out.

mod calendar;
mod cards;
mod review;
mod splits;
pub(crate) mod tables;
mod test_day;
mod weekly;

use std::collections::HashSet;

use pacewright_core::ids::AthleteId;
use pacewright_sheets::{Document, Preview, Warning};

use crate::Problem;
use crate::book::{Book, Page};

pub use calendar::calendar_file;
pub use cards::{CardsAsked, card_facts, card_of, cards, sheets_of};
pub use splits::{
    SessionTyped, SplitsAsked, SplitsWritten, USUAL_LAP, WrongTyped, apart_on, session_day,
    split_sheet, splits, splits_of,
};
pub use weekly::{PAPERS, WeeklyAsked, WeeklyOutcome, weekly};

/// The dots an inch of a preview.
const PREVIEW_DPI: u32 = 110;

/// A document ready to be seen and saved.
#[derive(Debug, Clone)]
pub struct Ready {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages.
    pub pages: usize,
    /// One page as a picture.
    pub preview: Preview,
    /// What has to be said about the print.
    pub warnings: Vec<String>,
}

/// A document with a picture of one of its pages.
fn ready(document: &Document, page: usize) -> Result<Ready, Problem> {
    let pages = document.page_count();
    let preview = document.preview(page.clamp(1, pages), PREVIEW_DPI)?;
    let (pdf, warnings) = print(document)?;
    Ok(Ready { pdf, pages, preview, warnings })
}

/// The pages of chosen athletes.
fn chosen_pages<'a>(book: &'a Book, chosen: &[AthleteId]) -> Vec<&'a Page> {
    let chosen: HashSet<AthleteId> = chosen.iter().copied().collect();
    book.pages.iter().filter(|page| chosen.contains(&page.athlete.id)).collect()
}

/// A document's PDF and what has to be said about it.
pub(crate) fn print(document: &Document) -> Result<(Vec<u8>, Vec<String>), Problem> {
    let printed = document.pdf()?;
    Ok((printed.pdf, printed.warnings.iter().map(Warning::to_string).collect()))
}
