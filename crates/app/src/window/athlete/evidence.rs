//! What stands beside the tests: races, laboratory values, the LT1 factor, medication, conditions of
//! tests. Listed, entered, changed, removed.

use std::cmp::Reverse;

use iced::widget::{Column, Row, Space, column, container, row};
use iced::{Alignment, Element, Fill};
use pacewright_core::course::Surface;
use pacewright_core::format::{
    day, day_short, pace, pace_unit, percent, race_distance, time, whole_beats,
};
use pacewright_core::laboratory::{LaboratoryValue, Protocol};
use pacewright_core::markers::MarkerName;
use pacewright_core::medication::Medication;
use pacewright_core::physiology::conditions::Ground;
use pacewright_core::race::{Priority, Race};
use pacewright_core::test::TestConditions;
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::people::{Evidence, EvidenceForm, Field, Subject, Wrong};

use super::FORM;
use crate::window::ink::Ink;
use crate::window::parts::{
    act, body, choice, faint_rule, field_with_enter, main_act, quiet, section, show_all, small,
    soft, strong,
};
use crate::window::shared::Shared;

/// Facts listed until all are asked for.
const FIRST: usize = 6;

/// The section's state: what is being entered.
#[derive(Debug, Default)]
pub(super) struct Beside {
    form: Option<Box<EvidenceForm>>,
    wrong: Vec<Wrong>,
    scope: Scope,
    all: bool,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Something of a kind is to be entered.
    Wanted(Subject),
    /// The offered lower factor is to be looked at.
    LowerFactorWanted,
    /// A fact is to be changed.
    ChangePressed(Box<Evidence>),
    /// A fact is to be removed.
    RemovePressed(Box<Evidence>),
    /// Something was typed.
    Typed(Field, String),
    /// How much a race matters was chosen.
    PriorityChosen(Priority),
    /// A marker was chosen.
    MarkerChosen(MarkerName),
    /// How a laboratory found it was chosen.
    ProtocolChosen(Protocol),
    /// What was run on was chosen, or left open.
    GroundChosen(Option<Ground>),
    /// Whether conditions are of one test or of every one of that day.
    ScopeChosen(Scope),
    /// What was typed is to be kept.
    SavePressed,
    /// The entry is left.
    LeavePressed,
    /// All facts, or the newest only.
    AllTurned,
}

/// What conditions are noted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Scope {
    /// The test alone.
    #[default]
    Test,
    /// Every test of its kind on its day.
    Day,
}

/// What the page has to do.
pub(super) enum Next {
    Here,
    Focus(&'static str),
    Keep(Evidence),
    KeepForDay(TestConditions),
    Remove(Evidence),
}

impl Beside {
    /// Whether something is being entered.
    pub(super) fn is_open(&self) -> bool {
        self.form.is_some()
    }

    /// Leaves what was being entered.
    pub(super) fn close(&mut self) {
        (self.form, self.wrong) = (None, Vec::new());
    }

    pub(super) fn update(&mut self, message: Message, page: &Page, shared: &Shared) -> Next {
        let today = shared.now().today;
        match message {
            Message::Wanted(Subject::Conditions(test)) => {
                let noted = page.beside.conditions.iter().rev().find(|noted| noted.test == test);
                let form = noted.map_or_else(
                    || EvidenceForm::new(Subject::Conditions(test), today),
                    |noted| EvidenceForm::of(&Evidence::Conditions(*noted), shared.units(), today),
                );
                self.open(form)
            }
            Message::Wanted(subject) => self.open(EvidenceForm::new(subject, today)),
            Message::LowerFactorWanted => self.open(EvidenceForm::lower_factor(today)),
            Message::ChangePressed(fact) => {
                self.open(EvidenceForm::of(&fact, shared.units(), today))
            }
            Message::RemovePressed(fact) => Next::Remove(*fact),
            Message::ScopeChosen(scope) => {
                self.scope = scope;
                Next::Here
            }
            Message::SavePressed => self.save(page, shared),
            Message::LeavePressed => {
                self.close();
                Next::Here
            }
            Message::AllTurned => {
                self.all = !self.all;
                Next::Here
            }
            entered => {
                self.entered(entered);
                Next::Here
            }
        }
    }

    fn entered(&mut self, message: Message) {
        let Some(form) = &mut self.form else { return };
        match message {
            Message::Typed(field, typed) => {
                let _before = form.typed.insert(field, typed);
                self.wrong.retain(|wrong| wrong.field != field);
            }
            Message::PriorityChosen(priority) => form.priority = priority,
            Message::MarkerChosen(marker) => form.marker = marker,
            Message::ProtocolChosen(protocol) => form.protocol = protocol,
            Message::GroundChosen(ground) => form.ground = ground,
            _ => {}
        }
    }

    fn open(&mut self, form: EvidenceForm) -> Next {
        let first = form.fields().first().copied().map(id);
        (self.form, self.wrong) = (Some(Box::new(form)), Vec::new());
        first.map_or(Next::Here, Next::Focus)
    }

    fn save(&mut self, page: &Page, shared: &Shared) -> Next {
        let Some(form) = &self.form else { return Next::Here };
        match form.check(page, shared.units(), shared.now().today) {
            Ok(Evidence::Conditions(noted)) if self.scope == Scope::Day => Next::KeepForDay(noted),
            Ok(evidence) => Next::Keep(evidence),
            Err(wrong) => {
                let first = wrong.first().map(|wrong| id(wrong.field));
                self.wrong = wrong;
                first.map_or(Next::Here, Next::Focus)
            }
        }
    }

    pub(super) fn view<'a>(
        &'a self,
        page: &'a Page,
        wide: bool,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let mut lines = column![section("Races, laboratory, medication", ink)].spacing(2);
        let facts = facts(page);
        if facts.is_empty() {
            lines = lines.push(container(soft(NOTHING, ink)).padding([6, 0]));
        }
        let shown = if self.all { facts.len() } else { FIRST.min(facts.len()) };
        for fact in facts.iter().take(shown) {
            lines = lines.push(fact_row(fact, shared)).push(faint_rule(ink));
        }
        if facts.len() > FIRST {
            let turn = show_all(self.all, facts.len(), "entries", ink);
            lines = lines.push(Space::new().height(4)).push(turn.on_press(Message::AllTurned));
        }
        lines = lines.push(Space::new().height(8));
        match &self.form {
            None => lines.push(enter(ink)),
            Some(form) => lines.push(self.form(form, page, wide, shared)),
        }
        .into()
    }

    fn form<'a>(
        &'a self,
        form: &'a EvidenceForm,
        page: &'a Page,
        wide: bool,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let fields = form.fields().iter().map(|field| {
            let typed = form.typed.get(field).map_or("", String::as_str);
            let label = label(form.subject, *field, shared.units());
            let wrong = self.wrong.iter().find(|wrong| wrong.field == *field);
            let wrong = wrong.map(|wrong| wrong.sentence.as_str());
            let (field, enter) = (*field, Message::SavePressed);
            let typing = move |typed| Message::Typed(field, typed);
            column![
                small(label, ink),
                field_with_enter(id(field), "", typed, wrong, ink, typing, enter)
            ]
            .spacing(3)
            .width(Fill)
            .into()
        });
        let fields: Element<'_, Message> = if wide {
            Row::with_children(fields).spacing(16).into()
        } else {
            Column::with_children(fields).spacing(10).into()
        };
        let mut lines = column![strong(heading(form, page))].spacing(12);
        if matches!(form.subject, Subject::Conditions(_)) {
            let of =
                |words, scope| choice(words, self.scope == scope, Message::ScopeChosen(scope), ink);
            let scopes =
                row![of("Of this test", Scope::Test), of("Of everyone's that day", Scope::Day)];
            lines = lines.push(scopes.spacing(12));
        }
        if let Some(choices) = choices(form, ink) {
            lines = lines.push(choices);
        }
        let lines = lines
            .push(container(fields).max_width(1_100))
            .push(container(small(about(form.subject), ink)).max_width(900))
            .push(
                row![
                    main_act(save(form.subject), "Enter", ink).on_press(Message::SavePressed),
                    act("Leave", "Esc", ink).on_press(Message::LeavePressed),
                ]
                .spacing(12),
            );
        container(lines).id(FORM).into()
    }
}

const NOTHING: &str = "No race, laboratory value or dated medication yet. A race of 3 to 10 km that was run may stand in \
                       for a 20-minute test; a laboratory's value for its marker.";

/// More than one form may be open on the page: each says what it saves.
fn save(subject: Subject) -> &'static str {
    match subject {
        Subject::Race => "Save the race",
        Subject::Laboratory => "Save the value",
        Subject::Factor => "Save the share",
        Subject::Medication => "Save the medication",
        Subject::Conditions(_) => "Save the conditions",
    }
}

fn heading(form: &EvidenceForm, page: &Page) -> String {
    let heading = match (form.subject, form.number) {
        (Subject::Race, 0) => "A race or time trial, run or still to come",
        (Subject::Race, _) => "Change the race",
        (Subject::Laboratory, _) => "A laboratory value",
        (Subject::Factor, _) => "LT1 heart rate as a share of LT2 heart rate",
        (Subject::Medication, _) => "Medication that lowers the heart rate; never printed",
        (Subject::Conditions(test), _) => {
            let test = page.tests.iter().find(|known| known.id == test);
            return test.map_or_else(String::new, |test| {
                format!("The conditions of the {} of {}", words::test(test.kind), day(test.on))
            });
        }
    };
    heading.to_owned()
}

/// What follows from an entry, and what to mind.
fn about(subject: Subject) -> &'static str {
    match subject {
        Subject::Race => {
            "One of 3 to 10 km may stand in for a 20-minute test that is missing or whose window has closed. A goal \
             race keeps the seven days before it free of all-out tests. Leave the time empty until it is run."
        }
        Subject::Laboratory => {
            "It stands for its marker until a newer test. By gas exchange LT2 lies about six beats above a \
             lactate threshold; LT1 heart rate is then 91 % of it."
        }
        Subject::Factor => {
            "95 % is common practice; 91 % is the published ratio of the two thresholds. Keep it for a season: a \
             new factor moves LT1 pace without any change of fitness and begins a new series."
        }
        Subject::Medication => {
            "While it lasts there are no heart-rate zones. A start or a new dose ends the clearance: ask first, \
             and note what it is for."
        }
        Subject::Conditions(_) => {
            "Heat is estimated from temperature and humidity, for sun and light wind: too high in cloud or at night."
        }
    }
}

fn enter<'a>(ink: Ink) -> Element<'a, Message> {
    let wanted = |words: &str, subject| act(words, "", ink).on_press(Message::Wanted(subject));
    row![
        wanted("Enter a race", Subject::Race),
        wanted("Enter a laboratory value", Subject::Laboratory),
        wanted("Set the LT1 factor", Subject::Factor),
        wanted("Note medication", Subject::Medication),
    ]
    .spacing(12)
    .wrap()
    .vertical_spacing(8)
    .into()
}

/// The answers that are chosen instead of typed.
fn choices<'a>(form: &EvidenceForm, ink: Ink) -> Option<Element<'a, Message>> {
    let line = |answers: Vec<Element<'a, Message>>| -> Element<'a, Message> {
        Row::with_children(answers).spacing(12).wrap().vertical_spacing(8).into()
    };
    match form.subject {
        Subject::Race => {
            let of = |words, priority| {
                let chosen = form.priority == priority;
                choice(words, chosen, Message::PriorityChosen(priority), ink).into()
            };
            Some(line(vec![of("Goal race", Priority::Goal), of("Other", Priority::Other)]))
        }
        Subject::Laboratory => {
            let marker = |name| {
                let words = words::capital(words::marker(name).trim_start_matches("the "));
                choice(&words, form.marker == name, Message::MarkerChosen(name), ink).into()
            };
            let protocol = |words, protocol| {
                let chosen = form.protocol == protocol;
                choice(words, chosen, Message::ProtocolChosen(protocol), ink).into()
            };
            let markers = line(MarkerName::ALL.into_iter().map(marker).collect());
            let protocols = line(vec![
                protocol("By lactate", Protocol::Lactate),
                protocol("By gas exchange", Protocol::GasExchange),
                protocol("Otherwise", Protocol::Other),
            ]);
            Some(column![markers, protocols].spacing(8).into())
        }
        Subject::Conditions(_) => Some(line(grounds(form.ground, ink))),
        Subject::Factor | Subject::Medication => None,
    }
}

fn grounds<'a>(chosen: Option<Ground>, ink: Ink) -> Vec<Element<'a, Message>> {
    let all = [
        ("Track", Some(Ground::Course(Surface::Track))),
        ("Road", Some(Ground::Course(Surface::Road))),
        ("Soft or uneven", Some(Ground::Course(Surface::Trail))),
        ("Treadmill", Some(Ground::Treadmill)),
        ("Not noted", None),
    ];
    let one = |(words, ground)| {
        choice(words, chosen == ground, Message::GroundChosen(ground), ink).into()
    };
    all.into_iter().map(one).collect()
}

fn label(subject: Subject, field: Field, units: UnitSystem) -> String {
    let words = match (subject, field) {
        (_, Field::On) => "On, like 2026-12-01",
        (Subject::Race, Field::Distance) => "Distance: 5 km, half marathon",
        (_, Field::Time) => "Time, like 16:30",
        (_, Field::Title) => "Name, if you like",
        (_, Field::Highest) => "Highest heart rate, if known",
        (_, Field::Pace) => return format!("Pace per {}, or 14.7 km/h", pace_unit(units)),
        (_, Field::Rate) => "Heart rate",
        (_, Field::Notes) => "Treadmill, stages, definition",
        (_, Field::From) => "From, like 2026-12-01",
        (_, Field::To) => "Last day; empty while it lasts",
        (_, Field::Factor) => "Percent, 85 to 100",
        (Subject::Medication, Field::Reason) => "What it is for",
        (_, Field::Reason) => "Why, in a few words",
        (_, Field::Dose) => "What and how much",
        (_, Field::Air) => "Temperature, \u{b0}C",
        (_, Field::Humidity) => "Humidity, %",
        (_, Field::Heat) => "Or wet-bulb globe, \u{b0}C",
        (_, Field::Altitude) => "Altitude, m",
        _ => "",
    };
    words.to_owned()
}

fn id(field: Field) -> &'static str {
    match field {
        Field::On => "evidence on",
        Field::Distance => "evidence distance",
        Field::Time => "evidence time",
        Field::Title => "evidence name",
        Field::Highest => "evidence highest",
        Field::Pace => "evidence pace",
        Field::Rate => "evidence rate",
        Field::Notes => "evidence notes",
        Field::From => "evidence from",
        Field::To => "evidence to",
        Field::Factor => "evidence factor",
        Field::Reason => "evidence reason",
        Field::Dose => "evidence dose",
        Field::Air => "evidence air",
        Field::Humidity => "evidence humidity",
        Field::Heat => "evidence heat",
        Field::Altitude => "evidence altitude",
        _ => "evidence",
    }
}

/// Everything but conditions, which stand with their tests; newest first.
fn facts(page: &Page) -> Vec<Evidence> {
    let beside = &page.beside;
    let mut facts: Vec<Evidence> = beside.races.iter().cloned().map(Evidence::Race).collect();
    facts.extend(beside.laboratory.iter().cloned().map(Evidence::Laboratory));
    facts.extend(beside.factors.iter().cloned().map(Evidence::Factor));
    facts.extend(beside.medications.iter().cloned().map(Evidence::Medication));
    facts.sort_by_key(|fact| Reverse(fact.on()));
    facts
}

fn fact_row<'a>(fact: &Evidence, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let quiet = |words: &str, message| quiet(words, ink).on_press(message);
    row![
        container(body(said(fact, shared.units()))).width(Fill),
        quiet("Change", Message::ChangePressed(Box::new(fact.clone()))),
        quiet("Remove", Message::RemovePressed(Box::new(fact.clone()))),
    ]
    .spacing(12)
    .padding([5, 0])
    .align_y(Alignment::Center)
    .into()
}

fn said(fact: &Evidence, units: UnitSystem) -> String {
    match fact {
        Evidence::Race(race) => race_said(race, units),
        Evidence::Laboratory(value) => laboratory_said(value, units),
        Evidence::Factor(factor) => format!(
            "LT1 heart rate at {} of LT2 from {}: {}",
            percent(factor.factor.ratio()),
            day(factor.from),
            factor.reason
        ),
        Evidence::Medication(span) => medication_said(span),
        Evidence::Conditions(_) => String::new(),
    }
}

fn race_said(race: &Race, units: UnitSystem) -> String {
    let name = if race.name.is_empty() { String::new() } else { format!(", {}", race.name) };
    let goal = if race.priority == Priority::Goal { "; goal race" } else { "" };
    let result = race.result.map_or_else(String::new, |result| {
        let speed = race
            .ran()
            .and_then(|ran| pacewright_core::units::Speed::over(ran.distance, ran.duration));
        let at = speed
            .map_or_else(String::new, |v| format!(", {} per {}", pace(v, units), pace_unit(units)));
        format!(": {}{at}", time(result.duration))
    });
    let race_of = words::capital(&race_distance(race.distance));
    format!("{race_of} race{name}, {}{result}{goal}", day(race.on))
}

fn laboratory_said(value: &LaboratoryValue, units: UnitSystem) -> String {
    let pace = value.speed.map(|v| format!("{} per {}", pace(v, units), pace_unit(units)));
    let rate = value.heart_rate.map(|rate| format!("{} beats", whole_beats(rate)));
    let numbers: Vec<String> = pace.into_iter().chain(rate).collect();
    let how = match value.protocol {
        Protocol::Lactate => "by lactate",
        Protocol::GasExchange => "by gas exchange",
        Protocol::Other => "by its own protocol",
    };
    let notes = if value.notes.is_empty() { String::new() } else { format!("; {}", value.notes) };
    let marker = words::marker_heading(value.marker);
    format!("{marker} in the laboratory, {}: {}, {how}{notes}", day(value.on), numbers.join(", "))
}

fn medication_said(span: &Medication) -> String {
    let until = span.to.map_or_else(|| "still taken".to_owned(), |to| format!("to {}", day(to)));
    let dose = if span.dose.is_empty() { String::new() } else { format!(": {}", span.dose) };
    let reason = span
        .reason
        .as_deref()
        .map_or("; what it is for is not noted yet".to_owned(), |why| format!("; for {why}"));
    format!("Medication from {}, {until}{dose}{reason}", day_short(span.from))
}
