//! A squad of any size, for checks of scale: invented names, years of tests, made one athlete at a
//! time, recordings of the effort alone and simulated only when asked for.

use chrono::NaiveDate;
use pacewright_core::athlete::{Screening, Sensor, Sex};
use pacewright_core::test::TestKind;
use pacewright_core::units::HeartRate;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::calendar::{Series, days_before, tests};
use crate::season::{Kit, Recorded, Season, mix};
use crate::simulate::{HeartRateSensor, Runner, Sampling, normal};
use crate::{DemoAthlete, DemoRun, DemoSquad, FileFormat};

/// How large.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LargeSquad {
    /// How many athletes.
    pub athletes: usize,
    /// For how many years they have been tested.
    pub years: u8,
    /// How many tests each runs in a year, the three kinds in turn; tests lie at least three days
    /// apart, so more than 120 a year reach further back.
    pub tests_per_year: u16,
    /// Fixes all chance.
    pub seed: u64,
}

/// Invented athletes and their runs, oldest first, one athlete at a time. Every tenth athlete's
/// recordings are GPX, the others FIT. The same size, seed and day give the same bytes.
pub fn large(size: LargeSquad, on: NaiveDate) -> impl Iterator<Item = (DemoAthlete, Vec<DemoRun>)> {
    (0..size.athletes).map(move |index| {
        let mut rng = ChaCha8Rng::seed_from_u64(mix(size.seed, index as u64));
        let athlete = athlete(index, on, &mut rng);
        let runs = season(size, index, &athlete, &mut rng).runs(on);
        (athlete, runs)
    })
}

/// All of them as one squad, their recordings still to be simulated.
pub fn large_squad(size: LargeSquad, on: NaiveDate) -> DemoSquad {
    let mut squad = DemoSquad { club: "Invented", athletes: Vec::new(), runs: Vec::new() };
    for (athlete, runs) in large(size, on) {
        squad.athletes.push(athlete);
        squad.runs.extend(runs);
    }
    squad
}

const SQUADS: [&str; 4] = ["Tuesday", "Thursday", "Hill", "Distance"];

fn athlete(index: usize, on: NaiveDate, rng: &mut ChaCha8Rng) -> DemoAthlete {
    let age_days = rng.random_range(18 * 366..62 * 365);
    let highest = (208.0 - 0.7 * f64::from(age_days) / 365.25 + 8.0 * normal(rng)).round();
    DemoAthlete {
        // the number keeps every name apart from every other
        name: format!("{} {} {}", word(rng), word(rng), index + 1),
        squads: SQUADS
            .get(index % SQUADS.len())
            .map(|name| (*name).to_owned())
            .into_iter()
            .collect(),
        born: days_before(on, age_days),
        sex: if rng.random() { Sex::Female } else { Sex::Male },
        resting_heart_rate: HeartRate::from_bpm(f64::from(rng.random_range(42..66))).ok(),
        max_heart_rate: HeartRate::from_bpm(highest).ok(),
        rate_lowering_medication: false,
        screening: Screening::Cleared { on: days_before(on, rng.random_range(0..330)) },
        guardian_consent: None,
        sensor: Sensor::Strap,
        aliases: Vec::new(),
        notes: String::new(),
        away: Vec::new(),
        bookings: Vec::new(),
    }
}

fn season(size: LargeSquad, index: usize, athlete: &DemoAthlete, rng: &mut ChaCha8Rng) -> Season {
    let days = f64::from(size.years) * 365.0;
    let years = u32::from(size.years);
    let each = (years * u32::from(size.tests_per_year)).div_ceil(3);
    let every_days = (years * 365).checked_div(each).unwrap_or(1).max(1);
    let newest = rng.random_range(0..42);
    let series = [TestKind::TwentyMinutes, TestKind::FortyMinutes, TestKind::FiveMinutes]
        .into_iter()
        .zip([2, 1, 0])
        .map(|(kind, turn)| Series {
            kind,
            newest: newest + turn * every_days / 3,
            count: each,
            every_days,
        });
    let speed = (3.9 + 0.55 * normal(rng)).clamp(2.6, 5.3);
    Season {
        athlete: index,
        file_label: athlete.name.clone(),
        seed: size.seed,
        runner: Runner {
            twenty_minute_speed_m_per_s: speed,
            endurance_exponent: 1.07 + 0.01 * normal(rng).clamp(-2.0, 2.0),
            max_heart_rate_bpm: athlete.max_heart_rate.map_or(185.0, HeartRate::bpm),
            resting_heart_rate_bpm: athlete.resting_heart_rate.map_or(52.0, HeartRate::bpm),
            gain_bpm_per_m_per_s: 95.0 / speed,
            time_constant_s: (57.6 + 15.0 * normal(rng)).clamp(25.0, 100.0),
            twenty_minute_heart_rate_share: 0.925,
            cadence_per_minute: 176.0,
        },
        path: vec![(days, 4.0 * normal(rng)), (days / 2.0, 3.0 * normal(rng)), (0.0, 0.0)],
        on_medication: false,
        kit: Kit {
            format: if index % 10 == 9 { FileFormat::Gpx } else { FileFormat::Fit },
            sampling: Sampling::EverySecond,
            heart_rate: HeartRateSensor::Strap,
            distance_bias_percent: 0.6 * normal(rng),
        },
        recorded: Recorded::EffortOnly,
        tests: tests(&series.collect::<Vec<_>>(), &[], rng),
        twist: None,
        to_confirm: Vec::new(),
    }
}

const STARTS: [&str; 16] = [
    "Ba", "Che", "Da", "El", "Fi", "Ga", "Ho", "Ira", "Jo", "Ka", "Lu", "Mi", "No", "Pe", "Sa",
    "Ti",
];
const MIDDLES: [&str; 12] =
    ["la", "ro", "ne", "mi", "do", "va", "ri", "su", "ke", "ta", "bo", "li"];
const ENDS: [&str; 10] = ["n", "ra", "s", "l", "ndi", "ko", "th", "x", "ve", "mar"];

/// A word of invented syllables.
fn word(rng: &mut ChaCha8Rng) -> String {
    let mut pick = |list: &[&'static str]| {
        let place = rng.random_range(0..list.len());
        list.get(place).copied().unwrap_or_default()
    };
    [pick(&STARTS), pick(&MIDDLES), pick(&ENDS)].concat()
}
