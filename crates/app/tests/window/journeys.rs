//! Whole ways through the window, asserted on what stands on screen.

use std::path::Path;

use iced::Size;
use iced::keyboard::{Key, Modifiers, key::Named};
use pacewright_desk::{Desk, settings};

use crate::hands::Hands;
use crate::stage::{Stage, clock};

#[test]
fn the_demo_squad_opens_on_its_ledger() {
    let stage = Stage::look_around();
    stage.assert_shows("Eight of fourteen need you this week");
    stage.assert_shows("Oskar Lindqvist-Vale");
    assert!(stage.shows_part("in the next 7 days; "), "what is ahead stands under the headline");
}

fn undo(hands: &mut Hands) {
    hands.key(Key::Character("z".into()), Modifiers::CTRL);
}

/// From nothing at all, by keyboard, to a card in a file.
#[test]
fn from_the_first_run_to_the_first_saved_card() {
    let folder = tempfile::tempdir().unwrap();
    let mut hands = Hands::on(Stage::library(folder.path().join("library")));
    hands.stage.assert_shows("Your squad");
    hands.key(Named::Enter, Modifiers::empty());
    hands.stage.assert_shows("A new athlete");
    hands.stage.size = Size::new(1_280.0, 1_600.0);
    hands.click("athlete name");
    hands.write("Ida Example");
    hands.click("Cleared");
    hands.click("athlete screened on");
    hands.write("2026-11-20");
    hands.key(Named::Enter, Modifiers::empty());
    hands.stage.assert_shows("Ida Example was added.");
    hands.stage.assert_shows("No zones yet");

    hands.key(Key::Character("t".into()), Modifiers::empty());
    hands.stage.assert_shows("20-minute test, one whistle");
    assert!(hands.is_in("laps 1"));
    hands.write("5,4 km");
    hands.key(Named::Tab, Modifiers::empty());
    hands.key(Named::Tab, Modifiers::empty());
    hands.write("176");
    // 5,400 m in 1,200 s: 222.2 s a kilometre (arithmetic)
    hands.stage.assert_shows("3:42");
    hands.stage.assert_shows("first test");
    hands.key(Named::Enter, Modifiers::CTRL);
    hands.stage.assert_shows("One result confirmed: one with new zones.");

    hands.key(Key::Character("p".into()), Modifiers::empty());
    hands.stage.assert_shows("one card");
    let card = folder.path().join("card.pdf");
    hands.click("cards path");
    hands.key(Key::Character("a".into()), Modifiers::CTRL);
    hands.key(Named::Backspace, Modifiers::empty());
    hands.write(card.to_str().unwrap());
    hands.click("Save");
    hands.stage.assert_shows(&format!("Saved as {}. Print at 100 %.", card.display()));
    assert!(std::fs::read(card).unwrap().starts_with(b"%PDF-"));
}

/// A result typed for the wrong runner counts, is seen, and is taken back with its zones.
#[test]
fn a_wrong_entry_is_undone_and_leaves_nothing_behind() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Aiko Brandt");
    hands.stage.assert_shows("Current zones, from 8 November 2026");
    hands.key(Key::Character("t".into()), Modifiers::empty());
    hands.write("6060 m");
    hands.key(Named::Tab, Modifiers::empty());
    hands.key(Named::Tab, Modifiers::empty());
    hands.write("176");
    hands.key(Named::Enter, Modifiers::CTRL);
    hands.stage.assert_shows("One result confirmed: one with new zones.");
    hands.click("Squad");
    hands.click("Aiko Brandt");
    hands.stage.assert_shows("Current zones, from 25 November 2026");
    undo(&mut hands);
    hands.stage.assert_shows("Current zones, from 8 November 2026");
    hands.key(Key::Character("y".into()), Modifiers::CTRL);
    hands.stage.assert_shows("Current zones, from 25 November 2026");
}

#[test]
fn cards_are_chosen_one_by_one_or_all() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Cards");
    hands.click("All");
    hands.stage.assert_shows("14 cards");
    hands.click("Ewan MacAllister");
    hands.stage.assert_shows("13 cards");
    hands.key(Named::ArrowDown, Modifiers::empty());
    hands.key(Named::Space, Modifiers::empty());
    hands.stage.assert_shows("12 cards");
    hands.click("One to a page");
    hands.stage.assert_shows("page 1 of 12");
    hands.click("Library");
    hands.click("Check every row");
    hands.stage.assert_shows("Every row is as it was written.");
}

/// Every setting counts at once and comes back.
#[test]
fn settings_count_at_once_and_are_taken_back() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Settings");
    hands.click("Miles");
    hands.click("Squad");
    hands.stage.assert_shows("Markers and zones, pace per mile");
    undo(&mut hands);
    hands.stage.assert_shows("Markers and zones, pace per km");
    hands.key(Key::Character("+".into()), Modifiers::CTRL);
    assert!((hands.stage.window.scale() - 1.1).abs() < 1e-6);
    undo(&mut hands);
    assert!((hands.stage.window.scale() - 1.0).abs() < 1e-6);
}

#[test]
fn a_copy_is_made_and_comes_back_where_the_library_was_ruined() {
    let folder = tempfile::tempdir().unwrap();
    let (library, copy) = (folder.path().join("library"), folder.path().join("copy"));
    named(&library, "Before the flood");
    let desk = Desk::open(Some(&library)).unwrap();
    pacewright_desk::keeping::copy_to(&desk, &copy).unwrap();
    desk.close().unwrap();
    std::fs::write(&library, "ruined").unwrap();

    let mut hands = Hands::on(Stage::library(library.clone()));
    hands.stage.assert_shows("The library could not be opened");
    assert!(
        hands.stage.shows_part("is not a library of this program, or its beginning is damaged")
    );
    hands.click("Restore it");
    hands.stage.assert_shows("Type where the copy stands.");
    hands.click("copy to restore");
    hands.write(copy.to_str().unwrap());
    hands.key(Named::Enter, Modifiers::empty());
    hands.stage.assert_shows("Before the flood");
    assert!(hands.stage.shows_part("What stood there before is kept as"));
    assert!(hands.stage.shows_part("library.replaced"));
    assert_eq!(std::fs::read_to_string(folder.path().join("library.replaced")).unwrap(), "ruined");
}

fn named(library: &Path, club: &str) {
    let desk = Desk::open(Some(library)).unwrap();
    let kept = settings::Settings { club: club.to_owned(), ..settings::Settings::default() };
    settings::keep(&desk, &kept, &clock()).unwrap();
    desk.close().unwrap();
}

#[test]
fn a_library_that_is_open_elsewhere_is_tried_again_or_left() {
    let folder = tempfile::tempdir().unwrap();
    let (library, other) = (folder.path().join("library"), folder.path().join("other"));
    named(&other, "The other club");
    let elsewhere = Desk::open(Some(&library)).unwrap();
    let mut hands = Hands::on(Stage::library(library));
    assert!(hands.stage.shows_part("is open in another running program; nothing was changed"));
    // still open there
    hands.key(Named::Enter, Modifiers::empty());
    hands.stage.assert_shows("The library could not be opened");
    hands.click("other library");
    hands.write(other.to_str().unwrap());
    hands.key(Named::Enter, Modifiers::empty());
    hands.stage.assert_shows("The other club");
    elsewhere.close().unwrap();
}

#[test]
fn what_cannot_be_saved_says_why_and_everything_stays() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Cards");
    hands.click("All");
    let there = hands.stage.folder().join("library").join("cards.pdf");
    hands.click("cards path");
    hands.key(Key::Character("a".into()), Modifiers::CTRL);
    hands.key(Named::Backspace, Modifiers::empty());
    hands.write(there.to_str().unwrap());
    hands.click("Save");
    assert!(hands.stage.shows_part("cards.pdf"), "{:?}", hands.stage.texts());
    hands.stage.assert_shows("14 cards");
    hands.click("Library");
    hands.click("roster path");
    hands.write("nowhere.csv");
    hands.key(Named::Enter, Modifiers::empty());
    assert!(hands.stage.shows_part("nowhere.csv"), "{:?}", hands.stage.texts());
}

/// The stage's desktop has no viewer: the cards are saved all the same, and it is said where.
#[test]
fn without_a_viewer_the_cards_are_saved_and_it_is_said_where() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Cards");
    hands.click("All");
    let file = hands.stage.folder().join("cards.pdf");
    hands.click("cards path");
    hands.key(Key::Character("a".into()), Modifiers::CTRL);
    hands.key(Named::Backspace, Modifiers::empty());
    hands.write(file.to_str().unwrap());
    hands.click("Save and open");
    assert!(std::fs::read(&file).unwrap().starts_with(b"%PDF"));
    assert!(hands.stage.shows_part("no program to show a PDF was found; open it by hand"));
}

/// A path that is not there is said beneath its field too, until another is typed.
#[test]
fn a_wrong_path_is_said_beneath_its_field() {
    let mut stage = Stage::demo();
    stage.click("Library");
    stage.type_into("roster path", "nowhere.csv");
    stage.click("Take in the roster");
    let said = stage.texts().into_iter().find(|text| text.contains("nowhere.csv")).unwrap();
    assert_eq!(stage.count(&said), 2, "beneath the field and at the foot: {said}");
    stage.type_into("roster path", "x");
    assert_eq!(stage.count(&said), 1);
}
