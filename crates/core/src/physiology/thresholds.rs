//! The rules from a field test to a threshold.

use crate::units::{HeartRate, Share, Speed};

/// LT2 as a share of the 20-minute test's mean speed and mean heart rate: common practice, no
/// source. The literature brackets it: above the speed at maximal lactate steady state (0.90 to
/// 0.94), below critical speed (0.965 to 0.973).
pub const LT2_OF_TWENTY_MINUTES: f64 = 0.95;

/// LT1 heart rate as a share of LT2 heart rate: common practice, no source. It fits where LT2 means
/// a lactate steady state (0.956 derived); against a laboratory's second ventilatory threshold it
/// is about 6 beats high (0.910).
pub const LT1_OF_LT2_HEART_RATE: f64 = 0.95;

/// The floor of aerobic conditioning as a share of VO2max, 56 %: a conservative convention; the
/// published minimum for the fitter is 45 % of VO2 reserve (Swain DP, Franklin BA. Med Sci Sports
/// Exerc 2002;34(1):152-157, doi 10.1097/00005768-200201000-00023).
pub const FLOOR_OF_VO2MAX: f64 = 0.56;

/// LT2 speed from the mean speed of a 20-minute test.
pub fn lt2_speed(twenty_minutes: Speed) -> Option<Speed> {
    Speed::from_m_per_s(LT2_OF_TWENTY_MINUTES * twenty_minutes.m_per_s()).ok()
}

/// LT2 heart rate from the mean heart rate of a 20-minute test.
pub fn lt2_heart_rate(twenty_minutes: HeartRate) -> Option<HeartRate> {
    HeartRate::from_bpm(LT2_OF_TWENTY_MINUTES * twenty_minutes.bpm()).ok()
}

/// LT1 heart rate from LT2 heart rate: the target of the 40-minute test and the top of zone 2.
pub fn lt1_heart_rate(lt2: HeartRate) -> Option<HeartRate> {
    HeartRate::from_bpm(LT1_OF_LT2_HEART_RATE * lt2.bpm()).ok()
}

/// The floor's share of VO2max.
pub fn floor_share() -> Option<Share> {
    Share::from_ratio(FLOOR_OF_VO2MAX).ok()
}
