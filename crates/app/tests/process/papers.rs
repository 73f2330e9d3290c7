//! `cards`, `splits`, `weekly` and `--demo`: papers whole or not at all, and what they say.

use std::fs;

use crate::program::{Room, after, table};

const PAPERS: [&str; 7] = [
    "calendar.ics",
    "cards.pdf",
    "due.csv",
    "review.pdf",
    "test-day.pdf",
    "tests.csv",
    "zones.csv",
];

fn tested() -> Room {
    let room = Room::new();
    let roster = room.write(
        "squad.csv",
        "name,squad,screening\nAda Stone,Mile,cleared 2026-09-01\nBo Reed,Hill,cleared 2026-09-01\n",
    );
    let _ = room.done(&["roster", &roster]);
    let run = room.write("ada stone.csv", table(after(1), 1_200, 4.0, Some(160)));
    let _ = room.json(&["read", &run, "--test", "20"]);
    room
}

fn is_pdf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"%PDF-") && bytes.trim_ascii_end().ends_with(b"%%EOF")
}

#[test]
fn cards_are_for_whoever_has_zones() {
    let room = tested();
    room.run(&["cards", "--out", "cards.pdf"]).refused(&["Nobody has zones in force", "confirm"]);
    let _ = room.done(&["confirm"]);
    let said = room.done(&["cards", "--out", "cards.pdf"]);
    assert_eq!(said, "1 card in cards.pdf. Print at 100 %.\n");
    assert!(is_pdf(&fs::read(room.path("cards.pdf")).unwrap()));
    let _ = room.done(&["cards", "--squad", "mile", "--single", "--miles", "--out", "mile.pdf"]);
    room.run(&["cards", "--squad", "Hill", "--out", "hill.pdf"]).refused(&["Nobody has zones"]);
    room.run(&["cards", "--squad", "Track", "--out", "track.pdf"]).refused(&[
        "no squad \"Track\"",
        "Hill",
        "Mile",
    ]);
    assert!(!room.path("hill.pdf").exists() && !room.path("track.pdf").exists());
}

#[test]
fn splits_give_a_session_its_lap_times() {
    let room = tested();
    let asked = |more: &[&'static str]| {
        let usual = ["splits", "--on", "2026-10-01", "--out", "tuesday.pdf"];
        [&usual[..], more].concat()
    };
    let hard = ["--zone", "4", "--run", "6 x 1000 m"];
    room.run(&asked(&hard)).refused(&["Nobody has times in zone 4", "no zones yet"]);
    let _ = room.done(&["confirm"]);
    let said = room.done(&asked(&hard));
    assert!(is_pdf(&fs::read(room.path("tuesday.pdf")).unwrap()));
    // 95 % of 4 m/s: 263.2 s/km, shown 4:23; 263 x 0.4 = 105.2: 1:45 is the slowest lap. VO2max pace
    // is estimated
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines[0], "6 \u{d7} 1,000 m on laps of 400 m");
    assert_eq!(lines[1], "Zone 4, Long intervals");
    assert!(lines[2].starts_with("  Group 1, runs alone: 1:"), "{said}");
    assert!(lines[2].ends_with(" each: Ada Stone"), "{said}");
    assert_eq!(lines[3], "Bo Reed: no zones yet");
    assert_eq!(lines[4], "Split sheet in tuesday.pdf. Print at 100 %.");
    let _ = room.done(&asked(&["--zone", "3", "--run", "2 x 1 mile", "--miles", "--lap", "none"]));
    let _ = room.done(&asked(&["--zone", "2", "--run", "10 km", "--squad", "mile"]));
    let late =
        ["splits", "--on", "2027-03-01", "--out", "late.pdf", "--zone", "4", "--run", "1 km"];
    room.run(&late).refused(&["Ada Stone", "zones out of date"]);
    room.run(&asked(&["--zone", "4", "--run", "1000 x 1000 km"])).refused(&["1 to 100"]);
    room.run(&asked(&["--zone", "4", "--run", "6 x 4:00"])).refused(&["is a time"]);
    room.run(&asked(&["--zone", "4", "--run", "1 km", "--lap", "4"]))
        .refused(&["lap of 4 m cannot be"]);
    room.run(&asked(&["--zone", "9", "--run", "1 km"])).refused(&["no zone 9"]);
    room.run(&asked(&["--zone", "4", "--run", "1 km", "--squad", "Track"])).refused(&["no squad"]);
    assert_eq!(room.run(&asked(&["--zone", "four", "--run", "1 km"])).status, 2);
    assert_eq!(room.run(&asked(&["--run", "1 km"])).status, 2);
    assert!(!room.path("late.pdf").exists());
}

#[test]
fn the_weekly_papers_are_seven_and_come_again() {
    let room = tested();
    let _ = room.done(&["confirm"]);
    let said = room.done(&["weekly", "--on", "2026-10-01", "--out", "new/papers"]);
    assert_eq!(room.listed("new/papers"), PAPERS);
    for name in PAPERS {
        assert!(said.contains(name), "{said}");
    }
    let first = fs::read(room.path("new/papers/zones.csv")).unwrap();
    let _ = room.done(&["weekly", "--on", "2026-10-01", "--out", "new/papers"]);
    assert_eq!(fs::read(room.path("new/papers/zones.csv")).unwrap(), first);
    assert_eq!(room.listed("new/papers"), PAPERS);
}

#[test]
fn a_place_that_cannot_be_written_gets_nothing() {
    let room = tested();
    let _ = room.done(&["confirm"]);
    let _ = room.write("file", "in the way");
    room.run(&["weekly", "--out", "file"]).refused(&["file", "choose"]);
    room.run(&["weekly", "--out", "file/papers"]).refused(&["file/papers", "choose"]);
    room.run(&["cards", "--out", "file/cards.pdf"]).refused(&["file/cards.pdf", "choose"]);
    room.run(&["cards", "--out", "missing/cards.pdf"]).refused(&[
        "missing/cards.pdf",
        "no such",
        "choose",
    ]);
    let _ = room.folder("folder.pdf");
    room.run(&["cards", "--out", "folder.pdf"]).refused(&["folder.pdf", "a folder", "choose"]);
    assert_eq!(fs::read(room.path("file")).unwrap(), b"in the way");
    assert_eq!(room.listed("folder.pdf"), Vec::<String>::new());
    // one of the seven is in the way: none is written
    let _ = room.folder("papers/tests.csv");
    room.run(&["weekly", "--out", "papers"]).refused(&["papers/tests.csv", "choose"]);
    assert_eq!(room.listed("papers"), ["tests.csv"]);
    let left: Vec<String> =
        room.listed(".").into_iter().filter(|name| name.starts_with(".pace")).collect();
    assert_eq!(left, Vec::<String>::new());
}

#[test]
fn a_folder_that_only_others_may_write_gets_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let room = Room::new();
    // the other user reaches this folder, may not write it, and brings no library
    fs::set_permissions(room.path("."), fs::Permissions::from_mode(0o755)).unwrap();
    if let Some(ran) = room.run_as_nobody(&["weekly", "--demo", "--out", "papers"]) {
        ran.refused(&["papers", "not allowed", "choose"]);
    }
    let _ = room.folder("there");
    if let Some(ran) = room.run_as_nobody(&["weekly", "--demo", "--out", "there"]) {
        ran.refused(&["there/", "not allowed", "choose"]);
    }
    assert_eq!(room.listed("."), ["there"]);
    assert_eq!(room.listed("there"), Vec::<String>::new());
}

#[test]
fn the_demo_writes_its_week_and_touches_no_library() {
    let room = Room::new();
    let said = room.done(&["weekly", "--demo", "--on", "2026-11-25", "--out", "papers"]);
    assert_eq!(room.listed("papers"), PAPERS);
    assert!(said.contains("zone cards"), "{said}");
    for name in ["cards.pdf", "review.pdf", "test-day.pdf"] {
        assert!(is_pdf(&fs::read(room.path("papers").join(name)).unwrap()), "{name}");
    }
    let said = room.done(&["--demo"]);
    let last = said.lines().last().unwrap();
    assert_eq!(room.listed(last), PAPERS, "{said}");
    let said = room.done(&["--demo"]);
    assert_ne!(said.lines().last().unwrap(), last, "a new folder each time");
    assert!(!room.path("library.pacewright").exists(), "the demo never touches a library");
}
