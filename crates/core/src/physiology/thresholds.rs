//! The rules from a field test to a threshold.

use crate::units::{HeartRate, Share, Speed};

/// LT2 as a share of the 20-minute test's mean speed and mean heart rate: 0.95 by default (common
/// practice, no source). The literature brackets it: above the speed at maximal lactate steady state
/// (0.90 to 0.94), below critical speed (0.965 to 0.973).
///
/// It is one for a whole library: with it the target of the 40-minute test moves, and LT1 pace with
/// that, without any change of fitness.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct SecondThresholdShare(Share);

impl SecondThresholdShare {
    /// Common practice.
    const USUAL: f64 = 0.95;

    /// A share from 0.90 to 0.98 (judgement: from the slowest published steady state to just above
    /// critical speed); `None` outside.
    pub fn from_ratio(ratio: f64) -> Option<Self> {
        Share::from_ratio(ratio).ok().filter(|_| (0.90..=0.98).contains(&ratio)).map(Self)
    }

    /// The share as a number.
    pub fn ratio(self) -> f64 {
        self.0.ratio()
    }

    /// Whether it is the one of common practice.
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

impl Default for SecondThresholdShare {
    fn default() -> Self {
        Self(Share::WHOLE.times(Self::USUAL))
    }
}

impl TryFrom<f64> for SecondThresholdShare {
    type Error = String;

    fn try_from(ratio: f64) -> Result<Self, Self::Error> {
        Self::from_ratio(ratio).ok_or_else(|| format!("{ratio} is no share from 0.90 to 0.98"))
    }
}

impl From<SecondThresholdShare> for f64 {
    fn from(share: SecondThresholdShare) -> Self {
        share.ratio()
    }
}

/// LT1 heart rate as a share of LT2 heart rate: 0.95 by default (common practice, no source). It
/// fits where LT2 means a lactate steady state (0.956 derived); against a laboratory's second
/// ventilatory threshold it is about 6 beats high (0.910).
///
/// It is kept for a season: changing it moves LT1 pace without any change of fitness.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct FirstThresholdFactor(Share);

impl FirstThresholdFactor {
    /// Common practice.
    const USUAL: f64 = 0.95;
    /// First over second ventilatory threshold, 85.1 / 93.5 % of HRpeak in 1,411 runners
    /// (Esteve-Lanao J, Sellés-Pérez S, Arévalo-Chico H, Cejuela R. Sports 2026;14(1):29).
    const VENTILATORY: f64 = 85.1 / 93.5;

    /// A factor from 0.85 to 1 (judgement: the published 0.91 less its spread, and nothing above
    /// LT2 itself); `None` outside.
    pub fn from_ratio(ratio: f64) -> Option<Self> {
        Share::from_ratio(ratio).ok().filter(|share| share.ratio() >= 0.85).map(Self)
    }

    /// The published ratio of the two ventilatory thresholds, 0.910: for a laboratory's second
    /// ventilatory threshold, and what is offered where 0.95 has shown itself too high.
    pub fn ventilatory() -> Self {
        Self::from_ratio(Self::VENTILATORY).unwrap_or_default()
    }

    /// The lower of two.
    #[must_use]
    pub fn lower(self, other: Self) -> Self {
        if other < self { other } else { self }
    }

    /// The factor as a number.
    pub fn ratio(self) -> f64 {
        self.0.ratio()
    }
}

impl Default for FirstThresholdFactor {
    fn default() -> Self {
        Self(Share::WHOLE.times(Self::USUAL))
    }
}

/// The floor of aerobic conditioning as a share of VO2max, 56 %: a conservative convention; the
/// published minimum for the fitter is 45 % of VO2 reserve (Swain DP, Franklin BA. Med Sci Sports
/// Exerc 2002;34(1):152-157, doi 10.1097/00005768-200201000-00023).
pub const FLOOR_OF_VO2MAX: f64 = 0.56;

/// LT2 speed from the mean speed of a 20-minute test.
pub fn lt2_speed(twenty_minutes: Speed, share: SecondThresholdShare) -> Option<Speed> {
    Speed::from_m_per_s(share.ratio() * twenty_minutes.m_per_s()).ok()
}

/// LT2 heart rate from the mean heart rate of a 20-minute test.
pub fn lt2_heart_rate(twenty_minutes: HeartRate, share: SecondThresholdShare) -> Option<HeartRate> {
    HeartRate::from_bpm(share.ratio() * twenty_minutes.bpm()).ok()
}

/// LT1 heart rate from LT2 heart rate: the target of the 40-minute test and the top of zone 2.
pub fn lt1_heart_rate(lt2: HeartRate, factor: FirstThresholdFactor) -> Option<HeartRate> {
    HeartRate::from_bpm(factor.ratio() * lt2.bpm()).ok()
}

/// LT2 heart rate that a rate held as LT1 stands for: the same rule read backwards.
pub fn lt2_from_lt1(lt1: HeartRate, factor: FirstThresholdFactor) -> Option<HeartRate> {
    HeartRate::from_bpm(lt1.bpm() / factor.ratio()).ok()
}

/// The floor's share of VO2max.
pub fn floor_share() -> Option<Share> {
    Share::from_ratio(FLOOR_OF_VO2MAX).ok()
}
