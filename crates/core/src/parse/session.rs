//! The repetitions of a session: "6 x 1000 m", "3 x 2 km", "5 laps", "10 km".

use super::{NotUnderstood, distance, whole};
use crate::format::run_distance;
use crate::units::Distance;

/// As many repetitions as anybody runs (judgement).
const MOST: u32 = 100;
/// How long one of them may be, metres, and all of them together (judgement: beyond it is a typo).
const LENGTH_M: std::ops::RangeInclusive<f64> = 50.0..=50_000.0;
const ALL_M: f64 = 100_000.0;

/// What is wrong with the repetitions that were typed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WrongRepetitions {
    /// Words nobody understands.
    #[error("\"{0}\" is no session: write 6 x 1000 m, 3 x 2 km, 5 laps, or 10 km")]
    NotUnderstood(String),
    /// A time where a distance is asked for.
    #[error("\"{0}\" is a time: write how far a repetition goes, 6 x 1000 m")]
    Time(String),
    /// None, or more than anybody runs.
    #[error("{0} repetitions cannot be: give 1 to {MOST}")]
    Count(String),
    /// One is too short or too long.
    #[error("a repetition of {} cannot be: give 50 m to 50 km", run_distance(*.0))]
    Length(Distance),
    /// All together are too long.
    #[error("{0} x {far} cannot be: 100 km at most in one session", far = run_distance(*.1))]
    TooFar(u32, Distance),
    /// Laps were counted, but nobody said how long one is.
    #[error("how long is a lap? Write it, or write the repetition as a distance, 1000 m")]
    LapUnknown,
}

/// How many repetitions of how far: "6 x 1000", "6x1 km", "8 × 400 m", "4 x 3 laps" where a lap is
/// known; one distance is a single repetition.
///
/// # Errors
/// Anything else, or more than anybody runs.
pub fn repetitions(text: &str, lap: Option<Distance>) -> Result<(u32, Distance), WrongRepetitions> {
    let given = text.trim().to_lowercase();
    let refused = || WrongRepetitions::NotUnderstood(text.trim().to_owned());
    let (count, length) = match given.split_once(['x', '\u{d7}', '*']) {
        Some((count, length)) => (whole(count.trim()).ok_or_else(refused)?, length.trim()),
        None => (1, given.as_str()),
    };
    if !(1..=MOST).contains(&count) {
        return Err(WrongRepetitions::Count(count.to_string()));
    }
    let length = match length.strip_suffix("laps").or_else(|| length.strip_suffix("lap")) {
        Some(laps) => {
            let laps = whole(laps.trim()).ok_or_else(refused)?;
            let lap = lap.ok_or(WrongRepetitions::LapUnknown)?;
            Distance::from_m(f64::from(laps) * lap.m()).map_err(|_| refused())?
        }
        None => distance(length).map_err(|wrong| match wrong {
            NotUnderstood::TimeForDistance(time) => WrongRepetitions::Time(time),
            _ => refused(),
        })?,
    };
    if !LENGTH_M.contains(&length.m()) {
        return Err(WrongRepetitions::Length(length));
    }
    if f64::from(count) * length.m() > ALL_M {
        return Err(WrongRepetitions::TooFar(count, length));
    }
    Ok((count, length))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(u32, f64), String> {
        let lap = Distance::from_m(400.0).ok();
        let said = repetitions(text, lap).map_err(|wrong| wrong.to_string());
        said.map(|(count, length)| (count, length.m()))
    }

    #[test]
    fn repetitions_as_coaches_write_them() {
        for text in ["6 x 1000", "6x1 km", "6 × 1000 m", "6*1,000", " 6 X 1.000 m ", "6 x 1,0 km"]
        {
            assert_eq!(read(text), Ok((6, 1_000.0)), "{text}");
        }
        assert_eq!(read("8 x 400"), Ok((8, 400.0)));
        assert_eq!(read("3 x 2 km"), Ok((3, 2_000.0)));
        assert_eq!(read("10 km"), Ok((1, 10_000.0)));
        assert_eq!(read("4 x 1 mile"), Ok((4, 1_609.344)));
        // 5 laps of 400 m
        assert_eq!(read("5 laps"), Ok((1, 2_000.0)));
        assert_eq!(read("4 x 3 laps"), Ok((4, 1_200.0)));
        assert_eq!(read("10 x 1 lap"), Ok((10, 400.0)));
    }

    #[test]
    fn what_cannot_be_is_refused_with_a_sentence() {
        for wrong in ["", "x", "6 x", "x 1000", "6.5 x 1000", "6 x 3 min", "6 y 1000", "-6 x 400"] {
            let said = read(wrong).unwrap_err();
            assert!(said.ends_with("is no session: write 6 x 1000 m, 3 x 2 km, 5 laps, or 10 km"));
        }
        let said = |text| read(text).unwrap_err();
        assert!(said("6 x 4:00").starts_with("\"4:00\" is a time"));
        assert_eq!(said("0 x 400"), "0 repetitions cannot be: give 1 to 100");
        assert_eq!(said("1000 x 1000 km"), "1000 repetitions cannot be: give 1 to 100");
        assert_eq!(said("6 x 1000 km"), "a repetition of 1000 km cannot be: give 50 m to 50 km");
        assert_eq!(said("6 x 1"), "a repetition of 1 m cannot be: give 50 m to 50 km");
        assert_eq!(said("100 x 10 km"), "100 x 10 km cannot be: 100 km at most in one session");
        let unknown = repetitions("5 laps", None).unwrap_err();
        assert_eq!(unknown, WrongRepetitions::LapUnknown);
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_understood_or_refused(text in "\\PC{0,24}") {
            let _ = repetitions(&text, None).is_ok();
        }
    }
}
