//! What is typed about an athlete: kept as it was typed, and checked field by field.

mod calendar;
mod evidence;

use chrono::NaiveDate;
use pacewright_core::athlete::{Athlete, Screening, Sensor, Sex, Squad};
use pacewright_core::ids::AthleteId;
use pacewright_core::screening;
use pacewright_core::units::HeartRate;

use super::cleared;
use crate::book::Book;
use crate::roster::table::{
    Credible, HIGHEST, RESTING, day, impossible_birth, lies_ahead, list, rate,
};

pub use calendar::{AwayForm, BookingForm};
pub use evidence::{EvidenceForm, Subject};

/// A field of a form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "each is the field of its name")]
pub enum Field {
    Name,
    Born,
    Squads,
    ScreenedOn,
    GuardianConsent,
    Resting,
    Highest,
    Aliases,
    From,
    To,
    WellOn,
    On,
    Title,
    Distance,
    Time,
    Pace,
    Rate,
    Notes,
    Factor,
    Dose,
    Reason,
    Air,
    Humidity,
    Heat,
    Altitude,
}

/// What is wrong with a field, in one sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    /// Which field.
    pub field: Field,
    /// What is wrong and what to do.
    pub sentence: String,
}

/// Which of the three answers of screening is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ScreeningChoice {
    /// Nobody has asked yet.
    #[default]
    NotAsked,
    /// Cleared, on a day.
    Cleared,
    /// On hold, since a day where it is known.
    Hold,
}

/// An athlete's facts as they are typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Form {
    /// Full name.
    pub name: String,
    /// Day of birth.
    pub born: String,
    /// Sex, where given.
    pub sex: Option<Sex>,
    /// Squads, parted by semicolons.
    pub squads: String,
    /// What screening said.
    pub screening: ScreeningChoice,
    /// Since when.
    pub screened_on: String,
    /// The day a guardian consented.
    pub guardian_consent: String,
    /// Takes medication that lowers the heart rate.
    pub medication: bool,
    /// Resting heart rate.
    pub resting: String,
    /// Highest heart rate known.
    pub highest: String,
    /// What measures their heart rate.
    pub sensor: Option<Sensor>,
    /// Other names, parted by semicolons.
    pub aliases: String,
    /// The coach's notes.
    pub notes: String,
}

/// An athlete's facts, checked; squads by name.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "each is the fact of the form's field of its name")]
pub struct Draft {
    pub name: String,
    pub born: Option<NaiveDate>,
    pub sex: Option<Sex>,
    pub squads: Vec<String>,
    pub screening: Screening,
    pub guardian_consent: Option<NaiveDate>,
    pub medication: bool,
    pub resting_heart_rate: Option<HeartRate>,
    pub max_heart_rate: Option<HeartRate>,
    pub sensor: Option<Sensor>,
    pub aliases: Vec<String>,
    pub notes: String,
}

impl Form {
    /// The form as an athlete fills it.
    pub fn of(athlete: &Athlete, squads: &[Squad]) -> Self {
        let iso = |date: Option<NaiveDate>| date.map(|date| date.to_string()).unwrap_or_default();
        let beats = |rate: Option<HeartRate>| rate.map(|r| r.bpm().to_string()).unwrap_or_default();
        let name = |id| squads.iter().find(|squad| squad.id == id).map(|squad| squad.name.as_str());
        let names: Vec<&str> = athlete.squads.iter().filter_map(|id| name(*id)).collect();
        let (screening, screened_on) = match athlete.screening {
            Screening::NotAsked => (ScreeningChoice::NotAsked, None),
            Screening::Cleared { on } => (ScreeningChoice::Cleared, Some(on)),
            Screening::Hold { since } => (ScreeningChoice::Hold, since),
        };
        Self {
            name: athlete.name.clone(),
            born: iso(athlete.born),
            sex: athlete.sex,
            squads: names.join("; "),
            screening,
            screened_on: iso(screened_on),
            guardian_consent: iso(athlete.guardian_consent),
            medication: athlete.rate_lowering_medication,
            resting: beats(athlete.resting_heart_rate),
            highest: beats(athlete.max_heart_rate),
            sensor: athlete.sensor,
            aliases: athlete.aliases.join("; "),
            notes: athlete.notes.clone(),
        }
    }

    /// The facts, or everything that is wrong, in the order of the fields. `before` are the facts the
    /// form began with; `None` for somebody new.
    ///
    /// # Errors
    /// One sentence a field; nothing typed is lost.
    pub fn check(
        &self,
        before: Option<&Athlete>,
        book: &Book,
        today: NaiveDate,
    ) -> Result<Draft, Vec<Wrong>> {
        let mut check = Checking { today, wrong: Vec::new() };
        let born = check.birth(&self.born);
        let screening = self.screening(&mut check);
        let guardian_consent = check.past_day(Field::GuardianConsent, &self.guardian_consent);
        let resting = check.rate(Field::Resting, &self.resting, RESTING);
        let highest = check.rate(Field::Highest, &self.highest, HIGHEST);
        if let (Some(resting), Some(highest)) = (resting, highest)
            && resting.bpm() >= highest.bpm()
        {
            check.say(Field::Highest, "The highest heart rate must stand above the resting one.");
        }
        if self.medication_is_new(before, screening) {
            check.say(
                Field::ScreenedOn,
                "New medication ends the clearance: ask again and give the new day, or choose \"not asked\".",
            );
        }
        let name = self.name.trim().to_owned();
        check.name(&name, born, before.map(|athlete| athlete.id), book);
        let Checking { mut wrong, .. } = check;
        wrong.sort_by_key(|wrong| wrong.field as u8);
        if !wrong.is_empty() {
            return Err(wrong);
        }
        Ok(Draft {
            name,
            born,
            sex: self.sex,
            squads: list(&self.squads),
            screening,
            guardian_consent,
            medication: self.medication,
            resting_heart_rate: resting,
            max_heart_rate: highest,
            sensor: self.sensor,
            aliases: list(&self.aliases),
            notes: self.notes.trim().to_owned(),
        })
    }

    /// Chooses what screening said. The day of one answer is none of another's: a hold's never stands
    /// under a clearance.
    pub fn choose_screening(&mut self, screening: ScreeningChoice) {
        if self.screening != screening {
            self.screening = screening;
            self.screened_on.clear();
        }
    }

    /// Whether the day of birth that is typed makes a minor, who needs a guardian's consent.
    pub fn is_minor(&self, today: NaiveDate) -> bool {
        day(self.born.trim()).is_ok_and(|born| screening::is_minor(born, today))
    }

    /// Whether such a minor's guardian has not consented.
    pub fn lacks_consent(&self, today: NaiveDate) -> bool {
        self.is_minor(today) && self.guardian_consent.trim().is_empty()
    }

    fn screening(&self, check: &mut Checking) -> Screening {
        let on = check.past_day(Field::ScreenedOn, &self.screened_on);
        match (self.screening, on) {
            (ScreeningChoice::NotAsked, _) => Screening::NotAsked,
            (ScreeningChoice::Hold, since) => Screening::Hold { since },
            (ScreeningChoice::Cleared, Some(on)) => Screening::Cleared { on },
            (ScreeningChoice::Cleared, None) => {
                if self.screened_on.trim().is_empty() {
                    check.say(
                        Field::ScreenedOn,
                        "Give the day of the clearance; it lapses after a year.",
                    );
                }
                Screening::NotAsked
            }
        }
    }

    /// A clearance from before a new medication lapses with it (judgement).
    fn medication_is_new(&self, before: Option<&Athlete>, screening: Screening) -> bool {
        before.is_some_and(|before| {
            let started = self.medication && !before.rate_lowering_medication;
            started && cleared(screening) && before.screening == screening
        })
    }
}

/// Fields being checked.
struct Checking {
    today: NaiveDate,
    wrong: Vec<Wrong>,
}

impl Checking {
    fn say(&mut self, field: Field, sentence: impl Into<String>) {
        self.wrong.push(Wrong { field, sentence: sentence.into() });
    }

    /// A day, or nothing where nothing is typed.
    fn any_day(&mut self, field: Field, typed: &str) -> Option<NaiveDate> {
        let typed = typed.trim();
        if typed.is_empty() {
            return None;
        }
        match day(typed) {
            Ok(day) => Some(day),
            Err(expected) => {
                self.say(field, format!("\"{typed}\" is not {expected}."));
                None
            }
        }
    }

    fn past_day(&mut self, field: Field, typed: &str) -> Option<NaiveDate> {
        let day = self.any_day(field, typed)?;
        self.unless(field, day, lies_ahead(day, self.today))
    }

    fn birth(&mut self, typed: &str) -> Option<NaiveDate> {
        let born = self.any_day(Field::Born, typed)?;
        self.unless(Field::Born, born, impossible_birth(born, self.today))
    }

    /// A day, unless something is wrong with it.
    fn unless(&mut self, field: Field, day: NaiveDate, wrong: Option<String>) -> Option<NaiveDate> {
        match wrong {
            Some(sentence) => {
                self.say(field, sentence);
                None
            }
            None => Some(day),
        }
    }

    fn rate(&mut self, field: Field, typed: &str, credible: Credible) -> Option<HeartRate> {
        let typed = typed.trim();
        if typed.is_empty() {
            return None;
        }
        match rate(typed, credible) {
            Ok(rate) => Some(rate),
            Err(expected) => {
                let Credible { least, most, .. } = credible;
                self.say(field, format!("\"{typed}\" is not {expected}: {least} to {most}."));
                None
            }
        }
    }

    /// Name and day of birth together tell athletes apart.
    fn name(&mut self, name: &str, born: Option<NaiveDate>, id: Option<AthleteId>, book: &Book) {
        if name.is_empty() {
            self.say(Field::Name, "Give a name; it stands on the card.");
        }
        let same = |other: &&Athlete| {
            Some(other.id) != id
                && other.name.trim().to_lowercase() == name.to_lowercase()
                && (other.born.is_none() || born.is_none() || other.born == born)
        };
        if book.pages.iter().map(|page| &page.athlete).any(|other| same(&other)) {
            self.say(
                Field::Name,
                "There is an athlete of this name already; give the day of birth of both to tell them apart.",
            );
        }
    }
}

#[cfg(test)]
mod tests;
