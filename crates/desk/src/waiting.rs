//! Tests that wait for the coach's decision, worst doubt first.

use pacewright_core::remark::{Remark, Severity, Use};
use pacewright_core::test::{Decision, Test};

use crate::book::Book;
use crate::second_look::should_not_have_run;

/// One test that waits.
#[derive(Debug, Clone)]
pub struct WaitingTest<'a> {
    /// Whose, by full name.
    pub athlete: &'a str,
    /// The test.
    pub test: &'a Test,
    /// What it is good for.
    pub good_for: Use,
    /// Why it should not have been run, in one sentence.
    pub uncleared: Option<String>,
    /// What the checks say, worst first.
    pub remarks: &'a [Remark],
}

impl WaitingTest<'_> {
    /// The worst remark that is more than a note.
    pub fn worst(&self) -> Option<&Remark> {
        self.remarks.iter().max_by_key(|r| r.severity).filter(|r| r.severity > Severity::Note)
    }
}

/// Every test that waits: unusable before doubtful before usable, then the newest first, then by
/// name.
pub fn waiting(book: &Book) -> Vec<WaitingTest<'_>> {
    let mut tests: Vec<WaitingTest<'_>> = book
        .pages
        .iter()
        .flat_map(|page| {
            page.tests.iter().filter(|t| t.decision == Decision::ToConfirm).map(|test| {
                WaitingTest {
                    athlete: &page.athlete.name,
                    test,
                    good_for: page.good_for(test),
                    uncleared: should_not_have_run(page, test),
                    remarks: page.remarks(test),
                }
            })
        })
        .collect();
    let doubt = |w: &WaitingTest<'_>| match w.good_for {
        Use::Unusable => 0,
        Use::Doubtful => 1,
        Use::Usable => 2,
    };
    // the pages are in order of their names, and this sort keeps that order between equals
    tests.sort_by_key(|w| (doubt(w), std::cmp::Reverse(w.test.on)));
    tests
}
