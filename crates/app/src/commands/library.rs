//! `roster`, `read`, `confirm`, `due`: what goes into the library and what it says.

use pacewright_core::format::day;
use pacewright_core::remark::Use;
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_desk::confirm::{Confirmed, confirm as confirm_tests};
use pacewright_desk::decide::Choice;
use pacewright_desk::due::due as due_lines;
use pacewright_desk::measured::{courses, name_course};
use pacewright_desk::read_in::{Asked, Outcome, ReadLine, read_in};
use pacewright_desk::{Desk, Now, Problem, book, roster as rosters};

use super::to_json;
use crate::arguments::{Confirm, Course, Due, Read, Roster};
use crate::json;
use crate::output::Output;

pub(super) fn roster(desk: &Desk, asked: &Roster, now: &Now) -> Result<Output, Problem> {
    let outcome = rosters::roster(desk, &asked.file, now)?;
    let mut output = Output::text(format!(
        "{} added, {} updated, {} unchanged.",
        outcome.added.len(),
        outcome.updated.len(),
        outcome.unchanged
    ));
    for sentence in &outcome.to_look_at {
        output.text.push('\n');
        output.text.push_str(sentence);
    }
    let file = asked.file.display();
    output.problems = outcome
        .refused
        .iter()
        .map(|row| format!("{file}, line {}: {}", row.line, row.reason))
        .collect();
    output.failed = outcome.added.len() + outcome.updated.len() + outcome.unchanged == 0;
    Ok(output)
}

/// Done when at least one file was taken in; each other gets a sentence.
pub(super) fn read(desk: &Desk, asked: &Read, now: &Now) -> Result<Output, Problem> {
    let request = Asked {
        paths: asked.paths.clone(),
        athlete: asked.athlete.clone(),
        kind: asked.test,
        day: asked.day,
        measured: asked.measured.clone(),
    };
    let lines = read_in(desk, &request, now)?;
    let taken = lines.iter().filter(|line| line.outcome == Outcome::TakenIn);
    let mut output = if asked.json {
        to_json(&lines.iter().map(json::read).collect::<Vec<_>>())?
    } else {
        Output::text(taken.clone().map(taken_text).collect::<Vec<_>>().join("\n"))
    };
    output.failed = taken.count() == 0;
    output.problems = lines.iter().filter_map(problem).collect();
    if lines.is_empty() {
        output.problems.push(
            "There is no file in what was given; name recordings or folders of them.".to_owned(),
        );
    }
    Ok(output)
}

/// Names a course where one is given; lists them all.
pub(super) fn course(desk: &Desk, asked: &Course, now: &Now) -> Result<Output, Problem> {
    if let Some(text) = &asked.course {
        let _named = name_course(desk, text, now)?;
    }
    let courses = courses(desk)?;
    if courses.is_empty() {
        return Ok(Output::text("No course is named yet: give one as NAME, LENGTH, SURFACE."));
    }
    let lines: Vec<String> = courses.iter().map(words::course).collect();
    Ok(Output::text(lines.join("\n")))
}

fn taken_text(line: &ReadLine) -> String {
    let athlete = line.athlete.as_deref().unwrap_or_default();
    let test = line.kind.map(words::test).unwrap_or_default();
    let remark = line.reason.as_ref().map(|reason| format!(" {reason}")).unwrap_or_default();
    format!("{}: {athlete}, {test}, to confirm.{remark}", line.path.display())
}

fn problem(line: &ReadLine) -> Option<String> {
    let reason = line.reason.as_deref().unwrap_or_default();
    let path = line.path.display().to_string();
    match line.outcome {
        Outcome::TakenIn => None,
        // a refusal of the reader names its file already
        _ if reason.starts_with(&path) => Some(reason.to_owned()),
        _ => Some(format!("{path}: {reason}")),
    }
}

pub(super) fn confirm(desk: &Desk, asked: &Confirm, now: &Now) -> Result<Output, Problem> {
    let confirmed = confirm_tests(desk, asked.athlete.as_deref(), now)?;
    if confirmed.is_empty() {
        return Ok(Output::text("Nothing waits to be confirmed."));
    }
    Ok(Output::text(confirmed.iter().map(confirmed_text).collect::<Vec<_>>().join("\n")))
}

fn confirmed_text(confirmed: &Confirmed) -> String {
    let mut lines = vec![format!("{}:", confirmed.athlete)];
    for one in &confirmed.accepted {
        // what was run against its error; what all tests together say is another question
        let change = one.change.as_ref().map_or_else(String::new, |change| {
            format!("{}; all tests together: ", words::run_since(change))
        });
        let done = match one.choice {
            Choice::KeepZones => "; the zones stay, their date is renewed",
            _ => "",
        };
        let (test, on) = (words::test(one.kind), day(one.on));
        lines.push(format!("  {test} of {on} accepted: {change}{}{done}", one.verdict));
    }
    if let Some(zones) = &confirmed.zones {
        let change = confirmed
            .lt2_change(UnitSystem::Kilometres)
            .map(|(before, after)| format!("; LT2 pace {before} before, {after} now"));
        lines.push(format!("  new zones from {}{}", day(zones.from), change.unwrap_or_default()));
    }
    if let Some(why) = &confirmed.held_back {
        lines.push(format!("  no new zones: {why}"));
    }
    for left in &confirmed.left {
        lines.push(format!(
            "  {} of {} waits{}",
            words::test(left.kind),
            day(left.on),
            match left.good_for {
                Use::Usable => format!(": {}", left.reason),
                doubtful => format!(": {}. {}", words::good_for(doubtful), left.reason),
            }
        ));
    }
    lines.join("\n")
}

pub(super) fn due(desk: &Desk, asked: &Due, now: &Now) -> Result<Output, Problem> {
    let lines = due_lines(&book::open(desk)?, now);
    if asked.json {
        return to_json(&lines.iter().map(json::due).collect::<Vec<_>>());
    }
    if lines.is_empty() {
        return Ok(Output::text("There are no athletes yet; add them with a roster."));
    }
    let text = lines.iter().map(|line| {
        let (test, state) = (words::test(line.kind), words::state(line.state));
        format!("{}: {test} {state}. {}", line.athlete, line.why)
    });
    Ok(Output::text(text.collect::<Vec<_>>().join("\n")))
}
