//! Planning the retests of a squad: propose, compare with what is booked, accept whole or in part.

mod accept;
pub(crate) mod rules;

use std::sync::Arc;

use chrono::NaiveDate;
use pacewright_core::format::day;
use pacewright_core::ids::{AthleteId, BookingId, SquadId};
use pacewright_core::plan::{self, Candidate, Meeting, Question, RaceDay, Stands, Wanted};
use pacewright_core::programme::USUAL_CAPACITY;
use pacewright_core::race::{Priority, Race};
use pacewright_core::remark::Use;
use pacewright_core::retest::State;
use pacewright_core::review::DueTest;
use pacewright_core::schedule::Booking;
use pacewright_core::test::TestKind;
use pacewright_core::words;

use crate::book::{Book, Page};
use crate::{Now, Problem};

pub use accept::{Accepted, accept, cancel, move_booking};
pub use rules::{broken_by, room_from, why_not, why_not_here};

/// What the planner is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The dates, in order.
    pub meetings: Vec<Meeting>,
    /// For whom.
    pub athletes: Vec<AthleteId>,
    /// Also tests that are fresh today, from the day their window opens.
    pub fresh: bool,
    /// Plan anew what is booked on these dates already.
    pub anew: bool,
}

impl Asked {
    /// Dates with one capacity, for everybody.
    pub fn of(book: &Book, dates: &[NaiveDate], capacity: u32) -> Self {
        let meeting = |on: &NaiveDate| Meeting { on: *on, at: None, capacity };
        Self {
            meetings: dates.iter().map(meeting).collect(),
            athletes: book.pages.iter().map(|page| page.athlete.id).collect(),
            fresh: false,
            anew: false,
        }
    }
}

/// What the planner proposes, beside what is booked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// By date, then by name.
    pub lines: Vec<Line>,
    /// What could not be placed.
    pub unplaced: Vec<Without>,
    /// Bookings on the dates that the plan does without; they stay until they are cancelled.
    pub without: Vec<Booking>,
    /// The sum of the weights placed.
    pub weight: u32,
    /// No plan has more than this above it.
    pub may_miss: u32,
}

/// A proposed booking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Who.
    pub athlete: AthleteId,
    /// Their name.
    pub name: String,
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub on: NaiveDate,
    /// What it is beside the library.
    pub beside: Compared,
    /// What the planner was asked: how many can be tested that day, and among whom they are counted.
    pub asked: Arc<Asked>,
}

/// A proposal beside what is booked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compared {
    /// Nothing of the kind is booked.
    New,
    /// Booked so already.
    Same(BookingId),
    /// Booked on another day.
    Moved {
        /// The booking.
        booking: BookingId,
        /// Its day.
        from: NaiveDate,
    },
}

/// A test without a date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Without {
    /// Who.
    pub athlete: AthleteId,
    /// Their name.
    pub name: String,
    /// Which test.
    pub kind: TestKind,
    /// Why, and what would free one, in one sentence.
    pub reason: String,
}

/// A proposal for some dates. Nothing is booked by it. `goes_on` hears how far it is, from 0 to 1, and
/// says whether to go on.
///
/// # Errors
/// Dates that are past, out of order, twice, or without room; stopped.
pub fn propose(
    book: &Book,
    asked: &Asked,
    now: &Now,
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Proposal, Problem> {
    let no_plan = |why: &plan::NoPlan| Problem::new(words::no_plan(why));
    plan::check(&asked.meetings, now.today).map_err(|why| no_plan(&why))?;
    let pages: Vec<&Page> =
        book.pages.iter().filter(|page| asked.athletes.contains(&page.athlete.id)).collect();
    let known: Vec<rules::Known> =
        pages.iter().map(|page| rules::Known::of(page, now.today)).collect();
    let movable = |booking: &Booking| {
        asked.anew && asked.meetings.iter().any(|meeting| meeting.on == booking.on)
    };
    let candidates = pages.iter().zip(&known).map(|(page, known)| {
        let stays: Vec<Stands> = page
            .open_bookings(now.today)
            .filter(|booking| !movable(booking))
            .map(|booking| rules::stands(page, booking.kind, booking.on))
            .collect();
        Candidate {
            wanted: wanted(page, &stays, asked, now),
            person: known.person(page),
            fixed: stays,
            has_zones: page.current(now.today).is_some(),
        }
    });
    let question = Question {
        meetings: asked.meetings.clone(),
        candidates: candidates.collect(),
        today: now.today,
    };
    let found = plan::propose(&question, goes_on).map_err(|why| no_plan(&why))?;
    Ok(compared(&found, &pages, &movable, (asked, now)))
}

/// The clock of this machine against the newest act of the library: a clock that was set back would
/// plan for days that are over.
///
/// # Errors
/// The library was changed later than now.
pub fn clock_is_right(book: &Book, now: &Now) -> Result<(), Problem> {
    // a day of grace: two machines, two time zones
    let ahead = book.last_act.filter(|last| (*last - now.instant).num_hours() > 24);
    match ahead {
        Some(last) => Err(Problem::new(format!(
            "Today is {} by this machine's clock, but the library was last changed on {}: set the clock right, then plan.",
            day(now.today),
            day((now.day_of)(last))
        ))),
        None => Ok(()),
    }
}

/// The tests to place for an athlete: part of the season on one of the dates, not planned already, and
/// not run already by a test that only waits for a decision.
fn wanted(page: &Page, stays: &[Stands], asked: &Asked, now: &Now) -> Vec<Wanted> {
    in_question(page, stays, asked, now)
        .filter(|test| run_and_undecided(page, test.kind).is_none())
        .map(|test| Wanted { kind: test.kind, freshness: test.freshness, asked: asked.fresh })
        .collect()
}

fn in_question<'a>(
    page: &'a Page,
    stays: &'a [Stands],
    asked: &'a Asked,
    now: &Now,
) -> impl Iterator<Item = DueTest> + 'a {
    let in_season =
        |kind| asked.meetings.iter().any(|meeting| page.planning.in_season(kind, meeting.on));
    page.due(now)
        .into_iter()
        .filter(move |test| in_season(test.kind))
        .filter(|test| !stays.iter().any(|stands| stands.kind == test.kind))
}

/// The newest test of a kind that waits for a decision and may count: whoever ran it is not sent into
/// the next before somebody has looked at it.
fn run_and_undecided(page: &Page, kind: TestKind) -> Option<NaiveDate> {
    let last = page.last_on(kind);
    let waits = page.waiting().into_iter().filter(|waiting| {
        waiting.kind == kind && waiting.good_for != Use::Unusable && Some(waiting.on) > last
    });
    waits.map(|waiting| waiting.on).max()
}

/// The tests of a page that wait for a decision before they can be planned, where they would be wanted
/// now.
fn undecided(page: &Page, asked: &Asked, now: &Now) -> Vec<Without> {
    let late = |test: &DueTest| asked.fresh || test.freshness.state != State::Fresh;
    in_question(page, &[], asked, now)
        .filter(late)
        .filter_map(|test| {
            let on = run_and_undecided(page, test.kind)?;
            Some(Without {
                athlete: page.athlete.id,
                name: page.athlete.name.clone(),
                kind: test.kind,
                reason: words::run_and_undecided(on),
            })
        })
        .collect()
}

fn compared(
    found: &plan::Plan,
    pages: &[&Page],
    movable: &dyn Fn(&Booking) -> bool,
    (asked, now): (&Asked, &Now),
) -> Proposal {
    let page = |athlete| pages.iter().find(|page| page.athlete.id == athlete);
    let booked = |athlete, kind| {
        let mut open = page(athlete)?.open_bookings(now.today).filter(|b| movable(b));
        open.find(|booking| booking.kind == kind)
    };
    let name = |athlete| page(athlete).map(|p| p.athlete.name.clone()).unwrap_or_default();
    let asked = Arc::new(asked.clone());
    let lines = found.placed.iter().map(|placed| Line {
        asked: Arc::clone(&asked),
        athlete: placed.athlete,
        name: name(placed.athlete),
        kind: placed.kind,
        on: placed.on,
        beside: match booked(placed.athlete, placed.kind) {
            None => Compared::New,
            Some(booking) if booking.on == placed.on => Compared::Same(booking.id),
            Some(booking) => Compared::Moved { booking: booking.id, from: booking.on },
        },
    });
    let placed = |booking: &Booking| {
        found.placed.iter().any(|p| p.athlete == booking.athlete && p.kind == booking.kind)
    };
    let all = pages.iter().flat_map(|page| page.open_bookings(now.today));
    let undecided = pages.iter().flat_map(|page| undecided(page, &asked, now));
    Proposal {
        without: all.filter(|b| movable(b) && !placed(b)).cloned().collect(),
        lines: lines.collect(),
        unplaced: found
            .unplaced
            .iter()
            .map(|one| Without {
                athlete: one.athlete,
                name: name(one.athlete),
                kind: one.kind,
                reason: words::why_not(&one.why),
            })
            .chain(undecided)
            .collect(),
        weight: found.weight,
        may_miss: found.may_miss,
    }
}

/// The next meetings of a squad, or of everybody, over some weeks: from the programmes, the first that
/// names a day gives its time and capacity.
pub fn next_meetings(
    book: &Book,
    squad: Option<SquadId>,
    from: NaiveDate,
    weeks: u32,
) -> Vec<Meeting> {
    let of_squad = book.programmes.iter().filter(|p| squad.is_none_or(|squad| p.squad == squad));
    let mut all: Vec<Meeting> = of_squad.flat_map(|p| p.meetings(from, weeks)).collect();
    all.sort_by_key(|meeting| meeting.on);
    all.dedup_by_key(|meeting| meeting.on);
    all
}

/// How many a squad can test a day; the usual number where it has not said.
pub fn capacity(book: &Book, squad: Option<SquadId>) -> u32 {
    let found = book.programmes.iter().find(|p| squad.is_none_or(|squad| p.squad == squad));
    found.map_or(USUAL_CAPACITY, |programme| programme.capacity)
}

/// The races of a page as the calendar's rules see them.
pub(crate) fn race_days(page: &Page) -> Vec<RaceDay> {
    let day = |race: &Race| RaceDay {
        on: race.on,
        distance: race.distance,
        goal: race.priority == Priority::Goal,
    };
    page.beside.races.iter().map(day).collect()
}
