//! One recorded test: the trace, the effort with its two edges, what would change, the three answers.

use iced::{Element, Task};
use pacewright_core::ids::TestId;

use crate::window::action::Action;
use crate::window::keys::Shortcut;
use crate::window::parts::{page, title};
use crate::window::shared::Shared;

/// The view's state.
#[derive(Debug)]
pub(super) struct TestScreen {}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Placeholder.
    Nothing,
}

/// Where to go from here.
pub(super) enum Next {
    /// Stay.
    Here(Action<Message>),
    /// To one recorded test.
    Test(TestId),
    /// Back to the recordings.
    Recordings,
}

impl TestScreen {
    pub(super) fn new(_test: TestId, _shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    pub(super) fn update(&mut self, _message: Message, _shared: &Shared) -> Next {
        Next::Here(Action::none())
    }

    pub(super) fn pressed(&mut self, _shortcut: Shortcut, _shared: &Shared) -> Next {
        Next::Here(Action::none())
    }

    pub(super) fn refresh(&mut self, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        page(title("TestScreen", "", shared.ink()))
    }
}
