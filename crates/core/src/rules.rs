//! The rules a coach sets for a whole library, with their history: LT2's share of the 20-minute test,
//! and what the floor's heart rate is a share of.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::physiology::thresholds::SecondThresholdShare;

/// What the heart rate of the aerobic floor is worked out from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FloorMethod {
    /// The highest heart rate.
    #[default]
    OfMaximum,
    /// The reserve between the resting and the highest heart rate.
    OfReserve,
}

/// The rules of a library.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Rules {
    /// LT2 as a share of the 20-minute test.
    pub second_threshold: SecondThresholdShare,
    /// What the floor's heart rate is worked out from.
    pub floor: FloorMethod,
}

/// Rules in force from a day on. Tests of earlier days were run under the rules of their day, so that
/// a change never reads as a gain or a loss.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RulesFrom {
    /// In force from this day on, until a later one.
    pub from: NaiveDate,
    /// The rules.
    pub rules: Rules,
}

/// The rules in force on a day: common practice where none were chosen.
pub fn rules_on(history: &[RulesFrom], day: NaiveDate) -> Rules {
    let begun = history.iter().filter(|chosen| chosen.from <= day);
    begun.max_by_key(|chosen| chosen.from).map_or_else(Rules::default, |chosen| chosen.rules)
}

/// The history once other rules are chosen on a day; a choice of the same day is replaced, and one
/// that changes nothing leaves no trace.
pub fn chosen(history: &[RulesFrom], from: NaiveDate, rules: Rules) -> Vec<RulesFrom> {
    let mut history: Vec<RulesFrom> =
        history.iter().filter(|chosen| chosen.from < from).copied().collect();
    if rules_on(&history, from) != rules {
        history.push(RulesFrom { from, rules });
    }
    history
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_count_from_their_day_and_a_choice_of_the_same_day_is_replaced() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 5, day).unwrap();
        let at = |ratio| Rules {
            second_threshold: SecondThresholdShare::from_ratio(ratio).unwrap(),
            floor: FloorMethod::OfMaximum,
        };
        let history = chosen(&chosen(&[], day(3), at(0.94)), day(3), at(0.93));
        assert_eq!(history.len(), 1);
        assert_eq!(rules_on(&history, day(2)), Rules::default());
        assert_eq!(rules_on(&history, day(3)), at(0.93));
        let back = chosen(&history, day(9), Rules::default());
        assert_eq!((rules_on(&back, day(8)), rules_on(&back, day(9))), (at(0.93), at(0.95)));
        assert_eq!(chosen(&history, day(3), Rules::default()), [], "changed back within the day");
        // judgement: the bounds of the share
        assert!(SecondThresholdShare::from_ratio(0.899).is_none());
        assert!(SecondThresholdShare::from_ratio(0.981).is_none());
        let damaged = SecondThresholdShare::try_from(0.5);
        assert!(damaged.is_err(), "a share outside its bounds is no share");
    }
}
