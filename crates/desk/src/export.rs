//! Everything that was measured, entered and handed out, as open files: tables, and each recording as
//! FIT or GPX. A roster and the recordings of one library fill another.

mod beside;

use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};

use pacewright_core::recording::Recording;
use pacewright_recording::{write_fit, write_gpx};
use pacewright_store::{StoreError, StoredRecording};

use crate::book::{self, Book};
use crate::files::write_whole;
use crate::papers::tables::{tests_table, zones_table};
use crate::roster::table::roster_table;
use crate::{Desk, Now, Problem, settings};

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Exported {
    /// How many tables.
    pub tables: usize,
    /// How many recordings.
    pub recordings: usize,
    /// Recordings no file could be made of, a sentence each.
    pub left_out: Vec<String>,
}

/// Writes all of it into a folder that is new or empty.
///
/// # Errors
/// A folder that holds something, or cannot be written; damage in the library.
pub fn export(desk: &Desk, folder: &Path, now: &Now) -> Result<Exported, Problem> {
    make_empty(folder)?;
    let book = book::open(desk)?;
    let units = settings::settings(desk)?.units;
    let pages: Vec<_> = book.pages.iter().collect();
    let mut tables = vec![
        ("roster.csv", roster_table(&book)?),
        ("tests.csv", tests_table(&pages)?),
        ("zones.csv", zones_table(&pages, units, now)?),
    ];
    tables.extend(beside::tables(&pages)?);
    let mut exported = Exported { tables: tables.len(), ..Exported::default() };
    for (name, bytes) in tables {
        write_whole(&folder.join(name), &bytes)?;
    }
    let recordings = folder.join("recordings");
    make_empty(&recordings)?;
    let mut used = HashSet::new();
    for id in desk.ask(|library| Ok(library.recordings()?))?.into_iter().map(|head| head.id) {
        let (head, recording) = desk.ask(move |library| Ok(library.recording(id)?))?;
        match file_of(&recording) {
            Some((ending, bytes)) => {
                let name = free_name(&head, ending, &book, &mut used);
                write_whole(&recordings.join(name), &bytes)?;
                exported.recordings += 1;
            }
            None => exported.left_out.push(format!(
                "{}: it has no date, so neither FIT nor GPX can hold it; it stays in the library.",
                head.file_name
            )),
        }
    }
    Ok(exported)
}

fn make_empty(folder: &Path) -> Result<(), Problem> {
    let refused = |error: std::io::Error| {
        Problem::from(StoreError::Io { path: folder.to_owned(), source: error.into() })
    };
    fs::create_dir_all(folder).map_err(refused)?;
    if fs::read_dir(folder).map_err(refused)?.next().is_some() {
        return Err(Problem::new(format!(
            "The folder {} holds something already; name a new one, so that nothing is written over.",
            folder.display()
        )));
    }
    Ok(())
}

/// The recording as the first format that can hold it.
fn file_of(recording: &Recording) -> Option<(&'static str, Vec<u8>)> {
    let fit = write_fit(recording).ok().map(|bytes| ("fit", bytes));
    fit.or_else(|| write_gpx(recording).ok().map(|text| ("gpx", text.into_bytes())))
}

/// "Ada Fernhill 2026-11-25 1840.fit": by whose it is, so that it is matched when it is read again.
fn free_name(
    head: &StoredRecording,
    ending: &str,
    book: &Book,
    used: &mut HashSet<PathBuf>,
) -> PathBuf {
    let whose = head.athlete.and_then(|id| book.of_id(id).ok());
    let name = whose.map_or("nobody", |page| page.athlete.name.as_str());
    let name: String =
        name.chars().map(|c| if r#"/\\:*?"<>|"#.contains(c) { '-' } else { c }).collect();
    let begun =
        head.started_at.map_or_else(String::new, |at| at.format(" %Y-%m-%d %H%M").to_string());
    let plain = PathBuf::from(format!("{name}{begun}.{ending}"));
    let numbered = (2..usize::MAX).map(|n| PathBuf::from(format!("{name}{begun} {n}.{ending}")));
    let free = std::iter::once(plain.clone()).chain(numbered).find(|name| !used.contains(name));
    let free = free.unwrap_or(plain);
    let _new = used.insert(free.clone());
    free
}
