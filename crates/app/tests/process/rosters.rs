//! `roster`, `confirm` and `due`: who is in the library, what counts, who is due.

use serde_json::{Value, json};

use crate::program::{Room, after, table};
use crate::shape;

fn due(room: &Room, on: &str) -> Value {
    let due = room.json(&["due", "--on", on]);
    shape::due().check(&due);
    due
}

#[test]
fn a_roster_adds_updates_and_keeps() {
    let room = Room::new();
    assert_eq!(due(&room, "2026-11-25"), json!([]));
    let file = room.write(
        "squad.csv",
        "Name;Squad;Born;Screening;Medication;Sensor;Max heart rate;Notes\n\
         Ada Stone;Mile;2001-04-30;cleared 2026-09-01;no;strap;191;likes hills\n\
         Bo Reed;Mile | Hill;1980-01-02;hold;yes;wrist;;\n",
    );
    assert_eq!(room.done(&["roster", &file]), "2 added, 0 updated, 0 unchanged.\n");
    assert_eq!(room.done(&["roster", &file]), "0 added, 0 updated, 2 unchanged.\n");
    let update =
        room.write("update.csv", "name,screening\nBo Reed,cleared 2026-11-01\nAda Stone,\n");
    assert_eq!(room.done(&["roster", &update]), "0 added, 1 updated, 1 unchanged.\n");
    let lines = due(&room, "2026-11-25");
    assert_eq!(lines.as_array().unwrap().len(), 6, "three tests each");
    assert_eq!(lines[0]["held_by"], json!([]));
    assert_eq!(lines[0]["state"], "never tested");
}

#[test]
fn wrong_rows_are_said_one_by_one_and_the_others_taken_in() {
    let room = Room::new();
    let file = room.write(
        "squad.csv",
        "name,born,sex,resting_heart_rate,max_heart_rate,medication,screening,sensor\n\
         Ada Stone,2001-04-30,female,50,190,no,cleared 2026-09-01,strap\n\
         Bo Reed,30.4.2001,,,,,,\n\
         Cy Hart,,other,,,,,\n\
         Di Moss,,,0,,,,\n\
         Ed Lane,,,,400,,,\n\
         Fay Cole,,,,NaN,,,\n\
         Gus Webb,,,,,maybe,,\n\
         Hal Ford,,,,,,cleared,\n\
         Ivy Nash,,,,,,,ankle\n\
         ,2001-04-30,,,,,,\n",
    );
    let ran = room.run(&["roster", &file]);
    assert_eq!((ran.status, ran.out.as_str()), (0, "1 added, 0 updated, 0 unchanged.\n"));
    let sentences = ran.sentences();
    assert_eq!(sentences.len(), 9, "{}", ran.err);
    for (line, sentence) in (3..).zip(sentences) {
        assert!(sentence.contains(&format!("squad.csv, line {line}: ")), "{sentence}");
    }
    assert_eq!(due(&room, "2026-11-25").as_array().unwrap().len(), 3);
}

#[test]
fn a_table_that_is_no_roster_is_refused_and_changes_nothing() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let state = room.state();
    for (name, text, words) in [
        ("columns.csv", "name,vo2max\nBo Reed,60\n", "\"vo2max\""),
        ("nameless.csv", "squad,born\nMile,2001-04-30\n", "\"name\""),
        ("empty.csv", "", "\"name\""),
        ("letter.txt", "Dear coach, I ran well.\n", "column"),
    ] {
        let file = room.write(name, text);
        room.run(&["roster", &file]).refused(&[&file, words]);
    }
    room.run(&["roster", "missing.csv"]).refused(&["missing.csv", "no such file"]);
    let header = room.write("header.csv", "name,born\n");
    room.run(&["roster", &header]).refused(&["header.csv"]);
    let all_wrong = room.write("wrong.csv", "name,born\nBo Reed,yesterday\n");
    room.run(&["roster", &all_wrong]).refused(&["wrong.csv, line 2", "yesterday"]);
    assert_eq!(room.state(), state);
}

#[test]
fn two_of_a_name_are_told_apart_by_the_day_of_birth_or_not_at_all() {
    let room = Room::new();
    let twins = "name,born\nAda Stone,2001-04-30\nAda Stone,1999-02-03\n";
    let file = room.write("twins.csv", twins);
    let said = room.done(&["roster", &file]);
    let twin = "Ada Stone born 1999-02-03 was added beside Ada Stone born 2001-04-30: if they are one, remove the wrong one.";
    assert_eq!(said, format!("2 added, 0 updated, 0 unchanged.\n{twin}\n"));
    let which = room.write("which.csv", "name,sex\nAda Stone,female\n");
    room.run(&["roster", &which]).refused(&["Ada Stone", "day of birth"]);
    let run = room.write("run.csv", table(after(1), 1_200, 4.0, Some(160)));
    room.run(&["read", &run, "--athlete", "Ada Stone", "--test", "20"])
        .refused(&["More than one", "alias"]);
    let named = room.write("ada stone.csv", table(after(1), 1_200, 4.0, Some(160)));
    room.run(&["read", &named, "--test", "20"]).refused(&["Ada Stone and Ada Stone"]);
    // the same row twice is the same person, and the second says nothing new
    let again = room.write("again.csv", "name,born\nBo Reed,2000-01-01\nBo Reed,2000-01-01\n");
    assert_eq!(room.done(&["roster", &again]), "1 added, 0 updated, 1 unchanged.\n");
}

#[test]
fn confirmed_tests_are_due_four_to_eight_weeks_later() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let run = room.write("ada stone.csv", table(after(0), 1_200, 4.0, Some(160)));
    let read = room.json(&["read", &run, "--test", "20"]);
    shape::read().check(&read);
    assert_eq!(read[0]["test"], 20);
    // read, but not yet confirmed
    assert_eq!(due(&room, "2026-09-02")[1]["state"], "never tested");
    room.run(&["confirm", "--athlete", "Nobody"]).refused(&["Nobody"]);
    let said = room.done(&["confirm", "--athlete", "ada stone"]);
    assert!(said.contains("20-minute test of 1 September 2026 accepted"), "{said}");
    assert!(said.contains("new zones from 1 September 2026"), "{said}");
    assert_eq!(room.done(&["confirm"]), "Nothing waits to be confirmed.\n");
    // 4 and 8 weeks after 1 September: 29 September and 27 October (a calendar)
    for (on, state) in [
        ("2026-09-28", "fresh"),
        ("2026-09-29", "due"),
        ("2026-10-27", "due"),
        ("2026-10-28", "overdue"),
    ] {
        let line = due(&room, on)[1].clone();
        let expected = json!({
            "athlete": "Ada Stone", "test": 20, "state": state, "held_by": [],
            "last_on": "2026-09-01", "opens_on": "2026-09-29", "closes_on": "2026-10-27",
        });
        assert_eq!(line, expected);
    }
    // cleared on 1 September 2026: lapses after twelve months
    assert_eq!(due(&room, "2027-08-31")[1]["held_by"], json!([]));
    assert_eq!(due(&room, "2027-09-01")[1]["held_by"], json!(["not cleared"]));
}

#[test]
fn minors_without_a_guardians_consent_are_named_as_they_come_in() {
    let room = Room::new();
    let squad = "name,born,guardian_consent\nIda Holm,2013-05-01,\nJon Vale,2013-05-01,2026-01-05\nKim Roe,1991-05-01,\n";
    let file = room.write("squad.csv", squad);
    let said = "3 added, 0 updated, 0 unchanged.\n\
                Under 18, and no guardian's consent entered: Ida Holm. No all-out test until it is.\n";
    assert_eq!(room.done(&["roster", &file]), said);
}
