//! Whose zones would change: what is known now gives others than those in force, and why.

use chrono::NaiveDate;

use crate::calibration::{Basis, Calibration, Facts, StandsOn};
use crate::first_threshold::factor_on;
use crate::format::day_short;
use crate::medication::medicated;
use crate::physiology::thresholds::SecondThresholdShare;
use crate::rules::{FloorMethod, rules_on};
use crate::test::TestKind;
use crate::units::Origin;
use crate::words;
use crate::zones::{Zone, Zones};

use super::Concern;

/// Zones that differ by no more than this in every number say the same (judgement: a card is not
/// printed anew for the last digit, as when a birthday moves an estimated maximum by half a beat).
const LAST_BEAT: u16 = 1;
/// The same of paces, seconds per kilometre.
const LAST_SECOND: f64 = 1.0;

/// The concern that other zones are offered; `None` where a card would say the same but for its last
/// digits.
pub fn offered(in_force: Option<&Calibration>, offered: &Calibration) -> Option<Concern> {
    if in_force.is_some_and(|current| reads_alike(&current.zones, &offered.zones)) {
        return None;
    }
    let stood = |basis: &&Basis| in_force.is_some_and(|current| current.basis.contains(basis));
    let newest = offered.basis.iter().filter(|basis| !stood(basis)).max_by_key(|basis| basis.on);
    // another share of the same test is nothing that was run
    let run_before = |basis: &&Basis| {
        let same = |old: &Basis| {
            (old.kind, old.on, old.stands_on) == (basis.kind, basis.on, basis.stands_on)
        };
        in_force.is_some_and(|current| current.basis.iter().any(same))
    };
    Some(Concern::Offered {
        first: in_force.is_none(),
        since: offered.basis.iter().filter(|basis| !run_before(basis)).map(|basis| basis.on).max(),
        by: newest.map(|basis| words::stands_on_of(basis, day_short)),
    })
}

/// What else than a test, race or laboratory value gives other zones than those in force.
#[derive(Debug, Clone, PartialEq)]
pub enum Because {
    /// LT1 heart rate is another share of LT2 heart rate.
    Factor {
        /// In the zones in force, of 1.
        before: f64,
        /// Now, of 1.
        now: f64,
        /// Since when, where it was set.
        since: Option<NaiveDate>,
    },
    /// LT2 is another share of the 20-minute test.
    Share {
        /// In the zones in force.
        before: SecondThresholdShare,
        /// Now.
        now: SecondThresholdShare,
        /// Since when, where it was set.
        since: Option<NaiveDate>,
    },
    /// The floor's heart rate goes by another method.
    Floor {
        /// Now.
        now: FloorMethod,
        /// Since when, where it was set.
        since: Option<NaiveDate>,
    },
    /// Rate-lowering medication is taken now, or no longer.
    Medication {
        /// Whether it is taken.
        taken: bool,
    },
    /// Another scheme is chosen; `None` for the five zones.
    Scheme(Option<String>),
}

/// Why zones are offered in place of those in force, as far as it is nothing that was run or measured.
pub fn because(facts: &Facts<'_>, in_force: &Calibration, offered: &Calibration) -> Vec<Because> {
    let now = offered.from;
    let set = facts.rules.iter().map(|rules| rules.from).filter(|from| *from <= now).max();
    let shares = share(in_force).zip(share(offered)).filter(|(before, now)| before != now);
    let floor = rules_on(facts.rules, now).floor;
    let other_floor = rules_on(facts.rules, in_force.from).floor != floor;
    let taken = medicated(facts.athlete, facts.medications, now);
    let has_rate = |zones: &Calibration| zones.markers.lt2.heart_rate.is_some();
    let begun = taken && has_rate(in_force) && !has_rate(offered);
    let ended = !taken && medicated(facts.athlete, facts.medications, in_force.from);
    let scheme = (in_force.zones.scheme != offered.zones.scheme)
        .then(|| Because::Scheme(offered.zones.scheme.clone()));
    [
        other_factor(facts, in_force, offered),
        shares.map(|(before, now)| Because::Share { before, now, since: set }),
        other_floor.then_some(Because::Floor { now: floor, since: set }),
        (begun || (ended && has_rate(offered))).then_some(Because::Medication { taken }),
        scheme,
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Factors that differ by no more than this are one (judgement: a tenth of a beat in 200).
const SAME_FACTOR: f64 = 0.0005;

/// Told by the zones themselves: of the day on which they came into force two factors may stand.
fn other_factor(
    facts: &Facts<'_>,
    in_force: &Calibration,
    offered: &Calibration,
) -> Option<Because> {
    let (before, now) = (factor(in_force)?, factor(offered)?);
    let set = factor_on(facts.factors, offered.from).ratio();
    let begun = facts.factors.iter().map(|set| set.from).filter(|from| *from <= offered.from);
    // what a laboratory's protocol moves is no factor of the coach's
    let is_set = (now - set).abs() <= SAME_FACTOR && (now - before).abs() > SAME_FACTOR;
    is_set.then(|| Because::Factor { before, now, since: begun.max() })
}

/// The share of LT2 heart rate at which LT1 heart rate stands by rule.
fn factor(zones: &Calibration) -> Option<f64> {
    let by_rule = zones.markers.lt1.heart_rate.filter(|lt1| lt1.origin == Origin::ByRule)?;
    Some(by_rule.value.bpm() / zones.markers.lt2.heart_rate?.value.bpm())
}

/// The share of the 20-minute test, or of a race in its place, at which LT2 stands.
fn share(zones: &Calibration) -> Option<SecondThresholdShare> {
    let run = |basis: &&Basis| {
        let entered = matches!(basis.stands_on, StandsOn::Laboratory { .. });
        basis.kind == TestKind::TwentyMinutes && !entered
    };
    zones.basis.iter().find(run).map(|basis| basis.share)
}

fn reads_alike(before: &Zones, after: &Zones) -> bool {
    before.scheme == after.scheme
        && before.zones.len() == after.zones.len()
        && before.zones.iter().zip(&after.zones).all(|(a, b)| zone_reads_alike(a, b))
}

fn zone_reads_alike(before: &Zone, after: &Zone) -> bool {
    let beats = |zone: &Zone| zone.heart_rate.map_or([None; 2], |band| [band.from, band.to]);
    let paces = |zone: &Zone| {
        let edges = zone.pace.map_or([None; 2], |band| [band.slowest, band.fastest]);
        edges.map(|edge| edge.map(|speed| 1_000.0 / speed.m_per_s()))
    };
    let beat_alike = |(a, b): (Option<u16>, Option<u16>)| match (a, b) {
        (Some(a), Some(b)) => a.abs_diff(b) <= LAST_BEAT,
        (a, b) => a == b,
    };
    let pace_alike = |(a, b): (Option<f64>, Option<f64>)| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= LAST_SECOND,
        (a, b) => a.is_none() && b.is_none(),
    };
    before.heart_rate.is_some() == after.heart_rate.is_some()
        && before.pace.is_some() == after.pace.is_some()
        && beats(before).into_iter().zip(beats(after)).all(beat_alike)
        && paces(before).into_iter().zip(paces(after)).all(pace_alike)
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::*;
    use crate::calibration::StandsOn;
    use crate::ids::{AthleteId, CalibrationId, RaceId, TestId};
    use crate::markers::{MarkerEvidence, Markers, derive};
    use crate::physiology::thresholds::SecondThresholdShare;
    use crate::test::{Performance, TestKind};
    use crate::units::{Distance, HeartRate, Seconds, Share};
    use crate::zones::{self, FIVE_ZONES};

    fn markers(metres: f64, bpm: f64) -> Markers {
        let ran = Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(1_200.0).unwrap(),
            mean_heart_rate: HeartRate::from_bpm(bpm).ok(),
            heart_rate_share: Share::WHOLE,
            peak_heart_rate: None,
        };
        derive(&MarkerEvidence { twenty: Some(ran.into()), ..MarkerEvidence::default() }).markers
    }

    fn zones_of(metres: f64, bpm: f64, stands_on: StandsOn, month: u32) -> Calibration {
        let on = NaiveDate::from_ymd_opt(2026, month, 5).unwrap();
        let share = SecondThresholdShare::default();
        let markers = markers(metres, bpm);
        Calibration {
            id: CalibrationId(1),
            athlete: AthleteId(1),
            from: on,
            basis: vec![Basis { kind: TestKind::TwentyMinutes, on, share, stands_on }],
            zones: zones::derive(&markers, &FIVE_ZONES),
            markers,
        }
    }

    #[test]
    fn the_newest_thing_behind_other_zones_is_named_and_a_last_digit_is_no_news() {
        let test = StandsOn::Test(TestId(1));
        let distance = Distance::from_m(5_000.0).unwrap();
        let race = StandsOn::Race { id: RaceId(1), distance };
        let current = zones_of(5_400.0, 160.0, test, 3);
        let faster = zones_of(5_700.0, 160.0, race, 5);
        let concern = Concern::Offered {
            first: false,
            since: Some(faster.from),
            by: Some("5 km race of 5 May".to_owned()),
        };
        assert_eq!(offered(Some(&current), &faster), Some(concern));
        // 0.4 beats of the mean are 0.4 x 0.95 of LT2: the same beat or the next
        assert_eq!(offered(Some(&current), &zones_of(5_400.0, 160.4, test, 3)), None);
        // 3 beats are seen
        let higher = offered(Some(&current), &zones_of(5_400.0, 163.0, test, 3));
        assert!(
            matches!(higher, Some(Concern::Offered { since: None, by: None, .. })),
            "{higher:?}"
        );
        let mut by_share = zones_of(5_400.0, 163.0, test, 3);
        by_share.basis[0].share = SecondThresholdShare::from_ratio(0.93).unwrap();
        let said = Some("20-minute test of 5 March (LT2 at 93 %)".to_owned());
        let concern = Concern::Offered { first: false, since: None, by: said };
        assert_eq!(offered(Some(&current), &by_share), Some(concern), "nothing was run");
        let first = offered(None, &faster);
        assert!(matches!(first, Some(Concern::Offered { first: true, .. })), "{first:?}");
    }
}
