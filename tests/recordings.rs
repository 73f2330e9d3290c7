//! Every shared test recording against what independent general-purpose libraries read from it:
//! fitdecode, gpxpy and numpy computed `reference.json`.

use std::collections::BTreeMap;
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
    eprintln!("skipped: no shared recordings");
    None
}

fn read(name: &str) -> Option<Result<Recording, ReadError>> {
    let bytes = std::fs::read(folder()?.join(name)).unwrap();
    Some(pacewright_recording::read(&bytes, name))
}

/// Great-circle metres on a sphere of the earth's mean radius, as the reference has it.
fn haversine_m(a: Position, b: Position) -> f64 {
    let radians = |p: Position| {
        (p.latitude_degrees().to_radians(), p.longitude_degrees().to_radians())
    };
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
