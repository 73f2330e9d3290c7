//! Why the library could not do what it was asked: what happened, whether the data is safe, and
//! what to do, in one sentence each.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use pacewright_core::ids::RecordingId;
use rusqlite::ErrorCode;

/// Why the library could not do what it was asked.
#[derive(Debug, Clone, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Another running program has the library open.
    #[error(
        "the library {} is open in another running program; nothing was changed: close that one and try again",
        .path.display()
    )]
    Locked {
        /// The library.
        path: PathBuf,
    },
    /// The file is something else, or its beginning is damaged beyond recognition.
    #[error(
        "the file {} is not a library of this program, or its beginning is damaged; the file was left as it is: \
         choose another file, or restore a backup of this one",
        .path.display()
    )]
    NotALibrary {
        /// The file.
        path: PathBuf,
    },
    /// A newer version of the program wrote the library.
    #[error(
        "this library was written by a newer version of the program (library version {found}, this program \
         reads up to {supported}); it is safe and was not touched: install the newer version to open it"
    )]
    FileTooNew {
        /// The version found in the file.
        found: i64,
        /// The newest version this program reads.
        supported: i64,
    },
    /// A row, a table or the file's structure is not what was written.
    #[error(
        "the library is damaged in {table}{}: {what}; the damaged value is not used: restore a backup, or run \
         the check to see everything that is affected",
        .row.map_or_else(String::new, |row| format!(" row {row}"))
    )]
    Damaged {
        /// Which table, or "the file".
        table: String,
        /// Which row, where one is to blame.
        row: Option<i64>,
        /// What is wrong.
        what: String,
    },
    /// The disk is full.
    #[error(
        "the disk is full, so nothing was saved of this step; everything saved before is safe: free some space \
         and try again"
    )]
    Full,
    /// The file or its folder cannot be written.
    #[error(
        "the library cannot be written, so nothing was changed; what it holds is safe: allow writing to its \
         file and folder, or choose another place"
    )]
    ReadOnly,
    /// The system refused to read or write a file.
    #[error(
        "the place {} could not be read or written ({}); what the library holds is safe: check that the place \
         exists and may be written, then try again",
        .path.display(), system_words(.source)
    )]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// The system's reason.
        source: Arc<std::io::Error>,
    },
    /// The database refused something unforeseen.
    #[error(
        "the library failed while {doing} ({source}); nothing was changed by this step and everything saved \
         before is safe: try again, and run the check if it happens again"
    )]
    Sqlite {
        /// What was being done: "reading tests".
        doing: String,
        /// The database's reason.
        source: Arc<rusqlite::Error>,
    },
    /// There is no such fact, or it was removed.
    #[error(
        "there is no {what} number {id} in the library, or it was removed; nothing was changed: choose another, \
         or bring it back with undo"
    )]
    NotFound {
        /// What was looked for: "athlete".
        what: &'static str,
        /// Its identity.
        id: i64,
    },
    /// The same file was taken in before.
    #[error(
        "this recording is already in the library as number {}; nothing was changed: use that one, or remove it \
         first",
        .recording.0
    )]
    Duplicate {
        /// The recording that is there.
        recording: RecordingId,
    },
    /// The library does not take this.
    #[error("{why}; nothing was changed")]
    Refused {
        /// Why, and what to do.
        why: String,
    },
    /// The thread that owns the library broke off or is gone.
    #[error(
        "the work on the library broke off unexpectedly; everything saved before is safe: try again, and start \
         the program anew if it happens again"
    )]
    BrokenOff,
    /// The system names no folder for a person's data.
    #[error(
        "the system names no folder for your data, so there is no default library; nothing was changed: name a \
         library file yourself"
    )]
    NoDataFolder,
}

/// Why the system refused to read or write, in words for people.
pub fn system_words(error: &std::io::Error) -> String {
    use std::io::ErrorKind;
    match error.kind() {
        ErrorKind::NotFound => "no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => "not allowed".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::AlreadyExists | ErrorKind::NotADirectory => {
            "a file stands where a folder is needed".to_owned()
        }
        ErrorKind::IsADirectory | ErrorKind::DirectoryNotEmpty => {
            "a folder stands where a file is needed".to_owned()
        }
        other => other.to_string(),
    }
}

impl StoreError {
    pub(crate) fn damaged(
        table: &str,
        row: impl Into<Option<i64>>,
        what: impl Into<String>,
    ) -> Self {
        Self::Damaged { table: table.to_owned(), row: row.into(), what: what.into() }
    }

    pub(crate) fn refused(why: impl Into<String>) -> Self {
        Self::Refused { why: why.into() }
    }

    pub(crate) fn io(path: &Path, source: std::io::Error) -> Self {
        match source.kind() {
            std::io::ErrorKind::StorageFull => Self::Full,
            _ => Self::Io { path: path.to_owned(), source: Arc::new(source) },
        }
    }

    /// What the database's own error means. `table` is where it happened, `doing` what was tried.
    pub(crate) fn sqlite(table: &str, doing: &str, source: rusqlite::Error) -> Self {
        match source.sqlite_error_code() {
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                Self::damaged(table, None, format!("its structure is broken ({source})"))
            }
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::ReadOnly) => Self::ReadOnly,
            _ => Self::Sqlite { doing: format!("{doing} {table}"), source: Arc::new(source) },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_cross_threads_and_can_be_kept() {
        fn sendable<T: Clone + Send + Sync + 'static>() {}
        sendable::<StoreError>();
    }

    #[test]
    fn a_damaged_row_is_named() {
        let words = StoreError::damaged("test", 7, "its seal does not match").to_string();
        assert!(
            words.starts_with("the library is damaged in test row 7: its seal does not match;"),
            "{words}"
        );
    }
}
