//! Retest windows and bookings for any calendar program.

use pacewright_core::retest::{Hold, State};
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
    let booked = page
        .bookings
        .iter()
        .filter(|booking| booking.on >= now.today)
        .map(|booking| entry(booking.kind, Planned::Booking(booking.on)));
    let windows = page
        .due(now)
        .into_iter()
        .filter(|test| test.holds.iter().all(|hold| *hold == Hold::Booked))
        .filter(|test| matches!(test.freshness.state, State::Fresh | State::Due))
        .filter_map(|test| {
            let (opens, closes) = (test.freshness.opens_on?, test.freshness.closes_on?);
            Some(entry(test.kind, Planned::Window(Window { opens, closes })))
        });
    booked.chain(windows).collect()
}
