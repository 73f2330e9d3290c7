//! Retest windows and bookings as an iCalendar file (RFC 5545) for any calendar program.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use icalendar::{Calendar, Component, Event, EventLike, EventStatus};
use pacewright_core::ids::{AthleteId, BookingId};
use pacewright_core::test::TestKind;

use crate::strip::Window;

/// A test with its warm-up and cool-down takes up so much of an evening (judgement).
const TEST_MINUTES: i64 = 90;

/// The instant sequence numbers count from: 1 January 2020 in universal time.
const SEQUENCE_FROM_S: i64 = 1_577_836_800;

/// What an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Planned {
    /// The days in which to repeat the test.
    Window(Window),
    /// The day it is booked on.
    Booking {
        /// Which booking: it keeps its identity when it moves.
        id: BookingId,
        /// The day.
        on: NaiveDate,
        /// The time, where it is known; else the entry is for the whole day.
        at: Option<NaiveTime>,
    },
}

/// One entry of the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalendarEntry {
    /// Whose.
    pub athlete: AthleteId,
    /// Their name; `None` for an entry that is cancelled, which names nobody.
    pub name: Option<String>,
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub planned: Planned,
}

/// The calendar file. Names, tests and days only, nothing private.
///
/// An entry keeps its identity from one file to the next, so that reading a newer file moves a booking
/// instead of doubling it; `stamp`, the instant of writing, is also the number of the revision, so that
/// the newer file wins also after something was undone. Whole days take up no time of the coach's day;
/// times are those of the place (RFC 5545, 3.3.5, form 1).
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
    let (identity, what) = match entry.planned {
        Planned::Window(_) => (format!("athlete-{athlete}-{minutes}-window"), " window"),
        Planned::Booking { id, .. } => (format!("booking-{}", id.0), ""),
    };
    let test = format!("{minutes}-minute test{what}");
    let mut event = Event::new();
    let _ = event
        .uid(&format!("{identity}@pacewright"))
        .sequence(revision(stamp))
        .timestamp(stamp)
        .add_property("TRANSP", "TRANSPARENT");
    let _ = match &entry.name {
        Some(name) => {
            event.summary(&format!("{}: {test}", one_line(name))).status(EventStatus::Confirmed)
        }
        None => event.summary(&format!("Cancelled: {test}")).status(EventStatus::Cancelled),
    };
    when(&mut event, entry.planned);
    event.done()
}

fn when(event: &mut Event, planned: Planned) {
    let (first, last) = match planned {
        Planned::Window(window) => (window.opens, window.closes),
        Planned::Booking { on, at: None, .. } => (on, on),
        Planned::Booking { on, at: Some(at), .. } => {
            let begins = on.and_time(at);
            let _ = event.starts(begins).ends(begins + TimeDelta::minutes(TEST_MINUTES));
            return;
        }
    };
    // RFC 5545, 3.6.1: the end of a span of days is the day after its last
    let _ = event.starts(first).ends(last.checked_add_days(Days::new(1)).unwrap_or(last));
}

/// RFC 5545, 3.8.7.4: a number that grows with every revision; whole minutes do, whatever was undone.
fn revision(stamp: DateTime<Utc>) -> u32 {
    u32::try_from((stamp.timestamp() - SEQUENCE_FROM_S).max(0) / 60).unwrap_or(u32::MAX)
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
            name: Some(name.to_owned()),
            kind: TestKind::TwentyMinutes,
            planned,
        }
    }

    fn booked(on: NaiveDate) -> Planned {
        Planned::Booking { id: BookingId(3), on, at: None }
    }

    fn stamp() -> DateTime<Utc> {
        on(2026, 11, 25).and_hms_opt(6, 30, 0).unwrap().and_utc()
    }

    #[test]
    fn a_window_and_a_booking_read_as_the_standard_says() {
        let window = Planned::Window(Window { opens: on(2026, 12, 17), closes: on(2027, 1, 14) });
        let text = calendar(
            &[entry("Asha Example", window), entry("Asha Example", booked(on(2026, 12, 31)))],
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
            "UID:booking-3@pacewright",
            "STATUS:CONFIRMED",
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
        let text = calendar(&[entry(&name, booked(on(2026, 1, 2)))], stamp());
        // RFC 5545, 3.1: no line longer than 75 octets; 3.3.11: these are escaped
        assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text}");
        assert_eq!(text.split("\r\n").filter(|line| *line == "END:VCALENDAR").count(), 1, "{text}");
        assert!(text.contains("SUMMARY:A\\; B\\, C\\\\   END:VCALENDAR"), "{text}");
        let unfolded = text.replace("\r\n ", "");
        assert!(unfolded.contains(&"山".repeat(60)), "{text}");
    }

    #[test]
    fn the_same_entries_give_the_same_file() {
        let entries = [entry("Asha Example", booked(on(2026, 1, 2)))];
        assert_eq!(calendar(&entries, stamp()), calendar(&entries, stamp()));
    }

    #[test]
    fn a_time_is_written_as_one_and_a_cancelled_entry_names_nobody() {
        let at = NaiveTime::from_hms_opt(18, 30, 0);
        let planned = Planned::Booking { id: BookingId(3), on: on(2026, 12, 31), at };
        let timed = calendar(&[entry("Asha Example", planned)], stamp());
        for line in ["DTSTART:20261231T183000", "DTEND:20261231T200000"] {
            assert!(timed.split("\r\n").any(|written| written == line), "{line} in\n{timed}");
        }
        let gone = CalendarEntry { name: None, ..entry("", planned) };
        let gone = calendar(&[gone], stamp() + TimeDelta::days(1));
        assert!(gone.contains("STATUS:CANCELLED") && !gone.contains("Asha"), "{gone}");
        let sequence = |text: &str| -> u32 {
            let line = text.split("\r\n").find_map(|line| line.strip_prefix("SEQUENCE:"));
            line.unwrap().parse().unwrap()
        };
        assert_eq!(sequence(&gone), sequence(&timed) + 24 * 60);
    }
}
