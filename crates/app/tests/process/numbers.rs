//! `zones` and `compare`, `--help` and `--version`: numbers without a library.

use serde_json::Value;

use crate::program::Room;
use crate::shape;

fn near(value: &Value, expected: f64, within: f64) {
    let found = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((found - expected).abs() <= within, "{found} for {expected}");
}

fn marker<'a>(zones: &'a Value, name: &str) -> &'a Value {
    let markers = zones["markers"].as_array().unwrap();
    markers.iter().find(|marker| marker["name"] == name).unwrap()
}

/// Always five entries; heart rates contiguous by a beat, paces end to end, the ends open.
fn contiguous(zones: &Value) {
    let zones = zones["zones"].as_array().unwrap();
    let numbers: Vec<u64> = zones.iter().map(|zone| zone["number"].as_u64().unwrap()).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5]);
    let paces: Vec<&Value> = zones.iter().map(|zone| &zone["pace_s_per_km"]).collect();
    for pair in paces.windows(2).filter(|pair| !pair[0].is_null() && !pair[1].is_null()) {
        assert_eq!(pair[0]["fastest"], pair[1]["slowest"]);
    }
    for pace in paces.iter().filter(|pace| pace["slowest"].is_f64() && pace["fastest"].is_f64()) {
        assert!(pace["slowest"].as_f64() > pace["fastest"].as_f64());
    }
    assert!(paces[0].is_null() || paces[0]["slowest"].is_null());
    assert!(paces[4]["fastest"].is_null());
    let beats: Vec<&Value> = zones.iter().map(|zone| &zone["heart_rate_bpm"]).collect();
    assert!(beats[4].is_null(), "zone 5 is steered by pace or feel");
    for pair in beats[..4].windows(2).filter(|pair| !pair[0].is_null()) {
        assert_eq!(pair[0]["to"].as_u64().map(|to| to + 1), pair[1]["from"].as_u64());
    }
    for band in beats[..4].iter().filter(|band| band["from"].is_u64() && band["to"].is_u64()) {
        assert!(band["from"].as_u64() <= band["to"].as_u64());
    }
    assert!(beats[0].is_null() || beats[0]["from"].is_null());
    assert!(beats[3].is_null() || beats[3]["to"].is_null());
}

fn zones(arguments: &[&str]) -> Value {
    let zones = Room::new().json(&[&["zones"], arguments].concat());
    shape::zones().check(&zones);
    contiguous(&zones);
    zones
}

#[test]
fn a_twenty_minute_test_alone_gives_every_zone() {
    // 95 % of 4.5 m/s and of 157.9 bpm, and 95 % of that (the common rule, by hand):
    // 4.275 m/s, 150.005 bpm, 142.505 bpm; 142.5 is shown as 143, the top of zone 2
    let zones = zones(&["--twenty", "5400", "--twenty-hr", "157.9"]);
    near(&marker(&zones, "lt2")["speed_m_per_s"], 4.275, 1e-9);
    near(&marker(&zones, "lt2")["heart_rate_bpm"], 150.0, 0.01);
    near(&marker(&zones, "lt1")["heart_rate_bpm"], 142.5, 0.01);
    assert_eq!(marker(&zones, "lt2")["speed_origin"], "measured");
    assert_eq!(marker(&zones, "lt1")["heart_rate_origin"], "by rule");
    assert_eq!(marker(&zones, "lt1")["speed_origin"], "estimated");
    assert_eq!(zones["zones"][1]["heart_rate_bpm"]["to"], 143);
    assert_eq!(zones["zones"][2]["heart_rate_bpm"]["from"], 144);
    assert_eq!(zones["critical_speed_m_per_s"], Value::Null);
}

#[test]
fn three_tests_give_critical_speed_and_the_floor() {
    // critical speed of 1,500 m in 300 s and 5,400 m in 1,200 s: 3,900 / 900 = 4.3333 m/s (Monod and
    // Scherrer's line through two efforts); the floor by the ACSM running equation (Guidelines for
    // Exercise Testing and Prescription): VO2 at 5 m/s is 0.2 x 300 + 3.5 = 63.5 ml/kg/min, 56 % of
    // the reserve-free whole 35.56, and back (35.56 - 3.5) / 0.2 / 60 = 2.6717 m/s
    let zones = zones(&[
        "--five",
        "1500",
        "--twenty",
        "5400",
        "--twenty-hr",
        "157.9",
        "--forty",
        "9000",
        "--forty-hr",
        "142",
        "--hr-max",
        "190",
    ]);
    near(&zones["critical_speed_m_per_s"], 4.3333, 5e-5);
    near(&marker(&zones, "aerobic_floor")["speed_m_per_s"], 2.6717, 5e-5);
    near(&marker(&zones, "lt1")["speed_m_per_s"], 3.75, 1e-9);
    near(&marker(&zones, "vo2max")["speed_m_per_s"], 5.0, 1e-9);
    // by rule, though the 40 minutes were held at 142
    near(&marker(&zones, "lt1")["heart_rate_bpm"], 142.5, 0.01);
}

#[test]
fn zones_are_contiguous_whatever_was_run() {
    for (five, twenty, forty, bpm) in [
        ("1500", "5400", "9000", "157.9"),
        ("700", "2300", "3900", "171"),
        ("2000", "7400", "13000", "179.5"),
        ("1200", "4200", "7000", "120"),
        // contradictory: the markers cross
        ("1000", "5400", "11000", "150"),
    ] {
        let _ = zones(&["--five", five]);
        let _ = zones(&["--forty", forty, "--forty-hr", "140"]);
        let _ = zones(&["--twenty", twenty, "--age", "44", "--twenty-hr", bpm]);
        let _ = zones(&["--five", five, "--twenty", twenty, "--twenty-hr", bpm]);
        let _ = zones(&["--five", five, "--twenty", twenty, "--twenty-hr", bpm, "--forty", forty]);
    }
}

#[test]
fn contradictory_distances_are_said_and_spoil() {
    let contradictory = zones(&["--five", "1320", "--twenty", "5400"]);
    let remarks = contradictory["remarks"].as_array().unwrap();
    let found = remarks.iter().find(|remark| remark["code"] == "critical_speed").unwrap();
    assert_eq!(found["severity"], "spoils");
    // 4.4 m/s over 4.5
    near(&found["value"], 0.977_777, 1e-5);
}

#[test]
fn a_change_is_judged_by_the_published_method() {
    // Hopkins WG. Sports Med 2000;30(1):1-15: typical error 2 %, one test each side, smallest
    // worthwhile 1 %, change +3 %: SE 2.8284, chances 0.7602 / 0.1611 / 0.0786 by a normal table
    let room = Room::new();
    let change = room.json(&["compare", "--test", "20", "--before", "5400", "--after", "5562"]);
    shape::compare().check(&change);
    near(&change["change_percent"], 3.0, 1e-9);
    near(&change["typical_error_percent"], 2.0, 1e-12);
    near(&change["smallest_worthwhile_percent"], 1.0, 1e-12);
    near(&change["standard_error_percent"], 2.8284, 1e-4);
    near(&change["chance_better"], 0.7602, 2e-4);
    near(&change["chance_trivial"], 0.1611, 2e-4);
    near(&change["chance_worse"], 0.0786, 2e-4);
    assert_eq!(change["verdict"], "likely gain");
    // the same backwards is the same loss
    let loss = room.json(&["compare", "--test", "20", "--before", "5400", "--after", "5238"]);
    near(&loss["chance_worse"], 0.7602, 2e-4);
    assert_eq!(loss["verdict"], "likely loss");
    // two tests each side: 2 x sqrt(1/2 + 1/2) (arithmetic)
    let two =
        room.json(&["compare", "--test", "20", "--before", "5400,5420", "--after", "5390,5410"]);
    near(&two["standard_error_percent"], 2.0, 1e-9);
    shape::compare().check(&two);
    assert!(
        room.done(&["compare", "--test", "5", "--before", "1500", "--after", "1600"]).contains('%')
    );
}

#[test]
fn impossible_values_are_refused_in_one_sentence_each() {
    let room = Room::new();
    for (arguments, words) in [
        (vec!["zones", "--five", "15000"], vec!["15,000 m in 5 minutes cannot be", "check"]),
        (vec!["zones", "--five", "0"], vec!["cannot be"]),
        (vec!["zones", "--five", "-1500"], vec!["-1500", "check"]),
        (vec!["zones", "--twenty", "NaN"], vec!["NaN", "check"]),
        (vec!["zones", "--forty", "inf"], vec!["inf", "check"]),
        (vec!["zones", "--twenty", "5400", "--twenty-hr", "0"], vec!["0 bpm", "check"]),
        (vec!["zones", "--twenty", "5400", "--twenty-hr", "400"], vec!["400 bpm", "check"]),
        (vec!["zones", "--twenty", "5400", "--twenty-hr", "30"], vec!["30", "60"]),
        (vec!["zones", "--twenty", "5400", "--twenty-hr", "nan"], vec!["NaN"]),
        (vec!["zones", "--five", "1500", "--hr-max", "400"], vec!["400 bpm"]),
        (vec!["zones", "--five", "1500", "--age", "-3"], vec!["-3 years", "check"]),
        (vec!["zones", "--five", "1500", "--age", "NaN"], vec!["NaN", "check"]),
        (vec!["zones", "--twenty-hr", "160"], vec!["at least one distance"]),
        (vec!["zones", "--five", "1500", "--forty-hr", "140"], vec!["needs the distance"]),
        (vec!["zones"], vec!["at least one distance"]),
        (vec!["compare", "--test", "20", "--before", "5400", "--after", "NaN"], vec!["NaN"]),
        (vec!["compare", "--test", "5", "--before", "15000", "--after", "1500"], vec!["15,000 m"]),
    ] {
        for json in [false, true] {
            let mut arguments = arguments.clone();
            if json {
                arguments.push("--json");
            }
            let ran = room.run(&arguments);
            ran.refused(&words);
            assert_eq!(ran.out, "", "{arguments:?}");
        }
    }
    assert_eq!(room.listed("."), Vec::<String>::new(), "no library is needed, none is made");
}

#[test]
fn wrong_usage_ends_with_two() {
    let room = Room::new();
    for arguments in [
        vec!["zone"],
        vec!["zones", "--five", "far"],
        vec!["zones", "--ten", "3000"],
        vec!["assess", "--test", "20"],
        vec!["assess", "run.fit"],
        vec!["assess", "run.fit", "--test", "30"],
        vec!["compare", "--test", "20", "--before", "5400"],
        vec!["roster"],
        vec!["read"],
        vec!["cards"],
        vec!["weekly"],
        vec!["due", "--on", "tomorrow"],
        vec!["plan", "--capacity", "3"],
        vec!["plan", "--sessions", "2026-12-01"],
        vec!["plan", "--sessions", "soon", "--capacity", "3"],
        vec!["plan", "--sessions", "2026-12-01", "--capacity", "-3"],
        vec!["due", "--on", "2026-02-30"],
        vec!["--demo", "due"],
        vec!["--demo", "weekly", "--out", "papers"],
    ] {
        room.run(&arguments).misused();
    }
    assert_eq!(room.listed("."), Vec::<String>::new());
}

#[test]
fn help_teaches_and_the_version_is_told() {
    let room = Room::new();
    let help = room.done(&["--help"]);
    for command in [
        "assess", "zones", "compare", "roster", "read", "confirm", "due", "plan", "cards", "weekly",
    ] {
        assert!(help.contains(command), "{command}");
        assert!(room.done(&[command, "--help"]).contains("Usage: pacewright"), "{command}");
    }
    assert!(help.contains("Exit status: 0 done, 1 could not"));
    assert!(help.contains("clinician"));
    let version = room.done(&["--version"]);
    assert_eq!(version, format!("pacewright {}\n", env!("CARGO_PKG_VERSION")));
    let bare = room.run(&[]);
    bare.refused(&["--help", "--demo"]);
}

#[test]
fn an_answer_that_cannot_be_printed_is_no_success() {
    // a device that is always full, as every Linux has it
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else { return };
    let room = Room::new();
    let mut command = room.command(&["zones", "--five", "1500", "--json"]);
    let output = command.stdout(full).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.starts_with("The answer could not be printed"), "{said}");
}
