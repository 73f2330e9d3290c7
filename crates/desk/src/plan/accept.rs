//! A proposal, or a part of it, into the library: one act, or nothing.

use chrono::NaiveDate;
use pacewright_core::format::{day, day_short, weekday};
use pacewright_core::ids::BookingId;
use pacewright_core::schedule::Booking;
use pacewright_core::words;
use pacewright_store::{Act, Change, Fact, Library};

use super::{Compared, Line, clock_is_right, rules, run_and_undecided, why_not_here};
use crate::book::{Book, Page, open, read};
use crate::desk::Desk;
use crate::history::whom;
use crate::{Now, Problem};

/// What was booked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Accepted {
    /// Bookings that are new.
    pub new: usize,
    /// Bookings that were moved.
    pub moved: usize,
}

/// Books the chosen lines of a proposal, and moves what they move, in one act. The rules and the room of
/// each day are asked again of the library as it is at that moment: it may have changed since.
///
/// # Errors
/// A rule that is broken now, a day that would hold too many, a booking that was moved or is gone, a
/// clock that was set back: then nothing is booked.
pub fn accept(desk: &Desk, lines: &[Line], now: &Now) -> Result<Accepted, Problem> {
    let (lines, now) = (lines.to_vec(), *now);
    desk.ask(move |library| {
        let book = read(library)?;
        clock_is_right(&book, &now)?;
        let planned: Vec<Booking> = lines.iter().map(booking).collect();
        lines.iter().try_for_each(|line| check(&book, line, &planned, &now))?;
        lines.iter().try_for_each(|line| has_room(&book, line, &planned, &now))?;
        book_all(library, &lines, &now)
    })
}

fn book_all(library: &mut Library, lines: &[Line], now: &Now) -> Result<Accepted, Problem> {
    let mut accepted = Accepted { new: 0, moved: 0 };
    let mut changes = Vec::new();
    for line in lines {
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
        let booked = lines.iter().filter(|line| !matches!(line.beside, Compared::Same(_)));
        let whom = whom(library, booked.map(|line| line.athlete))?;
        let what = match changes.len() {
            1 => format!("Book a test of {whom}"),
            many => format!("Book {many} tests of {whom}"),
        };
        let _done = library.act(&Act { what, at: now.instant, changes })?;
    }
    Ok(accepted)
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
    if let Some(changed) = changed(page, line) {
        return Err(refused(line, &changed));
    }
    let moved = |id| planned.iter().any(|other| other.id == id);
    let mut after: Page = page.clone();
    after.bookings.retain(|booking| !moved(booking.id));
    let others = planned.iter().filter(|o| o.athlete == line.athlete && o.kind != line.kind);
    after.bookings.extend(others.cloned());
    if after.open_bookings(now.today).any(|booking| booking.kind == line.kind) {
        return Err(refused(line, "it was booked meanwhile: propose anew."));
    }
    if let Some(ran) = run_and_undecided(page, line.kind) {
        return Err(refused(line, &words::run_and_undecided(ran)));
    }
    match rules::broken_by(&after, line.kind, line.on, None, now.today) {
        Some(broken) => Err(refused(line, &words::broken(&broken))),
        None => Ok(()),
    }
}

/// What became of the booking that a line rests on, where it no longer stands as it was proposed.
fn changed(page: &Page, line: &Line) -> Option<String> {
    let (id, stood_on) = match line.beside {
        Compared::New => return None,
        Compared::Same(id) => (id, line.on),
        Compared::Moved { booking, from } => (booking, from),
    };
    match page.bookings.iter().find(|booking| booking.id == id) {
        None => Some("its booking was cancelled meanwhile: propose anew.".to_owned()),
        Some(stands) if stands.on != stood_on => Some(format!(
            "its booking was moved to {} meanwhile: propose anew.",
            day_short(stands.on)
        )),
        Some(_) => None,
    }
}

/// Whether the day of a line has room for all who would stand there once the lines are booked.
fn has_room(book: &Book, line: &Line, planned: &[Booking], now: &Now) -> Result<(), Problem> {
    let on = line.on;
    let meeting = line.asked.meetings.iter().find(|meeting| meeting.on == on);
    let capacity = meeting.map_or(0, |meeting| meeting.capacity as usize);
    let is_planned = |booking: &&Booking| planned.iter().any(|other| other.id == booking.id);
    let counted = book.pages.iter().filter(|page| line.asked.athletes.contains(&page.athlete.id));
    let stand = counted.flat_map(|page| page.open_bookings(now.today));
    let stand = stand.filter(|booking| booking.on == on && !is_planned(booking)).count();
    let added = planned.iter().filter(|booking| booking.on == on).count();
    let is_there = matches!(line.beside, Compared::Same(_));
    if is_there || stand + added <= capacity {
        return Ok(());
    }
    let others = match stand {
        1 => "another is booked".to_owned(),
        some => format!("{some} others are booked"),
    };
    Err(Problem::new(format!(
        "Nothing was booked. {} has room for {capacity}, but {others} there beside the {added} chosen: choose fewer, cancel a booking, or propose anew.",
        weekday(on)
    )))
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
    let whose = booking.athlete;
    let name = desk.ask(move |library| Ok(library.athlete(whose)?.name))?;
    let what =
        format!("Cancel the {} of {name} on {}", words::test(booking.kind), day_short(booking.on));
    act(desk, what, Change::Remove(Fact::Booking(booking.id)), now)
}

fn act(desk: &Desk, what: String, change: Change, now: &Now) -> Result<String, Problem> {
    let (at, said) = (now.instant, what.clone());
    desk.ask(move |library| {
        let _done = library.act(&Act { what, at, changes: vec![change] })?;
        Ok(said)
    })
}
