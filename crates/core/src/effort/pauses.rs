//! Pauses: where the device says its timer stood still, else long gaps hardly travelled.

use crate::recording::{Recording, Span, Sport};
use crate::units::Seconds;

/// A gap must be longer than this (seconds) ...
const GAP_S: f64 = 10.0;
/// ... and than this many median sampling intervals ...
const GAP_TIMES_MEDIAN: f64 = 5.0;
/// ... and travelled slower than this (metres per second) to be a pause.
const GAP_M_PER_S: f64 = 1.0;

/// Pauses of a recording whose distance runs through `points` (seconds, metres).
pub(super) fn of(recording: &Recording, points: &[(f64, f64)]) -> Vec<Span> {
    match recording.timer_pauses() {
        Some(pauses) => merged(pauses.to_vec()),
        None => gaps(recording, points),
    }
}

fn gaps(recording: &Recording, points: &[(f64, f64)]) -> Vec<Span> {
    let samples = recording.samples();
    let mut intervals: Vec<f64> =
        samples.windows(2).map(|pair| pair[1].time.s() - pair[0].time.s()).collect();
    if intervals.is_empty() {
        return Vec::new();
    }
    let middle = intervals.len() / 2;
    let (_, median, _) = intervals.select_nth_unstable_by(middle, f64::total_cmp);
    let longest_kept = GAP_S.max(GAP_TIMES_MEDIAN * *median);
    points
        .windows(2)
        .filter(|pair| {
            let seconds = pair[1].0 - pair[0].0;
            seconds > longest_kept && (pair[1].1 - pair[0].1) / seconds < GAP_M_PER_S
        })
        .filter_map(|pair| span(pair[0].0, pair[1].0))
        .collect()
}

/// The same points with knots at the pauses' edges, so that what a gap between two samples covers
/// is run outside the pause and the line lies flat inside it.
pub(super) fn hold_still(points: Vec<(f64, f64)>, pauses: &[Span]) -> (Vec<f64>, Vec<f64>) {
    let mut times = Vec::with_capacity(points.len() + 2 * pauses.len());
    let mut metres = Vec::with_capacity(times.capacity());
    let mut push = |time: f64, metre: f64| {
        if times.last().is_none_or(|&last| time > last) {
            times.push(time);
            metres.push(metre);
        }
    };
    let mut previous: Option<(f64, f64)> = None;
    let mut next_pause = 0;
    for (time, metre) in points {
        if let Some((t0, m0)) = previous {
            while pauses.get(next_pause).is_some_and(|p| p.to.s() <= t0) {
                next_pause += 1;
            }
            let inside: Vec<(f64, f64)> = pauses[next_pause..]
                .iter()
                .take_while(|p| p.from.s() < time)
                .map(|p| (p.from.s().max(t0), p.to.s().min(time)))
                .collect();
            let still: f64 = inside.iter().map(|(from, to)| to - from).sum();
            let moving = time - t0 - still;
            // a gap that is all pause keeps its few metres: no window may touch it anyway
            if moving > 0.0 {
                let mut run = 0.0;
                let mut reached = t0;
                for (from, to) in inside {
                    run += from - reached;
                    let here = m0 + (metre - m0) * run / moving;
                    push(from, here);
                    push(to, here);
                    reached = to;
                }
            }
        }
        push(time, metre);
        previous = Some((time, metre));
    }
    (times, metres)
}

/// The stretches in which no window may lie across: pauses and legs of other sports, merged.
pub(crate) fn closed_spans(recording: &Recording, pauses: &[Span]) -> Vec<Span> {
    let running = |sport: &Sport| *sport == Sport::Running;
    let mut closed = pauses.to_vec();
    if recording.legs().iter().any(|leg| running(&leg.sport)) {
        closed.extend(recording.legs().iter().filter(|l| !running(&l.sport)).map(|l| l.span));
    }
    with_boundaries(merged(closed), recording)
}

/// The same with a boundary between any two legs: one window never takes parts of two runs.
fn with_boundaries(mut closed: Vec<Span>, recording: &Recording) -> Vec<Span> {
    let between = recording.legs().windows(2).filter_map(|pair| {
        let (from, to) = (pair.first()?.span.to, pair.last()?.span.from);
        (from <= to).then_some(Span { from, to })
    });
    let inside = |span: &Span| closed.iter().any(|c| c.from <= span.from && c.to >= span.to);
    let missing: Vec<Span> = between.filter(|span| !inside(span)).collect();
    closed.extend(missing);
    closed.sort_by(|a, b| a.from.s().total_cmp(&b.from.s()));
    closed
}

fn merged(mut spans: Vec<Span>) -> Vec<Span> {
    spans.retain(|s| s.length_s() > 0.0);
    spans.sort_by(|a, b| a.from.s().total_cmp(&b.from.s()));
    let mut joined: Vec<Span> = Vec::with_capacity(spans.len());
    for span in spans {
        match joined.last_mut() {
            Some(last) if span.from <= last.to => {
                if span.to > last.to {
                    last.to = span.to;
                }
            }
            _ => joined.push(span),
        }
    }
    joined
}

/// A span from two times in seconds.
pub(super) fn span(from: f64, to: f64) -> Option<Span> {
    Some(Span { from: Seconds::from_s(from).ok()?, to: Seconds::from_s(to).ok()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_lies_flat_inside_a_pause_between_two_samples() {
        // one 61 s step with 60 s of pause in it: the 4 m were run in the 1 s outside
        let pauses = [span(700.5, 760.5).unwrap()];
        let (times, metres) = hold_still(vec![(700.0, 100.0), (761.0, 104.0)], &pauses);
        assert_eq!(times, [700.0, 700.5, 760.5, 761.0]);
        assert_eq!(metres, [100.0, 102.0, 102.0, 104.0]);
    }

    #[test]
    fn overlapping_pauses_are_one() {
        let joined = merged(vec![span(5.0, 9.0).unwrap(), span(1.0, 6.0).unwrap()]);
        assert_eq!(joined, [span(1.0, 9.0).unwrap()]);
    }
}
