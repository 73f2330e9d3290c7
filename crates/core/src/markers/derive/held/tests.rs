//! 40-minute tests held at LT1 heart rate, elsewhere, and at nobody knows what.

use super::*;
use crate::markers::{Markers, derive, forty_minute_target};
use crate::remark::{Code, Finding, Remark};
use crate::test::{Performance, TestKind};
use crate::units::{Distance, Origin, Seconds, Share, UnitSystem};
use crate::words;
use crate::zones;

fn ran(kind: TestKind, metres: f64, bpm: Option<f64>) -> Attempt {
    Attempt::from(Performance {
        distance: Distance::from_m(metres).unwrap(),
        duration: Seconds::from_s(kind.length_s()).unwrap(),
        mean_heart_rate: bpm.map(|bpm| HeartRate::from_bpm(bpm).unwrap()),
        heart_rate_share: Share::WHOLE,
        peak_heart_rate: None,
    })
}

fn of(twenty: Option<(f64, Option<f64>)>, forty: (f64, Option<f64>)) -> MarkerEvidence {
    MarkerEvidence {
        twenty: twenty.map(|(metres, bpm)| ran(TestKind::TwentyMinutes, metres, bpm)),
        forty: Some(ran(TestKind::FortyMinutes, forty.0, forty.1)),
        ..MarkerEvidence::default()
    }
}

fn lt1(markers: &Markers) -> (f64, Origin) {
    let speed = markers.lt1.speed.unwrap();
    (speed.value.m_per_s(), speed.origin)
}

fn said(remarks: &[Remark]) -> String {
    let missed = remarks.iter().filter(|r| r.finding.code() == Code::TargetMissed);
    missed.map(|r| words::remark(r, UnitSystem::Kilometres)).collect()
}

#[test]
fn a_run_held_far_from_lt1_heart_rate_gives_no_lt1_pace() {
    // 160 x 0.95 x 0.95 = 144.4: 170 is 26 beats above it
    let derived = derive(&of(Some((5_400.0, Some(160.0))), (10_000.0, Some(170.0))));
    let text = said(&derived.remarks);
    assert!(text.contains("26 beats above") && text.contains("is not LT1 pace"), "{text}");
    let (speed, origin) = lt1(&derived.markers);
    // 0.95 x 4.5 m/s x 73.9 / 87.6 (Esteve-Lanao 2026), by hand
    assert!((speed - 3.6064).abs() < 0.001, "{speed}");
    assert_eq!(origin, Origin::Estimated);
    assert_eq!(zones::crossed_pairs(&derived.markers), []);
}

#[test]
fn a_run_held_a_few_beats_off_stays_lt1_pace_and_is_remarked() {
    // 150.4 is 6 beats above 144.4
    let derived = derive(&of(Some((5_400.0, Some(160.0))), (8_640.0, Some(150.4))));
    let (speed, origin) = lt1(&derived.markers);
    assert!((speed - 3.6).abs() < 1e-9);
    assert_eq!(origin, Origin::Measured);
    let text = said(&derived.remarks);
    assert!(text.contains("likely faster than LT1 pace"), "{text}");
    assert!(!text.contains("is not LT1 pace"), "{text}");
}

#[test]
fn a_first_run_without_a_target_is_an_estimate_and_no_target_for_the_next() {
    let derived = derive(&of(None, (8_640.0, Some(150.0))));
    let (speed, origin) = lt1(&derived.markers);
    assert!((speed - 3.6).abs() < 1e-9);
    assert_eq!(origin, Origin::Estimated);
    // 8 beats at 24.2 a m/s (Hunt 2015) and 8.66 % of 3.6 m/s, by hand
    let validity = derived.markers.lt1.speed.unwrap().validity.m_per_s();
    assert!((validity - 0.4542).abs() < 0.001, "{validity}");
    assert_eq!(derived.markers.lt1.heart_rate.unwrap().origin, Origin::Estimated);
    assert_eq!(forty_minute_target(&derived.markers), None);
    assert!(derived.remarks.iter().any(|r| r.finding == Finding::NoTarget));
}

#[test]
fn a_later_twenty_minute_test_confirms_it() {
    let derived = derive(&of(Some((5_400.0, Some(160.0))), (8_640.0, Some(145.0))));
    assert_eq!(lt1(&derived.markers).1, Origin::Measured);
    assert!(!derived.remarks.iter().any(|r| r.finding == Finding::NoTarget));
    assert!(forty_minute_target(&derived.markers).is_some());
}

#[test]
fn distances_alone_and_runs_by_talk_test_stay_as_they_were() {
    assert_eq!(held(&of(Some((5_400.0, None)), (8_640.0, None))), Held::AtLt1);
    let medicated = MarkerEvidence { rate_lowering_medication: true, ..of(None, (8_640.0, None)) };
    assert_eq!(held(&medicated), Held::AtLt1);
    let wrist = MarkerEvidence { wrist_sensor: true, ..of(None, (8_640.0, Some(150.0))) };
    assert_eq!(held(&wrist), Held::AtLt1);
}
