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

/// A marker's speed belongs to the faster zone. A floor too slow to print is left open; a threshold
/// that was tested is printed however slow it is.
fn pace_band(index: usize, paces: &Edges<Speed>) -> Option<PaceBand> {
    let walked = |speed: &Speed| speed.m_per_s() < SLOWEST_PRINTED_M_PER_S;
    let (below, above) = (paces.below(index).ok()?, paces.above(index).ok()?);
    match index {
        0 if above.as_ref().is_some_and(walked) => None,
        1 => Some(PaceBand { slowest: below.filter(|floor| !walked(floor)), fastest: above }),
        _ => Some(PaceBand { slowest: below, fastest: above }),
    }
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::markers::{MarkerEvidence, derive as derive_markers};
    use crate::test::{Performance, TestKind};
    use crate::units::{Distance, HeartRate, Seconds, Share, UnitSystem};
    use crate::zones::shown::shown_pace;

    fn test(kind: TestKind, metres: f64, bpm: Option<f64>) -> Performance {
        Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(kind.length_s()).unwrap(),
            mean_heart_rate: bpm.map(|b| HeartRate::from_bpm(b).unwrap()),
            heart_rate_share: Share::from_ratio(1.0).unwrap(),
            peak_heart_rate: None,
        }
    }

    fn rate(zones: &Zones, zone: usize) -> (Option<u16>, Option<u16>) {
        let band = zones.zones[zone - 1].heart_rate.unwrap();
        (band.from, band.to)
    }

    #[test]
    fn one_twenty_minute_test_gives_five_contiguous_zones() {
        // 5400 m in 1200 s: 4.5 m/s, 95 % of it 4.275; 95 % of 157.9 is 150.0 and again 142.5, which
        // shows as 143 (common practice, worked by hand)
        let evidence = MarkerEvidence {
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(157.9))),
            ..MarkerEvidence::default()
        };
        let markers = derive_markers(&evidence).markers;
        assert!((markers.lt2.speed.unwrap().value.m_per_s() - 4.275).abs() < 1e-9);
        assert!((markers.lt2.heart_rate.unwrap().value.bpm() - 150.005).abs() < 1e-9);
        assert!((markers.lt1.heart_rate.unwrap().value.bpm() - 142.504_75).abs() < 1e-9);
        let zones = derive(&markers, &Scheme::five_zones());
        let (_, below_floor) = rate(&zones, 1);
        let (floor, lt1) = rate(&zones, 2);
        assert_eq!(lt1, Some(143));
        assert_eq!(below_floor.map(|b| b + 1), floor);
        assert_eq!(rate(&zones, 3), (Some(144), Some(150)));
        assert_eq!(rate(&zones, 4), (Some(151), None));
        assert_eq!(zones.zones[4].heart_rate, None);
        assert!(zones.zones[1].estimated && zones.zones[3].estimated);
    }

    #[test]
    fn three_tests_give_measured_markers_and_the_floor_by_the_published_line() {
        // 5.0 m/s = 300 m/min: uptake 63.5, 56 % of it 35.56, back to 160.3 m/min = 2.6717 m/s
        let evidence = MarkerEvidence {
            five: Some(test(TestKind::FiveMinutes, 1_500.0, None)),
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(157.9))),
            forty: Some(test(TestKind::FortyMinutes, 9_000.0, Some(142.0))),
            entered_maximum: HeartRate::from_bpm(190.0).ok(),
            ..MarkerEvidence::default()
        };
        let derived = derive_markers(&evidence);
        let markers = derived.markers;
        assert!((markers.aerobic_floor.speed.unwrap().value.m_per_s() - 2.6717).abs() < 1e-4);
        assert!((derived.critical_speed.unwrap().m_per_s() - 4.3333).abs() < 1e-4);
        assert!((markers.lt1.speed.unwrap().value.m_per_s() - 3.75).abs() < 1e-9);
        // by rule, also when the 40-minute test has its own mean
        assert!((markers.lt1.heart_rate.unwrap().value.bpm() - 142.504_75).abs() < 1e-9);
        // 72.84 % of 190
        assert!((markers.aerobic_floor.heart_rate.unwrap().value.bpm() - 138.396).abs() < 1e-3);
    }

    #[test]
    fn a_floor_too_slow_to_run_is_walked() {
        let evidence = MarkerEvidence {
            five: Some(test(TestKind::FiveMinutes, 1_050.0, None)),
            ..MarkerEvidence::default()
        };
        let zones = derive(&derive_markers(&evidence).markers, &Scheme::five_zones());
        assert_eq!(zones.zones[0].pace, None);
        assert_eq!(zones.zones[1].pace.unwrap().slowest, None);
    }

    #[test]
    fn medication_takes_the_heart_rates_away() {
        let evidence = MarkerEvidence {
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(128.0))),
            rate_lowering_medication: true,
            ..MarkerEvidence::default()
        };
        let zones = derive(&derive_markers(&evidence).markers, &Scheme::five_zones());
        assert!(zones.zones.iter().all(|zone| zone.heart_rate.is_none() && zone.pace.is_some()));
    }

    fn any_evidence() -> impl Strategy<Value = MarkerEvidence> {
        use prop::option::of;
        let metres = |speeds: std::ops::Range<f64>, s: f64| speeds.prop_map(move |v| v * s);
        (
            of(metres(1.0..7.0, 300.0)),
            of((metres(1.0..6.5, 1_200.0), of(70.0..210.0))),
            of((metres(1.0..6.0, 2_400.0), of(70.0..200.0))),
            of(100.0..220.0),
        )
            .prop_map(|(five, twenty, forty, maximum)| MarkerEvidence {
                five: five.map(|m| test(TestKind::FiveMinutes, m, None)),
                twenty: twenty.map(|(m, b)| test(TestKind::TwentyMinutes, m, b)),
                forty: forty.map(|(m, b)| test(TestKind::FortyMinutes, m, b)),
                entered_maximum: maximum.and_then(|b| HeartRate::from_bpm(b).ok()),
                ..MarkerEvidence::default()
            })
    }

    proptest! {
        #[test]
        fn zones_never_cross_overlap_or_leave_a_gap(evidence in any_evidence()) {
            let zones = derive(&derive_markers(&evidence).markers, &Scheme::five_zones()).zones;
            prop_assert_eq!(zones.len(), 5);
            for zone in &zones {
                if let Some(HeartRateBand { from: Some(from), to: Some(to) }) = zone.heart_rate {
                    prop_assert!(from <= to);
                }
            }
            for pair in zones.windows(2) {
                if let (Some(lower), Some(upper)) = (pair[0].heart_rate, pair[1].heart_rate) {
                    prop_assert_eq!(lower.to.map(|b| b + 1), upper.from);
                }
                for units in [UnitSystem::Kilometres, UnitSystem::Miles] {
                    let paces = (pair[0].pace.map(|b| shown_pace(b, units)), pair[1].pace.map(|b| shown_pace(b, units)));
                    if let (Some(lower), Some(upper)) = paces {
                        prop_assert_eq!(lower.fastest_s, upper.slowest_s.map(|s| s + 1));
                        if let (Some(slow), Some(fast)) = (lower.slowest_s, lower.fastest_s) {
                            prop_assert!(slow >= fast);
                        }
                    }
                }
            }
        }
    }
}
