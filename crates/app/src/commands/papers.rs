//! `cards`, `splits` and `weekly`: what is printed and handed out.

use std::path::{Path, PathBuf};

use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_desk::papers::{self, CardsAsked, SessionTyped, SplitsAsked, WeeklyAsked};
use pacewright_desk::{Desk, Now, Problem};

use crate::arguments::{Cards, Splits, Weekly};
use crate::output::Output;

pub(super) fn cards(desk: &Desk, asked: &Cards, now: &Now) -> Result<Output, Problem> {
    let (count, warnings) = papers::cards(
        desk,
        &CardsAsked {
            squad: asked.squad.clone(),
            out: asked.out.clone(),
            single: asked.single,
            units: units(asked.miles),
        },
        now,
    )?;
    let mut output = Output::text(format!(
        "{count} {} in {}. Print at 100 %.",
        if count == 1 { "card" } else { "cards" },
        asked.out.display()
    ));
    output.problems = warnings;
    Ok(output)
}

/// The split sheet; the groups stand in the answer too, so that a script or a phone can do without paper.
pub(super) fn splits(desk: &Desk, asked: &Splits, now: &Now) -> Result<Output, Problem> {
    let lap = asked.lap.trim();
    let lap = if lap.eq_ignore_ascii_case("none") { "" } else { lap };
    let session = SessionTyped { zone: asked.zone, run: asked.run.clone(), lap: lap.to_owned() };
    let (squad, out, units) = (asked.squad.clone(), asked.out.clone(), units(asked.miles));
    let written = papers::splits(desk, &SplitsAsked { session, squad, out, units }, now)?;
    let splits = &written.splits;
    let mut lines = vec![words::session(&splits.session)];
    for section in &splits.sections {
        lines.push(words::section(section));
        for (place, group) in section.groups.iter().enumerate() {
            let time = words::group_time(group, section.steer, &splits.session);
            let names: Vec<&str> = group.members.iter().map(|one| one.name.as_str()).collect();
            lines.push(format!(
                "  {}: {time}: {}",
                words::group(place + 1, group),
                names.join(", ")
            ));
        }
        for one in &section.untimed {
            lines.push(format!("  {}: {}", one.name, words::beside(one)));
        }
    }
    let apart = |(name, why): &(String, _)| format!("{name}: {}", words::apart_in_short(why));
    lines.extend(splits.apart.iter().map(apart));
    lines.push(format!("Split sheet in {}. Print at 100 %.", asked.out.display()));
    let mut output = Output::text(lines.join("\n"));
    output.problems = written.warnings;
    Ok(output)
}

/// The weekly routine, on the coach's library or on a fresh demo squad.
pub(super) fn weekly(library: Option<&Path>, asked: &Weekly, now: &Now) -> Result<Output, Problem> {
    if asked.demo {
        demo(&asked.out, units(asked.miles), now)
    } else {
        let desk = Desk::open(library)?;
        let output = write(&desk, &asked.out, None, units(asked.miles), now)?;
        desk.close()?;
        Ok(output)
    }
}

/// The weekly routine of the invented squad; its library lives in memory and is gone afterwards.
pub(super) fn demo(out: &Path, units: Option<UnitSystem>, now: &Now) -> Result<Output, Problem> {
    let desk = Desk::in_memory()?;
    let squad = pacewright_demo::squad(now.today);
    pacewright_demo::fill(&desk, &squad, now)?;
    write(&desk, out, Some(squad.club.to_owned()), units, now)
}

/// Without a window: the demo's papers in a new folder below the current one, its path last.
pub(super) fn demo_into_new_folder(now: &Now) -> Result<Output, Problem> {
    let out = new_folder()?;
    let mut output = demo(&out, None, now)?;
    output.text = format!(
        "The demo squad's weekly papers were written instead.\n{}\n{}",
        output.text.trim_end(),
        out.display()
    );
    Ok(output)
}

fn new_folder() -> Result<PathBuf, Problem> {
    let free = (1..10_000)
        .map(|n| {
            PathBuf::from(if n == 1 {
                "pacewright-demo".to_owned()
            } else {
                format!("pacewright-demo-{n}")
            })
        })
        .find(|path| !path.exists());
    free.ok_or_else(|| {
        Problem::new("There is no free name for a new folder here; go to another one.")
    })
}

fn write(
    desk: &Desk,
    out: &Path,
    club: Option<String>,
    units: Option<UnitSystem>,
    now: &Now,
) -> Result<Output, Problem> {
    let outcome = papers::weekly(desk, &WeeklyAsked { out: out.to_owned(), club, units }, now)?;
    let files: Vec<String> =
        outcome.written.iter().map(|path| path.display().to_string()).collect();
    let mut output = Output::text(format!(
        "{}\n{} zone cards. Print at 100 %.",
        files.join("\n"),
        outcome.cards
    ));
    output.problems = outcome.warnings;
    Ok(output)
}

/// Miles where they are asked for; else what the library's settings say.
fn units(miles: bool) -> Option<UnitSystem> {
    miles.then_some(UnitSystem::Miles)
}
