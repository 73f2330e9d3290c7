//! `assess` and `read`: recordings, good, bad and hostile.

use serde_json::{Value, json};

use crate::program::{Ran, Room, after, shared, table};
use crate::shape;

fn assess(room: &Room, files: &[&str], test: &str) -> (Ran, Value) {
    let ran = room.run(&[&["assess"], files, &["--test", test, "--json"]].concat());
    let value = ran.json();
    shape::assess().check(&value);
    assert_eq!(value.as_array().unwrap().len(), files.len());
    let _ = ran.sentences();
    (ran, value)
}

fn codes(file: &Value) -> Vec<&str> {
    file["remarks"].as_array().unwrap().iter().map(|r| r["code"].as_str().unwrap()).collect()
}

fn spoils(file: &Value) -> bool {
    file["remarks"].as_array().unwrap().iter().any(|r| r["severity"] == "spoils")
}

fn near(value: &Value, expected: f64, share: f64) {
    let found = value.as_f64().unwrap_or_else(|| panic!("{value} for {expected}"));
    assert!((found - expected).abs() <= share * expected, "{found} for {expected}");
}

#[test]
fn the_clean_run_gives_its_exact_truth_from_every_format() {
    // the made run is 10 min at 2.8 m/s, 15 min at 4.0 and 5 min at 2.8: 20 minutes hold all 15 of
    // the fast ones, 3,600 + 840 = 4,440 m, and 5 of them 1,200 m (arithmetic)
    let room = Room::new();
    for (ending, source, share) in [
        ("fit", "device", 1.0 / 4_440.0),
        ("csv", "device", 1.0 / 4_440.0),
        ("gpx", "positions", 0.005),
    ] {
        let Some(file) = shared(&format!("made/m01_clean.{ending}")) else { return };
        let (ran, twenty) = assess(&room, &[&file], "20");
        assert_eq!((ran.status, ran.err.as_str()), (0, ""));
        assert_eq!(twenty[0]["recording"]["distance_source"], source);
        near(&twenty[0]["recording"]["distance_m"], 6_120.0, share);
        near(&twenty[0]["effort"]["distance_m"], 4_440.0, share);
        near(&twenty[0]["effort"]["mean_speed_m_per_s"], 3.7, share);
        let (_, short) = assess(&room, &[&file], "5");
        near(&short[0]["effort"]["distance_m"], 1_200.0, share);
        assert!(!spoils(&short[0]), "{short:#}");
        // no 40 minutes in 30
        let (ran, forty) = assess(&room, &[&file], "40");
        assert_eq!((ran.status, ran.sentences().len()), (1, 1));
        assert!(forty[0]["error"].as_str().unwrap().contains("too short"));
        assert_eq!((&forty[0]["effort"], &forty[0]["use"]), (&Value::Null, &Value::Null));
    }
}

#[test]
fn faults_of_a_file_are_remarks_with_their_codes() {
    let room = Room::new();
    for (name, test, code, good_for) in [
        ("m03_no_hr.fit", "5", "heart_rate_missing", None),
        ("m04_pause_timer.fit", "20", "pause", Some("unusable")),
        ("m04_pause_gap.gpx", "20", "pause", Some("unusable")),
        ("m07_truncated60.fit", "5", "truncated", Some("doubtful")),
        ("m07_truncated60.gpx", "5", "truncated", Some("doubtful")),
        ("m08_bad_checksum.fit", "20", "checksum", Some("doubtful")),
        ("m09_clock_back_and_dup.fit", "20", "clock", None),
        ("m16_clock_spike_forward.fit", "20", "clock", None),
        ("m11_cycling.fit", "20", "sport", Some("unusable")),
        ("m14_two_chained.fit", "20", "parts", Some("doubtful")),
        ("m01_clean.gpx", "20", "distance_source", None),
    ] {
        let Some(file) = shared(&format!("made/{name}")) else { return };
        let (ran, found) = assess(&room, &[&file], test);
        assert_eq!(ran.status, 0, "{name}: {}", ran.err);
        assert!(codes(&found[0]).contains(&code), "{name}: {found:#}");
        if let Some(good_for) = good_for {
            assert_eq!(found[0]["use"], good_for, "{name}: {found:#}");
        }
    }
}

#[test]
fn a_target_judges_the_run_and_never_places_it() {
    let room = Room::new();
    let file = room.write("run.csv", table(after(0), 2_400, 3.0, Some(150)));
    let with = room.json(&["assess", &file, "--test", "40", "--target-hr", "140"]);
    let without = room.json(&["assess", &file, "--test", "40"]);
    assert_eq!(with[0]["effort"], without[0]["effort"]);
    let missed = with[0]["remarks"].as_array().unwrap();
    let missed = missed.iter().find(|r| r["code"] == "target_missed").unwrap();
    near(&missed["value"], 10.0, 1e-6);
    assert!(!codes(&without[0]).contains(&"target_missed"));
    // without a target whatever was run would count as LT1 pace: the coach looks first
    assert!(codes(&without[0]).contains(&"target_unknown"));
    assert_eq!(without[0]["use"], "doubtful");
    for (target, word) in [("400", "400"), ("0", "0 bpm"), ("-5", "-5"), ("NaN", "NaN")] {
        room.run(&["assess", &file, "--test", "40", "--target-hr", target]).refused(&[word]);
    }
}

/// Files that are no recording, or none of a run's length: name, content, words of the sentence.
fn unreadable() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let bomb = "<?xml version=\"1.0\"?><!DOCTYPE g [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;\">\
        <!ENTITY c \"&b;&b;&b;&b;&b;&b;\"><!ENTITY d \"&c;&c;&c;&c;&c;&c;\">]><gpx><trk><trkseg>\
        <trkpt lat=\"1\" lon=\"1\"><time>&d;</time></trkpt></trkseg></trk></gpx>";
    let deep = format!("<gpx>{}", "<trk>".repeat(200_000));
    vec![
        ("empty.fit", Vec::new(), "empty"),
        ("empty.gpx", Vec::new(), "empty"),
        ("letter.csv", b"Dear coach,\nI ran well today.\n".to_vec(), "not a GPX, FIT or CSV"),
        ("picture.fit", vec![0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0], "FIT"),
        ("noise.gpx", (0..4_000_u32).map(|n| (n * 7_919 % 251) as u8).collect(), "GPX"),
        ("bomb.gpx", bomb.into(), "GPX"),
        ("deep.gpx", deep.into(), "GPX"),
        (
            "timeless.gpx",
            b"<gpx><trk><trkseg><trkpt lat=\"1\" lon=\"1\"/></trkseg></trk></gpx>".to_vec(),
            "time",
        ),
        ("short.csv", table(after(0), 2, 4.0, None).into(), "too short"),
        ("zeros.fit", vec![0; 100_000], "empty"),
    ]
}

#[test]
fn what_is_no_recording_is_refused_in_one_sentence_that_names_it() {
    let room = Room::new();
    for (name, bytes, words) in unreadable() {
        let file = room.write(name, bytes);
        let (ran, value) = assess(&room, &[&file], "20");
        assert_eq!(ran.status, 1, "{name}");
        assert_eq!(ran.sentences().len(), 1, "{name}: {}", ran.err);
        assert!(ran.err.contains(&file) && ran.err.contains(words), "{name}: {}", ran.err);
        assert_eq!(value[0]["error"].as_str(), ran.err.lines().next(), "{name}");
        assert_eq!((&value[0]["effort"], &value[0]["use"]), (&Value::Null, &Value::Null), "{name}");
    }
    let missing = room.path("missing.fit");
    room.run(&["assess", missing.to_str().unwrap(), "--test", "5"]).refused(&[
        "missing.fit",
        "no such file",
        "check",
    ]);
    let folder = room.folder("folder");
    room.run(&["assess", &folder, "--test", "5"]).refused(&["folder"]);
}

#[test]
fn one_good_file_among_bad_ones_is_enough_and_each_bad_one_is_said() {
    let room = Room::new();
    let good = room.write("good.csv", table(after(0), 1_200, 4.0, Some(160)));
    let empty = room.write("empty.csv", "");
    let (ran, value) = assess(&room, &[&empty, &good], "20");
    assert_eq!((ran.status, ran.sentences().len()), (0, 1));
    assert!(value[0]["error"].is_string() && value[1]["error"].is_null());
    // without distance there is no effort, and a remark says so
    let rows: Vec<String> = (0..=1_300).map(|second| format!("{second},150")).collect();
    let none = room.write("none.csv", format!("time,heart_rate\n{}\n", rows.join("\n")));
    let (ran, value) = assess(&room, &[&none], "20");
    assert_eq!((ran.status, ran.sentences().len()), (1, 1));
    assert_eq!((&value[0]["error"], &value[0]["use"]), (&Value::Null, &json!("unusable")));
    assert_eq!(value[0]["effort"], Value::Null);
    assert!(spoils(&value[0]) && codes(&value[0]).contains(&"distance_source"));
}

#[test]
fn cells_that_are_no_numbers_count_as_missing() {
    let room = Room::new();
    let clean = table(after(0), 1_200, 4.0, Some(160));
    let mut lines: Vec<String> = clean.lines().map(str::to_owned).collect();
    for (line, cell) in [(101, "NaN"), (201, "inf"), (301, "-inf"), (401, "1e999"), (501, "-40")] {
        let time = lines[line].split(',').next().unwrap().to_owned();
        lines[line] = format!("{time},{cell},{cell}");
    }
    let dirty = room.write("dirty.csv", lines.join("\n"));
    let clean = room.write("clean.csv", clean);
    let (_, value) = assess(&room, &[&dirty, &clean], "20");
    let [dirty, clean] = [&value[0]["effort"], &value[1]["effort"]];
    assert_eq!(dirty["distance_m"], clean["distance_m"]);
    near(&dirty["mean_heart_rate_bpm"], 160.0, 1e-3);
    // heart rates of 0 and 400 are nobody's: the mean rests on the others
    let broken = table(after(0), 1_200, 4.0, Some(160));
    let broken = broken.replacen(",160\n", ",0\n", 30).replacen(",160\n", ",400\n", 30);
    let broken = room.write("broken.csv", broken);
    let (_, value) = assess(&room, &[&broken], "20");
    near(&value[0]["effort"]["mean_heart_rate_bpm"], 160.0, 1e-3);
    assert_eq!(value[0]["effort"]["peak_heart_rate_bpm"], 161.0);
}

#[test]
fn a_folder_is_read_by_names_and_what_is_not_taken_in_is_said() {
    let room = Room::new();
    room.roster(&["Ada Stone", "Ada", "Bo Reed"]);
    let _ = room.write("day/Ada Stone 20.csv", table(after(1), 1_200, 4.0, Some(160)));
    let _ = room.write("day/bo_reed/evening.csv", table(after(1), 1_200, 3.5, Some(170)));
    let _ = room.write("day/copy of Ada Stone.csv", table(after(1), 1_200, 4.0, Some(160)));
    let _ = room.write("day/somebody.csv", table(after(1), 1_200, 3.9, Some(170)));
    let _ = room.write("day/Ada short.csv", table(after(1), 600, 3.9, Some(170)));
    let _ = room.write("day/Bo Reed letter.csv", "Dear coach");
    let _ = room.write("day/.hidden", "nothing");
    let day = room.folder("day");
    let ran = room.run(&["read", &day, "--test", "20", "--json"]);
    let lines = ran.json();
    shape::read().check(&lines);
    assert_eq!((ran.status, ran.sentences().len()), (0, 4), "{}", ran.err);
    let outcomes: Vec<(&str, &Value)> = lines
        .as_array()
        .unwrap()
        .iter()
        .map(|line| (line["outcome"].as_str().unwrap(), &line["athlete"]))
        .collect();
    assert_eq!(
        outcomes,
        [
            ("taken in", &json!("Ada Stone")),
            ("refused", &json!("Ada")),
            ("refused", &Value::Null),
            ("taken in", &json!("Bo Reed")),
            ("duplicate", &Value::Null),
            ("unmatched", &Value::Null),
        ],
        "{lines:#}"
    );
    // the same folder again changes nothing
    let state = room.state();
    let again = room.run(&["read", &day, "--test", "20", "--json"]);
    assert_eq!((again.status, again.sentences().len()), (1, 6));
    let outcomes = again.json();
    let duplicates = outcomes.as_array().unwrap().iter().filter(|l| l["outcome"] == "duplicate");
    assert_eq!(duplicates.count(), 3);
    assert_eq!(room.state(), state);
}

#[test]
fn the_same_file_under_a_name_that_fits_is_still_taken_in() {
    let room = Room::new();
    room.roster(&["Bo Reed"]);
    let run = table(after(1), 1_200, 3.5, Some(170));
    let _ = room.write("day/activity 1.csv", &run);
    let _ = room.write("day/bo reed.csv", &run);
    let day = room.folder("day");
    let lines = room.json(&["read", &day, "--test", "20"]);
    assert_eq!(lines[0]["outcome"], "unmatched");
    assert_eq!(lines[1]["outcome"], "taken in");
}

#[test]
fn whatever_cannot_be_read_leaves_the_library_as_it_was() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let good = room.write("ada stone.csv", table(after(1), 1_200, 4.0, Some(160)));
    let _ = room.json(&["read", &good, "--test", "20"]);
    let _ = room.done(&["confirm"]);
    let state = room.state();
    for (name, bytes, words) in unreadable() {
        let file = room.write(&format!("Ada Stone {name}"), bytes);
        let ran = room.run(&["read", &file, "--test", "20", "--json"]);
        shape::read().check(&ran.json());
        assert_eq!(ran.json()[0]["outcome"], "refused", "{name}");
        ran.refused(&[&file, words]);
    }
    // somebody nobody knows, a path that is not there, a folder without files, a day yet to come
    let other = room.write("other.csv", table(after(2), 1_200, 4.1, Some(160)));
    room.run(&["read", &other, "--test", "20", "--athlete", "Cy Nobody"])
        .refused(&["Cy Nobody", "roster"]);
    room.run(&["read", &other, "--test", "20"]).refused(&["other.csv", "alias"]);
    room.run(&["read", &other, "--athlete", "Ada Stone"]).refused(&["other.csv", "5, 20 or 40"]);
    room.run(&["read", "missing", "--test", "20"]).refused(&["missing", "no such file"]);
    let empty = room.folder("empty");
    room.run(&["read", &empty, "--test", "20"]).refused(&["no file"]);
    let future =
        room.write("ada stone f.csv", table("2199-01-01".parse().unwrap(), 1_200, 4.1, None));
    room.run(&["read", &future, "--test", "20"]).refused(&["1 January 2199", "clock"]);
    assert_eq!(room.state(), state);
}

#[test]
fn a_measured_distance_counts_instead_of_the_recording_s_own() {
    // 20 min at 4.0 m/s are 4,800 m in the table; a course says 4,900 (arithmetic: 4.0833 m/s)
    let room = Room::new();
    let run = table(after(0), 1_200, 4.0, Some(160));
    let file = room.write("ada stone.csv", &run);
    let own = room.json(&["assess", &file, "--test", "20"]);
    assert_eq!(own[0]["recording"]["distance_source"], "device");
    near(&own[0]["effort"]["distance_m"], 4_800.0, 1e-3);
    let measured = room.json(&["assess", &file, "--test", "20", "--measured", "4900 m"]);
    shape::assess().check(&measured);
    assert_eq!(measured[0]["recording"]["distance_source"], "entered");
    near(&measured[0]["effort"]["distance_m"], 4_900.0, 1e-9);
    near(&measured[0]["effort"]["mean_speed_m_per_s"], 4_900.0 / 1_200.0, 1e-3);
    for text in ["far", "6 laps of River loop", "12 laps", "treadmill fast", "lane 12"] {
        room.run(&["assess", &file, "--test", "20", "--measured", text]).refused(&[]);
    }
    room.run(&["assess", &file, &file, "--test", "20", "--measured", "4900 m"])
        .refused(&["one file"]);

    // in the library it counts as well, and for one file only
    room.roster(&["Ada Stone", "Bo Reed"]);
    let _ = room.write("day/ada stone.csv", &run);
    let _ = room.write("day/bo reed.csv", table(after(0), 1_200, 3.5, Some(160)));
    let day = room.folder("day");
    room.run(&["read", &day, "--test", "20", "--measured", "4900 m"]).refused(&["one file"]);
    let _ = room.done(&["course", "River loop, 850 m, trail"]);
    assert!(room.done(&["course"]).contains("River loop: 850 m, trail"));
    let laps = "5 laps 650 of River loop";
    let _ = room.done(&["read", &file, "--test", "20", "--measured", laps]);
    let again = room.run(&["read", &file, "--test", "20"]);
    again.refused(&["read before"]);
}

#[test]
fn a_clock_without_a_date_is_asked_for_the_day_and_read_with_it() {
    let room = Room::new();
    room.roster(&["Ada Stone"]);
    let rows: Vec<String> = (0..=1_200_u32)
        .map(|second| format!("{second},{},{}", 4 * second, 160 + second / 10 % 3))
        .collect();
    let run = format!("time,distance,heart_rate\n{}\n", rows.join("\n"));
    let file = room.write("ada stone.csv", run);
    let state = room.state();
    room.run(&["read", &file, "--test", "20"]).refused(&["ada stone.csv", "which day"]);
    room.run(&["read", &file, "--test", "20", "--day", "2199-01-01"])
        .refused(&["1 January 2199", "yet to come"]);
    assert_eq!(room.state(), state);
    let lines = room.json(&["read", &file, "--test", "20", "--day", "2026-09-03"]);
    shape::read().check(&lines);
    assert_eq!(lines[0]["outcome"], "taken in");
    assert!(room.done(&["confirm"]).contains("3 September 2026"));
}
