//! The one place where the window reads recordings in: paths as they come, or one file of which the
//! coach has said what it is.

use std::path::PathBuf;

use pacewright_core::ids::AthleteId;
use pacewright_core::test::TestKind;
use pacewright_desk::files::read_bytes;
use pacewright_desk::read_in::{Asked, Incoming, read_in, take_in};
use pacewright_desk::trace::tests_of_files;
use pacewright_desk::{Desk, Now, Problem};

use super::files::Line;

/// What is to be read.
#[derive(Debug, Clone)]
pub(super) enum Wanted {
    /// Files and folders, matched by the program.
    Paths(Vec<PathBuf>),
    /// One file, of a known athlete and test.
    One { path: PathBuf, athlete: AthleteId, kind: TestKind },
}

/// Reads, and gives a line for each file with the test that came of it.
pub(super) fn read(desk: &Desk, wanted: Wanted, now: &Now) -> Result<Vec<Line>, Problem> {
    let lines = match wanted {
        Wanted::Paths(paths) => read_in(desk, &Asked { paths, ..Asked::default() }, now)?,
        Wanted::One { path, athlete, kind } => {
            let bytes = read_bytes(&path)?;
            let file = Incoming { path, bytes, athlete: Some(athlete), kind: Some(kind) };
            take_in(desk, vec![file], now)?
        }
    };
    let paths: Vec<PathBuf> = lines.iter().map(|line| line.path.clone()).collect();
    let tests = tests_of_files(desk, &paths)?;
    Ok(lines.into_iter().zip(tests).map(|(line, test)| Line::new(line, test)).collect())
}
