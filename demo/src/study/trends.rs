//! Trends: are "likely" and "clear" right as often as they say?

use chrono::{Days, NaiveDate};
use pacewright_core::change::{self, Verdict};
use pacewright_core::test::TestKind;
use pacewright_core::trend::{Observation, of_observations};
use pacewright_core::units::Speed;
use pacewright_core::words;

use super::Chance;

/// How athletes truly change, and how well they repeat a test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct World {
    /// What it is called in a table.
    pub name: &'static str,
    /// Factor on how far the level wanders and drifts.
    pub motion: f64,
    /// Factor on the typical error of a test.
    pub repeatability: f64,
}

/// The worlds of the tables; the first is the trend's own.
pub(super) const WORLDS: [World; 5] = [
    World { name: "as the trend believes", motion: 1.0, repeatability: 1.0 },
    World { name: "tests repeat better (x 0.7)", motion: 1.0, repeatability: 0.7 },
    World { name: "tests repeat worse (x 1.5)", motion: 1.0, repeatability: 1.5 },
    World { name: "athletes change half as much", motion: 0.5, repeatability: 1.0 },
    World { name: "athletes change twice as much", motion: 2.0, repeatability: 1.0 },
];

/// One verdict over many series.
#[derive(Debug, Clone, PartialEq)]
pub struct Called {
    /// The verdict, in words.
    pub verdict: &'static str,
    /// How often it was called.
    pub count: usize,
    /// The mean chance it went with.
    pub said: f64,
    /// The share in which it was true.
    pub right: f64,
}

/// A series of one athlete: the tests, and the true level (logarithm) on every day.
struct Series {
    tests: Vec<Observation>,
    truth: Vec<f64>,
    begin: NaiveDate,
}

/// How often each verdict of the trend was right.
pub fn verdicts(world: &World, series: usize, seed: u64) -> Vec<Called> {
    let mut dice = Chance::new(seed);
    let outcomes = (0..series).filter_map(|_| {
        let one = run(&mut dice, world)?;
        let newest = one.tests.last()?.on;
        let change = of_observations(TestKind::TwentyMinutes, &one.tests, &[], newest)?.change?;
        let truth = one.at(change.to)? - one.at(change.from)?;
        Some((change.verdict, change.chance_better.max(change.chance_worse), truth))
    });
    tally(outcomes)
}

/// The same for the plain comparison of the first test with the last.
pub fn two_tests(world: &World, series: usize, seed: u64) -> Vec<Called> {
    let mut dice = Chance::new(seed);
    let outcomes = (0..series).filter_map(|_| {
        let one = run(&mut dice, world)?;
        let (first, last) = (one.tests.first()?, one.tests.last()?);
        let change = change::compare(TestKind::TwentyMinutes, &[first.speed], &[last.speed])?;
        let truth = one.at(last.on)? - one.at(first.on)?;
        Some((change.verdict, change.chance_better.max(change.chance_worse), truth))
    });
    tally(outcomes)
}

fn tally(called: impl Iterator<Item = (Verdict, f64, f64)>) -> Vec<Called> {
    let worthwhile = 1.01_f64.ln();
    let named = [Verdict::ClearGain, Verdict::LikelyGain, Verdict::LikelyLoss, Verdict::ClearLoss];
    let mut sums = named.map(|verdict| (verdict, 0_usize, 0.0, 0_usize));
    for (verdict, said, truth) in called {
        let gain = matches!(verdict, Verdict::ClearGain | Verdict::LikelyGain);
        let right = if gain { truth > worthwhile } else { truth < -worthwhile };
        if let Some(sum) = sums.iter_mut().find(|sum| sum.0 == verdict) {
            sum.1 += 1;
            sum.2 += said;
            sum.3 += usize::from(right);
        }
    }
    sums.into_iter()
        .map(|(verdict, count, said, right)| {
            let share = |sum: f64| if count == 0 { 0.0 } else { sum / count as f64 };
            Called {
                verdict: words::verdict(verdict),
                count,
                said: share(said),
                right: share(right as f64),
            }
        })
        .collect()
}

/// Draws a series day by day: a drift that fades, a level that wanders, three to nine tests four to
/// ten weeks apart. The steps are a fifth of a day long, so that it shares no formula with the trend.
fn run(chance: &mut Chance, world: &World) -> Option<Series> {
    const STEPS: u32 = 5;
    let (wander, drift, fading) = (0.005 * world.motion, 0.0015 * world.motion, 12.0);
    let step = 1.0 / (7.0 * f64::from(STEPS));
    let begin = NaiveDate::from_ymd_opt(2025, 1, 6)?;
    let count = chance.uniform(3.0, 10.0).floor();
    let mut days = vec![0.0];
    while (days.len() as f64) < count {
        days.push(days.last()? + chance.uniform(28.0, 70.0).floor());
    }
    let (mut level, mut rate) = (1.45_f64, drift * chance.normal());
    let mut truth = vec![level];
    while (truth.len() as f64) <= *days.last()? {
        for _ in 0..STEPS {
            level += rate * step + wander * step.sqrt() * chance.normal();
            rate += -rate / fading * step + drift * (2.0 * step / fading).sqrt() * chance.normal();
        }
        truth.push(level);
    }
    let mut series = Series { tests: Vec::new(), truth, begin };
    for day in days {
        let on = begin.checked_add_days(Days::new(format!("{day:.0}").parse().ok()?))?;
        let able = series.at(on)?;
        let luck = 0.02 * world.repeatability * chance.normal();
        let speed = Speed::from_m_per_s((able + luck).exp()).ok()?;
        series.tests.push(Observation { on, speed, error: 0.02 });
    }
    Some(series)
}

impl Series {
    fn at(&self, day: NaiveDate) -> Option<f64> {
        let after = usize::try_from((day - self.begin).num_days()).ok()?;
        self.truth.get(after).copied()
    }
}
