//! Bookings and spans away into the library.

use chrono::NaiveDate;
use pacewright_core::format::day_short;
use pacewright_core::ids::AthleteId;
use pacewright_core::schedule::{Away, AwayKind, Booking};
use pacewright_core::test::TestKind;
use pacewright_core::words;
use pacewright_store::{Act, Change};

use crate::desk::Desk;
use crate::history::whom;
use crate::{Now, Problem};

/// A test to book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ToBook {
    /// Who.
    pub athlete: AthleteId,
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub on: NaiveDate,
}

/// A span away to note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ToNote {
    /// Who.
    pub athlete: AthleteId,
    /// Why.
    pub kind: AwayKind,
    /// First day.
    pub from: NaiveDate,
    /// Last day; open where it is not known.
    pub to: Option<NaiveDate>,
    /// The day running without pain or symptoms was noted.
    pub well_on: Option<NaiveDate>,
}

/// Books tests and notes spans away in one act.
///
/// # Errors
/// A span that ends before it begins; a library that takes nothing more.
pub fn enter(desk: &Desk, book: Vec<ToBook>, note: Vec<ToNote>, now: &Now) -> Result<(), Problem> {
    if let Some(wrong) = note.iter().find(|n| n.to.is_some_and(|to| to < n.from)) {
        return Err(Problem::new(format!(
            "A span away from {} cannot end before it begins.",
            wrong.from
        )));
    }
    let what = match (book.as_slice(), note.as_slice()) {
        ([one], []) => format!("Book the {} on {}", words::test(one.kind), day_short(one.on)),
        ([], [one]) => format!("Note the {} from {}", words::away(one.kind), day_short(one.from)),
        _ => "Enter bookings and spans away".to_owned(),
    };
    let athletes: Vec<AthleteId> =
        book.iter().map(|one| one.athlete).chain(note.iter().map(|one| one.athlete)).collect();
    let at = now.instant;
    desk.ask(move |library| {
        let mut changes = Vec::new();
        for ToBook { athlete, kind, on } in book {
            let id = library.fresh_id()?;
            changes.push(Change::PutBooking(Booking { id, athlete, kind, on }));
        }
        for ToNote { athlete, kind, from, to, well_on } in note {
            let id = library.fresh_id()?;
            changes.push(Change::PutAway(Away { id, athlete, kind, from, to, well_on }));
        }
        if !changes.is_empty() {
            let what = format!("{what} for {}", whom(library, athletes)?);
            let _done = library.act(&Act { what, at, changes })?;
        }
        Ok(())
    })
}
