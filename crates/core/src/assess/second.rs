//! Two recordings of one effort: which to keep, and why.

use super::Assessment;
use crate::remark::{Severity, Use};

/// Which of two recordings of one effort is the better evidence, and in what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Better {
    /// The first one is at least as good.
    pub first: bool,
    /// In what the better one is better, to be read after "because".
    pub because: &'static str,
}

/// The better of two recordings of one effort: by use, then by what spoils or must be looked at,
/// then by heart rate, then the first.
pub fn better_of(first: &Assessment, second: &Assessment) -> Better {
    let usefulness = |a: &Assessment| match a.good_for {
        Use::Usable => 2,
        Use::Doubtful => 1,
        Use::Unusable => 0,
    };
    let faults = |a: &Assessment| {
        a.remarks.iter().filter(|remark| remark.severity >= Severity::Check).count()
    };
    let heart_rate =
        |a: &Assessment| a.effort.map_or(0.0, |effort| effort.heart_rate_share.ratio());
    let better = |first: bool, because: &'static str| Better { first, because };
    if usefulness(first) != usefulness(second) {
        return better(usefulness(first) > usefulness(second), "more of it can be used");
    }
    if faults(first) != faults(second) {
        return better(faults(first) < faults(second), "less is wrong with it");
    }
    let more = heart_rate(first) - heart_rate(second);
    // a few per cent more or less are no reason
    if more.abs() >= 0.05 {
        return better(more > 0.0, "it holds more heart rate");
    }
    better(true, "it came first and the other is no better")
}
