//! A whole test day's files at once: which test, two recordings of one effort, a test in two files,
//! clocks without a date, measured distances, duplicates, and a read that is stopped.

use std::cell::Cell;
use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

use chrono::TimeDelta;
use pacewright_core::ids::TestId;
use pacewright_core::remark::{Code, Finding, Remark, Use};
use pacewright_core::test::{Decision, Test, TestKind};
use pacewright_desk::book;
use pacewright_desk::decide::{self, Choice, Decided, decide};
use pacewright_desk::history::undo;
use pacewright_desk::job::{Cancel, Job};
use pacewright_desk::measured::{courses, measure, measured_as, name_course};
use pacewright_desk::read_in::{
    Ask, Asked, DayRead, Incoming, Outcome, ReadLine, Said, read_day, take_in,
};
use pacewright_desk::roster::{parse, take_in_rows};
use pacewright_desk::{Desk, trace};
use pacewright_store::Library;
use tempfile::TempDir;

use crate::squad::{Squad, day, noon, table};

use TestKind::{FiveMinutes, TwentyMinutes};

const ADA: &str = "name,screening,alias\nAda Stone,cleared 2026-09-01,watch 7\n";

/// A folder of files.
struct Day {
    squad: Squad,
    room: TempDir,
}

impl Day {
    fn of(roster: &str) -> Self {
        Self { squad: Squad::of(roster), room: TempDir::new().unwrap() }
    }

    fn file(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.room.path().join(name);
        fs::write(&path, bytes).unwrap();
        path
    }

    /// Reads a twenty-minute test.
    fn read_twenty(&self, asked: Asked) -> DayRead {
        self.read(Asked { kind: Some(TwentyMinutes), ..asked })
    }

    fn read(&self, asked: Asked) -> DayRead {
        let paths = if asked.paths.is_empty() {
            vec![self.room.path().to_owned()]
        } else {
            asked.paths.clone()
        };
        let asked = Asked { paths, ..asked };
        read_day(&self.squad.desk, &asked, &noon(3), &Job::unwatched()).unwrap()
    }

    fn tests(&self) -> Vec<Test> {
        self.squad.page("Ada Stone").tests
    }
}

/// A steady run from so many seconds after nine on; cells by column.
fn run(from_s: u32, seconds: u32, m_per_s: f64, bpm: Option<f64>, dated: bool) -> String {
    let start = day(3).and_hms_opt(9, 0, 0).unwrap() + TimeDelta::seconds(i64::from(from_s));
    let mut text = "time,distance,heart_rate\n".to_owned();
    for second in 0..=seconds {
        let time = if dated {
            let at = start + TimeDelta::seconds(i64::from(second));
            at.format("%Y-%m-%dT%H:%M:%SZ").to_string()
        } else {
            second.to_string()
        };
        let beats = bpm.map(|bpm| bpm + f64::from(second / 10 % 3) - 1.0);
        let beats = beats.map_or_else(String::new, |beats| beats.to_string());
        writeln!(text, "{time},{:.2},{beats}", f64::from(second) * m_per_s).unwrap();
    }
    text
}

#[test]
fn length_proposes_a_test_and_takes_none_in() {
    let day = Day::of(ADA);
    let _five = day.file("ada stone a.csv", run(0, 300, 4.6, Some(170.0), true));
    let _other = day.file("watch_7 b.csv", run(4_000, 900, 4.0, Some(160.0), true));
    let _whose = day.file("nobody.csv", run(9_000, 1_200, 4.0, Some(160.0), true));
    let read = day.read(Asked::default());
    assert!(read.lines.iter().all(|l| (l.outcome, l.kind) == (Outcome::Unmatched, None)));
    let told: Vec<_> = read.lines.iter().map(|l| (l.ask, l.proposed)).collect();
    assert_eq!(
        told,
        [(Some(Ask::Kind), Some(FiveMinutes)), (Some(Ask::Athlete), None), (Some(Ask::Kind), None),]
    );
    assert_eq!((read.left, read.stopped()), (0, None));
}

#[test]
fn of_two_recordings_of_one_effort_the_better_is_kept_and_it_is_said_why() {
    let day = Day::of(ADA);
    // the same twenty minutes by two devices: one without heart rate, started 5 s later
    let _first = day.file("ada stone 1.csv", run(5, 1_200, 4.2, None, true));
    let _second = day.file("ada stone 2.csv", run(0, 1_200, 4.2, Some(165.0), true));
    let _third = day.file("ada stone 3.csv", run(2, 1_200, 4.2, None, true));
    let lines = day.read_twenty(Asked::default()).lines;
    assert!(lines.iter().all(|line| line.outcome == Outcome::TakenIn), "{lines:?}");
    let reason = |index: usize| lines[index].reason.clone().unwrap();
    assert!(reason(0).contains("the other recording is kept because"), "{}", reason(0));
    assert!(reason(1).contains("this recording is kept because"), "{}", reason(1));
    assert!(reason(2).contains("the other recording is kept because"), "{}", reason(2));
    let tests = day.tests();
    let waiting: Vec<_> = tests.iter().filter(|t| t.decision == Decision::ToConfirm).collect();
    assert_eq!((tests.len(), waiting.len()), (3, 1));
    assert!(waiting[0].performance.mean_heart_rate.is_some());

    // a worse one that comes later is set aside too; the one that waits stays
    let late = day.file("ada stone 4.csv", run(1, 1_200, 4.2, None, true));
    let lines = day.read_twenty(Asked { paths: vec![late], ..Asked::default() }).lines;
    assert!(lines[0].reason.as_ref().unwrap().contains("the other recording is kept"));
    let stands = |t: &&Test| t.decision == Decision::ToConfirm;
    assert_eq!(day.tests().iter().filter(stands).count(), 1);
}

#[test]
fn that_two_devices_recorded_an_effort_is_known_however_often_the_library_is_opened() {
    let day = Day::of(ADA);
    let path = day.room.path().join("club.pacewright");
    let desk = Desk::open(Some(&path)).unwrap();
    let (rows, _) = parse(ADA).unwrap();
    let _added = take_in_rows(&desk, rows, &noon(0)).unwrap();
    let file = |name: &str, text: String| Incoming {
        path: PathBuf::from(name),
        bytes: text.into_bytes(),
        said: Said { kind: Some(TwentyMinutes), ..Said::default() },
    };
    let files = vec![
        file("ada stone 1.csv", run(5, 1_200, 4.2, None, true)),
        file("ada stone 2.csv", run(0, 1_200, 4.2, Some(165.0), true)),
    ];
    let lines = take_in(&desk, files, &noon(3)).unwrap();
    let told = |desk: &Desk| {
        let book = book::open(desk).unwrap();
        let page = book.of_athlete("Ada Stone").unwrap();
        let judged = book::judged(desk, page).unwrap();
        let second = |test: &Test| {
            let seen = |r: &Remark| match &r.finding {
                Finding::SecondRecording { kept, because } => Some((*kept, because.clone())),
                _ => None,
            };
            let (from_book, opened) = (
                judged[&test.id].iter().find_map(seen),
                trace::open(desk, test.id).unwrap().recorded.unwrap(),
            );
            assert_eq!(opened.kept.remarks.iter().find_map(seen), from_book);
            from_book
        };
        page.tests.iter().map(second).collect::<Vec<_>>()
    };
    let because = "more of it can be used".to_owned();
    let expected = [Some((false, because.clone())), Some((true, because))];
    assert_eq!(told(&desk), expected);
    assert!(lines[0].reason.as_ref().unwrap().contains("more of it can be used"), "{lines:?}");
    desk.close().unwrap();
    // what was only kept to save time is dropped
    let mut library = Library::open(&path).unwrap();
    library.clear_cache().unwrap();
    drop(library);
    let desk = Desk::open(Some(&path)).unwrap();
    assert_eq!(told(&desk), expected);
    // and where the coach takes the other one, both say so
    let book = book::open(&desk).unwrap();
    let page = book.of_athlete("Ada Stone").unwrap();
    let decided = |test: &Test, choice| Decided {
        test: test.clone(),
        choice,
        reason: Some("the strap was lent".to_owned()),
        good_for: Use::Doubtful,
    };
    let both =
        vec![decided(&page.tests[0], Choice::NewZones), decided(&page.tests[1], Choice::SetAside)];
    let _outcomes = decide(&desk, &book, both, &noon(3)).unwrap();
    let accepted = "you accepted it".to_owned();
    assert_eq!(told(&desk), [Some((true, accepted.clone())), Some((false, accepted))]);
}

#[test]
fn a_better_recording_that_comes_later_takes_the_place_of_the_first() {
    let day = Day::of(ADA);
    let first = day.file("ada stone 1.csv", run(0, 1_200, 4.2, None, true));
    let _read = day.read_twenty(Asked { paths: vec![first], ..Asked::default() });
    let second = day.file("ada stone 2.csv", run(3, 1_200, 4.2, Some(165.0), true));
    let lines = day.read_twenty(Asked { paths: vec![second], ..Asked::default() }).lines;
    assert!(lines[0].reason.as_ref().unwrap().contains("this recording is kept"), "{lines:?}");
    let tests = day.tests();
    let aside = tests.iter().find(|t| t.performance.mean_heart_rate.is_none()).unwrap();
    assert!(
        matches!(&aside.decision, Decision::SetAside { reason } if reason.contains("is kept")),
        "{:?}",
        aside.decision
    );
}

/// Two recordings of one effort by two devices, the first of them kept: the second is no better.
fn pair() -> (Day, Test, Test) {
    let day = Day::of(ADA);
    let _first = day.file("ada stone 1.csv", run(0, 1_200, 4.2, Some(165.0), true));
    let _second = day.file("ada stone 2.csv", run(2, 1_200, 4.3, Some(165.0), true));
    let _lines = day.read_twenty(Asked::default());
    let mut tests = day.tests();
    assert_eq!(tests.len(), 2);
    let (second, first) = (tests.remove(1), tests.remove(0));
    assert_eq!(first.decision, Decision::ToConfirm);
    assert!(matches!(second.decision, Decision::SetAside { .. }));
    (day, first, second)
}

impl Day {
    fn test(&self, id: TestId) -> Test {
        self.tests().into_iter().find(|test| test.id == id).unwrap()
    }

    fn accepts(&self, test: &Test, choice: Choice) -> decide::Outcome {
        let decided = Decided {
            test: test.clone(),
            choice,
            reason: Some("the better watch".to_owned()),
            good_for: Use::Usable,
        };
        let book = self.squad.book();
        decide(&self.squad.desk, &book, vec![decided], &noon(3)).unwrap().remove(0)
    }
}

#[test]
fn the_other_recording_of_an_effort_is_set_aside_with_the_decision_for_one() {
    for accepted_before in [false, true] {
        for choice in [Choice::NewZones, Choice::KeepZones] {
            let (day, first, second) = pair();
            if accepted_before {
                let _outcome = day.accepts(&first, Choice::NewZones);
            }
            let stood = day.test(first.id);
            let page = day.squad.page("Ada Stone");
            let foreseen = trace::consequence(&page, &second, &noon(3)).outcome.zones;
            let outcome = day.accepts(&second, choice);
            assert_eq!(outcome.others, 1);
            let Decision::SetAside { reason } = day.test(first.id).decision else {
                panic!("{:?}", day.test(first.id))
            };
            assert!(reason.contains("because you accepted it"), "{reason}");
            assert!(day.test(second.id).decision.is_accepted());
            assert_eq!(day.squad.confirms(3), [], "the other one does not wait");
            if choice == Choice::NewZones {
                let (zones, foreseen) = (outcome.zones.unwrap(), foreseen.unwrap());
                assert_eq!((&zones.zones, zones.basis.len()), (&foreseen.zones, 1));
            }
            let _undone = undo(&day.squad.desk).unwrap();
            assert_eq!(day.test(first.id), stood, "in one step");
            assert_eq!(day.test(second.id), second);
        }
    }
}

#[test]
fn of_two_recordings_of_one_effort_that_both_stand_none_is_accepted_with_all_that_is_usable() {
    let (day, first, second) = pair();
    // a distance typed for the one that was set aside brings it back
    let typed = measured_as(&day.squad.desk, "5100 m").unwrap();
    let _test = measure(&day.squad.desk, second.id, Some(typed), None, &noon(3)).unwrap();
    let page = day.squad.page("Ada Stone");
    for test in [first.id, second.id] {
        let remarks = &page.judged[&test];
        let twice = |r: &&Remark| r.finding == Finding::SecondRecordingStands;
        assert_eq!(remarks.iter().filter(twice).count(), 1, "{remarks:?}");
        assert_eq!(Use::of(remarks), Use::Doubtful);
        let opened = trace::open(&day.squad.desk, test).unwrap().recorded.unwrap();
        assert_eq!(opened.kept.remarks.iter().filter(twice).count(), 1);
        assert!(opened.kept.remarks.is_sorted_by(|a, b| a.severity >= b.severity));
    }
    let confirmed = day.squad.confirms(3);
    assert_eq!((confirmed[0].accepted.len(), confirmed[0].left.len()), (0, 2));
    assert!(confirmed[0].left[0].reason.contains("would count twice"), "{confirmed:?}");
}

#[test]
fn a_measured_distance_stays_before_what_a_second_device_recorded() {
    let day = Day::of(ADA);
    let first = day.file("ada stone 1.csv", run(0, 1_200, 4.2, None, true));
    // 7 % from what the watch says: worth a look, and yet the better evidence
    let measured = Some("5393 m".to_owned());
    let lines = day.read_twenty(Asked { paths: vec![first], measured, ..Asked::default() }).lines;
    assert_eq!(lines[0].outcome, Outcome::TakenIn, "{lines:?}");
    let second = day.file("ada stone 2.csv", run(3, 1_200, 4.2, Some(165.0), true));
    let lines = day.read_twenty(Asked { paths: vec![second], ..Asked::default() }).lines;
    let why = "the other recording is kept because its distance was measured";
    assert!(lines[0].reason.as_ref().unwrap().contains(why), "{lines:?}");
    let tests = day.tests();
    let stands = |t: &&Test| t.decision == Decision::ToConfirm;
    let kept: Vec<_> = tests.iter().filter(stands).collect();
    assert_eq!(kept.len(), 1);
    assert!((kept[0].performance.distance.m() - 5_393.0).abs() < 1e-9, "{kept:?}");
}

#[test]
fn a_test_in_two_files_is_one_test_with_the_pause_said() {
    let day = Day::of(ADA);
    // 12 min, 40 s with the watch stopped, 8 min
    let _one = day.file("ada stone 1.csv", run(0, 720, 4.2, Some(165.0), true));
    let _two = day.file("ada stone 2.csv", run(760, 480, 4.2, Some(167.0), true));
    let lines = day.read_twenty(Asked::default()).lines;
    assert_eq!(lines.iter().filter(|l| l.outcome == Outcome::TakenIn).count(), 2, "{lines:?}");
    let tests = day.tests();
    assert_eq!(tests.len(), 1);
    let page = day.squad.page("Ada Stone");
    let codes: Vec<Code> = page.remarks(&tests[0]).iter().map(|r| r.finding.code()).collect();
    assert!(codes.contains(&Code::Parts) && codes.contains(&Code::Pause), "{codes:?}");
    // a test with a pause is no test
    assert_eq!(page.good_for(&tests[0]), Use::Unusable);
    // both files are known from now on
    let again = day.read_twenty(Asked::default()).lines;
    assert!(again.iter().all(|line| line.outcome == Outcome::Duplicate), "{again:?}");
}

/// So much of a run without distance from so many seconds after nine on.
fn belt(from_s: u32, seconds: u32) -> String {
    let whole = run(from_s, seconds, 4.2, Some(165.0), true);
    let cells = whole.lines().map(|line| {
        let cells: Vec<&str> = line.split(',').collect();
        format!("{},{}\n", cells[0], cells[2])
    });
    cells.collect()
}

#[test]
fn two_halves_without_a_distance_are_joined_once_it_is_said_how_far_both_went() {
    let day = Day::of(ADA);
    let files = |gap_s: u32, measured: [Option<&str>; 2]| {
        let parts = [belt(0, 720), belt(720 + gap_s, 480)];
        let names = ["ada stone 1.csv", "ada stone 2.csv"];
        let incoming = names.into_iter().zip(parts).zip(measured).map(|((name, text), typed)| {
            let measured = typed.map(|text| measured_as(&day.squad.desk, text).unwrap());
            let said = Said { kind: Some(TwentyMinutes), measured, ..Said::default() };
            Incoming { path: PathBuf::from(name), bytes: text.into_bytes(), said }
        });
        take_in(&day.squad.desk, incoming.collect(), &noon(3)).unwrap()
    };
    let refused = |lines: &[ReadLine], ask: Ask, why: &str| {
        for (line, other) in lines.iter().zip(["ada stone 2.csv", "ada stone 1.csv"]) {
            assert_eq!((line.outcome, line.ask), (Outcome::Refused, Some(ask)), "{line:?}");
            let reason = line.reason.as_ref().unwrap();
            assert!(reason.contains(other) && reason.contains(why), "{reason}");
        }
    };
    refused(&files(20, [None, None]), Ask::Distance, "type how far both went together");
    let two = [Some("3000 m"), Some("2000 m")];
    refused(&files(20, two), Ask::Distance, "two distances were given");
    // over a longer pause nothing shows which twenty minutes are meant
    refused(&files(120, [Some("5000 m"), None]), Ask::Kind, "nothing shows which 20 minutes");
    assert!(day.tests().is_empty());
    let lines = files(20, [None, Some("5000 m")]);
    assert!(lines.iter().all(|line| line.outcome == Outcome::TakenIn), "{lines:?}");
    let tests = day.tests();
    assert_eq!(tests.len(), 1);
    assert!((tests[0].performance.distance.m() - 5_000.0).abs() < 1e-6, "{tests:?}");
    let page = day.squad.page("Ada Stone");
    assert_ne!(page.good_for(&tests[0]), Use::Usable, "a test with a pause is no test");
    let opened = trace::open(&day.squad.desk, tests[0].id).unwrap().recorded.unwrap();
    assert!((opened.kept.effort.distance.m() - 5_000.0).abs() < 1e-6);
}

#[test]
fn files_far_apart_are_no_one_test() {
    let day = Day::of(ADA);
    let _one = day.file("ada stone 1.csv", run(0, 720, 4.2, Some(165.0), true));
    let _two = day.file("ada stone 2.csv", run(3_600, 480, 4.2, Some(167.0), true));
    let lines = day.read_twenty(Asked::default()).lines;
    assert!(lines.iter().all(|line| line.outcome == Outcome::Refused), "{lines:?}");
    assert!(day.tests().is_empty());
}

#[test]
fn a_clock_without_a_date_asks_for_the_day() {
    let day = Day::of(ADA);
    let _file = day.file("ada stone.csv", run(0, 1_200, 4.2, Some(165.0), false));
    let lines = day.read_twenty(Asked::default()).lines;
    assert_eq!((lines[0].outcome, lines[0].ask), (Outcome::Unmatched, Some(Ask::Day)));
    let tomorrow = Some(crate::squad::day(4));
    let lines = day.read_twenty(Asked { day: tomorrow, ..Asked::default() }).lines;
    assert_eq!((lines[0].outcome, lines[0].ask), (Outcome::Unmatched, Some(Ask::Day)));
    let on = crate::squad::day(2);
    let lines = day.read_twenty(Asked { day: Some(on), ..Asked::default() }).lines;
    assert_eq!(lines[0].outcome, Outcome::TakenIn, "{lines:?}");
    assert_eq!(day.tests()[0].on, on);
}

#[test]
fn a_stopped_read_keeps_what_it_has_and_says_so() {
    let day = Day::of(ADA);
    for minute in 0..5 {
        let run = run(minute * 2_000, 1_200, 4.0, Some(160.0), true);
        let _file = day.file(&format!("ada stone {minute}.csv"), run);
    }
    let cancel = Cancel::default();
    let seen = Cell::new(0);
    let tell = |progress: pacewright_desk::job::Progress<'_>| {
        assert_eq!((progress.done, progress.of), (seen.get(), 5));
        seen.set(seen.get() + 1);
        if seen.get() == 2 {
            // while the second is being read
            cancel.cancel();
        }
    };
    let paths = vec![day.room.path().to_owned()];
    let asked = Asked { paths, kind: Some(TwentyMinutes), ..Asked::default() };
    let job = Job::new(&tell, cancel.clone());
    let read = read_day(&day.squad.desk, &asked, &noon(3), &job).unwrap();
    assert_eq!((read.lines.len(), read.left, day.tests().len()), (2, 3, 2));
    let said = read.stopped().unwrap();
    assert!(said.contains("2 taken in, 3 not looked at"), "{said}");
    // the rest comes with a second read, and nothing twice
    let rest = day.read_twenty(Asked::default()).lines;
    let count = |outcome| rest.iter().filter(|line| line.outcome == outcome).count();
    assert_eq!((count(Outcome::Duplicate), count(Outcome::TakenIn)), (2, 3));
}

#[test]
fn a_measured_distance_overrides_the_recording_and_stays() {
    let day = Day::of(ADA);
    let desk = &day.squad.desk;
    let file = day.file("ada stone.csv", table(crate::squad::day(3), TwentyMinutes, 4.2, 165.0));
    let unnamed = measured_as(desk, "6 laps of River loop").unwrap_err().to_string();
    assert!(unnamed.contains("no course \"river loop\""), "{unnamed}");
    let _course = name_course(desk, "River loop, 850 m, trail, 0.5 %", &noon(0)).unwrap();
    assert_eq!(courses(desk).unwrap().len(), 1);
    // named anew, it is written over
    let _course = name_course(desk, "River loop, 860 m, trail", &noon(0)).unwrap();
    assert!((courses(desk).unwrap()[0].length.m() - 860.0).abs() < 1e-9);

    let measured = Some("6 laps of River loop".to_owned());
    let lines = day.read_twenty(Asked { paths: vec![file], measured, ..Asked::default() }).lines;
    assert_eq!(lines[0].outcome, Outcome::TakenIn, "{lines:?}");
    let test = day.tests().remove(0);
    assert!((test.performance.distance.m() - 5_160.0).abs() < 1e-6);
    // it is still so when the test is opened, and the recording's own can be had back
    let opened = trace::open(desk, test.id).unwrap().recorded.unwrap();
    assert!((opened.kept.effort.distance.m() - 5_160.0).abs() < 1e-6);
    let told = opened.kept.remarks.iter().any(|r| r.finding.code() == Code::DistanceSource);
    assert!(told && opened.measured().is_some());
    // a distance given with a file that is there already is not lost in silence
    let again = Asked { measured: Some("5100 m".to_owned()), ..Asked::default() };
    let line = day.read_twenty(again).lines.remove(0);
    assert_eq!(line.outcome, Outcome::Duplicate);
    let told = line.reason.unwrap();
    assert!(told.contains("was not entered: open its test in the window"), "{told}");
    assert!((day.tests()[0].performance.distance.m() - 5_160.0).abs() < 1e-6);
    let back = measure(desk, test.id, None, None, &noon(3)).unwrap();
    assert!((back.performance.distance.m() - 5_040.0).abs() < 1e-6);
    let treadmill = measured_as(desk, "treadmill 15 km/h 1 %").unwrap();
    let indoors = measure(desk, test.id, Some(treadmill), None, &noon(3)).unwrap();
    assert!((indoors.performance.distance.m() - 5_000.0).abs() < 1e-6);
}

#[test]
fn a_recording_without_distance_asks_how_far_it_went() {
    let day = Day::of(ADA);
    let mut table = "time,heart_rate\n".to_owned();
    for second in 0..=1_200 {
        writeln!(
            table,
            "2026-09-04T09:{:02}:{:02}Z,{}",
            second / 60,
            second % 60,
            160 + second % 3
        )
        .unwrap();
    }
    let _file = day.file("ada stone.csv", table);
    let lines = day.read_twenty(Asked::default()).lines;
    assert_eq!((lines[0].outcome, lines[0].ask), (Outcome::Refused, Some(Ask::Distance)));
    let measured = Some("treadmill 15 km/h".to_owned());
    let lines = day.read_twenty(Asked { measured, ..Asked::default() }).lines;
    assert_eq!(lines[0].outcome, Outcome::TakenIn, "{lines:?}");
    let test = day.tests().remove(0);
    assert!((test.performance.distance.m() - 5_000.0).abs() < 1e-6);
    assert!(trace::open(&day.squad.desk, test.id).unwrap().recorded.is_some());
}
