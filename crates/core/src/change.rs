//! Is a change real: the probability that the true change exceeds the smallest worthwhile one.

use serde::{Deserialize, Serialize};

use crate::physiology::reliability;
use crate::test::TestKind;
use crate::units::Speed;

/// The smallest change worth acting on, percent of speed (judgement within 0.3 of race-to-race
/// variation and 0.2 of the spread between athletes; Hopkins WG. Sportscience 2004;8:1-7).
pub const SMALLEST_WORTHWHILE_PERCENT: f64 = 1.0;
/// From this probability on a change is called clear (judgement).
const CLEAR: f64 = 0.95;
/// From this probability on a change is called likely (judgement).
const LIKELY: f64 = 0.75;

/// Whether a change is real.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Verdict {
    /// Better, from 0.95.
    #[serde(rename = "clear gain")]
    ClearGain,
    /// Better, from 0.75.
    #[serde(rename = "likely gain")]
    LikelyGain,
    /// Neither.
    #[serde(rename = "no clear change")]
    NoClearChange,
    /// Worse, from 0.75.
    #[serde(rename = "likely loss")]
    LikelyLoss,
    /// Worse, from 0.95.
    #[serde(rename = "clear loss")]
    ClearLoss,
}

/// A change of mean speed between tests, with its doubt. All in percent; chances of 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// 100 (mean after / mean before - 1).
    pub change_percent: f64,
    /// Typical error x sqrt(1/n1 + 1/n2).
    pub standard_error_percent: f64,
    /// Repeatability of one test.
    pub typical_error_percent: f64,
    /// The smallest change worth acting on.
    pub smallest_worthwhile_percent: f64,
    /// Probability that the true change is a worthwhile gain.
    pub chance_better: f64,
    /// Probability that it is too small to matter.
    pub chance_trivial: f64,
    /// Probability that it is a worthwhile loss.
    pub chance_worse: f64,
    /// The change in words.
    pub verdict: Verdict,
}

impl Change {
    /// Whether the tests differ by less than one standard error of such a difference: then new zones
    /// would mostly follow the luck of the day.
    pub fn is_inside_error(&self) -> bool {
        self.change_percent.abs() <= self.standard_error_percent
    }
}

/// Compares the speeds of tests of one kind before and after; `None` where either side is empty or
/// stands still.
///
/// The prior of this method is flat: any true change counts as equally likely beforehand. Where true
/// changes are small, as they are in trained runners over a few weeks, it over-claims: if true
/// changes have a standard deviation of 1 % and the change has an error of 2.83 %, an observed +3 %
/// is called 76 % likely a worthwhile gain when it is in truth 24 % (normal prior, worked by hand:
/// the posterior is 0.33 (0.94) %). So this answers the plain question of two tests only; screens
/// and documents speak by the [`crate::trend`].
///
/// # Source
/// Hopkins WG. Measures of reliability in sports medicine and science. Sports Med 2000;30(1):1-15;
/// chances with a flat prior: better = 1 - Phi((SWC - change)/SE), worse = Phi((-SWC - change)/SE).
pub fn compare(kind: TestKind, before: &[Speed], after: &[Speed]) -> Option<Change> {
    let mean = |speeds: &[Speed]| {
        let sum: f64 = speeds.iter().map(|s| s.m_per_s()).sum();
        (!speeds.is_empty() && sum > 0.0).then(|| sum / speeds.len() as f64)
    };
    let change_percent = 100.0 * (mean(after)? / mean(before)? - 1.0);
    let typical_error_percent = reliability::speed_percent(kind, false);
    let counts = 1.0 / before.len() as f64 + 1.0 / after.len() as f64;
    let standard_error_percent = typical_error_percent * counts.sqrt();
    let worthwhile = SMALLEST_WORTHWHILE_PERCENT;
    let (chance_better, chance_worse) = chances(change_percent, standard_error_percent, worthwhile);
    Some(Change {
        change_percent,
        standard_error_percent,
        typical_error_percent,
        smallest_worthwhile_percent: worthwhile,
        chance_better,
        chance_trivial: (1.0 - chance_better - chance_worse).max(0.0),
        chance_worse,
        verdict: verdict(chance_better, chance_worse),
    })
}

/// Chances of a worthwhile gain and a worthwhile loss, for a change with a normal error: all three
/// numbers in one unit, whichever it is. The rest, of 1, is the chance that it is too small to
/// matter.
pub fn chances(change: f64, error: f64, worthwhile: f64) -> (f64, f64) {
    (below((change - worthwhile) / error), below((-worthwhile - change) / error))
}

/// 95 % of the differences between two tests of an unchanged athlete lie within this, in percent
/// either way: 1.96 sqrt 2 typical errors.
///
/// # Source
/// Bland JM, Altman DG. Lancet 1986;1:307-310 (from memory).
pub fn limits_of_agreement_percent(kind: TestKind) -> f64 {
    1.96 * std::f64::consts::SQRT_2 * reliability::speed_percent(kind, false)
}

/// The words for two chances.
pub(crate) fn verdict(better: f64, worse: f64) -> Verdict {
    match (better, worse) {
        (b, _) if b >= CLEAR => Verdict::ClearGain,
        (b, _) if b >= LIKELY => Verdict::LikelyGain,
        (_, w) if w >= CLEAR => Verdict::ClearLoss,
        (_, w) if w >= LIKELY => Verdict::LikelyLoss,
        _ => Verdict::NoClearChange,
    }
}

/// The standard normal distribution function.
pub(crate) fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn speeds(metres: &[f64], seconds: f64) -> Vec<Speed> {
        metres.iter().map(|m| Speed::from_m_per_s(m / seconds).unwrap()).collect()
    }

    #[test]
    fn chances_of_the_published_method() {
        // Hopkins's formula at change 3 %, typical error 2 %, smallest worthwhile 1 %, by hand with
        // a table of the normal distribution: 0.7602, 0.1611, 0.0786
        let change = compare(
            TestKind::TwentyMinutes,
            &speeds(&[5_400.0], 1_200.0),
            &speeds(&[5_562.0], 1_200.0),
        )
        .unwrap();
        assert!((change.change_percent - 3.0).abs() < 1e-9);
        assert!((change.standard_error_percent - 2.8284).abs() < 1e-4);
        assert!((change.chance_better - 0.7602).abs() < 2e-4);
        assert!((change.chance_trivial - 0.1611).abs() < 2e-4);
        assert!((change.chance_worse - 0.0786).abs() < 2e-4);
        assert_eq!(change.verdict, Verdict::LikelyGain);
    }

    #[test]
    fn two_tests_a_side_halve_the_variance() {
        // typical error 2 % with two tests each side: 2.000 % (arithmetic)
        let twice = speeds(&[5_400.0, 5_400.0], 1_200.0);
        let change = compare(TestKind::TwentyMinutes, &twice, &twice).unwrap();
        assert!((change.standard_error_percent - 2.0).abs() < 1e-9);
        assert_eq!(change.verdict, Verdict::NoClearChange);
    }

    #[test]
    fn nothing_to_compare_is_none() {
        assert_eq!(compare(TestKind::FiveMinutes, &[], &speeds(&[1_500.0], 300.0)), None);
    }
}
