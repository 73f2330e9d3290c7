//! The page, and the rows of the table: only those in sight are built, and the one being written in,
//! so that a hundred are as quick as ten and no field loses its focus by scrolling.

use iced::advanced::widget::Id;
use iced::widget::{Space, column, container, keyed_column, responsive, row, scrollable, text};
use iced::{Element, Fill, Length};
use pacewright_desk::typed::Reading;
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::Axis;

use super::cells::{self, Line};
use super::{Message, Place, ROWS, Table, foot, head};
use crate::window::ink::{BODY, MARGIN};
use crate::window::parts::{TOP, main_act, rule, scroll, small, strong};
use crate::window::shared::Shared;
use crate::window::test_day;

/// Under this height of a page the head scrolls with the rows, px.
const LOW: f32 = 560.0;
/// More than the head ever takes, px: rows are built as if it were so high.
const HEAD_AT_MOST: f32 = 420.0;
/// Built above and below what is seen, px.
const SPARE: f32 = 280.0;
/// Under this width a row stands on two lines, px.
const STACKED: f32 = 1_042.0;
/// The lane of such a row, as a share of its width.
const STACKED_LANE: f32 = 0.3;
/// Above and below a low page, px.
const LOW_MARGIN: f32 = 8.0;

/// Beside the rows, for the scroll bar, px.
const BAR: f32 = 14.0;

/// A field's column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    Laps,
    Metres,
    HeartRate,
    Reason,
}

impl Column {
    const ALL: [Self; 4] = [Self::Laps, Self::Metres, Self::HeartRate, Self::Reason];
}

impl Place {
    /// The field's name.
    pub(super) fn id(self) -> Id {
        let what = match self.column {
            Column::Laps => "laps",
            Column::Metres => "metres",
            Column::HeartRate => "heart rate",
            Column::Reason => "reason",
        };
        Id::from(format!("{what} {}", self.row + 1))
    }

    /// Every field of so many rows.
    pub(super) fn all(rows: usize) -> impl Iterator<Item = Self> {
        (0..rows).flat_map(|row| Column::ALL.map(|column| Self { row, column }))
    }
}

/// Widths of a row's parts, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Widths {
    /// On two lines.
    pub(super) stacked: bool,
    pub(super) name: f32,
    pub(super) lane: f32,
    /// The verdict with the choice.
    pub(super) verdict: f32,
    /// What to know.
    pub(super) words: f32,
}

/// For a result written in one too: "13 laps 200".
pub(super) const LAPS: f32 = 104.0;
pub(super) const METRES: f32 = 74.0;
pub(super) const RATE: f32 = 58.0;
pub(super) const PACE: f32 = 42.0;
pub(super) const CHANGE: f32 = 62.0;
pub(super) const REMOVE: f32 = 24.0;
pub(super) const GAP: f32 = 14.0;

impl Widths {
    fn of(width: f32) -> Self {
        let fields = LAPS + METRES + RATE + PACE + REMOVE;
        if width < STACKED {
            let lane = (width * STACKED_LANE).floor();
            let name = width - fields - 5.0 * GAP;
            let verdict = width - lane - CHANGE - 2.0 * GAP;
            return Self { stacked: true, name, lane, verdict, words: width - REMOVE - GAP };
        }
        let rest = width - fields - CHANGE - 8.0 * GAP;
        let name = (rest * 0.22).clamp(150.0, 190.0);
        let lane = ((rest - name) * 0.54).clamp(170.0, 340.0);
        let words = rest - name - lane.floor();
        Self { stacked: false, name, lane: lane.floor(), verdict: words, words }
    }
}

/// The whole view.
pub(super) fn page<'a>(table: &'a Table, shared: &'a Shared) -> Element<'a, test_day::Message> {
    responsive(move |size| {
        // the margins of every page, but for a low one, where the rows need the room
        let height = size.height - 2.0 * TOP;
        let low = height < LOW;
        let top = if low { LOW_MARGIN } else { TOP };
        let width = size.width - 2.0 * MARGIN;
        container(inside(table, (width, low), shared)).padding([top, MARGIN]).into()
    })
    .into()
}

fn inside<'a>(
    table: &'a Table,
    (width, low): (f32, bool),
    shared: &'a Shared,
) -> Element<'a, test_day::Message> {
    let ours = test_day::Message::Table;
    let head = head::head(table, low, shared);
    let acts = foot::acts(table, shared).map(ours);
    if table.draft.rows.is_empty() {
        let words = scroll(nobody(table, shared), shared.ink()).width(Fill).height(Fill);
        return column![head, words, foot::notes_beneath(table, shared).map(ours)].into();
    }
    let widths = Widths::of(width - BAR);
    let labels = labels(widths, shared).map(ours);
    let rows = built(table, widths, if low { HEAD_AT_MOST } else { 0.0 }, shared).map(ours);
    let ink = shared.ink();
    let list = |content| {
        scrollable(content)
            .id(ROWS)
            .width(Fill)
            .height(Fill)
            .on_scroll(move |view| {
                ours(Message::Scrolled(view.absolute_offset().y, view.bounds().height))
            })
            .style(move |theme, status| ink.scroll(theme, status))
    };
    if low {
        let beside_bar = |part| container(part).padding(iced::padding::right(BAR));
        // who must not run stays in sight; all that is said of them stands under the rows
        let notes = column![head::explained(ink), foot::notes(table, shared).map(ours)].spacing(5);
        let page = column![beside_bar(head), labels, rows, beside_bar(notes.into())];
        let must_not = foot::must_not_run(table, shared).map(|line| line.map(ours));
        column![list(page), acts].push(must_not).into()
    } else {
        let notes = foot::notes_beneath(table, shared).map(ours);
        column![head, labels, list(column![rows]), acts, notes].into()
    }
}

fn nobody<'a>(table: &Table, shared: &'a Shared) -> Element<'a, test_day::Message> {
    let ink = shared.ink();
    let words = if shared.book.pages.is_empty() {
        "There are no athletes yet. Add them in the Squad; then type here what each one ran, and \
         everyone's zones follow."
    } else {
        "Nobody stands here yet. Take a whole squad with one press above, or type part of a name. \
         Who is booked for the day stands here by itself. Then type what each one ran: zones \
         follow as you type, and nothing counts until you confirm."
    };
    let first: Option<Element<'a, _>> = if shared.book.pages.is_empty() {
        let squad = main_act("To the squad", "", ink);
        Some(squad.on_press(test_day::Message::SquadRoomPressed).into())
    } else {
        head::everyone(table, shared)
            .map(|press| Element::from(press).map(test_day::Message::Table))
    };
    container(
        column![
            strong("One whistle, many runners"),
            text(words).size(BODY).color(ink.of(Role::SoftInk)),
        ]
        .push(first)
        .spacing(12)
        .max_width(600),
    )
    .padding([28, 0])
    .into()
}

fn labels(widths: Widths, shared: &Shared) -> Element<'_, Message> {
    let ink = shared.ink();
    let label = |words: &'static str, width: f32| container(small(words, ink)).width(width);
    let right = |words: &'static str, width: f32| {
        container(small(words, ink)).width(width).align_right(Length::Fixed(width))
    };
    let first = row![
        label("Athlete", widths.name),
        right("Laps", LAPS),
        right("Metres", METRES),
        right("Mean HR", RATE),
        label("Pace", PACE),
    ];
    let lane =
        if widths.stacked { "Zones, before and now" } else { "Markers and zones, before and now" };
    let second = row![
        label(lane, widths.lane),
        label("Change", CHANGE),
        label("All tests together", widths.verdict),
    ];
    let (first, second) = (first.spacing(GAP), second.spacing(GAP));
    let heads: Element<'_, Message> = if widths.stacked {
        column![first, second].into()
    } else {
        row![first, second].spacing(GAP).into()
    };
    column![container(heads).padding([5, 0]), rule(ink)].into()
}

/// The rows in sight and the one being written in, with spaces that stand for the others.
fn built<'a>(
    table: &'a Table,
    widths: Widths,
    head: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let axis = axis(table, shared);
    let (from, to) = (table.scrolled - head - SPARE, table.scrolled + table.seen + SPARE);
    let mut parts: Vec<(i64, Element<'a, Message>)> = Vec::new();
    let (mut top, mut gap) = (0.0_f32, 0.0_f32);
    for (place, (entry, reading)) in table.draft.rows.iter().zip(&table.readings).enumerate() {
        let Ok(page) = shared.book.of_id(entry.athlete) else { continue };
        let line = Line { place, entry, reading, page, widths, axis };
        let height = line.height();
        let in_sight = top + height >= from && top <= to;
        if in_sight || table.at == Some(place) {
            parts.extend(space(place, &mut gap));
            parts.push((entry.athlete.0, cells::one_row(line, height, shared)));
        } else {
            gap += height;
        }
        top += height;
    }
    parts.extend(space(table.draft.rows.len(), &mut gap));
    keyed_column(parts).padding(iced::padding::right(BAR)).into()
}

/// A space for rows that are not built, with a key no athlete has.
fn space<'a>(before: usize, gap: &mut f32) -> Option<(i64, Element<'a, Message>)> {
    let height = std::mem::take(gap);
    let key = -1 - i64::try_from(before).unwrap_or(0);
    (height > 0.0).then(|| (key, Space::new().height(height).into()))
}

/// The squad's axis, with room for every new marker.
fn axis(table: &Table, shared: &Shared) -> Option<Axis> {
    let squad = shared.rows.iter().filter_map(|row| row.markers.as_ref());
    let new = table.readings.iter().filter_map(|reading| match reading {
        Reading::Result(foreseen) => foreseen.after.as_ref(),
        Reading::Counted(counted) => counted.markers.as_ref(),
        _ => None,
    });
    Axis::around(squad.chain(new))
}
