//! Markers and zones the coach confirmed: what was handed out, and therefore never changed.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::athlete::{Athlete, Sensor};
use crate::doubt::EffortDoubt;
use crate::first_threshold::{FactorFrom, HeldRun, factor_on, lower_factor};
use crate::ids::{AthleteId, CalibrationId, LaboratoryId, RaceId, TestId};
use crate::laboratory::LaboratoryValue;
use crate::markers::{self, Attempt, Derived, Held, MarkerEvidence, MarkerName, Markers, held};
use crate::medication::{Medication, medicated, same_dose};
use crate::physiology::conditions::Conditions;
use crate::physiology::thresholds::SecondThresholdShare;
use crate::race::{Race, Ran, as_twenty_minutes};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::rules::{RulesFrom, rules_on};
use crate::screening;
use crate::test::{Performance, Test, TestConditions, TestKind};
use crate::units::{Distance, HeartRate, Origin};
use crate::zones::{self, FIVE_ZONES, Scheme, Zones};

/// What stands behind a calibration: a test, or what stands in for one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Basis {
    /// The test it is or stands in for: running that one renews it.
    pub kind: TestKind,
    /// When it was run or measured.
    pub on: NaiveDate,
    /// The share of it LT2 was taken as: of a 20-minute test, or of the speed of one read from a race.
    #[serde(default, skip_serializing_if = "SecondThresholdShare::is_usual")]
    pub share: SecondThresholdShare,
    /// What it is.
    #[serde(flatten)]
    pub stands_on: StandsOn,
}

/// What a number was read from. A test is written as it was before there was anything else.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StandsOn {
    /// A field test.
    Test(TestId),
    /// A race.
    Race {
        /// Which.
        id: RaceId,
        /// How far it was.
        distance: Distance,
    },
    /// A laboratory value.
    Laboratory {
        /// Which.
        id: LaboratoryId,
        /// The marker it gives.
        marker: MarkerName,
    },
}

impl Basis {
    /// A field test, LT2 at the usual share of it.
    pub fn of_test(kind: TestKind, on: NaiveDate, test: TestId) -> Self {
        let share = SecondThresholdShare::default();
        Self { kind, on, share, stands_on: StandsOn::Test(test) }
    }

    /// The test, where it is one.
    pub fn test(&self) -> Option<TestId> {
        match self.stands_on {
            StandsOn::Test(test) => Some(test),
            StandsOn::Race { .. } | StandsOn::Laboratory { .. } => None,
        }
    }
}

/// Markers and zones in force from a date.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// Identity in the library.
    pub id: CalibrationId,
    /// Whose.
    pub athlete: AthleteId,
    /// In force from this day on, until a later one.
    pub from: NaiveDate,
    /// What stands behind it: the newest test of each kind, or what stands in for one.
    pub basis: Vec<Basis>,
    /// The markers.
    pub markers: Markers,
    /// The zones as they were handed out.
    pub zones: Zones,
}

impl Calibration {
    /// The newest race these zones stand on in place of a test.
    pub fn race_in_place_of(&self, kind: TestKind) -> Option<&Basis> {
        let raced = |basis: &&Basis| matches!(basis.stands_on, StandsOn::Race { .. });
        let of_kind = self.basis.iter().filter(|basis| basis.kind == kind);
        of_kind.filter(raced).max_by_key(|basis| basis.on)
    }
}

/// A peak heart rate is believed only where at least this share of the effort had a trustworthy
/// heart rate (judgement).
const CREDIBLE_PEAK_SHARE: f64 = 0.9;

/// Markers and zones that would come into force, and what has to be said about them first.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What stands behind them, shortest test first.
    pub basis: Vec<Basis>,
    /// Markers, critical speed, remarks.
    pub derived: Derived,
    /// The zones of the athlete's scheme.
    pub zones: Zones,
}

impl Proposal {
    /// Whether a remark forbids handing it out.
    pub fn is_spoiled(&self) -> bool {
        self.derived.remarks.iter().any(|remark| remark.severity == Severity::Spoils)
    }
}

/// All that is known of an athlete that bears on their markers.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// Who.
    pub athlete: &'a Athlete,
    /// Their tests, in any order; only accepted ones count.
    pub tests: &'a [Test],
    /// Their races and time trials.
    pub races: &'a [Race],
    /// What laboratories found.
    pub laboratory: &'a [LaboratoryValue],
    /// The factors from LT2 to LT1 heart rate the coach chose.
    pub factors: &'a [FactorFrom],
    /// Spans on rate-lowering medication, where they are dated.
    pub medications: &'a [Medication],
    /// What is noted of where and in what weather tests were run.
    pub conditions: &'a [TestConditions],
    /// The rules the coach chose for the library.
    pub rules: &'a [RulesFrom],
    /// The scheme their zones follow.
    pub scheme: &'a Scheme,
    /// The remarks about tests, as far as they are at hand.
    pub judged: Option<&'a HashMap<TestId, Vec<Remark>>>,
}

impl<'a> Facts<'a> {
    /// An athlete of whom only tests are known.
    pub fn of_tests(athlete: &'a Athlete, tests: &'a [Test]) -> Self {
        Self {
            athlete,
            tests,
            races: &[],
            laboratory: &[],
            factors: &[],
            medications: &[],
            conditions: &[],
            rules: &[],
            scheme: &FIVE_ZONES,
            judged: None,
        }
    }

    /// The accepted tests up to a day.
    fn counted(&self, on: NaiveDate) -> impl Iterator<Item = &'a Test> {
        self.tests.iter().filter(move |t| t.decision.is_accepted() && t.on <= on)
    }

    /// The newest test of a kind that zones follow from.
    fn newest(&self, kind: TestKind, on: NaiveDate) -> Option<&'a Test> {
        // the kind first: a trend asks this of each of many tests
        let of_kind = self.tests.iter().filter(|t| t.kind == kind && t.on <= on);
        of_kind.filter(|t| t.decision.sets_zones()).max_by_key(|t| (t.on, t.id))
    }

    /// The newest accepted test of a kind, also one that renewed the date and kept the zones.
    pub fn newest_run(&self, kind: TestKind, on: NaiveDate) -> Option<Attempt> {
        let test = self.counted(on).filter(|t| t.kind == kind).max_by_key(|t| (t.on, t.id))?;
        Some(self.attempt_of(test, on))
    }

    /// What is noted of a test's conditions.
    pub fn conditions_of(&self, test: TestId) -> Conditions {
        self.conditions
            .iter()
            .rev()
            .find(|noted| noted.test == test)
            .map_or_else(Conditions::default, |noted| noted.conditions)
    }

    /// How much a test's remarks doubt it.
    pub fn doubt_of(&self, test: &Test) -> EffortDoubt {
        let remarks = self.judged.and_then(|judged| judged.get(&test.id)).map(Vec::as_slice);
        EffortDoubt::of_test(test, remarks)
    }

    /// A test as markers take it on a day. A heart rate measured on another medication or dose than
    /// the day's is left out.
    fn attempt_of(&self, test: &Test, on: NaiveDate) -> Attempt {
        let mut performance = test.performance;
        if !same_dose(self.medications, test.on, on) {
            performance.mean_heart_rate = None;
        }
        Attempt {
            performance,
            first: !self.counted(test.on).any(|t| t.kind == test.kind && t.id != test.id),
            doubt: self.doubt_of(test),
            on: Some(test.on),
            conditions: self.conditions_of(test.id),
        }
    }

    /// How a 40-minute test was held, by what was known on its day.
    pub(crate) fn held(&self, test: &Test) -> Held {
        let forty = Some(self.attempt_of(test, test.on));
        held(&MarkerEvidence { forty, ..self.evidence_of_target(test.on) })
    }

    /// The 40-minute tests as checks of their own target, newest last; one without remarks at hand
    /// counts as one that did not fade.
    pub fn held_runs(&self, on: NaiveDate) -> Vec<HeldRun> {
        let mut held: Vec<&Test> =
            self.counted(on).filter(|t| t.kind == TestKind::FortyMinutes).collect();
        held.sort_by_key(|t| (t.on, t.id));
        let fade = |finding: &Finding| match finding {
            Finding::Fade { speed_per_beat: Some(change), .. } => Some(-100.0 * change),
            Finding::Fade { slower_by, .. } => Some(100.0 * slower_by),
            _ => None,
        };
        held.into_iter()
            .map(|test| {
                let remarks = self.judged.and_then(|judged| judged.get(&test.id));
                let found = remarks.and_then(|all| all.iter().find_map(|r| fade(&r.finding)));
                let heat = self.conditions_of(test.id).heat();
                HeldRun { on: test.on, fade_percent: found.unwrap_or(0.0), heat }
            })
            .collect()
    }

    /// The evidence for markers on a day.
    pub fn evidence(&self, on: NaiveDate) -> MarkerEvidence {
        let off_medication = |day| !medicated(self.athlete, self.medications, day);
        let peaks = self.counted(on).filter(|t| t.kind.all_out() && off_medication(t.on));
        let raced = self.races.iter().filter(|race| race.on <= on && off_medication(race.on));
        let race_peaks = raced.filter_map(|race| race.result?.peak_heart_rate);
        MarkerEvidence {
            five: self.newest_attempt(TestKind::FiveMinutes, on),
            forty: self.newest_attempt(TestKind::FortyMinutes, on),
            peak: peaks.filter_map(|t| peak(&t.performance)).chain(race_peaks).reduce(higher),
            ..self.evidence_of_target(on)
        }
    }

    /// As far as the target of the 40-minute test follows from it: a trend asks it of every such test.
    fn evidence_of_target(&self, on: NaiveDate) -> MarkerEvidence {
        let raced = self.races.iter().filter(|race| race.on <= on);
        MarkerEvidence {
            five: None,
            twenty: self.newest_attempt(TestKind::TwentyMinutes, on),
            forty: None,
            race: raced
                .filter_map(Race::ran)
                .filter(|race| as_twenty_minutes(race).is_some())
                .max_by_key(|race| (race.on, race.race)),
            laboratory: self.laboratory.iter().filter(|value| value.on <= on).cloned().collect(),
            factor: factor_on(self.factors, on),
            rules: rules_on(self.rules, on),
            entered_maximum: self.athlete.max_heart_rate,
            resting: self.athlete.resting_heart_rate,
            peak: None,
            age: self.athlete.born.and_then(|born| screening::age(born, on)),
            rate_lowering_medication: medicated(self.athlete, self.medications, on),
            wrist_sensor: self.athlete.sensor == Some(Sensor::Wrist),
        }
    }

    fn newest_attempt(&self, kind: TestKind, on: NaiveDate) -> Option<Attempt> {
        Some(self.attempt_of(self.newest(kind, on)?, on))
    }
}

/// What an athlete's accepted tests, races and laboratory values up to a day say; `None` without any.
pub fn propose(facts: &Facts<'_>, on: NaiveDate) -> Option<Proposal> {
    let evidence = facts.evidence(on);
    let tested = [evidence.five, evidence.twenty, evidence.forty].iter().any(Option::is_some);
    if !tested && evidence.race.is_none() && evidence.laboratory.is_empty() {
        return None;
    }
    let mut derived = markers::derive(&evidence);
    let basis = basis(facts, &evidence, &derived.markers, on);
    derived.remarks.extend(lower_factor(&facts.held_runs(on), evidence.factor).map(|factor| {
        let finding = Finding::LowerFactorOffered { factor: factor.ratio() };
        Remark::new(finding, Severity::Note, BearsOn::HeartRate)
    }));
    let zones = zones::derive(&derived.markers, facts.scheme);
    Some(Proposal { basis, derived, zones })
}

/// What the markers were read from, told by their origins: what a newer laboratory value or a race
/// replaced whole stands behind nothing.
fn basis(
    facts: &Facts<'_>,
    evidence: &MarkerEvidence,
    markers: &Markers,
    on: NaiveDate,
) -> Vec<Basis> {
    let mut basis = Vec::new();
    let usual = SecondThresholdShare::default();
    let untargeted = held(evidence) == Held::Untargeted;
    for kind in TestKind::ALL {
        let of_lt2 = kind == TestKind::TwentyMinutes;
        let share = if of_lt2 { evidence.rules.second_threshold } else { usual };
        let marker = markers.get(MarkerName::of(kind));
        let measured = marker.speed.is_some_and(|e| e.origin == Origin::Measured)
            || marker.heart_rate.is_some_and(|e| e.origin == Origin::Measured)
            || (kind == TestKind::FortyMinutes && untargeted);
        if let Some(test) = facts.newest(kind, on).filter(|_| measured) {
            basis.push(Basis { kind, on: test.on, share, stands_on: StandsOn::Test(test.id) });
        }
        let by_race = |race: &Ran| Basis {
            kind,
            on: race.on,
            share,
            stands_on: StandsOn::Race { id: race.race, distance: race.distance },
        };
        let raced = of_lt2 && marker.speed.is_some_and(|e| e.origin == Origin::ByRule);
        basis.extend(evidence.race.as_ref().filter(|_| raced).map(by_race));
        let named = MarkerName::ALL.into_iter().filter(|name| name.renewed_by() == kind);
        basis.extend(named.filter_map(|name| in_laboratory(evidence, markers, name)));
    }
    basis
}

fn in_laboratory(evidence: &MarkerEvidence, markers: &Markers, name: MarkerName) -> Option<Basis> {
    let marker = markers.get(name);
    let entered = marker.speed.is_some_and(|e| e.origin == Origin::Entered)
        || marker.heart_rate.is_some_and(|e| e.origin == Origin::Entered);
    let value = evidence.newest_in_laboratory(name).filter(|_| entered)?;
    let stands_on = StandsOn::Laboratory { id: value.id, marker: name };
    let share = SecondThresholdShare::default();
    Some(Basis { kind: name.renewed_by(), on: value.on, share, stands_on })
}

fn peak(performance: &Performance) -> Option<HeartRate> {
    let credible = performance.heart_rate_share.ratio() >= CREDIBLE_PEAK_SHARE;
    performance.peak_heart_rate.filter(|_| credible)
}

fn higher(a: HeartRate, b: HeartRate) -> HeartRate {
    if b > a { b } else { a }
}
