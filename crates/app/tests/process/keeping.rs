//! `export`, `backup`, `restore`, `check`: everything out as open files and in again, a copy back in
//! place, damage found.

use std::fs;

use crate::program::{Room, after, table};

/// Two athletes, one with a test that counts.
fn club() -> Room {
    let room = Room::new();
    room.roster(&["Ada Stone", "Bo Reed"]);
    let run = room.write("Ada Stone.csv", table(after(0), 1_260, 4.2, Some(172)));
    let _ = room.run(&["read", &run, "--test", "20"]);
    let _ = room.run(&["confirm"]);
    room
}

#[test]
fn an_export_fills_another_library_with_the_same_tests() {
    let room = club();
    let folder = room.path("out").to_str().unwrap().to_owned();
    let said = room.done(&["export", &folder]);
    assert!(said.starts_with("10 tables and 1 recordings in "), "{said}");
    assert_eq!(
        room.listed("out"),
        [
            "away.csv",
            "bookings.csv",
            "conditions.csv",
            "laboratory.csv",
            "lt1-factors.csv",
            "medication.csv",
            "races.csv",
            "recordings",
            "roster.csv",
            "tests.csv",
            "zones.csv"
        ]
    );
    let other = Room::new();
    let roster = format!("{folder}/roster.csv");
    assert_eq!(other.done(&["roster", &roster]), "2 added, 0 updated, 0 unchanged.\n");
    let recordings = format!("{folder}/recordings");
    let _ = other.run(&["read", &recordings, "--test", "20"]);
    let _ = other.run(&["confirm"]);
    assert_eq!(other.state(), room.state());
    // nothing is written over
    room.run(&["export", &folder]).refused(&["holds something already"]);
}

#[test]
fn what_stands_beside_the_tests_is_exported_too() {
    let room = club();
    let race = ["race", "--on", "2026-10-04", "--distance", "5 km", "--time", "18:20"];
    let _ = room.done(&[&["enter"][..], &race, &["--athlete", "Ada Stone"]].concat());
    let folder = room.path("out").to_str().unwrap().to_owned();
    let _ = room.done(&["export", &folder]);
    let races = fs::read_to_string(room.path("out/races.csv")).unwrap();
    assert_eq!(races.lines().nth(1), Some("Ada Stone,2026-10-04,,5000,no,1100,"), "{races}");
}

#[test]
fn a_copy_comes_back_and_what_stood_there_is_kept() {
    let room = club();
    let before = room.state();
    let copy = room.path("copy.pacewright").to_str().unwrap().to_owned();
    assert!(room.done(&["backup", &copy]).starts_with("Copied and checked: "));
    room.roster(&["Cy Hart"]);
    assert_ne!(room.state(), before);
    let said = room.done(&["restore", &copy]);
    assert!(said.contains("is now as") && said.contains("is kept as"), "{said}");
    assert_eq!(room.state(), before);
    // the library that stood there is whole, with the third athlete in it
    let kept = said.rsplit("is kept as ").next().unwrap().trim().trim_end_matches('.');
    let due = room.done(&["due", "--on", "2026-11-25", "--library", kept]);
    assert!(due.contains("Cy Hart"), "{due}");
}

#[test]
fn damage_is_found_and_no_copy_of_it_is_made() {
    let room = club();
    assert_eq!(room.done(&["check"]), "Every row is as it was written.\n");
    let file = room.path("library.pacewright");
    let mut bytes = fs::read(&file).unwrap();
    let place = bytes.windows(9).position(|w| w == b"Ada Stone").unwrap();
    bytes[place] = b'I';
    fs::write(&file, &bytes).unwrap();
    let ran = room.run(&["check"]);
    assert_eq!(ran.status, 1);
    assert!(ran.sentences()[0].starts_with("The library is damaged;"), "{}", ran.err);
    let copy = room.path("copy.pacewright").to_str().unwrap().to_owned();
    assert_eq!(room.run(&["backup", &copy]).status, 1);
    assert!(!room.path("copy.pacewright").exists());
    assert_eq!(fs::read(&file).unwrap(), bytes, "the damaged file is left as it is");
}
