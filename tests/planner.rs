//! The planner held against the outside: an independent checker of the hard rules over thousands of
//! random squads, and exact optima of a general-purpose solver.

pub(crate) mod checker;
pub(crate) mod squads;

use pacewright_core::plan::{MOST_DATES, NoPlan, Plan, propose};
use serde::Deserialize;

use checker::broken_rules;
use squads::{PlainSquad, Tested, random, random_of};

fn plan(squad: &PlainSquad) -> Plan {
    let facts = squad.facts();
    propose(&squad.question(&facts), &mut |_| true).unwrap()
}

fn booked(plan: &Plan) -> Vec<Vec<Tested>> {
    let athletes = plan.placed.iter().map(|p| p.athlete.0).max().unwrap_or(0);
    let mut booked = vec![Vec::new(); usize::try_from(athletes).unwrap() + 1];
    for placed in &plan.placed {
        let place = usize::try_from(placed.athlete.0).unwrap();
        booked[place].push(Tested { minutes: placed.kind.minutes(), on: placed.on });
    }
    booked
}

#[test]
fn no_plan_for_a_random_squad_breaks_a_hard_rule() {
    let mut placed = 0;
    // mostly small ones, in which rules meet; some as large as a club
    for seed in 0..3_300 {
        let squad = if seed < 3_000 { random(seed, 12, 6) } else { random(seed, 40, 10) };
        let plan = plan(&squad);
        placed += plan.placed.len();
        let faults = broken_rules(&squad, &booked(&plan));
        assert_eq!(faults, Vec::<String>::new(), "seed {seed}: {squad:?}");
    }
    // a checker of empty plans would prove nothing
    assert!(placed > 12_000, "only {placed} tests were placed");
}

#[test]
fn the_checker_sees_what_it_is_there_for() {
    let mut seen = 0;
    for seed in 0..400 {
        let squad = random(seed, 12, 6);
        let mut booked = booked(&plan(&squad));
        booked.resize(squad.athletes.len(), Vec::new());
        // everyone runs everything on the first date
        let on = squad.meetings[0].on;
        for tests in &mut booked {
            tests.extend([5, 20, 40].map(|minutes| Tested { minutes, on }));
        }
        seen += usize::from(!broken_rules(&squad, &booked).is_empty());
    }
    assert_eq!(seen, 400);
}

#[derive(Deserialize)]
struct Reference {
    squads: Vec<Exact>,
}

#[derive(Deserialize)]
struct Exact {
    squad: PlainSquad,
    weight: u32,
    days: i64,
    squares: u64,
}

/// The optima: scipy.optimize.milp (HiGHS), by the script `reference/plans.py`, in the versions that
/// stand in `reference/plans.json`.
#[test]
fn small_squads_get_the_exact_optimum() {
    let reference: Reference = serde_json::from_str(include_str!("reference/plans.json")).unwrap();
    assert!(reference.squads.len() >= 200);
    for (index, exact) in reference.squads.iter().enumerate() {
        let plan = plan(&exact.squad);
        assert_eq!(plan.weight, exact.weight, "squad {index}: {:?}", exact.squad);
        assert_eq!(plan.may_miss, 0, "squad {index}");
        assert!(plan.exact, "squad {index}");
        assert_eq!(exact.squad.weight_of(&booked(&plan)), exact.weight, "squad {index}");
        let (days, squares) = exact.squad.days_and_squares(&booked(&plan));
        assert_eq!((days, squares), (exact.days, exact.squares), "squad {index}");
        let faults = broken_rules(&exact.squad, &booked(&plan));
        assert_eq!(faults, Vec::<String>::new(), "squad {index}");
    }
}

#[test]
fn the_same_question_has_the_same_answer() {
    for seed in [1, 2, 3] {
        let squad = random(seed, 70, 10);
        assert_eq!(plan(&squad), plan(&squad));
    }
}

#[test]
fn large_squads_keep_the_rules_and_say_what_they_may_miss() {
    for seed in 0..6 {
        let squad = random_of(seed, 120, 12);
        let plan = plan(&squad);
        assert_eq!(broken_rules(&squad, &booked(&plan)), Vec::<String>::new(), "seed {seed}");
        assert!(plan.may_miss * 100 <= plan.weight, "{} of {}", plan.may_miss, plan.weight);
    }
}

#[test]
fn dates_that_cannot_be_planned_are_named() {
    let squad = random(7, 5, 5);
    let facts = squad.facts();
    let asked = |change: &dyn Fn(&mut Vec<pacewright_core::plan::Meeting>)| {
        let mut question = squad.question(&facts);
        change(&mut question.meetings);
        propose(&question, &mut |_| true).unwrap_err()
    };
    let first = squad.meetings[0].on;
    assert_eq!(asked(&|dates| dates.clear()), NoPlan::NoDates);
    assert_eq!(asked(&|dates| dates[0].capacity = 0), NoPlan::NoRoom(first));
    let past = squad.today.pred_opt().unwrap();
    assert_eq!(asked(&|dates| dates[0].on = past), NoPlan::PastDate(past));
    assert_eq!(asked(&|dates| dates[1].on = first), NoPlan::Twice(first));
    let second = squad.meetings[1].on;
    assert_eq!(asked(&|dates| dates.swap(0, 1)), NoPlan::OutOfOrder(second, first));
    let many = |dates: &mut Vec<pacewright_core::plan::Meeting>| {
        *dates = dates.iter().cycle().take(MOST_DATES + 1).copied().collect();
    };
    assert_eq!(asked(&many), NoPlan::TooManyDates(MOST_DATES + 1));
}

#[test]
fn a_plan_is_stopped_where_it_is_told_to() {
    let squad = random(3, 120, 12);
    let facts = squad.facts();
    let mut told = Vec::new();
    let stopped = propose(&squad.question(&facts), &mut |done| {
        told.push(done);
        told.len() < 4
    });
    assert_eq!(stopped, Err(NoPlan::Stopped));
    assert_eq!(told.len(), 4);
    assert!(told.windows(2).all(|pair| pair[0] <= pair[1]), "{told:?}");
}
