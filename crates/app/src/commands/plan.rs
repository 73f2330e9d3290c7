//! `plan`: who does which test on which date.

use pacewright_core::format::weekday;
use pacewright_core::words;
use pacewright_desk::plan::{Asked, Proposal, propose};
use pacewright_desk::{Desk, Now, Problem, book};

use super::to_json;
use crate::arguments::Plan;
use crate::json;
use crate::output::Output;

pub(super) fn plan(desk: &Desk, asked: &Plan, now: &Now) -> Result<Output, Problem> {
    let book = book::open(desk)?;
    let mut question = Asked::of(&book, &asked.sessions, asked.capacity);
    question.fresh = asked.fresh;
    if asked.squad.is_some() {
        let pages = book.of_squad(asked.squad.as_deref())?;
        question.athletes = pages.iter().map(|page| page.athlete.id).collect();
    }
    let proposal = propose(&book, &question, now, &mut |_| true)?;
    if book.pages.is_empty() && !asked.json {
        return Ok(Output::text("There are no athletes yet; add them with a roster."));
    }
    if asked.json { to_json(&json::plan(&proposal)) } else { Ok(Output::text(text(&proposal))) }
}

fn text(proposal: &Proposal) -> String {
    let mut lines = Vec::new();
    let mut day = None;
    for line in &proposal.lines {
        if day != Some(line.on) {
            day = Some(line.on);
            lines.push(format!("{}:", weekday(line.on)));
        }
        lines.push(format!("  {}, {}", line.name, words::test(line.kind)));
    }
    if lines.is_empty() {
        lines.push("There is nothing to place on these dates.".to_owned());
    }
    if !proposal.unplaced.is_empty() {
        lines.push("Without a date:".to_owned());
    }
    for one in &proposal.unplaced {
        lines.push(format!("  {}, {}: {}", one.name, words::test(one.kind), one.reason));
    }
    lines.join("\n")
}
