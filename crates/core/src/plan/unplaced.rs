//! What could not be placed: the one reason, and what would free it.

use chrono::NaiveDate;

use super::choices::{is_open, stands};
use super::rules::{Broken, Stands, may_stand, may_stand_alone};
use super::{Candidate, Meeting, Placed, Question, Wanted, weight};
use crate::ids::AthleteId;
use crate::retest::not_before;
use crate::test::TestKind;

/// A test without a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unplaced {
    /// Who.
    pub athlete: AthleteId,
    /// Which test.
    pub kind: TestKind,
    /// Why.
    pub why: WhyNot,
}

/// The one reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNot {
    /// A rule forbids every date; this is what it says of the one that comes closest.
    Rule(Broken),
    /// Its window opens after the last date.
    NotOpen {
        /// The first day of the window.
        opens: NaiveDate,
    },
    /// The dates they could take are taken by other tests of theirs.
    OwnTests {
        /// What the rules say of the first of those dates.
        broken: Broken,
    },
    /// The dates they could take are full.
    Full {
        /// The first of them.
        first: NaiveDate,
    },
}

/// Everything wanted that is not placed.
pub(super) fn unplaced(question: &Question<'_>, placed: &[Placed]) -> Vec<Unplaced> {
    let mut all = Vec::new();
    for candidate in &question.candidates {
        let athlete = candidate.person.athlete.id;
        let own = own(candidate, question, placed);
        let left = candidate.wanted.iter().filter(|wanted| weight(candidate, wanted) > 0);
        for wanted in left.filter(|wanted| !own.iter().any(|test| test.kind == wanted.kind)) {
            let why = why(candidate, wanted, &own, question);
            all.push(Unplaced { athlete, kind: wanted.kind, why });
        }
    }
    all
}

/// All tests that stand for a candidate once the plan is accepted.
fn own(candidate: &Candidate<'_>, question: &Question<'_>, placed: &[Placed]) -> Vec<Stands> {
    let athlete = candidate.person.athlete.id;
    let at = |on| question.meetings.iter().find(|m| m.on == on).and_then(|m| m.at);
    let new = placed.iter().filter(|p| p.athlete == athlete).map(|placed| Stands {
        kind: placed.kind,
        on: placed.on,
        at: at(placed.on),
    });
    candidate.fixed.iter().copied().chain(new).collect()
}

fn why(
    candidate: &Candidate<'_>,
    wanted: &Wanted,
    own: &[Stands],
    question: &Question<'_>,
) -> WhyNot {
    let open: Vec<&Meeting> =
        question.meetings.iter().filter(|meeting| is_open(wanted, meeting.on)).collect();
    let Some(last) = open.last() else {
        let opens = wanted.freshness.opens_on.unwrap_or(question.today);
        let held = not_before(candidate.person.aways, question.today);
        let opens = held.map_or(opens, |from| from.max(opens));
        return WhyNot::NotOpen { opens };
    };
    let alone = |meeting: &Meeting| {
        may_stand_alone(&candidate.person, stands(wanted.kind, meeting), question.today)
    };
    let allowed: Vec<&&Meeting> = open.iter().filter(|meeting| alone(meeting).is_ok()).collect();
    if allowed.is_empty() {
        // the last date is the one that spans and spacing free first
        return WhyNot::Rule(alone(last).err().unwrap_or(Broken::Past));
    }
    let beside = |meeting: &Meeting| {
        may_stand(&candidate.person, stands(wanted.kind, meeting), own, question.today)
    };
    let free = allowed.iter().find(|meeting| beside(meeting).is_ok());
    if let Some(first) = free {
        return WhyNot::Full { first: first.on };
    }
    let blocked = allowed.iter().find_map(|meeting| beside(meeting).err());
    match blocked {
        Some(broken @ Broken::NoTarget { .. }) => WhyNot::Rule(broken),
        Some(broken) => WhyNot::OwnTests { broken },
        None => WhyNot::Full { first: last.on },
    }
}
