//! What the checks say of every shared recording; the faults put into the made ones are told at
//! their places. The made files' run: 10 min easy, 15 min fast from 600 s on, 5 min easy.

use std::fmt::Write as _;
use std::path::PathBuf;

use pacewright_core::assess::Known;
use pacewright_core::remark::{Code, Remark, Severity, Use};
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, UnitSystem};
use pacewright_core::words;
use pacewright_desk::files::{AssessedFile, assess_file};

use crate::recordings::folder;

fn assessed(name: &str, kind: TestKind) -> Option<AssessedFile> {
    Some(assess_file(&folder()?.join(name), kind, &Known::default()))
}

fn remarks(name: &str, kind: TestKind) -> Option<Vec<Remark>> {
    let file = assessed(name, kind)?;
    Some(file.outcome.unwrap_or_else(|e| panic!("{name}: {e}")).remarks)
}

/// The places (from, to, in seconds) of the remarks of a code.
fn places(remarks: &[Remark], code: Code) -> Vec<(f64, f64)> {
    let told = remarks.iter().filter(|remark| remark.finding.code() == code);
    told.map(|remark| remark.span.map_or((f64::NAN, f64::NAN), |s| (s.from.s(), s.to.s())))
        .collect()
}

/// The one place of a code, within so many seconds at both ends.
fn stands_at(remarks: &[Remark], code: Code, from: f64, to: f64, within: f64) {
    let found = places(remarks, code);
    let near =
        |place: &(f64, f64)| (place.0 - from).abs() <= within && (place.1 - to).abs() <= within;
    assert!(found.iter().any(near), "{code:?}: {found:?} for {from} to {to}");
}

#[test]
fn nothing_spoils_on_the_clean_run() {
    for name in ["made/m01_clean.fit", "made/m01_clean.gpx", "made/m01_clean.csv"] {
        let Some(file) = assessed(name, TestKind::FiveMinutes) else { return };
        let assessment = file.outcome.unwrap();
        assert!(assessment.remarks.iter().all(|r| r.severity != Severity::Spoils), "{name}");
        assert_ne!(assessment.good_for, Use::Unusable, "{name}");
    }
}

#[test]
fn a_pause_is_told_where_it_was() {
    for name in ["made/m04_pause_timer.fit", "made/m04_pause_gap.gpx"] {
        for kind in [TestKind::FiveMinutes, TestKind::TwentyMinutes] {
            let Some(remarks) = remarks(name, kind) else { return };
            stands_at(&remarks, Code::Pause, 700.0, 760.0, 2.0);
            let spoils = remarks.iter().any(|r| r.severity == Severity::Spoils);
            // no 20 minutes of it are without the pause
            assert_eq!(spoils, kind == TestKind::TwentyMinutes, "{name}");
        }
    }
}

#[test]
fn jumps_are_told_where_they_were_whether_or_not_the_distance_rests_on_them() {
    for (name, weight) in
        [("made/m05_jumps.fit", Severity::Note), ("made/m05_jumps.gpx", Severity::Check)]
    {
        let Some(remarks) = remarks(name, TestKind::TwentyMinutes) else { return };
        for (from, to) in [(400.0, 403.0), (1_000.0, 1_001.0), (1_200.0, 1_201.0)] {
            stands_at(&remarks, Code::GpsJump, from, to, 1.0);
        }
        let worst =
            remarks.iter().filter(|r| r.finding.code() == Code::GpsJump).map(|r| r.severity).max();
        assert_eq!(worst, Some(weight), "{name}");
    }
}

#[test]
fn heart_rate_faults_are_told_where_they_were_and_left_out_of_the_mean() {
    for name in ["made/m06_hr_flat_drop_lock_gap.fit", "made/m06_hr_flat_drop_lock_gap.gpx"] {
        let Some(file) = assessed(name, TestKind::TwentyMinutes) else { return };
        let assessment = file.outcome.unwrap();
        let told = &assessment.remarks;
        stands_at(told, Code::HeartRateFlat, 500.0, 620.0, 2.0);
        stands_at(told, Code::HeartRateDropout, 900.0, 930.0, 2.0);
        stands_at(told, Code::CadenceLock, 1_100.0, 1_400.0, 5.0);
        assert!(told.iter().all(|r| r.severity < Severity::Spoils), "{told:?}");
        // 120 + 30 + 300 of 1,200 s are left out
        let share = assessment.effort.unwrap().heart_rate_share.ratio();
        assert!((share - 750.0 / 1_200.0).abs() < 0.01, "{name}: {share}");
    }
    let file =
        |name| assessed(name, TestKind::TwentyMinutes)?.outcome.unwrap().effort?.mean_heart_rate;
    let [faulty, clean] = ["made/m06_hr_flat_drop_lock_gap.fit", "made/m01_clean.fit"].map(file);
    // the same run; with the faults in, its mean would be more than 2 beats off in places
    let off = faulty.unwrap().bpm() - clean.unwrap().bpm();
    assert!(off.abs() < 1.5, "{off}");
}

#[test]
fn faults_of_files_are_told_where_they_were() {
    let cases: [(&str, Code, f64); 6] = [
        ("made/m07_truncated60.fit", Code::Truncated, 1_080.0),
        ("made/m07_truncated60.gpx", Code::Truncated, 1_080.0),
        ("made/m09_clock_back_and_dup.fit", Code::Clock, 300.0),
        ("made/m14_two_chained.fit", Code::Parts, 1_800.0),
        ("made/m14_two_chained.fit", Code::Clock, 1_800.0),
        ("made/m16_clock_spike_forward.fit", Code::Clock, 500.0),
    ];
    for (name, code, at) in cases {
        let Some(remarks) = remarks(name, TestKind::FiveMinutes) else { return };
        stands_at(&remarks, code, at, at, 2.0);
    }
    let Some(sport) = remarks("made/m11_cycling.fit", TestKind::FiveMinutes) else { return };
    let told = sport.iter().find(|r| r.finding.code() == Code::Sport).unwrap();
    assert_eq!(told.severity, Severity::Spoils);
    let checksum = remarks("made/m08_bad_checksum.fit", TestKind::FiveMinutes).unwrap();
    assert!(checksum.iter().any(|r| r.finding.code() == Code::Checksum));
}

#[test]
fn every_remark_of_every_recording_says_what_was_seen_and_what_to_do() {
    let Some(files) = every_file() else { return };
    let known = Known { target: HeartRate::from_bpm(150.0).ok(), ..Known::default() };
    for path in &files {
        for kind in TestKind::ALL {
            let Ok(assessment) = assess_file(path, kind, &known).outcome else { continue };
            for remark in &assessment.remarks {
                let said = words::remark(remark, UnitSystem::Miles);
                let sentence = said.ends_with('.') && said.len() > 30 && !said.contains("NaN");
                assert!(sentence, "{}: {:?}: {said}", path.display(), remark.finding);
            }
        }
    }
}

fn every_file() -> Option<Vec<PathBuf>> {
    let folder = folder()?;
    let mut paths: Vec<PathBuf> = ["made", "real"]
        .into_iter()
        .flat_map(|part| std::fs::read_dir(folder.join(part)).unwrap())
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    Some(paths)
}

/// The table of all recordings, for a person: `cargo test --release --workspace table_of_every --
/// --nocapture`.
#[test]
fn table_of_every_recording() {
    let Some(files) = every_file() else { return };
    let mut table = "| file | test | effort (s, how, m) | heart rate (share) | use | remarks |\n|---|---|---|---|---|---|\n".to_owned();
    let mut rows = 0;
    for path in &files {
        for kind in TestKind::ALL {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let file = assess_file(path, kind, &Known::default());
            writeln!(table, "| {name} | {} | {} |", kind.minutes(), row(&file)).unwrap();
            rows += 1;
        }
    }
    eprintln!("{table}");
    assert_eq!(rows, 3 * files.len());
}

fn row(file: &AssessedFile) -> String {
    let assessment = match &file.outcome {
        Ok(assessment) => assessment,
        Err(why) => return format!("refused: {} | | | ", short(&why.to_string())),
    };
    let effort = assessment.effort.map_or_else(
        || "none | ".to_owned(),
        |effort| {
            let rate =
                effort.mean_heart_rate.map_or("none".to_owned(), |r| format!("{:.1}", r.bpm()));
            format!(
                "{:.0} to {:.0}, {:?}, {:.0} | {rate} ({:.2})",
                effort.span.from.s(),
                effort.span.to.s(),
                effort.found_by,
                effort.distance.m(),
                effort.heart_rate_share.ratio()
            )
        },
    );
    let remarks: Vec<String> = assessment.remarks.iter().map(told).collect();
    format!("{effort} | {:?} | {}", assessment.good_for, remarks.join("; "))
}

/// What stands after the path in a refusal.
fn short(sentence: &str) -> String {
    sentence.split_once(": ").map_or(sentence, |(_, what)| what).to_owned()
}

fn told(remark: &Remark) -> String {
    let code = format!("{:?}", remark.finding.code());
    let value = remark.finding.value().map_or(String::new(), |value| format!(" {value:.2}"));
    let place =
        remark.span.map_or(String::new(), |s| format!(" at {:.0}-{:.0}", s.from.s(), s.to.s()));
    format!("{code} {:?}{value}{place}", remark.severity)
}
