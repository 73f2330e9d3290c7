//! Files in and out: read whole under a limit, written whole or not at all.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use pacewright_core::assess::{Assessment, assess};
use pacewright_core::effort::{DistanceLine, DistanceSource, NoEffort};
use pacewright_core::recording::Recording;
use pacewright_core::test::TestKind;
use pacewright_core::units::{Distance, HeartRate, Seconds};

use crate::Problem;

/// The largest file that is read, bytes.
const LARGEST: u64 = 512 * 1024 * 1024;

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
pub fn assess_file(path: &Path, kind: TestKind, target: Option<HeartRate>) -> AssessedFile {
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
        source: line.as_ref().map(DistanceLine::source),
    };
    let outcome = assess(&recording, kind, target).map_err(|e| too_short(path, kind, e));
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
    let refuse = |e: std::io::Error| Problem::about(folder, format!("cannot be listed ({e})."));
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

/// The bytes of a file, up to 512 MB.
///
/// # Errors
/// A file that cannot be read, or is larger.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    let refuse =
        |e: std::io::Error| Problem::about(path, format!("cannot be read ({}).", plain(&e)));
    let size = fs::metadata(path).map_err(refuse)?.len();
    if size > LARGEST {
        return Err(Problem::about(path, "is over 512 MB; no recording of a run is that large."));
    }
    fs::read(path).map_err(refuse)
}

/// Writes a file whole: beside its place first, then moved over it.
///
/// # Errors
/// A folder that does not exist or cannot be written, a full disk. What stood there before stays.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let refuse = |e: &std::io::Error| {
        Problem::about(path, format!("cannot be written ({}); nothing was changed.", plain(e)))
    };
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = beside(folder).map_err(|e| refuse(&e))?;
    beside.write_all(bytes).map_err(|e| refuse(&e))?;
    beside.as_file().sync_all().map_err(|e| refuse(&e))?;
    let _kept = beside.persist(path).map_err(|e| refuse(&e.error))?;
    Ok(())
}

/// A new file that others may read as the person's settings allow: papers are handed on.
fn beside(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let _builder = builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

fn plain(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "no such file or folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => "not allowed".to_owned(),
        std::io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        _ => error.to_string(),
    }
}
