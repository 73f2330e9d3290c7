//! Recordings and single tests as pictures, to be looked at.

use iced::Size;
use iced::keyboard::{Modifiers, key::Named};
use pacewright_core::test::TestKind::{FiveMinutes, FortyMinutes, TwentyMinutes};

use crate::runs::{
    club, library_of, library_with_roster, newest, twenty_minutes, without_heart_rate, write,
    write_run,
};
use crate::stage::Stage;

const SMALL: Size = Size { width: 1024.0, height: 700.0 };
const USUAL: Size = Size { width: 1280.0, height: 800.0 };
const LARGE: Size = Size { width: 1920.0, height: 1200.0 };

fn recordings(stage: &mut Stage) {
    stage.click("Test day");
    stage.letter("r");
}

fn sizes(stage: &mut Stage, name: &str) {
    for (size, word) in [(SMALL, "1024"), (USUAL, "1280"), (LARGE, "1920")] {
        stage.size = size;
        stage.picture(&format!("{name}-{word}"));
    }
    stage.size = SMALL;
    for _ in 0..5 {
        stage.sign("+", Modifiers::CTRL);
    }
    stage.picture(&format!("{name}-1024-at-150"));
    stage.size = LARGE;
    stage.picture(&format!("{name}-1920-at-150"));
    for _ in 0..5 {
        stage.sign("-", Modifiers::CTRL);
    }
    stage.size = USUAL;
    stage.click("Settings");
}

#[test]
fn lists() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let mut stage = Stage::library(library);
    recordings(&mut stage);
    stage.picture("recordings-empty");
    let names = ["Priya Ramanathan", "Mirela Stanescu", "Hamid Nazari", "Lucía Ferreyra"];
    let runs: Vec<_> = names
        .iter()
        .flat_map(|name| [TwentyMinutes, FiveMinutes, FortyMinutes].map(|kind| (name, kind)))
        .filter(|(name, kind)| **name != "Mirela Stanescu" || *kind != FortyMinutes)
        .map(|(name, kind)| newest(&squad, name, kind))
        .collect();
    let mut files = write(folder.path(), &runs);
    files.push(write_run(folder.path(), "no name.fit", &twenty_minutes(900, 480)));
    files.push(folder.path().join("notes.fit"));
    std::fs::write(files.last().unwrap(), "not a recording").unwrap();
    stage.drop_files(&files);
    stage.drop_files(&files[..1]);
    sizes(&mut stage, "recordings-full");
}

#[test]
fn usable_and_doubtful() {
    let mut stage = Stage::demo();
    recordings(&mut stage);
    stage.key(Named::Enter, Modifiers::empty());
    sizes(&mut stage, "test-doubtful");
    recordings(&mut stage);
    stage.key(Named::Enter, Modifiers::empty());
    stage.letter("u");
    stage.picture("test-doubtful-asking");
    stage.key(Named::Escape, Modifiers::empty());
    for place in 2..=4 {
        stage.key(Named::ArrowRight, Modifiers::empty());
        stage.picture(&format!("test-waiting-{place}"));
    }
}

#[test]
fn kinds_and_lengths() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let priya = [TwentyMinutes, FiveMinutes, FortyMinutes]
        .map(|kind| newest(&squad, "Priya Ramanathan", kind));
    let mut files = write(folder.path(), &priya);
    files.extend(write(folder.path(), &[newest(&squad, "Hamid Nazari", FiveMinutes)]));
    files.push(write_run(folder.path(), "Hamid Nazari.fit", &twenty_minutes(5_400, 3_900)));
    files.push(write_run(folder.path(), "Lucía Ferreyra.fit", &without_heart_rate()));
    let mut stage = Stage::library(library);
    stage.drop_files(&files);
    stage.key(Named::Enter, Modifiers::empty());
    let waiting = stage.waiting();
    for place in 1..=waiting {
        stage.picture(&format!("test-kinds-{place}"));
        stage.picture_pointing(0.6, 220.0, &format!("test-kinds-{place}-pointed"));
        if place == 1 {
            stage.size = Size { width: 1280.0, height: 1240.0 };
            stage.picture("test-kinds-1-whole");
            stage.size = USUAL;
        }
        stage.key(Named::ArrowRight, Modifiers::empty());
    }
    stage.click("Settings");
    stage.click("Dark");
    recordings(&mut stage);
    stage.picture("recordings-dark");
    stage.key(Named::Enter, Modifiers::empty());
    stage.picture("test-dark");
    for _ in 0..4 {
        stage.sign("[", Modifiers::SHIFT);
    }
    stage.picture("test-dark-moved");
}

#[test]
fn long_names() {
    let folder = tempfile::tempdir().unwrap();
    let long =
        "Maximiliana-Theodora Wolkenstein-Hohenlohe-Bartholomäus van der Oosterhuizen-Quackenbush";
    let roster = format!(
        "name,alias\n{long},verylongname\nΑλεξάνδρα Παπαδοπούλου-Χατζηγεωργίου,alex\nZbigniew Śćężłówka,zb\n"
    );
    let library = library_of(folder.path(), &roster);
    let endless = format!("verylongname-{}.fit", "0123456789".repeat(12));
    let files = [
        write_run(folder.path(), &endless, &twenty_minutes(900, 480)),
        write_run(folder.path(), "alex.fit", &twenty_minutes(800, 480)),
        write_run(folder.path(), "zb.fit", &without_heart_rate()),
    ];
    let mut stage = Stage::library(library);
    stage.drop_files(&files);
    for (size, word) in [(SMALL, "1024"), (USUAL, "1280")] {
        stage.size = size;
        stage.picture(&format!("recordings-long-{word}"));
    }
    stage.key(Named::ArrowDown, Modifiers::empty());
    stage.key(Named::Enter, Modifiers::empty());
    sizes(&mut stage, "test-long");
}

/// As the smallest window shows it, high enough for all of the page: usual and large text, light and
/// dark; searched for what is cut, runs into other text or stands without contrast.
fn looked_at(stage: &mut Stage, name: &str, back: impl Fn(&mut Stage)) {
    let mut faults = Vec::new();
    for ground in ["Light", "Dark"] {
        stage.click("Settings");
        stage.click(ground);
        back(stage);
        for (percent, sign) in [("100", "+"), ("150", "-")] {
            for (height, size) in [("700", SMALL), ("1900", Size { height: 1_900.0, ..SMALL })] {
                stage.size = size;
                let screen = format!("{name}-{}-{percent}-{height}", ground.to_lowercase());
                let found = stage.faults();
                faults.extend(found.iter().map(|what| format!("{screen}: {what}")));
                stage.picture(&screen);
            }
            (0..5).for_each(|_| stage.sign(sign, Modifiers::CTRL));
        }
        stage.size = USUAL;
    }
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn a_measured_distance_that_does_not_count_is_read_in_every_light_and_size() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = crate::measured::test_opened(folder.path());
    stage.click("Name a course");
    stage.type_into(
        "course to name",
        "Loop around the old canal and back by the mill, 2850 m, trail, 0.5 %",
    );
    stage.click("Name it");
    stage.type_into("measured distance", "12 laps 350 in lane 1");
    stage.click("Use this distance");
    looked_at(&mut stage, "test-measured", |stage| {
        recordings(stage);
        stage.key(Named::Enter, Modifiers::empty());
        stage.sign("]", Modifiers::SHIFT);
        stage.size = Size { height: 1_900.0, ..USUAL };
        stage.click("Name a course");
        stage.type_into("course to name", "nowhere");
        stage.click("Name it");
        stage.type_into("measured distance", "12 laps 350");
        stage.click("Use this distance");
    });
}

#[test]
fn two_files_of_one_test_are_offered_in_every_light_and_size() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let files = crate::recorded::two_parts(folder.path());
    let mut stage = Stage::library(library);
    stage.drop_files(&files);
    stage.click("20 min");
    looked_at(&mut stage, "recordings-join", |stage| {
        recordings(stage);
        if !stage.shows("Join the two") {
            stage.drop_files(&files);
            stage.click("20 min");
        }
        stage.assert_shows("Join the two");
    });
}
