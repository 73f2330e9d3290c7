//! Recordings into the library as tests to confirm. All of what one call reads is taken in by one
//! act at its end: an interrupted read leaves the library as it was, a cancelled one keeps what it
//! had read.

mod batch;
pub(crate) mod second;
pub(crate) mod split;

use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use pacewright_core::course::Measured;
use pacewright_core::ids::AthleteId;
use pacewright_core::test::TestKind;

use crate::book;
use crate::desk::Desk;
use crate::files::{gather, read_bytes};
use crate::job::{Job, Progress};
use crate::measured::{measured_as, one_file_only};
use crate::{Now, Problem};
use batch::Batch;
pub use split::Ran;

/// What is to be read.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// Recordings, or folders of them.
    pub paths: Vec<PathBuf>,
    /// Whose they are; else matched by file and folder names.
    pub athlete: Option<String>,
    /// Which test; else by booking, marked lap or length.
    pub kind: Option<TestKind>,
    /// The day of recordings whose clock has no date.
    pub day: Option<NaiveDate>,
    /// How far each effort went, as somebody measured it: see [`measured_as`].
    pub measured: Option<String>,
}

/// What the coach says of a recording beforehand.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Whose it is.
    pub athlete: Option<AthleteId>,
    /// Which test it is.
    pub kind: Option<TestKind>,
    /// The day it was run, where its clock has no date.
    pub day: Option<NaiveDate>,
    /// How far its effort went, as somebody measured it.
    pub measured: Option<Measured>,
}

/// A file in memory, with what is said of it.
#[derive(Debug, Clone)]
pub struct Incoming {
    /// Where it comes from; its name may carry the athlete's.
    pub path: PathBuf,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// What is known about it beforehand.
    pub said: Said,
}

/// What the coach would have to say for a file to be taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// Whose it is.
    Athlete,
    /// Which test it is.
    Kind,
    /// On which day it was run.
    Day,
    /// How far it went: it holds no distance of its own.
    Distance,
}

/// What became of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// In the library, to confirm.
    TakenIn,
    /// The same file was there already.
    Duplicate,
    /// Nobody it belongs to, or no test it could be.
    Unmatched,
    /// It is no recording, or none of that test.
    Refused,
}

/// One file's outcome.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadLine {
    /// Which file.
    pub path: PathBuf,
    /// Whose, where that was found.
    pub athlete: Option<String>,
    /// Which test, where that was found.
    pub kind: Option<TestKind>,
    /// Where neither a booking nor a lap said which: the test the recording is as long as, for the
    /// coach to say.
    pub proposed: Option<TestKind>,
    /// What became of it.
    pub outcome: Outcome,
    /// Why, in one sentence, where it was not taken in; what the checks say first where it was.
    pub reason: Option<String>,
    /// What would have to be said first, where that is all that is missing.
    pub ask: Option<Ask>,
    /// When it was recorded, where it could be read and its clock has a date.
    pub ran: Option<Ran>,
}

/// Reads files and folders into the library.
///
/// # Errors
/// A path that does not exist, an athlete who is not there, or a library that takes nothing more.
/// What is wrong with a single file stands in its line.
pub fn read_in(desk: &Desk, asked: &Asked, now: &Now) -> Result<Vec<ReadLine>, Problem> {
    Ok(read_day(desk, asked, now, &Job::unwatched())?.lines)
}

/// What became of a whole day's files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayRead {
    /// One line a file that was looked at.
    pub lines: Vec<ReadLine>,
    /// Files not looked at, because the job was cancelled.
    pub left: usize,
}

impl DayRead {
    /// What to say where the job was cancelled.
    pub fn stopped(&self) -> Option<String> {
        let taken = self.lines.iter().filter(|line| line.outcome == Outcome::TakenIn).count();
        (self.left > 0).then(|| {
            format!(
                "Stopped: {taken} taken in, {} not looked at. What is in stays; read the same folder again for the rest.",
                self.left
            )
        })
    }
}

/// Reads a whole test day, file by file, telling each step. Cancelled, it keeps what it has read so
/// far.
///
/// # Errors
/// As [`read_in`]; a measured distance for more than one file.
pub fn read_day(desk: &Desk, asked: &Asked, now: &Now, job: &Job<'_>) -> Result<DayRead, Problem> {
    let book = book::open(desk)?;
    let athlete =
        asked.athlete.as_deref().map(|n| book.of_athlete(n)).transpose()?.map(|p| p.athlete.id);
    let files = in_folders(&asked.paths)?;
    let measured = asked.measured.as_deref().map(|text| measured_as(desk, text)).transpose()?;
    if measured.is_some() && files.len() > 1 {
        // one runner's distance would count for everybody
        return Err(one_file_only());
    }
    let said = Said { athlete, kind: asked.kind, day: asked.day, measured };
    let mut batch = Batch::new(&book, now);
    let mut left = 0;
    for (done, (path, folders)) in files.iter().enumerate() {
        if !job.goes_on(Progress { done, of: files.len(), next: path }) {
            left = files.len() - done;
            break;
        }
        match read_bytes(path) {
            Ok(bytes) => {
                let path = path.clone();
                batch.add(desk, &Incoming { path, bytes, said: said.clone() }, *folders)?;
            }
            Err(problem) => batch.lines.push(refused(path, &problem)),
        }
    }
    Ok(DayRead { lines: batch.take_in(desk, now)?, left })
}

/// Every file, with how many folders above it were given with it: their names may say whose it is.
fn in_folders(paths: &[PathBuf]) -> Result<Vec<(PathBuf, usize)>, Problem> {
    let mut files = Vec::new();
    for root in paths {
        for path in gather(std::slice::from_ref(root))? {
            let below = path.strip_prefix(root).map_or(1, |inside| inside.components().count());
            files.push((path, below.max(1)));
        }
    }
    Ok(files)
}

/// Takes files that are already in memory into the library, by the same way as any other.
///
/// # Errors
/// As [`read_in`].
pub fn take_in(desk: &Desk, incoming: Vec<Incoming>, now: &Now) -> Result<Vec<ReadLine>, Problem> {
    let book = book::open(desk)?;
    let mut batch = Batch::new(&book, now);
    for file in incoming {
        batch.add(desk, &file, 1)?;
    }
    batch.take_in(desk, now)
}

fn refused(path: &Path, problem: &Problem) -> ReadLine {
    let reason = Some(problem.to_string());
    let path = path.to_owned();
    let outcome = Outcome::Refused;
    ReadLine {
        path,
        athlete: None,
        kind: None,
        proposed: None,
        outcome,
        reason,
        ask: None,
        ran: None,
    }
}
