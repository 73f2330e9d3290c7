//! Half a year of the invented squad with a plan each Monday, beside testing whoever is there.
//!
//! People fall ill, get hurt, go on holiday, race, and now and then do not turn up; both ways of
//! working meet the same luck. A test is possible where its window holds a meeting on which nothing
//! forbids it; it counts where it was run inside its window.

mod luck;

use std::fmt::Write;

use chrono::{Datelike, Days, NaiveDate, Weekday};
use pacewright_core::athlete::Screening;
use pacewright_core::ids::TestId;
use pacewright_core::plan::{Broken, Meeting};
use pacewright_core::retest::RetestWindow;
use pacewright_core::screening::NotCleared;
use pacewright_core::test::{Decision, Evidence, Performance, Test, TestKind};
use pacewright_core::units::{Distance, Seconds, Share};
use pacewright_desk::book::{self, Book, Page};
use pacewright_desk::plan::{Asked, Compared, Line, broken_by, propose};
use pacewright_desk::roster::{parse, take_in_rows};
use pacewright_desk::{Desk, Now, Problem};

use crate::{DemoSquad, roster_csv, squad};
use luck::Luck;

/// How long the study goes on.
pub const WEEKS: u64 = 26;
/// How many the coach tests on one day.
pub const CAPACITY: u32 = 6;
/// The planner looks so many weeks ahead.
const AHEAD_WEEKS: u64 = 3;
/// The days the squad meets.
const MEETS: [Weekday; 2] = [Weekday::Tue, Weekday::Sat];

/// How the coach chooses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The planner proposes each Monday; everything is accepted.
    Planned,
    /// One test a day, in turn, for whoever is there and may run it.
    WhoeverIsThere,
}

/// A test that was run, with all that was known of the athlete that day.
#[derive(Debug, Clone)]
pub struct Tested {
    /// The athlete's page as it stood before the test.
    pub page: Page,
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub on: NaiveDate,
}

/// What came of half a year.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    /// Every test that was run.
    pub tested: Vec<Tested>,
    /// Windows that closed, or were used, in which a test was possible.
    pub possible: u32,
    /// Of those, tests run inside the window.
    pub inside: u32,
    /// Bookings whose athlete did not turn up.
    pub missed: u32,
    /// Injuries and illnesses.
    pub laid_up: u32,
    /// Races run.
    pub races: u32,
}

impl Outcome {
    /// The share of possible tests that fell inside their window.
    pub fn share(&self) -> f64 {
        f64::from(self.inside) / f64::from(self.possible.max(1))
    }
}

/// One window of one test as it goes by.
#[derive(Debug, Clone, Copy)]
struct Cycle {
    possible: bool,
    counted: bool,
}

struct Half {
    book: Book,
    luck: Luck,
    cycles: Vec<[Cycle; 3]>,
    outcome: Outcome,
    turn: usize,
    next_id: i64,
}

/// Half a year from a day on, in one way, with the luck of a seed.
///
/// # Errors
/// The demo's own roster is refused: a fault of the program.
pub fn half_year(way: Way, seed: u64, from: NaiveDate) -> Result<Outcome, Problem> {
    let demo = squad(from);
    let book = opened(&demo, from)?;
    let luck = Luck::of(seed, &book, from, WEEKS);
    let fresh = [Cycle { possible: false, counted: false }; 3];
    let cycles = vec![fresh; book.pages.len()];
    let mut half =
        Half { book, luck, cycles, outcome: Outcome::default(), turn: 0, next_id: 1_000_000 };
    for after in 0..WEEKS * 7 {
        let on = from + Days::new(after);
        half.morning(on);
        if way == Way::Planned && on.weekday() == Weekday::Mon {
            half.plan(on)?;
        }
        if MEETS.contains(&on.weekday()) {
            half.note_possible(on);
            match way {
                Way::Planned => half.test_planned(on),
                Way::WhoeverIsThere => half.test_whoever(on),
            }
        }
        half.close_windows(on);
    }
    Ok(half.outcome)
}

/// The squad as the coach knows it on the first day: the demo's roster and past tests.
fn opened(demo: &DemoSquad, on: NaiveDate) -> Result<Book, Problem> {
    let desk = Desk::in_memory()?;
    let (rows, _refused) = parse(&roster_csv(demo)).map_err(Problem::new)?;
    let _outcome = take_in_rows(&desk, rows, &Now::noon_of(on))?;
    let mut book = book::open(&desk)?;
    for page in &mut book.pages {
        let Some(index) = demo.athletes.iter().position(|a| a.name == page.athlete.name) else {
            continue;
        };
        let own = demo.runs.iter().filter(|run| run.athlete == index && run.on < on);
        let tests = (0..).zip(own).filter_map(|(id, run)| test(id, page, run.kind, run.on));
        page.tests = tests.collect();
        page.aways = luck::past_aways(demo, index, page.athlete.id);
    }
    Ok(book)
}

/// A test of no matter what distance: only its day counts here.
fn test(id: i64, page: &Page, kind: TestKind, on: NaiveDate) -> Option<Test> {
    let performance = Performance {
        distance: Distance::from_m(3.0 * kind.length_s()).ok()?,
        duration: Seconds::from_s(kind.length_s()).ok()?,
        mean_heart_rate: None,
        heart_rate_share: Share::from_ratio(1.0).ok()?,
        peak_heart_rate: None,
    };
    let decision = Decision::Accepted { reason: None };
    let (id, athlete) = (TestId(id), page.athlete.id);
    Some(Test { id, athlete, kind, on, performance, evidence: Evidence::Typed, decision })
}

fn place(kind: TestKind) -> usize {
    TestKind::ALL.iter().position(|other| *other == kind).unwrap_or(0)
}

impl Half {
    /// What becomes known on a day: spans away, races; health is asked again when it has to be.
    fn morning(&mut self, on: NaiveDate) {
        for (index, page) in self.book.pages.iter_mut().enumerate() {
            let news = self.luck.news(index, on);
            self.outcome.laid_up += news.laid_up;
            self.outcome.races += news.races_run;
            page.aways.extend(news.aways);
            page.beside.races.extend(news.races);
            for (from, to, well_on) in news.over {
                let span = page.aways.iter_mut().find(|away| away.from == from);
                if let Some(span) = span {
                    (span.to, span.well_on) = (Some(to), well_on);
                }
            }
            let ask = pacewright_core::screening::not_cleared(&page.athlete, on);
            // the coach asks within the week; a hold stays a hold
            if on.weekday() == Weekday::Mon
                && matches!(ask, Some(NotCleared::Lapsed | NotCleared::NotAsked))
            {
                page.athlete.screening = Screening::Cleared { on };
            }
        }
    }

    /// Monday: what no longer may stand is cancelled, then everything that is due is planned.
    fn plan(&mut self, on: NaiveDate) -> Result<(), Problem> {
        for page in &mut self.book.pages {
            let broken = |page: &Page, booking: &pacewright_core::schedule::Booking| {
                broken_by(page, booking.kind, booking.on, Some(booking), on).is_some()
            };
            let kept: Vec<_> =
                page.bookings.iter().filter(|b| b.on >= on && !broken(page, b)).cloned().collect();
            page.bookings = kept;
        }
        let days = (0..AHEAD_WEEKS * 7).map(|after| on + Days::new(after));
        let meets = days.filter(|day| MEETS.contains(&day.weekday()));
        let meetings = meets.map(|on| Meeting { on, at: None, capacity: CAPACITY }).collect();
        let athletes = self.book.pages.iter().map(|page| page.athlete.id).collect();
        let asked = Asked { meetings, athletes, fresh: true, anew: false };
        let plan = propose(&self.book, &asked, &Now::noon_of(on), &mut |_| true)?;
        for line in plan.lines {
            self.book_line(&line);
        }
        Ok(())
    }

    fn book_line(&mut self, line: &Line) {
        let Line { athlete, kind, on, beside, .. } = line;
        let page = self.book.pages.iter_mut().find(|page| page.athlete.id == *athlete);
        if let (Some(page), Compared::New) = (page, beside) {
            self.next_id += 1;
            let id = pacewright_core::ids::BookingId(self.next_id);
            let (athlete, kind, on) = (*athlete, *kind, *on);
            page.bookings.push(pacewright_core::schedule::Booking { id, athlete, kind, on });
        }
    }

    /// Whoever is booked, turns up and still may run.
    fn test_planned(&mut self, on: NaiveDate) {
        for index in 0..self.book.pages.len() {
            let Some(page) = self.book.pages.get(index) else { continue };
            let Some(booking) = page.bookings.iter().find(|b| b.on == on).cloned() else {
                continue;
            };
            if broken_by(page, booking.kind, on, Some(&booking), on).is_some() {
                continue;
            }
            if self.luck.turns_up(index, on) {
                self.run(index, booking.kind, on);
            } else {
                self.outcome.missed += 1;
            }
        }
    }

    /// The test of the day for the first who turn up and may run it.
    fn test_whoever(&mut self, on: NaiveDate) {
        const TURNS: [TestKind; 3] =
            [TestKind::TwentyMinutes, TestKind::FortyMinutes, TestKind::FiveMinutes];
        let kind = TURNS.get(self.turn % TURNS.len()).copied().unwrap_or(TestKind::TwentyMinutes);
        self.turn += 1;
        let mut room = CAPACITY;
        for index in self.luck.arrival(on) {
            let Some(page) = self.book.pages.get(index) else { continue };
            let may = broken_by(page, kind, on, None, on).is_none();
            if room > 0 && may && self.luck.turns_up(index, on) {
                self.run(index, kind, on);
                room -= 1;
            }
        }
    }

    fn run(&mut self, index: usize, kind: TestKind, on: NaiveDate) {
        self.count(index, kind, on, true);
        self.next_id += 1;
        let id = self.next_id;
        let Some(page) = self.book.pages.get_mut(index) else { return };
        page.bookings.retain(|booking| booking.on != on);
        self.outcome.tested.push(Tested { page: page.clone(), kind, on });
        if let Some(test) = test(id, page, kind, on) {
            page.tests.push(test);
        }
        if let Some(cycle) = self.cycles.get_mut(index).and_then(|c| c.get_mut(place(kind))) {
            *cycle = Cycle { possible: false, counted: false };
        }
    }

    /// Marks the windows in which a test could have been run on a meeting day.
    fn note_possible(&mut self, on: NaiveDate) {
        for (page, cycles) in self.book.pages.iter().zip(&mut self.cycles) {
            let mut free = page.clone();
            free.bookings.clear();
            for (kind, cycle) in TestKind::ALL.into_iter().zip(cycles) {
                let open =
                    window(page, kind).is_some_and(|(opens, closes)| opens <= on && on <= closes);
                let broken = broken_by(&free, kind, on, None, on);
                // their own other tests are the coach's doing, not luck
                let by_plan =
                    matches!(broken, None | Some(Broken::TooClose { .. } | Broken::SameDay { .. }));
                cycle.possible |= open && by_plan;
            }
        }
    }

    /// Counts the windows that closed with nothing run in them.
    fn close_windows(&mut self, on: NaiveDate) {
        for index in 0..self.book.pages.len() {
            for kind in TestKind::ALL {
                let closed = self.book.pages.get(index).and_then(|page| window(page, kind));
                if closed.is_some_and(|(_, closes)| closes == on) {
                    self.count(index, kind, on, false);
                }
            }
        }
    }

    /// Counts a window once: when its test is run, or when it closes.
    fn count(&mut self, index: usize, kind: TestKind, on: NaiveDate, was_run: bool) {
        let span = self.book.pages.get(index).and_then(|page| window(page, kind));
        let Some((opens, closes)) = span else { return };
        let Some(cycle) = self.cycles.get_mut(index).and_then(|c| c.get_mut(place(kind))) else {
            return;
        };
        let before_it_opened = was_run && on < opens;
        if cycle.counted || !(cycle.possible || before_it_opened) {
            return;
        }
        cycle.counted = true;
        self.outcome.possible += 1;
        self.outcome.inside += u32::from(was_run && opens <= on && on <= closes);
    }
}

/// The window of an athlete's next test of a kind.
fn window(page: &Page, kind: TestKind) -> Option<(NaiveDate, NaiveDate)> {
    let RetestWindow { opens_weeks, closes_weeks } = page.planning.window();
    let after = |weeks: u32| page.last_on(kind)?.checked_add_days(Days::new(u64::from(weeks) * 7));
    after(opens_weeks).zip(after(closes_weeks))
}

/// The table of some seeds, both ways.
///
/// # Errors
/// As [`half_year`].
pub fn report(seeds: u64, from: NaiveDate) -> Result<String, Problem> {
    let mut table = format!(
        "{WEEKS} weeks of the demo squad from {from}, {CAPACITY} a day on Tuesdays and Saturdays, {seeds} seasons of luck\n\
         way              tests  possible  inside their window  share  missed  laid up  races\n"
    );
    for (way, name) in [(Way::Planned, "planned"), (Way::WhoeverIsThere, "whoever is there")] {
        let mut all = Outcome::default();
        let mut tests = 0;
        for seed in 0..seeds {
            let one = half_year(way, seed, from)?;
            tests += one.tested.len();
            all.possible += one.possible;
            all.inside += one.inside;
            all.missed += one.missed;
            all.laid_up += one.laid_up;
            all.races += one.races;
        }
        let share = 100.0 * all.share();
        // writing into a string cannot fail
        let _written = writeln!(
            table,
            "{name:16} {tests:5}  {:8}  {:19}  {share:4.1}%  {:6}  {:7}  {:5}",
            all.possible, all.inside, all.missed, all.laid_up, all.races
        );
    }
    Ok(table)
}
