//! The three answers, always in sight at the foot, and the reason that some of them need.

use iced::widget::{Row, column, container, row, text_input};
use iced::{Alignment, Element, Fill};
use pacewright_core::test::TestKind;
use pacewright_core::words;
use pacewright_desk::decide::{Choice, Outcome};

use super::open::Open;
use super::{Message, REASON};
use crate::window::ink::BODY;
use crate::window::parts::{act, body, main_act, rule, wrong};
use crate::window::shared::Shared;

/// An answer on its way: which, and the reason it needs.
#[derive(Debug, Default)]
pub(super) struct Answer {
    asking: Option<Choice>,
    reason: String,
    missing: bool,
    /// It is being written.
    busy: bool,
}

impl Answer {
    pub(super) fn asking(&self) -> Option<Choice> {
        self.asking
    }

    pub(super) fn is_asking(&self) -> bool {
        self.asking.is_some()
    }

    /// Whether a decision is being written.
    pub(super) fn is_busy(&self) -> bool {
        self.busy
    }

    pub(super) fn typed(&mut self, text: String) {
        self.reason = text;
        self.missing = false;
    }

    pub(super) fn drop_it(&mut self) {
        (self.asking, self.missing) = (None, false);
    }

    /// It was written, or could not be: then the field stays as it was typed.
    pub(super) fn written(&mut self, done: bool) {
        self.busy = false;
        if done {
            *self = Self::default();
        }
    }

    /// The reason to decide with; `None` while one is needed and none is given, or while a decision
    /// is being written. Asked for once, the field opens; asked again, it says what is missing.
    #[expect(clippy::option_option, reason = "whether to decide, and with which reason")]
    pub(super) fn give(&mut self, choice: Choice, needed: bool) -> Option<Option<String>> {
        if self.busy {
            return None;
        }
        let reason = self.reason.trim().to_owned();
        if needed && reason.is_empty() {
            self.missing = self.asking == Some(choice);
            self.asking = Some(choice);
            return None;
        }
        self.busy = true;
        // what was typed for another answer is no reason for this one
        let meant = needed || self.asking == Some(choice);
        Some(Some(reason).filter(|reason| meant && !reason.is_empty()))
    }
}

/// The foot of the page.
pub(super) fn view<'a>(open: &'a Open, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let framed = open.framed();
    let mut order = vec![framed];
    order.extend(
        [Choice::NewZones, Choice::KeepZones, Choice::SetAside]
            .into_iter()
            .filter(|choice| *choice != framed)
            .filter(|choice| *choice != Choice::KeepZones || open.consequence.now.is_some()),
    );
    let presses = order.into_iter().map(|choice| {
        let (words, key) = label(choice, open);
        let press = if choice == framed && !open.answer.is_asking() {
            main_act(words, "Enter", ink)
        } else {
            act(words, key, ink)
        };
        Element::from(press.on_press(Message::Chosen(choice)))
    });
    let answers = Row::with_children(presses).spacing(12).wrap().vertical_spacing(8);
    let mut foot = column![rule(ink)].spacing(8);
    if let Some(choice) = open.answer.asking {
        foot = foot.push(reason(choice, open, shared));
    }
    container(foot.push(answers)).width(Fill).into()
}

fn label(choice: Choice, open: &Open) -> (&'static str, &'static str) {
    match choice {
        Choice::NewZones if open.consequence.outcome.zones.is_none() => ("Let it count", "U"),
        Choice::NewZones => ("Use the new zones", "U"),
        Choice::KeepZones => ("Keep the zones, renew the date", "K"),
        Choice::SetAside => ("Set aside\u{2026}", "X"),
    }
}

fn reason<'a>(choice: Choice, open: &'a Open, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let asked = match choice {
        Choice::SetAside => "Why is it set aside?",
        Choice::KeepZones => {
            "The checks speak against it. Why does it renew the date all the same?"
        }
        Choice::NewZones => "The checks speak against it. Why does it give new zones all the same?",
    };
    let is_wrong = open.answer.missing;
    let field = text_input("in a few words", &open.answer.reason)
        .id(REASON)
        .size(BODY)
        .padding([7, 9])
        .on_input(Message::ReasonTyped)
        .on_submit(Message::ReasonGiven)
        .style(move |_, status| ink.field(status, is_wrong));
    let mut column = column![
        body(asked),
        row![
            field,
            main_act("Decide so", "Enter", ink).on_press(Message::ReasonGiven),
            act("Not yet", "Esc", ink).on_press(Message::AnswerDropped),
        ]
        .spacing(10)
        .align_y(Alignment::Center),
    ]
    .spacing(6);
    if is_wrong {
        column = column.push(wrong("Say why in a few words: it is kept with the test.", ink));
    }
    column.into()
}

/// What was done, for the line at the foot of the window.
pub(super) fn done(
    choice: Choice,
    name: &str,
    kind: TestKind,
    outcome: Option<&Outcome>,
) -> String {
    let test = words::test(kind);
    let zones = outcome.and_then(|outcome| outcome.zones.as_ref()).is_some();
    let what = match (choice, zones) {
        (Choice::NewZones, true) => format!("{name}: new zones, with the {test}."),
        (Choice::NewZones, false) => format!("{name}: the {test} counts."),
        (Choice::KeepZones, false) => format!("{name}: zones kept, the {test} renewed."),
        (Choice::KeepZones, true) => {
            format!("{name}: the {test} renewed; zones stand on the other tests again.")
        }
        (Choice::SetAside, false) => format!("{name}: the {test} set aside."),
        (Choice::SetAside, true) => {
            format!("{name}: the {test} set aside; zones stand on the other tests again.")
        }
    };
    let others = match outcome.map_or(0, |outcome| outcome.others) {
        0 => "",
        1 => " The other recording of this effort is set aside.",
        _ => " The other recordings of this effort are set aside.",
    };
    match outcome.and_then(|outcome| outcome.held_back.as_ref()) {
        Some(why) => format!("{what}{others} {why}"),
        None => format!("{what}{others}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_needed_reason_is_asked_for_then_missed_then_taken() {
        let mut answer = Answer::default();
        assert_eq!(answer.give(Choice::NewZones, true), None);
        assert!(answer.is_asking() && !answer.missing);
        assert_eq!(answer.give(Choice::NewZones, true), None);
        assert!(answer.missing);
        answer.typed("  the strap slipped late ".to_owned());
        let given = answer.give(Choice::NewZones, true);
        assert_eq!(given, Some(Some("the strap slipped late".to_owned())));
        // and a second press while it is written decides nothing twice
        assert_eq!(answer.give(Choice::NewZones, true), None);
        // one that could not be written keeps its reason and can be given again
        answer.written(false);
        assert_eq!(answer.give(Choice::NewZones, true), given);
    }

    #[test]
    fn what_is_set_aside_with_an_answer_is_said() {
        let athlete = pacewright_core::ids::AthleteId(1);
        let outcome = Outcome { athlete, before: None, zones: None, held_back: None, others: 1 };
        let said = done(Choice::NewZones, "Ida", TestKind::TwentyMinutes, Some(&outcome));
        let other = "The other recording of this effort is set aside.";
        assert_eq!(said, format!("Ida: the 20-minute test counts. {other}"));
    }

    #[test]
    fn a_reason_for_one_answer_is_none_for_another() {
        let mut answer = Answer::default();
        assert_eq!(answer.give(Choice::SetAside, true), None);
        answer.typed("ran with a friend".to_owned());
        assert_eq!(answer.give(Choice::NewZones, false), Some(None));
    }
}
