//! Two recordings of one effort: which to keep, and why.

use crate::remark::{Finding, Remark, Severity, Use};
use crate::units::Share;

/// What a recording of an effort is worth beside another of the same effort.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    measured: bool,
    usefulness: u8,
    faults: usize,
    heart_rate: f64,
}

impl Worth {
    /// By what the checks say of it (also whether its distance is a measured one that counts), and
    /// the share of it with a heart rate to trust.
    pub fn of(remarks: &[Remark], heart_rate: Share) -> Self {
        let usefulness = match Use::of(remarks) {
            Use::Usable => 2,
            Use::Doubtful => 1,
            Use::Unusable => 0,
        };
        let faults = remarks.iter().filter(|remark| remark.severity >= Severity::Check).count();
        let entered = |remark: &Remark| matches!(remark.finding, Finding::DistanceEntered { .. });
        // a measured distance that makes the test unusable is no better than none
        let measured = usefulness > 0 && remarks.iter().any(entered);
        Self { measured, usefulness, faults, heart_rate: heart_rate.ratio() }
    }
}

/// Which of two recordings of one effort is the better evidence, and in what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Better {
    /// The first one is at least as good.
    pub first: bool,
    /// In what the better one is better, to be read after "because".
    pub because: &'static str,
}

/// The better of two recordings of one effort: by whether its distance was measured (positions are
/// 3 to 6 % off, Gilgen-Ammann et al. 2020, doi 10.2196/17118: that is more than most tests change,
/// so a measured course goes before everything a second device may know), then by use, then by what
/// spoils or must be looked at, then by heart rate, then the first.
pub fn better_of(first: Worth, second: Worth) -> Better {
    let better = |first: bool, because: &'static str| Better { first, because };
    if first.measured != second.measured {
        return better(first.measured, "its distance was measured");
    }
    if first.usefulness != second.usefulness {
        return better(first.usefulness > second.usefulness, "more of it can be used");
    }
    if first.faults != second.faults {
        return better(first.faults < second.faults, "less is wrong with it");
    }
    let more = first.heart_rate - second.heart_rate;
    // a few per cent more or less are no reason
    if more.abs() >= 0.05 {
        return better(more > 0.0, "it holds more heart rate");
    }
    better(true, "it came first and the other is no better")
}
