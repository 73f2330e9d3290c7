//! The files of one call: judged one by one, written together.

use std::collections::HashSet;
use std::path::Path;

use chrono::{DateTime, NaiveDate, Utc};
use pacewright_core::assess::{Assessment, Known, assess_known};
use pacewright_core::athlete::Athlete;
use pacewright_core::checks::RULES_VERSION;
use pacewright_core::course::{Measured, MeasuredEffort};
use pacewright_core::effort::{NoEffort, kind_by_lap, kind_by_length};
use pacewright_core::format;
use pacewright_core::ids::{AthleteId, RecordingId, TestId};
use pacewright_core::recording::Recording;
use pacewright_core::remark::{Code, Finding, Remark};
use pacewright_core::test::{Decision, Evidence, Test, TestKind};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_store::{Act, Change, ContentHash, Library, NewRecording};

use super::split::{Piece, Ran};
use super::{Ask, Incoming, Outcome, ReadLine, second, split};
use crate::book::measured::{kept_for, text_of};
use crate::book::{self, Book};
use crate::desk::Desk;
use crate::files::{open_bytes, too_short};
use crate::history::whom;
use crate::matching::{NoMatch, athlete_of};
use crate::second_look::should_not_have_run;
use crate::{Now, Problem};

/// A recording judged and ready.
pub(super) struct Ready {
    pub(super) recording: NewRecording,
    pub(super) test: Test,
    pub(super) assessment: Assessment,
    /// What is to be said where another recording holds the same effort.
    pub(super) second: Option<Remark>,
    /// How far it went, as the coach said.
    pub(super) measured: Option<Measured>,
    /// Its line.
    pub(super) line: usize,
}

impl Ready {
    /// What is told of it first: what happened to the file, else the worst remark.
    fn told(&self) -> Option<String> {
        first_of(self.second.as_slice()).or_else(|| first_of(&self.assessment.remarks))
    }
}

/// Why a file is not taken in, and what would have to be said first.
pub(super) struct Refusal {
    outcome: Outcome,
    reason: String,
    ask: Option<Ask>,
}

impl Refusal {
    fn of(problem: &Problem) -> Self {
        Self { outcome: Outcome::Refused, reason: problem.to_string(), ask: None }
    }

    fn asking(ask: Ask, reason: impl Into<String>) -> Self {
        Self { outcome: Outcome::Unmatched, reason: reason.into(), ask: Some(ask) }
    }
}

/// What one call has read so far; nothing of it is in the library yet.
pub(super) struct Batch<'a> {
    book: &'a Book,
    now: &'a Now,
    athletes: Vec<Athlete>,
    seen: HashSet<ContentHash>,
    pub(super) lines: Vec<ReadLine>,
    ready: Vec<Ready>,
    /// Recordings too short for their test: parts of it, perhaps.
    pieces: Vec<Piece>,
    /// What happens to tests that were there before.
    changed: Vec<Test>,
}

/// Whose a recording is, and as what it is judged.
#[derive(Debug, Clone)]
pub(super) struct As {
    pub(super) athlete: AthleteId,
    pub(super) kind: TestKind,
    pub(super) on: NaiveDate,
    pub(super) measured: Option<Measured>,
}

impl<'a> Batch<'a> {
    pub(super) fn new(book: &'a Book, now: &'a Now) -> Self {
        Self {
            book,
            now,
            athletes: book.pages.iter().map(|p| p.athlete.clone()).collect(),
            seen: HashSet::new(),
            lines: Vec::new(),
            ready: Vec::new(),
            pieces: Vec::new(),
            changed: Vec::new(),
        }
    }

    /// Judges one file; the names of so many folders above it may say whose it is.
    pub(super) fn add(
        &mut self,
        desk: &Desk,
        file: &Incoming,
        folders: usize,
    ) -> Result<(), Problem> {
        let hash = ContentHash::of(&file.bytes);
        let known = desk.ask(move |library| Ok(library.recording_by_hash(&hash)?))?;
        let mut line = ReadLine {
            path: file.path.clone(),
            athlete: None,
            kind: None,
            proposed: None,
            outcome: Outcome::Refused,
            reason: None,
            ask: None,
            ran: None,
        };
        if known.is_some() || self.seen.contains(&hash) {
            line.outcome = Outcome::Duplicate;
            let there = match known {
                Some(before) => format!("it was read before, as {}", before.file_name),
                None => "the same file stands twice in what was read".to_owned(),
            };
            line.reason = Some(match &file.said.measured {
                Some(_) => format!(
                    "{there}; the distance given with it was not entered: open its test in the window, and type it there."
                ),
                None => format!("{there}."),
            });
        } else {
            match self.judge(file, folders, hash, &mut line) {
                Ok(mut ready) => {
                    line.outcome = Outcome::TakenIn;
                    self.beside_another(desk, &mut ready)?;
                    let ran = self.book.of_id(ready.test.athlete).ok();
                    let uncleared = ran.and_then(|page| should_not_have_run(page, &ready.test));
                    line.reason = uncleared.or_else(|| ready.told());
                    self.ready.push(ready);
                    // only what is taken in: the same file may stand there under a name that says more
                    let _first = self.seen.insert(hash);
                }
                Err(refusal) => {
                    line.outcome = refusal.outcome;
                    line.reason = Some(refusal.reason);
                    line.ask = refusal.ask;
                }
            }
        }
        self.lines.push(line);
        Ok(())
    }

    /// One file, whose and which test and what it is worth; or why not.
    fn judge(
        &mut self,
        file: &Incoming,
        folders: usize,
        hash: ContentHash,
        line: &mut ReadLine,
    ) -> Result<Ready, Refusal> {
        let recording =
            open_bytes(&file.path, &file.bytes).map_err(|problem| Refusal::of(&problem))?;
        line.ran = Ran::of(&recording);
        let athlete = self.whose(file, folders)?;
        line.athlete = Some(athlete.name.clone());
        let athlete = athlete.id;
        let on = self.day_of(file, &recording)?;
        let Some(kind) = self.which(file, athlete, &recording, on) else {
            line.proposed = kind_by_length(&recording);
            return Err(Refusal::asking(Ask::Kind, which_test(on, line.proposed)));
        };
        line.kind = Some(kind);
        let as_test = As { athlete, kind, on, measured: file.said.measured.clone() };
        let known = self.known(&as_test);
        let recording = self.new_recording(athlete, hash, name_of(&file.path), recording);
        match assess_known(&recording.recording, kind, &known) {
            Ok(assessment) => {
                let ask = asks_how_far(&assessment);
                ready(recording, as_test, assessment, self.lines.len()).map_err(|reason| Refusal {
                    outcome: Outcome::Refused,
                    reason,
                    ask,
                })
            }
            Err(error) => {
                if matches!(error, NoEffort::TooShort { .. }) {
                    self.pieces.push(Piece { recording, as_test, line: self.lines.len() });
                }
                // another test may be meant, or another file may hold the rest
                let ask = Some(Ask::Kind);
                Err(Refusal { ask, ..Refusal::of(&too_short(&file.path, kind, error)) })
            }
        }
    }

    /// The day a recording was made, by its clock; by what the coach said where that has no date.
    fn day_of(&self, file: &Incoming, recording: &Recording) -> Result<NaiveDate, Refusal> {
        let on = match (recording.started_at(), file.said.day) {
            (Some(started), _) => (self.now.day_of)(started),
            (None, Some(day)) => day,
            (None, None) => {
                let ask = "on which day was it run? Its clock has no date; say the day, and read it again.";
                return Err(Refusal::asking(Ask::Day, ask));
            }
        };
        if on <= self.now.today {
            return Ok(on);
        }
        // zones in force from a day to come would keep all earlier ones out
        let day = format::day(on);
        if recording.started_at().is_none() {
            return Err(Refusal::asking(
                Ask::Day,
                format!("{day} is yet to come; say the day it was run."),
            ));
        }
        let reason = format!(
            "its clock says {day}, a day yet to come; set the device's clock right and type the result into a test of its true day."
        );
        Err(Refusal { outcome: Outcome::Refused, reason, ask: None })
    }

    pub(super) fn known(&self, as_test: &As) -> Known {
        let page = self.book.pages.iter().find(|p| p.athlete.id == as_test.athlete);
        Known {
            target: page.and_then(|p| book::target_on(&p.facts(&p.tests), as_test.on)),
            medicated: page.is_some_and(|p| p.is_medicated(as_test.on)),
            sensor: page.and_then(|p| p.athlete.sensor),
            measured: as_test
                .measured
                .clone()
                .map(|measured| MeasuredEffort { measured, over: None }),
        }
    }

    fn whose(&self, file: &Incoming, folders: usize) -> Result<&Athlete, Refusal> {
        if let Some(id) = file.said.athlete {
            let known = self.athletes.iter().find(|a| a.id == id);
            let gone = "that athlete is not in the library.";
            return known.ok_or_else(|| Refusal::asking(Ask::Athlete, gone));
        }
        athlete_of(&file.path, folders, &self.athletes).map_err(|why| {
            Refusal::asking(Ask::Athlete, match why {
                NoMatch::Nobody => "no athlete's name or alias stands in the file's or folder's name; say whose it is, or add an alias.".to_owned(),
                NoMatch::Several(names) => format!("its name fits {}; say whose it is.", names.join(" and ")),
            })
        })
    }

    /// Asked for; else booked for that day; else marked by a lap of the test's length. Length alone
    /// only proposes: an easy run of 20 minutes is no test, and nothing in it says so.
    fn which(
        &self,
        file: &Incoming,
        athlete: AthleteId,
        recording: &Recording,
        on: NaiveDate,
    ) -> Option<TestKind> {
        let booked = || {
            let page = self.book.pages.iter().find(|p| p.athlete.id == athlete)?;
            page.bookings.iter().find(|b| b.on == on).map(|b| b.kind)
        };
        file.said.kind.or_else(booked).or_else(|| kind_by_lap(recording))
    }

    fn new_recording(
        &self,
        athlete: AthleteId,
        content_hash: ContentHash,
        file_name: String,
        recording: Recording,
    ) -> NewRecording {
        NewRecording {
            // identities are given out when the act is written
            id: RecordingId(0),
            athlete: Some(athlete),
            content_hash,
            file_name,
            added_on: self.now.today,
            recording,
        }
    }

    /// Where another recording of the same effort is there, the better one is kept.
    fn beside_another(&mut self, desk: &Desk, new: &mut Ready) -> Result<(), Problem> {
        let same = |other: &&mut Ready| second::is_same_effort(other, new);
        if let Some(other) = self.ready.iter_mut().find(same) {
            let line = other.line;
            second::settle(other, new);
            let said = other.told();
            if let Some(line) = self.lines.get_mut(line) {
                line.reason = said;
            }
            return Ok(());
        }
        let page = self.book.pages.iter().find(|p| p.athlete.id == new.test.athlete);
        let tests = page.map(|page| page.tests.as_slice()).unwrap_or_default();
        if let Some(test) = second::beside_stored(desk, tests, new)? {
            self.changed.push(test);
        }
        Ok(())
    }

    /// Writes everything in one act, or nothing.
    pub(super) fn take_in(mut self, desk: &Desk, now: &Now) -> Result<Vec<ReadLine>, Problem> {
        let pieces = std::mem::take(&mut self.pieces);
        let mut alone = Vec::new();
        let mut told: Vec<Vec<usize>> = self.ready.iter().map(|ready| vec![ready.line]).collect();
        for joined in split::joined(&self, pieces) {
            let joined = match joined {
                Ok(joined) => joined,
                Err(apart) => {
                    for (line, reason) in apart.lines {
                        if let Some(line) = self.lines.get_mut(line) {
                            (line.reason, line.ask) = (Some(reason), Some(apart.ask));
                        }
                    }
                    continue;
                }
            };
            for &line in &joined.lines {
                if let Some(line) = self.lines.get_mut(line) {
                    (line.outcome, line.ask) = (Outcome::TakenIn, None);
                    line.reason = joined.ready.told();
                }
            }
            alone.extend(joined.parts);
            self.ready.push(joined.ready);
            told.push(joined.lines);
        }
        let Self { ready, mut lines, changed, .. } = self;
        if !ready.is_empty() {
            let at = now.instant;
            let read = desk.ask(move |library| write(library, ready, alone, changed, at))?;
            tell_by_target(desk, &read, &told, &mut lines);
        }
        Ok(lines)
    }
}

/// A recording with an effort as a test to confirm; or why there is none.
pub(super) fn ready(
    recording: NewRecording,
    As { athlete, kind, on, measured }: As,
    assessment: Assessment,
    line: usize,
) -> Result<Ready, String> {
    let (Some(performance), Some(effort)) = (assessment.performance(), assessment.effort) else {
        return Err(match measured {
            // an even pace fits anywhere
            Some(_) => format!(
                "it holds no distance of its own, and nothing shows which {} minutes of it were the test: type the result in, and mark the test by a lap next time.",
                kind.minutes()
            ),
            None => first_of(&assessment.remarks).unwrap_or_default(),
        });
    };
    let (recording_id, found_by) = (recording.id, effort.found_by);
    let evidence = Evidence::Recorded { recording: recording_id, span: effort.span, found_by };
    let test = Test {
        id: TestId(0),
        athlete,
        kind,
        on,
        performance,
        evidence,
        decision: Decision::ToConfirm,
    };
    Ok(Ready { recording, test, assessment, second: None, measured, line })
}

/// Asks how far a recording went that holds no distance.
pub(super) fn asks_how_far(assessment: &Assessment) -> Option<Ask> {
    let none = |remark: &Remark| remark.finding == Finding::NoDistance;
    assessment.remarks.iter().any(none).then_some(Ask::Distance)
}

/// The 40-minute tests were judged before the library knew the 20-minute tests read with them, which
/// give their targets: their lines say what it says now.
fn tell_by_target(desk: &Desk, read: &[Test], told: &[Vec<usize>], lines: &mut [ReadLine]) {
    let gives = |test: &&Test| test.kind == TestKind::TwentyMinutes;
    let with_target = |test: &Test| {
        let rests_on = |twenty: &Test| twenty.athlete == test.athlete && twenty.on <= test.on;
        test.kind == TestKind::FortyMinutes && read.iter().filter(gives).any(rests_on)
    };
    if !read.iter().any(with_target) {
        return;
    }
    // everything is in by now: where the book cannot be opened the lines stay as they were
    let Ok(book) = book::open(desk) else { return };
    for (test, places) in read.iter().zip(told).filter(|(test, _)| with_target(test)) {
        let Ok(page) = book.of_id(test.athlete) else { continue };
        let Some(remarks) = page.judged.get(&test.id) else { continue };
        // as in `told`: what happened to the file stands before the worst remark
        let second = remarks.iter().find(|r| r.finding.code() == Code::SecondRecording);
        let said = should_not_have_run(page, test)
            .or_else(|| first_of(second.map(std::slice::from_ref).unwrap_or_default()))
            .or_else(|| first_of(remarks));
        for place in places {
            if let Some(line) = lines.get_mut(*place) {
                line.reason.clone_from(&said);
            }
        }
    }
}

/// Recordings with their tests, recordings that only stand behind others, and tests that change; the
/// tests as they are kept.
fn write(
    library: &mut Library,
    ready: Vec<Ready>,
    alone: Vec<NewRecording>,
    set_aside: Vec<Test>,
    at: DateTime<Utc>,
) -> Result<Vec<Test>, Problem> {
    let what = in_words(library, &ready, &alone)?;
    let count = ready.len();
    let mut changes = Vec::with_capacity(2 * count);
    let mut judged = Vec::with_capacity(count);
    let mut read = Vec::with_capacity(count);
    for mut recording in alone {
        recording.id = library.fresh_id()?;
        changes.push(Change::AddRecording(recording));
    }
    for Ready { mut recording, mut test, assessment, measured, .. } in ready {
        recording.id = library.fresh_id()?;
        test.id = library.fresh_id()?;
        let mut beside = String::new();
        if let Evidence::Recorded { recording: id, span, .. } = &mut test.evidence {
            *id = recording.id;
            if let Some(measured) = measured {
                let of_it = MeasuredEffort { measured, over: Some(*span) };
                beside = text_of(&of_it)?;
                changes.push(kept_for(recording.id, &of_it)?);
            }
        }
        judged.push((test.id, beside, assessment.remarks));
        changes.push(Change::AddRecording(recording));
        read.push(test.clone());
        changes.push(Change::PutTest(test));
    }
    changes.extend(set_aside.into_iter().map(Change::PutTest));
    let _done = library.act(&Act { what, at, changes })?;
    // the tests are safe by now; remarks that could not be kept are made anew when they are asked for
    let _kept = library.cache_remarks_of_all(RULES_VERSION, &judged);
    Ok(read)
}

/// What is read, for the history.
fn in_words(library: &Library, ready: &[Ready], alone: &[NewRecording]) -> Result<String, Problem> {
    let recordings = || ready.iter().map(|ready| &ready.recording).chain(alone);
    let whom = whom(library, recordings().filter_map(|recording| recording.athlete))?;
    Ok(match recordings().count() {
        1 => format!("Read 1 recording of {whom}"),
        count => format!("Read {count} recordings of {whom}"),
    })
}

pub(super) fn first_of(remarks: &[Remark]) -> Option<String> {
    remarks.first().map(|remark| words::remark(remark, UnitSystem::Kilometres))
}

fn name_of(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// Asks which test a recording was, with what its length proposes.
fn which_test(on: NaiveDate, proposed: Option<TestKind>) -> String {
    let day = format::day(on);
    let length = match proposed {
        Some(kind) => format!("it is as long as a {}-minute test", kind.minutes()),
        None => "its length fits none".to_owned(),
    };
    format!(
        "which test was it? None is booked on {day}, no lap marks one and {length}; say 5, 20 or 40."
    )
}
