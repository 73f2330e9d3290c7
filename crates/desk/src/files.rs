//! Files in and out: read whole under a limit, written whole or not at all.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use pacewright_core::assess::{Assessment, Known, assess_known};
use pacewright_core::effort::{DistanceLine, DistanceSource, NoEffort};
use pacewright_core::recording::Recording;
use pacewright_core::test::TestKind;
use pacewright_core::units::{Distance, Seconds};
use pacewright_store::system_words;

use crate::Problem;

/// The largest file that is read, bytes.
const LARGEST: u64 = pacewright_recording::LARGEST_FILE as u64;

/// Reads a recording file.
///
/// # Errors
/// A file that cannot be opened, is too large, empty, foreign or timeless.
pub fn open_recording(path: &Path) -> Result<Recording, Problem> {
    open_bytes(path, &read_bytes(path)?)
}

/// Reads a recording from bytes that came from a path.
pub(crate) fn open_bytes(path: &Path, bytes: &[u8]) -> Result<Recording, Problem> {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    pacewright_recording::read(bytes, &name).map_err(|e| Problem::about(path, format!("{e}.")))
}

/// What was found in one file given to be judged.
#[derive(Debug, Clone, PartialEq)]
pub struct AssessedFile {
    /// Which file.
    pub path: PathBuf,
    /// The recording, where one could be read.
    pub recording: Option<Measured>,
    /// The effort and its remarks, or why there is none.
    pub outcome: Result<Assessment, Problem>,
}

/// A recording's size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Whole distance.
    pub distance: Option<Distance>,
    /// Length on the elapsed clock.
    pub duration: Seconds,
    /// Where the distance was measured.
    pub source: Option<DistanceSource>,
}

/// Reads a recording file and judges it as a test; no library needed. What [`open_recording`]
/// refuses, and recordings too short for the test, stand in the outcome.
pub fn assess_file(path: &Path, kind: TestKind, known: &Known) -> AssessedFile {
    let recording = match open_recording(path) {
        Ok(recording) => recording,
        Err(problem) => {
            return AssessedFile { path: path.to_owned(), recording: None, outcome: Err(problem) };
        }
    };
    let line = DistanceLine::of(&recording);
    let measured = Measured {
        distance: line.as_ref().and_then(DistanceLine::total),
        duration: recording.duration(),
        source: match known.measured {
            Some(_) => Some(DistanceSource::Entered),
            None => line.as_ref().map(DistanceLine::source),
        },
    };
    let outcome = assess_known(&recording, kind, known).map_err(|e| too_short(path, kind, e));
    AssessedFile { path: path.to_owned(), recording: Some(measured), outcome }
}

/// The sentence for a recording that cannot be the test.
pub(crate) fn too_short(path: &Path, kind: TestKind, error: NoEffort) -> Problem {
    let advice = format!(
        "a {}-minute test needs at least 97 % of its length; choose the right test or the right file",
        kind.minutes()
    );
    Problem::about(path, format!("{error}: {advice}."))
}

/// Every file under the paths given: files as they are, folders with all that lies in them, in the
/// order of their names.
///
/// # Errors
/// A path that does not exist or a folder that cannot be listed.
pub fn gather(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Problem> {
    let mut files = Vec::new();
    for path in paths {
        if path.is_dir() {
            list(path, 0, &mut files)?;
        } else if path.exists() {
            files.push(path.clone());
        } else {
            return Err(Problem::about(path, "no such file or folder; check the name."));
        }
    }
    Ok(files)
}

/// Folders nested deeper than this are not followed: a link that points back up ends here.
const DEEPEST: usize = 16;

fn list(folder: &Path, depth: usize, files: &mut Vec<PathBuf>) -> Result<(), Problem> {
    let refuse = |e: std::io::Error| {
        Problem::about(
            folder,
            format!("cannot be listed ({}); check that you may open it.", system_words(&e)),
        )
    };
    let mut entries = Vec::new();
    for entry in fs::read_dir(folder).map_err(refuse)? {
        entries.push(entry.map_err(refuse)?.path());
    }
    entries.sort();
    for path in entries {
        let hidden = path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'));
        if hidden {
            continue;
        }
        if path.is_dir() {
            if depth < DEEPEST {
                list(&path, depth + 1, files)?;
            }
        } else {
            files.push(path);
        }
    }
    Ok(())
}

/// The bytes of a file.
///
/// # Errors
/// A file that cannot be read, is none, or is larger than any recording of a run.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    let refuse = |e: std::io::Error| {
        let why = system_words(&e);
        Problem::about(
            path,
            format!("cannot be read ({why}); check its name and that you may open it."),
        )
    };
    let found = fs::metadata(path).map_err(refuse)?;
    // a pipe or device may never end
    if !found.is_file() {
        return Err(Problem::about(path, "is no file; name a file."));
    }
    if found.len() > LARGEST {
        return Err(Problem::about(
            path,
            format!("is over {} MB; export one run to a file.", LARGEST >> 20),
        ));
    }
    fs::read(path).map_err(refuse)
}

/// Writes a file whole: beside its place first, then moved over it.
///
/// # Errors
/// As [`write_all_whole`].
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    write_all_whole(folder, &[(path.to_owned(), bytes)])
}

/// Writes files of one folder whole: all of them beside their places first, then moved over them, so
/// that a full disk or a program broken off leaves what stood there before.
///
/// # Errors
/// A folder that does not exist or cannot be written, a full disk. What stood there before stays.
pub fn write_all_whole<B: AsRef<[u8]>>(
    folder: &Path,
    files: &[(PathBuf, B)],
) -> Result<(), Problem> {
    sweep(folder);
    let mut written = Vec::with_capacity(files.len());
    for (path, bytes) in files {
        let refuse = |e: std::io::Error| unwritable(path, &e);
        if path.is_dir() {
            return Err(unwritable(path, &std::io::ErrorKind::IsADirectory.into()));
        }
        let mut beside = beside(folder).map_err(refuse)?;
        beside.write_all(bytes.as_ref()).map_err(refuse)?;
        beside.as_file().sync_all().map_err(refuse)?;
        written.push((path, beside));
    }
    for (path, beside) in written {
        let _kept = beside.persist(path).map_err(|e| unwritable(path, &e.error))?;
    }
    Ok(())
}

fn unwritable(path: &Path, error: &std::io::Error) -> Problem {
    let why = system_words(error);
    Problem::about(
        path,
        format!("cannot be written ({why}); choose a folder that is there and may be written."),
    )
}

/// How the name of a file begins and ends while it is being written.
const UNFINISHED: (&str, &str) = (".pacewright-", ".unfinished");

/// Takes away what a program that was broken off left unfinished. Where that fails, the leftovers
/// stay hidden and harm nothing.
fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with(UNFINISHED.0) && name.ends_with(UNFINISHED.1) {
            let _gone = fs::remove_file(entry.path());
        }
    }
}

/// A new file that others may read as the person's settings allow: papers are handed on.
fn beside(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    let _builder = builder.prefix(UNFINISHED.0).suffix(UNFINISHED.1);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let _builder = builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Where papers usually go: the person's documents, else their home, else where the program was
/// started.
pub fn documents_folder() -> std::path::PathBuf {
    let folders = directories::UserDirs::new();
    let documents = folders.as_ref().and_then(|f| f.document_dir().map(Path::to_owned));
    let home = || folders.as_ref().map(|f| f.home_dir().to_owned());
    documents.filter(|d| d.is_dir()).or_else(home).filter(|d| d.is_dir()).unwrap_or_default()
}
