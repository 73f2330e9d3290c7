//! Half a year of the demo squad with a plan each Monday: the hard rules by the independent checker, and
//! how many possible tests fall inside their window, beside testing whoever is there.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use pacewright_core::athlete::Screening;
use pacewright_core::race::Priority;
use pacewright_core::test::TestKind;
use pacewright_demo::planning::{CAPACITY, Outcome, Tested as Ran, Way, half_year};
use pacewright_desk::book::Page;

use crate::planner::checker::broken_rules;
use crate::planner::squads::{
    PlainAthlete, PlainAway, PlainMeeting, PlainRace, PlainScreening, PlainSquad, Tested,
};

/// A Monday.
fn from() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 23).unwrap()
}

/// An athlete's page as the checker knows it.
fn plain(page: &Page) -> PlainAthlete {
    let tests = page.tests.iter();
    let run: Vec<Tested> =
        tests.map(|test| Tested { minutes: test.kind.minutes(), on: test.on }).collect();
    PlainAthlete {
        born: page.athlete.born.unwrap(),
        consent: page.athlete.guardian_consent,
        screening: match page.athlete.screening {
            Screening::Cleared { on } => PlainScreening::Cleared { cleared: on },
            Screening::Hold { .. } => PlainScreening::Hold { _hold: true },
            Screening::NotAsked => PlainScreening::NotAsked { _not_asked: true },
        },
        aways: page
            .aways
            .iter()
            .map(|away| PlainAway {
                kind: pacewright_core::words::away(away.kind).to_owned(),
                from: away.from,
                to: away.to,
                well_on: away.well_on,
            })
            .collect(),
        races: page
            .beside
            .races
            .iter()
            .map(|race| PlainRace {
                on: race.on,
                metres: race.distance.m(),
                goal: race.priority == Priority::Goal,
            })
            .collect(),
        target_from: run.iter().filter(|t| t.minutes == 20).map(|t| t.on).min(),
        run,
        fixed: Vec::new(),
    }
}

/// Every test of half a year before the checker, day by day.
fn faults(outcome: &Outcome) -> Vec<String> {
    let mut by_day: BTreeMap<NaiveDate, Vec<&Ran>> = BTreeMap::new();
    for ran in &outcome.tested {
        by_day.entry(ran.on).or_default().push(ran);
    }
    let day = |(on, ran): (NaiveDate, Vec<&Ran>)| {
        let squad = PlainSquad {
            today: on,
            meetings: vec![PlainMeeting { on, capacity: CAPACITY }],
            athletes: ran.iter().map(|ran| plain(&ran.page)).collect(),
        };
        let minutes = |kind: TestKind| kind.minutes();
        let booked: Vec<Vec<Tested>> =
            ran.iter().map(|ran| vec![Tested { minutes: minutes(ran.kind), on }]).collect();
        broken_rules(&squad, &booked)
    };
    by_day.into_iter().flat_map(day).collect()
}

#[test]
fn most_possible_tests_fall_inside_their_window_and_no_rule_is_broken() {
    let (mut planned, mut possible) = (0, 0);
    for seed in 0..3 {
        let outcome = half_year(Way::Planned, seed, from()).unwrap();
        assert_eq!(faults(&outcome), Vec::<String>::new(), "seed {seed}");
        // the squad's luck is not all good
        assert!(outcome.missed > 0 && outcome.laid_up > 0 && outcome.races > 0, "seed {seed}");
        assert!(outcome.share() >= 0.85, "seed {seed}: {:.3}", outcome.share());
        planned += outcome.inside;
        possible += outcome.possible;
    }
    assert!(possible > 300, "{planned} of {possible}");
}

#[test]
fn testing_whoever_is_there_does_worse() {
    let planned = half_year(Way::Planned, 1, from()).unwrap();
    let whoever = half_year(Way::WhoeverIsThere, 1, from()).unwrap();
    assert_eq!(faults(&whoever), Vec::<String>::new());
    assert!(whoever.share() < planned.share(), "{} {}", whoever.share(), planned.share());
}
