//! Results typed after one whistle, asserted on what stands on screen.

use std::fmt::Write as _;

use std::path::{Path, PathBuf};

use iced::Size;
use iced::keyboard::{Key, Modifiers, key::Named};
use pacewright_core::test::TestKind;
use pacewright_desk::schedule::{self, ToBook};
use pacewright_desk::{Desk, book, roster};

use crate::hands::Hands;
use crate::screens::NAMES;
use crate::stage::{Stage, clock};

/// What eleven of the demo squad ran in 20 minutes on a lap of 400 m (invented), in the order of
/// their names.
const RESULTS: [(&str, &str, &str); 11] = [
    ("15", "60", "176"),
    ("14", "390", "178"),
    ("9", "65", "118"),
    ("15", "170", "181"),
    ("12", "150", ""),
    ("11", "280", "171"),
    ("8", "30", "165"),
    ("15", "20", "172"),
    ("12", "390", "178"),
    ("13", "60", "168"),
    ("12", "380", "186"),
];

/// The demo squad on test day, everyone who may run in the table, laps of 400 m.
fn whistle() -> Hands {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Test day");
    hands.click("length of a lap");
    hands.write("400");
    hands.click("Everyone");
    hands
}

/// From the laps of a row through its fields to the laps of the next.
fn type_row(hands: &mut Hands, (laps, metres, rate): (&str, &str, &str)) {
    for text in [laps, metres, rate] {
        hands.write(text);
        hands.key(Named::Tab, Modifiers::empty());
    }
}

#[test]
fn twelve_results_typed_after_one_whistle() {
    let mut hands = whistle();
    hands.stage.assert_shows(
        "Must not run: Beatrix Oyelaran (not asked about health yet), Jonas Whitfield (returning), \
         Wendeline Okoro-Thal (on hold).",
    );
    for result in RESULTS {
        type_row(&mut hands, result);
    }
    // 15 x 400 + 60 = 6,060 m in 1,200 s: 3:18 a kilometre (arithmetic)
    hands.stage.assert_shows("3:18");
    hands.stage.assert_shows("Confirm eleven");

    // the twelfth ran although he should not have: he waits for a reason
    hands.click("add an athlete");
    hands.write("jon");
    hands.stage.assert_shows("Jonas Whitfield (returning)");
    hands.key(Named::Enter, Modifiers::empty());
    assert!(hands.is_in("laps 12"));
    type_row(&mut hands, ("10", "300", "163"));
    hands.stage.assert_shows("returning: should not have run");
    hands.stage.assert_shows("one row waits: one to be given a reason");
    assert!(hands.is_in("reason 12"));
    hands.write("physio agreed");
    hands.stage.assert_shows("Confirm twelve");

    hands.key(Named::Enter, Modifiers::CTRL);
    assert_eq!(
        hands.stage.starting_with("Twelve results confirmed").as_deref(),
        Some("Twelve results confirmed: seven with new zones, five renewed.")
    );
    hands.stage.assert_shows("confirmed: new zones");
    hands.stage.assert_shows("confirmed: zones kept, date renewed");
    hands.stage.picture("table-confirmed");

    // taken back: every row stands there as it was typed
    hands.key(Key::Character("z".into()), Modifiers::CTRL);
    hands.stage.assert_shows("Undone: Decide on 12 tests of 12 athletes");
    hands.stage.assert_shows("Confirm twelve");
    assert!(!hands.stage.shows("confirmed: new zones"));
    hands.stage.assert_shows("physio agreed");

    // and done again
    hands.key(Key::Character("y".into()), Modifiers::CTRL);
    hands.stage.assert_shows("confirmed: new zones");
    hands.key(Key::Character("p".into()), Modifiers::empty());
    hands.stage.assert_shows("7 cards");
}

/// Who must not run an all-out effort stands in sight at every size, whatever else stands there, and
/// so do two whole rows.
#[test]
fn who_must_not_run_is_in_sight_at_every_size() {
    let mut hands = whistle();
    for result in &RESULTS[..3] {
        type_row(&mut hands, *result);
    }
    let sizes = [(1_024.0, 700.0), (1_280.0, 800.0), (1_920.0, 1_200.0)];
    let look = |hands: &mut Hands| {
        for larger in ["+", "-"] {
            for (width, height) in sizes {
                hands.stage.size = Size::new(width, height);
                let must_not = hands.stage.in_sight("Must not run: Beatrix");
                assert_eq!(must_not.len(), 1, "{width}");
                for name in ["Jonas Whitfield (returning)", "Wendeline Okoro-Thal (on hold)."] {
                    assert!(must_not[0].contains(name), "{name} is missing: {must_not:?}");
                }
                for row in ["Aiko Brandt", "Ciar\u{e1}n Dewhurst"] {
                    assert_eq!(hands.stage.in_sight(row).len(), 1, "{row}, {width}");
                }
                // the verdicts stand at the foot of their rows
                assert!(hands.stage.in_sight("no clear change").len() >= 2, "{width}");
            }
            (0..5).for_each(|_| hands.key(Key::Character(larger.into()), Modifiers::CTRL));
        }
    };
    look(&mut hands);
    hands.key(Named::Enter, Modifiers::CTRL);
    assert!(hands.stage.shows_part("confirmed: "), "a notice takes some room too");
    look(&mut hands);
}

/// However many lines are said of a row, they begin beside the name they are about.
#[test]
fn warnings_begin_beside_the_name_they_are_about() {
    let mut hands = whistle();
    type_row(&mut hands, ("18", "", "176"));
    let said = hands.stage.texts().into_iter().find(|text| text.contains("is unlikely: check"));
    assert!(said.is_some(), "{:?}", hands.stage.texts());
    let verdict = hands.stage.text_after("All tests together");
    assert_eq!(verdict, "Aiko Brandt");
    let name = hands.stage.height_of("Aiko Brandt").unwrap();
    let first = hands.stage.texts().into_iter().find(|text| text.contains(" \u{b1} ")).unwrap();
    let first = hands.stage.height_of(&first).unwrap();
    let second = hands.stage.height_of("Ciar\u{e1}n Dewhurst").unwrap();
    assert!((first - name).abs() < 6.0, "the verdict at {first}, the name at {name}");
    assert!(second - name > 100.0, "the row is high: {name} to {second}");
}

#[test]
fn a_wrong_entry_says_what_is_wrong_and_waits() {
    let mut hands = whistle();
    type_row(&mut hands, ("14", "5600", "176"));
    hands.stage.assert_shows("5,600 m is more than a lap: laps and metres, or one distance?");
    type_row(&mut hands, ("", "16:40", ""));
    hands.stage.assert_shows(
        "\"16:40\" is a time: write the distance run, in laps and metres or as one distance",
    );
    type_row(&mut hands, ("13 laps 200", "", "17"));
    hands
        .stage
        .assert_shows("a mean heart rate of 17 cannot be: give beats a minute from 60 to 220");
    // however it is written, the fields stay in their columns
    for (long, short) in [("laps 3", "laps 1"), ("metres 3", "metres 1")] {
        let (long, short) = (hands.place_of(long), hands.place_of(short));
        assert_eq!((long.x, long.width), (short.x, short.width));
    }
    type_row(&mut hands, ("", "6,17 km", "181"));
    type_row(&mut hands, ("2", "", ""));
    hands.stage.assert_shows(
        "800 m in 20 minutes cannot be: a 20-minute test covers 960 m to 8,160 m; check the laps and metres",
    );
    type_row(&mut hands, ("", "", "171"));
    hands.stage.assert_shows("a heart rate needs its distance: type laps and metres");
    type_row(&mut hands, ("18", "", ""));
    hands.stage.picture("table-wrong");
    hands.stage.assert_shows("Confirm one");
    hands
        .stage
        .assert_shows("ten rows wait: five to correct, one to be given a reason, four empty");

    hands.key(Named::Enter, Modifiers::CTRL);
    // what waits stays as it was typed
    hands.stage.assert_shows("5600");
    hands.stage.assert_shows("16:40");
    hands.stage.assert_shows("13 laps 200");
    hands
        .stage
        .assert_shows("ten rows wait: five to correct, one to be given a reason, four empty");
}

#[test]
fn enter_goes_down_and_tab_goes_along() {
    let mut hands = whistle();
    assert!(hands.is_in("laps 1"));
    hands.key(Named::Enter, Modifiers::empty());
    assert!(hands.is_in("laps 2"));
    hands.key(Named::ArrowDown, Modifiers::empty());
    assert!(hands.is_in("laps 3"));
    hands.key(Named::ArrowUp, Modifiers::empty());
    hands.key(Named::Tab, Modifiers::empty());
    assert!(hands.is_in("metres 2"));
    hands.key(Named::Tab, Modifiers::empty());
    hands.key(Named::Tab, Modifiers::empty());
    assert!(hands.is_in("laps 3"));
    hands.key(Named::Tab, Modifiers::SHIFT);
    assert!(hands.is_in("heart rate 2"));
    // to the last row, which has to be brought into sight, and no further
    for _ in 0..12 {
        hands.key(Named::Enter, Modifiers::empty());
    }
    assert!(hands.is_in("heart rate 11"));
    hands.click("heart rate 11");
}

#[test]
fn the_choice_is_turned_by_a_key_and_by_a_press() {
    let mut hands = whistle();
    for result in &RESULTS[..4] {
        type_row(&mut hands, *result);
    }
    hands.click("laps 4");
    hands.stage.assert_shows("keep the zones, renew the date");
    hands.key(Key::Character("k".into()), Modifiers::CTRL);
    assert!(!hands.stage.shows("keep the zones, renew the date"));
    hands.click("new zones");
    hands.stage.assert_shows("keep the zones, renew the date");

    hands.stage.assert_shows("Hamid Nazari");
    hands.click("laps 4");
    hands.key(Key::Character("d".into()), Modifiers::CTRL);
    assert!(!hands.stage.shows("Hamid Nazari"));
}

#[test]
fn what_is_typed_survives_other_rooms_and_another_test_or_day() {
    let mut hands = whistle();
    type_row(&mut hands, ("15", "61", "176"));
    hands.click("Squad");
    hands.click("Test day");
    hands.stage.assert_shows("61");
    hands.stage.assert_shows("laps of 400 m");
    hands.click("5 min");
    hands.stage.assert_shows("61");
    hands.stage.assert_shows(
        "6,061 m in 5 minutes cannot be: a 5-minute test covers 240 m to 2,205 m; check the laps and metres",
    );
    hands.click("20 min");
    hands.click("\u{2039} a day earlier");
    hands.stage.assert_shows("Tuesday 24 November 2026");
    hands.stage.assert_shows("3:18");
}

#[test]
fn the_same_result_never_counts_twice() {
    let mut hands = whistle();
    type_row(&mut hands, RESULTS[0]);
    hands.key(Named::Enter, Modifiers::CTRL);
    hands.stage.assert_shows("One result confirmed: one with new zones.");
    // taken out and typed once more: it counts already
    hands.click("\u{d7}");
    hands.click("add an athlete");
    hands.write("aiko");
    hands.key(Named::Enter, Modifiers::empty());
    type_row(&mut hands, RESULTS[0]);
    hands.stage.assert_shows("confirmed: new zones");
    hands.stage.assert_shows("Confirm");
}

#[test]
fn who_is_booked_for_the_day_stands_there() {
    let folder = tempfile::tempdir().unwrap();
    let library = crowd(folder.path());
    let desk = Desk::open(Some(&library)).unwrap();
    let athlete = book::open(&desk).unwrap().of_athlete("Bo").unwrap().athlete.id;
    let (kind, on) = (TestKind::FiveMinutes, clock().today);
    schedule::enter(&desk, vec![ToBook { athlete, kind, on }], Vec::new(), &clock()).unwrap();
    desk.close().unwrap();
    let mut hands = Hands::on(Stage::library(library));
    hands.click("Test day");
    hands.stage.assert_shows("5-minute test, one whistle");
    hands.stage.assert_shows("Bo");
    assert!(hands.is_in("laps 1"));
    hands.write("3 x 400 + 120");
    hands.stage.assert_shows("first test");
    hands.stage.assert_shows("a first 5-minute test is practice");
    // another day, while something is typed: nothing typed is lost
    hands.click("\u{2039} a day earlier");
    hands.stage.assert_shows("3 x 400 + 120");
}

#[test]
fn a_hundred_rows_and_names_of_any_length() {
    let folder = tempfile::tempdir().unwrap();
    let mut hands = Hands::on(Stage::library(crowd(folder.path())));
    hands.click("Test day");
    hands.stage.picture("table-nobody");
    hands.click("Everyone");
    hands.click("length of a lap");
    hands.write("400");
    hands.stage.picture("table-hundred");
    hands.click("laps 1");
    hands.write("12");
    for row in 2..=100 {
        hands.key(Named::Enter, Modifiers::empty());
        assert!(hands.is_in(&format!("laps {row}")));
        hands.write("13");
    }
    hands.stage.picture("table-hundred-typed");
    hands.stage.size = Size::new(700.0, 900.0);
    hands.stage.picture("table-hundred-narrow");
    hands.stage.size = Size::new(1280.0, 800.0);
    // the last is in sight, the first is kept although it is long out of sight
    hands.click("laps 100");
    hands.stage.assert_shows("Confirm 100");
}

/// A library of a hundred runners with names of every kind; gives its path.
fn crowd(folder: &Path) -> PathBuf {
    let mut roster = "name,born,screening\n".to_owned();
    for name in [
        NAMES[0],
        NAMES[1],
        "\u{0395}\u{03bb}\u{03ad}\u{03bd}\u{03b7} \u{039a}\u{03b1}\u{03c1}\u{03b1}\u{03bc}\u{03ac}\u{03bd}\u{03b7}",
        NAMES[3],
        "Bo",
    ] {
        writeln!(roster, "{name},1990-01-01,cleared 2026-10-01").unwrap();
    }
    for number in 6..=100 {
        writeln!(roster, "Runner {number},1990-01-01,cleared 2026-10-01").unwrap();
    }
    let (file, library) = (folder.join("roster.csv"), folder.join("library"));
    std::fs::write(&file, roster).unwrap();
    let desk = Desk::open(Some(&library)).unwrap();
    let outcome = roster::roster(&desk, &file, &clock()).unwrap();
    assert_eq!(outcome.added.len(), 100, "{outcome:?}");
    desk.close().unwrap();
    library
}

#[test]
fn pictures() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Test day");
    hands.stage.picture("table-empty");
    let mut hands = whistle();
    hands.stage.picture("table-filling");
    for result in RESULTS {
        type_row(&mut hands, result);
    }
    hands.stage.picture("table-full");
    hands.stage.size = Size::new(1024.0, 700.0);
    hands.stage.picture("table-full-small");
    for _ in 0..5 {
        hands.key(Key::Character("+".into()), Modifiers::CTRL);
    }
    hands.stage.picture("table-full-small-large-text");
    hands.stage.size = Size::new(1920.0, 1200.0);
    hands.stage.picture("table-full-wide-large-text");
    hands.stage.size = Size::new(1280.0, 800.0);
    hands.stage.picture("table-full-large-text");
    hands.click("Settings");
    hands.click("Dark");
    for _ in 0..5 {
        hands.key(Key::Character("-".into()), Modifiers::CTRL);
    }
    hands.click("Test day");
    hands.stage.picture("table-full-dark");
    hands.stage.size = Size::new(1920.0, 1200.0);
    hands.stage.picture("table-full-wide-dark");
}
