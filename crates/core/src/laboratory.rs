//! Laboratory values: a marker measured by somebody else's protocol.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, LaboratoryId};
use crate::markers::MarkerName;
use crate::units::{HeartRate, Speed};

/// How a laboratory finds a threshold; it decides what the value may be used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Protocol {
    /// Steps with blood lactate: LT2 is a lactate threshold or steady state.
    Lactate,
    /// Gas exchange: LT2 is the second ventilatory threshold, about 6 beats above a lactate steady
    /// state; LT1 heart rate is then 0.910 of it, not 0.95.
    GasExchange,
    /// Anything else, said in the notes.
    Other,
}

/// A marker as a laboratory gave it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaboratoryValue {
    /// Identity in the library.
    pub id: LaboratoryId,
    /// Whose.
    pub athlete: AthleteId,
    /// When it was measured.
    pub on: NaiveDate,
    /// Which marker.
    pub marker: MarkerName,
    /// Its speed.
    pub speed: Option<Speed>,
    /// Its heart rate.
    pub heart_rate: Option<HeartRate>,
    /// How it was found.
    pub protocol: Protocol,
    /// Treadmill or track, stages, definition: in the laboratory's own words.
    pub notes: String,
}
