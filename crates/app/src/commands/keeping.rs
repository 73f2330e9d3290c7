//! `export`, `backup`, `restore`, `check`: keeping the library safe.

use std::path::Path;

use pacewright_desk::export::export as export_all;
use pacewright_desk::{Desk, Now, Problem, keeping};

use crate::arguments::{Backup, Export, Restore};
use crate::output::Output;

pub(super) fn export(desk: &Desk, asked: &Export, now: &Now) -> Result<Output, Problem> {
    let exported = export_all(desk, &asked.folder, now)?;
    let mut output = Output::text(format!(
        "{} tables and {} recordings in {}.",
        exported.tables,
        exported.recordings,
        asked.folder.display()
    ));
    output.problems = exported.left_out;
    Ok(output)
}

pub(super) fn backup(desk: &Desk, asked: &Backup) -> Result<Output, Problem> {
    keeping::copy_to(desk, &asked.file)?;
    Ok(Output::text(format!("Copied and checked: {}.", asked.file.display())))
}

/// Puts the copy in place without opening the library: it may be damaged.
pub(super) fn restore(asked: &Restore, library: Option<&Path>) -> Result<Output, Problem> {
    let restored = keeping::restore(&asked.file, library)?;
    Ok(Output::text(restored.sentence()))
}

/// Done where nothing is found; else each finding is a sentence.
pub(super) fn check(desk: &Desk) -> Result<Output, Problem> {
    let findings = keeping::check(desk)?;
    if findings.is_empty() {
        return Ok(Output::text("Every row is as it was written."));
    }
    let mut problems = vec![
        "The library is damaged; keep this file as it is, and restore a copy made before."
            .to_owned(),
    ];
    problems.extend(findings);
    Ok(Output { problems, failed: true, ..Output::default() })
}
