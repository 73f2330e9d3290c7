//! What is typed about races, laboratory values, the LT1 factor, medication and the conditions of a
//! test. One form: its subject decides which fields it has and how they are checked.

use std::collections::HashMap;

use chrono::NaiveDate;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::format;
use pacewright_core::ids::{ConditionsId, FactorId, LaboratoryId, MedicationId, RaceId, TestId};
use pacewright_core::laboratory::{LaboratoryValue, Protocol};
use pacewright_core::markers::MarkerName;
use pacewright_core::medication::Medication;
use pacewright_core::parse;
use pacewright_core::physiology::conditions::{Celsius, Conditions, Ground, Weather};
use pacewright_core::physiology::thresholds::FirstThresholdFactor;
use pacewright_core::race::{Priority, Race, RaceResult};
use pacewright_core::test::TestConditions;
use pacewright_core::units::{Altitude, Distance, HeartRate, Seconds, Share, Speed, UnitSystem};

use super::super::Evidence;
use super::{Checking, Field, Wrong};
use crate::book::Page;
use crate::roster::table::{Credible, HIGHEST};

/// What a form is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A race or time trial, planned or run.
    Race,
    /// A laboratory value.
    Laboratory,
    /// The factor from LT2 to LT1 heart rate.
    Factor,
    /// A span on medication that lowers the heart rate.
    Medication,
    /// The conditions of a test.
    Conditions(TestId),
}

/// Evidence as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct EvidenceForm {
    /// What it is about.
    pub subject: Subject,
    /// The fact that is being changed, by its number; 0 for a new one.
    pub number: i64,
    /// What stands in the fields.
    pub typed: HashMap<Field, String>,
    /// Of a race: how much it matters.
    pub priority: Priority,
    /// Of a laboratory value: which marker.
    pub marker: MarkerName,
    /// Of a laboratory value: how it was found.
    pub protocol: Protocol,
    /// Of conditions: what was run on.
    pub ground: Option<Ground>,
}

/// Speeds a race can be run at, m/s (judgement: a walk; faster than anyone over 800 m).
const RACE_M_PER_S: std::ops::RangeInclusive<f64> = 1.0..=8.0;
/// Distances a race can have, metres (judgement).
const RACE_M: std::ops::RangeInclusive<f64> = 400.0..=100_000.0;
/// Heart rates a marker can have, beats a minute (judgement).
const MARKER: Credible =
    Credible { least: 60.0, most: 220.0, expected: "a heart rate a person can have" };
/// Speeds a marker can have, m/s (judgement: a walk; faster than any VO2max pace).
const MARKER_M_PER_S: std::ops::RangeInclusive<f64> = 1.0..=7.0;

impl EvidenceForm {
    /// A blank form; what happened is most often of today.
    pub fn new(subject: Subject, today: NaiveDate) -> Self {
        let day = match subject {
            Subject::Race | Subject::Laboratory => Some(Field::On),
            Subject::Factor | Subject::Medication => Some(Field::From),
            Subject::Conditions(_) => None,
        };
        Self {
            subject,
            number: 0,
            typed: day.map(|field| (field, today.to_string())).into_iter().collect(),
            priority: Priority::Other,
            marker: MarkerName::Lt2,
            protocol: Protocol::Lactate,
            ground: None,
        }
    }

    /// The offered lower factor, ready to be kept.
    pub fn lower_factor(today: NaiveDate) -> Self {
        let offered = FirstThresholdFactor::ventilatory().ratio();
        Self::new(Subject::Factor, today)
            .with(Field::Factor, format!("{offered:.3}"))
            .with(Field::Reason, "two 40-minute tests faded clearly in cool weather")
    }

    /// The form as a fact fills it.
    pub fn of(evidence: &Evidence, units: UnitSystem, today: NaiveDate) -> Self {
        match evidence {
            Evidence::Race(race) => Self::of_race(race, today),
            Evidence::Laboratory(value) => Self::of_laboratory(value, units, today),
            Evidence::Factor(factor) => Self::new(Subject::Factor, today)
                .numbered(factor.id.0)
                .with(Field::From, factor.from.to_string())
                .with(Field::Factor, trimmed(factor.factor.ratio()))
                .with(Field::Reason, &factor.reason),
            Evidence::Medication(span) => Self::new(Subject::Medication, today)
                .numbered(span.id.0)
                .with(Field::From, span.from.to_string())
                .with(Field::To, span.to.map(|to| to.to_string()).unwrap_or_default())
                .with(Field::Dose, &span.dose)
                .with(Field::Reason, span.reason.as_deref().unwrap_or_default()),
            Evidence::Conditions(noted) => Self::of_conditions(noted, today),
        }
    }

    fn of_race(race: &Race, today: NaiveDate) -> Self {
        let time = race.result.map(|result| format::time(result.duration)).unwrap_or_default();
        let peak = race.result.and_then(|result| result.peak_heart_rate);
        let form = Self::new(Subject::Race, today)
            .numbered(race.id.0)
            .with(Field::On, race.on.to_string())
            .with(Field::Title, &race.name)
            .with(Field::Distance, format!("{} km", trimmed(race.distance.m() / 1_000.0)))
            .with(Field::Time, time)
            .with(Field::Highest, number(peak.map(HeartRate::bpm)));
        Self { priority: race.priority, ..form }
    }

    fn of_laboratory(value: &LaboratoryValue, units: UnitSystem, today: NaiveDate) -> Self {
        let pace = value.speed.map(|speed| pace_or_speed(speed, units)).unwrap_or_default();
        let form = Self::new(Subject::Laboratory, today)
            .numbered(value.id.0)
            .with(Field::On, value.on.to_string())
            .with(Field::Pace, pace)
            .with(Field::Rate, number(value.heart_rate.map(HeartRate::bpm)))
            .with(Field::Notes, &value.notes);
        Self { marker: value.marker, protocol: value.protocol, ..form }
    }

    fn of_conditions(noted: &TestConditions, today: NaiveDate) -> Self {
        let Conditions { weather, altitude, ground } = noted.conditions;
        let (air, humidity, heat) = match weather {
            Some(Weather::Air { temperature, humidity }) => {
                (Some(temperature.degrees()), Some(100.0 * humidity.ratio()), None)
            }
            Some(Weather::WetBulbGlobe(heat)) => (None, None, Some(heat.degrees())),
            None => (None, None, None),
        };
        let form = Self::new(Subject::Conditions(noted.test), today)
            .numbered(noted.id.0)
            .with(Field::Air, number(air))
            .with(Field::Humidity, number(humidity))
            .with(Field::Heat, number(heat))
            .with(Field::Altitude, number(altitude.map(Altitude::m)));
        Self { ground, ..form }
    }

    fn numbered(self, number: i64) -> Self {
        Self { number, ..self }
    }

    /// The form with a field filled.
    #[must_use]
    pub fn with(mut self, field: Field, typed: impl Into<String>) -> Self {
        let _before = self.typed.insert(field, typed.into());
        self
    }

    /// The fields of the form, in order.
    pub fn fields(&self) -> &'static [Field] {
        match self.subject {
            Subject::Race => {
                &[Field::On, Field::Distance, Field::Time, Field::Title, Field::Highest]
            }
            Subject::Laboratory => &[Field::On, Field::Pace, Field::Rate, Field::Notes],
            Subject::Factor => &[Field::From, Field::Factor, Field::Reason],
            Subject::Medication => &[Field::From, Field::To, Field::Dose, Field::Reason],
            Subject::Conditions(_) => &[Field::Air, Field::Humidity, Field::Heat, Field::Altitude],
        }
    }

    /// What stands in a field, without the space around it.
    pub fn text(&self, field: Field) -> &str {
        self.typed.get(&field).map_or("", |typed| typed.trim())
    }

    /// The fact, or everything that is wrong.
    ///
    /// # Errors
    /// One sentence a field; nothing typed is lost.
    pub fn check(
        &self,
        page: &Page,
        units: UnitSystem,
        today: NaiveDate,
    ) -> Result<Evidence, Vec<Wrong>> {
        let mut check = Checking { today, wrong: Vec::new() };
        let fact = match self.subject {
            Subject::Race => self.race(page, &mut check).map(Evidence::Race),
            Subject::Laboratory => {
                self.laboratory(page, units, &mut check).map(Evidence::Laboratory)
            }
            Subject::Factor => self.factor(page, &mut check).map(Evidence::Factor),
            Subject::Medication => self.medication(page, &mut check).map(Evidence::Medication),
            Subject::Conditions(test) => {
                Some(Evidence::Conditions(self.conditions(page, test, &mut check)))
            }
        };
        fact.filter(|_| check.wrong.is_empty()).ok_or(check.wrong)
    }

    fn race(&self, page: &Page, check: &mut Checking) -> Option<Race> {
        let on = self.day(Field::On, "Give the day of the race.", check);
        let distance = self.needed(
            Field::Distance,
            "Give the distance: 5 km, 10 km, half marathon.",
            |text| parse::race_distance(text).map_err(|wrong| wrong.to_string()),
            check,
        );
        if distance.is_some_and(|distance| !RACE_M.contains(&distance.m())) {
            check.say(Field::Distance, "A race is 400 m to 100 km long.");
        }
        let time = self.optional(Field::Time, |text| plain(parse::time(text)), check);
        let peak = check.rate(Field::Highest, self.text(Field::Highest), HIGHEST);
        if on.is_some_and(|on| on > check.today) && time.is_some() {
            check.say(
                Field::Time,
                "That race is still to come: leave the time empty until it is run.",
            );
        }
        if time.is_none() && peak.is_some() {
            check.say(Field::Time, "A highest heart rate needs the time of its race.");
        }
        if let (Some(distance), Some(time)) = (distance, time) {
            let speed = Speed::over(distance, time).map(Speed::m_per_s);
            if !speed.is_some_and(|speed| RACE_M_PER_S.contains(&speed)) {
                check.say(Field::Time, impossible(distance, time));
            }
        }
        Some(Race {
            id: RaceId(self.number),
            athlete: page.athlete.id,
            on: on?,
            name: self.text(Field::Title).to_owned(),
            distance: distance?,
            priority: self.priority,
            result: time.map(|duration| RaceResult { duration, peak_heart_rate: peak }),
        })
    }

    fn laboratory(
        &self,
        page: &Page,
        units: UnitSystem,
        check: &mut Checking,
    ) -> Option<LaboratoryValue> {
        let on = self.past_day(Field::On, "Give the day of the measurement.", check);
        let speed = self.optional(Field::Pace, |text| plain(parse::pace(text, units)), check);
        if speed.is_some_and(|speed| !MARKER_M_PER_S.contains(&speed.m_per_s())) {
            check
                .say(Field::Pace, "Nobody has a marker at that pace: check it, 4:05 or 14.7 km/h.");
        }
        let heart_rate = check.rate(Field::Rate, self.text(Field::Rate), MARKER);
        if self.marker == MarkerName::Vo2max && heart_rate.is_some() {
            check.say(
                Field::Rate,
                "VO2max has no heart rate of its own here: note it as the highest heart rate instead.",
            );
        }
        if self.text(Field::Pace).is_empty() && self.text(Field::Rate).is_empty() {
            check.say(Field::Pace, "Give the pace, the heart rate, or both.");
        }
        Some(LaboratoryValue {
            id: LaboratoryId(self.number),
            athlete: page.athlete.id,
            on: on?,
            marker: self.marker,
            speed,
            heart_rate,
            protocol: self.protocol,
            notes: self.text(Field::Notes).to_owned(),
        })
    }

    fn factor(&self, page: &Page, check: &mut Checking) -> Option<FactorFrom> {
        let from = self.past_day(Field::From, "Give the day it holds from.", check);
        let read = |text: &str| {
            let given = parse::number(text.trim_end_matches('%').trim_end());
            let ratio = given.map(|given| if given > 1.0 { given / 100.0 } else { given });
            ratio
                .and_then(FirstThresholdFactor::from_ratio)
                .map(published_where_it_is)
                .ok_or_else(|| format!("\"{text}\" is not possible: 85 to 100 % of LT2 heart rate"))
        };
        let ask = "Give the factor: 95 % is usual, 91 % the published ratio of the two thresholds.";
        let factor = self.needed(Field::Factor, ask, read, check);
        if self.text(Field::Reason).is_empty() {
            check.say(
                Field::Reason,
                "Say why in a few words: a new factor begins a new series of LT1 pace.",
            );
        }
        Some(FactorFrom {
            id: FactorId(self.number),
            athlete: page.athlete.id,
            from: from?,
            factor: factor?,
            reason: self.text(Field::Reason).to_owned(),
        })
    }

    fn medication(&self, page: &Page, check: &mut Checking) -> Option<Medication> {
        let from = self.past_day(Field::From, "Give the first day on it.", check);
        let to = check.any_day(Field::To, self.text(Field::To));
        if from.zip(to).is_some_and(|(from, to)| to < from) {
            check.say(Field::To, "The last day cannot stand before the first.");
        }
        let reason = self.text(Field::Reason);
        Some(Medication {
            id: MedicationId(self.number),
            athlete: page.athlete.id,
            from: from?,
            to,
            dose: self.text(Field::Dose).to_owned(),
            reason: (!reason.is_empty()).then(|| reason.to_owned()),
        })
    }

    fn conditions(&self, page: &Page, test: TestId, check: &mut Checking) -> TestConditions {
        let conditions = self.noted(check);
        let id = ConditionsId(self.number);
        TestConditions { id, athlete: page.athlete.id, test, conditions }
    }

    /// Conditions alone, for one test or for a whole test day. Nothing typed is nothing noted.
    ///
    /// # Errors
    /// One sentence a field.
    pub fn conditions_of_the_day(&self, today: NaiveDate) -> Result<Conditions, Vec<Wrong>> {
        let mut check = Checking { today, wrong: Vec::new() };
        let nothing =
            self.ground.is_none() && self.fields().iter().all(|f| self.text(*f).is_empty());
        if nothing {
            return Ok(Conditions::default());
        }
        let noted = self.noted(&mut check);
        if check.wrong.is_empty() { Ok(noted) } else { Err(check.wrong) }
    }

    fn noted(&self, check: &mut Checking) -> Conditions {
        let air = self.optional(Field::Air, degrees, check);
        let humidity = self.optional(Field::Humidity, humidity, check);
        let heat = self.optional(Field::Heat, degrees, check);
        let altitude = self.optional(Field::Altitude, height, check);
        let given = |field| !self.text(field).is_empty();
        if given(Field::Heat) && (given(Field::Air) || given(Field::Humidity)) {
            check.say(
                Field::Heat,
                "Give either temperature and humidity, or the wet-bulb globe reading.",
            );
        } else if given(Field::Air) && !given(Field::Humidity) {
            check.say(Field::Humidity, "Heat is judged from both: give the humidity too.");
        } else if given(Field::Humidity) && !given(Field::Air) {
            check.say(Field::Air, "Heat is judged from both: give the temperature too.");
        }
        let weather = match (air, humidity, heat) {
            (Some(temperature), Some(humidity), _) => Some(Weather::Air { temperature, humidity }),
            (_, _, Some(heat)) => Some(Weather::WetBulbGlobe(heat)),
            _ => None,
        };
        let conditions = Conditions { weather, altitude, ground: self.ground };
        if conditions.is_empty() && check.wrong.is_empty() {
            check.say(Field::Air, "Note the weather, the height or the ground; or leave with Esc.");
        }
        conditions
    }

    fn day(&self, field: Field, ask: &str, check: &mut Checking) -> Option<NaiveDate> {
        if self.text(field).is_empty() {
            check.say(field, ask);
        }
        check.any_day(field, self.text(field))
    }

    fn past_day(&self, field: Field, ask: &str, check: &mut Checking) -> Option<NaiveDate> {
        if self.text(field).is_empty() {
            check.say(field, ask);
        }
        check.past_day(field, self.text(field))
    }

    fn needed<T>(
        &self,
        field: Field,
        ask: &str,
        read: impl Fn(&str) -> Result<T, String>,
        check: &mut Checking,
    ) -> Option<T> {
        if self.text(field).is_empty() {
            check.say(field, ask);
        }
        self.optional(field, read, check)
    }

    fn optional<T>(
        &self,
        field: Field,
        read: impl Fn(&str) -> Result<T, String>,
        check: &mut Checking,
    ) -> Option<T> {
        let text = self.text(field);
        if text.is_empty() {
            return None;
        }
        read(text).map_err(|wrong| check.say(field, sentence(&wrong))).ok()
    }
}

/// A factor written to a thousandth is the published one where it rounds to it, so that its source
/// can be named.
fn published_where_it_is(factor: FirstThresholdFactor) -> FirstThresholdFactor {
    let published = FirstThresholdFactor::ventilatory();
    if (factor.ratio() - published.ratio()).abs() < 0.000_5 { published } else { factor }
}

fn plain<T>(read: Result<T, parse::NotUnderstood>) -> Result<T, String> {
    read.map_err(|wrong| wrong.to_string())
}

fn sentence(words: &str) -> String {
    format!("{}.", words.trim_end_matches('.'))
}

fn impossible(distance: Distance, time: Seconds) -> String {
    let (distance, time) = (format::race_distance(distance), format::time(time));
    format!("{distance} in {time} cannot be: check both.")
}

/// A number with at most six decimals, as it can be read again.
fn trimmed(value: f64) -> String {
    format!("{value:.6}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A speed as it can be read again without a change: as a pace where that says it whole, else in
/// kilometres an hour.
fn pace_or_speed(speed: Speed, units: UnitSystem) -> String {
    let pace = format::pace(speed, units);
    let read =
        parse::pace(&pace, units).is_ok_and(|read| (read.m_per_s() - speed.m_per_s()).abs() < 1e-9);
    if read { pace } else { format!("{} km/h", trimmed(speed.m_per_s() * 3.6)) }
}

fn number(value: Option<f64>) -> String {
    value.map(|value| ((value * 10.0).round() / 10.0).to_string()).unwrap_or_default()
}

fn degrees(text: &str) -> Result<Celsius, String> {
    parse::number(text)
        .and_then(Celsius::from_degrees)
        .ok_or_else(|| format!("\"{text}\" is not a temperature in degrees Celsius, like 18"))
}

fn humidity(text: &str) -> Result<Share, String> {
    parse::number(text.trim_end_matches('%').trim_end())
        .and_then(|percent| Share::from_ratio(percent / 100.0).ok())
        .ok_or_else(|| format!("\"{text}\" is no humidity: percent, 60"))
}

fn height(text: &str) -> Result<Altitude, String> {
    parse::number(text.trim_end_matches('m').trim_end())
        .and_then(|metres| Altitude::from_m(metres).ok())
        .ok_or_else(|| format!("\"{text}\" is no height: metres above the sea, 640"))
}

#[cfg(test)]
mod tests;
