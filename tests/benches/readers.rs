//! Reading an hour at one record a second beside the bare parser of its format in the same run.
//!
//! The budget: within 3 times the bare parser; 100 recordings of an hour in under 2 s.
#![allow(missing_docs, clippy::expect_used, reason = "a bench, not a library")]

use std::fmt::Write as _;

use chrono::DateTime;
use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use pacewright_core::recording::{Circumstances, Parts, Recording, Sample, Sport};
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};
use rustyfit::StreamingIterator as _;

fn main() {
    divan::main();
}

/// An hour of running; every value changes from record to record, as in life.
fn hour() -> Recording {
    let samples = (0..3_600_u32).map(|second| {
        let time = f64::from(second);
        Sample {
            time: Seconds::from_s(time).expect("a time"),
            position: Position::from_degrees(48.0 + time * 2.51e-5, 11.0 + time * 1.3e-6).ok(),
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

fn fit() -> Vec<u8> {
    pacewright_recording::write_fit(&hour()).expect("FIT")
}

fn gpx() -> Vec<u8> {
    pacewright_recording::write_gpx(&hour()).expect("GPX").into_bytes()
}

fn csv() -> Vec<u8> {
    let mut text = "time_s,lat,lon,altitude_m,distance_m,heart_rate,cadence\n".to_owned();
    for sample in hour().samples() {
        let position = sample.position.expect("a position");
        writeln!(
            text,
            "{},{:.7},{:.7},{:.1},{:.2},{},{}",
            sample.time.s(),
            position.latitude_degrees(),
            position.longitude_degrees(),
            sample.altitude.map_or(0.0, Altitude::m),
            sample.distance.map_or(0.0, Distance::m),
            sample.heart_rate.map_or(0.0, HeartRate::bpm),
            sample.cadence.map_or(0.0, Cadence::per_minute),
        )
        .expect("text");
    }
    text.into_bytes()
}

fn read_bench(bencher: Bencher<'_, '_>, bytes: &[u8]) {
    bencher
        .counter(BytesCount::of_slice(bytes))
        .bench(|| pacewright_recording::read(black_box(bytes), "run").expect("a recording"));
}

#[divan::bench]
fn fit_1_bare(bencher: Bencher<'_, '_>) {
    let bytes = fit();
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        let mut input = black_box(bytes.as_slice());
        let mut decoder = rustyfit::Decoder::new();
        let mut stream = decoder.stream(&mut input);
        let mut events = 0_usize;
        while let Some(event) = stream.next() {
            events += usize::from(black_box(event).is_ok());
        }
        events
    });
}

#[divan::bench]
fn fit_2_read(bencher: Bencher<'_, '_>) {
    read_bench(bencher, &fit());
}

#[divan::bench]
fn gpx_1_bare(bencher: Bencher<'_, '_>) {
    let bytes = gpx();
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        let text = std::str::from_utf8(black_box(&bytes)).expect("UTF-8");
        let mut reader = quick_xml::Reader::from_str(text);
        let mut events = 0_usize;
        loop {
            match black_box(reader.read_event().expect("an event")) {
                quick_xml::events::Event::Eof => return events,
                _ => events += 1,
            }
        }
    });
}

#[divan::bench]
fn gpx_2_read(bencher: Bencher<'_, '_>) {
    read_bench(bencher, &gpx());
}

#[divan::bench]
fn csv_1_bare(bencher: Bencher<'_, '_>) {
    let bytes = csv();
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        let mut reader = csv::Reader::from_reader(black_box(bytes.as_slice()));
        let mut row = csv::StringRecord::new();
        let mut rows = 0_usize;
        while reader.read_record(&mut row).expect("a row") {
            rows += black_box(&row).len();
        }
        rows
    });
}

/// The csv crate leaves cells as text; this is the bound for anything that needs their numbers.
#[divan::bench]
fn csv_1_bare_with_numbers(bencher: Bencher<'_, '_>) {
    let bytes = csv();
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        let mut reader = csv::Reader::from_reader(black_box(bytes.as_slice()));
        let mut row = csv::StringRecord::new();
        let mut sum = 0.0;
        while reader.read_record(&mut row).expect("a row") {
            sum += row.iter().filter_map(|cell| cell.parse::<f64>().ok()).sum::<f64>();
        }
        sum
    });
}

#[divan::bench]
fn csv_2_read(bencher: Bencher<'_, '_>) {
    read_bench(bencher, &csv());
}

/// The budget is 2 s for a hundred.
#[divan::bench(sample_count = 10)]
fn hundred_hours_of_each_read(bencher: Bencher<'_, '_>) {
    let files = [fit(), gpx(), csv()];
    bencher.bench(|| {
        let read = |bytes| pacewright_recording::read(black_box(bytes), "run").expect("a run");
        files
            .iter()
            .map(|bytes| (0..100).map(|_| read(bytes).samples().len()).sum::<usize>())
            .sum::<usize>()
    });
}
