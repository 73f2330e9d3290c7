//! Large files: a stated rate, and memory within a stated multiple of the file.
//!
//! 200 MB of GPX and of CSV, and a day (24 h) of a record a second in each format. The rate: at least
//! 40 MB a second. The memory: at most 2 times the file beside the file itself, and 128 MB.
//! Linux only: memory is the highest resident size of a process for each file.
#![allow(
    missing_docs,
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a bench, not a library"
)]

use std::fmt::Write as _;
use std::process::Command;
use std::time::Instant;

use chrono::DateTime;
use pacewright_core::recording::{Circumstances, Parts, Recording, Sample, Sport};
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};

const LEAST_MB_PER_S: f64 = 40.0;
const MOST_TIMES_THE_FILE: f64 = 2.0;
const MOST_BESIDE_MB: f64 = 128.0;
const MB: f64 = 1_048_576.0;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(file) =
        arguments.iter().position(|a| a == "--one").and_then(|at| arguments.get(at + 1))
    {
        println!("{}", one(std::path::Path::new(file)));
        return;
    }
    if arguments.iter().any(|argument| argument == "--against-python") {
        against_python();
        return;
    }
    let mut missed = false;
    for case in ["gpx 200 MB", "csv 200 MB", "gpx 24 h", "fit 24 h", "csv 24 h"] {
        let program = std::env::current_exe().expect("this program");
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join(case);
        std::fs::write(&file, bytes_of(case)).expect("a file");
        let output = Command::new(program).arg("--one").arg(&file).output().expect("it runs");
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        print!("{said}");
        missed |= !output.status.success() || said.contains("MISSED");
    }
    assert!(!missed, "a stated bound was missed");
}

/// Writes an hour as FIT and as GPX into the folder of `READER_FILES`, with the best of ten times of
/// reading each: `tests/python_readers.py` does the rest.
fn against_python() {
    let folder = std::path::PathBuf::from(std::env::var("READER_FILES").expect("READER_FILES"));
    let hour = run(3_600);
    let files = [
        ("hour.fit", pacewright_recording::write_fit(&hour).expect("FIT")),
        ("hour.gpx", pacewright_recording::write_gpx(&hour).expect("GPX").into_bytes()),
    ];
    let times: Vec<String> = files
        .iter()
        .map(|(name, bytes)| {
            std::fs::write(folder.join(name), bytes).expect("a file");
            let read = || {
                let start = Instant::now();
                let bytes = std::fs::read(folder.join(name)).expect("a file");
                let records =
                    pacewright_recording::read(&bytes, name).expect("a run").samples().len();
                (start.elapsed().as_secs_f64(), records)
            };
            let (seconds, records) =
                (0..10).map(|_| read()).min_by(|a, b| a.0.total_cmp(&b.0)).expect("ten");
            format!("\"{name}\": {{\"seconds\": {seconds}, \"records\": {records}}}")
        })
        .collect();
    let text = format!("{{{}}}", times.join(", "));
    std::fs::write(folder.join("times.json"), &text).expect("a file");
    println!("{text}");
}

/// Reads one file in a process of its own.
fn one(file: &std::path::Path) -> String {
    let case = file.file_name().unwrap_or_default().to_string_lossy();
    let bytes = std::fs::read(file).expect("a file");
    let before = highest_memory_mb();
    let start = Instant::now();
    let recording = pacewright_recording::read(&bytes, &case).expect("a recording");
    let seconds = start.elapsed().as_secs_f64();
    let grown = highest_memory_mb() - before;
    let size = bytes.len() as f64 / MB;
    let bound = MOST_TIMES_THE_FILE * size + MOST_BESIDE_MB;
    let rate = size / seconds;
    // a small file is done before a rate means anything
    let missed = grown > bound || (rate < LEAST_MB_PER_S && seconds > 1.0);
    format!(
        "{case:<11} {size:>7.1} MB, {:>7} records: {seconds:>6.2} s, {rate:>5.0} MB/s, {grown:>5.0} MB more (bound {bound:.0}){}",
        recording.samples().len(),
        if missed { "  MISSED" } else { "" }
    )
}

fn bytes_of(case: &str) -> Vec<u8> {
    let day = 86_400;
    match case {
        "gpx 200 MB" => padded_gpx(),
        "csv 200 MB" => csv(950_000, 170),
        "gpx 24 h" => pacewright_recording::write_gpx(&run(day)).expect("GPX").into_bytes(),
        "fit 24 h" => pacewright_recording::write_fit(&run(day)).expect("FIT"),
        _ => csv(day, 0),
    }
}

fn padded_gpx() -> Vec<u8> {
    pacewright_recording::write_gpx(&run(950_000)).expect("GPX").into_bytes()
}

fn csv(records: u32, note: usize) -> Vec<u8> {
    let note = "n".repeat(note);
    let mut text = "time_s,lat,lon,distance_m,heart_rate,note\n".to_owned();
    for second in 0..records {
        let metres = 2.5 * f64::from(second);
        writeln!(text, "{second},48.0000001,11.0000001,{metres},150,{note}").expect("text");
    }
    text.into_bytes()
}

fn run(records: u32) -> Recording {
    let samples = (0..records).map(|second| {
        let time = f64::from(second);
        Sample {
            time: Seconds::from_s(time).expect("a time"),
            position: Position::from_degrees(48.0 + time * 1e-6, 11.0).ok(),
            distance: Distance::from_m(2.83 * time).ok(),
            altitude: Altitude::from_m(500.0 + (time / 60.0).sin() * 20.0).ok(),
            heart_rate: HeartRate::from_bpm(f64::from(130 + second % 50)).ok(),
            cadence: Cadence::from_per_minute(f64::from(80 + second % 10)).ok(),
        }
    });
    Recording::from_parts(Parts {
        started_at: DateTime::from_timestamp(1_700_000_000, 0),
        sport: Sport::Running,
        circumstances: Circumstances::default(),
        samples: samples.collect(),
        timer_pauses: Some(Vec::new()),
        laps: Vec::new(),
        legs: Vec::new(),
        repairs: Vec::new(),
    })
    .expect("a recording")
}

fn highest_memory_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kb = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    kb.unwrap_or_default() / 1_024.0
}
