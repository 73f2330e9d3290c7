//! How a squad tests: its days, how many a day, its window, its season.

use std::sync::Arc;

use iced::widget::{Column, column, container, row};
use iced::{Element, Fill};
use pacewright_core::ids::SquadId;
use pacewright_desk::Problem;
use pacewright_desk::programmes::ProgrammeForm;

use crate::window::action::Action;
use crate::window::ink::Ink;
use crate::window::keys::Shortcut;
use crate::window::parts::{
    BAR, act, field_with_enter, main_act, scroll, small, soft, strong, wrong,
};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// The panel's state.
#[derive(Debug)]
pub(super) struct ProgrammePanel {
    squad: SquadId,
    name: String,
    form: ProgrammeForm,
    wrong: Option<String>,
}

/// A field of the programme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Field {
    /// The days it meets.
    Days,
    /// How many a day.
    Capacity,
    /// The retest window.
    Window,
    /// The months of a test: 5, 20, 40 minutes.
    Season(usize),
    /// Athletes' own windows.
    Own,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Something was typed.
    Typed(Field, String),
    /// Keep it.
    KeepPressed,
    /// It was kept, or not.
    Kept(Result<String, Problem>),
    /// Back to the agenda.
    LeavePressed,
}

/// What the room has to do.
pub(super) enum Next {
    Here(Action<Message>),
    Left,
    Kept(String),
}

impl ProgrammePanel {
    pub(super) fn new(squad: SquadId, shared: &Shared) -> Self {
        let name = shared.book.squads.iter().find(|s| s.id == squad).map(|s| s.name.clone());
        let form = ProgrammeForm::of(&shared.book, squad);
        Self { squad, name: name.unwrap_or_default(), form, wrong: None }
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Next {
        match message {
            Message::Typed(field, typed) => {
                self.wrong = None;
                let place = match field {
                    Field::Days => Some(&mut self.form.days),
                    Field::Capacity => Some(&mut self.form.capacity),
                    Field::Window => Some(&mut self.form.window),
                    Field::Season(test) => self.form.season.get_mut(test),
                    Field::Own => Some(&mut self.form.own),
                };
                if let Some(place) = place {
                    *place = typed;
                }
            }
            Message::KeepPressed => {
                let (desk, form, now) = (Arc::clone(&shared.desk), self.form.clone(), shared.now());
                let squad = self.squad;
                let job = move || form.keep(&desk, squad, &now);
                return Next::Here(Action::run(off_thread(job, Message::Kept)));
            }
            Message::Kept(Ok(words)) => return Next::Kept(words),
            Message::Kept(Err(problem)) => self.wrong = Some(problem.to_string()),
            Message::LeavePressed => return Next::Left,
        }
        Next::Here(Action::none())
    }

    pub(super) fn pressed(shortcut: Shortcut) -> Option<Message> {
        match shortcut {
            Shortcut::Main => Some(Message::KeepPressed),
            Shortcut::Back => Some(Message::LeavePressed),
            _ => None,
        }
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        const SEASON: [(&str, &str); 3] = [
            ("5-minute test in these months", "season five"),
            ("20-minute test in these months", "season twenty"),
            ("40-minute test in these months", "season forty"),
        ];
        let ink = shared.ink();
        let mut fields = column![
            strong(format!("How {} tests", self.name)),
            line(
                "Meets for tests on",
                "Tue 18:30, Sat",
                ("programme days", &self.form.days),
                Field::Days,
                ink
            ),
            line(
                "How many can be tested a day",
                "8",
                ("programme capacity", &self.form.capacity),
                Field::Capacity,
                ink
            ),
            line(
                "A test is repeated after, in weeks",
                "4 to 8",
                ("programme window", &self.form.window),
                Field::Window,
                ink
            ),
        ]
        .spacing(12)
        .max_width(460);
        for (test, ((label, id), typed)) in SEASON.into_iter().zip(&self.form.season).enumerate() {
            let field = Field::Season(test);
            fields = fields.push(line(label, "all, or Mar-Oct, Dec", (id, typed), field, ink));
        }
        fields = fields.push(line(
            "Athletes with a window of their own",
            "Ida Berg: 3 to 6; Bo Reed: 5 to 9",
            ("own windows", &self.form.own),
            Field::Own,
            ink,
        ));
        if let Some(sentence) = &self.wrong {
            fields = fields.push(wrong(sentence.as_str(), ink));
        }
        let acts = row![
            main_act("Keep", "Enter", ink).on_press(Message::KeepPressed),
            act("Leave", "Esc", ink).on_press(Message::LeavePressed),
        ]
        .spacing(12);
        let why = soft(
            "A day with a time (Tue 18:30) becomes a timed entry of the calendar file, a day without one a whole day.",
            ink,
        );
        scroll(container(fields.push(acts).push(why)).padding(iced::padding::right(BAR)), ink)
            .height(Fill)
            .into()
    }
}

fn line<'a>(
    label: &'a str,
    placeholder: &'a str,
    (id, typed): (&'static str, &'a str),
    field: Field,
    ink: Ink,
) -> Column<'a, Message> {
    let typing = move |typed| Message::Typed(field, typed);
    let input = field_with_enter(id, placeholder, typed, None, ink, typing, Message::KeepPressed);
    column![small(label, ink), input].spacing(3)
}
