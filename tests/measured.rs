//! A measured distance and the edges it was measured for: no pace may be wrong in silence when the
//! edges move. What the recording says between two times is worked out here from how it was made.

use std::fmt::Write as _;
use std::path::Path;

use pacewright_core::effort::{Edge, FoundBy};
use pacewright_core::recording::Span;
use pacewright_core::remark::{Finding, Use};
use pacewright_core::test::{Evidence, Test, TestKind};
use pacewright_core::units::Seconds;
use pacewright_desk::Desk;
use pacewright_desk::book;
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::history::undo;
use pacewright_desk::measured::{measure, measured_as};
use pacewright_desk::read_in::{Incoming, Outcome, Said, take_in};
use pacewright_desk::roster::{parse, take_in_rows};
use pacewright_desk::trace::{self, Judged, Recorded};
use pacewright_store::{Act, Change, Library};

use crate::squad::{Squad, day, noon};

const ADA: &str = "name,screening\nAda Stone,cleared 2026-09-01\n";
/// Easy running before and after the test: so long, and so fast.
const EASY_S: u32 = 600;
const EASY_M_PER_S: f64 = 2.5;
const FAST_M_PER_S: f64 = 4.2;

/// Metres run until a second.
fn metre(kind: TestKind, second: f64) -> f64 {
    let (before, fast) = (f64::from(EASY_S), kind.length_s());
    EASY_M_PER_S * second.min(before)
        + FAST_M_PER_S * (second - before).clamp(0.0, fast)
        + EASY_M_PER_S * (second - before - fast).max(0.0)
}

/// An easy run with a test in its middle, as a table.
fn table(kind: TestKind) -> Vec<u8> {
    let mut text = "time,distance,heart_rate\n".to_owned();
    let start = day(3).and_hms_opt(9, 0, 0).unwrap();
    for second in 0..=2 * EASY_S + kind.minutes() * 60 {
        let time = start + chrono::TimeDelta::seconds(i64::from(second));
        let beats = 160 + second / 10 % 3;
        let metre = metre(kind, f64::from(second));
        writeln!(text, "{},{metre},{beats}", time.format("%Y-%m-%dT%H:%M:%SZ")).unwrap();
    }
    text.into_bytes()
}

fn seconds(s: f64) -> Seconds {
    Seconds::from_s(s).unwrap()
}

fn opened(squad: &Squad, test: &Test) -> Recorded {
    trace::open(&squad.desk, test.id).unwrap().recorded.unwrap()
}

fn elsewhere(judged: &Judged) -> bool {
    judged.remarks.iter().any(|r| matches!(r.finding, Finding::MeasuredElsewhere { .. }))
}

fn off(judged: &Judged, metres: f64) -> f64 {
    (judged.performance.distance.m() - metres).abs()
}

#[test]
fn what_was_measured_follows_no_edge_but_a_belt_runs_on() {
    for kind in TestKind::ALL {
        let squad = Squad::of(ADA);
        let line = squad.reads_file("ada stone.csv", table(kind), kind, 3);
        assert_eq!(line.outcome, Outcome::TakenIn, "{line:?}");
        let test = squad.page("Ada Stone").tests.remove(0);
        let length = kind.length_s();
        let laps = format!("{} laps", (4.1 * length / 400.0).floor());
        for (text, metres) in [
            (format!("{laps} 100 in lane 1"), (4.1 * length / 400.0).floor() * 400.0 + 100.0),
            (format!("{} m", 4.1 * length), 4.1 * length),
            ("treadmill 14.4 km/h".to_owned(), 4.0 * length),
        ] {
            let typed = measured_as(&squad.desk, &text).unwrap();
            let _measured = measure(&squad.desk, test.id, Some(typed), None, &noon(3)).unwrap();
            let recorded = opened(&squad, &test);
            // lane 1 is 400 m but for millimetres
            assert!(off(&recorded.kept, metres) < 0.2 && !elsewhere(&recorded.kept), "{text}");
            let found = recorded.kept.effort.span;
            for (edge, to) in [
                (Edge::Start, found.from.s() + 40.0),
                (Edge::End, found.to.s() + 40.0),
                (Edge::End, found.to.s() - 1.0),
            ] {
                let span = recorded.moved(found, edge, seconds(to)).unwrap();
                let moved = recorded.judge_at(span).unwrap();
                if text.contains("treadmill") {
                    assert!(off(&moved, 4.0 * span.length_s()) < 1e-6 && !elsewhere(&moved));
                    continue;
                }
                // the recording's own between these edges, and that it is so is said
                let own = metre(kind, span.to.s()) - metre(kind, span.from.s());
                assert!(off(&moved, own) < 0.01, "{text}: {:?} for {own}", moved.performance);
                assert!(elsewhere(&moved) && moved.good_for != Use::Usable, "{text}");
                let length = moved.performance.duration.s();
                assert!((length - span.length_s()).abs() < 1e-9);
            }
            let back = recorded.judge_at(found).unwrap();
            assert!(off(&back, metres) < 0.2 && !elsewhere(&back), "{text}");
        }
    }
}

#[test]
fn a_distance_entered_where_the_edges_stand_keeps_them_and_counts_there() {
    let squad = Squad::of(ADA);
    let kind = TestKind::FortyMinutes;
    let _line = squad.reads_file("ada stone.csv", table(kind), kind, 3);
    let test = squad.page("Ada Stone").tests.remove(0);
    let typed = |text: &str| Some(measured_as(&squad.desk, text).unwrap());
    let _test = measure(&squad.desk, test.id, typed("10000 m"), None, &noon(3)).unwrap();
    let recorded = opened(&squad, &test);
    let found = recorded.kept.effort.span;
    let moved = recorded.moved(found, Edge::End, seconds(found.to.s() - 60.0)).unwrap();
    let at = Some((moved, FoundBy::ByHand));
    let kept = measure(&squad.desk, test.id, typed("9750 m"), at, &noon(3)).unwrap();
    assert!((kept.performance.distance.m() - 9_750.0).abs() < 1e-9);
    assert!((kept.performance.duration.s() - 2_340.0).abs() < 1e-9);
    let Evidence::Recorded { span, found_by, .. } = kept.evidence else { panic!("{kept:?}") };
    assert_eq!((span, found_by), (moved, FoundBy::ByHand));
    let recorded = opened(&squad, &test);
    assert!(off(&recorded.kept, 9_750.0) < 1e-9 && !elsewhere(&recorded.kept));
    // at the edges that were found it is not what was measured
    assert!(elsewhere(&recorded.judge_at(found).unwrap()));
    // and without it the moved edges stay, with the recording's own distance
    let own = measure(&squad.desk, test.id, None, at, &noon(3)).unwrap();
    let expected = metre(kind, moved.to.s()) - metre(kind, moved.from.s());
    assert!((own.performance.distance.m() - expected).abs() < 0.01);
    assert_eq!(own.evidence, kept.evidence);
}

#[test]
fn a_test_decided_with_its_edges_elsewhere_stands_on_the_recording_and_stays_remarked() {
    let squad = Squad::of(ADA);
    let kind = TestKind::TwentyMinutes;
    let _line = squad.reads_file("ada stone.csv", table(kind), kind, 3);
    let test = squad.page("Ada Stone").tests.remove(0);
    let typed = measured_as(&squad.desk, "5000 m").unwrap();
    let _test = measure(&squad.desk, test.id, Some(typed), None, &noon(3)).unwrap();
    let opened_test = trace::open(&squad.desk, test.id).unwrap();
    let recorded = opened_test.recorded.as_ref().unwrap();
    let found = recorded.kept.effort.span;
    let span = recorded.moved(found, Edge::Start, seconds(found.from.s() - 30.0)).unwrap();
    let moved = recorded.judge_at(span).unwrap();
    let decided = Decided {
        test: opened_test.with_effort(&moved),
        choice: Choice::NewZones,
        reason: Some("the whistle came early".to_owned()),
        good_for: moved.good_for,
    };
    let _outcomes = decide(&squad.desk, &squad.book(), vec![decided], &noon(3)).unwrap();
    let page = squad.page("Ada Stone");
    let own = metre(kind, span.to.s()) - metre(kind, span.from.s());
    assert!((page.tests[0].performance.distance.m() - own).abs() < 0.01, "{:?}", page.tests);
    let judged = book::judged(&squad.desk, &page).unwrap();
    let told = |f: &Finding| matches!(f, Finding::MeasuredElsewhere { recorded: true, .. });
    assert!(judged[&test.id].iter().any(|r| told(&r.finding)), "{judged:?}");
}

#[test]
fn without_a_distance_of_its_own_a_moved_stretch_has_none_that_counts() {
    let squad = Squad::of(ADA);
    let mut rows = "time,heart_rate\n".to_owned();
    let start = day(3).and_hms_opt(9, 0, 0).unwrap();
    for second in 0..=2_430_u32 {
        let time = start + chrono::TimeDelta::seconds(i64::from(second));
        writeln!(rows, "{},{}", time.format("%Y-%m-%dT%H:%M:%SZ"), 150 + second % 3).unwrap();
    }
    let measured = Some(measured_as(&squad.desk, "9000 m").unwrap());
    let said = Said { kind: Some(TestKind::FortyMinutes), measured, ..Said::default() };
    let bytes = rows.into_bytes();
    let file = Incoming { path: "ada stone.csv".into(), bytes, said };
    let line = take_in(&squad.desk, vec![file], &noon(3)).unwrap().remove(0);
    assert_eq!(line.outcome, Outcome::TakenIn, "{line:?}");
    let test = squad.page("Ada Stone").tests.remove(0);
    let recorded = opened(&squad, &test);
    let found = recorded.kept.effort.span;
    assert!(off(&recorded.kept, 9_000.0) < 1e-6 && (found.length_s() - 2_430.0).abs() < 1e-6);
    let span = recorded.moved(found, Edge::End, seconds(2_400.0)).unwrap();
    let moved = recorded.judge_at(span).unwrap();
    assert!(elsewhere(&moved) && moved.good_for == Use::Unusable, "{:?}", moved.remarks);
    // until it is said how far it was between these edges
    let typed = Some(measured_as(&squad.desk, "8890 m").unwrap());
    let at = Some((span, FoundBy::ByHand));
    let _test = measure(&squad.desk, test.id, typed, at, &noon(3)).unwrap();
    let kept = opened(&squad, &test).kept;
    assert!(off(&kept, 8_890.0) < 1e-9 && !elsewhere(&kept));
    assert_eq!(kept.effort.span, Span { from: seconds(0.0), to: seconds(2_400.0) });
}

/// A library with a test of 5,000 m kept as it was before: without its stretch.
fn old_form(path: &Path) -> Test {
    let desk = Desk::open(Some(path)).unwrap();
    let (roster, _) = parse(ADA).unwrap();
    let _added = take_in_rows(&desk, roster, &noon(0)).unwrap();
    let kind = TestKind::TwentyMinutes;
    let said = Said { kind: Some(kind), ..Said::default() };
    let file = Incoming { path: "ada stone.csv".into(), bytes: table(kind), said };
    let _lines = take_in(&desk, vec![file], &noon(3)).unwrap();
    desk.close().unwrap();
    // as it stood in libraries before
    let mut library = Library::open(path).unwrap();
    let test = library.tests().unwrap().remove(0);
    let Evidence::Recorded { recording, .. } = test.evidence else { panic!("{test:?}") };
    let name = format!("measured/{}", recording.0);
    let changes = vec![Change::PutSetting { name, value: "{\"distance\":5000.0}".to_owned() }];
    let what = "Enter a distance".to_owned();
    let _done = library.act(&Act { what, at: noon(3).instant, changes }).unwrap();
    test
}

#[test]
fn what_was_kept_without_its_stretch_is_that_of_the_effort_the_test_has() {
    let room = tempfile::TempDir::new().unwrap();
    let path = room.path().join("club.pacewright");
    let test = old_form(&path);
    let desk = Desk::open(Some(&path)).unwrap();
    let recorded = trace::open(&desk, test.id).unwrap().recorded.unwrap();
    assert!(off(&recorded.kept, 5_000.0) < 1e-9 && !elsewhere(&recorded.kept));
    let found = recorded.kept.effort.span;
    let span = recorded.moved(found, Edge::End, seconds(found.to.s() + 20.0)).unwrap();
    assert!(elsewhere(&recorded.judge_at(span).unwrap()));
}

#[test]
fn what_was_kept_without_its_stretch_keeps_it_where_a_decision_moves_the_edges() {
    let room = tempfile::TempDir::new().unwrap();
    let path = room.path().join("club.pacewright");
    let test = old_form(&path);
    let desk = Desk::open(Some(&path)).unwrap();
    let opened = trace::open(&desk, test.id).unwrap();
    let recorded = opened.recorded.as_ref().unwrap();
    let found = recorded.kept.effort.span;
    let span = recorded.moved(found, Edge::End, seconds(found.to.s() + 20.0)).unwrap();
    let judged = recorded.judge_at(span).unwrap();
    let decided = Decided {
        test: opened.with_effort(&judged),
        choice: Choice::NewZones,
        reason: Some("the whistle came late".to_owned()),
        good_for: judged.good_for,
    };
    let book = book::open(&desk).unwrap();
    let _outcomes = decide(&desk, &book, vec![decided], &noon(3)).unwrap();
    desk.close().unwrap();
    let desk = Desk::open(Some(&path)).unwrap();
    let recorded = trace::open(&desk, test.id).unwrap().recorded.unwrap();
    let kind = TestKind::TwentyMinutes;
    let own = metre(kind, span.to.s()) - metre(kind, span.from.s());
    assert_eq!(recorded.kept.effort.span, span);
    assert!(off(&recorded.kept, own) < 0.01 && elsewhere(&recorded.kept), "{:?}", recorded.kept);
    // between the edges it was measured for it still counts
    let back = recorded.judge_at(found).unwrap();
    assert!(off(&back, 5_000.0) < 1e-9 && !elsewhere(&back));
    // and one step takes the decision and the stretch back
    let _undone = undo(&desk).unwrap();
    let recorded = trace::open(&desk, test.id).unwrap().recorded.unwrap();
    assert!(off(&recorded.kept, 5_000.0) < 1e-9 && !elsewhere(&recorded.kept));
}

#[test]
fn an_edge_that_comes_back_to_parts_of_a_second_stands_where_it_was_measured() {
    for kind in TestKind::ALL {
        let squad = Squad::of(ADA);
        let _line = squad.reads_file("ada stone.csv", table(kind), kind, 3);
        let test = squad.page("Ada Stone").tests.remove(0);
        let found = opened(&squad, &test).kept.effort.span;
        let shifted = |by: f64| seconds(found.from.s() + by);
        let at = Span { from: shifted(0.6), to: seconds(found.to.s() + 0.6) };
        let typed = measured_as(&squad.desk, &format!("{} m", 4.0 * kind.length_s())).unwrap();
        let by_hand = Some((at, FoundBy::ByHand));
        let _test = measure(&squad.desk, test.id, Some(typed), by_hand, &noon(3)).unwrap();
        let recorded = opened(&squad, &test);
        let away = recorded.moved(at, Edge::Start, shifted(10.0)).unwrap();
        assert!(elsewhere(&recorded.judge_at(away).unwrap()));
        // a drag gives whole seconds
        let back = recorded.moved(away, Edge::Start, shifted(1.0)).unwrap();
        assert_eq!(back, at);
        assert!(!elsewhere(&recorded.judge_at(back).unwrap()));
        // and a step of a second leaves it again
        let step = recorded.moved(at, Edge::Start, shifted(1.6)).unwrap();
        assert!((step.from.s() - shifted(1.6).s()).abs() < 1e-9, "{step:?}");
    }
}

#[test]
fn what_the_checks_say_follows_what_is_measured_where_the_test_stays_the_same() {
    let squad = Squad::of(ADA);
    let kind = TestKind::TwentyMinutes;
    let _line = squad.reads_file("ada stone.csv", table(kind), kind, 3);
    let test = squad.page("Ada Stone").tests.remove(0);
    let measured = |text: &str| {
        let typed = Some(measured_as(&squad.desk, text).unwrap());
        measure(&squad.desk, test.id, typed, None, &noon(3)).unwrap()
    };
    // 15 km/h for 20 minutes
    assert_eq!(measured("5000 m"), measured("treadmill 15 km/h"), "the same to the last bit");
    let belt = || {
        let page = squad.page("Ada Stone");
        let judged = book::judged(&squad.desk, &page).unwrap();
        judged[&test.id].iter().any(|r| matches!(r.finding, Finding::Treadmill { .. }))
    };
    assert!(belt());
    let _undone = undo(&squad.desk).unwrap();
    assert!(!belt());
}
