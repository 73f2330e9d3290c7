//! The squad: a quiet ledger, most urgent first. Name, lane on the squad's common axis, strip of the
//! most urgent test, one sentence, one act.

mod ledger;

use iced::widget::{
    Space, column, container, operation, pick_list, responsive, row, scrollable, text_input,
};
use iced::{Alignment, Element, Fill, Size};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::review::Concern;
use pacewright_desk::standing::{StandingRow, headline};
use pacewright_sheets::lane::Axis;

use super::Room;
use super::action::{Action, Outcome};
use super::ink::{BODY, TITLE};
use super::keys::Shortcut;
use super::parts::{act, empty, main_act, page, rule, scroll, small, soft, title, wide};
use super::shared::Shared;

const SEARCH: &str = "squad search";
const LEDGER: &str = "squad ledger";
/// A page narrower than this has a narrower search and list of squads, px.
const ROOMY: f32 = 1_000.0;
/// Between them and the act, px, and the act that adds an athlete.
const GAP: f32 = 14.0;
const ADD: f32 = 152.0;

/// The screen's state.
#[derive(Debug)]
pub(super) struct Squad {
    search: String,
    filter: Option<SquadId>,
    order: Order,
    /// The row the arrow keys stand on.
    at: usize,
    /// How far the ledger is scrolled, px, and how much of it is seen.
    scrolled: f32,
    seen: Size,
}

/// How the ledger is sorted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    Urgency,
    Name,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Something was typed into the search.
    Searched(String),
    /// A squad was chosen to see alone.
    Filtered(SquadChoice),
    /// The order was turned.
    Reordered,
    /// The ledger was scrolled: offset and what is seen of it, px.
    Scrolled(f32, Size),
    /// A row was pressed.
    Opened(AthleteId),
    /// A row's act was pressed.
    Acted(AthleteId),
    /// An athlete is to be added.
    AddPressed,
    /// A roster is to be imported.
    RosterPressed,
    /// The demo squad is wanted.
    DemoPressed,
}

/// A squad in the list to choose from; all of them is one too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SquadChoice {
    id: Option<SquadId>,
    name: String,
}

impl std::fmt::Display for SquadChoice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.name)
    }
}

impl Squad {
    pub(super) fn new() -> Self {
        Self {
            search: String::new(),
            filter: None,
            order: Order::Urgency,
            at: 0,
            scrolled: 0.0,
            seen: Size::new(1_200.0, 800.0),
        }
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::Searched(text) => {
                self.search = text;
                self.back_to_top()
            }
            Message::Filtered(choice) => {
                self.filter = choice.id;
                self.back_to_top()
            }
            Message::Reordered => {
                self.order =
                    if self.order == Order::Urgency { Order::Name } else { Order::Urgency };
                self.back_to_top()
            }
            Message::Scrolled(offset, seen) => {
                (self.scrolled, self.seen) = (offset, seen);
                Action::none()
            }
            Message::Opened(athlete) => Action::say(Outcome::OpenAthlete(athlete)),
            Message::Acted(athlete) => self.act_on(athlete, shared),
            Message::AddPressed => Action::say(Outcome::NewAthlete),
            Message::DemoPressed => Action::say(Outcome::OpenDemo),
            Message::RosterPressed => Action::say(Outcome::Go(Room::Library)),
        }
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        let rows = self.rows(shared);
        let here = rows.get(self.at).map(|row| row.athlete);
        match shortcut {
            Shortcut::Down => self.step_to((self.at + 1).min(rows.len().saturating_sub(1))),
            Shortcut::Up => self.step_to(self.at.saturating_sub(1)),
            Shortcut::Main if shared.rows.is_empty() => Action::say(Outcome::NewAthlete),
            Shortcut::Main => {
                here.map_or_else(Action::none, |athlete| Action::say(Outcome::OpenAthlete(athlete)))
            }
            Shortcut::Letter('a', _) => {
                here.map_or_else(Action::none, |athlete| self.act_on(athlete, shared))
            }
            Shortcut::Letter('p', _) => here.map_or_else(Action::none, |athlete| {
                Action::say(Outcome::PrintCards(vec![athlete]))
            }),
            Shortcut::Letter('n', _) => Action::say(Outcome::NewAthlete),
            Shortcut::Search => Action::run(operation::focus(SEARCH)),
            Shortcut::Back if !self.search.is_empty() => {
                self.search.clear();
                self.back_to_top()
            }
            _ => Action::none(),
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        self.at = self.at.min(self.rows(shared).len().saturating_sub(1));
        Action::none()
    }

    /// Back to the first row; our idea of the scroll and the widget's must agree.
    fn back_to_top(&mut self) -> Action<Message> {
        (self.at, self.scrolled) = (0, 0.0);
        Action::run(operation::snap_to(LEDGER, scrollable::RelativeOffset::START))
    }

    fn step_to(&mut self, at: usize) -> Action<Message> {
        self.at = at;
        let widths = ledger::Widths::for_page(self.seen.width);
        let (top, bottom) = (widths.px_of(at), widths.px_of(at + 1));
        let offset = if top < self.scrolled {
            top
        } else if bottom > self.scrolled + self.seen.height {
            bottom - self.seen.height
        } else {
            return Action::none();
        };
        self.scrolled = offset;
        let offset = scrollable::AbsoluteOffset { x: 0.0, y: offset };
        Action::run(operation::scroll_to(LEDGER, offset))
    }

    #[expect(clippy::unused_self, reason = "an act of this screen")]
    fn act_on(&self, athlete: AthleteId, shared: &Shared) -> Action<Message> {
        let Some(row) = shared.rows.iter().find(|row| row.athlete == athlete) else {
            return Action::none();
        };
        let outcome = match &row.concern {
            Concern::ToConfirm { .. } => match first_waiting(athlete, shared) {
                Some(test) => Outcome::OpenTest(test),
                None => Outcome::OpenAthlete(athlete),
            },
            Concern::NewZones { .. } => Outcome::PrintCards(vec![athlete]),
            Concern::BookedSoon { .. } => Outcome::Go(Room::TestDay),
            _ => Outcome::OpenAthlete(athlete),
        };
        Action::say(outcome)
    }

    /// The rows that fit search and squad, in order.
    fn rows<'a>(&self, shared: &'a Shared) -> Vec<&'a StandingRow> {
        let wanted = self.search.trim().to_lowercase();
        let mut rows: Vec<&StandingRow> = shared
            .rows
            .iter()
            .filter(|row| wanted.is_empty() || row.name.to_lowercase().contains(&wanted))
            .filter(|row| self.filter.is_none_or(|squad| row.squads.contains(&squad)))
            .collect();
        if self.order == Order::Name {
            rows.sort_by_key(|row| row.name.to_lowercase());
        }
        rows
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        if shared.rows.is_empty() {
            return page(first_run(shared));
        }
        let ink = shared.ink();
        let axis = Axis::around(shared.rows.iter().filter_map(|row| row.markers.as_ref()));
        page(responsive(move |size| {
            let widths = ledger::Widths::for_page(size.width);
            let rows = self.rows(shared);
            let ledger = ledger::Ledger {
                rows: &rows,
                axis,
                at: self.at,
                scrolled: self.scrolled,
                seen: self.seen,
                widths,
            };
            if rows.is_empty() {
                let headline = headline(shared.rows.iter());
                let nobody = container(empty("Nobody fits", self.why_nobody(), None, ink));
                return column![self.head(headline, size.width, shared), rule(ink), nobody].into();
            }
            let body: Element<'_, Message> = {
                scroll(ledger.body(shared), ink)
                    .id(LEDGER)
                    .height(Fill)
                    .on_scroll(|view| {
                        Message::Scrolled(view.absolute_offset().y, view.bounds().size())
                    })
                    .into()
            };
            column![
                self.head(headline(rows.iter().copied()), size.width, shared),
                ledger.head(self.order == Order::Name, shared),
                body,
                ledger.foot(shared)
            ]
            .into()
        }))
    }

    /// Why nobody is listed, and what to do about it.
    fn why_nobody(&self) -> &'static str {
        match (self.search.trim().is_empty(), self.filter) {
            (true, _) => "Nobody is in this squad yet. Choose another, or all squads.",
            (false, None) => "No athlete has a name with these letters. Esc clears the search.",
            (false, Some(_)) => {
                "No athlete of this squad has a name with these letters. Esc clears the search; \
                 others may fit among all squads."
            }
        }
    }

    fn head<'a>(
        &'a self,
        headline: String,
        width: f32,
        shared: &'a Shared,
    ) -> Element<'a, Message> {
        let ink = shared.ink();
        let (search_width, list_width) =
            if width < ROOMY { (150.0, 190.0) } else { (190.0, 220.0) };
        let several = shared.book.squads.len() > 1;
        // beside the title where all has room in one line, else under it
        let acts = search_width + if several { list_width + GAP } else { 0.0 } + GAP + ADD;
        let stacked = wide(&headline, TITLE) + GAP + acts > width;
        let search = text_input("Search  /", &self.search)
            .id(SEARCH)
            .size(BODY)
            .padding([7, 10])
            .width(search_width)
            .on_input(Message::Searched)
            .style(move |_, status| ink.field(status, false));
        let mut line = row![search].spacing(GAP).align_y(Alignment::Center);
        if several {
            let mut choices = vec![SquadChoice { id: None, name: "All squads".to_owned() }];
            choices.extend(
                shared
                    .book
                    .squads
                    .iter()
                    .map(|s| SquadChoice { id: Some(s.id), name: s.name.clone() }),
            );
            let chosen = choices.iter().find(|c| c.id == self.filter).cloned();
            let list = pick_list(choices, chosen, Message::Filtered)
                .text_size(BODY)
                .padding([7, 10])
                .style(move |_, status| ink.list(status))
                .menu_style(move |_| ink.menu());
            line = line.push(container(list).max_width(list_width));
        }
        line = line.push(act("Add an athlete", "N", ink).on_press(Message::AddPressed));
        // what is ahead is said of everybody only
        let everybody = self.filter.is_none() && self.search.is_empty();
        let under = if everybody {
            shared.ahead.clone()
        } else {
            let listed = match self.rows(shared).len() {
                0 => "None".to_owned(),
                some => some.to_string(),
            };
            format!("{listed} of {} athletes listed.", shared.rows.len())
        };
        let ahead = small(under, ink);
        let title = title(headline, "", ink);
        if stacked {
            let title = column![title].push(ahead).spacing(1);
            return column![title, line].spacing(10).padding(iced::padding::bottom(8)).into();
        }
        let line = row![title, Space::new().width(Fill), line].align_y(Alignment::Center);
        column![line].push(ahead).spacing(1).padding(iced::padding::bottom(8)).into()
    }
}

/// The newest test of an athlete that waits for a decision.
fn first_waiting(athlete: AthleteId, shared: &Shared) -> Option<pacewright_core::ids::TestId> {
    let page = shared.book.of_id(athlete).ok()?;
    let waiting =
        page.tests.iter().filter(|t| t.decision == pacewright_core::test::Decision::ToConfirm);
    waiting.max_by_key(|t| t.on).map(|t| t.id)
}

/// Nobody yet: what this is, and three ways to begin.
fn first_run(shared: &Shared) -> Element<'_, Message> {
    let ink = shared.ink();
    let ways = row![
        main_act("Add an athlete", "N", ink).on_press(Message::AddPressed),
        act("Import a roster", "", ink).on_press(Message::RosterPressed),
        act("Look around with the demo squad", "", ink).on_press(Message::DemoPressed),
    ]
    .spacing(12);
    container(
        column![
            title("Your squad", "", ink),
            soft(
                "Three field tests calibrate each athlete: 20 minutes, 40 minutes and 5 minutes. Their zones, \
                 who is due for a test and what to do next will stand here, one line an athlete.",
                ink
            ),
            ways,
                small("Pacewright advises; it never replaces a clinician or local rules.", ink),
        ]
        .spacing(18)
        .max_width(620),
    )
    .padding([50, 0])
    .into()
}
