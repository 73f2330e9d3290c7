//! The one place where the window reads recordings in: paths as they come, or one file of which the
//! coach has said what it is.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::NaiveDate;
use iced::Task;
use iced::futures::channel::mpsc;
use pacewright_core::ids::AthleteId;
use pacewright_core::test::TestKind;
use pacewright_desk::files::read_bytes;
use pacewright_desk::job::{Cancel, Job, Progress};
use pacewright_desk::measured::measured_as;
use pacewright_desk::read_in::{Asked, Incoming, ReadLine, Said, read_day, take_in};
use pacewright_desk::trace::tests_of_files;
use pacewright_desk::{Desk, Now, Problem};

use super::Message;
use super::files::Line;
use crate::window::work::off_thread;

/// One file, as the coach says what it is.
#[derive(Debug, Clone)]
pub(super) struct Wanted {
    pub(super) path: PathBuf,
    pub(super) athlete: AthleteId,
    pub(super) kind: Option<TestKind>,
    pub(super) day: Option<NaiveDate>,
    pub(super) measured: Option<String>,
}

/// How far reading is.
#[derive(Debug, Clone)]
pub struct Step {
    pub(super) done: usize,
    pub(super) of: usize,
    pub(super) next: String,
}

/// What was read: a line for each file, and what to say where it was stopped.
#[derive(Debug, Clone)]
pub struct FilesRead {
    pub(super) lines: Vec<Line>,
    pub(super) stopped: Option<String>,
}

/// Reads paths on a thread of their own, telling each step, until done or cancelled.
pub(super) fn read_telling(
    desk: Arc<Desk>,
    paths: Vec<PathBuf>,
    now: Now,
    cancel: Cancel,
) -> Task<Message> {
    let (tell, told) = mpsc::unbounded();
    let work = move || {
        let telling = |progress: Progress<'_>| {
            let Progress { done, of, next } = progress;
            let next = next.file_name().unwrap_or_default().to_string_lossy().into_owned();
            // nobody listens any more once the window is closed
            let _closed = tell.unbounded_send(Message::Told(Step { done, of, next }));
        };
        let asked = Asked { paths, ..Asked::default() };
        let day = read_day(&desk, &asked, &now, &Job::new(&telling, cancel))?;
        let stopped = day.stopped();
        Ok(FilesRead { lines: with_tests(&desk, day.lines)?, stopped })
    };
    Task::batch([Task::run(told, |step| step), off_thread(work, Message::Read)])
}

/// Reads a file as what the coach says it is, or two that are one test.
pub(super) fn read_again(
    desk: &Desk,
    wanted: Vec<Wanted>,
    now: &Now,
) -> Result<Vec<Line>, Problem> {
    let incoming = |Wanted { path, athlete, kind, day, measured }: Wanted| {
        let measured = measured.map(|text| measured_as(desk, &text)).transpose()?;
        let said = Said { athlete: Some(athlete), kind, day, measured };
        Ok(Incoming { bytes: read_bytes(&path)?, path, said })
    };
    let files = wanted.into_iter().map(incoming).collect::<Result<_, Problem>>()?;
    let lines = take_in(desk, files, now)?;
    with_tests(desk, lines)
}

/// Lines with the test that came of each.
fn with_tests(desk: &Desk, lines: Vec<ReadLine>) -> Result<Vec<Line>, Problem> {
    let paths: Vec<PathBuf> = lines.iter().map(|line| line.path.clone()).collect();
    let tests = tests_of_files(desk, &paths)?;
    Ok(lines.into_iter().zip(tests).map(|(line, test)| Line::new(line, test)).collect())
}
