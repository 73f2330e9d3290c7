//! One row: who, three fields, pace, lane, change, verdict and what to do.

use iced::widget::text::Wrapping;
use iced::widget::{Column as Stack, Space, column, container, row, text, text_input};
use iced::{Alignment, Element, Fill, Length};
use pacewright_core::format::{pace, signed_percent};
use pacewright_core::markers::Markers;
use pacewright_core::test::Test;
use pacewright_desk::book::Page;
use pacewright_desk::decide::Choice;
use pacewright_desk::typed::{Entry, Foreseen, Reading};
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::{self, Axis, Look};

use super::rows::{CHANGE, Column, GAP, LAPS, METRES, PACE, RATE, REMOVE, Widths};
use super::{Message, Place};
use crate::window::figure::figure;
use crate::window::ink::{BODY, Ink, SMALL, STRONG};
use crate::window::parts::{faint_rule, lines_of, small, together, wide};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// A row is at least so high, px.
const LEAST: f32 = 54.0;
/// A line of words beside a row, px, and its size.
const LINE: f32 = 17.0;
const WORDS: f32 = SMALL + 0.5;
/// A field, px.
const FIELD: f32 = 31.0;
/// Beside the words of a field, px.
const FIELD_PADDING: f32 = 8.0;
/// For the line under the choice, px.
const UNDERLINE: f32 = 3.0;
/// The lane of a row, px.
const LANE: f32 = 19.0;
/// Between the lines of a row on two, px, and above and below them.
const SPACING: f32 = 4.0;
const ABOVE: f32 = 5.0;
/// Above and below a row whose words take many lines, px.
const ABOVE_TALL: f32 = 8.0;
/// From the top of a field to the top of words whose first line stands beside what is typed in it, px.
const BESIDE_FIELDS: f32 = 6.0;
/// A line of a name, px.
const NAME_LINE: f32 = 19.5;

/// One row with all that is drawn of it.
#[derive(Clone, Copy)]
pub(super) struct Line<'a> {
    pub(super) place: usize,
    pub(super) entry: &'a Entry,
    pub(super) reading: &'a Reading,
    pub(super) page: &'a Page,
    pub(super) widths: Widths,
    pub(super) axis: Option<Axis>,
}

/// A line of words with how it is to be said.
struct Said<'a> {
    words: &'a str,
    tone: Tone,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Tone {
    Verdict,
    Note,
    Wrong,
}

impl<'a> Line<'a> {
    /// How high the row is, px: as high as its words, so that none is cut.
    pub(super) fn height(&self) -> f32 {
        let (words, name) = (self.words_height(), self.name_height());
        if self.widths.stacked {
            let second =
                if self.verdict().is_some() { self.second_height() + SPACING } else { 0.0 };
            let third = if words > 0.0 { words + SPACING } else { 0.0 };
            return ((name + BESIDE_FIELDS).max(FIELD) + second + third + 2.0 * ABOVE + 1.0).ceil();
        }
        if self.is_tall() {
            return ((words.max(name) + BESIDE_FIELDS).max(FIELD) + 2.0 * ABOVE_TALL).ceil();
        }
        LEAST
    }

    /// Whether words or name take more lines than fit beside the fields: then all of the row begins
    /// at its top, so that a warning stands beside the name it is about.
    fn is_tall(&self) -> bool {
        self.words_height().max(self.name_height()) + 2.0 * ABOVE_TALL > LEAST
    }

    fn name_height(&self) -> f32 {
        lines_of(&self.page.athlete.name, self.widths.name, BODY) * NAME_LINE
    }

    /// Beside or under the row, but for what stands in the second line of one on two.
    fn words_height(&self) -> f32 {
        let said: f32 = self
            .beside()
            .iter()
            .map(|said| lines_of(said.words, self.widths.words, WORDS) * LINE)
            .sum();
        let choice = if self.widths.stacked { 0.0 } else { self.choice_height() };
        let reason = if self.doubted().is_some() { FIELD + 4.0 } else { 0.0 };
        said + choice + reason
    }

    /// The second line of a row on two: lane, change, verdict with the choice.
    fn second_height(&self) -> f32 {
        let answer = self.choice_height();
        let verdict =
            lines_of(self.verdict().unwrap_or_default(), self.widths.verdict, WORDS) * LINE;
        let verdict = if self.is_in_one() { verdict.max(answer) } else { verdict + answer };
        verdict.max(LANE)
    }

    /// The choice with the line under it, px.
    fn choice_height(&self) -> f32 {
        self.choice_words()
            .map_or(0.0, |words| lines_of(words, self.widths.verdict, WORDS) * LINE + UNDERLINE)
    }

    /// Whether the verdict and the choice have room beside each other.
    fn is_in_one(&self) -> bool {
        let (Some(verdict), Some(choice)) = (self.verdict(), self.choice_words()) else {
            return false;
        };
        wide(verdict, WORDS) + GAP + wide(choice, WORDS) <= self.widths.verdict
    }

    /// What stands beside the row, in order.
    fn said(&self) -> Vec<Said<'a>> {
        let note = |words: &'a String| Said { words, tone: Tone::Note };
        let wrong = |words: &'a String| Said { words, tone: Tone::Wrong };
        match self.reading {
            Reading::Empty => Vec::new(),
            Reading::Wrong { distance, heart_rate } => {
                distance.iter().chain(heart_rate).map(wrong).collect()
            }
            Reading::Result(foreseen) => {
                let verdict = Said { words: &foreseen.verdict, tone: Tone::Verdict };
                let doubts = foreseen.held_back.iter().chain(&foreseen.doubts).map(wrong);
                std::iter::once(verdict)
                    .chain(doubts)
                    .chain(foreseen.notes.iter().map(note))
                    .collect()
            }
            Reading::Counted(counted) => {
                let verdict = Said { words: &counted.verdict, tone: Tone::Verdict };
                vec![verdict]
            }
        }
    }

    /// What stands beside the row, but for the verdict where it stands in the second line.
    fn beside(&self) -> Vec<Said<'a>> {
        let mut said = self.said();
        said.retain(|said| !(self.widths.stacked && said.tone == Tone::Verdict));
        said
    }

    /// The verdict, where there is one.
    fn verdict(&self) -> Option<&'a str> {
        match self.reading {
            Reading::Result(foreseen) => Some(&foreseen.verdict),
            Reading::Counted(counted) => Some(&counted.verdict),
            _ => None,
        }
    }

    /// The choice in words, where there is one, or what was chosen.
    fn choice_words(&self) -> Option<&'static str> {
        match self.reading {
            Reading::Result(foreseen) => Some(match (foreseen.choice, &foreseen.held_back) {
                (Choice::KeepZones, _) => "keep the zones, renew the date",
                (_, None) => "new zones",
                (_, Some(_)) => "it counts, the zones stay",
            }),
            Reading::Counted(counted) => {
                Some(match (counted.new_zones, counted.test.decision.sets_zones()) {
                    (true, _) => "confirmed: new zones",
                    (false, true) => "confirmed; the zones stay as they are",
                    (false, false) => "confirmed: zones kept, date renewed",
                })
            }
            _ => None,
        }
    }

    /// What is foreseen, where something speaks against it.
    fn doubted(&self) -> Option<&'a Foreseen> {
        match self.reading {
            Reading::Result(foreseen) if !foreseen.doubts.is_empty() => Some(foreseen),
            _ => None,
        }
    }

    fn test(&self) -> Option<&'a Test> {
        match self.reading {
            Reading::Result(foreseen) => Some(&foreseen.test),
            Reading::Counted(counted) => Some(&counted.test),
            _ => None,
        }
    }

    fn change_percent(&self) -> Option<f64> {
        match self.reading {
            Reading::Result(foreseen) => foreseen.change.map(|c| c.change_percent),
            Reading::Counted(counted) => counted.change.map(|c| c.change_percent),
            _ => None,
        }
    }

    /// The markers to draw, and those to draw faint under them.
    fn markers(&self) -> Option<(&'a Markers, Option<&'a Markers>)> {
        match self.reading {
            Reading::Result(foreseen) => match (&foreseen.after, &foreseen.before) {
                (Some(after), before) => Some((after, before.as_ref())),
                (None, Some(before)) => Some((before, None)),
                (None, None) => None,
            },
            Reading::Counted(counted) => Some((counted.markers.as_ref()?, counted.before.as_ref())),
            _ => None,
        }
    }
}

/// The row, so high.
pub(super) fn one_row<'a>(line: Line<'a>, height: f32, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let name = text(line.page.athlete.name.as_str())
        .size(BODY)
        .font(STRONG)
        .wrapping(Wrapping::WordOrGlyph)
        .width(line.widths.name);
    let speed = line.test().and_then(|test| test.performance.mean_speed());
    let pace = speed.map_or_else(String::new, |speed| pace(speed, shared.units()));
    let change = line.change_percent().map_or_else(String::new, signed_percent);
    let fields = row![
        field(line, Column::Laps, LAPS, ink),
        field(line, Column::Metres, METRES, ink),
        field(line, Column::HeartRate, RATE, ink),
        text(pace).size(BODY).width(PACE),
    ]
    .spacing(GAP)
    .height(FIELD)
    .align_y(Alignment::Center);
    let drawn = container(lane(line, shared)).width(line.widths.lane);
    let change = text(change).size(BODY).width(CHANGE);
    let remove = remove(line, ink);
    let words = words(line, ink);
    let content: Element<'_, Message> = if line.widths.stacked {
        let first = row![beside_fields(name), fields, remove].spacing(GAP);
        let second = line
            .verdict()
            .map(|verdict| row![drawn, change, answered(verdict, line, ink)].spacing(GAP));
        let third = (line.words_height() > 0.0).then_some(words);
        column![first].push(second).push(third).spacing(SPACING).padding([ABOVE, 0.0]).into()
    } else if line.is_tall() {
        let (drawn, change) = (drawn.center_y(FIELD), container(change).center_y(FIELD));
        row![beside_fields(name), fields, drawn, change, beside_fields(words), remove]
            .spacing(GAP)
            .padding(iced::padding::top(ABOVE_TALL))
            .height(Fill)
            .into()
    } else {
        row![name, fields, drawn, change, words, remove]
            .spacing(GAP)
            .align_y(Alignment::Center)
            .into()
    };
    let content = container(content).height(height - 1.0).width(Fill).align_y(Alignment::Center);
    column![content, faint_rule(ink)].height(Length::Fixed(height)).into()
}

/// Words that begin beside what is typed in the fields of the row.
fn beside_fields<'a>(words: impl Into<Element<'a, Message>>) -> Element<'a, Message> {
    container(words).padding(iced::padding::top(BESIDE_FIELDS)).into()
}

/// A field; what counts already stands as words.
fn field(line: Line<'_>, column: Column, width: f32, ink: Ink) -> Element<'_, Message> {
    let Entry { laps, metres, heart_rate, .. } = line.entry;
    let (value, wrong) = match (column, line.reading) {
        (Column::HeartRate, Reading::Wrong { heart_rate: about, .. }) => {
            (heart_rate, about.is_some())
        }
        (Column::HeartRate, _) => (heart_rate, false),
        (Column::Laps, Reading::Wrong { distance, .. }) => {
            (laps, distance.is_some() && metres.trim().is_empty())
        }
        (Column::Laps, _) => (laps, false),
        (_, Reading::Wrong { distance, .. }) => {
            (metres, distance.is_some() && !metres.trim().is_empty())
        }
        (_, _) => (metres, false),
    };
    if matches!(line.reading, Reading::Counted(_)) {
        let words = text(value.as_str()).size(BODY).width(width - 9.0).align_x(Alignment::End);
        return container(words).width(width).into();
    }
    let place = Place { row: line.place, column };
    text_input("", value)
        .id(place.id())
        .size(BODY)
        .padding([5.0, FIELD_PADDING])
        .width(width)
        .align_x(Alignment::End)
        .on_input(move |text| Message::Typed(place, text))
        .on_submit(Message::Submitted(place))
        .style(move |_, status| ink.field(status, wrong))
        .into()
}

fn lane<'a>(line: Line<'a>, shared: &'a Shared) -> Element<'a, Message> {
    match (line.markers(), line.axis) {
        (Some((markers, before)), Some(axis)) => {
            let look = Look::row(f64::from(line.widths.lane), shared.units());
            figure(lane::lane(markers, before, axis, &look), shared.ink())
        }
        _ => Space::new().width(line.widths.lane).into(),
    }
}

/// The verdict with the choice, in one line where both have room.
fn answered<'a>(verdict: &'a str, line: Line<'a>, ink: Ink) -> Element<'a, Message> {
    let words = text(together(verdict)).size(WORDS).line_height(iced::Pixels(LINE)).font(STRONG);
    let choice = line.choice_words().map(|words| choice(words, line, ink));
    if line.is_in_one() {
        return row![words].push(choice).spacing(GAP).width(line.widths.verdict).into();
    }
    Stack::new().push(words).push(choice).width(line.widths.verdict).into()
}

/// The verdict, what is wrong or to know, the choice, and why it counts all the same; of a row on
/// two lines what is wrong or to know and why alone.
fn words(line: Line<'_>, ink: Ink) -> Element<'_, Message> {
    let mut stack = Stack::new().width(line.widths.words);
    let choice_words = line.choice_words().filter(|_| !line.widths.stacked);
    let mut choice = choice_words.map(|words| choice(words, line, ink));
    for said in line.beside() {
        let words = text(together(said.words)).size(WORDS).line_height(iced::Pixels(LINE));
        let words = words.wrapping(Wrapping::WordOrGlyph).width(line.widths.words);
        // the choice stands right under the verdict
        stack = match said.tone {
            Tone::Verdict => stack.push(words.font(STRONG)).push(choice.take()),
            Tone::Note => stack.push(choice.take()).push(words.color(ink.of(Role::SoftInk))),
            Tone::Wrong => stack.push(choice.take()).push(words.color(ink.of(Role::Mark))),
        };
    }
    stack = stack.push(choice);
    let place = Place { row: line.place, column: Column::Reason };
    stack
        .push(line.doubted().map(|_| {
            let reason = text_input("why it counts all the same", &line.entry.reason)
                .id(place.id())
                .size(WORDS)
                .padding([5, 8])
                .width(line.widths.words.min(320.0))
                .on_input(move |text| Message::Typed(place, text))
                .on_submit(Message::Submitted(place))
                .style(move |_, status| ink.field(status, line.entry.reason.trim().is_empty()));
            container(reason).padding([3, 0])
        }))
        .into()
}

/// The choice: words that can be pressed to turn it, where there is another.
fn choice<'a>(words: &'static str, line: Line<'a>, ink: Ink) -> Element<'a, Message> {
    let words = text(words).size(WORDS).line_height(iced::Pixels(LINE));
    let before = match line.reading {
        Reading::Result(foreseen) => foreseen.before.as_ref(),
        _ => None,
    };
    if before.is_none() {
        return container(words.color(ink.of(Role::SoftInk))).height(line.choice_height()).into();
    }
    let under = container(Space::new()).height(1).width(Fill).style(move |_| container::Style {
        background: Some(ink.of(Role::Ghost).into()),
        ..container::Style::default()
    });
    let pressable = press(column![words, under].width(Length::Shrink), Frame::None, ink)
        .padding(0)
        .by_mouse_only()
        .on_press(Message::Turned(line.place));
    container(pressable).height(line.choice_height()).into()
}

fn remove(line: Line<'_>, ink: Ink) -> Element<'_, Message> {
    let cross = press(small("\u{d7}", ink), Frame::None, ink)
        .padding([6, 8])
        .by_mouse_only()
        .on_press(Message::Removed(line.place));
    container(cross).width(REMOVE).center_y(FIELD).into()
}
