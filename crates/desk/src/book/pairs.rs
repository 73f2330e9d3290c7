//! Two recordings of one effort, as their tests stand in the library. What is to be said of it follows
//! from the tests themselves, each time it is asked for: nothing of it is kept beside them.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use pacewright_core::assess::{Worth, better_of};
use pacewright_core::ids::RecordingId;
use pacewright_core::recording::Span;
use pacewright_core::remark::{Finding, Remark, Severity};
use pacewright_core::test::{Decision, Evidence, Test};
use pacewright_store::Library;

use crate::Problem;

/// Two efforts that share so much of the time of the shorter one are one (judgement).
const SAME_SHARE: f64 = 0.8;
/// Why the better one is not kept, to be read after "because": the other was accepted, or the better
/// one set aside by hand.
pub(crate) const ACCEPTED: &str = "you accepted it";
const DECIDED_SO: &str = "you decided so";

/// The reason of a test that is set aside for another of the same effort.
pub(crate) fn aside(because: &str) -> String {
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

/// What is said of one of two recordings.
pub(crate) fn remark(kept: bool, because: &str) -> Remark {
    let because = because.to_owned();
    Remark::new(Finding::SecondRecording { kept, because }, Severity::Note, None)
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
pub(crate) type Moments = (DateTime<Utc>, DateTime<Utc>);

fn stored_moments(starts: &Starts, test: &Test) -> Option<Moments> {
    let Evidence::Recorded { recording, .. } = test.evidence else { return None };
    moments(*starts.get(&recording)?, test)
}

/// When the effort of a test whose recording began at a moment began and ended.
pub(crate) fn moments(started: DateTime<Utc>, test: &Test) -> Option<Moments> {
    let Evidence::Recorded { span: Span { from, to }, .. } = test.evidence else { return None };
    #[expect(clippy::cast_possible_truncation, reason = "a recording is far shorter than i64")]
    let at =
        |seconds: f64| started.checked_add_signed(TimeDelta::milliseconds((seconds * 1e3) as i64));
    Some((at(from.s())?, at(to.s())?))
}

/// Whether two efforts are one.
pub(crate) fn overlap(one: Moments, other: Moments) -> bool {
    let shared = one.1.min(other.1) - one.0.max(other.0);
    let shorter = (one.1 - one.0).min(other.1 - other.0);
    shared.num_milliseconds() as f64 >= SAME_SHARE * shorter.num_milliseconds() as f64
}
