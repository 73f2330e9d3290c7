//! A plan of tests for a squad: who does which test on which of the dates the squad meets.
//!
//! [`rules`] are never broken. Within them the aim is, in this order: the greatest sum of the weights
//! of the tests placed ([`weight`]), in which whoever has no zones yet comes first ([`FIRST_ZONES`]);
//! then the earliest dates, that is the smallest sum of days from the first meeting; then even days, the
//! smallest sum of squares of the numbers a day. Two plans that are equal in all three are told apart by
//! the order of the athletes given, so that the same question has the same answer.
//!
//! # Method
//! Each athlete takes one of the sets of dates the rules leave them; what couples athletes is the room
//! on a date alone. Where the ways to fill the dates are few, a dynamic programme over athletes goes
//! through them all, and the plan is exact. Else prices on the dates (a Lagrangian relaxation: Held M,
//! Karp RM. Math Program 1971;1:6-25, doi 10.1007/BF01584070, from memory) give a start, which chains of
//! exchanges improve, and an upper bound, in which no more first tests count than can have a place:
//! [`Plan::may_miss`] says how much weight may be missed at most.

mod choices;
mod prices;
pub mod rules;
mod search;
mod unplaced;

use chrono::{NaiveDate, NaiveTime};

use crate::ids::AthleteId;
use crate::retest::{Freshness, State};
use crate::test::TestKind;

pub use rules::{Broken, Person, RaceDay, Stands, may_stand, rested};
pub use unplaced::{Unplaced, WhyNot};

/// A date on which the squad meets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Meeting {
    /// When.
    pub on: NaiveDate,
    /// At what time, where it is known.
    pub at: Option<NaiveTime>,
    /// How many can be tested.
    pub capacity: u32,
}

/// A test that could be planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    /// Which test.
    pub kind: TestKind,
    /// How fresh it is on the day of the plan.
    pub freshness: Freshness,
    /// Whether the coach asked for it although it is fresh: then from the day its window opens.
    pub asked: bool,
}

/// An athlete who could be planned for.
#[derive(Debug, Clone)]
pub struct Candidate<'a> {
    /// What the rules need to know.
    pub person: Person<'a>,
    /// Tests already planned for them that stay as they are.
    pub fixed: Vec<Stands>,
    /// Tests to place.
    pub wanted: Vec<Wanted>,
    /// Whether they have zones to train by, whatever these stand on.
    pub has_zones: bool,
}

/// A question to the planner.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    /// The dates, in order, none twice.
    pub meetings: Vec<Meeting>,
    /// Who could be planned for; a fixed test of theirs on a meeting takes a place there.
    pub candidates: Vec<Candidate<'a>>,
    /// The day of the plan.
    pub today: NaiveDate,
}

/// A proposed booking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Placed {
    /// When.
    pub on: NaiveDate,
    /// Who.
    pub athlete: AthleteId,
    /// Which test.
    pub kind: TestKind,
}

/// What the planner proposes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// By date, then in the order of the athletes given.
    pub placed: Vec<Placed>,
    /// What could not be placed, each with the one reason.
    pub unplaced: Vec<Unplaced>,
    /// The sum of the weights placed.
    pub weight: u32,
    /// No plan has more than this weight above it: 0 where it is proven best.
    pub may_miss: u32,
    /// Whether the dates and even days are proven best too.
    pub exact: bool,
}

/// Why a question cannot be answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoPlan {
    /// There is no date.
    #[error("there is no date to plan for: give the dates on which the squad meets")]
    NoDates,
    /// A date is over.
    #[error("{0} is over: give dates from today on")]
    PastDate(NaiveDate),
    /// Dates are not in order.
    #[error("{1} stands after {0} but comes before it: give the dates in order")]
    OutOfOrder(NaiveDate, NaiveDate),
    /// A date stands twice.
    #[error("{0} is given twice: give each date once")]
    Twice(NaiveDate),
    /// Nobody can be tested on a date.
    #[error(
        "nobody can be tested on {0} with a capacity of 0: give at least 1, or leave the date out"
    )]
    NoRoom(NaiveDate),
    /// More dates than anyone plans.
    #[error(
        "these are {0} dates; at most {MOST_DATES} can be planned at a time: leave the later ones for the next plan"
    )]
    TooManyDates(usize),
    /// It was stopped.
    #[error("the plan was stopped; nothing was booked")]
    Stopped,
}

/// The most dates of one plan: half a year of one a week.
pub const MOST_DATES: usize = 26;

/// The weight of a test that is overdue, the most of any but a first 20-minute test (common practice,
/// no source).
const OVERDUE: u32 = 8;

/// The weight of the 20-minute test of an athlete who has no zones: where places are scarce it goes
/// before any number of other tests (judgement: whose zones stand can train by them meanwhile). To find
/// it a place, one such test moves on from each date at most; whoever moves, comes in or is put off at
/// the end has no more than three tests to lose.
#[expect(clippy::cast_possible_truncation, reason = "a few dates")]
pub const FIRST_ZONES: u32 = 1 + 3 * OVERDUE * (MOST_DATES as u32 + 1);

/// What a placed test of a candidate is worth: the 20-minute test that gives them their first zones
/// [`FIRST_ZONES`], else overdue 8, never tested 6, due 3, fresh 1 (common practice, no source).
pub fn weight(candidate: &Candidate<'_>, wanted: &Wanted) -> u32 {
    match wanted.freshness.state {
        State::NeverTested if wanted.kind == TestKind::TwentyMinutes && !candidate.has_zones => {
            FIRST_ZONES
        }
        State::Overdue => OVERDUE,
        State::NeverTested => 6,
        State::Due => 3,
        State::Fresh if wanted.asked => 1,
        State::Fresh => 0,
    }
}

/// The plan for a question. `goes_on` hears how far it is, from 0 to 1, and says whether to go on.
///
/// # Errors
/// Dates that are past, out of order, twice or without room; stopped.
pub fn propose(
    question: &Question<'_>,
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Plan, NoPlan> {
    check(&question.meetings, question.today)?;
    let room = room(question);
    let choices = choices::choices(question, goes_on)?;
    let found = search::search(&choices, &room, &question.meetings, goes_on)?;
    let mut placed: Vec<(usize, usize, Placed)> = Vec::new();
    for (index, (candidate, chosen)) in question.candidates.iter().zip(&found.chosen).enumerate() {
        for (kind, date) in chosen {
            let Some(meeting) = question.meetings.get(*date) else { continue };
            let athlete = candidate.person.athlete.id;
            placed.push((*date, index, Placed { on: meeting.on, athlete, kind: *kind }));
        }
    }
    placed.sort();
    let placed: Vec<Placed> = placed.into_iter().map(|(_, _, placed)| placed).collect();
    let unplaced = unplaced::unplaced(question, &placed);
    Ok(Plan {
        unplaced,
        weight: found.weight,
        may_miss: found.may_miss,
        exact: found.exact,
        placed,
    })
}

/// What is wrong with the dates.
///
/// # Errors
/// None, past, out of order, twice, without room, too many.
pub fn check(meetings: &[Meeting], today: NaiveDate) -> Result<(), NoPlan> {
    if meetings.is_empty() {
        return Err(NoPlan::NoDates);
    }
    if meetings.len() > MOST_DATES {
        return Err(NoPlan::TooManyDates(meetings.len()));
    }
    for meeting in meetings {
        if meeting.on < today {
            return Err(NoPlan::PastDate(meeting.on));
        }
        if meeting.capacity == 0 {
            return Err(NoPlan::NoRoom(meeting.on));
        }
    }
    for (one, next) in meetings.iter().zip(meetings.iter().skip(1)) {
        match one.on.cmp(&next.on) {
            std::cmp::Ordering::Less => {}
            std::cmp::Ordering::Equal => return Err(NoPlan::Twice(one.on)),
            std::cmp::Ordering::Greater => return Err(NoPlan::OutOfOrder(one.on, next.on)),
        }
    }
    Ok(())
}

/// How many more can be tested on each date.
fn room(question: &Question<'_>) -> Vec<u32> {
    let fixed = |on| {
        let all = question.candidates.iter().flat_map(|candidate| &candidate.fixed);
        u32::try_from(all.filter(|stands| stands.on == on).count()).unwrap_or(u32::MAX)
    };
    question.meetings.iter().map(|m| m.capacity.saturating_sub(fixed(m.on))).collect()
}
