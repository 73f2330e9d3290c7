//! Keeping the library safe: what is in it, whether it is whole, a copy of it and the way back.

use std::path::{Path, PathBuf};

use pacewright_core::words;
use pacewright_store::{Finding, default_path};

use crate::Problem;
use crate::desk::Desk;

/// What is in a library.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holdings {
    /// Its file; `None` for one in memory.
    pub path: Option<PathBuf>,
    /// How many athletes.
    pub athletes: usize,
    /// How many tests.
    pub tests: usize,
    /// How many recordings.
    pub recordings: usize,
}

/// Counts what is in the library.
///
/// # Errors
/// Damage in the library.
pub fn holdings(desk: &Desk) -> Result<Holdings, Problem> {
    desk.ask(|library| {
        Ok(Holdings {
            path: library.path().map(Path::to_owned),
            athletes: library.athletes()?.len(),
            tests: library.tests()?.len(),
            recordings: library.recordings()?.len(),
        })
    })
}

/// Looks at every row of the library; each finding is one sentence, none means that it is whole.
///
/// # Errors
/// The file cannot be read at all.
pub fn check(desk: &Desk) -> Result<Vec<String>, Problem> {
    let sentence = |finding: &Finding| words::capital(&format!("{finding}."));
    desk.ask(move |library| Ok(library.check()?.iter().map(sentence).collect()))
}

/// Copies the library to another file, verified before it counts.
///
/// # Errors
/// A file that stands there already, a place that cannot be written, a full disk.
pub fn copy_to(desk: &Desk, path: &Path) -> Result<(), Problem> {
    let path = path.to_owned();
    desk.ask(move |library| Ok(library.backup_to(&path)?))
}

/// A library that a copy was put in the place of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// The copy it was restored from.
    pub copy: PathBuf,
    /// The library.
    pub library: PathBuf,
    /// What stood there before, under its new name; `None` where nothing did.
    pub kept: Option<PathBuf>,
}

impl Restored {
    /// What was done, and where what stood there is kept.
    pub fn sentence(&self) -> String {
        let (library, copy) = (self.library.display(), self.copy.display());
        match &self.kept {
            Some(kept) => format!(
                "{library} is now as {copy} has it. What stood there before is kept as {}.",
                kept.display()
            ),
            None => format!("{library} is now as {copy} has it."),
        }
    }
}

/// Puts a copy in the place of a library (the default one where none is named), after all of it was
/// checked. What stood there is kept beside it.
///
/// # Errors
/// No such copy, a damaged or newer one; the library is open; a place that cannot be written. Then
/// the library is as it was.
pub fn restore(copy: &Path, library: Option<&Path>) -> Result<Restored, Problem> {
    let library = library.map_or_else(default_path, |path| Ok(path.to_owned()))?;
    let kept = pacewright_store::restore(copy, &library)?;
    Ok(Restored { copy: copy.to_owned(), library, kept })
}
