//! Two recordings of one effort: the better is kept, the other set aside with the reason. What is to
//! be said of it follows from the tests themselves, each time it is asked for: nothing of it is kept
//! beside them.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use pacewright_core::assess::{Worth, assess_at_known, better_of};
use pacewright_core::ids::RecordingId;
use pacewright_core::recording::Span;
use pacewright_core::remark::{Finding, Remark, Severity};
use pacewright_core::test::{Decision, Evidence, Test};
use pacewright_store::Library;

use super::batch::Ready;
use crate::Problem;
use crate::book::known_of;
use crate::desk::Desk;

/// Two efforts that share so much of the time of the shorter one are one (judgement).
const SAME_SHARE: f64 = 0.8;
/// Why the better one is not kept, to be read after "because": the other was accepted, or the better
/// one set aside by hand.
const ACCEPTED: &str = "you accepted it";
const DECIDED_SO: &str = "you decided so";

/// Whether a file that stands so far holds the same effort as another of the same call.
pub(super) fn is_same_effort(one: &Ready, other: &Ready) -> bool {
    let stands = one.test.decision == Decision::ToConfirm;
    let alike =
        stands && one.test.athlete == other.test.athlete && one.test.kind == other.test.kind;
    let times = moments_of(one).zip(moments_of(other));
    alike && times.is_some_and(|(one, other)| overlap(one, other))
}

fn moments_of(ready: &Ready) -> Option<Moments> {
    moments(ready.recording.recording.started_at()?, &ready.test)
}

/// Keeps the better of two that are not in the library yet.
pub(super) fn settle(earlier: &mut Ready, new: &mut Ready) {
    let better = better_of(worth(earlier), worth(new));
    mark(earlier, better.first, better.because);
    mark(new, !better.first, better.because);
}

fn worth(ready: &Ready) -> Worth {
    Worth::of(&ready.assessment.remarks, ready.test.performance.heart_rate_share)
}

fn mark(ready: &mut Ready, kept: bool, because: &str) {
    if !kept {
        ready.test.decision = Decision::SetAside { reason: aside(because) };
    }
    ready.second = Some(remark(kept, because));
}

fn remark(kept: bool, because: &str) -> Remark {
    let because = because.to_owned();
    Remark::new(Finding::SecondRecording { kept, because }, Severity::Note, None)
}

/// Keeps the better of a new recording and one that is in the library; gives the stored test where
/// it is set aside. A test the coach accepted stays.
pub(super) fn beside_stored(
    desk: &Desk,
    tests: &[Test],
    new: &mut Ready,
) -> Result<Option<Test>, Problem> {
    let Some(times) = moments_of(new) else { return Ok(None) };
    let alike = |test: &&Test| test.kind == new.test.kind && test.on == new.test.on;
    for test in tests.iter().filter(alike) {
        let Evidence::Recorded { recording, span, found_by } = test.evidence else { continue };
        if !stands(test) {
            continue;
        }
        let of = test.clone();
        let (stored, known) = desk
            .ask(move |library| Ok((library.recording(recording)?.1, known_of(library, &of)?)))?;
        let theirs = stored.started_at().and_then(|started| moments(started, test));
        if !theirs.is_some_and(|theirs| overlap(theirs, times)) {
            continue;
        }
        let stands = assess_at_known(&stored, test.kind, span, found_by, &known).ok();
        let stands = stands.map(|a| Worth::of(&a.remarks, test.performance.heart_rate_share));
        let better = stands.map(|stands| better_of(stands, worth(new)));
        if test.decision != Decision::ToConfirm {
            let because = better.filter(|better| better.first).map(|better| better.because);
            mark(new, false, because.unwrap_or(ACCEPTED));
            return Ok(None);
        }
        let Some(better) = better else { continue };
        mark(new, !better.first, better.because);
        let decision = Decision::SetAside { reason: aside(better.because) };
        return Ok((!better.first).then(|| Test { decision, ..test.clone() }));
    }
    Ok(None)
}

fn aside(because: &str) -> String {
    format!("Another recording of the same effort is kept because {because}.")
}

/// A test whose effort the coach accepted in another recording.
pub(crate) fn given_up(test: &Test) -> Test {
    Test { decision: Decision::SetAside { reason: aside(ACCEPTED) }, ..test.clone() }
}

/// Whether a test waits or counts.
pub(crate) fn stands(test: &Test) -> bool {
    !matches!(test.decision, Decision::SetAside { .. })
}

/// When recordings began.
pub(crate) type Starts = HashMap<RecordingId, DateTime<Utc>>;

/// When an athlete's recordings began, where two of their tests, which are in the order of their
/// days, may share an effort: hardly ever, and only then are the recordings looked up.
pub(crate) fn starts(library: &Library, tests: &[Test]) -> Result<Starts, Problem> {
    let mut days = tests.chunk_by(|a, b| a.on == b.on);
    let twice = |day: &[Test]| day.iter().any(|a| day.iter().any(|b| are_alike(a, b)));
    let Some(test) = tests.first().filter(|_| days.any(twice)) else { return Ok(Starts::new()) };
    let heads = library.recordings_of(test.athlete)?;
    Ok(heads.iter().filter_map(|head| Some((head.id, head.started_at?))).collect())
}

fn are_alike(one: &Test, other: &Test) -> bool {
    let recorded = |test: &Test| matches!(test.evidence, Evidence::Recorded { .. });
    (one.kind, one.on) == (other.kind, other.on)
        && one.id != other.id
        && recorded(one)
        && recorded(other)
}

/// Whether two tests stand on recordings of one effort.
pub(crate) fn share_effort(starts: &Starts, one: &Test, other: &Test) -> bool {
    let of = |test: &Test| stored_moments(starts, test);
    are_alike(one, other) && of(one).zip(of(other)).is_some_and(|(one, other)| overlap(one, other))
}

/// Another recording of the effort of a test, where not both are set aside: one that stands before one
/// that does not.
pub(crate) fn other_of<'a>(starts: &Starts, test: &Test, tests: &'a [Test]) -> Option<&'a Test> {
    let same = |other: &&Test| share_effort(starts, test, other);
    let standing = tests.iter().filter(|other| stands(other)).find(same);
    standing.or_else(|| tests.iter().filter(|_| stands(test)).find(same))
}

/// What is to be said of a test that shares its effort with another, from what the checks say of
/// both.
pub(crate) fn remark_on(test: (&Test, &[Remark]), other: (&Test, &[Remark])) -> Remark {
    let worth =
        |(test, remarks): (&Test, &[Remark])| Worth::of(remarks, test.performance.heart_rate_share);
    let kept = stands(test.0);
    if kept && stands(other.0) {
        return Remark::new(Finding::SecondRecordingStands, Severity::Check, None);
    }
    // the one with the lower number came first
    let first = test.0.id.0 < other.0.id.0;
    let better = if first {
        better_of(worth(test), worth(other))
    } else {
        better_of(worth(other), worth(test))
    };
    let stands = if kept { test.0 } else { other.0 };
    let because = match stands.decision {
        _ if (better.first == first) == kept => better.because,
        Decision::ToConfirm => DECIDED_SO,
        _ => ACCEPTED,
    };
    remark(kept, because)
}

/// Puts a remark in its place, worst first.
pub(crate) fn add(remark: Remark, remarks: &mut Vec<Remark>) {
    let behind = remarks.partition_point(|other| other.severity > remark.severity);
    remarks.insert(behind, remark);
}

/// When an effort began and ended.
type Moments = (DateTime<Utc>, DateTime<Utc>);

fn stored_moments(starts: &Starts, test: &Test) -> Option<Moments> {
    let Evidence::Recorded { recording, .. } = test.evidence else { return None };
    moments(*starts.get(&recording)?, test)
}

fn moments(started: DateTime<Utc>, test: &Test) -> Option<Moments> {
    let Evidence::Recorded { span: Span { from, to }, .. } = test.evidence else { return None };
    #[expect(clippy::cast_possible_truncation, reason = "a recording is far shorter than i64")]
    let at =
        |seconds: f64| started.checked_add_signed(TimeDelta::milliseconds((seconds * 1e3) as i64));
    Some((at(from.s())?, at(to.s())?))
}

fn overlap(one: Moments, other: Moments) -> bool {
    let shared = one.1.min(other.1) - one.0.max(other.0);
    let shorter = (one.1 - one.0).min(other.1 - other.0);
    shared.num_milliseconds() as f64 >= SAME_SHARE * shorter.num_milliseconds() as f64
}
