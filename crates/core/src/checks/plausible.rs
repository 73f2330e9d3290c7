//! What a test result can be at all: typed values outside are refused, recorded ones are spoiled.

use crate::change::Change;
use crate::format;
use crate::test::TestKind;
use crate::units::{Distance, HeartRate};

/// Slower than this (metres per second) nobody runs or walks a test: a slip of the pen.
const SLOWEST_M_PER_S: f64 = 0.8;
/// Mean heart rates a test can have, beats per minute (rule of thumb, no source).
const MEAN_HEART_RATE_BPM: std::ops::RangeInclusive<f64> = 60.0..=220.0;

/// Faster than this (metres per second) nobody has run for so long: about 4 % above the speeds of
/// the world's best over 2,000 m (7.06), 7.5 km (6.5) and 15 km (6.3), all from memory.
pub(super) fn fastest_m_per_s(kind: TestKind) -> f64 {
    match kind {
        TestKind::FiveMinutes => 7.35,
        TestKind::TwentyMinutes => 6.8,
        TestKind::FortyMinutes => 6.5,
    }
}

/// A change beyond this against the last test of its kind is more likely a lap miscounted than a
/// change of fitness (percent; judgement: five times the error of two 20-minute tests).
const UNLIKELY_CHANGE_PERCENT: f64 = 15.0;

/// A typed result no test can have.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ImpossibleTest {
    /// A distance nobody covers in that time.
    #[error(
        "{given} in {minutes} minutes cannot be: a {minutes}-minute test covers {least} to {most}; \
         check the laps and metres",
        given = format::metres(*given), minutes = kind.minutes(),
        least = format::metres(*least), most = format::metres(*most)
    )]
    Distance {
        /// Which test.
        kind: TestKind,
        /// What was given.
        given: Distance,
        /// The least believable distance.
        least: Distance,
        /// The most.
        most: Distance,
    },
    /// A mean heart rate nobody holds.
    #[error(
        "a mean heart rate of {given} cannot be: give beats a minute from {least} to {most}",
        given = given.bpm(), least = MEAN_HEART_RATE_BPM.start(), most = MEAN_HEART_RATE_BPM.end()
    )]
    HeartRate {
        /// What was given.
        given: HeartRate,
    },
}

/// A change so large that a slip of the pen is likelier.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "{given} since the last test is unlikely: check the laps, the metres and the length of a lap",
    given = format::signed_percent(*percent)
)]
pub struct UnlikelyChange {
    /// The change, percent of speed.
    percent: f64,
}

/// A change, if training can have made it.
///
/// # Errors
/// More than 15 % either way (judgement).
pub fn plausible_change(change: &Change) -> Result<(), UnlikelyChange> {
    let percent = change.change_percent;
    if percent.abs() <= UNLIKELY_CHANGE_PERCENT { Ok(()) } else { Err(UnlikelyChange { percent }) }
}

/// A mean heart rate further than this from that of the last all-out test of its kind is more likely a
/// slip of the pen, or another sensor, than a change of the heart (beats; judgement: five times the error
/// of two tests of 2 beats each).
const UNLIKELY_BEATS: f64 = 15.0;

/// A heart rate so far from the last one that a slip of the pen is likelier.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "a mean heart rate {} beats {} the last test's is unlikely: check it, and the sensor",
    beats.abs().round(), if *beats < 0.0 { "below" } else { "above" }
)]
pub struct UnlikelyHeartRate {
    /// The change, beats per minute.
    beats: f64,
}

/// A mean heart rate of an all-out test against the last test's of its kind, if both can be right.
///
/// # Errors
/// More than 15 beats either way (judgement).
pub fn plausible_heart_rate_change(
    before: HeartRate,
    now: HeartRate,
) -> Result<(), UnlikelyHeartRate> {
    let beats = now.bpm() - before.bpm();
    if beats.abs() <= UNLIKELY_BEATS { Ok(()) } else { Err(UnlikelyHeartRate { beats }) }
}

/// A typed distance, if anyone could have run it.
///
/// # Errors
/// Slower than 0.8 m/s or faster than anyone has run for that long.
pub fn plausible_distance(kind: TestKind, given: Distance) -> Result<Distance, ImpossibleTest> {
    let metres = |speed: f64| Distance::from_m(speed * kind.length_s()).unwrap_or(given);
    let (least, most) = (metres(SLOWEST_M_PER_S), metres(fastest_m_per_s(kind)));
    if (least..=most).contains(&given) {
        Ok(given)
    } else {
        Err(ImpossibleTest::Distance { kind, given, least, most })
    }
}

/// A typed mean heart rate, if anyone could have held it.
///
/// # Errors
/// Outside 60 to 220 beats per minute.
pub fn plausible_mean_heart_rate(given: HeartRate) -> Result<HeartRate, ImpossibleTest> {
    if MEAN_HEART_RATE_BPM.contains(&given.bpm()) {
        Ok(given)
    } else {
        Err(ImpossibleTest::HeartRate { given })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heart_rate_fifty_beats_off_is_asked_about_and_one_ten_off_is_not() {
        let bpm = |bpm| HeartRate::from_bpm(bpm).unwrap();
        let error = plausible_heart_rate_change(bpm(168.4), bpm(118.0)).unwrap_err();
        assert_eq!(
            error.to_string(),
            "a mean heart rate 50 beats below the last test's is unlikely: check it, and the sensor"
        );
        assert!(plausible_heart_rate_change(bpm(168.0), bpm(178.0)).is_ok());
        assert!(plausible_heart_rate_change(bpm(168.0), bpm(184.0)).is_err());
    }

    #[test]
    fn fifteen_kilometres_in_five_minutes_are_refused_in_one_sentence() {
        let metres = Distance::from_m(15_000.0).unwrap();
        let error = plausible_distance(TestKind::FiveMinutes, metres).unwrap_err();
        assert_eq!(
            error.to_string(),
            "15,000 m in 5 minutes cannot be: a 5-minute test covers 240 m to 2,205 m; \
             check the laps and metres"
        );
    }
}
