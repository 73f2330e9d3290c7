//! The weekly review as a document.

use pacewright_core::units::UnitSystem;
use pacewright_sheets::review::{self, ReviewFacts, ReviewRow};
use pacewright_sheets::{Document, Paper};

use crate::book::{Book, Page};
use crate::standing::{ahead, headline, rows};
use crate::{Now, Problem};

/// The review of some pages, most urgent first.
pub(super) fn document(
    book: &Book,
    pages: &[&Page],
    squad: &str,
    (units, paper): (UnitSystem, Paper),
    now: &Now,
) -> Result<Document, Problem> {
    let rows = rows(pages.iter().copied(), now);
    let facts = ReviewFacts {
        headline: headline(&rows),
        ahead: ahead(book, pages, now),
        squad: squad.to_owned(),
        on: now.today,
        units,
        paper,
        rows: rows
            .into_iter()
            .map(|row| ReviewRow {
                name: row.name,
                markers: row.markers,
                edges: row.edges,
                before: row.before,
                strip: row.strip,
                sentence: row.sentence,
                act: row.act.map(str::to_owned),
            })
            .collect(),
    };
    Ok(review::review(&facts)?)
}
