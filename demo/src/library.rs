//! The invented squad in a library, by the ways any coach's data takes: a roster's table, files of
//! recordings, confirmation after each test day.

use std::collections::BTreeMap;
use std::path::PathBuf;

use chrono::NaiveDate;
use pacewright_core::ids::AthleteId;
use pacewright_core::remark::Use;
use pacewright_core::test::Decision;
use pacewright_desk::book::{self, Book};
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::read_in::{Incoming, Outcome, Said, take_in};
use pacewright_desk::roster::{parse, take_in_rows};
use pacewright_desk::schedule::{ToBook, ToNote, enter};
use pacewright_desk::{Desk, Now, Problem};

use crate::{DemoAthlete, DemoRun, DemoSquad, roster_csv};

/// Fills an empty library with the invented squad as it stands on the day of `now`: everything
/// accepted but the tests of the last days that are still to be confirmed.
///
/// # Errors
/// A library that takes nothing more, or a fault of the simulator.
pub fn fill(desk: &Desk, squad: &DemoSquad, now: &Now) -> Result<(), Problem> {
    fill_in_steps(desk, squad, 1, now)
}

/// As [`fill`], with the tests of so many days read and confirmed at a time: each step reads the
/// whole library, so a large one is filled by the month.
///
/// # Errors
/// As [`fill`].
pub fn fill_in_steps(
    desk: &Desk,
    squad: &DemoSquad,
    step_days: u32,
    now: &Now,
) -> Result<(), Problem> {
    let (rows, refused) = parse(&roster_csv(squad)).map_err(Problem::new)?;
    if let Some(row) = refused.first() {
        return Err(Problem::new(format!("The demo's own roster is wrong: {}", row.reason)));
    }
    let _outcome = take_in_rows(desk, rows, now)?;
    let ids = identities(&book::open(desk)?, &squad.athletes)?;
    enter_schedule(desk, &squad.athletes, &ids, now)?;
    let mut steps: BTreeMap<(bool, i64), Vec<&DemoRun>> = BTreeMap::new();
    for run in &squad.runs {
        let step = run.on.signed_duration_since(NaiveDate::default()).num_days();
        let step = step.div_euclid(i64::from(step_days.max(1)));
        steps.entry((run.to_confirm, step)).or_default().push(run);
    }
    for ((to_confirm, _), runs) in steps {
        let Some(last) = runs.iter().map(|run| run.on).max() else { continue };
        let day = Now::noon_of(last);
        read_step(desk, &runs, &ids, &day)?;
        if !to_confirm {
            // what the checks doubt is looked at once the rest counts
            decide_all(desk, &day, |good_for| good_for == Use::Usable)?;
            decide_all(desk, &day, |_| true)?;
        }
    }
    Ok(())
}

/// The demo's coach hands out new zones after every test. What the checks doubt is looked at and
/// counts; what is unusable is set aside.
fn decide_all(desk: &Desk, day: &Now, now: impl Fn(Use) -> bool) -> Result<(), Problem> {
    let book = book::open(desk)?;
    let waiting = book.pages.iter().flat_map(|page| page.tests.iter().map(move |t| (page, t)));
    let decided: Vec<Decided> = waiting
        .filter(|(page, test)| test.decision == Decision::ToConfirm && now(page.good_for(test)))
        .map(|(page, test)| {
            let good_for = page.good_for(test);
            let (choice, reason) = match good_for {
                Use::Unusable => (Choice::SetAside, Some("Nothing to be read from it.")),
                Use::Doubtful => (Choice::NewZones, Some("Looked at: an honest run.")),
                Use::Usable => (Choice::NewZones, None),
            };
            Decided { test: test.clone(), choice, reason: reason.map(str::to_owned), good_for }
        })
        .collect();
    let _outcomes = decide(desk, &book, decided, day)?;
    Ok(())
}

fn identities(book: &Book, athletes: &[DemoAthlete]) -> Result<Vec<AthleteId>, Problem> {
    athletes.iter().map(|athlete| Ok(book.of_athlete(&athlete.name)?.athlete.id)).collect()
}

fn enter_schedule(
    desk: &Desk,
    athletes: &[DemoAthlete],
    ids: &[AthleteId],
    now: &Now,
) -> Result<(), Problem> {
    let each = || athletes.iter().zip(ids.iter().copied());
    let bookings = each()
        .flat_map(|(demo, athlete)| {
            demo.bookings.iter().map(move |b| ToBook { athlete, kind: b.kind, on: b.on })
        })
        .collect();
    let aways = each()
        .flat_map(|(demo, athlete)| {
            demo.away.iter().map(move |a| ToNote {
                athlete,
                kind: a.kind,
                from: a.from,
                to: a.to,
                well_on: a.well_on,
            })
        })
        .collect();
    enter(desk, bookings, aways, now)
}

fn read_step(desk: &Desk, runs: &[&DemoRun], ids: &[AthleteId], day: &Now) -> Result<(), Problem> {
    let fault = |what: String| Problem::new(format!("The demo's simulator failed: {what}."));
    let mut incoming = Vec::with_capacity(runs.len());
    for run in runs {
        let bytes = run.file().map_err(|e| fault(e.to_string()))?;
        let path = PathBuf::from(&run.file_name);
        incoming.push(Incoming {
            path,
            bytes,
            said: Said {
                athlete: ids.get(run.athlete).copied(),
                kind: Some(run.kind),
                ..Said::default()
            },
        });
    }
    let lines = take_in(desk, incoming, day)?;
    match lines.iter().find(|line| line.outcome != Outcome::TakenIn) {
        Some(line) => Err(fault(line.reason.clone().unwrap_or_default())),
        None => Ok(()),
    }
}
