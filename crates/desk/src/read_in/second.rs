//! Two recordings of one effort as they are read in: the better is kept, the other set aside with the
//! reason.

use pacewright_core::assess::{Worth, assess_at_known, better_of};
use pacewright_core::test::{Decision, Evidence, Test};

use super::batch::Ready;
use crate::Problem;
use crate::book::known_of;
use crate::book::pairs::{ACCEPTED, Moments, aside, moments, overlap, remark, stands};
use crate::desk::Desk;

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
