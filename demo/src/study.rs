//! Is the stated doubt honest? Simulated athletes whose physiological truth is drawn, not read back
//! from the estimates, put beside what the program says of them.
//!
//! Rules, published spreads and typical errors are typed here a second time, so that a slip in the
//! program's own numbers shows as a wrong coverage.

mod markers;
mod trends;

use std::fmt::Write;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Exp1, StandardNormal};

pub use markers::{Coverage, coverage};
pub use trends::{Called, World, two_tests, verdicts};

/// A world in which the errors are what they are stated to be, or something else.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// What it is called in a table.
    pub name: &'static str,
    /// Factor on every validity.
    pub validity: f64,
    /// Factor on every repeatability.
    pub repeatability: f64,
    /// Validity drawn lopsided (an exponential less its mean, skewness 2) instead of normal.
    pub skewed: bool,
}

/// The worlds of the tables; the first is the stated one.
pub const WORLDS: [Errors; 4] = [
    Errors { name: "as stated", validity: 1.0, repeatability: 1.0, skewed: false },
    Errors { name: "x 0.7", validity: 0.7, repeatability: 0.7, skewed: false },
    Errors { name: "x 1.5", validity: 1.5, repeatability: 1.5, skewed: false },
    Errors { name: "skewed", validity: 1.0, repeatability: 1.0, skewed: true },
];

/// Chance, fixed by a seed.
pub(crate) struct Chance(ChaCha8Rng);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    pub(crate) fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// Mean 0, standard deviation 1, skewness 2.
    pub(crate) fn lopsided(&mut self) -> f64 {
        let drawn: f64 = Exp1.sample(&mut self.0);
        drawn - 1.0
    }

    pub(crate) fn uniform(&mut self, from: f64, to: f64) -> f64 {
        let share: f64 = rand::Rng::random(&mut self.0);
        from + (to - from) * share
    }
}

/// The whole study as Markdown tables.
pub fn report(athletes: usize, seed: u64) -> String {
    let mut text = String::new();
    // a String takes every line
    let _ = markers_table(&mut text, athletes, seed);
    let _ = trend_table(&mut text, athletes, seed);
    let _ = compare_table(&mut text, athletes, seed);
    text
}

fn markers_table(text: &mut String, athletes: usize, seed: u64) -> std::fmt::Result {
    writeln!(
        text,
        "Share of {athletes} simulated athletes whose truth the 90 % interval holds:\n"
    )?;
    let names: Vec<&str> = WORLDS.iter().map(|world| world.name).collect();
    writeln!(text, "| tests run | marker | {} |", names.join(" | "))?;
    writeln!(text, "|---|---|{}", "---|".repeat(WORLDS.len()))?;
    let all: Vec<Vec<Coverage>> =
        WORLDS.iter().map(|world| coverage(world, athletes, seed)).collect();
    let Some(first) = all.first() else { return Ok(()) };
    for (row, of) in first.iter().enumerate() {
        let shares: Vec<String> = all
            .iter()
            .filter_map(|world| world.get(row))
            .map(|c| format!("{:.1} %", 100.0 * c.share))
            .collect();
        writeln!(text, "| {} | {} | {} |", of.tests, of.number, shares.join(" | "))?;
    }
    writeln!(text)
}

fn trend_table(text: &mut String, athletes: usize, seed: u64) -> std::fmt::Result {
    writeln!(
        text,
        "Verdicts of the trend over {athletes} simulated series, and how often they were right:\n"
    )?;
    called_table(text, |world| verdicts(world, athletes, seed))
}

fn compare_table(text: &mut String, athletes: usize, seed: u64) -> std::fmt::Result {
    writeln!(
        text,
        "The same for the plain comparison of the first and last test of each series (flat prior):\n"
    )?;
    called_table(text, |world| two_tests(world, athletes, seed))
}

fn called_table(text: &mut String, of: impl Fn(&World) -> Vec<Called>) -> std::fmt::Result {
    writeln!(text, "| truth | verdict | called | said | right |")?;
    writeln!(text, "|---|---|---|---|---|")?;
    for world in trends::WORLDS {
        for called in of(&world) {
            writeln!(
                text,
                "| {} | {} | {} | {:.1} % | {:.1} % |",
                world.name,
                called.verdict,
                called.count,
                100.0 * called.said,
                100.0 * called.right
            )?;
        }
    }
    writeln!(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The full study runs 10,000 and more; this is the same with fewer, at a fixed seed.
    const ATHLETES: usize = 6_000;

    #[test]
    fn ninety_percent_intervals_hold_the_truth_under_the_stated_errors() {
        for covered in coverage(&WORLDS[0], ATHLETES, 7) {
            assert!(
                (0.88..=0.92).contains(&covered.share),
                "{} after {}: {}",
                covered.number,
                covered.tests,
                covered.share
            );
        }
    }

    #[test]
    fn wrong_errors_show() {
        let mean = |world: &Errors| {
            let all = coverage(world, 1_500, 11);
            all.iter().map(|c| c.share).sum::<f64>() / all.len() as f64
        };
        assert!(mean(&WORLDS[1]) > 0.95);
        assert!(mean(&WORLDS[2]) < 0.80);
    }

    #[test]
    fn likely_and_clear_are_right_as_often_as_they_say_under_the_trends_own_prior() {
        let called = verdicts(&trends::WORLDS[0], 4 * ATHLETES, 3);
        assert_eq!(called.len(), 4);
        for verdict in called {
            assert!(verdict.count > 100, "{verdict:?}");
            assert!((verdict.said - verdict.right).abs() < 0.05, "{verdict:?}");
        }
    }
}
