//! The weekly review: what matters most about each athlete this week, worst first.

use chrono::{Days, NaiveDate};

use crate::athlete::Athlete;
use crate::change::Verdict;
use crate::remark::Use;
use crate::retest::{self, Freshness, Hold, State};
use crate::schedule::{Away, AwayKind, Booking};
use crate::screening::{NotCleared, not_cleared};
use crate::test::TestKind;
use crate::trend::Trend;

mod offered;

pub use offered::{Because, because, offered};

/// New zones are news for this many days (judgement: until the next weekly review).
const NEWS_DAYS: u64 = 7;

/// A loss is spoken of for this many days after the test that showed it (judgement: until its retest
/// window opens).
const LOSS_IS_NEWS_DAYS: u64 = 28;

/// A window that closes within this many days needs a date now (judgement: two weekly reviews).
const CLOSES_SOON_DAYS: u64 = 14;

/// A test with its freshness and what holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueTest {
    /// Which test.
    pub kind: TestKind,
    /// How fresh the last one is.
    pub freshness: Freshness,
    /// What holds the next one.
    pub holds: Vec<Hold>,
    /// Of somebody away or back too soon the earliest day they may run it, as far as it is known.
    pub not_before: Option<NaiveDate>,
    /// Whether it is due before its window opens, because the zones it gives are out of date.
    pub early: bool,
    /// Whether it is part of the squad's season now.
    pub in_season: bool,
}

impl DueTest {
    /// Whether nothing but a booking holds it.
    pub fn may_be_run(&self) -> bool {
        self.holds.iter().all(|hold| *hold == Hold::Booked)
    }

    /// The window as far as it can be run in: without the days a span away takes of it. `None` where
    /// that leaves none. A window that has closed stays as it was.
    pub fn window(&self) -> Option<(NaiveDate, NaiveDate)> {
        let (opens, closes) = self.freshness.opens_on.zip(self.freshness.closes_on)?;
        if self.freshness.state == State::Overdue {
            return Some((opens, closes));
        }
        let opens = self.not_before.map_or(opens, |from| from.max(opens));
        (opens <= closes).then_some((opens, closes))
    }
}

/// A test that waits for the coach's decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waiting {
    /// Which test.
    pub kind: TestKind,
    /// The day it was run.
    pub on: NaiveDate,
    /// What it is good for.
    pub good_for: Use,
}

/// Where an athlete stands today.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// Who.
    pub athlete: &'a Athlete,
    /// The three tests.
    pub due: &'a [DueTest],
    /// Tests to confirm.
    pub waiting: &'a [Waiting],
    /// The trends of the qualities that have one.
    pub trends: &'a [Trend],
    /// Since when the current zones are in force.
    pub zones_from: Option<NaiveDate>,
    /// Other zones that what is known now gives, as [`offered()`] tells of them.
    pub offered: Option<&'a Concern>,
    /// Planned tests.
    pub bookings: &'a [Booking],
    /// Spans away.
    pub aways: &'a [Away],
}

/// The one thing to say about an athlete this week, in order of what matters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Concern {
    /// Tests wait for a decision.
    ToConfirm {
        /// Worst first: whether it must be looked at before it counts.
        looks_first: Doubt,
        /// The day it was run.
        on: NaiveDate,
        /// Which test.
        kind: TestKind,
        /// How many wait.
        count: usize,
    },
    /// Nobody has asked about health, or consent is missing, or the clearance lapsed.
    Ask(Asking),
    /// Back from injury or illness.
    Returning {
        /// First day of an all-out test, once running without pain is noted.
        not_before: Option<NaiveDate>,
        /// Last day away.
        back_after: NaiveDate,
        /// Why they were away.
        kind: AwayKind,
    },
    /// What is known now gives other zones than those in force: whoever trains by the card trains by
    /// old numbers.
    Offered {
        /// Whether these would be the athlete's first.
        first: bool,
        /// When the newest thing behind them was run or measured; `None` where nothing was, but they
        /// follow from medication, a factor, a scheme, LT2's share or the like.
        since: Option<NaiveDate>,
        /// What that is: "5 km race of 3 May".
        by: Option<String>,
    },
    /// A window has closed.
    Overdue {
        /// The last day of the window.
        since: NaiveDate,
        /// Which test.
        kind: TestKind,
        /// Whether all three are overdue.
        all: bool,
    },
    /// A quality has fallen by more than its doubt.
    Losing {
        /// Whether it is likely or clear; clear first.
        sureness: Sureness,
        /// The test that tracks it.
        kind: TestKind,
        /// Since when.
        since: NaiveDate,
    },
    /// Zones changed this week.
    NewZones {
        /// In force from.
        from: NaiveDate,
    },
    /// A test stands in the calendar this week.
    BookedSoon {
        /// When.
        on: NaiveDate,
        /// Which test.
        kind: TestKind,
    },
    /// A window closes soon.
    Due {
        /// The last day of the window.
        closes: NaiveDate,
        /// Which test.
        kind: TestKind,
    },
    /// No test of a kind yet.
    NeverTested {
        /// Which.
        kind: TestKind,
    },
    /// A window is open and stays so for a while: nothing to do yet.
    WindowOpen {
        /// The last day of the window.
        closes: NaiveDate,
        /// Which test.
        kind: TestKind,
    },
    /// On hold; nothing to do but wait.
    OnHold,
    /// Away now.
    Away {
        /// Until when, where known.
        until: Option<NaiveDate>,
    },
    /// All is well.
    Nothing,
}

/// How sure a verdict is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sureness {
    /// Nineteen in twenty such are right.
    Clear,
    /// Three in four and more.
    Likely,
}

/// Whether a waiting test can simply be confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Doubt {
    /// It must be looked at first.
    LookFirst,
    /// Nothing speaks against it.
    None,
}

/// What to ask before an athlete may run all-out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Asking {
    /// Health, for the first time.
    Health,
    /// Health again: the clearance lapsed.
    Again,
    /// What the medication is for, and clearance.
    Medication,
    /// A guardian's consent.
    Consent,
}

/// What matters most about an athlete this week.
pub fn concern(standing: &Standing<'_>, today: NaiveDate) -> Concern {
    let mut concerns: Vec<Concern> = [
        to_confirm(standing),
        screening(standing.athlete, today),
        returning(standing, today),
        offered_first(standing, today),
        overdue(standing),
        losing(standing, today),
        // a hold stands above a card to hand out: see `card_to_hand_out`
        card_to_hand_out(standing, today).filter(|_| !is_on_hold(standing.athlete, today)),
        booked_soon(standing, today),
        due(standing, today),
        never_tested(standing),
        away(standing, today),
    ]
    .into_iter()
    .flatten()
    .collect();
    concerns.sort();
    concerns.into_iter().next().unwrap_or(Concern::Nothing)
}

/// The test whose window matters most: overdue before due before never tested before fresh, then
/// the window that closes first. `None` only without tests to look at.
pub fn most_urgent(due: &[DueTest]) -> Option<&DueTest> {
    let rank = |state: State| match state {
        State::Overdue => 0,
        State::Due => 1,
        State::NeverTested => 2,
        State::Fresh => 3,
    };
    due.iter().min_by_key(|t| (rank(t.freshness.state), t.freshness.closes_on, t.kind.minutes()))
}

fn to_confirm(standing: &Standing<'_>) -> Option<Concern> {
    let doubt = |w: &Waiting| {
        if w.good_for == Use::Usable { Doubt::None } else { Doubt::LookFirst }
    };
    let worst = standing.waiting.iter().min_by_key(|w| (doubt(w), std::cmp::Reverse(w.on)))?;
    Some(Concern::ToConfirm {
        looks_first: doubt(worst),
        on: worst.on,
        kind: worst.kind,
        count: standing.waiting.len(),
    })
}

/// What keeps an athlete from running all-out on a day, as far as it is about health and consent.
pub fn screening(athlete: &Athlete, today: NaiveDate) -> Option<Concern> {
    Some(match not_cleared(athlete, today)? {
        NotCleared::Hold => Concern::OnHold,
        NotCleared::NotAsked => Concern::Ask(Asking::Health),
        NotCleared::Lapsed => Concern::Ask(Asking::Again),
        NotCleared::NoConsent => Concern::Ask(Asking::Consent),
        NotCleared::AskAboutMedication => Concern::Ask(Asking::Medication),
    })
}

/// Ill or injured, zones rest too: none are offered until the hold has ended.
fn is_on_hold(athlete: &Athlete, today: NaiveDate) -> bool {
    matches!(not_cleared(athlete, today), Some(NotCleared::Hold))
}

fn returning(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let over = |a: &&Away| a.to.is_some_and(|to| to < today);
    standing
        .aways
        .iter()
        .filter(over)
        .filter(|a| retest::may_test_from(a).is_none_or(|from| from > today))
        .filter_map(|a| {
            let not_before = retest::may_test_from(a);
            Some(Concern::Returning { not_before, back_after: a.to?, kind: a.kind })
        })
        // of several, the one that holds longest
        .max_by_key(|c| match c {
            Concern::Returning { not_before, back_after, .. } => {
                (not_before.unwrap_or(NaiveDate::MAX), *back_after)
            }
            _ => (NaiveDate::MIN, NaiveDate::MIN),
        })
}

/// Zones that are offered, unless a hold lets them rest. Where nothing was run that gives them, only the
/// coach's own rules or the like, a test that is late or booked comes first: it gives zones of its own,
/// and the late ones would be out of date at once (judgement).
fn offered_first(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let tested_soon = || overdue(standing).or_else(|| booked_soon(standing, today)).is_some();
    standing
        .offered
        .filter(|_| !is_on_hold(standing.athlete, today))
        .filter(|offered| {
            !matches!(offered, Concern::Offered { since: None, .. }) || !tested_soon()
        })
        .cloned()
}

/// Tests that nothing holds.
fn free<'a>(standing: &'a Standing<'_>) -> impl Iterator<Item = &'a DueTest> {
    standing.due.iter().filter(|t| t.holds.is_empty() && t.in_season)
}

fn overdue(standing: &Standing<'_>) -> Option<Concern> {
    let late: Vec<&DueTest> =
        free(standing).filter(|t| t.freshness.state == State::Overdue).collect();
    let first = late.iter().min_by_key(|t| t.freshness.closes_on)?;
    Some(Concern::Overdue {
        since: first.freshness.closes_on?,
        kind: first.kind,
        all: late.len() == TestKind::ALL.len(),
    })
}

/// A loss is news as long as the test that showed it is.
fn losing(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let news = |to: NaiveDate| to.checked_add_days(Days::new(LOSS_IS_NEWS_DAYS)) >= Some(today);
    standing
        .trends
        .iter()
        .filter_map(|trend| Some((trend.kind, trend.change.filter(|change| news(change.to))?)))
        .filter_map(|(kind, change)| {
            let sureness = match change.verdict {
                Verdict::ClearLoss => Sureness::Clear,
                Verdict::LikelyLoss => Sureness::Likely,
                _ => return None,
            };
            Some(Concern::Losing { sureness, kind, since: change.from })
        })
        .min()
}

/// The 20-minute test comes first: it gives the 40-minute test its target.
fn never_tested(standing: &Standing<'_>) -> Option<Concern> {
    let missing =
        |kind| free(standing).any(|t| t.kind == kind && t.freshness.state == State::NeverTested);
    [TestKind::TwentyMinutes, TestKind::FortyMinutes, TestKind::FiveMinutes]
        .into_iter()
        .find(|&kind| missing(kind))
        .map(|kind| Concern::NeverTested { kind })
}

/// That zones changed this week, whatever else is to be said: a card that is to be handed out.
pub fn card_to_hand_out(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let from = standing.zones_from?;
    let news_end = from.checked_add_days(Days::new(NEWS_DAYS))?;
    (from <= today && today < news_end).then_some(Concern::NewZones { from })
}

fn booked_soon(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let week_end = today.checked_add_days(Days::new(NEWS_DAYS))?;
    let soon = standing.bookings.iter().filter(|b| b.on >= today && b.on < week_end);
    soon.min_by_key(|b| b.on).map(|b| Concern::BookedSoon { on: b.on, kind: b.kind })
}

fn due(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let open = free(standing).filter(|t| t.freshness.state == State::Due);
    let first = open.min_by_key(|t| t.freshness.closes_on)?;
    let (closes, kind) = (first.freshness.closes_on?, first.kind);
    let soon = closes <= today.checked_add_days(Days::new(CLOSES_SOON_DAYS))?;
    Some(if soon { Concern::Due { closes, kind } } else { Concern::WindowOpen { closes, kind } })
}

fn away(standing: &Standing<'_>, today: NaiveDate) -> Option<Concern> {
    let now = |a: &&Away| a.from <= today && a.to.is_none_or(|to| to >= today);
    standing.aways.iter().find(now).map(|a| Concern::Away { until: a.to })
}
