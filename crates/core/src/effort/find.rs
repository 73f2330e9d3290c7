//! Finding the test in a recording: the marked lap, the whole recording, or the fastest stretch.

use super::line::DistanceLine;
use super::{Effort, FoundBy, SHORTEST_SHARE, ascent, closed_spans, fastest_window, heart_rate};
use crate::recording::{LapTrigger, Recording, Span};
use crate::test::TestKind;
use crate::units::{Seconds, Speed};

/// A marked lap may be this much longer than the test (share of its length; judgement: a late
/// press of the button).
const LONGEST_LAP_SHARE: f64 = 1.10;

/// Why a recording gives no effort at all.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoEffort {
    /// Under 97 % of the test's length.
    #[error("the recording lasts {have_s:.0} s, too short for a test of {need_s:.0} s")]
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
    let closed = closed_spans(recording, line.pauses());
    let (span, found_by) = place(recording, line, &closed, kind).ok_or(NoEffort::NoDistance)?;
    measured(recording, line, &closed, span, found_by).ok_or(NoEffort::NoDistance)
}

/// Measures a stretch the coach chose.
pub fn measure(recording: &Recording, line: &DistanceLine, span: Span) -> Option<Effort> {
    let closed = closed_spans(recording, line.pauses());
    measured(recording, line, &closed, span, FoundBy::ByHand)
}

/// Measures a stretch.
fn measured(
    recording: &Recording,
    line: &DistanceLine,
    closed: &[Span],
    span: Span,
    found_by: FoundBy,
) -> Option<Effort> {
    let distance = line.between(span)?;
    let length = Seconds::from_s(span.length_s()).ok()?;
    let heart = heart_rate::summarise(recording.samples(), span)?;
    Some(Effort {
        span,
        found_by,
        distance,
        mean_speed: Speed::over(distance, length)?,
        mean_heart_rate: heart.mean,
        heart_rate_share: heart.share,
        peak_heart_rate: heart.peak,
        ascent: ascent::climbed(recording.samples(), span),
        pause_inside: longest_inside(closed, span),
    })
}

fn place(
    recording: &Recording,
    line: &DistanceLine,
    closed: &[Span],
    kind: TestKind,
) -> Option<(Span, FoundBy)> {
    let whole = Span { from: Seconds::from_s(0.0).ok()?, to: recording.duration() };
    let length = Seconds::from_s(kind.length_s()).ok()?;
    let fastest = || {
        fastest_window(line, closed, length)
            .or_else(|| fastest_window(line, &[], length))
            .map(|window| (window.span, FoundBy::Fastest))
    };
    if kind.all_out() {
        if whole.length_s() < kind.length_s() {
            return Some((whole, FoundBy::WholeRecording));
        }
        return fastest_in_laps(recording, line, closed, kind).or_else(fastest);
    }
    if let Some(lap) = marked_laps(recording, kind).max_by(|a, b| faster(line, *a, *b)) {
        return Some((lap, FoundBy::Lap));
    }
    if whole.length_s() <= kind.length_s() * (2.0 - SHORTEST_SHARE) {
        return Some((whole, FoundBy::WholeRecording));
    }
    fastest()
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

fn faster(line: &DistanceLine, a: Span, b: Span) -> std::cmp::Ordering {
    let speed = |s: Span| line.between(s).map_or(0.0, |d| d.m() / s.length_s());
    speed(a).total_cmp(&speed(b))
}

fn longest_inside(closed: &[Span], span: Span) -> Option<Seconds> {
    let overlap = |c: &Span| c.to.s().min(span.to.s()) - c.from.s().max(span.from.s());
    let longest = closed.iter().map(overlap).fold(0.0, f64::max);
    (longest > 0.0).then(|| Seconds::from_s(longest).ok()).flatten()
}
