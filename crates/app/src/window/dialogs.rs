//! The desktop's dialogs for files and its viewer of documents, behind a small trait so that tests choose
//! and look without them.

use std::fmt::Debug;
use std::panic::{RefUnwindSafe, UnwindSafe};
use std::path::{Path, PathBuf};

/// Asks the person for files. Called off the window's thread: a dialog may stay open for long.
pub trait Dialogs: Debug + Send + Sync + UnwindSafe + RefUnwindSafe {
    /// Recordings to read; none where it was closed, or where the desktop has no dialogs.
    fn recordings(&self) -> Vec<PathBuf>;

    /// A folder of recordings.
    fn folder(&self) -> Option<PathBuf>;

    /// Opens a document in the program the desktop keeps for it; whether one was found.
    fn view(&self, document: &Path) -> bool;
}

/// The desktop's own dialogs.
#[derive(Debug, Clone, Copy)]
pub struct SystemDialogs;

impl Dialogs for SystemDialogs {
    fn recordings(&self) -> Vec<PathBuf> {
        rfd::FileDialog::new()
            .set_title("Recordings to read")
            .add_filter("Recordings", &["fit", "FIT", "gpx", "GPX", "csv", "CSV"])
            .add_filter("All files", &["*"])
            .pick_files()
            .unwrap_or_default()
    }

    fn folder(&self) -> Option<PathBuf> {
        rfd::FileDialog::new().set_title("A folder of recordings").pick_folder()
    }

    fn view(&self, document: &Path) -> bool {
        open::that_detached(document).is_ok()
    }
}
