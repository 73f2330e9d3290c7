//! The library could not be opened: what happened, and the ways out.

use std::sync::Arc;

use iced::Element;
use iced::widget::{column, container, row};

use super::dialogs::SystemDialogs;
use super::ink::Ink;
use super::opening::Start;
use super::parts::{act, body, main_act, page, soft, title};
use pacewright_desk::Problem;

/// The screen's state.
#[derive(Debug)]
pub(super) struct Trouble {
    problem: Problem,
}

/// What can be done about it.
#[derive(Debug, Clone)]
pub enum Message {
    /// Try the same library again.
    Again,
    /// Look around in the demo instead.
    Demo(fn() -> pacewright_desk::Now),
}

impl Trouble {
    pub(super) fn new(problem: Problem) -> Self {
        Self { problem }
    }

    /// What to start with next: `Some(None)` the same again.
    pub(super) fn update(&mut self, message: Message) -> Option<Option<Start>> {
        match message {
            Message::Again => Some(None),
            Message::Demo(clock) => {
                let dialogs = Arc::new(SystemDialogs);
                Some(Some(Start { library: None, demo: true, clock, dialogs }))
            }
        }
    }

    pub(super) fn view(&self, ink: Ink) -> Element<'_, Message> {
        let ways = row![
            main_act("Try again", "Enter", ink).on_press(Message::Again),
            act("Open the demo squad", "", ink).on_press(Message::Demo(crate::clock::machine)),
        ]
        .spacing(12);
        page(
            container(
                column![
                    title("The library could not be opened", "", ink),
                    body(self.problem.to_string()),
                    soft("Nothing in it was changed.", ink),
                    ways,
                ]
                .spacing(18)
                .max_width(720),
            )
            .padding([40, 0]),
        )
    }
}
