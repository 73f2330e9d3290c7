//! How long a plan takes: 60 athletes on 8 dates (budget 1 s), 500 on 12 (budget 10 s), each beside its
//! lower bound, the bare listing of what every athlete could do on the dates; and once each, 500 who were
//! never tested on 26 (budget 20 s).

use std::hint::black_box;
use std::time::Instant;

use pacewright_core::plan::{may_stand, propose};
use pacewright_core::test::TestKind;

#[expect(
    dead_code,
    clippy::unwrap_used,
    clippy::panic,
    reason = "the squads of the tests; the benches need a part of them"
)]
#[path = "../planner/squads.rs"]
mod squads;

use squads::{PlainSquad, never_tested, random_of};

#[expect(clippy::print_stdout, reason = "what was planned stands beside how long it took")]
fn main() {
    let random = |athletes, dates| (athletes, dates, random_of(2026, athletes, dates));
    let unplanned = |capacity| (500, 26, never_tested(500, 26, capacity));
    for (athletes, dates, squad) in [random(60, 8), random(500, 12), unplanned(5), unplanned(20)] {
        let began = Instant::now();
        let facts = squad.facts();
        let plan = propose(&squad.question(&facts), &mut |_| true);
        if let Ok(plan) = plan {
            println!(
                "{athletes} athletes, {dates} dates: {} placed, weight {}, may miss {}, exact {}, {:.1} s",
                plan.placed.len(),
                plan.weight,
                plan.may_miss,
                plan.exact,
                began.elapsed().as_secs_f64()
            );
        }
    }
    divan::main();
}

#[divan::bench(args = [(60, 8), (500, 12)], sample_count = 5, sample_size = 1)]
fn plan(bencher: divan::Bencher<'_, '_>, (athletes, dates): (usize, usize)) {
    let squad = random_of(2026, athletes, dates);
    let facts = squad.facts();
    bencher.bench_local(|| propose(black_box(&squad.question(&facts)), &mut |_| true));
}

/// Asking the rules once for each athlete, test and date is what no planner can do without.
#[divan::bench(args = [(60, 8), (500, 12)], sample_count = 5, sample_size = 1)]
fn rules_alone(bencher: divan::Bencher<'_, '_>, (athletes, dates): (usize, usize)) {
    let squad = random_of(2026, athletes, dates);
    let facts = squad.facts();
    bencher.bench_local(|| ask_all(black_box(&squad), &facts));
}

fn ask_all(squad: &PlainSquad, facts: &squads::Facts) -> usize {
    let question = squad.question(facts);
    let mut allowed = 0;
    for candidate in &question.candidates {
        for meeting in &question.meetings {
            for kind in TestKind::ALL {
                let test = pacewright_core::plan::Stands { kind, on: meeting.on, at: None };
                let may = may_stand(&candidate.person, test, &candidate.fixed, question.today);
                allowed += usize::from(may.is_ok());
            }
        }
    }
    allowed
}
