//! Mean and peak heart rate over the trustworthy seconds of an effort.

use crate::recording::{Sample, Span};
use crate::units::{HeartRate, Share};

/// Heart rates a sensor can be believed in at all, beats per minute (rule of thumb, no source).
const CREDIBLE_BPM: std::ops::RangeInclusive<f64> = 40.0..=220.0;
/// A gap between two heart rates longer than this (seconds) is left out of the mean.
const LONGEST_GAP_S: f64 = 30.0;

/// What the heart rate did during a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HeartRateSummary {
    /// Time-weighted mean, straight lines between samples.
    pub mean: Option<HeartRate>,
    /// Share of the stretch that the mean rests on.
    pub share: Share,
    /// Highest value inside.
    pub peak: Option<HeartRate>,
}

/// The heart rate of a stretch of a recording.
pub(super) fn summarise(samples: &[Sample], span: Span) -> Option<HeartRateSummary> {
    let (from, to) = (span.from.s(), span.to.s());
    let credible = samples.iter().filter_map(|s| {
        let bpm = s.heart_rate?.bpm();
        CREDIBLE_BPM.contains(&bpm).then_some((s.time.s(), bpm))
    });
    let (mut covered, mut area, mut peak) = (0.0, 0.0, None::<f64>);
    let mut previous: Option<(f64, f64)> = None;
    for (time, bpm) in credible {
        if (from..=to).contains(&time) {
            peak = Some(peak.map_or(bpm, |p| p.max(bpm)));
        }
        if let Some((t0, bpm0)) = previous
            && time - t0 <= LONGEST_GAP_S
        {
            let (left, right) = (t0.max(from), time.min(to));
            if right > left {
                let at = |t: f64| bpm0 + (bpm - bpm0) * (t - t0) / (time - t0);
                covered += right - left;
                area += (right - left) * f64::midpoint(at(left), at(right));
            }
        }
        if time > to {
            break;
        }
        previous = Some((time, bpm));
    }
    let mean = (covered > 0.0).then(|| HeartRate::from_bpm(area / covered).ok()).flatten();
    let share = Share::from_ratio((covered / (to - from)).clamp(0.0, 1.0)).ok()?;
    Some(HeartRateSummary { mean, share, peak: peak.and_then(|p| HeartRate::from_bpm(p).ok()) })
}
