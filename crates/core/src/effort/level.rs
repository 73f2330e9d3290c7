//! The speed on level ground that would have cost the same as an effort over hills.

use super::line::DistanceLine;
use super::pauses::span;
use crate::physiology::slope::level_speed_factor;
use crate::recording::{Sample, Span};
use crate::units::Speed;

/// Slopes are taken over stretches of so many seconds (judgement): over single steps the noise of
/// altitude would make hills of level ground.
const STRETCH_S: f64 = 30.0;
/// The height at a stretch's end is the mean of the altitudes this many seconds around it (judgement).
const AROUND_S: f64 = 10.0;
/// A stretch shorter than this (metres) is left at its own speed: a slope over it means nothing.
const SHORTEST_M: f64 = 20.0;
/// Heights must be known for this share of the stretches (judgement).
const KNOWN_SHARE: f64 = 0.8;

/// Flat-equivalent mean speed of a stretch, each part weighted by its time; `None` where it has too
/// little altitude.
pub(crate) fn level_speed(samples: &[Sample], line: &DistanceLine, effort: Span) -> Option<Speed> {
    let length = effort.length_s();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded")]
    let count = (length / STRETCH_S).round().clamp(1.0, 100_000.0) as usize;
    let edge = |index: usize| effort.from.s() + length * index as f64 / count as f64;
    let heights = heights(samples, (0..=count).map(edge));
    let (mut level_m, mut known) = (0.0, 0);
    for (index, pair) in heights.windows(2).enumerate() {
        let metres = line.between(span(edge(index), edge(index + 1))?)?.m();
        level_m += match *pair {
            [Some(start), Some(end)] => {
                known += 1;
                let slope = if metres < SHORTEST_M { 0.0 } else { (end - start) / metres };
                metres * level_speed_factor(slope)
            }
            _ => metres,
        };
    }
    let enough = f64::from(known) >= KNOWN_SHARE * count as f64;
    enough.then(|| Speed::from_m_per_s(level_m / length).ok()).flatten()
}

/// The height at each of some rising times: the mean around it.
fn heights(samples: &[Sample], times: impl Iterator<Item = f64>) -> Vec<Option<f64>> {
    let at = |time: f64| samples.partition_point(|sample| sample.time.s() < time);
    times
        .map(|time| {
            let around = samples.get(at(time - AROUND_S)..at(time + AROUND_S))?;
            let known = || around.iter().filter_map(|sample| sample.altitude);
            let count = known().count();
            (count > 0).then(|| known().map(crate::units::Altitude::m).sum::<f64>() / count as f64)
        })
        .collect()
}
