//! The test-day sheet: the next booked day, else everyone who is due today.

use chrono::NaiveDate;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::retest::{Hold, State};
use pacewright_core::screening::{NotCleared, not_cleared};
use pacewright_core::test::TestKind;
use pacewright_core::units::UnitSystem;
use pacewright_sheets::test_day::{self, Runner, TestDayFacts};
use pacewright_sheets::{Document, Paper};

use crate::book::Page;
use crate::{Now, Problem};

/// The sheet for the next booked day; without a booking, for everyone due or overdue today, one
/// test each, the most urgent.
pub(super) fn document(
    pages: &[&Page],
    squad: &str,
    (units, paper): (UnitSystem, Paper),
    now: &Now,
) -> Result<Document, Problem> {
    let next = pages.iter().flat_map(|page| page.bookings_to_come(now)).map(|b| b.on).min();
    let on = next.unwrap_or(now.today);
    let day = Now { today: on, ..*now };
    let running: Vec<(TestKind, &Page)> = pages
        .iter()
        .filter(|page| not_cleared(&page.athlete, on).is_none())
        .filter_map(|page| Some((which(page, next, &day)?, *page)))
        .collect();
    let tests = TestKind::ALL
        .into_iter()
        .map(|kind| {
            let of_kind = running.iter().filter(|(k, _)| *k == kind);
            (kind, of_kind.map(|(_, page)| runner(page, kind, now)).collect::<Vec<Runner>>())
        })
        .filter(|(_, runners)| !runners.is_empty())
        .collect();
    let names = |wanted: fn(NotCleared) -> bool| -> Vec<String> {
        pages
            .iter()
            .filter(|page| not_cleared(&page.athlete, on).is_some_and(wanted))
            .map(|page| page.athlete.name.clone())
            .collect()
    };
    let returning = pages.iter().filter(|page| is_back_too_soon(page, &day));
    let mut must_not_run = names(|why| why == NotCleared::Hold);
    must_not_run.extend(returning.map(|page| page.athlete.name.clone()));
    must_not_run.sort();
    must_not_run.dedup();
    Ok(test_day::test_day(&TestDayFacts {
        squad: squad.to_owned(),
        on,
        units,
        paper,
        tests,
        must_not_run,
        not_asked: names(|why| why != NotCleared::Hold),
        weather: None,
    })?)
}

fn is_back_too_soon(page: &Page, day: &Now) -> bool {
    page.due(day)
        .iter()
        .any(|t| t.holds.contains(&Hold::Returning) || t.holds.contains(&Hold::Away))
}

/// The booked test of the day; where no day is booked, the most urgent that nothing holds. A
/// booking is not printed for who may not run it.
fn which(page: &Page, booked_day: Option<NaiveDate>, day: &Now) -> Option<TestKind> {
    if let Some(on) = booked_day {
        let booked = page.bookings.iter().find(|b| b.on == on)?.kind;
        return (!is_back_too_soon(page, day)).then_some(booked);
    }
    let mut due = page.due(day);
    due.retain(|t| t.holds.is_empty() && matches!(t.freshness.state, State::Due | State::Overdue));
    due.into_iter().min_by_key(|t| t.freshness.closes_on).map(|t| t.kind)
}

fn runner(page: &Page, kind: TestKind, now: &Now) -> Runner {
    let markers = page.current(now.today).map(|c| c.markers);
    let last = page.tests.iter().rev().find(|t| t.kind == kind && t.decision.is_accepted());
    let lt1 = markers.and_then(|m| m.lt1.speed).map(|e| e.value);
    let by_rate = kind == TestKind::FortyMinutes && !page.is_medicated(now.today);
    Runner {
        name: page.athlete.name.clone(),
        target_heart_rate: markers.filter(|_| by_rate).and_then(|m| forty_minute_target(&m)),
        pace_hint: last.and_then(|t| t.performance.mean_speed()).or(if kind.all_out() {
            None
        } else {
            lt1
        }),
        remark: last.is_none().then(|| "first one: practice".to_owned()),
    }
}
