//! The library's file: foreign, newer, held by another program, out of reach.

use std::fs;
use std::path::Path;

use pacewright_desk::Desk;

use crate::program::{Room, after, table};

/// A room with a confirmed test, and its library's path.
fn tested() -> (Room, String) {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let run = room.write("ada stone.csv", table(after(1), 1_200, 4.0, Some(160)));
    let _ = room.json(&["read", &run, "--test", "20"]);
    let _ = room.done(&["confirm"]);
    let library = room.path("library.pacewright").to_str().unwrap().to_owned();
    (room, library)
}

/// Every command that opens the library refuses with these words, and writes nothing.
#[track_caller]
fn every_command_refuses(room: &Room, library: &str, words: &[&str]) {
    let _ = room.write("roster.csv", "name\nBo Reed\n");
    for command in [
        vec!["due", "--json"],
        vec!["due"],
        vec!["roster", "roster.csv"],
        vec!["read", "ada stone.csv", "--test", "20", "--json"],
        vec!["confirm"],
        vec!["cards", "--out", "cards.pdf"],
        vec!["weekly", "--out", "papers"],
    ] {
        let ran = room.run(&[&["--library", library], command.as_slice()].concat());
        ran.refused(words);
        assert_eq!(ran.out, "", "{command:?}");
    }
    assert!(!room.path("cards.pdf").exists() && !room.path("papers").exists());
}

#[test]
fn a_file_that_is_no_library_is_left_as_it_is() {
    let room = Room::new();
    for (name, bytes) in [
        ("letter.txt", b"Dear coach".to_vec()),
        ("long.bin", (0..100_000_u32).map(|n| (n * 7 % 251) as u8).collect()),
        ("other.sqlite", b"SQLite format 3\0 and then something else".repeat(200)),
    ] {
        let file = room.write(name, &bytes);
        every_command_refuses(&room, &file, &[name, "not a library"]);
        assert_eq!(fs::read(&file).unwrap(), bytes);
    }
    let folder = room.folder("folder");
    every_command_refuses(&room, &folder, &["not a library"]);
    every_command_refuses(&room, "/dev/null", &["not a library"]);
}

#[test]
fn a_library_of_a_newer_program_is_its_own_sentence() {
    let (room, library) = tested();
    // bytes 60 to 63 of an SQLite file hold its user version (SQLite file format, section 1.3)
    let mut bytes = fs::read(&library).unwrap();
    bytes[60..64].copy_from_slice(&9_999_u32.to_be_bytes());
    fs::write(&library, &bytes).unwrap();
    every_command_refuses(&room, &library, &["newer", "9999", "install"]);
    assert_eq!(fs::read(&library).unwrap(), bytes);
}

#[test]
fn a_library_open_elsewhere_is_not_touched() {
    let (room, library) = tested();
    let state = room.state();
    let other = Desk::open(Some(Path::new(&library))).unwrap();
    every_command_refuses(&room, &library, &["open in another running program", "close"]);
    other.close().unwrap();
    assert_eq!(room.state(), state);
}

#[test]
fn a_library_out_of_reach_is_said() {
    let (room, library) = tested();
    let below = format!("{library}/deeper/library");
    every_command_refuses(&room, &below, &["deeper", "a file stands where a folder is needed"]);
    let state = room.state();
    // another user may read neither this library nor write beside it
    if let Some(ran) = room.run_as_nobody(&["--library", &library, "due"]) {
        ran.refused(&["library cannot be written", "allow writing"]);
    }
    assert_eq!(room.state(), state);
}

#[test]
#[cfg(unix)]
fn a_library_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt;
    let room = Room::new();
    let file = room.path("new/folder/library");
    let _ = room.done(&["--library", file.to_str().unwrap(), "due"]);
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&file), 0o600);
    assert_eq!(mode(file.parent().unwrap()), 0o700);
}

#[test]
fn without_another_name_the_library_lies_where_the_system_says() {
    let room = Room::new();
    let mut command = room.command(&["due"]);
    let output = command
        .env_remove("PACEWRIGHT_LIBRARY")
        .env("XDG_DATA_HOME", room.path("data"))
        .output()
        .unwrap();
    assert!(output.status.success());
    assert_eq!(room.listed("data/pacewright"), ["library.pacewright"]);
}

#[test]
fn a_library_cut_short_is_never_read_as_an_empty_one() {
    let (room, library) = tested();
    let whole = fs::read(&library).unwrap();
    for tenths in [2, 5, 9] {
        let kept = whole.len() * tenths / 10;
        fs::write(&library, &whole[..kept]).unwrap();
        let ran = room.run(&["due", "--json"]);
        assert_eq!(ran.status, 1, "{kept} bytes: {}", ran.out);
        assert_eq!(ran.sentences().len(), 1, "{}", ran.err);
        assert!(ran.out.is_empty());
    }
}
