//! The athlete's page: somebody new from an empty library, an edit taken back, somebody removed and
//! brought back, what is said of each kind of athlete, charts that draw.

use iced::Size;
use iced::keyboard::Modifiers;
use iced::keyboard::key::Named;

use crate::hands::Hands;
use crate::stage::Stage;

/// A screen so tall that nothing of a page has to be scrolled to.
const TALL: Size = Size::new(1_280.0, 3_200.0);

fn demo(athlete: &str) -> Stage {
    let mut stage = Stage::demo();
    stage.size = TALL;
    stage.click(athlete);
    stage
}

fn press(stage: &mut Stage, key: Named) {
    stage.key(key, Modifiers::empty());
}

fn undo(stage: &mut Stage) {
    stage.key(iced::keyboard::Key::Character("z".into()), Modifiers::CTRL);
}

/// The form of a test's conditions opens far below the row that asks for it: it comes into sight, with
/// what it is about.
#[test]
fn the_conditions_of_a_test_come_into_sight() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Mirela Stanescu");
    hands.scroll_to("Conditions");
    hands.click("Conditions");
    assert!(hands.sees("The conditions of the 5-minute test of 19 November 2026"));
}

/// What is asked for by W is brought into sight and told with its number.
#[test]
fn what_is_asked_for_comes_into_sight_with_its_number() {
    let mut hands = Hands::on(Stage::demo());
    hands.stage.size = Size::new(1_024.0, 700.0);
    hands.click("Priya Ramanathan");
    let ask = |hands: &mut Hands, words: &str| {
        for _ in 0..30 {
            hands.key(iced::keyboard::Key::Character("w".into()), Modifiers::empty());
            if let Some(said) = hands.stage.starting_with(words) {
                return said;
            }
        }
        panic!("\"{words}\" is never asked");
    };
    let change = ask(&mut hands, "The change of the threshold");
    assert!(change.contains(" \u{b1} ") && change.ends_with(" %"), "{change}");
    let next = ask(&mut hands, "When to test again");
    assert!(next.contains("20 minutes due by "), "{next}");
    let race = ask(&mut hands, "What a race may take");
    assert!(race.contains("10 km in ") && race.contains("nine in ten"), "{race}");
    assert!(hands.sees_whole("Half marathon"), "what a race may take is out of sight");
    let balance = ask(&mut hands, "The weakest quality");
    assert!(hands.sees("Balance and races"), "{balance}");
    assert!(!hands.stage.shows("Half marathon"), "it folds again");
}

/// What is wrong stands beneath its field, and the acts of the form stay in sight.
#[test]
fn the_acts_of_a_form_stay_in_sight_when_something_is_wrong() {
    let mut hands = Hands::on(Stage::demo());
    hands.stage.size = Size::new(1_024.0, 700.0);
    hands.click("Mirela Stanescu");
    hands.scroll_to("Note a span away");
    hands.click("Note a span away");
    assert!(hands.sees_whole("Leave"));
    hands.write("soon");
    hands.key(Named::Enter, Modifiers::empty());
    assert!(hands.sees_whole("\"soon\" is not a day like 2001-04-30."));
    assert!(hands.sees_whole("Leave"));
    assert!(hands.is_in("away from"));
}

/// Each cell of a test stands under its head, in one line or two.
#[test]
fn the_cells_of_a_test_stand_under_their_heads() {
    let mut stage = demo("Priya Ramanathan");
    for (width, rows) in [(1_280.0, 1), (1_024.0, 1), (760.0, 2)] {
        stage.size = Size::new(width, 4_200.0);
        let (date, decision) = (stage.height_of("Distance"), stage.height_of("Decision"));
        assert_eq!(date == decision, rows == 1, "{width}");
        let decision = stage.lefts_of("Decision");
        let stands_there = |left: &f32| (left - decision[0]).abs() < 0.5;
        let accepted = stage.lefts_of("accepted");
        assert!(accepted.len() > 5 && accepted.iter().all(stands_there), "{width}: {accepted:?}");
        let rates = stage.lefts_of("Heart rate");
        assert_eq!(rates.iter().any(stands_there), rows == 2, "{width}: {rates:?} {decision:?}");
    }
}

/// One order of numbers down the page, a legend for old strokes, and what a folded list holds.
#[test]
fn heart_rate_stands_before_pace_and_faint_strokes_are_explained() {
    let stage = demo("Priya Ramanathan");
    assert_eq!(stage.text_after("Marker"), "Heart rate, error");
    stage.assert_shows("faint: before 7 November");
    let folded = |text: &String| text.starts_with("Show all ") && text.ends_with(" earlier zones");
    assert!(stage.texts().iter().any(folded));
}

/// A test that waits says its error too: 2.4 % typical error of a 5-minute test.
#[test]
fn a_test_that_waits_stands_with_its_error() {
    let stage = demo("Mirela Stanescu");
    stage.assert_shows("to confirm");
    let said = stage.texts();
    let at = said.iter().position(|text| text == "to confirm").unwrap();
    assert!(said[..at].last().unwrap().contains(" \u{b1} "), "{:?}", said[..at].last());
}

#[test]
fn somebody_new_in_an_empty_library_with_a_wrong_day_first() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = Stage::library(folder.path().join("squad.pacewright"));
    stage.size = TALL;
    stage.letter("n");
    stage.assert_shows("A new athlete");
    press(&mut stage, Named::Enter);
    stage.assert_shows("Give a name; it stands on the card.");
    stage.type_into("athlete name", "Ida Example");
    stage.type_into("athlete born", "30.4.1991");
    stage.type_into("athlete squads", "Mile; Hill");
    press(&mut stage, Named::Enter);
    stage.assert_shows("\"30.4.1991\" is not a day like 2001-04-30.");
    stage.retype("athlete born", 9, "1991-04-30");
    stage.click("Cleared");
    stage.type_into("athlete screened on", "2026-11-20");
    stage.type_into("athlete highest", "186");
    press(&mut stage, Named::Enter);
    stage.assert_shows("Ida Example was added.");
    stage.assert_shows(
        "born 30 April 1991 (35) \u{b7} squad Mile \u{b7} squad Hill \u{b7} health asked 20 November 2026: cleared \u{b7} highest 186",
    );
    stage.assert_shows("No zones yet");
    press(&mut stage, Named::Escape);
    stage.assert_shows("Ida Example");
    undo(&mut stage);
    assert!(!stage.shows("Ida Example"), "adding is undone");
}

#[test]
fn an_edit_is_taken_back() {
    let mut stage = demo("Priya Ramanathan");
    stage.letter("e");
    stage.type_into("athlete aliases", "Pri");
    press(&mut stage, Named::Enter);
    stage.assert_shows("The facts about Priya Ramanathan were changed.");
    assert!(stage.shows_part("also Pri"));
    undo(&mut stage);
    stage.assert_shows("Undone: Change the facts about Priya Ramanathan");
    assert!(!stage.shows_part("also Pri"));
}

#[test]
fn what_was_typed_is_left_by_escape() {
    let mut stage = demo("Priya Ramanathan");
    stage.letter("e");
    stage.type_into("athlete name", " Junior");
    press(&mut stage, Named::Escape);
    assert!(!stage.shows_part("Junior"));
    stage.assert_shows("Priya Ramanathan");
}

#[test]
fn somebody_removed_is_brought_back_with_everything() {
    let mut stage = demo("Aiko Brandt");
    stage.assert_shows("Current zones, from 8 November 2026");
    stage.letter("e");
    stage.click("Remove this athlete");
    stage.assert_shows("Aiko Brandt was removed, with all that is theirs.");
    assert!(!stage.shows("Aiko Brandt"), "the squad stands without them");
    undo(&mut stage);
    stage.click("Aiko Brandt");
    stage.assert_shows("Current zones, from 8 November 2026");
}

#[test]
fn a_span_away_and_a_booking_come_and_go() {
    let mut stage = demo("Aiko Brandt");
    stage.click("Book a test");
    stage.type_into("booking on", "2026-11-01");
    press(&mut stage, Named::Enter);
    stage.assert_shows("2026-11-01 is over; today is 2026-11-25.");
    stage.retype("booking on", 10, "2026-12-10");
    press(&mut stage, Named::Enter);
    stage.assert_shows("20-minute test, 10 December 2026");
    stage.click("Note a span away");
    stage.click("illness");
    stage.type_into("away from", "2026-11-20");
    press(&mut stage, Named::Enter);
    stage.assert_shows("Away, illness: 20 November 2026, still away");
    stage.click("Cancel");
    assert!(!stage.shows("20-minute test, 10 December 2026"));
    undo(&mut stage);
    stage.assert_shows("20-minute test, 10 December 2026");
    assert!(stage.shows_part("Undone: Cancel the 20-minute test of Aiko Brandt on "));
}

#[test]
fn on_medication_no_heart_rate_stands_and_it_is_said_why() {
    let stage = demo("Ewan MacAllister");
    stage.assert_shows(
        "On medication that lowers the heart rate: no heart-rate zones. Run by pace, talk test and feel, and follow the clinician.",
    );
    assert!(!stage.shows("Heart rate, error"));
    assert!(!stage.shows_part(" bpm"));
}

#[test]
fn who_is_held_or_not_asked_is_said_at_the_head() {
    demo("Wendeline Okoro-Thal").assert_shows("On hold: no all-out test.");
    demo("Beatrix Oyelaran")
        .assert_shows("Not asked about health yet: no all-out test until then.");
    assert!(demo("Nadia Fenwick-Osei").shows_part("wrist sensor"));
}

/// Every number of the chart stands in the table beneath: the arrow keys name a point in the words
/// of its row.
#[test]
fn the_chart_says_the_numbers_of_the_table() {
    let mut stage = demo("Aiko Brandt");
    let all = stage
        .texts()
        .into_iter()
        .find(|text| text.starts_with("Show all") && text.ends_with("tests"));
    stage.click(&all.expect("tests are folded"));
    let mut seen = std::collections::BTreeSet::new();
    for _ in 0..40 {
        press(&mut stage, Named::ArrowLeft);
        let named = stage
            .texts()
            .into_iter()
            .find(|text| text.contains("-minute test") && text.contains(": "));
        let named = named.expect("a point is named");
        let (_, value) = named.split_once(": ").unwrap();
        assert!(stage.shows(value), "{value} stands in no row");
        let _ = seen.insert(named);
    }
    assert!(seen.len() > 20, "{} points", seen.len());
}

/// Where pixels of a colour stand, as shares of the width and height.
fn places((width, height, pixels): &(usize, usize, Vec<u8>), colour: [u8; 3]) -> Vec<(f32, f32)> {
    let found = pixels.chunks_exact(4).enumerate().filter(|(_, pixel)| pixel[..3] == colour);
    let share = |at: usize, of: usize| at as f32 / of as f32;
    found.map(|(index, _)| (share(index % width, *width), share(index / width, *height))).collect()
}

/// Inks of the light palette.
const ZONE_4: [u8; 3] = [0x8f, 0x6e, 0x40];
const THRESHOLD: [u8; 3] = [0xb3, 0x54, 0x1e];
const FIELD: [u8; 3] = [0xff, 0xff, 0xff];

/// A lane and a chart stand on one screen; both draw, and the mouse names a point over the chart.
#[test]
fn two_charts_on_one_screen_both_draw_and_a_point_is_named_by_the_mouse() {
    let mut stage = demo("Aiko Brandt");
    stage.size = Size::new(1_280.0, 800.0);
    let at_rest = stage.pixels(None);
    let area = at_rest.0 * at_rest.1;
    let lane = places(&at_rest, ZONE_4).into_iter().filter(|(x, _)| *x < 0.5).count();
    assert!(lane > area / 2_000, "the lane draws {lane} of {area} px");
    let mut chart = places(&at_rest, THRESHOLD);
    chart.retain(|(x, y)| *x > 0.5 && *y < 0.6);
    assert!(chart.len() > area / 4_000, "the chart draws {} of {area} px", chart.len());
    let white = |pixels| places(pixels, FIELD).len();
    let (x, y) = chart[0];
    let over = stage.pixels(Some(iced::Point::new(x * 1_280.0, y * 800.0)));
    assert!(
        white(&over) > white(&at_rest) + area / 500,
        "the point is named on a ground of its own"
    );
}

/// The page says what the card says: where the zones are out of date no number leads.
#[test]
fn zones_that_are_out_of_date_are_led_by_feel() {
    for (athlete, led_by_feel) in [("Beatrix Oyelaran", 5), ("Aiko Brandt", 0)] {
        let stage = demo(athlete);
        let texts = stage.texts();
        let by_feel = texts.iter().filter(|text| text.starts_with("by feel until a new test"));
        assert_eq!(by_feel.count(), led_by_feel, "{athlete}: {texts:?}");
    }
}

/// What a 40-minute test is held at, whether there is a heart rate to hold, and nothing where it is not run.
#[test]
fn the_forty_minute_test_says_what_it_is_held_at() {
    for (athlete, says) in [
        ("Aiko Brandt", "; hold 158 bpm"),
        (
            "Nadia Fenwick-Osei",
            "; once a 20-minute test with a heart rate to trust gave its target",
        ),
        ("Ewan MacAllister", "; at a pace for easy talk"),
    ] {
        let stage = demo(athlete);
        let said = stage.text_after("40 minutes");
        assert!(said.ends_with(says), "{athlete}: {said}");
    }
    let held = demo("Wendeline Okoro-Thal").text_after("40 minutes");
    assert!(held.ends_with("not cleared"), "{held}");
}

#[test]
fn pictures_of_every_kind() {
    let mut stage = Stage::demo();
    for (athlete, name) in [
        ("Aiko Brandt", "steady"),
        ("Priya Ramanathan", "improving"),
        ("Ewan MacAllister", "medication"),
        ("Wendeline Okoro-Thal", "hold"),
        ("Ελένη Καραμάνη", "junior"),
        ("Nadia Fenwick-Osei", "beginner"),
        ("Tom Akerele", "only-twenty"),
        ("Jonas Whitfield", "returning"),
        ("Hamid Nazari", "hills"),
        ("Lucía Ferreyra", "dropout"),
        ("Beatrix Oyelaran", "not-asked"),
    ] {
        stage.size = TALL;
        stage.click(athlete);
        stage.size = Size::new(1_280.0, 800.0);
        stage.picture(&format!("athlete-{name}"));
        stage.size = Size::new(1_280.0, 2_000.0);
        stage.picture(&format!("athlete-{name}-whole"));
        press(&mut stage, Named::Escape);
    }
}

#[test]
fn pictures_in_every_size() {
    let mut stage = demo("Mirela Stanescu");
    press(&mut stage, Named::ArrowLeft);
    for (name, size) in [
        ("1024", Size::new(1_024.0, 700.0)),
        ("1920", Size::new(1_920.0, 1_200.0)),
        ("1024-whole", Size::new(1_024.0, 2_600.0)),
    ] {
        stage.size = size;
        stage.picture(&format!("athlete-size-{name}"));
    }
    stage.letter("e");
    stage.size = Size::new(1_280.0, 900.0);
    stage.picture("athlete-form");
    press(&mut stage, Named::Escape);
    stage.click("Settings");
    stage.click("Dark");
    stage.click("Squad");
    stage.size = TALL;
    stage.click("Mirela Stanescu");
    stage.size = Size::new(1_280.0, 1_500.0);
    stage.picture("athlete-dark");
    stage.letter("e");
    stage.picture("athlete-form-dark");
    press(&mut stage, Named::Escape);
    for _ in 0..5 {
        stage.key(iced::keyboard::Key::Character("+".into()), Modifiers::CTRL);
    }
    for (name, size) in [
        ("1280", Size::new(1_280.0, 3_000.0)),
        ("1024", Size::new(1_024.0, 700.0)),
        ("1920", Size::new(1_920.0, 1_200.0)),
    ] {
        stage.size = size;
        stage.picture(&format!("athlete-large-text-{name}"));
    }
    stage.letter("e");
    stage.size = Size::new(1_024.0, 1_400.0);
    stage.picture("athlete-form-large-text");
}

#[test]
fn pictures_of_somebody_new_with_a_long_name() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = Stage::library(folder.path().join("squad.pacewright"));
    stage.letter("n");
    stage.size = Size::new(1_280.0, 900.0);
    stage.type_into(
        "athlete name",
        "სახელი გვარიშვილი-ძალიანგრძელი Wiesenbachtalsteinhausenbergerdorf-Karagiannopoulou",
    );
    stage.type_into("athlete born", "2012-02-30");
    stage.type_into("athlete resting", "300");
    press(&mut stage, Named::Enter);
    stage.picture("athlete-new-wrong");
    stage.retype("athlete born", 10, "2012-02-28");
    stage.retype("athlete resting", 3, "");
    stage
        .assert_shows("under 18: a guardian's consent is asked for below, no all-out test without");
    stage.picture("athlete-new-minor");
    press(&mut stage, Named::Enter);
    stage.size = Size::new(1_280.0, 800.0);
    stage.picture("athlete-empty");
    stage.size = Size::new(1_024.0, 1_100.0);
    stage.picture("athlete-empty-1024");
    stage.size = TALL;
    stage.click("Note a span away");
    stage.type_into("away from", "soon");
    press(&mut stage, Named::Enter);
    stage.size = Size::new(1_280.0, 1_200.0);
    stage.picture("athlete-away-wrong");
}
