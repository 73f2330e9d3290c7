//! `plan`: who does which test on which date, and what cannot be placed.

use serde_json::{Value, json};

use crate::program::Room;
use crate::shape;

const SQUAD: &str = "name,born,screening,guardian_consent\n\
    Ada Stone,1990-04-30,cleared 2026-09-01,\n\
    Bo Reed,1980-01-02,hold,\n\
    Cy Hart,2012-06-01,cleared 2026-09-01,2026-09-01\n\
    Di Moss,1985-06-01,not asked,\n";

fn plan(room: &Room, sessions: &str, capacity: &str) -> Value {
    let arguments = ["plan", "--sessions", sessions, "--capacity", capacity, "--on", "2026-11-25"];
    let plan = room.json(&arguments);
    shape::plan().check(&plan);
    plan
}

fn of<'v>(plan: &'v Value, list: &str, athlete: &str) -> Vec<&'v Value> {
    plan[list].as_array().unwrap().iter().filter(|one| one["athlete"] == athlete).collect()
}

#[test]
fn whoever_may_run_is_planned_for_and_nobody_else() {
    let room = Room::new();
    let file = room.write("squad.csv", SQUAD);
    let _ = room.done(&["roster", &file]);
    // a Tuesday, a Thursday, a Saturday and the Tuesday after
    let plan = plan(&room, "2026-12-01,2026-12-03,2026-12-05,2026-12-08", "4");
    let on = |athlete: &str, test: u32| {
        let found = of(&plan, "bookings", athlete).into_iter().find(|b| b["test"] == test);
        found.map(|booking| booking["on"].as_str().unwrap().to_owned())
    };
    // an adult: 48 hours between the all-out tests, the 40 minutes after the 20
    let ada = [5, 20, 40].map(|test| on("Ada Stone", test).unwrap());
    assert_eq!(ada.iter().filter(|on| *on == "2026-12-01").count(), 1);
    assert!(ada[2] > ada[1], "{ada:?}");
    // under 16: 72 hours, so not Tuesday and Thursday
    let cy = [5, 20].map(|test| on("Cy Hart", test).unwrap());
    assert!(!cy.contains(&"2026-12-03".to_owned()), "{cy:?}");
    for held in ["Bo Reed", "Di Moss"] {
        assert_eq!(of(&plan, "bookings", held), Vec::<&Value>::new());
        assert_eq!(of(&plan, "unplaced", held).len(), 3);
    }
    assert_eq!(
        of(&plan, "unplaced", "Di Moss")[0]["reason"],
        "Not asked about health yet: ask first."
    );
}

#[test]
fn what_has_no_room_is_said_with_what_would_free_it() {
    let room = Room::new();
    let file = room.write("squad.csv", SQUAD);
    let _ = room.done(&["roster", &file]);
    let plan = plan(&room, "2026-12-01", "1");
    assert_eq!(plan["bookings"].as_array().unwrap().len(), 1);
    let reasons: Vec<&Value> = of(&plan, "unplaced", "Ada Stone")
        .into_iter()
        .chain(of(&plan, "unplaced", "Cy Hart"))
        .map(|one| &one["reason"])
        .collect();
    let full =
        json!("Every date open to them is full: make room on Tue 1 December, or add a date.");
    assert!(reasons.contains(&&full), "{reasons:?}");
    let text =
        room.done(&["plan", "--sessions", "2026-12-01", "--capacity", "1", "--on", "2026-11-25"]);
    assert!(text.contains("Tue 1 December:"), "{text}");
    assert!(text.contains("Without a date:"), "{text}");
}

#[test]
fn the_help_tells_who_comes_first() {
    let help = Room::new().done(&["plan", "--help"]);
    let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
    let order = "first the 20-minute tests of those who have no zones, then overdue, then never run, then \
                 due; then the earliest dates.";
    assert!(help.contains(order), "{help}");
}

#[test]
fn dates_that_cannot_be_planned_are_each_named() {
    let room = Room::new();
    let file = room.write("squad.csv", SQUAD);
    let _ = room.done(&["roster", &file]);
    for (sessions, capacity, words) in [
        ("2026-11-20", "3", ["2026-11-20", "is over"]),
        ("2026-12-08,2026-12-01", "3", ["2026-12-01", "in order"]),
        ("2026-12-01,2026-12-01", "3", ["2026-12-01", "twice"]),
        ("2026-12-01", "0", ["2026-12-01", "capacity of 0"]),
    ] {
        let arguments =
            ["plan", "--sessions", sessions, "--capacity", capacity, "--on", "2026-11-25"];
        room.run(&arguments).refused(&words);
    }
    let empty = Room::new();
    let arguments = ["plan", "--sessions", "2026-12-01", "--capacity", "3", "--on", "2026-11-25"];
    assert!(empty.done(&arguments).contains("add them with a roster"));
    let nothing = plan(&empty, "2026-12-01", "3");
    assert_eq!(nothing, json!({ "bookings": [], "unplaced": [] }));
}
