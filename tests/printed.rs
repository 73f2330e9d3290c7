//! The demo's papers read back: every number on every card against what is in force, the calendar by
//! the rules of its standard.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use pacewright_core::calibration::Calibration;
use pacewright_core::retest::{Hold, State};
use pacewright_core::units::Speed;
use pacewright_core::words;
use pacewright_core::zones::{HeartRateBand, PaceBand, Zone};
use pacewright_desk::due::{DueLine, due};
use pacewright_desk::{Desk, Now, book};

use crate::squad::Papers;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 25).unwrap()
}

fn demo() -> (Desk, Papers) {
    let now = Now::noon_of(today());
    let desk = Desk::in_memory().unwrap();
    pacewright_demo::fill(&desk, &pacewright_demo::squad(today()), &now).unwrap();
    let papers = Papers::of(&desk, &now);
    (desk, papers)
}

/// Whole seconds, halves up, written out here again on purpose.
fn seconds(metres: f64, speed: Speed) -> u32 {
    let exact = metres / speed.m_per_s();
    (0..7_200).find(|whole| f64::from(*whole) + 0.5 > exact).unwrap()
}

fn clock(seconds: u32) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

fn pace_words(band: Option<PaceBand>, recovery: bool) -> String {
    let Some(band) = band else {
        return if recovery { "walk, or very easy jog" } else { "–" }.to_owned();
    };
    let (slow, fast) = (
        band.slowest.map(|speed| seconds(1_000.0, speed)),
        band.fastest.map(|speed| seconds(1_000.0, speed)),
    );
    match (slow, fast) {
        (Some(slow), Some(fast)) => format!("{} – {}", clock(slow), clock(fast + 1)),
        (Some(slow), None) => format!("{} and faster", clock(slow)),
        (None, Some(fast)) if recovery => format!("slower than {}", clock(fast)),
        (None, Some(fast)) => format!("{} and slower", clock(fast + 1)),
        other @ (None, None) => panic!("no such zone: {other:?}"),
    }
}

fn beats_words(band: Option<HeartRateBand>) -> String {
    match band.map(|band| (band.from, band.to)) {
        None => "–".to_owned(),
        Some((Some(from), Some(to))) => format!("{from} – {to}"),
        Some((None, Some(to))) => format!("below {}", to + 1),
        Some((Some(from), None)) => format!("above {}", from - 1),
        other => panic!("no such zone: {other:?}"),
    }
}

/// What a card must say of each zone: its number and name; then heart rate where the card has any,
/// pace and lap, one after the other.
fn rows(zones: &Calibration) -> Vec<(String, String)> {
    let any = zones.zones.zones.iter().any(|zone| zone.heart_rate.is_some());
    let row = |zone: &Zone| {
        let recovery = zone.number == 1;
        let fast = zone.pace.and_then(|band| band.fastest).filter(|_| !recovery);
        let mut cells: Vec<String> =
            any.then(|| beats_words(zone.heart_rate)).into_iter().collect();
        cells.push(pace_words(zone.pace, recovery));
        // the fastest lap that is not faster than the pace beside it: four tenths of it, rounded up
        let lap = |fast| clock(((seconds(1_000.0, fast) + 1) * 4).div_ceil(10));
        cells.push(fast.map_or_else(|| "–".to_owned(), lap));
        (format!("{} {} ", zone.number, zone.name), cells.join(" "))
    };
    zones.zones.zones.iter().map(row).collect()
}

/// Each zone's part of a card, from its number and name to the next one's.
fn row_parts<'a>(name: &str, card: &'a str, rows: &[(String, String)]) -> Vec<&'a str> {
    let starts: Vec<usize> = rows
        .iter()
        .map(|(head, _)| card.find(head).unwrap_or_else(|| panic!("{name}: {head} in {card}")))
        .collect();
    assert!(starts.is_sorted(), "{name}: {card}");
    let ends = starts.iter().skip(1).copied().chain([card.len()]);
    starts.iter().zip(ends).map(|(start, end)| &card[*start..end]).collect()
}

fn day(date: NaiveDate) -> String {
    date.format("%-d %B %Y").to_string()
}

/// "5 minutes by 11 December from 13 November", where nothing holds the test.
fn retest(line: &DueLine) -> Option<String> {
    let near = |date: NaiveDate| date.format("%-d %B").to_string();
    let shown =
        line.held_by.iter().all(|hold| *hold == Hold::Booked) && line.state != State::Overdue;
    let (opens, closes) = (line.opens_on?, line.closes_on?);
    shown.then(|| {
        let minutes = line.kind.minutes();
        format!("{minutes} minutes by {} from {}", near(closes), near(opens))
    })
}

#[test]
fn every_card_says_what_is_in_force() {
    let (desk, papers) = demo();
    let Some(text) = papers.printed("cards.pdf") else { return };
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let book = book::open(&desk).unwrap();
    let lines = due(&book, &Now::noon_of(today()));
    // cards stand in the order of the book; each ends with the caution
    let mut cards = text.split("Training advice, not medical clearance.");
    for page in &book.pages {
        let name = &page.athlete.name;
        let zones = page.current(today()).unwrap();
        let card = cards.next().unwrap().trim();
        assert!(card.starts_with(name.as_str()), "{name}: {card}");
        let head = &card[..card.find("Zone ").unwrap()];
        assert!(head.contains(&format!("from {}", day(zones.from))), "{name}: {card}");
        for basis in &zones.basis {
            let stated = format!("{} {}", words::stands_on(basis), day(basis.on));
            assert!(head.contains(&stated), "{name}: {stated} in {card}");
        }
        assert_eq!(head.matches("-minute test").count(), zones.basis.len(), "{name}");
        let rows = rows(zones);
        for (part, (_, cells)) in row_parts(name, card, &rows).into_iter().zip(&rows) {
            assert!(part.contains(cells.as_str()), "{name}: {cells} in {part}");
        }
        let due: Vec<String> =
            lines.iter().filter(|line| line.athlete == *name).filter_map(retest).collect();
        for retest in &due {
            assert!(card.contains(retest), "{name}: {retest} in {card}");
        }
        assert_eq!(card.matches(" minutes by ").count(), due.len(), "{name}: {card}");
        let late = zones.basis.iter().any(|basis| {
            lines.iter().any(|line| {
                (line.athlete == *name && line.kind == basis.kind) && line.state == State::Overdue
            })
        });
        assert_eq!(head.contains("out of date"), late, "{name}: {card}");
    }
    assert_eq!(cards.next().map(str::trim), Some(""), "no card too many");
}

#[test]
fn the_zones_table_says_what_the_cards_say() {
    let (desk, papers) = demo();
    let book = book::open(&desk).unwrap();
    let text = papers.text("zones.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut found: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for record in reader.records() {
        let cells: Vec<String> = record.unwrap().iter().map(str::to_owned).collect();
        let double = found.insert((cells[0].clone(), cells[2].clone()), cells);
        assert_eq!(double, None);
    }
    assert_eq!(found.len(), book.pages.len() * 5);
    for page in &book.pages {
        let zones = page.current(today()).unwrap();
        for zone in &zones.zones.zones {
            let cells = &found[&(page.athlete.name.clone(), zone.number.to_string())];
            let beats = |beat: Option<u16>| beat.map(|b| b.to_string()).unwrap_or_default();
            let edge = |speed: Option<Speed>, more: u32| {
                speed.map(|s| clock(seconds(1_000.0, s) + more)).unwrap_or_default()
            };
            let expected = [
                zones.from.to_string(),
                zone.number.to_string(),
                zone.name.clone(),
                beats(zone.heart_rate.and_then(|band| band.from)),
                beats(zone.heart_rate.and_then(|band| band.to)),
                edge(zone.pace.and_then(|band| band.slowest), 0),
                edge(zone.pace.and_then(|band| band.fastest), 1),
                if zone.estimated { "yes" } else { "no" }.to_owned(),
            ];
            assert_eq!(cells[1..], expected, "{}", page.athlete.name);
        }
    }
}

/// The content lines of a calendar (RFC 5545, 3.1): CRLF after each, at most 75 octets, folded lines
/// joined again.
fn content_lines(text: &str) -> Vec<(String, String)> {
    assert!(text.ends_with("\r\n"));
    let mut lines: Vec<String> = Vec::new();
    for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
        assert!(!line.contains(['\n', '\r']), "a bare line break: {line}");
        assert!(line.len() <= 75, "over 75 octets: {line}");
        match line.strip_prefix([' ', '\t']) {
            Some(rest) => lines.last_mut().unwrap().push_str(rest),
            None => lines.push(line.to_owned()),
        }
    }
    let part = |line: String| {
        let (name, value) = line.split_once(':').unwrap();
        (name.to_owned(), value.to_owned())
    };
    lines.into_iter().map(part).collect()
}

/// Each event's properties; every one has each of them once.
fn events(text: &str) -> Vec<BTreeMap<String, String>> {
    let lines = content_lines(text);
    assert_eq!(lines.first(), Some(&("BEGIN".to_owned(), "VCALENDAR".to_owned())));
    assert_eq!(lines.last(), Some(&("END".to_owned(), "VCALENDAR".to_owned())));
    assert!(lines.contains(&("VERSION".to_owned(), "2.0".to_owned())));
    let mut events = Vec::new();
    let mut event: Option<BTreeMap<String, String>> = None;
    for (name, value) in lines {
        match (name.as_str(), value.as_str()) {
            ("BEGIN", "VEVENT") => assert_eq!(event.replace(BTreeMap::new()), None),
            ("END", "VEVENT") => events.push(event.take().unwrap()),
            _ => {
                if let Some(event) = event.as_mut() {
                    assert_eq!(event.insert(name, value), None);
                }
            }
        }
    }
    events
}

#[test]
fn the_calendar_is_a_calendar_and_keeps_its_identities() {
    let (desk, papers) = demo();
    let found = events(&papers.text("calendar.ics"));
    let uids = |events: &[BTreeMap<String, String>]| -> BTreeSet<String> {
        events.iter().map(|event| event["UID"].clone()).collect()
    };
    assert_eq!(uids(&found).len(), found.len(), "an identity stands twice");
    // what is cancelled names nobody
    let named = |event: &&BTreeMap<String, String>| !event["SUMMARY"].starts_with("Cancelled: ");
    let cancelled = found.iter().filter(|event| event["STATUS"] == "CANCELLED");
    assert_eq!(cancelled.filter(named).count(), 0);
    // the next week's file moves what is there and doubles nothing
    let next_week = Now::noon_of(today() + chrono::Days::new(1));
    let again = events(&Papers::of(&desk, &next_week).text("calendar.ics"));
    let confirmed = |events: &[BTreeMap<String, String>]| -> Vec<BTreeMap<String, String>> {
        events.iter().filter(|event| event["STATUS"] == "CONFIRMED").cloned().collect()
    };
    assert_eq!(uids(&confirmed(&again)), uids(&confirmed(&found)));

    let book = book::open(&desk).unwrap();
    let mut expected: Vec<(String, NaiveDate, NaiveDate)> = Vec::new();
    for line in due(&book, &Now::noon_of(today())) {
        let free = line.held_by.iter().all(|hold| *hold == Hold::Booked);
        if let (true, true, Some(opens), Some(closes)) =
            (free, line.state != State::Overdue, line.opens_on, line.closes_on)
        {
            let what = format!("{}: {}-minute test window", line.athlete, line.kind.minutes());
            expected.push((what, opens, closes));
        }
    }
    for page in &book.pages {
        for booking in &page.bookings {
            let what = format!("{}: {}-minute test", page.athlete.name, booking.kind.minutes());
            expected.push((what, booking.on, booking.on));
        }
    }
    let mut entries: Vec<(String, NaiveDate, NaiveDate)> = found
        .iter()
        .filter(|event| event["STATUS"] == "CONFIRMED")
        .map(|event| {
            let date = |name: &str| NaiveDate::parse_from_str(&event[name], "%Y%m%d").unwrap();
            assert!(event["DTSTAMP"].ends_with('Z'), "{event:?}");
            // DTEND is the first day after (RFC 5545, 3.6.1)
            let last = date("DTEND;VALUE=DATE").pred_opt().unwrap();
            (event["SUMMARY"].clone(), date("DTSTART;VALUE=DATE"), last)
        })
        .collect();
    expected.sort();
    entries.sort();
    assert_eq!(entries, expected);
}
