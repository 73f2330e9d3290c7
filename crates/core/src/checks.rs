//! What is wrong with a recording or an effort, said as remarks. Only this module makes them.
//!
//! Each check is a function from what it looks at to the remarks it has; [`judge`] runs them all.
//! A threshold without a source is marked as judgement where it stands.

mod effort;
mod file;
mod heart_rate;
mod heat;
mod held;
mod pace;
mod plausible;
mod step;

use crate::course::Measured;
use crate::effort::{DistanceLine, Effort, HeartRateFault, closed_spans};
use crate::known::Known;
use crate::recording::{Recording, Span};
use crate::remark::Remark;
use crate::test::TestKind;
use crate::units::Distance;

pub use heat::heat;
pub use held::{no_target, off_target};
pub use plausible::{
    ImpossibleTest, UnlikelyChange, UnlikelyHeartRate, plausible_change, plausible_distance,
    plausible_heart_rate_change, plausible_mean_heart_rate,
};

/// Grows with every change of a check, so that judgements kept from older rules are made anew.
pub const RULES_VERSION: u32 = 6;

/// All that is looked at.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// Its distance against time.
    pub line: Option<&'a DistanceLine>,
    /// The effort, where there is one.
    pub effort: Option<&'a Effort>,
    /// What the recording itself says of the distance of the effort.
    pub recorded: Option<Distance>,
    /// Which test it should be.
    pub kind: TestKind,
    /// What is known from elsewhere.
    pub known: &'a Known,
    /// What was measured of this very effort, by other means than the recording.
    pub measured: Option<&'a Measured>,
    /// What is wrong with the heart rate, in order of place.
    pub faults: &'a [HeartRateFault],
}

/// Every remark about a recording as a test of a kind, worst first, then in order of place.
pub fn judge(evidence: &Evidence<'_>) -> Vec<Remark> {
    let mut remarks = file::remarks(evidence);
    if let (Some(effort), Some(line)) = (evidence.effort, evidence.line) {
        let two_speeds =
            step::two_speeds(evidence.kind, evidence.recording.samples(), effort, line);
        let one_effort = two_speeds.is_none();
        remarks.extend(two_speeds);
        remarks.extend(effort::remarks(evidence, effort, line));
        remarks.extend(pace::remarks(evidence, effort, line, one_effort));
        remarks.extend(held::remarks(evidence, effort, line));
        remarks.extend(heart_rate::remarks(evidence, effort, one_effort));
    }
    let place = |r: &Remark| r.span.map_or(0.0, |s: Span| s.from.s());
    remarks.sort_by(|a, b| b.severity.cmp(&a.severity).then_with(|| place(a).total_cmp(&place(b))));
    remarks
}

/// Pauses and legs of other sports of a recording.
fn closed(evidence: &Evidence<'_>, line: &DistanceLine) -> Vec<Span> {
    closed_spans(evidence.recording, line.pauses())
}
