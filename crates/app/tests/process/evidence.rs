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
    assert!(said.contains("Other zones follow; LT2 pace 3:31 per km"), "{said}");
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
