//! A result counted in laps: "13 laps 200", "13 x 400 + 200", or two fields of a table.

use super::{NotUnderstood, decimal, distance, time};
use crate::format::metres;
use crate::units::Distance;

/// More laps than anyone runs in a test: a distance in the wrong field.
const MOST_LAPS: f64 = 60.0;

/// A result as it was written in one go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Run {
    /// One distance.
    Distance(Distance),
    /// Whole laps of the course and what was run beyond: "13 laps 200".
    Laps {
        /// How many.
        laps: Laps,
        /// A lap's length, where it was written ("13 x 400 + 200").
        lap: Option<Distance>,
        /// Beyond the last lap.
        beyond: Distance,
    },
}

/// A number of laps, 0 to 60; halves and tenths are laps too.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Laps(f64);

/// What is wrong with laps and metres.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WrongResult {
    /// Words nobody understands.
    #[error(transparent)]
    NotUnderstood(#[from] NotUnderstood),
    /// The laps are no number of laps.
    #[error("\"{0}\" is no number of laps: write 13, or 13 x 400 + 200")]
    Laps(String),
    /// More laps than anybody counts.
    #[error("{0} laps cannot be: 60 at most, or one distance under metres")]
    TooManyLaps(String),
    /// Laps were counted, but nobody said how long one is.
    #[error("how long is a lap? Write it above, or write one distance under metres")]
    LapUnknown,
    /// The metres are a lap or more.
    #[error(
        "{given} is {more} a lap: laps and metres, or one distance?",
        given = metres(*beyond), more = if beyond > lap { "more than" } else { "all of" }
    )]
    BeyondALap {
        /// What stands under metres.
        beyond: Distance,
        /// A lap's length.
        lap: Distance,
    },
    /// Both fields say the whole.
    #[error("laps and metres both say the whole distance: empty one of them")]
    Twice,
    /// Longer than a distance can be.
    #[error("nobody runs that far: check the laps and metres")]
    TooFar,
}

/// A result in one go: "5400", "5,4 km", "13 laps", "13 laps 200", "13 laps + 200 m",
/// "13 x 400 + 200".
///
/// # Errors
/// Anything else; metres beyond the last lap that are a lap or more, where the lap was written.
pub fn run(text: &str) -> Result<Run, WrongResult> {
    let given = text.trim().to_lowercase();
    let plain = |found: NotUnderstood| match found {
        NotUnderstood::Distance(_) => NotUnderstood::Distance(text.trim().to_owned()),
        other => other,
    };
    if let Some((count, rest)) = given.split_once("lap") {
        let laps = laps(count)?;
        let rest = rest.strip_prefix('s').unwrap_or(rest).trim_start();
        let beyond = beyond(rest.trim_start_matches(['+', ',', '&']).trim_start())?;
        return Ok(Run::Laps { laps, lap: None, beyond });
    }
    if let Some((count, rest)) = given.split_once(['x', '\u{d7}', '*']) {
        let laps = laps(count)?;
        let (lap, rest) = rest.split_once('+').unwrap_or((rest, ""));
        let (lap, beyond) = (distance(lap).map_err(plain)?, beyond(rest)?);
        return if beyond < lap {
            Ok(Run::Laps { laps, lap: Some(lap), beyond })
        } else {
            Err(WrongResult::BeyondALap { beyond, lap })
        };
    }
    Ok(Run::Distance(distance(text).map_err(plain)?))
}

fn beyond(text: &str) -> Result<Distance, WrongResult> {
    Ok(distance(if text.trim().is_empty() { "0" } else { text })?)
}

fn laps(text: &str) -> Result<Laps, WrongResult> {
    let count = decimal(text.trim()).filter(|count| *count <= MOST_LAPS);
    count.map(Laps).ok_or_else(|| {
        let text = text.trim().to_owned();
        if too_many(&text) { WrongResult::TooManyLaps(text) } else { WrongResult::Laps(text) }
    })
}

/// Whether a bare number stands for laps, but more than anybody runs; from 1000 on it is a distance.
fn too_many(text: &str) -> bool {
    text.parse::<u16>().is_ok_and(|count| (61..1_000).contains(&count))
}

impl Run {
    /// The whole distance on a course whose lap is so long.
    ///
    /// # Errors
    /// Laps without a length; metres beyond the last lap that are a lap or more.
    pub fn distance(self, course: Option<Distance>) -> Result<Distance, WrongResult> {
        let (laps, lap, beyond) = match self {
            Self::Distance(distance) => return Ok(distance),
            Self::Laps { laps, lap, beyond } => (laps, lap.or(course), beyond),
        };
        let lap = lap.ok_or(WrongResult::LapUnknown)?;
        if beyond >= lap {
            return Err(WrongResult::BeyondALap { beyond, lap });
        }
        Distance::from_m(laps.0 * lap.m() + beyond.m()).map_err(|_| WrongResult::TooFar)
    }
}

/// The distance that the two fields of a table say together, on a course whose lap is so long:
/// laps and metres beyond them, or either field with the whole; `None` while both are empty.
///
/// # Errors
/// Fields that contradict each other, words nobody understands, laps without a length.
pub fn result(
    under_laps: &str,
    under_metres: &str,
    course: Option<Distance>,
) -> Result<Option<Distance>, WrongResult> {
    let whole = |text: &str| run(text)?.distance(course).map(Some);
    match (under_laps.trim(), under_metres.trim()) {
        ("", "") => Ok(None),
        ("", text) => whole(text),
        (text, "") => match laps(text) {
            Ok(laps) => {
                let beyond = beyond("")?;
                Run::Laps { laps, lap: None, beyond }.distance(course).map(Some)
            }
            // a bare number is too many laps, a time has its own sentence, all else says the whole
            Err(wrong) if time(text).is_err() && text.bytes().all(|b| b.is_ascii_digit()) => {
                Err(wrong)
            }
            Err(_) => whole(text),
        },
        (text, metres) => match (laps(text), run(metres)?) {
            (Ok(laps), Run::Distance(beyond)) => {
                Run::Laps { laps, lap: None, beyond }.distance(course).map(Some)
            }
            (Err(wrong), Run::Distance(_)) if run(text).is_err() || too_many(text) => Err(wrong),
            _ => Err(WrongResult::Twice),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn course(metres: f64) -> Option<Distance> {
        Distance::from_m(metres).ok()
    }

    fn said(laps: &str, metres: &str, lap: f64) -> Result<Option<f64>, String> {
        result(laps, metres, course(lap)).map(|d| d.map(Distance::m)).map_err(|e| e.to_string())
    }

    #[test]
    fn laps_and_metres_in_one_go() {
        // 13 x 400 + 200 = 5400 (arithmetic)
        for text in [
            "13 laps 200",
            "13 laps 200 m",
            "13 laps + 200",
            "13laps, 200m",
            "13 x 400 + 200",
            "13x400+200",
            "13 × 400 m + 200 m",
            "13.5 laps",
            "13,5 laps",
        ] {
            let metres = run(text).unwrap().distance(course(400.0)).unwrap().m();
            assert!((metres - 5_400.0).abs() < 1e-9, "{text}: {metres}");
        }
        assert_eq!(run("13 laps").unwrap().distance(None), Err(WrongResult::LapUnknown));
        assert!(matches!(run("13 x 400 + 400"), Err(WrongResult::BeyondALap { .. })));
        assert!(matches!(run("many laps"), Err(WrongResult::Laps(_))));
    }

    #[test]
    fn two_fields_say_one_distance() {
        assert_eq!(said("4", "812", 1_250.0), Ok(Some(5_812.0)));
        assert_eq!(said("4", "", 1_250.0), Ok(Some(5_000.0)));
        assert_eq!(said("", "5,4 km", 1_250.0), Ok(Some(5_400.0)));
        assert_eq!(said("13 x 400 + 200", "", 1_250.0), Ok(Some(5_400.0)));
        assert_eq!(said("5400 m", "", 1_250.0), Ok(Some(5_400.0)));
        assert_eq!(said("", " ", 1_250.0), Ok(None));
    }

    #[test]
    fn fields_that_contradict_ask_back() {
        let more = "5,600 m is more than a lap: laps and metres, or one distance?";
        assert_eq!(said("4", "5600", 1_250.0), Err(more.to_owned()));
        let all = "1,250 m is all of a lap: laps and metres, or one distance?";
        assert_eq!(said("4", "1250", 1_250.0), Err(all.to_owned()));
        let twice = "laps and metres both say the whole distance: empty one of them";
        assert_eq!(said("13 x 400", "200", 400.0), Err(twice.to_owned()));
        assert_eq!(said("4", "13 laps", 400.0), Err(twice.to_owned()));
        let laps = "\"5400\" is no number of laps: write 13, or 13 x 400 + 200";
        assert_eq!(said("5400", "", 400.0), Err(laps.to_owned()));
        assert_eq!(result("4", "812", None), Err(WrongResult::LapUnknown));
        assert!(said("4:05", "", 400.0).unwrap_err().contains("is a time"));
        assert!(said("x", "", 400.0).unwrap_err().contains("no number of laps"));
    }
}
