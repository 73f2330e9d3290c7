//! The time, as the caller knows it.

use chrono::{DateTime, NaiveDate, Utc};

/// This moment, and how the coach's place reads its calendar.
#[derive(Debug, Clone, Copy)]
pub struct Now {
    /// The instant.
    pub instant: DateTime<Utc>,
    /// The day at the coach's place.
    pub today: NaiveDate,
    /// The day at the coach's place of any instant.
    pub day_of: fn(DateTime<Utc>) -> NaiveDate,
}

impl Now {
    /// Noon of a day in universal time: for tests, demos and a day given by hand.
    pub fn noon_of(today: NaiveDate) -> Self {
        let instant =
            today.and_time(chrono::NaiveTime::MIN).and_utc() + chrono::TimeDelta::hours(12);
        Self { instant, today, day_of: |instant| instant.date_naive() }
    }
}
