//! Retest windows and bookings for any calendar program; nothing of whoever must not run.

use chrono::{Days, NaiveDate, NaiveTime};
use pacewright_core::ids::AthleteId;
use pacewright_core::retest::State;
use pacewright_core::schedule::Booking;
use pacewright_sheets::calendar::{CalendarEntry, Planned, calendar};
use pacewright_sheets::strip::Window;

use crate::book::{Book, Page};
use crate::desk::Desk;
use crate::{Now, Problem};

/// A calendar program hears of a cancelled booking for so many days after its date.
const TOLD_DAYS: u64 = 60;

/// The calendar file of some athletes, or of everybody: bookings to come, the windows of tests that
/// nothing else holds, and what was there before and is cancelled.
///
/// # Errors
/// Damage in the library.
pub fn calendar_file(
    desk: &Desk,
    book: &Book,
    athletes: Option<&[AthleteId]>,
    now: &Now,
) -> Result<String, Problem> {
    let cancelled = desk.ask(|library| Ok(library.cancelled_bookings()?))?;
    let wanted = |id: AthleteId| athletes.is_none_or(|athletes| athletes.contains(&id));
    let pages = book.pages.iter().filter(|page| wanted(page.athlete.id));
    let mut entries: Vec<CalendarEntry> = pages.flat_map(|page| entries(page, now)).collect();
    let since = now.today.checked_sub_days(Days::new(TOLD_DAYS)).unwrap_or(now.today);
    let gone = cancelled.iter().filter(|booking| wanted(booking.athlete) && booking.on >= since);
    entries.extend(gone.map(|booking| CalendarEntry {
        athlete: booking.athlete,
        name: None,
        kind: booking.kind,
        planned: Planned::Booking {
            id: booking.id,
            on: booking.on,
            at: book.of_id(booking.athlete).ok().and_then(|page| time(page, booking.on)),
        },
    }));
    Ok(calendar(&entries, now.instant))
}

/// The time an athlete's squad meets on a day.
fn time(page: &Page, on: NaiveDate) -> Option<NaiveTime> {
    page.planning.programme.as_ref().and_then(|programme| programme.time_on(on))
}

fn entries(page: &Page, now: &Now) -> Vec<CalendarEntry> {
    let entry = |kind, planned, stands: bool| CalendarEntry {
        athlete: page.athlete.id,
        name: stands.then(|| page.athlete.name.clone()),
        kind,
        planned,
    };
    let may_run =
        |booking: &Booking| page.may_test(booking.kind, &Now { today: booking.on, ..*now });
    let bookings = page.open_bookings(now.today).map(|booking| {
        let at = time(page, booking.on);
        let planned = Planned::Booking { id: booking.id, on: booking.on, at };
        entry(booking.kind, planned, may_run(booking))
    });
    let windows = page
        .due(now)
        .into_iter()
        .filter(|test| matches!(test.freshness.state, State::Fresh | State::Due))
        .filter_map(|test| {
            let (opens, closes) = (test.freshness.opens_on?, test.freshness.closes_on?);
            let stands = test.in_season && page.may_test(test.kind, now);
            Some(entry(test.kind, Planned::Window(Window { opens, closes }), stands))
        });
    bookings.chain(windows).collect()
}
