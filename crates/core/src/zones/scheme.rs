//! The definition of a set of zones: edges at a marker by a factor, names, and what leads.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::Leads;
use crate::markers::MarkerName;

/// One zone of a scheme.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ZonePlan {
    /// Its name.
    pub name: String,
    /// What leads.
    pub leads: Leads,
    /// Whether it has a heart-rate band at all.
    pub has_heart_rate: bool,
}

/// Where two zones meet: at a share of a marker.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Edge {
    /// Which marker.
    pub marker: MarkerName,
    /// Share of its speed.
    pub of_speed: f64,
    /// Share of its heart rate.
    pub of_heart_rate: f64,
    /// Whether the edge's own beat opens the harder zone instead of closing the easier one.
    pub beat_opens: bool,
}

impl Edge {
    /// At the marker itself; its beat closes the easier zone.
    pub fn at(marker: MarkerName) -> Self {
        Self { marker, of_speed: 1.0, of_heart_rate: 1.0, beat_opens: false }
    }
}

/// Zones by the edges between them: one more zone than edges. Made only by [`Scheme::new`], so that
/// every scheme there is can be drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Parts", into = "Parts")]
pub struct Scheme {
    name: Option<String>,
    edges: Vec<Edge>,
    zones: Vec<ZonePlan>,
}

/// A scheme as it is written down.
#[derive(Clone, Serialize, Deserialize)]
struct Parts {
    #[serde(default)]
    name: Option<String>,
    edges: Vec<Edge>,
    zones: Vec<ZonePlan>,
}

/// Why a scheme cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BadScheme {
    /// The numbers of zones and edges do not fit, or are too many to print.
    #[error(
        "A scheme needs 2 to 7 zones and one edge less; this has {zones} zones and {edges} edges."
    )]
    Count {
        /// How many zones.
        zones: usize,
        /// How many edges.
        edges: usize,
    },
    /// A zone without a name, or two of one name.
    #[error("Every zone needs a name of its own; \"{0}\" is empty or there twice.")]
    Name(String),
    /// A factor that is no share of a marker.
    #[error("Edge {0} stands at {1} of its marker; use 0.5 to 1.5.")]
    Factor(usize, f64),
    /// Two edges that would overlap for the usual runner.
    #[error(
        "Edge {0} does not stand above the edge before it for a usual runner: zones would overlap. \
         Put the edges in order, slowest first."
    )]
    Order(usize),
}

/// Where the markers of a usual runner stand: shares of the speed at VO2max, and of the highest heart
/// rate. Floor 0.55 by the cost line at 5 m/s less rest, 0.7284 of heart rate; thresholds as published
/// for 1,411 runners (Esteve-Lanao J et al. Sports 2026;14(1):29). Only to tell whether edges at
/// different markers are in order.
fn usual(marker: MarkerName) -> (f64, f64) {
    match marker {
        MarkerName::AerobicFloor => (0.53, 0.7284),
        MarkerName::Lt1 => (0.739, 0.851),
        MarkerName::Lt2 => (0.876, 0.935),
        MarkerName::Vo2max => (1.0, 1.0),
    }
}

impl Scheme {
    /// A scheme, if its zones are ordered and do not overlap.
    ///
    /// # Errors
    /// What does not fit, in a sentence.
    pub fn new(edges: Vec<Edge>, zones: Vec<ZonePlan>) -> Result<Self, BadScheme> {
        if !(2..=7).contains(&zones.len()) || zones.len() != edges.len() + 1 {
            return Err(BadScheme::Count { zones: zones.len(), edges: edges.len() });
        }
        for (at, zone) in zones.iter().enumerate() {
            let same = |other: &ZonePlan| other.name.trim() == zone.name.trim();
            if zone.name.trim().is_empty() || zones.iter().take(at).any(same) {
                return Err(BadScheme::Name(zone.name.trim().to_owned()));
            }
        }
        let mut before = (0.0, 0.0);
        for (at, edge) in edges.iter().enumerate() {
            for factor in [edge.of_speed, edge.of_heart_rate] {
                if !(0.5..=1.5).contains(&factor) {
                    return Err(BadScheme::Factor(at + 1, factor));
                }
            }
            let (speed, rate) = usual(edge.marker);
            let here = (speed * edge.of_speed, rate * edge.of_heart_rate);
            if here.0 <= before.0 || here.1 <= before.1 {
                return Err(BadScheme::Order(at + 1));
            }
            before = here;
        }
        Ok(Self { name: None, edges, zones })
    }

    /// The scheme under a name of its own.
    #[must_use]
    pub fn named(self, name: &str) -> Self {
        Self { name: Some(name.trim().to_owned()), ..self }
    }

    /// Its name; `None` for the five zones of the program.
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }

    /// The edges, slowest first.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The zones, easiest first.
    pub fn zones(&self) -> &[ZonePlan] {
        &self.zones
    }

    /// The default five zones: below the floor, to LT1, to LT2, to VO2max pace, above.
    ///
    /// Zones 1 and 2 are led by heart rate as a ceiling, 3 and 4 by pace (heart rate lags), 5 by
    /// pace or feel without a heart-rate band (common practice).
    pub fn five_zones() -> Self {
        let plan = |name: &str, leads, has_heart_rate| ZonePlan {
            name: name.to_owned(),
            leads,
            has_heart_rate,
        };
        let opens = |marker| marker == MarkerName::AerobicFloor;
        let edge = |marker| Edge { beat_opens: opens(marker), ..Edge::at(marker) };
        Self {
            name: None,
            edges: MarkerName::ALL.into_iter().map(edge).collect(),
            zones: vec![
                plan("Very easy", Leads::HeartRate, true),
                plan("Easy", Leads::HeartRate, true),
                plan("Brisk", Leads::Pace, true),
                plan("Long intervals", Leads::Pace, true),
                plan("Fast repetitions", Leads::PaceOrFeel, false),
            ],
        }
    }
}

/// The five zones, for whoever takes a scheme by reference.
pub static FIVE_ZONES: LazyLock<Scheme> = LazyLock::new(Scheme::five_zones);

impl TryFrom<Parts> for Scheme {
    type Error = BadScheme;

    fn try_from(parts: Parts) -> Result<Self, Self::Error> {
        let name = parts.name;
        Ok(Self { name, ..Self::new(parts.edges, parts.zones)? })
    }
}

impl From<Scheme> for Parts {
    fn from(scheme: Scheme) -> Self {
        Self { name: scheme.name, edges: scheme.edges, zones: scheme.zones }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plans(count: usize) -> Vec<ZonePlan> {
        let plan =
            |n| ZonePlan { name: format!("Zone {n}"), leads: Leads::Pace, has_heart_rate: true };
        (1..=count).map(plan).collect()
    }

    #[test]
    fn the_default_is_itself_a_valid_scheme() {
        let five = Scheme::five_zones();
        assert_eq!(Scheme::new(five.edges.clone(), five.zones.clone()), Ok(five));
    }

    #[test]
    fn schemes_that_overlap_or_do_not_fit_are_refused_with_a_sentence() {
        let at = |marker, of_speed| Edge { of_speed, of_heart_rate: of_speed, ..Edge::at(marker) };
        let (low, high) = (at(MarkerName::Lt2, 0.8), at(MarkerName::Lt2, 0.95));
        assert!(Scheme::new(vec![low, high], plans(3)).is_ok());
        assert_eq!(Scheme::new(vec![high, low], plans(3)), Err(BadScheme::Order(2)));
        // 80 % of LT2 lies under LT1 of a usual runner
        let crossed = vec![Edge::at(MarkerName::Lt1), low];
        assert_eq!(Scheme::new(crossed, plans(3)), Err(BadScheme::Order(2)));
        let count = BadScheme::Count { zones: 3, edges: 1 };
        assert_eq!(Scheme::new(vec![low], plans(3)), Err(count));
        let far = at(MarkerName::Lt2, 0.2);
        assert_eq!(Scheme::new(vec![far], plans(2)), Err(BadScheme::Factor(1, 0.2)));
        let mut twice = plans(2);
        twice[1].name = "Zone 1 ".to_owned();
        assert_eq!(Scheme::new(vec![low], twice), Err(BadScheme::Name("Zone 1".to_owned())));
    }
}
