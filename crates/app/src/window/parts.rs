//! The small pieces every page is made of.

use iced::widget::text::Wrapping;
use iced::widget::{
    Column, Row, Scrollable, column, container, row, rule as rules, scrollable, text, text_editor,
    text_input,
};
use iced::{Alignment, Background, Border, Element, Fill, Length};
use pacewright_sheets::fonts::text_width;
use pacewright_sheets::ink::Role;

use super::figure::px;
use super::ink::{BODY, Ink, MARGIN, SMALL, STRONG, TITLE};
use super::press::{Frame, Press, press};

/// A page's title with what stands beside it in soft ink.
pub(super) fn title<'a, M: 'a>(
    words: impl Into<String>,
    beside: impl Into<String>,
    ink: Ink,
) -> Row<'a, M> {
    row![
        text(words.into()).size(TITLE).font(STRONG),
        text(beside.into()).size(BODY).color(ink.of(Role::SoftInk)),
    ]
    .spacing(20)
    .align_y(Alignment::Center)
}

/// Beside what scrolls, for the bar, px.
pub(super) const BAR: f32 = 14.0;

/// Text of the page.
pub(super) fn body<'a, M: 'a>(words: impl Into<String>) -> Element<'a, M> {
    text(together(&words.into())).size(BODY).into()
}

/// Text in soft ink.
pub(super) fn soft<'a, M: 'a>(words: impl Into<String>, ink: Ink) -> Element<'a, M> {
    spoken(words, Role::SoftInk, ink)
}

/// Text in the ink of a role.
pub(super) fn spoken<'a, M: 'a>(words: impl Into<String>, role: Role, ink: Ink) -> Element<'a, M> {
    text(together(&words.into())).size(BODY).color(ink.of(role)).into()
}

/// A sentence whose lines break neither before a percent sign nor between a day and its month.
pub(super) fn together(words: &str) -> String {
    let mut kept = String::with_capacity(words.len() + 4);
    for (at, word) in words.split(' ').enumerate() {
        let belongs = kept.ends_with(|last: char| last.is_ascii_digit())
            && (word.starts_with('%') || MONTHS.iter().any(|month| word.starts_with(month)));
        if at > 0 {
            kept.push(if belongs { '\u{a0}' } else { ' ' });
        }
        kept.push_str(word);
    }
    kept
}

/// How the names of the months begin.
const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// A name in a column of a width: whole where it fits, else on two smaller lines; what is longer
/// still ends in an ellipsis, and stands whole on the athlete's page.
pub(super) fn name<'a, M: 'a>(words: &str, width: f32) -> Element<'a, M> {
    let strong = |words: String, size: f32| text(words).size(size).font(STRONG);
    if wide(words, BODY) <= width {
        return strong(words.to_owned(), BODY).into();
    }
    let small = SMALL + 0.5;
    let (mut kept, mut fitting) = (words, words.to_owned());
    while lines_of(&fitting, width, small) > 2.0
        && let Some((last, _)) = kept.char_indices().next_back()
    {
        kept = kept.get(..last).unwrap_or_default();
        fitting = format!("{}\u{2026}", kept.trim_end());
    }
    strong(fitting, small).wrapping(Wrapping::WordOrGlyph).width(width).into()
}

/// How wide words are, px; a little wider than measured: letters may be bolder than the measured ones.
pub(super) fn wide(words: &str, size: f32) -> f32 {
    px(text_width(words, f64::from(size))) * 1.06
}

/// How many lines words take in a width, broken between words; long words are broken too.
#[expect(clippy::cast_precision_loss, reason = "words on the screen take a handful of lines")]
pub(super) fn lines_of(words: &str, width: f32, size: f32) -> f32 {
    let space = wide(" ", size);
    let (mut lines, mut used) = (1_usize, 0.0_f32);
    for word in together(words).split(' ').filter(|word| !word.is_empty()) {
        let long = wide(word, size);
        if used > 0.0 && used + space + long > width {
            lines += 1;
            used = 0.0;
        }
        used += if used > 0.0 { space + long } else { long };
        while used > width {
            lines += 1;
            used -= width;
        }
    }
    lines as f32
}

/// A list or page that scrolls, with a thin bar; its content leaves [`BAR`] free at the right.
pub(super) fn scroll<'a, M: 'a>(content: impl Into<Element<'a, M>>, ink: Ink) -> Scrollable<'a, M> {
    let bar = scrollable::Scrollbar::new().width(6).scroller_width(6);
    scrollable(content)
        .direction(scrollable::Direction::Vertical(bar))
        .style(move |theme, status| ink.scroll(theme, status))
}

/// A column's head, or a second line.
pub(super) fn small<'a, M: 'a>(words: impl Into<String>, ink: Ink) -> Element<'a, M> {
    text(together(&words.into())).size(SMALL).color(ink.of(Role::SoftInk)).into()
}

/// What is wrong, in the mark.
pub(super) fn wrong<'a, M: 'a>(words: impl Into<String>, ink: Ink) -> Element<'a, M> {
    text(together(&words.into())).size(SMALL + 0.5).color(ink.of(Role::Mark)).into()
}

/// A name.
pub(super) fn strong<'a, M: 'a>(words: impl Into<String>) -> Element<'a, M> {
    text(together(&words.into())).size(BODY).font(STRONG).into()
}

/// A line between sections.
pub(super) fn rule<'a, M: 'a>(ink: Ink) -> Element<'a, M> {
    rules::horizontal(1).style(move |_| ink.rule(Role::Rule)).into()
}

/// A line between rows.
pub(super) fn faint_rule<'a, M: 'a>(ink: Ink) -> Element<'a, M> {
    rules::horizontal(1).style(move |_| ink.rule(Role::FaintRule)).into()
}

/// The one framed act of a page, with its key.
pub(super) fn main_act<'a, M: Clone + 'a>(words: &str, key: &str, ink: Ink) -> Press<'a, M> {
    press(words_and_key(words, key, true, ink), Frame::Main, ink)
}

/// Any other act, with its key.
pub(super) fn act<'a, M: Clone + 'a>(words: &str, key: &str, ink: Ink) -> Press<'a, M> {
    press(words_and_key(words, key, false, ink), Frame::Faint, ink)
}

/// Words in the mark with a line under them: the one act of a row.
pub(super) fn link<'a, M: Clone + 'a>(words: &str, ink: Ink) -> Press<'a, M> {
    underlined(words, BODY, (Role::Mark, Role::Mark), ink)
}

/// Soft words with a faint line under them: an act that needs nobody's eye.
pub(super) fn quiet<'a, M: Clone + 'a>(words: &str, ink: Ink) -> Press<'a, M> {
    underlined(words, BODY, (Role::SoftInk, Role::Ghost), ink)
}

/// The same in small words.
pub(super) fn quiet_small<'a, M: Clone + 'a>(words: &str, ink: Ink) -> Press<'a, M> {
    underlined(words, SMALL, (Role::SoftInk, Role::Ghost), ink)
}

fn underlined<'a, M: Clone + 'a>(
    words: &str,
    size: f32,
    (role, under): (Role, Role),
    ink: Ink,
) -> Press<'a, M> {
    let line = container(text("")).height(1).width(Fill).style(move |_| container::Style {
        background: Some(ink.of(under).into()),
        ..container::Style::default()
    });
    let words = text(words.to_owned()).size(size).color(ink.of(role));
    press(column![words, line].width(Length::Shrink), Frame::None, ink)
}

fn words_and_key<'a, M: 'a>(words: &str, key: &str, strong: bool, ink: Ink) -> Row<'a, M> {
    let words = text(words.to_owned()).size(BODY);
    let words = if strong { words.font(STRONG) } else { words };
    let mut row = Row::new().push(words).spacing(9).align_y(Alignment::Center);
    if !key.is_empty() {
        row = row.push(text(key.to_owned()).size(SMALL).color(ink.of(Role::SoftInk)));
    }
    row
}

/// A field with what is wrong beneath it; it keeps what was typed.
pub(super) fn field<'a, M: Clone + 'a>(
    id: &'static str,
    placeholder: &str,
    value: &str,
    problem: Option<&str>,
    ink: Ink,
    on_input: impl Fn(String) -> M + 'a,
) -> Column<'a, M> {
    under(input(id, placeholder, value, problem.is_some(), ink).on_input(on_input), problem, ink)
}

/// Above and below a page's content, px.
pub(super) const TOP: f32 = 18.0;

/// A page's margin around its content.
pub(super) fn page<'a, M: 'a>(content: impl Into<Element<'a, M>>) -> Element<'a, M> {
    container(content).padding([TOP, MARGIN]).width(Fill).height(Fill).into()
}

/// Nothing here yet: what this is, what to do first, one button.
pub(super) fn empty<'a, M: Clone + 'a>(
    heading: &str,
    explanation: &str,
    first: Option<Press<'a, M>>,
    ink: Ink,
) -> Element<'a, M> {
    let mut column = column![strong(heading), soft(explanation, ink)].spacing(10).max_width(560);
    if let Some(first) = first {
        column = column.push(first);
    }
    container(column).padding([40, 0]).into()
}

/// A field like [`field`] that says something on Enter too.
pub(super) fn field_with_enter<'a, M: Clone + 'a>(
    id: &'static str,
    placeholder: &str,
    value: &str,
    problem: Option<&str>,
    ink: Ink,
    on_input: impl Fn(String) -> M + 'a,
    on_enter: M,
) -> Column<'a, M> {
    let input = input(id, placeholder, value, problem.is_some(), ink);
    under(input.on_input(on_input).on_submit(on_enter), problem, ink)
}

fn input<'a, M: Clone + 'a>(
    id: &'static str,
    placeholder: &str,
    value: &str,
    is_wrong: bool,
    ink: Ink,
) -> text_input::TextInput<'a, M> {
    text_input(placeholder, value)
        .id(id)
        .size(BODY)
        .padding([7, 9])
        .style(move |_, status| ink.field(status, is_wrong))
}

fn under<'a, M: Clone + 'a>(
    input: text_input::TextInput<'a, M>,
    problem: Option<&str>,
    ink: Ink,
) -> Column<'a, M> {
    let column = column![input].spacing(3);
    match problem {
        Some(problem) => column.push(wrong(problem, ink)),
        None => column,
    }
}

/// Several lines to write in.
pub(super) fn editor<'a, M: Clone + 'a>(
    id: &'static str,
    lines: &'a text_editor::Content,
    height: f32,
    ink: Ink,
    on_action: impl Fn(text_editor::Action) -> M + 'a,
) -> Element<'a, M> {
    text_editor(lines)
        .id(id)
        .size(BODY)
        .height(height)
        .padding([7, 9])
        .on_action(on_action)
        .style(move |_, status| text_editor::Style {
            background: Background::Color(ink.of(Role::Field)),
            border: Border {
                color: ink.of(match status {
                    text_editor::Status::Focused { .. } => Role::Ink,
                    _ => Role::Rule,
                }),
                width: 1.0,
                radius: 2.0.into(),
            },
            placeholder: ink.of(Role::SoftInk),
            value: ink.of(Role::Ink),
            selection: ink.of(Role::Marked),
        })
        .into()
}

/// One of several answers; the chosen one carries the frame.
pub(super) fn choice<'a, M: Clone + 'a>(
    words: &str,
    chosen: bool,
    message: M,
    ink: Ink,
) -> Press<'a, M> {
    let press = if chosen { main_act(words, "", ink) } else { act(words, "", ink) };
    press.on_press(message)
}

/// Turns a folded list to all of it, or to its newest again.
pub(super) fn show_all<'a, M: Clone + 'a>(
    all: bool,
    count: usize,
    what: &str,
    ink: Ink,
) -> Press<'a, M> {
    let words =
        if all { "Show the newest only".to_owned() } else { format!("Show all {count} {what}") };
    press(text(words).size(SMALL + 1.0).color(ink.of(Role::SoftInk)), Frame::Faint, ink)
}

/// A section's head: words over a rule.
pub(super) fn section<'a, M: 'a>(words: impl Into<String>, ink: Ink) -> Element<'a, M> {
    column![small(words, ink), rule(ink)].spacing(6).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_sign_and_a_day_with_its_month() {
        let said = together("LT2 at 93 % until 11 December, 2 of 3 Mayflies");
        assert_eq!(said, "LT2 at 93\u{a0}% until 11\u{a0}December, 2 of 3\u{a0}Mayflies");
        assert_eq!(together("  5 min "), "  5 min ");
        let either = wide("until 11", 13.0).max(wide("11 December", 13.0));
        assert!((lines_of("until 11 December", either, 13.0) - 2.0).abs() < f32::EPSILON);
    }

    #[test]
    fn words_take_the_lines_they_need() {
        assert!((lines_of("no clear change", 200.0, 13.0) - 1.0).abs() < f32::EPSILON);
        let long = "no heart rate: zones by pace only until the next test";
        assert!(lines_of(long, 200.0, 13.0) > 1.0);
        // one word that never breaks by itself
        assert!(lines_of(&"a".repeat(200), 100.0, 13.0) > 8.0);
    }
}
