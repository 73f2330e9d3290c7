//! The athlete's page whole, on windows so tall that nothing is scrolled out of sight: with everything
//! that can stand on it, with nothing, with each of its forms open, and with every number asked where
//! it comes from. Drawn and searched as [`crate::screens`] does.

use std::sync::OnceLock;

use iced::Size;
use iced::keyboard::Modifiers;
use iced::keyboard::key::Named;
use pacewright_core::laboratory::Protocol;
use pacewright_core::markers::MarkerName;
use pacewright_core::race::Priority;
use pacewright_core::units::UnitSystem;
use pacewright_desk::people::{EvidenceForm, Field, Subject, keep_evidence};
use pacewright_desk::schemes::{Whose, choose_scheme, put_scheme};
use pacewright_desk::{Desk, Now, book, decide};

use crate::runs::club;
use crate::screens::{NAMES, Screen, look_at};
use crate::stage::{Stage, clock, library_file};

/// Windows no page is taller than.
const WHOLE: [(&str, Size); 2] =
    [("1024", Size::new(1_024.0, 6_600.0)), ("1920", Size::new(1_920.0, 4_800.0))];
/// Windows as they are: what is asked stands under the head whatever is scrolled.
const SEEN: [(&str, Size); 2] =
    [("1024", Size::new(1_024.0, 700.0)), ("1920", Size::new(1_920.0, 1_200.0))];

const PAGES: [Screen; 9] = [
    ("page-full", full, |stage| {
        open(stage);
        stage.click("What may a race take?");
    }),
    ("page-scheme", by_scheme, open),
    ("page-medication", on_medication, open),
    ("page-newcomer", newcomer, open),
    ("page-demo", Stage::demo, |stage| {
        tall(stage);
        stage.click("Priya Ramanathan");
        stage.click("What may a race take?");
    }),
    ("page-hold", Stage::demo, |stage| {
        tall(stage);
        stage.click("Wendeline Okoro-Thal");
    }),
    ("page-returning", Stage::demo, |stage| {
        tall(stage);
        stage.click("Jonas Whitfield");
    }),
    ("page-junior", Stage::demo, |stage| {
        tall(stage);
        stage.click(JUNIOR);
    }),
    ("page-wrist", Stage::demo, |stage| {
        tall(stage);
        stage.click("Nadia Fenwick-Osei");
    }),
];

const FORMS: [Screen; 8] = [
    ("form-race", full, |stage| wrong(stage, "Enter a race", "evidence distance", "far")),
    ("form-laboratory", full, |stage| {
        wrong(stage, "Enter a laboratory value", "evidence rate", "900");
    }),
    ("form-factor", full, |stage| wrong(stage, "Set the LT1 factor", "evidence factor", "50")),
    ("form-medication", full, |stage| wrong(stage, "Note medication", "evidence to", "soon")),
    ("form-conditions", full, |stage| wrong(stage, "Conditions", "evidence air", "30")),
    ("form-scheme", by_scheme, |stage| {
        open(stage);
        stage.click("Other zones");
    }),
    ("form-scheme-writing", by_scheme, |stage| {
        open(stage);
        stage.click("Other zones");
        stage.click("Write a scheme");
        stage.click("Save the scheme");
    }),
    ("form-away", full, |stage| wrong(stage, "Note a span away", "away from", "soon")),
];

const JUNIOR: &str =
    "\u{395}\u{3bb}\u{3ad}\u{3bd}\u{3b7} \u{39a}\u{3b1}\u{3c1}\u{3b1}\u{3bc}\u{3ac}\u{3bd}\u{3b7}";

#[test]
fn every_kind_of_page_whole() {
    look_at(&PAGES, &WHOLE);
}

#[test]
fn every_form_of_the_page_with_something_wrong() {
    look_at(&FORMS, &WHOLE);
}

#[test]
fn the_rules_of_the_library() {
    const SQUADS: [Screen; 4] = [
        ("settings-rules", Stage::demo, other_rules),
        ("squad-other-rules", Stage::demo, |stage| {
            other_rules(stage);
            stage.click("Squad");
        }),
        ("squad-scheme", by_scheme, |_| {}),
        ("cards-scheme", by_scheme, |stage| {
            stage.click("Cards");
            stage.click("All");
        }),
    ];
    look_at(&SQUADS, &SEEN);
    look_at(&[("page-other-rules", Stage::demo, under_other_rules)], &WHOLE);
}

/// Every number that has an answer, one after the other: each is drawn whole under the head.
#[test]
fn every_number_is_asked_where_it_comes_from() {
    const ASKED: [Screen; 12] = [
        ("asked-01", full, |stage| ask(stage, 1)),
        ("asked-02", full, |stage| ask(stage, 2)),
        ("asked-04", full, |stage| ask(stage, 4)),
        ("asked-05", full, |stage| ask(stage, 5)),
        ("asked-06", full, |stage| ask(stage, 6)),
        ("asked-07", full, |stage| ask(stage, 7)),
        ("asked-08", full, |stage| ask(stage, 8)),
        ("asked-09", full, |stage| ask(stage, 9)),
        ("asked-11", full, |stage| ask(stage, 11)),
        ("asked-12", full, |stage| ask(stage, 12)),
        ("asked-13", full, |stage| ask(stage, 13)),
        ("asked-scheme", by_scheme, |stage| ask(stage, 8)),
    ];
    look_at(&ASKED, &SEEN);
}

#[test]
fn zones_offered_by_another_factor_say_so() {
    let mut stage = full();
    open(&mut stage);
    assert!(stage.shows_part("LT1 heart rate is 91 % of LT2 heart rate since"));
}

fn open(stage: &mut Stage) {
    tall(stage);
    stage.type_into("squad search", "altenbergen");
    stage.key(Named::Enter, Modifiers::empty());
}

/// So tall that whatever is to be clicked is in sight.
fn tall(stage: &mut Stage) {
    stage.size = Size::new(1_920.0, 6_600.0);
}

fn ask(stage: &mut Stage, times: usize) {
    open(stage);
    (0..times).for_each(|_| stage.letter("w"));
}

/// A form with something that cannot be, said beneath its field.
fn wrong(stage: &mut Stage, act: &str, field: &'static str, typed: &str) {
    open(stage);
    stage.click(act);
    stage.type_into(field, typed);
    stage.key(Named::Enter, Modifiers::empty());
}

fn other_rules(stage: &mut Stage) {
    stage.click("Settings");
    stage.click("Less");
    stage.click("Less");
    stage.click("Heart-rate reserve");
}

fn under_other_rules(stage: &mut Stage) {
    other_rules(stage);
    stage.click("Squad");
    stage.type_into("squad search", "Brandt");
    stage.key(Named::Enter, Modifiers::empty());
}

/// The demo's club, its first athlete under a very long name and with all that can stand beside tests.
fn full() -> Stage {
    static FILE: OnceLock<Vec<u8>> = OnceLock::new();
    Stage::copy_of(FILE.get_or_init(|| with(everything)))
}

fn by_scheme() -> Stage {
    static FILE: OnceLock<Vec<u8>> = OnceLock::new();
    Stage::copy_of(FILE.get_or_init(|| with(a_scheme)))
}

fn on_medication() -> Stage {
    static FILE: OnceLock<Vec<u8>> = OnceLock::new();
    Stage::copy_of(FILE.get_or_init(|| with(a_medication)))
}

/// Nobody but one athlete, just entered.
fn newcomer() -> Stage {
    static FILE: OnceLock<Vec<u8>> = OnceLock::new();
    Stage::copy_of(FILE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let roster = format!("name;born\n{};2012-03-04\n", NAMES[0]);
        std::fs::read(crate::runs::library_of(folder.path(), &roster)).unwrap()
    }))
}

fn with(enter: fn(&Desk, &Now)) -> Vec<u8> {
    let mut squad = club();
    let steady = squad.athletes.iter().position(|a| a.name == "Priya Ramanathan").unwrap();
    NAMES[0].clone_into(&mut squad.athletes[steady].name);
    squad.athletes[steady].squads.push("Saturday long runs along the old canal".to_owned());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    std::fs::write(&path, library_file(&squad)).unwrap();
    let desk = Desk::open(Some(&path)).unwrap();
    enter(&desk, &clock());
    desk.close().unwrap();
    std::fs::read(path).unwrap()
}

fn keep(desk: &Desk, now: &Now, form: &EvidenceForm) {
    let book = book::open(desk).unwrap();
    let page = book.of_athlete(NAMES[0]).unwrap();
    let evidence = form.check(page, UnitSystem::Kilometres, now.today).unwrap();
    let _said = keep_evidence(desk, evidence, now).unwrap();
}

fn everything(desk: &Desk, now: &Now) {
    let new = |subject| EvidenceForm::new(subject, now.today);
    let race = |on: &str, distance: &str, time: &str, title: &str| {
        let form = new(Subject::Race).with(Field::On, on).with(Field::Distance, distance);
        form.with(Field::Time, time).with(Field::Title, title)
    };
    let long =
        "the two hundred and thirtieth autumn run around the old reservoir and back over the hill";
    keep(desk, now, &race("2026-09-20", "5 km", "17:10", long).with(Field::Highest, "191"));
    keep(desk, now, &race("2026-10-04", "10 km", "35:50", ""));
    let goal = race("2027-02-14", "half marathon", "", "Harbour half");
    keep(desk, now, &EvidenceForm { priority: Priority::Goal, ..goal });
    keep(desk, now, &race("2027-04-11", "marathon", "", "Valley marathon"));
    for (marker, on) in [(MarkerName::Lt2, "2026-06-02"), (MarkerName::Vo2max, "2026-11-20")] {
        let value = new(Subject::Laboratory).with(Field::On, on).with(Field::Pace, "3:25");
        let notes =
            "treadmill at 1 %, stages of three minutes, threshold by the modified distance method";
        let value = value.with(Field::Notes, notes);
        let value = if marker == MarkerName::Lt2 { value.with(Field::Rate, "171") } else { value };
        keep(desk, now, &EvidenceForm { marker, protocol: Protocol::GasExchange, ..value });
    }
    keep(desk, now, &EvidenceForm::lower_factor(now.today));
    let past = new(Subject::Medication).with(Field::From, "2026-01-03");
    let past = past.with(Field::To, "2026-02-01").with(Field::Dose, "half a tablet in the morning");
    keep(
        desk,
        now,
        &past.with(Field::Reason, "a heart rhythm that was looked into and came to nothing"),
    );
    let book = book::open(desk).unwrap();
    let page = book.of_athlete(NAMES[0]).unwrap();
    let newest = page.tests.iter().max_by_key(|test| (test.on, test.id)).unwrap().id;
    let weather = new(Subject::Conditions(newest)).with(Field::Air, "27");
    keep(desk, now, &weather.with(Field::Humidity, "64").with(Field::Altitude, "640"));
}

fn a_scheme(desk: &Desk, now: &Now) {
    let lines = "Very easy; 88 % of LT1; heart rate\nEasy endurance on flat and rolling ground; 100 % of LT1; \
                 heart rate\nSteady; 95 % of LT2; pace\nThreshold; 102 % of LT2; pace\nLong; 97 % of VO2max; pace\n\
                 Short; 108 % of VO2max; pace\nSprint; ; feel";
    put_scheme(desk, "By thresholds in seven steps", lines, now).unwrap();
    let book = book::open(desk).unwrap();
    let id = book.of_athlete(NAMES[0]).unwrap().athlete.id;
    let name = Some("By thresholds in seven steps");
    choose_scheme(desk, Whose::Athlete(id), name, now).unwrap();
    let book = book::open(desk).unwrap();
    let page = book.of_athlete(NAMES[0]).unwrap();
    let _zones = decide::take_offered(desk, page, now).unwrap();
}

fn a_medication(desk: &Desk, now: &Now) {
    let span = EvidenceForm::new(Subject::Medication, now.today).with(Field::Dose, "one tablet");
    keep(desk, now, &span);
}
