//! The open library, asked from any thread.

use std::path::Path;

use pacewright_store::{Keeper, Library, default_path};

use crate::Problem;

/// A library with the thread that owns it. Use cases take it by reference.
#[derive(Debug)]
pub struct Desk {
    keeper: Keeper,
}

impl Desk {
    /// Opens the library at a path, or the coach's default one; makes it where there is none.
    ///
    /// # Errors
    /// A library that is newer than the program, locked, damaged, or cannot be made.
    pub fn open(library: Option<&Path>) -> Result<Self, Problem> {
        let path = library.map_or_else(default_path, |path| Ok(path.to_owned()))?;
        Ok(Self { keeper: Keeper::start(&path)? })
    }

    /// A library in memory that is gone with the desk: for tests.
    ///
    /// # Errors
    /// The system gives no memory or thread.
    pub fn in_memory() -> Result<Self, Problem> {
        Ok(Self { keeper: Keeper::keep(Library::in_memory()?)? })
    }

    /// Does one thing with the library on its own thread and waits for the outcome.
    pub(crate) fn ask<T, F>(&self, job: F) -> Result<T, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&mut Library) -> Result<T, Problem> + Send + 'static,
    {
        self.keeper.ask(move |library| Ok(job(library)))?
    }

    /// Closes the library.
    ///
    /// # Errors
    /// What was still to be written could not be; every act done before is safe.
    pub fn close(self) -> Result<(), Problem> {
        Ok(self.keeper.close()?)
    }
}
