//! `enter`: races, laboratory values, factors, medication, conditions, schemes.

use crate::program::Room;

const ADA: [&str; 2] = ["--athlete", "Ada Stone"];

fn enter(room: &Room, what: &[&str]) -> String {
    let mut arguments = vec!["enter"];
    arguments.extend(what);
    arguments.extend(ADA);
    room.done(&arguments)
}

#[test]
fn a_race_sets_zones_only_where_that_is_asked_for() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let race = ["race", "--on", "2026-05-03", "--distance", "5 km", "--time", "16:30"];
    let said = enter(&room, &race);
    assert!(said.starts_with("The 5 km race of 3 May is noted.\n"), "{said}");
    // 95 % of the 20-minute speed by the power law: 3:31 (worked by hand in core::doubt)
    assert!(said.contains("By this entry: LT2 pace 3:31 per km, "), "{said}");
    let refused = room.run(&["cards", "--out", "cards.pdf"]);
    assert_eq!(refused.status, 1, "nothing is in force yet");
    let again = enter(
        &room,
        &[
            "laboratory",
            "--on",
            "2026-05-20",
            "--marker",
            "lt1",
            "--hr",
            "150",
            "--protocol",
            "lactate",
            "--in-force",
        ],
    );
    assert!(again.contains("New zones are in force from"), "{again}");
    assert!(room.done(&["cards", "--out", "cards.pdf"]).contains('1'));
}

#[test]
fn what_is_wrong_is_said_and_nothing_is_kept() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let state = room.state();
    let wrong: [&[&str]; 4] = [
        &["race", "--on", "2026-05-03", "--distance", "5 km", "--time", "6:30"],
        &["laboratory", "--on", "2026-05-03", "--marker", "lt2", "--protocol", "gas"],
        &["factor", "--from", "2026-05-03", "--factor", "60", "--reason", "why not"],
        &["conditions", "--test", "20", "--on", "2026-05-03", "--air", "20"],
    ];
    for what in wrong {
        let mut arguments = vec!["enter"];
        arguments.extend(what);
        arguments.extend(ADA);
        let ran = room.run(&arguments);
        assert_eq!((ran.status, ran.out.as_str()), (1, ""), "{what:?}");
        assert_eq!(ran.sentences().len(), 1, "{}", ran.err);
    }
    assert_eq!(room.state(), state);
}

#[test]
fn a_scheme_is_read_from_a_file_with_its_wrong_line_said() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let _race = enter(
        &room,
        &["race", "--on", "2026-05-03", "--distance", "5 km", "--time", "16:30", "--in-force"],
    );
    let bad = room.write("bad.txt", "Easy; LT9; pace\nFast; ; pace\n");
    let ran = room.run(&["enter", "scheme", &bad, "--name", "Two"]);
    assert_eq!(ran.status, 1);
    assert!(ran.err.contains("bad.txt: Line 1: \"LT9\" is no edge"), "{}", ran.err);
    let good = room.write("good.txt", "Easy; 100 % of LT1; pace\nHard; ; feel\n");
    let said = enter(&room, &["scheme", &good, "--name", "Two", "--in-force"]);
    assert!(said.contains("New zones follow it.") && said.contains("in force from"), "{said}");
}

#[test]
fn an_entry_says_what_it_changes_and_only_that() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let race = |more: &[&str]| enter(&room, &[&["race"], more].concat());
    let _pending = race(&["--on", "2026-05-03", "--distance", "5 km", "--time", "16:30"]);
    // to come: nothing of the race before is told again
    let goal = race(&["--on", "2027-05-03", "--distance", "10 km", "--goal"]);
    assert!(goal.ends_with("It is still to be run, so the zones stay as they are.\n"), "{goal}");
    let marathon = race(&["--on", "2026-04-03", "--distance", "marathon", "--time", "3:10:00"]);
    assert!(marathon.contains("Only a race of 3 to 10 km stands in for a test"), "{marathon}");
    assert!(!goal.contains("LT2") && !marathon.contains("LT2"), "{goal}{marathon}");
    let lt1 = ["laboratory", "--on", "2026-05-20", "--marker", "lt1", "--hr", "150"];
    let lt1 = enter(&room, &[&lt1[..], &["--protocol", "lactate"]].concat());
    assert!(lt1.contains("By this entry: ") && lt1.contains("LT1 heart rate 150"), "{lt1}");
    assert!(!lt1.contains("LT2 pace"), "{lt1}");
    let pills = enter(&room, &["medication", "--from", "2026-06-01"]);
    assert!(!pills.contains("The zones in force stay"), "{pills}");
}

#[test]
fn wrong_days_and_numbers_are_worded_for_people() {
    let room = Room::new();
    for (asked, word) in [
        (vec!["due", "--on", "25.11.2026"], "25.11.2026"),
        (vec!["zones", "--twenty", "fast"], "that is no number"),
        (vec!["plan", "--sessions", "2026-11-25", "--capacity", "few"], "no number of athletes"),
    ] {
        let ran = room.run(&asked);
        assert_eq!(ran.status, 2, "{}", ran.err);
        assert!(ran.err.contains(word), "{}", ran.err);
        for code in ["invalid float", "invalid digit", "input contains", "premature"] {
            assert!(!ran.err.contains(code), "{}", ran.err);
        }
    }
}

#[test]
fn a_race_that_speaks_against_what_is_known_is_said() {
    let room = Room::new();
    let file =
        room.write("held.csv", "name,screening,max_heart_rate\nAda Stone,hold 2026-03-01,190\n");
    let _added = room.done(&["roster", &file]);
    let race = ["race", "--on", "2026-05-03", "--distance", "5 km", "--time", "16:30"];
    let said = enter(&room, &[&race[..], &["--highest-hr", "199"]].concat());
    assert!(said.contains("Ran all-out while on hold"), "{said}");
    assert!(said.contains("Its highest heart rate, 199, stands above the 190 entered"), "{said}");
}
