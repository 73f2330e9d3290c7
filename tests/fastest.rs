//! Whole distances, fastest windows and their heart rates of every shared recording, against what
//! independent general-purpose libraries (fitdecode, gpxpy, numpy) computed in `reference.json`.
//!
//! The tolerances: 0.1 % where the device's own distance is used, 0.5 % where positions are, half a
//! beat for the mean heart rate of the same window. A file that differs for a reason stands in
//! [`DIFFERENT`] with the reason and the size of the difference.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use pacewright_core::assess::assess;
use pacewright_core::effort::{
    DistanceLine, DistanceSource, FoundBy, Window, fastest_window, heart_rate_faults,
};
use pacewright_core::recording::{Recording, Span};
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, Seconds};
use serde::Deserialize;

use crate::recordings::folder;

#[derive(Deserialize)]
struct Reference {
    distance_used: Option<String>,
    distance_device: Option<f64>,
    distance_haversine: Option<f64>,
    #[serde(default)]
    fastest: BTreeMap<String, Fastest>,
}

#[derive(Deserialize)]
struct Fastest {
    unpaused: Option<Stretch>,
    any: Option<Stretch>,
}

#[derive(Deserialize, Clone, Copy)]
struct Stretch {
    start: f64,
    distance: f64,
    hr_tw: Option<f64>,
}

impl Reference {
    fn total(&self) -> Option<f64> {
        match self.distance_used.as_deref()? {
            "device" => self.distance_device,
            _ => self.distance_haversine,
        }
    }

    fn window(&self, kind: TestKind) -> Option<&Fastest> {
        self.fastest.get(&format!("{}min", kind.minutes()))
    }
}

fn references() -> Option<(PathBuf, BTreeMap<String, Reference>)> {
    let folder = folder()?;
    let text = std::fs::read_to_string(folder.join("reference.json")).unwrap();
    Some((folder, serde_json::from_str(&text).unwrap()))
}

fn within(line: &DistanceLine) -> f64 {
    match line.source() {
        DistanceSource::Device => 0.001,
        DistanceSource::Positions | DistanceSource::Entered => 0.005,
    }
}

fn fastest(line: &DistanceLine, kind: TestKind, paused: bool) -> Option<Window> {
    let closed = if paused { &[] } else { line.pauses() };
    fastest_window(line, closed, Seconds::from_s(kind.length_s()).unwrap())
}

/// One recording against its reference, its windows with and without pauses.
fn agree(name: &str, recording: &Recording, reference: &Reference) {
    let line = DistanceLine::of(recording).unwrap();
    let share = within(&line);
    let close = |found: f64, expected: f64, what: &str| {
        let off = (found - expected).abs();
        assert!(off <= share * expected, "{name}, {what}: {found} for {expected}");
    };
    close(line.total().unwrap().m(), reference.total().unwrap(), "whole");
    for kind in TestKind::ALL {
        let expected = reference.window(kind).unwrap();
        for (paused, expected) in [(false, expected.unpaused), (true, expected.any)] {
            let found = fastest(&line, kind, paused);
            let what = format!("{} minutes, pauses allowed: {paused}", kind.minutes());
            assert_eq!(found.is_some(), expected.is_some(), "{name}, {what}");
            if let (Some(found), Some(expected)) = (found, expected) {
                close(found.distance.m(), expected.distance, &what);
            }
        }
        heart_rate_agrees(name, recording, kind, expected);
    }
}

/// The effort that a test would rest on, where it is the reference's window: no lap marks another,
/// no shorter recording was taken whole, and of equally fast ones the same was taken.
fn heart_rate_agrees(name: &str, recording: &Recording, kind: TestKind, expected: &Fastest) {
    let Some(expected) = expected.unpaused.or(expected.any) else { return };
    let effort = assess(recording, kind, None).unwrap().effort.unwrap();
    let same = (effort.span.from.s() - expected.start).abs() < 0.5;
    // the reference keeps also what a faulty sensor showed
    let inside = |span: Span| span.from < effort.span.to && span.to > effort.span.from;
    let faults = heart_rate_faults(recording.samples());
    let left_out = faults.iter().any(|fault| fault.leaves_out() && inside(fault.span));
    if effort.found_by != FoundBy::Fastest || !same || left_out {
        return;
    }
    let found = effort.mean_heart_rate.map(HeartRate::bpm);
    assert_eq!(found.is_some(), expected.hr_tw.is_some(), "{name}: a heart rate");
    if let (Some(found), Some(expected)) = (found, expected.hr_tw) {
        assert!((found - expected).abs() <= 0.5, "{name}: {found} bpm for {expected}");
    }
}

fn read(folder: &Path, name: &str) -> Recording {
    let bytes = std::fs::read(folder.join(name)).unwrap();
    pacewright_recording::read(&bytes, name).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Files whose positions jump: the reference adds the jumps up as if they had been run, the program
/// bridges them at the speed around. Each has its own test below.
const DIFFERENT: [&str; 2] = ["made/m05_jumps.gpx", "real/r16.gpx"];

#[test]
fn distances_windows_and_heart_rates_agree_with_the_reference() {
    let Some((folder, references)) = references() else { return };
    let mut compared = 0;
    for (name, reference) in &references {
        if reference.total().is_some() && !DIFFERENT.contains(&name.as_str()) {
            agree(name, &read(&folder, name), reference);
            compared += 1;
        }
    }
    // all that hold a recording, but for the two, and a cut GPX that the reference's reader refuses
    assert_eq!(compared, 23);
}

#[test]
fn injected_jumps_are_bridged_to_the_clean_run() {
    // the file is the clean run with six jumps (there and back again) put into its positions: the
    // reference makes 9,317 m of it and 4,280 m of its fastest 5 minutes, which were 1,200 m
    let Some((folder, references)) = references() else { return };
    let jumped = read(&folder, "made/m05_jumps.gpx");
    let line = DistanceLine::of(&jumped).unwrap();
    assert_eq!(line.jumps().len(), 6);
    assert!(references["made/m05_jumps.gpx"].total().unwrap() > 9_300.0);
    agree("made/m05_jumps.gpx, bridged", &jumped, &references["made/m01_clean.gpx"]);
}

#[test]
fn a_real_jump_is_taken_out_of_the_whole_and_of_the_window_it_lies_in() {
    // one step of 82 m in a second; the 140 s pause before it stays a pause
    let Some((folder, references)) = references() else { return };
    let reference = &references["real/r16.gpx"];
    let line = DistanceLine::of(&read(&folder, "real/r16.gpx")).unwrap();
    assert_eq!(line.jumps().len(), 1);
    let jump = line.jumps()[0].length.m();
    // what bridges the step is a second's running: 1 to 6 m
    let bridged = |reference: f64, found: f64| jump - (reference - found);
    let whole = bridged(reference.total().unwrap(), line.total().unwrap().m());
    assert!((1.0..6.0).contains(&whole), "{whole} m");
    let twenty = reference.window(TestKind::TwentyMinutes).unwrap();
    let found = fastest(&line, TestKind::TwentyMinutes, true).unwrap();
    let inside = bridged(twenty.any.unwrap().distance, found.distance.m());
    assert!((inside - whole).abs() < 0.5, "{inside} m");
    assert!(twenty.unpaused.is_none());
    assert!(fastest(&line, TestKind::TwentyMinutes, false).is_none());
    // the fastest 5 minutes lie elsewhere
    let five = reference.window(TestKind::FiveMinutes).unwrap().unpaused.unwrap();
    let found = fastest(&line, TestKind::FiveMinutes, false).unwrap();
    assert!((found.distance.m() / five.distance - 1.0).abs() < 0.005);
}
