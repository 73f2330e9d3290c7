//! The clock rules, the same for every format: a record far ahead of both its neighbours is
//! removed, then records that go back are dropped and equal times merged.

use pacewright_core::recording::Repair;
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};

/// Microseconds on the recording's own clock: since 1970 where it has a date.
pub(crate) type Tick = i64;

/// Ticks in a second.
pub(crate) const TICKS_PER_SECOND: i64 = 1_000_000;

/// A record further ahead of both its neighbours than this has a wrong clock, in ticks.
const SPIKE: Tick = 600 * TICKS_PER_SECOND;

/// One record as read, its counter not yet joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    pub(crate) tick: Tick,
    pub(crate) position: Option<Position>,
    pub(crate) distance: Option<Distance>,
    pub(crate) altitude: Option<Altitude>,
    pub(crate) heart_rate: Option<HeartRate>,
    pub(crate) cadence: Option<Cadence>,
}

impl Point {
    /// A moment of which nothing else is known yet.
    pub(crate) fn at(tick: Tick) -> Self {
        Self {
            tick,
            position: None,
            distance: None,
            altitude: None,
            heart_rate: None,
            cadence: None,
        }
    }

    /// Two records of one moment: what the later one has wins.
    fn merge(&mut self, later: Self) {
        self.position = later.position.or(self.position);
        self.distance = later.distance.or(self.distance);
        self.altitude = later.altitude.or(self.altitude);
        self.heart_rate = later.heart_rate.or(self.heart_rate);
        self.cadence = later.cadence.or(self.cadence);
    }
}

/// The time from one tick to another, where it can be a time of a recording.
pub(crate) fn seconds(from: Tick, to: Tick) -> Option<Seconds> {
    let ticks = to.saturating_sub(from).max(0);
    Seconds::from_s(ticks as f64 / TICKS_PER_SECOND as f64).ok()
}

/// Strictly increasing records, and what was mended.
pub(crate) fn mend(points: Vec<Point>) -> (Vec<Point>, Vec<Repair>) {
    // nearly every recording is in order already
    if points.is_sorted_by(|before, after| before.tick < after.tick) {
        return (points, Vec::new());
    }
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    let mut spikes = Vec::new();
    let (mut merged, mut backwards, mut first_back) = (0, 0, None);
    for (index, &point) in points.iter().enumerate() {
        if let Some(neighbour) = spike(&points, index) {
            spikes.push((neighbour, point.tick.saturating_sub(neighbour)));
            continue;
        }
        match kept.last_mut() {
            Some(last) if point.tick == last.tick => {
                last.merge(point);
                merged += 1;
            }
            Some(last) if point.tick < last.tick => {
                first_back = first_back.or(Some(last.tick));
                backwards += 1;
            }
            _ => kept.push(point),
        }
    }
    let start = kept.first().map_or(0, |first| first.tick);
    let mut repairs = Vec::new();
    for (neighbour, ahead) in spikes {
        if let Some(at) = seconds(start, neighbour) {
            let ahead_s = ahead as f64 / TICKS_PER_SECOND as f64;
            repairs.push(Repair::ClockSpike { at, ahead_s });
        }
    }
    if let Some(at) = first_back.and_then(|tick| seconds(start, tick)) {
        repairs.push(Repair::TimesBackwards { count: backwards, at });
    }
    if merged > 0 {
        repairs.push(Repair::EqualTimesMerged { count: merged });
    }
    (kept, repairs)
}

/// The neighbour's time, where the record stands far ahead of both. The first record counts by its
/// one neighbour (else everything after it would go back in time); the last one does not (nothing
/// contradicts it).
fn spike(points: &[Point], index: usize) -> Option<Tick> {
    let tick = points.get(index)?.tick;
    let after = points.get(index + 1)?.tick;
    let before = index.checked_sub(1).and_then(|index| points.get(index)).map(|point| point.tick);
    let far_ahead_of = |neighbour: Tick| tick.saturating_sub(neighbour) > SPIKE;
    let both = far_ahead_of(after) && before.is_none_or(far_ahead_of);
    both.then(|| before.unwrap_or(after))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mended(times_s: &[i64]) -> (Vec<i64>, Vec<Repair>) {
        let points: Vec<Point> = times_s.iter().map(|s| Point::at(s * TICKS_PER_SECOND)).collect();
        let (kept, repairs) = mend(points);
        (kept.iter().map(|p| p.tick / TICKS_PER_SECOND).collect(), repairs)
    }

    #[test]
    fn a_record_a_day_ahead_is_removed_first() {
        let (kept, repairs) = mended(&[10, 11, 86_412, 13]);
        assert_eq!(kept, [10, 11, 13]);
        let at = Seconds::from_s(1.0).unwrap();
        assert_eq!(repairs, [Repair::ClockSpike { at, ahead_s: 86_401.0 }]);
    }

    #[test]
    fn a_gap_is_no_spike_and_600_s_exactly_are_not_too_far() {
        assert_eq!(mended(&[0, 1, 5_000, 5_001]).0, [0, 1, 5_000, 5_001]);
        let (kept, _) = mended(&[0, 600, 1]);
        assert_eq!(kept, [0, 600]);
    }

    #[test]
    fn a_first_record_far_ahead_does_not_cost_the_rest() {
        assert_eq!(mended(&[90_000, 1, 2, 3]).0, [1, 2, 3]);
    }

    #[test]
    fn records_going_back_are_dropped_and_counted() {
        let (kept, repairs) = mended(&[0, 1, 2, -3_598, 1, 3]);
        assert_eq!(kept, [0, 1, 2, 3]);
        let at = Seconds::from_s(2.0).unwrap();
        assert_eq!(repairs, [Repair::TimesBackwards { count: 2, at }]);
    }

    #[test]
    fn equal_times_merge_and_the_later_value_wins() {
        let bpm = |b| HeartRate::from_bpm(b).ok();
        let cadence = Cadence::from_per_minute(80.0).ok();
        let first = Point { heart_rate: bpm(100.0), cadence, ..Point::at(5) };
        let second = Point { heart_rate: bpm(120.0), ..Point::at(5) };
        let (kept, repairs) = mend(vec![first, second]);
        assert_eq!(kept, [Point { heart_rate: bpm(120.0), cadence, ..Point::at(5) }]);
        assert_eq!(repairs, [Repair::EqualTimesMerged { count: 1 }]);
    }
}
