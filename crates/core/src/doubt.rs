//! How sure the numbers are: the two errors, three athletes worked by hand, and how it was checked.
#![doc = include_str!("doubt.md")]

use crate::remark::{BearsOn, Remark, Severity, Use};
use crate::test::{Decision, Test};

/// Half the width of a nine-in-ten interval, in standard errors of a normal distribution.
pub const NINE_IN_TEN: f64 = 1.645;

/// Each remark that has to be looked at widens the error of the number it bears on by this factor
/// (judgement: a doubted test counts less than half as much as a clean one).
const ONE_DOUBT: f64 = 1.5;
/// Two or more (judgement: a quarter).
const MORE_DOUBTS: f64 = 2.0;

/// How much the remarks about an effort doubt it: factors on its repeatability, at least 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffortDoubt {
    speed: f64,
    heart_rate: f64,
}

impl Default for EffortDoubt {
    fn default() -> Self {
        Self::NONE
    }
}

impl EffortDoubt {
    /// Nothing speaks against it.
    pub const NONE: Self = Self { speed: 1.0, heart_rate: 1.0 };
    /// Something does, and what is not known any more.
    pub const SOME: Self = Self { speed: ONE_DOUBT, heart_rate: ONE_DOUBT };

    /// From an effort's remarks: those to check, or that spoil, count for what they bear on; one
    /// that bears on no single number counts for both.
    pub fn of(remarks: &[Remark]) -> Self {
        let factor = |number: BearsOn| {
            let against = |r: &&Remark| {
                r.severity >= Severity::Check && r.bears_on.is_none_or(|bears| bears == number)
            };
            match remarks.iter().filter(against).count() {
                0 => 1.0,
                1 => ONE_DOUBT,
                _ => MORE_DOUBTS,
            }
        };
        Self { speed: factor(BearsOn::Speed), heart_rate: factor(BearsOn::HeartRate) }
    }

    /// From a test as the coach decided it: one accepted with a reason was accepted against its
    /// remarks. Where the remarks themselves are at hand they say more.
    pub fn of_test(test: &Test, remarks: Option<&[Remark]>) -> Self {
        match (&test.decision, remarks) {
            (_, Some(remarks)) if Use::of(remarks) != Use::Usable => Self::of(remarks),
            (
                Decision::Accepted { reason: Some(_) } | Decision::Renewed { reason: Some(_) },
                None,
            ) => Self::SOME,
            _ => Self::NONE,
        }
    }

    /// The factor on the repeatability of speed.
    pub fn speed_factor(self) -> f64 {
        self.speed
    }

    /// The factor on the repeatability of heart rate.
    pub fn heart_rate_factor(self) -> f64 {
        self.heart_rate
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::remark::Finding;

    #[test]
    fn only_what_must_be_looked_at_widens_and_only_where_it_bears() {
        let remark = |severity, bears_on| Remark::new(Finding::CutOff, severity, bears_on);
        let noted = EffortDoubt::of(&[remark(Severity::Note, Some(BearsOn::Speed))]);
        assert_eq!(noted, EffortDoubt::NONE);
        let checked = EffortDoubt::of(&[remark(Severity::Check, Some(BearsOn::HeartRate))]);
        assert!((checked.speed_factor() - 1.0).abs() < 1e-12);
        assert!((checked.heart_rate_factor() - 1.5).abs() < 1e-12);
        let twice = [remark(Severity::Check, None), remark(Severity::Check, Some(BearsOn::Speed))];
        assert!((EffortDoubt::of(&twice).speed_factor() - 2.0).abs() < 1e-12);
    }
}
