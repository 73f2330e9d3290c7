//! The maximal heart rate, and the heart rate at a share of VO2max.

use crate::units::{HeartRate, Share, Years};

/// Mean heart rate of a 20-minute all-out run over the maximum (from memory, no source seen).
const TWENTY_MINUTE_MEAN_OF_MAX: f64 = 0.925;

/// Where a maximal heart rate comes from, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MaximumFrom {
    /// Typed in.
    Entered,
    /// The highest credible peak of accepted all-out efforts.
    Peak,
    /// The mean heart rate of a 20-minute test: an estimate.
    TwentyMinutes,
    /// Age: an estimate.
    Age,
}

/// A maximal heart rate with its origin and one standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Maximum {
    /// The rate.
    pub rate: HeartRate,
    /// Where it comes from.
    pub from: MaximumFrom,
}

impl Maximum {
    /// One standard error in beats: 2 for an entered or measured one (judgement), 5 from a
    /// 20-minute mean (judgement), 10 from age (Tanaka's spread, from memory).
    pub fn error_bpm(self) -> f64 {
        match self.from {
            MaximumFrom::Entered | MaximumFrom::Peak => 2.0,
            MaximumFrom::TwentyMinutes => 5.0,
            MaximumFrom::Age => 10.0,
        }
    }

    /// Whether it was neither entered nor measured.
    pub fn is_estimate(self) -> bool {
        matches!(self.from, MaximumFrom::TwentyMinutes | MaximumFrom::Age)
    }
}

/// What is known about an athlete's maximal heart rate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Known {
    /// Typed in.
    pub entered: Option<HeartRate>,
    /// Highest credible peak of accepted all-out efforts.
    pub peak: Option<HeartRate>,
    /// Mean of a 20-minute test.
    pub twenty_minute_mean: Option<HeartRate>,
    /// Age.
    pub age: Option<Years>,
}

/// The best maximal heart rate: entered; else the peak of all-out efforts; else from the 20-minute
/// mean; else by
/// age; `None` where nothing is known.
pub fn choose(known: &Known) -> Option<Maximum> {
    let of = |rate: Option<HeartRate>, from| rate.map(|rate| Maximum { rate, from });
    let from_mean = known
        .twenty_minute_mean
        .and_then(|mean| HeartRate::from_bpm(mean.bpm() / TWENTY_MINUTE_MEAN_OF_MAX).ok());
    of(known.entered, MaximumFrom::Entered)
        .or(of(known.peak, MaximumFrom::Peak))
        .or(of(from_mean, MaximumFrom::TwentyMinutes))
        .or(of(known.age.and_then(by_age), MaximumFrom::Age))
}

/// Maximal heart rate by age: 208 - 0.7 x age.
///
/// # Source
/// Tanaka H, Monahan KD, Seals DR. J Am Coll Cardiol 2001;37:153-156, doi
/// 10.1016/S0735-1097(00)01054-8 (equation seen on a secondary page).
pub fn by_age(age: Years) -> Option<HeartRate> {
    HeartRate::from_bpm(208.0 - 0.7 * age.years()).ok()
}

/// Percent of HRmax at a share of VO2max: 0.64 x percent + 37.
///
/// # Source
/// Swain DP et al. Med Sci Sports Exerc 1994;26(1):112-116 (means 63, 76, 89, 92 % at 40, 60, 80,
/// 85 %; the rounded line is from memory).
pub fn percent_of_max_at(vo2max: Share) -> f64 {
    0.64 * vo2max.ratio() * 100.0 + 37.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_lines() {
        // Tanaka at 40: 180.0
        let age = Years::from_years(40.0).unwrap();
        assert!((by_age(age).unwrap().bpm() - 180.0).abs() < 0.05);
        // the line at 56 %, and against Swain's four means within a beat in a hundred
        let percent = |p| percent_of_max_at(Share::from_ratio(p).unwrap());
        assert!((percent(0.56) - 72.84).abs() < 0.01);
        for (share, mean) in [(0.40, 63.0), (0.60, 76.0), (0.80, 89.0), (0.85, 92.0)] {
            assert!((percent(share) - mean).abs() < 1.0);
        }
    }

    #[test]
    fn an_entered_maximum_stands_above_all_others() {
        let rate = |bpm| HeartRate::from_bpm(bpm).ok();
        let mut known = Known {
            entered: rate(190.0),
            peak: rate(188.0),
            twenty_minute_mean: rate(170.0),
            age: Years::from_years(40.0).ok(),
        };
        assert_eq!(choose(&known).unwrap().from, MaximumFrom::Entered);
        known.entered = None;
        assert_eq!(choose(&known).unwrap().from, MaximumFrom::Peak);
        known.peak = None;
        let from_mean = choose(&known).unwrap();
        // 170 / 0.925, from memory
        assert!((from_mean.rate.bpm() - 183.78).abs() < 0.01 && from_mean.is_estimate());
        known.twenty_minute_mean = None;
        assert_eq!(choose(&known).unwrap().from, MaximumFrom::Age);
    }
}
