//! Invented athletes: markers and zones written by hand, so that the documents are checked apart
//! from the physiology that will fill them.

use chrono::NaiveDate;
use pacewright_core::calibration::{Basis, Calibration};
use pacewright_core::ids::{AthleteId, CalibrationId, TestId};
use pacewright_core::markers::{Marker, Markers};
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, Speed, UnitSystem};
use pacewright_core::zones::{HeartRateBand, Leads, PaceBand, Zone, Zones};
use pacewright_sheets::card::CardFacts;
use pacewright_sheets::strip::Window;

/// A day of the invented year.
pub(super) fn on(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

/// A speed in metres per second.
pub(super) fn speed(m_per_s: f64) -> Speed {
    Speed::from_m_per_s(m_per_s).unwrap()
}

/// A marker with a speed, and a heart rate where one is given.
pub(super) fn marker(m_per_s: f64, bpm: Option<f64>, origin: &str) -> Marker {
    let estimate = |value: f64| serde_json::json!({"value": value, "validity": value * 0.03, "repeatability": value * 0.02, "origin": origin});
    let json = serde_json::json!({"speed": estimate(m_per_s), "heart_rate": bpm.map(estimate)});
    serde_json::from_value(json).unwrap()
}

/// Four markers at shares of a VO2max speed.
pub(super) fn markers(vo2max: f64, origins: [&str; 4]) -> Markers {
    let [floor, lt1, lt2, top] = origins;
    Markers {
        aerobic_floor: marker(vo2max * 0.533, Some(136.4), floor),
        lt1: marker(vo2max * 0.715, Some(156.75), lt1),
        lt2: marker(vo2max * 0.858, Some(165.0), lt2),
        vo2max: marker(vo2max, None, top),
    }
}

/// The five zones between markers, with or without heart rates.
pub(super) fn zones(markers: &Markers, heart_rates: bool, walking_floor: bool) -> Zones {
    let at = |marker: &Marker| marker.speed.map(|estimate| estimate.value);
    let beats = |from, to| heart_rates.then_some(HeartRateBand { from, to });
    let zone = |number: u8, name: &str, heart_rate, slowest, fastest, leads| Zone {
        number,
        name: name.to_owned(),
        heart_rate,
        pace: Some(PaceBand { slowest, fastest }).filter(|_| number > 1 || !walking_floor),
        leads,
        estimated: false,
    };
    let [floor, lt1, lt2, top] =
        [&markers.aerobic_floor, &markers.lt1, &markers.lt2, &markers.vo2max].map(at);
    // a floor that is walked has no pace
    let jogged = floor.filter(|_| !walking_floor);
    Zones {
        scheme: None,
        zones: vec![
            zone(1, "Very easy", beats(None, Some(136)), None, floor, Leads::HeartRate),
            zone(2, "Easy", beats(Some(137), Some(157)), jogged, lt1, Leads::HeartRate),
            zone(3, "Brisk", beats(Some(158), Some(165)), lt1, lt2, Leads::Pace),
            zone(4, "Long intervals", beats(Some(166), None), lt2, top, Leads::Pace),
            zone(5, "Fast repetitions", None, top, None, Leads::PaceOrFeel),
        ],
    }
}

/// What was handed out.
pub(super) fn calibration(vo2max: f64, origins: [&str; 4], heart_rates: bool) -> Calibration {
    let markers = markers(vo2max, origins);
    let basis = |kind, month, day| Basis::of_test(kind, on(2026, month, day), TestId(1));
    Calibration {
        id: CalibrationId(1),
        athlete: AthleteId(1),
        from: on(2026, 11, 19),
        basis: vec![
            basis(TestKind::TwentyMinutes, 11, 19),
            basis(TestKind::FortyMinutes, 10, 2),
            basis(TestKind::FiveMinutes, 10, 8),
        ],
        markers,
        zones: zones(&markers, heart_rates, false),
    }
}

/// All four tested, but the floor, which never is.
pub(super) const TESTED: [&str; 4] = ["ByRule", "Measured", "Measured", "Measured"];

/// A card in the usual state.
pub(super) fn card<'a>(athlete: &str, calibration: &'a Calibration) -> CardFacts<'a> {
    let window = |opens, closes| Window { opens, closes };
    CardFacts {
        athlete: athlete.to_owned(),
        calibration,
        units: UnitSystem::Kilometres,
        medication: false,
        retests: vec![
            (TestKind::TwentyMinutes, window(on(2026, 12, 17), on(2027, 1, 14))),
            (TestKind::FiveMinutes, window(on(2026, 11, 5), on(2026, 12, 3))),
            (TestKind::FortyMinutes, window(on(2026, 10, 30), on(2026, 11, 27))),
        ],
        forty_minute_target: HeartRate::from_bpm(156.75).ok(),
        out_of_date: false,
        after_weeks_away: false,
        notes: Vec::new(),
    }
}
