//! Whose recording is this? By the name or an alias in the file's or its folder's name; never
//! guessed.

use std::path::Path;

use pacewright_core::athlete::Athlete;

/// Why no athlete was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum NoMatch {
    /// No name fits.
    Nobody,
    /// Several fit equally well.
    Several(Vec<String>),
}

/// The athlete whose name or alias stands in the file's name, else in its folder's. The longest
/// name wins, so that "Ann Lee" is not taken for "Ann".
pub(crate) fn athlete_of<'a>(path: &Path, athletes: &'a [Athlete]) -> Result<&'a Athlete, NoMatch> {
    let stem = path.file_stem().map(|s| words(&s.to_string_lossy())).unwrap_or_default();
    let folder = path.parent().and_then(Path::file_name);
    let folder = folder.map(|s| words(&s.to_string_lossy())).unwrap_or_default();
    match best(&stem, athletes) {
        Err(NoMatch::Nobody) => best(&folder, athletes),
        found => found,
    }
}

fn best<'a>(text: &[String], athletes: &'a [Athlete]) -> Result<&'a Athlete, NoMatch> {
    let fits: Vec<(usize, &Athlete)> = athletes
        .iter()
        .filter_map(|athlete| Some((longest_name_in(text, athlete)?, athlete)))
        .collect();
    let longest = fits.iter().map(|(length, _)| *length).max().ok_or(NoMatch::Nobody)?;
    let found: Vec<&Athlete> =
        fits.into_iter().filter(|(length, _)| *length == longest).map(|(_, a)| a).collect();
    match found.as_slice() {
        [one] => Ok(one),
        several => Err(NoMatch::Several(several.iter().map(|a| a.name.clone()).collect())),
    }
}

/// The length in words and letters of the longest of an athlete's names that stands in the text.
fn longest_name_in(text: &[String], athlete: &Athlete) -> Option<usize> {
    std::iter::once(&athlete.name)
        .chain(&athlete.aliases)
        .map(|name| words(name))
        .filter(|name| !name.is_empty() && text.windows(name.len()).any(|part| part == name))
        .map(|name| name.iter().map(|word| word.chars().count() + 1).sum())
        .max()
}

/// Lower-case words of letters and digits; anything else parts them.
fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}
