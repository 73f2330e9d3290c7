//! The calendar file before two independent parsers of RFC 5545, the Python packages icalendar and
//! vobject (`reference/read_calendar.py`): the same events by both, and a second import updates.

use std::io::{Write as _, stderr};
use std::path::Path;
use std::process::Command;

use chrono::{Days, TimeDelta};
use pacewright_core::test::TestKind;
use pacewright_desk::book;
use pacewright_desk::papers::calendar_file;
use pacewright_desk::plan::{cancel, move_booking};
use pacewright_desk::programmes::ProgrammeForm;
use pacewright_desk::schedule::{ToBook, enter};
use serde::Deserialize;

use crate::squad::{Squad, day, noon};

const ROSTER: &str = "name,squad,screening\n\
    Asha Example,Mile,cleared 2026-09-01\n\
    \"Bo; Reed, \\ Łukasz 山山山山山山山山山山山山山山山山山山山山山山山山山山\",Mile,cleared 2026-09-01\n\
    Cy Hart,Mile,cleared 2026-09-01\n\
    Di Moss,Mile,hold\n";

#[derive(Debug, Deserialize)]
struct Found {
    icalendar: TakenIn,
    vobject: TakenIn,
}

#[derive(Debug, PartialEq, Deserialize)]
struct TakenIn {
    counts: Vec<usize>,
    events: Vec<Event>,
}

#[derive(Debug, PartialEq, Deserialize)]
struct Event {
    uid: String,
    sequence: u32,
    status: String,
    summary: String,
    start: String,
    end: String,
}

/// What both parsers found; `None` where Python or a package is missing.
fn read(files: [&Path; 2]) -> Option<Found> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference/read_calendar.py");
    let ran = Command::new("python3").arg(script).args(files).output();
    let missing = match ran {
        Ok(output) if output.status.success() => {
            return Some(serde_json::from_slice(&output.stdout).unwrap());
        }
        Ok(output) if output.status.code() == Some(3) => {
            String::from_utf8_lossy(&output.stderr).trim().to_owned()
        }
        Ok(output) => panic!("{}", String::from_utf8_lossy(&output.stderr)),
        Err(why) => why.to_string(),
    };
    let required = std::env::var_os("PACEWRIGHT_TOOLS_REQUIRED").is_some();
    assert!(!required, "Python with icalendar and vobject is required here: {missing}");
    // past what keeps a passing test's words back
    stderr()
        .write_all(format!("skipped: no second reader of calendars ({missing})\n").as_bytes())
        .unwrap();
    None
}

fn squad() -> Squad {
    let squad = Squad::of(ROSTER);
    let book = squad.book();
    let id = |name: &str| book.pages.iter().find(|p| p.athlete.name.starts_with(name)).unwrap();
    // 1 September 2026 is a Tuesday; they meet on Tuesdays at half past six
    let mut programme = ProgrammeForm::of(&book, book.squads[0].id);
    programme.days = "Tue 18:30".to_owned();
    let _said = programme.keep(&squad.desk, book.squads[0].id, &noon(0)).unwrap();
    let bookings = [("Asha", 7), ("Bo", 7), ("Cy", 8), ("Di", 14)].map(|(name, after)| ToBook {
        athlete: id(name).athlete.id,
        kind: TestKind::TwentyMinutes,
        on: day(after),
    });
    enter(&squad.desk, bookings.to_vec(), Vec::new(), &noon(0)).unwrap();
    squad
}

#[test]
fn two_parsers_read_the_same_and_a_second_import_updates() {
    let squad = squad();
    let folder = tempfile::tempdir().unwrap();
    let [first, second] = ["first.ics", "second.ics"].map(|name| folder.path().join(name));
    let written = |after| calendar_file(&squad.desk, &squad.book(), None, &noon(after)).unwrap();
    std::fs::write(&first, written(0)).unwrap();
    let Some(same) = read([&first, &first]) else { return };
    assert_eq!(same.icalendar, same.vobject);
    assert_eq!(same.icalendar.counts, [4, 4], "a second import doubles nothing");

    let page = squad.page("Asha Example");
    let _moved = move_booking(&squad.desk, &page.bookings[0], day(14), &noon(1)).unwrap();
    let page = squad.page("Cy Hart");
    let _gone = cancel(&squad.desk, &page.bookings[0], &noon(1)).unwrap();
    std::fs::write(&second, written(1)).unwrap();
    let found = read([&first, &second]).unwrap();
    assert_eq!(found.icalendar, found.vobject);
    assert_eq!(found.icalendar.counts, [4, 4], "moved and cancelled, not doubled");
    let events = &found.icalendar.events;
    let of = |words: &str| events.iter().find(|event| event.summary.starts_with(words)).unwrap();
    let asha = of("Asha Example: 20-minute test");
    let local = |after: u64, minutes: i64| {
        let at = (day(0) + Days::new(after)).and_hms_opt(18, 30, 0).unwrap();
        (at + TimeDelta::minutes(minutes)).format("%Y-%m-%dT%H:%M:%S").to_string()
    };
    assert_eq!((asha.start.as_str(), asha.status.as_str()), (local(14, 0).as_str(), "CONFIRMED"));
    assert_eq!(asha.end, local(14, 90));
    // the name comes back whole, whatever was escaped and folded
    let bo = squad.book().pages.iter().find(|p| p.athlete.name.starts_with("Bo")).cloned().unwrap();
    assert_eq!(of("Bo").summary, format!("{}: 20-minute test", bo.athlete.name));
    // Cy's was cancelled, Di's never stood: both are told without a name
    let gone: Vec<&Event> = events.iter().filter(|event| event.status == "CANCELLED").collect();
    assert_eq!(gone.len(), 2);
    assert!(gone.iter().all(|event| event.summary == "Cancelled: 20-minute test"), "{gone:?}");
    // a whole day where no time is known: Cy's was on a Wednesday, Di's on a Tuesday
    let starts: Vec<usize> = gone.iter().map(|event| event.start.len()).collect();
    assert_eq!(starts, ["2026-09-09", "2026-09-15T18:30:00"].map(str::len), "{gone:?}");
}

#[test]
fn nothing_private_and_nobody_else_stands_in_an_athletes_own_file() {
    let squad = squad();
    let book = book::open(&squad.desk).unwrap();
    let own = squad.page("Asha Example").athlete.id;
    let text = calendar_file(&squad.desk, &book, Some(&[own]), &noon(0)).unwrap();
    let unfolded = text.replace("\r\n ", "");
    assert!(unfolded.contains("Asha Example"));
    for other in ["Bo", "Cy Hart", "Di Moss", "hold", "cleared"] {
        assert!(!unfolded.contains(other), "{other} in {unfolded}");
    }
}
