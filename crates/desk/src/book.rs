//! Everything about a squad in a few questions to the library, ready for core's functions.

use std::collections::{BTreeMap, HashMap};

use chrono::{DateTime, NaiveDate, Utc};
use pacewright_core::aging::{OutOfDate, out_of_date};
use pacewright_core::assess::{Known, assess_at_known};
use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::calibration::{Basis, Calibration, Facts, propose};
use pacewright_core::checks::RULES_VERSION;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{AthleteId, ConditionsId, RecordingId, TestId};
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::markers::forty_minute_target;
use pacewright_core::medication::{Medication, medicated};
use pacewright_core::physiology::conditions::{Conditions, Ground};
use pacewright_core::programme::Programme;
use pacewright_core::race::Race;
use pacewright_core::remark::{Remark, Use};
use pacewright_core::retest::{self, Hold, State};
use pacewright_core::review::{DueTest, Waiting};
use pacewright_core::rules::RulesFrom;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::screening::not_cleared;
use pacewright_core::test::{Decision, Evidence, Test, TestConditions, TestKind};
use pacewright_core::trend::{Trend, trend};
use pacewright_core::units::HeartRate;
use pacewright_core::zones::Scheme;
use pacewright_store::{CachedRemarks, Library};

use crate::desk::Desk;
use crate::programmes::Planning;
use crate::read_in::second;
use crate::schemes::Schemes;
use crate::{Now, Problem};
use crate::{measured, rules};

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

fn read(library: &mut Library) -> Result<Book, Problem> {
    let (tests, calibrations) = library.tests_and_calibrations()?;
    let mut tests = by_athlete(tests, |t| t.athlete);
    let mut calibrations = by_athlete(calibrations, |c| c.athlete);
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
        let started = second::starts(library, &tests)?;
        let around =
            Around { athlete: &athlete, tests: &tests, started: &started, settings: &settings };
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

/// What the checks say about every recorded test of a page, whatever was decided on it. Those kept
/// from before are read; only a change of the rules makes any of them anew.
///
/// # Errors
/// Damage in the library.
pub fn judged(desk: &Desk, page: &Page) -> Result<HashMap<TestId, Vec<Remark>>, Problem> {
    let page = page.clone();
    desk.ask(move |library| {
        let settings = library.settings()?;
        let Page { athlete, tests, started, .. } = &page;
        let around = Around { athlete, tests, started, settings: &settings };
        let remarks = tests.iter().map(|test| {
            let target = target_on(&page.facts(tests), test.on);
            Ok((test.id, judge(library, &around, test, target)?))
        });
        remarks.collect()
    })
}

/// What remarks about a test rest on beside its recording and its target.
struct Around<'a> {
    athlete: &'a Athlete,
    tests: &'a [Test],
    started: &'a second::Starts,
    settings: &'a BTreeMap<String, String>,
}

/// Remarks about a test among the others of its athlete.
fn judge(
    library: &mut Library,
    around: &Around<'_>,
    test: &Test,
    target: Option<HeartRate>,
) -> Result<Vec<Remark>, Problem> {
    let mut remarks = judge_alone(library, around, test, target)?;
    if let Some(other) = second::other_of(around.started, test, around.tests) {
        // of the same day: its target is the same
        let theirs = judge_alone(library, around, other, target)?;
        let second = second::remark_on((test, &remarks), (other, &theirs));
        second::add(second, &mut remarks);
    }
    Ok(remarks)
}

/// What is to be said of a test where another recording holds the same effort.
pub(crate) fn second_recording(
    library: &mut Library,
    test: &Test,
) -> Result<Option<Remark>, Problem> {
    let (athlete, mut tests) = (library.athlete(test.athlete)?, library.tests_of(test.athlete)?);
    tests.sort_by_key(|t| (t.on, t.id));
    let started = second::starts(library, &tests)?;
    let Some(other) = second::other_of(&started, test, &tests) else { return Ok(None) };
    let target = known_of(library, test)?.target;
    let settings = library.settings()?;
    let around =
        Around { athlete: &athlete, tests: &tests, started: &started, settings: &settings };
    let mine = judge_alone(library, &around, test, target)?;
    let theirs = judge_alone(library, &around, other, target)?;
    Ok(Some(second::remark_on((test, &mine), (other, &theirs))))
}

/// Remarks about a test on its own: kept ones where neither the rules nor what was measured have
/// changed, else made anew from its recording. A typed test has none of its own.
fn judge_alone(
    library: &mut Library,
    around: &Around<'_>,
    test: &Test,
    target: Option<HeartRate>,
) -> Result<Vec<Remark>, Problem> {
    let Evidence::Recorded { recording, span, found_by } = test.evidence else {
        return Ok(Vec::new());
    };
    let beside = measured::text_in_settings(around.settings, test);
    if let CachedRemarks::Known(remarks) = library.cached_remarks(test.id, RULES_VERSION, beside)? {
        return Ok(remarks);
    }
    let measured = measured::in_settings(around.settings, test)?;
    let known = Known { target, sensor: around.athlete.sensor, measured };
    let (_, recording) = library.recording(recording)?;
    // where it was found or set stays, also where newer rules would find it elsewhere
    let remarks = match assess_at_known(&recording, test.kind, span, found_by, &known) {
        Ok(assessment) => assessment.remarks,
        Err(error) => {
            return Err(Problem::new(format!(
                "A stored test no longer stands on its recording: {error}."
            )));
        }
    };
    library.cache_remarks(test.id, RULES_VERSION, beside, &remarks)?;
    Ok(remarks)
}

/// The target a 40-minute test on a day should have been held at: LT1 heart rate by rule, from the
/// tests accepted until then.
pub(crate) fn target_on(facts: &Facts<'_>, on: NaiveDate) -> Option<HeartRate> {
    propose(facts, on).and_then(|p| forty_minute_target(&p.derived.markers))
}

/// All that is known of a recorded test from elsewhere than its recording.
pub(crate) fn known_of(library: &mut Library, test: &Test) -> Result<Known, Problem> {
    let id = test.athlete;
    let (athlete, tests) = (library.athlete(id)?, library.tests_of(id)?);
    let beside = Beside {
        races: library.races_of(id)?,
        laboratory: library.laboratory_values_of(id)?,
        factors: library.factors_of(id)?,
        medications: library.medications_of(id)?,
        conditions: library.conditions_of(id)?,
        rules: rules::read(&library.settings()?)?,
    };
    Ok(Known {
        target: target_on(&facts_of(&athlete, &tests, &beside), test.on),
        sensor: athlete.sensor,
        measured: measured::of_test(library, test)?,
    })
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

impl Page {
    /// Whether the athlete is on rate-lowering medication on a day.
    pub fn is_medicated(&self, on: NaiveDate) -> bool {
        medicated(&self.athlete, &self.beside.medications, on)
    }

    /// The trends of the qualities that have been tested.
    pub fn trends(&self, today: NaiveDate) -> Vec<Trend> {
        let facts = self.facts(&self.tests);
        TestKind::ALL
            .into_iter()
            .filter_map(|kind| trend(&facts, &self.aways, kind, today))
            .collect()
    }

    /// What is known of the athlete, with these tests in place of the page's own.
    pub fn facts<'a>(&'a self, tests: &'a [Test]) -> Facts<'a> {
        Facts {
            judged: Some(&self.judged),
            scheme: &self.scheme,
            ..facts_of(&self.athlete, tests, &self.beside)
        }
    }

    /// The zones in force on a day.
    pub fn current(&self, on: NaiveDate) -> Option<&Calibration> {
        self.calibrations.iter().rev().find(|c| c.from <= on)
    }

    /// The zones in force before the current ones.
    pub fn before_current(&self, on: NaiveDate) -> Option<&Calibration> {
        self.calibrations.iter().rev().filter(|c| c.from <= on).nth(1)
    }

    /// The day of the last accepted test of a kind.
    pub fn last_on(&self, kind: TestKind) -> Option<NaiveDate> {
        let counts = |t: &&Test| t.kind == kind && t.decision.is_accepted();
        self.tests.iter().filter(counts).map(|t| t.on).max()
    }

    /// The race the zones in force stand on in place of a test, where it is newer than the last one.
    pub fn race_in_place_of(&self, kind: TestKind, today: NaiveDate) -> Option<&Basis> {
        let race = self.current(today)?.race_in_place_of(kind)?;
        self.last_on(kind).is_none_or(|last| last < race.on).then_some(race)
    }

    /// The three tests with their freshness and what holds them. One whose zones are out of date
    /// counts as due before its window opens.
    pub fn due(&self, now: &Now) -> Vec<DueTest> {
        let cleared = not_cleared(&self.athlete, now.today).is_none();
        let window = self.planning.window();
        let bookings: Vec<Booking> = self.open_bookings(now.today).cloned().collect();
        let grown = self.outgrown(now.today);
        TestKind::ALL
            .into_iter()
            .map(|kind| {
                let raced = self.race_in_place_of(kind, now.today).map(|race| race.on);
                let last = raced.or_else(|| self.last_on(kind));
                let mut freshness = retest::freshness(last, window, now.today);
                let early = freshness.state == State::Fresh && grown.contains(&kind);
                if early {
                    freshness.state = State::Due;
                }
                let holds = retest::holds(kind, &bookings, &self.aways, cleared, now.today);
                let in_season = self.planning.in_season(kind, now.today);
                DueTest { kind, freshness, holds, early, in_season }
            })
            .collect()
    }

    /// The tests behind zones that have grown too uncertain, though their windows are not closed.
    fn outgrown(&self, today: NaiveDate) -> Vec<TestKind> {
        let Some(current) = self.current(today) else { return Vec::new() };
        let reasons = out_of_date(current, &self.aways, self.planning.window(), today);
        let grown = reasons.into_iter().filter(|r| matches!(r, OutOfDate::Outgrown { .. }));
        grown.map(OutOfDate::kind).collect()
    }

    /// Bookings from a day on that no test has closed.
    pub fn open_bookings(&self, from: NaiveDate) -> impl Iterator<Item = &Booking> {
        let open = move |b: &&Booking| b.on >= from && !b.is_done(&self.tests);
        self.bookings.iter().filter(open)
    }

    /// Whether nothing but a booking holds a test on a day.
    pub fn may_test(&self, kind: TestKind, day: &Now) -> bool {
        let free = |test: &DueTest| test.holds.iter().all(|hold| *hold == Hold::Booked);
        self.due(day).iter().any(|test| test.kind == kind && free(test))
    }

    /// The bookings to come that the athlete may run, as far as is known today.
    pub fn bookings_to_come<'a>(&'a self, now: &'a Now) -> impl Iterator<Item = &'a Booking> {
        self.open_bookings(now.today)
            .filter(|booking| self.may_test(booking.kind, &Now { today: booking.on, ..*now }))
    }

    /// Tests that wait for a decision, newest last.
    pub fn waiting(&self) -> Vec<Waiting> {
        self.tests
            .iter()
            .filter(|t| t.decision == Decision::ToConfirm)
            .map(|t| Waiting { kind: t.kind, on: t.on, good_for: self.good_for(t) })
            .collect()
    }

    /// What the checks say about a test that waits.
    pub fn remarks(&self, test: &Test) -> &[Remark] {
        self.judged.get(&test.id).map(Vec::as_slice).unwrap_or_default()
    }

    /// What a test that waits is good for.
    pub fn good_for(&self, test: &Test) -> Use {
        Use::of(self.remarks(test))
    }
}
