//! May this athlete run all-out today? Advice after published pre-participation logic; a clinician
//! and local rules come first.
//!
//! # Source
//! Riebe D et al. Med Sci Sports Exerc 2015;47(11):2473-2479, doi 10.1249/MSS.0000000000000664
//! (from memory; logic seen on secondary pages). The 12 months and the consent rule are judgement.

use chrono::{Datelike, Months, NaiveDate};

use crate::athlete::{Athlete, Screening};
use crate::units::Years;

/// A clearance lapses after this many months (judgement).
const CLEARANCE_MONTHS: u32 = 12;
/// Below this age a guardian must consent.
const ADULT: i32 = 18;

/// Why no all-out effort is proposed. Reasons are private and never printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotCleared {
    /// Nobody has asked yet.
    NotAsked,
    /// On hold.
    Hold,
    /// The clearance is too old.
    Lapsed,
    /// Under 18 without a guardian's consent.
    NoConsent,
    /// Takes rate-lowering medication: ask first, unless cleared.
    AskAboutMedication,
}

/// Why an athlete may not run all-out on a day, or `None` where they may.
pub fn not_cleared(athlete: &Athlete, today: NaiveDate) -> Option<NotCleared> {
    match athlete.screening {
        Screening::Hold { .. } => return Some(NotCleared::Hold),
        Screening::NotAsked if athlete.rate_lowering_medication => {
            return Some(NotCleared::AskAboutMedication);
        }
        Screening::NotAsked => return Some(NotCleared::NotAsked),
        Screening::Cleared { on } => {
            let lapses = on.checked_add_months(Months::new(CLEARANCE_MONTHS));
            if lapses.is_none_or(|lapses| today >= lapses) {
                return Some(NotCleared::Lapsed);
            }
        }
    }
    let minor = athlete.born.is_some_and(|born| is_minor(born, today));
    (minor && athlete.guardian_consent.is_none()).then_some(NotCleared::NoConsent)
}

/// Whether somebody is under 18 on a day: a guardian must consent.
pub fn is_minor(born: NaiveDate, today: NaiveDate) -> bool {
    whole_years(born, today) < ADULT
}

/// Completed years of life on a day.
pub fn whole_years(born: NaiveDate, today: NaiveDate) -> i32 {
    let had_birthday = (today.month(), today.day()) >= (born.month(), born.day());
    today.year() - born.year() - i32::from(!had_birthday)
}

/// Age on a day, as the published equations take it; `None` outside 5 to 120 years.
pub fn age(born: NaiveDate, today: NaiveDate) -> Option<Years> {
    let days = today.signed_duration_since(born).num_days();
    Years::from_years(days as f64 / 365.25).ok()
}
