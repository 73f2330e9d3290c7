//! Whose papers are wanted: a list of athletes to choose from, row by row.

use chrono::NaiveDate;
use iced::widget::{Space, column, container, keyed_column, operation, responsive, row, text};
use iced::{Alignment, Element, Fill, Task};
use pacewright_core::format::day_short;
use pacewright_core::ids::AthleteId;
use pacewright_desk::book::Page;
use pacewright_sheets::ink::Role;

use crate::window::ink::{BODY, Ink, SMALL};
use crate::window::parts::{self, BAR, faint_rule, name, rule, scroll, small};
use crate::window::press::{Frame, press};

const LIST: &str = "cards list";
/// Height of a row of the list, px.
const LINE: f32 = 38.0;
/// Rows built above and below what is seen.
const SPARE: usize = 6;

/// The list's state.
#[derive(Debug)]
pub(super) struct Athletes {
    chosen: Vec<AthleteId>,
    at: usize,
    /// How far the list is scrolled, px, and how much of it is seen.
    scrolled: f32,
    seen: f32,
}

/// What happens in the list.
#[derive(Debug, Clone)]
pub enum Message {
    /// An athlete is chosen or left out.
    Turned(AthleteId),
    /// The list was scrolled: offset and height, px.
    Scrolled(f32, f32),
}

impl Athletes {
    /// With these chosen.
    pub(super) fn new(chosen: Vec<AthleteId>) -> Self {
        Self { chosen, at: 0, scrolled: 0.0, seen: 800.0 }
    }

    /// Those chosen.
    pub(super) fn chosen(&self) -> &[AthleteId] {
        &self.chosen
    }

    /// These are chosen now, and nobody else.
    pub(super) fn choose(&mut self, chosen: Vec<AthleteId>) {
        self.chosen = chosen;
    }

    /// Chooses an athlete, or leaves them out.
    pub(super) fn turn(&mut self, athlete: AthleteId) {
        if let Some(place) = self.chosen.iter().position(|chosen| *chosen == athlete) {
            let _left_out = self.chosen.remove(place);
        } else {
            self.chosen.push(athlete);
        }
    }

    /// The row of the cursor.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// The list was scrolled: offset and height, px.
    pub(super) fn scrolled(&mut self, offset: f32, height: f32) {
        (self.scrolled, self.seen) = (offset, height);
    }

    /// Steps to the row below or above, of so many, and brings it into sight.
    pub(super) fn step<M: Send + 'static>(&mut self, down: bool, of: usize) -> Task<M> {
        let last = of.saturating_sub(1);
        self.at = if down { (self.at + 1).min(last) } else { self.at.saturating_sub(1) };
        let (top, bottom) = (px_of(self.at), px_of(self.at + 1));
        let offset = if top < self.scrolled {
            top
        } else if bottom > self.scrolled + self.seen {
            bottom - self.seen
        } else {
            return Task::none();
        };
        self.scrolled = offset;
        operation::scroll_to(LIST, operation::AbsoluteOffset { x: 0.0, y: offset })
    }

    /// The list under its head: beside each name what is marked of the athlete, else since when the zones
    /// in force on a day are.
    pub(super) fn view<'a>(
        &'a self,
        head: &'a str,
        rows: Vec<&'a Page>,
        (on, marked): (NaiveDate, impl Fn(&Page) -> Option<&'static str> + 'a),
        ink: Ink,
    ) -> Element<'a, Message> {
        let list = responsive(move |size| {
            let first = row_at(self.scrolled).saturating_sub(SPARE).min(rows.len());
            let last = (row_at(self.scrolled + self.seen) + SPARE).min(rows.len());
            let seen = rows.iter().enumerate().take(last).skip(first);
            let lines = seen.map(|(index, page)| {
                let line = self.row(index, page, (on, marked(page)), size.width - BAR, ink);
                (page.athlete.id.0, line)
            });
            let lines = column![
                Space::new().height(px_of(first)),
                keyed_column(lines),
                Space::new().height(px_of(rows.len() - last)),
            ];
            scroll(lines.padding(iced::padding::right(BAR)), ink)
                .id(LIST)
                .height(Fill)
                .on_scroll(|view| Message::Scrolled(view.absolute_offset().y, view.bounds().height))
                .into()
        });
        column![small(head, ink), rule(ink), list].spacing(4).into()
    }

    fn row<'a>(
        &'a self,
        index: usize,
        page: &'a Page,
        (on, marked): (NaiveDate, Option<&'static str>),
        width: f32,
        ink: Ink,
    ) -> Element<'a, Message> {
        let chosen = self.chosen.contains(&page.athlete.id);
        let wide = width > 320.0;
        // what is marked stands there whatever the room
        let beside = match (wide, marked) {
            (true, _) => 170.0,
            (false, Some(words)) => 46.0 + parts::wide(words, SMALL),
            (false, None) => 44.0,
        };
        let said = || {
            let words = match (marked, page.current(on)) {
                (Some(words), _) => words.to_owned(),
                (None, Some(zones)) => format!("from {}", day_short(zones.from)),
                (None, None) => "no zones".to_owned(),
            };
            let role = if marked.is_some() { Role::Mark } else { Role::SoftInk };
            text(words).size(SMALL).color(ink.of(role))
        };
        let line = row![
            text(if chosen { "\u{2713}" } else { "" }).size(BODY).width(18),
            container(name(&page.athlete.name, width - beside)).width(Fill),
        ]
        .push((wide || marked.is_some()).then(said))
        .spacing(6)
        .align_y(Alignment::Center);
        let here = index == self.at;
        let line = container(line)
            .padding([0, 6])
            .width(Fill)
            .height(LINE - 1.0)
            .align_y(Alignment::Center)
            .style(move |_| if here { ink.selected() } else { container::Style::default() });
        let line = press(line, Frame::None, ink)
            .padding(0)
            .width(Fill)
            .by_mouse_only()
            .on_press(Message::Turned(page.athlete.id));
        column![line, faint_rule(ink)].height(LINE).into()
    }
}

/// Where a row of the list begins, px from the first.
fn px_of(row: usize) -> f32 {
    row as f32 * LINE
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "scroll offsets are small and never negative"
)]
fn row_at(offset: f32) -> usize {
    (offset / LINE).floor().max(0.0) as usize
}
