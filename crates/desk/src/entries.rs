//! Races and spans away entered quickly: a line typed, or a whole list pasted; all of it or nothing.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use pacewright_core::format::{day, day_short, race_distance};
use pacewright_core::ids::{AthleteId, RaceId};
use pacewright_core::parse::calendar::{Entry, Raced, Span, entry};
use pacewright_core::race::{Priority, Race};
use pacewright_core::retest;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::screening::not_cleared;
use pacewright_core::words;
use pacewright_store::{Act, Change};

use crate::book::{Book, Page};
use crate::desk::Desk;
use crate::history::whom;
use crate::plan::why_not;
use crate::{Now, Problem};

/// One entry of a list, understood: for whom, and what.
#[derive(Debug, Clone, PartialEq)]
pub struct Understood {
    /// Its line in the list, from 1.
    pub line: usize,
    /// Who.
    pub athlete: AthleteId,
    /// Their name.
    pub name: String,
    /// What.
    pub entry: Entry,
    /// Something to know about it: a test is booked on that day, or too near it.
    pub beware: Option<String>,
}

/// A line that cannot be entered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrongLine {
    /// Its place in the list, from 1.
    pub line: usize,
    /// What is wrong and what to do.
    pub sentence: String,
}

/// A whole list: what was understood, and every line that was not.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct List {
    /// Ready to be entered.
    pub entries: Vec<Understood>,
    /// To be corrected first.
    pub wrong: Vec<WrongLine>,
}

/// Reads a list. A line names its athlete in front ("Ida Berg: 12 Jan - 26 Jan holiday"); without a
/// name it is for `whom`; "Everyone:" is for all of `everyone`.
pub fn read(
    book: &Book,
    text: &str,
    whom: Option<AthleteId>,
    everyone: &[AthleteId],
    now: &Now,
) -> List {
    let mut list = List::default();
    let lines = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
    for (line, typed) in lines {
        let found = of_line(book, typed, (whom, everyone), now.today);
        let added = found.and_then(|(pages, entry)| {
            let ready: Result<Vec<Understood>, String> = pages
                .into_iter()
                .map(|page| understood(line, page, &entry, &list.entries, now))
                .collect();
            ready
        });
        match added {
            Ok(entries) => list.entries.extend(entries),
            Err(sentence) => list.wrong.push(WrongLine { line, sentence }),
        }
    }
    list
}

type Whom<'a> = (Option<AthleteId>, &'a [AthleteId]);

/// Whose line it is, and what it says.
fn of_line<'b>(
    book: &'b Book,
    typed: &str,
    (whom, everyone): Whom<'_>,
    today: NaiveDate,
) -> Result<(Vec<&'b Page>, Entry), String> {
    let worded = |why: &dyn std::fmt::Display| Problem::worded(&why.to_string()).to_string();
    let (name, rest) = match typed.split_once([':', ';', '\t']) {
        Some((name, rest)) => (Some(name.trim()), rest),
        None => (None, typed),
    };
    let pages = match (name, whom) {
        (Some(name), _) if name.eq_ignore_ascii_case("everyone") => {
            book.pages.iter().filter(|page| everyone.contains(&page.athlete.id)).collect()
        }
        (Some(name), _) => vec![book.of_athlete(name).map_err(|problem| problem.to_string())?],
        (None, Some(whom)) => vec![book.of_id(whom).map_err(|problem| problem.to_string())?],
        (None, None) => {
            return Err(
                "Whose is it? Begin with a name and a colon: \"Ida Berg: 12 Jan - 26 Jan holiday\"."
                    .to_owned(),
            );
        }
    };
    Ok((pages, entry(rest, today).map_err(|why| worded(&why))?))
}

/// An entry beside what stands already: nothing doubled, no spans that overlap.
fn understood(
    line: usize,
    page: &Page,
    entry: &Entry,
    before: &[Understood],
    now: &Now,
) -> Result<Understood, String> {
    let name = page.athlete.name.clone();
    let earlier = || before.iter().filter(|u| u.athlete == page.athlete.id).map(|u| &u.entry);
    let beware = match entry {
        Entry::Away(span) => {
            overlapping(page, span, earlier()).map_or(Ok(()), Err)?;
            booked_within(page, span, now)
        }
        Entry::Race(raced) => {
            let typed = earlier().any(|e| matches!(e, Entry::Race(other) if other.on == raced.on));
            if typed || page.beside.races.iter().any(|race| race.on == raced.on) {
                return Err(format!("{name} has a race on {} already.", day(raced.on)));
            }
            must_not_run(page, raced, now).or_else(|| booked_near(page, raced, now))
        }
    };
    Ok(Understood { line, athlete: page.athlete.id, name, entry: entry.clone(), beware })
}

fn overlapping<'e>(
    page: &Page,
    span: &Span,
    earlier: impl Iterator<Item = &'e Entry>,
) -> Option<String> {
    let meets = |from: NaiveDate, to: Option<NaiveDate>| {
        span.to.is_none_or(|end| from <= end) && to.is_none_or(|end| span.from <= end)
    };
    let kept = page.aways.iter().map(|away| (away.kind, away.from, away.to));
    let typed = earlier.filter_map(|entry| match entry {
        Entry::Away(other) => Some((other.kind, other.from, other.to)),
        Entry::Race(_) => None,
    });
    let (kind, from, to) = kept.chain(typed).find(|(_, from, to)| meets(*from, *to))?;
    let until = to.map_or_else(|| "still open".to_owned(), |to| format!("to {}", day_short(to)));
    Some(format!(
        "It overlaps {}'s {} from {} ({until}): change that span, or these days.",
        page.athlete.name,
        words::away(kind),
        day_short(from)
    ))
}

fn booked_within(page: &Page, span: &Span, now: &Now) -> Option<String> {
    let within = |on: NaiveDate| span.from <= on && span.to.is_none_or(|to| on <= to);
    let booking = page.open_bookings(now.today).find(|booking| within(booking.on))?;
    Some(format!(
        "The {} on {} falls into it: move it, or plan anew.",
        words::test(booking.kind),
        day_short(booking.on)
    ))
}

/// That a race to come is an all-out effort for somebody who must not run one, as far as is known today.
fn must_not_run(page: &Page, raced: &Raced, now: &Now) -> Option<String> {
    if raced.on < now.today {
        return None;
    }
    let told = |why: &str| format!("Must not run all-out then: {why}.");
    let too_soon = retest::not_before(&page.aways, now.today).filter(|from| raced.on < *from);
    let health = not_cleared(&page.athlete, raced.on).map(|why| told(words::not_cleared(why)));
    health.or_else(|| {
        too_soon.map(|from| told(&format!("returning, not before {}", day_short(from))))
    })
}

/// A booked test that stands on the day of a race, or may not be run so near it.
fn booked_near(page: &Page, raced: &Raced, now: &Now) -> Option<String> {
    let booked = || page.open_bookings(now.today);
    if let Some(booking) = booked().find(|booking| booking.on == raced.on) {
        let test = words::test(booking.kind);
        return Some(format!("The {test} is booked on that day: move it, or plan anew."));
    }
    let broken = |page: &Page, booking: &Booking| {
        why_not(page, booking.kind, booking.on, Some(booking), now.today)
    };
    // a list is read at every letter for hundreds: a page is copied only where a race can matter
    let mut sound = booked().filter(|booking| broken(page, booking).is_none()).peekable();
    let _any = sound.peek()?;
    let mut with_it = page.clone();
    with_it.beside.races.push(race(RaceId(0), page.athlete.id, raced.clone()));
    sound.find_map(|booking| {
        let why = broken(&with_it, booking)?;
        let (test, on) = (words::test(booking.kind), day_short(booking.on));
        Some(format!("The {test} is booked for {on}. {why}"))
    })
}

fn race(id: RaceId, athlete: AthleteId, Raced { on, distance, name, goal }: Raced) -> Race {
    let priority = if goal { Priority::Goal } else { Priority::Other };
    Race { id, athlete, on, name, distance, priority, result: None }
}

/// An entry in words: "Holiday, 12 January to 26 January".
pub fn in_words(entry: &Entry) -> String {
    match entry {
        Entry::Away(Span { kind, from, to }) => match to {
            Some(to) if to == from => format!("{}, {}", words::away(*kind), day(*from)),
            Some(to) => format!("{}, {} to {}", words::away(*kind), day_short(*from), day(*to)),
            None => format!("{}, since {}, still open", words::away(*kind), day(*from)),
        },
        Entry::Race(Raced { on, distance, name, goal }) => {
            let name = if name.is_empty() { String::new() } else { format!(" {name}") };
            let goal = if *goal { ", goal" } else { "" };
            format!("Race{name}, {}, {}{goal}", race_distance(*distance), day(*on))
        }
    }
}

/// Enters a list in one act.
///
/// # Errors
/// A line that is wrong: then nothing is entered.
pub fn enter(desk: &Desk, list: &List, now: &Now) -> Result<String, Problem> {
    if let Some(wrong) = list.wrong.first() {
        return Err(Problem::new(format!(
            "Nothing was entered. Line {}: {}",
            wrong.line, wrong.sentence
        )));
    }
    if list.entries.is_empty() {
        return Err(Problem::new("Nothing is written in the list yet."));
    }
    let entries = list.entries.clone();
    let lines: BTreeSet<usize> = entries.iter().map(|entry| entry.line).collect();
    let what = match lines.len() {
        1 => "Enter one line of races and days away for",
        _ => "Enter races and days away for",
    };
    let said = match lines.len() {
        1 => "One line of races and days away is entered.".to_owned(),
        lines => format!("{lines} lines of races and days away are entered."),
    };
    let at = now.instant;
    desk.ask(move |library| {
        let what = format!("{what} {}", whom(library, entries.iter().map(|one| one.athlete))?);
        let mut changes = Vec::new();
        for Understood { athlete, entry, .. } in entries {
            changes.push(match entry {
                Entry::Away(Span { kind, from, to }) => {
                    let id = library.fresh_id()?;
                    Change::PutAway(Away { id, athlete, kind, from, to, well_on: None })
                }
                Entry::Race(raced) => Change::PutRace(race(library.fresh_id()?, athlete, raced)),
            });
        }
        let _done = library.act(&Act { what, at, changes })?;
        Ok(said)
    })
}
