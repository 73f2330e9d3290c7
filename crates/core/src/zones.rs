//! The ordered intensities between the markers.

use serde::{Deserialize, Serialize};

use crate::units::Speed;

mod derive;
mod scheme;
mod scheme_text;
pub mod shown;

pub use derive::{SLOWEST_PRINTED_M_PER_S, crossed_pairs, derive};
pub use scheme::{BadScheme, Edge, FIVE_ZONES, Scheme, ZonePlan};
pub use scheme_text::{BadLine, read_scheme, write_scheme};

/// What an athlete steers a zone by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Leads {
    /// Heart rate, as a ceiling.
    HeartRate,
    /// Pace; heart rate lags.
    Pace,
    /// Pace or feel; hills by feel.
    PaceOrFeel,
}

/// Whole heart rates from and to, both inside the zone; `None` is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct HeartRateBand {
    /// Lowest beat of the zone.
    pub from: Option<u16>,
    /// Highest beat of the zone.
    pub to: Option<u16>,
}

/// The speeds of a zone, unrounded; `None` is open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PaceBand {
    /// Slow end.
    pub slowest: Option<Speed>,
    /// Fast end.
    pub fastest: Option<Speed>,
}

/// One zone of an athlete.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Zone {
    /// 1 is the easiest.
    pub number: u8,
    /// Its name: "Endurance".
    pub name: String,
    /// Heart rates, contiguous by a beat with the neighbours; `None` where the zone has none.
    pub heart_rate: Option<HeartRateBand>,
    /// Speeds; `None` where no pace is printed.
    pub pace: Option<PaceBand>,
    /// What leads.
    pub leads: Leads,
    /// Whether an edge of this zone was not tested but estimated.
    pub estimated: bool,
}

/// An athlete's zones, easiest first; always one entry a zone of the scheme.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Zones {
    /// The zones.
    pub zones: Vec<Zone>,
    /// The name of their scheme; `None` for the five zones of the program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scheme: Option<String>,
}

impl Zones {
    /// Whether any zone has a heart rate.
    pub fn have_heart_rate(&self) -> bool {
        self.zones.iter().any(|zone| zone.heart_rate.is_some())
    }

    /// The same without heart rates: for who takes medication that lowers the heart rate, whatever
    /// was confirmed before.
    #[must_use]
    pub fn without_heart_rate(mut self) -> Self {
        self.zones.iter_mut().for_each(|zone| zone.heart_rate = None);
        self
    }
}
