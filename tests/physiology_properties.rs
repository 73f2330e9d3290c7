//! What must hold whatever is put in: order, symmetry, round trips, no unit that matters, and
//! contradictions that are said. The properties follow from the formulas' own definitions.

use pacewright_core::change::{chances, compare};
use pacewright_core::format::{pace_seconds, speed_of_pace};
use pacewright_core::markers::{Derived, MarkerEvidence, derive};
use pacewright_core::outlook::{AllOut, outlook};
use pacewright_core::physiology::critical_speed::critical_speed;
use pacewright_core::physiology::oxygen_cost::CostLine;
use pacewright_core::remark::{Code, Severity};
use pacewright_core::test::{Performance, TestKind};
use pacewright_core::trend::{Observation, of_observations};
use pacewright_core::units::{Distance, HeartRate, Seconds, Share, Speed, UnitSystem};
use pacewright_core::zones::{self, Scheme};
use proptest::prelude::*;

fn speed(m_per_s: f64) -> Speed {
    Speed::from_m_per_s(m_per_s).unwrap()
}

fn run(kind: TestKind, metres: f64, bpm: Option<f64>) -> Performance {
    Performance {
        distance: Distance::from_m(metres).unwrap(),
        duration: Seconds::from_s(kind.length_s()).unwrap(),
        mean_heart_rate: bpm.and_then(|bpm| HeartRate::from_bpm(bpm).ok()),
        heart_rate_share: Share::WHOLE,
        peak_heart_rate: None,
    }
}

fn of(five: f64, twenty: f64, forty: f64, bpm: f64, maximum: f64) -> Derived {
    derive(&MarkerEvidence {
        five: Some(run(TestKind::FiveMinutes, five, None).into()),
        twenty: Some(run(TestKind::TwentyMinutes, twenty, Some(bpm)).into()),
        forty: Some(run(TestKind::FortyMinutes, forty, None).into()),
        entered_maximum: HeartRate::from_bpm(maximum).ok(),
        ..MarkerEvidence::default()
    })
}

fn spoken(derived: &Derived, code: Code, at_least: Severity) -> bool {
    derived.remarks.iter().any(|r| r.finding.code() == code && r.severity >= at_least)
}

#[test]
fn contradictions_are_remarked_and_no_zone_is_drawn_between_them() {
    let sound = of(1_500.0, 5_400.0, 9_000.0, 157.9, 190.0);
    assert_eq!(sound.remarks, []);
    // a 5-minute run slower than the 20-minute one
    let slow_five = of(1_300.0, 5_400.0, 9_000.0, 157.9, 190.0);
    assert!(spoken(&slow_five, Code::CriticalSpeed, Severity::Check));
    assert!(slow_five.critical_speed.is_none());
    // LT1 above LT2: 4.4 against 4.275 m/s
    let fast_forty = of(1_500.0, 5_400.0, 10_560.0, 157.9, 190.0);
    assert!(spoken(&fast_forty, Code::MarkersOrder, Severity::Spoils));
    let zones = zones::derive(&fast_forty.markers, &Scheme::five_zones()).zones;
    assert_eq!(zones[2].pace, None);
    // the floor above LT1: 2.67 against 2.5 m/s
    let slow_forty = of(1_500.0, 5_400.0, 6_000.0, 157.9, 190.0);
    assert!(spoken(&slow_forty, Code::MarkersOrder, Severity::Spoils));
    // the floor's heart rate above LT1's: 72.84 % of 210 against 142.5
    let high_maximum = of(1_500.0, 5_400.0, 9_000.0, 157.9, 210.0);
    assert!(spoken(&high_maximum, Code::HeartRateMax, Severity::Check));
    let floor = high_maximum.markers.aerobic_floor.heart_rate.unwrap().value;
    assert!(floor < high_maximum.markers.lt1.heart_rate.unwrap().value);
    // two runs of which one was hardly all-out: critical speed well off LT2
    let apart = of(1_750.0, 5_400.0, 9_000.0, 157.9, 190.0);
    assert!(spoken(&apart, Code::CriticalSpeed, Severity::Check));
}

proptest! {
    #[test]
    fn speeds_at_shares_rise_with_the_share_and_stay_below_the_whole(
        v in 2.0..7.0, low in 0.4..0.98, more in 0.001..0.02,
    ) {
        for line in CostLine::ALL {
            let at = |p| line.speed_at_share(speed(v), Share::from_ratio(p).unwrap());
            if let (Some(a), Some(b)) = (at(low), at(low + more)) {
                prop_assert!(a < b && b.m_per_s() < v);
            }
        }
    }

    #[test]
    fn critical_speed_lies_between_nothing_and_the_longer_run(v20 in 2.0..6.5, more in 0.002..0.3) {
        let metres = |m| Distance::from_m(m).unwrap();
        let found = critical_speed(
            (metres(300.0 * v20 * (1.0 + more)), 0.024),
            (metres(1_200.0 * v20), 0.02),
        );
        let found = found.unwrap().speed.m_per_s();
        prop_assert!(found > 0.0 && found < v20);
    }

    #[test]
    fn chances_are_whole_symmetrical_and_even_at_the_smallest_worthwhile(
        change in -12.0..12.0, error in 0.1..8.0, worthwhile in 0.1..3.0,
    ) {
        let (better, worse) = chances(change, error, worthwhile);
        prop_assert!(better >= 0.0 && worse >= 0.0 && better + worse <= 1.0 + 1e-12);
        let (turned_better, turned_worse) = chances(-change, error, worthwhile);
        prop_assert!((better - turned_worse).abs() < 1e-12 && (worse - turned_better).abs() < 1e-12);
        prop_assert!((chances(worthwhile, error, worthwhile).0 - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_comparison_does_not_care_for_the_unit_of_speed(
        before in 2.0..5.0, ratio in 0.8..1.25, unit in 0.3..3.0,
    ) {
        let kind = TestKind::TwentyMinutes;
        let plain = compare(kind, &[speed(before)], &[speed(before * ratio)]).unwrap();
        let other = compare(kind, &[speed(before * unit)], &[speed(before * ratio * unit)]).unwrap();
        prop_assert!((plain.change_percent - other.change_percent).abs() < 1e-9);
        prop_assert!((plain.chance_better - other.chance_better).abs() < 1e-9);
    }

    #[test]
    fn a_trend_does_not_care_for_the_unit_of_speed(
        speeds in prop::collection::vec(3.0..5.0, 2..9), unit in 0.5..2.0, gap in 20_u64..90,
    ) {
        let begin = chrono::NaiveDate::from_ymd_opt(2025, 1, 6).unwrap();
        let of = |unit: f64| {
            let day = |at: usize| begin + chrono::Days::new(gap * at as u64);
            let tests: Vec<Observation> = speeds
                .iter()
                .enumerate()
                .map(|(at, v)| Observation { on: day(at), speed: speed(v * unit), error: 0.02 })
                .collect();
            of_observations(TestKind::TwentyMinutes, &tests, &[], day(speeds.len())).unwrap()
        };
        let (plain, other) = (of(1.0), of(unit));
        let (a, b) = (plain.change.unwrap(), other.change.unwrap());
        prop_assert!((a.percent - b.percent).abs() < 1e-7);
        prop_assert!((a.chance_worse - b.chance_worse).abs() < 1e-7);
        prop_assert!((plain.today.error - other.today.error).abs() < 1e-9);
        prop_assert!(plain.levels.iter().all(|level| level.error <= 0.0201));
    }

    #[test]
    fn paces_come_back_from_the_speeds_they_were_made_of(seconds in 120_u32..1_200) {
        for units in [UnitSystem::Kilometres, UnitSystem::Miles] {
            let there = speed_of_pace(seconds, units).unwrap();
            prop_assert_eq!(pace_seconds(there, units), Some(seconds));
        }
    }

    #[test]
    fn a_race_further_away_takes_longer(
        known in 2_500.0..8_000.0, pace in 2.8..6.0, near in 1_500.0..20_000.0, more in 50.0..1_000.0,
    ) {
        let effort = AllOut {
            distance: Distance::from_m(known).unwrap(),
            duration: Seconds::from_s(known / pace).unwrap(),
            error: 0.02,
        };
        let at = |m: f64| outlook(&[effort], Distance::from_m(m).unwrap());
        if let (Ok(short), Ok(long)) = (at(near), at(near + more)) {
            prop_assert!(short.time < long.time);
        }
    }
}
