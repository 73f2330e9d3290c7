//! The rows of the ledger. Only those that can be seen are built, so that five hundred scroll as
//! fifteen do.

use iced::widget::{Space, column, container, keyed_column, row, text};
use iced::{Alignment, Element, Fill, FillPortion, Length};
use pacewright_core::format::pace_unit;
use pacewright_desk::standing::StandingRow;
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::{self, Axis, Look};
use pacewright_sheets::strip;

use super::Message;
use crate::window::figure::{figure, px};
use crate::window::ink::{BODY, ROW, SMALL};
use crate::window::parts::{faint_rule, link, rule, small, strong};
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
    narrow: bool,
}

impl Widths {
    /// What a page of a width has room for: the sentence needs the most.
    pub(super) fn for_page(width: f32) -> Self {
        let narrow = width < 1_120.0;
        if narrow {
            Self { name: 158.0, lane: 210.0, strip: 108.0, narrow }
        } else {
            Self { name: 172.0, lane: 330.0, strip: 132.0, narrow }
        }
    }
}

/// Rows built above and below what is seen, so that a quick scroll shows no gap.
const SPARE: usize = 6;

/// Where a row begins, px from the first.
#[expect(clippy::cast_precision_loss, reason = "a ledger has thousands of rows at most")]
pub(super) fn px_of(row: usize) -> f32 {
    row as f32 * ROW
}

/// What the ledger shows.
pub(super) struct Ledger<'r, 'a> {
    pub(super) rows: &'r [&'a StandingRow],
    pub(super) axis: Option<Axis>,
    pub(super) at: usize,
    pub(super) scrolled: f32,
    pub(super) seen: f32,
    pub(super) widths: Widths,
}

impl<'a> Ledger<'_, 'a> {
    /// The heads of the columns.
    pub(super) fn head(&self, by_name: bool, shared: &'a Shared) -> Element<'a, Message> {
        let (ink, widths) = (shared.ink(), self.widths);
        let order = if by_name { "Athlete, by name" } else { "Athlete, most urgent first" };
        let name =
            press(small(order, ink), Frame::None, ink).padding(0).on_press(Message::Reordered);
        let line = row![
            container(name).width(widths.name),
            container(small(
                format!("Markers and zones, pace per {}", pace_unit(shared.units())),
                ink
            ))
            .width(px(widths.lane)),
            container(small(if widths.narrow { "Next test" } else { "Next test, 12 weeks" }, ink))
                .width(px(widths.strip)),
            container(small("This week", ink)).width(Fill),
            Space::new().width(ACT),
        ]
        .spacing(GAP);
        column![container(line).padding([4, 0]), rule(ink)].into()
    }

    /// The rows in sight between two spaces that stand for the others.
    pub(super) fn body(&self, shared: &'a Shared) -> Element<'a, Message> {
        let first = first_row(self.scrolled);
        let last =
            first_row(self.scrolled + self.seen).saturating_add(1 + 2 * SPARE).min(self.rows.len());
        let first = first.min(last);
        let visible =
            self.rows.get(first..last).unwrap_or_default().iter().enumerate().map(
                |(offset, row)| (row.athlete.0, self.row(row, first + offset == self.at, shared)),
            );
        column![
            Space::new().height(px_of(first)),
            keyed_column(visible),
            Space::new().height(px_of(self.rows.len() - last)),
        ]
        .into()
    }

    fn row(&self, row_: &'a StandingRow, here: bool, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let lane = self.lane(row_, shared);
        let strip: Element<'_, Message> = match &row_.strip {
            Some(facts) => figure(strip::strip(facts, self.widths.strip), ink),
            None => Space::new().into(),
        };
        let sentence = text(row_.sentence.as_str()).size(if row_.sentence.chars().count() > 58 {
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
        let cells = row![
            container(strong(row_.name.as_str())).width(self.widths.name).clip(true),
            container(lane).width(px(self.widths.lane)),
            container(strip).width(px(self.widths.strip)),
            container(sentence).width(FillPortion(1)),
            container(act).width(ACT),
        ]
        .spacing(GAP)
        .height(ROW - 1.0)
        .align_y(Alignment::Center);
        let line = container(cells)
            .width(Fill)
            .style(move |_| if here { ink.selected() } else { container::Style::default() });
        let line = press(line, Frame::None, ink)
            .padding(0)
            .width(Fill)
            .by_mouse_only()
            .on_press(Message::Opened(row_.athlete));
        column![line, faint_rule(ink)].height(Length::Fixed(ROW)).into()
    }

    fn lane(&self, row: &'a StandingRow, shared: &'a Shared) -> Element<'a, Message> {
        match (&row.markers, self.axis) {
            (Some(markers), Some(axis)) => {
                let look = Look::row(self.widths.lane, shared.units());
                figure(lane::lane(markers, row.before.as_ref(), axis, &look), shared.ink())
            }
            _ => small("no zones yet", shared.ink()),
        }
    }

    /// The scale of the lanes, and what the dot on the strip is.
    pub(super) fn foot(&self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let scale: Element<'_, Message> = match self.axis {
            Some(axis) => figure(lane::scale(axis, self.widths.lane, 10.5, shared.units()), ink),
            None => Space::new().into(),
        };
        let keys = "\u{2191}\u{2193} move    Enter open    A act    P card    N add    / search    ? all keys";
        column![
            row![
                Space::new().width(self.widths.name),
                container(scale).width(px(self.widths.lane)),
                small("\u{2022} today", ink)
            ]
            .spacing(GAP),
            Space::new().height(8),
            small(keys, ink),
        ]
        .padding([6, 0])
        .into()
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "scroll offsets are small and never negative"
)]
fn first_row(offset: f32) -> usize {
    ((offset / ROW).floor().max(0.0) as usize).saturating_sub(SPARE)
}
