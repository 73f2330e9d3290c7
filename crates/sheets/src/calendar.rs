//! Retest windows and bookings as an iCalendar file (RFC 5545) for any calendar program.

use chrono::{DateTime, Days, NaiveDate, Utc};
use icalendar::{Calendar, Component, Event, EventLike};
use pacewright_core::ids::AthleteId;
use pacewright_core::test::TestKind;

use crate::strip::Window;

/// What an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Planned {
    /// The days in which to repeat the test.
    Window(Window),
    /// The day it is booked on.
    Booking(NaiveDate),
}

/// One entry of the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalendarEntry {
    /// Whose.
    pub athlete: AthleteId,
    /// Their name.
    pub name: String,
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub planned: Planned,
}

/// The calendar file. Names, tests and days only, nothing private. An entry keeps its identity from
/// one file to the next, so that reading a newer file moves a window instead of doubling it. Days
/// are whole: they take up no time of the coach's day. `stamp` is the instant of writing.
pub fn calendar(entries: &[CalendarEntry], stamp: DateTime<Utc>) -> String {
    let mut calendar = Calendar::empty();
    for property in
        [("VERSION", "2.0"), ("PRODID", "-//Pacewright//Pacewright//EN"), ("CALSCALE", "GREGORIAN")]
    {
        let _ = calendar.append_property(property);
    }
    for entry in entries {
        let _ = calendar.push(event(entry, stamp));
    }
    calendar.to_string()
}

fn event(entry: &CalendarEntry, stamp: DateTime<Utc>) -> Event {
    let (athlete, minutes) = (entry.athlete.0, entry.kind.minutes());
    let (identity, what, first, last) = match entry.planned {
        Planned::Window(window) => ("window".to_owned(), " window", window.opens, window.closes),
        Planned::Booking(on) => (format!("booking-{on}"), "", on, on),
    };
    Event::new()
        .uid(&format!("athlete-{athlete}-{minutes}-{identity}@pacewright"))
        .summary(&format!("{}: {minutes}-minute test{what}", one_line(&entry.name)))
        .starts(first)
        // RFC 5545, 3.6.1: the end of a span of days is the day after its last
        .ends(last.checked_add_days(Days::new(1)).unwrap_or(last))
        .timestamp(stamp)
        .add_property("TRANSP", "TRANSPARENT")
        .done()
}

/// Control characters have no place in a calendar's text (RFC 5545, 3.3.11).
fn one_line(name: &str) -> String {
    name.chars().map(|character| if character.is_control() { ' ' } else { character }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    fn entry(name: &str, planned: Planned) -> CalendarEntry {
        CalendarEntry {
            athlete: AthleteId(7),
            name: name.to_owned(),
            kind: TestKind::TwentyMinutes,
            planned,
        }
    }

    fn stamp() -> DateTime<Utc> {
        on(2026, 11, 25).and_hms_opt(6, 30, 0).unwrap().and_utc()
    }

    #[test]
    fn a_window_and_a_booking_read_as_the_standard_says() {
        let window = Planned::Window(Window { opens: on(2026, 12, 17), closes: on(2027, 1, 14) });
        let text = calendar(
            &[
                entry("Asha Example", window),
                entry("Asha Example", Planned::Booking(on(2026, 12, 31))),
            ],
            stamp(),
        );
        for line in [
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//Pacewright//Pacewright//EN",
            "UID:athlete-7-20-window@pacewright",
            "SUMMARY:Asha Example: 20-minute test window",
            "DTSTART;VALUE=DATE:20261217",
            "DTEND;VALUE=DATE:20270115",
            "DTSTAMP:20261125T063000Z",
            "UID:athlete-7-20-booking-2026-12-31@pacewright",
            "SUMMARY:Asha Example: 20-minute test",
            "DTSTART;VALUE=DATE:20261231",
            "DTEND;VALUE=DATE:20270101",
            "END:VCALENDAR",
        ] {
            assert!(text.split("\r\n").any(|written| written == line), "{line} in\n{text}");
        }
        assert!(!text.replace("\r\n", "").contains('\n'), "every line ends with CR LF");
    }

    #[test]
    fn names_cannot_break_a_line_or_a_value() {
        let name = "A; B, C\\ \r\nEND:VCALENDAR ".to_owned() + &"山".repeat(60);
        let text = calendar(&[entry(&name, Planned::Booking(on(2026, 1, 2)))], stamp());
        // RFC 5545, 3.1: no line longer than 75 octets; 3.3.11: these are escaped
        assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text}");
        assert_eq!(text.split("\r\n").filter(|line| *line == "END:VCALENDAR").count(), 1, "{text}");
        assert!(text.contains("SUMMARY:A\\; B\\, C\\\\   END:VCALENDAR"), "{text}");
        let unfolded = text.replace("\r\n ", "");
        assert!(unfolded.contains(&"山".repeat(60)), "{text}");
    }

    #[test]
    fn the_same_entries_give_the_same_file() {
        let entries = [entry("Asha Example", Planned::Booking(on(2026, 1, 2)))];
        assert_eq!(calendar(&entries, stamp()), calendar(&entries, stamp()));
    }
}
