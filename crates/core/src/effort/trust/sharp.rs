//! Changes sharper than any heart's: steps, spikes, and dropouts that come back.

use super::{Beat, FaultKind, HeartRateFault};
use crate::effort::pauses::span;
use crate::recording::Span;

/// A change of so many beats ...
const SHARP_BPM: f64 = 15.0;
/// ... within this many seconds is sharper than a heart's (found in 720 of 720 injected drops).
const WITHIN_S: f64 = 3.0;
/// Where a device writes more seldom, each second more allows so many beats more (judgement: twice
/// the steepest change of a heart with the published time constant after a step of 60 beats).
const ALLOWED_BPM_PER_S: f64 = 2.0;
/// A fall allows less: a heart never falls so fast during an effort (judgement).
const ALLOWED_FALL_BPM_PER_S: f64 = 0.5;
/// Samples further apart than this (seconds) show no sharp change.
const WIDEST_S: f64 = 10.0;
/// A fall is a dropout if it comes back within this time (seconds; judgement).
const LONGEST_DROPOUT_S: f64 = 300.0;
/// A rise is a spike if it falls back as sharply within this time (seconds; judgement).
const LONGEST_SPIKE_S: f64 = 120.0;
/// What has come back to within this share of the fall has come back (judgement).
const CAME_BACK: f64 = 1.0 / 3.0;
/// A sharp change stands where so much of it happens (share).
const MOST_OF_IT: f64 = 0.85;
/// A sharp change so close (seconds) to the edge of another fault is that fault's edge.
const EDGE_S: f64 = 10.0;

/// A sharp change between two samples.
#[derive(Debug, Clone, Copy)]
struct Sharp {
    /// Index of the last sample before it.
    before: usize,
    /// Index of the first sample after it.
    after: usize,
    by_bpm: f64,
}

impl Sharp {
    /// Whether it is a rise that brings the heart rate to where it is at a sample.
    fn ends_at(&self, index: usize) -> bool {
        self.by_bpm > 0.0 && (self.before..=self.after + 1).contains(&index)
    }
}

/// Steps, spikes and dropouts, but for those that are the edges of faults known already.
pub(super) fn changes(beats: &[Beat], known: &[Span]) -> Vec<HeartRateFault> {
    let sharp = sharp_changes(beats);
    let mut faults = Vec::new();
    let mut reached = 0;
    for (index, change) in sharp.iter().enumerate() {
        if change.before < reached {
            continue;
        }
        let later = sharp.get(index + 1..).unwrap_or_default();
        let dropout = dropout(beats, *change);
        let fault = if is_edge(beats, *change, known) {
            // a fall at another fault's end is one of its own only where it comes back as sharply
            dropout.filter(|(_, back)| later.iter().any(|rise| rise.ends_at(*back)))
        } else {
            dropout.or_else(|| spike(beats, *change, later)).or_else(|| step(beats, *change))
        };
        let Some((fault, end)) = fault else { continue };
        reached = end;
        faults.push(fault);
    }
    faults
}

/// Sharp changes in order, not overlapping; each the largest of those that begin at its sample.
fn sharp_changes(beats: &[Beat]) -> Vec<Sharp> {
    let mut found = Vec::new();
    let mut before = 0;
    while before + 1 < beats.len() {
        match sharp_from(beats, before) {
            Some(change) => {
                before = change.after;
                found.push(change);
            }
            None => before += 1,
        }
    }
    found
}

fn sharp_from(beats: &[Beat], before: usize) -> Option<Sharp> {
    let (time, bpm) = *beats.get(before)?;
    let later = (before + 1..beats.len()).map_while(|index| {
        let (then, now) = *beats.get(index)?;
        let near = then - time <= WITHIN_S || (index == before + 1 && then - time <= WIDEST_S);
        near.then_some((index, then - time, now - bpm))
    });
    later
        .filter(|(_, apart_s, by)| {
            let slow_s = (apart_s - WITHIN_S).max(0.0);
            let allowed = if *by < 0.0 { ALLOWED_FALL_BPM_PER_S } else { ALLOWED_BPM_PER_S };
            by.abs() >= SHARP_BPM + allowed * slow_s
        })
        .max_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
        .map(|(after, _, by_bpm)| tightened(beats, Sharp { before, after, by_bpm }))
}

/// The same change between the samples where most of it happens.
fn tightened(beats: &[Beat], mut change: Sharp) -> Sharp {
    let most = |before: usize, after: usize| {
        let height = |index: usize| beats.get(index).map_or(0.0, |beat| beat.1);
        let by = height(after) - height(before);
        before < after && by.abs() >= MOST_OF_IT * change.by_bpm.abs()
    };
    while most(change.before + 1, change.after) {
        change.before += 1;
    }
    while most(change.before, change.after - 1) {
        change.after -= 1;
    }
    change
}

fn is_edge(beats: &[Beat], change: Sharp, known: &[Span]) -> bool {
    let at = |index: usize| beats.get(index).map_or(0.0, |beat| beat.0);
    let (from, to) = (at(change.before) - EDGE_S, at(change.after) + EDGE_S);
    known.iter().any(|fault| {
        let edge = |time: f64| (from..=to).contains(&time);
        edge(fault.from.s()) || edge(fault.to.s())
    })
}

/// A sharp fall that is made up for soon: the stretch between is not to be trusted.
fn dropout(beats: &[Beat], fall: Sharp) -> Option<(HeartRateFault, usize)> {
    if fall.by_bpm > 0.0 {
        return None;
    }
    let (start, level) = *beats.get(fall.before)?;
    let enough = level + CAME_BACK * fall.by_bpm;
    let back = beats
        .iter()
        .enumerate()
        .skip(fall.after)
        .take_while(|(_, beat)| beat.0 - start <= LONGEST_DROPOUT_S)
        .find(|(_, beat)| beat.1 >= enough)?
        .0;
    let span = span(start, beats.get(back)?.0)?;
    let kind = FaultKind::Dropout { by_bpm: -fall.by_bpm };
    Some((HeartRateFault { kind, span }, back))
}

/// A sharp rise and a fall as sharp soon after.
fn spike(beats: &[Beat], rise: Sharp, later: &[Sharp]) -> Option<(HeartRateFault, usize)> {
    let (start, level) = *beats.get(rise.before)?;
    if rise.by_bpm < 0.0 {
        return None;
    }
    let fall = later.iter().find(|change| change.by_bpm < 0.0)?;
    let (end, after) = *beats.get(fall.after)?;
    if end - start > LONGEST_SPIKE_S || after > level + CAME_BACK * rise.by_bpm {
        return None;
    }
    let kind = FaultKind::Spike { by_bpm: rise.by_bpm };
    Some((HeartRateFault { kind, span: span(start, end)? }, fall.after))
}

fn step(beats: &[Beat], change: Sharp) -> Option<(HeartRateFault, usize)> {
    let span = span(beats.get(change.before)?.0, beats.get(change.after)?.0)?;
    let kind = FaultKind::Step { by_bpm: change.by_bpm };
    Some((HeartRateFault { kind, span }, change.after))
}
