//! Faults put in at known places, and steady hearts that must not be suspected.

use super::*;
use crate::units::{Cadence, HeartRate, Seconds};

/// A heart that wanders by a few beats, one sample every `step` seconds.
fn heart(step: u32, bpm: impl Fn(u32) -> f64) -> Vec<Sample> {
    (0..1_800)
        .step_by(step as usize)
        .map(|second| Sample {
            time: Seconds::from_s(f64::from(second)).unwrap(),
            position: None,
            distance: None,
            altitude: None,
            heart_rate: HeartRate::from_bpm(bpm(second)).ok(),
            cadence: Cadence::from_per_minute(88.0).ok(),
        })
        .collect()
}

fn steady(second: u32) -> f64 {
    158.0 + f64::from(second / 7 % 5)
}

fn only(samples: &[Sample]) -> HeartRateFault {
    let faults = heart_rate_faults(samples);
    assert_eq!(faults.len(), 1, "{faults:?}");
    faults[0]
}

fn place(fault: HeartRateFault) -> (f64, f64) {
    (fault.span.from.s(), fault.span.to.s())
}

#[test]
fn a_steady_heart_has_no_fault() {
    for step in [1, 3, 7] {
        assert_eq!(heart_rate_faults(&heart(step, steady)), []);
    }
}

#[test]
fn a_fall_that_comes_back_is_a_dropout_at_its_place() {
    for step in [1, 5] {
        let fall = |s| steady(s) - if (600..640).contains(&s) { 45.0 } else { 0.0 };
        let fault = only(&heart(step, fall));
        assert!(matches!(fault.kind, FaultKind::Dropout { by_bpm } if by_bpm >= 40.0), "{fault:?}");
        let (from, to) = place(fault);
        assert!((from - 599.0).abs() <= 5.0 && (to - 640.0).abs() <= 5.0, "{from} {to}");
        assert!(fault.leaves_out());
    }
}

#[test]
fn a_fall_that_stays_is_a_step_and_says_nothing_of_which_side_is_right() {
    let fault = only(&heart(1, |s| steady(s) - if s >= 900 { 30.0 } else { 0.0 }));
    assert!(matches!(fault.kind, FaultKind::Step { by_bpm } if by_bpm < -25.0), "{fault:?}");
    assert!(!fault.leaves_out());
}

#[test]
fn a_rise_that_falls_back_is_a_spike() {
    let fault = only(&heart(1, |s| steady(s) + if (300..320).contains(&s) { 40.0 } else { 0.0 }));
    assert!(matches!(fault.kind, FaultKind::Spike { .. }) && fault.leaves_out(), "{fault:?}");
}

#[test]
fn one_value_is_suspect_from_a_minute_and_a_fault_from_a_minute_and_a_half() {
    let flat = |length: u32| {
        heart(1, move |s| if (400..=400 + length).contains(&s) { 171.0 } else { steady(s) })
    };
    assert_eq!(heart_rate_faults(&flat(59)), []);
    let suspect = only(&flat(60));
    assert_eq!((suspect.kind, suspect.leaves_out()), (FaultKind::Flat, false));
    let fault = only(&flat(90));
    assert_eq!((place(fault), fault.leaves_out()), ((400.0, 490.0), true));
}

#[test]
fn beats_that_follow_steps_are_suspected_and_strides_are_doubled() {
    // 88 strides a minute are 176 steps
    let locked = |length: u32| {
        heart(1, move |s| {
            if (600..600 + length).contains(&s) { 175.0 + f64::from(s % 3) } else { steady(s) }
        })
    };
    assert!(heart_rate_faults(&locked(100)).iter().all(|f| !f.is_suspicion()));
    let faults = heart_rate_faults(&locked(200));
    let lock = faults.iter().find(|fault| fault.is_suspicion()).unwrap();
    let (from, to) = place(*lock);
    assert!((from - 600.0).abs() <= 20.0 && (to - 799.0).abs() <= 20.0, "{from} {to}");
    // its edges are no steps of their own
    assert_eq!(faults.len(), 1, "{faults:?}");
}

#[test]
fn values_no_heart_has_are_told_with_the_worst() {
    let fault = only(&heart(1, |s| {
        if (50..=52).contains(&s) { 230.0 + f64::from(s) / 10.0 } else { steady(s) }
    }));
    assert!(matches!(fault.kind, FaultKind::Implausible { worst_bpm } if worst_bpm > 235.0));
    assert_eq!(place(fault), (50.0, 52.0));
}
