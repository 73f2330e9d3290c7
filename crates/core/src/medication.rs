//! Rate-lowering medication, dated: a heart rate measured on it says nothing about the days off it.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::athlete::Athlete;
use crate::ids::{AthleteId, MedicationId};

/// A span on medication that lowers the heart rate, or on one dose of it. Private: never printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Medication {
    /// Identity in the library.
    pub id: MedicationId,
    /// Who.
    pub athlete: AthleteId,
    /// First day.
    pub from: NaiveDate,
    /// Last day; `None` while it goes on.
    pub to: Option<NaiveDate>,
    /// What it is and its dose, in the coach's words.
    pub dose: String,
    /// What it is for; "ask first" until it is noted.
    pub reason: Option<String>,
}

impl Medication {
    /// Whether a day lies inside.
    pub fn covers(&self, day: NaiveDate) -> bool {
        self.from <= day && self.to.is_none_or(|to| day <= to)
    }
}

/// Whether an athlete was on rate-lowering medication on a day: by the dated spans where there are
/// any, else by what the roster says of every day.
pub fn medicated(athlete: &Athlete, spans: &[Medication], day: NaiveDate) -> bool {
    if spans.is_empty() {
        athlete.rate_lowering_medication
    } else {
        spans.iter().any(|span| span.covers(day))
    }
}

/// Whether two days fall under the same medication and dose, so that heart rates of one hold on the
/// other.
pub fn same_dose(spans: &[Medication], one: NaiveDate, other: NaiveDate) -> bool {
    let of = |day| spans.iter().filter(|span| span.covers(day)).map(|s| s.id).collect::<Vec<_>>();
    of(one) == of(other)
}
