//! A run as a sensor saw it, whatever file it came from, and what a reader mended on the way.

mod joined;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::athlete::Sensor;
use crate::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};

pub use joined::joined;

/// A stretch of the recording's elapsed clock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// Start, since the first kept sample.
    pub from: Seconds,
    /// End, since the first kept sample.
    pub to: Seconds,
}

impl Span {
    /// Its length in seconds (0 where the ends are crossed).
    pub fn length_s(self) -> f64 {
        (self.to.s() - self.from.s()).max(0.0)
    }
}

/// One moment of a recording. What the device did not give is `None`, never zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Since the first kept sample, on the elapsed clock: pauses included.
    pub time: Seconds,
    /// Where.
    pub position: Option<Position>,
    /// The device's own distance since the start, its counter's restarts already joined.
    pub distance: Option<Distance>,
    /// Height.
    pub altitude: Option<Altitude>,
    /// Heart rate as written; what is credible is judged by the checks.
    pub heart_rate: Option<HeartRate>,
    /// Steps or strides a minute, as written.
    pub cadence: Option<Cadence>,
}

/// What the device says was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Sport {
    /// Running, on any ground.
    Running,
    /// Another sport, by its plain name ("cycling").
    Other(String),
    /// Not said.
    Unknown,
}

/// What ended a lap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum LapTrigger {
    /// The athlete pressed the button.
    Manual,
    /// A set time.
    Time,
    /// A set distance (automatic laps).
    Distance,
    /// A place passed again (automatic laps).
    Place,
    /// The end of the recording or of a leg.
    End,
    /// A new track segment began (GPX).
    Segment,
    /// Not said.
    Unknown,
}

/// A lap as the device wrote it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lap {
    /// When.
    pub span: Span,
    /// What ended it.
    pub trigger: LapTrigger,
}

/// One leg of a recording with more than one sport.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Leg {
    /// When.
    pub span: Span,
    /// What was done.
    pub sport: Sport,
}

/// What the device says about how it measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Circumstances {
    /// Run on a treadmill or otherwise indoors.
    pub indoors: bool,
    /// What measured the heart rate, where the device says so.
    pub heart_rate_sensor: Option<Sensor>,
}

/// Something a reader mended or could not read. Readers report; only the checks judge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Repair {
    /// A record far ahead of both its neighbours was removed.
    ClockSpike {
        /// Where the neighbours stand.
        at: Seconds,
        /// How far ahead it was, in seconds.
        ahead_s: f64,
    },
    /// Records that went back in time were dropped.
    TimesBackwards {
        /// How many.
        count: usize,
        /// Where the first was.
        at: Seconds,
    },
    /// Records with the same time were merged into one, later values winning.
    EqualTimesMerged {
        /// How many were merged away.
        count: usize,
    },
    /// The clock has no date (set at the start of a session without one).
    NoDate,
    /// Records without a time were dropped.
    TimelessDropped {
        /// How many.
        count: usize,
    },
    /// The device's distance counter started again and was joined.
    CounterRestarted {
        /// Where.
        at: Seconds,
    },
    /// Cells that were no number, or no possible value, count as missing.
    CellsIgnored {
        /// How many.
        count: usize,
        /// The first one, as written ("heart_rate 999 on line 12").
        first: String,
    },
    /// The file ends in the middle of something; what stands before it was read.
    Truncated {
        /// The last time that could be read.
        at: Seconds,
    },
    /// The file's checksum does not match its content.
    ChecksumMismatch,
    /// Files of one device, one after the other, were joined.
    FilesJoined {
        /// How many.
        count: usize,
        /// Where the last one begins.
        at: Seconds,
    },
    /// The file holds several recordings one after the other.
    Parts {
        /// How many.
        count: usize,
    },
}

/// A run as a sensor saw it. Times strictly increase from zero; device distance never falls.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    started_at: Option<DateTime<Utc>>,
    sport: Sport,
    circumstances: Circumstances,
    samples: Vec<Sample>,
    timer_pauses: Option<Vec<Span>>,
    laps: Vec<Lap>,
    legs: Vec<Leg>,
    repairs: Vec<Repair>,
}

/// What a [`Recording`] is made of, before it is checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Parts {
    /// Date and time of the first sample, where the clock has a date.
    pub started_at: Option<DateTime<Utc>>,
    /// What was done; with several legs, that of the first.
    pub sport: Sport,
    /// What the device says about how it measured.
    pub circumstances: Circumstances,
    /// At least one; times strictly increasing from zero; distances never falling.
    pub samples: Vec<Sample>,
    /// Where the device says its timer stood still; `None` where it does not tell.
    pub timer_pauses: Option<Vec<Span>>,
    /// Laps in order.
    pub laps: Vec<Lap>,
    /// Legs in order; empty where there is only one.
    pub legs: Vec<Leg>,
    /// What was mended.
    pub repairs: Vec<Repair>,
}

/// Why parts are no recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotARecording {
    /// No sample at all.
    #[error("it holds no sample with a time")]
    Empty,
    /// The first time is not zero, or a time does not come after the one before.
    #[error("its times do not increase at sample {0}")]
    Times(usize),
    /// The device's distance falls.
    #[error("its distance falls at sample {0}")]
    Distance(usize),
}

impl Recording {
    /// A recording from its parts.
    ///
    /// # Errors
    /// No sample; times not strictly increasing from zero; a falling distance.
    pub fn from_parts(parts: Parts) -> Result<Self, NotARecording> {
        let first = parts.samples.first().ok_or(NotARecording::Empty)?;
        if first.time.s() > 0.0 {
            return Err(NotARecording::Times(0));
        }
        let mut reached = first.distance;
        for (index, pair) in parts.samples.windows(2).enumerate() {
            let [before, after] = pair else { continue };
            if after.time <= before.time {
                return Err(NotARecording::Times(index + 1));
            }
            if let (Some(old), Some(new)) = (reached, after.distance)
                && new < old
            {
                return Err(NotARecording::Distance(index + 1));
            }
            reached = after.distance.or(reached);
        }
        let Parts { started_at, sport, circumstances, samples, timer_pauses, laps, legs, repairs } =
            parts;
        Ok(Self { started_at, sport, circumstances, samples, timer_pauses, laps, legs, repairs })
    }

    /// The parts again, to change and check anew.
    pub fn into_parts(self) -> Parts {
        let Self { started_at, sport, circumstances, samples, timer_pauses, laps, legs, repairs } =
            self;
        Parts { started_at, sport, circumstances, samples, timer_pauses, laps, legs, repairs }
    }

    /// Date and time of the first sample, where the clock has a date.
    pub fn started_at(&self) -> Option<DateTime<Utc>> {
        self.started_at
    }

    /// What the device says was done.
    pub fn sport(&self) -> &Sport {
        &self.sport
    }

    /// What the device says about how it measured.
    pub fn circumstances(&self) -> Circumstances {
        self.circumstances
    }

    /// The samples, at least one, times strictly increasing from zero.
    pub fn samples(&self) -> &[Sample] {
        &self.samples
    }

    /// Where the device's timer stood still; `None` where the device does not tell.
    pub fn timer_pauses(&self) -> Option<&[Span]> {
        self.timer_pauses.as_deref()
    }

    /// Laps in order.
    pub fn laps(&self) -> &[Lap] {
        &self.laps
    }

    /// Legs in order; empty where there is only one.
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// What was mended while reading.
    pub fn repairs(&self) -> &[Repair] {
        &self.repairs
    }

    /// From the first sample to the last, on the elapsed clock.
    pub fn duration(&self) -> Seconds {
        // never empty: checked when made
        self.samples.last().map_or(self.samples[0].time, |last| last.time)
    }
}
