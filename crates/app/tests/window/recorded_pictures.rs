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
