//! The weekly routine: seven papers into one folder.

use std::fs;
use std::path::{Path, PathBuf};

use pacewright_core::units::UnitSystem;
use pacewright_store::system_words;

use super::cards::{current_cards, eight_to_a_page};
use super::{calendar, print, review, tables, test_day};
use crate::book::{self, Page};
use crate::desk::Desk;
use crate::files::write_all_whole;
use crate::settings::settings;
use crate::{Now, Problem};

/// The names of the papers.
pub const PAPERS: [&str; 7] = [
    "review.pdf",
    "cards.pdf",
    "test-day.pdf",
    "calendar.ics",
    "due.csv",
    "zones.csv",
    "tests.csv",
];

/// What the routine is asked for.
#[derive(Debug, Clone)]
pub struct WeeklyAsked {
    /// The folder; made where it is not there.
    pub out: PathBuf,
    /// What the papers call the squad: the club's name.
    pub club: Option<String>,
    /// Units of the paces; the library's setting where none are asked for.
    pub units: Option<UnitSystem>,
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeeklyOutcome {
    /// The files, in the order of [`PAPERS`].
    pub written: Vec<PathBuf>,
    /// How many zone cards there are.
    pub cards: usize,
    /// What has to be said about them.
    pub warnings: Vec<String>,
}

/// Makes all seven papers, then writes them: where one cannot be made, none is written.
///
/// # Errors
/// Damage in the library; a folder that cannot be made or written.
pub fn weekly(desk: &Desk, asked: &WeeklyAsked, now: &Now) -> Result<WeeklyOutcome, Problem> {
    let book = book::open(desk)?;
    let pages: Vec<&Page> = book.pages.iter().collect();
    let settings = settings(desk)?;
    let units = asked.units.unwrap_or(settings.units);
    let kept = Some(settings.club.as_str()).filter(|club| !club.is_empty());
    let squad = squad_name(&book, asked.club.as_deref().or(kept));
    let mut warnings = Vec::new();
    let mut pdf = |document: &pacewright_sheets::Document| -> Result<Vec<u8>, Problem> {
        let (pdf, said) = print(document)?;
        warnings.extend(said);
        Ok(pdf)
    };
    let (cards, card_document) =
        current_cards(&pages, eight_to_a_page(settings.paper), units, now)?;
    let papers = [
        pdf(&review::document(&book, &pages, &squad, (units, settings.paper), now)?)?,
        pdf(&card_document)?,
        pdf(&test_day::document(&pages, &squad, (units, settings.paper), now)?)?,
        calendar::calendar_file(desk, &book, None, now)?.into_bytes(),
        tables::due_table(&book, now)?,
        tables::zones_table(&pages, units, now)?,
        tables::tests_table(&pages)?,
    ];
    let files: Vec<(PathBuf, Vec<u8>)> =
        PAPERS.into_iter().map(|name| asked.out.join(name)).zip(papers).collect();
    write_into(&asked.out, &files)?;
    let written = files.into_iter().map(|(path, _)| path).collect();
    warnings.sort();
    warnings.dedup();
    Ok(WeeklyOutcome { written, cards, warnings })
}

/// Writes files into a folder that is made where it is not there. Where they cannot be written, what was
/// made for them goes again, as far as it is empty.
fn write_into(folder: &Path, files: &[(PathBuf, Vec<u8>)]) -> Result<(), Problem> {
    // the folder first, then those above it that are not there either
    let missing = |at: &&Path| !at.as_os_str().is_empty() && !at.exists();
    let made: Vec<&Path> = folder.ancestors().take_while(missing).collect();
    let written = fs::create_dir_all(folder)
        .map_err(|e| {
            let why = system_words(&e);
            Problem::about(
                folder,
                format!("the folder cannot be made ({why}); choose a place that may be written."),
            )
        })
        .and_then(|()| write_all_whole(folder, files));
    if written.is_err() {
        for at in made {
            // one that holds something stays
            let _gone = fs::remove_dir(at);
        }
    }
    written
}

/// The club's name where it is given; the squad's where there is only one; else all of them.
fn squad_name(book: &book::Book, club: Option<&str>) -> String {
    match (club, book.squads.as_slice()) {
        (Some(club), _) => club.to_owned(),
        (None, [only]) => only.name.clone(),
        (None, _) => "All athletes".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_made_for_papers_that_cannot_be_written_goes_again() {
        let place = tempfile::tempdir().unwrap();
        let out = place.path().join("autumn").join("week 48");
        // a paper in a folder that is not there cannot be written, whoever asks
        let bad = [(out.join("not there").join("review.pdf"), b"paper".to_vec())];
        let why = write_into(&out, &bad).unwrap_err().to_string();
        assert!(why.contains("cannot be written"), "{why}");
        assert!(!place.path().join("autumn").exists() && place.path().exists());
        // what was there before stays, and so does what holds something
        fs::create_dir(place.path().join("autumn")).unwrap();
        let _refused = write_into(&out, &bad).unwrap_err();
        assert!(place.path().join("autumn").exists() && !out.exists());
        write_into(&out, &[(out.join("review.pdf"), b"paper".to_vec())]).unwrap();
        let _refused = write_into(&out, &bad).unwrap_err();
        assert_eq!(fs::read(out.join("review.pdf")).unwrap(), b"paper");
    }
}
