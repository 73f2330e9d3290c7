//! The trend's filter and smoother and the chances of a change against numbers of other programs:
//! statsmodels, scipy and numpy, by the script and in the versions that stand in
//! `reference/trend.py` and `reference/trend.json`.

use pacewright_core::change::chances;
use pacewright_core::trend::MOTION;
use pacewright_core::trend::filter::{Belief, Matrix, Step, smooth};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    run: Run,
    gaps: Vec<Gap>,
    chances: Vec<Chances>,
}

#[derive(Deserialize)]
struct Run {
    days: Vec<f64>,
    values: Vec<Option<f64>>,
    errors: Vec<Option<f64>>,
    start_mean: [f64; 2],
    start_covariance: Matrix,
    filtered: Vec<Known>,
    smoothed: Vec<Known>,
    changes: Vec<Change>,
}

#[derive(Deserialize)]
struct Known {
    mean: [f64; 2],
    covariance: Matrix,
}

#[derive(Deserialize)]
struct Change {
    earlier: usize,
    later: usize,
    mean: f64,
    sd: f64,
}

#[derive(Deserialize)]
struct Gap {
    weeks: f64,
    transition: Matrix,
    noise: Matrix,
}

#[derive(Deserialize)]
struct Chances {
    change_percent: f64,
    standard_error_percent: f64,
    better: f64,
    worse: f64,
}

fn reference() -> Reference {
    serde_json::from_str(include_str!("reference/trend.json")).unwrap()
}

fn close(what: &str, got: f64, expected: f64, scale: f64) {
    assert!((got - expected).abs() <= 1e-7 * scale, "{what}: {got}, not {expected}");
}

fn steps(run: &Run) -> Vec<Step> {
    (0..run.days.len())
        .map(|at| Step {
            weeks: if at == 0 { 0.0 } else { (run.days[at] - run.days[at - 1]) / 7.0 },
            weeks_away: 0.0,
            added: 0.0,
            measured: run.values[at].zip(run.errors[at]),
        })
        .collect()
}

#[test]
fn a_gap_moves_the_state_as_the_matrix_exponential_does() {
    for gap in reference().gaps {
        let step = Step { weeks: gap.weeks, weeks_away: 0.0, added: 0.0, measured: None };
        let (transition, noise) = MOTION.over(&step);
        for (row, column) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            close("transition", transition[row][column], gap.transition[row][column], 1.0);
            let scale = (gap.noise[row][row] * gap.noise[column][column]).sqrt();
            close("noise", noise[row][column], gap.noise[row][column], scale);
        }
    }
}

#[test]
fn filter_and_smoother_agree_with_another_program() {
    let run = reference().run;
    let start = Belief { mean: run.start_mean, covariance: run.start_covariance };
    let found = smooth(&MOTION, start, &steps(&run));
    for (ours, theirs) in [(&found.filtered, &run.filtered), (&found.smoothed, &run.smoothed)] {
        assert_eq!(ours.len(), theirs.len());
        for (our, their) in ours.iter().zip(theirs) {
            for (row, column) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                let scale = (their.covariance[row][row] * their.covariance[column][column]).sqrt();
                close("mean", our.mean[row], their.mean[row], their.covariance[row][row].sqrt());
                close(
                    "covariance",
                    our.covariance[row][column],
                    their.covariance[row][column],
                    scale,
                );
            }
        }
    }
    assert_eq!(run.changes.len(), 4);
    for change in &run.changes {
        let (mean, sd) = found.change(change.earlier, change.later).unwrap();
        close("change", mean, change.mean, change.sd);
        close("its error", sd, change.sd, change.sd);
    }
}

#[test]
fn chances_agree_with_another_program() {
    for known in reference().chances {
        let (better, worse) = chances(known.change_percent, known.standard_error_percent, 1.0);
        close("better", better, known.better, 1.0);
        close("worse", worse, known.worse, 1.0);
    }
}
