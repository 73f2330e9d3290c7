//! Who is due for which test, and what holds it.

use chrono::NaiveDate;
use pacewright_core::retest::{Hold, State};
use pacewright_core::test::TestKind;
use pacewright_core::words;

use crate::Now;
use crate::book::Book;

/// One athlete and test.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueLine {
    /// Full name.
    pub athlete: String,
    /// Which test.
    pub kind: TestKind,
    /// How fresh the last one is.
    pub state: State,
    /// What holds the next one.
    pub held_by: Vec<Hold>,
    /// The last accepted test.
    pub last_on: Option<NaiveDate>,
    /// First day of the window.
    pub opens_on: Option<NaiveDate>,
    /// Last day of the window.
    pub closes_on: Option<NaiveDate>,
    /// Why, in a sentence.
    pub why: String,
}

/// Every athlete and test, athletes by name, shortest test first.
pub fn due(book: &Book, now: &Now) -> Vec<DueLine> {
    book.pages
        .iter()
        .flat_map(|page| {
            page.due(now).into_iter().map(move |test| DueLine {
                athlete: page.athlete.name.clone(),
                why: words::why_due(&test, page.race_in_place_of(test.kind, now.today)),
                kind: test.kind,
                state: test.freshness.state,
                held_by: test.holds,
                last_on: test.freshness.last_on,
                opens_on: test.freshness.opens_on,
                closes_on: test.freshness.closes_on,
            })
        })
        .collect()
}
