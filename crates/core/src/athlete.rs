//! Who is coached, and what decides whether they may run all-out.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, SquadId};
use crate::units::HeartRate;

/// Sex as far as published equations use it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Sex {
    /// Female.
    Female,
    /// Male.
    Male,
}

/// What measures the athlete's heart rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Sensor {
    /// A chest strap.
    Strap,
    /// An optical sensor at the wrist.
    Wrist,
}

/// What pre-participation screening said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Screening {
    /// Nobody has asked yet.
    NotAsked,
    /// Cleared for all-out efforts on a date; it lapses.
    Cleared {
        /// The day.
        on: NaiveDate,
    },
    /// No all-out effort until a clinician says so.
    Hold {
        /// Since when, where known.
        since: Option<NaiveDate>,
    },
}

/// A person coached.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Athlete {
    /// Identity in the library.
    pub id: AthleteId,
    /// Full name, as it is printed.
    pub name: String,
    /// Day of birth.
    pub born: Option<NaiveDate>,
    /// Sex, where given.
    pub sex: Option<Sex>,
    /// Resting heart rate.
    pub resting_heart_rate: Option<HeartRate>,
    /// Highest heart rate known from outside (entered).
    pub max_heart_rate: Option<HeartRate>,
    /// Takes medication that lowers the heart rate: no heart-rate zones.
    pub rate_lowering_medication: bool,
    /// What screening said.
    pub screening: Screening,
    /// The day a guardian consented; needed under 18.
    pub guardian_consent: Option<NaiveDate>,
    /// What measures their heart rate.
    pub sensor: Option<Sensor>,
    /// Other names their files and folders carry.
    pub aliases: Vec<String>,
    /// The coach's notes; never printed.
    pub notes: String,
    /// Squads they are in.
    pub squads: Vec<SquadId>,
}

impl Athlete {
    /// Somebody of whom nothing is known yet but a name.
    pub fn new(id: AthleteId, name: impl Into<String>) -> Self {
        Self {
            id,
            name: name.into(),
            born: None,
            sex: None,
            resting_heart_rate: None,
            max_heart_rate: None,
            rate_lowering_medication: false,
            screening: Screening::NotAsked,
            guardian_consent: None,
            sensor: None,
            aliases: Vec::new(),
            notes: String::new(),
            squads: Vec::new(),
        }
    }
}

/// A named group of athletes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Squad {
    /// Identity in the library.
    pub id: SquadId,
    /// Its name.
    pub name: String,
}
