//! The calendar of a squad: what stands on each day, in words.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use pacewright_core::format::{day_short, race_distance};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::race::Priority;
use pacewright_core::retest::State;
use pacewright_core::schedule::Booking;
use pacewright_core::words;

use crate::Now;
use crate::book::{Book, Page};
use crate::plan::{next_meetings, why_not_here};

/// One day of the calendar.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Day {
    /// Whether the squad meets, and how: "meets at 18:30, room for 8".
    pub meets: Option<String>,
    /// What stands on it: bookings first.
    pub items: Vec<Item>,
}

impl Day {
    /// How many tests are booked.
    pub fn tests(&self) -> usize {
        self.items.iter().filter(|item| matches!(item.what, What::Booking { .. })).count()
    }

    /// Whether somebody races.
    pub fn has_race(&self) -> bool {
        self.items.iter().any(|item| item.what == What::Race)
    }
}

/// One line of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Whose.
    pub athlete: AthleteId,
    /// Their name.
    pub name: String,
    /// What it is.
    pub what: What,
    /// It in words.
    pub words: String,
}

/// What a line is.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A booked test, and the rule it breaks now, where it does.
    Booking {
        /// The booking.
        booking: Booking,
        /// The rule, in one sentence.
        broken: Option<String>,
    },
    /// A race.
    Race,
    /// A span away begins.
    Away,
    /// A window closes with nothing booked in it.
    Closes,
}

/// What stands from one day to another, days with nothing left out.
pub fn agenda(
    book: &Book,
    squad: Option<SquadId>,
    (from, to): (NaiveDate, NaiveDate),
    now: &Now,
) -> BTreeMap<NaiveDate, Day> {
    let mut days: BTreeMap<NaiveDate, Day> = BTreeMap::new();
    let weeks = u32::try_from((to - from).num_days() / 7 + 1).unwrap_or(0);
    for meeting in next_meetings(book, squad, from, weeks).iter().filter(|m| m.on <= to) {
        let time = meeting.at.map(|at| format!(" at {}", at.format("%H:%M"))).unwrap_or_default();
        let words = format!("meets{time}, room for {}", meeting.capacity);
        days.entry(meeting.on).or_default().meets = Some(words);
    }
    let pages = || {
        let is_in = |page: &&Page| squad.is_none_or(|squad| page.athlete.squads.contains(&squad));
        book.pages.iter().filter(is_in)
    };
    let mut put = |on: NaiveDate, page: &Page, what, words| {
        if from <= on && on <= to {
            let (athlete, name) = (page.athlete.id, page.athlete.name.clone());
            days.entry(on).or_default().items.push(Item { athlete, name, what, words });
        }
    };
    for page in pages() {
        for booking in page.open_bookings(from) {
            let words = words::test(booking.kind).to_owned();
            put(booking.on, page, booked(book, page, booking, now), words);
        }
    }
    for page in pages() {
        for race in &page.beside.races {
            let goal = if race.priority == Priority::Goal { ", goal" } else { "" };
            let name = if race.name.is_empty() { "race" } else { race.name.as_str() };
            let words = format!("{name}, {}{goal}", race_distance(race.distance));
            put(race.on, page, What::Race, words);
        }
        for away in &page.aways {
            let until = match away.to {
                Some(to) => format!("until {}", day_short(to)),
                None => "with no end in sight".to_owned(),
            };
            // a span that has begun before stands on the first day shown
            let over = away.to.is_some_and(|to| to < from);
            let on = if over { away.from } else { away.from.max(from) };
            let words = format!("away {until}, {}", words::away(away.kind));
            put(on, page, What::Away, words);
        }
        for test in page.due(now) {
            let open = matches!(test.freshness.state, State::Fresh | State::Due);
            if let (true, true, true, Some(closes)) =
                (open, test.in_season, test.holds.is_empty(), test.freshness.closes_on)
            {
                let waits =
                    page.waiting_of(test.kind).map(|one| format!("; {}", words::waits(one.on)));
                let waits = waits.unwrap_or_default();
                let words = format!("window of the {} closes{waits}", words::test(test.kind));
                put(closes, page, What::Closes, words);
            }
        }
    }
    days
}

fn booked(book: &Book, page: &Page, booking: &Booking, now: &Now) -> What {
    let broken = (booking.on >= now.today)
        .then(|| why_not_here(book, page, booking, booking.on, now.today))
        .flatten();
    What::Booking { booking: booking.clone(), broken }
}
