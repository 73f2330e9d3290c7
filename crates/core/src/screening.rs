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

/// Why an athlete may not run all-out on a day, or `None` where they may. A clearance or consent
/// counts from its day on.
pub fn not_cleared(athlete: &Athlete, today: NaiveDate) -> Option<NotCleared> {
    answered(athlete, today, today)
}

/// Why an athlete should not have run all-out on a day that is over, or `None` where nothing speaks
/// against it. Only the newest answer is kept: one given since then, up to today, speaks for the
/// days before it too, and a hold only for those from its beginning on.
pub fn ran_uncleared(athlete: &Athlete, on: NaiveDate, today: NaiveDate) -> Option<NotCleared> {
    match athlete.screening {
        Screening::Hold { since: Some(since) } if since > on => None,
        _ => answered(athlete, on, today.max(on)),
    }
}

/// What the answers given up to a day say of running on another.
fn answered(athlete: &Athlete, on: NaiveDate, by: NaiveDate) -> Option<NotCleared> {
    match athlete.screening {
        Screening::Hold { .. } => return Some(NotCleared::Hold),
        Screening::NotAsked if athlete.rate_lowering_medication => {
            return Some(NotCleared::AskAboutMedication);
        }
        Screening::NotAsked => return Some(NotCleared::NotAsked),
        // whoever is to be cleared on a day to come is not yet
        Screening::Cleared { on: cleared } if cleared > by => return Some(NotCleared::NotAsked),
        Screening::Cleared { on: cleared } => {
            let lapses = cleared.checked_add_months(Months::new(CLEARANCE_MONTHS));
            if lapses.is_none_or(|lapses| on >= lapses) {
                return Some(NotCleared::Lapsed);
            }
        }
    }
    let minor = athlete.born.is_some_and(|born| is_minor(born, on));
    (minor && !has_consent(athlete, by)).then_some(NotCleared::NoConsent)
}

fn has_consent(athlete: &Athlete, by: NaiveDate) -> bool {
    athlete.guardian_consent.is_some_and(|day| day <= by)
}

/// Whether somebody is under 18 on a day and no guardian has consented until then, whatever else is to
/// be asked first.
pub fn lacks_consent(athlete: &Athlete, today: NaiveDate) -> bool {
    athlete.born.is_some_and(|born| is_minor(born, today)) && !has_consent(athlete, today)
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

/// The ages an athlete can have, in completed years (judgement; what the published equations take).
const AGES: std::ops::RangeInclusive<i32> = 5..=120;

/// Whether somebody born on a day can be an athlete today: neither an infant nor older than anybody.
pub fn is_credible_birth(born: NaiveDate, today: NaiveDate) -> bool {
    AGES.contains(&whole_years(born, today))
}

/// Age on a day, as the published equations take it; `None` outside 5 to 120 years.
pub fn age(born: NaiveDate, today: NaiveDate) -> Option<Years> {
    let days = today.signed_duration_since(born).num_days();
    Years::from_years(days as f64 / 365.25).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::AthleteId;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    fn screened(screening: Screening) -> Athlete {
        Athlete { screening, ..Athlete::new(AthleteId(1), "Ida Example") }
    }

    #[test]
    fn a_clearance_or_consent_counts_from_its_day_on() {
        let ahead = screened(Screening::Cleared { on: day(2027, 1, 1) });
        assert_eq!(not_cleared(&ahead, day(2026, 11, 25)), Some(NotCleared::NotAsked));
        assert_eq!(not_cleared(&ahead, day(2027, 1, 1)), None);
        let minor = |consent| Athlete {
            born: Some(day(2012, 6, 10)),
            guardian_consent: Some(consent),
            ..screened(Screening::Cleared { on: day(2026, 9, 1) })
        };
        let asked = |consent| not_cleared(&minor(consent), day(2026, 11, 25));
        assert_eq!(asked(day(2026, 11, 26)), Some(NotCleared::NoConsent));
        assert_eq!(asked(day(2026, 11, 25)), None);
    }

    #[test]
    fn of_a_day_that_is_over_the_answers_since_speak_and_a_hold_from_its_beginning() {
        let today = day(2026, 11, 25);
        let ran = |screening| ran_uncleared(&screened(screening), day(2026, 11, 1), today);
        assert_eq!(ran(Screening::Cleared { on: day(2026, 11, 20) }), None);
        assert_eq!(
            ran(Screening::Cleared { on: day(2026, 11, 26) }),
            Some(NotCleared::NotAsked),
            "a day to come"
        );
        assert_eq!(ran(Screening::Hold { since: Some(day(2026, 11, 2)) }), None);
        let held = Some(NotCleared::Hold);
        assert_eq!(ran(Screening::Hold { since: Some(day(2026, 11, 1)) }), held);
        assert_eq!(ran(Screening::Hold { since: None }), held);
        assert_eq!(ran(Screening::NotAsked), Some(NotCleared::NotAsked));
    }

    #[test]
    fn nobody_is_born_tomorrow_or_is_an_infant() {
        let credible = |born| is_credible_birth(born, day(2026, 11, 25));
        for born in [day(2031, 1, 1), day(2021, 11, 26), day(1905, 11, 25)] {
            assert!(!credible(born), "{born}");
        }
        for born in [day(2021, 11, 25), day(1906, 11, 26), day(1990, 1, 15)] {
            assert!(credible(born), "{born}");
        }
    }
}
