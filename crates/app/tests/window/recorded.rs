//! Journeys through recordings: dropped, matched, judged, moved, decided, taken back.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::{Condvar, Mutex};

use chrono::{DateTime, TimeDelta, Utc};
use iced::keyboard::{Modifiers, key::Named};
use pacewright_core::test::TestKind::{FiveMinutes, FortyMinutes, TwentyMinutes};
use pacewright_desk::Now;

use crate::runs::{
    club, library_of, library_with_roster, newest, today, twenty_minutes, write, write_run,
};
use crate::stage::Stage;

fn enter(stage: &mut Stage) {
    stage.key(Named::Enter, Modifiers::empty());
}

/// The demo with the recordings' view open.
fn demo_recordings() -> Stage {
    let mut stage = Stage::demo();
    stage.click("Test day");
    stage.letter("r");
    stage
}

#[test]
fn twelve_recordings_dropped_are_read_as_one_and_wait_worst_first() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let runs: Vec<_> = [
        ("Priya Ramanathan", TwentyMinutes),
        ("Priya Ramanathan", FiveMinutes),
        ("Priya Ramanathan", FortyMinutes),
        ("Mirela Stanescu", TwentyMinutes),
        ("Mirela Stanescu", FiveMinutes),
        ("Hamid Nazari", TwentyMinutes),
        ("Hamid Nazari", FiveMinutes),
        ("Hamid Nazari", FortyMinutes),
        ("Lucía Ferreyra", TwentyMinutes),
        ("Lucía Ferreyra", FiveMinutes),
        ("Lucía Ferreyra", FortyMinutes),
    ]
    .into_iter()
    .map(|(name, kind)| newest(&squad, name, kind))
    .collect();
    let mut files = write(folder.path(), &runs);
    files.push(write_run(folder.path(), "no name.fit", &twenty_minutes(900, 480)));
    let mut stage = Stage::library(library);
    stage.drop_files(&files);
    let taken_in = stage.count("taken in");
    let unmatched = stage.count("unmatched");
    assert_eq!(taken_in + unmatched, 12, "each file stands in the list once, none is refused");
    assert!(taken_in >= 8, "most carry a name and a lap: {taken_in}");
    stage.assert_shows("no name.fit");
    stage.assert_shows(&format!("{taken_in} tests wait for your decision, worst doubt first"));
    // the slipped strap stands above everything usable
    let (doubtful, usable) = (stage.height_of("doubtful"), stage.height_of("usable"));
    assert!(doubtful.unwrap() < usable.unwrap());

    // the same files again are duplicates, and nothing is taken in twice
    stage.drop_files(&files);
    assert_eq!((stage.count("there already"), stage.count("taken in")), (taken_in, 0));
    assert_eq!(stage.count("unmatched"), unmatched, "a file that is read again stands once");
    stage.assert_shows(&format!("{taken_in} tests wait for your decision, worst doubt first"));

    // reading is one act: undo takes all of it back, and the list says so
    stage.sign("z", Modifiers::CTRL);
    assert_eq!(stage.count("taken back"), taken_in);
    let said = stage.starting_with("Undone: Read ").unwrap();
    assert!(said.contains(&format!("Read {taken_in} recordings of ")), "{said}");
    assert!(said.ends_with(" athletes"), "{said}");
    assert_eq!(stage.count("Open"), 0);
    assert!(!stage.shows("usable"));
}

#[test]
fn an_unmatched_recording_is_assigned_and_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let library = library_with_roster(folder.path(), &club());
    let files = vec![
        write_run(folder.path(), "watch 7.fit", &twenty_minutes(900, 480)),
        write_run(folder.path(), "watch 8.fit", &twenty_minutes(900, 400)),
    ];
    let mut stage = Stage::choosing(library, files);
    stage.click("Test day");
    stage.letter("r");
    stage.click("Choose files\u{2026}");
    assert_eq!(stage.count("unmatched"), 2);
    stage.type_into("whose 1", "nobody at all");
    stage.assert_shows("nobody of that name");
    stage.type_into("whose 0", "mirela");
    stage.click("20 min");
    stage.click("Read it as that");
    stage.assert_shows("taken in");
    stage.assert_shows("Mirela Stanescu");
    assert_eq!(stage.count("unmatched"), 1);
    stage.click("Open");
    stage.assert_shows("Mirela Stanescu, 20-minute test");
}

#[test]
fn all_usable_are_confirmed_in_one_act_and_taken_back_in_one() {
    let mut stage = demo_recordings();
    let before = stage.count("usable");
    let waiting = before + stage.count("doubtful");
    assert!(before > 0 && waiting == 4, "the demo leaves four tests to confirm: {waiting}");
    stage.letter("c");
    assert_eq!(stage.count("usable"), 0);
    stage.click("Undo");
    assert_eq!(stage.count("usable"), before);
}

#[test]
fn a_doubtful_test_is_overruled_only_with_a_reason_which_is_kept() {
    let mut stage = demo_recordings();
    // the worst doubt stands first, and Enter opens it
    enter(&mut stage);
    stage.assert_shows("1 of 4 that wait   \u{2190} \u{2192}");
    let name = stage.title_of_test();
    stage.letter("u");
    stage.assert_shows("The checks speak against it. Why does it give new zones all the same?");
    stage.click("Decide so");
    stage.assert_shows("Say why in a few words: it is kept with the test.");
    stage.type_into("test reason", "strap slipped late, pace is sound");
    stage.click("Decide so");
    // the next one that waits opens, three are left
    stage.assert_shows("1 of 3 that wait   \u{2190} \u{2192}");
    assert_ne!(stage.title_of_test(), name);
    // a wrong decision is taken back: the test waits again
    stage.sign("z", Modifiers::CTRL);
    let (who, test) = name.split_once(", ").unwrap();
    stage.assert_shows(&format!("Undone: Accept the {test} of {who}"));
    stage.key(Named::Escape, Modifiers::empty());
    assert_eq!(stage.count("usable") + stage.count("doubtful"), 4);
}

/// Who was never asked about health ran all-out: that is read before anything can be confirmed, at
/// every size, and Enter puts no zones in force.
#[test]
fn a_test_that_should_not_have_been_run_is_not_put_in_force_by_enter() {
    let folder = tempfile::tempdir().unwrap();
    let library = library_of(folder.path(), "name\nMirela Stanescu\n");
    let file = write_run(folder.path(), "Mirela Stanescu.fit", &twenty_minutes(900, 480));
    let mut stage = Stage::library(library);
    stage.drop_files(&[file]);
    enter(&mut stage);
    let uncleared =
        "Ran all-out before anybody asked about health: speak with them before it counts.";
    stage.size = iced::Size::new(1_024.0, 700.0);
    for larger in ["+", "-"] {
        assert_eq!(stage.in_sight(uncleared).len(), 1, "once, and in sight");
        (0..5).for_each(|_| stage.sign(larger, Modifiers::CTRL));
    }
    assert_eq!(stage.text_after("Set aside\u{2026}"), "Enter");
    assert_eq!(stage.text_after("Use the new zones"), "U");
    enter(&mut stage);
    stage.assert_shows("Why is it set aside?");
    stage.type_into("test reason", "not asked yet");
    stage.click("Decide so");
    assert!(stage.starting_with("Mirela Stanescu: the 20-minute test set aside.").is_some());
}

#[test]
fn an_edge_moved_by_keyboard_changes_the_numbers_and_is_kept_by_hand() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let run = newest(&squad, "Priya Ramanathan", TwentyMinutes);
    let files = write(folder.path(), &[run]);
    let mut stage = Stage::library(library);
    stage.drop_files(&files);
    stage.click("Open");
    let distance = |stage: &Stage| stage.text_after("Distance");
    let found = distance(&stage);
    for _ in 0..6 {
        stage.sign("[", Modifiers::SHIFT);
    }
    stage.letter("]");
    let moved = distance(&stage);
    assert_ne!(moved, found, "a minute of warm-up in the effort shortens it");
    assert!(stage.starting_with("The effort, set by hand, ").is_some());
    stage.assert_shows("Back to what was found");
    stage.letter("b");
    assert_eq!(distance(&stage), found);

    stage.sign(".", Modifiers::empty());
    let by_hand = distance(&stage);
    stage.letter("u");
    if stage.shows("The checks speak against it. Why does it give new zones all the same?") {
        stage.type_into("test reason", "the whistle came late");
        stage.click("Decide so");
    }
    // nothing else waits: back among the recordings; the decided test opens as it was decided
    stage.assert_shows("taken in, decided");
    stage.click("Open");
    assert!(stage.starting_with("decided: zones stand on it").is_some());
    assert!(stage.starting_with("The effort, set by hand, ").is_some());
    assert_eq!(distance(&stage), by_hand);

    // and its decision can be changed
    stage.letter("x");
    stage.type_into("test reason", "the wrong run after all");
    stage.click("Decide so");
    assert!(stage.starting_with("decided: set aside (\u{201c}the wrong run after all").is_some());
}

/// Says that a file is of a 20-minute test where no lap did.
fn say_which(stage: &mut Stage) {
    if stage.shows("unmatched") {
        stage.click("20 min");
        stage.click("Read it as that");
    }
}

#[test]
fn zones_that_stood_on_a_test_set_aside_stand_on_the_others_again() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let mut runs: Vec<_> = squad
        .runs
        .iter()
        .filter(|run| run.kind == TwentyMinutes)
        .filter(|run| squad.athletes[run.athlete].name == "Hamid Nazari")
        .collect();
    runs.sort_by_key(|run| std::cmp::Reverse(run.on));
    // the newest ran over hills and would wait for a reason
    let files = write(folder.path(), &runs[1..3]);
    let mut stage = Stage::library(library);
    // the older first, each accepted before the next
    stage.drop_files(&files[1..]);
    say_which(&mut stage);
    stage.letter("c");
    stage.click("Open");
    let older = stage.text_after("LT2 pace");
    stage.key(Named::Escape, Modifiers::empty());
    stage.click("Clear the list");
    stage.drop_files(&files[..1]);
    say_which(&mut stage);
    // inside the error the first choice keeps the zones
    stage.click("Open");
    stage.letter("u");
    stage.click("Open");
    let newer = stage.text_after("LT2 pace");
    assert_ne!(newer, older);
    stage.letter("x");
    stage.type_into("test reason", "ran with a friend");
    stage.click("Decide so");
    assert_eq!(stage.text_after("LT2 pace"), older);
    let said = stage.starting_with("Hamid Nazari: the 20-minute test set aside; ").unwrap();
    assert!(said.ends_with("zones stand on the other tests again."));
    stage.click("Undo");
    stage.assert_shows("Undone: Set the 20-minute test of Hamid Nazari aside");
    assert_eq!(stage.text_after("LT2 pace"), newer);
}

#[test]
fn what_is_read_while_another_room_is_open_is_not_lost() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let files = write(folder.path(), &[newest(&squad, "Hamid Nazari", FiveMinutes)]);
    let mut stage = Stage::library(library);
    stage.click("Test day");
    stage.letter("r");
    stage.read_then_leave(&files[0], "Squad");
    stage.assert_shows("1 file: 1 taken in.");
    stage.click("Test day");
    stage.letter("r");
    stage.assert_shows("1 test waits for your decision, worst doubt first");
}

#[test]
fn a_test_that_is_taken_back_while_open_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let files = write(folder.path(), &[newest(&squad, "Hamid Nazari", FiveMinutes)]);
    let mut stage = Stage::library(library);
    stage.drop_files(&files);
    stage.click("Open");
    stage.sign("z", Modifiers::CTRL);
    assert!(stage.starting_with("This test is not in the library any more").is_some());
    stage.click("To the recordings");
    stage.assert_shows("Recordings");
}

#[test]
fn a_recording_without_a_date_is_asked_for_its_day() {
    let folder = tempfile::tempdir().unwrap();
    let library = library_with_roster(folder.path(), &club());
    let mut table = "time,distance,heart_rate\n".to_owned();
    for second in 0..=1_200 {
        let row = format!("{second},{},{}\n", f64::from(second) * 4.0, 160 + second / 10 % 3);
        table.push_str(&row);
    }
    let file = folder.path().join("Mirela Stanescu.csv");
    std::fs::write(&file, table).unwrap();
    let mut stage = Stage::choosing(library, vec![file]);
    stage.click("Test day");
    stage.letter("r");
    stage.click("Choose files\u{2026}");
    stage.assert_shows("unmatched");
    stage.type_into("day 0", "2026-11-99");
    assert!(stage.shows_part("is no day"));
    stage.picture("recordings-day-asked");
    stage.retype("day 0", 10, "2026-11-24");
    stage.click("20 min");
    stage.click("Read it as that");
    stage.assert_shows("taken in");
    stage.assert_shows(&pacewright_core::format::day(today().pred_opt().unwrap()));
}

/// Where a reading waits in the middle, so that it is still under way however fast the machine is:
/// files read so far, and the one before whose end it waits for a word.
static HELD: Mutex<(usize, Option<usize>)> = Mutex::new((0, None));
static LET_GO: Condvar = Condvar::new();

/// The usual clock; it holds the reading where that was asked for, at the file that is being read.
fn holding_clock() -> Now {
    let day_of = |instant: DateTime<Utc>| {
        let mut held = HELD.lock().unwrap();
        held.0 += 1;
        while held.1 == Some(held.0) {
            held = LET_GO.wait(held).unwrap();
        }
        instant.date_naive()
    };
    Now { day_of, ..crate::stage::clock() }
}

#[test]
fn a_reading_that_is_stopped_keeps_what_it_has_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let squad = club();
    let library = library_with_roster(folder.path(), &squad);
    let day = folder.path().join("day");
    std::fs::create_dir(&day).unwrap();
    let runs: Vec<_> = squad.runs.iter().take(24).collect();
    let count = write(&day, &runs).len();
    let mut stage = Stage::by_clock(library, holding_clock);
    stage.click("Test day");
    stage.letter("r");
    *HELD.lock().unwrap() = (0, Some(7));
    let seventh = format!("Reading 7 of {count}: ");
    stage.read_until(
        &day,
        |stage| stage.starting_with(&seventh).is_some(),
        |stage| {
            stage.assert_shows("Stop, keep what was read");
            // how far it is, not what to do first
            assert_eq!(stage.count("Choose files\u{2026}"), 1);
            assert!(!stage.shows_part("Drop the recordings of a test day"));
            stage.picture("recordings-reading");
            stage.key(Named::Escape, Modifiers::empty());
            // it stops after the file that was being read
            HELD.lock().unwrap().1 = None;
            LET_GO.notify_all();
        },
    );
    // Escape stopped the reading and did not leave the view
    let said = stage.starting_with("Stopped: ").unwrap();
    assert!(said.contains(&format!(", {} not looked at.", count - 7)), "{said}");
    assert!(said.ends_with("read the same folder again for the rest."), "{said}");
    stage.assert_shows("Recordings");
    assert!(!stage.shows("Stop, keep what was read"));

    // the same folder again gives the rest
    stage.read_until(&day, |_| true, |_| {});
    assert!(stage.starting_with("Stopped: ").is_none());
    assert!(stage.starting_with(&format!("{count} files: ")).is_some());
}

/// A run at one pace from so many seconds after nine on, as a file.
fn part(folder: &Path, name: &str, from_s: i64, seconds: i64) -> PathBuf {
    let mut table = "time,distance,heart_rate\n".to_owned();
    let start = today().and_hms_opt(9, 0, 0).unwrap();
    for second in 0..=seconds {
        let time = start + TimeDelta::seconds(from_s + second);
        let (metre, beats) = (second * 4, 160 + second / 10 % 3);
        writeln!(table, "{},{metre},{beats}", time.format("%Y-%m-%dT%H:%M:%SZ")).unwrap();
    }
    let file = folder.join(name);
    std::fs::write(&file, table).unwrap();
    file
}

/// 12 minutes, 40 s with the watch stopped, 8 minutes.
pub(crate) fn two_parts(folder: &Path) -> [PathBuf; 2] {
    [part(folder, "Mirela Stanescu 1.csv", 0, 720), part(folder, "Mirela Stanescu 2.csv", 760, 480)]
}

#[test]
fn a_test_in_two_files_that_were_read_one_by_one_is_joined_when_the_coach_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let library = library_with_roster(folder.path(), &club());
    let [one, two] = two_parts(folder.path());
    let late = part(folder.path(), "Mirela Stanescu 3.csv", 4_800, 480);
    let mut stage = Stage::library(library);
    stage.drop_files(&[one]);
    stage.click("20 min");
    stage.click("Read it as that");
    stage.assert_shows("refused");
    assert!(stage.shows_part("too short for a test of 20:00"));
    stage.drop_files(&[late]);
    assert!(!stage.shows("Join the two"), "an hour lies between");
    stage.drop_files(&[two]);
    stage.assert_shows(
        "Too short for a 20-minute test, but Mirela Stanescu 2.csv goes on where it ends: is that one test in two files?",
    );
    stage.picture("recordings-join");
    stage.click("Join the two");
    assert_eq!(stage.count("taken in"), 2);
    assert_eq!(stage.count("Open"), 2, "either leads to the test");
    stage.assert_shows("1 test waits for your decision, worst doubt first");
    stage.click("Open");
    assert!(stage.shows_part("Mirela Stanescu 1.csv + Mirela Stanescu 2.csv"));
    assert!(stage.shows_part("The test stood in 2 files"));
}

#[test]
fn two_files_of_a_treadmill_are_joined_once_it_is_typed_how_far_both_went() {
    let folder = tempfile::tempdir().unwrap();
    let library = library_with_roster(folder.path(), &club());
    let half = |name: &str, from_s: i64, seconds: i64| {
        let file = part(folder.path(), name, from_s, seconds);
        let text = std::fs::read_to_string(&file).unwrap();
        let rows = text.lines().map(|row| {
            let cells: Vec<&str> = row.split(',').collect();
            format!("{},{}\n", cells[0], cells[2])
        });
        std::fs::write(&file, rows.collect::<String>()).unwrap();
        file
    };
    let one = half("Mirela Stanescu 1.csv", 0, 720);
    let two = half("Mirela Stanescu 2.csv", 740, 480);
    let mut stage = Stage::library(library);
    // the later one first: what it is asked is said from its side
    stage.drop_files(&[two]);
    stage.click("20 min");
    stage.click("Read it as that");
    stage.drop_files(&[one]);
    stage.assert_shows(
        "Too short for a 20-minute test, but Mirela Stanescu 1.csv ends where it begins: is that one test in two files?",
    );
    stage.click("Join the two");
    let asked = |text: &String| text.ends_with("type how far both went together, and join them.");
    assert_eq!(stage.texts().into_iter().filter(asked).count(), 2, "{:?}", stage.texts());
    stage.picture("recordings-join-distance");
    stage.type_into("distance 0", "5000 m");
    stage.enter_in("distance 0", Modifiers::empty());
    assert_eq!(stage.count("taken in"), 2, "{:?}", stage.texts());
    stage.click("Open");
    assert_eq!(stage.text_after("Distance"), "5,000 m");
}
