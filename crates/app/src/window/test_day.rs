//! Test day: two ways in, and one recorded test looked at closely.

mod recordings;
mod table;
mod test;

use std::path::PathBuf;

use iced::{Element, Task};
use pacewright_core::ids::{AthleteId, TestId};

use super::Room;
use super::action::{Action, Outcome};
use super::keys::Shortcut;
use super::shared::Shared;

pub(super) use table::Draft;

/// The screen's state: one of three views.
#[derive(Debug)]
pub(super) enum TestDay {
    /// One whistle, many runners: typed results.
    Table(Box<table::Table>),
    /// Files dropped or chosen, each with what became of it.
    Recordings(Box<recordings::Recordings>),
    /// One recorded test, and the recordings it was opened from.
    Test(Box<test::TestScreen>, Option<Box<recordings::Recordings>>),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// A file was dropped on the window.
    Dropped(PathBuf),
    /// The table is wanted.
    TableWanted,
    /// The recordings are wanted.
    RecordingsWanted,
    /// One recorded test is wanted.
    TestWanted(TestId),
    /// The squad is wanted.
    SquadRoomPressed,
    /// In the table.
    Table(table::Message),
    /// Among the recordings.
    Recordings(recordings::Message),
    /// On the recorded test.
    Test(test::Message),
}

impl TestDay {
    /// Where test day begins: the table.
    pub(super) fn new(shared: &Shared) -> (Self, Task<Message>) {
        let (table, task) = table::Table::new(shared);
        (Self::Table(Box::new(table)), task.map(Message::Table))
    }

    /// The table with one athlete in it.
    pub(super) fn table_for(athlete: AthleteId, shared: &Shared) -> (Self, Task<Message>) {
        let (table, task) = table::Table::of(athlete, shared);
        (Self::Table(Box::new(table)), task.map(Message::Table))
    }

    /// One recorded test.
    pub(super) fn open_test(test: TestId, shared: &Shared) -> (Self, Task<Message>) {
        let (test, task) = test::TestScreen::new(test, shared);
        (Self::Test(Box::new(test), None), task.map(Message::Test))
    }

    /// Turns to one recorded test; the list of what was read is kept for the way back.
    fn turn_to_test(&mut self, test: TestId, shared: &Shared) -> Action<Message> {
        let kept = match self {
            Self::Recordings(recordings) => Some(Box::new(std::mem::take(&mut **recordings))),
            Self::Test(_, kept) => kept.take(),
            Self::Table(_) => None,
        };
        let (test, task) = test::TestScreen::new(test, shared);
        *self = Self::Test(Box::new(test), kept);
        Action::run(task.map(Message::Test))
    }

    /// Turns to the recordings: those that were left, or an empty list.
    fn turn_to_recordings(&mut self, shared: &Shared) -> Action<Message> {
        if let Self::Test(_, kept) = self
            && let Some(kept) = kept.take()
        {
            *self = Self::Recordings(kept);
            return Action::none();
        }
        self.turn_to(Self::recordings(shared))
    }

    fn recordings(shared: &Shared) -> (Self, Task<Message>) {
        let (recordings, task) = recordings::Recordings::new(shared);
        (Self::Recordings(Box::new(recordings)), task.map(Message::Recordings))
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match (message, &mut *self) {
            (Message::TableWanted, _) => self.turn_to(Self::new(shared)),
            (Message::RecordingsWanted, _) => self.turn_to_recordings(shared),
            (Message::TestWanted(test), _) => self.turn_to_test(test, shared),
            (Message::SquadRoomPressed, _) => Action::say(Outcome::Go(Room::Squad)),
            (Message::Dropped(path), Self::Recordings(recordings)) => {
                recordings.dropped(path, shared).map(Message::Recordings)
            }
            (Message::Dropped(path), _) => {
                let mut turning = self.turn_to_recordings(shared);
                let dropping = self.update(Message::Dropped(path), shared);
                turning.task = Task::batch([turning.task, dropping.task]);
                turning
            }
            (Message::Table(m), Self::Table(table)) => table.update(m, shared).map(Message::Table),
            (Message::Recordings(m), Self::Recordings(recordings)) => {
                let next = recordings.update(m, shared);
                self.leave_recordings(next, shared)
            }
            (Message::Recordings(m), Self::Test(_, Some(kept))) => match kept.update(m, shared) {
                recordings::Next::Here(action) => action.map(Message::Recordings),
                _ => Action::none(),
            },
            (Message::Test(m), Self::Test(test, _)) => {
                let next = test.update(m, shared);
                self.leave_test(next, shared)
            }
            (message, _) => late(message),
        }
    }

    fn turn_to(&mut self, (next, task): (Self, Task<Message>)) -> Action<Message> {
        *self = next;
        Action::run(task)
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        match self {
            Self::Table(table) => match shortcut {
                Shortcut::Letter('r', _) => self.turn_to_recordings(shared),
                _ => table.pressed(shortcut, shared).map(Message::Table),
            },
            Self::Recordings(recordings) => {
                let next = recordings.pressed(shortcut, shared);
                self.leave_recordings(next, shared)
            }
            Self::Test(test, _) => {
                let next = test.pressed(shortcut, shared);
                self.leave_test(next, shared)
            }
        }
    }

    fn leave_recordings(&mut self, next: recordings::Next, shared: &Shared) -> Action<Message> {
        match next {
            recordings::Next::Here(action) => action.map(Message::Recordings),
            recordings::Next::Test(test) => self.turn_to_test(test, shared),
            recordings::Next::Table => self.turn_to(Self::new(shared)),
        }
    }

    fn leave_test(&mut self, next: test::Next, shared: &Shared) -> Action<Message> {
        match next {
            test::Next::Here(action) => action.map(Message::Test),
            test::Next::Test(test) => self.turn_to_test(test, shared),
            test::Next::Recordings => self.turn_to_recordings(shared),
            test::Next::Decided { words, next } => {
                let turned = match next {
                    Some(test) => self.turn_to_test(test, shared),
                    None => self.turn_to_recordings(shared),
                };
                Action { outcome: Some(Outcome::Changed(words)), ..turned }
            }
        }
    }

    /// Something was taken back or done again; the library is read next.
    pub(super) fn taken_back(&mut self) {
        if let Self::Test(test, _) = self {
            test.taken_back();
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        match self {
            Self::Table(table) => table.refresh(shared).map(Message::Table),
            Self::Recordings(recordings) => {
                recordings.refresh(shared);
                Action::none()
            }
            Self::Test(test, kept) => {
                if let Some(kept) = kept {
                    kept.refresh(shared);
                }
                test.refresh(shared).map(Message::Test)
            }
        }
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        match self {
            Self::Table(table) => table.view(shared),
            Self::Recordings(recordings) => recordings.view(shared),
            Self::Test(test, _) => test.view(shared).map(Message::Test),
        }
    }
}

/// An answer that comes when its view is gone: what changed the library is still said and read
/// again.
pub(super) fn late(message: Message) -> Action<Message> {
    match message {
        Message::Recordings(message) => recordings::late(message).map(Message::Recordings),
        Message::Test(message) => test::late(message).map(Message::Test),
        _ => Action::none(),
    }
}
