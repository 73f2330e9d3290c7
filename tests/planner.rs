//! The planner held against the outside: an independent checker of the hard rules over thousands of
//! random squads, and exact optima of a general-purpose solver.

pub(crate) mod checker;
pub(crate) mod squads;

use pacewright_core::plan::{Broken, FIRST_ZONES, MOST_DATES, NoPlan, Plan, WhyNot, propose};
use serde::Deserialize;

use checker::broken_rules;
use squads::{PlainSquad, Tested, never_tested, random, random_of};

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
    // the last two: squads whose prices lie far from where they are looked for first
    for seed in (0..6).chain([38, 79]) {
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

#[test]
fn a_plan_is_stopped_in_each_of_its_parts() {
    let squad = random_of(38, 120, 12);
    let facts = squad.facts();
    let question = squad.question(&facts);
    let mut told = Vec::new();
    let _plan = propose(&question, &mut |done| {
        told.push(done);
        true
    });
    assert!(told.windows(2).all(|pair| pair[0] <= pair[1]), "{told:?}");
    // choices are listed, dates priced, the plan improved, and proved
    for part in [0.0..0.001, 0.001..0.2, 0.2..0.7, 0.7..1.0] {
        let last = told.iter().rposition(|done| part.contains(done)).unwrap();
        let mut asked = 0;
        let stopped = propose(&question, &mut |_| {
            asked += 1;
            asked <= last
        });
        assert_eq!((stopped, asked), (Err(NoPlan::Stopped), last + 1), "{part:?}");
    }
    // hundreds of steps are not gone without asking
    let priced = told.iter().filter(|done| (0.001..0.2).contains(*done)).count();
    assert!(priced >= 5, "{told:?}");
}

/// What is wrong with one more test of an athlete on each meeting, beside what is booked.
fn wrong_with_one_more(
    squad: &PlainSquad,
    booked: &[Vec<Tested>],
    (athlete, minutes): (usize, u32),
) -> Vec<Vec<String>> {
    let with = |on| {
        let mut more = booked.to_vec();
        more.resize(squad.athletes.len(), Vec::new());
        more[athlete].push(Tested { minutes, on });
        broken_rules(squad, &more)
    };
    squad.meetings.iter().map(|meeting| with(meeting.on)).collect()
}

/// Each first 20-minute test that the rules leave a date, and the places of those dates.
fn first_zones(squad: &PlainSquad) -> Vec<Vec<usize>> {
    let needs = |athlete: usize| {
        let plain = &squad.athletes[athlete];
        plain.gives_first_zones(20) && plain.fixed.iter().all(|fixed| fixed.minutes != 20)
    };
    let open = |athlete| {
        let wrong = wrong_with_one_more(squad, &[], (athlete, 20));
        (0..wrong.len()).filter(|date| wrong[*date].is_empty()).collect()
    };
    (0..squad.athletes.len()).filter(|athlete| needs(*athlete)).map(open).collect()
}

/// The most of them that can have a place, by augmenting paths (Kuhn HW. Nav Res Logist Q 1955;2:83-97,
/// doi 10.1002/nav.3800020109, from memory).
fn most_first_zones(squad: &PlainSquad) -> usize {
    fn moves_in(
        who: usize,
        open: &[Vec<usize>],
        room: &[usize],
        on: &mut [Vec<usize>],
        seen: &mut [bool],
    ) -> bool {
        for date in open[who].clone() {
            if std::mem::replace(&mut seen[date], true) {
                continue;
            }
            let moved = if on[date].len() < room[date] {
                on[date].push(who);
                true
            } else {
                let other = |place: usize, on: &mut [Vec<usize>], seen: &mut [bool]| {
                    let moves = moves_in(on[date][place], open, room, on, seen);
                    if moves {
                        on[date][place] = who;
                    }
                    moves
                };
                (0..on[date].len()).any(|place| other(place, on, seen))
            };
            if moved {
                return true;
            }
        }
        false
    }
    let open = first_zones(squad);
    let fixed = |on| squad.athletes.iter().flat_map(|a| &a.fixed).filter(|f| f.on == on).count();
    let room: Vec<usize> = squad
        .meetings
        .iter()
        .map(|meeting| (meeting.capacity as usize).saturating_sub(fixed(meeting.on)))
        .collect();
    let mut on = vec![Vec::new(); room.len()];
    let mut seated = |who| moves_in(who, &open, &room, &mut on, &mut vec![false; room.len()]);
    (0..open.len()).filter(|who| seated(*who)).count()
}

#[test]
fn whoever_has_no_zones_goes_before_any_number_of_other_tests() {
    let (mut waiting, mut others) = (0, 0);
    for seed in 0..460 {
        let squad = match seed {
            0..400 => random(seed, 12, 6),
            400..450 => random(seed, 40, 10),
            _ => random_of(seed, 120, 12),
        };
        let squad = if seed % 2 == 0 { squad.scarce() } else { squad };
        let plan = plan(&squad);
        // what is left open is no first test
        assert!(plan.may_miss < FIRST_ZONES, "seed {seed}: {}", plan.may_miss);
        let booked = booked(&plan);
        let is_first = |athlete: usize, test: &&Tested| {
            squad.athletes[athlete].gives_first_zones(test.minutes)
        };
        let placed = booked.iter().enumerate();
        let first: usize =
            placed.map(|(a, tests)| tests.iter().filter(|test| is_first(a, test)).count()).sum();
        assert_eq!(first, most_first_zones(&squad), "seed {seed}: {squad:?}");
        waiting += usize::from(first < first_zones(&squad).len());
        others += booked.iter().flatten().count() - first;
    }
    // squads in which all have room, or nobody else, would prove nothing
    assert!(waiting > 50 && others > 1_000, "{waiting} {others}");
}

#[test]
fn the_reason_for_no_date_is_true() {
    let (mut full, mut own, mut rules) = (0, 0, 0);
    for seed in 0..300 {
        let squad = random(seed, 14, 6).scarce();
        let plan = plan(&squad);
        let booked = booked(&plan);
        for one in &plan.unplaced {
            let who = usize::try_from(one.athlete.0).unwrap();
            let (mut alone, mut unbooked) = (squad.clone(), booked.clone());
            alone.athletes[who].fixed.clear();
            unbooked.resize(squad.athletes.len(), Vec::new());
            unbooked[who].clear();
            let of_room = |fault: &String| fault.contains("room for");
            let wrong = wrong_with_one_more(&squad, &booked, (who, one.kind.minutes()));
            let by_rule = |wrong: &[Vec<String>]| {
                wrong.iter().all(|faults| faults.iter().any(|fault| !of_room(fault)))
            };
            let without_own = wrong_with_one_more(&alone, &unbooked, (who, one.kind.minutes()));
            let said = format!("seed {seed}: {one:?}: {wrong:?}");
            // whatever is said, there is no date left for it
            assert!(wrong.iter().all(|faults| !faults.is_empty()), "{said}");
            match one.why {
                WhyNot::Full { first } => {
                    full += 1;
                    let at = squad.meetings.iter().position(|m| m.on == first).unwrap();
                    assert!(wrong[at].iter().all(of_room), "{said}");
                    assert!(by_rule(&wrong[..at]), "an earlier one is free but for room: {said}");
                }
                WhyNot::OwnTests { .. } => {
                    own += 1;
                    // of a 40-minute test the target may be their own test's to give
                    let mut but_target = without_own;
                    for faults in &mut but_target {
                        faults.retain(|fault| !fault.ends_with("no target"));
                    }
                    assert!(by_rule(&wrong) && !by_rule(&but_target), "{said}");
                }
                WhyNot::Rule(Broken::NoTarget { .. }) => assert!(by_rule(&wrong), "{said}"),
                WhyNot::Rule(_) => {
                    rules += 1;
                    assert!(by_rule(&wrong) && by_rule(&without_own), "{said}");
                }
                WhyNot::NotOpen { .. } => panic!("nothing fresh was asked for: {said}"),
            }
        }
    }
    assert!(full > 500 && own > 20 && rules > 100, "{full} {own} {rules}");
}

#[test]
fn half_a_year_of_little_room_goes_to_first_zones() {
    let squad = never_tested(40, MOST_DATES, 1);
    let plan = plan(&squad);
    assert_eq!(broken_rules(&squad, &booked(&plan)), Vec::<String>::new());
    // nothing else has a place, and that is proven
    let firsts = u32::try_from(MOST_DATES).unwrap() * FIRST_ZONES;
    assert_eq!((plan.weight, plan.may_miss), (firsts, 0));
}
