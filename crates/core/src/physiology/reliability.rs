//! How far each number can be off: validity against the physiological truth, repeatability of the
//! same athlete tested again. One standard error each.

use crate::test::TestKind;

/// Repeatability of mean speed, in percent: 5 minutes 2.4 after practice and 3.5 for a first
/// attempt, 20 minutes 2.0, 40 minutes 4.0 (judgement within the published figures); a first attempt
/// at 20 or 40 minutes 1.3 times as much.
///
/// # Source
/// 5 minutes: Tong TK, Fu FH, Chow BC. J Sports Med Phys Fitness 2001;41:318-323 (year and volume
/// from memory): CV 3.7 % over four trials, 2.4 % for the last two. 20 minutes: outdoor 5 km CV
/// 0.95 (0.65) % (BJSM 2013;47(17):e4), treadmill 5 km 2.0 % (Laursen PB et al. Med Sci Sports
/// Exerc 2007;39(8):1374-1379, doi 10.1249/mss.0b013e31806010f5). 40 minutes at a held heart rate:
/// no direct study; heart-rate error times the gain of heart rate on speed. First attempts: the
/// first pair of trials differs 1.3 times as much (Hopkins WG, Schabort EJ, Hawley JA. Sports Med
/// 2001;31(3):211-234, doi 10.2165/00007256-200131030-00005).
pub fn speed_percent(kind: TestKind, first_attempt: bool) -> f64 {
    match (kind, first_attempt) {
        (TestKind::FiveMinutes, true) => 3.5,
        (TestKind::FiveMinutes, false) => 2.4,
        (TestKind::TwentyMinutes, first) => 2.0 * if first { FIRST_PAIR } else { 1.0 },
        (TestKind::FortyMinutes, first) => 4.0 * if first { FIRST_PAIR } else { 1.0 },
    }
}

/// See [`speed_percent`].
const FIRST_PAIR: f64 = 1.3;

/// What a first 5-minute test is slower than the second by, in percent, through lack of practice
/// alone: 1.2.
///
/// # Source
/// Hopkins WG, Schabort EJ, Hawley JA. Sports Med 2001;31(3):211-234 (learning from the first trial
/// to the second).
pub const LEARNING_PERCENT: f64 = 1.2;

/// Repeatability of the mean speed of a race or time trial of 3 to 10 km, in percent (treadmill
/// 5 km 2.0, Laursen as above; outdoor 0.95 to 1.5).
pub const RACE_PERCENT: f64 = 2.0;

/// Repeatability of a laboratory threshold's speed, in percent: CV below 3.1.
///
/// # Source
/// Cerezuela-Espejo V et al. Front Physiol 2018 (PMC6167480).
pub const LABORATORY_SPEED_PERCENT: f64 = 3.1;
/// Validity of a laboratory threshold's speed, in percent, between one definition of the threshold
/// and another (judgement; published definitions differ by more than they repeat).
pub const LABORATORY_SPEED_VALIDITY_PERCENT: f64 = 3.0;
/// Validity of a laboratory threshold's heart rate, beats (judgement, as above).
pub const LABORATORY_HEART_RATE_VALIDITY_BPM: f64 = 4.0;

/// Repeatability of a mean heart rate, in percent.
///
/// # Source
/// Lamberts RP et al. J Strength Cond Res 2004;18(3):641-645: 1.1 to 1.4 % at a fixed speed.
pub const HEART_RATE_PERCENT: f64 = 1.2;

/// Validity of LT2 speed from an all-out run, m/s: standard error of estimate of a 30-minute run
/// against the speed at 4 mmol/l. It holds the repeatability of that study's run and of its
/// laboratory too; how much is not known, so nothing is taken off: stated doubts err wide, by at
/// most a tenth.
///
/// # Source
/// McGehee JC, Tanner CJ, Houmard JA. J Strength Cond Res 2005;19(3):553-558, doi 10.1519/15444.1.
pub const LT2_SPEED_VALIDITY_M_PER_S: f64 = 0.21;
/// Validity of LT2 heart rate, bpm: same source, 8.0 bpm.
pub const LT2_HEART_RATE_VALIDITY_BPM: f64 = 8.0;

/// Validity of LT1 heart rate by rule, bpm: spread of 0.95 x second-threshold minus
/// first-threshold heart rate in 113 open treadmill tests. LT2's own error is not added: first
/// thresholds spread only 4.6 % of HRpeak (8.7 beats at 190) between 1,411 runners, so knowing a
/// 20-minute test cannot leave more doubt than knowing nothing but the maximum.
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
