//! Every published or derived check value of the physiology, row by row.
//!
//! The mark after each row says how its expected value is known: (published) the formula or figure was
//! seen in the source that its function names; (secondary) seen on a secondary page only; (memory)
//! from memory, not seen; (derived) arithmetic on the former; (common practice) a rule of thumb that
//! has no source. All expected values were worked out apart from the program.

use pacewright_core::change;
use pacewright_core::markers::{MarkerEvidence, derive};
use pacewright_core::physiology::conditions::{
    Celsius, HeatAdvice, estimated_wet_bulb_globe, heat_advice, wet_bulb_globe,
};
use pacewright_core::physiology::critical_speed::{CriticalSpeed, critical_speed};
use pacewright_core::physiology::heart_rate_gain::{speed_change_for, speed_per_beat_change};
use pacewright_core::physiology::heart_rate_lag::{deficit_of_mean_bpm, share_made};
use pacewright_core::physiology::heart_rate_max::{AgeLine, percent_of_max_at};
use pacewright_core::physiology::heart_rate_reserve as reserve;
use pacewright_core::physiology::oxygen_cost::{CostLine, uptake_uphill_ml_per_kg_min};
use pacewright_core::physiology::power_law::Exponent;
use pacewright_core::physiology::ratios;
use pacewright_core::physiology::slope::{cost_j_per_kg_m, level_speed_factor};
use pacewright_core::physiology::thresholds::{
    FirstThresholdFactor, SecondThresholdShare, lt1_heart_rate, lt2_heart_rate, lt2_speed,
};
use pacewright_core::test::{Performance, TestKind};
use pacewright_core::units::{Distance, HeartRate, Seconds, Share, Speed, Years};

fn close(row: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{row}: {got}, not {expected}");
}

fn km_per_h(v: f64) -> Speed {
    Speed::from_m_per_s(v / 3.6).unwrap()
}

fn metres(m: f64) -> Distance {
    Distance::from_m(m).unwrap()
}

fn seconds(s: f64) -> Seconds {
    Seconds::from_s(s).unwrap()
}

fn share(ratio: f64) -> Share {
    Share::from_ratio(ratio).unwrap()
}

fn bpm(rate: f64) -> HeartRate {
    HeartRate::from_bpm(rate).unwrap()
}

#[test]
fn rows_1_to_9_and_49_oxygen_cost() {
    let uptake = |line: CostLine, v| line.uptake_ml_per_kg_min(km_per_h(v));
    close("1 (secondary)", uptake(CostLine::Acsm, 12.0), 43.500, 0.001);
    close("2 (secondary)", uptake_uphill_ml_per_kg_min(km_per_h(10.0), 0.05), 44.333, 0.001);
    close("3 (published)", uptake(CostLine::LegerMercierTreadmill, 15.0), 49.654, 0.001);
    // the abstract lost the exponent; "cubic" is stated, so it is read as 3
    close("4 (published)", uptake(CostLine::LegerMercierTrack, 18.0), 62.208, 0.005);
    close("5 (published)", uptake(CostLine::Proportional, 12.0), 42.000, 0.001);
    let floor =
        |line: CostLine| line.speed_at_share(km_per_h(16.0), share(0.56)).unwrap().m_per_s() * 3.6;
    close("6 (secondary)", floor(CostLine::Acsm), 8.498, 0.001);
    close("7 (published)", floor(CostLine::LegerMercierTreadmill), 8.653, 0.001);
    close("8 (published)", floor(CostLine::LegerMercierTrack), 8.916, 0.002);
    close("9 (published)", floor(CostLine::Proportional), 8.960, 0.001);
    let air =
        uptake(CostLine::LegerMercierTrack, 16.0) - uptake(CostLine::LegerMercierTreadmill, 16.0);
    close("49 (published)", air, 2.153, 0.001);
}

#[test]
fn rows_10_to_14_maximal_heart_rate_by_age() {
    let at = |line: AgeLine, years| line.at(Years::from_years(years).unwrap()).unwrap().bpm();
    close("10 (secondary)", at(AgeLine::Tanaka, 40.0), 180.0, 0.05);
    close("11 (published)", at(AgeLine::Nes, 40.0), 185.4, 0.05);
    close("12 (published)", at(AgeLine::Gellish, 40.0), 180.1, 0.05);
    close("13 (published)", at(AgeLine::Gulati, 50.0), 162.0, 0.05);
    close("14 (published)", at(AgeLine::BrawnerOnBetaBlocker, 50.0), 129.0, 0.05);
}

#[test]
fn rows_15_to_20_heart_rate_against_uptake() {
    close("15 (memory; its means published)", percent_of_max_at(share(0.56)), 72.84, 0.01);
    for (at, mean) in [(0.40, 63.0), (0.60, 76.0), (0.80, 89.0), (0.85, 92.0)] {
        close("16 (published)", percent_of_max_at(share(at)), mean, 1.0);
    }
    let of_reserve = reserve::percent_of_reserve_at(share(0.56));
    close("17 (published)", of_reserve, 55.50, 0.01);
    let rate = reserve::at_percent_of_reserve(of_reserve, bpm(50.0), bpm(190.0)).unwrap();
    close("18 (published)", rate.bpm(), 127.70, 0.01);
    close("19 (derived)", reserve::percent_of_uptake_reserve(56.0, 50.0), 52.69, 0.01);
    close("20 (published)", reserve::percent_of_vo2max(45.0, 50.0), 48.85, 0.01);
}

#[test]
fn rows_21_to_27_slopes() {
    close("21 (secondary)", cost_j_per_kg_m(0.0), 3.600, 1e-9);
    close("22 (secondary)", cost_j_per_kg_m(0.10), 5.9682, 0.0001);
    close("23 (secondary)", cost_j_per_kg_m(-0.10), 2.1517, 0.0001);
    close("24 (secondary)", cost_j_per_kg_m(0.20), 9.0067, 0.0001);
    close("24 (secondary)", cost_j_per_kg_m(-0.20), 1.8000, 0.0001);
    // the cheapest slope by thirds: the cost falls, then rises, over this stretch
    let (mut low, mut high) = (-0.45, 0.0);
    while high - low > 1e-8 {
        let (left, right) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if cost_j_per_kg_m(left) < cost_j_per_kg_m(right) { high = right } else { low = left }
    }
    close("25 (secondary)", low, -0.181_355, 1e-5);
    close("25 (secondary)", cost_j_per_kg_m(-0.181_355), 1.781_269, 1e-5);
    close("26 (secondary)", 10.0 * level_speed_factor(0.05), 13.014, 0.001);
    close("27 (published)", cost_j_per_kg_m(-0.20), 1.73, 0.10);
    close("27 (published)", cost_j_per_kg_m(0.45), 18.93, 0.55);
}

fn critical(five: f64, twenty: f64) -> CriticalSpeed {
    critical_speed((metres(five), 0.015), (metres(twenty), 0.015)).unwrap()
}

#[test]
fn rows_28_to_31_and_52_critical_speed() {
    let (first, second) = (critical(1_500.0, 5_400.0), critical(1_350.0, 4_900.0));
    close("28 (published model)", first.speed.m_per_s(), 4.3333, 0.0001);
    close("28 (published model)", first.reserve_m().0, 200.0, 0.01);
    close("29 (published model)", second.speed.m_per_s(), 3.9444, 0.0001);
    close("29 (published model)", second.reserve_m().0, 166.7, 0.05);
    close("30 (derived)", first.seconds_over(metres(10_000.0)), 2_261.5, 0.1);
    close("31 (derived)", first.error.m_per_s(), 0.0934, 0.0005);
    close("31 (derived)", first.reserve_m().1, 40.4, 0.1);
    // 52 (published): the first threshold stands at 82.3 % of critical speed, 81.1 to 83.6 (Hunter 2024).
    // The program states no such rule; where no 40-minute test was run, what it estimates from the same
    // two runs by ratios of other people (Esteve-Lanao 2026) must lie inside: 12.839 km/h is 82.3 % of #28
    for (five, twenty, critical) in [(1_500.0, 5_400.0, first), (1_350.0, 4_900.0, second)] {
        let ran = |metres: f64, kind: TestKind| Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: seconds(kind.length_s()),
            mean_heart_rate: None,
            heart_rate_share: Share::WHOLE,
            peak_heart_rate: None,
        };
        let found = derive(&MarkerEvidence {
            five: Some(ran(five, TestKind::FiveMinutes).into()),
            twenty: Some(ran(twenty, TestKind::TwentyMinutes).into()),
            ..MarkerEvidence::default()
        });
        let again = found.critical_speed.unwrap().speed.m_per_s();
        close("28, 29 (published model)", again, critical.speed.m_per_s(), 1e-9);
        let lt1 = found.markers.lt1.speed.unwrap().value.m_per_s();
        close("52 (published)", lt1 / critical.speed.m_per_s(), 0.8235, 0.0125);
    }
}

#[test]
fn rows_32_33_and_51_thresholds() {
    let twenty = Speed::from_m_per_s(4.5).unwrap();
    close(
        "32 (common practice)",
        lt2_speed(twenty, SecondThresholdShare::default()).unwrap().m_per_s(),
        4.2750,
        0.0001,
    );
    let lt1 = lt1_heart_rate(bpm(150.0), FirstThresholdFactor::default()).unwrap();
    close("33 (common practice)", lt1.bpm(), 142.5, 1e-12);
    // halves are shown upwards; rounding to even would give 142
    assert_eq!(pacewright_core::format::whole_beats(lt1), 143, "33 (common practice)");
    assert!(
        (lt2_heart_rate(bpm(157.9), SecondThresholdShare::default()).unwrap().bpm() - 150.005)
            .abs()
            < 1e-9
    );
    close("51 (published)", FirstThresholdFactor::ventilatory().ratio(), 0.9102, 0.0001);
    close("51 (published)", ratios::LT1_OF_LT2_SPEED.mean, 0.8436, 0.0001);
}

#[test]
fn rows_34_to_38_the_power_law() {
    let law = Exponent::published();
    let time = |known, wanted| law.time(known, metres(wanted)).unwrap().s();
    let five_km = (metres(5_000.0), seconds(1_200.0));
    let ten_km = |s| (metres(10_000.0), seconds(s));
    close("34 (secondary)", time(five_km, 10_000.0), 2_501.9, 0.1);
    close("35 (secondary)", time(ten_km(2_400.0), 21_097.5), 5_295.4, 0.2);
    close("36 (derived)", Exponent::own(five_km, ten_km(2_500.0)).unwrap().value(), 1.05889, 1e-5);
    close("37 (derived)", law.speed_ratio(seconds(1_200.0), seconds(3_600.0)), 0.9397, 1e-4);
    let held = law.duration_at(seconds(1_200.0), 0.95).unwrap();
    close("38 (derived)", held.s() / 60.0, 49.50, 0.02);
}

#[test]
fn rows_39_to_43_is_the_change_real() {
    let speeds = |all: &[f64]| -> Vec<Speed> {
        all.iter()
            .map(|percent| Speed::from_m_per_s(4.0 * (1.0 + percent / 100.0)).unwrap())
            .collect()
    };
    // the method, for typical errors other than a test's own
    let chances = |seen: f64, typical: f64, worthwhile: f64| {
        let error = typical * 2.0_f64.sqrt();
        change::chances(seen, error, worthwhile)
    };
    let triple = |row: &str, (better, worse): (f64, f64), expected: [f64; 3]| {
        close(row, better, expected[0], 0.0002);
        close(row, 1.0 - better - worse, expected[1], 0.0002);
        close(row, worse, expected[2], 0.0002);
    };
    triple("39 (published method)", chances(3.0, 2.0, 1.0), [0.7602, 0.1611, 0.0786]);
    triple("40 (published method)", chances(2.0, 1.5, 1.0), [0.6813, 0.2400, 0.0786]);
    triple("(published method)", chances(5.0, 2.4, 1.0), [0.8807, 0.0807, 0.0385]);
    triple("(published method)", chances(1.0, 2.0, 1.0), [0.5000, 0.2602, 0.2398]);
    triple("(published method)", chances(-3.0, 2.0, 1.0), [0.0786, 0.1611, 0.7602]);
    let twenty = TestKind::TwentyMinutes;
    let once = change::compare(twenty, &speeds(&[0.0]), &speeds(&[3.0])).unwrap();
    close("41 (published method)", change::limits_of_agreement_percent(twenty), 5.544, 0.001);
    close("39 (published method)", once.chance_better, 0.7602, 0.0002);
    // heart rate: fewer beats, typical error 1.8, worthwhile 2
    close("42 (published method)", chances(-5.0, 1.8, 2.0).1, 0.8807, 0.0002);
    let twice = change::compare(twenty, &speeds(&[0.0, 0.0]), &speeds(&[1.0, 1.0])).unwrap();
    close("43 (derived)", twice.standard_error_percent, 2.000, 0.001);
}

#[test]
fn rows_44_to_48_heart_rate_in_time() {
    close("44 (published)", share_made(seconds(60.0)), 0.6471, 0.0001);
    close("44 (published)", share_made(seconds(180.0)), 0.9561, 0.0001);
    let deficit = |dropped| deficit_of_mean_bpm(60.0, seconds(1_200.0), seconds(dropped));
    close("45 (derived)", deficit(0.0), 2.880, 0.001);
    close("46 (derived)", deficit(180.0), 0.149, 0.001);
    // speed for each beat, second half against first
    let at = |m_per_s, beats| (Speed::from_m_per_s(m_per_s).unwrap(), bpm(beats));
    let change = speed_per_beat_change(at(4.00, 142.0), at(3.90, 144.0));
    close("47 (derived)", 100.0 * change, -3.854, 0.001);
    close("48 (published)", speed_change_for(5.0) * 3.6, 0.744, 0.001);
}

#[test]
fn row_50_heat() {
    let degrees = |d| Celsius::from_degrees(d).unwrap();
    let of = |wet, globe, air| {
        wet_bulb_globe(degrees(wet), degrees(globe), degrees(air)).unwrap().degrees()
    };
    close("50 (memory)", of(20.0, 35.0, 28.0), 23.8, 0.05);
    close("(memory)", of(24.0, 40.0, 32.0), 28.0, 0.05);
    let estimated = estimated_wet_bulb_globe(degrees(30.0), share(0.5)).unwrap();
    close("(memory)", estimated.degrees(), 29.3, 0.05);
    // judgement: 18 slows, 23 postpones (21 unacclimatised), 28 refuses
    assert_eq!(heat_advice(degrees(17.9), true), HeatAdvice::Fine);
    assert_eq!(heat_advice(degrees(21.0), true), HeatAdvice::Slows);
    assert_eq!(heat_advice(degrees(21.0), false), HeatAdvice::Postpone);
    assert_eq!(heat_advice(estimated, true), HeatAdvice::Refuse);
}

/// The rule LT2 = 95 % of the 20-minute speed stands inside its brackets: above the speed at maximal
/// lactate steady state, below critical speed and the speed of a 30-minute run. Three routes through
/// published figures, worked by hand.
#[test]
fn the_second_threshold_rule_lies_inside_its_brackets() {
    let law = Exponent::published();
    let ratio = |minutes: f64| law.speed_ratio(seconds(1_200.0), seconds(60.0 * minutes));
    // steady state lasts about 64 min (Legaz-Arrese 2011) to 80 min (Hafen 2018)
    close("64 to 80 minutes (derived)", ratio(60.0), 0.9397, 1e-4);
    close("64 to 80 minutes (derived)", ratio(80.0), 0.9245, 1e-4);
    // critical speed of the 5/20 pair over the 20-minute speed
    let five = law.speed_ratio(seconds(1_200.0), seconds(300.0));
    let pair = critical(300.0 * five * 4.5, 5_400.0).speed.m_per_s() / 4.5;
    close("critical speed (derived)", pair, 0.9728, 1e-4);
    // steady state is 0.927 (Nixon 2021) to 0.947 (de Lucas 2012) of critical speed
    let steady = (0.927 * pair, 0.947 * pair);
    let thirty = ratio(30.0);
    close("30 minutes (derived)", thirty, 0.9773, 1e-4);
    let one = Speed::from_m_per_s(1.0).unwrap();
    let rule = lt2_speed(one, SecondThresholdShare::default()).unwrap().m_per_s();
    assert!(steady.0 < rule && steady.1 < rule && ratio(64.0) < rule);
    assert!(rule < pair && rule < thirty);
}
