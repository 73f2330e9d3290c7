//! The calendar by hand: a plan proposed and booked, a booking moved by key and by mouse, races and
//! days away entered.

use iced::Size;
use iced::keyboard::{Key, Modifiers, key::Named};

use crate::hands::Hands;
use crate::stage::Stage;

fn calendar() -> Stage {
    let mut stage = Stage::demo();
    stage.click("Calendar");
    stage
}

fn named(stage: &mut Stage, key: Named) {
    stage.key(Key::Named(key), Modifiers::empty());
}

/// The dates of a plan typed, and a proposal asked for.
fn proposed() -> Stage {
    let mut stage = calendar();
    stage.letter("p");
    stage.type_into("plan dates", "Tue 1 Dec, Sat 5 Dec, Tue 8 Dec, Sat 12 Dec");
    stage.click("Propose");
    stage
}

#[test]
fn a_plan_is_proposed_compared_and_booked_in_part() {
    let mut stage = proposed();
    stage.picture("calendar-plan");
    assert!(stage.shows_part("Tue 1 December"));
    assert!(stage.shows("Without a date"));
    let all = stage.starting_with("Book ").unwrap();
    assert!(stage.shows_part("ring: tests proposed"));
    stage.letter("a");
    // what is not ticked is not marked in the months
    assert!(!stage.shows_part("ring: tests proposed"));
    assert_eq!(stage.starting_with("Book ").unwrap(), "Book 0");
    named(&mut stage, Named::Enter);
    assert!(stage.shows_part("Tick the tests to book"));
    named(&mut stage, Named::Space);
    assert_eq!(stage.starting_with("Book ").unwrap(), "Book 1");
    named(&mut stage, Named::Enter);
    stage.assert_shows("1 test booked.");
    assert_ne!(all, "Book 1");
    stage.click("Undo");
    assert!(stage.shows_part("Undone: Book a test of "));
}

#[test]
fn bad_dates_are_named_and_nothing_is_lost() {
    let mut stage = calendar();
    stage.letter("p");
    assert!(stage.shows_part("tests of those without zones come first, then overdue tests"));
    stage.type_into("plan dates", "Mon 1 Dec");
    stage.click("Propose");
    assert!(stage.shows_part("1 December 2026 is a Tuesday, not a Monday"));
    stage.picture("calendar-wrong-date");
    stage.retype("plan dates", 9, "8 Dec, 1 Dec");
    stage.click("Propose");
    assert!(stage.shows_part("give the dates in order"));
    stage.retype("plan dates", 12, "8 Dec");
    stage.retype("plan capacity", 1, "0");
    stage.click("Propose");
    assert!(stage.shows_part("\"0\" is no capacity"));
}

#[test]
fn a_booking_is_moved_by_key_and_the_broken_rule_is_seen_at_once() {
    let mut stage = calendar();
    // a window that closes while its test waits is no reason to run another
    stage.assert_shows(
        "window of the 20-minute test closes; the one of 16 November waits to be confirmed",
    );
    stage.picture("calendar");
    // the first booked test of the agenda
    for _ in 0..30 {
        stage.letter("m");
        if stage.shows("Move it there") {
            break;
        }
        named(&mut stage, Named::ArrowDown);
    }
    stage.assert_shows("Move it there");
    for _ in 0..60 {
        named(&mut stage, Named::ArrowLeft);
    }
    assert!(stage.shows_part("That day is over"));
    assert!(stage.shows_part("These months are over"));
    stage.picture("calendar-moving");
    named(&mut stage, Named::Enter);
    assert!(stage.shows("Move it there"), "what breaks a rule is not kept");
    named(&mut stage, Named::Escape);
    assert!(!stage.shows("Move it there"));
    stage.click("Move");
    stage.click("30");
    assert!(stage.shows_part(": to Mon 30 November"));
}

/// With large text on a small screen the months have to be scrolled: the day stays in sight.
#[test]
fn the_day_a_booking_is_moved_to_stays_in_sight() {
    let mut hands = Hands::on(calendar());
    hands.stage.size = iced::Size::new(1_024.0, 700.0);
    (0..5).for_each(|_| hands.stage.sign("+", Modifiers::CTRL));
    for _ in 0..30 {
        hands.write("m");
        if hands.stage.shows("Move it there") {
            break;
        }
        hands.key(Named::ArrowDown, Modifiers::empty());
    }
    hands.stage.assert_shows("November 2026");
    hands.click("Leave it where it was");
    hands.write("m");
    (0..2).for_each(|_| hands.key(Named::ArrowRight, Modifiers::empty()));
    assert!(hands.stage.shows_part(": to Mon 30 November"));
    assert!(hands.sees("30"), "the last week of November");
}

#[test]
fn races_and_days_away_are_read_as_they_are_typed() {
    let mut hands = Hands::on(calendar());
    hands.key(Key::Character("r".into()), Modifiers::empty());
    hands.click("entries");
    hands.write("Everyone: Sun 29 Nov 5 km Harbour Run goal");
    assert!(hands.stage.shows_part("Race Harbour Run, 5 km"));
    hands.stage.picture("calendar-enter");
    hands.key(Key::Named(Named::Enter), Modifiers::CTRL);
    assert!(hands.stage.shows_part("One line of races and days away is entered."));
    assert!(hands.stage.shows_part("Harbour Run"));
    hands.key(Key::Character("r".into()), Modifiers::empty());
    hands.click("entries");
    hands.write("Nobody: 12 Jan ill");
    assert!(hands.stage.shows_part("no athlete \"Nobody\""));
    hands.stage.picture("calendar-enter-wrong");
}

#[test]
fn how_a_squad_tests_is_kept() {
    let mut stage = calendar();
    stage.letter("h");
    stage.picture("calendar-programme");
    stage.type_into("programme days", "Tue 18:30, Sat");
    stage.click("Keep");
    assert!(stage.shows_part("meets at 18:30, room for 8"));
    stage.picture("calendar-meetings");
    stage.letter("h");
    stage.retype("programme window", 6, "8 to 4");
    stage.click("Keep");
    assert!(stage.shows_part("is no retest window"));
}

#[test]
fn dark_small_and_empty() {
    let mut stage = proposed();
    let book = stage.starting_with("Book ").unwrap();
    stage.click(&book);
    stage.click("Settings");
    stage.click("Dark");
    stage.click("Calendar");
    stage.picture("calendar-dark");
    stage.size = Size::new(1024.0, 700.0);
    stage.picture("calendar-small");
    let folder = tempfile::tempdir().unwrap();
    let mut empty = Stage::library(folder.path().join("library"));
    empty.click("Calendar");
    empty.assert_shows("Nobody to plan for yet");
    empty.picture("calendar-empty");
}
