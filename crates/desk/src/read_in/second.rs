//! Two recordings of one effort: the better is kept, the other set aside with the reason.

use chrono::{DateTime, TimeDelta, Utc};
use pacewright_core::assess::{assess_at_known, better_of};
use pacewright_core::recording::{Recording, Span};
use pacewright_core::remark::{Finding, Remark, Severity};
use pacewright_core::test::{Decision, Evidence, Test};

use super::batch::Ready;
use crate::Problem;
use crate::book::known_of;
use crate::desk::Desk;

/// Two efforts that share so much of the time of the shorter one are one (judgement).
const SAME_SHARE: f64 = 0.8;

/// Whether a file that stands so far holds the same effort as another of the same call.
pub(super) fn is_same_effort(one: &Ready, other: &Ready) -> bool {
    let stands = one.test.decision == Decision::ToConfirm;
    let alike =
        stands && one.test.athlete == other.test.athlete && one.test.kind == other.test.kind;
    let times = moments(&one.recording.recording, &one.test)
        .zip(moments(&other.recording.recording, &other.test));
    alike && times.is_some_and(|(one, other)| overlap(one, other))
}

/// Keeps the better of two that are not in the library yet.
pub(super) fn settle(earlier: &mut Ready, new: &mut Ready) {
    let better = better_of(&earlier.assessment, &new.assessment);
    mark(earlier, better.first, better.because);
    mark(new, !better.first, better.because);
}

fn mark(ready: &mut Ready, kept: bool, because: &str) {
    if !kept {
        ready.test.decision = Decision::SetAside { reason: aside(because) };
    }
    let because = because.to_owned();
    let remark = Remark::new(Finding::SecondRecording { kept, because }, Severity::Note, None);
    // told once and first: it is what happened to the file
    let told = |remark: &Remark| matches!(remark.finding, Finding::SecondRecording { .. });
    ready.assessment.remarks.retain(|remark| !told(remark));
    ready.assessment.remarks.insert(0, remark);
}

/// Keeps the better of a new recording and one that is in the library; gives the stored test where
/// it is set aside. A test the coach accepted stays.
pub(super) fn beside_stored(
    desk: &Desk,
    tests: &[Test],
    new: &mut Ready,
) -> Result<Option<Test>, Problem> {
    let alike = |test: &&Test| test.kind == new.test.kind && test.on == new.test.on;
    for test in tests.iter().filter(alike) {
        let Evidence::Recorded { recording, span, found_by } = test.evidence else { continue };
        if matches!(test.decision, Decision::SetAside { .. }) {
            continue;
        }
        let of = test.clone();
        let (stored, known) = desk.ask(move |library| {
            Ok((library.recording(recording)?.1, known_of(library, &of, recording)?))
        })?;
        let times = moments(&stored, test).zip(moments(&new.recording.recording, &new.test));
        if !times.is_some_and(|(one, other)| overlap(one, other)) {
            continue;
        }
        if !matches!(test.decision, Decision::ToConfirm) {
            mark(new, false, "you accepted it before");
            return Ok(None);
        }
        let Ok(assessment) = assess_at_known(&stored, test.kind, span, found_by, &known) else {
            continue;
        };
        let better = better_of(&assessment, &new.assessment);
        mark(new, !better.first, better.because);
        let decision = Decision::SetAside { reason: aside(better.because) };
        return Ok((!better.first).then(|| Test { decision, ..test.clone() }));
    }
    Ok(None)
}

fn aside(because: &str) -> String {
    format!("Another recording of the same effort is kept because {because}.")
}

/// When a test's effort began and ended.
fn moments(recording: &Recording, test: &Test) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
    let Evidence::Recorded { span: Span { from, to }, .. } = test.evidence else { return None };
    let started = recording.started_at()?;
    #[expect(clippy::cast_possible_truncation, reason = "a recording is far shorter than i64")]
    let at =
        |seconds: f64| started.checked_add_signed(TimeDelta::milliseconds((seconds * 1e3) as i64));
    Some((at(from.s())?, at(to.s())?))
}

fn overlap(one: (DateTime<Utc>, DateTime<Utc>), other: (DateTime<Utc>, DateTime<Utc>)) -> bool {
    let shared = one.1.min(other.1) - one.0.max(other.0);
    let shorter = (one.1 - one.0).min(other.1 - other.0);
    shared.num_milliseconds() as f64 >= SAME_SHARE * shorter.num_milliseconds() as f64
}
