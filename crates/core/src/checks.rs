//! What is wrong with a recording or an effort, said as remarks. Only this module makes them.
//!
//! Each check is a function from what it looks at to the remarks it has; [`judge`] runs them all.
//! A threshold without a source is marked as judgement where it stands.

mod effort;
mod file;
mod plausible;

use crate::effort::{DistanceLine, Effort, closed_spans};
use crate::physiology::heart_rate_gain::speed_change_for;
use crate::recording::{Recording, Span};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::{HeartRate, Speed};

pub use plausible::{
    ImpossibleTest, UnlikelyChange, plausible_change, plausible_distance, plausible_mean_heart_rate,
};

/// A 40-minute test is on target while its mean heart rate is this close (beats; judgement).
const ON_TARGET_BPM: f64 = 3.0;

/// Grows with every change of a check, so that judgements kept from older rules are made anew.
pub const RULES_VERSION: u32 = 1;

/// All that is looked at.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// Its distance against time.
    pub line: Option<&'a DistanceLine>,
    /// The effort, where there is one.
    pub effort: Option<&'a Effort>,
    /// Which test it should be.
    pub kind: TestKind,
    /// The target of a 40-minute test, where it is known.
    pub target: Option<HeartRate>,
}

/// Every remark about a recording as a test of a kind, worst first, then in order of place.
pub fn judge(evidence: &Evidence<'_>) -> Vec<Remark> {
    let mut remarks = file::remarks(evidence);
    if let (Some(effort), Some(line)) = (evidence.effort, evidence.line) {
        remarks.extend(effort::remarks(evidence, effort, line));
    }
    let place = |r: &Remark| r.span.map_or(0.0, |s: Span| s.from.s());
    remarks.sort_by(|a, b| b.severity.cmp(&a.severity).then_with(|| place(a).total_cmp(&place(b))));
    remarks
}

/// What is to be said of a 40-minute run held off its target: by how much, and the likely effect on
/// its pace. `None` for the other tests and within 3 beats (judgement).
pub fn off_target(
    kind: TestKind,
    held: HeartRate,
    target: HeartRate,
    ran: Speed,
) -> Option<Remark> {
    let by_bpm = held.bpm() - target.bpm();
    let ran = ran.m_per_s();
    let on_target = (ran - speed_change_for(by_bpm)).max(0.1);
    let finding =
        Finding::OffTarget { by_bpm, pace_effect_s_per_km: 1_000.0 / on_target - 1_000.0 / ran };
    (kind == TestKind::FortyMinutes && by_bpm.abs() > ON_TARGET_BPM)
        .then(|| Remark::new(finding, Severity::Check, BearsOn::Speed))
}

/// Pauses and legs of other sports of a recording.
fn closed(evidence: &Evidence<'_>, line: &DistanceLine) -> Vec<Span> {
    closed_spans(evidence.recording, line.pauses())
}
