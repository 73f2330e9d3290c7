//! The calendar: two months and what stands on their days; a booking moved, a plan proposed, races and
//! days away entered.

mod agenda;
mod enter;
mod month;
mod plan;
mod programme;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::{Datelike, Days, Months, NaiveDate};
use iced::widget::operation::{self, RelativeOffset};
use iced::widget::{column, container, responsive, row};
use iced::{Alignment, Element, Fill, Size, Task};
use pacewright_core::format::day;
use pacewright_core::ids::SquadId;
use pacewright_core::schedule::Booking;
use pacewright_desk::Problem;
use pacewright_desk::agenda::{Day, Item, What, agenda};
use pacewright_desk::files::{documents_folder, write_whole};
use pacewright_desk::papers::calendar_file;
use pacewright_desk::plan::{cancel, move_booking, why_not_here};

use super::Room;
use super::action::{Action, Outcome};
use super::keys::Shortcut;
use super::parts::{act, choice, empty, main_act, page, title};
use super::shared::Shared;
use super::work::off_thread;

/// The least width of what stands beside the months, px.
const LEAST_PANEL: f32 = 420.0;
/// A page narrower than this has the acts under the title, and one narrower than that has no room for
/// the day beside both (it stands on the bar too), px.
const ACTS_BESIDE: f32 = 690.0;
const DAY_BESIDE: f32 = 850.0;
/// Between the months and what stands beside them, px.
const GAP: f32 = 34.0;

/// The screen's state.
#[derive(Debug)]
pub(super) struct Calendar {
    squad: Option<SquadId>,
    /// The first day of the first month shown.
    from: NaiveDate,
    /// What stands on the days shown.
    days: BTreeMap<NaiveDate, Day>,
    /// The line that is chosen, from the first day shown in the agenda.
    at: usize,
    moving: Option<Moving>,
    panel: Panel,
}

/// A booking on its way to another day.
#[derive(Debug, Clone)]
struct Moving {
    booking: Booking,
    name: String,
    to: NaiveDate,
    /// The rule it would break there.
    broken: Option<String>,
}

/// What stands beside the months.
#[derive(Debug)]
enum Panel {
    Agenda,
    Plan(Box<plan::PlanPanel>),
    Enter(enter::EnterPanel),
    /// With the squad that is shown again when it is left.
    Programme(programme::ProgrammePanel, Option<SquadId>),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// One squad, or everybody.
    SquadChosen(Option<SquadId>),
    /// So many months on, or back.
    MonthsTurned(i32),
    /// A line of the agenda was chosen.
    LineChosen(usize),
    /// A day of a month was chosen: a booking that is moved goes there.
    DayChosen(NaiveDate),
    /// The booking of a line is to be moved.
    MovePressed(usize),
    /// The booking stays on the day it was moved to.
    KeepPressed,
    /// It goes back.
    LeavePressed,
    /// The booking of a line is to be cancelled.
    CancelPressed(usize),
    /// A change was made, or not.
    Done(Result<String, Problem>),
    /// A plan is wanted.
    PlanPressed,
    /// Races and days away are to be entered.
    EnterPressed,
    /// How the squad tests is to be changed.
    ProgrammePressed,
    /// The calendar file is to be saved: of those shown, or of the athlete of the chosen line.
    SavePressed(Whose),
    /// It was saved, or not.
    Saved(Result<PathBuf, Problem>),
    /// To the squad.
    SquadRoomPressed,
    /// In the plan.
    Plan(plan::Message),
    /// Among races and days away.
    Enter(enter::Message),
    /// In the programme.
    Programme(programme::Message),
}

/// Whose calendar is saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// Of everybody shown.
    Squad,
    /// Of the athlete of the chosen line.
    Athlete,
}

fn first_of_month(on: NaiveDate) -> NaiveDate {
    on.with_day(1).unwrap_or(on)
}

impl Calendar {
    pub(super) fn new(shared: &Shared) -> (Self, Task<Message>) {
        let squad = match shared.book.squads.as_slice() {
            [only] => Some(only.id),
            _ => None,
        };
        let mut screen = Self {
            squad,
            from: first_of_month(shared.now().today),
            days: BTreeMap::new(),
            at: 0,
            moving: None,
            panel: Panel::Agenda,
        };
        screen.read(shared);
        (screen, Task::none())
    }

    /// The last day shown.
    fn to(&self) -> NaiveDate {
        self.from.checked_add_months(Months::new(2)).and_then(|d| d.pred_opt()).unwrap_or(self.from)
    }

    fn read(&mut self, shared: &Shared) {
        self.days = agenda(&shared.book, self.squad, (self.from, self.to()), &shared.now());
        let lines = self.lines(shared.now().today).count();
        self.at = self.at.min(lines.saturating_sub(1));
    }

    /// The lines of the agenda: from today on, or from the first month where that is later.
    fn lines(&self, today: NaiveDate) -> impl Iterator<Item = (NaiveDate, &Item)> {
        let days = self.days.range(today.max(self.from)..);
        days.flat_map(|(on, day)| day.items.iter().map(move |item| (*on, item)))
    }

    fn booking(&self, line: usize, today: NaiveDate) -> Option<(Booking, String)> {
        match self.lines(today).nth(line)?.1 {
            Item { what: What::Booking { booking, .. }, name, .. } => {
                Some((booking.clone(), name.clone()))
            }
            _ => None,
        }
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::SquadChosen(squad) => {
                self.squad = squad;
                if matches!(self.panel, Panel::Programme(..)) && squad.is_some() {
                    return self.open_programme(shared);
                }
                self.turn(Panel::Agenda, shared)
            }
            Message::MonthsTurned(by) => self.turn_months(by, shared),
            Message::LineChosen(line) => {
                self.at = line;
                Action::none()
            }
            Message::DayChosen(on) => self.move_to(on, shared),
            Message::MovePressed(line) => {
                self.at = line;
                self.pick_up(shared)
            }
            Message::KeepPressed => self.keep(shared),
            Message::LeavePressed => self.put_back(shared),
            Message::CancelPressed(line) => self.cancel(line, shared),
            Message::Done(Ok(words)) => {
                self.moving = None;
                Action::say(Outcome::Changed(words))
            }
            Message::Done(Err(problem)) | Message::Saved(Err(problem)) => {
                Action::say(Outcome::Failed(problem))
            }
            Message::PlanPressed => {
                let panel = plan::PlanPanel::new(self.squad, shared);
                self.turn(Panel::Plan(Box::new(panel)), shared)
            }
            Message::EnterPressed => self.turn(Panel::Enter(enter::EnterPanel::default()), shared),
            Message::ProgrammePressed => self.open_programme(shared),
            Message::SavePressed(whose) => self.save(whose, shared),
            Message::Saved(Ok(path)) => Action::say(Outcome::Said(format!(
                "Saved as {}; any calendar program reads it, a newer one updates it.",
                path.display()
            ))),
            Message::SquadRoomPressed => Action::say(Outcome::Go(Room::Squad)),
            Message::Plan(m) => self.in_plan(m, shared),
            Message::Enter(m) => self.in_enter(m, shared),
            Message::Programme(m) => self.in_programme(m, shared),
        }
    }

    fn turn(&mut self, panel: Panel, shared: &Shared) -> Action<Message> {
        (self.panel, self.moving) = (panel, None);
        self.read(shared);
        Action::none()
    }

    fn turn_months(&mut self, by: i32, shared: &Shared) -> Action<Message> {
        let months = Months::new(by.unsigned_abs());
        let turned = if by < 0 {
            self.from.checked_sub_months(months)
        } else {
            self.from.checked_add_months(months)
        };
        (self.from, self.at) = (turned.unwrap_or(self.from), 0);
        self.read(shared);
        Action::none()
    }

    fn pick_up(&mut self, shared: &Shared) -> Action<Message> {
        let Some((booking, name)) = self.booking(self.at, shared.now().today) else {
            return Action::say(Outcome::Said("Choose a booked test to move.".to_owned()));
        };
        let to = booking.on;
        self.moving = Some(Moving { booking, name, to, broken: None });
        self.day_in_sight(to)
    }

    /// Brings a day of the months into sight: as far down them as it stands.
    fn day_in_sight(&self, on: NaiveDate) -> Action<Message> {
        let y = month::share_of(self.from, on);
        Action::run(operation::snap_to(month::LIST, RelativeOffset { x: 0.0, y }))
    }

    /// The booking stays where it was; its month is shown again.
    fn put_back(&mut self, shared: &Shared) -> Action<Message> {
        if let Some(moving) = self.moving.take() {
            self.from = self.from.min(first_of_month(moving.booking.on));
            if moving.booking.on > self.to() || self.from < first_of_month(shared.now().today) {
                self.from = first_of_month(moving.booking.on);
            }
            self.read(shared);
        }
        Action::none()
    }

    /// Brings the chosen line into sight: as far down the list as it stands among the lines.
    fn in_sight(&self, last: usize) -> Action<Message> {
        let y = if last == 0 { 0.0 } else { self.at as f32 / last as f32 };
        Action::run(operation::snap_to(agenda::LIST, RelativeOffset { x: 0.0, y }))
    }

    /// Takes the booking to a day and asks the rules about it.
    fn move_to(&mut self, to: NaiveDate, shared: &Shared) -> Action<Message> {
        let Some(moving) = &mut self.moving else { return Action::none() };
        let page = shared.book.of_id(moving.booking.athlete);
        moving.to = to;
        moving.broken = match page {
            Ok(page) => why_not_here(&shared.book, page, &moving.booking, to, shared.now().today),
            Err(problem) => Some(problem.to_string()),
        };
        if to < self.from || to > self.to() {
            self.from = first_of_month(to);
            self.read(shared);
        }
        self.day_in_sight(to)
    }

    fn keep(&mut self, shared: &Shared) -> Action<Message> {
        let Some(moving) = &self.moving else { return Action::none() };
        if moving.to == moving.booking.on {
            self.moving = None;
            return Action::none();
        }
        if let Some(why) = &moving.broken {
            return Action::say(Outcome::Failed(Problem::new(why.clone())));
        }
        let (desk, booking, to) = (Arc::clone(&shared.desk), moving.booking.clone(), moving.to);
        let now = shared.now();
        Action::run(off_thread(move || move_booking(&desk, &booking, to, &now), Message::Done))
    }

    fn cancel(&self, line: usize, shared: &Shared) -> Action<Message> {
        let Some((booking, _)) = self.booking(line, shared.now().today) else {
            return Action::none();
        };
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        Action::run(off_thread(move || cancel(&desk, &booking, &now), Message::Done))
    }

    fn open_programme(&mut self, shared: &Shared) -> Action<Message> {
        match self.squad.or(shared.book.squads.first().map(|squad| squad.id)) {
            Some(squad) => {
                let panel = programme::ProgrammePanel::new(squad, shared);
                let shown = self.squad.replace(squad);
                self.turn(Panel::Programme(panel, shown), shared)
            }
            None => Action::say(Outcome::Said(
                "There is no squad yet; name one on an athlete's page first.".to_owned(),
            )),
        }
    }

    fn save(&self, whose: Whose, shared: &Shared) -> Action<Message> {
        let chosen = self.lines(shared.now().today).nth(self.at).map(|(_, item)| item);
        let (athletes, name) = match (whose, chosen) {
            (Whose::Athlete, Some(item)) => (Some(vec![item.athlete]), item.name.clone()),
            (Whose::Athlete, None) => {
                let words = "Choose a line of the athlete whose calendar is wanted.".to_owned();
                return Action::say(Outcome::Said(words));
            }
            (Whose::Squad, _) => (self.shown(shared), shared.club().to_owned()),
        };
        let plain: String =
            name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        let path = documents_folder().join(format!("tests-{plain}.ics"));
        let (desk, book, now) = (Arc::clone(&shared.desk), Arc::clone(&shared.book), shared.now());
        let job = move || {
            let text = calendar_file(&desk, &book, athletes.as_deref(), &now)?;
            write_whole(&path, text.as_bytes())?;
            Ok(path)
        };
        Action::run(off_thread(job, Message::Saved))
    }

    /// The athletes shown; `None` for everybody.
    fn shown(&self, shared: &Shared) -> Option<Vec<pacewright_core::ids::AthleteId>> {
        let squad = self.squad?;
        let pages = shared.book.pages.iter().filter(|p| p.athlete.squads.contains(&squad));
        Some(pages.map(|page| page.athlete.id).collect())
    }

    fn in_plan(&mut self, message: plan::Message, shared: &Shared) -> Action<Message> {
        let Panel::Plan(panel) = &mut self.panel else { return Action::none() };
        match panel.update(message, shared) {
            plan::Next::Here(action) => action.map(Message::Plan),
            plan::Next::Left => self.turn(Panel::Agenda, shared),
            plan::Next::Booked(words) => {
                let _turned = self.turn(Panel::Agenda, shared);
                Action::say(Outcome::Changed(words))
            }
        }
    }

    fn in_enter(&mut self, message: enter::Message, shared: &Shared) -> Action<Message> {
        let everyone = self.shown(shared);
        let Panel::Enter(panel) = &mut self.panel else { return Action::none() };
        match panel.update(message, everyone.as_deref(), shared) {
            enter::Next::Here(action) => action.map(Message::Enter),
            enter::Next::Left => self.turn(Panel::Agenda, shared),
            enter::Next::Entered(words) => {
                let _turned = self.turn(Panel::Agenda, shared);
                Action::say(Outcome::Changed(words))
            }
        }
    }

    fn in_programme(&mut self, message: programme::Message, shared: &Shared) -> Action<Message> {
        let Panel::Programme(panel, shown) = &mut self.panel else { return Action::none() };
        match panel.update(message, shared) {
            programme::Next::Here(action) => action.map(Message::Programme),
            programme::Next::Left => {
                self.squad = *shown;
                self.turn(Panel::Agenda, shared)
            }
            programme::Next::Kept(words) => {
                self.squad = *shown;
                let _turned = self.turn(Panel::Agenda, shared);
                Action::say(Outcome::Changed(words))
            }
        }
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        match &mut self.panel {
            Panel::Plan(panel) => {
                let said = panel.pressed(shortcut);
                return said.map_or_else(Action::none, |m| self.in_plan(m, shared));
            }
            Panel::Enter(_) => {
                let said = enter::EnterPanel::pressed(shortcut);
                return said.map_or_else(Action::none, |m| self.in_enter(m, shared));
            }
            Panel::Programme(..) => {
                let said = programme::ProgrammePanel::pressed(shortcut);
                return said.map_or_else(Action::none, |m| self.in_programme(m, shared));
            }
            Panel::Agenda => {}
        }
        if self.moving.is_some() {
            return self.pressed_while_moving(shortcut, shared);
        }
        let last = self.lines(shared.now().today).count().saturating_sub(1);
        match shortcut {
            Shortcut::Down => {
                self.at = (self.at + 1).min(last);
                return self.in_sight(last);
            }
            Shortcut::Up => {
                self.at = self.at.saturating_sub(1);
                return self.in_sight(last);
            }
            Shortcut::Left => return self.turn_months(-1, shared),
            Shortcut::Right => return self.turn_months(1, shared),
            Shortcut::Letter('m', _) => return self.pick_up(shared),
            Shortcut::Letter('x', _) => return self.cancel(self.at, shared),
            Shortcut::Letter('p', _) | Shortcut::Main => {
                return self.update(Message::PlanPressed, shared);
            }
            Shortcut::Letter('r', _) => return self.update(Message::EnterPressed, shared),
            Shortcut::Letter('h', _) => return self.open_programme(shared),
            Shortcut::Letter('s', _) => return self.save(Whose::Squad, shared),
            Shortcut::Letter('o', _) => return self.save(Whose::Athlete, shared),
            Shortcut::Back => return Action::say(Outcome::Go(Room::Squad)),
            _ => {}
        }
        Action::none()
    }

    fn pressed_while_moving(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        let Some(to) = self.moving.as_ref().map(|moving| moving.to) else { return Action::none() };
        let step = match shortcut {
            Shortcut::Left => to.checked_sub_days(Days::new(1)),
            Shortcut::Right => to.checked_add_days(Days::new(1)),
            Shortcut::Up => to.checked_sub_days(Days::new(7)),
            Shortcut::Down => to.checked_add_days(Days::new(7)),
            Shortcut::Main => return self.keep(shared),
            Shortcut::Back => return self.put_back(shared),
            _ => None,
        };
        step.map_or_else(Action::none, |to| self.move_to(to, shared))
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        self.read(shared);
        Action::none()
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        if shared.book.pages.is_empty() {
            let first = main_act("To the squad", "", ink).on_press(Message::SquadRoomPressed);
            return page(column![
                title("Calendar", "", ink),
                empty(
                    "Nobody to plan for yet",
                    "The calendar shows who is tested when, whose window closes, who races and who is away, and \
                     proposes dates for everyone who is due. Add athletes first.",
                    Some(first),
                    ink,
                ),
            ]);
        }
        page(responsive(move |room| {
            let body = responsive(move |room| self.body(room, shared));
            column![self.head(room.width, shared), body].spacing(14).into()
        }))
    }

    /// The months and what stands beside them. Where there is no room for both the months give way: the
    /// same stands in words in the agenda; but a booking that is moved goes from day to day on them.
    fn body<'a>(&'a self, size: Size, shared: &'a Shared) -> Element<'a, Message> {
        let width = size.width;
        let months = width >= month::WIDTH + LEAST_PANEL;
        let room = if months { width - month::WIDTH - GAP } else { width };
        let panel: Element<'a, Message> = match &self.panel {
            Panel::Agenda => agenda::view(self, (room, months), shared),
            Panel::Plan(panel) => panel.view(shared).map(Message::Plan),
            Panel::Enter(panel) => panel.view(size.height, shared).map(Message::Enter),
            Panel::Programme(panel, _) => panel.view(shared).map(Message::Programme),
        };
        let panel = container(panel).width(Fill).height(Fill);
        match (months, &self.moving) {
            (true, _) => row![month::view(self, shared), panel].spacing(GAP).into(),
            (false, None) => panel.into(),
            (false, Some(moving)) => {
                let foot = agenda::moving_foot(moving, width, shared.ink());
                column![month::view(self, shared), foot].spacing(10).into()
            }
        }
    }

    /// The title with the acts: beside it where they have room in one line, else under it.
    fn head<'a>(&'a self, width: f32, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let mut acts = row![].spacing(12).align_y(Alignment::Center);
        // a booking that is moved is put down first
        let at_rest = matches!(self.panel, Panel::Agenda) && self.moving.is_none();
        if at_rest {
            acts = acts
                .push(main_act("Plan", "P", ink).on_press(Message::PlanPressed))
                .push(act("Races and days away", "R", ink).on_press(Message::EnterPressed))
                .push(act("How they test", "H", ink).on_press(Message::ProgrammePressed))
                .push(act("Save calendar", "S", ink).on_press(Message::SavePressed(Whose::Squad)));
        }
        let mut squads = row![].spacing(8).align_y(Alignment::Center);
        if shared.book.squads.len() > 1 {
            let all = choice("Everybody", self.squad.is_none(), Message::SquadChosen(None), ink);
            squads = squads.push(all);
            for squad in &shared.book.squads {
                let here = self.squad == Some(squad.id);
                let chosen = Message::SquadChosen(Some(squad.id));
                squads = squads.push(choice(&squad.name, here, chosen, ink));
            }
        }
        let today = day(shared.now().today);
        let acts = acts.wrap().vertical_spacing(8);
        let head: Element<'_, Message> = if width < ACTS_BESIDE {
            let acts = at_rest.then_some(acts);
            column![title("Calendar", today, ink)].push(acts).spacing(10).into()
        } else {
            let today = if width < DAY_BESIDE { String::new() } else { today };
            let acts = container(acts).width(Fill).align_x(Alignment::End);
            row![title("Calendar", today, ink), acts].spacing(24).align_y(Alignment::Center).into()
        };
        column![head, squads.wrap().vertical_spacing(8)].spacing(10).into()
    }
}
