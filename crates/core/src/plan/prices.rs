//! Prices on dates: an upper bound of what any plan can reach.

use super::choices::Choice;
use super::{MOST_DATES, NoPlan};
use crate::test::TestKind;

/// The most steps towards the best prices ...
const STEPS: usize = 2_000;
/// ... and the most offers looked at on the way: about five seconds' work.
const OFFERS: usize = 1_000_000_000;
/// The goal is brought half as near after so many steps without a better bound.
const WITHOUT_BETTER: usize = 20;
/// After so many steps it is asked whether to go on.
const ASKS_EVERY: usize = 50;

/// Without a plan to aim at, the goal lies this share of the best bound known below it at first.
const FIRST_GOAL: f64 = 0.05;

/// Prices with the bound they prove.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    /// What a place on each date costs.
    pub(super) of_date: Vec<f64>,
    /// No plan is worth more.
    pub(super) bound: f64,
}

impl Prices {
    /// What a choice is worth after paying for its dates.
    pub(super) fn net(&self, choice: &Choice, worth: f64) -> f64 {
        let paid = choice.tests.iter().filter_map(|(_, date)| self.of_date.get(*date));
        worth - paid.sum::<f64>()
    }
}

/// A choice as it is priced; a place beyond the dates is free.
#[derive(Debug, Clone, Copy)]
struct Offer {
    worth: f64,
    dates: [u8; TestKind::ALL.len()],
}

impl Offer {
    fn of(choice: &Choice, worth: f64) -> Self {
        let mut dates = [u8::MAX; TestKind::ALL.len()];
        for (place, (_, date)) in dates.iter_mut().zip(&choice.tests) {
            *place = u8::try_from(*date).unwrap_or(u8::MAX);
        }
        Self { worth, dates }
    }

    fn net(&self, costs: &[f64; MOST_DATES]) -> f64 {
        let paid = self.dates.iter().filter_map(|date| costs.get(usize::from(*date)));
        self.worth - paid.sum::<f64>()
    }
}

/// The best prices found, for a worth of choices, begun at some; `reached` is the worth of a plan.
///
/// Every athlete takes what is worth most to them at the prices; a date that is wanted more often than
/// it has room becomes dearer, one with room left cheaper. At any prices the sum of what they take,
/// with all room sold, is a bound. The steps are Polyak's, towards a goal below the best bound known
/// (Polyak BT. USSR Comput Math Math Phys 1969;9(3):14-29, doi
/// 10.1016/0041-5553(69)90061-5, from memory).
///
/// # Errors
/// It was stopped.
pub(super) fn prices(
    choices: &[Vec<Choice>],
    room: &[u32],
    worth: &dyn Fn(&Choice) -> f64,
    (begin, reached): (Vec<f64>, Option<f64>),
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Prices, NoPlan> {
    let offers = |of_one: &Vec<Choice>| of_one.iter().map(|c| Offer::of(c, worth(c))).collect();
    let offers: Vec<Vec<Offer>> = choices.iter().map(offers).collect();
    let all: usize = offers.iter().map(Vec::len).sum();
    let steps = STEPS.min(OFFERS / all.max(1));
    let mut now = Prices { of_date: begin, bound: f64::INFINITY };
    let mut best = now.clone();
    let mut ahead = 1.0;
    let mut since_better = 0;
    for step in 0..steps {
        if step % ASKS_EVERY == 0 && !goes_on(step as f32 / steps as f32) {
            return Err(NoPlan::Stopped);
        }
        let (bound, wanted) = demand(&now, &offers, room);
        if bound < best.bound - 1e-9 {
            best = Prices { of_date: now.of_date.clone(), bound };
            since_better = 0;
        } else {
            since_better += 1;
        }
        if reached.is_some_and(|reached| best.bound < reached + 1.0) {
            // weights are whole: nothing above the plan is left
            break;
        }
        if since_better >= WITHOUT_BETTER {
            (since_better, ahead) = (0, ahead * 0.5);
            now.of_date.clone_from(&best.of_date);
            continue;
        }
        let excess = excess(&now, &wanted, room);
        let length = excess.iter().map(|e| e * e).sum::<f64>();
        if length < 0.5 || ahead < 1e-9 {
            break;
        }
        let below = reached
            .map_or_else(|| FIRST_GOAL * best.bound.abs().max(1.0), |reached| best.bound - reached);
        let by = (bound - best.bound + ahead * below) / length;
        for (price, excess) in now.of_date.iter_mut().zip(&excess) {
            *price = (*price + by * excess).max(0.0);
        }
    }
    Ok(best)
}

/// How many more want each date than it has room for.
fn excess(now: &Prices, wanted: &[f64], room: &[u32]) -> Vec<f64> {
    let all = now.of_date.iter().zip(wanted.iter().zip(room));
    // a price of nothing cannot fall
    all.map(|(price, (wanted, room))| (*price, wanted - f64::from(*room)))
        .map(|(price, excess)| if price <= 0.0 { excess.max(0.0) } else { excess })
        .collect()
}

/// The bound at some prices, and how often each date is wanted.
fn demand(prices: &Prices, offers: &[Vec<Offer>], room: &[u32]) -> (f64, Vec<f64>) {
    let mut wanted = vec![0.0; room.len()];
    let mut costs = [0.0; MOST_DATES];
    for (cost, price) in costs.iter_mut().zip(&prices.of_date) {
        *cost = *price;
    }
    let sold = prices.of_date.iter().zip(room).map(|(price, room)| price * f64::from(*room));
    let mut bound: f64 = sold.sum();
    for of_one in offers {
        let nets = of_one.iter().map(|offer| (offer, offer.net(&costs)));
        let Some((offer, net)) = nets.max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        bound += net;
        for date in &offer.dates {
            if let Some(count) = wanted.get_mut(usize::from(*date)) {
                *count += 1.0;
            }
        }
    }
    (bound, wanted)
}
