//! The one thread that owns the library. Everyone else asks it and waits for the answer, so that no
//! two things happen to the file at once and no window waits for the disk without meaning to.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;

use crate::error::StoreError;
use crate::library::Library;

type Work = Box<dyn FnOnce(&mut Library) + Send>;

/// Keeps a library open on a thread of its own; it is closed when the keeper is dropped.
#[derive(Debug)]
pub struct Keeper {
    work: Option<Sender<Work>>,
    thread: Option<JoinHandle<Result<(), StoreError>>>,
}

impl Keeper {
    /// Opens the library at a path, see [`Library::open`].
    ///
    /// # Errors
    /// As [`Library::open`].
    pub fn start(path: &Path) -> Result<Self, StoreError> {
        Self::keep(Library::open(path)?)
    }

    /// Keeps a library that is already open.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn keep(mut library: Library) -> Result<Self, StoreError> {
        let (work, asked) = channel::<Work>();
        let thread = std::thread::Builder::new()
            .name("library".to_owned())
            .spawn(move || {
                for job in asked {
                    // A job that panics rolled its transaction back; whoever asked is told by the answer
                    // that never comes.
                    let _ = catch_unwind(AssertUnwindSafe(|| job(&mut library)));
                }
                library.close()
            })
            .map_err(|error| StoreError::io(Path::new("the library's thread"), error))?;
        Ok(Self { work: Some(work), thread: Some(thread) })
    }

    /// Does something with the library and waits for its outcome. Questions are answered in the order
    /// in which they are asked.
    ///
    /// # Errors
    /// What `job` gives back; [`StoreError::BrokenOff`] where it panicked.
    pub fn ask<T, F>(&self, job: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnOnce(&mut Library) -> Result<T, StoreError> + Send + 'static,
    {
        let (answer, answered) = channel();
        let job = Box::new(move |library: &mut Library| {
            // nobody waits any more: the work is done all the same
            let _ = answer.send(job(library));
        });
        self.work
            .as_ref()
            .ok_or(StoreError::BrokenOff)?
            .send(job)
            .map_err(|_| StoreError::BrokenOff)?;
        answered.recv().map_err(|_| StoreError::BrokenOff)?
    }

    /// Closes the library and says whether that went well.
    ///
    /// # Errors
    /// As [`Library::close`].
    pub fn close(mut self) -> Result<(), StoreError> {
        self.finish()
    }

    fn finish(&mut self) -> Result<(), StoreError> {
        drop(self.work.take());
        match self.thread.take() {
            Some(thread) => thread.join().map_err(|_| StoreError::BrokenOff)?,
            None => Ok(()),
        }
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        // Every act is on the disk already; closing only tidies up. Whoever wants to know calls `close`.
        let _ = self.finish();
    }
}
