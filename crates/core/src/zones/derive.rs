//! Markers to zones. No zone is ever drawn between markers that cross.

use super::scheme::{Scheme, ZonePlan};
use super::{HeartRateBand, Leads, PaceBand, Zone, Zones};
use crate::format::whole_beats;
use crate::markers::{MarkerName, Markers};
use crate::remark::BearsOn;
use crate::units::{Origin, Speed};

/// Below this speed no pace is printed: many people walk (8 km/h; the published cost lines do not
/// hold there).
pub const SLOWEST_PRINTED_M_PER_S: f64 = 8.0 / 3.6;
/// Two markers must be this far apart in pace, seconds per kilometre, so that the zone between them
/// shows at least one second.
const CLOSEST_S_PER_KM: f64 = 1.0;

/// The zones of a set of markers by a scheme: always one entry a zone.
pub fn derive(markers: &Markers, scheme: &Scheme) -> Zones {
    let crossed = crossed_pairs(markers);
    let paces = Edges::new(scheme, |name| {
        let bad = crossed.iter().any(|(lower, upper, bears_on)| {
            *bears_on == BearsOn::Speed && (*lower == name || *upper == name)
        });
        markers.get(name).speed.filter(|_| !bad).map(|e| e.value)
    });
    let beats_cross = crossed.iter().any(|(_, _, bears_on)| *bears_on == BearsOn::HeartRate);
    let beats = Edges::new(scheme, |name| {
        markers.get(name).heart_rate.filter(|_| !beats_cross).map(|e| whole_beats(e.value))
    });
    let zones = scheme
        .zones
        .iter()
        .enumerate()
        .map(|(index, plan)| zone(index, plan, &paces, &beats, markers, scheme))
        .collect();
    Zones { zones }
}

/// The values at the edges of a scheme, where they are known.
struct Edges<T>([Option<T>; 4]);

impl<T: Copy> Edges<T> {
    fn new(scheme: &Scheme, value: impl Fn(MarkerName) -> Option<T>) -> Self {
        Self(scheme.edges.map(value))
    }

    /// The edge below a zone; `Ok(None)` below the easiest; `Err` where it is not known.
    fn below(&self, zone: usize) -> Result<Option<T>, Unknown> {
        match zone.checked_sub(1) {
            None => Ok(None),
            Some(edge) => self.0.get(edge).copied().flatten().map(Some).ok_or(Unknown),
        }
    }

    /// The edge above a zone; `Ok(None)` above the hardest; `Err` where it is not known.
    fn above(&self, zone: usize) -> Result<Option<T>, Unknown> {
        match self.0.get(zone) {
            None => Ok(None),
            Some(edge) => edge.map(Some).ok_or(Unknown),
        }
    }
}

struct Unknown;

fn zone(
    index: usize,
    plan: &ZonePlan,
    paces: &Edges<Speed>,
    beats: &Edges<u16>,
    markers: &Markers,
    scheme: &Scheme,
) -> Zone {
    Zone {
        number: u8::try_from(index + 1).unwrap_or(u8::MAX),
        name: plan.name.to_owned(),
        heart_rate: plan.has_heart_rate.then(|| heart_rate_band(index, beats)).flatten(),
        pace: pace_band(index, paces),
        leads: plan.leads,
        estimated: has_estimated_edge(index, plan, markers, scheme),
    }
}

/// A marker's speed belongs to the faster zone; an edge that is too slow to print is left open.
fn pace_band(index: usize, paces: &Edges<Speed>) -> Option<PaceBand> {
    let printed = |speed: Option<Speed>| speed.filter(|s| s.m_per_s() >= SLOWEST_PRINTED_M_PER_S);
    let (below, above) = (paces.below(index).ok()?, paces.above(index).ok()?);
    if above.is_some() && printed(above).is_none() {
        return None;
    }
    Some(PaceBand { slowest: printed(below), fastest: above })
}

/// A marker's beat belongs to the zone below it, except the floor's, which opens zone 2.
fn heart_rate_band(index: usize, beats: &Edges<u16>) -> Option<HeartRateBand> {
    let (below, above) = (beats.below(index).ok()?, beats.above(index));
    let from = match index {
        0 | 1 => below,
        _ => below.map(|b| b + 1),
    };
    // VO2max has no heart rate: the last band is open upwards
    let above = above.unwrap_or_default();
    let to = if index == 0 { above.map(|a| a.saturating_sub(1)) } else { above };
    (from.is_some() || to.is_some()).then_some(HeartRateBand { from, to })
}

fn has_estimated_edge(index: usize, plan: &ZonePlan, markers: &Markers, scheme: &Scheme) -> bool {
    let edges = [index.checked_sub(1).and_then(|i| scheme.edges.get(i)), scheme.edges.get(index)];
    edges.into_iter().flatten().map(|&name| markers.get(name)).any(|marker| {
        let speed = marker.speed.is_some_and(|e| e.origin == Origin::Estimated);
        let beats = marker.heart_rate.is_some_and(|e| e.origin == Origin::Estimated);
        if plan.leads == Leads::HeartRate { speed || beats } else { speed }
    })
}

/// Neighbouring markers that stand in the wrong order or too close to tell their zone apart, and
/// whether in pace or in heart rate.
pub fn crossed_pairs(markers: &Markers) -> Vec<(MarkerName, MarkerName, BearsOn)> {
    let pace = |name: MarkerName| Some(1_000.0 / markers.get(name).speed?.value.m_per_s());
    let beat = |name: MarkerName| Some(whole_beats(markers.get(name).heart_rate?.value));
    let mut crossed = Vec::new();
    for (at, &lower) in MarkerName::ALL.iter().enumerate() {
        for &upper in &MarkerName::ALL[at + 1..] {
            if let (Some(slow), Some(fast)) = (pace(lower), pace(upper))
                && slow - fast < CLOSEST_S_PER_KM
            {
                crossed.push((lower, upper, BearsOn::Speed));
            }
            if let (Some(low), Some(high)) = (beat(lower), beat(upper))
                && high <= low
            {
                crossed.push((lower, upper, BearsOn::HeartRate));
            }
        }
    }
    crossed
}
