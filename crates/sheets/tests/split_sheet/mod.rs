//! The split sheet: of every kind of zone, in miles, of a hundred, of nobody.

use pacewright_core::athlete::{Athlete, Screening};
use pacewright_core::calibration::Calibration;
use pacewright_core::ids::AthleteId;
use pacewright_core::retest::RetestWindow;
use pacewright_core::session::{Entrant, Session, Splits, splits};
use pacewright_core::units::{Distance, UnitSystem};
use pacewright_sheets::Paper;
use pacewright_sheets::split::{SplitFacts, split};

use crate::invented::{TESTED, calibration, on};
use crate::{HOSTILE, LONG, assert_says, printed, squeezed, text_of};

/// A session over athletes from their VO2max speeds, the last of whom has no zones.
fn splits_of(names: &[(&str, f64)], zone: u8, run: &str, units: UnitSystem) -> Splits {
    let lap = Distance::from_m(400.0).ok();
    let athletes: Vec<Athlete> = names
        .iter()
        .map(|(name, _)| Athlete {
            screening: Screening::Cleared { on: on(2026, 9, 1) },
            ..Athlete::new(AthleteId(1), *name)
        })
        .collect();
    let zones: Vec<Calibration> =
        names.iter().map(|(_, speed)| calibration(*speed, TESTED, true)).collect();
    let entrants: Vec<Entrant<'_>> = athletes
        .iter()
        .zip(&zones)
        .enumerate()
        .map(|(place, (athlete, zones))| Entrant {
            athlete,
            calibration: (place + 1 < names.len()).then_some(zones),
            medicated: place == 1,
            aways: &[],
            tests: &[],
            window: RetestWindow { opens_weeks: 4, closes_weeks: 12 },
        })
        .collect();
    splits(&Session::new(zone, run, lap).unwrap(), &entrants, units, on(2026, 11, 25))
}

fn split_facts(splits: &Splits) -> SplitFacts<'_> {
    SplitFacts {
        squad: "Tarn Hollow Runners".to_owned(),
        on: on(2026, 11, 25),
        units: UnitSystem::Kilometres,
        paper: Paper::A4,
        splits,
    }
}

#[test]
fn the_split_sheet_gives_groups_their_times_and_carries_its_cautions() {
    let squad =
        [("Mirela Stanescu", 4.78), (LONG, 4.7), ("山田 花子", 4.2), (HOSTILE, 3.4), ("Bo", 3.9)];
    let found = splits_of(&squad, 4, "6 x 1000 m", UnitSystem::Kilometres);
    let sheet = printed(&split(&split_facts(&found)).unwrap(), "split");
    assert_eq!(sheet.warnings, vec![]);
    assert_says(
        &sheet.pdf,
        &[
            "6 × 1,000 m on laps of 400 m",
            "Tarn Hollow Runners, 25 November 2026",
            "Zone 4, Long intervals",
            // 1000 / (4.78 x 0.858) = 243.8 and / 4.78 = 209.2: 4:04 to 3:30; 97.6 and 84 s a lap.
            // 1000 / (4.7 x 0.858) = 248.0 and / 4.7 = 212.8: 4:08 to 3:34, 99.2 and 85.6 s. The middle
            // halves of 84 to 97 and 86 to 99 are 88 to 93 and 90 to 95. Shared 90 to 93, in the middle
            // 91.5, half up 92; 2.5 laps of 92 s are 230 s
            "Group 1 1:32 a lap, 3:50 each 3:50 per km 400 m 1:32 · 800 m 3:04",
            "Mirela Stanescu 1:37 – 1:24 4:04 – 3:30 4:04 – 3:30",
            "runs alone",
            "No zones yet: Bo",
            "Stop, do not finish, seek help.",
            "Local rules and a licensed clinician come first.",
        ],
    );
}

#[test]
fn split_sheets_of_limits_of_at_least_in_miles_and_of_a_hundred() {
    let few = [("Mirela Stanescu", 4.78), ("Ewan MacAllister", 4.5), (LONG, 3.3), ("Bo", 3.9)];
    let easy = splits_of(&few, 2, "10 km", UnitSystem::Kilometres);
    let sheet = printed(&split(&split_facts(&easy)).unwrap(), "split-easy");
    assert_says(
        &sheet.pdf,
        &[
            "Times are limits, never targets: LT1 is a limit, not a target.",
            "no faster than",
            "up to 157 bpm",
            "by feel: you can talk in sentences",
        ],
    );
    let miles = splits_of(&few, 5, "8 x 300", UnitSystem::Miles);
    let facts =
        SplitFacts { units: UnitSystem::Miles, paper: Paper::Letter, ..split_facts(&miles) };
    // 1609.344 / 4.78 = 336.7 s a mile, shown 5:37: 337 x 300 / 1609.344 = 62.8 s
    let sheet = printed(&split(&facts).unwrap(), "split-miles");
    assert_says(&sheet.pdf, &["8 × 300 m", "1:02 each, or faster", "5:37 and faster", "per mile"]);
    let names: Vec<String> = (0..100).map(|n| format!("{LONG} the {n}th")).collect();
    let speeds = (0..100).map(|n| 3.2 + 0.02 * f64::from(n));
    let crowd: Vec<(&str, f64)> = names.iter().map(String::as_str).zip(speeds).collect();
    let crowd = splits_of(&crowd, 3, "3 x 2 km", UnitSystem::Kilometres);
    let document = split(&split_facts(&crowd)).unwrap();
    let sheet = printed(&document, "split-crowd");
    if let Some(text) = text_of(&sheet.pdf) {
        let text = squeezed(&text);
        for n in 0..100 {
            assert_eq!(text.matches(&format!(" the {n}th")).count(), 1, "{n} stands once");
        }
    }
    let nobody = splits_of(&[("Bo", 3.9)], 3, "3 x 2 km", UnitSystem::Kilometres);
    let sheet = printed(&split(&split_facts(&nobody)).unwrap(), "split-nobody");
    assert_says(&sheet.pdf, &["Nobody has times in this zone.", "No zones yet: Bo"]);
}
