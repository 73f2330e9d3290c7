//! Position jumps: a step no runner makes, bridged at the speed around it, and said so.

use super::line::great_circle_m;
use crate::units::{Distance, Position, Seconds};

/// A step this long (metres) ...
const JUMP_M: f64 = 20.0;
/// ... at more than this speed (metres per second) ...
const JUMP_M_PER_S: f64 = 7.0;
/// ... and at more than this many times the speed around it is a jump.
const JUMP_TIMES_MEDIAN: f64 = 2.5;
/// The speed around a step is the median of this many steps.
const MEDIAN_OF: usize = 61;
/// ... but never taken slower than this (metres per second).
const SLOWEST_AROUND_M_PER_S: f64 = 1.5;

/// One bridged step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jump {
    /// When the step was made.
    pub at: Seconds,
    /// How long it was as recorded.
    pub length: Distance,
}

/// Cumulative metres along positions, with jumps replaced by the distance the speed around them
/// would cover (thresholds found on real runs with injected jumps of 25 to 200 m; judgement).
pub(super) fn walked(places: &[(f64, Position)]) -> (Vec<(f64, f64)>, Vec<Jump>) {
    let steps: Vec<(f64, f64)> = places
        .windows(2)
        .map(|pair| (pair[1].0 - pair[0].0, great_circle_m(pair[0].1, pair[1].1)))
        .collect();
    let speeds: Vec<f64> = steps.iter().map(|(seconds, metres)| metres / seconds).collect();
    let mut points = Vec::with_capacity(places.len());
    let mut jumps = Vec::new();
    let mut sum = 0.0;
    points.push((places[0].0, 0.0));
    for (index, &(seconds, metres)) in steps.iter().enumerate() {
        sum += bridged(index, seconds, metres, &speeds).map_or(metres, |around| {
            let at = Seconds::from_s(places[index + 1].0);
            if let (Ok(at), Ok(length)) = (at, Distance::from_m(metres)) {
                jumps.push(Jump { at, length });
            }
            around * seconds
        });
        points.push((places[index + 1].0, sum));
    }
    (points, jumps)
}

/// The speed around a step that is a jump; `None` where it is none. The median is only taken for
/// steps long and fast enough to matter.
fn bridged(index: usize, seconds: f64, metres: f64, speeds: &[f64]) -> Option<f64> {
    let speed = metres / seconds;
    if metres <= JUMP_M || speed <= JUMP_M_PER_S {
        return None;
    }
    let from = index.saturating_sub(MEDIAN_OF / 2);
    let to = (index + MEDIAN_OF / 2 + 1).min(speeds.len());
    let mut around = speeds[from..to].to_vec();
    let middle = around.len() / 2;
    let (_, median, _) = around.select_nth_unstable_by(middle, f64::total_cmp);
    let median = *median;
    (speed > JUMP_TIMES_MEDIAN * median.max(SLOWEST_AROUND_M_PER_S)).then_some(median)
}
