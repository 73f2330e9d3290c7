//! A coach's ways through the program, from roster to papers, by the acts any window or script takes.

use std::fs;
use std::path::PathBuf;

use chrono::NaiveDate;
use pacewright_core::retest::{Hold, State};
use pacewright_core::test::{Decision, TestKind};
use pacewright_core::units::UnitSystem;
use pacewright_demo::{DemoSquad, FileFormat, roster_csv};
use pacewright_desk::confirm::confirm;
use pacewright_desk::decide::Choice;
use pacewright_desk::due::due;
use pacewright_desk::papers::{CardsAsked, cards};
use pacewright_desk::read_in::{Asked, Outcome, ReadLine, read_in};
use pacewright_desk::roster::roster;
use pacewright_desk::{Desk, Now, book};
use tempfile::TempDir;

use crate::squad::{Squad, day, noon, table};

use TestKind::{FiveMinutes, FortyMinutes, TwentyMinutes};

const ADA: &str = "name,screening,max_heart_rate\nAda Stone,cleared 2026-09-01,190\n";

#[test]
fn from_a_roster_and_a_folder_of_files_to_cards() {
    let today = NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
    let now = Now::noon_of(today);
    let squad = pacewright_demo::squad(today);
    let room = TempDir::new().unwrap();
    let desk = Desk::open(Some(&room.path().join("library"))).unwrap();
    let table = room.path().join("squad.csv");
    fs::write(&table, roster_csv(&squad)).unwrap();
    assert_eq!(roster(&desk, &table, &now).unwrap().added.len(), 14);
    let runs = room.path().join("runs");
    fs::create_dir(&runs).unwrap();
    let paths = squad.write_files(&runs).unwrap();

    // first as they lie: names and marked laps alone; nobody's and no other test's, ever
    let asked = Asked { paths: vec![runs.clone()], ..Asked::default() };
    let lines = read_in(&desk, &asked, &now).unwrap();
    assert_eq!(lines.len(), squad.runs.len());
    let mut taken = 0;
    for line in &lines {
        let place = paths.iter().position(|path| *path == line.path).unwrap();
        let run = &squad.runs[place];
        assert_eq!(line.athlete.as_ref(), Some(&squad.athletes[run.athlete].name));
        match line.outcome {
            Outcome::TakenIn => assert_eq!(line.kind, Some(run.kind), "{:?}", line.path),
            other => assert_eq!((other, line.kind), (Outcome::Unmatched, None), "{line:?}"),
        }
        let marked = run.format == FileFormat::Fit;
        taken += usize::from(line.outcome == Outcome::TakenIn);
        assert!(
            marked || line.outcome == Outcome::Unmatched,
            "a GPX of the effort alone has no lap"
        );
    }
    assert!(taken > squad.runs.len() / 2, "{taken} of {}", squad.runs.len());

    read_and_confirm_the_rest(&desk, &squad, &now, (&paths, &lines));

    // who is due follows from the accepted tests alone
    let book = book::open(&desk).unwrap();
    for line in due(&book, &now) {
        let page = book.of_athlete(&line.athlete).unwrap();
        let newest = page.tests.iter().filter(|t| t.kind == line.kind && t.decision.is_accepted());
        assert_eq!(line.last_on, newest.map(|t| t.on).max(), "{line:?}");
    }
    let out = room.path().join("cards.pdf");
    let asked = CardsAsked {
        squad: None,
        out: out.clone(),
        single: false,
        units: Some(UnitSystem::Kilometres),
    };
    let with_zones = book.pages.iter().filter(|page| page.current(today).is_some()).count();
    assert_eq!(cards(&desk, &asked, &now).unwrap(), (with_zones, Vec::new()));
    // whom nobody asked about health waits for the coach, with all that was run
    assert_eq!(with_zones, 13);
    assert!(fs::read(out).unwrap().starts_with(b"%PDF-"));
}

/// The files that no lap told apart are read again, told which test each is; then all is confirmed.
fn read_and_confirm_the_rest(
    desk: &Desk,
    squad: &DemoSquad,
    now: &Now,
    (paths, lines): (&[PathBuf], &[ReadLine]),
) {
    for line in lines.iter().filter(|line| line.outcome == Outcome::Unmatched) {
        let place = paths.iter().position(|path| *path == line.path).unwrap();
        let kind = Some(squad.runs[place].kind);
        let asked = Asked { paths: vec![line.path.clone()], kind, ..Asked::default() };
        let lines = read_in(desk, &asked, now).unwrap();
        assert_eq!(lines[0].outcome, Outcome::TakenIn, "{lines:?}");
    }
    let confirmed = confirm(desk, None, now).unwrap();
    assert_eq!(confirmed.len(), 14);
    let left: usize = confirmed.iter().map(|c| c.left.len()).sum();
    let accepted: usize = confirmed.iter().map(|c| c.accepted.len()).sum();
    assert_eq!(accepted + left, squad.runs.len());
    assert!(left * 10 < accepted, "{left} doubtful, {accepted} accepted");
}

#[test]
fn files_find_their_athlete_by_name_alias_and_folder() {
    let squad = Squad::of("name,alias\nAnn Lee,\nAnn,\nZoë Čapek,Zoe Capek; zc\n");
    let whose = |path: &str, speed: f64| {
        let bytes = table(day(1), TwentyMinutes, speed, 160.0);
        squad.reads_file(path, bytes, TwentyMinutes, 1).athlete
    };
    assert_eq!(whose("2026-09-02 ann lee track.csv", 4.01).as_deref(), Some("Ann Lee"));
    assert_eq!(whose("ANN_20min.csv", 4.02).as_deref(), Some("Ann"));
    assert_eq!(whose("Zoe-Capek.csv", 4.03).as_deref(), Some("Zoë Čapek"));
    assert_eq!(whose("zoë čapek.csv", 4.04).as_deref(), Some("Zoë Čapek"));
    assert_eq!(whose("ann lee/evening.csv", 4.05).as_deref(), Some("Ann Lee"));
    // a file's own name goes before its folder's; a part of a word is no name
    assert_eq!(whose("ann lee/zc.csv", 4.06).as_deref(), Some("Zoë Čapek"));
    assert_eq!(whose("annette.csv", 4.07), None);
}

#[test]
fn a_second_recording_of_a_test_leaves_one_test_behind_the_zones() {
    let squad = Squad::of(ADA);
    squad.reads("ada stone", TwentyMinutes, 1, 4.4, 165.0);
    squad.reads("ada stone watch", TwentyMinutes, 1, 4.41, 166.0);
    let confirmed = squad.confirms(1);
    assert_eq!(
        (confirmed[0].accepted[0].kind, confirmed[0].accepted[0].on),
        (TwentyMinutes, day(1))
    );
    let page = squad.page("Ada Stone");
    let aside = page.tests.iter().filter(|t| matches!(t.decision, Decision::SetAside { .. }));
    assert_eq!(aside.count(), 1, "the other recording of the same effort");
    assert_eq!(page.calibrations.len(), 1, "one card, not two");
    let basis = &page.calibrations[0].basis;
    assert_eq!(basis.iter().map(|b| (b.kind, b.on)).collect::<Vec<_>>(), [(TwentyMinutes, day(1))]);
    assert_eq!(squad.due("Ada Stone", 30)[1].last_on, Some(day(1)));
}

#[test]
fn an_old_test_confirmed_late_does_not_put_older_zones_over_newer() {
    let squad = Squad::of(ADA);
    // the old test is read late, after the newer one was confirmed
    squad.tested("ada stone new", 60, 4.5, 168.0);
    let newer = squad.zones("Ada Stone", 70).unwrap();
    squad.reads("ada stone old", TwentyMinutes, 1, 4.2, 160.0);
    let confirmed = squad.confirms(70);
    assert_eq!(
        (confirmed[0].accepted[0].kind, confirmed[0].accepted[0].on),
        (TwentyMinutes, day(1))
    );
    assert_eq!((confirmed[0].zones.as_ref(), confirmed[0].held_back.as_ref()), (None, None));
    assert_eq!(confirmed[0].accepted[0].choice, Choice::KeepZones, "a newer one carries the zones");
    assert_eq!(squad.zones("Ada Stone", 70), Some(newer.clone()));
    assert_eq!(squad.page("Ada Stone").calibrations.len(), 1, "nothing to hand out again");
    assert_eq!(squad.due("Ada Stone", 70)[1].last_on, Some(day(60)));
    // an old test of another kind adds to the zones in force, from their day on, and takes nothing
    squad.reads("ada stone five", FiveMinutes, 2, 5.1, 175.0);
    let confirmed = squad.confirms(71);
    let zones = confirmed[0].zones.as_ref().unwrap();
    assert_eq!(zones.from, day(60));
    let lt2 = |markers: &pacewright_core::markers::Markers| markers.lt2.speed.unwrap().value;
    assert_eq!(lt2(&zones.markers), lt2(&newer.markers));
    let basis: Vec<_> = zones.basis.iter().map(|b| (b.kind, b.on)).collect();
    assert_eq!(basis, [(FiveMinutes, day(2)), (TwentyMinutes, day(60))]);
}

#[test]
fn contradictory_tests_wait_and_say_why() {
    // slower over 5 minutes than over 20, but faster than LT2: the markers themselves do not cross
    for five in [4.4, 4.1, 3.5] {
        let squad = Squad::of(ADA);
        squad.tested("ada stone", 1, 4.5, 168.0);
        let before = squad.zones("Ada Stone", 9).unwrap();
        squad.reads("ada stone", FiveMinutes, 8, five, 170.0);
        let confirmed = squad.confirms(8);
        assert_eq!((confirmed[0].accepted.len(), &confirmed[0].zones), (0, &None), "{five} m/s");
        let waits = &confirmed[0].left[0];
        assert_eq!((waits.kind, waits.on), (FiveMinutes, day(8)));
        assert!(waits.reason.contains("Repeat") && waits.reason.ends_with('.'), "{waits:?}");
        assert_eq!(squad.zones("Ada Stone", 9), Some(before));
    }
}

#[test]
fn forty_minutes_faster_than_the_threshold_wait() {
    let squad = Squad::of(ADA);
    squad.tested("ada stone", 1, 4.5, 168.0);
    // LT2 is 95 % of 4.5 m/s
    squad.reads("ada stone", FortyMinutes, 8, 4.4, 151.6);
    let confirmed = squad.confirms(8);
    assert_eq!(confirmed[0].zones, None);
    assert!(confirmed[0].left[0].reason.contains("contradict"), "{confirmed:?}");
}

#[test]
fn a_doubtful_test_waits_for_the_coach() {
    let squad = Squad::of(ADA);
    // 1.5 % short of its 20 minutes: taken whole, to be looked at
    let bytes = table(day(1), TwentyMinutes, 4.4, 165.0);
    let short: Vec<&str> = std::str::from_utf8(&bytes).unwrap().lines().take(1_183).collect();
    let line = squad.reads_file("ada stone.csv", short.join("\n").into(), TwentyMinutes, 1);
    assert_eq!(line.outcome, Outcome::TakenIn);
    let confirmed = squad.confirms(1);
    assert_eq!((confirmed[0].accepted.len(), confirmed[0].left.len()), (0, 1));
    assert!(confirmed[0].left[0].reason.contains("19 s shorter"), "{confirmed:?}");
    assert_eq!(squad.zones("Ada Stone", 2), None);
    let page = squad.page("Ada Stone");
    assert_eq!(page.tests[0].decision, Decision::ToConfirm);
    assert_eq!(squad.due("Ada Stone", 2)[1].state, State::NeverTested);
}

#[test]
fn a_test_of_a_day_to_come_is_not_taken_in() {
    // a wrong clock: zones from a far day would keep all earlier ones out for ever
    let squad = Squad::of(ADA);
    let bytes = table(day(300), TwentyMinutes, 4.4, 165.0);
    let line = squad.reads_file("ada stone.csv", bytes, TwentyMinutes, 1);
    assert_eq!(line.outcome, Outcome::Refused);
    squad.tested("ada stone", 1, 4.4, 165.0);
    assert_eq!(squad.zones("Ada Stone", 1).unwrap().from, day(1));
}

#[test]
fn a_booking_says_which_test_a_recording_is() {
    use pacewright_desk::schedule::{ToBook, enter};
    let squad = Squad::of(ADA);
    let athlete = squad.page("Ada Stone").athlete.id;
    let booking = ToBook { athlete, kind: FortyMinutes, on: day(3) };
    enter(&squad.desk, vec![booking], Vec::new(), &noon(0)).unwrap();
    assert_eq!(squad.due("Ada Stone", 1)[2].held_by, [Hold::Booked]);
    let room = TempDir::new().unwrap();
    let path = room.path().join("ada stone.csv");
    fs::write(&path, table(day(3), FortyMinutes, 3.4, 145.0)).unwrap();
    let asked = Asked { paths: vec![path], ..Asked::default() };
    let lines = read_in(&squad.desk, &asked, &noon(3)).unwrap();
    assert_eq!((lines[0].outcome, lines[0].kind), (Outcome::TakenIn, Some(FortyMinutes)));
}
