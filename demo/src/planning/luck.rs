//! What happens to the squad in half a year, the same for every way of working.

use chrono::{Days, NaiveDate};
use pacewright_core::ids::{AthleteId, AwayId, RaceId};
use pacewright_core::race::{Priority, Race};
use pacewright_core::schedule::{Away, AwayKind};
use pacewright_core::units::Distance;
use pacewright_desk::book::Book;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::DemoSquad;
use crate::season::mix;

// Rates a week: invented, but of the size a club sees.
const HURT: f64 = 0.012;
const ILL: f64 = 0.018;
const HOLIDAY: f64 = 0.02;
const RACES: f64 = 0.12;
/// Who is expected does not turn up once in ten times.
const STAYS_AWAY: f64 = 0.10;
/// Holidays and races are known so many days before.
const KNOWN_BEFORE_DAYS: u64 = 28;

/// Something that happens to an athlete.
#[derive(Debug, Clone)]
enum Event {
    Away { away: Away, known_on: NaiveDate, over: Option<(NaiveDate, Option<NaiveDate>)> },
    Race { race: Race, known_on: NaiveDate },
}

/// What becomes known on a morning.
#[derive(Debug, Default)]
pub(super) struct News {
    pub(super) aways: Vec<Away>,
    pub(super) races: Vec<Race>,
    /// Spans that are over: first day, last day, the day running without pain was noted.
    pub(super) over: Vec<(NaiveDate, NaiveDate, Option<NaiveDate>)>,
    pub(super) laid_up: u32,
    pub(super) races_run: u32,
}

/// The luck of a seed.
#[derive(Debug)]
pub(super) struct Luck {
    seed: u64,
    events: Vec<Vec<Event>>,
}

/// The spans away the demo tells of.
pub(super) fn past_aways(demo: &DemoSquad, index: usize, athlete: AthleteId) -> Vec<Away> {
    let own = demo.athletes.get(index).map(|a| a.away.as_slice()).unwrap_or_default();
    let away = |(id, a): (i64, &crate::DemoAway)| Away {
        id: AwayId(id),
        athlete,
        kind: a.kind,
        from: a.from,
        to: a.to,
        well_on: a.well_on,
    };
    (1..).zip(own).map(away).collect()
}

impl Luck {
    pub(super) fn of(seed: u64, book: &Book, from: NaiveDate, weeks: u64) -> Self {
        let of_athlete = |(index, page): (usize, &pacewright_desk::book::Page)| {
            let mut rng = ChaCha8Rng::seed_from_u64(mix(seed, index as u64));
            let mut events = Vec::new();
            let mut free_from = from;
            for week in 0..weeks {
                let monday = from + Days::new(7 * week);
                let day = monday + Days::new(rng.random_range(0..7));
                race(&mut rng, page.athlete.id, (from, day), &mut events);
                let luck: f64 = rng.random();
                if luck < HURT + ILL + HOLIDAY && day > free_from {
                    let away = away(&mut rng, page.athlete.id, (from, day), luck);
                    free_from = away.1 + Days::new(1);
                    events.push(away.0);
                }
            }
            events
        };
        Self { seed, events: book.pages.iter().enumerate().map(of_athlete).collect() }
    }

    /// What becomes known of an athlete on a day.
    pub(super) fn news(&self, index: usize, on: NaiveDate) -> News {
        let mut news = News::default();
        for event in self.events.get(index).map(Vec::as_slice).unwrap_or_default() {
            match event {
                Event::Away { away, known_on, over } => {
                    if *known_on == on {
                        news.aways.push(away.clone());
                        let hurt = matches!(away.kind, AwayKind::Injury | AwayKind::Illness);
                        news.laid_up += u32::from(hurt);
                    }
                    if let Some((last, well)) = over {
                        // told the morning after, and once more when all is well
                        if last.succ_opt() == Some(on) || *well == Some(on) {
                            let well = well.filter(|well| *well <= on);
                            news.over.push((away.from, *last, well));
                        }
                    }
                }
                Event::Race { race, known_on } => {
                    if *known_on == on {
                        news.races.push(race.clone());
                    }
                    news.races_run += u32::from(race.on == on);
                }
            }
        }
        news
    }

    /// Whether an athlete turns up on a day.
    pub(super) fn turns_up(&self, index: usize, on: NaiveDate) -> bool {
        self.draw(index, on) >= STAYS_AWAY
    }

    /// The order in which people arrive.
    pub(super) fn arrival(&self, on: NaiveDate) -> Vec<usize> {
        let mut all: Vec<usize> = (0..self.events.len()).collect();
        all.sort_by(|a, b| {
            let drawn = |index: usize| self.draw(index + 1_000, on);
            drawn(*a).total_cmp(&drawn(*b))
        });
        all
    }

    fn draw(&self, index: usize, on: NaiveDate) -> f64 {
        let day = on.signed_duration_since(NaiveDate::default()).num_days().unsigned_abs();
        ChaCha8Rng::seed_from_u64(mix(mix(self.seed, day), index as u64)).random()
    }
}

fn race(
    rng: &mut ChaCha8Rng,
    athlete: AthleteId,
    (first, on): (NaiveDate, NaiveDate),
    events: &mut Vec<Event>,
) {
    const METRES: [f64; 5] = [5_000.0, 5_000.0, 10_000.0, 10_000.0, 21_097.5];
    let (luck, which, goal): (f64, usize, bool) =
        (rng.random(), rng.random_range(0..METRES.len()), rng.random_bool(0.2));
    let metres = METRES.get(which).copied().unwrap_or(5_000.0);
    let Ok(distance) = Distance::from_m(metres) else { return };
    if luck < RACES {
        let race = Race {
            id: RaceId(i64::try_from(events.len()).unwrap_or(0)),
            athlete,
            on,
            name: "Tarn Race".to_owned(),
            distance,
            priority: if goal { Priority::Goal } else { Priority::Other },
            result: None,
        };
        events.push(Event::Race { race, known_on: first.max(on - Days::new(KNOWN_BEFORE_DAYS)) });
    }
}

fn away(
    rng: &mut ChaCha8Rng,
    athlete: AthleteId,
    (first, from): (NaiveDate, NaiveDate),
    luck: f64,
) -> (Event, NaiveDate) {
    let (kind, days) = match luck {
        l if l < HURT => (AwayKind::Injury, rng.random_range(7..42)),
        l if l < HURT + ILL => (AwayKind::Illness, rng.random_range(3..12)),
        _ => (AwayKind::Holiday, rng.random_range(7..15)),
    };
    let to = from + Days::new(days);
    let hurt = kind != AwayKind::Holiday;
    let well = hurt.then(|| to + Days::new(rng.random_range(1..6)));
    let planned = Some(to).filter(|_| !hurt);
    let away = Away { id: AwayId(0), athlete, kind, from, to: planned, well_on: None };
    let known_on = if hurt { from } else { first.max(from - Days::new(KNOWN_BEFORE_DAYS)) };
    let over = hurt.then_some((to, well));
    (Event::Away { away, known_on, over }, to)
}
