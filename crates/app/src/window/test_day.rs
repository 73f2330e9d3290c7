//! Test day: the table and the recordings.

use iced::Element;
use iced::Task;
use pacewright_core::ids::{AthleteId, TestId};
use std::path::PathBuf;

use super::action::Action;
use super::keys::Shortcut;
use super::parts::{page, title};
use super::shared::Shared;

/// The screen's state.
#[derive(Debug)]
pub(super) struct TestDay {}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// A file was dropped on the window.
    Dropped(PathBuf),
}

impl TestDay {
    pub(super) fn new(_shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    pub(super) fn table_for(_athlete: AthleteId, _shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    pub(super) fn open_test(_test: TestId, _shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    pub(super) fn update(&mut self, _message: Message, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn pressed(&mut self, _shortcut: Shortcut, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn refresh(&mut self, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        page(title("TestDay", "", shared.ink()))
    }
}
