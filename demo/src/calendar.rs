//! Which test when: days before today, and nothing else.

use chrono::{Days, NaiveDate};
use pacewright_core::test::TestKind;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// How many days before today.
pub(crate) type DaysAgo = u32;

/// The day so many days before; the earliest date there is where the calendar ends.
pub(crate) fn days_before(on: NaiveDate, days: DaysAgo) -> NaiveDate {
    on.checked_sub_days(Days::new(u64::from(days))).unwrap_or(NaiveDate::MIN)
}

/// The day so many days after; the last date there is where the calendar ends.
pub(crate) fn days_after(on: NaiveDate, days: u32) -> NaiveDate {
    on.checked_add_days(Days::new(u64::from(days))).unwrap_or(NaiveDate::MAX)
}

/// One kind of test, repeated back from its newest.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Series {
    pub(crate) kind: TestKind,
    pub(crate) newest: DaysAgo,
    pub(crate) count: u32,
    pub(crate) every_days: u32,
}

/// Days from one test to the next at the least: 48 hours between starts at any time of morning.
const APART_DAYS: u32 = 3;

/// The tests of all series, oldest first: at least 48 hours apart, none inside a span away, no
/// 40-minute test before a 20-minute test has given its target.
pub(crate) fn tests(
    series: &[Series],
    away: &[(DaysAgo, DaysAgo)],
    rng: &mut ChaCha8Rng,
) -> Vec<(DaysAgo, TestKind)> {
    let mut newest_first: Vec<(DaysAgo, TestKind)> = Vec::new();
    for one in series {
        for back in 0..one.count {
            // nobody meets to the day, but the newest stays where the story needs it
            let late = if back == 0 { 4 } else { rng.random_range(0..=8) };
            newest_first
                .push(((one.newest + back * one.every_days + late).saturating_sub(4), one.kind));
        }
    }
    newest_first.sort();
    let mut after: Option<DaysAgo> = None;
    for (days_ago, _) in &mut newest_first {
        *days_ago = after.map_or(*days_ago, |later| (*days_ago).max(later + APART_DAYS));
        after = Some(*days_ago);
    }
    newest_first
        .retain(|(days_ago, _)| !away.iter().any(|(from, to)| (to..=from).contains(&days_ago)));
    let mut has_target = false;
    newest_first.reverse();
    newest_first.retain(|(_, kind)| {
        has_target |= *kind == TestKind::TwentyMinutes;
        has_target || *kind != TestKind::FortyMinutes
    });
    newest_first
}
