//! The split sheet: a session's lap and repetition times in pace groups, for the coach at the track.

use chrono::NaiveDate;
use pacewright_core::format::{day, pace_unit};
use pacewright_core::session::{Group, Member, Section, Splits, Steer};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use serde::Serialize;

use crate::ink::Role;
use crate::paper::Paper;
use crate::typeset::{Document, Name, SheetError, Template, typeset};

const TEMPLATE: Template =
    Template { name: "split sheet", source: include_str!("../../../assets/documents/split.typ") };

/// What the sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct SplitFacts<'a> {
    /// The squad's name.
    pub squad: String,
    /// The day of the session.
    pub on: NaiveDate,
    /// Units of the paces.
    pub units: UnitSystem,
    /// Paper to print on.
    pub paper: Paper,
    /// The session, its groups, and who stands apart.
    pub splits: &'a Splits,
}

/// Lays out the sheet.
///
/// # Errors
/// The layout failed: a fault of the program.
pub fn split(facts: &SplitFacts<'_>) -> Result<Document, SheetError> {
    let splits = facts.splits;
    let written = Written {
        paper: facts.paper,
        squad: facts.squad.clone(),
        on: day(facts.on),
        session: words::session(&splits.session),
        sections: splits.sections.iter().map(|section| section_of(section, facts)).collect(),
        apart: apart(splits),
    };
    typeset(&TEMPLATE, &written)
}

/// Everything as text, as the template places it.
#[derive(Serialize)]
struct Written {
    paper: Paper,
    squad: String,
    on: String,
    session: String,
    sections: Vec<WrittenSection>,
    apart: Vec<WrittenApart>,
}

#[derive(Serialize)]
struct WrittenSection {
    number: u8,
    ground: Role,
    on_ground: Role,
    title: String,
    steer: &'static str,
    /// The heads of the columns; none of laps where none are timed.
    lap_head: Option<String>,
    repetition_head: String,
    pace_head: String,
    groups: Vec<WrittenGroup>,
    untimed: Vec<WrittenMember>,
}

#[derive(Serialize)]
struct WrittenGroup {
    title: String,
    time: String,
    pace: String,
    passing: String,
    members: Vec<WrittenMember>,
}

#[derive(Serialize)]
struct WrittenMember {
    name: Name,
    lap: String,
    repetition: String,
    pace: String,
    beside: String,
}

/// Names that share a reason.
#[derive(Serialize)]
struct WrittenApart {
    why: String,
    names: Vec<String>,
}

fn section_of(section: &Section, facts: &SplitFacts<'_>) -> WrittenSection {
    let (steer, session) = (section.steer, &facts.splits.session);
    let member = |member: &Member| member_of(member, steer);
    let group = |(place, group): (usize, &Group)| WrittenGroup {
        title: words::group(place + 1, group),
        time: words::group_time(group, steer, session),
        pace: format!("{} per {}", group.pace, pace_unit(facts.units)),
        passing: words::passing(group),
        members: group.members.iter().map(member).collect(),
    };
    WrittenSection {
        number: section.number,
        ground: Role::zone(section.number, section.zones),
        on_ground: Role::on_zone(section.number, section.zones),
        title: words::section(section),
        steer: words::steer(section),
        lap_head: session.lap().map(|_| words::own_head("lap", steer)),
        repetition_head: words::own_head("repetition", steer),
        pace_head: format!("Zone, per {}", pace_unit(facts.units)),
        groups: section.groups.iter().enumerate().map(group).collect(),
        untimed: section.untimed.iter().map(member).collect(),
    }
}

fn member_of(member: &Member, steer: Steer) -> WrittenMember {
    WrittenMember {
        name: Name::of(&member.name),
        lap: words::own_time(member.lap, steer),
        repetition: words::own_time(member.repetition, steer),
        pace: member.pace.clone(),
        beside: words::beside(member),
    }
}

/// By reason, those first whose first name comes first.
fn apart(splits: &Splits) -> Vec<WrittenApart> {
    let mut apart: Vec<WrittenApart> = Vec::new();
    for (name, why) in &splits.apart {
        let why = words::apart(why);
        match apart.iter_mut().find(|written| written.why == why) {
            Some(written) => written.names.push(name.clone()),
            None => apart.push(WrittenApart { why, names: vec![name.clone()] }),
        }
    }
    apart
}
