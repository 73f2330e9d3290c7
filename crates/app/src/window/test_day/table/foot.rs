//! The acts, what waits, and who must not run.

use iced::widget::text::Wrapping;
use iced::widget::{Row, column, container, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::words::number;
use pacewright_desk::typed::{Reading, day, held, left_out};
use pacewright_sheets::ink::Role;

use super::{Message, Table};
use crate::window::ink::SMALL;
use crate::window::parts::{BAR, act, main_act, rule, scroll, small, soft};
use crate::window::shared::Shared;

/// Names take no more height than this beside the rows, px; of very many the list scrolls by itself.
const NAMES: f32 = 84.0;
const LOW_NAMES: f32 = 50.0;
const MUST_NOT: &str = "Must not run";

/// What can be done with the rows, and what waits.
pub(super) fn acts<'a>(table: &Table, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let ready = table.ready();
    let words = match ready {
        0 => "Confirm".to_owned(),
        ready => format!("Confirm {}", number(ready).to_lowercase()),
    };
    let confirm = if ready > 0 && !table.confirming {
        main_act(&words, "Ctrl Enter", ink).on_press(Message::ConfirmPressed)
    } else {
        act(&words, "Ctrl Enter", ink)
    };
    let cards = (!table.with_new_zones().is_empty())
        .then(|| act("Print their cards", "P", ink).on_press(Message::CardsPressed));
    let acts = Row::new()
        .push(confirm)
        .push(cards)
        .push(soft(waiting(table), ink))
        .spacing(12)
        .align_y(Alignment::Center)
        .wrap()
        .vertical_spacing(6);
    column![rule(ink), acts].spacing(8).padding(iced::padding::bottom(6)).into()
}

/// The keys, who must not run and who is left out.
pub(super) fn notes<'a>(table: &Table, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let lists = left_standing(table, shared);
    // what holds somebody back is as plain as what lets the others run
    let must_not = named(MUST_NOT, &lists.must_not);
    let must_not = must_not.map(|words| text(words).size(SMALL).color(ink.of(Role::Ink)));
    let tired = named("Left out, to be added by hand", &lists.tired);
    let tired = tired.map(|words| small(words, ink));
    let keys =
        "Enter down    Ctrl K turns the choice    Ctrl D takes the row out    / add    ? all keys";
    let keys = (!table.draft.rows.is_empty()).then(|| small(keys, ink));
    column![].push(keys).push(must_not).push(tired).spacing(5).padding([4, 0]).into()
}

/// The same where it stands beneath rows that scroll: names without end leave them room.
pub(super) fn notes_beneath<'a>(table: &Table, shared: &'a Shared) -> Element<'a, Message> {
    at_most(notes(table, shared), NAMES, shared)
}

/// Everyone who must not run: a name that is missing here is somebody who runs.
pub(super) fn must_not_run<'a>(table: &Table, shared: &'a Shared) -> Option<Element<'a, Message>> {
    let line = text(named(MUST_NOT, &left_standing(table, shared).must_not)?).size(SMALL);
    let line = line.wrapping(Wrapping::WordOrGlyph).color(shared.ink().of(Role::Ink));
    Some(container(at_most(line, LOW_NAMES, shared)).padding(iced::padding::bottom(4)).into())
}

/// Something that scrolls where it is higher than this, px.
fn at_most<'a>(
    content: impl Into<Element<'a, Message>>,
    height: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let content = container(content).padding(iced::padding::right(BAR)).width(Fill);
    container(scroll(content, shared.ink())).max_height(height).into()
}

/// "two rows wait: one to correct, one empty"
fn waiting(table: &Table) -> String {
    let rows = || table.draft.rows.iter().zip(&table.readings);
    let wrong = rows().filter(|(_, r)| matches!(r, Reading::Wrong { .. })).count();
    let empty = rows().filter(|(_, r)| **r == Reading::Empty).count();
    let reason =
        rows().filter(|(row, r)| matches!(r, Reading::Result(f) if !f.is_ready(row))).count();
    let all = wrong + empty + reason;
    let parts = [(wrong, "to correct"), (reason, "to be given a reason"), (empty, "empty")];
    let parts: Vec<String> = parts
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{} {what}", number(count).to_lowercase()))
        .collect();
    match all {
        0 => String::new(),
        1 => format!("one row waits: {}", parts.join(", ")),
        all if all == empty => format!("{} rows wait, all empty", number(all).to_lowercase()),
        all => format!("{} rows wait: {}", number(all).to_lowercase(), parts.join(", ")),
    }
}

/// Those who must not run, and those left out who ran too lately, with why: shown here, never
/// printed.
#[derive(Default)]
struct LeftStanding {
    must_not: Vec<String>,
    tired: Vec<String>,
}

fn left_standing(table: &Table, shared: &Shared) -> LeftStanding {
    let (kind, today) = (table.draft.kind, shared.now().today);
    let mut lists = LeftStanding::default();
    let Ok(on) = day(&table.draft.day, today) else { return lists };
    for page in &shared.book.pages {
        let name = &page.athlete.name;
        let is_here = table.draft.rows.iter().any(|row| row.athlete == page.athlete.id);
        if let Some(why) = held(page, kind, on, today) {
            lists.must_not.push(format!("{name} ({why})"));
        } else if let Some(why) = left_out(page, kind, on).filter(|_| !is_here) {
            lists.tired.push(format!("{name} ({why})"));
        }
    }
    lists
}

/// "Must not run: Ida (on hold), Ada (away)."
fn named(what: &str, names: &[String]) -> Option<String> {
    (!names.is_empty()).then(|| format!("{what}: {}.", names.join(", ")))
}
