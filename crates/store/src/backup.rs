//! A copy of the whole library in another file: made under a passing name, checked, then named.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use crate::check::check;
use crate::error::StoreError;
use crate::files;
use crate::library::Library;

/// Pages copied at a time; the library is ours alone, so there is nobody to wait for.
const PAGES: std::ffi::c_int = 4_096;

impl Library {
    /// Writes a copy of the library to a file that is not there yet, and checks all of it before it
    /// gets its name. The copy is a library like any other.
    ///
    /// # Errors
    /// The file exists; the library or the copy is damaged; no room, or the system refuses.
    pub fn backup_to(&self, path: &Path) -> Result<(), StoreError> {
        if path.exists() {
            let why = format!(
                "the file {} is already there: choose another name for the copy",
                path.display()
            );
            return Err(StoreError::refused(why));
        }
        let passing = passing_name(path);
        let outcome = self
            .copy_to(&passing)
            .and_then(|()| fs::rename(&passing, path).map_err(|error| StoreError::io(path, error)));
        if outcome.is_err() {
            // the first error is the one to tell; a passing file that stays is written over next time
            let _ = fs::remove_file(&passing);
        }
        outcome
    }

    fn copy_to(&self, passing: &Path) -> Result<(), StoreError> {
        let failed = |error| StoreError::sqlite("the copy", "writing", error);
        if passing.exists() {
            fs::remove_file(passing).map_err(|error| StoreError::io(passing, error))?;
        }
        files::prepare(passing)?;
        let mut copy = Connection::open(passing).map_err(failed)?;
        Backup::new(&self.connection, &mut copy)
            .and_then(|backup| backup.run_to_completion(PAGES, Duration::ZERO, None))
            .map_err(failed)?;
        // one file, with nothing beside it
        copy.pragma_update(None, "journal_mode", "DELETE").map_err(failed)?;
        if let Some(finding) = check(&copy)?.into_iter().next() {
            return Err(StoreError::damaged(&finding.table, finding.row, finding.what));
        }
        copy.close().map_err(|(_, error)| failed(error))?;
        let file = fs::File::open(passing).map_err(|error| StoreError::io(passing, error))?;
        file.sync_all().map_err(|error| StoreError::io(passing, error))
    }
}

fn passing_name(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".partial");
    PathBuf::from(name)
}
