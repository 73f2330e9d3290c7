//! The weekly review as a document.

use pacewright_core::review::{Concern, Standing, concern, most_urgent};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_sheets::Document;
use pacewright_sheets::review::{self, ReviewFacts, ReviewRow};
use pacewright_sheets::strip::{StripFacts, Window};

use crate::book::Page;
use crate::{Now, Problem};

/// The review of some pages, most urgent first.
pub(super) fn document(
    pages: &[&Page],
    squad: &str,
    units: UnitSystem,
    now: &Now,
) -> Result<Document, Problem> {
    let mut rows: Vec<(Concern, ReviewRow)> = pages.iter().map(|page| row(page, now)).collect();
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    let needing = rows.iter().filter(|(concern, _)| words::act(concern).is_some()).count();
    let facts = ReviewFacts {
        headline: words::headline(needing, rows.len()),
        squad: squad.to_owned(),
        on: now.today,
        units,
        rows: rows.into_iter().map(|(_, row)| row).collect(),
    };
    Ok(review::review(&facts)?)
}

fn row(page: &Page, now: &Now) -> (Concern, ReviewRow) {
    let due = page.due(now);
    let current = page.current(now.today);
    let trends = page.trends(now.today);
    let standing = Standing {
        athlete: &page.athlete,
        trends: &trends,
        due: &due,
        waiting: &page.waiting(),
        zones_from: current.map(|c| c.from),
        bookings: &page.bookings,
        aways: &page.aways,
    };
    let concern = concern(&standing, now.today);
    let before = match concern {
        Concern::NewZones { .. } => page.before_current(now.today).map(|c| c.markers),
        _ => None,
    };
    let strip = most_urgent(&due).map(|test| StripFacts {
        today: now.today,
        last_test: test.freshness.last_on,
        window: test
            .freshness
            .opens_on
            .zip(test.freshness.closes_on)
            .map(|(opens, closes)| Window { opens, closes }),
        booking: page.bookings.iter().filter(|b| b.on >= now.today).map(|b| b.on).min(),
        away: page.aways.iter().map(|a| (a.from, a.to)).collect(),
    });
    let row = ReviewRow {
        name: page.athlete.name.clone(),
        markers: current.map(|c| c.markers),
        before,
        strip,
        sentence: words::concern(&concern, now.today),
        act: words::act(&concern).map(str::to_owned),
    };
    (concern, row)
}
