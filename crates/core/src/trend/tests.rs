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

#[test]
fn a_treadmill_is_a_series_of_its_own_and_a_change_is_told_from_any_test_of_the_series() {
    use crate::athlete::Athlete;
    use crate::ids::{AthleteId, ConditionsId, TestId};
    use crate::physiology::conditions::{Conditions, Ground};
    use crate::test::{Decision, Evidence, Performance, TestConditions};
    use crate::units::{Distance, Seconds, Share};

    let athlete = Athlete::new(AthleteId(1), "Ida");
    let day = |month| NaiveDate::from_ymd_opt(2026, month, 10).unwrap();
    let run = |id: i64, month, metres| Test {
        id: TestId(id),
        athlete: athlete.id,
        kind: TestKind::TwentyMinutes,
        on: day(month),
        performance: Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(1_200.0).unwrap(),
            mean_heart_rate: None,
            heart_rate_share: Share::WHOLE,
            peak_heart_rate: None,
        },
        evidence: Evidence::Typed,
        decision: Decision::Accepted { reason: None },
    };
    let tests = [run(1, 1, 5_000.0), run(2, 3, 5_600.0), run(3, 5, 5_050.0), run(4, 7, 5_100.0)];
    let conditions = [TestConditions {
        id: ConditionsId(1),
        athlete: athlete.id,
        test: TestId(2),
        conditions: Conditions { ground: Some(Ground::Treadmill), ..Conditions::default() },
    }];
    let facts = Facts { conditions: &conditions, ..Facts::of_tests(&athlete, &tests) };
    let found = trend(&facts, &[], TestKind::TwentyMinutes, day(8)).unwrap();
    assert_eq!((found.tests.len(), found.is_newer_series), (3, true));
    let since =
        |month| change_since(&facts, &[], TestKind::TwentyMinutes, (day(month), day(8))).unwrap();
    assert_eq!((since(1).from, since(5).from), (day(1), day(5)));
    assert!(since(1).percent > since(5).percent && since(5).percent > 0.0);
    assert_eq!(change_since(&facts, &[], TestKind::TwentyMinutes, (day(1), day(3))), None);
}

#[test]
fn a_test_that_those_before_do_not_explain_is_said_to_be_off_its_trend() {
    let day = |month, day| NaiveDate::from_ymd_opt(2026, month, day).unwrap();
    let run = |on, metres: f64| Observation {
        on,
        speed: Speed::from_m_per_s(metres / 1_200.0).unwrap(),
        error: 0.02,
    };
    let off = |tests: &[Observation]| {
        let trend = of_observations(TestKind::TwentyMinutes, tests, &[], tests.last().unwrap().on);
        trend.unwrap().change.unwrap()
    };
    // two tests of 2 % six weeks apart: their difference has an error of sqrt(2) * 2 % and what the
    // level wanders and drifts (0.5 % * sqrt(6) = 1.2 %, about 0.8 %): 3.2 %, of which 2.576 are 8.2 %
    let fell = off(&[run(day(10, 13), 5_400.0), run(day(11, 24), 4_862.0)]);
    assert_ne!(fell.verdict, Verdict::ClearLoss);
    assert!((fell.off_percent.unwrap() - (100.0 * (4_862.0_f64 / 5_400.0 - 1.0))).abs() < 0.01);
    let usual = off(&[run(day(10, 13), 5_400.0), run(day(11, 24), 5_062.0)]);
    assert_eq!(usual.off_percent, None, "6.3 % slower is within the errors");
    // where a loss is told, it is told
    let clear = off(&[run(day(6, 1), 5_400.0), run(day(9, 1), 4_700.0), run(day(11, 24), 4_650.0)]);
    assert_eq!((clear.verdict, clear.off_percent), (Verdict::ClearLoss, None));
}

#[test]
fn a_run_held_off_its_target_is_no_part_of_the_aerobic_base() {
    use crate::athlete::Athlete;
    use crate::ids::TestId;
    use crate::test::{Decision, Evidence, Performance};
    use crate::units::{Distance, HeartRate, Seconds, Share, UnitSystem};
    use crate::words;

    let athlete = Athlete::new(AthleteId(1), "Ida");
    let day = |month| NaiveDate::from_ymd_opt(2026, month, 10).unwrap();
    let run = |id: i64, kind: TestKind, month, metres, bpm: Option<f64>| Test {
        id: TestId(id),
        athlete: athlete.id,
        kind,
        on: day(month),
        performance: Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(kind.length_s()).unwrap(),
            mean_heart_rate: bpm.map(|bpm| HeartRate::from_bpm(bpm).unwrap()),
            heart_rate_share: Share::WHOLE,
            peak_heart_rate: None,
        },
        evidence: Evidence::Typed,
        decision: Decision::Accepted { reason: None },
    };
    let forty = |id, month, metres, bpm| run(id, TestKind::FortyMinutes, month, metres, Some(bpm));
    // 0.95 x 0.95 x 160 = 144.4: up to 152.4 it is LT1 pace, as for the markers
    let twenty = run(1, TestKind::TwentyMinutes, 2, 5_400.0, Some(160.0));
    let tests = [
        twenty.clone(),
        forty(2, 1, 8_300.0, 144.0),
        forty(3, 3, 8_400.0, 144.0),
        forty(4, 4, 8_460.0, 152.3),
        forty(5, 5, 9_600.0, 152.5),
    ];
    let of = |tests: &[Test]| {
        let facts = Facts::of_tests(&athlete, tests);
        let share = SecondThresholdShare::default();
        let said = readings(TestKind::FortyMinutes, &facts, share);
        let out: Vec<Option<LeftOut>> = said.iter().map(|reading| reading.left_out).collect();
        (trend(&facts, &[], TestKind::FortyMinutes, day(6)), out, said)
    };
    let (found, out, said) = of(&tests);
    let (elsewhere, no_target) = (Some(LeftOut::HeldElsewhere), Some(LeftOut::NoTarget));
    // the first was run before any 20 minutes told what to hold
    assert_eq!(out, [no_target, None, None, elsewhere]);
    let found = found.unwrap();
    let on: Vec<NaiveDate> = found.tests.iter().map(|test| test.on).collect();
    assert_eq!((on, found.is_newer_series), (vec![day(3), day(4)], false));
    // 9600 m in 40 minutes would be a gain of 14 %
    assert_eq!(found.change.unwrap().verdict, Verdict::NoClearChange);
    let facts = Facts::of_tests(&athlete, &tests);
    let since = |to| change_since(&facts, &[], TestKind::FortyMinutes, (day(3), day(to)));
    assert!(since(4).is_some() && since(5).is_none(), "what is left out tells of no change");
    // 2400 s over 9.6 km is 4:10 per km (arithmetic)
    assert_eq!(
        words::mark(TestKind::FortyMinutes, &said[3], UnitSystem::Kilometres),
        "4:10 per km, not in the trend: held too far from LT1 heart rate to give LT1 pace"
    );
    let (alone, out, _) = of(&tests[1..2]);
    assert_eq!((alone, out), (None, vec![no_target]));
    // distances alone, beside an LT2 pace: nothing speaks against them
    let typed = |test: &Test| {
        let performance = Performance { mean_heart_rate: None, ..test.performance };
        Test { performance, ..test.clone() }
    };
    let (found, out, _) = of(&[typed(&twenty), typed(&tests[2]), typed(&tests[4])]);
    assert_eq!((found.unwrap().tests.len(), out), (2, vec![None, None]));
}
