//! Markers: does the stated interval hold the truth?

use pacewright_core::doubt::EffortDoubt;
use pacewright_core::markers::{Attempt, MarkerEvidence, Markers, derive};
use pacewright_core::remark::{BearsOn, Finding, Remark, Severity};
use pacewright_core::test::{Performance, TestKind};
use pacewright_core::units::{Distance, HeartRate, Seconds, Share};

use super::{Chance, Errors};

/// How often an interval held the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Which tests the athletes ran.
    pub tests: &'static str,
    /// Which number of which marker.
    pub number: &'static str,
    /// Athletes with such a number.
    pub counted: usize,
    /// The share of them whose truth lay inside the 90 % interval.
    pub share: f64,
}

/// Half the width of a 90 % interval, in standard errors.
const NINETY: f64 = 1.644_854;

/// What an athlete can do without luck, and where their physiology truly stands.
struct Athlete {
    /// Mean speeds over 5, 20 and 40 minutes, m/s; the last at LT1 heart rate by rule.
    able: [f64; 3],
    mean_bpm: f64,
    /// Truth: floor, LT1, LT2, VO2max in m/s; floor, LT1, LT2 in beats.
    speeds: [f64; 4],
    beats: [f64; 3],
    maximum_bpm: f64,
}

const NUMBERS: [&str; 7] = [
    "floor pace",
    "LT1 pace",
    "LT2 pace",
    "VO2max pace",
    "floor heart rate",
    "LT1 heart rate",
    "LT2 heart rate",
];

/// Which tests are run: of 5, 20 and 40 minutes.
const CASES: [(&str, [bool; 3]); 3] = [
    ("5, 20, 40 min", [true, true, true]),
    ("20 min", [false, true, false]),
    ("5 min", [true, false, false]),
];

/// Coverage of every number in a world, over so many athletes a case.
pub fn coverage(world: &Errors, athletes: usize, seed: u64) -> Vec<Coverage> {
    let mut chance = Chance::new(seed);
    let mut all = Vec::new();
    for (tests, ran) in CASES {
        let mut held = [(0_usize, 0_usize); 7];
        for _ in 0..athletes {
            let athlete = athlete(&mut chance, world, ran);
            let Some(markers) = measured(&mut chance, world, &athlete, ran) else { continue };
            for (count, inside) in held.iter_mut().zip(inside(&markers, &athlete)) {
                if let Some(inside) = inside {
                    count.0 += 1;
                    count.1 += usize::from(inside);
                }
            }
        }
        all.extend(NUMBERS.into_iter().zip(held).filter(|(_, (counted, _))| *counted > 0).map(
            |(number, (counted, inside))| Coverage {
                tests,
                number,
                counted,
                share: inside as f64 / counted as f64,
            },
        ));
    }
    all
}

/// Draws an athlete: the truth around the rules with the published validity of each. Where a test is
/// not run, the truth of its marker is drawn around the published ratio instead.
fn athlete(chance: &mut Chance, world: &Errors, ran: [bool; 3]) -> Athlete {
    let five = 4.6 * (0.12 * chance.normal().clamp(-2.5, 2.5)).exp();
    let mut off = |sd: f64| {
        let drawn = if world.skewed { chance.lopsided() } else { chance.normal() };
        drawn * sd * world.validity
    };
    // 5-minute pace against the treadmill's: 2.6 km/h and r 0.94 (Berthon 1997)
    let vo2max = five + off(0.246);
    // the second ventilatory threshold at 87.6 (3.9) %, the first at 73.9 (5.5) % of VO2max speed
    // (Esteve-Lanao 2026)
    let twenty = five * 0.925;
    let lt2_by_rule = 0.95 * twenty;
    let lt2 = if ran[1] { lt2_by_rule + off(0.21) } else { vo2max * 0.876 * (1.0 + off(0.0445)) };
    let vo2max = if ran[0] { vo2max } else { lt2 / 0.876 * (1.0 + off(0.0445)) };
    let forty = five * 0.78;
    let lt1 = if ran[2] {
        // 8 beats at 24.2 beats for each m/s (Hunt 2015)
        forty + off(8.0 / 24.2)
    } else if ran[1] {
        lt2 * 0.8436 * (1.0 + off(0.0866))
    } else {
        vo2max * 0.739 * (1.0 + off(0.0744))
    };
    // 56 % of the uptake 3.5 + 12 v, and 1.2 km/h of spread between people (499 open treadmill tests)
    let floor = 0.56 * vo2max - 3.5 * 0.44 / 12.0 + off(1.2 / 3.6);
    let maximum_bpm = 188.0 + off(2.0);
    let mean_bpm = 0.925 * 188.0;
    let lt2_bpm = 0.95 * mean_bpm;
    Athlete {
        able: [five, twenty, forty],
        mean_bpm,
        speeds: [floor, lt1, lt2, vo2max],
        // 72.84 % of the maximum at 56 % (Swain 1994), 5.7 % between tests
        beats: [
            0.7284 * maximum_bpm + 188.0 * off(0.057),
            0.95 * lt2_bpm + off(8.0),
            lt2_bpm + off(8.0),
        ],
        maximum_bpm: 188.0,
    }
}

/// The markers the program makes of one round of tests, each with its luck of the day; some are first
/// attempts, some doubted by a remark, as the program is told.
fn measured(
    chance: &mut Chance,
    world: &Errors,
    athlete: &Athlete,
    ran: [bool; 3],
) -> Option<Markers> {
    let typical = [(2.4, 3.5), (2.0, 2.6), (4.0, 5.2)];
    let mut attempts = [None; 3];
    for (at, kind) in TestKind::ALL.into_iter().enumerate() {
        let (first, doubted) = (chance.uniform(0.0, 1.0) < 0.2, chance.uniform(0.0, 1.0) < 0.2);
        let (usual, novice) = *typical.get(at)?;
        let percent = if first { novice } else { usual } * if doubted { 1.5 } else { 1.0 };
        let luck = 1.0 + percent / 100.0 * world.repeatability * chance.normal();
        let rate_luck = 1.0 + 0.012 * world.repeatability * chance.normal();
        let bpm = (kind == TestKind::TwentyMinutes).then_some(athlete.mean_bpm * rate_luck);
        if *ran.get(at)? {
            let speed = athlete.able.get(at)? * luck;
            *attempts.get_mut(at)? = Some(attempt(kind, speed, bpm, first, doubted)?);
        }
    }
    let [five, twenty, forty] = attempts;
    let evidence = MarkerEvidence {
        five,
        twenty,
        forty,
        entered_maximum: HeartRate::from_bpm(athlete.maximum_bpm).ok(),
        ..MarkerEvidence::default()
    };
    Some(derive(&evidence).markers)
}

fn attempt(
    kind: TestKind,
    speed: f64,
    bpm: Option<f64>,
    first: bool,
    doubted: bool,
) -> Option<Attempt> {
    let performance = Performance {
        distance: Distance::from_m(speed * kind.length_s()).ok()?,
        duration: Seconds::from_s(kind.length_s()).ok()?,
        mean_heart_rate: bpm.and_then(|bpm| HeartRate::from_bpm(bpm).ok()),
        heart_rate_share: Share::WHOLE,
        peak_heart_rate: None,
    };
    let doubt = Remark::new(Finding::DistanceFromPositions, Severity::Check, BearsOn::Speed);
    let doubt = if doubted { EffortDoubt::of(&[doubt]) } else { EffortDoubt::NONE };
    Some(Attempt { first, doubt, ..performance.into() })
}

/// Of each number the program gives: whether its 90 % interval holds the truth.
fn inside(markers: &Markers, athlete: &Athlete) -> [Option<bool>; 7] {
    let all = [&markers.aerobic_floor, &markers.lt1, &markers.lt2, &markers.vo2max];
    let mut held = [None; 7];
    for (place, (marker, truth)) in held.iter_mut().zip(all.iter().zip(athlete.speeds)) {
        *place =
            marker.speed.map(|e| (e.value.m_per_s() - truth).abs() <= NINETY * e.error().m_per_s());
    }
    for (place, (marker, truth)) in held.iter_mut().skip(4).zip(all.iter().zip(athlete.beats)) {
        *place =
            marker.heart_rate.map(|e| (e.value.bpm() - truth).abs() <= NINETY * e.error().bpm());
    }
    held
}
