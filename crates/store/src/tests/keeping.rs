//! The thread that owns the library, and copies of it.

use std::fs;

use super::facts::*;
use crate::{Change, Keeper, Library, StoreError};

#[test]
fn the_keeper_answers_many_and_closes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    let keeper = Keeper::start(&path).unwrap();
    let _ = keeper.ask(|library| library.act(&act("A club", a_club()))).unwrap();
    std::thread::scope(|scope| {
        for number in 10..14 {
            let keeper = &keeper;
            let _ = scope.spawn(move || {
                let put = Change::PutSquad(squad(number, "One of many"));
                keeper.ask(move |library| library.act(&act("One", vec![put]))).unwrap()
            });
        }
    });
    assert_eq!(keeper.ask(|library| library.squads()).unwrap().len(), 6);
    let locked = Keeper::start(&path);
    assert!(matches!(locked, Err(StoreError::Locked { .. })), "{locked:?}");
    keeper.close().unwrap();
    drop(Keeper::start(&path).unwrap());
    assert_eq!(Library::open(&path).unwrap().squads().unwrap().len(), 6);
}

#[test]
fn work_that_panics_is_an_error_and_nothing_of_it_stays() {
    let keeper = Keeper::keep(Library::in_memory().unwrap()).unwrap();
    let outcome: Result<(), StoreError> = keeper.ask(|library| {
        library.in_one_go("trying", |transaction| {
            let row =
                crate::table::Row::live(1, vec![rusqlite::types::Value::Text("Half".to_owned())]);
            crate::rows::write(transaction, &crate::tables::squad::SQUAD, None, &row).unwrap();
            panic!("on purpose")
        })
    });
    assert!(matches!(outcome, Err(StoreError::BrokenOff)), "{outcome:?}");
    assert!(keeper.ask(|library| library.squads()).unwrap().is_empty());
}

#[test]
fn a_copy_is_a_library_with_the_same_facts() {
    let folder = tempfile::tempdir().unwrap();
    let mut library = Library::open(&folder.path().join("library")).unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let copy = folder.path().join("copy");
    library.backup_to(&copy).unwrap();
    assert_eq!(everything(&Library::open(&copy).unwrap()).unwrap(), everything(&library).unwrap());
    let again = library.backup_to(&copy);
    assert!(matches!(again, Err(StoreError::Refused { .. })), "{again:?}");
    // the copy stands alone and nothing passing is left
    let mut names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["copy", "library", "library-wal"]);
}

#[test]
fn a_damaged_library_gives_no_copy() {
    let folder = tempfile::tempdir().unwrap();
    let mut library = Library::open(&folder.path().join("library")).unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let _ =
        library.connection.execute("UPDATE test SET distance_m = 5000 WHERE id = 1", []).unwrap();
    let copy = folder.path().join("copy");
    let outcome = library.backup_to(&copy);
    assert!(
        matches!(&outcome, Err(StoreError::Damaged { table, row: Some(1), .. }) if table == "test"),
        "{outcome:?}"
    );
    assert!(!copy.exists() && !folder.path().join("copy.partial").exists());
    let findings: Vec<_> = library.check().unwrap().iter().map(ToString::to_string).collect();
    assert_eq!(findings, ["test row 1: it is not what was written (its seal does not match)"]);
}
