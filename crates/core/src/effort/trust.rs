//! Which heart rates cannot be believed: sensor faults, each with its place and kind.
//!
//! Detection rules tried on real runs and on injected faults; thresholds without a source are
//! judgement and say so. Nothing is deleted here: the mean leaves some stretches out
//! ([`HeartRateFault::leaves_out`]), and the checks tell all of them.

mod locked;
mod sharp;

use super::pauses::span;
use crate::recording::{Sample, Span};

/// Heart rates a sensor can be believed in at all, beats per minute (rule of thumb, no source).
pub(crate) const CREDIBLE_BPM: std::ops::RangeInclusive<f64> = 40.0..=220.0;
/// Two heart rates further apart than this (seconds) say nothing about the time between.
pub(crate) const LONGEST_GAP_S: f64 = 30.0;
/// One value for so long (seconds) is suspect; normal runs reach 56 s.
pub const FLAT_SUSPECT_S: f64 = 60.0;
/// One value for so long (seconds) is a fault (judgement).
pub const FLAT_FAULT_S: f64 = 90.0;

/// What is wrong with a stretch of heart rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FaultKind {
    /// Values no heart has.
    Implausible {
        /// The value furthest out, in beats per minute.
        worst_bpm: f64,
    },
    /// A sharp step that stays.
    Step {
        /// Its height, in beats per minute; negative for a fall.
        by_bpm: f64,
    },
    /// A sharp rise and, soon, a sharp fall back.
    Spike {
        /// Its height, in beats per minute.
        by_bpm: f64,
    },
    /// A sharp fall that comes back.
    Dropout {
        /// Its depth, in beats per minute.
        by_bpm: f64,
    },
    /// One and the same value.
    Flat,
    /// The sensor seems to count steps for beats.
    CadenceLock {
        /// Mean steps a minute during it.
        steps_per_minute: f64,
        /// Whether more speaks for it than that both numbers agree, as they may by chance.
        corroborated: bool,
    },
}

/// A stretch of heart rate that cannot be believed, or should be looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeartRateFault {
    /// What is wrong.
    pub kind: FaultKind,
    /// Where.
    pub span: Span,
}

impl HeartRateFault {
    /// Whether the mean leaves the stretch out. A lone step says nothing about which side is right,
    /// and a short flat stretch may be a steady heart.
    pub fn leaves_out(&self) -> bool {
        match self.kind {
            FaultKind::Step { .. } | FaultKind::Implausible { .. } => false,
            FaultKind::Flat => self.span.length_s() >= FLAT_FAULT_S,
            FaultKind::CadenceLock { corroborated, .. } => corroborated,
            FaultKind::Spike { .. } | FaultKind::Dropout { .. } => true,
        }
    }

    /// Whether it is a suspicion that a steady runner can raise by coincidence.
    pub fn is_suspicion(&self) -> bool {
        matches!(self.kind, FaultKind::CadenceLock { .. })
    }
}

/// One credible heart rate: seconds, beats per minute.
type Beat = (f64, f64);

/// Every fault of the heart rate of a recording, in the order of their places.
pub fn heart_rate_faults(samples: &[Sample]) -> Vec<HeartRateFault> {
    let beats: Vec<Beat> = credible(samples).collect();
    let mut faults = flats(&beats);
    let locks = locked::locks(samples);
    let excused: Vec<Span> = faults.iter().chain(&locks).map(|fault| fault.span).collect();
    faults.extend(sharp::changes(&beats, &excused));
    faults.extend(locks);
    faults.extend(implausible(samples));
    faults.sort_by(|a, b| a.span.from.s().total_cmp(&b.span.from.s()));
    faults
}

/// The heart rates that a heart can have.
pub(crate) fn credible(samples: &[Sample]) -> impl Iterator<Item = Beat> {
    samples.iter().filter_map(|sample| {
        let bpm = sample.heart_rate?.bpm();
        CREDIBLE_BPM.contains(&bpm).then_some((sample.time.s(), bpm))
    })
}

/// Stretches of one value.
fn flats(beats: &[Beat]) -> Vec<HeartRateFault> {
    let same = |a: &Beat, b: &Beat| (a.1 - b.1).abs() < 0.01 && b.0 - a.0 <= LONGEST_GAP_S;
    beats
        .chunk_by(same)
        .filter_map(|run| {
            let span = span(run.first()?.0, run.last()?.0)?;
            (span.length_s() >= FLAT_SUSPECT_S)
                .then_some(HeartRateFault { kind: FaultKind::Flat, span })
        })
        .collect()
}

/// Runs of values outside what a heart can have; a run ends at the first credible value.
fn implausible(samples: &[Sample]) -> Vec<HeartRateFault> {
    let seen: Vec<Beat> =
        samples.iter().filter_map(|s| Some((s.time.s(), s.heart_rate?.bpm()))).collect();
    let beyond = |bpm: f64| (CREDIBLE_BPM.start() - bpm).max(bpm - CREDIBLE_BPM.end());
    seen.chunk_by(|a, b| (beyond(a.1) > 0.0) == (beyond(b.1) > 0.0))
        .filter(|run| run.iter().all(|beat| beyond(beat.1) > 0.0))
        .filter_map(|run| {
            let worst = run.iter().max_by(|a, b| beyond(a.1).total_cmp(&beyond(b.1)))?;
            let span = span(run.first()?.0, run.last()?.0)?;
            Some(HeartRateFault { kind: FaultKind::Implausible { worst_bpm: worst.1 }, span })
        })
        .collect()
}

#[cfg(test)]
mod tests;
