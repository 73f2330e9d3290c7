//! What a screen asks of the window.

use iced::Task;
use pacewright_core::ids::{AthleteId, TestId};
use pacewright_desk::Problem;
use pacewright_desk::settings::Settings;

use super::Room;
use super::opening::Opened;
use super::test_day::Draft;

/// A task to run, and what happened as far as it concerns the whole window.
pub(super) struct Action<M> {
    pub(super) task: Task<M>,
    pub(super) outcome: Option<Outcome>,
}

/// What happened.
pub(super) enum Outcome {
    /// An athlete's page is wanted.
    OpenAthlete(AthleteId),
    /// A page for somebody new.
    NewAthlete,
    /// The table of test day for one athlete.
    EnterTest(AthleteId),
    /// One recorded test.
    OpenTest(TestId),
    /// The cards of some athletes.
    PrintCards(Vec<AthleteId>),
    /// A room.
    Go(Room),
    /// The library changed: say so, offer undo, read it again.
    Changed(String),
    /// Something to say; nothing changed.
    Said(String),
    /// Something was typed on test day that does not count yet: keep it while the window is open.
    Drafted(Draft),
    /// Settings changed.
    SettingsChanged(Settings),
    /// It could not be done.
    Failed(Problem),
    /// The demo squad is wanted.
    OpenDemo,
    /// Another library was opened.
    Reopen(Opened),
}

impl<M: Send + 'static> Action<M> {
    /// Nothing.
    pub(super) fn none() -> Self {
        Self { task: Task::none(), outcome: None }
    }

    /// A task.
    pub(super) fn run(task: Task<M>) -> Self {
        Self { task, outcome: None }
    }

    /// An outcome.
    pub(super) fn say(outcome: Outcome) -> Self {
        Self { task: Task::none(), outcome: Some(outcome) }
    }

    /// The same with its messages wrapped.
    pub(super) fn map<N: Send + 'static>(self, wrap: fn(M) -> N) -> Action<N> {
        Action { task: self.task.map(wrap), outcome: self.outcome }
    }
}
