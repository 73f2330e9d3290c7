//! What every reader gathers, and how it becomes a recording: clock rules, counter rule, spans.

use chrono::DateTime;
use pacewright_core::recording::{
    Circumstances, Lap, LapTrigger, Leg, Parts, Recording, Repair, Sample, Span, Sport,
};
use pacewright_core::units::Distance;

use crate::cells::Ignored;
use crate::clock::{self, Point, Tick};
use crate::counter::Counter;
use crate::{Format, MOST_RECORDS, ReadError};

/// A stretch of the clock as the file gives it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stretch {
    pub(crate) from: Tick,
    pub(crate) to: Tick,
}

/// A recording in the making.
#[derive(Debug)]
pub(crate) struct Draft {
    format: Format,
    /// The records with a time, in the order of the file.
    points: Vec<Point>,
    /// Records without a time.
    pub(crate) timeless: usize,
    /// Cells that count as missing.
    pub(crate) ignored: Ignored,
    /// The clock counts from 1970.
    pub(crate) dated: bool,
    /// What was done.
    pub(crate) sport: Sport,
    /// What the device says about how it measured.
    pub(crate) circumstances: Circumstances,
    /// Laps in the order of the file.
    pub(crate) laps: Vec<(Stretch, LapTrigger)>,
    /// Legs in the order of the file.
    pub(crate) legs: Vec<(Stretch, Sport)>,
    /// When the timer was started (true) or stopped (false); `None` where it does not tell.
    pub(crate) timer: Option<Vec<(Tick, bool)>>,
    /// The file ends in the middle of something.
    pub(crate) truncated: bool,
    /// The checksum is wrong.
    pub(crate) checksum_wrong: bool,
    /// How many recordings the file holds.
    pub(crate) parts: usize,
}

impl Draft {
    /// Nothing read yet.
    pub(crate) fn new(format: Format) -> Self {
        Self {
            format,
            points: Vec::new(),
            timeless: 0,
            ignored: Ignored::default(),
            dated: false,
            sport: Sport::Unknown,
            circumstances: Circumstances::default(),
            laps: Vec::new(),
            legs: Vec::new(),
            timer: None,
            truncated: false,
            checksum_wrong: false,
            parts: 1,
        }
    }

    /// One more record, up to the limit.
    pub(crate) fn push(&mut self, point: Point) -> Result<(), ReadError> {
        if self.points.len() >= MOST_RECORDS {
            return Err(ReadError::TooManyRecords { format: self.format, limit: MOST_RECORDS });
        }
        self.points.push(point);
        Ok(())
    }

    /// Records read so far, with a time.
    pub(crate) fn points(&self) -> &[Point] {
        &self.points
    }

    /// Drops the records whose time cannot be used, and counts them.
    pub(crate) fn keep(&mut self, usable: impl Fn(&Point) -> bool) {
        let before = self.points.len();
        self.points.retain(usable);
        self.timeless += before - self.points.len();
    }

    /// The recording, mended.
    pub(crate) fn finish(mut self) -> Result<Recording, ReadError> {
        let nothing = ReadError::Timeless { format: self.format };
        let (mut points, mut repairs) = clock::mend(std::mem::take(&mut self.points));
        let Some(start) = points.first().map(|first| first.tick) else { return Err(nothing) };
        // a time years after the first is no time of this recording
        let within = points.partition_point(|point| clock::seconds(start, point.tick).is_some());
        self.timeless += points.len() - within;
        points.truncate(within);
        let end = points.last().map_or(start, |last| last.tick);
        let whole = Stretch { from: start, to: end };

        let samples = samples(points, start, &mut repairs);
        let laps = in_turn(self.laps.drain(..), whole);
        let legs = in_turn(self.legs.drain(..), whole);
        let timer_pauses = self.timer.take().map(|events| {
            in_turn(pauses(&events).into_iter().map(|stretch| (stretch, ())), whole)
                .into_iter()
                .map(|(span, ())| span)
                .collect()
        });
        let circumstances = self.circumstances;
        let sport = std::mem::replace(&mut self.sport, Sport::Unknown);
        let started_at = self.dated.then(|| DateTime::from_timestamp_micros(start)).flatten();
        self.report(whole, started_at.is_some(), &mut repairs);
        Recording::from_parts(Parts {
            started_at,
            sport,
            circumstances,
            samples,
            timer_pauses,
            laps: laps.into_iter().map(|(span, trigger)| Lap { span, trigger }).collect(),
            legs: if legs.len() > 1 {
                legs.into_iter().map(|(span, sport)| Leg { span, sport }).collect()
            } else {
                Vec::new()
            },
            repairs,
        })
        .map_err(|_| nothing)
    }

    fn report(self, whole: Stretch, dated: bool, repairs: &mut Vec<Repair>) {
        // a CSV of seconds or minutes never had a date: nothing was lost
        if !dated && self.format == Format::Fit {
            repairs.push(Repair::NoDate);
        }
        if self.timeless > 0 {
            repairs.push(Repair::TimelessDropped { count: self.timeless });
        }
        repairs.extend(self.ignored.into_repair());
        if self.truncated
            && let Some(at) = clock::seconds(whole.from, whole.to)
        {
            repairs.push(Repair::Truncated { at });
        }
        if self.checksum_wrong {
            repairs.push(Repair::ChecksumMismatch);
        }
        if self.parts > 1 {
            repairs.push(Repair::Parts { count: self.parts });
        }
    }
}

/// Samples on the elapsed clock, the distance counter joined.
fn samples(points: Vec<Point>, start: Tick, repairs: &mut Vec<Repair>) -> Vec<Sample> {
    let mut counter = Counter::default();
    let sample = |point: Point| {
        let time = clock::seconds(start, point.tick)?;
        let distance = point.distance.and_then(|distance| {
            let reading = counter.read(distance.m());
            if reading.restarted {
                repairs.push(Repair::CounterRestarted { at: time });
            }
            Distance::from_m(reading.total_m).ok()
        });
        Some(Sample {
            time,
            position: point.position,
            distance,
            altitude: point.altitude,
            heart_rate: point.heart_rate,
            cadence: point.cadence,
        })
    };
    points.into_iter().filter_map(sample).collect()
}

/// From each stop of the timer to the next start; a final stop opens no pause.
fn pauses(events: &[(Tick, bool)]) -> Vec<Stretch> {
    let mut stopped: Option<Tick> = None;
    let mut pauses = Vec::new();
    for &(tick, running) in events {
        if !running {
            stopped = stopped.or(Some(tick));
        } else if let Some(from) = stopped.take() {
            pauses.push(Stretch { from, to: tick });
        }
    }
    pauses
}

/// Stretches as spans of the recording: clipped to it, each after the one before (those of a
/// chained part whose records were dropped fall away), empty ones left out.
fn in_turn<T>(stretches: impl Iterator<Item = (Stretch, T)>, whole: Stretch) -> Vec<(Span, T)> {
    let mut reached = whole.from;
    let mut spans = Vec::new();
    for (stretch, what) in stretches {
        let (from, to) = (stretch.from.max(reached), stretch.to.min(whole.to));
        if from >= to {
            continue;
        }
        let ends = clock::seconds(whole.from, from).zip(clock::seconds(whole.from, to));
        if let Some((from, to)) = ends {
            spans.push((Span { from, to }, what));
        }
        reached = to;
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::TICKS_PER_SECOND;

    fn draft(seconds: std::ops::Range<i64>) -> Draft {
        let mut draft = Draft::new(Format::Csv);
        for second in seconds {
            draft.push(Point::at(second * TICKS_PER_SECOND)).unwrap();
        }
        draft
    }

    fn bounds(span: Span) -> (f64, f64) {
        (span.from.s(), span.to.s())
    }

    fn stretch(from: i64, to: i64) -> Stretch {
        Stretch { from: from * TICKS_PER_SECOND, to: to * TICKS_PER_SECOND }
    }

    #[test]
    fn times_start_at_zero() {
        let recording = draft(100..103).finish().unwrap();
        let times: Vec<f64> = recording.samples().iter().map(|s| s.time.s()).collect();
        assert_eq!(times, [0.0, 1.0, 2.0]);
    }

    #[test]
    fn laps_are_clipped_and_never_overlap() {
        let mut draft = draft(100..201);
        for (from, to) in [(90, 120), (119, 150), (130, 140), (150, 400), (500, 600)] {
            draft.laps.push((stretch(from, to), LapTrigger::Manual));
        }
        let recording = draft.finish().unwrap();
        let laps: Vec<_> = recording.laps().iter().map(|lap| bounds(lap.span)).collect();
        assert_eq!(laps, [(0.0, 20.0), (20.0, 50.0), (50.0, 100.0)]);
    }

    #[test]
    fn a_final_stop_opens_no_pause() {
        let mut draft = draft(0..101);
        let events = [(0, true), (10, false), (11, false), (30, true), (100, false)];
        draft.timer = Some(events.iter().map(|&(s, on)| (s * TICKS_PER_SECOND, on)).collect());
        let recording = draft.finish().unwrap();
        let pauses: Vec<_> =
            recording.timer_pauses().unwrap().iter().copied().map(bounds).collect();
        assert_eq!(pauses, [(10.0, 30.0)]);
    }

    #[test]
    fn without_timer_events_nothing_is_known_of_pauses() {
        assert_eq!(draft(0..10).finish().unwrap().timer_pauses(), None);
    }

    #[test]
    fn a_time_years_later_is_no_time_of_this_recording() {
        let mut draft = draft(0..10);
        draft.push(Point::at(i64::MAX)).unwrap();
        let recording = draft.finish().unwrap();
        assert_eq!(recording.samples().len(), 10);
        assert_eq!(recording.repairs(), [Repair::TimelessDropped { count: 1 }]);
    }

    #[test]
    fn no_record_with_a_time_is_no_recording() {
        assert_eq!(draft(0..0).finish(), Err(ReadError::Timeless { format: Format::Csv }));
    }
}
