//! The squad as a ledger: where everyone stands this week, most urgent first.

use chrono::{Days, NaiveDate};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::markers::Markers;
use pacewright_core::review::{self, Concern, DueTest, Standing, concern, most_urgent};
use pacewright_core::words;
use pacewright_core::zones::SpeedEdge;
use pacewright_sheets::strip::{StripFacts, Window};

use crate::Now;
use crate::book::{Book, Page};
use crate::decide::offered;

/// One athlete's line of the ledger.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingRow {
    /// Who.
    pub athlete: AthleteId,
    /// Their name.
    pub name: String,
    /// Squads they are in.
    pub squads: Vec<SquadId>,
    /// The markers in force.
    pub markers: Option<Markers>,
    /// The edges of the zones in force where they follow a scheme of the coach's own.
    pub edges: Option<Vec<SpeedEdge>>,
    /// The markers before, where they have just changed.
    pub before: Option<Markers>,
    /// The strip of the most urgent test.
    pub strip: Option<StripFacts>,
    /// What matters most this week.
    pub concern: Concern,
    /// It in a sentence.
    pub sentence: String,
    /// What to do next, in words; `None` where nothing is to be done.
    pub act: Option<&'static str>,
}

/// The lines of some pages, most urgent first, then by name.
pub fn rows<'a>(pages: impl IntoIterator<Item = &'a Page>, now: &Now) -> Vec<StandingRow> {
    let lines = pages.into_iter().map(|page| row(page, &page.due(now), now));
    most_urgent_first(lines.collect())
}

/// The lines of everybody, and what is ahead of them, by two threads: for a squad of hundreds.
pub fn rows_and_ahead(book: &Book, now: &Now) -> (Vec<StandingRow>, String) {
    let read = |pages: &[Page]| -> (Vec<StandingRow>, Vec<Coming>) {
        let line = |page: &Page| {
            let due = page.due(now);
            (row(page, &due, now), coming(page, &due, now))
        };
        pages.iter().map(line).unzip()
    };
    let (first, second) = book.pages.split_at(book.pages.len() / 2);
    let (rows, coming) = std::thread::scope(|scope| {
        let second = scope.spawn(|| read(second));
        let (mut rows, mut coming) = read(first);
        let more = second.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        rows.extend(more.0);
        coming.extend(more.1);
        (rows, coming)
    });
    let pages: Vec<&Page> = book.pages.iter().collect();
    (most_urgent_first(rows), said_ahead(book, &pages, &coming, now))
}

fn most_urgent_first(mut rows: Vec<StandingRow>) -> Vec<StandingRow> {
    rows.sort_by(|a, b| a.concern.cmp(&b.concern).then_with(|| a.name.cmp(&b.name)));
    rows
}

/// "Seven of fourteen need you this week."
pub fn headline<'a>(rows: impl IntoIterator<Item = &'a StandingRow>) -> String {
    let (mut all, mut needing) = (0, 0);
    for row in rows {
        all += 1;
        needing += usize::from(row.act.is_some());
    }
    words::headline(needing, all)
}

/// The next 7 days count as ahead: until the next weekly review.
const AHEAD_DAYS: u64 = 7;
/// The squad's dates are looked for so many weeks ahead.
const AHEAD_WEEKS: u32 = 8;

/// What is ahead of one athlete.
struct Coming {
    /// The days of the bookings they may run, as far as is known today.
    booked: Vec<NaiveDate>,
    /// The days on which windows close with nothing booked.
    closes: Vec<NaiveDate>,
}

fn coming(page: &Page, due: &[DueTest], now: &Now) -> Coming {
    let open = due.iter().filter(|test| test.holds.is_empty() && test.in_season);
    let closes = open.filter_map(|test| test.freshness.closes_on).filter(|on| now.today <= *on);
    Coming {
        booked: page.bookings_to_come(now).map(|booking| booking.on).collect(),
        closes: closes.collect(),
    }
}

/// How many tests stand in the next 7 days, and how many windows close, with nothing booked, before
/// the squad's next date; in one sentence.
pub fn ahead(book: &Book, pages: &[&Page], now: &Now) -> String {
    let coming = pages.iter().map(|page| coming(page, &page.due(now), now)).collect::<Vec<_>>();
    said_ahead(book, pages, &coming, now)
}

fn said_ahead(book: &Book, pages: &[&Page], coming: &[Coming], now: &Now) -> String {
    let end = now.today.checked_add_days(Days::new(AHEAD_DAYS)).unwrap_or(now.today);
    let booked = || coming.iter().flat_map(|one| &one.booked);
    let squads = || pages.iter().flat_map(|page| &page.athlete.squads);
    let own = book.programmes.iter().filter(|programme| squads().any(|s| *s == programme.squad));
    let meeting = own.flat_map(|p| p.meetings(now.today, AHEAD_WEEKS)).map(|m| m.on).min();
    let next = meeting.or_else(|| booked().min().copied());
    let before_next = |closes: &&NaiveDate| next.is_some_and(|next| **closes < next);
    let closing = coming.iter().flat_map(|one| &one.closes).filter(before_next).count();
    words::ahead(booked().filter(|on| **on < end).count(), closing, next)
}

fn row(page: &Page, due: &[DueTest], now: &Now) -> StandingRow {
    let current = page.current(now.today);
    let trends = page.trends(now.today);
    let offered = offered(page, now.today).and_then(|zones| review::offered(current, &zones));
    let standing = Standing {
        athlete: &page.athlete,
        trends: &trends,
        due,
        waiting: &page.waiting(),
        zones_from: current.map(|c| c.from),
        offered: offered.as_ref(),
        bookings: &page.bookings,
        aways: &page.aways,
    };
    let concern = concern(&standing, now.today);
    let screening = review::screening(&page.athlete, now.today);
    let card = review::card_to_hand_out(&standing, now.today);
    let before = match (&concern, &card) {
        (Concern::NewZones { .. }, _) | (Concern::OnHold, Some(_)) => {
            page.before_current(now.today).map(|c| c.markers)
        }
        _ => None,
    };
    let strip = most_urgent(due).map(|test| StripFacts {
        today: now.today,
        last_test: test.freshness.last_on,
        window: test.window().map(|(opens, closes)| Window { opens, closes }),
        booking: page.bookings.iter().filter(|b| b.on >= now.today).map(|b| b.on).min(),
        away: page.aways.iter().map(|a| (a.from, a.to)).collect(),
    });
    StandingRow {
        athlete: page.athlete.id,
        name: page.athlete.name.clone(),
        squads: page.athlete.squads.clone(),
        markers: current.map(|c| c.markers),
        edges: current.and_then(|c| c.zones.own_edges()),
        before,
        strip,
        sentence: words::concerns(&concern, screening.as_ref(), card.as_ref(), now.today),
        act: words::act(&concern)
            .or_else(|| words::act(card.as_ref().filter(|_| concern == Concern::OnHold)?)),
        concern,
    }
}
