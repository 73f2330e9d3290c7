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
    /// Its name when it was confirmed; what is shown is [`Zones::name_of`].
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

/// The edge above a zone, as a speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedEdge {
    /// The number of the zone below it.
    pub below: u8,
    /// The speed.
    pub speed: Speed,
}

impl Zones {
    /// The name of one of these zones as it is shown. The program's own five are called by the names
    /// they have today, whenever they were confirmed: what was handed out are their numbers, and two
    /// names for one zone would read as two zones.
    pub fn name_of<'z>(&self, zone: &'z Zone) -> &'z str {
        let place = usize::from(zone.number).checked_sub(1).filter(|_| self.scheme.is_none());
        place.and_then(|place| FIVE_ZONES.zones().get(place)).map_or(&zone.name, |plan| &plan.name)
    }

    /// Whether a card of these reads in every figure as one of the others.
    pub fn same_as(&self, others: &Self) -> bool {
        let figures = |zone: &Zone| {
            let Zone { number, name: _, heart_rate, pace, leads, estimated } = *zone;
            (number, heart_rate, pace, leads, estimated)
        };
        let same = |(a, b): (&Zone, &Zone)| {
            figures(a) == figures(b) && self.name_of(a) == others.name_of(b)
        };
        (&self.scheme, self.zones.len()) == (&others.scheme, others.zones.len())
            && self.zones.iter().zip(&others.zones).all(same)
    }

    /// The edges between the zones of a scheme of the coach's own, as far as they are known, slowest
    /// first; `None` for the five zones, whose edges are the markers themselves.
    pub fn own_edges(&self) -> Option<Vec<SpeedEdge>> {
        let _name = self.scheme.as_ref()?;
        let pairs = self.zones.iter().zip(self.zones.iter().skip(1));
        let edges = pairs.filter_map(|(below, above)| {
            let speed = below
                .pace
                .and_then(|band| band.fastest)
                .or_else(|| above.pace.and_then(|band| band.slowest))?;
            Some(SpeedEdge { below: below.number, speed })
        });
        Some(edges.collect())
    }

    /// Whether any zone has a heart rate.
    pub fn have_heart_rate(&self) -> bool {
        self.zones.iter().any(|zone| zone.heart_rate.is_some())
    }

    /// Whether zones of a scheme of the coach's own that heart rate leads have none though others do:
    /// their edges cross, or fall on one beat.
    pub fn lack_heart_rates(&self) -> bool {
        let lacks = |zone: &Zone| zone.leads == Leads::HeartRate && zone.heart_rate.is_none();
        self.scheme.is_some() && self.have_heart_rate() && self.zones.iter().any(lacks)
    }

    /// The same without heart rates: for who takes medication that lowers the heart rate, whatever
    /// was confirmed before.
    #[must_use]
    pub fn without_heart_rate(mut self) -> Self {
        self.zones.iter_mut().for_each(|zone| zone.heart_rate = None);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zones(name: &str, scheme: Option<&str>) -> Zones {
        let band = PaceBand { slowest: Speed::from_m_per_s(3.0).ok(), fastest: None };
        let zone = Zone {
            number: 3,
            name: name.to_owned(),
            heart_rate: None,
            pace: Some(band),
            leads: Leads::Pace,
            estimated: false,
        };
        Zones { zones: vec![zone], scheme: scheme.map(str::to_owned) }
    }

    #[test]
    fn the_five_zones_are_called_as_today_and_others_as_the_coach_called_them() {
        let (then, today) = (zones("Third", None), zones("Brisk", None));
        assert_eq!(then.name_of(&then.zones[0]), "Brisk");
        assert!(then.same_as(&today));
        let own = zones("Third", Some("Ours"));
        assert_eq!(own.name_of(&own.zones[0]), "Third");
        assert!(!own.same_as(&zones("Brisk", Some("Ours"))) && !own.same_as(&then));
        let mut faster = today.clone();
        faster.zones[0].pace = None;
        assert!(!faster.same_as(&today));
    }
}
