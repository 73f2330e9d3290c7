//! Acts go back and forth exactly; one that fails leaves nothing behind.

use pacewright_core::ids::{
    AthleteId, AwayId, BookingId, CalibrationId, RecordingId, SquadId, TestId,
};
use proptest::prelude::*;

use super::facts::*;
use crate::rows;
use crate::table::{self, Row};
use crate::{ActState, Change, Fact, Library, StoreError};

/// Whether an error is the right one.
type Expected = fn(&StoreError) -> bool;

#[test]
fn an_act_that_fails_half_way_leaves_nothing() {
    let mut library = Library::in_memory().unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let (before, log) = (everything(&library).unwrap(), library.log(9).unwrap());
    let refused: [(Change, Expected); 6] = [
        (Change::PutTest(test(3, 99, None)), |e| {
            matches!(e, StoreError::NotFound { what: "athlete", id: 99 })
        }),
        (Change::PutTest(test(3, 1, Some(99))), |e| {
            matches!(e, StoreError::NotFound { what: "recording", id: 99 })
        }),
        (Change::PutAthlete(athlete(3, "C", &[77])), |e| {
            matches!(e, StoreError::NotFound { what: "squad", id: 77 })
        }),
        (Change::PutCalibration(calibration(1, 2, day(1))), |e| {
            matches!(e, StoreError::Refused { .. })
        }),
        (Change::Remove(Fact::Test(TestId(50))), |e| {
            matches!(e, StoreError::NotFound { what: "test", id: 50 })
        }),
        (Change::PutSquad(squad(0, "No number")), |e| matches!(e, StoreError::Refused { .. })),
    ];
    for (change, expected) in refused {
        let good = Change::PutAthlete(athlete(1, "Renamed", &[1]));
        let error = library.act(&act("Half", vec![good, change])).unwrap_err();
        assert!(expected(&error), "{error:?}");
        assert_eq!(everything(&library).unwrap(), before);
        assert_eq!(library.log(9).unwrap(), log);
    }
}

#[test]
fn a_full_disk_or_one_that_cannot_be_written_leaves_the_library_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let mut library = Library::open(&folder.path().join("full")).unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let before = everything(&library).unwrap();
    let big = || {
        act("Big", vec![Change::PutSetting { name: "n".to_owned(), value: "x".repeat(100_000) }])
    };

    let _: i64 =
        library.connection.query_row("PRAGMA max_page_count = 1", [], |row| row.get(0)).unwrap();
    let outcome = library.act(&big());
    assert!(matches!(outcome, Err(StoreError::Full)), "{outcome:?}");
    assert_eq!(everything(&library).unwrap(), before);
    let _: i64 = library
        .connection
        .query_row("PRAGMA max_page_count = 100000", [], |row| row.get(0))
        .unwrap();

    library.connection.execute_batch("PRAGMA query_only = ON").unwrap();
    let outcome = library.act(&big());
    assert!(matches!(outcome, Err(StoreError::ReadOnly)), "{outcome:?}");
    library.connection.execute_batch("PRAGMA query_only = OFF").unwrap();
    let _ = library.act(&big()).unwrap();
    assert!(library.check().unwrap().is_empty());
}

#[test]
fn the_log_tells_what_can_be_undone_and_redone() {
    let mut library = Library::in_memory().unwrap();
    let name = |name: &str| act(name, vec![Change::PutSquad(squad(1, name))]);
    assert_eq!(library.undo().unwrap(), None);
    for step in ["first", "second", "third"] {
        let _ = library.act(&name(step)).unwrap();
    }
    assert_eq!(library.next_undo().unwrap().unwrap().what, "third");
    assert_eq!(library.undo().unwrap().unwrap().what, "third");
    assert_eq!(library.undo().unwrap().unwrap().what, "second");
    assert_eq!(library.squads().unwrap(), [squad(1, "first")]);
    assert_eq!(library.next_redo().unwrap().unwrap().what, "second");
    assert_eq!(library.redo().unwrap().unwrap().what, "second");
    // a new act ends what could be redone
    let _ = library.act(&name("other")).unwrap();
    assert_eq!(library.redo().unwrap(), None);
    let states: Vec<_> =
        library.log(9).unwrap().into_iter().map(|act| (act.what, act.state)).collect();
    let expected = [
        ("other", ActState::Done),
        ("third", ActState::Dropped),
        ("second", ActState::Done),
        ("first", ActState::Done),
    ];
    assert_eq!(states, expected.map(|(what, state)| (what.to_owned(), state)));
    assert_eq!(library.log(2).unwrap().len(), 2);
    assert_eq!(library.undo().unwrap().unwrap().what, "other");
    assert_eq!(library.undo().unwrap().unwrap().what, "second");
    assert_eq!(library.squads().unwrap(), [squad(1, "first")]);
}

/// A new row that changes again within its act: on the way out it must not name what never was.
#[test]
fn a_recording_that_changes_hands_within_its_act_goes_back() {
    let mut library = Library::in_memory().unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let before = everything(&library).unwrap();
    let to_nobody_known = Change::AddRecording(new_recording(9, Some(99), 9));
    let to_the_first =
        Change::AssignRecording { recording: RecordingId(9), athlete: Some(AthleteId(1)) };
    let _ = library.act(&act("Both", vec![to_nobody_known, to_the_first])).unwrap();
    let after = everything(&library).unwrap();
    let _ = library.undo().unwrap().unwrap();
    assert!(everything(&library).unwrap() == before);
    let _ = library.redo().unwrap().unwrap();
    assert!(everything(&library).unwrap() == after);
}

fn any_fact() -> impl Strategy<Value = Fact> {
    (0..7_u8, 1..4_i64).prop_map(|(kind, id)| match kind {
        0 => Fact::Athlete(AthleteId(id)),
        1 => Fact::Squad(SquadId(id)),
        2 => Fact::Recording(RecordingId(id)),
        3 => Fact::Test(TestId(id)),
        4 => Fact::Calibration(CalibrationId(id)),
        5 => Fact::Booking(BookingId(id)),
        _ => Fact::Away(AwayId(id)),
    })
}

fn any_change() -> impl Strategy<Value = Change> {
    let id = || 1..4_i64;
    let name = "[a-c]{0,2}";
    prop_oneof![
        (id(), name, proptest::collection::vec(1..3_i64, 0..3))
            .prop_map(|(id, name, squads)| Change::PutAthlete(athlete(id, &name, &squads))),
        (id(), name).prop_map(|(id, name)| Change::PutSquad(squad(id, &name))),
        (id(), proptest::option::of(id()), 0..3_u32)
            .prop_map(|(id, athlete, salt)| Change::AddRecording(new_recording(id, athlete, salt))),
        (id(), proptest::option::of(id())).prop_map(|(recording, athlete)| {
            Change::AssignRecording {
                recording: RecordingId(recording),
                athlete: athlete.map(AthleteId),
            }
        }),
        (id(), id(), proptest::option::of(id()))
            .prop_map(|(id, athlete, recording)| Change::PutTest(test(id, athlete, recording))),
        (id(), id()).prop_map(|(id, athlete)| Change::PutCalibration(calibration(
            id,
            athlete,
            day(9)
        ))),
        (id(), id()).prop_map(|(id, athlete)| Change::PutBooking(booking(id, athlete))),
        (id(), id()).prop_map(|(id, athlete)| Change::PutAway(away(id, athlete))),
        (name, name).prop_map(|(name, value)| Change::PutSetting { name, value }),
        name.prop_map(|name| Change::RemoveSetting { name }),
        any_fact().prop_map(Change::Remove),
        any_fact().prop_map(Change::Restore),
    ]
}

/// Every row of every table of facts, removed ones too.
fn all_rows(library: &Library) -> Vec<Vec<Row>> {
    let facts = table::ALL.into_iter().filter(|table| table.name != "act");
    facts.map(|table| rows::all(&library.connection, table).unwrap()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn whatever_was_done_goes_back_and_forth_exactly(
        acts in proptest::collection::vec(proptest::collection::vec(any_change(), 1..5), 1..14),
    ) {
        let mut library = Library::in_memory().unwrap();
        let _ = library.act(&act("A club", a_club())).unwrap();
        let mut stages = vec![everything(&library).unwrap()];
        for changes in acts {
            match library.act(&act("Something", changes)) {
                Ok(done) if done.changed.is_empty() => prop_assert!(Some(&everything(&library).unwrap()) == stages.last()),
                Ok(_) => stages.push(everything(&library).unwrap()),
                Err(StoreError::Damaged { table, row, what }) => {
                    return Err(TestCaseError::fail(format!("{table} {row:?} {what}")));
                }
                // refused: as it was
                Err(_) => prop_assert!(Some(&everything(&library).unwrap()) == stages.last()),
            }
        }
        let end = all_rows(&library);
        for stage in stages.iter().rev().skip(1) {
            prop_assert!(library.undo().unwrap().is_some());
            prop_assert!(&everything(&library).unwrap() == stage);
        }
        for stage in stages.iter().skip(1) {
            prop_assert!(library.redo().unwrap().is_some());
            prop_assert!(&everything(&library).unwrap() == stage);
        }
        prop_assert_eq!(all_rows(&library), end);
        prop_assert_eq!(library.redo().unwrap(), None);
        prop_assert_eq!(library.check().unwrap(), vec![]);
    }
}
