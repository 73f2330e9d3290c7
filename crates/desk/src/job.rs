//! Work that takes longer than a blink: it tells how far it is, and can be stopped.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Stops a job from any thread, at its next safe place.
#[derive(Debug, Clone, Default)]
pub struct Cancel(Arc<AtomicBool>);

impl Cancel {
    /// Asks the job to stop.
    pub fn cancel(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Whether it was asked to stop.
    pub fn is_cancelled(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// How far a job is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress<'a> {
    /// Files done.
    pub done: usize,
    /// Files in all.
    pub of: usize,
    /// The file that is next.
    pub next: &'a Path,
}

/// A way to watch and stop a piece of work.
pub struct Job<'a> {
    tell: &'a dyn Fn(Progress<'_>),
    cancel: Cancel,
}

impl<'a> Job<'a> {
    /// A job that tells each step and stops when asked.
    pub fn new(tell: &'a dyn Fn(Progress<'_>), cancel: Cancel) -> Self {
        Self { tell, cancel }
    }

    /// A job nobody watches or stops.
    pub fn unwatched() -> Job<'static> {
        Job { tell: &|_| {}, cancel: Cancel::default() }
    }

    /// Tells the next step; `false` where the job was asked to stop before it.
    pub(crate) fn goes_on(&self, progress: Progress<'_>) -> bool {
        if self.cancel.is_cancelled() {
            return false;
        }
        (self.tell)(progress);
        true
    }
}

impl std::fmt::Debug for Job<'_> {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("Job").field("cancel", &self.cancel).finish_non_exhaustive()
    }
}
