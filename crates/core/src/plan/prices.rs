//! Prices on dates: an upper bound of what any plan can reach.

use super::choices::Choice;

/// How long prices are looked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Steps towards the best prices.
    steps: usize,
    /// The goal is brought half as near after so many steps without a better bound ...
    without_better: usize,
    /// ... and the search goes back to the best prices known.
    goes_back: bool,
}

/// Near prices are found soon ...
pub(super) const SOON: Patience = Patience { steps: 2_000, without_better: 20, goes_back: true };
/// ... those far off only by going on past worse ones, as where first zones weigh a hundred times as
/// much as all else.
pub(super) const LONG: Patience = Patience { steps: 8_000, without_better: 400, goes_back: false };

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

/// The best prices found, for a worth of choices, begun at some; `reached` is the worth of a plan.
///
/// Every athlete takes what is worth most to them at the prices; a date that is wanted more often than
/// it has room becomes dearer, one with room left cheaper. At any prices the sum of what they take,
/// with all room sold, is a bound. The steps are Polyak's, towards a goal below the best bound known
/// (Polyak BT. USSR Comput Math Math Phys 1969;9(3):14-29, doi
/// 10.1016/0041-5553(69)90061-5, from memory).
pub(super) fn prices(
    choices: &[Vec<Choice>],
    room: &[u32],
    worth: &dyn Fn(&Choice) -> f64,
    (begin, reached): (Vec<f64>, Option<f64>),
    patience: Patience,
) -> Prices {
    let mut now = Prices { of_date: begin, bound: f64::INFINITY };
    let mut best = now.clone();
    let mut ahead = 1.0;
    let mut since_better = 0;
    for _ in 0..patience.steps {
        let (bound, wanted) = demand(&now, choices, room, worth);
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
        if since_better >= patience.without_better {
            (since_better, ahead) = (0, ahead * 0.5);
            if patience.goes_back {
                now.of_date.clone_from(&best.of_date);
                continue;
            }
        }
        let excess = now.of_date.iter().zip(wanted.iter().zip(room));
        // a price of nothing cannot fall
        let excess: Vec<f64> = excess
            .map(|(price, (wanted, room))| (*price, wanted - f64::from(*room)))
            .map(|(price, excess)| if price <= 0.0 { excess.max(0.0) } else { excess })
            .collect();
        let length = excess.iter().map(|e| e * e).sum::<f64>();
        if length < 0.5 || ahead < 1e-9 {
            break;
        }
        let below = reached
            .map_or_else(|| FIRST_GOAL * best.bound.abs().max(1.0), |reached| best.bound - reached);
        let step = (bound - best.bound + ahead * below) / length;
        for (price, excess) in now.of_date.iter_mut().zip(&excess) {
            *price = (*price + step * excess).max(0.0);
        }
    }
    best
}

/// The bound at some prices, and how often each date is wanted.
fn demand(
    prices: &Prices,
    choices: &[Vec<Choice>],
    room: &[u32],
    worth: &dyn Fn(&Choice) -> f64,
) -> (f64, Vec<f64>) {
    let mut wanted = vec![0.0; room.len()];
    let sold = prices.of_date.iter().zip(room).map(|(price, room)| price * f64::from(*room));
    let mut bound: f64 = sold.sum();
    for of_one in choices {
        let nets = of_one.iter().map(|choice| (choice, prices.net(choice, worth(choice))));
        let Some((choice, net)) = nets.max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        bound += net;
        for (_, date) in &choice.tests {
            if let Some(count) = wanted.get_mut(*date) {
                *count += 1.0;
            }
        }
    }
    (bound, wanted)
}
