//! What a coach types for the calendar: days in words, spans away, races.
//!
//! "12 Jan - 26 Jan holiday", "12 - 26 Jan camp", "since 3 Nov injury", "Sun 29 Nov 5 km Harbour Run
//! goal", "2026-11-29 half marathon". A day without a year is the one nearest to today, from three
//! months back to nine months ahead. A weekday that does not belong to its date is refused: one of the
//! two is a slip.

use chrono::{Datelike, NaiveDate, TimeDelta, Weekday};

use super::distance;
use crate::format::day;
use crate::schedule::AwayKind;
use crate::units::Distance;

/// What stands in a line.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A span away.
    Away(Span),
    /// A race.
    Race(Raced),
}

/// A span away as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Why.
    pub kind: AwayKind,
    /// First day.
    pub from: NaiveDate,
    /// Last day; `None` while it is open.
    pub to: Option<NaiveDate>,
}

/// A race as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Raced {
    /// When.
    pub on: NaiveDate,
    /// How far.
    pub distance: Distance,
    /// What it is called; may be empty.
    pub name: String,
    /// Whether it is a goal race.
    pub goal: bool,
}

/// Why a line says nothing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WrongEntry {
    /// Nothing was typed.
    #[error("nothing is written here")]
    Empty,
    /// No day in front.
    #[error("\"{0}\" does not begin with a day: write 29 Nov, Sun 29 Nov, or 2026-11-29")]
    NoDay(String),
    /// A day no calendar has.
    #[error("\"{0}\" is in no calendar")]
    NoSuchDay(String),
    /// The weekday does not belong to the date.
    #[error("{0} is a {1}, not a {2}: correct one of the two")]
    OtherWeekday(String, String, String),
    /// It ends before it begins.
    #[error("it ends on {1}, before it begins on {0}: turn the days round")]
    EndsFirst(String, String),
    /// Neither a reason for being away nor a distance.
    #[error(
        "\"{0}\" says neither why they are away (holiday, camp, illness, injury) nor how far a race is (5 km, half marathon)"
    )]
    NeitherReasonNorDistance(String),
    /// A span with a distance.
    #[error("a race is on one day: write its day alone")]
    RaceOverDays,
    /// Words left over behind a span.
    #[error("\"{0}\" was not understood: write the days and one of holiday, camp, illness, injury")]
    LeftOver(String),
}

/// A line of the calendar, read on a day.
///
/// # Errors
/// The one thing that is wrong with it.
pub fn entry(line: &str, today: NaiveDate) -> Result<Entry, WrongEntry> {
    let spaced = line.replace(['\u{2013}', '\u{2014}'], " - ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    if words.is_empty() {
        return Err(WrongEntry::Empty);
    }
    let (open, words) = match words.split_first() {
        Some((first, rest)) if matches!(first.to_lowercase().as_str(), "since" | "from") => {
            (true, rest)
        }
        _ => (false, words.as_slice()),
    };
    let (days, rest) = days(words, today)?;
    let text = rest.join(" ");
    if let Some((kind, left)) = reason(rest) {
        if !left.is_empty() {
            return Err(WrongEntry::LeftOver(left));
        }
        let to = match (days.until, open || days.open) {
            (Some(to), _) => Some(to),
            (None, true) => None,
            (None, false) => Some(days.from),
        };
        return Ok(Entry::Away(Span { kind, from: days.from, to }));
    }
    match race(rest) {
        Some(_) if days.until.is_some() || days.open || open => Err(WrongEntry::RaceOverDays),
        Some((distance, name, goal)) => {
            Ok(Entry::Race(Raced { on: days.from, distance, name, goal }))
        }
        None => Err(WrongEntry::NeitherReasonNorDistance(text)),
    }
}

/// A day in words or figures, read on a day: "Sun 29 Nov", "29 Nov 2026", "2026-11-29".
///
/// # Errors
/// Anything else.
pub fn any_day(text: &str, today: NaiveDate) -> Result<NaiveDate, WrongEntry> {
    let words: Vec<&str> = text.split_whitespace().collect();
    match one_day(&words, None, today)? {
        (day, []) => Ok(day),
        (_, left) => Err(WrongEntry::LeftOver(left.join(" "))),
    }
}

struct Typed {
    from: NaiveDate,
    until: Option<NaiveDate>,
    /// A dash with nothing behind it.
    open: bool,
}

/// One day or two with a dash between.
fn days<'w>(words: &'w [&'w str], today: NaiveDate) -> Result<(Typed, &'w [&'w str]), WrongEntry> {
    // "12 - 26 Jan": the first day borrows the month behind
    if let [first, dash, rest @ ..] = words
        && is_dash(dash)
        && let Some(number) = day_number(first)
    {
        let (until, rest) = one_day(rest, None, today)?;
        let from = until
            .with_day(number)
            .ok_or_else(|| WrongEntry::NoSuchDay(format!("{first} {}", until.format("%B"))))?;
        return in_order(from, until).map(|typed| (typed, rest));
    }
    let (from, rest) = one_day(words, None, today)?;
    match rest {
        [dash, rest @ ..] if is_dash(dash) => match one_day(rest, Some(from), today) {
            Ok((until, rest)) => in_order(from, until).map(|typed| (typed, rest)),
            Err(WrongEntry::NoDay(_)) => Ok((Typed { from, until: None, open: true }, rest)),
            Err(other) => Err(other),
        },
        _ => Ok((Typed { from, until: None, open: false }, rest)),
    }
}

fn in_order(from: NaiveDate, until: NaiveDate) -> Result<Typed, WrongEntry> {
    if until < from {
        return Err(WrongEntry::EndsFirst(day(from), day(until)));
    }
    Ok(Typed { from, until: Some(until), open: false })
}

fn is_dash(word: &str) -> bool {
    matches!(word.to_lowercase().as_str(), "-" | "to" | "until" | "till")
}

/// The day at the start of some words and what is left; a year that is left out comes from `after`
/// (the first such day from it on) or is the one nearest to today.
fn one_day<'w>(
    words: &'w [&'w str],
    after: Option<NaiveDate>,
    today: NaiveDate,
) -> Result<(NaiveDate, &'w [&'w str]), WrongEntry> {
    let none = || WrongEntry::NoDay(words.join(" "));
    let first = words.first().ok_or_else(none)?;
    let (weekday, rest) = match name_of_weekday(first) {
        Some(weekday) => (Some(weekday), words.get(1..).unwrap_or_default()),
        None => (None, words),
    };
    let (date, rest) = dated(rest, after, today)?.ok_or_else(none)?;
    match weekday {
        Some(said) if said != date.weekday() => Err(WrongEntry::OtherWeekday(
            day(date),
            date.format("%A").to_string(),
            long_name(said).to_owned(),
        )),
        _ => Ok((date, rest)),
    }
}

type Dated<'w> = Option<(NaiveDate, &'w [&'w str])>;

/// "2026-11-29", "29 Nov", "29 Nov 2026", "Nov 29".
fn dated<'w>(
    words: &'w [&'w str],
    after: Option<NaiveDate>,
    today: NaiveDate,
) -> Result<Dated<'w>, WrongEntry> {
    let Some((first, rest)) = words.split_first() else { return Ok(None) };
    if first.len() == 10 && first.bytes().filter(|b| *b == b'-').count() == 2 {
        let date = NaiveDate::parse_from_str(first, "%Y-%m-%d");
        return date
            .map(|d| Some((d, rest)))
            .map_err(|_| WrongEntry::NoSuchDay((*first).to_owned()));
    }
    let Some((second, rest)) = rest.split_first() else { return Ok(None) };
    let parts = day_number(first).zip(month(second)).or(day_number(second).zip(month(first)));
    let Some((number, month)) = parts else { return Ok(None) };
    let year = rest.first().and_then(|word| word.parse::<i32>().ok());
    let unit = rest.get(1).is_some_and(|word| with_unit("1", Some(word)).0.is_some());
    // "3000 m" and "2000 m" are no years
    let year = year.filter(|year| (1_900..=2_200).contains(year) && !unit);
    let missing = || WrongEntry::NoSuchDay(format!("{first} {second}"));
    match year {
        Some(year) => {
            let date = NaiveDate::from_ymd_opt(year, month, number).ok_or_else(missing)?;
            Ok(Some((date, rest.get(1..).unwrap_or_default())))
        }
        None => near(number, month, after, today).map(|d| Some((d, rest))).ok_or_else(missing),
    }
}

/// The first such day from `after` on, or the one from three months back to nine ahead of today.
fn near(number: u32, month: u32, after: Option<NaiveDate>, today: NaiveDate) -> Option<NaiveDate> {
    let from = after.unwrap_or(today.checked_sub_signed(TimeDelta::days(91))?);
    // four years hold a 29th of February; a leap day that is too far away is no slip of ours
    (from.year()..=from.year() + 4)
        .filter_map(|year| NaiveDate::from_ymd_opt(year, month, number))
        .find(|date| *date >= from)
}

fn day_number(word: &str) -> Option<u32> {
    let digits = word.trim_end_matches([',', '.']);
    let digits =
        ["st", "nd", "rd", "th"].iter().find_map(|end| digits.strip_suffix(end)).unwrap_or(digits);
    digits.parse().ok().filter(|n| (1..=31).contains(n))
}

fn month(word: &str) -> Option<u32> {
    const NAMES: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let word = word.trim_end_matches([',', '.']).to_lowercase();
    let begins = |name: &&str| word.len() >= 3 && name.starts_with(word.as_str());
    (1..).zip(NAMES).find(|(_, name)| begins(name)).map(|(number, _)| number)
}

fn name_of_weekday(word: &str) -> Option<Weekday> {
    let word = word.trim_end_matches([',', '.']);
    (word.len() >= 3).then(|| word.parse().ok()).flatten()
}

fn long_name(weekday: Weekday) -> &'static str {
    match weekday {
        Weekday::Mon => "Monday",
        Weekday::Tue => "Tuesday",
        Weekday::Wed => "Wednesday",
        Weekday::Thu => "Thursday",
        Weekday::Fri => "Friday",
        Weekday::Sat => "Saturday",
        Weekday::Sun => "Sunday",
    }
}

/// A reason for being away at the start, and the words left over.
fn reason(words: &[&str]) -> Option<(AwayKind, String)> {
    let (first, rest) = words.split_first()?;
    let kind = match first.to_lowercase().trim_matches([',', '.', '(', ')']) {
        "holiday" | "holidays" | "vacation" => AwayKind::Holiday,
        "camp" => AwayKind::Camp,
        "ill" | "illness" | "sick" => AwayKind::Illness,
        "injured" | "injury" | "hurt" => AwayKind::Injury,
        "away" if !rest.is_empty() => return reason(rest),
        _ => return None,
    };
    Some((kind, rest.join(" ")))
}

/// How far, what it is called, and whether it is a goal.
fn race(words: &[&str]) -> Option<(Distance, String, bool)> {
    let clean = |word: &&str| word.to_lowercase().trim_matches([',', '.', '(', ')']).to_owned();
    let is_goal = |word: &&str| clean(word) == "goal";
    let goal = words.last().is_some_and(is_goal) || words.first().is_some_and(is_goal);
    let words: Vec<&str> = words.iter().copied().filter(|word| !is_goal(word)).collect();
    for (place, word) in words.iter().enumerate() {
        let next = words.get(place + 1);
        let half = clean(word) == "half";
        let marathon = |word: Option<&&str>| word.is_some_and(|w| clean(w) == "marathon");
        let (far, taken) = if half {
            (Distance::from_m(21_097.5).ok(), if marathon(next) { 2 } else { 1 })
        } else if marathon(Some(word)) {
            (Distance::from_m(42_195.0).ok(), 1)
        } else {
            with_unit(word, next.copied())
        };
        if let Some(far) = far {
            let before = words.get(..place).unwrap_or_default();
            let after = words.get(place + taken..).unwrap_or_default();
            let name: Vec<&str> = before.iter().chain(after).copied().collect();
            return Some((far, name.join(" ").trim_matches([',', ' ']).to_owned(), goal));
        }
    }
    None
}

/// "5", "km" or "5km"; a number without a unit is no distance here.
fn with_unit(word: &str, next: Option<&str>) -> (Option<Distance>, usize) {
    if !word.starts_with(|c: char| c.is_ascii_digit()) {
        return (None, 0);
    }
    let has_unit = word.ends_with(|c: char| c.is_alphabetic());
    if has_unit {
        return (distance(word.trim_end_matches(',')).ok(), 1);
    }
    let joined = next.map(|unit| format!("{word} {}", unit.trim_end_matches(',')));
    let letters = next.is_some_and(|unit| unit.starts_with(|c: char| c.is_alphabetic()));
    (joined.filter(|_| letters).and_then(|text| distance(&text).ok()), 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    /// A Thursday.
    fn today() -> NaiveDate {
        on(2026, 11, 26)
    }

    fn away(kind: AwayKind, from: NaiveDate, to: Option<NaiveDate>) -> Entry {
        Entry::Away(Span { kind, from, to })
    }

    #[test]
    fn spans_away_are_read_as_a_coach_types_them() {
        let holiday = away(AwayKind::Holiday, on(2027, 1, 12), Some(on(2027, 1, 26)));
        for text in [
            "12 Jan - 26 Jan holiday",
            "12 - 26 Jan holiday",
            "12 Jan \u{2013} 26 Jan holiday",
            "Tue 12 January 2027 to 26 January 2027 holiday",
            "2027-01-12 - 2027-01-26 Holiday",
            "Jan 12 until Jan 26 away holiday",
        ] {
            assert_eq!(entry(text, today()).as_ref(), Ok(&holiday), "{text}");
        }
        // over the turn of the year the second day follows the first
        let camp = away(AwayKind::Camp, on(2026, 12, 27), Some(on(2027, 1, 3)));
        assert_eq!(entry("27 Dec - 3 Jan camp", today()), Ok(camp));
        let open = away(AwayKind::Injury, on(2026, 11, 3), None);
        assert_eq!(entry("since 3 Nov injury", today()), Ok(open.clone()));
        assert_eq!(entry("3 Nov - injured", today()), Ok(open.clone()));
        let one = away(AwayKind::Illness, on(2026, 11, 25), Some(on(2026, 11, 25)));
        assert_eq!(entry("25 Nov ill", today()), Ok(one));
    }

    #[test]
    fn races_are_read_with_distance_name_and_goal() {
        let read = |text: &str| match entry(text, today()).unwrap() {
            Entry::Race(raced) => (raced.on, raced.distance.m(), raced.name, raced.goal),
            Entry::Away(span) => panic!("{text}: {span:?}"),
        };
        let harbour = (on(2026, 11, 29), 5_000.0, "Harbour Run".to_owned(), true);
        assert_eq!(read("Sun 29 Nov 5 km Harbour Run goal"), harbour);
        assert_eq!(read("Sun 29 Nov Harbour Run 5km goal"), harbour);
        assert_eq!(read("2026-11-29 Harbour Run, 5,0 km (goal)"), harbour);
        let half = read("11 Apr half marathon Tarn Loop");
        assert_eq!(half, (on(2027, 4, 11), 21_097.5, "Tarn Loop".to_owned(), false));
        assert!((read("11 Apr 2027 marathon").1 - 42_195.0).abs() < 1e-9);
        assert!((read("5 Dec 10k").1 - 10_000.0).abs() < 1e-9);
        assert!((read("5 Dec 2000 m indoor").1 - 2_000.0).abs() < 1e-9);
        assert!((read("5 Dec 2026 3000 m").1 - 3_000.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_wrong_is_said_by_its_name() {
        let said = |text: &str| entry(text, today()).unwrap_err().to_string();
        assert_eq!(said(" "), "nothing is written here");
        assert!(said("Mon 29 Nov 5 km").contains("29 November 2026 is a Sunday, not a Monday"));
        assert!(said("26 Jan 2027 - 12 Jan 2027 holiday").contains("before it begins"));
        assert!(said("26 - 12 Jan holiday").contains("before it begins"));
        assert!(said("31 Nov 5 km").contains("in no calendar"));
        assert!(said("2026-02-30 5 km").contains("in no calendar"));
        assert!(said("Harbour Run 5 km").contains("does not begin with a day"));
        assert!(said("12 Jan - 26 Jan").contains("says neither why"));
        assert!(said("12 Jan - 26 Jan 5 km").contains("one day"));
        assert!(said("12 Jan - 26 Jan holiday in Spain").contains("\"in Spain\""));
    }

    proptest::proptest! {
        #[test]
        fn any_line_is_understood_or_refused(text in "\\PC{0,40}") {
            let _ = entry(&text, today()).is_ok();
        }
    }
}
