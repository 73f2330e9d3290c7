//! The acts, what waits, and who must not run.

use iced::widget::{Row, column};
use iced::{Alignment, Element};
use pacewright_core::words::number;
use pacewright_desk::typed::{Reading, day, held};

use super::{Message, Table};
use crate::window::parts::{act, main_act, rule, small, soft};
use crate::window::shared::Shared;

/// As many of those who must not run are named.
const NAMED: usize = 8;

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

/// The keys, and who must not run.
pub(super) fn notes<'a>(table: &Table, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let keys =
        "Enter down    Ctrl K turns the choice    Ctrl D takes the row out    / add    ? all keys";
    column![]
        .push((!table.draft.rows.is_empty()).then(|| small(keys, ink)))
        .push(must_not_run(table, shared).map(|words| small(words, ink)))
        .spacing(5)
        .padding([4, 0])
        .into()
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
        all => format!("{} rows wait: {}", number(all).to_lowercase(), parts.join(", ")),
    }
}

/// Those who must not run, with why: shown here, never printed.
fn must_not_run(table: &Table, shared: &Shared) -> Option<String> {
    let on = day(&table.draft.day, shared.now().today).ok()?;
    let mut names: Vec<String> = shared
        .book
        .pages
        .iter()
        .filter_map(|page| {
            let why = held(page, table.draft.kind, on)?;
            Some(format!("{} ({why})", page.athlete.name))
        })
        .collect();
    if names.is_empty() {
        return None;
    }
    let more = names.len().saturating_sub(NAMED);
    names.truncate(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    Some(format!("Must not run: {}{more}.", names.join(", ")))
}
