//! How squads test, as it is typed: meeting days, capacity, window, season; and athletes' own windows.

use chrono::{NaiveTime, Weekday};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::programme::{MeetingDay, Months, OwnWindow, Programme, USUAL_CAPACITY};
use pacewright_core::retest::RetestWindow;
use pacewright_core::test::TestKind;
use pacewright_store::{Act, Change, Fact, Library};

use crate::book::{Book, Page};
use crate::desk::Desk;
use crate::{Now, Problem};

/// The most athletes anyone tests on one day (judgement).
const MOST_A_DAY: u32 = 200;
/// The longest window, in weeks (judgement: a year).
const LONGEST_WEEKS: u32 = 52;

/// A programme as it is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProgrammeForm {
    /// "Tue 18:30, Sat".
    pub days: String,
    /// How many a day.
    pub capacity: String,
    /// "4 to 8" weeks.
    pub window: String,
    /// Months of the 5-, 20- and 40-minute test: "all", or "Mar-Oct, Dec".
    pub season: [String; 3],
    /// Athletes with windows of their own: "Ida Berg: 3 to 6; Bo Reed: 5 to 9".
    pub own: String,
}

impl ProgrammeForm {
    /// As a squad's programme fills it; the usual one where it has none.
    pub fn of(book: &Book, squad: SquadId) -> Self {
        let known = book.programmes.iter().find(|programme| programme.squad == squad);
        let own: Vec<String> = members(book, squad)
            .filter_map(|page| {
                let own = page.planning.own?.window;
                Some(format!("{}: {}", page.athlete.name, window_words(own)))
            })
            .collect();
        let own = own.join("; ");
        let Some(known) = known else {
            return Self {
                days: String::new(),
                capacity: USUAL_CAPACITY.to_string(),
                window: window_words(RetestWindow::default()),
                season: ["all", "all", "all"].map(str::to_owned),
                own,
            };
        };
        let day = |day: &MeetingDay| match day.at {
            Some(at) => format!("{} {}", day.weekday, at.format("%H:%M")),
            None => day.weekday.to_string(),
        };
        Self {
            days: known.days.iter().map(day).collect::<Vec<_>>().join(", "),
            capacity: known.capacity.to_string(),
            window: window_words(known.window),
            season: known.season.map(months_words),
            own,
        }
    }

    /// Keeps the programme of a squad; undone like any act.
    ///
    /// # Errors
    /// The first thing that was not understood: then nothing is kept.
    pub fn keep(&self, desk: &Desk, squad: SquadId, now: &Now) -> Result<String, Problem> {
        let (days, window) = (days(&self.days)?, window(&self.window)?);
        let capacity = capacity(&self.capacity)?;
        let mut season = [Months::default(); 3];
        for ((months, typed), kind) in season.iter_mut().zip(&self.season).zip(TestKind::ALL) {
            *months = self::months(typed, kind)?;
        }
        let own = own_windows(&self.own, &crate::book::open(desk)?, squad)?;
        let at = now.instant;
        desk.ask(move |library| {
            let known = library.programmes()?.into_iter().find(|p| p.squad == squad);
            let id = match known {
                Some(known) => known.id,
                None => library.fresh_id()?,
            };
            let name = library.squads()?.into_iter().find(|s| s.id == squad).map(|s| s.name);
            let name = name.unwrap_or_else(|| "the squad".to_owned());
            let what = format!("Change how {name} tests");
            let said = format!("How {name} tests is changed.");
            let programme = Programme { id, squad, days, capacity, window, season };
            let mut changes = vec![Change::PutProgramme(programme)];
            for (athlete, window) in own {
                changes.extend(own_window(library, athlete, window)?);
            }
            let _done = library.act(&Act { what, at, changes })?;
            Ok(said)
        })
    }
}

/// Keeps an athlete's own window ("4 to 8"); nothing typed goes back to the squad's.
///
/// # Errors
/// What was not understood; nothing is kept then.
pub fn keep_own_window(
    desk: &Desk,
    athlete: AthleteId,
    typed: &str,
    now: &Now,
) -> Result<(), Problem> {
    let wanted = if typed.trim().is_empty() { None } else { Some(window(typed)?) };
    let at = now.instant;
    desk.ask(move |library| {
        if let Some(change) = own_window(library, athlete, wanted)? {
            let what = format!("Change the retest window of {}", library.athlete(athlete)?.name);
            let _done = library.act(&Act { what, at, changes: vec![change] })?;
        }
        Ok(())
    })
}

/// What makes an athlete's own window the wanted one; `None` where it is already.
fn own_window(
    library: &mut Library,
    athlete: AthleteId,
    wanted: Option<RetestWindow>,
) -> Result<Option<Change>, Problem> {
    let known = library.own_windows()?.into_iter().find(|own| own.athlete == athlete);
    Ok(match (known, wanted) {
        (None, None) => None,
        (Some(known), Some(window)) if known.window == window => None,
        (Some(known), None) => Some(Change::Remove(Fact::OwnWindow(known.id))),
        (Some(known), Some(window)) => Some(Change::PutOwnWindow(OwnWindow { window, ..known })),
        (None, Some(window)) => {
            let id = library.fresh_id()?;
            Some(Change::PutOwnWindow(OwnWindow { id, athlete, window }))
        }
    })
}

fn members(book: &Book, squad: SquadId) -> impl Iterator<Item = &Page> {
    book.pages.iter().filter(move |page| page.athlete.squads.contains(&squad))
}

type Own = Vec<(AthleteId, Option<RetestWindow>)>;

/// "Ida Berg: 3 to 6; Bo Reed: 5 to 9": the window of each of the squad; none for who is not named.
fn own_windows(typed: &str, book: &Book, squad: SquadId) -> Result<Own, Problem> {
    let mut own: Own = members(book, squad).map(|page| (page.athlete.id, None)).collect();
    for part in typed.split([';', '\n']).map(str::trim).filter(|part| !part.is_empty()) {
        let (name, weeks) = part.split_once(':').ok_or_else(|| {
            Problem::new(format!(
                "\"{part}\" names no athlete: write the name, a colon and the weeks, like \"Ida Berg: 3 to 6\"."
            ))
        })?;
        let athlete = book.of_athlete(name)?.athlete.id;
        let window = window(weeks)?;
        match own.iter_mut().find(|(id, _)| *id == athlete) {
            Some(place) => place.1 = Some(window),
            None => {
                return Err(Problem::new(format!("{} is not in this squad.", name.trim())));
            }
        }
    }
    Ok(own)
}

fn window_words(window: RetestWindow) -> String {
    format!("{} to {}", window.opens_weeks, window.closes_weeks)
}

fn months_words(months: Months) -> String {
    const NAMES: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let names: Vec<&str> = (1..)
        .zip(NAMES)
        .filter(|(number, _)| months.numbers().any(|month| month == *number))
        .map(|(_, name)| name)
        .collect();
    match names.len() {
        12 => "all".to_owned(),
        0 => "none".to_owned(),
        _ => names.join(", "),
    }
}

/// "Tue 18:30, Sat".
fn days(typed: &str) -> Result<Vec<MeetingDay>, Problem> {
    let refused = |part: &str| {
        Problem::new(format!(
            "\"{part}\" is no meeting day: write weekdays, with the time where it is fixed, like \"Tue 18:30, Sat\"."
        ))
    };
    let mut days: Vec<MeetingDay> = Vec::new();
    for part in typed.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
        let mut words = part.split_whitespace();
        let weekday: Option<Weekday> = words.next().and_then(|word| word.parse().ok());
        let weekday = weekday.ok_or_else(|| refused(part))?;
        let at = match words.next() {
            None => None,
            Some(time) => {
                Some(NaiveTime::parse_from_str(time, "%H:%M").map_err(|_| refused(part))?)
            }
        };
        if words.next().is_some() {
            return Err(refused(part));
        }
        if days.iter().any(|day| day.weekday == weekday) {
            return Err(Problem::new(format!("{weekday} stands twice among the meeting days.")));
        }
        days.push(MeetingDay { weekday, at });
    }
    days.sort_by_key(|day| day.weekday.num_days_from_monday());
    Ok(days)
}

/// How many can be tested a day, as typed.
///
/// # Errors
/// No number, 0, or more than anyone tests.
pub fn capacity(typed: &str) -> Result<u32, Problem> {
    let number: Option<u32> = typed.trim().parse().ok();
    number.filter(|n| (1..=MOST_A_DAY).contains(n)).ok_or_else(|| {
        Problem::new(format!(
            "\"{}\" is no capacity: give how many can be tested a day, 1 to {MOST_A_DAY}.",
            typed.trim()
        ))
    })
}

/// "4 to 8".
fn window(typed: &str) -> Result<RetestWindow, Problem> {
    let text = typed.to_lowercase().replace("weeks", " ").replace(['-', '\u{2013}'], " to ");
    let numbers: Vec<&str> = text.split("to").map(str::trim).collect();
    let weeks = match numbers.as_slice() {
        [opens, closes] => opens.parse().ok().zip(closes.parse().ok()),
        _ => None,
    };
    let fits =
        |(opens, closes): &(u32, u32)| *opens >= 1 && opens < closes && *closes <= LONGEST_WEEKS;
    let (opens_weeks, closes_weeks) = weeks.filter(fits).ok_or_else(|| {
        Problem::new(format!(
            "\"{}\" is no retest window: write the weeks after which it opens and closes, like \"4 to 8\", at most {LONGEST_WEEKS}.",
            typed.trim()
        ))
    })?;
    Ok(RetestWindow { opens_weeks, closes_weeks })
}

/// "all", "none", "Mar-Oct, Dec".
fn months(typed: &str, kind: TestKind) -> Result<Months, Problem> {
    let refused = |part: &str| {
        Problem::new(format!(
            "\"{part}\" is no part of the year for the {}-minute test: write months like \"Mar-Oct, Dec\", or \"all\".",
            kind.minutes()
        ))
    };
    let month = |text: &str| {
        let month: Option<chrono::Month> = text.trim().parse().ok();
        month.map(|month| month.number_from_month())
    };
    match typed.trim().to_lowercase().as_str() {
        "all" | "" => return Ok(Months::default()),
        "none" => return Ok(Months::of([])),
        _ => {}
    }
    let mut numbers = Vec::new();
    for part in typed.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
        let (first, last) = part.split_once(['-', '\u{2013}']).unwrap_or((part, part));
        let (first, last) = month(first).zip(month(last)).ok_or_else(|| refused(part))?;
        // from October to March goes over the turn of the year
        let span = if last >= first { last - first } else { last + 12 - first };
        numbers.extend((0..=span).map(|after| (first - 1 + after) % 12 + 1));
    }
    Ok(Months::of(numbers))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_understood_or_named() {
        let read = days("Sat, Tue 18:30").unwrap();
        assert_eq!(read.len(), 2);
        assert_eq!((read[0].weekday, read[1].at), (Weekday::Tue, None));
        assert!(days("Tue 25:00").unwrap_err().to_string().contains("\"Tue 25:00\""));
        assert!(days("Tue, tue").unwrap_err().to_string().contains("twice"));
        assert_eq!(window("4 to 8 weeks").unwrap(), RetestWindow::default());
        assert_eq!(window("3\u{2013}6").unwrap().closes_weeks, 6);
        for wrong in ["8 to 4", "0 to 8", "4", "4 to 80", ""] {
            assert!(window(wrong).is_err(), "{wrong}");
        }
        for wrong in ["0", "-1", "201", "many", ""] {
            assert!(capacity(wrong).is_err(), "{wrong}");
        }
        let winter = months("Oct-Mar", TestKind::FiveMinutes).unwrap();
        assert_eq!(winter.numbers().collect::<Vec<_>>(), [1, 2, 3, 10, 11, 12]);
        assert_eq!(months_words(winter), "Jan, Feb, Mar, Oct, Nov, Dec");
        assert_eq!(months(&months_words(winter), TestKind::FiveMinutes).unwrap(), winter);
        assert!(months("Smarch", TestKind::FiveMinutes).is_err());
    }
}
