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
/// mean; else by age;
/// `None` where nothing is known.
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

/// A published line of maximal heart rate against age. The program uses [`AgeLine::Tanaka`]; the
/// others show how far published lines lie apart (16 beats at 50), which is why a maximum by age is
/// always called an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AgeLine {
    /// 208 - 0.7 age: Tanaka H, Monahan KD, Seals DR. J Am Coll Cardiol 2001;37:153-156, doi
    /// 10.1016/S0735-1097(00)01054-8 (equation seen on a secondary page).
    Tanaka,
    /// 211 - 0.64 age: Nes BM et al. Scand J Med Sci Sports 2013;23(6):697-704, doi
    /// 10.1111/j.1600-0838.2012.01445.x; n 3,320, standard error 10.8.
    Nes,
    /// 206.9 - 0.67 age: Gellish RL et al. Med Sci Sports Exerc 2007;39(5):822-829, doi
    /// 10.1097/mss.0b013e31803349c6.
    Gellish,
    /// 206 - 0.88 age, women: Gulati M et al. Circulation 2010;122(2):130-137, doi
    /// 10.1161/CIRCULATIONAHA.110.939249.
    Gulati,
    /// 164 - 0.7 age, patients on a beta blocker: Brawner CA et al. Am Heart J 2004, doi
    /// 10.1016/j.ahj.2004.04.035. Its standard error of 18 beats is the reason why no heart-rate
    /// zones are made on such medication.
    BrawnerOnBetaBlocker,
}

impl AgeLine {
    /// Maximal heart rate by age.
    pub fn at(self, age: Years) -> Option<HeartRate> {
        let (start, slope) = match self {
            Self::Tanaka => (208.0, 0.7),
            Self::Nes => (211.0, 0.64),
            Self::Gellish => (206.9, 0.67),
            Self::Gulati => (206.0, 0.88),
            Self::BrawnerOnBetaBlocker => (164.0, 0.7),
        };
        HeartRate::from_bpm(start - slope * age.years()).ok()
    }
}

/// Maximal heart rate by age, by the program's line.
pub fn by_age(age: Years) -> Option<HeartRate> {
    AgeLine::Tanaka.at(age)
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
