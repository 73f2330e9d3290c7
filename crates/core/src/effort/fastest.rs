//! The fastest stretch of an exact length, found exactly.
//!
//! Distance is piecewise linear in time, so the distance of a sliding window is too: its maximum
//! stands where one of the window's ends meets a knot of the line or an end of the open stretch.

use super::line::{DistanceLine, interpolate};
use crate::recording::Span;
use crate::units::{Distance, Seconds};

/// Two windows whose distances differ by less than this (metres) count as equally fast: some times
/// the rounding of a difference between two places 100 km along a line.
const TIE_M: f64 = 1e-10;

/// A stretch of the exact length asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Where it stands.
    pub span: Span,
    /// What it covers.
    pub distance: Distance,
}

/// The fastest window of `length` on the line that touches none of the `closed` spans (in order,
/// not overlapping); the earliest of equals; `None` where none fits. Linear in the line's knots.
pub fn fastest_window(line: &DistanceLine, closed: &[Span], length: Seconds) -> Option<Window> {
    let (times, metres) = line.knots();
    let (first, last) = (*times.first()?, *times.last()?);
    let mut best: Option<(f64, f64)> = None;
    let mut open_from = first;
    let ends = closed.iter().map(|s| (s.from.s(), s.to.s())).chain([(last, last)]);
    for (closed_from, closed_to) in ends {
        search(times, metres, (open_from, closed_from.min(last)), length.s(), &mut best);
        open_from = open_from.max(closed_to);
    }
    let (start, distance) = best?;
    let span =
        Span { from: Seconds::from_s(start).ok()?, to: Seconds::from_s(start + length.s()).ok()? };
    Some(Window { span, distance: Distance::from_m(distance).ok()? })
}

/// Looks at every window inside one open stretch, in order of its start.
fn search(
    times: &[f64],
    metres: &[f64],
    (from, to): (f64, f64),
    length: f64,
    best: &mut Option<(f64, f64)>,
) {
    let last_start = to - length;
    if last_start < from {
        return;
    }
    // index of the first knot after the window's start and after its end
    let mut after_start = times.partition_point(|&t| t <= from);
    let mut after_end = times.partition_point(|&t| t <= from + length);
    let mut start = from;
    loop {
        let covered = interpolate(times, metres, after_end, start + length)
            - interpolate(times, metres, after_start, start);
        if best.is_none_or(|(_, distance)| covered > distance + TIE_M) {
            *best = Some((start, covered));
        }
        if start >= last_start {
            return;
        }
        let by_start = times.get(after_start).copied().unwrap_or(f64::INFINITY);
        let by_end = times.get(after_end).map_or(f64::INFINITY, |t| t - length);
        start = by_start.min(by_end).min(last_start);
        if by_start <= start {
            after_start += 1;
        }
        if by_end <= start {
            after_end += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line(steps: &[(f64, f64)]) -> DistanceLine {
        let (mut time, mut metre) = (0.0, 0.0);
        let mut knots = vec![(Seconds::from_s(0.0).unwrap(), Distance::from_m(0.0).unwrap())];
        for (seconds, speed) in steps {
            time += seconds;
            metre += seconds * speed;
            knots.push((Seconds::from_s(time).unwrap(), Distance::from_m(metre).unwrap()));
        }
        DistanceLine::from_knots(&knots).unwrap()
    }

    /// Every window that starts or ends at a knot or an edge, tried one by one. The end that stands
    /// there is exact: only the other one is reckoned from it.
    fn naive(line: &DistanceLine, closed: &[Span], length: f64) -> Option<f64> {
        let (times, _) = line.knots();
        let last = *times.last().unwrap();
        let edges = closed.iter().flat_map(|s| [s.from.s(), s.to.s()]);
        times
            .iter()
            .copied()
            .chain(edges)
            .flat_map(|t| [(t, t + length), (t - length, t)])
            .filter(|&(start, end)| start >= 0.0 && end <= last)
            .filter(|&(start, end)| closed.iter().all(|c| end <= c.from.s() || start >= c.to.s()))
            .map(|(start, end)| {
                let at = |t| Seconds::from_s(t).unwrap();
                line.between(Span { from: at(start), to: at(end) }).unwrap().m()
            })
            .max_by(f64::total_cmp)
    }

    proptest! {
        #[test]
        fn equals_a_naive_search(
            steps in prop::collection::vec((0.5f64..12.0, 0.0f64..6.0), 2..120),
            length in 5.0f64..200.0,
            pause in (0.0f64..300.0, 0.5f64..60.0),
        ) {
            let line = line(&steps);
            let end = line.knots().0.last().copied().unwrap();
            let from = pause.0.min(end);
            let closed = [Span {
                from: Seconds::from_s(from).unwrap(),
                to: Seconds::from_s((from + pause.1).min(end)).unwrap(),
            }];
            for closed in [&closed[..], &[]] {
                let found = fastest_window(&line, closed, Seconds::from_s(length).unwrap());
                let expected = naive(&line, closed, length);
                prop_assert_eq!(found.is_some(), expected.is_some());
                if let (Some(window), Some(expected)) = (found, expected) {
                    // relative; under a metre, of a metre
                    let off = (window.distance.m() - expected).abs();
                    prop_assert!(off <= 1e-9 * expected.max(1.0), "{off} of {expected}");
                }
            }
        }
    }

    #[test]
    fn a_fast_end_is_inside_the_last_window() {
        // a third of a second that cannot be written exactly before and after
        let line = line(&[(100.0 / 3.0, 0.0), (100.1 / 3.0, 0.0), (10.0 / 3.0, 6.0)]);
        let window = fastest_window(&line, &[], Seconds::from_s(20.1).unwrap()).unwrap();
        assert!((window.distance.m() - 20.0).abs() < 1e-9);
    }

    #[test]
    fn the_earliest_of_equals_is_taken() {
        let steady = line(&[(1.0, 4.0); 100]);
        let window = fastest_window(&steady, &[], Seconds::from_s(30.0).unwrap()).unwrap();
        assert!(window.span.from.s() < 1e-9);
    }
}
