//! A level that wanders with a drift of its own: Kalman filter and smoother for two numbers, written
//! out plainly.
//!
//! The state is (level, drift): the logarithm of speed, and its change a week. Between two days the
//! level moves by its drift and wanders besides; the drift itself fades towards nothing, because no
//! block of training goes on for ever. Both are exact for any gap between days.
//!
//! # Source
//! Durbin J, Koopman SJ. Time Series Analysis by State Space Methods, 2nd edition, Oxford 2012,
//! chapters 3 and 4 (local linear trend, filter, smoother; from memory). The fading drift is the
//! Ornstein-Uhlenbeck process; its covariances over a gap were worked out by hand and are checked
//! against a matrix exponential.

/// A two by two matrix, row by row.
pub type Matrix = [[f64; 2]; 2];

/// What is believed of the state: mean and covariance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    /// Level and drift.
    pub mean: [f64; 2],
    /// Their covariance.
    pub covariance: Matrix,
}

/// How the state moves. All in logarithms of speed and weeks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Standard deviation the level gains by wandering for one week.
    pub wander: f64,
    /// Standard deviation of the drift of one athlete at one time, a week.
    pub drift: f64,
    /// Weeks in which a drift fades to 37 % of itself.
    pub fading_weeks: f64,
}

/// A day to stand on: the gap from the one before, what is measured there, what the gap adds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Weeks since the step before; what it says of the first is not used.
    pub weeks: f64,
    /// Weeks of that gap spent away: the level does not drift in them.
    pub weeks_away: f64,
    /// Variance the gap adds to the level besides its wandering.
    pub added: f64,
    /// Logarithm of a measured speed and its standard deviation, where there is one.
    pub measured: Option<(f64, f64)>,
}

/// The belief on each step given all measurements, and how each step's state hangs on the next one's.
#[derive(Debug, Clone, PartialEq)]
pub struct Smoothed {
    /// Given what was measured up to and on each step.
    pub filtered: Vec<Belief>,
    /// Given everything measured.
    pub smoothed: Vec<Belief>,
    /// The smoother's gain from each step to the next; one fewer than the steps.
    gains: Vec<Matrix>,
}

/// Filters and smooths. `start` is the belief before the first step is measured.
pub fn smooth(motion: &Motion, start: Belief, steps: &[Step]) -> Smoothed {
    let mut filtered: Vec<Belief> = Vec::with_capacity(steps.len());
    let mut predicted: Vec<Belief> = Vec::with_capacity(steps.len());
    let mut transitions: Vec<Matrix> = Vec::with_capacity(steps.len());
    for step in steps {
        let (before, transition) = match filtered.last() {
            None => (start, IDENTITY),
            Some(last) => {
                let (transition, noise) = motion.over(step);
                (last.moved(transition, noise), transition)
            }
        };
        predicted.push(before);
        transitions.push(transition);
        filtered.push(step.measured.map_or(before, |(value, error)| before.told(value, error)));
    }
    let mut smoothed = filtered.clone();
    let mut gains = vec![IDENTITY; steps.len().saturating_sub(1)];
    for at in (0..gains.len()).rev() {
        let (here, ahead, transition) = (filtered[at], predicted[at + 1], transitions[at + 1]);
        let gain =
            multiply(multiply(here.covariance, transpose(transition)), inverse(ahead.covariance));
        let later = smoothed[at + 1];
        let shift = apply(gain, subtract_each(later.mean, ahead.mean));
        let change = subtract(later.covariance, ahead.covariance);
        smoothed[at] = Belief {
            mean: [here.mean[0] + shift[0], here.mean[1] + shift[1]],
            covariance: symmetric(add(
                here.covariance,
                multiply(multiply(gain, change), transpose(gain)),
            )),
        };
        gains[at] = gain;
    }
    Smoothed { filtered, smoothed, gains }
}

impl Motion {
    /// Transition and noise over a gap.
    pub fn over(&self, step: &Step) -> (Matrix, Matrix) {
        let at_home = (step.weeks - step.weeks_away).max(0.0);
        let (tau, wander) = (self.fading_weeks, self.wander * self.wander);
        let drift = self.drift * self.drift;
        let left = (-at_home / tau).exp();
        let gone = 1.0 - left;
        // away, the drift fades on but moves nothing
        let left_all = (-step.weeks / tau).exp();
        let away = (-step.weeks_away / tau).exp();
        let level = 2.0 * drift * tau * (at_home - 2.0 * tau * gone)
            + drift * tau * tau * (1.0 - left * left)
            + wander * step.weeks
            + step.added;
        let both = drift * tau * gone * gone * away;
        let transition = [[1.0, tau * gone], [0.0, left_all]];
        let noise = [[level, both], [both, drift * (1.0 - left_all * left_all)]];
        (transition, noise)
    }
}

impl Belief {
    fn moved(&self, transition: Matrix, noise: Matrix) -> Self {
        let spread = multiply(multiply(transition, self.covariance), transpose(transition));
        Self { mean: apply(transition, self.mean), covariance: symmetric(add(spread, noise)) }
    }

    /// After the level was measured.
    fn told(&self, value: f64, error: f64) -> Self {
        let [[p, q], [_, r]] = self.covariance;
        let total = p + error * error;
        let (level_gain, drift_gain) = (p / total, q / total);
        let surprise = value - self.mean[0];
        let kept = error * error / total;
        Self {
            mean: [self.mean[0] + level_gain * surprise, self.mean[1] + drift_gain * surprise],
            covariance: [[p * kept, q * kept], [q * kept, r - drift_gain * q]],
        }
    }
}

impl Smoothed {
    /// Mean and standard deviation of the level on a later step less the level on an earlier one;
    /// `None` where there are no such steps.
    pub fn change(&self, earlier: usize, later: usize) -> Option<(f64, f64)> {
        let (from, to) = (self.smoothed.get(earlier)?, self.smoothed.get(later)?);
        let gains = self.gains.get(earlier..later)?;
        // the covariance of two steps is the later one's, carried back through the gains between
        let across =
            gains.iter().rev().fold(to.covariance, |carried, gain| multiply(*gain, carried));
        let variance = from.covariance[0][0] + to.covariance[0][0] - 2.0 * across[0][0];
        Some((to.mean[0] - from.mean[0], variance.max(0.0).sqrt()))
    }
}

const IDENTITY: Matrix = [[1.0, 0.0], [0.0, 1.0]];

fn multiply(a: Matrix, b: Matrix) -> Matrix {
    let cell = |row: usize, column: usize| a[row][0] * b[0][column] + a[row][1] * b[1][column];
    [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]]
}

fn add(a: Matrix, b: Matrix) -> Matrix {
    [[a[0][0] + b[0][0], a[0][1] + b[0][1]], [a[1][0] + b[1][0], a[1][1] + b[1][1]]]
}

fn subtract(a: Matrix, b: Matrix) -> Matrix {
    [[a[0][0] - b[0][0], a[0][1] - b[0][1]], [a[1][0] - b[1][0], a[1][1] - b[1][1]]]
}

fn subtract_each(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn transpose(a: Matrix) -> Matrix {
    [[a[0][0], a[1][0]], [a[0][1], a[1][1]]]
}

fn apply(a: Matrix, v: [f64; 2]) -> [f64; 2] {
    [a[0][0] * v[0] + a[0][1] * v[1], a[1][0] * v[0] + a[1][1] * v[1]]
}

/// Rounding leaves the two halves a hair apart; they are the same number.
fn symmetric(a: Matrix) -> Matrix {
    let both = f64::midpoint(a[0][1], a[1][0]);
    [[a[0][0], both], [both, a[1][1]]]
}

/// The inverse of a covariance; where it has none (two steps on one day: nothing moves between
/// them), only the level is carried.
fn inverse(a: Matrix) -> Matrix {
    let determinant = a[0][0] * a[1][1] - a[0][1] * a[1][0];
    if determinant > f64::EPSILON * a[0][0] * a[1][1] {
        let over = 1.0 / determinant;
        [[a[1][1] * over, -a[0][1] * over], [-a[1][0] * over, a[0][0] * over]]
    } else {
        [[1.0 / a[0][0].max(f64::MIN_POSITIVE), 0.0], [0.0, 0.0]]
    }
}
