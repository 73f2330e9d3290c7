//! A simulator of test runs with a truth of its own.
//!
//! It never calls the program's estimators: an athlete here has a power law of endurance, a straight
//! line from speed to heart rate, first-order kinetics and a slow drift; a device sees all that
//! through noise. So the program's answers can be held against what was really run.
//!
//! Two layers: the *outing* is what happened, second by second; the *device* writes down what it
//! saw of it. A run is fixed by its values and its seed: the same inputs give the same bytes.

mod course;
mod device;
mod effort;
mod heart;
mod noise;
mod outing;

pub use course::Course;
pub use device::{Device, HeartRateSensor, Marks, Sampling};
pub use effort::{Effort, Pacing};

use chrono::{DateTime, Utc};
use pacewright_core::recording::{NotARecording, Recording, Span};
use pacewright_core::units::{Distance, HeartRate, OutOfRange, Seconds};

pub(crate) use noise::normal;

use outing::Outing;

/// The truth about a runner on one day; units stand in the names, ratios are of 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Runner {
    /// Mean speed of an all-out run of 20 minutes on level ground, in good ordinary form.
    pub twenty_minute_speed_m_per_s: f64,
    /// Exponent of the power law time = constant x distance^exponent; 1.04 to 1.12.
    pub endurance_exponent: f64,
    /// The highest heart rate this runner can reach.
    pub max_heart_rate_bpm: f64,
    /// Heart rate at rest.
    pub resting_heart_rate_bpm: f64,
    /// Rise of steady heart rate with speed; 24 (SD 8) in Hunt, Fankhauser and Saengsuwan,
    /// `BioMed` Eng `OnLine` 2015;14:117, doi 10.1186/s12938-015-0112-7.
    pub gain_bpm_per_m_per_s: f64,
    /// Time constant of heart rate; 57.6 (SD 23.6) in the same source.
    pub time_constant_s: f64,
    /// Mean heart rate of a 20-minute all-out run as a share of the highest.
    pub twenty_minute_heart_rate_share: f64,
    /// Steps a minute at the 20-minute speed.
    pub cadence_per_minute: f64,
}

impl Runner {
    /// Mean speed in metres per second of an all-out run of so many seconds, by the power law.
    pub(crate) fn all_out_speed(&self, length_s: f64) -> f64 {
        let power = 1.0 / self.endurance_exponent - 1.0;
        self.twenty_minute_speed_m_per_s * (length_s / 1_200.0).powf(power)
    }
}

/// How this day differs from an ordinary one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DayForm {
    /// Speed of an all-out effort against ordinary, in per cent.
    pub speed_percent: f64,
    /// Heart rate at any speed against ordinary.
    pub heart_rate_bpm: f64,
}

/// What went wrong; times count from the start of the effort (negative: in the warm-up).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fault {
    /// The runner stood and the device's timer was stopped.
    Pause {
        /// When, in seconds.
        from_s: f64,
        /// How long, in seconds.
        for_s: f64,
    },
    /// Positions stood off to one side.
    PositionJump {
        /// When, in seconds.
        from_s: f64,
        /// How long, in seconds.
        for_s: f64,
        /// How far, in metres.
        by_m: f64,
    },
    /// The sensor showed too low a heart rate.
    HeartRateFall {
        /// When, in seconds.
        from_s: f64,
        /// How long, in seconds.
        for_s: f64,
        /// By how much, in beats per minute.
        by_bpm: f64,
    },
    /// The sensor gave nothing.
    HeartRateMissing {
        /// When, in seconds.
        from_s: f64,
        /// How long, in seconds.
        for_s: f64,
    },
    /// The sensor repeated its last value.
    HeartRateFlat {
        /// When, in seconds.
        from_s: f64,
        /// How long, in seconds.
        for_s: f64,
    },
    /// The sensor counted steps for beats.
    CadenceLock {
        /// When, in seconds.
        from_s: f64,
        /// How long, in seconds.
        for_s: f64,
    },
}

impl Fault {
    fn covers(&self, since_effort_s: f64) -> bool {
        let (Self::Pause { from_s, for_s }
        | Self::PositionJump { from_s, for_s, .. }
        | Self::HeartRateFall { from_s, for_s, .. }
        | Self::HeartRateMissing { from_s, for_s }
        | Self::HeartRateFlat { from_s, for_s }
        | Self::CadenceLock { from_s, for_s }) = *self;
        (from_s..from_s + for_s).contains(&since_effort_s)
    }

    fn is_pause(&self) -> bool {
        matches!(self, Self::Pause { .. })
    }
}

/// One run to simulate: warm-up, effort, cool-down, on a course, seen by a device.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Who runs.
    pub runner: Runner,
    /// How the day differs.
    pub form: DayForm,
    /// What is run between warm-up and cool-down.
    pub effort: Effort,
    /// Length of the warm-up in whole seconds; a stroll to the line is its last part.
    pub warm_up_s: u16,
    /// Length in whole seconds of the stroll on both sides of the effort; 0 runs straight into it.
    pub stroll_s: u16,
    /// Speed of the easy running around the effort, as a share of the 20-minute speed.
    pub easy_share: f64,
    /// Strides of 15 s, a minute and a half apart, at the end of the warm-up, faster than the effort.
    pub strides: u16,
    /// Length of the cool-down in whole seconds.
    pub cool_down_s: u16,
    /// Where.
    pub course: Course,
    /// What writes it down.
    pub device: Device,
    /// What went wrong.
    pub faults: Vec<Fault>,
    /// Date and time of the first sample, for a device with a clock.
    pub started_at: Option<DateTime<Utc>>,
    /// Fixes all noise.
    pub seed: u64,
}

/// What really happened in the effort.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Truth {
    /// When, on the recording's elapsed clock.
    pub effort: Span,
    /// How far over ground.
    pub distance: Distance,
    /// How far the same effort would have gone on level ground.
    pub level_distance: Distance,
    /// The heart's own mean rate over the effort, sensor faults apart.
    pub mean_heart_rate: HeartRate,
}

/// A recording and the truth behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulated {
    /// What the device wrote.
    pub recording: Recording,
    /// What happened.
    pub truth: Truth,
}

/// Why a run cannot be simulated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SimulationError {
    /// A parameter leads to a value no quantity can hold.
    #[error("the run to simulate leads to an impossible value: {0}")]
    OutOfRange(#[from] OutOfRange),
    /// The device kept nothing that is a recording.
    #[error("the run to simulate gives no recording: {0}")]
    NotARecording(#[from] NotARecording),
}

impl Run {
    /// A plain run: ordinary form, 15 minutes of warm-up, 8 of cool-down, on the track, every
    /// second and the effort's lap recorded, no fault.
    pub fn new(runner: Runner, effort: Effort, seed: u64) -> Self {
        Self {
            runner,
            form: DayForm::default(),
            effort,
            warm_up_s: 900,
            stroll_s: 40,
            easy_share: 0.58,
            strides: 0,
            cool_down_s: 480,
            course: Course::track(),
            device: Device::default(),
            faults: Vec::new(),
            started_at: None,
            seed,
        }
    }

    /// The recording and the truth behind it.
    ///
    /// # Errors
    /// Parameters so far from a human run that a quantity cannot hold the outcome, or an effort of
    /// no length recorded alone.
    pub fn simulate(&self) -> Result<Simulated, SimulationError> {
        let outing = Outing::of(self);
        let recording = device::record(self, &outing)?;
        Ok(Simulated { recording, truth: self.truth_of(&outing)? })
    }

    /// The truth alone, for a fifth of the work.
    ///
    /// # Errors
    /// As [`Run::simulate`], but for the recording.
    pub fn truth(&self) -> Result<Truth, SimulationError> {
        self.truth_of(&Outing::of(self))
    }

    fn truth_of(&self, outing: &Outing) -> Result<Truth, SimulationError> {
        let recorded = outing.recorded(self.device.marks);
        let effort = outing.effort.clone();
        let first = *recorded.start();
        let ends = [effort.start() - first, effort.end() - first];
        let [from, to] = ends.map(|second| Seconds::from_s(second as f64));
        let (start, end) = outing.effort_ends();
        Ok(Truth {
            effort: Span { from: from?, to: to? },
            distance: Distance::from_m(end.distance_m - start.distance_m)?,
            level_distance: Distance::from_m(end.level_distance_m - start.level_distance_m)?,
            mean_heart_rate: HeartRate::from_bpm(outing.mean_heart_rate_bpm())?,
        })
    }
}

#[cfg(test)]
mod tests;
