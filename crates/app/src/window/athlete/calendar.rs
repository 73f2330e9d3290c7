//! What stands in the athlete's calendar: booked tests and spans away, entered and removed.

use iced::widget::{Space, column, container, row};
use iced::{Alignment, Element, Fill};
use pacewright_core::format::{day, day_short};
use pacewright_core::ids::{AwayId, BookingId};
use pacewright_core::schedule::{Away, AwayKind, Booking};
use pacewright_core::test::TestKind;
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::people::{AwayForm, BookingForm, Field, Wrong};
use pacewright_desk::schedule::{ToBook, ToNote};

use super::FORM;
use crate::window::ink::Ink;
use crate::window::parts::{
    act, body, choice, faint_rule, field_with_enter, main_act, quiet, section, small, soft,
};
use crate::window::shared::Shared;

const FROM: &str = "away from";
const TO: &str = "away to";
const WELL_ON: &str = "away well on";
const ON: &str = "booking on";

/// The name of a field.
fn id(field: Field) -> &'static str {
    match field {
        Field::To => TO,
        Field::WellOn => WELL_ON,
        Field::On => ON,
        _ => FROM,
    }
}

/// The section's state: what is being entered.
#[derive(Debug, Default)]
pub(super) struct Calendar {
    entry: Option<Entry>,
    wrong: Vec<Wrong>,
}

#[derive(Debug)]
enum Entry {
    Away(AwayForm),
    Booking(BookingForm),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// A test is to be booked.
    BookPressed,
    /// A span away is to be noted.
    NotePressed,
    /// A span away is to be changed.
    ChangePressed(AwayId),
    /// A span away is to be removed.
    RemovePressed(AwayId),
    /// A booking is to be cancelled.
    CancelPressed(BookingId),
    /// Another test was chosen for the booking.
    TestChosen(TestKind),
    /// Another reason was chosen for the span.
    ReasonChosen(AwayKind),
    /// Something was typed.
    Typed(Field, String),
    /// What was typed is to be kept.
    SavePressed,
    /// The entry is left.
    LeavePressed,
}

/// What the page has to do.
pub(super) enum Next {
    Here,
    Focus(&'static str),
    Book(ToBook),
    Note(ToNote),
    Change(Away),
    Cancel(Booking),
    Remove(Away),
}

impl Calendar {
    /// Whether something is being entered.
    pub(super) fn is_open(&self) -> bool {
        self.entry.is_some()
    }

    /// Leaves what was being entered.
    pub(super) fn close(&mut self) {
        *self = Self::default();
    }

    pub(super) fn update(&mut self, message: Message, page: &Page, shared: &Shared) -> Next {
        let away = |id| page.aways.iter().find(|away| away.id == id).cloned();
        match message {
            Message::BookPressed => self.open(Entry::Booking(BookingForm::default())),
            Message::NotePressed => self.open(Entry::Away(AwayForm::default())),
            Message::ChangePressed(id) => match away(id) {
                Some(away) => self.open(Entry::Away(AwayForm::of(&away))),
                None => Next::Here,
            },
            Message::RemovePressed(id) => away(id).map_or(Next::Here, Next::Remove),
            Message::CancelPressed(id) => {
                let booking = page.bookings.iter().find(|booking| booking.id == id).cloned();
                booking.map_or(Next::Here, Next::Cancel)
            }
            Message::TestChosen(kind) => {
                if let Some(Entry::Booking(form)) = &mut self.entry {
                    form.kind = kind;
                }
                Next::Here
            }
            Message::ReasonChosen(kind) => {
                if let Some(Entry::Away(form)) = &mut self.entry {
                    form.kind = kind;
                }
                Next::Here
            }
            Message::Typed(field, typed) => {
                self.typed(field, typed);
                Next::Here
            }
            Message::SavePressed => self.save(page, shared),
            Message::LeavePressed => {
                self.close();
                Next::Here
            }
        }
    }

    fn open(&mut self, entry: Entry) -> Next {
        let first = if matches!(entry, Entry::Away(_)) { FROM } else { ON };
        *self = Self { entry: Some(entry), wrong: Vec::new() };
        Next::Focus(first)
    }

    fn typed(&mut self, field: Field, typed: String) {
        match (&mut self.entry, field) {
            (Some(Entry::Away(form)), Field::From) => form.from = typed,
            (Some(Entry::Away(form)), Field::To) => form.to = typed,
            (Some(Entry::Away(form)), Field::WellOn) => form.well_on = typed,
            (Some(Entry::Booking(form)), Field::On) => form.on = typed,
            // no other field stands here
            _ => return,
        }
        self.wrong.retain(|wrong| wrong.field != field);
    }

    fn save(&mut self, page: &Page, shared: &Shared) -> Next {
        let today = shared.now().today;
        let checked = match &self.entry {
            None => return Next::Here,
            Some(Entry::Booking(form)) => form.check(page, today).map(Next::Book),
            Some(Entry::Away(form)) => form.check(&page.athlete, today).map(|span| match form.id {
                None => Next::Note(span),
                Some(id) => {
                    let ToNote { athlete, kind, from, to, well_on } = span;
                    Next::Change(Away { id, athlete, kind, from, to, well_on })
                }
            }),
        };
        checked.unwrap_or_else(|wrong| {
            let first = wrong.first().map(|wrong| id(wrong.field));
            self.wrong = wrong;
            first.map_or(Next::Here, Next::Focus)
        })
    }

    fn wrong(&self, field: Field) -> Option<&str> {
        let found = self.wrong.iter().find(|wrong| wrong.field == field);
        found.map(|wrong| wrong.sentence.as_str())
    }

    pub(super) fn view<'a>(
        &'a self,
        page: &'a Page,
        wide: bool,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let mut lines = column![section("Calendar", ink)].spacing(2);
        let today = shared.now().today;
        let mut bookings: Vec<&Booking> = page.bookings.iter().filter(|b| b.on >= today).collect();
        bookings.sort_by_key(|booking| (booking.on, booking.id));
        let mut aways: Vec<&Away> = page.aways.iter().collect();
        aways.sort_by_key(|away| std::cmp::Reverse((away.from, away.id)));
        if bookings.is_empty() && aways.is_empty() {
            lines = lines.push(container(soft("Nothing booked, never away.", ink)).padding([6, 0]));
        }
        for booking in bookings {
            lines = lines.push(booking_row(booking, ink)).push(faint_rule(ink));
        }
        for away in aways {
            lines = lines.push(away_row(away, ink)).push(faint_rule(ink));
        }
        lines = lines.push(Space::new().height(8));
        match &self.entry {
            None => lines.push(
                row![
                    act("Book a test", "", ink).on_press(Message::BookPressed),
                    act("Note a span away", "", ink).on_press(Message::NotePressed),
                ]
                .spacing(12),
            ),
            Some(Entry::Booking(form)) => lines.push(self.booking_form(form, shared)),
            Some(Entry::Away(form)) => lines.push(self.away_form(form, wide, shared)),
        }
        .push(Space::new().height(14))
        .into()
    }

    fn booking_form<'a>(
        &'a self,
        form: &'a BookingForm,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let tests = TestKind::ALL.map(|kind| {
            let words = format!("{} minutes", kind.minutes());
            choice(&words, form.kind == kind, Message::TestChosen(kind), ink).into()
        });
        let on = self.field(ON, "On, like 2026-12-01", &form.on, Field::On, shared);
        let form = column![
            row(tests).spacing(12),
            container(on).max_width(340),
            save_or_leave("Save the booking", ink)
        ];
        container(form.spacing(12)).id(FORM).into()
    }

    fn away_form<'a>(
        &'a self,
        form: &'a AwayForm,
        wide: bool,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        const KINDS: [AwayKind; 4] =
            [AwayKind::Injury, AwayKind::Illness, AwayKind::Holiday, AwayKind::Camp];
        let ink = shared.ink();
        let kinds = KINDS.map(|kind| {
            choice(words::away(kind), form.kind == kind, Message::ReasonChosen(kind), ink).into()
        });
        let mut fields = vec![
            self.field(FROM, "First day, like 2026-11-02", &form.from, Field::From, shared),
            self.field(TO, "Last day; empty while it lasts", &form.to, Field::To, shared),
        ];
        if matches!(form.kind, AwayKind::Injury | AwayKind::Illness) {
            let label = "Running without pain or symptoms noted on";
            fields.push(self.field(WELL_ON, label, &form.well_on, Field::WellOn, shared));
        }
        let fields: Element<'_, Message> =
            if wide { row(fields).spacing(16).into() } else { column(fields).spacing(10).into() };
        let form = column![
            row(kinds).spacing(12),
            container(fields).max_width(980),
            small(
                "After injury or illness no all-out test for 14 days or half the absence, whichever is \
                 longer, at most 42 days, and only when running without pain or symptoms is noted.",
                ink
            ),
            save_or_leave("Save the span away", ink)
        ];
        container(form.spacing(12)).id(FORM).into()
    }

    fn field<'a>(
        &'a self,
        id: &'static str,
        label: &'a str,
        typed: &'a str,
        field: Field,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let typing = move |typed| Message::Typed(field, typed);
        let enter = Message::SavePressed;
        column![
            small(label, ink),
            field_with_enter(id, "", typed, self.wrong(field), ink, typing, enter)
        ]
        .spacing(3)
        .width(Fill)
        .into()
    }
}

fn save_or_leave<'a>(save: &str, ink: Ink) -> Element<'a, Message> {
    row![
        main_act(save, "Enter", ink).on_press(Message::SavePressed),
        act("Leave", "Esc", ink).on_press(Message::LeavePressed),
    ]
    .spacing(12)
    .into()
}

fn booking_row<'a>(booking: &Booking, ink: Ink) -> Element<'a, Message> {
    row![
        container(body(format!("{}, {}", words::test(booking.kind), day(booking.on)))).width(Fill),
        quiet("Cancel", ink).on_press(Message::CancelPressed(booking.id)),
    ]
    .spacing(12)
    .padding([5, 0])
    .align_y(Alignment::Center)
    .into()
}

fn away_row<'a>(away: &Away, ink: Ink) -> Element<'a, Message> {
    let until = away.to.map_or_else(|| ", still away".to_owned(), |to| format!(" to {}", day(to)));
    let unhurt = matches!(away.kind, AwayKind::Holiday | AwayKind::Camp);
    let well = match (away.well_on, away.to) {
        (Some(on), _) => format!("; running without pain or symptoms since {}", day_short(on)),
        (None, Some(_)) if !unhurt => "; running without pain or symptoms not noted yet".to_owned(),
        _ => String::new(),
    };
    let words = format!("Away, {}: {}{until}{well}", words::away(away.kind), day(away.from));
    row![
        container(body(words)).width(Fill),
        quiet("Change", ink).on_press(Message::ChangePressed(away.id)),
        quiet("Remove", ink).on_press(Message::RemovePressed(away.id)),
    ]
    .spacing(12)
    .padding([5, 0])
    .align_y(Alignment::Center)
    .into()
}
