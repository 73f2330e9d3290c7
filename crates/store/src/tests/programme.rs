//! How squads test: kept exactly, with undo, and added to a library of the old form.

use chrono::{NaiveTime, Weekday};
use pacewright_core::ids::{AthleteId, OwnWindowId, ProgrammeId, SquadId};
use pacewright_core::programme::{MeetingDay, Months, OwnWindow, Programme};
use pacewright_core::retest::RetestWindow;

use super::facts::*;
use crate::{Change, Fact, Library};

fn programme() -> Programme {
    let at = NaiveTime::from_hms_opt(18, 30, 0);
    Programme {
        days: vec![
            MeetingDay { weekday: Weekday::Tue, at },
            MeetingDay { weekday: Weekday::Sat, at: None },
        ],
        capacity: 12,
        window: RetestWindow { opens_weeks: 5, closes_weeks: 9 },
        season: [Months::of([3, 4, 5]), Months::default(), Months::of([])],
        ..Programme::usual(ProgrammeId(1), SquadId(1))
    }
}

fn own() -> OwnWindow {
    let window = RetestWindow { opens_weeks: 3, closes_weeks: 6 };
    OwnWindow { id: OwnWindowId(1), athlete: AthleteId(1), window }
}

#[test]
fn they_come_back_exactly_and_go_with_undo() {
    let mut library = Library::in_memory().unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let both = vec![Change::PutProgramme(programme()), Change::PutOwnWindow(own())];
    let _ = library.act(&act("How they test", both)).unwrap();
    assert_eq!(library.programmes().unwrap(), [programme()]);
    assert_eq!(library.own_windows().unwrap(), [own()]);
    let gone = Change::Remove(Fact::OwnWindow(OwnWindowId(1)));
    let _ = library.act(&act("As the squad", vec![gone])).unwrap();
    assert_eq!(library.own_windows().unwrap(), []);
    let _ = library.undo().unwrap().unwrap();
    let _ = library.undo().unwrap().unwrap();
    assert_eq!(library.programmes().unwrap(), []);
    let _ = library.redo().unwrap().unwrap();
    assert_eq!(library.programmes().unwrap(), [programme()]);
    assert!(library.check().unwrap().is_empty());
}
