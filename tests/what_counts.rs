//! What is said of runs that are not the test they are read as: windows that hold a walk or a cool-down,
//! 40 minutes with no target, heat, and sensors; and what then counts.

use std::fmt::Write as _;

use chrono::TimeDelta;
use pacewright_core::assess::assess;
use pacewright_core::athlete::Sensor;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::recording::Recording;
use pacewright_core::remark::{BearsOn, Code, Finding, Remark, Severity, Use};
use pacewright_core::test::TestKind::{self, FiveMinutes, FortyMinutes, TwentyMinutes};
use pacewright_core::units::{Origin, UnitSystem};
use pacewright_core::words;
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::enter::enter;
use pacewright_desk::people::{EvidenceForm, Field, Subject};
use pacewright_desk::plan::why_not;
use pacewright_desk::read_in::{Incoming, Outcome, Said, take_in};

use crate::squad::{Squad, day, noon};

const ADA: &str = "name;screening\nAda Stone;cleared 2026-08-20\n";

/// A leg of a run: seconds, metres a second, the heart rate it tends to.
type Leg = (u32, f64, f64);

/// A run of legs as a table, a row a second; the heart follows with the published time constant of
/// 57.6 s (Hunt 2015). After `pause.0` seconds the watch stands still for `pause.1`.
fn run(after: u64, legs: &[Leg], pause: Option<(u32, u32)>) -> Vec<u8> {
    let start = day(after).and_hms_opt(9, 0, 0).unwrap();
    let mut text = "time,distance,heart_rate\n".to_owned();
    let (mut clock, mut run_s, mut metres, mut beats) = (0_u32, 0, 0.0, 95.0);
    for (seconds, speed, towards) in legs {
        for _ in 0..*seconds {
            clock += pause.filter(|(at, _)| *at == run_s).map_or(0, |(_, still_s)| still_s);
            let time = (start + TimeDelta::seconds(i64::from(clock))).format("%Y-%m-%dT%H:%M:%SZ");
            // one beat up, one down: a rate that never changes would be a fault
            let shown = beats + f64::from(run_s / 10 % 3) - 1.0;
            writeln!(text, "{time},{metres:.2},{shown:.0}").unwrap();
            metres += speed;
            beats += (towards - beats) / 57.6;
            clock += 1;
            run_s += 1;
        }
    }
    text.into_bytes()
}

fn read(squad: &Squad, bytes: Vec<u8>, kind: TestKind, after: u64) -> Vec<Remark> {
    let line = squad.reads_file("ada stone.csv", bytes, kind, after);
    assert_eq!(line.outcome, Outcome::TakenIn, "{:?}", line.reason);
    let page = squad.page("Ada Stone");
    let newest = page.tests.iter().max_by_key(|test| test.id).unwrap();
    page.judged[&newest.id].clone()
}

fn said(remarks: &[Remark]) -> String {
    remarks.iter().map(|r| words::remark(r, UnitSystem::Kilometres) + "\n").collect()
}

fn has(remarks: &[Remark], code: Code) -> bool {
    remarks.iter().any(|r| r.finding.code() == code)
}

#[test]
fn a_window_that_runs_into_the_cool_down_is_doubtful_for_pace_and_heart_rate() {
    // stopped for 46 s after 9 of the 20 minutes: 11 minutes and the cool-down are the longest without
    let legs = [(720, 2.6, 125.0), (120, 1.2, 105.0), (1_200, 3.4, 152.0), (600, 2.3, 120.0)];
    let remarks = read(&Squad::of(ADA), run(1, &legs, Some((1_400, 46))), TwentyMinutes, 1);
    let text = said(&remarks);
    assert_eq!(
        words::worth(&remarks, Use::of(&remarks)),
        "doubtful for pace and heart rate",
        "{text}"
    );
    assert!(text.contains("it is not 20 minutes of one effort"), "{text}");
    assert!(!text.contains("start slower") && !text.contains("start faster"), "{text}");
    assert!(!has(&remarks, Code::HeartRateLag), "{text}");
}

#[test]
fn a_window_that_begins_with_a_walk_is_no_effort_held_back() {
    let legs = [(720, 2.6, 125.0), (120, 1.2, 105.0), (1_020, 4.3, 172.0)];
    let remarks = read(&Squad::of(ADA), run(1, &legs, None), TwentyMinutes, 1);
    let text = said(&remarks);
    assert!(text.contains("The first 3:00 of this stretch"), "{text}");
    assert!(!has(&remarks, Code::FinishSprint) && !text.contains("start slower"), "{text}");
    let step = remarks.iter().find(|r| matches!(r.finding, Finding::TwoSpeeds { .. })).unwrap();
    assert_eq!((step.severity, step.bears_on), (Severity::Check, None));
}

#[test]
fn the_advice_on_pacing_follows_the_quarters() {
    let paced = |first: f64, last: f64| {
        let quarter = |share: f64| (300, 4.2 * share, 170.0);
        let legs = [
            (600, 2.4, 125.0),
            quarter(first),
            quarter(1.0),
            quarter(1.0),
            quarter(last),
            (600, 2.4, 120.0),
        ];
        said(&read(&Squad::of(ADA), run(1, &legs, None), TwentyMinutes, 1))
    };
    assert!(paced(1.08, 0.94).contains("start slower next time"));
    let slow_start = paced(0.92, 1.03);
    assert!(slow_start.contains("start faster next time"), "{slow_start}");
    assert!(paced(1.07, 1.07).contains("hold one pace next time"));
    // minutes apart within quarters alike, as over hills: nothing is said of the pacing
    let hills: Vec<_> = (0..20).map(|m| (60, if m % 2 == 0 { 3.8 } else { 4.4 }, 170.0)).collect();
    let legs = [vec![(600, 2.4, 125.0)], hills, vec![(600, 2.4, 120.0)]].concat();
    let told = said(&read(&Squad::of(ADA), run(1, &legs, None), TwentyMinutes, 1));
    assert!(told.contains("The quarters are alike") && !told.contains("An evenly run"), "{told}");
}

#[test]
fn a_slow_start_alone_is_no_sprint_at_the_end() {
    let slow = [(600, 2.4, 125.0), (400, 3.7, 165.0), (800, 4.4, 172.0), (600, 2.4, 120.0)];
    let remarks = read(&Squad::of(ADA), run(1, &slow, None), TwentyMinutes, 1);
    assert!(!has(&remarks, Code::FinishSprint), "{}", said(&remarks));
    let held_back = [(600, 2.4, 125.0), (1_140, 4.0, 165.0), (60, 4.6, 172.0), (600, 2.4, 120.0)];
    let remarks = read(&Squad::of(ADA), run(1, &held_back, None), TwentyMinutes, 1);
    assert!(has(&remarks, Code::FinishSprint), "{}", said(&remarks));
}

#[test]
fn the_lag_of_the_heart_is_the_difference_of_the_numbers_shown() {
    let lag = |mean: f64, settled: f64| {
        let by_bpm = settled - mean;
        let finding = Finding::HeartRateLag { settled_bpm: settled, by_bpm };
        said(&[Remark::new(finding, Severity::Note, BearsOn::HeartRate)])
    };
    // shown beside a mean of 171
    assert!(lag(171.4, 184.6).contains("is 185, 14 beats higher"));
    assert!(lag(170.6, 172.4).contains("is 172, 1 beat higher"));
}

#[test]
fn forty_minutes_with_no_target_wait_and_give_an_estimate_once_accepted() {
    let squad = Squad::of(ADA);
    squad.reads("ada stone", FortyMinutes, 1, 3.4, 150.0);
    let confirmed = squad.confirms(1);
    assert_eq!((confirmed[0].accepted.len(), confirmed[0].left.len()), (0, 1));
    let why = &confirmed[0].left[0].reason;
    assert!(why.contains("its pace need not be LT1 pace"), "{why}");
    let accepted = Decided {
        test: squad.page("Ada Stone").tests[0].clone(),
        choice: Choice::NewZones,
        reason: Some("held at an easy talking pace".to_owned()),
        good_for: Use::Doubtful,
    };
    let _outcome = decide(&squad.desk, &squad.book(), vec![accepted], &noon(1)).unwrap();
    let zones = squad.zones("Ada Stone", 1).unwrap();
    assert_eq!(zones.markers.lt1.speed.unwrap().origin, Origin::Estimated);
    assert_eq!(zones.basis.len(), 1, "and yet the test stands behind it");
    // what it was held at is no target, of itself or of the next
    assert_eq!(forty_minute_target(&zones.markers), None);
    let remarks = read(&squad, run(60, &[(2_400, 3.5, 150.0)], None), FortyMinutes, 60);
    assert!(has(&remarks, Code::TargetUnknown), "{}", said(&remarks));
}

/// Judgement: on such medication a heart rate says nothing of LT1, so no test can give a target, and the
/// 40-minute test goes by talk.
#[test]
fn on_rate_lowering_medication_nobody_waits_for_a_heart_rate() {
    let squad = Squad::of("name;medication;screening\nAda Stone;yes;cleared 2026-08-20\n");
    let remarks = read(&squad, run(1, &[(2_400, 3.4, 130.0)], None), FortyMinutes, 1);
    assert!(has(&remarks, Code::TargetUnknown), "{}", said(&remarks));
    assert!(said(&remarks).contains("repeat it by talk test"), "{}", said(&remarks));
    assert!(!said(&remarks).contains("20-minute"), "{}", said(&remarks));
    let forty = || why_not(&squad.page("Ada Stone"), FortyMinutes, day(20), None, day(10));
    assert!(forty().unwrap().starts_with("The 20-minute test gives a pace to set out at"));
    squad.tested("ada stone twenty", 3, 4.3, 140.0);
    assert_eq!(forty(), None, "its pace is all there is to be had");
}

#[test]
fn a_twenty_minute_test_gives_the_target_once_it_counts_and_has_a_heart_rate() {
    let squad = Squad::of(ADA);
    let forty =
        |squad: &Squad| why_not(&squad.page("Ada Stone"), FortyMinutes, day(20), None, day(10));
    let first = "The 20-minute test gives its target heart rate";
    squad.reads("ada stone", TwentyMinutes, 1, 4.3, 168.0);
    assert!(forty(&squad).unwrap().starts_with(first), "one that waits");
    assert_eq!(squad.confirms(2).len(), 1);
    assert_eq!(forty(&squad), None);
    // without a heart rate it gives none
    let without = Squad::of(ADA);
    let start = day(1).and_hms_opt(9, 0, 0).unwrap();
    let mut text = "time,distance\n".to_owned();
    for second in 0..=1_200 {
        let time = (start + TimeDelta::seconds(second)).format("%Y-%m-%dT%H:%M:%SZ");
        writeln!(text, "{time},{:.2}", 4.3 * second as f64).unwrap();
    }
    let remarks = read(&without, text.into_bytes(), TwentyMinutes, 1);
    let accepted = Decided {
        test: without.page("Ada Stone").tests[0].clone(),
        choice: Choice::NewZones,
        reason: Some("pace alone".to_owned()),
        good_for: Use::of(&remarks),
    };
    let _outcome = decide(&without.desk, &without.book(), vec![accepted], &noon(1)).unwrap();
    assert!(forty(&without).unwrap().starts_with(first), "one without a heart rate");
}

#[test]
fn a_target_known_since_is_looked_at_anew() {
    let squad = Squad::of(ADA);
    squad.tested("ada stone", 1, 4.3, 168.0);
    // 168 x 0.95 x 0.95 = 151.6
    let remarks = read(&squad, run(9, &[(2_400, 3.4, 152.0)], None), FortyMinutes, 9);
    assert!(!has(&remarks, Code::TargetUnknown), "{}", said(&remarks));
    // the 20-minute test was read after the 40-minute test, and was run before it
    let late = Squad::of(ADA);
    let remarks = read(&late, run(9, &[(2_400, 3.4, 152.0)], None), FortyMinutes, 9);
    assert!(has(&remarks, Code::TargetUnknown));
    late.reads("ada stone", TwentyMinutes, 1, 4.3, 168.0);
    let page = late.page("Ada Stone");
    let forty = page.tests.iter().find(|test| test.kind == FortyMinutes).unwrap();
    assert!(!has(&page.judged[&forty.id], Code::TargetUnknown));
}

#[test]
fn heat_that_was_noted_is_told_on_its_test() {
    let squad = Squad::of(ADA);
    squad.reads("ada stone", TwentyMinutes, 1, 4.3, 168.0);
    let test = squad.page("Ada Stone").tests[0].id;
    let told = |air: &str, humidity: &str| {
        let noted = EvidenceForm::new(Subject::Conditions(test), day(1))
            .with(Field::Air, air)
            .with(Field::Humidity, humidity);
        let _noted = enter(&squad.desk, "Ada Stone", &noted, false, &noon(1)).unwrap();
        let page = squad.page("Ada Stone");
        let remarks = page.judged[&test].clone();
        let heat = remarks.into_iter().find(|r| r.finding.code() == Code::Heat);
        (heat.map(|heat| heat.severity), page.good_for(&page.tests[0]))
    };
    // worked by hand from 0.567 T + 0.393 e + 3.94 (from memory): 13.5, 19.9, 25.3 and 29.3
    assert_eq!(told("12", "50 %"), (None, Use::Usable));
    assert_eq!(told("20", "50 %"), (Some(Severity::Note), Use::Usable));
    assert_eq!(told("26", "50 %"), (Some(Severity::Check), Use::Doubtful));
    assert_eq!(told("30", "50 %"), (Some(Severity::Check), Use::Doubtful));
}

#[test]
fn no_remark_on_heart_rate_presumes_a_strap_or_has_a_test_repeated_for_it() {
    let lock =
        |left_out| Finding::CadenceLock { steps_per_minute: 176.0, lasted_s: 90.0, left_out };
    let findings = [
        Finding::HeartRateMissing { present_share: 0.0 },
        Finding::HeartRateMissing { present_share: 0.6 },
        Finding::HeartRateImplausible { worst_bpm: 250.0 },
        Finding::HeartRateStep { by_bpm: 30.0 },
        Finding::HeartRateDropout { by_bpm: 40.0, lasted_s: 30.0 },
        Finding::HeartRateFlat { lasted_s: 70.0 },
        Finding::HeartRateFlat { lasted_s: 120.0 },
        lock(true),
        lock(false),
    ];
    for finding in findings {
        let text = said(&[Remark::new(finding, Severity::Check, BearsOn::HeartRate)]);
        assert!(!text.contains("strap") && !text.to_lowercase().contains("repeat the"), "{text}");
        assert!(!text.contains("the mean keeps it"), "{text}");
    }
    let wrist = said(&[Remark::new(Finding::WristSensor, Severity::Note, BearsOn::HeartRate)]);
    assert!(wrist.contains("next 20-minute test") && !wrist.contains("Repeat"), "{wrist}");
}

#[test]
fn a_wrist_only_the_file_tells_of_is_looked_at_where_its_heart_rate_sets_zones() {
    let legs = [(600, 2.4, 120.0), (1_200, 4.6, 175.0), (600, 2.4, 120.0)];
    let read = pacewright_recording::read(&run(1, &legs, None), "run.csv").unwrap();
    let mut parts = read.into_parts();
    parts.circumstances.heart_rate_sensor = Some(Sensor::Wrist);
    let recording = Recording::from_parts(parts).unwrap();
    for (kind, severity) in [(FiveMinutes, Severity::Note), (TwentyMinutes, Severity::Check)] {
        let remarks = assess(&recording, kind, None).unwrap().remarks;
        let sensor = remarks.iter().find(|r| r.finding.code() == Code::Sensor).unwrap();
        assert_eq!(sensor.severity, severity);
    }
}

#[test]
fn what_the_mean_leaves_out_is_not_suspected_besides() {
    // a sensor that counts steps and never changes: 88 strides a minute throughout
    let start = day(1).and_hms_opt(9, 0, 0).unwrap();
    let mut text = "time,distance,heart_rate,cadence\n".to_owned();
    for second in 0..=1_300 {
        let time = (start + TimeDelta::seconds(second)).format("%Y-%m-%dT%H:%M:%SZ");
        writeln!(text, "{time},{:.2},176,88", 4.3 * second as f64).unwrap();
    }
    let recording = pacewright_recording::read(text.as_bytes(), "run.csv").unwrap();
    let remarks = assess(&recording, TwentyMinutes, None).unwrap().remarks;
    assert!(has(&remarks, Code::HeartRateFlat) && !has(&remarks, Code::CadenceLock), "{remarks:?}");
}

#[test]
fn a_wrist_makes_no_five_minute_test_doubtful() {
    let squad = Squad::of("name;screening;sensor\nAda Stone;cleared 2026-08-20;wrist\n");
    let legs = [(600, 2.4, 120.0), (300, 4.6, 175.0), (600, 2.4, 120.0)];
    let remarks = read(&squad, run(1, &legs, None), FiveMinutes, 1);
    assert!(has(&remarks, Code::Sensor));
    assert_eq!(Use::of(&remarks), Use::Usable, "{}", said(&remarks));
}

#[test]
fn a_run_read_with_the_test_it_rests_on_is_told_by_the_target_that_gives() {
    let incoming = |bytes, kind| Incoming {
        path: "ada stone.csv".into(),
        bytes,
        said: Said { kind: Some(kind), ..Said::default() },
    };
    let twenty = incoming(run(1, &[(1_200, 4.5, 170.0)], None), TwentyMinutes);
    // 0.9025 of a mean near 166 is near 150 beats: this one is held at 130
    let forty = incoming(run(4, &[(2_400, 3.0, 130.0)], None), FortyMinutes);
    let told = |files: &[&Incoming]| {
        let squad = Squad::of(ADA);
        let files = files.iter().map(|file| (*file).clone()).collect();
        let lines = take_in(&squad.desk, files, &noon(5)).unwrap();
        assert!(lines.iter().all(|line| line.outcome == Outcome::TakenIn), "{lines:?}");
        let line = lines.into_iter().find(|line| line.kind == Some(FortyMinutes)).unwrap();
        let page = squad.page("Ada Stone");
        let test = page.tests.iter().find(|test| test.kind == FortyMinutes).unwrap();
        let says = page.judged[&test.id].first();
        assert_eq!(line.reason, says.map(|r| words::remark(r, UnitSystem::Kilometres)));
        line.reason.unwrap()
    };
    assert!(told(&[&forty]).contains("No LT1 heart rate was known"));
    // in whatever order the files lie
    for files in [[&twenty, &forty], [&forty, &twenty]] {
        let said = told(&files);
        assert!(said.contains("beats below") && !said.contains("No LT1 heart rate"), "{said}");
    }
}

#[test]
fn of_a_doubtful_run_that_two_devices_recorded_that_is_told_first() {
    let incoming = |path: &str, bytes, kind| Incoming {
        path: path.into(),
        bytes,
        said: Said { kind: Some(kind), ..Said::default() },
    };
    let squad = Squad::of(ADA);
    let twenty = run(1, &[(1_200, 4.5, 170.0)], None);
    // held 20 beats below the target, on both devices
    let on_one = run(4, &[(2_400, 3.0, 130.0)], None);
    let on_another = run(4, &[(2_400, 3.01, 130.0)], None);
    let files = vec![
        incoming("ada stone 40.csv", on_one, FortyMinutes),
        incoming("ada stone 40 again.csv", on_another, FortyMinutes),
        incoming("ada stone 20.csv", twenty, TwentyMinutes),
    ];
    let lines = take_in(&squad.desk, files, &noon(5)).unwrap();
    let page = squad.page("Ada Stone");
    let mut forty = page.tests.iter().filter(|test| test.kind == FortyMinutes);
    let kept = forty.find_map(|test| page.judged.get(&test.id)).unwrap();
    assert!(has(kept, Code::TargetMissed), "{kept:?}");
    for line in &lines[..2] {
        let said = line.reason.as_deref().unwrap_or_default();
        assert!(said.starts_with("Two devices recorded this effort"), "{lines:?}");
    }
}
