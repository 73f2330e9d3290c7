//! The search for the best plan: every plan where they are few enough to be told apart by how full the
//! dates are, else a start at the prices that chains of exchanges improve.

mod chains;
mod every;

use super::choices::Choice;
use super::prices::{LONG, Prices, SOON, prices};
use super::{Meeting, NoPlan};
use crate::test::TestKind;

/// Up to so many steps every plan is looked at: about half a second's work.
const EVERY: f64 = 9e6;
/// A lost unit of weight is never worth an earlier date: dropping a test saves its own days and shifts
/// at most a chain of others across the span, for each of the few dates an athlete takes.
const SPANS_A_WEIGHT: u32 = 16;

/// The best plan found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// What each athlete does.
    pub(super) chosen: Vec<Vec<(TestKind, usize)>>,
    /// The sum of weights.
    pub(super) weight: u32,
    /// No plan has more than this above it.
    pub(super) may_miss: u32,
    /// Whether it is proven best in all three aims.
    pub(super) exact: bool,
}

/// How good a plan is: more weight, fewer days, less uneven.
type Rank = (u32, std::cmp::Reverse<u32>, std::cmp::Reverse<u64>);

/// The best plan for the choices, with `room` left on each date.
///
/// # Errors
/// It was stopped.
pub(super) fn search(
    choices: &[Vec<Choice>],
    room: &[u32],
    meetings: &[Meeting],
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Found, NoPlan> {
    let room: Vec<u32> = room.iter().map(|room| (*room).min(count(choices.len()))).collect();
    let task = Task::new(choices, &room, meetings);
    let states: f64 = room.iter().map(|room| f64::from(*room) + 1.0).product();
    let all: usize = choices.iter().map(Vec::len).sum();
    if states * all as f64 <= EVERY {
        let picks = every::every(&task, goes_on)?;
        return Ok(task.found(&picks, 0, true));
    }
    let unit = |choice: &Choice| task.unit.of(choice);
    let by_unit = prices(choices, &room, &unit, (vec![0.0; room.len()], None), SOON);
    if !goes_on(0.1) {
        return Err(NoPlan::Stopped);
    }
    let picks = chains::improved(&task, task.start(&by_unit), goes_on)?;
    let weight = task.rank(&picks).0;
    let begin = by_unit.of_date.iter().map(|price| price / f64::from(task.unit.0)).collect();
    let by_weight = proof(&task, begin, weight);
    let bound = (by_weight.bound + 1e-6).floor().max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sum of weights")]
    let may_miss = (bound as u32).saturating_sub(weight);
    Ok(task.found(&picks, may_miss, false))
}

/// Prices that prove how much more than a plan's weight there can be at most.
fn proof(task: &Task<'_>, begin: Vec<f64>, reached: u32) -> Prices {
    let (worth, reached) = (|choice: &Choice| f64::from(choice.weight), Some(f64::from(reached)));
    let soon = prices(task.choices, task.room, &worth, (begin, reached), SOON);
    // where nothing is left to prove it ends where it begins
    prices(task.choices, task.room, &worth, (soon.of_date, reached), LONG)
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// What a unit of weight is worth in days.
#[derive(Debug, Clone, Copy)]
struct Unit(u32);

impl Unit {
    fn of(self, choice: &Choice) -> f64 {
        f64::from(choice.weight) * f64::from(self.0) - f64::from(choice.days)
    }
}

struct Task<'a> {
    choices: &'a [Vec<Choice>],
    room: &'a [u32],
    /// How many stand on each date already.
    taken: Vec<u32>,
    unit: Unit,
}

impl<'a> Task<'a> {
    fn new(choices: &'a [Vec<Choice>], room: &'a [u32], meetings: &[Meeting]) -> Self {
        let days = meetings.first().zip(meetings.last());
        let span = days.map_or(0, |(first, last)| (last.on - first.on).num_days());
        let unit = Unit(SPANS_A_WEIGHT * (u32::try_from(span).unwrap_or(0) + 1));
        let taken = meetings.iter().zip(room).map(|(m, room)| m.capacity.saturating_sub(*room));
        Self { choices, room, taken: taken.collect(), unit }
    }

    fn of_athlete(&self, athlete: usize) -> &'a [Choice] {
        self.choices.get(athlete).map(Vec::as_slice).unwrap_or_default()
    }

    /// Each athlete in turn takes what is worth most at the prices and still fits.
    fn start(&self, at: &Prices) -> Vec<usize> {
        let mut load = vec![0; self.room.len()];
        let mut picks = Vec::with_capacity(self.choices.len());
        for of_one in self.choices {
            let fitting = of_one.iter().enumerate().filter(|(_, choice)| self.fits(&load, choice));
            let nets = fitting.map(|(pick, choice)| (pick, at.net(choice, self.unit.of(choice))));
            let best = nets.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
            let pick = best.map_or(0, |(pick, _)| pick);
            if let Some(choice) = of_one.get(pick) {
                add(&mut load, choice, 1);
            }
            picks.push(pick);
        }
        picks
    }

    fn fits(&self, load: &[i64], choice: &Choice) -> bool {
        let free = |date: &usize| match (load.get(*date), self.room.get(*date)) {
            (Some(load), Some(room)) => *load < i64::from(*room),
            _ => false,
        };
        choice.tests.iter().all(|(_, date)| free(date))
    }

    fn picked<'p>(&'p self, picks: &'p [usize]) -> impl Iterator<Item = &'p Choice> {
        self.choices.iter().zip(picks).filter_map(|(of_one, pick)| of_one.get(*pick))
    }

    fn load(&self, picks: &[usize]) -> Vec<i64> {
        let mut load = vec![0; self.room.len()];
        self.picked(picks).for_each(|choice| add(&mut load, choice, 1));
        load
    }

    fn rank(&self, picks: &[usize]) -> Rank {
        let weight = self.picked(picks).map(|choice| choice.weight).sum();
        let days = self.picked(picks).map(|choice| choice.days).sum();
        let load: Vec<u32> =
            self.load(picks).into_iter().map(|n| u32::try_from(n).unwrap_or(0)).collect();
        self.rank_of(weight, days, &load)
    }

    fn rank_of(&self, weight: u32, days: u32, load: &[u32]) -> Rank {
        let squares = self.taken.iter().zip(load).map(|(taken, new)| {
            let all = u64::from(*taken) + u64::from(*new);
            all * all
        });
        (weight, std::cmp::Reverse(days), std::cmp::Reverse(squares.sum()))
    }

    fn found(&self, picks: &[usize], may_miss: u32, exact: bool) -> Found {
        let chosen = self.picked(picks).map(|choice| choice.tests.clone()).collect();
        Found { chosen, weight: self.rank(picks).0, may_miss, exact }
    }
}

/// Counts a choice in or out of a load.
fn add(load: &mut [i64], choice: &Choice, by: i64) {
    for (_, date) in &choice.tests {
        if let Some(count) = load.get_mut(*date) {
            *count += by;
        }
    }
}
