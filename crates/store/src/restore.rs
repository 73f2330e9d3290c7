//! A copy in the place of a library, and the copy that is kept before a library is brought to a newer
//! form. Nothing is ever written over: what stood there is kept beside it under another name.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use crate::error::StoreError;
use crate::files;
use crate::library::Library;
use crate::migrate::pragma;

/// The files that may stand beside a library and belong to it.
const BESIDE: [&str; 3] = ["-wal", "-shm", "-journal"];

/// Puts a copy in the place of a library, after all of it was checked. What stood there before is
/// kept beside it; its new name is given back, `None` where nothing stood there.
///
/// # Errors
/// There is no such copy, or it is damaged, foreign, or newer than this program; another program has
/// the library open; no room, or the system refuses. Then the library is as it was.
pub fn restore(copy: &Path, library: &Path) -> Result<Option<PathBuf>, StoreError> {
    if !copy.is_file() {
        let why = format!("there is no file {}: check the name of the copy", copy.display());
        return Err(StoreError::refused(why));
    }
    if is_same(copy, library) {
        let why = format!("{} is the library itself: name a copy of it", copy.display());
        return Err(StoreError::refused(why));
    }
    let passing = beside(library, ".restoring");
    let outcome = checked(copy, &passing).and_then(|()| {
        let kept = set_aside(library)?;
        match fs::rename(&passing, library) {
            Ok(()) => Ok(kept),
            Err(error) => {
                if let Some(kept) = &kept {
                    move_all(kept, library)?;
                }
                Err(StoreError::io(library, error))
            }
        }
    });
    remove_all(&passing);
    outcome
}

/// Copies a file under a passing name and makes sure that all of it is a whole library of ours.
fn checked(copy: &Path, passing: &Path) -> Result<(), StoreError> {
    remove_all(passing);
    files::prepare(passing)?;
    for ending in ["", "-wal"] {
        let (from, to) = (beside(copy, ending), beside(passing, ending));
        match fs::copy(&from, &to) {
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::NotFound && !ending.is_empty() => {}
            Err(error) => return Err(StoreError::io(&from, error)),
        }
    }
    let library = Library::open_uncopied(passing).map_err(|error| match error {
        // the copy is what the coach named
        StoreError::NotALibrary { .. } => StoreError::NotALibrary { path: copy.to_owned() },
        other => other,
    })?;
    if let Some(finding) = library.check()?.into_iter().next() {
        return Err(StoreError::damaged(&finding.table, finding.row, finding.what));
    }
    library.close()?;
    let file = fs::File::open(passing).map_err(|error| StoreError::io(passing, error))?;
    file.sync_all().map_err(|error| StoreError::io(passing, error))
}

/// Gives what stands at the library's place another name.
fn set_aside(library: &Path) -> Result<Option<PathBuf>, StoreError> {
    if !library.exists() {
        return Ok(None);
    }
    // whoever has it open would go on writing into the file that was set aside
    match Library::open_uncopied(library) {
        Ok(open) => open.close()?,
        Err(StoreError::Locked { path }) => return Err(StoreError::Locked { path }),
        // damaged, foreign, newer: that is why it is replaced
        Err(_) => {}
    }
    let kept = free_name(library, ".replaced");
    move_all(library, &kept)?;
    Ok(Some(kept))
}

/// Keeps a copy of a library of an older form, before it is brought to the present one.
///
/// # Errors
/// No room, or the system refuses: then the library must stay as it is.
pub(crate) fn keep_older_form(connection: &Connection, path: &Path) -> Result<(), StoreError> {
    let failed = |error| StoreError::sqlite("the copy", "writing", error);
    let form = pragma(connection, "user_version")?;
    let kept = free_name(path, &format!(".form-{form}"));
    let passing = beside(&kept, ".partial");
    remove_all(&passing);
    files::prepare(&passing)?;
    let outcome = Connection::open(&passing).map_err(failed).and_then(|mut copy| {
        Backup::new(connection, &mut copy)
            .and_then(|backup| backup.run_to_completion(4_096, Duration::ZERO, None))
            .and_then(|()| copy.pragma_update(None, "journal_mode", "DELETE"))
            .map_err(failed)?;
        copy.close().map_err(|(_, error)| failed(error))?;
        fs::rename(&passing, &kept).map_err(|error| StoreError::io(&kept, error))
    });
    if outcome.is_err() {
        remove_all(&passing);
    }
    outcome
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// A name beside a file that nothing has yet.
fn free_name(path: &Path, ending: &str) -> PathBuf {
    let plain = beside(path, ending);
    let numbered = (2..u32::MAX).map(|number| beside(path, &format!("{ending}-{number}")));
    std::iter::once(plain.clone()).chain(numbered).find(|name| !name.exists()).unwrap_or(plain)
}

fn is_same(one: &Path, other: &Path) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

/// Renames a library with what belongs to it.
fn move_all(from: &Path, to: &Path) -> Result<(), StoreError> {
    fs::rename(from, to).map_err(|error| StoreError::io(from, error))?;
    for ending in BESIDE {
        match fs::rename(beside(from, ending), beside(to, ending)) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(StoreError::io(from, error));
            }
            _ => {}
        }
    }
    Ok(())
}

/// Removes a passing file with what belongs to it; what stays is written over the next time.
fn remove_all(passing: &Path) {
    for ending in std::iter::once("").chain(BESIDE) {
        let _ = fs::remove_file(beside(passing, ending));
    }
}
