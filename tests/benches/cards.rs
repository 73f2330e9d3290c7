//! Zone cards on paper. Budgets (2 cores): 500 cards in under 2 s and under 1 MB a hundred; one card
//! as a preview in well under 200 ms.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a bench stops at the first surprise and prints"
)]

use chrono::NaiveDate;
use pacewright_core::calibration::{Basis, Calibration};
use pacewright_core::ids::{AthleteId, CalibrationId, TestId};
use pacewright_core::markers::Markers;
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, UnitSystem};
use pacewright_core::zones::Zones;
use pacewright_sheets::card::{CardFacts, Layout, cards};
use pacewright_sheets::strip::Window;

fn main() {
    for count in [100, 500] {
        let bytes = written(&squad(count)).len();
        println!(
            "{count} cards: {bytes} bytes, {:.2} of the budget",
            bytes as f64 / (count as f64 * 10_000.0)
        );
    }
    divan::main();
}

/// Each athlete a little faster than the one before, so that no two cards are alike.
fn squad(count: usize) -> Vec<Calibration> {
    let athlete = |index: usize| {
        let top = 3.0 + index as f64 * 0.004;
        let marker = |share: f64, bpm: Option<f64>| {
            let estimate = |value: f64| serde_json::json!({"value": value, "validity": value * 0.03, "repeatability": value * 0.02, "origin": "Measured"});
            serde_json::json!({"speed": estimate(top * share), "heart_rate": bpm.map(estimate)})
        };
        let markers: Markers = serde_json::from_value(serde_json::json!({
            "aerobic_floor": marker(0.533, Some(136.0)), "lt1": marker(0.715, Some(156.75)),
            "lt2": marker(0.858, Some(165.0)), "vo2max": marker(1.0, None),
        }))
        .unwrap();
        let zone = |number: u8,
                    name: &str,
                    slow: Option<f64>,
                    fast: Option<f64>,
                    beats: Option<(u16, u16)>,
                    leads: &str| {
            serde_json::json!({
                "number": number, "name": name, "leads": leads, "estimated": false,
                "heart_rate": beats.map(|(from, to)| serde_json::json!({"from": from, "to": to})),
                "pace": {"slowest": slow.map(|share| share * top), "fastest": fast.map(|share| share * top)},
            })
        };
        let zones: Zones = serde_json::from_value(serde_json::json!({"zones": [
            zone(1, "Very easy", None, Some(0.533), Some((100, 136)), "HeartRate"),
            zone(2, "Easy", Some(0.533), Some(0.715), Some((137, 157)), "HeartRate"),
            zone(3, "Brisk", Some(0.715), Some(0.858), Some((158, 165)), "Pace"),
            zone(4, "Long intervals", Some(0.858), Some(1.0), Some((166, 180)), "Pace"),
            zone(5, "Fast repetitions", Some(1.0), None, None, "PaceOrFeel"),
        ]}))
        .unwrap();
        let from = NaiveDate::from_ymd_opt(2026, 11, 19).unwrap();
        let basis = TestKind::ALL.map(|kind| Basis::of_test(kind, from, TestId(1))).to_vec();
        Calibration { id: CalibrationId(1), athlete: AthleteId(1), from, basis, markers, zones }
    };
    (0..count).map(athlete).collect()
}

fn facts(calibrations: &[Calibration]) -> Vec<CardFacts<'_>> {
    let window = |from: NaiveDate| Window {
        opens: from + chrono::Days::new(28),
        closes: from + chrono::Days::new(56),
    };
    let card = |(index, calibration)| {
        let calibration: &Calibration = calibration;
        CardFacts {
            athlete: format!("Runner Number {index}"),
            calibration,
            units: UnitSystem::Kilometres,
            medication: false,
            retests: TestKind::ALL.map(|kind| (kind, window(calibration.from))).to_vec(),
            forty_minute_target: HeartRate::from_bpm(156.75).ok(),
            out_of_date: false,
            after_weeks_away: false,
            notes: Vec::new(),
        }
    };
    calibrations.iter().enumerate().map(card).collect()
}

fn written(calibrations: &[Calibration]) -> Vec<u8> {
    cards(&facts(calibrations), Layout::EightToAPage).unwrap().pdf().unwrap().pdf
}

/// Without what an earlier run left warm, as the first print of a day.
#[divan::bench(args = [1, 100, 500], sample_count = 5)]
fn eight_to_a_page(bencher: divan::Bencher<'_, '_>, count: usize) {
    let calibrations = squad(count);
    bencher.bench_local(|| written(&calibrations));
}

/// One card to look at, 150 dots an inch.
#[divan::bench(sample_count = 20)]
fn preview_of_one(bencher: divan::Bencher<'_, '_>) {
    let calibrations = squad(1);
    bencher.bench_local(|| {
        cards(&facts(&calibrations), Layout::OneToAPage).unwrap().preview(1, 150).unwrap()
    });
}
