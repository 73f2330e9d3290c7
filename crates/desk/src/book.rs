//! Everything about a squad in a few questions to the library, ready for core's functions.

mod judged;
pub(crate) mod measured;
mod page;
pub(crate) mod pairs;
mod planning;

use std::collections::{BTreeMap, HashMap};

use chrono::{DateTime, Utc};
use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::calibration::{Calibration, Facts};
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{AthleteId, ConditionsId, RecordingId, TestId};
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::physiology::conditions::{Conditions, Ground};
use pacewright_core::programme::Programme;
use pacewright_core::race::Race;
use pacewright_core::remark::Remark;
use pacewright_core::rules::RulesFrom;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::test::{Decision, Test, TestConditions, TestKind};
use pacewright_core::zones::Scheme;
use pacewright_store::Library;

use crate::desk::Desk;
use crate::schemes::Schemes;
use crate::{Problem, rules};

pub use judged::judged;
use judged::{Around, judge};
pub(crate) use judged::{known_of, second_recording, target_on};
pub use planning::Planning;

/// One athlete with all that is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Who.
    pub athlete: Athlete,
    /// Their tests, oldest first.
    pub tests: Vec<Test>,
    /// Their calibrations, oldest first.
    pub calibrations: Vec<Calibration>,
    /// Booked tests.
    pub bookings: Vec<Booking>,
    /// Spans away.
    pub aways: Vec<Away>,
    /// What stands beside the tests.
    pub beside: Beside,
    /// How their squad tests, and their own retest window.
    pub planning: Planning,
    /// The scheme their zones follow.
    pub scheme: Scheme,
    /// What the checks say about tests that wait for a decision.
    pub judged: HashMap<TestId, Vec<Remark>>,
    /// When the recordings behind the tests began, where two of them may hold one effort.
    pub started: HashMap<RecordingId, DateTime<Utc>>,
}

/// What stands beside an athlete's tests.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// Races and time trials.
    pub races: Vec<Race>,
    /// Laboratory values.
    pub laboratory: Vec<LaboratoryValue>,
    /// The factors from LT2 to LT1 heart rate that were chosen.
    pub factors: Vec<FactorFrom>,
    /// Spans on rate-lowering medication.
    pub medications: Vec<Medication>,
    /// What was noted of the conditions of tests.
    pub conditions: Vec<TestConditions>,
    /// The rules of the library, the same for everybody.
    pub rules: Vec<RulesFrom>,
}

impl Beside {
    /// A test whose recording was measured by a treadmill's own speed was run on one, also where
    /// nobody noted its conditions.
    fn note_treadmills(&mut self, tests: &[Test], settings: &BTreeMap<String, String>) {
        for test in tests.iter().filter(|test| measured::on_treadmill(settings, test)) {
            let ground = Some(Ground::Treadmill);
            match self.conditions.iter_mut().rev().find(|noted| noted.test == test.id) {
                Some(noted) => noted.conditions.ground = noted.conditions.ground.or(ground),
                None => self.conditions.push(TestConditions {
                    id: ConditionsId(0),
                    athlete: test.athlete,
                    test: test.id,
                    conditions: Conditions { ground, ..Conditions::default() },
                }),
            }
        }
    }
}

/// All athletes by name, with the squads there are.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// By name.
    pub pages: Vec<Page>,
    /// The squads.
    pub squads: Vec<Squad>,
    /// How each of them tests, where it was said.
    pub programmes: Vec<Programme>,
    /// When the newest act was done, by the clock of that moment.
    pub last_act: Option<DateTime<Utc>>,
    /// Zone schemes beside the five zones, and who follows which.
    pub schemes: Schemes,
    /// The rules the coach set, with their history.
    pub rules: Vec<RulesFrom>,
}

/// Opens the book: the whole library but for its recordings.
///
/// # Errors
/// Damage in the library, said with its place.
pub fn open(desk: &Desk) -> Result<Book, Problem> {
    desk.ask(read)
}

/// The same inside a question to the library: what is decided by it and done there comes before
/// anything else is done.
pub(crate) fn read(library: &mut Library) -> Result<Book, Problem> {
    let (mut tests, mut calibrations) = library.tests_and_calibrations()?;
    let mut bookings = by_athlete(library.bookings()?, |b| b.athlete);
    let mut aways = by_athlete(library.aways()?, |a| a.athlete);
    let mut beside = all_beside(library)?;
    let programmes = library.programmes()?;
    let mut own = by_athlete(library.own_windows()?, |own| own.athlete);
    let settings = library.settings()?;
    let (schemes, rules) = (Schemes::read(&settings)?, rules::read(&settings)?);
    let mut pages = Vec::new();
    for athlete in library.athletes()? {
        let id = athlete.id;
        let mut tests = tests.remove(&id).unwrap_or_default();
        tests.sort_by_key(|t| (t.on, t.id));
        let mut calibrations = calibrations.remove(&id).unwrap_or_default();
        calibrations.sort_by_key(|c| (c.from, c.id));
        let mut beside = beside.remove(&id).unwrap_or_default();
        beside.note_treadmills(&tests, &settings);
        beside.rules.clone_from(&rules);
        let started = pairs::starts(library, &tests)?;
        let around = Around {
            athlete: &athlete,
            tests: &tests,
            started: &started,
            settings: &settings,
            conditions: &beside.conditions,
            medications: &beside.medications,
        };
        let mut judged = HashMap::new();
        let waits = |t: &&Test| t.decision == Decision::ToConfirm || checks_its_target(t, &beside);
        for test in tests.iter().filter(waits) {
            let target = target_on(&facts_of(&athlete, &tests, &beside), test.on);
            let remarks = judge(library, &around, test, target)?;
            let _none_before = judged.insert(test.id, remarks);
        }
        let planning = Planning {
            programme: athlete
                .squads
                .iter()
                .find_map(|squad| programmes.iter().find(|p| p.squad == *squad).cloned()),
            own: own.remove(&id).and_then(|own| own.into_iter().next_back()),
        };
        pages.push(Page {
            scheme: schemes.of(&athlete).clone(),
            athlete,
            planning,
            tests,
            calibrations,
            bookings: bookings.remove(&id).unwrap_or_default(),
            aways: aways.remove(&id).unwrap_or_default(),
            beside,
            judged,
            started,
        });
    }
    pages.sort_by_cached_key(|page| page.athlete.name.to_lowercase());
    let last_act = library.log(1)?.first().map(|act| act.at);
    Ok(Book { pages, squads: library.squads()?, programmes, last_act, schemes, rules })
}

fn by_athlete<T>(facts: Vec<T>, whose: impl Fn(&T) -> AthleteId) -> HashMap<AthleteId, Vec<T>> {
    let mut sorted: HashMap<AthleteId, Vec<T>> = HashMap::new();
    for fact in facts {
        sorted.entry(whose(&fact)).or_default().push(fact);
    }
    sorted
}

impl Book {
    /// The pages of one squad, or all of them.
    ///
    /// # Errors
    /// No squad of that name.
    pub fn of_squad(&self, name: Option<&str>) -> Result<Vec<&Page>, Problem> {
        let Some(name) = name else { return Ok(self.pages.iter().collect()) };
        let squad = self.squad(name)?;
        Ok(self.pages.iter().filter(|p| p.athlete.squads.contains(&squad.id)).collect())
    }

    /// The squad of a name.
    ///
    /// # Errors
    /// No squad of that name.
    pub fn squad(&self, name: &str) -> Result<&Squad, Problem> {
        let wanted = name.trim().to_lowercase();
        self.squads.iter().find(|s| s.name.to_lowercase() == wanted).ok_or_else(|| {
            let known: Vec<&str> = self.squads.iter().map(|s| s.name.as_str()).collect();
            let known = if known.is_empty() { "none yet".to_owned() } else { known.join(", ") };
            Problem::new(format!("There is no squad \"{name}\"; there is {known}."))
        })
    }

    /// The page of an athlete.
    ///
    /// # Errors
    /// They are not in the library (any more).
    pub fn of_id(&self, id: AthleteId) -> Result<&Page, Problem> {
        let page = self.pages.iter().find(|page| page.athlete.id == id);
        page.ok_or_else(|| Problem::new("That athlete is not in the library any more."))
    }

    /// The page of the one athlete with this name or alias.
    ///
    /// # Errors
    /// Nobody, or more than one.
    pub fn of_athlete(&self, name: &str) -> Result<&Page, Problem> {
        let wanted = name.trim().to_lowercase();
        let same = |text: &str| text.trim().to_lowercase() == wanted;
        let mut found = self.pages.iter().filter(|page| {
            same(&page.athlete.name) || page.athlete.aliases.iter().any(|alias| same(alias))
        });
        match (found.next(), found.next()) {
            (Some(page), None) => Ok(page),
            (None, _) => Err(Problem::new(format!(
                "There is no athlete \"{name}\" in the library; add them with a roster, or check the spelling."
            ))),
            (Some(_), Some(_)) => Err(Problem::new(format!(
                "More than one athlete is called \"{name}\"; give each an alias and use that."
            ))),
        }
    }
}

/// Whether an accepted 40-minute test can speak for a lower target: only where the weather is known.
fn checks_its_target(test: &Test, beside: &Beside) -> bool {
    test.kind == TestKind::FortyMinutes
        && test.decision.is_accepted()
        && beside
            .conditions
            .iter()
            .any(|noted| noted.test == test.id && noted.conditions.heat().is_some())
}

/// What stands beside the tests of each athlete.
fn all_beside(library: &Library) -> Result<HashMap<AthleteId, Beside>, Problem> {
    let mut all: HashMap<AthleteId, Beside> = HashMap::new();
    for race in library.races()? {
        all.entry(race.athlete).or_default().races.push(race);
    }
    for value in library.laboratory_values()? {
        all.entry(value.athlete).or_default().laboratory.push(value);
    }
    for factor in library.factors()? {
        all.entry(factor.athlete).or_default().factors.push(factor);
    }
    for span in library.medications()? {
        all.entry(span.athlete).or_default().medications.push(span);
    }
    for noted in library.conditions()? {
        all.entry(noted.athlete).or_default().conditions.push(noted);
    }
    Ok(all)
}

fn facts_of<'a>(athlete: &'a Athlete, tests: &'a [Test], beside: &'a Beside) -> Facts<'a> {
    Facts {
        races: &beside.races,
        laboratory: &beside.laboratory,
        factors: &beside.factors,
        medications: &beside.medications,
        conditions: &beside.conditions,
        rules: &beside.rules,
        ..Facts::of_tests(athlete, tests)
    }
}
