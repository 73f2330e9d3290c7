//! Heart rate locked to cadence: an optical sensor that counts steps for beats.
//!
//! Found in 276 of 282 injected locks; 2 % of the seconds of real runs look locked by coincidence.
//! So it stays a suspicion; where nothing speaks for a lock but that both numbers agree, it is only
//! noted. Thresholds are judgement.

use super::{FaultKind, HeartRateFault};
use crate::effort::pauses::span;
use crate::recording::Sample;

/// The stretch looked at, and the shortest lock told (seconds).
const WINDOW_S: f64 = 120.0;
/// Heart rate within so many of the steps a minute ...
const NEAR: f64 = 4.0;
/// ... for this share of the time, ...
const NEAR_SHARE: f64 = 0.85;
/// ... the spread (standard deviation) of their difference at most this, ...
const SPREAD: f64 = 3.0;
/// ... while running: more steps a minute than this.
const RUNNING_STEPS: f64 = 130.0;
/// A median cadence below this counts strides: two steps each.
const STRIDES_BELOW: f64 = 120.0;
/// Samples further apart than this (seconds) break a stretch.
const LONGEST_GAP_S: f64 = 15.0;

/// A lock begins or ends with a change of so many beats ...
const EDGE_BPM: f64 = 7.0;
/// ... within this many seconds: faster than any heart runs into agreement.
const EDGE_S: f64 = 4.0;
/// Or beats and steps waver together: their correlation over one window of the lock.
const TOGETHER: f64 = 0.75;
/// About where beats and steps lie.
const MIDDLE: f64 = 170.0;

/// A moment with both: seconds, steps a minute, heart rate minus steps.
#[derive(Debug, Clone, Copy)]
struct Both {
    time: f64,
    steps: f64,
    apart: f64,
}

impl Both {
    fn beats(&self) -> f64 {
        self.apart + self.steps
    }

    fn is_near(&self) -> bool {
        self.apart.abs() <= NEAR
    }
}

/// Stretches in which the heart rate follows the steps.
pub(super) fn locks(samples: &[Sample]) -> Vec<HeartRateFault> {
    let per_turn = steps_per_turn(samples);
    let both: Vec<Both> = samples
        .iter()
        .filter_map(|sample| {
            let steps = sample.cadence?.per_minute() * per_turn;
            let apart = sample.heart_rate?.bpm() - steps;
            (steps > RUNNING_STEPS).then_some(Both { time: sample.time.s(), steps, apart })
        })
        .collect();
    both.chunk_by(|a, b| b.time - a.time <= LONGEST_GAP_S).flat_map(locks_in).collect()
}

/// Steps for each turn of the counter: recorders write steps or strides.
fn steps_per_turn(samples: &[Sample]) -> f64 {
    let mut turns: Vec<f64> = samples
        .iter()
        .filter_map(|sample| Some(sample.cadence?.per_minute()))
        .filter(|turns| *turns > 0.0)
        .collect();
    if turns.is_empty() {
        return 1.0;
    }
    let middle = turns.len() / 2;
    let (_, median, _) = turns.select_nth_unstable_by(middle, f64::total_cmp);
    if *median < STRIDES_BELOW { 2.0 } else { 1.0 }
}

/// Sums over a window that slides along.
#[derive(Default)]
struct Sums {
    count: f64,
    near: f64,
    apart: f64,
    squares: f64,
    steps: f64,
    steps_squares: f64,
    beats: f64,
    beats_squares: f64,
    products: f64,
}

impl Sums {
    fn add(&mut self, both: &Both, weight: f64) {
        self.count += weight;
        self.near += if both.is_near() { weight } else { 0.0 };
        self.apart += weight * both.apart;
        self.squares += weight * both.apart * both.apart;
        // from a middle value, so that the squares stay small
        let (beats, steps) = (both.beats() - MIDDLE, both.steps - MIDDLE);
        self.steps += weight * steps;
        self.steps_squares += weight * steps * steps;
        self.beats += weight * beats;
        self.beats_squares += weight * beats * beats;
        self.products += weight * beats * steps;
    }

    /// Whether beats and steps rise and fall together.
    fn waver_together(&self) -> bool {
        let around = |products: f64, a: f64, b: f64| products - a * b / self.count;
        let joint = around(self.products, self.beats, self.steps);
        let own = around(self.beats_squares, self.beats, self.beats);
        let other = around(self.steps_squares, self.steps, self.steps);
        own > 0.0 && other > 0.0 && joint >= TOGETHER * (own * other).sqrt()
    }

    fn look_locked(&self) -> bool {
        let mean = self.apart / self.count;
        let variance = (self.squares / self.count - mean * mean).max(0.0);
        self.near >= NEAR_SHARE * self.count && variance <= SPREAD * SPREAD
    }
}

/// Joined windows in which beats and steps agree: first and last index, and whether they waver
/// together in any of them.
#[derive(Clone, Copy)]
struct Agreement {
    first: usize,
    last: usize,
    together: bool,
}

/// Locks in one stretch without gaps: every window that looks locked, joined, its edges on samples
/// where both agree.
fn locks_in(both: &[Both]) -> Vec<HeartRateFault> {
    let mut joined: Vec<Agreement> = Vec::new();
    let mut sums = Sums::default();
    let mut first = 0;
    for (last, now) in both.iter().enumerate() {
        sums.add(now, 1.0);
        while both.get(first + 1).is_some_and(|next| now.time - next.time >= WINDOW_S) {
            if let Some(gone) = both.get(first) {
                sums.add(gone, -1.0);
            }
            first += 1;
        }
        let full = both.get(first).is_some_and(|start| now.time - start.time >= WINDOW_S);
        if !full || !sums.look_locked() {
            continue;
        }
        let together = sums.waver_together();
        match joined.last_mut() {
            Some(lock) if first <= lock.last => {
                lock.last = last;
                lock.together |= together;
            }
            _ => joined.push(Agreement { first, last, together }),
        }
    }
    joined.into_iter().filter_map(|agreement| lock(both, agreement)).collect()
}

fn lock(both: &[Both], agreement: Agreement) -> Option<HeartRateFault> {
    let Agreement { first, last, together } = agreement;
    let from = first + both.get(first..=last)?.iter().position(Both::is_near)?;
    let to = first + both.get(first..=last)?.iter().rposition(Both::is_near)?;
    let locked = both.get(from..=to)?;
    let span = span(locked.first()?.time, locked.last()?.time)?;
    let steps_per_minute = locked.iter().map(|both| both.steps).sum::<f64>() / locked.len() as f64;
    let corroborated = together
        || leaps(both.get(..=from + EDGE_SAMPLES).unwrap_or(both), locked.first()?.time)
        || leaps(both.get(to.saturating_sub(EDGE_SAMPLES)..)?, locked.last()?.time);
    let kind = FaultKind::CadenceLock { steps_per_minute, corroborated };
    // edges trimmed to agreement may cost a few seconds of the window
    (span.length_s() >= NEAR_SHARE * WINDOW_S).then_some(HeartRateFault { kind, span })
}

/// Samples looked at on the inner side of an edge.
const EDGE_SAMPLES: usize = 5;

/// Whether the heart rate leaps close to a time.
fn leaps(both: &[Both], edge: f64) -> bool {
    let close: Vec<&Both> = both.iter().filter(|b| (b.time - edge).abs() <= 2.0 * EDGE_S).collect();
    close.iter().enumerate().any(|(index, start)| {
        let later = close.iter().skip(index + 1);
        let soon = later.enumerate().take_while(|(n, b)| *n == 0 || b.time - start.time <= EDGE_S);
        soon.into_iter().any(|(_, end)| {
            let seconds = (end.time - start.time).max(EDGE_S);
            (end.beats() - start.beats()).abs() >= EDGE_BPM * seconds / EDGE_S
        })
    })
}
