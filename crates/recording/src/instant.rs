//! Times as text: ISO 8601 dates and times, seconds, mm:ss and hh:mm:ss.

use chrono::{Datelike, NaiveDate};

use crate::cells::number;
use crate::clock::{TICKS_PER_SECOND, Tick};

/// The longest time in seconds that is taken for one (some 3,000 years; keeps ticks within range).
const LONGEST_S: f64 = 1e11;

/// From the first day of our era to the first of 1970.
const DAYS_TO_1970: i32 = 719_163;

/// Ticks since 1970 of an ISO 8601 date and time, with any fraction and any offset; without an
/// offset it is taken as UTC, which GPX demands and which leaves every duration right.
pub(crate) fn date_and_time(written: &str) -> Option<Tick> {
    let written = written.trim_ascii();
    if let Some(tick) = usual(written.as_bytes()) {
        return Some(tick);
    }
    let (date, rest) = written.split_at_checked(10)?;
    let mut parts = date.split('-');
    let (year, month) = (digits(parts.next()?)?, digits(parts.next()?)?);
    let day = days_since_1970(year, month, digits(parts.next()?)?)?;
    let time = rest.strip_prefix(['T', 't', ' '])?;
    let offset_at = time.find(['Z', 'z', '+', '-']).unwrap_or(time.len());
    let (time, offset) = time.split_at_checked(offset_at)?;
    let mut parts = time.trim_end().splitn(3, ':');
    let hours = digits(parts.next()?).filter(|&hours| hours < 24)?;
    let minutes = digits(parts.next()?).filter(|&minutes| minutes < 60)?;
    let second = match parts.next() {
        Some(second) => second_ticks(second)?,
        None => 0,
    };
    let minute = day * 1_440 + hours * 60 + minutes - offset_minutes(offset)?;
    Some(minute * 60 * TICKS_PER_SECOND + second)
}

/// The form that nearly all recorders write, 2023-11-14T22:13:20Z, without a search for its parts: a
/// file holds thousands.
fn usual(written: &[u8]) -> Option<Tick> {
    let written: &[u8; 20] = written.try_into().ok()?;
    let marks = [(4, b'-'), (7, b'-'), (10, b'T'), (13, b':'), (16, b':'), (19, b'Z')];
    if marks.iter().any(|&(at, mark)| written[at] != mark) {
        return None;
    }
    let two = |at: usize| {
        let (tens, ones) = (written[at].wrapping_sub(b'0'), written[at + 1].wrapping_sub(b'0'));
        (tens < 10 && ones < 10).then(|| i64::from(tens) * 10 + i64::from(ones))
    };
    let day = days_since_1970(two(0)? * 100 + two(2)?, two(5)?, two(8)?)?;
    let (hours, minutes, seconds) = (two(11)?, two(14)?, two(17)?);
    let possible = hours < 24 && minutes < 60 && seconds <= 60;
    possible.then(|| (((day * 24 + hours) * 60 + minutes) * 60 + seconds) * TICKS_PER_SECOND)
}

/// Ticks of a length of time: seconds, mm:ss or hh:mm:ss, with any fraction.
pub(crate) fn elapsed(written: &str) -> Option<Tick> {
    let written = written.trim_ascii();
    let Some((head, second)) = written.rsplit_once(':') else {
        return number(written).and_then(ticks);
    };
    let minutes = match head.split_once(':') {
        Some((hours, minutes)) => {
            digits(hours)? * 60 + digits(minutes).filter(|&minutes| minutes < 60)?
        }
        None => digits(head)?,
    };
    Some(minutes * 60 * TICKS_PER_SECOND + second_ticks(second)?)
}

/// Seconds to ticks, where they are a time at all.
fn ticks(seconds: f64) -> Option<Tick> {
    #[expect(clippy::cast_possible_truncation, reason = "bounded just before, rounded on purpose")]
    (seconds.abs() <= LONGEST_S).then(|| (seconds * TICKS_PER_SECOND as f64).round() as Tick)
}

/// Seconds of a minute with any fraction; 60 is a leap second.
fn second_ticks(written: &str) -> Option<Tick> {
    let (whole, fraction) = written.split_once(['.', ',']).unwrap_or((written, ""));
    let whole = digits(whole).filter(|&second| second <= 60)?;
    let mut micro = 0;
    let mut scale = TICKS_PER_SECOND / 10;
    for digit in fraction.bytes() {
        if !digit.is_ascii_digit() {
            return None;
        }
        micro += i64::from(digit - b'0') * scale;
        scale /= 10;
    }
    Some(whole * TICKS_PER_SECOND + micro)
}

fn days_since_1970(year: i64, month: i64, day: i64) -> Option<i64> {
    let (month, day) = (u32::try_from(month).ok()?, u32::try_from(day).ok()?);
    let date = NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)?;
    Some(i64::from(date.num_days_from_ce() - DAYS_TO_1970))
}

fn offset_minutes(offset: &str) -> Option<i64> {
    let sign = match offset.chars().next() {
        None | Some('Z' | 'z') => return (offset.len() < 2).then_some(0),
        Some('-') => -1,
        Some(_) => 1,
    };
    let figures: String = offset.get(1..)?.chars().filter(|&c| c != ':').collect();
    let (hours, minutes) = figures.split_at_checked(2)?;
    let minutes = if minutes.is_empty() { 0 } else { digits(minutes)? };
    Some(sign * (digits(hours)? * 60 + minutes))
}

/// At most six plain digits: enough for any field here, and far from overflow.
fn digits(written: &str) -> Option<i64> {
    let plain = !written.is_empty() && written.len() <= 6;
    if !plain || !written.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    Some(written.bytes().fold(0, |number, byte| number * 10 + i64::from(byte - b'0')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iso_8601_agrees_with_a_reference_library() {
        // chrono's own parser is the independent reference
        for written in [
            "2023-11-14T22:13:20Z",
            "2023-11-14T22:13:20.125Z",
            "2023-11-14T23:43:20+01:30",
            "1969-12-31T23:59:59.5-00:30",
            "2024-02-29T00:00:00.000001Z",
            "0001-01-01T00:00:00Z",
            "2024-12-31T23:59:59Z",
        ] {
            let expected = chrono::DateTime::parse_from_rfc3339(written).unwrap();
            assert_eq!(date_and_time(written), Some(expected.timestamp_micros()), "{written}");
        }
    }

    #[test]
    fn looser_iso_forms_are_read() {
        let plain = date_and_time("2023-11-14T22:13:20Z");
        for written in [
            "2023-11-14 22:13:20",
            "2023-11-14T22:13:20",
            "2023-11-15T00:13:20+0200",
            " 2023-11-15T00:13:20+02 ",
        ] {
            assert_eq!(date_and_time(written), plain, "{written}");
        }
        assert_eq!(date_and_time("2023-11-14T22:13"), plain.map(|tick| tick - 20_000_000));
    }

    #[test]
    fn what_is_no_date_is_refused() {
        for written in [
            "",
            "2023-02-30T00:00:00Z",
            "2023-11-14",
            "2023-11-14T24:00:00Z",
            "2023-11-14T22:61:00Z",
            "2023-11-14T22:13:61Z",
            "2023-11-14T2a:13:20Z",
            "2023-11-14T22:13:20Zulu",
            "äöü-11-14T22:13:20Z",
            "99999999999999",
            "2023-11-14T22:13:20.x",
        ] {
            assert_eq!(date_and_time(written), None, "{written}");
        }
    }

    #[test]
    fn lengths_of_time_in_every_form() {
        assert_eq!(elapsed("90.5"), Some(90_500_000));
        assert_eq!(elapsed("1:30.5"), Some(90_500_000));
        assert_eq!(elapsed("75:00"), Some(4_500_000_000));
        assert_eq!(elapsed("1:15:00"), Some(4_500_000_000));
        for written in ["", "1:60:00", "1:61", "inf", "1e300", "-", "1:2:3:4", "a:b"] {
            assert_eq!(elapsed(written), None, "{written}");
        }
    }
}
