//! What a coach types, understood: times, distances, laps and metres, heart rates, days.
//!
//! A metre is never worth a decimal here, so in metres a separator before exactly three digits groups
//! ("5,400 m" and "5.400 m" are 5400 m); in kilometres and miles a comma or a point is the decimal
//! ("5,4 km" is 5400 m). What can't be understood is refused with a sentence, never guessed.

pub mod calendar;
mod laps;
mod measured;
mod session;

use chrono::NaiveDate;

use crate::format::{HALF_MARATHON_M, METRES_PER_MILE, metres_per_unit};
use crate::units::{Distance, HeartRate, Seconds, Speed, UnitSystem};

pub use laps::{Run, WrongResult, result, run};
pub use measured::{WrongMeasure, course, measured};
pub use session::{WrongRepetitions, repetitions};

/// Something typed that is not what its field asks for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotUnderstood {
    /// Not a time.
    #[error("\"{0}\" is no time: write minutes and seconds, 16:40")]
    Time(String),
    /// A time where a distance is asked for.
    #[error("\"{0}\" is a time: write the distance run, in laps and metres or as one distance")]
    TimeForDistance(String),
    /// Not a distance.
    #[error("\"{0}\" is no distance: write 5400, 5.4 km, or 13 laps 200")]
    Distance(String),
    /// Not a heart rate.
    #[error("\"{0}\" is no heart rate: write beats a minute, 172")]
    HeartRate(String),
    /// Not a pace or speed.
    #[error("\"{0}\" is no pace: write minutes and seconds, 4:05, or a speed, 14.7 km/h")]
    Pace(String),
    /// Not a day.
    #[error("\"{0}\" is no day: write year, month and day, 2026-11-19")]
    Day(String),
}

/// A time: "4:05", "16:40", "1:02:09".
///
/// # Errors
/// Anything else, or seconds or minutes of 60 and more after a colon.
pub fn time(text: &str) -> Result<Seconds, NotUnderstood> {
    let refused = || NotUnderstood::Time(text.trim().to_owned());
    let parts: Vec<&str> = text.trim().split(':').collect();
    let (first, rest) = parts.split_first().ok_or_else(refused)?;
    if rest.is_empty() || rest.len() > 2 {
        return Err(refused());
    }
    let mut seconds = f64::from(whole(first).ok_or_else(refused)?);
    for part in rest {
        let sixtieth = whole(part).filter(|n| part.len() == 2 && *n < 60).ok_or_else(refused)?;
        seconds = seconds * 60.0 + f64::from(sixtieth);
    }
    Seconds::from_s(seconds).map_err(|_| refused())
}

/// One distance: "5400", "5400 m", "5,4 km", "5.4km", "3.35 miles". Without a unit it is in metres.
///
/// # Errors
/// Anything else, a time among it, or more than a distance can be.
pub fn distance(text: &str) -> Result<Distance, NotUnderstood> {
    let given = text.trim().to_lowercase();
    let refused = || NotUnderstood::Distance(text.trim().to_owned());
    if time(&given).is_ok() {
        return Err(NotUnderstood::TimeForDistance(given));
    }
    let digits = given.trim_end_matches(|c: char| c.is_alphabetic() || c == '.').trim_end();
    let unit = given.get(digits.len()..).unwrap_or_default().trim().trim_end_matches('.');
    let metres = match unit {
        "" | "m" | "metre" | "metres" | "meter" | "meters" => in_metres(digits),
        "km" | "kms" | "k" | "kilometre" | "kilometres" | "kilometer" | "kilometers" => {
            decimal(digits).map(|kilometres| kilometres * 1_000.0)
        }
        "mi" | "mile" | "miles" => decimal(digits).map(|miles| miles * METRES_PER_MILE),
        _ => None,
    };
    Distance::from_m(metres.ok_or_else(refused)?).map_err(|_| refused())
}

/// The distance of a race: as [`distance`], or "half marathon", "marathon".
///
/// # Errors
/// Anything else, or more than a distance can be.
pub fn race_distance(text: &str) -> Result<Distance, NotUnderstood> {
    let metres = match text.trim().to_lowercase().as_str() {
        "half marathon" | "half" => HALF_MARATHON_M,
        "marathon" => 2.0 * HALF_MARATHON_M,
        _ => return distance(text),
    };
    Distance::from_m(metres).map_err(|_| NotUnderstood::Distance(text.trim().to_owned()))
}

/// A speed as a pace for each kilometre or mile, "4:05", or in kilometres an hour, "14.7 km/h".
///
/// # Errors
/// Anything else, or faster than a speed can be.
pub fn pace(text: &str, units: UnitSystem) -> Result<Speed, NotUnderstood> {
    let given = text.trim().to_lowercase();
    let refused = || NotUnderstood::Pace(text.trim().to_owned());
    let m_per_s = match given.strip_suffix("km/h") {
        Some(speed) => decimal(speed.trim_end()).map(|km_per_h| km_per_h / 3.6),
        None => time(&given).ok().map(|time| metres_per_unit(units) / time.s()),
    };
    Speed::from_m_per_s(m_per_s.ok_or_else(refused)?).map_err(|_| refused())
}

/// A number with or without a sign, its decimal a comma or a point.
pub fn number(text: &str) -> Option<f64> {
    let given = text.trim();
    let digits = given.strip_prefix(['-', '\u{2212}', '+']);
    let size = decimal(digits.unwrap_or(given).trim_start())?;
    let below = given.starts_with(['-', '\u{2212}']);
    Some(if below { -size } else { size })
}

/// A heart rate: "172", "172 bpm".
///
/// # Errors
/// Anything else. Whether anyone can hold it is judged by the checks.
pub fn heart_rate(text: &str) -> Result<HeartRate, NotUnderstood> {
    let given = text.trim().to_lowercase();
    let beats = decimal(given.trim_end_matches("bpm").trim_end());
    let rate = beats.and_then(|beats| HeartRate::from_bpm(beats).ok());
    rate.ok_or_else(|| NotUnderstood::HeartRate(text.trim().to_owned()))
}

/// A day: "2026-11-19" (ISO 8601).
///
/// # Errors
/// Anything else, or a day no calendar has.
pub fn day(text: &str) -> Result<NaiveDate, NotUnderstood> {
    let refused = || NotUnderstood::Day(text.trim().to_owned());
    NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d").map_err(|_| refused())
}

/// Digits alone, at most nine of them.
fn whole(text: &str) -> Option<u32> {
    let plain = (1..=9).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// A number whose comma or point, at most one, is the decimal.
fn decimal(text: &str) -> Option<f64> {
    let (before, after) = text.split_once([',', '.']).unwrap_or((text, "0"));
    let (before, after) = (whole(before)?, after.trim_end());
    let _digits = whole(after)?;
    format!("{before}.{after}").parse().ok()
}

/// A number of metres: separators before exactly three digits group.
fn in_metres(text: &str) -> Option<f64> {
    let groups: Vec<&str> =
        text.split([',', '.', '\'', '\u{2019}', ' ', '\u{a0}', '\u{202f}']).collect();
    let grouped = groups.len() > 1
        && groups.first().is_some_and(|first| (1..=3).contains(&first.len()))
        && groups.iter().skip(1).all(|group| group.len() == 3);
    if grouped { whole(&groups.concat()).map(f64::from) } else { decimal(text) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn metres(text: &str) -> Option<f64> {
        distance(text).ok().map(Distance::m)
    }

    #[test]
    fn times_are_minutes_and_seconds() {
        let seconds = |text| time(text).ok().map(Seconds::s);
        assert_eq!(seconds("4:05"), Some(245.0));
        assert_eq!(seconds(" 16:40 "), Some(1_000.0));
        assert_eq!(seconds("1:02:09"), Some(3_729.0));
        for wrong in ["", "4", "4:5", "4:60", "4:05:", ":05", "1:61:00", "-4:05", "4:0五"] {
            assert_eq!(seconds(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn distances_in_metres_kilometres_and_miles() {
        for text in [
            "5400",
            "5400 m",
            "5400m",
            "5,400 m",
            "5.400 m",
            "5 400",
            "5'400 m",
            "5,4 km",
            "5.4km",
            "5.400 km",
            "5.4 K",
            "5400 metres",
        ] {
            assert!((metres(text).unwrap() - 5_400.0).abs() < 1e-9, "{text}");
        }
        // the international mile is 1609.344 m exactly
        assert!((metres("2 miles").unwrap() - 3_218.688).abs() < 1e-9);
        assert!((metres("200.5").unwrap() - 200.5).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_distance_is_refused() {
        for wrong in ["", "m", "km", "5,4,0 km", "5..4", "54OO", "-200", "1e4", "5400 ft", "nan"] {
            assert_eq!(metres(wrong), None, "{wrong}");
        }
        assert_eq!(
            distance("16:40").unwrap_err().to_string(),
            "\"16:40\" is a time: write the distance run, in laps and metres or as one distance"
        );
    }

    #[test]
    fn heart_rates_and_days() {
        let beats = |text| heart_rate(text).ok().map(HeartRate::bpm);
        assert_eq!(beats("172 bpm"), Some(172.0));
        assert_eq!(beats("172,5"), Some(172.5));
        assert_eq!(beats("17a"), None);
        assert_eq!(beats("0"), None);
        assert_eq!(day(" 2026-11-19").ok(), NaiveDate::from_ymd_opt(2026, 11, 19));
        for wrong in ["", "19.11.2026", "2026-02-30", "today"] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn races_paces_and_numbers() {
        let race = |text| race_distance(text).ok().map(Distance::m);
        assert_eq!(race("Half marathon"), Some(21_097.5));
        assert_eq!(race("10 km"), Some(10_000.0));
        let at = |text| pace(text, UnitSystem::Kilometres).ok().map(Speed::m_per_s);
        assert!((at("4:10").unwrap() - 4.0).abs() < 1e-12);
        assert!((at("14,4 km/h").unwrap() - 4.0).abs() < 1e-12);
        let mile = pace("6:42.336", UnitSystem::Miles);
        assert!(mile.is_err() && at("0:00").is_none() && at("fast").is_none());
        assert_eq!(
            [number("-4,5"), number("18"), number("+2"), number("1e3")].map(|n| n.map(|n| n * 2.0)),
            [Some(-9.0), Some(36.0), Some(4.0), None]
        );
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_understood_or_refused(text in "\\PC{0,24}") {
            let _ = (time(&text).is_ok(), distance(&text).is_ok(), run(&text).is_ok(), day(&text).is_ok());
        }

        #[test]
        fn a_distance_written_is_read_back(whole in 0_u32..1_000_000) {
            let given = Distance::from_m(f64::from(whole)).unwrap();
            proptest::prop_assert_eq!(distance(&crate::format::metres(given)), Ok(given));
        }
    }
}
