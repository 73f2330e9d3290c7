//! Every number of an athlete's page with where it comes from.

use chrono::NaiveDate;
use pacewright_core::balance::{Balance, balance, is_growing};
use pacewright_core::calibration::{Basis, Calibration, StandsOn, propose};
use pacewright_core::format::{day, pace, pace_unit, percent, percent_and_error, race_distance};
use pacewright_core::ids::TestId;
use pacewright_core::markers::{MarkerEvidence, MarkerName, Markers, derive};
use pacewright_core::outlook::{NoOutlook, Outlook, efforts, outlook, usual};
use pacewright_core::race::Race;
use pacewright_core::remark::{BearsOn, Finding};
use pacewright_core::screening::age;
use pacewright_core::sources::{From, Rule, WhereFrom, where_from};
use pacewright_core::test::TestKind;
use pacewright_core::units::{Distance, UnitSystem};
use pacewright_core::words;

use crate::Now;
use crate::book::Page;
use crate::qualities::{qualities, share_on};

/// A number of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Number {
    /// The pace or heart rate of a marker.
    Marker(MarkerName, BearsOn),
    /// The edge above a zone of another scheme than the five, by the zone's number.
    Edge(u8),
    /// The change of a quality.
    Change(TestKind),
    /// When to test again.
    Retest,
    /// What a race may take.
    Outlook,
    /// The weakest quality.
    Balance,
    /// Critical speed, where it contradicts LT2.
    CriticalSpeed,
    /// What one test says, with its error.
    Test(TestId),
}

/// A number with its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Which.
    pub number: Number,
    /// What it is: "LT2 pace, 4:10 per km, 3:45 to 4:41".
    pub what: String,
    /// Where it comes from, in sentences.
    pub answer: String,
}

/// What races may take: the usual distances, then goal races still to come.
#[derive(Debug, Clone, PartialEq)]
pub struct Races {
    /// By distance.
    pub usual: Vec<(Distance, Result<Outlook, NoOutlook>)>,
    /// By day.
    pub goals: Vec<(Race, Result<Outlook, NoOutlook>)>,
}

/// What races may take on a day; `None` without any all-out effort of the last 24 weeks.
pub fn races(page: &Page, today: NaiveDate) -> Option<Races> {
    let efforts = efforts(&page.facts(&page.tests), today);
    if efforts.is_empty() {
        return None;
    }
    let mut goals: Vec<&Race> =
        page.beside.races.iter().filter(|r| r.result.is_none() && r.on >= today).collect();
    goals.sort_by_key(|race| (race.on, race.id));
    Some(Races {
        usual: usual(&efforts),
        goals: goals
            .into_iter()
            .map(|race| (race.clone(), outlook(&efforts, race.distance)))
            .collect(),
    })
}

/// How the three qualities of zones stand to each other, and whether the athlete is too young for it.
pub fn balance_of(page: &Page, zones: &Calibration, today: NaiveDate) -> (Option<Balance>, bool) {
    let age = page.athlete.born.and_then(|born| age(born, today));
    (balance(&zones.markers, age), is_growing(age))
}

/// Every number of the page that can be asked, in its order.
pub fn answers(page: &Page, units: UnitSystem, now: &Now) -> Vec<Answer> {
    let today = now.today;
    let mut answers =
        page.current(today).map_or_else(Vec::new, |zones| markers(page, zones, units));
    for trend in page.trends(today) {
        let Some(change) = trend.change else { continue };
        answers.push(Answer {
            number: Number::Change(trend.kind),
            what: format!(
                "The change of the {} since {}, {}",
                words::quality(trend.kind).to_lowercase(),
                day(change.from),
                percent_and_error(change.percent, change.error_percent)
            ),
            answer: said(From::AllTests(trend.kind), Rule::Trend),
        });
    }
    let retest = Answer {
        number: Number::Retest,
        what: format!("When to test again: {}", all_next(page, now)),
        answer: said(From::Roster, Rule::RetestWindow).replacen(
            "From what is known of the athlete",
            "From the last test of each kind",
            1,
        ),
    };
    answers.push(retest);
    answers.extend(races(page, today).and_then(|races| of_race(&races)));
    let found = page.current(today).and_then(|zones| balance_of(page, zones, today).0);
    answers.extend(found.map(|found| {
        let weakest = found.weakest.map_or_else(
            || "none is called weak".to_owned(),
            |kind| words::quality(kind).to_lowercase(),
        );
        Answer {
            number: Number::Balance,
            what: format!("The weakest quality: {weakest}"),
            answer: said(From::Markers, Rule::Balance),
        }
    }));
    answers.extend(critical_speed(page, units, today));
    answers.extend(marks(page, units, today));
    answers
}

/// "5 minutes due by 18 December, 20 minutes due by 3 December".
fn all_next(page: &Page, now: &Now) -> String {
    let due = page.due(now);
    let each =
        due.iter().map(|due| format!("{} minutes {}", due.kind.minutes(), words::next_test(due)));
    each.collect::<Vec<_>>().join(", ")
}

/// The race spoken of where one stands for all, metres (judgement: between the shortest and the longest).
const SPOKEN_OF_M: f64 = 10_000.0;

/// What a race may take, by the one that is spoken of, or the first that anything can be said of.
fn of_race(races: &Races) -> Option<Answer> {
    let known = || races.usual.iter().filter_map(|(far, outlook)| Some((*far, outlook.ok()?)));
    let spoken_of = known().find(|(far, _)| far.m() >= SPOKEN_OF_M);
    let (distance, outlook) = spoken_of.or_else(|| known().next())?;
    Some(Answer {
        number: Number::Outlook,
        what: format!(
            "What a race may take, {} in {}",
            race_distance(distance),
            words::race_time(&outlook)
        ),
        answer: said(From::AllOut, Rule::Outlook { exponent: outlook.exponent, own: outlook.own }),
    })
}

/// Critical speed, where the page speaks of it: where it contradicts LT2.
fn critical_speed(page: &Page, units: UnitSystem, today: NaiveDate) -> Option<Answer> {
    let derived = propose(&page.facts(&page.tests), today)?.derived;
    let apart =
        derived.remarks.iter().any(|r| matches!(r.finding, Finding::CriticalSpeedApart { .. }));
    let speed = derived.critical_speed.filter(|_| apart)?.speed;
    Some(Answer {
        number: Number::CriticalSpeed,
        what: format!("Critical speed, {} per {}", pace(speed, units), pace_unit(units)),
        answer: said(From::BothAllOut, Rule::CriticalSpeed),
    })
}

/// What each test that counts says, newest first.
fn marks(page: &Page, units: UnitSystem, today: NaiveDate) -> Vec<Answer> {
    let share = share_on(page, today);
    let of_quality = qualities(page, today).into_iter().flat_map(|quality| {
        let kind = quality.kind();
        quality.series.readings.into_iter().map(move |reading| (kind, reading))
    });
    let mut read: Vec<_> = of_quality.collect();
    read.sort_by_key(|(_, reading)| std::cmp::Reverse((reading.on, reading.test)));
    let told = read.into_iter().filter_map(|(kind, reading)| {
        let test = page.tests.iter().find(|test| test.id == reading.test)?;
        Some(Answer {
            number: Number::Test(reading.test),
            what: format!(
                "The {} of {}, {}",
                words::test(kind),
                day(reading.on),
                words::mark(kind, &reading, units)
            ),
            answer: words::of_test(test, share, reading.practice),
        })
    });
    told.collect()
}

fn said(from: From, rule: Rule) -> String {
    words::where_from(&WhereFrom::of(from, rule))
}

/// The numbers of the zones in force. Where what was known on their day has changed since, the
/// answer says so instead of telling another story.
fn markers(page: &Page, zones: &Calibration, units: UnitSystem) -> Vec<Answer> {
    let mut evidence = page.facts(&page.tests).evidence(zones.from);
    // zones say themselves by which share of a test they were made, also on the day it was changed
    let by_share = |basis: &&Basis| {
        let entered = matches!(basis.stands_on, StandsOn::Laboratory { .. });
        basis.kind == TestKind::TwentyMinutes && !entered
    };
    if let Some(basis) = zones.basis.iter().find(by_share) {
        evidence.rules.second_threshold = basis.share;
    }
    let mut answers = of_markers(&evidence, &zones.markers, units);
    if derive(&evidence).markers != zones.markers {
        for answer in &mut answers {
            answer.answer = changed_since(zones);
        }
    }
    answers.extend(edges(page, zones));
    answers
}

/// The edges of another scheme than the five: a share of a marker, whose own answer stands above.
fn edges(page: &Page, zones: &Calibration) -> Vec<Answer> {
    let scheme = &page.scheme;
    let Some(name) = zones.zones.scheme.as_deref().filter(|name| scheme.name() == Some(*name))
    else {
        return Vec::new();
    };
    let pairs =
        scheme.edges().iter().zip(zones.zones.zones.iter().zip(zones.zones.zones.iter().skip(1)));
    pairs
        .map(|(edge, (below, above))| Answer {
            number: Number::Edge(below.number),
            what: format!("The edge between {} and {}", below.name, above.name),
            answer: format!(
                "{} of the speed and {} of the heart rate at {}, by the scheme {name}. Entered: the coach's own scheme.",
                percent(edge.of_speed),
                percent(edge.of_heart_rate),
                words::marker(edge.marker)
            ),
        })
        .collect()
}

/// Every number of some markers.
pub(crate) fn of_markers(
    evidence: &MarkerEvidence,
    markers: &Markers,
    units: UnitSystem,
) -> Vec<Answer> {
    let numbers = MarkerName::ALL
        .into_iter()
        .flat_map(|name| [(name, BearsOn::Speed), (name, BearsOn::HeartRate)]);
    let told = numbers.filter_map(|(name, bears_on)| {
        let marker = markers.get(name);
        let (of, range) = match bears_on {
            BearsOn::Speed if name == MarkerName::Vo2max => {
                ("", words::speed_range(&marker.speed?, units))
            }
            BearsOn::Speed => (" pace", words::speed_range(&marker.speed?, units)),
            BearsOn::HeartRate => (" heart rate", words::beats_range(&marker.heart_rate?)),
        };
        let found = where_from(evidence, markers, name, bears_on);
        Some(Answer {
            number: Number::Marker(name, bears_on),
            what: format!("{}{of}, {range}", words::marker_heading(name)),
            answer: found.as_ref().map_or_else(String::new, words::where_from),
        })
    });
    told.collect()
}

fn changed_since(zones: &Calibration) -> String {
    let stood_on: Vec<String> =
        zones.basis.iter().map(|basis| words::stands_on_of(basis, day)).collect();
    format!(
        "From what was known when these zones came into force ({}). Something of it was changed since.",
        if stood_on.is_empty() { "nothing tested".to_owned() } else { stood_on.join(", ") }
    )
}
