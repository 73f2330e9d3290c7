//! Copies that come back, and the copy kept before a library is brought to a newer form.

use std::fs;
use std::path::Path;

use rusqlite::Connection;

use super::facts::*;
use crate::migrate::{self, STEPS, VERSION, pragma};
use crate::{Library, StoreError, restore};

fn club(path: &Path) -> Library {
    let mut library = Library::open(path).unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    library
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<_> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_copy_comes_back_and_what_stood_there_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("library"), folder.path().join("copy"));
    let mut library = club(&path);
    let before = everything(&library).unwrap();
    library.backup_to(&copy).unwrap();
    let _ = library.act(&act("One more", vec![crate::Change::PutSquad(squad(9, "New"))])).unwrap();
    let after = everything(&library).unwrap();
    library.close().unwrap();

    let kept = restore(&copy, &path).unwrap().unwrap();
    assert_eq!(kept, folder.path().join("library.replaced"));
    assert_eq!(everything(&Library::open(&path).unwrap()).unwrap(), before);
    assert_eq!(everything(&Library::open(&kept).unwrap()).unwrap(), after);
    // once more: nothing that was kept is written over
    let again = restore(&copy, &path).unwrap().unwrap();
    assert_eq!(again, folder.path().join("library.replaced-2"));
    assert_eq!(names(folder.path()), ["copy", "library", "library.replaced", "library.replaced-2"]);
}

#[test]
fn a_damaged_library_is_replaced_and_a_missing_one_is_made() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("library"), folder.path().join("copy"));
    let library = club(&path);
    library.backup_to(&copy).unwrap();
    let before = everything(&library).unwrap();
    library.close().unwrap();
    fs::write(&path, "ruined").unwrap();
    let kept = restore(&copy, &path).unwrap().unwrap();
    assert_eq!(fs::read_to_string(kept).unwrap(), "ruined");
    assert_eq!(everything(&Library::open(&path).unwrap()).unwrap(), before);
    let elsewhere = folder.path().join("elsewhere");
    assert_eq!(restore(&copy, &elsewhere).unwrap(), None);
    assert_eq!(everything(&Library::open(&elsewhere).unwrap()).unwrap(), before);
}

#[test]
fn what_is_no_whole_copy_replaces_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("library"), folder.path().join("copy"));
    let library = club(&path);
    library.backup_to(&copy).unwrap();
    let open = restore(&copy, &path);
    assert!(matches!(open, Err(StoreError::Locked { .. })), "{open:?}");
    let before = everything(&library).unwrap();
    library.close().unwrap();

    let missing = restore(&folder.path().join("nowhere"), &path);
    assert!(matches!(missing, Err(StoreError::Refused { .. })), "{missing:?}");
    let itself = restore(&path, &path);
    assert!(matches!(itself, Err(StoreError::Refused { .. })), "{itself:?}");
    let foreign = folder.path().join("notes");
    fs::write(&foreign, "not a library").unwrap();
    assert!(matches!(restore(&foreign, &path), Err(StoreError::NotALibrary { .. })));
    let connection = Connection::open(&copy).unwrap();
    let _ = connection.execute("UPDATE test SET distance_m = 5000 WHERE id = 1", []).unwrap();
    drop(connection);
    let damaged = restore(&copy, &path);
    assert!(matches!(damaged, Err(StoreError::Damaged { .. })), "{damaged:?}");
    assert_eq!(everything(&Library::open(&path).unwrap()).unwrap(), before);
    assert_eq!(names(folder.path()), ["copy", "library", "notes"]);
}

#[test]
fn a_library_of_an_older_form_is_kept_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    let mut old = Connection::open(&path).unwrap();
    migrate::run(&mut old, &STEPS[..1]).unwrap();
    drop(old);
    Library::open(&path).unwrap().close().unwrap();
    assert_eq!(names(folder.path()), ["library", "library.form-1"]);
    let form = |name: &str| {
        let connection = Connection::open(folder.path().join(name)).unwrap();
        pragma(&connection, "user_version").unwrap()
    };
    assert_eq!((form("library"), form("library.form-1")), (VERSION, 1));
    // a library of the present form needs no copy
    Library::open(&path).unwrap().close().unwrap();
    assert_eq!(names(folder.path()), ["library", "library.form-1"]);
}
