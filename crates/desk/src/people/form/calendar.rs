//! What is typed about spans away and bookings.

use chrono::NaiveDate;
use pacewright_core::athlete::Athlete;
use pacewright_core::ids::AwayId;
use pacewright_core::schedule::{Away, AwayKind};
use pacewright_core::test::TestKind;

use super::{Checking, Field, Wrong};
use crate::book::Page;
use crate::plan::why_not;
use crate::schedule::{ToBook, ToNote};

/// A span away as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct AwayForm {
    /// The span that is being changed; `None` for a new one.
    pub id: Option<AwayId>,
    /// Why.
    pub kind: AwayKind,
    /// First day.
    pub from: String,
    /// Last day; nothing while it is open.
    pub to: String,
    /// The day running without pain or symptoms was noted.
    pub well_on: String,
}

impl Default for AwayForm {
    fn default() -> Self {
        let (from, to, well_on) = Default::default();
        Self { id: None, kind: AwayKind::Injury, from, to, well_on }
    }
}

impl AwayForm {
    /// The form as a span fills it.
    pub fn of(away: &Away) -> Self {
        let iso = |date: Option<NaiveDate>| date.map(|date| date.to_string()).unwrap_or_default();
        Self {
            id: Some(away.id),
            kind: away.kind,
            from: away.from.to_string(),
            to: iso(away.to),
            well_on: iso(away.well_on),
        }
    }

    /// The span, or everything that is wrong.
    ///
    /// # Errors
    /// One sentence a field.
    pub fn check(&self, athlete: &Athlete, today: NaiveDate) -> Result<ToNote, Vec<Wrong>> {
        let mut check = Checking { today, wrong: Vec::new() };
        let from = check.any_day(Field::From, &self.from);
        let to = check.any_day(Field::To, &self.to);
        let well_on = check.past_day(Field::WellOn, &self.well_on);
        if self.from.trim().is_empty() {
            check.say(Field::From, "Give the first day away.");
        }
        if from.zip(to).is_some_and(|(from, to)| to < from) {
            check.say(Field::To, "The last day cannot stand before the first.");
        }
        match (check.wrong.is_empty(), from) {
            (true, Some(from)) => {
                Ok(ToNote { athlete: athlete.id, kind: self.kind, from, to, well_on })
            }
            _ => Err(check.wrong),
        }
    }
}

/// A booking as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct BookingForm {
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub on: String,
}

impl Default for BookingForm {
    fn default() -> Self {
        Self { kind: TestKind::TwentyMinutes, on: String::new() }
    }
}

impl BookingForm {
    /// The booking, or everything that is wrong. Who may not run all-out on that day is not booked.
    ///
    /// # Errors
    /// One sentence.
    pub fn check(&self, page: &Page, today: NaiveDate) -> Result<ToBook, Vec<Wrong>> {
        let mut check = Checking { today, wrong: Vec::new() };
        let on = check.any_day(Field::On, &self.on);
        if self.on.trim().is_empty() {
            check.say(Field::On, "Give the day of the test.");
        }
        if let Some(on) = on {
            if on < today {
                check.say(Field::On, format!("{on} is over; today is {today}."));
            } else if let Some(why) = why_not(page, self.kind, on, None, today) {
                check.say(Field::On, why);
            }
        }
        match (check.wrong.is_empty(), on) {
            (true, Some(on)) => Ok(ToBook { athlete: page.athlete.id, kind: self.kind, on }),
            _ => Err(check.wrong),
        }
    }
}
