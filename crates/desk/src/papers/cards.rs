//! Zone cards: every current calibration of a squad.

use std::path::PathBuf;

use chrono::NaiveDate;
use pacewright_core::aging::{OutOfDate, by_feel_since};
use pacewright_core::calibration::Calibration;
use pacewright_core::format::{day, day_short};
use pacewright_core::ids::AthleteId;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::retest::State;
use pacewright_core::test::TestKind;
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_sheets::card::{self, CardFacts};
use pacewright_sheets::strip::Window;
use pacewright_sheets::{Document, Paper};

use pacewright_sheets::card::Layout;

use super::{Ready, chosen_pages, print, ready};
use crate::book::{self, Book, Page};
use crate::desk::Desk;
use crate::files::write_whole;
use crate::settings::{Settings, settings};
use crate::{Now, Problem};

/// Which cards are wanted.
#[derive(Debug, Clone)]
pub struct CardsAsked {
    /// Only this squad's.
    pub squad: Option<String>,
    /// Where the PDF goes.
    pub out: PathBuf,
    /// One card to a page; else eight.
    pub single: bool,
    /// Units of the paces; the library's setting where none are asked for.
    pub units: Option<UnitSystem>,
}

/// Writes the cards of everyone with zones in force; gives their number and what has to be said.
///
/// # Errors
/// No such squad, nobody with zones yet, a place that cannot be written.
pub fn cards(desk: &Desk, asked: &CardsAsked, now: &Now) -> Result<(usize, Vec<String>), Problem> {
    let book = book::open(desk)?;
    let pages = book.of_squad(asked.squad.as_deref())?;
    let settings = settings(desk)?;
    let layout = if asked.single { Layout::OneToAPage } else { eight_to_a_page(settings.paper) };
    let (count, document) =
        current_cards(&pages, layout, asked.units.unwrap_or(settings.units), now)?;
    if count == 0 {
        return Err(Problem::new(
            "Nobody has zones in force yet: read tests and confirm them first.",
        ));
    }
    let (pdf, warnings) = print(&document)?;
    write_whole(&asked.out, &pdf)?;
    Ok((count, warnings))
}

/// The cards of chosen athletes by the library's settings, with a picture of one page.
///
/// # Errors
/// Nobody chosen has zones; the layout failed.
pub fn sheets_of(
    book: &Book,
    chosen: &[AthleteId],
    settings: &Settings,
    (single, page): (bool, usize),
    now: &Now,
) -> Result<Ready, Problem> {
    let pages = chosen_pages(book, chosen);
    let layout = if single { Layout::OneToAPage } else { eight_to_a_page(settings.paper) };
    let (cards, document) = current_cards(&pages, layout, settings.units, now)?;
    if cards == 0 {
        return Err(Problem::new("Nobody chosen has zones in force yet."));
    }
    ready(&document, page)
}

/// Eight cards to a page of the paper in the printer.
pub(super) fn eight_to_a_page(paper: Paper) -> Layout {
    match paper {
        Paper::A4 => Layout::EightToAPage,
        Paper::Letter => Layout::EightToALetterPage,
    }
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
        .filter_map(|page| Some(card_facts(page, page.current(now.today)?, units, now)))
        .collect();
    Ok((facts.len(), card::cards(&facts, layout)?))
}

/// What a card says of zones in force today; on zones that were replaced it says so, and proposes
/// no test. The athlete's page shows the same.
pub fn card_facts<'a>(
    page: &Page,
    calibration: &'a Calibration,
    units: UnitSystem,
    now: &Now,
) -> CardFacts<'a> {
    let medication = page.is_medicated(now.today);
    if let Some(replaced) = replaced_on(page, calibration, now) {
        return CardFacts {
            athlete: page.athlete.name.clone(),
            calibration,
            units,
            medication,
            retests: Vec::new(),
            forty_minute_target: None,
            out_of_date: true,
            after_weeks_away: false,
            notes: vec![format!("Replaced by new zones on {}.", day(replaced))],
        };
    }
    let outdated = page.outdated(calibration, now.today);
    let back = by_feel_since(calibration, &page.aways, now.today);
    CardFacts {
        athlete: page.athlete.name.clone(),
        calibration,
        units,
        medication,
        retests: retests(page, now),
        forty_minute_target: forty_minute_target(&calibration.markers)
            .filter(|_| !medication && page.may_test(TestKind::FortyMinutes, now)),
        out_of_date: !outdated.is_empty(),
        after_weeks_away: back.is_some(),
        notes: notes(page, outdated, back, now),
    }
}

/// The day from which other zones are in force than these.
fn replaced_on(page: &Page, calibration: &Calibration, now: &Now) -> Option<NaiveDate> {
    let current = page.current(now.today)?;
    let newer = (calibration.from, calibration.id) < (current.from, current.id);
    let after = |other: &&Calibration| (other.from, other.id) > (calibration.from, calibration.id);
    let next = page.calibrations.iter().filter(after).min_by_key(|other| (other.from, other.id));
    next.filter(|_| newer).map(|other| other.from)
}

/// The card of one calibration, current or replaced, as a PDF.
///
/// # Errors
/// The layout failed: a fault of the program.
pub fn card_of(
    page: &Page,
    calibration: &Calibration,
    units: UnitSystem,
    now: &Now,
) -> Result<Vec<u8>, Problem> {
    let facts = card_facts(page, calibration, units, now);
    let (pdf, _) = print(&card::cards(&[facts], Layout::OneToAPage)?)?;
    Ok(pdf)
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

fn notes(page: &Page, outdated: Vec<OutOfDate>, back: Option<NaiveDate>, now: &Now) -> Vec<String> {
    let mut notes = Vec::new();
    // nobody is told to run a test that something holds
    let late: Vec<TestKind> = outdated
        .into_iter()
        .map(OutOfDate::kind)
        .filter(|kind| page.may_test(*kind, now))
        .collect();
    notes.extend(words::tests(&late).map(|tests| format!("Repeat the {tests}.")));
    // after three weeks away paces are by feel until a new test
    if let Some(back) = back {
        notes.push(format!("Back since {}: paces by feel until a new test.", day_short(back)));
    }
    notes
}
