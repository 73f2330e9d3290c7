//! Mean and peak heart rate over the trustworthy seconds of an effort.

use super::trust::{HeartRateFault, LONGEST_GAP_S, credible};
use crate::recording::{Sample, Span};
use crate::units::{HeartRate, Seconds, Share};

/// The heart lags behind the work: after so many seconds 96 % of a step is reached.
///
/// # Source
/// Hunt KJ, Fankhauser SE, Saengsuwan J. BioMed Eng OnLine 2015;14:117, doi
/// 10.1186/s12938-015-0112-7: time constant 57.6 s, so 1 - exp(-180 / 57.6) = 0.956.
pub(super) const SETTLING_S: f64 = 180.0;

/// What the heart rate did during a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HeartRateSummary {
    /// Time-weighted mean, straight lines between samples.
    pub(crate) mean: Option<HeartRate>,
    /// Share of the stretch that the mean rests on.
    pub(crate) share: Share,
    /// Highest value inside.
    pub(crate) peak: Option<HeartRate>,
}

/// The heart rate of a stretch of a recording, over what no fault makes untrustworthy.
pub(crate) fn summarise(
    samples: &[Sample],
    faults: &[HeartRateFault],
    span: Span,
) -> Option<HeartRateSummary> {
    let (from, to) = (span.from.s(), span.to.s());
    let out: Vec<Span> = faults.iter().filter(|f| f.leaves_out()).map(|f| f.span).collect();
    let (mut covered, mut area, mut peak) = (0.0, 0.0, None::<f64>);
    each_piece(samples, span, |start, end, at| {
        for (start, end) in kept(start, end, &out) {
            covered += end - start;
            area += (end - start) * f64::midpoint(at(start), at(end));
        }
    });
    let left_out = |time: f64| out.iter().any(|o| (o.from.s()..=o.to.s()).contains(&time));
    for (time, bpm) in credible(samples) {
        if (from..=to).contains(&time) && !left_out(time) {
            peak = Some(peak.map_or(bpm, |p| p.max(bpm)));
        }
    }
    let mean = (covered > 0.0).then(|| HeartRate::from_bpm(area / covered).ok()).flatten();
    let share = Share::from_ratio((covered / (to - from)).clamp(0.0, 1.0)).ok()?;
    Some(HeartRateSummary { mean, share, peak: peak.and_then(|p| HeartRate::from_bpm(p).ok()) })
}

/// The mean without the first three minutes, in which the heart still catches up.
pub(super) fn settled(
    samples: &[Sample],
    faults: &[HeartRateFault],
    span: Span,
) -> Option<HeartRate> {
    let from = Seconds::from_s(span.from.s() + SETTLING_S).ok()?;
    (from < span.to).then(|| summarise(samples, faults, Span { from, ..span })?.mean).flatten()
}

/// The share of the trustworthy seconds of a stretch that lie within so many beats of a target;
/// `None` where there are no such seconds.
pub(crate) fn share_within(
    samples: &[Sample],
    faults: &[HeartRateFault],
    span: Span,
    target: HeartRate,
    beats: f64,
) -> Option<Share> {
    let out: Vec<Span> = faults.iter().filter(|f| f.leaves_out()).map(|f| f.span).collect();
    let (mut covered, mut inside) = (0.0, 0.0);
    each_piece(samples, span, |start, end, at| {
        for (start, end) in kept(start, end, &out) {
            covered += end - start;
            if (f64::midpoint(at(start), at(end)) - target.bpm()).abs() <= beats {
                inside += end - start;
            }
        }
    });
    (covered > 0.0).then(|| Share::from_ratio(inside / covered).ok()).flatten()
}

/// Every straight piece of the heart rate inside a stretch: its ends in seconds and its values.
fn each_piece(samples: &[Sample], span: Span, mut see: impl FnMut(f64, f64, &dyn Fn(f64) -> f64)) {
    let (from, to) = (span.from.s(), span.to.s());
    let mut previous: Option<(f64, f64)> = None;
    for (time, bpm) in credible(samples) {
        if let Some((t0, bpm0)) = previous
            && time - t0 <= LONGEST_GAP_S
        {
            let (left, right) = (t0.max(from), time.min(to));
            if right > left {
                see(left, right, &|t: f64| bpm0 + (bpm - bpm0) * (t - t0) / (time - t0));
            }
        }
        if time > to {
            break;
        }
        previous = Some((time, bpm));
    }
}

/// What is left of a piece outside the stretches left out.
fn kept(start: f64, end: f64, out: &[Span]) -> Vec<(f64, f64)> {
    let mut pieces = vec![(start, end)];
    for span in out.iter().filter(|span| span.from.s() < end && span.to.s() > start) {
        pieces = pieces
            .into_iter()
            .flat_map(|(a, b)| [(a, b.min(span.from.s())), (a.max(span.to.s()), b)])
            .filter(|(a, b)| b > a)
            .collect();
    }
    pieces
}
