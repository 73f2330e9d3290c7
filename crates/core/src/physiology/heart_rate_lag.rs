//! How heart rate follows a change of speed: exponentially, with a time constant of about a minute.
//!
//! # Source
//! Hunt KJ, Fankhauser SE, Saengsuwan J. BioMed Eng OnLine 2015;14:117, doi
//! 10.1186/s12938-015-0112-7: time constant 57.6 (23.6) s, n 24, treadmill.

use crate::units::Seconds;

/// The time constant, seconds.
pub const TIME_CONSTANT_S: f64 = 57.6;

/// The share of a step of heart rate that has been made a time after the change of speed.
pub fn share_made(after: Seconds) -> f64 {
    1.0 - (-after.s() / TIME_CONSTANT_S).exp()
}

/// How far the mean heart rate over an effort stands below the rate it settles at, in beats, when the
/// effort began with a step of `step_bpm` and its first `dropped` are left out.
pub fn deficit_of_mean_bpm(step_bpm: f64, length: Seconds, dropped: Seconds) -> f64 {
    let (from, to) = (dropped.s(), length.s());
    if to <= from {
        return step_bpm * (1.0 - share_made(dropped));
    }
    let tail = |t: f64| (-t / TIME_CONSTANT_S).exp();
    step_bpm * TIME_CONSTANT_S * (tail(from) - tail(to)) / (to - from)
}
