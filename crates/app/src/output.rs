//! What a command says: standard output, sentences on standard error, an exit status.

use std::io::{ErrorKind, Write};
use std::process::ExitCode;

use pacewright_desk::Problem;

/// Everything a command has to say, printed once at the end.
#[derive(Debug, Default)]
pub(crate) struct Output {
    /// Standard output.
    pub(crate) text: String,
    /// One sentence each, on standard error.
    pub(crate) problems: Vec<String>,
    /// Whether the command did what it was asked.
    pub(crate) failed: bool,
}

impl Output {
    /// Only text, done.
    pub(crate) fn text(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// Prints all of it. A closed pipe is no failure of ours.
    pub(crate) fn print(self) -> ExitCode {
        for problem in &self.problems {
            let _closed_pipe = writeln!(std::io::stderr(), "{problem}");
        }
        let mut text = self.text;
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        let mut out = std::io::stdout().lock();
        let unprinted = match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
            Err(e) if e.kind() != ErrorKind::BrokenPipe => Some(e.kind()),
            _ => None,
        };
        if let Some(why) = unprinted {
            let _closed_pipe = writeln!(
                std::io::stderr(),
                "The answer could not be printed ({why}); what was asked is done: print it elsewhere."
            );
        }
        if self.failed || unprinted.is_some() { ExitCode::from(1) } else { ExitCode::SUCCESS }
    }
}

impl From<Problem> for Output {
    fn from(problem: Problem) -> Self {
        Self { problems: vec![problem.to_string()], failed: true, ..Self::default() }
    }
}
