//! Recordings into the library as tests to confirm. All of what one call reads is taken in by one
//! act at its end: an interrupted read leaves the library as it was.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use pacewright_core::assess::assess;
use pacewright_core::athlete::Athlete;
use pacewright_core::checks::RULES_VERSION;
use pacewright_core::effort::kind_by_lap;
use pacewright_core::format;
use pacewright_core::ids::{AthleteId, RecordingId, TestId};
use pacewright_core::recording::Recording;
use pacewright_core::remark::Remark;
use pacewright_core::test::{Decision, Evidence, Test, TestKind};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_store::{Act, Change, ContentHash, Library, NewRecording};

use crate::book::{self, Book};
use crate::desk::Desk;
use crate::files::{gather, open_bytes, read_bytes, too_short};
use crate::matching::{NoMatch, athlete_of};
use crate::{Now, Problem};

/// What is to be read.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// Recordings, or folders of them.
    pub paths: Vec<PathBuf>,
    /// Whose they are; else matched by file and folder names.
    pub athlete: Option<String>,
    /// Which test; else by booking or marked lap.
    pub kind: Option<TestKind>,
}

/// A file in memory, with what is known about it beforehand.
#[derive(Debug, Clone)]
pub struct Incoming {
    /// Where it comes from; its name may carry the athlete's.
    pub path: PathBuf,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// Whose it is, where that is known.
    pub athlete: Option<AthleteId>,
    /// Which test it is, where that is known.
    pub kind: Option<TestKind>,
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
    /// What became of it.
    pub outcome: Outcome,
    /// Why, in one sentence, where it was not taken in; what the checks say first where it was.
    pub reason: Option<String>,
}

/// Reads files and folders into the library.
///
/// # Errors
/// A path that does not exist, an athlete who is not there, or a library that takes nothing more.
/// What is wrong with a single file stands in its line.
pub fn read_in(desk: &Desk, asked: &Asked, now: &Now) -> Result<Vec<ReadLine>, Problem> {
    let book = book::open(desk)?;
    let athlete =
        asked.athlete.as_deref().map(|n| book.of_athlete(n)).transpose()?.map(|p| p.athlete.id);
    let mut batch = Batch::new(&book, now);
    for path in gather(&asked.paths)? {
        match read_bytes(&path) {
            Ok(bytes) => {
                batch.add(desk, &Incoming { path, bytes, athlete, kind: asked.kind })?;
            }
            Err(problem) => batch.lines.push(refused(&path, &problem)),
        }
    }
    batch.take_in(desk, now)
}

/// Takes files that are already in memory into the library, by the same way as any other.
///
/// # Errors
/// As [`read_in`].
pub fn take_in(desk: &Desk, incoming: Vec<Incoming>, now: &Now) -> Result<Vec<ReadLine>, Problem> {
    let book = book::open(desk)?;
    let mut batch = Batch::new(&book, now);
    for file in incoming {
        batch.add(desk, &file)?;
    }
    batch.take_in(desk, now)
}

/// A recording judged and ready.
struct Ready {
    recording: NewRecording,
    test: Test,
    remarks: Vec<Remark>,
}

/// What one call has read so far; nothing of it is in the library yet.
struct Batch<'a> {
    book: &'a Book,
    now: &'a Now,
    athletes: Vec<Athlete>,
    seen: HashSet<ContentHash>,
    lines: Vec<ReadLine>,
    ready: Vec<Ready>,
}

impl<'a> Batch<'a> {
    fn new(book: &'a Book, now: &'a Now) -> Self {
        let athletes = book.pages.iter().map(|p| p.athlete.clone()).collect();
        Self { book, now, athletes, seen: HashSet::new(), lines: Vec::new(), ready: Vec::new() }
    }

    fn add(&mut self, desk: &Desk, file: &Incoming) -> Result<(), Problem> {
        let hash = ContentHash::of(&file.bytes);
        let known = desk.ask(move |library| Ok(library.recording_by_hash(&hash)?))?;
        let mut line = ReadLine {
            path: file.path.clone(),
            athlete: None,
            kind: None,
            outcome: Outcome::Refused,
            reason: None,
        };
        if known.is_some() || self.seen.contains(&hash) {
            line.outcome = Outcome::Duplicate;
            line.reason = Some(match known {
                Some(before) => format!("it was read before, as {}.", before.file_name),
                None => "the same file stands twice in what was read.".to_owned(),
            });
        } else {
            match self.judge(file, hash, &mut line) {
                Ok(ready) => {
                    line.outcome = Outcome::TakenIn;
                    line.reason =
                        ready.remarks.first().map(|r| words::remark(r, UnitSystem::Kilometres));
                    self.ready.push(ready);
                    // only what is taken in: the same file may stand there under a name that says more
                    let _first = self.seen.insert(hash);
                }
                Err((outcome, reason)) => {
                    line.outcome = outcome;
                    line.reason = Some(reason);
                }
            }
        }
        self.lines.push(line);
        Ok(())
    }

    /// One file, whose and which test and what it is worth; or why not.
    fn judge(
        &self,
        file: &Incoming,
        content_hash: ContentHash,
        line: &mut ReadLine,
    ) -> Result<Ready, (Outcome, String)> {
        let refuse = |problem: Problem| (Outcome::Refused, problem.to_string());
        let recording = open_bytes(&file.path, &file.bytes).map_err(refuse)?;
        let athlete = self.whose(file).map_err(|reason| (Outcome::Unmatched, reason))?;
        line.athlete = Some(athlete.name.clone());
        let started = recording.started_at().ok_or_else(|| {
            (
                Outcome::Refused,
                "its clock has no date; type the result into a test of that day instead."
                    .to_owned(),
            )
        })?;
        let on = (self.now.day_of)(started);
        if on > self.now.today {
            // zones in force from a day to come would keep all earlier ones out
            let day = format::day(on);
            return Err((
                Outcome::Refused,
                format!(
                    "its clock says {day}, a day yet to come; set the device's clock right and type the result into a test of its true day."
                ),
            ));
        }
        let kind = self.which(file, athlete.id, &recording, on).ok_or_else(|| {
            (Outcome::Unmatched, format!("which test was it? None is booked on {} and no lap marks one; say 5, 20 or 40.", format::day(on)))
        })?;
        line.kind = Some(kind);
        let page = self.book.pages.iter().find(|p| p.athlete.id == athlete.id);
        let target = page.and_then(|p| book::target_on(&p.facts(&p.tests), on));
        let assessment =
            assess(&recording, kind, target).map_err(|e| refuse(too_short(&file.path, kind, e)))?;
        let remarks = assessment.remarks.clone();
        let (Some(performance), Some(effort)) = (assessment.performance(), assessment.effort)
        else {
            let why = remarks.first().map(|r| words::remark(r, UnitSystem::Kilometres));
            return Err((Outcome::Refused, why.unwrap_or_default()));
        };
        let file_name = name_of(&file.path);
        // identities are given out when the act is written
        let (id, test) = (RecordingId(0), TestId(0));
        let evidence =
            Evidence::Recorded { recording: id, span: effort.span, found_by: effort.found_by };
        Ok(Ready {
            recording: NewRecording {
                id,
                athlete: Some(athlete.id),
                content_hash,
                file_name,
                added_on: self.now.today,
                recording,
            },
            test: Test {
                id: test,
                athlete: athlete.id,
                kind,
                on,
                performance,
                evidence,
                decision: Decision::ToConfirm,
            },
            remarks,
        })
    }

    fn whose(&self, file: &Incoming) -> Result<&Athlete, String> {
        if let Some(id) = file.athlete {
            return self
                .athletes
                .iter()
                .find(|a| a.id == id)
                .ok_or_else(|| "that athlete is not in the library.".to_owned());
        }
        athlete_of(&file.path, &self.athletes).map_err(|why| match why {
            NoMatch::Nobody => "no athlete's name or alias stands in the file's or folder's name; say whose it is, or add an alias.".to_owned(),
            NoMatch::Several(names) => format!("its name fits {}; say whose it is.", names.join(" and ")),
        })
    }

    /// Asked for; else booked for that day; else marked by a lap of the test's length.
    fn which(
        &self,
        file: &Incoming,
        athlete: AthleteId,
        recording: &Recording,
        on: chrono::NaiveDate,
    ) -> Option<TestKind> {
        let booked = || {
            let page = self.book.pages.iter().find(|p| p.athlete.id == athlete)?;
            page.bookings.iter().find(|b| b.on == on).map(|b| b.kind)
        };
        file.kind.or_else(booked).or_else(|| kind_by_lap(recording))
    }

    /// Writes everything in one act, or nothing.
    fn take_in(self, desk: &Desk, now: &Now) -> Result<Vec<ReadLine>, Problem> {
        let Self { ready, lines, .. } = self;
        if !ready.is_empty() {
            let at = now.instant;
            desk.ask(move |library| write(library, ready, at))?;
        }
        Ok(lines)
    }
}

fn write(
    library: &mut Library,
    ready: Vec<Ready>,
    at: chrono::DateTime<chrono::Utc>,
) -> Result<(), Problem> {
    let count = ready.len();
    let mut changes = Vec::with_capacity(2 * count);
    let mut judged = Vec::with_capacity(count);
    for Ready { mut recording, mut test, remarks } in ready {
        recording.id = library.fresh_id()?;
        test.id = library.fresh_id()?;
        if let Evidence::Recorded { recording: id, .. } = &mut test.evidence {
            *id = recording.id;
        }
        judged.push((test.id, remarks));
        changes.push(Change::AddRecording(recording));
        changes.push(Change::PutTest(test));
    }
    let what =
        if count == 1 { "Read 1 recording".to_owned() } else { format!("Read {count} recordings") };
    let _done = library.act(&Act { what, at, changes })?;
    // the tests are safe by now; remarks that could not be kept are made anew when they are asked for
    let _kept = library.cache_remarks_of_all(RULES_VERSION, &judged);
    Ok(())
}

fn refused(path: &Path, problem: &Problem) -> ReadLine {
    let reason = Some(problem.to_string());
    ReadLine { path: path.to_owned(), athlete: None, kind: None, outcome: Outcome::Refused, reason }
}

fn name_of(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
