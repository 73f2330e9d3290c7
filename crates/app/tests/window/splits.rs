//! The split sheet: from the cards to a saved sheet by keyboard, and drawn in every size.

use iced::keyboard::{Key, Modifiers, key::Named};

use crate::hands::Hands;
use crate::screens::{SIZES, Screen, crowd, empty, look_at, strange};
use crate::stage::Stage;

fn letter(hands: &mut Hands, letter: &str) {
    hands.key(Key::Character(letter.into()), Modifiers::empty());
}

/// The split sheet of a session, from the squad.
fn typed(stage: &mut Stage, zone: &str, run: &str) {
    stage.click("Cards");
    stage.letter("t");
    stage.letter(zone);
    stage.type_into("session repetitions", run);
}

const SCREENS: [Screen; 12] = [
    ("splits-asked", Stage::demo, |stage| typed(stage, "4", "")),
    ("splits", Stage::demo, |stage| typed(stage, "4", "6 x 1000 m")),
    ("splits-limits", Stage::demo, |stage| typed(stage, "2", "10 km")),
    ("splits-at-least", Stage::demo, |stage| typed(stage, "5", "8 x 300")),
    ("splits-walked", Stage::demo, |stage| typed(stage, "1", "5 km")),
    ("splits-wrong", Stage::demo, |stage| {
        typed(stage, "4", "6 x 1000 km");
        stage.retype("session lap", 3, "4");
    }),
    ("splits-day-past", Stage::demo, |stage| {
        typed(stage, "4", "6 x 1000 m");
        stage.type_into("session day", "24 Nov");
    }),
    ("splits-page", Stage::demo, |stage| {
        typed(stage, "4", "6 x 1000 m");
        stage.letter("p");
    }),
    ("empty-splits", empty, |stage| {
        stage.click("Cards");
        stage.letter("t");
    }),
    ("strange-splits", strange, |stage| typed(stage, "3", "3 x 2 km")),
    ("strange-splits-limits", strange, |stage| typed(stage, "2", "3 x 2 km")),
    ("crowd-splits", crowd, |stage| typed(stage, "4", "6 x 1000 m")),
];

#[test]
fn the_split_sheet_on_every_screen() {
    look_at(&SCREENS, &SIZES);
}

#[test]
fn from_the_cards_to_a_saved_split_sheet_by_keyboard() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Mirela Stanescu");
    // zone 4 as it stands on her card
    hands.stage.assert_shows("4:39 \u{2013} 4:12");
    hands.key(Key::Character("4".into()), Modifiers::CTRL);
    letter(&mut hands, "t");
    hands.stage.assert_shows("Split sheet");
    assert!(hands.is_in("session repetitions"));
    hands.write("6 x 1000 m");
    hands.stage.assert_shows("6 \u{d7} 1,000 m on laps of 400 m");
    // 279 and 252 s/km over 400 m: 111.6 and 100.8 s, 1:51 to 1:41; the middle is 106 s, and 2.5
    // laps of it are 265 s
    assert_eq!(hands.stage.text_after("Mirela Stanescu"), "from 11 November");
    hands.stage.assert_shows("1:51 \u{2013} 1:41");
    hands.stage.assert_shows("1:46 a lap, 4:25 each");
    hands.stage.assert_shows("400 m 1:46 \u{b7} 800 m 3:32");
    assert!(hands.stage.shows_part("Group 3, runs alone"));

    // without a lap the repetition is timed: 252 to 279 s, the middle 265.5, the slower second
    hands.key(Named::Tab, Modifiers::empty());
    assert!(hands.is_in("session lap"));
    (0..3).for_each(|_| hands.key(Named::Backspace, Modifiers::empty()));
    hands.stage.assert_shows("6 \u{d7} 1,000 m");
    hands.stage.assert_shows("4:26 each");

    let sheet = hands.stage.folder().join("tuesday.pdf");
    while !hands.is_in("splits path") {
        hands.key(Named::Tab, Modifiers::empty());
    }
    hands.key(Key::Character("a".into()), Modifiers::CTRL);
    hands.key(Named::Backspace, Modifiers::empty());
    hands.write(sheet.to_str().unwrap());
    hands.key(Named::Enter, Modifiers::CTRL);
    hands.stage.assert_shows(&format!("Saved as {}. Print at 100 %.", sheet.display()));
    assert!(std::fs::read(sheet).unwrap().starts_with(b"%PDF-"));

    // the session is kept while the zone cards are looked at
    hands.key(Named::Escape, Modifiers::empty());
    hands.stage.assert_shows("Eight to a page");
    letter(&mut hands, "t");
    hands.stage.assert_shows("4:26 each");
}

#[test]
fn a_zone_a_squad_and_athletes_are_chosen_by_key() {
    let mut stage = Stage::demo();
    typed(&mut stage, "5", "8 x 300");
    stage.assert_shows("Zone 5, Fast repetitions");
    stage.letter("3");
    stage.assert_shows("Zone 3, Brisk");
    let names = |stage: &Stage| stage.count("Aiko Brandt");
    assert_eq!(names(&stage), 2, "in the list and in a group");
    // the first of the list is left out, and taken in again
    stage.key(Named::Space, Modifiers::empty());
    assert_eq!(names(&stage), 1);
    stage.key(Named::Space, Modifiers::empty());
    assert_eq!(names(&stage), 2);
    // who must not run hard, or has no paces to go by, is marked in the list too, whatever is chosen
    stage.assert_shows("not today");
    stage.assert_shows("ask about health");
    stage.assert_shows("by feel");
    // run easily nobody is asked first
    stage.letter("2");
    assert!(!stage.shows("ask about health"));
    stage.letter("3");
    stage.click("Masters");
    assert!(!stage.shows("1:19 a lap, 3:18 each"));
    stage.click("Everyone");
    // who is on hold is named at the foot, without the reason
    let is_said = (0..3).any(|_| {
        stage.key(Named::ArrowRight, Modifiers::empty());
        stage.shows("not today, ask the coach")
    });
    assert!(is_said, "who is on hold stands in no group");
    stage.letter("p");
    stage.assert_shows("The groups");
    stage.letter("p");
    stage.assert_shows("The page");
    let sheet = stage.folder().join("sheet.pdf");
    stage.retype("splits path", 200, "");
    stage.type_into("splits path", sheet.to_str().unwrap());
    stage.letter("o");
    assert!(stage.shows_part("The split sheet is saved as "), "a desktop without a viewer");
}

#[test]
fn what_cannot_be_is_said_beneath_the_field_and_not_saved() {
    let mut stage = Stage::demo();
    typed(&mut stage, "4", "60 km");
    stage.assert_shows("a repetition of 60 km cannot be: give 50 m to 50 km");
    stage.letter("s");
    assert!(stage.shows_part("Type the repetitions first"));
    stage.retype("session repetitions", 20, "4 laps");
    stage.assert_shows("1,600 m on laps of 400 m");
    stage.retype("session lap", 3, "");
    stage
        .assert_shows("how long is a lap? Write it, or write the repetition as a distance, 1000 m");
}

/// Another day in place of what stands in its field.
fn another_day(hands: &mut Hands, day: &str) {
    hands.click("session day");
    hands.key(Key::Character("a".into()), Modifiers::CTRL);
    hands.key(Named::Backspace, Modifiers::empty());
    hands.write(day);
}

#[test]
fn the_sheet_is_of_the_day_that_is_typed() {
    let mut hands = Hands::on(Stage::demo());
    typed(&mut hands.stage, "4", "6 x 1000 m");
    hands.stage.assert_shows("Wednesday 25 November");
    hands.click("later \u{203a}");
    hands.stage.assert_shows("Thursday 26 November");
    another_day(&mut hands, "Tue 1 Dec");
    hands.stage.assert_shows("Tuesday 1 December");
    hands.stage.assert_shows("1:51 \u{2013} 1:41");
    for (_, size) in SIZES {
        hands.stage.size = size;
        for sign in ["+", "-"] {
            for words in ["Day", "Tuesday 1 December", "later \u{203a}"] {
                let seen = hands.stage.in_sight(words);
                assert!(seen.iter().any(|text| text == words), "{words} at {size:?}, then {sign}");
            }
            (0..5).for_each(|_| hands.stage.sign(sign, Modifiers::CTRL));
        }
    }
    // her zones are of 11 November and by 15 January out of date: no times on a sheet of that day
    another_day(&mut hands, "15 Jan");
    hands.stage.assert_shows("Friday 15 January");
    assert!(!hands.stage.shows("1:51 \u{2013} 1:41"));
    assert!(hands.stage.shows_part("zones out of date"));
}

#[test]
fn a_day_that_is_past_or_none_is_said_beneath_and_not_saved() {
    let mut hands = Hands::on(Stage::demo());
    typed(&mut hands.stage, "4", "6 x 1000 m");
    another_day(&mut hands, "24 Nov");
    let past = "24 November 2026 is past: a split sheet is of today or of a day to come";
    hands.stage.assert_shows(past);
    assert!(!hands.stage.shows("1:51 \u{2013} 1:41"));
    hands.stage.letter("s");
    hands.stage.assert_shows(&format!("{past}."));
    another_day(&mut hands, "Tue 2 Dec");
    hands
        .stage
        .assert_shows("2 December 2026 is a Wednesday, not a Tuesday: correct one of the two");
    another_day(&mut hands, "");
    hands.stage.assert_shows("1:51 \u{2013} 1:41");
    hands.stage.assert_shows("Wednesday 25 November");
}
