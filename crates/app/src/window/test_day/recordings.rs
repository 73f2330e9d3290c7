//! Files dropped or chosen: matched or not, what became of each; below, every test that waits.

mod files;
mod read;
mod waiting;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use iced::widget::{Space, column, container, operation, responsive, row, scrollable, text_input};
use iced::{Alignment, Element, Fill, Task};
use pacewright_core::ids::TestId;
use pacewright_core::remark::Use;
use pacewright_core::test::TestKind;
use pacewright_desk::Problem;
use pacewright_desk::confirm::{Confirmed, confirm};
use pacewright_desk::job::Cancel;
use pacewright_desk::waiting::waiting as tests_that_wait;

use crate::window::action::{Action, Outcome};
use crate::window::ink::BODY;
use crate::window::keys::Shortcut;
use crate::window::parts::{act, main_act, page, small, soft, title};
use crate::window::shared::Shared;
use crate::window::work::off_thread;
use files::{AthleteChoice, Line};
use read::{FilesRead, Step};

const PATH: &str = "recordings path";

/// Files dropped together come one by one; this long after the first they are read as one.
const SETTLES_IN: Duration = Duration::from_millis(150);

/// The view's state.
#[derive(Debug, Default)]
pub(in crate::window) struct Recordings {
    path: String,
    /// Dropped, and not yet being read.
    dropped: Vec<PathBuf>,
    /// What is being read, and how far it is.
    reading: Option<Reading>,
    lines: Vec<Line>,
    /// The row among those that wait on which the arrow keys stand.
    at: usize,
    confirming: bool,
}

/// A read under way.
#[derive(Debug)]
struct Reading {
    cancel: Cancel,
    step: Option<Step>,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// The path was typed at.
    PathTyped(String),
    /// The path is to be read.
    PathGiven,
    /// The dialog for files is wanted.
    FilesWanted,
    /// The dialog for a folder is wanted.
    FolderWanted,
    /// Files were chosen, or none.
    Chosen(Result<Vec<PathBuf>, Problem>),
    /// All that was dropped together has arrived.
    Settled,
    /// Reading came a step further.
    Told(Step),
    /// Reading is to stop.
    StopPressed,
    /// Files were read, or not.
    Read(Result<FilesRead, Problem>),
    /// A name was typed at an unmatched file.
    NameTyped(usize, String),
    /// An unmatched file is said to be somebody's.
    Assigned(usize, AthleteChoice),
    /// An unmatched file is said to be a test.
    KindGiven(usize, TestKind),
    /// The day of a recording without a date was typed at.
    DayTyped(usize, String),
    /// The distance of a recording without one was typed at.
    DistanceTyped(usize, String),
    /// It is to be read again as that.
    ReadAgain(usize),
    /// It and another file are one test.
    Joined(usize, usize),
    /// Files were read again.
    ReadAgainDone(Result<Vec<Line>, Problem>),
    /// The list of files is put away.
    Cleared,
    /// A test is to be looked at.
    TestPressed(TestId),
    /// Every usable test is to be accepted.
    ConfirmPressed,
    /// They were, or not.
    Confirmed(Result<Vec<Confirmed>, Problem>),
    /// Back to the table.
    TablePressed,
}

/// Where to go from here.
pub(super) enum Next {
    /// Stay.
    Here(Action<Message>),
    /// To one recorded test.
    Test(TestId),
    /// Back to the table.
    Table,
}

impl Recordings {
    pub(super) fn new(_shared: &Shared) -> (Self, Task<Message>) {
        (Self::default(), Task::none())
    }

    /// A file was dropped on the window.
    pub(super) fn dropped(&mut self, path: PathBuf, _shared: &Shared) -> Action<Message> {
        self.dropped.push(path);
        if self.dropped.len() > 1 || self.reading.is_some() {
            return Action::none();
        }
        let settle = || {
            std::thread::sleep(SETTLES_IN);
            Ok(())
        };
        Action::run(off_thread(settle, |_| Message::Settled))
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Next {
        let action = match message {
            Message::PathTyped(text) => {
                self.path = text;
                Action::none()
            }
            Message::PathGiven => self.read_path(shared),
            Message::FilesWanted => ask_for(shared, |dialogs| dialogs.recordings()),
            Message::FolderWanted => {
                ask_for(shared, |dialogs| dialogs.folder().into_iter().collect())
            }
            Message::Chosen(Ok(paths)) if paths.is_empty() => Action::say(Outcome::Said(
                "No file was chosen. Where the desktop has no dialogs, type a path or drop the files here."
                    .to_owned(),
            )),
            Message::Chosen(Ok(paths)) => self.read(paths, shared),
            Message::Settled => self.read_dropped(shared),
            Message::Told(step) => {
                if let Some(reading) = &mut self.reading {
                    reading.step = Some(step);
                }
                Action::none()
            }
            Message::StopPressed => {
                if let Some(reading) = &self.reading {
                    reading.cancel.cancel();
                }
                Action::none()
            }
            Message::Read(Ok(read)) => self.read_done(read, shared),
            Message::Chosen(Err(problem)) => Action::say(Outcome::Failed(problem)),
            Message::Read(Err(problem)) => {
                self.reading = None;
                Action::say(Outcome::Failed(problem))
            }
            Message::NameTyped(index, text) => {
                self.change(index, |line| line.name_typed(text, &shared.book))
            }
            Message::Assigned(index, choice) => self.change(index, |line| line.assign(choice)),
            Message::KindGiven(index, kind) => self.change(index, |line| line.give_kind(kind)),
            Message::DayTyped(index, text) => self.change(index, |line| line.day_typed(text)),
            Message::DistanceTyped(index, text) => {
                self.change(index, |line| line.distance_typed(text))
            }
            Message::ReadAgain(index) => self.read_again(index, None, shared),
            Message::Joined(index, rest) => self.read_again(index, Some(rest), shared),
            Message::ReadAgainDone(outcome) => self.read_again_done(outcome),
            Message::Cleared => {
                self.lines.clear();
                Action::none()
            }
            Message::ConfirmPressed => self.confirm(shared),
            Message::Confirmed(outcome) => {
                self.confirming = false;
                confirmed(outcome)
            }
            Message::TestPressed(test) => return Next::Test(test),
            Message::TablePressed => return Next::Table,
        };
        Next::Here(action)
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Next {
        let tests = tests_that_wait(&shared.book);
        match shortcut {
            Shortcut::Down => self.at = (self.at + 1).min(tests.len().saturating_sub(1)),
            Shortcut::Up => self.at = self.at.saturating_sub(1),
            Shortcut::Main => {
                if let Some(waiting) = tests.get(self.at) {
                    return Next::Test(waiting.test.id);
                }
            }
            Shortcut::Search => return Next::Here(Action::run(operation::focus(PATH))),
            Shortcut::Letter('c', _) => return self.update(Message::ConfirmPressed, shared),
            Shortcut::Letter('f', _) => return self.update(Message::FilesWanted, shared),
            Shortcut::Letter('d', _) => return self.update(Message::FolderWanted, shared),
            Shortcut::Back if self.reading.is_some() => {
                return self.update(Message::StopPressed, shared);
            }
            Shortcut::Letter('t', _) | Shortcut::Back => return Next::Table,
            _ => {}
        }
        Next::Here(Action::none())
    }

    pub(super) fn refresh(&mut self, shared: &Shared) {
        self.at = self.at.min(tests_that_wait(&shared.book).len().saturating_sub(1));
        for line in &mut self.lines {
            line.look_up(&shared.book);
        }
    }

    fn read_path(&mut self, shared: &Shared) -> Action<Message> {
        let path = self.path.trim().trim_matches('"');
        if path.is_empty() {
            return Action::run(operation::focus(PATH));
        }
        self.read(vec![PathBuf::from(path)], shared)
    }

    fn read_dropped(&mut self, shared: &Shared) -> Action<Message> {
        if self.reading.is_some() || self.dropped.is_empty() {
            return Action::none();
        }
        let paths = std::mem::take(&mut self.dropped);
        self.read(paths, shared)
    }

    fn read(&mut self, paths: Vec<PathBuf>, shared: &Shared) -> Action<Message> {
        if self.reading.is_some() {
            self.dropped.extend(paths);
            return Action::none();
        }
        let cancel = Cancel::default();
        self.reading = Some(Reading { cancel: cancel.clone(), step: None });
        let desk = Arc::clone(&shared.desk);
        Action::run(read::read_telling(desk, paths, shared.now(), cancel))
    }

    fn read_done(&mut self, read: FilesRead, shared: &Shared) -> Action<Message> {
        self.reading = None;
        self.path.clear();
        let outcome = read_outcome(&read);
        let lines = read.lines;
        // a file that is read again stands once
        self.lines.retain(|old| !lines.iter().any(|new| new.is_of_same_file(old)));
        self.lines.extend(lines.into_iter().map(|line| line.known_so_far(&shared.book)));
        // what was dropped meanwhile comes next
        let Action { task, .. } = self.read_dropped(shared);
        Action { task, outcome: Some(outcome) }
    }

    fn change(&mut self, index: usize, change: impl FnOnce(&mut Line)) -> Action<Message> {
        if let Some(line) = self.lines.get_mut(index) {
            change(line);
        }
        Action::none()
    }

    /// Reads a file as what the coach says it is, with the file that holds the rest of its test.
    fn read_again(&self, index: usize, rest: Option<usize>, shared: &Shared) -> Action<Message> {
        let Some(line) = self.lines.get(index) else { return Action::none() };
        let wanted = match rest {
            None => line.wanted().map(|wanted| vec![wanted]),
            Some(rest) => self.lines.get(rest).and_then(|rest| line.wanted_with(rest)),
        };
        let Some(wanted) = wanted else { return Action::none() };
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        let job = move || read::read_again(&desk, wanted, &now);
        Action::run(off_thread(job, Message::ReadAgainDone))
    }

    /// Takes the places of the lines that were read again.
    fn read_again_done(&mut self, outcome: Result<Vec<Line>, Problem>) -> Action<Message> {
        let again = match outcome {
            Ok(again) => again,
            Err(problem) => return Action::say(Outcome::Failed(problem)),
        };
        let outcome = taken_outcome(&again, files::summary(&again));
        for line in again {
            if let Some(place) = self.lines.iter_mut().find(|old| old.is_of_same_file(&line)) {
                place.become_(line);
            }
        }
        Action::say(outcome)
    }

    fn confirm(&mut self, shared: &Shared) -> Action<Message> {
        let usable = tests_that_wait(&shared.book).iter().any(|w| w.good_for == Use::Usable);
        if !usable || self.confirming {
            return Action::none();
        }
        self.confirming = true;
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        Action::run(off_thread(move || confirm(&desk, None, &now), Message::Confirmed))
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, super::Message> {
        let ink = shared.ink();
        let view = responsive(move |size| {
            let tests = tests_that_wait(&shared.book);
            let mut content = column![].spacing(10);
            // while files are read the head says how far it is, and nothing is asked for beside it
            if self.lines.is_empty() && tests.is_empty() && self.reading.is_none() {
                content = content.push(self.taught(shared));
            }
            if !self.lines.is_empty() {
                content = content.push(files::view(&self.lines, shared));
            }
            if !tests.is_empty() {
                content = content.push(waiting::view(tests, self.at, size.width, shared));
            }
            let content = content.padding(iced::Padding::ZERO.right(14).bottom(10));
            column![
                self.head(shared),
                scrollable(content)
                    .height(Fill)
                    .style(move |theme, status| ink.scroll(theme, status)),
            ]
            .spacing(14)
            .into()
        });
        Element::from(page(view)).map(super::Message::Recordings)
    }

    fn head<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let field = text_input("A file or a folder  /", &self.path)
            .id(PATH)
            .size(BODY)
            .padding([7, 10])
            .on_input(Message::PathTyped)
            .on_submit(Message::PathGiven)
            .style(move |_, status| ink.field(status, false));
        let beside = match self.reading.as_ref().map(|reading| &reading.step) {
            Some(Some(Step { done, of, next })) => {
                format!("Reading {} of {of}: {next}\u{2026}", done + 1)
            }
            Some(None) => "Reading\u{2026}".to_owned(),
            None => String::new(),
        };
        let mut top = row![title("Recordings", beside, ink), Space::new().width(Fill)].spacing(10);
        if self.reading.is_some() {
            let stop = act("Stop, keep what was read", "Esc", ink);
            top = top.push(stop.on_press(Message::StopPressed));
        }
        column![
            top.push(act("To the table", "T", ink).on_press(Message::TablePressed))
                .align_y(Alignment::Center),
            row![
                container(field).width(Fill),
                act("Read", "", ink).on_press(Message::PathGiven),
                act("Choose files\u{2026}", "F", ink).on_press(Message::FilesWanted),
                act("A folder\u{2026}", "D", ink).on_press(Message::FolderWanted),
            ]
            .spacing(10)
            .align_y(Alignment::Center),
        ]
        .spacing(12)
        .into()
    }

    /// Nothing here yet: what this is, and what to do first.
    #[expect(clippy::unused_self, reason = "a part of this screen")]
    fn taught<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let nobody = shared.book.pages.is_empty().then(|| {
            soft(
                "There are no athletes yet: a file would fit nobody. Add them in the Squad first.",
                ink,
            )
        });
        column![
            soft(
                "Drop the recordings of a test day on this window: FIT, GPX or CSV files, or a whole folder.",
                ink
            ),
            soft(
                "Each is matched to an athlete by the name or alias in the file\u{2019}s or folder\u{2019}s name, and to a test by the booking of that day or a lap of its length. \
                 Then the effort is found and checked, and waits here for your decision. Nothing changes before that.",
                ink
            ),
            main_act("Choose files\u{2026}", "F", ink).on_press(Message::FilesWanted),
            small("A file that fits nobody stays in the list, while this page is open, until you say whose it is.", ink),
        ]
        .push(nobody)
        .spacing(14)
        .max_width(640)
        .padding([26, 0])
        .into()
    }
}

/// What reading did, for the line at the foot of the window.
fn read_outcome(read: &FilesRead) -> Outcome {
    let words = read.stopped.clone().unwrap_or_else(|| files::summary(&read.lines));
    taken_outcome(&read.lines, words)
}

fn taken_outcome(lines: &[Line], words: String) -> Outcome {
    let any = lines.iter().any(Line::is_taken_in);
    if any { Outcome::Changed(words) } else { Outcome::Said(words) }
}

/// An answer that comes when the recordings are no longer shown.
pub(super) fn late(message: Message) -> Action<Message> {
    match message {
        Message::Read(Ok(read)) => Action::say(read_outcome(&read)),
        Message::ReadAgainDone(Ok(lines)) => {
            Action::say(taken_outcome(&lines, files::summary(&lines)))
        }
        Message::Read(Err(problem)) | Message::ReadAgainDone(Err(problem)) => {
            Action::say(Outcome::Failed(problem))
        }
        Message::Confirmed(outcome) => confirmed(outcome),
        _ => Action::none(),
    }
}

/// A dialog, off the window's thread: it may stay open for long.
fn ask_for(
    shared: &Shared,
    ask: fn(&dyn crate::window::Dialogs) -> Vec<PathBuf>,
) -> Action<Message> {
    let dialogs = Arc::clone(&shared.dialogs);
    Action::run(off_thread(move || Ok(ask(dialogs.as_ref())), Message::Chosen))
}

fn confirmed(outcome: Result<Vec<Confirmed>, Problem>) -> Action<Message> {
    match outcome {
        Ok(all) => {
            let accepted: usize = all.iter().map(|one| one.accepted.len()).sum();
            let zones = all.iter().filter(|one| one.zones.is_some()).count();
            let held: Vec<String> = all
                .iter()
                .filter_map(|one| Some(format!("{}: {}", one.athlete, one.held_back.as_ref()?)))
                .collect();
            let tests =
                if accepted == 1 { "1 test".to_owned() } else { format!("{accepted} tests") };
            let athletes =
                if zones == 1 { "1 athlete".to_owned() } else { format!("{zones} athletes") };
            let words = format!("{tests} confirmed, new zones for {athletes}. {}", held.join(" "));
            Action::say(Outcome::Changed(words.trim().to_owned()))
        }
        Err(problem) => Action::say(Outcome::Failed(problem)),
    }
}
