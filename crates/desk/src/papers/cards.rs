//! Zone cards: every current calibration of a squad.

use std::path::PathBuf;

use pacewright_core::aging::{OutOfDate, out_of_date};
use pacewright_core::calibration::Calibration;
use pacewright_core::format::day_short;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::retest::{RetestWindow, State};
use pacewright_core::test::TestKind;
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_sheets::Document;
use pacewright_sheets::card::{self, CardFacts};
use pacewright_sheets::strip::Window;

pub use pacewright_sheets::card::Layout;

use super::print;
use crate::book::{self, Page};
use crate::desk::Desk;
use crate::files::write_whole;
use crate::{Now, Problem};

/// Which cards are wanted.
#[derive(Debug, Clone)]
pub struct CardsAsked {
    /// Only this squad's.
    pub squad: Option<String>,
    /// Where the PDF goes.
    pub out: PathBuf,
    /// How cards lie on paper.
    pub layout: Layout,
    /// Units of the paces.
    pub units: UnitSystem,
}

/// Writes the cards of everyone with zones in force; gives their number and what has to be said.
///
/// # Errors
/// No such squad, nobody with zones yet, a place that cannot be written.
pub fn cards(desk: &Desk, asked: &CardsAsked, now: &Now) -> Result<(usize, Vec<String>), Problem> {
    let book = book::open(desk)?;
    let pages = book.of_squad(asked.squad.as_deref())?;
    let (count, document) = current_cards(&pages, asked.layout, asked.units, now)?;
    if count == 0 {
        return Err(Problem::new(
            "Nobody has zones in force yet: read tests and confirm them first.",
        ));
    }
    let (pdf, warnings) = print(&document)?;
    write_whole(&asked.out, &pdf)?;
    Ok((count, warnings))
}

/// The cards of everyone with zones in force, and how many there are.
///
/// # Errors
/// The layout failed: a fault of the program.
pub(super) fn current_cards(
    pages: &[&Page],
    layout: Layout,
    units: UnitSystem,
    now: &Now,
) -> Result<(usize, Document), Problem> {
    let facts: Vec<CardFacts<'_>> = pages
        .iter()
        .filter_map(|page| Some(facts(page, page.current(now.today)?, units, now)))
        .collect();
    Ok((facts.len(), card::cards(&facts, layout)?))
}

fn facts<'a>(
    page: &Page,
    calibration: &'a Calibration,
    units: UnitSystem,
    now: &Now,
) -> CardFacts<'a> {
    let medication = page.is_medicated(now.today);
    CardFacts {
        athlete: page.athlete.name.clone(),
        calibration,
        units,
        medication,
        retests: retests(page, now),
        forty_minute_target: forty_minute_target(&calibration.markers)
            .filter(|_| !medication && page.may_test(TestKind::FortyMinutes, now)),
        out_of_date: !outdated(page, calibration, now).is_empty(),
        notes: notes(page, calibration, now),
    }
}

/// When to repeat each test that nothing but a booking holds; a closed window is no date to give.
fn retests(page: &Page, now: &Now) -> Vec<(TestKind, Window)> {
    page.due(now)
        .into_iter()
        .filter(|test| page.may_test(test.kind, now))
        .filter(|test| test.freshness.state != State::Overdue)
        .filter_map(|test| {
            let (opens, closes) = (test.freshness.opens_on?, test.freshness.closes_on?);
            Some((test.kind, Window { opens, closes }))
        })
        .collect()
}

/// Why the zones are out of date: windows that have closed, edges grown too uncertain.
fn outdated(page: &Page, calibration: &Calibration, now: &Now) -> Vec<OutOfDate> {
    out_of_date(calibration, &page.aways, RetestWindow::default(), now.today)
}

fn notes(page: &Page, calibration: &Calibration, now: &Now) -> Vec<String> {
    let mut notes = Vec::new();
    // nobody is told to run a test that something holds
    let late: Vec<String> = outdated(page, calibration, now)
        .into_iter()
        .map(OutOfDate::kind)
        .filter(|kind| page.may_test(*kind, now))
        .map(|kind| words::test(kind).to_owned())
        .collect();
    if !late.is_empty() {
        notes.push(format!("Repeat the {}.", late.join(" and the ")));
    }
    // after three weeks away paces are by feel until a new test
    let long_away = page.aways.iter().filter_map(|a| Some((a, a.to?))).find(|(away, to)| {
        let days = to.signed_duration_since(away.from).num_days() + 1;
        days >= 21 && *to >= calibration.from && *to < now.today
    });
    if let Some((_, to)) = long_away {
        notes.push(format!(
            "Back since {}: paces by feel until a new test.",
            day_short(to.succ_opt().unwrap_or(to))
        ));
    }
    notes
}
