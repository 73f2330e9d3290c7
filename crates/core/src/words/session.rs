//! What a session and its split sheet say.

use super::{capital, tests};
use crate::format::{TimeBand, day_short, run_distance};
use crate::session::{Apart, Group, Member, Section, Session, Steer};
use crate::zones::Zone;
use crate::zones::shown::ShownZone;

/// "6 × 1,000 m on laps of 400 m", "10 km".
pub fn session(session: &Session) -> String {
    let far = run_distance(session.distance());
    let run = match session.repetitions() {
        1 => far,
        count => format!("{count} \u{d7} {far}"),
    };
    match session.lap() {
        Some(lap) => format!("{run} on laps of {}", run_distance(lap)),
        None => run,
    }
}

/// "Zone 4, Long intervals"; with the scheme where it is not the five zones.
pub fn section(section: &Section) -> String {
    let scheme = section.scheme.as_ref().map_or_else(String::new, |name| format!(" ({name})"));
    format!("Zone {}, {}{scheme}", section.number, section.name)
}

/// What leads in a section, and what its times are.
pub fn steer(section: &Section) -> &'static str {
    match (section.steer, &section.scheme, section.number) {
        (Steer::Target, ..) => {
            "Pace leads; heart rate lags. Everyone's own times stand beside the name."
        }
        (Steer::AtLeast, None, _) => {
            "VO2max pace is the slowest; faster by feel, hills by feel. No heart rate leads here."
        }
        (Steer::AtLeast, ..) => "The pace is the slowest; faster by feel.",
        (Steer::Limit, None, 2) => {
            "Heart rate leads, as a ceiling. Times are limits, never targets: LT1 is a limit, not a target."
        }
        (Steer::Limit, None, _) => {
            "Heart rate leads, as a ceiling. Times are limits, never targets; walk breaks fine."
        }
        (Steer::Limit, ..) => "Times are limits, never targets.",
    }
}

/// What a group runs: "1:32 a lap, 3:50 each", "1:23 each, or faster", "no faster than 1:58 a lap,
/// 4:55 each"; a single repetition is "3:50 in all".
pub fn group_time(group: &Group, steer: Steer, session: &Session) -> String {
    let all = if session.repetitions() == 1 { "in all" } else { "each" };
    let time = match group.lap {
        Some(lap) => format!("{lap} a lap, {} {all}", group.repetition),
        None => format!("{} {all}", group.repetition),
    };
    match steer {
        Steer::Target => time,
        Steer::AtLeast => format!("{time}, or faster"),
        Steer::Limit => format!("no faster than {time}"),
    }
}

/// "Group 2"; who has it alone is said to run alone.
pub fn group(place: usize, group: &Group) -> String {
    let alone = if group.members.len() == 1 { ", runs alone" } else { "" };
    format!("Group {place}{alone}")
}

/// The heading over everyone's own times of a lap or a repetition.
pub fn own_head(what: &str, steer: Steer) -> String {
    match steer {
        Steer::Target => format!("Own {what}"),
        Steer::AtLeast => format!("Own {what}, or faster"),
        Steer::Limit => format!("Own {what}, no faster than"),
    }
}

/// Somebody's own times: a band, or the one end that counts.
pub fn own_time(band: Option<TimeBand>, steer: Steer) -> String {
    let end = |band: TimeBand| match steer {
        Steer::Target => Some(band.to_string()),
        Steer::AtLeast => band.slowest.map(|time| time.to_string()),
        Steer::Limit => band.fastest.map(|time| time.to_string()),
    };
    band.and_then(end).unwrap_or_else(|| "\u{2013}".to_owned())
}

/// When to pass the laps of a repetition: "400 m 1:27 · 800 m 2:54".
pub fn passing(group: &Group) -> String {
    let one = |(far, time): &(_, _)| format!("{} {time}", run_distance(*far));
    group.passing.iter().map(one).collect::<Vec<String>>().join(" \u{b7} ")
}

/// What else stands beside a name: what leads, and whether the zone rests on an estimate.
pub fn beside(member: &Member) -> String {
    let estimated = member.estimated.then(|| "estimated".to_owned());
    let parts: Vec<String> = member.ceiling.clone().into_iter().chain(estimated).collect();
    parts.join(" \u{b7} ")
}

/// The ceiling of a zone that heart rate leads: "up to 157 bpm"; without heart rates the card's words.
pub fn ceiling(zone: &Zone, shown: &ShownZone) -> String {
    match zone.heart_rate {
        Some(band) => match band.to {
            Some(to) => format!("up to {to} bpm"),
            None => format!("{} bpm", shown.heart_rate),
        },
        None => shown.leads.to_owned(),
    }
}

/// Why somebody has no times, for a heading over names that share it; nothing private.
pub fn apart(why: &Apart) -> String {
    match why {
        Apart::Held => "Not today, ask the coach".to_owned(),
        Apart::NotAsked => "Ask first".to_owned(),
        other => capital(&apart_in_short(other)),
    }
}

/// The same in a word or two, for a list of names: who must not run, who is asked first, who runs by feel.
pub fn apart_in_a_word(why: &Apart) -> &'static str {
    match why {
        Apart::Held => "not today",
        Apart::NotAsked => "ask about health",
        Apart::NoZones => "no zones",
        Apart::ByFeel { .. } | Apart::OutOfDate { .. } => "by feel",
        Apart::NoSuchZone { .. } | Apart::NoPace | Apart::TooNarrow(_) => "no times",
    }
}

/// The same beside a name.
pub fn apart_in_short(why: &Apart) -> String {
    match why {
        Apart::Held => "not today, ask the coach".to_owned(),
        Apart::NotAsked => "ask about health first".to_owned(),
        Apart::NoZones => "no zones yet".to_owned(),
        Apart::ByFeel { since } => {
            format!("back since {}: by feel until a new test", day_short(*since))
        }
        Apart::OutOfDate { tests: due } => match tests(due) {
            Some(due) => format!("zones out of date: repeat the {due}"),
            None => "zones out of date".to_owned(),
        },
        Apart::NoSuchZone { number, scheme: Some(scheme) } => {
            format!("no zone {number} in their zones ({scheme})")
        }
        Apart::NoSuchZone { number, scheme: None } => format!("no zone {number} in the five zones"),
        Apart::NoPace => "no pace in this zone yet".to_owned(),
        Apart::TooNarrow(distance) => {
            format!("zone too narrow for a time over {}", run_distance(*distance))
        }
    }
}
