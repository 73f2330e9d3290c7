//! What is put comes back exactly, and only what is in sight.

use pacewright_core::ids::{AthleteId, RecordingId, SquadId, TestId};
use pacewright_core::remark::{BearsOn, Finding, Remark, Severity};

use super::facts::*;
use crate::{CachedRemarks, Change, ContentHash, Fact, Kind, Library, StoreError};

fn club() -> Library {
    let mut library = Library::in_memory().unwrap();
    let done = library.act(&act("A club", a_club())).unwrap();
    assert_eq!(done.changed.len(), 8, "every kind changed: {done:?}");
    library
}

#[test]
fn facts_come_back_exactly() {
    let library = club();
    assert_eq!(library.athlete(AthleteId(1)).unwrap(), athlete(1, "Ida Berg", &[2, 1]));
    assert_eq!(
        library.athletes().unwrap(),
        [athlete(1, "Ida Berg", &[2, 1]), athlete(2, "Łukasz Ōno", &[])]
    );
    assert_eq!(library.squads().unwrap(), [squad(1, "Thursday"), squad(2, "Juniors")]);
    assert_eq!(library.tests().unwrap(), [test(1, 1, Some(1)), test(2, 2, None)]);
    assert_eq!(library.tests_of(AthleteId(2)).unwrap(), [test(2, 2, None)]);
    assert_eq!(library.test(TestId(1)).unwrap(), test(1, 1, Some(1)));
    assert_eq!(library.calibrations().unwrap(), [calibration(1, 1, day(21))]);
    assert_eq!(library.bookings().unwrap(), [booking(1, 1)]);
    assert_eq!(library.aways().unwrap(), [away(1, 2)]);
    assert_eq!(library.setting("units").unwrap().as_deref(), Some("miles"));
    assert_eq!(library.setting("other").unwrap(), None);
    assert!(library.check().unwrap().is_empty());
}

#[test]
fn a_recording_comes_back_to_the_bit_and_once_per_content() {
    let mut library = club();
    let (head, read) = library.recording(RecordingId(1)).unwrap();
    assert_eq!(read, recording(1));
    assert_eq!((head.athlete, head.started_at), (Some(AthleteId(1)), Some(noon())));
    assert_eq!(head.duration, recording(1).duration());
    assert_eq!(library.recordings_of(AthleteId(1)).unwrap(), std::slice::from_ref(&head));
    assert_eq!(library.recording_by_hash(&head.content_hash).unwrap(), Some(head));
    assert_eq!(library.recording_by_hash(&ContentHash::of(b"other")).unwrap(), None);

    let again = act("Again", vec![Change::AddRecording(new_recording(3, None, 1))]);
    let outcome = library.act(&again);
    assert!(
        matches!(outcome, Err(StoreError::Duplicate { recording: RecordingId(1) })),
        "{outcome:?}"
    );

    // removed, it may be taken in again, and its content is there already
    let remove = act("Remove", vec![Change::Remove(Fact::Recording(RecordingId(1)))]);
    let _ = library.act(&remove).unwrap();
    let _ = library.act(&again).unwrap();
    assert_eq!(library.recording(RecordingId(3)).unwrap().1, recording(1));
    let contents: i64 =
        library.connection.query_row("SELECT count(*) FROM content", [], |row| row.get(0)).unwrap();
    assert_eq!(contents, 2);
}

#[test]
fn a_recording_finds_its_athlete_later() {
    let mut library = club();
    let change = Change::AssignRecording { recording: RecordingId(2), athlete: Some(AthleteId(2)) };
    let _ = library.act(&act("Whose it is", vec![change])).unwrap();
    let ids: Vec<_> =
        library.recordings_of(AthleteId(2)).unwrap().iter().map(|head| head.id).collect();
    assert_eq!(ids, [RecordingId(2)]);
    let _ = library.undo().unwrap().unwrap();
    assert!(library.recordings_of(AthleteId(2)).unwrap().is_empty());
    assert!(library.check().unwrap().is_empty());
}

#[test]
fn what_belongs_to_a_removed_athlete_is_out_of_sight() {
    let mut library = club();
    let before = everything(&library).unwrap();
    let _ = library.act(&act("Remove", vec![Change::Remove(Fact::Athlete(AthleteId(1)))])).unwrap();
    assert!(matches!(library.athlete(AthleteId(1)), Err(StoreError::NotFound { .. })));
    assert!(matches!(library.test(TestId(1)), Err(StoreError::NotFound { .. })));
    assert!(matches!(library.tests_of(AthleteId(1)), Err(StoreError::NotFound { .. })));
    assert!(matches!(library.recording(RecordingId(1)), Err(StoreError::NotFound { .. })));
    let now = everything(&library).unwrap();
    assert_eq!((now.athletes.len(), now.tests.len(), now.calibrations.len()), (1, 1, 0));
    assert_eq!(now.recordings.len(), 1);
    assert_eq!(library.removed_athletes().unwrap(), before.athletes[..1]);

    let _ = library.act(&act("Back", vec![Change::Restore(Fact::Athlete(AthleteId(1)))])).unwrap();
    assert_eq!(everything(&library).unwrap(), before);
}

#[test]
fn a_removed_squad_leaves_its_athletes() {
    let mut library = club();
    let done = library.act(&act("Remove", vec![Change::Remove(Fact::Squad(SquadId(2)))])).unwrap();
    assert!(done.changed.contains(&Kind::Squads));
    assert_eq!(library.athlete(AthleteId(1)).unwrap().squads, [SquadId(1)]);
    let _ = library.undo().unwrap();
    assert_eq!(library.athlete(AthleteId(1)).unwrap().squads, [SquadId(2), SquadId(1)]);
}

#[test]
fn fresh_numbers_are_never_given_twice() {
    let mut library = club();
    let ids: [AthleteId; 2] = [library.fresh_id().unwrap(), library.fresh_id().unwrap()];
    assert_eq!(ids, [AthleteId(3), AthleteId(4)]);
    let _ = library.act(&act("New", vec![Change::PutAthlete(athlete(9, "Far", &[]))])).unwrap();
    let _ = library.undo().unwrap();
    assert_eq!(library.fresh_id::<AthleteId>().unwrap(), AthleteId(10));
}

#[test]
fn kept_remarks_hold_for_the_same_test_rules_and_what_is_known_beside_it_only() {
    let mut library = club();
    let remark =
        Remark::new(Finding::TakenShort { missing_s: 0.1 + 0.2 }, Severity::Check, BearsOn::Speed);
    library.cache_remarks(TestId(1), 7, "", std::slice::from_ref(&remark)).unwrap();
    let known = CachedRemarks::Known(vec![remark.clone()]);
    assert_eq!(library.cached_remarks(TestId(1), 7, "").unwrap(), known);
    assert_eq!(library.all_cached_remarks(7).unwrap()[&TestId(1)], [remark]);
    assert_eq!(library.cached_remarks(TestId(1), 8, "").unwrap(), CachedRemarks::Unknown);
    assert!(library.all_cached_remarks(8).unwrap().is_empty());

    let _ = library.act(&act("Edit", vec![Change::PutTest(test(1, 1, None))])).unwrap();
    assert_eq!(library.cached_remarks(TestId(1), 7, "").unwrap(), CachedRemarks::Unknown);
    let _ = library.undo().unwrap();
    assert_eq!(library.cached_remarks(TestId(1), 7, "").unwrap(), known);
    let measured = "5,000 m";
    assert_eq!(library.cached_remarks(TestId(1), 7, measured).unwrap(), CachedRemarks::Unknown);
    library.cache_remarks_of_all(7, &[(TestId(1), measured.to_owned(), Vec::new())]).unwrap();
    let none = CachedRemarks::Known(Vec::new());
    assert_eq!(library.cached_remarks(TestId(1), 7, measured).unwrap(), none);
    assert_eq!(library.cached_remarks(TestId(1), 7, "5,100 m").unwrap(), CachedRemarks::Unknown);
    assert_eq!(library.cached_remarks(TestId(1), 7, "").unwrap(), CachedRemarks::Unknown);
    let before = everything(&library).unwrap();
    library.clear_cache().unwrap();
    assert_eq!(library.cached_remarks(TestId(1), 7, "").unwrap(), CachedRemarks::Unknown);
    assert_eq!(everything(&library).unwrap(), before);
}
