//! Prices on dates: an upper bound of what any plan can reach.

use super::choices::Choice;

/// Steps towards the best prices: enough for the bound to settle, few enough for a large squad.
const STEPS: usize = 160;

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

/// The best prices found, for a worth of choices.
///
/// Every athlete takes what is worth most to them at the prices; a date that is wanted more often than
/// it has room becomes dearer, one with room left cheaper. At any prices the sum of what they take,
/// with all room sold, is a bound.
pub(super) fn prices(
    choices: &[Vec<Choice>],
    room: &[u32],
    worth: &dyn Fn(&Choice) -> f64,
) -> Prices {
    let mut now = Prices { of_date: vec![0.0; room.len()], bound: f64::INFINITY };
    let mut best = now.clone();
    let mut step = 0.5 * largest(choices, worth);
    let mut since_better = 0;
    for _ in 0..STEPS {
        let (bound, wanted) = demand(&now, choices, room, worth);
        if bound < best.bound - 1e-9 {
            best = Prices { of_date: now.of_date.clone(), bound };
            since_better = 0;
        } else {
            since_better += 1;
        }
        if since_better >= 6 {
            (since_better, step) = (0, step * 0.6);
            now.of_date.clone_from(&best.of_date);
        }
        let excess: Vec<f64> =
            wanted.iter().zip(room).map(|(wanted, room)| wanted - f64::from(*room)).collect();
        let length = excess.iter().map(|e| e * e).sum::<f64>().sqrt();
        if length < 0.5 {
            break;
        }
        for (price, excess) in now.of_date.iter_mut().zip(&excess) {
            *price = (*price + step * excess / length).max(0.0);
        }
    }
    best
}

fn largest(choices: &[Vec<Choice>], worth: &dyn Fn(&Choice) -> f64) -> f64 {
    choices.iter().flatten().map(worth).fold(1.0, f64::max)
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
