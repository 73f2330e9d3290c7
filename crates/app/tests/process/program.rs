//! The program as a process, in a room of its own: home, folder and library are new and thrown away.

use std::fmt::Write;
use std::fs;
use std::io::{Write as _, stderr};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};
use serde_json::Value;
use tempfile::TempDir;

/// A user who may write nowhere but where everyone may ("nobody" on every system with one).
const NOBODY: u32 = 65_534;

/// A folder with a library, and everything else a run of the program can reach.
pub(crate) struct Room {
    folder: TempDir,
}

/// What a run left.
pub(crate) struct Ran {
    pub(crate) status: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Room {
    pub(crate) fn new() -> Self {
        Self { folder: TempDir::new().unwrap() }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file, its folders too; its path as text.
    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    }

    pub(crate) fn folder(&self, name: &str) -> String {
        fs::create_dir_all(self.path(name)).unwrap();
        self.path(name).to_str().unwrap().to_owned()
    }

    /// Every file and folder below one of the room's folders, hidden ones too.
    pub(crate) fn listed(&self, name: &str) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.path(name))
            .map(|entries| {
                entries.map(|e| e.unwrap().file_name().to_str().unwrap().to_owned()).collect()
            })
            .unwrap_or_default();
        names.sort();
        names
    }

    /// The program with arguments, on the room's library.
    pub(crate) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
        let _ = command
            .args(arguments)
            .current_dir(self.folder.path())
            .env_clear()
            .env("HOME", self.folder.path())
            .env("PACEWRIGHT_LIBRARY", self.path("library.pacewright"))
            .stdin(Stdio::null());
        command
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        Ran::of(&self.command(arguments).output().unwrap())
    }

    /// Runs as a user who may not write into the room; `None` where this test may not change user
    /// and could write anywhere.
    pub(crate) fn run_as_nobody(&self, arguments: &[&str]) -> Option<Ran> {
        let mut command = self.command(arguments);
        let output = command.uid(NOBODY).gid(NOBODY).output();
        if output.is_err() {
            // past what keeps a passing test's words back
            stderr().write_all(b"skipped: may not run as another user\n").unwrap();
        }
        output.ok().map(|output| Ran::of(&output))
    }

    pub(crate) fn start(&self, arguments: &[&str]) -> Child {
        let mut command = self.command(arguments);
        command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
    }

    /// Runs what must be done without a word on standard error.
    pub(crate) fn done(&self, arguments: &[&str]) -> String {
        let ran = self.run(arguments);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{arguments:?}: {}", ran.out);
        ran.out
    }

    /// Runs with --json what must be done; the one value it prints.
    pub(crate) fn json(&self, arguments: &[&str]) -> Value {
        let ran = self.run(&[arguments, &["--json"]].concat());
        assert_eq!(ran.status, 0, "{arguments:?}: {}", ran.err);
        ran.json()
    }

    /// Everything the library says through its commands: who is due on a day, zones and tests.
    pub(crate) fn state(&self) -> Vec<Vec<u8>> {
        let before = self.path("state");
        let _ = self.done(&["weekly", "--on", "2026-11-25", "--out", before.to_str().unwrap()]);
        let state = ["due.csv", "zones.csv", "tests.csv"]
            .map(|name| fs::read(before.join(name)).unwrap())
            .to_vec();
        fs::remove_dir_all(before).unwrap();
        state
    }

    /// A roster of names, each cleared on the day the tests begin.
    pub(crate) fn roster(&self, names: &[&str]) {
        let rows: Vec<String> =
            names.iter().map(|name| format!("{name},cleared 2026-09-01")).collect();
        let table = format!("name,screening\n{}\n", rows.join("\n"));
        let file = self.write("roster.csv", table);
        let _ = self.done(&["roster", &file]);
    }
}

impl Ran {
    fn of(output: &Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        Self {
            status: output.status.code().unwrap_or(-1),
            out: text(&output.stdout),
            err: text(&output.stderr),
        }
    }

    /// The one JSON value on standard output.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|e| panic!("no single JSON value ({e}):\n{}\n{}", self.out, self.err))
    }

    /// The sentences on standard error: whole ones, for people.
    pub(crate) fn sentences(&self) -> Vec<&str> {
        let lines: Vec<&str> = self.err.lines().collect();
        for line in &lines {
            assert!(line.ends_with('.'), "no full stop: {line}");
            assert!(!line.contains("panicked") && !line.contains("Error {"), "{line}");
            assert!(!line.contains("os error"), "not for people: {line}");
            assert!(!line.ends_with("..") && !line.contains(". ."), "{line}");
        }
        lines
    }

    /// Refused with one sentence that says all of these words.
    #[track_caller]
    pub(crate) fn refused(&self, words: &[&str]) {
        assert_eq!(self.status, 1, "{}\n{}", self.out, self.err);
        let sentences = self.sentences();
        assert_eq!(sentences.len(), 1, "{}", self.err);
        for word in words {
            assert!(self.err.contains(word), "\"{word}\" is not in: {}", self.err);
        }
    }

    /// Refused as wrong usage, which clap words.
    #[track_caller]
    pub(crate) fn misused(&self) {
        assert_eq!(self.status, 2, "{}\n{}", self.out, self.err);
        assert!(self.out.is_empty() && self.err.starts_with("error: "), "{}", self.err);
    }
}

/// A day of the tests' autumn.
pub(crate) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// A run as a table: one row a second from nine in the morning (universal time) of a day, at a
/// steady speed and heart rate. No table's bytes are those of another speed or day.
pub(crate) fn table(on: NaiveDate, seconds: u32, m_per_s: f64, bpm: Option<u32>) -> String {
    let start: DateTime<Utc> = on.and_hms_opt(9, 0, 0).unwrap().and_utc();
    let mut text = "time,distance,heart_rate\n".to_owned();
    for second in 0..=seconds {
        let time = (start + TimeDelta::seconds(i64::from(second))).format("%Y-%m-%dT%H:%M:%SZ");
        let metres = f64::from(second) * m_per_s;
        // a rate that never changes would be a fault of the sensor: one beat up, one down
        let bpm = bpm.map(|bpm| (bpm + second / 10 % 3 - 1).to_string()).unwrap_or_default();
        writeln!(text, "{time},{metres:.2},{bpm}").unwrap();
    }
    text
}

/// So many days after the first of September 2026.
pub(crate) fn after(days: u64) -> NaiveDate {
    day("2026-09-01") + Days::new(days)
}

/// The shared test recordings, where they are there.
pub(crate) fn shared(name: &str) -> Option<String> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../../shared/recordings");
    let path = Path::new(path).join(name);
    if path.exists() {
        return Some(path.to_str().unwrap().to_owned());
    }
    // past what keeps a passing test's words back
    stderr().write_all(b"skipped: no shared recordings\n").unwrap();
    None
}
