//! What could not be done, as one sentence a coach can act on.

use std::path::Path;

/// One plain sentence: what happened, where, what to do. Nothing half done stands behind it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{sentence}")]
pub struct Problem {
    sentence: String,
}

impl Problem {
    /// A problem in a finished sentence.
    pub fn new(sentence: impl Into<String>) -> Self {
        Self { sentence: sentence.into() }
    }

    /// The words of an error as a sentence: a capital first, a full stop last.
    pub(crate) fn worded(error: &impl std::fmt::Display) -> Self {
        let words = error.to_string();
        let mut letters = words.chars();
        let capital: String =
            letters.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
        let stop = if words.ends_with('.') { "" } else { "." };
        Self { sentence: format!("{capital}{}{stop}", letters.as_str()) }
    }

    /// Something about a file: "NAME: what. What to do."
    pub(crate) fn about(path: &Path, what: impl std::fmt::Display) -> Self {
        Self { sentence: format!("{}: {what}", path.display()) }
    }
}

impl From<pacewright_store::StoreError> for Problem {
    fn from(error: pacewright_store::StoreError) -> Self {
        Self::worded(&error)
    }
}

impl From<pacewright_sheets::SheetError> for Problem {
    fn from(error: pacewright_sheets::SheetError) -> Self {
        Self::worded(&error)
    }
}
