//! What is known of a run from elsewhere than its recording.

use crate::athlete::Sensor;
use crate::course::MeasuredEffort;
use crate::units::HeartRate;

/// What is known of a run from elsewhere than its recording.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Known {
    /// The target of a 40-minute test.
    pub target: Option<HeartRate>,
    /// Whether medication lowers the heart rate that day: no heart rate is a target then.
    pub medicated: bool,
    /// What measures the athlete's heart rate.
    pub sensor: Option<Sensor>,
    /// How far the effort went, as somebody measured it; overrides the recording where it counts.
    pub measured: Option<MeasuredEffort>,
}
