//! One recording out of two of the same device, one after the other.

use super::{Lap, Leg, Parts, Recording, Repair, Sample, Span};
use crate::units::{Distance, Seconds};

/// The first recording and the second after it, the time between them a pause; `None` where a clock
/// has no date or the second does not begin after the first ends.
pub fn joined(first: &Recording, second: &Recording) -> Option<Recording> {
    let apart = second.started_at()? - first.started_at()?;
    let shift_s = apart.num_microseconds()? as f64 / 1e6;
    let (end, begin) = (first.duration(), Seconds::from_s(shift_s).ok()?);
    if begin <= end {
        return None;
    }
    let before = first.clone().into_parts();
    let after = second.clone().into_parts();
    let run_m = before.samples.iter().rev().find_map(|s| s.distance).map_or(0.0, Distance::m);
    let from_m = after.samples.iter().find_map(|s| s.distance).map_or(0.0, Distance::m);
    let later = |time: Seconds| Seconds::from_s(time.s() + shift_s).ok();
    let span = |span: Span| Some(Span { from: later(span.from)?, to: later(span.to)? });
    let mut parts: Parts = before;
    for sample in after.samples {
        let on = |distance: Distance| Distance::from_m(run_m + distance.m() - from_m).ok();
        let distance = sample.distance.and_then(on);
        parts.samples.push(Sample { time: later(sample.time)?, distance, ..sample });
    }
    // a device that tells its pauses stood still in between
    if let Some(pauses) = &mut parts.timer_pauses {
        pauses.push(Span { from: end, to: begin });
        pauses.extend(after.timer_pauses.unwrap_or_default().into_iter().filter_map(span));
    }
    let laps = after.laps.into_iter();
    parts.laps.extend(laps.filter_map(|lap| Some(Lap { span: span(lap.span)?, ..lap })));
    let legs = after.legs.into_iter();
    parts.legs.extend(legs.filter_map(|leg| Some(Leg { span: span(leg.span)?, ..leg })));
    let repairs = after.repairs.into_iter();
    parts.repairs.extend(repairs.filter_map(|repair| moved(repair, &later)));
    parts.repairs.push(Repair::FilesJoined { count: 2, at: begin });
    Recording::from_parts(parts).ok()
}

/// A repair of the second recording at its place on the clock of both.
fn moved(repair: Repair, later: &impl Fn(Seconds) -> Option<Seconds>) -> Option<Repair> {
    Some(match repair {
        Repair::ClockSpike { at, ahead_s } => Repair::ClockSpike { at: later(at)?, ahead_s },
        Repair::TimesBackwards { count, at } => Repair::TimesBackwards { count, at: later(at)? },
        Repair::CounterRestarted { at } => Repair::CounterRestarted { at: later(at)? },
        Repair::Truncated { at } => Repair::Truncated { at: later(at)? },
        placeless => placeless,
    })
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;

    use super::*;
    use crate::recording::{Circumstances, Sport};

    fn minutes(start: i64, count: u32) -> Recording {
        let samples = (0..=60 * count).map(|second| Sample {
            time: Seconds::from_s(f64::from(second)).unwrap(),
            position: None,
            distance: Distance::from_m(4.0 * f64::from(second)).ok(),
            altitude: None,
            heart_rate: None,
            cadence: None,
        });
        Recording::from_parts(Parts {
            started_at: DateTime::from_timestamp(start, 0),
            sport: Sport::Running,
            circumstances: Circumstances::default(),
            samples: samples.collect(),
            timer_pauses: Some(Vec::new()),
            laps: Vec::new(),
            legs: Vec::new(),
            repairs: Vec::new(),
        })
        .unwrap()
    }

    #[test]
    fn two_halves_make_one_with_a_pause_between() {
        let whole = joined(&minutes(1_000, 10), &minutes(1_630, 10)).unwrap();
        assert!((whole.duration().s() - 1_230.0).abs() < 1e-9);
        let last = whole.samples().last().unwrap();
        assert!((last.distance.unwrap().m() - 4_800.0).abs() < 1e-9);
        let pauses = whole.timer_pauses().unwrap();
        assert!((pauses[0].from.s() - 600.0).abs() < 1e-9 && pauses.len() == 1);
        assert!((pauses[0].to.s() - 630.0).abs() < 1e-9);
    }

    #[test]
    fn recordings_that_overlap_are_not_joined() {
        assert_eq!(joined(&minutes(1_000, 10), &minutes(1_300, 10)), None);
        assert_eq!(joined(&minutes(1_630, 10), &minutes(1_000, 10)), None);
    }
}
