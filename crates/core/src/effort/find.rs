//! Finding the test in a recording: the marked lap, the whole recording, or the fastest stretch.

use super::line::DistanceLine;
use super::{
    Effort, FoundBy, HeartRateFault, SHORTEST_SHARE, ascent, closed_spans, fastest_window,
    heart_rate, heart_rate_faults, level,
};
use crate::format::clock;
use crate::recording::{LapTrigger, Recording, Span, Sport};
use crate::test::TestKind;
use crate::units::{Seconds, Speed};

/// A marked lap may be this much longer than the test (share of its length; judgement: a late
/// press of the button).
const LONGEST_LAP_SHARE: f64 = 1.10;

/// Why a recording gives no effort at all.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoEffort {
    /// Under 97 % of the test's length.
    #[error("the recording lasts {}, too short for a test of {}", in_minutes(*have_s), in_minutes(*need_s))]
    TooShort {
        /// Its length in seconds.
        have_s: f64,
        /// The test's length in seconds.
        need_s: f64,
    },
    /// Neither a device distance nor positions.
    #[error("the recording holds neither distance nor positions")]
    NoDistance,
}

/// "9:59", down to the whole second: a run just short of a length must not read as long enough.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "seconds of a run")]
fn in_minutes(seconds: f64) -> String {
    clock(seconds.max(0.0) as u32)
}

/// The test effort of a recording.
///
/// 5 and 20 minutes: the fastest pause-free window of exactly that length, inside the marked lap
/// where one fits; a recording up to 3 % short is taken whole; if every window holds a pause, the
/// fastest with it. 40 minutes: the marked lap; the whole recording if within 3 %; else the fastest
/// 40 minutes. A target heart rate never places the window.
///
/// # Errors
/// A recording under 97 % of the test's length, or without any distance.
pub fn find(
    recording: &Recording,
    line: Option<&DistanceLine>,
    kind: TestKind,
) -> Result<Effort, NoEffort> {
    let (have_s, need_s) = (recording.duration().s(), kind.length_s());
    if have_s < SHORTEST_SHARE * need_s {
        return Err(NoEffort::TooShort { have_s, need_s });
    }
    let line = line.ok_or(NoEffort::NoDistance)?;
    let longest_s = stretches(recording).iter().map(|s| s.length_s()).fold(0.0, f64::max);
    if longest_s < SHORTEST_SHARE * need_s {
        return Err(NoEffort::TooShort { have_s: longest_s, need_s });
    }
    let closed = closed_spans(recording, line.pauses());
    let (span, found_by) = place(recording, line, &closed, kind).ok_or(NoEffort::NoDistance)?;
    let faults = heart_rate_faults(recording.samples());
    measured(recording, line, &closed, &faults, span, found_by).ok_or(NoEffort::NoDistance)
}

/// Measures a stretch the coach chose.
pub fn measure(recording: &Recording, line: &DistanceLine, span: Span) -> Option<Effort> {
    let closed = closed_spans(recording, line.pauses());
    let faults = heart_rate_faults(recording.samples());
    measured(recording, line, &closed, &faults, span, FoundBy::ByHand)
}

/// Measures a stretch.
fn measured(
    recording: &Recording,
    line: &DistanceLine,
    closed: &[Span],
    faults: &[HeartRateFault],
    span: Span,
    found_by: FoundBy,
) -> Option<Effort> {
    let distance = line.between(span)?;
    let length = Seconds::from_s(span.length_s()).ok()?;
    let samples = recording.samples();
    let heart = heart_rate::summarise(samples, faults, span)?;
    Some(Effort {
        span,
        found_by,
        distance,
        mean_speed: Speed::over(distance, length)?,
        flat_speed: level::level_speed(samples, line, span),
        mean_heart_rate: heart.mean,
        settled_heart_rate: heart_rate::settled(samples, faults, span),
        heart_rate_share: heart.share,
        peak_heart_rate: heart.peak,
        ascent: ascent::climbed(samples, span),
        pause_inside: longest_inside(closed, span),
    })
}

fn place(
    recording: &Recording,
    line: &DistanceLine,
    closed: &[Span],
    kind: TestKind,
) -> Option<(Span, FoundBy)> {
    let (length, need_s) = (Seconds::from_s(kind.length_s()).ok()?, kind.length_s());
    let stretches = stretches(recording);
    let whole = |longest_s: f64| {
        let about = SHORTEST_SHARE * need_s..=longest_s;
        let fits = stretches.iter().copied().filter(|s| about.contains(&s.length_s()));
        fits.max_by(|a, b| faster(line, *a, *b)).map(|span| (span, FoundBy::WholeRecording))
    };
    let fastest = || {
        fastest_window(line, closed, length)
            .or_else(|| fastest_window(line, &closed_spans(recording, &[]), length))
            .map(|window| (window.span, FoundBy::Fastest))
    };
    if kind.all_out() {
        let marked = fastest_in_laps(recording, line, closed, kind);
        return marked.or_else(fastest).or_else(|| whole(need_s));
    }
    if let Some(lap) = marked_laps(recording, kind).max_by(|a, b| faster(line, *a, *b)) {
        return Some((lap, FoundBy::Lap));
    }
    whole(need_s * (2.0 - SHORTEST_SHARE)).or_else(fastest)
}

/// Where a test can lie: each running leg on its own; without such legs, the whole recording.
fn stretches(recording: &Recording) -> Vec<Span> {
    let running = recording.legs().iter().filter(|leg| leg.sport == Sport::Running);
    let legs: Vec<Span> = running.map(|leg| leg.span).collect();
    let start = recording.samples().first().map(|first| first.time);
    match start {
        Some(from) if legs.is_empty() => vec![Span { from, to: recording.duration() }],
        _ => legs,
    }
}

/// The fastest window inside any marked lap it fits into.
fn fastest_in_laps(
    recording: &Recording,
    line: &DistanceLine,
    closed: &[Span],
    kind: TestKind,
) -> Option<(Span, FoundBy)> {
    let length = Seconds::from_s(kind.length_s()).ok()?;
    marked_laps(recording, kind)
        .filter_map(|lap| {
            let mut outside = closed.to_vec();
            outside.push(Span { from: Seconds::from_s(0.0).ok()?, to: lap.from });
            outside.push(Span { from: lap.to, to: recording.duration() });
            outside.sort_by(|a, b| a.from.s().total_cmp(&b.from.s()));
            fastest_window(line, &outside, length)
        })
        .max_by(|a, b| a.distance.m().total_cmp(&b.distance.m()))
        .map(|window| (window.span, FoundBy::Lap))
}

/// Laps that can be the test: ended by hand or by a set time, about as long as the test, and not
/// the whole recording. Automatic laps by distance mark nothing, however long they lasted.
fn marked_laps(recording: &Recording, kind: TestKind) -> impl Iterator<Item = Span> {
    let shortest = if kind.all_out() { 1.0 } else { SHORTEST_SHARE } * kind.length_s();
    let longest = LONGEST_LAP_SHARE * kind.length_s();
    let whole = recording.duration().s();
    recording
        .laps()
        .iter()
        .filter(|lap| {
            matches!(lap.trigger, LapTrigger::Manual | LapTrigger::Time | LapTrigger::Segment)
        })
        .map(|lap| lap.span)
        .filter(move |span| {
            let lasts = span.length_s();
            // half a second of grace: laps are written to the second
            lasts + 0.5 >= shortest && lasts <= longest && lasts < whole - 1.0
        })
}

/// The one kind of test that a marked lap of its length points to; `None` where no lap does, or laps
/// point to several.
pub fn kind_by_lap(recording: &Recording) -> Option<TestKind> {
    let mut kinds =
        TestKind::ALL.into_iter().filter(|&kind| marked_laps(recording, kind).next().is_some());
    let kind = kinds.next()?;
    kinds.next().is_none().then_some(kind)
}

/// The one kind of test as long as the recording (or its only run), started at the gun.
pub fn kind_by_length(recording: &Recording) -> Option<TestKind> {
    let stretches = stretches(recording);
    let [only] = stretches.as_slice() else { return None };
    TestKind::ALL.into_iter().find(|kind| {
        let share = only.length_s() / kind.length_s();
        (SHORTEST_SHARE..=2.0 - SHORTEST_SHARE).contains(&share)
    })
}

fn faster(line: &DistanceLine, a: Span, b: Span) -> std::cmp::Ordering {
    let speed = |s: Span| line.between(s).map_or(0.0, |d| d.m() / s.length_s());
    speed(a).total_cmp(&speed(b))
}

fn longest_inside(closed: &[Span], span: Span) -> Option<Span> {
    let clip = |c: &Span| Span {
        from: if c.from > span.from { c.from } else { span.from },
        to: if c.to < span.to { c.to } else { span.to },
    };
    closed
        .iter()
        .map(clip)
        .filter(|inside| inside.length_s() > 0.0)
        .max_by(|a, b| a.length_s().total_cmp(&b.length_s()))
}
