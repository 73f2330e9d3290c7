//! Retest windows and bookings for any calendar program; nothing of whoever must not run.

use pacewright_core::retest::State;
use pacewright_sheets::calendar::{CalendarEntry, Planned, calendar};
use pacewright_sheets::strip::Window;

use crate::Now;
use crate::book::Page;

/// The calendar file: bookings to come, and the windows of tests that nothing else holds.
pub(super) fn file(pages: &[&Page], now: &Now) -> String {
    let entries: Vec<CalendarEntry> = pages.iter().flat_map(|page| entries(page, now)).collect();
    calendar(&entries, now.instant)
}

fn entries(page: &Page, now: &Now) -> Vec<CalendarEntry> {
    let entry = |kind, planned| CalendarEntry {
        athlete: page.athlete.id,
        name: page.athlete.name.clone(),
        kind,
        planned,
    };
    let booked =
        page.bookings_to_come(now).map(|booking| entry(booking.kind, Planned::Booking(booking.on)));
    let windows = page
        .due(now)
        .into_iter()
        .filter(|test| page.may_test(test.kind, now))
        .filter(|test| matches!(test.freshness.state, State::Fresh | State::Due))
        .filter_map(|test| {
            let (opens, closes) = (test.freshness.opens_on?, test.freshness.closes_on?);
            Some(entry(test.kind, Planned::Window(Window { opens, closes })))
        });
    booked.chain(windows).collect()
}
