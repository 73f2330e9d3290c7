//! What a check says about an effort, a test or a set of markers. The sentence for a remark is made
//! by [`crate::words::remark`]; a remark itself holds only what was seen, with its number and place.

use serde::{Deserialize, Serialize};

use crate::markers::MarkerName;
use crate::physiology::conditions::Unlike;
use crate::recording::Span;
use crate::units::Origin;

/// How much a remark weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; changes nothing.
    Note,
    /// The coach should look before it counts.
    Check,
    /// The number it bears on cannot be used.
    Spoils,
}

/// Which number of the test a remark bears on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BearsOn {
    /// The mean speed.
    Speed,
    /// The mean heart rate.
    HeartRate,
}

/// The stable name of a kind of remark, for scripts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "each variant is its own documented name in a promised list")]
pub enum Code {
    Length,
    Pause,
    AllOut,
    GpsJump,
    DistanceSource,
    HeartRateMissing,
    HeartRateImplausible,
    HeartRateStep,
    HeartRateDropout,
    HeartRateFlat,
    CadenceLock,
    HeartRateLag,
    Pacing,
    FinishSprint,
    TargetMissed,
    TargetUnknown,
    Drift,
    Slope,
    Conditions,
    Heat,
    Wind,
    Altitude,
    Treadmill,
    Sensor,
    Clock,
    Parts,
    SecondRecording,
    Truncated,
    Checksum,
    Sport,
    Duplicate,
    MarkersOrder,
    MarkersApart,
    CriticalSpeed,
    HeartRateMax,
    Medication,
    Screening,
    FirstAttempt,
    Extrapolated,
}

/// What was seen, with its numbers. Units stand in the field names; shares are of 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Finding {
    /// The recording is a little shorter than the test and was taken whole.
    TakenShort {
        /// How much is missing, in seconds.
        missing_s: f64,
    },
    /// Every window of the test's length holds a pause.
    PauseInside {
        /// The longest pause inside, in seconds.
        longest_s: f64,
    },
    /// The recording holds pauses outside the effort.
    PausesElsewhere {
        /// How many.
        count: usize,
        /// The longest, in seconds.
        longest_s: f64,
    },
    /// The window only avoids a pause; the test was likely run across it.
    PauseAvoided {
        /// Length of the pause, in seconds.
        length_s: f64,
    },
    /// The minute beside the window was run nearly as fast.
    NotAllOut {
        /// Speed of the faster neighbouring minute over the window's, of 1.
        neighbour_share: f64,
    },
    /// Position jumps were bridged before the search.
    JumpsBridged {
        /// How many.
        count: usize,
        /// The largest, in metres.
        largest_m: f64,
    },
    /// Positions jumped, but the distance used does not come from them.
    PositionsJumped {
        /// How many times.
        count: usize,
        /// The largest, in metres.
        largest_m: f64,
    },
    /// The distance was typed, or is that of a measured course or treadmill.
    DistanceEntered {
        /// What the recording itself says, in metres.
        recorded_m: Option<f64>,
        /// By what share the entered distance is longer than that (negative: shorter).
        longer_by: Option<f64>,
    },
    /// A distance was measured for another stretch than the effort, and does not count for it.
    MeasuredElsewhere {
        /// What was measured, in metres.
        measured_m: f64,
        /// Where the stretch begins that it was measured for, in seconds.
        from_s: f64,
        /// Where that stretch ends, in seconds.
        to_s: f64,
        /// Whether the recording holds a distance of its own, which counts instead.
        recorded: bool,
    },
    /// The distance was measured from positions, not by the device.
    DistanceFromPositions,
    /// Neither device distance nor positions.
    NoDistance,
    /// Faster than any human has run for that long.
    ImpossibleSpeed {
        /// The mean speed, in metres per second.
        speed_m_per_s: f64,
    },
    /// Heart rate is missing for part of the effort or all of it.
    HeartRateMissing {
        /// Share of the effort with a trustworthy heart rate.
        present_share: f64,
    },
    /// Values no heart has.
    HeartRateImplausible {
        /// The one furthest out, in beats per minute.
        worst_bpm: f64,
    },
    /// A step sharper than any heart's.
    HeartRateStep {
        /// Its height, in beats per minute; negative for a fall.
        by_bpm: f64,
    },
    /// A sharp fall that came back; the stretch is left out of the mean.
    HeartRateDropout {
        /// Its depth, in beats per minute.
        by_bpm: f64,
        /// How long it lasted, in seconds.
        lasted_s: f64,
    },
    /// One and the same value; from 90 s on the stretch is left out of the mean.
    HeartRateFlat {
        /// How long, in seconds.
        lasted_s: f64,
    },
    /// The sensor seems to have counted steps for beats.
    CadenceLock {
        /// Steps a minute meanwhile.
        steps_per_minute: f64,
        /// How long, in seconds.
        lasted_s: f64,
        /// Whether the stretch is left out of the mean: more speaks for it than agreement.
        left_out: bool,
    },
    /// The heart lags behind the work: the mean without the first three minutes.
    HeartRateLag {
        /// That mean, in beats per minute.
        settled_bpm: f64,
        /// By how much it is higher than the mean over the whole effort, in beats per minute.
        by_bpm: f64,
    },
    /// Part of the window was walked or jogged: it is not one effort.
    TwoSpeeds {
        /// The test's length, in minutes.
        minutes: u32,
        /// Speed of the slower side over the faster, of 1.
        slow_share: f64,
        /// How long the slower side lasted, in seconds.
        slow_s: f64,
        /// Whether the slower side came first.
        slow_first: bool,
    },
    /// Minute splits vary.
    UnevenPace {
        /// Their coefficient of variation, of 1.
        variation: f64,
        /// Speeds of the four quarters over the mean, of 1.
        quarters: Vec<f64>,
    },
    /// The end was run much faster than the rest.
    FinishSprint {
        /// By how much, of 1.
        faster_by: f64,
    },
    /// The ground was not level.
    Slope {
        /// The speed on level ground that costs the same, in metres per second.
        flat_m_per_s: f64,
        /// By how much that is faster than what was run (negative: slower), of 1.
        by: f64,
    },
    /// Run at a height that costs speed.
    HighAltitude {
        /// Mean height, in metres.
        above_sea_m: f64,
    },
    /// Run on a treadmill or otherwise indoors.
    Treadmill {
        /// Whether its speed, or the distance, was typed.
        speed_typed: bool,
    },
    /// A 40-minute run was near its target for only part of the time.
    TimeOffTarget {
        /// Share of the time within 3 beats of the target, of 1.
        on_target_share: f64,
    },
    /// The second half of a 40-minute run was slower at its heart rate than the first.
    Fade {
        /// By how much slower, of 1.
        slower_by: f64,
        /// What the loss of speed and the rise of heart rate are worth together, in beats per minute.
        worth_bpm: f64,
        /// Change of speed per beat, second half against first, of 1, where there is heart rate.
        speed_per_beat: Option<f64>,
    },
    /// There is another recording of the same effort.
    SecondRecording {
        /// Whether this one is kept.
        kept: bool,
        /// Why, to be read after "because".
        because: String,
    },
    /// There is another recording of the same effort, and neither is set aside: it counts twice.
    SecondRecordingStands,
    /// The test stood in several files, which were joined.
    FilesJoined {
        /// How many.
        count: usize,
    },
    /// No LT1 heart rate was known when a 40-minute test was run.
    NoTarget,
    /// The same on rate-lowering medication: there is none to be had.
    NoTargetOnMedication,
    /// Run in heat that costs speed.
    Heat {
        /// Wet-bulb globe temperature, in degrees Celsius.
        wet_bulb_globe_degrees: f64,
        /// Whether it was estimated from the air's temperature and humidity.
        estimated: bool,
    },
    /// A 40-minute run was not held at its target.
    OffTarget {
        /// Mean heart rate minus target, in beats per minute.
        by_bpm: f64,
        /// How much faster (negative: slower) that likely made the run, in seconds per kilometre.
        pace_effect_s_per_km: f64,
    },
    /// A record's clock stood far ahead; it was removed.
    ClockSpike {
        /// How far ahead, in seconds.
        ahead_s: f64,
    },
    /// Records went back in time; they were dropped.
    ClockBackwards {
        /// How many.
        count: usize,
    },
    /// The clock has no date.
    ClockWithoutDate,
    /// Several recordings chained in one file; those that overlap in time were left out.
    ChainedParts {
        /// How many.
        count: usize,
    },
    /// The file is cut off.
    CutOff,
    /// The file's checksum is wrong.
    WrongChecksum,
    /// Another sport than running.
    AnotherSport {
        /// Its plain name.
        name: String,
    },
    /// Markers are out of their order, or too close to tell their zones apart.
    MarkersOutOfOrder {
        /// Which two, by their words on screen: "the floor", "LT1".
        lower: MarkerName,
        /// The one that should stand above.
        upper: MarkerName,
    },
    /// Critical speed from the 5- and 20-minute tests, where they contradict each other.
    TestsContradict {
        /// 5-minute speed over 20-minute speed, of 1.
        ratio: f64,
    },
    /// Critical speed disagrees with LT2 by more than their errors.
    CriticalSpeedApart {
        /// Critical speed, in metres per second.
        critical_speed_m_per_s: f64,
    },
    /// The maximal heart rate is not known but estimated.
    HeartRateMaxEstimated {
        /// The estimate, in beats per minute.
        bpm: f64,
        /// From the 20-minute test's mean; otherwise from age.
        from_test: bool,
    },
    /// The floor's heart rate came too near LT1 (or no maximum was known): estimated from LT1.
    FloorFromLt1 {
        /// The floor the library's method would have given, in beats per minute.
        by_method_bpm: Option<f64>,
    },
    /// The library takes the floor from the heart-rate reserve, and the resting heart rate is not known:
    /// estimated from LT1.
    RestingHeartRateUnknown,
    /// The maximal heart rate is below a heart rate held in a test.
    HeartRateMaxTooLow {
        /// The maximum given, in beats per minute.
        maximum_bpm: f64,
        /// What was held, in beats per minute.
        held_bpm: f64,
    },
    /// A wrist sensor's heart rate sets no LT2 heart rate until the coach says so.
    WristSensor,
    /// Rate-lowering medication: no heart-rate zones.
    RateLoweringMedication,
    /// A first 5-minute test is practice.
    FirstFiveMinutes,
    /// A 40-minute run was held off the LT1 heart rate that holds now.
    HeldApartFromLt1 {
        /// Held minus LT1, in beats per minute.
        by_bpm: f64,
        /// LT1 heart rate, in beats per minute: two may be spoken of, in force and offered.
        lt1_bpm: f64,
    },
    /// LT2 heart rate at a share of the maximum where hardly anyone's stands.
    UnlikelyShareOfMaximum {
        /// LT2 over HRmax, of 1.
        share: f64,
    },
    /// Two tested markers lie closer or wider than nearly all runners'.
    UnusualSpacing {
        /// Which two, by their words on screen.
        lower: MarkerName,
        /// The faster one.
        upper: MarkerName,
        /// What the slower stands on: a test, a race by rule, or a laboratory.
        lower_origin: Origin,
        /// What the faster one stands on.
        upper_origin: Origin,
        /// Slower over faster speed, of 1.
        ratio: f64,
        /// The published mean of it.
        usual: f64,
    },
    /// The tests behind one set of zones lie far apart.
    TestsFarApart {
        /// From the oldest to the newest, in days.
        days: i64,
    },
    /// The tests behind one set of zones were run in unlike conditions.
    TestsUnlike {
        /// In what.
        how: Unlike,
    },
    /// Published figures of adults were used for somebody younger.
    AdultFigures {
        /// Age, in years.
        age_years: f64,
    },
    /// The 40-minute tests speak for a lower factor from LT2 to LT1 heart rate.
    LowerFactorOffered {
        /// The factor to consider.
        factor: f64,
    },
}

/// One thing a check says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Remark {
    /// What was seen.
    pub finding: Finding,
    /// How much it weighs.
    pub severity: Severity,
    /// Which number it bears on, where it bears on one.
    pub bears_on: Option<BearsOn>,
    /// Where in the recording, where it has a place.
    pub span: Option<Span>,
}

impl Finding {
    /// The stable name of its kind.
    pub fn code(&self) -> Code {
        match self {
            Self::TakenShort { .. } => Code::Length,
            Self::PauseInside { .. } | Self::PausesElsewhere { .. } | Self::PauseAvoided { .. } => {
                Code::Pause
            }
            Self::NotAllOut { .. } => Code::AllOut,
            Self::JumpsBridged { .. } | Self::PositionsJumped { .. } => Code::GpsJump,
            Self::DistanceFromPositions
            | Self::DistanceEntered { .. }
            | Self::MeasuredElsewhere { .. }
            | Self::NoDistance
            | Self::ImpossibleSpeed { .. } => Code::DistanceSource,
            Self::HeartRateMissing { .. } => Code::HeartRateMissing,
            Self::HeartRateImplausible { .. } => Code::HeartRateImplausible,
            Self::HeartRateStep { .. } => Code::HeartRateStep,
            Self::HeartRateDropout { .. } => Code::HeartRateDropout,
            Self::HeartRateFlat { .. } => Code::HeartRateFlat,
            Self::CadenceLock { .. } => Code::CadenceLock,
            Self::HeartRateLag { .. } => Code::HeartRateLag,
            Self::UnevenPace { .. } | Self::TwoSpeeds { .. } => Code::Pacing,
            Self::FinishSprint { .. } => Code::FinishSprint,
            Self::Slope { .. } => Code::Slope,
            Self::HighAltitude { .. } => Code::Altitude,
            Self::Treadmill { .. } => Code::Treadmill,
            Self::Fade { .. } | Self::LowerFactorOffered { .. } => Code::Drift,
            Self::SecondRecording { .. } | Self::SecondRecordingStands => Code::SecondRecording,
            Self::OffTarget { .. } | Self::HeldApartFromLt1 { .. } | Self::TimeOffTarget { .. } => {
                Code::TargetMissed
            }
            Self::NoTarget | Self::NoTargetOnMedication => Code::TargetUnknown,
            Self::Heat { .. } => Code::Heat,
            Self::ClockSpike { .. } | Self::ClockBackwards { .. } | Self::ClockWithoutDate => {
                Code::Clock
            }
            Self::ChainedParts { .. } | Self::FilesJoined { .. } => Code::Parts,
            Self::CutOff => Code::Truncated,
            Self::WrongChecksum => Code::Checksum,
            Self::AnotherSport { .. } => Code::Sport,
            Self::MarkersOutOfOrder { .. } | Self::UnusualSpacing { .. } => Code::MarkersOrder,
            Self::TestsContradict { .. } | Self::CriticalSpeedApart { .. } => Code::CriticalSpeed,
            Self::HeartRateMaxEstimated { .. }
            | Self::FloorFromLt1 { .. }
            | Self::RestingHeartRateUnknown
            | Self::HeartRateMaxTooLow { .. }
            | Self::UnlikelyShareOfMaximum { .. } => Code::HeartRateMax,
            Self::WristSensor => Code::Sensor,
            Self::RateLoweringMedication => Code::Medication,
            Self::FirstFiveMinutes => Code::FirstAttempt,
            Self::TestsFarApart { .. } => Code::MarkersApart,
            Self::TestsUnlike { .. } => Code::Conditions,
            Self::AdultFigures { .. } => Code::Extrapolated,
        }
    }

    /// Its main number, as scripts read it, in the unit its field names.
    pub fn value(&self) -> Option<f64> {
        match *self {
            Self::TakenShort { missing_s } => Some(missing_s),
            Self::PauseInside { longest_s } | Self::PausesElsewhere { longest_s, .. } => {
                Some(longest_s)
            }
            Self::NotAllOut { neighbour_share } => Some(neighbour_share),
            Self::JumpsBridged { largest_m, .. } | Self::PositionsJumped { largest_m, .. } => {
                Some(largest_m)
            }
            Self::PauseAvoided { length_s } => Some(length_s),
            Self::DistanceEntered { longer_by, .. } => longer_by,
            Self::MeasuredElsewhere { measured_m, .. } => Some(measured_m),
            Self::HeartRateImplausible { worst_bpm } => Some(worst_bpm),
            Self::HeartRateStep { by_bpm }
            | Self::HeartRateDropout { by_bpm, .. }
            | Self::OffTarget { by_bpm, .. }
            | Self::HeldApartFromLt1 { by_bpm, .. } => Some(by_bpm),
            Self::HeartRateFlat { lasted_s } | Self::CadenceLock { lasted_s, .. } => Some(lasted_s),
            Self::HeartRateLag { settled_bpm, .. } => Some(settled_bpm),
            Self::UnevenPace { variation, .. } => Some(variation),
            Self::TwoSpeeds { slow_share, .. } => Some(slow_share),
            Self::FinishSprint { faster_by } => Some(faster_by),
            Self::Heat { wet_bulb_globe_degrees, .. } => Some(wet_bulb_globe_degrees),
            Self::Slope { by, .. } => Some(by),
            Self::HighAltitude { above_sea_m } => Some(above_sea_m),
            Self::TimeOffTarget { on_target_share } => Some(on_target_share),
            Self::Fade { slower_by, .. } => Some(slower_by),
            Self::ImpossibleSpeed { speed_m_per_s } => Some(speed_m_per_s),
            Self::HeartRateMissing { present_share } => Some(present_share),
            Self::ClockSpike { ahead_s } => Some(ahead_s),
            Self::ClockBackwards { count }
            | Self::ChainedParts { count }
            | Self::FilesJoined { count } => Some(count as f64),
            Self::TestsContradict { ratio } | Self::UnusualSpacing { ratio, .. } => Some(ratio),
            Self::CriticalSpeedApart { critical_speed_m_per_s } => Some(critical_speed_m_per_s),
            Self::HeartRateMaxEstimated { bpm, .. } => Some(bpm),
            Self::FloorFromLt1 { by_method_bpm } => by_method_bpm,
            Self::HeartRateMaxTooLow { maximum_bpm, .. } => Some(maximum_bpm),
            Self::UnlikelyShareOfMaximum { share } => Some(share),
            Self::TestsFarApart { days } => Some(days as f64),
            Self::AdultFigures { age_years } => Some(age_years),
            Self::LowerFactorOffered { factor } => Some(factor),
            Self::DistanceFromPositions
            | Self::NoDistance
            | Self::Treadmill { .. }
            | Self::SecondRecording { .. }
            | Self::SecondRecordingStands
            | Self::ClockWithoutDate
            | Self::CutOff
            | Self::WrongChecksum
            | Self::AnotherSport { .. }
            | Self::MarkersOutOfOrder { .. }
            | Self::RestingHeartRateUnknown
            | Self::WristSensor
            | Self::RateLoweringMedication
            | Self::FirstFiveMinutes
            | Self::NoTarget
            | Self::NoTargetOnMedication
            | Self::TestsUnlike { .. } => None,
        }
    }
}

impl Remark {
    /// A remark of a severity that bears on one number.
    pub fn new(finding: Finding, severity: Severity, bears_on: impl Into<Option<BearsOn>>) -> Self {
        Self { finding, severity, bears_on: bears_on.into(), span: None }
    }

    /// The same remark with its place.
    #[must_use]
    pub fn at(mut self, span: Span) -> Self {
        self.span = Some(span);
        self
    }
}

/// What an effort is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Use {
    /// Nothing but notes.
    Usable,
    /// Something to look at first, or its heart rate is spoiled.
    Doubtful,
    /// No effort, or its speed is spoiled.
    Unusable,
}

/// The worst that remarks say of one of the numbers; what bears on neither alone counts for both. `None`
/// where nothing is said of it.
pub fn worst(remarks: &[Remark], on: BearsOn) -> Option<Severity> {
    let bears = |remark: &&Remark| remark.bears_on.is_none_or(|bears_on| bears_on == on);
    remarks.iter().filter(bears).map(|remark| remark.severity).max()
}

impl Use {
    /// The one rule: unusable where a remark spoils the speed; doubtful on any check or where the
    /// heart rate is spoiled; usable otherwise. (No effort at all is unusable too.)
    pub fn of(remarks: &[Remark]) -> Self {
        let spoils_speed =
            |r: &Remark| r.severity == Severity::Spoils && r.bears_on != Some(BearsOn::HeartRate);
        if remarks.iter().any(spoils_speed) {
            Self::Unusable
        } else if remarks.iter().any(|r| r.severity >= Severity::Check) {
            Self::Doubtful
        } else {
            Self::Usable
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(severity: Severity, bears_on: BearsOn) -> Use {
        Use::of(&[Remark::new(Finding::CutOff, severity, bears_on)])
    }

    #[test]
    fn use_follows_from_the_worst_remark() {
        assert_eq!(Use::of(&[]), Use::Usable);
        assert_eq!(of(Severity::Note, BearsOn::Speed), Use::Usable);
        assert_eq!(of(Severity::Check, BearsOn::HeartRate), Use::Doubtful);
        assert_eq!(of(Severity::Spoils, BearsOn::HeartRate), Use::Doubtful);
        assert_eq!(of(Severity::Spoils, BearsOn::Speed), Use::Unusable);
    }
}
