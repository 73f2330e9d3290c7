//! The pace groups as a list: each with its time, and everyone's own times beside the name. Only what
//! is seen is built.

use iced::widget::{Column, Space, column, container, responsive, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::format::pace_unit;
use pacewright_core::session::{Apart, Group, Member, Section, Session, Splits, Steer};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_sheets::fonts::text_width;

use super::{GROUPS, Message, SplitScreen};
use crate::window::figure::px;
use crate::window::ink::{BODY, Ink, SMALL, STRONG};
use crate::window::parts::{BAR, faint_rule, lines_of, name, rule, scroll, small, soft};
use crate::window::shared::Shared;

/// Height of a name's line, px.
const NAME: f32 = 38.0;
/// Height of a line of text, px.
const TEXT: f32 = 20.0;
/// Width of the columns of times, px.
const LAP: f32 = 104.0;
const REPETITION: f32 = 124.0;
/// Px built above and below what is seen.
const SPARE: f32 = 300.0;

/// One line of the list.
enum Line<'a> {
    Section(&'a Section),
    Group(usize, &'a Section, &'a Group),
    Untimed,
    Heads(&'a Section),
    Member(&'a Section, &'a Member),
    Apart,
    NotIn(&'a str, &'a Apart),
    /// Nobody has times; whether because nobody has zones.
    Nobody {
        without_zones: bool,
    },
}

/// What every line is drawn with.
#[derive(Clone, Copy)]
struct Look<'a> {
    session: &'a Session,
    units: UnitSystem,
    width: f32,
    ink: Ink,
}

pub(super) fn view<'a>(
    screen: &'a SplitScreen,
    splits: &'a Splits,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let (units, ink) = (shared.units(), shared.ink());
    responsive(move |size| {
        let look = Look { session: &splits.session, units, width: size.width - BAR, ink };
        let seen = (screen.scrolled - SPARE)..(screen.scrolled + screen.seen + SPARE);
        let (mut list, mut above, mut below, mut top) = (Column::new(), 0.0, 0.0, 0.0);
        let mut built = Vec::new();
        for line in lines(splits) {
            let height = line.height(&look);
            if top + height < seen.start {
                above += height;
            } else if top > seen.end {
                below += height;
            } else {
                built.push(container(line.view(&look)).height(height).into());
            }
            top += height;
        }
        list = list.push(Space::new().height(above)).extend(built);
        list = list.push(Space::new().height(below));
        scroll(list.width(Fill).padding(iced::padding::right(BAR)), ink)
            .id(GROUPS)
            .height(Fill)
            .on_scroll(|view| Message::Scrolled(view.absolute_offset().y, view.bounds().height))
            .into()
    })
    .into()
}

fn lines(splits: &Splits) -> Vec<Line<'_>> {
    let mut lines = Vec::new();
    for section in &splits.sections {
        lines.push(Line::Section(section));
        for (place, group) in section.groups.iter().enumerate() {
            lines.push(Line::Group(place + 1, section, group));
            lines.push(Line::Heads(section));
            lines.extend(group.members.iter().map(|one| Line::Member(section, one)));
        }
        if !section.untimed.is_empty() {
            lines.extend([Line::Untimed, Line::Heads(section)]);
            lines.extend(section.untimed.iter().map(|one| Line::Member(section, one)));
        }
    }
    if splits.athletes() == 0 {
        let lacks = |(_, why): &(String, Apart)| matches!(why, Apart::NoZones);
        let without_zones = !splits.apart.is_empty() && splits.apart.iter().all(lacks);
        lines.push(Line::Nobody { without_zones });
    }
    if !splits.apart.is_empty() {
        lines.push(Line::Apart);
        lines.extend(splits.apart.iter().map(|(name, why)| Line::NotIn(name, why)));
    }
    lines
}

/// The heads of columns, px: a line of small text, or two where they say what the times are.
fn heads_height(section: &Section) -> f32 {
    if section.steer == Steer::Target { 26.0 } else { 42.0 }
}

/// The height of words that may take several lines, px.
fn height_of(words: &str, size: f32, width: f32) -> f32 {
    lines_of(words, width.max(60.0), size) * TEXT
}

impl<'a> Line<'a> {
    fn height(&self, look: &Look<'_>) -> f32 {
        match self {
            Self::Section(section) => 34.0 + height_of(words::steer(section), BODY, look.width),
            Self::Group(place, section, group) => {
                let time = words::group_time(group, section.steer, look.session);
                let beside = look.beside(*place, group);
                let passing = words::passing(group);
                let passing =
                    if passing.is_empty() { 0.0 } else { height_of(&passing, SMALL, look.width) };
                20.0 + height_of(&time, BODY + 2.0, look.width)
                    + height_of(&beside, SMALL, look.width)
                    + passing
            }
            Self::Heads(section) => heads_height(section),
            Self::Member(_, member) if look.fits_beside(member) => NAME,
            Self::Member(_, member) => NAME + height_of(&words::beside(member), SMALL, look.width),
            Self::Untimed | Self::Apart => 44.0,
            Self::NotIn(_, why) => {
                let room = look.width - look.name_width() - 10.0;
                height_of(&words::apart_in_short(why), SMALL, room).max(NAME - 6.0) + 6.0
            }
            Self::Nobody { .. } => 12.0 + 2.0 * TEXT,
        }
    }

    fn view(self, look: &Look<'a>) -> Element<'a, Message> {
        let ink = look.ink;
        match self {
            Self::Section(section) => column![
                text(words::section(section)).size(BODY).font(STRONG),
                soft(words::steer(section), ink),
            ]
            .spacing(4)
            .into(),
            Self::Group(place, section, group) => look.group(place, section, group),
            Self::Heads(section) => look.heads(section),
            Self::Member(section, member) => look.member(section, member),
            Self::Untimed => small_at_foot("Without a time", ink),
            Self::Apart => small_at_foot("Not in a group", ink),
            Self::NotIn(name, why) => look.not_in(name, why),
            Self::Nobody { without_zones } => soft(
                if without_zones {
                    "Nobody here has zones yet: each needs a test first. Choose others."
                } else {
                    "Nobody has times in this zone. Choose others, or another zone."
                },
                ink,
            ),
        }
    }
}

fn small_at_foot(words: &str, ink: Ink) -> Element<'_, Message> {
    column![Space::new().height(Fill), small(words, ink), Space::new().height(4), rule(ink)].into()
}

impl<'a> Look<'a> {
    fn has_lap(&self) -> bool {
        self.session.lap().is_some()
    }

    /// The width of the times beside a name.
    fn times_width(&self) -> f32 {
        REPETITION + if self.has_lap() { LAP } else { 0.0 }
    }

    fn name_width(&self) -> f32 {
        (self.width * 0.42).min(self.width - self.times_width() - 10.0).max(90.0)
    }

    /// The group's number and its pace.
    fn beside(&self, place: usize, group: &Group) -> String {
        let unit = pace_unit(self.units);
        format!("{}    {} per {unit}", words::group(place, group), group.pace)
    }

    fn group(&self, place: usize, section: &'a Section, group: &'a Group) -> Element<'a, Message> {
        let time = words::group_time(group, section.steer, self.session);
        let passing = words::passing(group);
        column![
            Space::new().height(14),
            small(self.beside(place, group), self.ink),
            text(time).size(BODY + 2.0).font(STRONG),
        ]
        .push((!passing.is_empty()).then(|| text(passing).size(SMALL)))
        .into()
    }

    fn heads(&self, section: &'a Section) -> Element<'a, Message> {
        let ink = self.ink;
        let head = |what| small(words::own_head(what, section.steer), ink);
        let heads = row![container(small("Athlete", ink)).width(self.name_width())]
            .push(self.has_lap().then(|| container(head("lap")).width(LAP)))
            .push(container(head("repetition")).width(REPETITION))
            .height(heads_height(section) - 4.0)
            .align_y(Alignment::End);
        column![heads, Space::new().height(3), rule(ink)].into()
    }

    fn member(&self, section: &'a Section, member: &'a Member) -> Element<'a, Message> {
        let own = |band, width| {
            container(text(words::own_time(band, section.steer)).size(BODY)).width(width)
        };
        let who = name(&member.name, self.name_width() - 8.0);
        let mut line = row![container(who).width(self.name_width())]
            .push(self.has_lap().then(|| own(member.lap, LAP)))
            .push(own(member.repetition, REPETITION))
            .height(NAME - 1.0)
            .align_y(Alignment::Center);
        let beside = small(words::beside(member), self.ink);
        let mut lines = column![];
        // what does not fit beside the times stands under the name
        if self.fits_beside(member) {
            line = line.push(beside);
            lines = lines.push(line);
        } else {
            lines = lines.push(line).push(container(beside).height(Fill));
        }
        lines.push(faint_rule(self.ink)).into()
    }

    /// Whether what stands beside a name has room on the line of the times.
    fn fits_beside(&self, member: &Member) -> bool {
        let rest = self.width - self.name_width() - self.times_width();
        px(text_width(&words::beside(member), f64::from(SMALL))) * 1.1 < rest
    }

    fn not_in(&self, who: &'a str, why: &'a Apart) -> Element<'a, Message> {
        let line = row![
            container(name(who, self.name_width() - 8.0)).width(self.name_width()),
            container(small(words::apart_in_short(why), self.ink)).width(Fill),
        ]
        .height(Fill)
        .align_y(Alignment::Center);
        column![line, faint_rule(self.ink)].into()
    }
}
