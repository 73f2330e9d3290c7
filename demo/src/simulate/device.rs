//! What the device saw of an outing, in the steps in which devices write.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use pacewright_core::recording::{
    Circumstances, Lap, LapTrigger, Parts, Recording, Sample, Span, Sport,
};
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, OutOfRange, Seconds};

use super::noise::{SmoothWander, Wander};
use super::outing::{Moment, Outing};
use super::{Fault, Run, SimulationError};

/// How often a device writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sampling {
    /// Once a second.
    EverySecond,
    /// Every 2 to 7 seconds, as it sees fit, and at each lap.
    Smart,
}

/// What marks the effort in the recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marks {
    /// The lap button at both ends.
    Lap,
    /// Nothing.
    None,
    /// The recording itself: started at the gun, stopped at the end.
    StartedAtTheGun,
}

/// What measures heart rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeartRateSensor {
    /// Nothing.
    None,
    /// A chest strap: about a beat of noise.
    Strap,
    /// An optical sensor at the wrist: slower wandering noise.
    Wrist,
}

/// What a device measures and how well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Device {
    /// How often it writes.
    pub sampling: Sampling,
    /// What marks the effort.
    pub marks: Marks,
    /// What measures heart rate.
    pub heart_rate: HeartRateSensor,
    /// Whether it writes its own distance.
    pub distance: bool,
    /// How much too long its own distance is, in per cent.
    pub distance_bias_percent: f64,
    /// Standard deviation of its position error in metres, each way; `None` writes no positions.
    pub position_noise_m: Option<f64>,
    /// Whether it writes altitude and cadence.
    pub altitude_and_cadence: bool,
    /// Whether it writes laps and says when its timer stood still.
    pub laps_and_pauses: bool,
}

impl Default for Device {
    fn default() -> Self {
        Self {
            sampling: Sampling::EverySecond,
            marks: Marks::Lap,
            heart_rate: HeartRateSensor::Strap,
            distance: true,
            distance_bias_percent: 0.0,
            position_noise_m: Some(2.5),
            altitude_and_cadence: true,
            laps_and_pauses: true,
        }
    }
}

/// The noises of all sensors, stepped once a second whether written or not.
struct Sensors {
    rng: ChaCha8Rng,
    heart_rate: Wander,
    east: SmoothWander,
    north: SmoothWander,
    height: SmoothWander,
    cadence: Wander,
}

impl Sensors {
    fn new(run: &Run) -> Self {
        // another stream of the same seed: what happened never depends on what was measured
        let mut rng = ChaCha8Rng::seed_from_u64(run.seed);
        rng.set_stream(1);
        let (beats, memory_s) = match run.device.heart_rate {
            HeartRateSensor::Strap | HeartRateSensor::None => (1.0, 4.0),
            HeartRateSensor::Wrist => (2.5, 25.0),
        };
        let position = run.device.position_noise_m.unwrap_or_default();
        Self {
            heart_rate: Wander::new(beats, memory_s, &mut rng),
            east: SmoothWander::new(position, 20.0, &mut rng),
            north: SmoothWander::new(position, 20.0, &mut rng),
            height: SmoothWander::new(0.6, 300.0, &mut rng),
            cadence: Wander::new(1.5, 10.0, &mut rng),
            rng,
        }
    }
}

/// The recording of an outing.
pub(super) fn record(run: &Run, outing: &Outing) -> Result<Recording, SimulationError> {
    let recorded = outing.recorded(run.device.marks);
    let (first, last) = (*recorded.start(), *recorded.end());
    let mut sensors = Sensors::new(run);
    let mut shown_bpm = None;
    let mut next = first;
    let mut samples = Vec::with_capacity(last + 1 - first);
    for second in recorded {
        let Some(moment) = outing.moments.get(second) else {
            break;
        };
        let seen = Seen {
            run,
            moment,
            since_start_s: (second - first) as f64,
            from_m: outing.moments.get(first).map_or(0.0, |start| start.distance_m),
            since_effort_s: second as f64 - *outing.effort.start() as f64,
        };
        let sample = seen.sample(&mut sensors, &mut shown_bpm)?;
        let edge =
            second == last || outing.effort.start() == &second || outing.effort.end() == &second;
        if seen.inside_pause() || (second < next && !edge) {
            continue;
        }
        samples.push(sample);
        next = second
            + match run.device.sampling {
                Sampling::EverySecond => 1,
                Sampling::Smart => sensors.rng.random_range(2..=7),
            };
    }
    let clock = |second: usize| Seconds::from_s(second.saturating_sub(first) as f64);
    let recording = Recording::from_parts(Parts {
        started_at: run.started_at,
        sport: Sport::Running,
        circumstances: Circumstances::default(),
        samples,
        timer_pauses: timer_pauses(run, *outing.effort.start() - first)?,
        laps: laps(
            run,
            [
                clock(first)?,
                clock(*outing.effort.start())?,
                clock(*outing.effort.end())?,
                clock(last)?,
            ],
        ),
        legs: Vec::new(),
        repairs: Vec::new(),
    })?;
    Ok(recording)
}

/// One second as the device sees it.
struct Seen<'a> {
    run: &'a Run,
    moment: &'a Moment,
    since_start_s: f64,
    from_m: f64,
    since_effort_s: f64,
}

impl Seen<'_> {
    /// Between stop and start of the timer; at both ends a sample is written.
    fn inside_pause(&self) -> bool {
        let paused =
            |at_s: f64| self.run.faults.iter().any(|fault| fault.is_pause() && fault.covers(at_s));
        paused(self.since_effort_s) && paused(self.since_effort_s - 1.0)
    }

    fn sample(
        &self,
        sensors: &mut Sensors,
        shown_bpm: &mut Option<f64>,
    ) -> Result<Sample, OutOfRange> {
        let device = &self.run.device;
        let Sensors { rng, heart_rate, east, north, height, cadence } = sensors;
        let beats = heart_rate.step(rng);
        let error_m = (east.step(rng) + self.jump_m(), north.step(rng));
        let height_m = self.run.course.height_m(self.moment.distance_m) + height.step(rng);
        let steps = self.steps_per_minute() + cadence.step(rng);
        let heart_rate = self.heart_rate(beats, steps, shown_bpm);
        let run_m =
            (self.moment.distance_m - self.from_m) * (1.0 + device.distance_bias_percent / 100.0);
        let tells = device.altitude_and_cadence;
        let position = device
            .position_noise_m
            .and_then(|_| self.run.course.position(self.moment.distance_m, error_m));
        Ok(Sample {
            time: Seconds::from_s(self.since_start_s)?,
            position,
            // centimetres, fifths of a metre above -500 m, whole strides: the steps devices write in
            distance: device
                .distance
                .then(|| Distance::from_m((run_m * 100.0).round() / 100.0))
                .transpose()?,
            altitude: tells
                .then(|| Altitude::from_m(((height_m + 500.0) * 5.0).round() / 5.0 - 500.0))
                .transpose()?,
            heart_rate: heart_rate.map(HeartRate::from_bpm).transpose()?,
            cadence: tells
                .then(|| Cadence::from_per_minute((steps / 2.0).round().max(0.0)))
                .transpose()?,
        })
    }

    /// Steps follow the work, not the ground: uphill they get shorter, not fewer.
    fn steps_per_minute(&self) -> f64 {
        let (runner, speed) = (&self.run.runner, self.moment.level_speed_m_per_s);
        if speed < 0.5 {
            return 0.0;
        }
        runner.cadence_per_minute + 9.0 * (speed - runner.twenty_minute_speed_m_per_s)
    }

    fn jump_m(&self) -> f64 {
        let jumps = self.run.faults.iter().filter(|fault| fault.covers(self.since_effort_s));
        jumps
            .map(|fault| if let Fault::PositionJump { by_m, .. } = fault { *by_m } else { 0.0 })
            .sum()
    }

    /// What the sensor shows, in whole beats; a working sensor never shows more than the heart can.
    fn heart_rate(&self, noise_bpm: f64, steps: f64, shown_bpm: &mut Option<f64>) -> Option<f64> {
        if self.run.device.heart_rate == HeartRateSensor::None {
            return None;
        }
        let highest = self.run.runner.max_heart_rate_bpm.floor();
        let true_bpm = (self.moment.heart_rate_bpm + noise_bpm).round().clamp(30.0, highest);
        let mut shows = Some(true_bpm);
        for fault in self.run.faults.iter().filter(|fault| fault.covers(self.since_effort_s)) {
            shows = match fault {
                Fault::HeartRateFall { by_bpm, .. } => Some((true_bpm - by_bpm).max(30.0)),
                Fault::HeartRateMissing { .. } => None,
                Fault::HeartRateFlat { .. } => *shown_bpm,
                Fault::CadenceLock { .. } => Some(steps.round().max(30.0)),
                Fault::Pause { .. } | Fault::PositionJump { .. } => shows,
            };
        }
        *shown_bpm = shows;
        shows
    }
}

fn timer_pauses(run: &Run, effort_s: usize) -> Result<Option<Vec<Span>>, OutOfRange> {
    if !run.device.laps_and_pauses {
        return Ok(None);
    }
    let mut pauses = Vec::new();
    for fault in &run.faults {
        let Fault::Pause { from_s, for_s } = fault else {
            continue;
        };
        let from = from_s.ceil() + effort_s as f64;
        // a pause before the recorder ran is not in its file
        if from >= 0.0 {
            let to = Seconds::from_s((from_s + for_s).ceil() + effort_s as f64)?;
            pauses.push(Span { from: Seconds::from_s(from)?, to });
        }
    }
    Ok(Some(pauses))
}

fn laps(run: &Run, [start, from, to, end]: [Seconds; 4]) -> Vec<Lap> {
    if !run.device.laps_and_pauses {
        return Vec::new();
    }
    let ends = match run.device.marks {
        Marks::Lap => {
            vec![(from, LapTrigger::Manual), (to, LapTrigger::Manual), (end, LapTrigger::End)]
        }
        Marks::None | Marks::StartedAtTheGun => vec![(end, LapTrigger::End)],
    };
    let mut laps = Vec::new();
    let mut begin = start;
    for (finish, trigger) in ends {
        if finish > begin {
            laps.push(Lap { span: Span { from: begin, to: finish }, trigger });
        }
        begin = finish;
    }
    laps
}
