//! The rows of the ledger. Only those that can be seen are built, so that five hundred scroll as
//! fifteen do.

use iced::widget::{Space, column, container, keyed_column, row, text};
use iced::{Alignment, Element, Fill, Length, Size};
use pacewright_core::format::pace_unit;
use pacewright_desk::standing::StandingRow;
use pacewright_sheets::drawing::Drawing;
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::{self, Axis, Look};
use pacewright_sheets::strip;

use super::Message;
use crate::window::figure::{figure, px};
use crate::window::ink::{BODY, ROW, SMALL};
use crate::window::parts::{BAR, faint_rule, link, name, quiet_small, rule, small, together};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

const ACT: f32 = 128.0;
const GAP: f32 = 14.0;

/// Widths of the columns, px.
#[derive(Debug, Clone, Copy)]
pub(super) struct Widths {
    name: f32,
    lane: f64,
    strip: f64,
    room: Room,
}

/// How much room there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Room {
    /// One line an athlete.
    Wide,
    /// One line, its lane and strip shorter.
    Narrow,
    /// The sentence under the name: large text on a small screen.
    Stacked,
}

impl Widths {
    /// What a page of a width has room for: the sentence needs the most.
    pub(super) fn for_page(width: f32) -> Self {
        match width {
            1_560.0.. => Self { name: 270.0, lane: 420.0, strip: 168.0, room: Room::Wide },
            1_120.0.. => Self { name: 172.0, lane: 330.0, strip: 132.0, room: Room::Wide },
            850.0.. => Self { name: 158.0, lane: 210.0, strip: 108.0, room: Room::Narrow },
            _ => {
                let name = (width - 284.0 - ACT - 3.0 * GAP - BAR).max(158.0);
                Self { name, lane: 200.0, strip: 84.0, room: Room::Stacked }
            }
        }
    }

    /// Whether the sentence stands under the name.
    pub(super) fn is_stacked(self) -> bool {
        self.room == Room::Stacked
    }

    /// The height of a row, px.
    fn row(self) -> f32 {
        if self.is_stacked() { 1.5 * ROW } else { ROW }
    }

    /// Where a row begins, px from the first.
    pub(super) fn px_of(self, row: usize) -> f32 {
        row as f32 * self.row()
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "scroll offsets are small and never negative"
    )]
    fn first_row(self, offset: f32) -> usize {
        ((offset / self.row()).floor().max(0.0) as usize).saturating_sub(SPARE)
    }
}

/// Rows built above and below what is seen, so that a quick scroll shows no gap.
const SPARE: usize = 6;

/// What the ledger shows.
pub(super) struct Ledger<'r, 'a> {
    pub(super) rows: &'r [&'a StandingRow],
    pub(super) axis: Option<Axis>,
    pub(super) at: usize,
    pub(super) scrolled: f32,
    pub(super) seen: Size,
    pub(super) widths: Widths,
}

impl<'a> Ledger<'_, 'a> {
    /// The heads of the columns.
    pub(super) fn head(&self, by_name: bool, shared: &'a Shared) -> Element<'a, Message> {
        let (ink, widths) = (shared.ink(), self.widths);
        let order = if by_name { "Athlete, by name" } else { "Athlete, most urgent first" };
        let name = quiet_small(order, ink).padding(0).on_press(Message::Reordered);
        let stacked = widths.is_stacked();
        let this_week = (!stacked).then(|| container(small("This week", ink)).width(Fill));
        let line = row![
            container(name).width(if stacked { Length::Fill } else { widths.name.into() }),
            container(small(
                format!("Markers and zones, pace per {}", pace_unit(shared.units())),
                ink
            ))
            .width(px(widths.lane)),
            container(small(
                if widths.room == Room::Wide { "Next test, 12 weeks" } else { "Next test" },
                ink
            ))
            .width(px(widths.strip)),
        ]
        .push(this_week)
        .push(Space::new().width(ACT))
        .spacing(GAP);
        let line = container(line).padding(iced::padding::right(BAR));
        column![container(line).padding([4, 0]), rule(ink)].into()
    }

    /// The rows in sight between two spaces that stand for the others.
    pub(super) fn body(&self, shared: &'a Shared) -> Element<'a, Message> {
        let widths = self.widths;
        let first = widths.first_row(self.scrolled);
        let last = widths.first_row(self.scrolled + self.seen.height).saturating_add(1 + 2 * SPARE);
        let last = last.min(self.rows.len());
        let first = first.min(last);
        let visible =
            self.rows.get(first..last).unwrap_or_default().iter().enumerate().map(
                |(offset, row)| (row.athlete.0, self.row(row, first + offset == self.at, shared)),
            );
        column![
            Space::new().height(widths.px_of(first)),
            keyed_column(visible),
            Space::new().height(widths.px_of(self.rows.len() - last)),
        ]
        .padding(iced::padding::right(BAR))
        .into()
    }

    fn row(&self, row_: &'a StandingRow, here: bool, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let figures = self.figures(row_, shared);
        let sentence = text(together(&row_.sentence)).size(if row_.sentence.chars().count() > 58 {
            SMALL + 1.0
        } else {
            BODY
        });
        let sentence =
            if row_.act.is_some() { sentence } else { sentence.color(ink.of(Role::SoftInk)) };
        let act: Element<'_, Message> = match row_.act {
            Some(words) => {
                link(words, ink).on_press(Message::Acted(row_.athlete)).by_mouse_only().into()
            }
            None => Space::new().into(),
        };
        let name = name(&row_.name, self.widths.name);
        let act = container(act).width(ACT);
        let height = self.widths.row();
        let cells = if self.widths.is_stacked() {
            let first = row![container(name).width(Fill), figures, act].spacing(GAP);
            column![first.align_y(Alignment::Center), sentence.size(SMALL + 1.0)].into()
        } else {
            let name = container(name).width(self.widths.name);
            let sentence = container(sentence).width(Fill);
            let line = row![name, figures, sentence, act].spacing(GAP);
            Element::from(line.align_y(Alignment::Center))
        };
        let cells = container(cells).height(height - 1.0).align_y(Alignment::Center);
        let line = container(cells)
            .width(Fill)
            .style(move |_| if here { ink.selected() } else { container::Style::default() });
        let line = press(line, Frame::None, ink)
            .padding(0)
            .width(Fill)
            .by_mouse_only()
            .on_press(Message::Opened(row_.athlete));
        column![line, faint_rule(ink)].height(Length::Fixed(height)).into()
    }

    /// The lane and the strip.
    fn figures(&self, row: &'a StandingRow, shared: &'a Shared) -> Element<'a, Message> {
        let Widths { lane, strip, .. } = self.widths;
        let strip_from = lane + f64::from(GAP);
        let strip_of = row.strip.as_ref().map(|facts| strip::strip(facts, strip));
        let lane_of = row.markers.as_ref().zip(self.axis).map(|(markers, axis)| {
            let look = Look::row(lane, shared.units());
            lane::lane_of((markers, row.edges.as_deref()), row.before.as_ref(), axis, &look)
        });
        let ink = shared.ink();
        let strip_alone = |drawing: Option<Drawing>| match drawing {
            Some(drawing) => figure(drawing, ink),
            None => Space::new().into(),
        };
        match (lane_of, strip_of) {
            (Some(lane), Some(strip)) => figure(lane.beside(strip, strip_from), ink),
            (Some(lane), None) => container(figure(lane, ink)).width(px(strip_from + strip)).into(),
            (None, drawn) => row![
                container(small("no zones yet", ink)).width(px(lane)),
                container(strip_alone(drawn)).width(px(strip)),
            ]
            .spacing(GAP)
            .align_y(Alignment::Center)
            .into(),
        }
    }

    /// The scale of the lanes, and what the dot on the strip is.
    pub(super) fn foot(&self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let scale: Element<'_, Message> = match self.axis {
            Some(axis) => figure(lane::scale(axis, self.widths.lane, 10.5, shared.units()), ink),
            None => Space::new().into(),
        };
        let name = if self.widths.is_stacked() { Length::Fill } else { self.widths.name.into() };
        let keys = "\u{2191}\u{2193} move    Enter open    A act    P card    N add    / search    ? all keys";
        let today = container(small("\u{2022} today", ink)).width(px(self.widths.strip));
        let scale = container(scale).width(px(self.widths.lane));
        let mut under = row![Space::new().width(name), scale, today].spacing(GAP);
        if self.widths.is_stacked() {
            under = under.push(Space::new().width(ACT));
        }
        column![
            rule(ink),
            container(under).padding(iced::padding::right(BAR).top(4)),
            Space::new().height(8),
            small(keys, ink),
        ]
        .padding(iced::padding::bottom(4))
        .into()
    }
}
