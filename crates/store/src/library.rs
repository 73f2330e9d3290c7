//! Opening the library, changing it through its one door, going back and forth.

use std::cell::Cell;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

use pacewright_core::ids::{
    AthleteId, AwayId, BookingId, CalibrationId, ConditionsId, FactorId, LaboratoryId,
    MedicationId, OwnWindowId, ProgrammeId, RaceId, RecordingId, SquadId, TestId,
};
use rusqlite::{Connection, ErrorCode, OpenFlags, Transaction, TransactionBehavior};

use crate::act::{Act, Done};
use crate::change::Fact;
use crate::door::{self, Door};
use crate::error::StoreError;
use crate::files;
use crate::migrate::{self, pragma};
use crate::restore;
use crate::undo::{self, LoggedAct, Way};

/// How long another program may take to let go of the library.
const PATIENCE: Duration = Duration::from_millis(200);

/// Everything a coach keeps, in one file that only this program has open.
#[derive(Debug)]
pub struct Library {
    pub(crate) connection: Connection,
    path: Option<PathBuf>,
    /// Ids given out and perhaps not used yet, the highest of each table.
    given: HashMap<&'static str, i64>,
    /// Whether the index of fingerprints was compared with its table since the library was opened.
    pub(crate) hashes_checked: Cell<bool>,
}

/// The identity of a kind of fact.
pub trait FactId: Copy {
    /// The fact it names.
    fn fact(self) -> Fact;
    /// The identity of a number.
    fn of_number(number: i64) -> Self;
}

macro_rules! fact_ids {
    ($($id:ident => $fact:ident),*) => {$(
        impl FactId for $id {
            fn fact(self) -> Fact {
                Fact::$fact(self)
            }
            fn of_number(number: i64) -> Self {
                Self(number)
            }
        }
    )*};
}
fact_ids! {
    AthleteId => Athlete, SquadId => Squad, RecordingId => Recording, TestId => Test,
    CalibrationId => Calibration, BookingId => Booking, AwayId => Away, RaceId => Race,
    LaboratoryId => LaboratoryValue, FactorId => Factor, MedicationId => Medication,
    ConditionsId => Conditions, ProgrammeId => Programme, OwnWindowId => OwnWindow
}

impl Library {
    /// Opens the library at a path, or makes a new one there; brings an older form to the present one,
    /// of which a copy is kept beside it first. File and folder are made readable by their owner only.
    ///
    /// # Errors
    /// [`StoreError::Locked`] where another program has it open, [`StoreError::NotALibrary`],
    /// [`StoreError::FileTooNew`], [`StoreError::Damaged`], or where the system refuses to read or write.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let connection = connect(path)?;
        let form = pragma(&connection, "user_version")?;
        if (1..migrate::VERSION).contains(&form) {
            restore::keep_older_form(&connection, path)?;
        }
        Self::ready(connection, Some(path.to_owned()))
    }

    /// The same without keeping a copy of an older form: for a file that is a copy itself.
    ///
    /// # Errors
    /// As [`Library::open`].
    pub(crate) fn open_uncopied(path: &Path) -> Result<Self, StoreError> {
        Self::ready(connect(path)?, Some(path.to_owned()))
    }

    /// A new library in memory, gone when it is dropped: for tests and trials.
    ///
    /// # Errors
    /// Out of memory.
    pub fn in_memory() -> Result<Self, StoreError> {
        let connection = Connection::open_in_memory()
            .map_err(|error| StoreError::sqlite("a library", "making", error))?;
        settle(&connection).map_err(|error| StoreError::sqlite("a library", "making", error))?;
        Self::ready(connection, None)
    }

    fn ready(mut connection: Connection, path: Option<PathBuf>) -> Result<Self, StoreError> {
        migrate::run(&mut connection, migrate::STEPS)?;
        migrate::check_structure(&connection)?;
        connection.set_prepared_statement_cache_capacity(128);
        Ok(Self { connection, path, given: HashMap::new(), hashes_checked: Cell::new(false) })
    }

    /// The library's file; `None` for one in memory.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Closes the library, everything written into its one file.
    ///
    /// # Errors
    /// Where the system refuses the last write; what was saved is safe in the file beside it.
    pub fn close(self) -> Result<(), StoreError> {
        self.connection
            .close()
            .map_err(|(_, error)| StoreError::sqlite("the library", "closing", error))
    }

    /// An identity no fact of its kind ever had. Each call gives another.
    ///
    /// # Errors
    /// Damaged.
    pub fn fresh_id<I: FactId>(&mut self) -> Result<I, StoreError> {
        let (table, _) = I::of_number(0).fact().place();
        let next = door::next_id(&self.connection, table)?;
        let given = self.given.entry(table.name).or_insert(0);
        *given = next.max(given.saturating_add(1));
        Ok(I::of_number(*given))
    }

    /// Does an act: all of its changes, with the way back beside them, or none. An act that changes
    /// nothing is not logged.
    ///
    /// # Errors
    /// Refused, not found, a duplicate, damage, or no room: then nothing changed.
    pub fn act(&mut self, act: &Act) -> Result<Done, StoreError> {
        self.in_one_go("saving", |transaction| {
            let mut door = Door::new(transaction);
            for change in &act.changes {
                change.apply(&mut door)?;
            }
            door.check_references()?;
            let traces = door.close()?;
            // what changed nothing is nothing to undo
            if !traces.before.is_empty() {
                undo::append(transaction, act, &traces)?;
            }
            Ok(Done { what: act.what.clone(), changed: traces.changed })
        })
    }

    /// Undoes the newest act that is in force; `None` where there is none.
    ///
    /// # Errors
    /// Damage, no room, or an act of an earlier form of the library: then nothing changed.
    pub fn undo(&mut self) -> Result<Option<Done>, StoreError> {
        self.in_one_go("undoing in", |transaction| undo::turn(transaction, Way::Back))
    }

    /// Redoes the act undone last; `None` where there is none, or something else was done since.
    ///
    /// # Errors
    /// As [`Library::undo`].
    pub fn redo(&mut self) -> Result<Option<Done>, StoreError> {
        self.in_one_go("redoing in", |transaction| undo::turn(transaction, Way::Forth))
    }

    /// The act that [`Library::undo`] would undo.
    ///
    /// # Errors
    /// Damaged.
    pub fn next_undo(&self) -> Result<Option<LoggedAct>, StoreError> {
        undo::next(&self.connection, Way::Back)
    }

    /// The act that [`Library::redo`] would redo.
    ///
    /// # Errors
    /// Damaged.
    pub fn next_redo(&self) -> Result<Option<LoggedAct>, StoreError> {
        undo::next(&self.connection, Way::Forth)
    }

    /// The newest acts, newest first, at most `limit`.
    ///
    /// # Errors
    /// Damaged.
    pub fn log(&self, limit: usize) -> Result<Vec<LoggedAct>, StoreError> {
        undo::newest(&self.connection, limit)
    }

    /// Runs work in one transaction that is kept only if all of it went well.
    pub(crate) fn in_one_go<T>(
        &mut self,
        doing: &str,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let failed = |error| StoreError::sqlite("the library", doing, error);
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed)?;
        let outcome = work(&transaction)?;
        transaction.commit().map_err(failed)?;
        Ok(outcome)
    }
}

/// Takes hold of the file at a path, made where there is none, and makes sure that it can be written.
fn connect(path: &Path) -> Result<Connection, StoreError> {
    files::prepare(path)?;
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection =
        Connection::open_with_flags(path, flags).map_err(|error| opening(path, error))?;
    begin(&connection, path)?;
    if connection.is_readonly("main").map_err(|error| opening(path, error))? {
        return Err(StoreError::ReadOnly);
    }
    files::tighten(path)?;
    // The first write of a session: it also makes sure that the file can be written at all.
    connection
        .pragma_update(None, "journal_mode", "WAL")
        .and_then(|()| connection.execute_batch("BEGIN IMMEDIATE; COMMIT"))
        .map_err(|error| opening(path, error))?;
    Ok(connection)
}

/// Takes hold of a file and makes sure that it is a library, before anything is written to it.
fn begin(connection: &Connection, path: &Path) -> Result<(), StoreError> {
    settle(connection).map_err(|error| opening(path, error))?;
    let foreign = || StoreError::NotALibrary { path: path.to_owned() };
    let number = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let application = number("application_id").map_err(|error| opening(path, error))?;
    // A file of nothing yet: just made, or left by a first start that was cut off.
    let empty = application == 0
        && number("schema_version").map_err(|error| opening(path, error))? == 0
        && pragma(connection, "user_version")? == 0;
    if application == migrate::APPLICATION_ID || empty { Ok(()) } else { Err(foreign()) }
}

/// How every connection is set up.
fn settle(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(PATIENCE)?;
    // one program at a time; no act is told done before it is on the disk
    connection.execute_batch(
        "PRAGMA locking_mode = EXCLUSIVE;
         PRAGMA synchronous = FULL;
         PRAGMA foreign_keys = ON;
         PRAGMA cell_size_check = ON;
         PRAGMA trusted_schema = OFF;",
    )
}

/// What an error means while the library is being opened.
fn opening(path: &Path, error: rusqlite::Error) -> StoreError {
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
            StoreError::Locked { path: path.to_owned() }
        }
        Some(ErrorCode::NotADatabase) => StoreError::NotALibrary { path: path.to_owned() },
        Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => StoreError::ReadOnly,
        _ => StoreError::sqlite("the file", "opening", error),
    }
}
