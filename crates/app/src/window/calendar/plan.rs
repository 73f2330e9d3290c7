//! A plan: dates and capacity in, a proposal beside what is booked, accepted whole or in part.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use chrono::NaiveDate;
use iced::widget::operation::{self, RelativeOffset};
use iced::widget::text::Wrapping;
use iced::widget::{column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::format::{day_short, weekday};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::plan::Meeting;
use pacewright_core::{parse, words};
use pacewright_desk::Problem;
use pacewright_desk::plan::{
    Accepted, Asked, Compared, Line, Proposal, accept, capacity, clock_is_right, next_meetings,
    propose,
};
use pacewright_desk::programmes;
use pacewright_sheets::ink::Role;

use crate::window::action::{Action, Outcome};
use crate::window::ink::{BODY, Ink, STRONG};
use crate::window::keys::Shortcut;
use crate::window::parts::{
    BAR, act, choice, faint_rule, field_with_enter, main_act, rule, scroll, small, soft, strong,
    wrong,
};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// The dates are filled in for so many weeks ahead.
const WEEKS: u32 = 4;
/// The list's name, to scroll it by.
const LIST: &str = "proposal";

/// The panel's state.
#[derive(Debug)]
pub(super) struct PlanPanel {
    squad: Option<SquadId>,
    dates: String,
    capacity: String,
    fresh: bool,
    anew: bool,
    wrong: Option<String>,
    answer: Answer,
}

#[derive(Debug)]
enum Answer {
    None,
    /// Being worked out; the flag stops it.
    Underway(Arc<AtomicBool>),
    /// Which lines are ticked.
    Ready {
        proposal: Arc<Proposal>,
        ticked: Vec<bool>,
        at: usize,
    },
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// The dates are being typed.
    DatesTyped(String),
    /// The capacity is being typed.
    CapacityTyped(String),
    /// Also windows that open by then, or not.
    FreshTurned,
    /// What is booked is planned anew, or stays.
    AnewTurned,
    /// Propose.
    ProposePressed,
    /// The proposal is there.
    Proposed(Result<Arc<Proposal>, Problem>),
    /// Stop working it out.
    StopPressed,
    /// A line is ticked, or not.
    Ticked(usize),
    /// Another line is looked at.
    Turned(usize),
    /// All lines, or none.
    AllTicked,
    /// Book the ticked lines.
    AcceptPressed,
    /// They were booked, or not.
    Booked(Result<Accepted, Problem>),
    /// Back to the agenda.
    LeavePressed,
}

/// What the room has to do.
pub(super) enum Next {
    Here(Action<Message>),
    Left,
    Booked(String),
}

impl PlanPanel {
    /// With the squad's next meetings filled in.
    pub(super) fn new(squad: Option<SquadId>, shared: &Shared) -> Self {
        let today = shared.now().today;
        let meetings = next_meetings(&shared.book, squad, today, WEEKS);
        let dates: Vec<String> = meetings.iter().map(|m| m.on.to_string()).collect();
        Self {
            squad,
            dates: dates.join(", "),
            capacity: capacity(&shared.book, squad).to_string(),
            fresh: true,
            anew: false,
            wrong: None,
            answer: Answer::None,
        }
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Next {
        match message {
            Message::DatesTyped(dates) => (self.dates, self.wrong) = (dates, None),
            Message::CapacityTyped(typed) => (self.capacity, self.wrong) = (typed, None),
            Message::FreshTurned => self.fresh = !self.fresh,
            Message::AnewTurned => self.anew = !self.anew,
            Message::ProposePressed => return Next::Here(self.propose(shared)),
            Message::Proposed(answer) => self.proposed(answer),
            Message::StopPressed => {
                if let Answer::Underway(stop) = &self.answer {
                    stop.store(true, Ordering::Relaxed);
                }
            }
            Message::Ticked(line) => {
                if let Answer::Ready { ticked, at, .. } = &mut self.answer
                    && let Some(tick) = ticked.get_mut(line)
                {
                    (*tick, *at) = (!*tick, line);
                }
            }
            Message::Turned(line) => return Next::Here(self.turn(line)),
            Message::AllTicked => {
                if let Answer::Ready { ticked, .. } = &mut self.answer {
                    let all = ticked.iter().all(|tick| *tick);
                    ticked.fill(!all);
                }
            }
            Message::AcceptPressed => return Next::Here(self.accept(shared)),
            Message::Booked(Ok(accepted)) => return Next::Booked(booked_words(accepted)),
            Message::Booked(Err(problem)) => {
                return Next::Here(Action::say(Outcome::Failed(problem)));
            }
            Message::LeavePressed => return Next::Left,
        }
        Next::Here(Action::none())
    }

    /// The days on which the ticked lines would book something.
    pub(super) fn days_proposed(&self) -> BTreeSet<NaiveDate> {
        let Answer::Ready { proposal, ticked, .. } = &self.answer else { return BTreeSet::new() };
        let lines = proposal
            .lines
            .iter()
            .zip(ticked)
            .filter(|(line, ticked)| **ticked && !matches!(line.beside, Compared::Same(_)));
        lines.map(|(line, _)| line.on).collect()
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut) -> Option<Message> {
        let Answer::Ready { ticked, at, .. } = &self.answer else {
            return match shortcut {
                Shortcut::Main => Some(Message::ProposePressed),
                Shortcut::Back if matches!(self.answer, Answer::Underway(_)) => {
                    Some(Message::StopPressed)
                }
                Shortcut::Back => Some(Message::LeavePressed),
                _ => None,
            };
        };
        match shortcut {
            Shortcut::Down => {
                return Some(Message::Turned((*at + 1).min(ticked.len().saturating_sub(1))));
            }
            Shortcut::Up => return Some(Message::Turned(at.saturating_sub(1))),
            Shortcut::Select => return Some(Message::Ticked(*at)),
            Shortcut::Letter('a', _) => return Some(Message::AllTicked),
            Shortcut::Main => return Some(Message::AcceptPressed),
            Shortcut::Back => return Some(Message::LeavePressed),
            _ => {}
        }
        None
    }

    /// Looks at another line and brings it into sight.
    fn turn(&mut self, line: usize) -> Action<Message> {
        let Answer::Ready { proposal, ticked, at } = &mut self.answer else {
            return Action::none();
        };
        *at = line;
        // what has no date stands below the lines
        let all = ticked.len() + proposal.unplaced.len();
        let y = if all < 2 { 0.0 } else { line as f32 / (all - 1) as f32 };
        Action::run(operation::snap_to(LIST, RelativeOffset { x: 0.0, y }))
    }

    /// What is asked, or the first thing that was not understood.
    fn asked(&self, shared: &Shared) -> Result<Asked, String> {
        let today = shared.now().today;
        clock_is_right(&shared.book, &shared.now()).map_err(|problem| problem.to_string())?;
        let capacity =
            programmes::capacity(&self.capacity).map_err(|problem| problem.to_string())?;
        let times = next_meetings(&shared.book, self.squad, today, 26);
        let mut meetings = Vec::new();
        for typed in self.dates.split([',', ';']).map(str::trim).filter(|t| !t.is_empty()) {
            let on = parse::calendar::any_day(typed, today).map_err(|why| format!("{why}."))?;
            let at = times.iter().find(|meeting| meeting.on == on).and_then(|meeting| meeting.at);
            meetings.push(Meeting { on, at, capacity });
        }
        let squad = self.squad;
        let pages = shared.book.pages.iter();
        let pages = pages.filter(|p| squad.is_none_or(|squad| p.athlete.squads.contains(&squad)));
        let athletes: Vec<AthleteId> = pages.map(|page| page.athlete.id).collect();
        Ok(Asked { meetings, athletes, fresh: self.fresh, anew: self.anew })
    }

    fn propose(&mut self, shared: &Shared) -> Action<Message> {
        let asked = match self.asked(shared) {
            Ok(asked) => asked,
            Err(sentence) => {
                self.wrong = Some(sentence);
                return Action::none();
            }
        };
        let stop = Arc::new(AtomicBool::new(false));
        self.answer = Answer::Underway(Arc::clone(&stop));
        let (book, now) = (Arc::clone(&shared.book), shared.now());
        let job = move || {
            let mut goes_on = |_: f32| !stop.load(Ordering::Relaxed);
            propose(&book, &asked, &now, &mut goes_on).map(Arc::new)
        };
        Action::run(off_thread(job, Message::Proposed))
    }

    fn proposed(&mut self, answer: Result<Arc<Proposal>, Problem>) {
        self.answer = match answer {
            Ok(proposal) => {
                let new = |line: &Line| !matches!(line.beside, Compared::Same(_));
                let ticked = proposal.lines.iter().map(new).collect();
                Answer::Ready { proposal, ticked, at: 0 }
            }
            Err(problem) => {
                self.wrong = Some(problem.to_string());
                Answer::None
            }
        };
    }

    fn accept(&self, shared: &Shared) -> Action<Message> {
        let Answer::Ready { proposal, ticked, .. } = &self.answer else { return Action::none() };
        let lines: Vec<Line> = proposal
            .lines
            .iter()
            .zip(ticked)
            .filter(|(_, ticked)| **ticked)
            .map(|(line, _)| line.clone())
            .collect();
        if lines.is_empty() {
            let words = "Tick the tests to book; Space ticks the chosen one.".to_owned();
            return Action::say(Outcome::Said(words));
        }
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        Action::run(off_thread(move || accept(&desk, &lines, &now), Message::Booked))
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        match &self.answer {
            Answer::None => self.question(ink),
            Answer::Underway(_) => column![
                strong("Planning\u{2026}"),
                soft("Nothing is booked until you say so.", ink),
                act("Stop", "Esc", ink).on_press(Message::StopPressed),
            ]
            .spacing(10)
            .into(),
            Answer::Ready { proposal, ticked, at } => ready(proposal, ticked, *at, ink),
        }
    }

    fn question(&self, ink: Ink) -> Element<'_, Message> {
        let dates = field_with_enter(
            "plan dates",
            "2026-12-01, Sat 5 Dec",
            &self.dates,
            None,
            ink,
            Message::DatesTyped,
            Message::ProposePressed,
        );
        let capacity = field_with_enter(
            "plan capacity",
            "8",
            &self.capacity,
            None,
            ink,
            Message::CapacityTyped,
            Message::ProposePressed,
        );
        let mut question = column![
            strong("Who is tested when?"),
            column![small("Dates the squad meets, in order", ink), dates].spacing(3),
            column![small("How many can be tested a day", ink), container(capacity).max_width(120)]
                .spacing(3),
            row![
                choice("Also windows that open by then", self.fresh, Message::FreshTurned, ink),
                choice("Plan anew what is booked", self.anew, Message::AnewTurned, ink),
            ]
            .spacing(10)
            .wrap()
            .vertical_spacing(6),
        ]
        .spacing(14);
        if let Some(sentence) = &self.wrong {
            question = question.push(wrong(sentence.as_str(), ink));
        }
        let question = question
            .push(
                row![
                    main_act("Propose", "Enter", ink).on_press(Message::ProposePressed),
                    act("Leave", "Esc", ink).on_press(Message::LeavePressed),
                ]
                .spacing(12),
            )
            .push(soft(
                "The 20-minute tests of those without zones come first, then overdue tests, then tests \
                 never run, then tests that are due. Nobody is planned who is not cleared, is away, just \
                 back, or near a race.",
                ink,
            ));
        scroll(container(question).padding(iced::padding::right(BAR)), ink).height(Fill).into()
    }
}

fn booked_words(accepted: Accepted) -> String {
    let tests =
        |count: usize| if count == 1 { "1 test".to_owned() } else { format!("{count} tests") };
    match (accepted.new, accepted.moved) {
        (0, 0) => "Everything was booked so already.".to_owned(),
        (new, 0) => format!("{} booked.", tests(new)),
        (0, moved) => format!("{} moved.", tests(moved)),
        (new, moved) => format!("{} booked, {moved} moved.", tests(new)),
    }
}

fn ready<'a>(
    proposal: &'a Proposal,
    ticked: &'a [bool],
    at: usize,
    ink: Ink,
) -> Element<'a, Message> {
    let mut lines = column![];
    let mut day = None;
    for (index, line) in proposal.lines.iter().enumerate() {
        if day != Some(line.on) {
            day = Some(line.on);
            let head = container(strong(weekday(line.on)));
            lines = lines.push(head.padding(iced::Padding::ZERO.top(12).bottom(3)));
            lines = lines.push(faint_rule(ink));
        }
        let tick = ticked.get(index).copied().unwrap_or_default();
        lines = lines.push(proposed(index, line, (tick, index == at), ink));
    }
    if proposal.lines.is_empty() {
        lines = lines.push(
            container(soft("There is nothing to place on these dates.", ink)).padding([12, 0]),
        );
    }
    if !proposal.unplaced.is_empty() {
        lines = lines
            .push(
                container(strong("Without a date")).padding(iced::Padding::ZERO.top(16).bottom(3)),
            )
            .push(faint_rule(ink));
    }
    for one in &proposal.unplaced {
        let who = format!("{}, {}", one.name, words::test(one.kind));
        let who = text(who).size(BODY).wrapping(Wrapping::WordOrGlyph);
        let line = column![who, small(one.reason.as_str(), ink)].spacing(1);
        lines = lines.push(container(line).padding([4, 6])).push(faint_rule(ink));
    }
    if !proposal.without.is_empty() {
        let words = format!(
            "{} booked on these dates stay as they are; the plan does without them.",
            proposal.without.len()
        );
        lines = lines.push(container(soft(words, ink)).padding([10, 0]));
    }
    column![
        small("Proposed; nothing is booked yet.    Space tick    A all or none", ink),
        rule(ink),
        scroll(container(lines).padding(iced::padding::right(BAR)), ink).id(LIST).height(Fill),
        rule(ink),
        foot(proposal, ticked, ink),
    ]
    .spacing(6)
    .into()
}

fn foot<'a>(proposal: &Proposal, ticked: &[bool], ink: Ink) -> Element<'a, Message> {
    let count = ticked.iter().filter(|tick| **tick).count();
    let sure = match proposal.may_miss {
        0 => "There is no better plan for these dates.",
        _ => "A slightly better plan may exist; none was found.",
    };
    let acts = row![
        main_act(&format!("Book {count}"), "Enter", ink).on_press(Message::AcceptPressed),
        act("All or none", "A", ink).on_press(Message::AllTicked),
        act("Leave", "Esc", ink).on_press(Message::LeavePressed),
    ]
    .spacing(12);
    column![small(sure, ink), acts].spacing(6).into()
}

fn proposed(
    index: usize,
    line: &Line,
    (ticked, here): (bool, bool),
    ink: Ink,
) -> Element<'_, Message> {
    let name = text(line.name.as_str()).size(BODY).wrapping(Wrapping::WordOrGlyph);
    let name = if ticked { name.font(STRONG) } else { name };
    let beside = match line.beside {
        Compared::New => "new".to_owned(),
        Compared::Same(_) => "booked so already".to_owned(),
        Compared::Moved { from, .. } => format!("moved from {}", day_short(from)),
    };
    let inside = row![
        text(if ticked { "\u{2713}" } else { "" }).size(BODY).width(18),
        name.width(iced::FillPortion(3)),
        text(words::test(line.kind)).size(BODY).width(iced::FillPortion(2)),
        text(beside).size(BODY).color(ink.of(Role::SoftInk)).width(iced::FillPortion(2)),
    ]
    .spacing(10)
    .align_y(Alignment::Center);
    let inside = container(inside)
        .padding([6, 6])
        .width(Fill)
        .style(move |_| if here { ink.selected() } else { container::Style::default() });
    press(inside, Frame::None, ink)
        .padding(0)
        .width(Fill)
        .by_mouse_only()
        .on_press(Message::Ticked(index))
        .into()
}
