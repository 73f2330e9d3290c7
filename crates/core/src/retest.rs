//! When each test is to be repeated, and what holds it.

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::schedule::{Away, AwayKind, Booking};
use crate::test::TestKind;

/// The span after a test in which to repeat it, in whole weeks (4 to 8 by default; common practice,
/// a coach can change it).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct RetestWindow {
    /// Opens this many weeks after the test.
    pub opens_weeks: u32,
    /// Closes this many weeks after it.
    pub closes_weeks: u32,
}

impl Default for RetestWindow {
    fn default() -> Self {
        Self { opens_weeks: 4, closes_weeks: 8 }
    }
}

/// How fresh a test is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum State {
    /// There is none.
    #[serde(rename = "never tested")]
    NeverTested,
    /// Its window has not opened.
    #[serde(rename = "fresh")]
    Fresh,
    /// Its window is open.
    #[serde(rename = "due")]
    Due,
    /// Its window has closed.
    #[serde(rename = "overdue")]
    Overdue,
}

/// What holds a test, whatever its state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Hold {
    /// It is planned.
    #[serde(rename = "booked")]
    Booked,
    /// The athlete is away.
    #[serde(rename = "away")]
    Away,
    /// No all-out effort until screening says so.
    #[serde(rename = "not cleared")]
    NotCleared,
    /// Back after injury or illness, too soon.
    #[serde(rename = "returning")]
    Returning,
}

/// A test's state with the dates behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Freshness {
    /// How fresh.
    pub state: State,
    /// The last accepted test.
    pub last_on: Option<NaiveDate>,
    /// First day of the window.
    pub opens_on: Option<NaiveDate>,
    /// Last day of the window.
    pub closes_on: Option<NaiveDate>,
}

/// How fresh a test is today, from the day of the last accepted one.
pub fn freshness(last_on: Option<NaiveDate>, window: RetestWindow, today: NaiveDate) -> Freshness {
    let after =
        |weeks: u32| last_on.and_then(|on| on.checked_add_days(Days::new(u64::from(weeks) * 7)));
    let (opens_on, closes_on) = (after(window.opens_weeks), after(window.closes_weeks));
    let state = match (opens_on, closes_on) {
        (Some(opens), _) if today < opens => State::Fresh,
        (_, Some(closes)) if today <= closes => State::Due,
        (Some(_), Some(_)) => State::Overdue,
        _ => State::NeverTested,
    };
    Freshness { state, last_on, opens_on, closes_on }
}

/// After injury or illness no all-out test for at least this many days (judgement) ...
const RETURN_AT_LEAST_DAYS: i64 = 14;
/// ... or half the absence, at most this many (judgement).
const RETURN_AT_MOST_DAYS: i64 = 42;

/// The first day an all-out test may be run after a span away: after injury or illness the longer
/// of 14 days and half the absence, at most 42 (judgement). `None` while the span is open, or while
/// running without pain has not been noted.
pub fn may_test_from(away: &Away) -> Option<NaiveDate> {
    let heals = matches!(away.kind, AwayKind::Injury | AwayKind::Illness);
    rested_from(away).filter(|_| !heals || away.well_on.is_some())
}

/// The same as far as it is known: while running without pain has not been noted it may be later.
fn rested_from(away: &Away) -> Option<NaiveDate> {
    let back = away.to?.succ_opt()?;
    match away.kind {
        AwayKind::Holiday | AwayKind::Camp => Some(back),
        AwayKind::Injury | AwayKind::Illness => {
            let absent = back.signed_duration_since(away.from).num_days();
            let wait = (absent / 2).clamp(RETURN_AT_LEAST_DAYS, RETURN_AT_MOST_DAYS);
            let rested = back.checked_add_signed(chrono::TimeDelta::days(wait))?;
            Some(away.well_on.map_or(rested, |well| rested.max(well)))
        }
    }
}

/// The earliest day to come on which the spans away that have begun may leave room for a test, by the
/// one that holds longest; `None` where none holds, or holds with no end in sight.
pub fn not_before(aways: &[Away], today: NaiveDate) -> Option<NaiveDate> {
    let begun = aways.iter().filter(|away| away.from <= today);
    begun.filter_map(rested_from).max().filter(|from| *from > today)
}

/// Everything that holds a test of an athlete today.
///
/// `cleared` is what [`crate::screening`] says; an all-out test and the 40-minute test are held
/// alike, since both are hard and long.
pub fn holds(
    kind: TestKind,
    bookings: &[Booking],
    aways: &[Away],
    cleared: bool,
    today: NaiveDate,
) -> Vec<Hold> {
    let mut holds = Vec::new();
    if bookings.iter().any(|b| b.kind == kind && b.on >= today) {
        holds.push(Hold::Booked);
    }
    let begun = || aways.iter().filter(|a| a.from <= today);
    if begun().any(|a| a.to.is_none_or(|to| to >= today)) {
        holds.push(Hold::Away);
    }
    if !cleared {
        holds.push(Hold::NotCleared);
    }
    let over = |a: &&Away| a.to.is_some_and(|to| to < today);
    if begun().filter(over).any(|a| may_test_from(a).is_none_or(|from| from > today)) {
        holds.push(Hold::Returning);
    }
    holds
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{AthleteId, AwayId};

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).unwrap()
    }

    #[test]
    fn the_window_opens_after_four_weeks_and_closes_after_eight() {
        let state = |today| freshness(Some(day(1, 1)), RetestWindow::default(), today).state;
        assert_eq!(state(day(1, 28)), State::Fresh);
        assert_eq!(state(day(1, 29)), State::Due);
        assert_eq!(state(day(2, 26)), State::Due);
        assert_eq!(state(day(2, 27)), State::Overdue);
        assert_eq!(freshness(None, RetestWindow::default(), day(1, 1)).state, State::NeverTested);
    }

    #[test]
    fn a_return_waits_fourteen_days_or_half_the_absence_and_for_running_without_pain() {
        let mut away = Away {
            id: AwayId(1),
            athlete: AthleteId(1),
            kind: AwayKind::Injury,
            from: day(3, 1),
            to: Some(day(4, 29)),
            well_on: None,
        };
        // 60 days away, back on 30 April: 30 days more
        assert_eq!(may_test_from(&away), None);
        away.well_on = Some(day(5, 2));
        assert_eq!(may_test_from(&away), Some(day(5, 30)));
        (away.to, away.well_on) = (Some(day(3, 5)), Some(day(3, 6)));
        assert_eq!(may_test_from(&away), Some(day(3, 20)));
        let held = holds(TestKind::TwentyMinutes, &[], &[away], true, day(3, 10));
        assert_eq!(held, [Hold::Returning]);
    }

    #[test]
    fn of_several_spans_the_one_that_holds_longest_says_the_earliest_day() {
        let away = |id, kind, from, to, well_on| Away {
            id: AwayId(id),
            athlete: AthleteId(1),
            kind,
            from,
            to: Some(to),
            well_on,
        };
        // back on 30 April after 60 days: 30 more; ill for three days since: 14 from 13 May
        let injury = away(1, AwayKind::Injury, day(3, 1), day(4, 29), None);
        let illness = away(2, AwayKind::Illness, day(5, 10), day(5, 12), Some(day(5, 14)));
        let both = [injury, illness];
        assert_eq!(not_before(&both, day(5, 20)), Some(day(5, 30)));
        assert_eq!(not_before(&both[1..], day(5, 20)), Some(day(5, 27)));
        assert_eq!(not_before(&both, day(5, 30)), None, "that day is here");
        assert_eq!(not_before(&both, day(2, 1)), None, "none has begun");
    }
}
