//! The facts about an athlete, to be typed: also the blank page for somebody new.

use iced::widget::{Space, column, container, row, scrollable, text, text_editor};
use iced::{Alignment, Element, Fill};
use pacewright_core::athlete::{Athlete, Sensor, Sex, Squad};
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::people::{Draft, Field, Form, ScreeningChoice, Wrong};

use crate::window::ink::{Ink, STRONG, TITLE};
use crate::window::parts::{
    act, body, choice, editor, faint_rule, field_with_enter, main_act, page, rule, small,
};
use crate::window::shared::Shared;

/// The first field.
pub(super) const FIRST: &str = "athlete name";

/// Width of the labels, px.
const LABEL: f32 = 250.0;

/// The form's state.
#[derive(Debug)]
pub(super) struct EditForm {
    form: Form,
    notes: text_editor::Content,
    wrong: Vec<Wrong>,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Something was typed.
    Typed(Field, String),
    /// The notes were edited.
    NotesEdited(text_editor::Action),
    /// Sex was chosen, or left open.
    SexChosen(Option<Sex>),
    /// What screening said was chosen.
    ScreeningChosen(ScreeningChoice),
    /// Medication was chosen: taken or not.
    MedicationChosen(Medication),
    /// The sensor was chosen, or left open.
    SensorChosen(Option<Sensor>),
    /// What was typed is to be kept.
    SavePressed,
    /// The form is left.
    CancelPressed,
    /// The athlete is to be removed.
    RemovePressed,
}

/// Whether rate-lowering medication is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Medication {
    /// None.
    None,
    /// Some that lowers the heart rate.
    LowersHeartRate,
}

/// What the page has to do.
pub(super) enum Next {
    Here,
    Focus(&'static str),
    Save(Box<Draft>),
    Cancel,
    Remove,
}

impl EditForm {
    /// For somebody new.
    pub(super) fn blank() -> Self {
        Self::from(Form::default())
    }

    /// For somebody known.
    pub(super) fn of(athlete: &Athlete, squads: &[Squad]) -> Self {
        Self::from(Form::of(athlete, squads))
    }

    fn from(form: Form) -> Self {
        let notes = text_editor::Content::with_text(&form.notes);
        Self { form, notes, wrong: Vec::new() }
    }

    /// The name as it was typed.
    pub(super) fn name(&self) -> String {
        self.form.name.trim().to_owned()
    }

    pub(super) fn update(
        &mut self,
        message: Message,
        before: Option<&Athlete>,
        shared: &Shared,
    ) -> Next {
        let form = &mut self.form;
        match message {
            Message::Typed(field, typed) => {
                if let Some(slot) = slot(form, field) {
                    *slot = typed;
                }
                self.wrong.retain(|wrong| wrong.field != field);
            }
            Message::NotesEdited(action) => self.notes.perform(action),
            Message::SexChosen(sex) => form.sex = sex,
            Message::ScreeningChosen(screening) => {
                form.choose_screening(screening);
                self.wrong.retain(|wrong| wrong.field != Field::ScreenedOn);
            }
            Message::MedicationChosen(medication) => {
                form.medication = medication == Medication::LowersHeartRate;
            }
            Message::SensorChosen(sensor) => form.sensor = sensor,
            Message::SavePressed => return self.save(before, shared),
            Message::CancelPressed => return Next::Cancel,
            Message::RemovePressed => return Next::Remove,
        }
        Next::Here
    }

    fn save(&mut self, before: Option<&Athlete>, shared: &Shared) -> Next {
        self.form.notes = self.notes.text();
        match self.form.check(before, &shared.book, shared.now().today) {
            Ok(draft) => Next::Save(Box::new(draft)),
            Err(wrong) => {
                let first = wrong.first().map(|wrong| id(wrong.field));
                self.wrong = wrong;
                first.map_or(Next::Here, Next::Focus)
            }
        }
    }

    pub(super) fn view<'a>(
        &'a self,
        known: Option<&'a Page>,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let heading = known.map_or("A new athlete", |page| page.athlete.name.as_str());
        let acts = row![
            act("Cancel", "Esc", ink).on_press(Message::CancelPressed),
            main_act("Save", "Enter", ink).on_press(Message::SavePressed),
        ];
        let head = row![text(heading).size(TITLE).font(STRONG).width(Fill), acts.spacing(12)]
            .spacing(20)
            .align_y(Alignment::Center);
        let mut lines = column![
            self.person(shared),
            self.health(shared),
            self.heart_rates(shared),
            self.sensor(ink)
        ];
        lines = lines.push(self.notes(ink));
        if known.is_some() {
            let remove = act("Remove this athlete", "", ink).on_press(Message::RemovePressed);
            lines = lines.push(Space::new().height(14)).push(
                row![
                    remove,
                    Space::new().width(14),
                    small("With all their tests and zones; undo brings everything back.", ink),
                ]
                .align_y(Alignment::Center),
            );
        }
        let lines = scrollable(container(lines).padding(iced::Padding::ZERO.right(18)))
            .height(Fill)
            .style(move |theme, status| ink.scroll(theme, status));
        page(column![head, rule(ink), lines].spacing(10).max_width(900))
    }

    fn person<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let sex = |sex| self.form.sex == sex;
        let sexes = row![
            choice("Female", sex(Some(Sex::Female)), Message::SexChosen(Some(Sex::Female)), ink),
            choice("Male", sex(Some(Sex::Male)), Message::SexChosen(Some(Sex::Male)), ink),
            choice("Not given", sex(None), Message::SexChosen(None), ink),
        ];
        let known: Vec<&str> = shared.book.squads.iter().map(|s| s.name.as_str()).collect();
        let known = if known.is_empty() {
            "several separated by semicolons".to_owned()
        } else {
            format!("several separated by semicolons; there are {}", known.join(", "))
        };
        let born = if self.form.lacks_consent(shared.now().today) {
            "under 18: a guardian's consent is asked for below, no all-out test without"
        } else {
            "a day like 1991-04-30"
        };
        column![
            self.line("Name", "as it is printed", Field::Name, &self.form.name, ink),
            self.line("Born", born, Field::Born, &self.form.born, ink),
            labelled("Sex", "for published equations", sexes.spacing(10), ink),
            self.line("Squads", known, Field::Squads, &self.form.squads, ink),
            self.line(
                "Other names",
                "in file names; separated by semicolons",
                Field::Aliases,
                &self.form.aliases,
                ink
            ),
        ]
        .into()
    }

    fn health<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let (ink, form) = (shared.ink(), &self.form);
        let answer = |words, screening| {
            choice(words, form.screening == screening, Message::ScreeningChosen(screening), ink)
        };
        let answers = row![
            answer("Not asked", ScreeningChoice::NotAsked),
            answer("Cleared", ScreeningChoice::Cleared),
            answer("Hold", ScreeningChoice::Hold),
        ];
        let answers =
            column![answers.spacing(10), small(words::health_questions(), ink)].spacing(6);
        let about = "a hold also for pregnancy and the months after; never printed";
        let mut lines = column![labelled("Health questions", about, answers, ink)];
        let since = match form.screening {
            ScreeningChoice::NotAsked => None,
            ScreeningChoice::Cleared => Some(("Cleared on", "lapses after 12 months")),
            ScreeningChoice::Hold => Some(("On hold since", "empty where it is not known")),
        };
        if let Some((label, hint)) = since {
            lines = lines.push(self.line(label, hint, Field::ScreenedOn, &form.screened_on, ink));
        }
        if form.is_minor(shared.now().today) || !form.guardian_consent.is_empty() {
            let (label, hint) = ("A guardian consented on", "under 18 no all-out test without");
            lines = lines.push(self.line(
                label,
                hint,
                Field::GuardianConsent,
                &form.guardian_consent,
                ink,
            ));
        }
        lines.into()
    }

    fn heart_rates<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let (ink, form) = (shared.ink(), &self.form);
        let taken = |medication| Message::MedicationChosen(medication);
        let medication = row![
            choice("None known", !form.medication, taken(Medication::None), ink),
            choice(
                "Lowers the heart rate",
                form.medication,
                taken(Medication::LowersHeartRate),
                ink
            ),
        ];
        column![]
            .push(labelled(
                "Medication",
                "beta blockers and the like: no heart-rate zones",
                medication.spacing(10),
                ink,
            ))
            .push(self.line(
                "Resting heart rate",
                "beats a minute",
                Field::Resting,
                &form.resting,
                ink,
            ))
            .push(self.line(
                "Highest heart rate",
                "known from a race or test, never from age",
                Field::Highest,
                &form.highest,
                ink,
            ))
            .into()
    }

    fn sensor(&self, ink: Ink) -> Element<'_, Message> {
        let sensor = |words, sensor| {
            choice(words, self.form.sensor == sensor, Message::SensorChosen(sensor), ink)
        };
        let sensors = row![
            sensor("Chest strap", Some(Sensor::Strap)),
            sensor("Wrist", Some(Sensor::Wrist)),
            sensor("Not known", None),
        ];
        labelled("Sensor", "a wrist sensor sets no heart-rate zones", sensors.spacing(10), ink)
    }

    fn notes(&self, ink: Ink) -> Element<'_, Message> {
        let editor = editor("athlete notes", &self.notes, 96.0, ink, Message::NotesEdited);
        labelled("Notes", "yours alone; never printed", editor, ink)
    }

    fn line<'a>(
        &'a self,
        label: &'a str,
        hint: impl Into<String>,
        field: Field,
        typed: &'a str,
        ink: Ink,
    ) -> Element<'a, Message> {
        let wrong = self.wrong.iter().find(|wrong| wrong.field == field);
        let wrong = wrong.map(|wrong| wrong.sentence.as_str());
        let typing = move |typed| Message::Typed(field, typed);
        let input =
            field_with_enter(id(field), "", typed, wrong, ink, typing, Message::SavePressed);
        labelled(label, hint, input, ink)
    }
}

/// A label with its hint, and what is entered beside it.
fn labelled<'a>(
    label: &'a str,
    hint: impl Into<String>,
    entry: impl Into<Element<'a, Message>>,
    ink: Ink,
) -> Element<'a, Message> {
    column![
        row![column![body(label), small(hint, ink)].width(LABEL), container(entry).width(Fill)]
            .spacing(20)
            .padding([7, 0])
            .align_y(Alignment::Center),
        faint_rule(ink),
    ]
    .into()
}

fn slot(form: &mut Form, field: Field) -> Option<&mut String> {
    Some(match field {
        Field::Name => &mut form.name,
        Field::Born => &mut form.born,
        Field::Squads => &mut form.squads,
        Field::ScreenedOn => &mut form.screened_on,
        Field::GuardianConsent => &mut form.guardian_consent,
        Field::Resting => &mut form.resting,
        Field::Highest => &mut form.highest,
        Field::Aliases => &mut form.aliases,
        // fields of other forms
        _ => return None,
    })
}

fn id(field: Field) -> &'static str {
    match field {
        Field::Name => FIRST,
        Field::Born => "athlete born",
        Field::Squads => "athlete squads",
        Field::ScreenedOn => "athlete screened on",
        Field::GuardianConsent => "athlete consent",
        Field::Resting => "athlete resting",
        Field::Highest => "athlete highest",
        Field::Aliases => "athlete aliases",
        _ => "athlete",
    }
}
