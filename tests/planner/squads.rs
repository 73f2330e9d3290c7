//! Squads as plain data, as the solver's script and the checker know them, and how they stand before
//! the planner.

use chrono::{Days, NaiveDate};
use pacewright_core::athlete::{Athlete, Screening};
use pacewright_core::ids::{AthleteId, AwayId};
use pacewright_core::plan::{Candidate, Meeting, Person, Question, RaceDay, Stands, Wanted};
use pacewright_core::retest::{RetestWindow, freshness};
use pacewright_core::schedule::{Away, AwayKind};
use pacewright_core::test::TestKind;
use pacewright_core::units::Distance;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::Deserialize;

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct PlainSquad {
    pub(crate) today: NaiveDate,
    pub(crate) meetings: Vec<PlainMeeting>,
    pub(crate) athletes: Vec<PlainAthlete>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct PlainMeeting {
    pub(crate) on: NaiveDate,
    pub(crate) capacity: u32,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct PlainAthlete {
    pub(crate) born: NaiveDate,
    pub(crate) consent: Option<NaiveDate>,
    pub(crate) screening: PlainScreening,
    pub(crate) aways: Vec<PlainAway>,
    pub(crate) races: Vec<PlainRace>,
    pub(crate) run: Vec<Tested>,
    pub(crate) target_from: Option<NaiveDate>,
    pub(crate) fixed: Vec<Tested>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub(crate) enum PlainScreening {
    Cleared {
        cleared: NaiveDate,
    },
    Hold {
        #[serde(rename = "hold")]
        _hold: bool,
    },
    NotAsked {
        #[serde(rename = "not_asked")]
        _not_asked: bool,
    },
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct PlainAway {
    pub(crate) kind: String,
    pub(crate) from: NaiveDate,
    pub(crate) to: Option<NaiveDate>,
    pub(crate) well_on: Option<NaiveDate>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct PlainRace {
    pub(crate) on: NaiveDate,
    pub(crate) metres: f64,
    pub(crate) goal: bool,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct Tested {
    pub(crate) minutes: u32,
    pub(crate) on: NaiveDate,
}

/// What the planner's question borrows.
pub(crate) struct Facts {
    athletes: Vec<OfOne>,
}

type OfOne = (Athlete, Vec<Away>, Vec<RaceDay>, Vec<Stands>);

fn stands(test: &Tested) -> Stands {
    Stands { kind: TestKind::from_minutes(test.minutes).unwrap(), on: test.on, at: None }
}

impl PlainAthlete {
    /// Their zones came with the first target.
    fn has_zones(&self) -> bool {
        self.target_from.is_some()
    }

    /// Whether a test gives them their first zones.
    pub(crate) fn gives_first_zones(&self, minutes: u32) -> bool {
        minutes == 20 && !self.has_zones() && self.last(TestKind::TwentyMinutes).is_none()
    }

    fn last(&self, kind: TestKind) -> Option<NaiveDate> {
        self.run.iter().filter(|run| run.minutes == kind.minutes()).map(|run| run.on).max()
    }

    fn facts(&self, id: i64) -> OfOne {
        let athlete = Athlete {
            born: Some(self.born),
            screening: match self.screening {
                PlainScreening::Cleared { cleared } => Screening::Cleared { on: cleared },
                PlainScreening::Hold { .. } => Screening::Hold { since: None },
                PlainScreening::NotAsked { .. } => Screening::NotAsked,
            },
            guardian_consent: self.consent,
            ..Athlete::new(AthleteId(id), format!("Athlete {id}"))
        };
        let away = |away: &PlainAway| Away {
            id: AwayId(1),
            athlete: AthleteId(id),
            kind: match away.kind.as_str() {
                "injury" => AwayKind::Injury,
                "illness" => AwayKind::Illness,
                "holiday" => AwayKind::Holiday,
                "camp" => AwayKind::Camp,
                other => panic!("no such kind: {other}"),
            },
            from: away.from,
            to: away.to,
            well_on: away.well_on,
        };
        let race = |race: &PlainRace| RaceDay {
            on: race.on,
            distance: Distance::from_m(race.metres).unwrap(),
            goal: race.goal,
        };
        let aways = self.aways.iter().map(away).collect();
        let races = self.races.iter().map(race).collect();
        (athlete, aways, races, self.run.iter().map(stands).collect())
    }
}

impl PlainSquad {
    pub(crate) fn facts(&self) -> Facts {
        let athletes = (0..).zip(&self.athletes).map(|(id, athlete)| athlete.facts(id)).collect();
        Facts { athletes }
    }

    pub(crate) fn question<'a>(&self, facts: &'a Facts) -> Question<'a> {
        let window = RetestWindow::default();
        let candidate = |(plain, (athlete, aways, races, run)): (&PlainAthlete, &'a OfOne)| {
            let fixed: Vec<Stands> = plain.fixed.iter().map(stands).collect();
            let open = TestKind::ALL.into_iter().filter(|k| fixed.iter().all(|f| f.kind != *k));
            let wanted = open.map(|kind| Wanted {
                kind,
                freshness: freshness(plain.last(kind), window, self.today),
                asked: false,
            });
            let wanted = wanted.collect();
            let target_from = plain.target_from;
            let person = Person { athlete, aways, races, run, target_from, by_talk: false };
            Candidate { person, wanted, fixed, has_zones: plain.has_zones() }
        };
        let meeting = |m: &PlainMeeting| Meeting { on: m.on, at: None, capacity: m.capacity };
        Question {
            meetings: self.meetings.iter().map(meeting).collect(),
            candidates: self.athletes.iter().zip(&facts.athletes).map(candidate).collect(),
            today: self.today,
        }
    }

    /// The same squad with so little room that most have to wait.
    pub(crate) fn scarce(mut self) -> Self {
        for (meeting, capacity) in self.meetings.iter_mut().zip([1, 2, 1, 3, 1].iter().cycle()) {
            meeting.capacity = *capacity;
        }
        self
    }

    /// The sum of weights of what is booked: first zones 649, overdue 8, never tested 6, due 3.
    pub(crate) fn weight_of(&self, booked: &[Vec<Tested>]) -> u32 {
        let weight = |(athlete, test): (&PlainAthlete, &Tested)| {
            let same = athlete.run.iter().filter(|run| run.minutes == test.minutes);
            match same.map(|run| (self.today - run.on).num_days()).min() {
                None if athlete.gives_first_zones(test.minutes) => 649,
                None => 6,
                Some(days) if days > 56 => 8,
                Some(days) if days >= 28 => 3,
                Some(_) => 0,
            }
        };
        let all = self.athletes.iter().zip(booked);
        all.flat_map(|(athlete, tests)| tests.iter().map(move |test| (athlete, test)))
            .map(weight)
            .sum()
    }

    /// The sum of days from the first meeting of what is booked, and the sum of squares of the numbers
    /// a day, with what stood there before.
    pub(crate) fn days_and_squares(&self, booked: &[Vec<Tested>]) -> (i64, u64) {
        let first = self.meetings[0].on;
        let days = booked.iter().flatten().map(|test| (test.on - first).num_days()).sum();
        let fixed = || self.athletes.iter().flat_map(|athlete| &athlete.fixed);
        let on = |date| booked.iter().flatten().chain(fixed()).filter(|t| t.on == date).count();
        let squares = self.meetings.iter().map(|meeting| (on(meeting.on) as u64).pow(2)).sum();
        (days, squares)
    }
}

/// A squad of chance, with everything the rules speak of in it.
pub(crate) fn random(seed: u64, most_athletes: usize, most_dates: usize) -> PlainSquad {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let athletes = rng.random_range(most_athletes / 2..=most_athletes);
    let dates = rng.random_range(2..=most_dates);
    of(&mut rng, athletes, dates)
}

/// A squad of chance of so many athletes on so many dates.
pub(crate) fn random_of(seed: u64, athletes: usize, dates: usize) -> PlainSquad {
    of(&mut ChaCha8Rng::seed_from_u64(seed), athletes, dates)
}

/// A squad that nobody of has run a test, on so many dates a week apart with room for so many.
pub(crate) fn never_tested(athletes: usize, dates: usize, capacity: u32) -> PlainSquad {
    let today = NaiveDate::from_ymd_opt(2026, 11, 26).unwrap();
    let on = |week: u64| today + Days::new(7 * week);
    let meetings = (0..).take(dates).map(|week| PlainMeeting { on: on(week), capacity });
    let athlete = PlainAthlete {
        born: NaiveDate::from_ymd_opt(1990, 4, 30).unwrap(),
        consent: None,
        screening: PlainScreening::Cleared { cleared: today },
        aways: Vec::new(),
        races: Vec::new(),
        run: Vec::new(),
        target_from: None,
        fixed: Vec::new(),
    };
    PlainSquad { today, meetings: meetings.collect(), athletes: vec![athlete; athletes] }
}

fn of(rng: &mut ChaCha8Rng, athletes: usize, dates: usize) -> PlainSquad {
    let today = NaiveDate::from_ymd_opt(2026, 11, 26).unwrap();
    let mut days: Vec<i64> = (0..60).collect();
    while days.len() > dates {
        let _left_out = days.remove(rng.random_range(0..days.len()));
    }
    let room = 1 + 2 * athletes / dates;
    let meetings = days.into_iter().map(|days| PlainMeeting {
        on: from(today, days),
        capacity: u32::try_from(rng.random_range(1..=room)).unwrap(),
    });
    let meetings: Vec<PlainMeeting> = meetings.collect();
    let athletes = (0..athletes).map(|_| athlete(rng, today, &meetings)).collect();
    PlainSquad { today, meetings, athletes }
}

fn from(today: NaiveDate, days: i64) -> NaiveDate {
    if days < 0 {
        today - Days::new(days.unsigned_abs())
    } else {
        today + Days::new(days.unsigned_abs())
    }
}

fn athlete(rng: &mut ChaCha8Rng, today: NaiveDate, meetings: &[PlainMeeting]) -> PlainAthlete {
    let luck = |rng: &mut ChaCha8Rng, chance: f64| rng.random::<f64>() < chance;
    let run: Vec<Tested> = [5, 20, 40]
        .into_iter()
        .filter_map(|minutes| {
            let on = from(today, -rng.random_range(1..100));
            luck(rng, 0.7).then_some(Tested { minutes, on })
        })
        .collect();
    let spans = if luck(rng, 0.5) { 0 } else { rng.random_range(1..=2) };
    let aways = (0..spans).map(|_| {
        let start = rng.random_range(-80..50);
        let end = luck(rng, 0.85).then(|| start + rng.random_range(0..60));
        let kinds = ["injury", "illness", "holiday", "camp"];
        let well_on = end.filter(|_| luck(rng, 0.7)).map(|end| end + rng.random_range(0..25));
        PlainAway {
            kind: kinds[rng.random_range(0..4)].to_owned(),
            from: from(today, start),
            to: end.map(|end| from(today, end)),
            well_on: well_on.map(|well| from(today, well)),
        }
    });
    let aways = aways.collect();
    let distances = [1_500.0, 5_000.0, 10_000.0, 15_000.0, 21_097.5, 30_000.0, 42_195.0];
    let races = (0..rng.random_range(0..=2)).map(|_| PlainRace {
        on: from(today, rng.random_range(-25..65)),
        metres: distances[rng.random_range(0..distances.len())],
        goal: luck(rng, 0.5),
    });
    let races = races.collect();
    let fixed = if luck(rng, 0.1) {
        let on = meetings[rng.random_range(0..meetings.len())].on;
        vec![Tested { minutes: [5, 20][rng.random_range(0..2)], on }]
    } else {
        Vec::new()
    };
    PlainAthlete {
        born: from(today, -rng.random_range(11 * 365..50 * 365)),
        consent: luck(rng, 0.8).then(|| from(today, -50)),
        screening: match rng.random_range(0..20) {
            0 => PlainScreening::Hold { _hold: true },
            1 => PlainScreening::NotAsked { _not_asked: true },
            _ => PlainScreening::Cleared { cleared: from(today, -rng.random_range(1..400)) },
        },
        target_from: run.iter().filter(|t| t.minutes == 20).map(|t| t.on).min(),
        aways,
        races,
        run,
        fixed,
    }
}
