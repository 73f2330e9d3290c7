//! The effort in numbers, what the checks say of it, and what it is good for.

use iced::widget::{column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::format;
use pacewright_core::remark::{Remark, Severity};
use pacewright_core::test::Decision;
use pacewright_core::units::Share;
use pacewright_core::words;
use pacewright_desk::trace::Judged;
use pacewright_sheets::ink::Role;

use super::Message;
use super::measured;
use super::open::Open;
use crate::window::ink::{BODY, Ink, STRONG};
use crate::window::parts::{body, faint_rule, link, quiet_small, rule, small, soft, strong};
use crate::window::shared::Shared;

/// Remarks shown before the rest is folded away.
const WORST: usize = 3;

/// The left of the page.
pub(super) fn view<'a>(open: &'a Open, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let mut head = row![container(small(heading(open), ink)).width(Fill)];
    if open.is_moved() {
        let back = row![link("Back to what was found", ink).on_press(Message::BackToFound)];
        head = head.push(back.push(small("B", ink)).spacing(6).align_y(Alignment::Center));
    }
    let mut column = column![head.align_y(Alignment::Center), rule(ink)].spacing(6);
    for (label, value, note) in rows(open, shared) {
        column = column.push(fact(label, value, note, ink));
    }
    column = column.push(remarks(open, shared));
    if open.recorded().is_some() {
        column = column.push(measured::view(open, shared));
    }
    column.into()
}

fn heading(open: &Open) -> String {
    let kind = open.opened.test.kind;
    match &open.judged {
        Some(judged) => {
            let (span, how) = (judged.effort.span, judged.effort.found_by);
            let ends = format!("{} to {}", format::time(span.from), format::time(span.to));
            format!("The effort, {}, {ends}", words::found_by(how, kind))
        }
        None => "The effort, typed in".to_owned(),
    }
}

fn fact(label: &str, value: String, note: String, ink: Ink) -> Element<'_, Message> {
    column![
        row![
            container(body(label)).width(118),
            container(strong(value)).width(70).align_right(70),
            container(soft(note, ink)).width(Fill),
        ]
        .spacing(12)
        .padding([5, 0]),
        faint_rule(ink),
    ]
    .into()
}

fn rows(open: &Open, shared: &Shared) -> Vec<(&'static str, String, String)> {
    let units = shared.units();
    let performance = open.test().performance;
    let per = format!("per {}", format::pace_unit(units));
    let duration = format!("in {}", format::time(performance.duration));
    let mut rows = vec![("Distance", format::metres(performance.distance), duration)];
    if let Some(speed) = performance.mean_speed() {
        rows.push(("Mean pace", format::pace(speed, units), per));
    }
    rows.push(match performance.mean_heart_rate {
        Some(rate) => {
            let share = share_words(performance.heart_rate_share);
            let peak = performance.peak_heart_rate;
            let peak = peak.map(|peak| format!("highest {}", format::whole_beats(peak)));
            let note = [Some(share), peak].into_iter().flatten().collect::<Vec<_>>().join("; ");
            ("Mean heart rate", format::whole_beats(rate).to_string(), note)
        }
        None => ("Mean heart rate", "\u{2013}".to_owned(), "none that can be used".to_owned()),
    });
    if let Some(judged) = open.judged.as_ref().filter(|judged| judged.quarters.len() == 4) {
        rows.push(quarters(judged, shared));
    }
    rows
}

fn share_words(share: Share) -> String {
    match format::percent(share.ratio()) {
        whole if whole == "100 %" => "over all of it".to_owned(),
        part => format!("over {part} of it"),
    }
}

fn quarters(judged: &Judged, shared: &Shared) -> (&'static str, String, String) {
    let mut paces = judged.quarters.iter().map(|speed| format::pace(*speed, shared.units()));
    let first = paces.next().unwrap_or_default();
    ("Quarters", first, paces.collect::<Vec<_>>().join(" \u{b7} "))
}

fn remarks<'a>(open: &'a Open, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let remarks = open.remarks();
    let head = if open.judged.is_some() {
        format!("Remarks: {}", words::worth(remarks, open.good_for()))
    } else {
        "Typed in: nothing was checked".to_owned()
    };
    let mut column = column![small(head, ink), rule(ink)].spacing(6).padding([10, 0]);
    if remarks.is_empty() && open.judged.is_some() {
        column = column.push(soft("The checks have nothing to say.", ink));
    }
    let shown = if open.unfolded { remarks.len() } else { WORST };
    for (index, one) in remarks.iter().take(shown).enumerate() {
        column = column.push(remark(index + 1, one, &open.opened.test.decision, shared));
    }
    if remarks.len() > WORST {
        let words = if open.unfolded {
            "Only the worst three".to_owned()
        } else {
            format!("{} more", remarks.len() - WORST)
        };
        let fold = quiet_small(&words, ink).on_press(Message::RemarksFolded);
        column = column.push(row![fold, small("M", ink)].spacing(4).align_y(Alignment::Center));
    }
    column.into()
}

fn remark<'a>(
    number: usize,
    remark: &Remark,
    decision: &Decision,
    shared: &Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let role = if remark.severity > Severity::Note { Role::Mark } else { Role::SoftInk };
    let head = |words: String| text(words).size(BODY).font(STRONG).color(ink.of(role));
    let sentence = words::remark_of(remark, decision, shared.units());
    let sentence = if role == Role::SoftInk { soft(sentence, ink) } else { body(sentence) };
    row![
        container(head(number.to_string())).width(14),
        container(head(words::severity(remark.severity).to_owned())).width(50),
        container(sentence).width(Fill),
    ]
    .spacing(6)
    .into()
}
