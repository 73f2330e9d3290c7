//! The fastest 5, 20 and 40 minutes of 3 hours at one record a second, beside a single pass over the
//! same data (no search can be quicker) and a naive search (what the exact one saves).
//!
//! The budget: under 200 microseconds for the three together.
#![allow(missing_docs, clippy::expect_used, reason = "a bench, not a library")]

use divan::{Bencher, black_box};
use pacewright_core::effort::{DistanceLine, fastest_window};
use pacewright_core::test::TestKind;
use pacewright_core::units::{Distance, Seconds};

fn main() {
    divan::main();
}

const SECONDS: u32 = 3 * 3_600;

/// Metres after each second: hard and easy stretches that never repeat.
fn metres() -> Vec<f64> {
    let mut metre = 0.0;
    let step = |second: u32| {
        let time = f64::from(second);
        metre += 3.2 + 0.8 * (time / 613.0).sin() + 0.3 * (time / 37.0).sin();
        metre
    };
    std::iter::once(0.0).chain((1..=SECONDS).map(step)).collect()
}

fn line() -> DistanceLine {
    let seconds = |second: u32| Seconds::from_s(f64::from(second)).expect("a time");
    let knots: Vec<(Seconds, Distance)> = (0..)
        .zip(metres())
        .map(|(second, metre)| (seconds(second), Distance::from_m(metre).expect("a distance")))
        .collect();
    DistanceLine::from_knots(&knots).expect("a rising line")
}

#[divan::bench]
fn a_single_pass(bencher: Bencher<'_, '_>) {
    let metres = metres();
    bencher
        .bench(|| black_box(&metres).windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max));
}

#[divan::bench]
fn b_three_windows(bencher: Bencher<'_, '_>) {
    let line = line();
    bencher.bench(|| {
        TestKind::ALL.map(|kind| {
            let length = Seconds::from_s(kind.length_s()).expect("a time");
            fastest_window(black_box(&line), &[], length).expect("a window").distance
        })
    });
}

/// Adds up every window of every start, as a first attempt would.
#[divan::bench(sample_count = 10)]
fn c_three_windows_naively(bencher: Bencher<'_, '_>) {
    let metres = metres();
    let steps: Vec<f64> = metres.windows(2).map(|pair| pair[1] - pair[0]).collect();
    bencher.bench(|| {
        TestKind::ALL.map(|kind| {
            let length = kind.minutes() as usize * 60;
            black_box(&steps).windows(length).map(|w| w.iter().sum::<f64>()).fold(0.0, f64::max)
        })
    });
}
