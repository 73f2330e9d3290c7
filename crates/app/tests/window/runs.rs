//! Libraries and recordings for the journeys through test day.

use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use pacewright_core::test::TestKind;
use pacewright_demo::simulate::{Device, Effort, HeartRateSensor, Pacing, Run, Runner};
use pacewright_demo::{DemoRun, DemoSquad, FileFormat, roster_csv, squad};
use pacewright_desk::roster::{parse, take_in_rows};
use pacewright_desk::{Desk, Now};

/// The day of every journey.
pub(crate) fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 25).unwrap()
}

/// The demo's club with everything that was run.
pub(crate) fn club() -> DemoSquad {
    squad(today())
}

/// A fresh library in a folder, with the club's roster and nothing run yet.
pub(crate) fn library_with_roster(folder: &Path, squad: &DemoSquad) -> PathBuf {
    library_of(folder, &roster_csv(squad))
}

/// A fresh library with the athletes of a roster.
pub(crate) fn library_of(folder: &Path, roster: &str) -> PathBuf {
    let path = folder.join("club.pacewright");
    let desk = Desk::open(Some(&path)).unwrap();
    let (rows, refused) = parse(roster).unwrap();
    assert!(refused.is_empty());
    let _outcome = take_in_rows(&desk, rows, &Now::noon_of(today())).unwrap();
    desk.close().unwrap();
    path
}

/// The newest run of a kind of an athlete.
pub(crate) fn newest<'a>(squad: &'a DemoSquad, name: &str, kind: TestKind) -> &'a DemoRun {
    let is = |run: &&DemoRun| run.kind == kind && squad.athletes[run.athlete].name == name;
    squad.runs.iter().filter(is).max_by_key(|run| run.on).unwrap()
}

/// Writes runs as files into a folder.
pub(crate) fn write(folder: &Path, runs: &[&DemoRun]) -> Vec<PathBuf> {
    let write = |run: &&DemoRun| {
        let path = folder.join(&run.file_name);
        std::fs::write(&path, run.file().unwrap()).unwrap();
        path
    };
    runs.iter().map(write).collect()
}

/// A runner like many.
pub(crate) fn runner() -> Runner {
    Runner {
        twenty_minute_speed_m_per_s: 4.3,
        endurance_exponent: 1.07,
        max_heart_rate_bpm: 189.0,
        resting_heart_rate_bpm: 51.0,
        gain_bpm_per_m_per_s: 24.0,
        time_constant_s: 55.0,
        twenty_minute_heart_rate_share: 0.925,
        cadence_per_minute: 186.0,
    }
}

/// A run of 20 minutes all-out with so many seconds before and after it.
pub(crate) fn twenty_minutes(warm_up_s: u16, cool_down_s: u16) -> Run {
    let effort = Effort::AllOut { length_s: 1_200, pacing: Pacing::USUAL };
    let mut run = Run::new(runner(), effort, 71);
    (run.warm_up_s, run.cool_down_s) = (warm_up_s, cool_down_s);
    run.started_at = Some(morning());
    run
}

/// The same without a heart-rate sensor.
pub(crate) fn without_heart_rate() -> Run {
    let mut run = twenty_minutes(900, 480);
    run.device = Device { heart_rate: HeartRateSensor::None, ..run.device };
    run
}

fn morning() -> DateTime<Utc> {
    Now::noon_of(today()).instant - TimeDelta::hours(3)
}

/// Writes a run as a FIT file.
pub(crate) fn write_run(folder: &Path, name: &str, run: &Run) -> PathBuf {
    let path = folder.join(name);
    let recording = run.simulate().unwrap().recording;
    std::fs::write(&path, FileFormat::Fit.file_of(&recording).unwrap()).unwrap();
    path
}
