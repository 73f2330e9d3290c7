//! Distance against time as one piecewise linear line, from the device's counter where it gives
//! one, else from positions.

use serde::{Deserialize, Serialize};

use super::jumps::{self, Jump};
use super::pauses;
use crate::recording::{Recording, Span};
use crate::units::{Distance, Position, Seconds, Speed};

/// Where a distance was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DistanceSource {
    /// The device's own counter.
    Device,
    /// From positions, step by step.
    Positions,
    /// Typed in, or a measured course.
    Entered,
}

/// Distance against time: never falling, flat inside pauses, with the pauses it knows of.
#[derive(Debug, Clone, PartialEq)]
pub struct DistanceLine {
    source: DistanceSource,
    times: Vec<f64>,
    metres: Vec<f64>,
    pauses: Vec<Span>,
    jumps: Vec<Jump>,
}

impl DistanceLine {
    /// The line of a recording: the device's distance where at least half of the samples have it,
    /// else positions (great circles, jumps bridged), or `None` where it has neither.
    pub fn of(recording: &Recording) -> Option<Self> {
        let samples = recording.samples();
        let device: Vec<(f64, f64)> =
            samples.iter().filter_map(|s| Some((s.time.s(), s.distance?.m()))).collect();
        let places: Vec<(f64, Position)> =
            samples.iter().filter_map(|s| Some((s.time.s(), s.position?))).collect();
        // looked for also where the device's own distance, which they do not touch, is used
        let walked = (places.len() >= 2).then(|| jumps::walked(&places));
        if device.len() >= 2 && device.len() * 2 >= samples.len() {
            let jumps = walked.map(|(_, jumps)| jumps).unwrap_or_default();
            return Some(Self::through(DistanceSource::Device, device, jumps, recording));
        }
        let (points, jumps) = walked?;
        Some(Self::through(DistanceSource::Positions, points, jumps, recording))
    }

    fn through(
        source: DistanceSource,
        points: Vec<(f64, f64)>,
        jumps: Vec<Jump>,
        recording: &Recording,
    ) -> Self {
        let pauses = pauses::of(recording, &points);
        let (times, metres) = pauses::hold_still(points, &pauses);
        Self { source, times, metres, pauses, jumps }
    }

    /// A line through given knots, without pauses.
    ///
    /// Times (seconds) must strictly increase and distances never fall; `None` otherwise or with
    /// fewer than two knots.
    pub fn from_knots(knots: &[(Seconds, Distance)]) -> Option<Self> {
        let rising = knots.windows(2).all(|p| p[0].0 < p[1].0 && p[0].1 <= p[1].1);
        (knots.len() >= 2 && rising).then(|| Self {
            source: DistanceSource::Device,
            times: knots.iter().map(|k| k.0.s()).collect(),
            metres: knots.iter().map(|k| k.1.m()).collect(),
            pauses: Vec::new(),
            jumps: Vec::new(),
        })
    }

    /// A line at one speed, which somebody entered.
    pub(crate) fn even(span: Span, speed: Speed) -> Option<Self> {
        let metres = speed.m_per_s() * span.length_s();
        (metres.is_finite() && span.length_s() > 0.0).then(|| Self {
            source: DistanceSource::Entered,
            times: vec![span.from.s(), span.to.s()],
            metres: vec![0.0, metres],
            pauses: Vec::new(),
            jumps: Vec::new(),
        })
    }

    /// Where the distance was measured.
    pub fn source(&self) -> DistanceSource {
        self.source
    }

    /// Pauses in order: the device's, or long gaps hardly travelled.
    pub fn pauses(&self) -> &[Span] {
        &self.pauses
    }

    /// Position jumps: bridged where the distance is from positions, else only seen.
    pub fn jumps(&self) -> &[Jump] {
        &self.jumps
    }

    /// The whole distance of the recording.
    pub fn total(&self) -> Option<Distance> {
        let (first, last) = (self.metres.first()?, self.metres.last()?);
        Distance::from_m(last - first).ok()
    }

    /// Metres covered between two times; outside the line the athlete stands still.
    pub fn between(&self, span: Span) -> Option<Distance> {
        Distance::from_m((self.at(span.to.s()) - self.at(span.from.s())).max(0.0)).ok()
    }

    /// Knot times in seconds and metres at them.
    pub(super) fn knots(&self) -> (&[f64], &[f64]) {
        (&self.times, &self.metres)
    }

    /// Metres on the line at a time in seconds.
    fn at(&self, time: f64) -> f64 {
        let after = self.times.partition_point(|&t| t <= time);
        interpolate(&self.times, &self.metres, after, time)
    }
}

/// The line's metres at a time whose next knot has index `after`.
pub(super) fn interpolate(times: &[f64], metres: &[f64], after: usize, time: f64) -> f64 {
    if after == 0 {
        return metres[0];
    }
    if after >= times.len() {
        return metres[metres.len() - 1];
    }
    let (t0, t1, m0, m1) = (times[after - 1], times[after], metres[after - 1], metres[after]);
    m0 + (m1 - m0) * (time - t0) / (t1 - t0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_needs_rising_times() {
        let knot = |t, m| (Seconds::from_s(t).unwrap(), Distance::from_m(m).unwrap());
        assert!(DistanceLine::from_knots(&[knot(0.0, 0.0)]).is_none());
        assert!(DistanceLine::from_knots(&[knot(0.0, 0.0), knot(0.0, 5.0)]).is_none());
        assert!(DistanceLine::from_knots(&[knot(0.0, 5.0), knot(1.0, 4.0)]).is_none());
    }
}
