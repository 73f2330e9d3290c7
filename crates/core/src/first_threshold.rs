//! The factor from LT2 to LT1 heart rate: kept per athlete with its history, and when a lower one is
//! offered.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, FactorId};
use crate::physiology::conditions::{Celsius, HeatAdvice, heat_advice};
use crate::physiology::thresholds::FirstThresholdFactor;

/// The factor an athlete's LT1 heart rate is worked out by, from a day on. A change starts a new
/// series of LT1 pace: it is never a gain or a loss.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FactorFrom {
    /// Identity in the library.
    pub id: FactorId,
    /// Whose.
    pub athlete: AthleteId,
    /// In force from this day on, until a later one.
    pub from: NaiveDate,
    /// The factor.
    pub factor: FirstThresholdFactor,
    /// Why, in the coach's words.
    pub reason: String,
}

/// The factor in force on a day: common practice where none was chosen.
pub fn factor_on(history: &[FactorFrom], day: NaiveDate) -> FirstThresholdFactor {
    history
        .iter()
        .filter(|choice| choice.from <= day)
        .max_by_key(|choice| (choice.from, choice.id))
        .map_or_else(FirstThresholdFactor::default, |choice| choice.factor)
}

/// A 40-minute test as a check of its own target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldRun {
    /// When.
    pub on: NaiveDate,
    /// How much speed for each beat fell from the first half to the second, in percent (falling is
    /// positive).
    pub fade_percent: f64,
    /// Wet-bulb globe temperature, where known.
    pub heat: Option<Celsius>,
}

/// From this fall of speed for each beat on a run fades clearly: it was likely above LT1, hot or dry
/// (judgement, on drifts of 5 % at 95 % and 9 % at 100 % of the speed at maximal lactate steady state
/// by minute 40).
pub const CLEAR_FADE_PERCENT: f64 = 5.0;
/// So many runs must fade before a factor is doubted (judgement).
const RUNS: usize = 2;

/// A lower factor to offer, after the newest two 40-minute tests both faded clearly in cool weather;
/// `None` where they did not, where the weather explains it or is not known, or where the factor in
/// force is as low already.
pub fn lower_factor(
    newest_last: &[HeldRun],
    in_force: FirstThresholdFactor,
) -> Option<FirstThresholdFactor> {
    let offered = FirstThresholdFactor::ventilatory();
    let cool = |heat: Celsius| heat_advice(heat, false) == HeatAdvice::Fine;
    let newest = newest_last.get(newest_last.len().checked_sub(RUNS)?..)?;
    let faded =
        newest.iter().all(|r| r.fade_percent > CLEAR_FADE_PERCENT && r.heat.is_some_and(cool));
    (faded && offered < in_force).then_some(offered)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(fade_percent: f64, degrees: f64) -> HeldRun {
        let on = NaiveDate::from_ymd_opt(2026, 5, 1).unwrap();
        HeldRun { on, fade_percent, heat: Celsius::from_degrees(degrees) }
    }

    #[test]
    fn a_lower_factor_needs_two_clear_fades_in_cool_weather() {
        let usual = FirstThresholdFactor::default();
        assert_eq!(lower_factor(&[run(6.0, 12.0)], usual), None);
        assert_eq!(lower_factor(&[run(6.0, 12.0), run(3.0, 12.0)], usual), None);
        assert_eq!(lower_factor(&[run(6.0, 12.0), run(6.0, 20.0)], usual), None);
        let offered = lower_factor(&[run(2.0, 9.0), run(6.0, 12.0), run(7.0, 9.0)], usual).unwrap();
        // 85.1 / 93.5 of 1,411 runners (Esteve-Lanao 2026)
        assert!((offered.ratio() - 0.9102).abs() < 1e-4);
        assert_eq!(lower_factor(&[run(6.0, 12.0), run(7.0, 9.0)], offered), None);
    }
}
