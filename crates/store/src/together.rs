//! The two long lists of a library, read by two threads.

use std::collections::{HashMap, HashSet};
use std::sync::mpsc::{TrySendError, sync_channel};

use pacewright_core::calibration::Calibration;
use pacewright_core::ids::AthleteId;
use pacewright_core::test::Test;

use crate::error::StoreError;
use crate::library::Library;
use crate::rows;
use crate::sheaf::Sheaf;
use crate::table::{Record, Table};

/// Facts of a kind, sorted by whose they are, in order of identity; who has none is not in it.
pub type ByAthlete<T> = HashMap<AthleteId, Vec<T>>;

/// So many sheaves wait for the other thread: enough that it never does, few enough that a long
/// library is not held twice.
const WAITING: usize = 8;

/// What was read of both lists.
#[derive(Default)]
struct Both {
    tests: ByAthlete<Test>,
    calibrations: ByAthlete<Calibration>,
}

impl Library {
    /// Every test and every calibration. This thread reads the rows, another checks their seals and
    /// understands them; where it falls behind, this one helps.
    ///
    /// # Errors
    /// Damaged where a row is not what was written, is missing, or stands there twice.
    pub fn tests_and_calibrations(
        &self,
    ) -> Result<(ByAthlete<Test>, ByAthlete<Calibration>), StoreError> {
        let removed = &self.removed_owners(Calibration::TABLE)?;
        let (send, sheaves) = sync_channel::<Sheaf>(WAITING);
        let (mut both, more) = std::thread::scope(|scope| {
            let other = scope.spawn(move || {
                let mut both = Both::default();
                sheaves.iter().try_for_each(|sheaf| both.open(&sheaf, removed)).map(|()| both)
            });
            let mut mine = Both::default();
            // the other is behind, or gone because it met damage, which it gives back below
            let mut hand_over = |sheaf| match send.try_send(sheaf) {
                Ok(()) => Ok(()),
                Err(TrySendError::Full(sheaf) | TrySendError::Disconnected(sheaf)) => {
                    mine.open(&sheaf, removed)
                }
            };
            let read = rows::sheaves(&self.connection, Calibration::TABLE, &mut hand_over)
                .and_then(|()| rows::sheaves(&self.connection, Test::TABLE, &mut hand_over));
            drop(send);
            let other = other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
            // what is wrong with one row says more than that they are not all there
            let more = other?;
            read.map(|()| (mine, more))
        })?;
        join(&mut both.tests, more.tests, |test| test.id.0);
        join(&mut both.calibrations, more.calibrations, |calibration| calibration.id.0);
        Ok((both.tests, both.calibrations))
    }
}

impl Both {
    /// Takes in the rows of a sheaf that are in sight.
    fn open(&mut self, sheaf: &Sheaf, removed: &HashSet<i64>) -> Result<(), StoreError> {
        let is_test = std::ptr::eq::<Table>(sheaf.table(), Test::TABLE);
        sheaf.open(&mut |raw| {
            if raw.is_hidden(removed) {
                return Ok(());
            }
            if is_test {
                let test = Test::read(&mut raw.cells())?;
                self.tests.entry(test.athlete).or_default().push(test);
            } else {
                let calibration = Calibration::read(&mut raw.cells())?;
                self.calibrations.entry(calibration.athlete).or_default().push(calibration);
            }
            Ok(())
        })
    }
}

fn join<T>(all: &mut ByAthlete<T>, more: ByAthlete<T>, id: impl Fn(&T) -> i64) {
    for (athlete, facts) in more {
        let of = all.entry(athlete).or_default();
        of.extend(facts);
        of.sort_by_key(&id);
    }
}
