//! One whistle, many runners: laps and metres typed, zones as you type. Nothing counts until it is
//! confirmed; rows that are wrong or empty wait.

mod cells;
mod draft;
mod foot;
mod head;
mod rows;

use std::sync::Arc;

use iced::advanced::widget::{Id, operate};
use iced::widget::operation;
use iced::{Element, Task};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::test::TestKind;
use pacewright_core::words;
use pacewright_desk::decide::{self, Choice};
use pacewright_desk::typed::{Reading, decisions, runners};
use pacewright_desk::{Problem, typed};

use crate::window::action::{Action, Outcome};
use crate::window::keys::Shortcut;
use crate::window::reveal::{Focused, find_focused};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

pub(in crate::window) use draft::Draft;
use rows::Column;

const ROWS: &str = "test day rows";
const ADD: &str = "add an athlete";
const DAY: &str = "day of the test";
const LAP: &str = "length of a lap";

/// The view's state.
#[derive(Debug)]
pub(in crate::window) struct Table {
    draft: Draft,
    /// What each row says, as long as the draft's rows.
    readings: Vec<Reading>,
    /// Part of a name, typed to add somebody.
    adding: String,
    /// The row the focus was in last; it stays built wherever the table is scrolled to.
    at: Option<usize>,
    scrolled: f32,
    seen: f32,
    /// A decision is on its way to the library, or its outcome on its way back.
    confirming: bool,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Another test was picked.
    KindPicked(TestKind),
    /// The day is being typed, or was picked.
    DayTyped(String),
    /// The length of a lap is being typed.
    LapTyped(String),
    /// Part of a name is being typed.
    NameTyped(String),
    /// The first who fits is to be added.
    FirstFitAdded,
    /// Somebody is to be added.
    Added(AthleteId),
    /// Everyone (of a squad) who may run is to be added.
    SquadAdded(Option<SquadId>),
    /// Something is being typed into a row.
    Typed(Place, String),
    /// Enter in a row: one down.
    Submitted(Place),
    /// A row's choice is turned.
    Turned(usize),
    /// A row is taken out.
    Removed(usize),
    /// A key acts on the field that has the focus.
    OnFocused(RowKey, Focused),
    /// The rows were scrolled: offset and height, px.
    Scrolled(f32, f32),
    /// The ready rows are to count.
    ConfirmPressed,
    /// They were decided, or not.
    Decided(Result<Vec<decide::Outcome>, Problem>),
    /// The cards of those with new zones are wanted.
    CardsPressed,
}

/// A field of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    row: usize,
    column: Column,
}

/// A key that acts on the row of the focus.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowKey {
    /// The focus moved: keep it in sight.
    Moved,
    /// One row down.
    Down,
    /// One row up.
    Up,
    /// Turn the choice.
    Turn,
    /// Take the row out.
    Remove,
}

impl Table {
    pub(super) fn new(shared: &Shared) -> (Self, Task<Message>) {
        let draft = match &shared.draft {
            Some(draft) => draft.clone(),
            None => Draft::on(shared.now().today, &shared.book),
        };
        let mut table = Self {
            draft,
            readings: Vec::new(),
            adding: String::new(),
            at: None,
            scrolled: 0.0,
            seen: 800.0,
            confirming: false,
        };
        table.read_all(shared);
        let first = if table.draft.rows.is_empty() { ADD.into() } else { table.first_open() };
        (table, operation::focus(first))
    }

    /// The table with one athlete in it.
    pub(super) fn of(athlete: AthleteId, shared: &Shared) -> (Self, Task<Message>) {
        let (mut table, _) = Self::new(shared);
        table.draft.add(athlete);
        table.read_all(shared);
        let row = table.draft.rows.iter().position(|row| row.athlete == athlete);
        let focus = table.focus(Place { row: row.unwrap_or(0), column: Column::Laps });
        (table, focus)
    }

    /// The first field of the first row that says nothing yet.
    fn first_open(&self) -> Id {
        let row = self.readings.iter().position(|reading| *reading == Reading::Empty);
        Place { row: row.unwrap_or(0), column: Column::Laps }.id()
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::KindPicked(kind) => {
                self.draft.kind = kind;
                self.occasion_changed(shared)
            }
            Message::DayTyped(text) => {
                self.draft.day = text;
                self.occasion_changed(shared)
            }
            Message::LapTyped(text) => {
                self.draft.lap = text;
                self.drafted(shared)
            }
            Message::NameTyped(text) => {
                self.adding = text;
                Action::none()
            }
            Message::FirstFitAdded => match self.fitting(shared).first() {
                Some(first) => self.add(first.athlete, shared),
                None => Action::none(),
            },
            Message::Added(athlete) => self.add(athlete, shared),
            Message::SquadAdded(squad) => self.add_squad(squad, shared),
            Message::Typed(place, text) => self.typed(place, text, shared),
            Message::Submitted(place) => self.step(place, 1),
            Message::Turned(row) => self.turn(row, shared),
            Message::Removed(row) => self.remove(row, shared),
            Message::OnFocused(key, focused) => self.on_focused(key, &focused, shared),
            Message::Scrolled(offset, height) => {
                (self.scrolled, self.seen) = (offset, height);
                Action::none()
            }
            Message::ConfirmPressed => self.confirm(shared),
            Message::Decided(outcome) => self.decided(outcome),
            Message::CardsPressed => self.cards(),
        }
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        let on_focused =
            |key| Action::run(operate(find_focused(ROWS)).map(move |f| Message::OnFocused(key, f)));
        match shortcut {
            Shortcut::Main => self.confirm(shared),
            Shortcut::Next | Shortcut::Previous => on_focused(RowKey::Moved),
            Shortcut::Down => on_focused(RowKey::Down),
            Shortcut::Up => on_focused(RowKey::Up),
            Shortcut::Turn => on_focused(RowKey::Turn),
            Shortcut::Remove => on_focused(RowKey::Remove),
            Shortcut::Search => Action::run(operation::focus(ADD)),
            Shortcut::Letter('p', _) => self.cards(),
            Shortcut::Back => {
                self.adding.clear();
                Action::none()
            }
            _ => Action::none(),
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        self.confirming = false;
        let here = |athlete| shared.book.of_id(athlete).is_ok();
        self.draft.rows.retain(|row| here(row.athlete));
        self.drafted(shared)
    }

    /// Messages of test day, so that it can ask for the recordings.
    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, super::Message> {
        rows::page(self, shared)
    }

    /// Reads every row anew and hands the draft to the window, which keeps it while other pages are
    /// looked at.
    fn drafted(&mut self, shared: &Shared) -> Action<Message> {
        self.read_all(shared);
        Action::say(Outcome::Drafted(self.draft.clone()))
    }

    fn read_all(&mut self, shared: &Shared) {
        self.readings = self.draft.readings(shared);
    }

    /// Who is booked is asked again while nothing was typed.
    fn occasion_changed(&mut self, shared: &Shared) -> Action<Message> {
        self.draft.add_booked(shared);
        self.drafted(shared)
    }

    fn add(&mut self, athlete: AthleteId, shared: &Shared) -> Action<Message> {
        self.adding.clear();
        self.draft.add(athlete);
        let row = self.draft.rows.iter().position(|row| row.athlete == athlete).unwrap_or(0);
        let action = self.drafted(shared);
        let focus = self.focus(Place { row, column: Column::Laps });
        Action { task: Task::batch([action.task, focus]), outcome: action.outcome }
    }

    fn add_squad(&mut self, squad: Option<SquadId>, shared: &Shared) -> Action<Message> {
        let today = shared.now().today;
        let Ok(on) = typed::day(&self.draft.day, today) else {
            return Action::none();
        };
        for athlete in runners(&shared.book, squad, self.draft.kind, (on, today)) {
            self.draft.add(athlete);
        }
        let action = self.drafted(shared);
        let focus = operation::focus(self.first_open());
        Action { task: Task::batch([action.task, focus]), outcome: action.outcome }
    }

    fn typed(&mut self, place: Place, text: String, shared: &Shared) -> Action<Message> {
        self.at = Some(place.row);
        let Some(row) = self.draft.rows.get_mut(place.row) else { return Action::none() };
        match place.column {
            Column::Laps => row.laps = text,
            Column::Metres => row.metres = text,
            Column::HeartRate => row.heart_rate = text,
            Column::Reason => row.reason = text,
        }
        if let Some(reading) = self.readings.get_mut(place.row) {
            *reading = self.draft.reading(place.row, shared);
        }
        Action::say(Outcome::Drafted(self.draft.clone()))
    }

    /// From a field to the same one of another row, past rows that count already.
    fn step(&mut self, from: Place, by: isize) -> Action<Message> {
        let mut row = from.row;
        loop {
            match row.checked_add_signed(by) {
                Some(next) if next < self.readings.len() => row = next,
                _ => return Action::none(),
            }
            if !matches!(self.readings.get(row), Some(Reading::Counted(_))) {
                break;
            }
        }
        let has_reason =
            matches!(self.readings.get(row), Some(Reading::Result(f)) if !f.doubts.is_empty());
        let column = match from.column {
            Column::Reason if !has_reason => Column::Laps,
            column => column,
        };
        Action::run(self.focus(Place { row, column }))
    }

    /// Puts the focus into a field and brings it into sight. Its row is built wherever the table is
    /// scrolled to.
    fn focus(&mut self, place: Place) -> Task<Message> {
        self.at = Some(place.row);
        let reveal = operate(find_focused(ROWS)).map(|f| Message::OnFocused(RowKey::Moved, f));
        operation::focus(place.id()).chain(operation::select_all(place.id())).chain(reveal)
    }

    fn on_focused(&mut self, key: RowKey, focused: &Focused, shared: &Shared) -> Action<Message> {
        let place = Place::all(self.draft.rows.len()).find(|place| place.id() == focused.id);
        let Some(place) = place else { return Action::none() };
        self.at = Some(place.row);
        match key {
            RowKey::Moved => match focused.scroll_by {
                Some(offset) => Action::run(operation::scroll_by(ROWS, offset)),
                None => Action::none(),
            },
            RowKey::Down => self.step(place, 1),
            RowKey::Up => self.step(place, -1),
            RowKey::Turn => self.turn(place.row, shared),
            RowKey::Remove => self.remove(place.row, shared),
        }
    }

    fn turn(&mut self, row: usize, shared: &Shared) -> Action<Message> {
        let Some(Reading::Result(foreseen)) = self.readings.get(row) else { return Action::none() };
        let turned = match foreseen.choice {
            Choice::KeepZones => Choice::NewZones,
            _ if foreseen.before.is_none() => return Action::none(),
            _ => Choice::KeepZones,
        };
        if let Some(entry) = self.draft.rows.get_mut(row) {
            entry.turned = Some(turned);
        }
        self.drafted(shared)
    }

    fn remove(&mut self, row: usize, shared: &Shared) -> Action<Message> {
        if row < self.draft.rows.len() {
            let _taken_out = self.draft.rows.remove(row);
        }
        self.at = None;
        self.drafted(shared)
    }

    /// How many rows can be confirmed.
    fn ready(&self) -> usize {
        self.draft
            .rows
            .iter()
            .zip(&self.readings)
            .filter(|(row, reading)| matches!(reading, Reading::Result(f) if f.is_ready(row)))
            .count()
    }

    fn confirm(&mut self, shared: &Shared) -> Action<Message> {
        let decided = decisions(self.draft.rows.iter().zip(&self.readings));
        if decided.is_empty() || self.confirming {
            return Action::none();
        }
        self.confirming = true;
        let (desk, book) = (Arc::clone(&shared.desk), Arc::clone(&shared.book));
        let now = shared.now();
        Action::run(off_thread(
            move || decide::decide(&desk, &book, decided, &now),
            Message::Decided,
        ))
    }

    fn decided(&mut self, outcome: Result<Vec<decide::Outcome>, Problem>) -> Action<Message> {
        match outcome {
            // until the library is read again the rows still look as if they could be confirmed
            Ok(outcomes) => Action::say(Outcome::Changed(done(&outcomes))),
            Err(problem) => {
                self.confirming = false;
                Action::say(Outcome::Failed(problem))
            }
        }
    }

    /// Those whose zones changed by a result that counts.
    fn with_new_zones(&self) -> Vec<AthleteId> {
        let new = |reading: &&Reading| matches!(reading, Reading::Counted(c) if c.new_zones);
        let counted = self.draft.rows.iter().zip(&self.readings).filter(|(_, r)| new(r));
        counted.map(|(row, _)| row.athlete).collect()
    }

    fn cards(&self) -> Action<Message> {
        let changed = self.with_new_zones();
        if changed.is_empty() { Action::none() } else { Action::say(Outcome::PrintCards(changed)) }
    }
}

/// "Six results confirmed: four with new zones, two renewed."
fn done(outcomes: &[decide::Outcome]) -> String {
    let count =
        |wanted: fn(&decide::Outcome) -> bool| outcomes.iter().filter(|o| wanted(o)).count();
    let new = count(|o| o.zones.is_some());
    let held = count(|o| o.held_back.is_some());
    let kept = outcomes.len() - new - held;
    let parts = [
        (new, "with new zones"),
        (kept, "renewed"),
        (held, "without new zones: their tests or values contradict each other"),
    ];
    let parts: Vec<String> = parts
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{} {what}", words::number(count).to_lowercase()))
        .collect();
    let results = if outcomes.len() == 1 { "result" } else { "results" };
    format!("{} {results} confirmed: {}.", words::number(outcomes.len()), parts.join(", "))
}
