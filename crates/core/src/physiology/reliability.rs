//! How far each number can be off: validity against the physiological truth, repeatability of the
//! same athlete tested again. One standard error each.

use crate::test::TestKind;

/// Repeatability of mean speed, in percent: 5 minutes 2.4 after practice and 3.5 for a first
/// attempt, 20 minutes 2.0, 40 minutes 4.0 (judgement within the published figures).
///
/// # Source
/// 5 minutes: Tong TK, Fu FH, Chow BC. J Sports Med Phys Fitness 2001;41:318-323 (year and volume
/// from memory): CV 3.7 % over four trials, 2.4 % for the last two. 20 minutes: outdoor 5 km CV
/// 0.95 (0.65) % (BJSM 2013;47(17):e4), treadmill 5 km 2.0 % (Laursen PB et al. Med Sci Sports
/// Exerc 2007;39(8):1374-1379, doi 10.1249/mss.0b013e31806010f5). 40 minutes at a held heart rate:
/// no direct study; heart-rate error times the gain of heart rate on speed.
pub fn speed_percent(kind: TestKind, first_attempt: bool) -> f64 {
    match kind {
        TestKind::FiveMinutes if first_attempt => 3.5,
        TestKind::FiveMinutes => 2.4,
        TestKind::TwentyMinutes => 2.0,
        TestKind::FortyMinutes => 4.0,
    }
}

/// Repeatability of a mean heart rate, in percent.
///
/// # Source
/// Lamberts RP et al. J Strength Cond Res 2004;18(3):641-645: 1.1 to 1.4 % at a fixed speed.
pub const HEART_RATE_PERCENT: f64 = 1.2;

/// Validity of LT2 speed from an all-out run, m/s: standard error of estimate of a 30-minute run
/// against the speed at 4 mmol/l.
///
/// # Source
/// McGehee JC, Tanner CJ, Houmard JA. J Strength Cond Res 2005;19(3):553-558, doi 10.1519/15444.1.
pub const LT2_SPEED_VALIDITY_M_PER_S: f64 = 0.21;
/// Validity of LT2 heart rate, bpm: same source, 8.0 bpm.
pub const LT2_HEART_RATE_VALIDITY_BPM: f64 = 8.0;

/// Validity of LT1 heart rate by rule, bpm: spread of 0.95 x second-threshold minus
/// first-threshold heart rate in 113 open treadmill tests.
///
/// # Source
/// Mongin D, García Romero J, Alvero Cruz JR. PhysioNet 2021, doi 10.13026/7ezk-j442 (aggregate).
pub const LT1_HEART_RATE_VALIDITY_BPM: f64 = 8.0;

/// Validity of the pace at VO2max from a 5-minute run, m/s: 2.6 km/h x sqrt(1 - 0.94^2) = 0.89 km/h
/// (derived from the published spread and correlation).
///
/// # Source
/// Berthon P et al. Eur J Appl Physiol 1997;75:233-238, doi 10.1007/s004210050153.
pub const VO2MAX_SPEED_VALIDITY_M_PER_S: f64 = 0.246;

/// Validity of the floor's speed, m/s: 1.2 km/h whichever published cost line is used.
///
/// # Source
/// Mongin D et al. PhysioNet 2021, doi 10.13026/7ezk-j442 (aggregate of 499 tests).
pub const FLOOR_SPEED_VALIDITY_M_PER_S: f64 = 1.2 / 3.6;
/// Validity of the floor's heart rate, percent of HRmax: 5.7 between tests at 56 % of VO2max (same
/// source).
pub const FLOOR_HEART_RATE_VALIDITY_PERCENT: f64 = 5.7;
