//! An athlete's page: who, current zones, the three qualities, every test with its remarks, old
//! zones, the calendar. A page of its own for editing, which is also how somebody new begins.

mod calendar;
mod change;
mod evidence;
mod form;
mod head;
mod markers;
mod outlook;
mod overlay;
mod qualities;
mod results;
mod scheme;
mod whence;
mod zones;

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use iced::advanced::widget::operate;
use iced::widget::{column, container, operation, responsive, row, scrollable};
use iced::{Element, Fill, Size, Task};
use pacewright_core::ids::{AthleteId, CalibrationId, TestId};
use pacewright_core::remark::Remark;
use pacewright_desk::Problem;
use pacewright_desk::book::{self, Page};
use pacewright_desk::qualities::{Quality, qualities};
use pacewright_desk::whence::{Number, answers};

use self::head::Framed;
use super::Room;
use super::action::{Action, Outcome};
use super::ink::MARGIN;
use super::keys::Shortcut;
use super::parts::{empty, page};
use super::reveal::{Focused, find_focused, find_named};
use super::shared::Shared;
use super::work::off_thread;

const SCROLL: &str = "athlete page";

/// The form that is open on the page, with the acts at its foot.
const FORM: &str = "form on the page";

/// How far an arrow key scrolls, px.
const STEP: f32 = 90.0;

/// From this width on zones and chart stand side by side, px.
const WIDE: f32 = 1_090.0;

/// In a page lower than this the head scrolls with the rest, px.
const LOW: f32 = 520.0;

/// The screen's state.
#[derive(Debug)]
pub(super) struct AthleteScreen {
    /// Whose page; `None` while somebody new is entered.
    who: Option<AthleteId>,
    /// The facts being edited.
    form: Option<Box<form::EditForm>>,
    /// What the checks say about the recorded tests.
    remarks: HashMap<TestId, Vec<Remark>>,
    /// The test the arrow keys stand on in the chart.
    chosen: Option<TestId>,
    /// What is shown to the last, not only the newest or worst.
    unfolded: HashSet<Fold>,
    calendar: calendar::Calendar,
    beside: evidence::Beside,
    scheme: scheme::Schemes,
    /// The number whose origin is told.
    asked: Option<Number>,
}

/// A list or table of the page that is folded until asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fold {
    /// The tests before the newest.
    Tests,
    /// Zones before the newest.
    Zones,
    /// Remarks about a test beyond the worst.
    Remarks(TestId),
    /// Remarks about the zones beyond the worst.
    ZoneRemarks,
    /// What races may take.
    Outlook,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Back to the squad.
    BackPressed,
    /// A test is to be typed in.
    EnterPressed,
    /// The card is wanted.
    PrintPressed,
    /// The facts are to be edited.
    EditPressed,
    /// What the checks say about this athlete's tests.
    Judged(AthleteId, Result<HashMap<TestId, Vec<Remark>>, Problem>),
    /// A recorded test is wanted.
    TestOpened(TestId),
    /// A typed test is to be removed.
    TestRemoved(TestId),
    /// More of something, or less.
    Turned(Fold),
    /// The card of old zones is wanted.
    OldCardPressed(CalibrationId),
    /// It was opened in the viewer, or not; in words.
    OldCardOpened(Result<String, Problem>),
    /// On the form.
    Form(form::Message),
    /// The form was saved, or not.
    Saved(Result<AthleteId, Problem>),
    /// In the calendar.
    Calendar(calendar::Message),
    /// Among races, laboratory values and the like.
    Beside(evidence::Message),
    /// Among zone schemes.
    Scheme(scheme::Message),
    /// Where a number comes from.
    Asked(Number),
    /// Enough of where it comes from.
    AskedEnough,
    /// The zones that what is known gives are to be put in force.
    OfferTaken,
    /// A field has the focus, perhaps out of sight.
    Focused(Focused),
    /// Something was changed, in words, or not.
    Changed(Result<String, Problem>),
}

impl AthleteScreen {
    pub(super) fn new(athlete: AthleteId, shared: &Shared) -> (Self, Task<Message>) {
        let screen = Self::of(Some(athlete), None);
        let task = screen.judge(shared);
        (screen, task)
    }

    pub(super) fn blank(_shared: &Shared) -> (Self, Task<Message>) {
        let screen = Self::of(None, Some(Box::new(form::EditForm::blank())));
        (screen, operation::focus(form::FIRST))
    }

    fn of(who: Option<AthleteId>, form: Option<Box<form::EditForm>>) -> Self {
        Self {
            who,
            form,
            remarks: HashMap::new(),
            chosen: None,
            unfolded: HashSet::new(),
            calendar: calendar::Calendar::default(),
            beside: evidence::Beside::default(),
            scheme: scheme::Schemes::default(),
            asked: None,
        }
    }

    /// Asks what the checks say about every recorded test, off the window's thread.
    fn judge(&self, shared: &Shared) -> Task<Message> {
        let Some(page) = self.page(shared).cloned() else { return Task::none() };
        let (desk, who) = (Arc::clone(&shared.desk), page.athlete.id);
        off_thread(move || book::judged(&desk, &page), move |judged| Message::Judged(who, judged))
    }

    /// The athlete's page in the book, where they are (still, or already) in it.
    fn page<'a>(&self, shared: &'a Shared) -> Option<&'a Page> {
        shared.book.of_id(self.who?).ok()
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::BackPressed => self.back(),
            Message::EnterPressed => self.with(Outcome::EnterTest),
            Message::PrintPressed => self.with(|who| Outcome::PrintCards(vec![who])),
            Message::EditPressed => self.edit(shared),
            Message::Judged(who, Ok(remarks)) if Some(who) == self.who => {
                self.remarks = remarks;
                Action::none()
            }
            // an answer about somebody whose page is no longer open
            Message::Judged(_, Ok(_)) => Action::none(),
            Message::TestOpened(test) => Action::say(Outcome::OpenTest(test)),
            Message::TestRemoved(test) => self.remove_test(test, shared),
            Message::Turned(fold) => {
                if !self.unfolded.remove(&fold) {
                    let _new = self.unfolded.insert(fold);
                }
                Action::none()
            }
            Message::OldCardPressed(calibration) => self.open_card(calibration, shared),
            Message::OldCardOpened(Ok(words)) => Action::say(Outcome::Said(words)),
            Message::Form(message) => self.form_message(message, shared),
            Message::Saved(Ok(who)) => self.saved(who),
            Message::Calendar(message) => self.calendar_message(message, shared),
            Message::Beside(message) => self.beside_message(message, shared),
            Message::Scheme(message) => self.scheme_message(message, shared),
            Message::Asked(number) => {
                self.asked = Some(number).filter(|number| self.asked != Some(*number));
                Action::none()
            }
            Message::AskedEnough => {
                self.asked = None;
                Action::none()
            }
            Message::OfferTaken => self.take_offer(shared),
            Message::Focused(focused) => reveal(&focused),
            Message::Changed(Ok(words)) => {
                self.calendar.close();
                self.beside.close();
                self.scheme.close();
                Action::say(Outcome::Changed(words))
            }
            Message::Judged(_, Err(problem))
            | Message::OldCardOpened(Err(problem))
            | Message::Saved(Err(problem))
            | Message::Changed(Err(problem)) => Action::say(Outcome::Failed(problem)),
        }
    }

    /// Whether something is unfolded.
    fn shows(&self, fold: Fold) -> bool {
        self.unfolded.contains(&fold)
    }

    fn with(&self, outcome: impl FnOnce(AthleteId) -> Outcome) -> Action<Message> {
        self.who.map_or_else(Action::none, |who| Action::say(outcome(who)))
    }

    /// Whether something of the page is open to be entered.
    fn is_entering(&self) -> bool {
        self.calendar.is_open() || self.beside.is_open() || self.scheme.is_open()
    }

    /// Out of the form, out of the calendar's entry, out of the page.
    fn back(&mut self) -> Action<Message> {
        if self.form.take().is_some() && self.who.is_some() {
            return Action::none();
        }
        if self.asked.take().is_some() {
            return Action::none();
        }
        if self.is_entering() {
            self.calendar.close();
            self.beside.close();
            self.scheme.close();
            return Action::none();
        }
        Action::say(Outcome::Go(Room::Squad))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        if self.form.is_some() {
            return match shortcut {
                Shortcut::Back => self.back(),
                Shortcut::Main => self.form_message(form::Message::SavePressed, shared),
                _ => Action::none(),
            };
        }
        let first = self.page(shared).map(|page| head::framed(page, shared.now().today));
        match shortcut {
            Shortcut::Back => self.back(),
            Shortcut::Main if self.calendar.is_open() => {
                self.calendar_message(calendar::Message::SavePressed, shared)
            }
            Shortcut::Main if self.beside.is_open() => {
                self.beside_message(evidence::Message::SavePressed, shared)
            }
            Shortcut::Letter('w', _) => self.ask(Way::Later, shared),
            Shortcut::Up if self.asked.is_some() => self.ask(Way::Earlier, shared),
            Shortcut::Down if self.asked.is_some() => self.ask(Way::Later, shared),
            Shortcut::Letter('e', _) => self.edit(shared),
            Shortcut::Main if first == Some(Framed::Note) => self.edit(shared),
            Shortcut::Letter('p', _) | Shortcut::Main if first == Some(Framed::Print) => {
                self.update(Message::PrintPressed, shared)
            }
            Shortcut::Letter('t', _) | Shortcut::Main => self.update(Message::EnterPressed, shared),
            Shortcut::Left => self.walk(Way::Earlier, shared),
            Shortcut::Right => self.walk(Way::Later, shared),
            Shortcut::Up => scroll(-STEP),
            Shortcut::Down => scroll(STEP),
            _ => Action::none(),
        }
    }

    /// From number to number of the page, asking where each comes from.
    fn ask(&mut self, way: Way, shared: &Shared) -> Action<Message> {
        let Some(page) = self.page(shared) else { return Action::none() };
        let answers = answers(page, shared.units(), &shared.now());
        let at = self.asked.and_then(|asked| answers.iter().position(|a| a.number == asked));
        let next = match (at, way) {
            (None, _) => 0,
            (Some(at), Way::Later) => (at + 1) % answers.len().max(1),
            (Some(at), Way::Earlier) => {
                at.checked_sub(1).unwrap_or(answers.len().saturating_sub(1))
            }
        };
        self.asked = answers.get(next).map(|answer| answer.number);
        Action::run(operate(find_named(SCROLL, whence::ASKED)).map(Message::Focused))
    }

    /// From point to point of the chart.
    fn walk(&mut self, way: Way, shared: &Shared) -> Action<Message> {
        let Some(page) = self.page(shared) else { return Action::none() };
        let points = qualities::in_order(&qualities(page, shared.now().today), shared);
        let at = self.chosen.and_then(|chosen| points.iter().position(|test| *test == chosen));
        let next = match (at, way) {
            (None, _) => points.len().checked_sub(1),
            (Some(at), Way::Earlier) => Some(at.saturating_sub(1)),
            (Some(at), Way::Later) => Some((at + 1).min(points.len().saturating_sub(1))),
        };
        self.chosen = next.and_then(|next| points.get(next)).copied();
        Action::none()
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        match (self.who, self.page(shared)) {
            (Some(_), None) => Action::say(Outcome::Go(Room::Squad)),
            _ => Action::run(self.judge(shared)),
        }
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        if let Some(form) = &self.form {
            return form.view(self.page(shared), shared).map(Message::Form);
        }
        let Some(athlete) = self.page(shared) else {
            return page(empty("Reading the library", "", None, shared.ink()));
        };
        let qualities = qualities(athlete, shared.now().today);
        responsive(move |size| self.content(athlete, &qualities, size, shared)).into()
    }

    fn content<'a>(
        &'a self,
        athlete: &'a Page,
        qualities: &[Quality],
        size: Size,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let wide = size.width >= WIDE;
        let inner = size.width - 2.0 * MARGIN;
        let gap = 34.0;
        let left = if wide { (inner - gap) * 0.49 } else { inner };
        let right = if wide { inner - gap - left } else { inner };
        let zones = zones::view(self, athlete, left, shared);
        let chart = column![
            qualities::view(qualities, (self.chosen, self.asked), right, shared),
            whence::part(
                markers::next_tests(athlete, shared),
                self.asked == Some(Number::Retest),
                shared.ink()
            )
        ]
        .spacing(14);
        let upper: Element<'_, Message> = if wide {
            row![container(zones).width(left), container(chart).width(right)].spacing(gap).into()
        } else {
            column![zones, chart].spacing(26).into()
        };
        let rest = column![
            upper,
            results::tests(self, athlete, qualities, inner, shared),
            outlook::view(athlete, self.shows(Fold::Outlook), self.asked, shared),
            self.beside.view(athlete, wide, shared).map(Message::Beside),
            results::old_zones(self, athlete, shared),
            self.calendar.view(athlete, wide, shared).map(Message::Calendar),
        ]
        .spacing(26)
        .padding([8.0, MARGIN]);
        let ink = shared.ink();
        let inside = self.is_entering() || self.asked.is_some();
        let head = head::view(athlete, (wide, inside), shared);
        let head = container(head).padding([14.0, MARGIN]);
        let asked = whence::view(athlete, self.asked, shared);
        let list = |content| {
            scrollable(content)
                .id(SCROLL)
                .width(Fill)
                .height(Fill)
                .style(move |theme, status| ink.scroll(theme, status))
        };
        // where it would take most of a small window the head scrolls with the rest
        if size.height < LOW {
            column![asked, list(column![head, rest])].into()
        } else {
            column![head, asked, list(column![rest])].into()
        }
    }
}

/// Puts the cursor into a field and brings it into sight, with the acts of its form where both have
/// room.
fn focus(field: &'static str) -> Action<Message> {
    let reveal = operate(find_named(SCROLL, FORM)).map(Message::Focused);
    Action::run(operation::focus(field).chain(reveal))
}

/// Scrolls to what was found; once a form stands in sight, the field with the focus has the last word.
fn reveal(found: &Focused) -> Action<Message> {
    let is_form = found.id == FORM.into();
    let scroll = found.scroll_by.map_or_else(Task::none, |by| operation::scroll_by(SCROLL, by));
    if !is_form {
        return Action::run(scroll);
    }
    Action::run(scroll.chain(operate(find_focused(SCROLL)).map(Message::Focused)))
}

/// A direction in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Earlier,
    Later,
}

fn scroll(by: f32) -> Action<Message> {
    let offset = scrollable::AbsoluteOffset { x: 0.0, y: by };
    Action::run(operation::scroll_by(SCROLL, offset))
}
