//! Every test that waits for a decision, worst doubt first, with what the checks say.

use iced::widget::{Space, column, container, row, text};
use iced::{Alignment, Element, Fill, FillPortion};
use pacewright_core::format;
use pacewright_core::remark::Use;
use pacewright_core::words;
use pacewright_desk::waiting::WaitingTest;
use pacewright_sheets::ink::Role;

use super::Message;
use crate::window::ink::{BODY, SMALL, STRONG};
use crate::window::parts::{faint_rule, main_act, rule, small};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// Rows shown at once; the worst come first.
const MOST: usize = 200;
/// From this width on, px, distance and pace have a column of their own, else they stand under the name.
const WIDE: f32 = 860.0;

/// The list.
#[expect(clippy::needless_pass_by_value, reason = "gathered for this view alone")]
pub(super) fn view<'a>(
    tests: Vec<WaitingTest<'a>>,
    at: usize,
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let usable = tests.iter().filter(|w| w.good_for == Use::Usable).count();
    let count = tests.len();
    let words = if count == 1 { "1 test waits" } else { "tests wait" };
    let words = if count == 1 { words.to_owned() } else { format!("{count} {words}") };
    let mut head = row![
        container(small(format!("{words} for your decision, worst doubt first"), ink)).width(Fill)
    ];
    if usable > 0 {
        let act = if usable == 1 {
            "Confirm the one that is usable".to_owned()
        } else {
            format!("Confirm all {usable} usable")
        };
        head = head.push(main_act(&act, "C", ink).on_press(Message::ConfirmPressed));
    }
    let mut list =
        column![Space::new().height(6), head.align_y(Alignment::Center), rule(ink)].spacing(4);
    for (index, waiting) in tests.iter().take(MOST).enumerate() {
        list = list.push(test(waiting, index == at, width, shared));
    }
    if count > MOST {
        list = list.push(small(format!("and {} more", count - MOST), ink));
    }
    let confirm = if usable > 0 { "C confirm what is usable    " } else { "" };
    let keys = format!("\u{2191}\u{2193} move    Enter look at it    {confirm}/ path");
    list.push(small(keys, ink)).into()
}

fn test<'a>(
    waiting: &WaitingTest<'a>,
    here: bool,
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let (test, units) = (waiting.test, shared.units());
    let look = waiting.good_for != Use::Usable;
    let role = if look { Role::Mark } else { Role::SoftInk };
    let of_checks = || waiting.worst().map(|worst| words::remark(worst, units));
    let says = waiting.uncleared.clone().or_else(of_checks).unwrap_or_else(|| {
        if waiting.remarks.is_empty() { "nothing to say" } else { "only notes" }.to_owned()
    });
    let pace = test.performance.mean_speed().map_or_else(String::new, |speed| {
        format!(
            "{}, {} per {}",
            format::metres(test.performance.distance),
            format::pace(speed, units),
            format::pace_unit(units)
        )
    });
    let breaks = text::Wrapping::WordOrGlyph;
    let wide = width >= WIDE;
    let name = text(waiting.athlete).size(BODY).font(STRONG).wrapping(breaks);
    let name = column![name].push((!wide).then(|| small(pace.clone(), ink)));
    let what = column![text(words::test(test.kind)).size(BODY), small(format::day(test.on), ink),];
    let ran =
        wide.then(|| text(pace).size(BODY).color(ink.of(Role::SoftInk)).width(FillPortion(5)));
    let (first, second) = if wide { (5, 4) } else { (4, 3) };
    let cells = row![name.width(FillPortion(first)), what.width(FillPortion(second))].push(ran);
    let cells = cells
        .push(
            column![
                text(words::good_for(waiting.good_for)).size(BODY).color(ink.of(role)),
                text(says).size(SMALL + 0.5).color(ink.of(Role::SoftInk)),
            ]
            .width(FillPortion(10)),
        )
        .spacing(12)
        .align_y(Alignment::Center);
    let line = container(cells)
        .padding([6, 4])
        .width(Fill)
        .style(move |_| if here { ink.selected() } else { container::Style::default() });
    let line = press(line, Frame::None, ink)
        .padding(0)
        .width(Fill)
        .by_mouse_only()
        .on_press(Message::TestPressed(test.id));
    column![line, faint_rule(ink)].into()
}
