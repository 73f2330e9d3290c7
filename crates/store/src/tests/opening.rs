//! Which files are opened and which are refused, untouched.

use std::fs;
use std::io::{Write as _, stderr};

use rusqlite::Connection;

use super::facts::*;
use crate::{Library, StoreError};

#[test]
fn a_library_is_found_again_as_it_was_closed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new/deep/library.pacewright");
    let mut library = Library::open(&path).unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let before = everything(&library).unwrap();
    library.close().unwrap();
    let library = Library::open(&path).unwrap();
    assert_eq!(everything(&library).unwrap(), before);
    assert_eq!(library.path(), Some(path.as_path()));
    // dropped without being closed
    drop(library);
    assert_eq!(everything(&Library::open(&path).unwrap()).unwrap(), before);
}

#[test]
fn two_programs_cannot_have_it_open() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    let first = Library::open(&path).unwrap();
    let second = Library::open(&path);
    assert!(matches!(second, Err(StoreError::Locked { .. })), "{second:?}");
    drop(first);
    let _ = Library::open(&path).unwrap();
}

#[test]
fn a_foreign_file_is_refused_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let text = folder.path().join("notes.txt");
    fs::write(&text, "Tuesday: 6 x 800 m. ".repeat(400)).unwrap();
    let short = folder.path().join("short");
    fs::write(&short, "x").unwrap();
    let other = folder.path().join("other.sqlite");
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE other (a)").unwrap();
    for path in [&text, &short, &other] {
        let before = fs::read(path).unwrap();
        let outcome = Library::open(path);
        assert!(
            matches!(outcome, Err(StoreError::NotALibrary { .. })),
            "{} {outcome:?}",
            path.display()
        );
        assert_eq!(fs::read(path).unwrap(), before);
    }
    let outcome = Library::open(folder.path());
    assert!(matches!(outcome, Err(StoreError::NotALibrary { .. })), "{outcome:?}");
}

#[test]
fn a_library_of_a_newer_program_is_refused_by_both_numbers() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    Library::open(&path).unwrap().close().unwrap();
    let raw = Connection::open(&path).unwrap();
    raw.execute_batch("PRAGMA user_version = 99").unwrap();
    raw.close().unwrap();
    let error = Library::open(&path).unwrap_err();
    assert!(matches!(error, StoreError::FileTooNew { found: 99, supported: 4 }), "{error:?}");
    assert!(error.to_string().contains("install the newer version"), "{error}");
}

#[test]
fn a_changed_structure_is_damage() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    Library::open(&path).unwrap().close().unwrap();
    let raw = Connection::open(&path).unwrap();
    raw.execute_batch("DROP INDEX test_of_athlete").unwrap();
    raw.close().unwrap();
    let outcome = Library::open(&path);
    assert!(matches!(outcome, Err(StoreError::Damaged { .. })), "{outcome:?}");
}

#[test]
fn a_first_start_that_was_cut_off_is_begun_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    // as far as the journal mode, before the first table
    let raw = Connection::open(&path).unwrap();
    raw.pragma_update(None, "journal_mode", "WAL").unwrap();
    raw.close().unwrap();
    assert!(Library::open(&path).unwrap().check().unwrap().is_empty());
}

#[cfg(unix)]
mod owner_only {
    use std::os::unix::fs::PermissionsExt;
    use std::path::Path;

    use super::*;

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o777
    }

    fn files_in(folder: &Path) -> Vec<(String, u32)> {
        let entries = fs::read_dir(folder).unwrap().map(Result::unwrap);
        entries
            .map(|entry| (entry.file_name().into_string().unwrap(), mode(&entry.path())))
            .collect()
    }

    #[test]
    fn only_the_owner_may_read_the_library() {
        let outside = tempfile::tempdir().unwrap();
        let folder = outside.path().join("new");
        let path = folder.join("library");
        let mut library = Library::open(&path).unwrap();
        let _ = library.act(&act("A club", a_club())).unwrap();
        assert_eq!(mode(&folder), 0o700);
        let files = files_in(&folder);
        assert!(files.iter().any(|(name, _)| name == "library-wal"), "{files:?}");
        assert!(files.iter().all(|(_, mode)| *mode == 0o600), "{files:?}");
        library.close().unwrap();

        fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).unwrap();
        let mut library = Library::open(&path).unwrap();
        let _ = library.act(&act("More", vec![crate::Change::PutSquad(squad(3, "New"))])).unwrap();
        let files = files_in(&folder);
        assert!(files.iter().all(|(_, mode)| *mode == 0o600), "{files:?}");
    }

    #[test]
    fn a_place_that_cannot_be_written_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("library");
        Library::open(&path).unwrap().close().unwrap();
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o500)).unwrap();
        if fs::write(folder.path().join("probe"), "").is_ok() {
            // past what keeps a passing test's words back
            stderr().write_all(b"skipped: this user may write anywhere\n").unwrap();
            return;
        }
        for path in [path, folder.path().join("another")] {
            let outcome = Library::open(&path);
            assert!(matches!(outcome, Err(StoreError::ReadOnly)), "{outcome:?}");
        }
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o700)).unwrap();
    }

    #[test]
    fn a_place_that_is_no_folder_is_refused() {
        let outcome = Library::open(Path::new("/dev/null/library"));
        assert!(matches!(outcome, Err(StoreError::Io { .. })), "{outcome:?}");
    }
}
