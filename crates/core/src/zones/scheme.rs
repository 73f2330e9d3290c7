//! The definition of a set of zones: edges at markers, names, and what leads.

use super::Leads;
use crate::markers::MarkerName;

/// One zone of a scheme.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZonePlan {
    /// Its name.
    pub name: &'static str,
    /// What leads.
    pub leads: Leads,
    /// Whether it has a heart-rate band at all.
    pub has_heart_rate: bool,
}

/// Zones by the markers between them: one more zone than edges.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scheme {
    /// The markers that part the zones, slowest first.
    pub edges: [MarkerName; 4],
    /// The zones, easiest first.
    pub zones: [ZonePlan; 5],
}

impl Scheme {
    /// The default five zones: below the floor, to LT1, to LT2, to VO2max pace, above.
    ///
    /// Zones 1 and 2 are led by heart rate as a ceiling, 3 and 4 by pace (heart rate lags), 5 by
    /// pace or feel without a heart-rate band (common practice).
    pub fn five_zones() -> Self {
        let plan = |name, leads, has_heart_rate| ZonePlan { name, leads, has_heart_rate };
        Self {
            edges: MarkerName::ALL,
            zones: [
                plan("Recovery", Leads::HeartRate, true),
                plan("Endurance", Leads::HeartRate, true),
                plan("Tempo", Leads::Pace, true),
                plan("Long intervals", Leads::Pace, true),
                plan("Fast repetitions", Leads::PaceOrFeel, false),
            ],
        }
    }
}
