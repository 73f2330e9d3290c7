//! The only place that reads the machine's clock.

use chrono::{DateTime, Local, NaiveDate, Utc};
use pacewright_desk::Now;

/// This moment at this machine's place; `on` stands in for today where it is given.
#[expect(
    clippy::disallowed_methods,
    reason = "the one place that may ask the machine for the time"
)]
pub(crate) fn now(on: Option<NaiveDate>) -> Now {
    let instant = Utc::now();
    Now { instant, today: on.unwrap_or_else(|| day_of(instant)), day_of }
}

/// This moment at this machine's place.
pub(crate) fn machine() -> Now {
    now(None)
}

/// An instant as a clock at this machine's place shows it.
pub(crate) fn at_place(instant: DateTime<Utc>) -> DateTime<Local> {
    instant.with_timezone(&Local)
}

/// The day at this machine's place.
fn day_of(instant: DateTime<Utc>) -> NaiveDate {
    instant.with_timezone(&Local).date_naive()
}
