//! The program killed at any moment: the library is as before or complete, papers too.

use std::collections::HashSet;
use std::fs;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

use pacewright_demo::{LargeSquad, large_squad};

use crate::program::{Room, day};

/// Kills the program after each of these many milliseconds, from before its first read to after its
/// last write on most machines; and lets it end once.
const MOMENTS: [u64; 12] = [1, 3, 8, 15, 30, 60, 90, 130, 200, 300, 500, 900];

fn killed_after(room: &Room, arguments: &[&str], milliseconds: u64) -> bool {
    let mut child = room.start(arguments);
    sleep(Duration::from_millis(milliseconds));
    let ended = child.try_wait().unwrap().is_some();
    child.kill().unwrap();
    let _status = child.wait().unwrap();
    !ended
}

/// A squad of eight with a year of tests as files in a folder, all to be read.
fn with_files() -> Room {
    let room = Room::new();
    let size = LargeSquad { athletes: 8, years: 1, tests_per_year: 9, seed: 3 };
    let squad = large_squad(size, day("2026-11-25"));
    let names: Vec<&str> = squad.athletes.iter().map(|athlete| athlete.name.as_str()).collect();
    room.roster(&names);
    let folder = room.folder("runs");
    for kind in ["5", "20", "40"] {
        fs::create_dir(room.path("runs").join(kind)).unwrap();
    }
    for run in &squad.runs {
        let place = room.path("runs").join(run.kind.minutes().to_string()).join(&run.file_name);
        fs::write(place, run.file().unwrap()).unwrap();
    }
    assert_eq!(squad.runs.len(), 72, "{folder}");
    room
}

/// How many tests the library holds, and what all of it says.
fn tests_in(room: &Room) -> (usize, Vec<Vec<u8>>) {
    let state = room.state();
    (String::from_utf8_lossy(&state[2]).lines().count() - 1, state)
}

#[test]
fn an_interrupted_read_leaves_the_library_as_it_was_or_complete() {
    let room = with_files();
    let before = tests_in(&room);
    assert_eq!(before.0, 0);
    let library = fs::read(room.path("library.pacewright")).unwrap();
    let mut killed = 0;
    for milliseconds in MOMENTS {
        let arguments = ["read", "runs/20", "--test", "20"];
        killed += usize::from(killed_after(&room, &arguments, milliseconds));
        let after = tests_in(&room);
        assert!([0, 24].contains(&after.0), "{} tests of 24 after {milliseconds} ms", after.0);
        if after.0 == 0 {
            assert_eq!(after.1, before.1);
        } else {
            // complete: every file of it is known, and every test can be confirmed
            assert_eq!(room.run(&["read", "runs/20", "--test", "20"]).sentences().len(), 24);
            for leftover in ["-wal", "-shm", "-journal"] {
                let _none = fs::remove_file(room.path(&format!("library.pacewright{leftover}")));
            }
            fs::write(room.path("library.pacewright"), &library).unwrap();
        }
    }
    assert!(killed > 0, "the program always ended before it was killed");
    let _ = room.json(&["read", "runs/20", "--test", "20"]);
    assert_eq!(tests_in(&room).0, 24);
}

#[test]
fn an_interrupted_confirmation_accepts_all_or_nothing() {
    let room = with_files();
    for kind in ["20", "5", "40"] {
        let _ = room.json(&["read", &format!("runs/{kind}"), "--test", kind]);
    }
    let library = fs::read(room.path("library.pacewright")).unwrap();
    let waiting = tests_in(&room).1;
    let _ = room.done(&["confirm"]);
    let confirmed = tests_in(&room).1;
    assert_ne!(waiting, confirmed);
    let mut killed = 0;
    for milliseconds in MOMENTS {
        fs::write(room.path("library.pacewright"), &library).unwrap();
        killed += usize::from(killed_after(&room, &["confirm"], milliseconds));
        let state = tests_in(&room).1;
        assert!(state == waiting || state == confirmed, "half confirmed after {milliseconds} ms");
    }
    assert!(killed > 0, "the program always ended before it was killed");
}

#[test]
fn interrupted_papers_are_old_or_new_and_never_cut() {
    let room = Room::new();
    let old = ["weekly", "--demo", "--on", "2026-11-24", "--out", "papers"];
    let new = ["weekly", "--demo", "--on", "2026-11-25", "--out", "papers"];
    let papers = || -> Vec<(String, Vec<u8>)> {
        let visible = room.listed("papers").into_iter().filter(|name| !name.starts_with('.'));
        visible
            .map(|name| {
                let bytes = fs::read(room.path("papers").join(&name)).unwrap();
                // the moment of writing stands in two kinds of papers
                let table = Path::new(&name).extension().is_some_and(|ending| ending == "csv");
                (name, if table { bytes } else { ends(&bytes) })
            })
            .collect()
    };
    let _ = room.done(&new);
    let new_papers: HashSet<_> = papers().into_iter().collect();
    let _ = room.done(&old);
    let old_papers: HashSet<_> = papers().into_iter().collect();
    let mut killed = 0;
    for milliseconds in [20, 200, 700, 1_000, 1_300, 1_600, 1_900, 2_200, 2_600, 3_000] {
        killed += usize::from(killed_after(&room, &new, milliseconds));
        let found = papers();
        assert_eq!(found.len(), 7);
        for paper in found {
            let whole = old_papers.contains(&paper) || new_papers.contains(&paper);
            assert!(whole, "{} is cut after {milliseconds} ms", paper.0);
        }
    }
    assert!(killed > 0, "the program always ended before it was killed");
    // what was left unfinished is taken away by the next run
    let _ = room.done(&new);
    assert_eq!(room.listed("papers").len(), 7);
}

/// The first and last bytes of a file: both are there only in a whole one.
fn ends(bytes: &[u8]) -> Vec<u8> {
    let bytes = bytes.trim_ascii_end();
    let last = &bytes[bytes.len().saturating_sub(5)..];
    [&bytes[..5], last].concat()
}
