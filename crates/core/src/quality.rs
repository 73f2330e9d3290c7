//! What a test tracks: one speed a test, comparable from test to test.

use chrono::NaiveDate;

use crate::ids::TestId;
use crate::physiology::reliability;
use crate::physiology::thresholds::{self, SecondThresholdShare};
use crate::test::{Performance, Test, TestKind};
use crate::units::{Speed, Spread};

/// What one test that counts says about its quality.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Which test.
    pub test: TestId,
    /// The day it was run.
    pub on: NaiveDate,
    /// What it says: see [`speed`].
    pub speed: Speed,
    /// Its repeatability, one standard error.
    pub error: Spread<Speed>,
    /// Whether it is the first 5-minute test: practice, whose repeat gains by learning.
    pub practice: bool,
    /// Why it is no part of the trend, where that is so: see [`crate::trend::left_out`].
    pub left_out: Option<LeftOut>,
}

/// Why a test that counts says nothing of the path of its quality.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeftOut {
    /// 40 minutes held so far from LT1 heart rate that they give no LT1 pace.
    HeldElsewhere,
    /// 40 minutes with no LT1 heart rate known to hold them at.
    NoTarget,
}

impl Reading {
    /// The reading less and plus one standard error.
    pub fn ends(&self) -> (Speed, Speed) {
        let at = |m_per_s: f64| Speed::from_m_per_s(m_per_s).unwrap_or(self.speed);
        let (speed, error) = (self.speed.m_per_s(), self.error.m_per_s());
        (at(speed - error), at(speed + error))
    }
}

/// What the tests that count say about one quality, oldest first; all of them by the same share, so
/// that a change of the rule is no step in the chart. Which of them the trend leaves out is told by more
/// than tests: see [`crate::trend::readings`].
pub fn readings(kind: TestKind, tests: &[Test], share: SecondThresholdShare) -> Vec<Reading> {
    let counted = tests.iter().filter(|t| t.kind == kind && t.decision.is_accepted());
    let mut readings: Vec<Reading> = counted
        .filter_map(|test| {
            let speed = speed(kind, &test.performance, share)?;
            let practice = is_practice(test, tests);
            let percent = reliability::speed_percent(kind, practice);
            let error = Spread::new(speed.m_per_s() * percent / 100.0);
            let (test, on, left_out) = (test.id, test.on, None);
            Some(Reading { test, on, speed, error, practice, left_out })
        })
        .collect();
    readings.sort_by_key(|reading| (reading.on, reading.test));
    readings
}

/// The speed a test says about its quality: LT1 pace from 40 minutes and VO2max pace from 5 are the
/// mean speeds, LT2 pace is the rule's share of the mean of 20 minutes. `None` only for a time of
/// zero.
pub fn speed(
    kind: TestKind,
    performance: &Performance,
    share: SecondThresholdShare,
) -> Option<Speed> {
    of_mean_speed(kind, performance.mean_speed()?, share)
}

/// The same of a mean speed.
pub fn of_mean_speed(kind: TestKind, mean: Speed, share: SecondThresholdShare) -> Option<Speed> {
    match kind {
        TestKind::TwentyMinutes => thresholds::lt2_speed(mean, share),
        TestKind::FiveMinutes | TestKind::FortyMinutes => Some(mean),
    }
}

/// Whether a test is the first 5-minute test that counts: practice, whose repeat gains by learning.
fn is_practice(test: &Test, all: &[Test]) -> bool {
    let fives = all.iter().filter(|t| t.kind == TestKind::FiveMinutes && t.decision.is_accepted());
    let first = fives.min_by_key(|t| (t.on, t.id));
    test.kind == TestKind::FiveMinutes && first.is_some_and(|first| first.id == test.id)
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::*;
    use crate::ids::{AthleteId, TestId};
    use crate::test::{Decision, Evidence};
    use crate::units::{Distance, Seconds, Share};

    fn test(id: i64, kind: TestKind, metres: f64) -> Test {
        Test {
            id: TestId(id),
            athlete: AthleteId(1),
            kind,
            on: NaiveDate::from_ymd_opt(2026, 1, u32::try_from(id).unwrap()).unwrap(),
            performance: Performance {
                distance: Distance::from_m(metres).unwrap(),
                duration: Seconds::from_s(kind.length_s()).unwrap(),
                mean_heart_rate: None,
                heart_rate_share: Share::from_ratio(1.0).unwrap(),
                peak_heart_rate: None,
            },
            evidence: Evidence::Typed,
            decision: Decision::Accepted { reason: None },
        }
    }

    #[test]
    fn a_threshold_is_tracked_by_its_own_pace_not_by_the_tests_mean() {
        // common practice, no source: 95 % of 5400 m in 20 minutes is 4.275 m/s
        let usual = SecondThresholdShare::default();
        let twenty = test(1, TestKind::TwentyMinutes, 5_400.0);
        let lt2 = speed(twenty.kind, &twenty.performance, usual).unwrap();
        assert!((lt2.m_per_s() - 4.275).abs() < 1e-12);
        // arithmetic: 1500 m in 300 s
        let five = test(2, TestKind::FiveMinutes, 1_500.0);
        assert!(
            (speed(five.kind, &five.performance, usual).unwrap().m_per_s() - 5.0).abs() < 1e-12
        );
    }

    #[test]
    fn only_the_first_five_minutes_that_count_are_practice() {
        let mut all =
            vec![test(1, TestKind::FiveMinutes, 1_400.0), test(2, TestKind::FiveMinutes, 1_450.0)];
        assert_eq!(all.iter().map(|t| is_practice(t, &all)).collect::<Vec<_>>(), [true, false]);
        all[0].decision = Decision::SetAside { reason: "ran ill".to_owned() };
        assert_eq!(all.iter().map(|t| is_practice(t, &all)).collect::<Vec<_>>(), [false, true]);
        let read = readings(TestKind::FiveMinutes, &all, SecondThresholdShare::default());
        assert_eq!(read.len(), 1, "a test that was set aside says nothing");
        // 3.5 % of a first attempt (Tong and others 2001, as reliability states it) of 1450 m in 300 s
        assert!((read[0].error.m_per_s() - 0.035 * 1_450.0 / 300.0).abs() < 1e-12);
    }
}
