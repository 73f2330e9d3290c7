//! Markers to zones. No zone is ever drawn between markers that cross.

use super::scheme::{Edge, Scheme, ZonePlan};
use super::{HeartRateBand, Leads, PaceBand, Zone, Zones};
use crate::format::whole_beats;
use crate::markers::{MarkerName, Markers};
use crate::remark::BearsOn;
use crate::units::{HeartRate, Origin, Speed};

/// Below this speed no pace is printed: many people walk (8 km/h; the published cost lines do not
/// hold there).
pub const SLOWEST_PRINTED_M_PER_S: f64 = 8.0 / 3.6;
/// Two markers must be this far apart in pace, seconds per kilometre, so that the zone between them
/// shows at least one second.
const CLOSEST_S_PER_KM: f64 = 1.0;

/// The zones of a set of markers by a scheme: always one entry a zone. An edge that crosses another
/// is left out, and the zones on its two sides with it.
pub fn derive(markers: &Markers, scheme: &Scheme) -> Zones {
    let edges = Edges::new(markers, scheme.edges());
    let zones = scheme
        .zones()
        .iter()
        .enumerate()
        .map(|(index, plan)| Zone {
            number: u8::try_from(index + 1).unwrap_or(u8::MAX),
            name: plan.name.clone(),
            heart_rate: plan.has_heart_rate.then(|| edges.heart_rate_band(index)).flatten(),
            pace: edges.pace_band(index),
            leads: plan.leads,
            estimated: has_estimated_edge(index, plan, markers, scheme),
        })
        .collect();
    Zones { zones, scheme: scheme.name().map(str::to_owned) }
}

/// The edges of a scheme for one athlete, where they are known and do not cross.
struct Edges {
    speeds: Vec<Option<Speed>>,
    /// The last beat below each edge.
    last_beats: Vec<Option<u16>>,
    /// Whether an edge stands at the one marker that has no heart rate for anybody.
    has_no_rate: Vec<bool>,
    /// Whether an edge is a floor that most people walk.
    is_walked: Vec<bool>,
}

/// An edge of a zone that is not known.
struct Unknown;

impl Edges {
    fn new(markers: &Markers, edges: &[Edge]) -> Self {
        let crossed = crossed_pairs(markers);
        let bad = |name: MarkerName, number: BearsOn| {
            let about = |(lower, upper, bears_on): &(MarkerName, MarkerName, BearsOn)| {
                *bears_on == number && (*lower == name || *upper == name)
            };
            crossed.iter().any(about)
        };
        let speeds: Vec<_> = edges
            .iter()
            .map(|edge| {
                let speed = markers.get(edge.marker).speed?.value.m_per_s() * edge.of_speed;
                Speed::from_m_per_s(speed).ok().filter(|_| !bad(edge.marker, BearsOn::Speed))
            })
            .collect();
        let beats_cross = crossed.iter().any(|(_, _, bears_on)| *bears_on == BearsOn::HeartRate);
        let last_beats: Vec<_> = edges
            .iter()
            .map(|edge| {
                let rate = markers.get(edge.marker).heart_rate?.value.bpm() * edge.of_heart_rate;
                let beat = whole_beats(HeartRate::from_bpm(rate).ok()?);
                Some(if edge.beat_opens { beat.saturating_sub(1) } else { beat })
                    .filter(|_| !beats_cross)
            })
            .collect();
        let pace = |speed: &Speed| 1_000.0 / speed.m_per_s();
        let slow = |speed: Option<Speed>| {
            speed.is_some_and(|speed| speed.m_per_s() < SLOWEST_PRINTED_M_PER_S)
        };
        let is_floor = |edge: &Edge| edge.marker == MarkerName::AerobicFloor;
        Self {
            is_walked: edges.iter().zip(&speeds).map(|(e, v)| is_floor(e) && slow(*v)).collect(),
            speeds: without_crossed(&speeds, |slow, fast| {
                pace(slow) - pace(fast) >= CLOSEST_S_PER_KM
            }),
            // two edges on one beat leave nothing between them, but are in order
            last_beats: without_crossed(&last_beats, |low, high| high >= low),
            has_no_rate: edges.iter().map(|edge| edge.marker == MarkerName::Vo2max).collect(),
        }
    }

    /// A floor too slow to print is left open; a threshold that was tested is printed however slow.
    fn pace_band(&self, zone: usize) -> Option<PaceBand> {
        let walked =
            |edge: Option<usize>| edge.and_then(|at| self.is_walked.get(at)) == Some(&true);
        let slowest = below(&self.speeds, zone).ok()?;
        let fastest = above(&self.speeds, zone).ok()?;
        if walked(Some(zone)) {
            return None;
        }
        // a marker's speed belongs to the faster zone
        Some(PaceBand { slowest: slowest.filter(|_| !walked(zone.checked_sub(1))), fastest })
    }

    fn heart_rate_band(&self, zone: usize) -> Option<HeartRateBand> {
        let from = below(&self.last_beats, zone).ok()?.map(|last| last + 1);
        let to = match above(&self.last_beats, zone) {
            Ok(to) => to,
            // VO2max never has a heart rate: the band below it is open upwards
            Err(Unknown) if self.has_no_rate.get(zone) == Some(&true) => None,
            Err(Unknown) => return None,
        };
        let is_empty = from.zip(to).is_some_and(|(from, to)| from > to);
        (!is_empty && (from.is_some() || to.is_some())).then_some(HeartRateBand { from, to })
    }
}

/// The edge below a zone; `Ok(None)` below the easiest.
fn below<T: Copy>(edges: &[Option<T>], zone: usize) -> Result<Option<T>, Unknown> {
    match zone.checked_sub(1) {
        None => Ok(None),
        Some(edge) => edges.get(edge).copied().flatten().map(Some).ok_or(Unknown),
    }
}

/// The edge above a zone; `Ok(None)` above the hardest.
fn above<T: Copy>(edges: &[Option<T>], zone: usize) -> Result<Option<T>, Unknown> {
    match edges.get(zone) {
        None => Ok(None),
        Some(edge) => edge.map(Some).ok_or(Unknown),
    }
}

/// Leaves out every edge that is not in order with each other one.
fn without_crossed<T: Copy>(
    edges: &[Option<T>],
    in_order: impl Fn(&T, &T) -> bool,
) -> Vec<Option<T>> {
    let fits = |at: usize, here: &T| {
        edges.iter().enumerate().all(|(other, there)| match there {
            Some(there) if other < at => in_order(there, here),
            Some(there) if other > at => in_order(here, there),
            _ => true,
        })
    };
    edges.iter().enumerate().map(|(at, edge)| edge.filter(|here| fits(at, here))).collect()
}

fn has_estimated_edge(index: usize, plan: &ZonePlan, markers: &Markers, scheme: &Scheme) -> bool {
    let edge = |at: usize| scheme.edges().get(at);
    let edges = [index.checked_sub(1).and_then(edge), edge(index)];
    edges.into_iter().flatten().map(|edge| markers.get(edge.marker)).any(|marker| {
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
    use crate::units::{Distance, Seconds, Share, UnitSystem};
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
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(157.9)).into()),
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
            five: Some(test(TestKind::FiveMinutes, 1_500.0, None).into()),
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(157.9)).into()),
            forty: Some(test(TestKind::FortyMinutes, 9_000.0, Some(142.0)).into()),
            entered_maximum: HeartRate::from_bpm(190.0).ok(),
            ..MarkerEvidence::default()
        };
        let derived = derive_markers(&evidence);
        let markers = derived.markers;
        assert!((markers.aerobic_floor.speed.unwrap().value.m_per_s() - 2.6717).abs() < 1e-4);
        assert!((derived.critical_speed.unwrap().speed.m_per_s() - 4.3333).abs() < 1e-4);
        assert!((markers.lt1.speed.unwrap().value.m_per_s() - 3.75).abs() < 1e-9);
        // by rule, also when the 40-minute test has its own mean
        assert!((markers.lt1.heart_rate.unwrap().value.bpm() - 142.504_75).abs() < 1e-9);
        // 72.84 % of 190
        assert!((markers.aerobic_floor.heart_rate.unwrap().value.bpm() - 138.396).abs() < 1e-3);
    }

    #[test]
    fn two_edges_on_one_beat_leave_only_what_lies_between_them_without_a_heart_rate() {
        // LT2 150.005, LT1 by the rule 95 % of it, 142.50 (worked by hand): an edge at 95 % of LT2 falls on
        // LT1's own beat, 143
        let evidence = MarkerEvidence {
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(157.9)).into()),
            ..MarkerEvidence::default()
        };
        let text =
            "Easy; LT1; heart rate\nSteady; 95 % of LT2; pace\nHard; LT2; pace\nFast; ; feel";
        let scheme = crate::zones::read_scheme(text).unwrap();
        let zones = derive(&derive_markers(&evidence).markers, &scheme);
        assert_eq!(rate(&zones, 1), (None, Some(143)));
        assert_eq!(zones.zones[1].heart_rate, None);
        assert_eq!(rate(&zones, 3), (Some(144), Some(150)));
    }

    #[test]
    fn a_floor_too_slow_to_run_is_walked() {
        let evidence = MarkerEvidence {
            five: Some(test(TestKind::FiveMinutes, 1_050.0, None).into()),
            ..MarkerEvidence::default()
        };
        let zones = derive(&derive_markers(&evidence).markers, &Scheme::five_zones());
        assert_eq!(zones.zones[0].pace, None);
        assert_eq!(zones.zones[1].pace.unwrap().slowest, None);
    }

    #[test]
    fn medication_takes_the_heart_rates_away() {
        let evidence = MarkerEvidence {
            twenty: Some(test(TestKind::TwentyMinutes, 5_400.0, Some(128.0)).into()),
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
                five: five.map(|m| test(TestKind::FiveMinutes, m, None).into()),
                twenty: twenty.map(|(m, b)| test(TestKind::TwentyMinutes, m, b).into()),
                forty: forty.map(|(m, b)| test(TestKind::FortyMinutes, m, b).into()),
                entered_maximum: maximum.and_then(|b| HeartRate::from_bpm(b).ok()),
                ..MarkerEvidence::default()
            })
    }

    /// The default, or edges at any factors of any markers that make a scheme.
    fn any_scheme() -> impl Strategy<Value = Scheme> {
        let edge = (0..4_usize, 0.6..1.2, 0.8..1.05, any::<bool>()).prop_map(
            |(marker, of_speed, of_heart_rate, beat_opens)| Edge {
                marker: MarkerName::ALL[marker],
                of_speed,
                of_heart_rate,
                beat_opens,
            },
        );
        prop::collection::vec(edge, 0..5).prop_map(|edges| {
            let plan = |n| ZonePlan {
                name: format!("Zone {n}"),
                leads: Leads::Pace,
                has_heart_rate: true,
            };
            let zones = (0..=edges.len()).map(plan).collect();
            Scheme::new(edges, zones).unwrap_or_else(|_| Scheme::five_zones())
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn zones_never_cross_overlap_or_leave_a_gap(
            evidence in any_evidence(),
            scheme in any_scheme(),
        ) {
            let zones = derive(&derive_markers(&evidence).markers, &scheme).zones;
            prop_assert_eq!(zones.len(), scheme.zones().len());
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
