//! Mutated files of every format: no panic, no input that takes a second, memory within its bound.
//!
//! A short run by default; `HOSTILE_INPUTS` sets how many inputs a format, `HOSTILE_SEED` which. By
//! hand, for a million a format:
//! `HOSTILE_INPUTS=1000000 cargo test --release --workspace hostile -- --nocapture`.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use pacewright_core::assess::assess;
use pacewright_core::test::TestKind;
use pacewright_demo::simulate::{Effort, Pacing, Run, Runner, Sampling};
use pacewright_recording::{read, write_fit, write_gpx};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::recordings::folder;

/// No input may take longer.
const LONGEST: Duration = Duration::from_secs(1);
/// An input that takes this long is tried again.
const WORTH_ANOTHER_LOOK: Duration = Duration::from_millis(50);
/// Resident memory of the whole test may not grow by more than this (MB) while small inputs are
/// read: mutations of files of a few kB must not swell.
const MOST_MEMORY_MB: u64 = 256;
/// What stands for any byte: digits, markup, separators, lengths, the ends of integers.
const TELLING: &[u8] = b"\x00\x01\x7f\x80\xff<>&;\"'=/!-[]:.,eE+0123456789TZ \n\r\t";
/// Pieces of one format that mean something in another place or format.
const PIECES: [&[u8]; 12] = [
    b"<trkpt lat='48' lon='11'>",
    b"</trkseg><trkseg>",
    b"<!DOCTYPE gpx [<!ENTITY a 'b'>]>",
    b"<![CDATA[",
    b"]]>",
    b"1e308",
    b"-0",
    b"NaN",
    b"9999999999999999999999",
    b"\xff\xfe",
    b".FIT",
    b"\x40\x00\x00\x14\x00\x01\xfd\x04\x86",
];

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Fit,
    Gpx,
    Csv,
}

/// A short run that has everything: laps, a pause, faults, every column.
fn seeds(kind: Kind) -> Vec<Vec<u8>> {
    let runner = Runner {
        twenty_minute_speed_m_per_s: 4.0,
        endurance_exponent: 1.06,
        max_heart_rate_bpm: 190.0,
        resting_heart_rate_bpm: 50.0,
        gain_bpm_per_m_per_s: 24.2,
        time_constant_s: 57.6,
        twenty_minute_heart_rate_share: 0.92,
        cadence_per_minute: 176.0,
    };
    let effort = Effort::AllOut { length_s: 40, pacing: Pacing::USUAL };
    let mut run = Run::new(runner, effort, 11);
    (run.warm_up_s, run.cool_down_s) = (60, 30);
    run.started_at = chrono::DateTime::from_timestamp(1_790_000_000, 0);
    let every_second = run.simulate().unwrap().recording;
    run.device.sampling = Sampling::Smart;
    let smart = run.simulate().unwrap().recording;
    match kind {
        Kind::Fit => [every_second, smart].iter().map(|r| write_fit(r).unwrap()).collect(),
        Kind::Gpx => {
            [every_second, smart].iter().map(|r| write_gpx(r).unwrap().into_bytes()).collect()
        }
        Kind::Csv => {
            let mut text = "time,distance,heart_rate,cadence,altitude,lat,lon\n".to_owned();
            for sample in smart.samples() {
                let (t, m) = (
                    sample.time.s(),
                    sample.distance.map_or(0.0, pacewright_core::units::Distance::m),
                );
                writeln!(text, "{t},{m:.1},150,88,100.5,48.1{t:02.0},11.5").unwrap();
            }
            let decimal_commas = text.replace(',', ";").replace('.', ",");
            vec![text.into_bytes(), decimal_commas.into_bytes()]
        }
    }
}

/// The first pieces of the shared recordings of a format, where they are there.
fn shared_seeds(kind: Kind) -> Vec<Vec<u8>> {
    const LONGEST_SEED: usize = 6_000;
    let extension = match kind {
        Kind::Fit => "fit",
        Kind::Gpx => "gpx",
        Kind::Csv => "csv",
    };
    let Some(folder) = folder() else { return Vec::new() };
    let files = ["made", "real"].into_iter().flat_map(|part| {
        let mut paths: Vec<_> = std::fs::read_dir(folder.join(part))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        paths.sort();
        paths
    });
    files
        .filter(|path| path.extension().is_some_and(|found| found == extension))
        .map(|path| {
            let mut bytes = std::fs::read(path).unwrap();
            bytes.truncate(LONGEST_SEED);
            bytes
        })
        .filter(|bytes| !bytes.is_empty())
        .collect()
}

/// One to eight changes: bytes, runs cut, doubled, moved, pieces put in, lengths changed.
fn mutated(seeds: &[Vec<u8>], rng: &mut ChaCha8Rng) -> Vec<u8> {
    let mut bytes = seeds[rng.random_range(0..seeds.len())].clone();
    for _ in 0..rng.random_range(1..=8) {
        let length = bytes.len();
        if length < 2 {
            return bytes;
        }
        let at = rng.random_range(0..length);
        let end = (at + rng.random_range(1..=64)).min(length);
        match rng.random_range(0..9) {
            0 => bytes[at] = rng.random(),
            1 => bytes[at] ^= 1 << rng.random_range(0..8),
            2 => bytes[at] = TELLING[rng.random_range(0..TELLING.len())],
            3 => drop(bytes.drain(at..end)),
            4 => {
                let copy = bytes[at..end].to_vec();
                let to = rng.random_range(0..=length);
                drop(bytes.splice(to..to, copy));
            }
            5 => {
                let piece = PIECES[rng.random_range(0..PIECES.len())];
                drop(bytes.splice(at..at, piece.iter().copied()));
            }
            6 => bytes.truncate(at),
            7 => {
                let other = &seeds[rng.random_range(0..seeds.len())];
                let from = rng.random_range(0..other.len());
                let to = (from + 200).min(other.len());
                drop(bytes.splice(at..end, other[from..to].iter().copied()));
            }
            // the size in a FIT header, and whatever stands there in a text
            _ => {
                for place in bytes.iter_mut().skip(4).take(4) {
                    *place = rng.random();
                }
            }
        }
    }
    bytes
}

/// Resident memory in MB at its highest, where the system tells.
fn highest_memory_mb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    let kb: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1_024)
}

fn from_environment(name: &str, usual: u64) -> u64 {
    std::env::var(name).map_or(usual, |text| text.parse().unwrap())
}

/// Whether it was read, and whether it could be judged, and how long that took: the checks meet the
/// same hostile values.
fn read_and_judge(bytes: &[u8]) -> ((bool, bool), Duration) {
    let start = Instant::now();
    let recording = read(bytes, "run");
    let judged = recording.as_ref().is_ok_and(|recording| {
        TestKind::ALL.into_iter().any(|kind| assess(recording, kind, None).is_ok())
    });
    ((recording.is_ok(), judged), start.elapsed())
}

fn hold_against(kind: Kind) {
    let inputs = from_environment("HOSTILE_INPUTS", 20_000);
    let mut rng = ChaCha8Rng::seed_from_u64(from_environment("HOSTILE_SEED", 1));
    let mut seeds = seeds(kind);
    seeds.extend(shared_seeds(kind));
    let (mut slowest, mut recordings, mut assessed) = (Duration::ZERO, 0_u64, 0_u64);
    let before = highest_memory_mb();
    for index in 0..inputs {
        let bytes = mutated(&seeds, &mut rng);
        let ((read, judged), mut took) = read_and_judge(&bytes);
        recordings += u64::from(read);
        assessed += u64::from(judged);
        if took > WORTH_ANOTHER_LOOK {
            // a busy machine is not the reader's time
            took = (0..3).map(|_| read_and_judge(&bytes).1).fold(took, Duration::min);
        }
        slowest = slowest.max(took);
        assert!(took < LONGEST, "{kind:?} input {index} took {took:?}");
    }
    let after = highest_memory_mb();
    eprintln!(
        "{kind:?}: {inputs} inputs, {recordings} read, {assessed} judged, slowest {slowest:?}, memory {before:?} to {after:?} MB"
    );
    if let Some((before, after)) = before.zip(after) {
        assert!(after - before <= MOST_MEMORY_MB, "{kind:?}: from {before} to {after} MB");
    }
    // mutations that are all refused at the door would show nothing
    assert!(recordings * 10 > inputs, "{kind:?}: only {recordings} of {inputs} were read");
}

#[test]
fn mutated_fit_is_read_or_refused_soon() {
    hold_against(Kind::Fit);
}

#[test]
fn mutated_gpx_is_read_or_refused_soon() {
    hold_against(Kind::Gpx);
}

#[test]
fn mutated_csv_is_read_or_refused_soon() {
    hold_against(Kind::Csv);
}
