//! A proposal, or a part of it, into the library: one act, or nothing.

use chrono::NaiveDate;
use pacewright_core::format::{day, day_short};
use pacewright_core::ids::BookingId;
use pacewright_core::schedule::Booking;
use pacewright_core::words;
use pacewright_store::{Act, Change, Fact};

use super::{Compared, Line, clock_is_right, rules, why_not_here};
use crate::book::{Book, Page, open};
use crate::desk::Desk;
use crate::{Now, Problem};

/// What was booked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Accepted {
    /// Bookings that are new.
    pub new: usize,
    /// Bookings that were moved.
    pub moved: usize,
}

/// Books the chosen lines of a proposal, and moves what they move, in one act. Each is asked of the
/// rules again: the library may have changed since.
///
/// # Errors
/// A rule that is broken now, a booking that is gone, a clock that was set back: then nothing is
/// booked.
pub fn accept(desk: &Desk, lines: &[Line], now: &Now) -> Result<Accepted, Problem> {
    let book = open(desk)?;
    clock_is_right(&book, now)?;
    let planned: Vec<Booking> = lines.iter().map(booking).collect();
    for line in lines {
        check(&book, line, &planned, now)?;
    }
    let lines: Vec<Line> = lines.to_vec();
    let at = now.instant;
    desk.ask(move |library| {
        let mut accepted = Accepted { new: 0, moved: 0 };
        let mut changes = Vec::new();
        for line in &lines {
            let id = match line.beside {
                Compared::Same(_) => continue,
                Compared::New => {
                    accepted.new += 1;
                    library.fresh_id()?
                }
                Compared::Moved { booking, .. } => {
                    accepted.moved += 1;
                    booking
                }
            };
            changes.push(Change::PutBooking(Booking { id, ..booking(line) }));
        }
        if !changes.is_empty() {
            let what = match changes.len() {
                1 => "Book a test".to_owned(),
                many => format!("Book {many} tests"),
            };
            let _done = library.act(&Act { what, at, changes })?;
        }
        Ok(accepted)
    })
}

/// The booking a line stands for; a new one has no identity yet.
fn booking(line: &Line) -> Booking {
    let id = match line.beside {
        Compared::New => BookingId(0),
        Compared::Same(id) | Compared::Moved { booking: id, .. } => id,
    };
    Booking { id, athlete: line.athlete, kind: line.kind, on: line.on }
}

/// Asks the rules of one line, beside the others that are accepted with it.
fn check(book: &Book, line: &Line, planned: &[Booking], now: &Now) -> Result<(), Problem> {
    let page = book.of_id(line.athlete)?;
    let gone = |id| !page.bookings.iter().any(|booking| booking.id == id);
    if let Compared::Moved { booking, .. } | Compared::Same(booking) = line.beside
        && gone(booking)
    {
        return Err(refused(line, "its booking was cancelled meanwhile: propose anew."));
    }
    let moved = |id| planned.iter().any(|other| other.id == id);
    let mut after: Page = page.clone();
    after.bookings.retain(|booking| !moved(booking.id));
    let others = planned.iter().filter(|o| o.athlete == line.athlete && o.kind != line.kind);
    after.bookings.extend(others.cloned());
    if after.open_bookings(now.today).any(|booking| booking.kind == line.kind) {
        return Err(refused(line, "it was booked meanwhile: propose anew."));
    }
    match rules::broken_by(&after, line.kind, line.on, None, now.today) {
        Some(broken) => Err(refused(line, &words::broken(&broken))),
        None => Ok(()),
    }
}

fn refused(line: &Line, why: &str) -> Problem {
    let (test, on) = (words::test(line.kind), day_short(line.on));
    Problem::new(format!("Nothing was booked. {}, {test} on {on}: {why}", line.name))
}

/// Moves a booking to another day.
///
/// # Errors
/// The one rule it would break; a booking that is gone; a clock that was set back.
pub fn move_booking(
    desk: &Desk,
    moved: &Booking,
    to: NaiveDate,
    now: &Now,
) -> Result<String, Problem> {
    let book = open(desk)?;
    clock_is_right(&book, now)?;
    let page = book.of_id(moved.athlete)?;
    let Some(known) = page.bookings.iter().find(|booking| booking.id == moved.id) else {
        return Err(Problem::new("That booking is not in the library any more."));
    };
    if let Some(why) = why_not_here(&book, page, known, to, now.today) {
        return Err(Problem::new(format!("The booking stays where it was. {why}")));
    }
    let what =
        format!("Move the {} of {} to {}", words::test(known.kind), page.athlete.name, day(to));
    act(desk, what, Change::PutBooking(Booking { on: to, ..known.clone() }), now)
}

/// Cancels a booking.
///
/// # Errors
/// It is gone already.
pub fn cancel(desk: &Desk, booking: &Booking, now: &Now) -> Result<String, Problem> {
    let what = format!("Cancel the {} on {}", words::test(booking.kind), day_short(booking.on));
    act(desk, what, Change::Remove(Fact::Booking(booking.id)), now)
}

fn act(desk: &Desk, what: String, change: Change, now: &Now) -> Result<String, Problem> {
    let (at, said) = (now.instant, what.clone());
    desk.ask(move |library| {
        let _done = library.act(&Act { what, at, changes: vec![change] })?;
        Ok(said)
    })
}
