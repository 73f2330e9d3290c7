//! What the trend makes of a few tests.

use super::*;
use crate::ids::{AthleteId, AwayId};

fn day(after: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 5).unwrap() + Days::new(after)
}

fn ran(after: u64, m_per_s: f64) -> Observation {
    Observation { on: day(after), speed: Speed::from_m_per_s(m_per_s).unwrap(), error: 0.02 }
}

fn of(tests: &[Observation], aways: &[Away], today: NaiveDate) -> Trend {
    of_observations(TestKind::TwentyMinutes, tests, aways, today).unwrap()
}

fn away(from: u64, to: u64) -> Away {
    Away {
        id: AwayId(1),
        athlete: AthleteId(1),
        kind: AwayKind::Injury,
        from: day(from),
        to: Some(day(to)),
        well_on: None,
    }
}

#[test]
fn one_test_is_its_own_level_and_the_band_widens_with_time() {
    let now = of(&[ran(0, 4.5)], &[], day(0));
    assert!((now.today.speed.m_per_s() - 4.5).abs() < 1e-9);
    assert!((now.today.error - 0.02).abs() < 2e-4);
    assert_eq!(now.change, None);
    let errors: Vec<f64> =
        (0..60).map(|week| of(&[ran(0, 4.5)], &[], day(7 * week)).today.error).collect();
    assert!(errors.windows(2).all(|pair| pair[0] < pair[1]));
}

#[test]
fn a_span_away_adds_doubt_and_takes_drift() {
    let tests = [ran(0, 4.0), ran(42, 4.1), ran(84, 4.2), ran(126, 4.3)];
    let (here, gone) = (of(&tests, &[], day(182)), of(&tests, &[away(127, 181)], day(182)));
    assert!(gone.today.error > here.today.error);
    // climbing at home, standing still away
    assert!(here.today.speed > gone.today.speed);
}

#[test]
fn steady_gains_are_called_and_one_odd_test_is_not() {
    let climbing: Vec<Observation> =
        (0..6).map(|n| ran(28 * n, 4.0 * (1.0 + 0.015 * n as f64))).collect();
    let change = of(&climbing, &[], day(140)).change.unwrap();
    assert!(matches!(change.verdict, Verdict::LikelyGain | Verdict::ClearGain), "{change:?}");
    let odd = [ran(0, 4.0), ran(42, 4.0), ran(84, 4.0), ran(126, 4.12)];
    assert_eq!(of(&odd, &[], day(126)).change.unwrap().verdict, Verdict::NoClearChange);
}

#[test]
fn a_change_turned_round_turns_its_verdict_round() {
    let (one, other) = ([ran(0, 4.0), ran(56, 4.3)], [ran(0, 4.3), ran(56, 4.0)]);
    let (up, down) =
        (of(&one, &[], day(56)).change.unwrap(), of(&other, &[], day(56)).change.unwrap());
    assert!((up.chance_better - down.chance_worse).abs() < 1e-9);
    assert!((up.error_percent - down.error_percent).abs() < 1e-9);
}
