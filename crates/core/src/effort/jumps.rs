//! Position jumps: a step no runner makes, bridged at the speed around it, and said so.
//!
//! Two signs, each enough: a step too fast for what is run around it; and, where a device writes
//! every few seconds, a step that leaves the course of its neighbours. Thresholds found on real runs
//! with injected jumps of 25 to 200 m, and on simulated ones; judgement.

use super::ground::{great_circle_m, metres_between};
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
/// A step that ends so far (metres) from where its neighbours' courses lead is a jump, ...
const OFF_COURSE_M: f64 = 18.0;
/// ... if it took between so many seconds: shorter ones are told by their speed, ...
const SHORTEST_OFF_COURSE_S: f64 = 1.5;
/// ... and over longer ones a runner can turn.
const LONGEST_OFF_COURSE_S: f64 = 10.0;

/// One bridged step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jump {
    /// When the step was made.
    pub at: Seconds,
    /// How long it was as recorded.
    pub length: Distance,
}

/// A step between two positions: how long it took, how far it went, and where to.
#[derive(Debug, Clone, Copy)]
struct Step {
    seconds: f64,
    metres: f64,
    east_m: f64,
    north_m: f64,
}

impl Step {
    fn between(from: (f64, Position), to: (f64, Position)) -> Self {
        let (east_m, north_m) = metres_between(from.1, to.1);
        Self { seconds: to.0 - from.0, metres: great_circle_m(from.1, to.1), east_m, north_m }
    }

    fn speed(&self) -> f64 {
        self.metres / self.seconds
    }

    /// How far from its end a course at this velocity (metres per second east, north) leads.
    fn off(&self, (east, north): (f64, f64)) -> f64 {
        (self.east_m - east * self.seconds).hypot(self.north_m - north * self.seconds)
    }

    fn velocity(&self) -> (f64, f64) {
        (self.east_m / self.seconds, self.north_m / self.seconds)
    }
}

/// Cumulative metres along positions, with jumps replaced by the distance the speed around them
/// would cover.
pub(super) fn walked(places: &[(f64, Position)]) -> (Vec<(f64, f64)>, Vec<Jump>) {
    let steps: Vec<Step> = places.windows(2).map(|pair| Step::between(pair[0], pair[1])).collect();
    let mut points = Vec::with_capacity(places.len());
    let mut jumps = Vec::new();
    let mut sum = 0.0;
    points.push((places[0].0, 0.0));
    for (index, step) in steps.iter().enumerate() {
        sum += bridged(index, &steps).map_or(step.metres, |around| {
            let at = Seconds::from_s(places[index + 1].0);
            if let (Ok(at), Ok(length)) = (at, Distance::from_m(step.metres)) {
                jumps.push(Jump { at, length });
            }
            around * step.seconds
        });
        points.push((places[index + 1].0, sum));
    }
    (points, jumps)
}

/// The speed around a step that is a jump; `None` where it is none. The median is only taken for
/// steps that may be one.
fn bridged(index: usize, steps: &[Step]) -> Option<f64> {
    let step = steps[index];
    let fast = step.metres > JUMP_M && step.speed() > JUMP_M_PER_S;
    let astray = off_course(index, steps);
    if !fast && !astray {
        return None;
    }
    let from = index.saturating_sub(MEDIAN_OF / 2);
    let to = (index + MEDIAN_OF / 2 + 1).min(steps.len());
    let mut around: Vec<f64> = steps[from..to].iter().map(Step::speed).collect();
    let middle = around.len() / 2;
    let (_, median, _) = around.select_nth_unstable_by(middle, f64::total_cmp);
    let median = *median;
    let too_fast = step.speed() > JUMP_TIMES_MEDIAN * median.max(SLOWEST_AROUND_M_PER_S);
    ((fast && too_fast) || astray).then_some(median)
}

/// Whether a step of a few seconds leads far from where the step before, the step after and the
/// course between them would lead: a bend agrees with the last, a step beside a jump with one of
/// the first two.
fn off_course(index: usize, steps: &[Step]) -> bool {
    let step = steps[index];
    if !(SHORTEST_OFF_COURSE_S..=LONGEST_OFF_COURSE_S).contains(&step.seconds) {
        return false;
    }
    let beside = |place: Option<usize>| {
        let beside = steps.get(place?)?;
        (beside.seconds <= LONGEST_OFF_COURSE_S).then(|| beside.velocity())
    };
    let (Some(before), Some(after)) = (beside(index.checked_sub(1)), beside(index.checked_add(1)))
    else {
        return false;
    };
    let between = (f64::midpoint(before.0, after.0), f64::midpoint(before.1, after.1));
    [before, after, between].into_iter().all(|course| step.off(course) > OFF_COURSE_M)
}
