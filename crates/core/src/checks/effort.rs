//! Remarks about the effort itself: its length, pauses, whether it was all-out.

use super::pace::speed_between;
use super::{Evidence, closed, plausible};
use crate::effort::{DistanceLine, DistanceSource, Effort, FoundBy, closed_spans, fastest_window};
use crate::recording::Span;
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::{Seconds, Speed};

/// The stretch beside the window that is compared with it, seconds (judgement).
const NEIGHBOUR_S: f64 = 60.0;
/// A neighbouring minute at this share of the window's speed is not clearly slower (judgement).
const NOT_CLEARLY_SLOWER: f64 = 0.95;
/// Beyond this much of its length missing, a short recording is worth a look (share; judgement).
const SHORT_WORTH_A_LOOK: f64 = 0.01;
/// A pause this close (seconds) to the window's edge may be why the window stands where it does.
const AT_THE_EDGE_S: f64 = 10.0;
/// ... if this long (seconds) beyond it was run as fast (judgement).
const BEYOND_S: f64 = 20.0;

pub(super) fn remarks(
    evidence: &Evidence<'_>,
    effort: &Effort,
    line: &DistanceLine,
) -> Vec<Remark> {
    [
        taken_short(evidence.kind, effort),
        pause(effort),
        not_all_out(evidence, effort, line),
        impossible(evidence.kind, effort),
        pause_avoided(evidence, effort, line).or_else(|| pauses_elsewhere(effort, line)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn taken_short(kind: TestKind, effort: &Effort) -> Option<Remark> {
    let missing_s = kind.length_s() - effort.span.length_s();
    if effort.found_by != FoundBy::WholeRecording || missing_s < 0.5 {
        return None;
    }
    let look = missing_s > SHORT_WORTH_A_LOOK * kind.length_s();
    let severity = if look { Severity::Check } else { Severity::Note };
    Some(Remark::new(Finding::TakenShort { missing_s }, severity, BearsOn::Speed).at(effort.span))
}

fn pause(effort: &Effort) -> Option<Remark> {
    let pause = effort.pause_inside?;
    let finding = Finding::PauseInside { longest_s: pause.length_s() };
    Some(Remark::new(finding, Severity::Spoils, BearsOn::Speed).at(pause))
}

/// Pauses that touch nothing are told once, at the longest.
fn pauses_elsewhere(effort: &Effort, line: &DistanceLine) -> Option<Remark> {
    let elsewhere = |pause: &&Span| pause.to <= effort.span.from || pause.from >= effort.span.to;
    let count = line.pauses().iter().filter(elsewhere).count();
    let pauses = line.pauses().iter().filter(elsewhere);
    let longest = pauses.max_by(|a, b| a.length_s().total_cmp(&b.length_s()))?;
    let finding = Finding::PausesElsewhere { count, longest_s: longest.length_s() };
    Some(Remark::new(finding, Severity::Note, None).at(*longest))
}

/// A window that only avoids a pause: a faster one holds it, or what lies beyond it was run as fast.
/// Then the test was likely interrupted.
fn pause_avoided(evidence: &Evidence<'_>, effort: &Effort, line: &DistanceLine) -> Option<Remark> {
    if effort.pause_inside.is_some() || effort.found_by == FoundBy::WholeRecording {
        return None;
    }
    let pause = held_by_a_faster_window(evidence, effort, line)
        .or_else(|| run_on_beyond(evidence, effort, line))?;
    let finding = Finding::PauseAvoided { length_s: pause.length_s() };
    Some(Remark::new(finding, Severity::Check, BearsOn::Speed).at(pause))
}

/// The longest pause in the fastest window that may hold one, where that window is faster.
fn held_by_a_faster_window(
    evidence: &Evidence<'_>,
    effort: &Effort,
    line: &DistanceLine,
) -> Option<Span> {
    let length = Seconds::from_s(effort.span.length_s()).ok()?;
    let legs = closed_spans(evidence.recording, &[]);
    let window = fastest_window(line, &legs, length)?;
    let inside = |pause: &&Span| pause.from < window.span.to && pause.to > window.span.from;
    let pauses = line.pauses().iter().filter(inside);
    let longest = pauses.max_by(|a, b| a.length_s().total_cmp(&b.length_s()))?;
    (window.distance > effort.distance).then_some(*longest)
}

/// A pause at an edge of the window with a stretch run as fast on its other side; or anywhere, with
/// stretches as fast as an all-out effort on both.
fn run_on_beyond(evidence: &Evidence<'_>, effort: &Effort, line: &DistanceLine) -> Option<Span> {
    let as_fast = |from: f64, to: f64| {
        from >= 0.0
            && to <= evidence.recording.duration().s()
            && speed_between(line, from, to)
                .is_some_and(|speed| speed >= NOT_CLEARLY_SLOWER * effort.mean_speed.m_per_s())
    };
    let (start, end) = (effort.span.from.s(), effort.span.to.s());
    let beyond = |pause: &&Span| {
        let (from, to) = (pause.from.s(), pause.to.s());
        let before = as_fast(from - BEYOND_S, from);
        let after = as_fast(to, to + BEYOND_S);
        ((start - to).abs() <= AT_THE_EDGE_S && before)
            || ((from - end).abs() <= AT_THE_EDGE_S && after)
            || (evidence.kind.all_out() && before && after)
    };
    line.pauses().iter().find(beyond).copied()
}

/// A window inside a longer run whose neighbouring minute was nearly as fast was no all-out test.
fn not_all_out(evidence: &Evidence<'_>, effort: &Effort, line: &DistanceLine) -> Option<Remark> {
    // a line at one speed, which somebody entered, tells of no minute beside it
    if !evidence.kind.all_out() || line.source() == DistanceSource::Entered {
        return None;
    }
    let (from, to) = (effort.span.from.s(), effort.span.to.s());
    let closed = closed(evidence, line);
    let share = [(from - NEIGHBOUR_S, from), (to, to + NEIGHBOUR_S)]
        .into_iter()
        .filter(|(start, end)| *start >= 0.0 && *end <= evidence.recording.duration().s())
        .filter_map(|(start, end)| {
            Some(Span { from: Seconds::from_s(start).ok()?, to: Seconds::from_s(end).ok()? })
        })
        .filter(|minute| !closed.iter().any(|c| c.from < minute.to && c.to > minute.from))
        .filter_map(|minute| Speed::over(line.between(minute)?, Seconds::from_s(NEIGHBOUR_S).ok()?))
        .map(|speed| speed.m_per_s() / effort.mean_speed.m_per_s())
        .fold(0.0, f64::max);
    let finding = Finding::NotAllOut { neighbour_share: share };
    (share >= NOT_CLEARLY_SLOWER)
        .then(|| Remark::new(finding, Severity::Check, BearsOn::Speed).at(effort.span))
}

fn impossible(kind: TestKind, effort: &Effort) -> Option<Remark> {
    let speed_m_per_s = effort.mean_speed.m_per_s();
    (speed_m_per_s > plausible::fastest_m_per_s(kind)).then(|| {
        let finding = Finding::ImpossibleSpeed { speed_m_per_s };
        Remark::new(finding, Severity::Spoils, BearsOn::Speed).at(effort.span)
    })
}
