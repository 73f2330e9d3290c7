//! The split sheet: a session by zone, every athlete's lap times in pace groups.

use std::collections::HashSet;
use std::path::PathBuf;

use chrono::NaiveDate;
use pacewright_core::format::day;
use pacewright_core::ids::AthleteId;
use pacewright_core::parse::calendar::any_day;
use pacewright_core::session::{self, Apart, Entrant, Session, Splits, WrongSession};
use pacewright_core::units::UnitSystem;
use pacewright_sheets::Document;
use pacewright_sheets::split::{self, SplitFacts};

use super::{Ready, chosen_pages, print, ready};
use crate::book::{self, Book, Page};
use crate::desk::Desk;
use crate::files::write_whole;
use crate::settings::{Settings, settings};
use crate::typed::lap;
use crate::{Now, Problem};

/// The length of a lap where nobody says another: a standard track's, metres.
pub const USUAL_LAP: &str = "400";

/// What a session is asked for by, as it is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionTyped {
    /// The zone's number.
    pub zone: u8,
    /// "6 x 1000 m".
    pub run: String,
    /// The length of a lap; empty where only the repetition is timed.
    pub lap: String,
}

/// What is wrong with a session that was typed, field by field; each in one sentence.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WrongTyped {
    /// The zone.
    pub zone: Option<String>,
    /// The repetitions.
    pub run: Option<String>,
    /// The lap.
    pub lap: Option<String>,
    /// The day, where one is typed.
    pub day: Option<String>,
}

/// The day of a session that was typed: today where nothing is, never a day that is past.
///
/// # Errors
/// What is wrong, in one sentence.
pub fn session_day(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    if text.trim().is_empty() {
        return Ok(today);
    }
    match any_day(text, today) {
        Ok(on) if on < today => {
            Err(format!("{} is past: a split sheet is of today or of a day to come", day(on)))
        }
        Ok(on) => Ok(on),
        Err(wrong) => Err(wrong.to_string()),
    }
}

impl SessionTyped {
    /// The session it says.
    ///
    /// # Errors
    /// What is wrong, field by field.
    pub fn session(&self) -> Result<Session, WrongTyped> {
        let (lap, mut wrong) = match lap(&self.lap) {
            Ok(lap) => (lap, WrongTyped::default()),
            Err(lap) => (None, WrongTyped { lap: Some(lap), ..WrongTyped::default() }),
        };
        match Session::new(self.zone, &self.run, lap) {
            Ok(session) if wrong == WrongTyped::default() => Ok(session),
            Ok(_) => Err(wrong),
            Err(why @ WrongSession::Zone(_)) => {
                wrong.zone = Some(why.to_string());
                Err(wrong)
            }
            // a lap that is wrong is said once, and not missed under the repetitions too
            Err(why @ WrongSession::Repetitions(_)) => {
                let missed = session::needs_lap(&why) && wrong.lap.is_some();
                wrong.run = (!missed).then(|| why.to_string());
                Err(wrong)
            }
        }
    }
}

/// Which sheet is wanted.
#[derive(Debug, Clone)]
pub struct SplitsAsked {
    /// The session.
    pub session: SessionTyped,
    /// Only this squad's.
    pub squad: Option<String>,
    /// Where the PDF goes.
    pub out: PathBuf,
    /// Units of the paces; the library's setting where none are asked for.
    pub units: Option<UnitSystem>,
}

/// What was written: the groups on the sheet, and what has to be said.
#[derive(Debug, Clone, PartialEq)]
pub struct SplitsWritten {
    /// The groups, and who stands apart.
    pub splits: Splits,
    /// What has to be said about the print.
    pub warnings: Vec<String>,
}

/// Writes the split sheet of a squad, or of everybody.
///
/// # Errors
/// A session that cannot be, no such squad, nobody with times in the zone, a place that cannot be
/// written.
pub fn splits(desk: &Desk, asked: &SplitsAsked, now: &Now) -> Result<SplitsWritten, Problem> {
    let session = asked.session.session().map_err(|wrong| Problem::new(first(&wrong)))?;
    let book = book::open(desk)?;
    let pages = book.of_squad(asked.squad.as_deref())?;
    let settings = settings(desk)?;
    let settings = Settings { units: asked.units.unwrap_or(settings.units), ..settings };
    let squad = match &asked.squad {
        Some(name) => book.squad(name)?.name.clone(),
        None => of_whom(&book, &settings, &pages),
    };
    let splits = of_pages(&pages, &session, settings.units, now.today);
    let (pdf, warnings) = print(&laid_out(&splits, squad, &settings, now.today)?)?;
    write_whole(&asked.out, &pdf)?;
    Ok(SplitsWritten { splits, warnings })
}

fn first(wrong: &WrongTyped) -> String {
    let all = [&wrong.zone, &wrong.run, &wrong.lap, &wrong.day];
    let said = all.into_iter().flatten().next().map_or("that is no session", String::as_str);
    format!("{}.", pacewright_core::words::capital(said))
}

/// The times of chosen athletes on a day, in pace groups.
pub fn splits_of(
    book: &Book,
    chosen: &[AthleteId],
    session: &Session,
    units: UnitSystem,
    on: NaiveDate,
) -> Splits {
    of_pages(&chosen_pages(book, chosen), session, units, on)
}

/// Why an athlete would stand apart in a session of a zone on a day, whatever is run.
pub fn apart_on(page: &Page, zone: u8, on: NaiveDate) -> Option<Apart> {
    session::apart(zone, &entrant(page, on), on)
}

/// The split sheet of chosen athletes on a day by the library's settings, with a picture of one page.
///
/// # Errors
/// Nobody chosen has times in the zone; the layout failed.
pub fn split_sheet(
    book: &Book,
    chosen: &[AthleteId],
    (session, page): (&Session, usize),
    settings: &Settings,
    on: NaiveDate,
) -> Result<Ready, Problem> {
    let pages = chosen_pages(book, chosen);
    let splits = of_pages(&pages, session, settings.units, on);
    let document = laid_out(&splits, of_whom(book, settings, &pages), settings, on)?;
    ready(&document, page)
}

fn of_pages(pages: &[&Page], session: &Session, units: UnitSystem, on: NaiveDate) -> Splits {
    let entrants: Vec<Entrant<'_>> = pages.iter().map(|page| entrant(page, on)).collect();
    session::splits(session, &entrants, units, on)
}

/// An athlete as far as a session of a day asks.
fn entrant(page: &Page, on: NaiveDate) -> Entrant<'_> {
    Entrant {
        athlete: &page.athlete,
        calibration: page.current(on),
        medicated: page.is_medicated(on),
        aways: &page.aways,
        tests: &page.tests,
        window: page.planning.window(),
    }
}

fn laid_out(
    splits: &Splits,
    squad: String,
    settings: &Settings,
    on: NaiveDate,
) -> Result<Document, Problem> {
    if splits.athletes() == 0 {
        return Err(Problem::new(nobody(splits)));
    }
    let (units, paper) = (settings.units, settings.paper);
    Ok(split::split(&SplitFacts { squad, on, units, paper, splits })?)
}

/// Why there is no sheet, with the first reason.
fn nobody(splits: &Splits) -> String {
    let zone = splits.session.zone();
    match splits.apart.first() {
        Some((name, why)) => format!(
            "Nobody has times in zone {zone} ({name}: {}).",
            pacewright_core::words::apart_in_short(why)
        ),
        None => "Nobody is there to run: add athletes first.".to_owned(),
    }
}

/// What the sheet calls them: the squad they are the whole of, else the club, else athletes.
fn of_whom(book: &Book, settings: &Settings, pages: &[&Page]) -> String {
    let chosen: HashSet<AthleteId> = pages.iter().map(|page| page.athlete.id).collect();
    let is_whole = |squad: &&pacewright_core::athlete::Squad| {
        let of_squad = book.pages.iter().filter(|page| page.athlete.squads.contains(&squad.id));
        let here = |page: &Page| chosen.contains(&page.athlete.id);
        let (mut all, mut count) = (true, 0);
        for page in of_squad {
            (all, count) = (all && here(page), count + 1);
        }
        all && count == pages.len()
    };
    match book.squads.iter().find(is_whole) {
        Some(squad) => squad.name.clone(),
        None if !settings.club.is_empty() => settings.club.clone(),
        None => "Athletes".to_owned(),
    }
}
