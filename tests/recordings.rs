//! Every shared test recording against what independent general-purpose libraries read from it:
//! fitdecode, gpxpy and numpy computed `reference.json`.

use std::collections::BTreeMap;
use std::io::{Write as _, stderr};
use std::path::PathBuf;

use pacewright_core::recording::{LapTrigger, Recording, Repair, Sport};
use pacewright_core::units::Position;
use pacewright_recording::{Format, ReadError};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    n_records: Option<usize>,
    n_hr: Option<usize>,
    n_pos: Option<usize>,
    n_cad: Option<usize>,
    n_alt: Option<usize>,
    n_dist: Option<usize>,
    n_same_time: usize,
    n_backwards: usize,
    total_time: Option<f64>,
    distance_device: Option<f64>,
    distance_haversine: Option<f64>,
    #[serde(default)]
    pauses: Vec<(f64, f64)>,
    sessions: Vec<Session>,
}

#[derive(Deserialize)]
struct Session {
    sport: String,
    start: f64,
}

/// The folder of shared recordings, where it is there.
pub(crate) fn folder() -> Option<PathBuf> {
    let folder = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../shared/recordings"));
    if folder.is_dir() {
        return Some(folder);
    }
    // past what keeps a passing test's words back
    stderr().write_all(b"skipped: no shared recordings\n").unwrap();
    None
}

fn read(name: &str) -> Option<Result<Recording, ReadError>> {
    let bytes = std::fs::read(folder()?.join(name)).unwrap();
    Some(pacewright_recording::read(&bytes, name))
}

/// Great-circle metres on a sphere of the earth's mean radius, as the reference has it.
fn haversine_m(a: Position, b: Position) -> f64 {
    let radians =
        |p: Position| (p.latitude_degrees().to_radians(), p.longitude_degrees().to_radians());
    let ((south, west), (north, east)) = (radians(a), radians(b));
    let half = ((north - south) / 2.0).sin().powi(2)
        + south.cos() * north.cos() * ((east - west) / 2.0).sin().powi(2);
    2.0 * 6_371_008.8 * half.sqrt().asin()
}

fn distance_from_positions(recording: &Recording) -> f64 {
    let positions: Vec<Position> =
        recording.samples().iter().filter_map(|sample| sample.position).collect();
    positions.windows(2).map(|pair| haversine_m(pair[0], pair[1])).sum()
}

fn distance_of_device(recording: &Recording) -> Option<f64> {
    let mut readings = recording.samples().iter().filter_map(|sample| sample.distance);
    let first = readings.next()?;
    Some(readings.next_back().unwrap_or(first).m() - first.m())
}

fn merged(recording: &Recording) -> usize {
    let merged = |repair: &Repair| match repair {
        Repair::EqualTimesMerged { count } => Some(*count),
        _ => None,
    };
    recording.repairs().iter().find_map(merged).unwrap_or(0)
}

fn backwards(recording: &Recording) -> usize {
    let dropped = |repair: &Repair| match repair {
        Repair::TimesBackwards { count, .. } => Some(*count),
        _ => None,
    };
    recording.repairs().iter().find_map(dropped).unwrap_or(0)
}

fn close(found: f64, expected: f64, share: f64, what: &str) {
    let off = (found - expected).abs();
    assert!(off <= share * expected, "{what}: {found} for {expected}");
}

fn check(name: &str, recording: &Recording, reference: &Reference) {
    let count = |has: fn(&pacewright_core::recording::Sample) -> bool| {
        Some(recording.samples().iter().filter(|sample| has(sample)).count())
    };
    assert_eq!(Some(recording.samples().len()), reference.n_records, "{name}: records");
    assert_eq!(count(|s| s.heart_rate.is_some()), reference.n_hr, "{name}: heart rates");
    assert_eq!(count(|s| s.position.is_some()), reference.n_pos, "{name}: positions");
    assert_eq!(count(|s| s.cadence.is_some()), reference.n_cad, "{name}: cadences");
    assert_eq!(count(|s| s.altitude.is_some()), reference.n_alt, "{name}: altitudes");
    assert_eq!(count(|s| s.distance.is_some()), reference.n_dist, "{name}: distances");
    // (a clock spike, which the reference counts as a record without a time, is told apart below)
    assert_eq!(merged(recording), reference.n_same_time, "{name}: equal times");
    assert_eq!(backwards(recording), reference.n_backwards, "{name}: backwards");
    assert_eq!(Some(recording.duration().s()), reference.total_time, "{name}: time");
    assert_eq!(
        distance_of_device(recording).is_some(),
        reference.distance_device.is_some(),
        "{name}: a device distance"
    );
    if let Some((found, expected)) = distance_of_device(recording).zip(reference.distance_device) {
        close(found, expected, 0.001, &format!("{name}: device distance"));
    }
    if let Some(expected) = reference.distance_haversine {
        close(distance_from_positions(recording), expected, 0.005, &format!("{name}: positions"));
    }
    if let Some(session) = reference.sessions.first() {
        let sport = match session.sport.as_str() {
            "running" => Sport::Running,
            other => Sport::Other(other.into()),
        };
        assert_eq!(*recording.sport(), sport, "{name}: sport");
    }
    if let Some(pauses) = recording.timer_pauses() {
        let found: Vec<(f64, f64)> = pauses.iter().map(|p| (p.from.s(), p.to.s())).collect();
        assert_eq!(found, reference.pauses, "{name}: pauses");
    }
}

#[test]
fn every_recording_agrees_with_the_reference() {
    let Some(folder) = folder() else { return };
    let text = std::fs::read_to_string(folder.join("reference.json")).unwrap();
    let references: BTreeMap<String, Reference> = serde_json::from_str(&text).unwrap();
    assert!(references.len() > 25, "the reference lost its files");
    let mut compared = 0;
    for (name, reference) in &references {
        let result = read(name).unwrap();
        if reference.n_records.is_some() {
            check(name, &result.unwrap_or_else(|e| panic!("{name}: {e}")), reference);
            compared += 1;
        }
    }
    assert_eq!(compared, 25);
}

#[test]
fn what_was_mended_is_told() {
    if folder().is_none() {
        return;
    }
    let repairs = |name: &str| read(name).unwrap().unwrap().repairs().to_vec();
    let kinds = |name: &str| -> Vec<&'static str> { repairs(name).iter().map(kind).collect() };
    for name in ["made/m01_clean.fit", "made/m01_clean.gpx", "made/m01_clean.csv", "real/r01.fit"] {
        assert_eq!(repairs(name), [], "{name}");
    }
    assert_eq!(kinds("made/m07_truncated60.fit"), ["truncated"]);
    assert_eq!(kinds("made/m07_truncated60.gpx"), ["truncated"]);
    assert_eq!(kinds("made/m08_bad_checksum.fit"), ["checksum"]);
    assert_eq!(kinds("made/m09_clock_back_and_dup.fit"), ["backwards"]);
    assert_eq!(kinds("made/m14_two_chained.fit"), ["backwards", "parts"]);
    assert_eq!(kinds("made/m16_clock_spike_forward.fit"), ["spike"]);
    // its checksum counts a header that carries none of its own
    assert_eq!(kinds("real/r03.fit"), ["merged"]);
    assert_eq!(kinds("real/r04.fit"), ["no date"]);
}

fn kind(repair: &Repair) -> &'static str {
    match repair {
        Repair::ClockSpike { .. } => "spike",
        Repair::TimesBackwards { .. } => "backwards",
        Repair::EqualTimesMerged { .. } => "merged",
        Repair::NoDate => "no date",
        Repair::TimelessDropped { .. } => "timeless",
        Repair::CounterRestarted { .. } => "restarted",
        Repair::CellsIgnored { .. } => "ignored",
        Repair::Truncated { .. } => "truncated",
        Repair::ChecksumMismatch => "checksum",
        Repair::Parts { .. } => "parts",
        Repair::FilesJoined { .. } => "joined",
    }
}

#[test]
fn dates_are_those_of_the_reference() {
    let Some(folder) = folder() else { return };
    let text = std::fs::read_to_string(folder.join("reference.json")).unwrap();
    let references: BTreeMap<String, Reference> = serde_json::from_str(&text).unwrap();
    for name in ["made/m01_clean.fit", "real/r01.fit", "real/r03.fit", "real/r06.fit"] {
        let started = read(name).unwrap().unwrap().started_at().unwrap();
        let off = started.timestamp_micros() as f64 / 1e6 - references[name].sessions[0].start;
        // a session may begin a few seconds before its first record
        assert!((0.0..10.0).contains(&off), "{name}: {off} s");
    }
    // a clock without a date
    assert_eq!(read("real/r04.fit").unwrap().unwrap().started_at(), None);
}

#[test]
fn tables_hold_the_same_run_as_the_other_formats() {
    if folder().is_none() {
        return;
    }
    let fit = read("made/m01_clean.fit").unwrap().unwrap();
    for name in ["made/m01_clean.csv", "made/m02_semicolon_comma.csv"] {
        let table = read(name).unwrap().unwrap();
        assert_eq!(table.samples().len(), fit.samples().len(), "{name}");
        for (a, b) in table.samples().iter().zip(fit.samples()) {
            assert_eq!((a.time, a.heart_rate, a.cadence), (b.time, b.heart_rate, b.cadence));
            assert_eq!(a.distance, b.distance, "{name}");
        }
    }
}

#[test]
fn a_file_cut_in_mid_point_gives_everything_before() {
    // made/m07 is made/m01 cut at 60 %: the reference library refuses the cut GPX altogether
    let Some((cut, whole)) = read("made/m07_truncated60.gpx").zip(read("made/m01_clean.gpx"))
    else {
        return;
    };
    let (cut, whole) = (cut.unwrap(), whole.unwrap());
    assert_eq!(cut.samples(), &whole.samples()[..1_080]);
}

#[test]
fn foreign_and_empty_files_are_refused() {
    if folder().is_none() {
        return;
    }
    for name in ["made/m12_empty.fit", "made/m12_empty.gpx"] {
        assert_eq!(read(name).unwrap(), Err(ReadError::Empty), "{name}");
    }
    let foreign = Err(ReadError::Foreign { named: Some(Format::Fit) });
    assert_eq!(read("made/m13_not_fit.fit").unwrap(), foreign);
}

#[test]
fn laps_are_those_the_device_marked() {
    let Some(recording) = read("real/r03.fit") else { return };
    let recording = recording.unwrap();
    // automatic laps of a kilometre: four whole and the rest of 4,835 m
    let triggers: Vec<LapTrigger> = recording.laps().iter().map(|lap| lap.trigger).collect();
    assert_eq!(triggers[..4], [LapTrigger::Distance; 4]);
    assert_eq!(triggers.len(), 5);
}
