//! Every screen in every size, light and dark, with usual and large text, empty, full, with long and
//! with foreign names: drawn, and searched for text that is cut, runs into other text, or stands
//! without contrast. Where `PACEWRIGHT_PICTURES` names a folder each is written there, to be looked at.

use std::fmt::Write as _;

use std::path::Path;
use std::sync::OnceLock;

use iced::Size;
use iced::keyboard::{Modifiers, key::Named};
use pacewright_desk::{Desk, roster};

use crate::runs::{club, newest, write};
use crate::stage::{Stage, clock, library_file};

pub(crate) const SIZES: [(&str, Size); 3] = [
    ("1024", Size::new(1_024.0, 700.0)),
    ("1280", Size::new(1_280.0, 800.0)),
    ("1920", Size::new(1_920.0, 1_200.0)),
];

/// A screen: what it is called, whose library, and how it is reached from the squad.
pub(crate) type Screen = (&'static str, fn() -> Stage, fn(&mut Stage));

const DEMO: [Screen; 17] = [
    ("squad", Stage::demo, |_| {}),
    ("squad-nobody-fits", Stage::demo, |stage| stage.type_into("squad search", "zzz")),
    ("squad-notice", Stage::demo, |stage| {
        stage.click("Settings");
        stage.click("Miles");
        stage.click("Squad");
        stage.sign("z", Modifiers::CTRL);
    }),
    ("athlete", Stage::demo, |stage| stage.click("Mirela Stanescu")),
    ("athlete-medication", Stage::demo, |stage| stage.click("Ewan MacAllister")),
    ("athlete-form", Stage::demo, |stage| {
        stage.click("Aiko Brandt");
        stage.letter("e");
    }),
    ("table-empty", Stage::demo, |stage| stage.click("Test day")),
    ("table", Stage::demo, typed),
    ("table-wrong", Stage::demo, typed_wrong),
    ("table-confirmed", Stage::demo, |stage| {
        typed(stage);
        stage.key(Named::Enter, Modifiers::CTRL);
    }),
    ("recordings", Stage::demo, |stage| {
        stage.click("Test day");
        stage.letter("r");
    }),
    ("test", Stage::demo, |stage| {
        stage.click("Test day");
        stage.letter("r");
        stage.key(Named::Enter, Modifiers::empty());
    }),
    ("cards-nobody", Stage::demo, |stage| stage.click("Cards")),
    ("cards", Stage::demo, |stage| {
        stage.click("Cards");
        stage.click("All");
    }),
    ("library", Stage::demo, |stage| {
        stage.click("Library");
        stage.click("Check every row");
    }),
    ("settings", Stage::demo, |stage| stage.click("Settings")),
    ("keys", Stage::demo, |stage| stage.letter("?")),
];

const CALENDAR: [Screen; 8] = [
    ("calendar", Stage::demo, |stage| stage.click("Calendar")),
    ("calendar-plan-asked", Stage::demo, |stage| plan(stage, "Mon 1 Dec")),
    ("calendar-plan", Stage::demo, |stage| plan(stage, "Tue 1 Dec, Sat 5 Dec, Tue 8 Dec")),
    ("calendar-moving", Stage::demo, |stage| {
        stage.click("Calendar");
        stage.click("Move");
        (0..60).for_each(|_| stage.key(Named::ArrowLeft, Modifiers::empty()));
    }),
    ("calendar-entered", Stage::demo, |stage| {
        stage.click("Calendar");
        stage.letter("r");
    }),
    ("calendar-programme", Stage::demo, |stage| {
        stage.click("Calendar");
        stage.letter("h");
    }),
    ("strange-calendar", strange, |stage| stage.click("Calendar")),
    ("strange-calendar-plan", strange, |stage| plan(stage, "Tue 1 Dec, Sat 5 Dec")),
];

const EMPTY: [Screen; 10] = [
    ("empty-squad", empty, |_| {}),
    ("empty-athlete-new", empty, |stage| {
        stage.letter("n");
        stage.key(Named::Enter, Modifiers::empty());
    }),
    ("empty-table", empty, |stage| stage.click("Test day")),
    ("empty-recordings", empty, |stage| {
        stage.click("Test day");
        stage.letter("r");
    }),
    ("empty-cards", empty, |stage| stage.click("Cards")),
    ("empty-calendar", empty, |stage| stage.click("Calendar")),
    ("empty-library", empty, |stage| stage.click("Library")),
    ("trouble", damaged, |_| {}),
    ("problem-path", empty, |stage| {
        stage.click("Library");
        stage.type_into("roster path", "nowhere/squad.csv");
        stage.click("Take in the roster");
    }),
    ("problem", empty, |stage| {
        stage.click("Library");
        stage.click("Take in the roster");
    }),
];

const STRANGE: [Screen; 8] = [
    ("strange-squad", strange, |_| {}),
    ("strange-athlete", strange, |stage| {
        (0..6).for_each(|_| stage.key(Named::ArrowDown, Modifiers::empty()));
        stage.key(Named::Enter, Modifiers::empty());
    }),
    ("strange-table", strange, typed),
    ("strange-recordings", strange, dropped),
    ("strange-test", strange, |stage| {
        (0..2).for_each(|_| stage.key(Named::ArrowDown, Modifiers::empty()));
        stage.letter("a");
    }),
    ("strange-cards", strange, |stage| {
        stage.click("Cards");
        stage.click("All");
    }),
    ("crowd-squad", crowd, |_| {}),
    ("crowd-table", crowd, typed),
];

/// The README's picture.
#[test]
fn the_squad() {
    let stage = Stage::demo();
    stage.assert_shows("Markers and zones, pace per km");
    stage.picture("squad");
}

#[test]
fn the_demo_squad_on_every_screen() {
    look_at(&DEMO, &SIZES);
}

#[test]
fn the_calendar_on_every_screen() {
    look_at(&CALENDAR, &SIZES);
}

#[test]
fn nothing_yet_on_every_screen() {
    look_at(&EMPTY, &SIZES);
}

#[test]
fn many_and_long_and_foreign_names_on_every_screen() {
    look_at(&STRANGE, &SIZES);
}

/// Draws screens in some sizes, light and dark, with usual and large text, and searches them.
pub(crate) fn look_at(screens: &[Screen], sizes: &[(&str, Size)]) {
    let mut faults = Vec::new();
    for (name, start, reach) in screens {
        for ground in ["Light", "Dark"] {
            let mut stage = start();
            // light or dark and the size of text stand in the library: one that cannot be opened has neither,
            // and its page is drawn as the window starts
            if ground == "Dark" && !name.starts_with("trouble") {
                stage.click("Settings");
                stage.click(ground);
                stage.click("Squad");
            }
            reach(&mut stage);
            for percent in ["100", "150"] {
                for (width, size) in sizes {
                    stage.size = *size;
                    let screen = format!("{name}-{}-{percent}-{width}", ground.to_lowercase());
                    let found = stage.faults();
                    faults.extend(found.iter().map(|what| format!("{screen}: {what}")));
                    stage.picture(&screen);
                }
                (0..5).for_each(|_| stage.sign("+", Modifiers::CTRL));
            }
        }
    }
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

pub(crate) fn empty() -> Stage {
    Stage::copy_of(&[])
}

/// A file that is no library.
fn damaged() -> Stage {
    Stage::copy_of(b"Dear diary, today I ran.")
}

/// The demo's club under names that no column was made for, all of them made up.
pub(crate) fn strange() -> Stage {
    static FILE: OnceLock<Vec<u8>> = OnceLock::new();
    Stage::copy_of(FILE.get_or_init(|| {
        let mut squad = club();
        for (athlete, name) in squad.athletes.iter_mut().zip(NAMES) {
            name.clone_into(&mut athlete.name);
            athlete.squads.push("Saturday long runs along the old canal".to_owned());
        }
        library_file(&squad)
    }))
}

pub(crate) const NAMES: [&str; 8] = [
    "Maximiliana Theodora Wilhelmina von Hohenstein-Rosenquist und zu Altenbergen",
    "Nguy\u{1ec5}n Th\u{1ecb} H\u{1ea1} V\u{00e2}n S\u{01b0}\u{01a1}ng",
    "\u{0395}\u{03bb}\u{03ad}\u{03bd}\u{03b7} \u{0391}\u{03bb}\u{03b5}\u{03be}\u{03ac}\u{03bd}\u{03b4}\u{03c1}\u{03b1} \u{039a}\u{03b1}\u{03c1}\u{03b1}\u{03bc}\u{03ac}\u{03bd}\u{03b7}-\u{03a0}\u{03b1}\u{03c0}\u{03b1}\u{03b4}\u{03bf}\u{03c0}\u{03bf}\u{03cd}\u{03bb}\u{03bf}\u{03c5}",
    "Thornbeckhollowunderfellwaterheadcumtarnsidegarthmerebridg",
    "\u{041c}\u{0430}\u{0440}\u{0438}\u{044f} \u{0412}\u{0430}\u{0441}\u{0438}\u{043b}\u{044c}\u{0435}\u{0432}\u{043d}\u{0430} \u{0411}\u{043e}\u{0433}\u{043e}\u{044f}\u{0432}\u{043b}\u{0435}\u{043d}\u{0441}\u{043a}\u{0430}\u{044f}",
    "\u{67f3}\u{6e05}\u{6eaa}",
    "\u{1340}\u{12f0}\u{12ed} \u{1240}\u{1235}\u{1270}\u{12f0}\u{1218}\u{1293}",
    "Bo",
];

/// A hundred and fifty runners in three squads, nothing run yet.
pub(crate) fn crowd() -> Stage {
    static FILE: OnceLock<Vec<u8>> = OnceLock::new();
    Stage::copy_of(FILE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let mut table = "name,born,squad,screening\n".to_owned();
        for number in 1..=150 {
            let squad = ["Mile", "Hill", "Road"][number % 3];
            writeln!(table, "Runner Number {number},1990-01-01,{squad},cleared 2026-10-01")
                .unwrap();
        }
        let (file, library) = (folder.path().join("roster.csv"), folder.path().join("library"));
        std::fs::write(&file, table).unwrap();
        let desk = Desk::open(Some(&library)).unwrap();
        assert_eq!(roster::roster(&desk, &file, &clock()).unwrap().added.len(), 150);
        desk.close().unwrap();
        std::fs::read(library).unwrap()
    }))
}

/// A plan asked for, for dates as they are typed.
fn plan(stage: &mut Stage, dates: &str) {
    stage.click("Calendar");
    stage.letter("p");
    stage.retype("plan dates", 200, dates);
    stage.click("Propose");
}

/// Everyone on test day, the first five with a result.
fn typed(stage: &mut Stage) {
    stage.click("Test day");
    stage.type_into("length of a lap", "400");
    stage.click("Everyone");
    for (id, text) in [
        ("laps 1", "15"),
        ("metres 1", "60"),
        ("heart rate 1", "176"),
        ("laps 2", "14"),
        ("metres 2", "390"),
        // before its laps: a doubt about them makes the row higher
        ("heart rate 3", "118"),
        ("laps 3", "9.2"),
    ] {
        stage.type_into(id, text);
    }
}

/// Three rows that cannot be right.
fn typed_wrong(stage: &mut Stage) {
    typed(stage);
    stage.type_into("metres 2", "000");
    stage.type_into("heart rate 2", "17");
    stage.type_into("metres 3", "16:40");
}

/// Recordings of every kind: one to confirm, one whose athlete nobody knows, one that is none.
fn dropped(stage: &mut Stage) {
    let squad = club();
    let kind = pacewright_core::test::TestKind::TwentyMinutes;
    let mut files = write(stage.folder(), &[newest(&squad, "Hamid Nazari", kind)]);
    let other = |name: &str, words: &str| {
        let path = stage.folder().join(name);
        std::fs::write(&path, words).unwrap();
        path
    };
    files.push(other("notes-from-the-long-evening-beside-the-track-in-november.gpx", "none"));
    files.push(other("\u{0394}\u{03bf}\u{03ba}\u{03b9}\u{03bc}\u{03ae}.csv", "time,distance\n"));
    assert!(files.iter().all(|file| Path::exists(file)));
    stage.drop_files(&files);
}
