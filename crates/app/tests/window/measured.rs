//! Journeys through the measured distance of a recorded test: typed, refused, and what becomes of it
//! when the edges move.

use std::path::Path;

use iced::keyboard::Modifiers;

use crate::runs::{club, library_with_roster, twenty_minutes, write_run};
use crate::stage::Stage;

const ASKED: &str = "Was it measured? Laps, a distance or a treadmill override the recording";
const IN_LAPS: &str = "Measured: 5,150 m in laps of track, lane 1";

/// A 20-minute test inside a longer run, opened with all of its page in sight.
pub(crate) fn test_opened(folder: &Path) -> Stage {
    let library = library_with_roster(folder, &club());
    let files = vec![write_run(folder, "Mirela Stanescu.fit", &twenty_minutes(900, 480))];
    let mut stage = Stage::choosing(library, files);
    stage.click("Test day");
    stage.letter("r");
    stage.click("Choose files\u{2026}");
    if stage.shows("unmatched") {
        stage.click("20 min");
        stage.click("Read it as that");
    }
    stage.click("Open");
    stage.size = iced::Size::new(1280.0, 1500.0);
    stage
}

fn measured(stage: &mut Stage, text: &str) {
    stage.type_into("measured distance", text);
    stage.click("Use this distance");
}

#[test]
fn a_measured_distance_typed_at_a_test_overrides_its_recording() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    stage.assert_shows(ASKED);
    measured(&mut stage, "12 laps 350");
    assert!(stage.shows_part("how long is a lap? Write 12 laps 350 in lane 1 on a standard track"));
    stage.retype("measured distance", 11, "12 laps 350 in lane 1");
    stage.click("Use this distance");
    stage.assert_shows("5,150 m");
    stage.assert_shows(IN_LAPS);
    stage.picture("test-measured");
    stage.click("Name a course");
    stage.type_into("course to name", "River loop, 850 m, trail");
    stage.picture("test-course-named");
    stage.click("Name it");
    // a course that was named writes itself into the field, behind the laps that stand there
    stage.type_into("measured distance", "6");
    stage.click("River loop: 850 m, trail");
    stage.click("Use this distance");
    stage.assert_shows("Measured: 5,100 m in laps of River loop");
    stage.click("Back to the recording\u{2019}s own");
    stage.assert_shows(ASKED);
    assert!(!stage.shows("5,100 m"));
}

#[test]
fn a_course_pressed_first_waits_for_the_number_of_laps() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    stage.click("Name a course");
    stage.type_into("course to name", "River loop, 850 m, trail");
    stage.click("Name it");
    stage.click("River loop: 850 m, trail");
    // the field says " laps of River loop"
    stage.click("Use this distance");
    assert!(stage.shows_part("is no number of laps"));
}

#[test]
fn laps_do_not_follow_an_edge_that_moves_and_come_back_with_it() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    let own = stage.text_after("Distance");
    measured(&mut stage, "12 laps 350 in lane 1");
    let pace = stage.text_after("Mean pace");
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    // ten seconds later: as long, but other metres than those that were counted
    stage.sign("]", Modifiers::SHIFT);
    assert_ne!(stage.text_after("Distance"), "5,150 m");
    assert!(!stage.shows(IN_LAPS));
    stage.assert_shows("Not counted for these edges: 5,150 m in laps of track, lane 1");
    // why, and what to do, is said once on the page
    let why = |text: &String| text.contains("Put the edges back, or enter how far it was");
    assert_eq!(stage.texts().into_iter().filter(why).count(), 1);
    assert!(stage.shows_part("and the effort stands elsewhere now: the recording\u{2019}s own"));
    stage.picture("test-measured-elsewhere");
    // back where it was found it counts again
    stage.letter("b");
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    assert_eq!(stage.text_after("Mean pace"), pace);
    stage.assert_shows(IN_LAPS);

    // unless the coach says that it is that of the new edges
    stage.sign("]", Modifiers::SHIFT);
    stage.click("Count it for these edges");
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    assert!(stage.starting_with("The effort, set by hand, ").is_some(), "the edges stayed");
    stage.assert_shows(IN_LAPS);
    // undone in one step, it is that of the old edges again
    stage.sign("z", Modifiers::CTRL);
    assert!(stage.starting_with("The effort, set by hand, ").is_none());
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    stage.sign("z", Modifiers::CTRL);
    assert_eq!(stage.text_after("Distance"), own);
}

#[test]
fn laps_do_not_follow_an_edge_that_the_mouse_drags() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    measured(&mut stage, "12 laps 350 in lane 1");
    // somewhere along the trace the pointer takes hold of the left edge
    let held = (200..900_u16).step_by(8).map(f32::from).find(|&x| {
        stage.drag(iced::Point::new(x, 300.0), iced::Point::new(x + 40.0, 300.0));
        stage.starting_with("The effort, set by hand, ").is_some()
    });
    assert!(held.is_some(), "the edge can be dragged");
    assert_ne!(stage.text_after("Distance"), "5,150 m");
    stage.assert_shows("Not counted for these edges: 5,150 m in laps of track, lane 1");
}

#[test]
fn a_distance_typed_after_an_edge_moved_is_that_of_the_moved_edges() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    let found = stage.starting_with("The effort, ").unwrap();
    stage.sign("]", Modifiers::SHIFT);
    stage.letter("]");
    let by_hand = stage.starting_with("The effort, set by hand, ").unwrap();
    measured(&mut stage, "5150 m");
    assert_eq!(stage.starting_with("The effort, ").unwrap(), by_hand, "the edges stayed");
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    stage.assert_shows("Measured: 5,150 m");
    // where the effort was found nobody measured it
    stage.letter("b");
    assert_eq!(stage.starting_with("The effort, ").unwrap(), found);
    assert_ne!(stage.text_after("Distance"), "5,150 m");
    stage.assert_shows("Not counted for these edges: 5,150 m");
}

#[test]
fn a_belt_runs_on_wherever_the_edges_stand() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    measured(&mut stage, "treadmill 15 km/h 1 %");
    assert_eq!(stage.text_after("Distance"), "5,000 m");
    let pace = stage.text_after("Mean pace");
    stage.sign("]", Modifiers::SHIFT);
    assert_eq!(stage.text_after("Distance"), "5,000 m");
    assert_eq!(stage.text_after("Mean pace"), pace);
    assert!(stage.starting_with("Measured: treadmill").is_some());
}

#[test]
fn nothing_is_decided_while_a_distance_is_typed_or_written() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    let own = stage.text_after("Distance");
    stage.type_into("measured distance", "5150 m");
    stage.letter("u");
    assert!(stage.shows_part("The distance that is typed is not used yet"));
    // the distance first, and an answer before it stands
    stage.click_together(&["Use this distance", "Use the new zones"]);
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    assert!(stage.starting_with("the only one that waits").is_some(), "{:?}", stage.texts());
    // nor where nothing has to be typed
    stage.click_together(&["Back to the recording\u{2019}s own", "Use the new zones"]);
    assert_eq!(stage.text_after("Distance"), own);
    assert!(stage.starting_with("the only one that waits").is_some(), "{:?}", stage.texts());
    // with Ctrl, Enter in the field is the main act too
    stage.type_into("measured distance", "5150 m");
    stage.enter_in("measured distance", Modifiers::CTRL);
    assert_eq!(stage.text_after("Distance"), "5,150 m");
    assert!(stage.starting_with("the only one that waits").is_some(), "{:?}", stage.texts());
}

#[test]
fn no_distance_is_entered_while_a_decision_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    measured(&mut stage, "5150 m");
    // off the edges it was measured for, so that it can be counted for these without typing
    stage.sign("]", Modifiers::SHIFT);
    let own = stage.text_after("Distance");
    stage.letter("u");
    stage.type_into("test reason", "the whistle came late");
    stage.click_together(&["Decide so", "Count it for these edges"]);
    stage.assert_shows("taken in, decided");
    stage.click("Open");
    assert!(stage.starting_with("decided: zones stand on it").is_some(), "{:?}", stage.texts());
    assert_eq!(stage.text_after("Distance"), own);
}

#[test]
fn what_is_measured_is_read_again_where_undo_leaves_the_test_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let mut stage = test_opened(folder.path());
    stage.click("Name a course");
    stage.type_into("course to name", "River loop, 850 m, trail");
    stage.click("Name it");
    measured(&mut stage, "5100 m");
    stage.assert_shows("Measured: 5,100 m");
    measured(&mut stage, "6 laps of River loop");
    stage.assert_shows("Measured: 5,100 m in laps of River loop");
    stage.sign("z", Modifiers::CTRL);
    stage.assert_shows("Measured: 5,100 m");
    stage.sign("y", Modifiers::CTRL);
    stage.assert_shows("Measured: 5,100 m in laps of River loop");
}
