//! Whose recording is this? By the name or an alias in the file's or its folder's name; never
//! guessed.

use std::path::Path;

use pacewright_core::athlete::Athlete;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Why no athlete was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum NoMatch {
    /// No name fits.
    Nobody,
    /// Several fit equally well.
    Several(Vec<String>),
}

/// The athlete whose name or alias stands in the file's name, else in that of the nearest of so many
/// folders above it. The longest name wins, so that "Ann Lee" is not taken for "Ann".
pub(crate) fn athlete_of<'a>(
    path: &Path,
    folders: usize,
    athletes: &'a [Athlete],
) -> Result<&'a Athlete, NoMatch> {
    let stem = path.file_stem().map(|s| words(&s.to_string_lossy())).unwrap_or_default();
    let above = path.ancestors().skip(1).take(folders).filter_map(Path::file_name);
    let above = above.map(|name| words(&name.to_string_lossy()));
    for text in std::iter::once(stem).chain(above) {
        match best(&text, athletes) {
            Err(NoMatch::Nobody) => {}
            found => return found,
        }
    }
    Err(NoMatch::Nobody)
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

/// Lower-case words of letters and digits without their accents; anything else parts them. Systems
/// write the same accent in one sign or in two.
fn words(text: &str) -> Vec<String> {
    let plain: String = text.nfkd().filter(|c| !is_combining_mark(*c)).collect();
    plain
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use pacewright_core::ids::AthleteId;

    fn squad() -> Vec<Athlete> {
        [("Ann", "ab12"), ("Ann Lee", "lee"), ("Zoë Žák", "")]
            .into_iter()
            .enumerate()
            .map(|(index, (name, alias))| Athlete {
                aliases: vec![alias.to_owned()],
                ..Athlete::new(AthleteId(i64::try_from(index).unwrap()), name)
            })
            .collect()
    }

    fn whose(path: &str, folders: usize) -> Result<String, NoMatch> {
        athlete_of(Path::new(path), folders, &squad()).map(|athlete| athlete.name.clone())
    }

    #[test]
    fn the_file_before_the_folder_and_the_longest_name() {
        assert_eq!(whose("Ann/ann_lee 20 min.fit", 1).as_deref(), Ok("Ann Lee"));
        assert_eq!(whose("day/AB12-2026.fit", 1).as_deref(), Ok("Ann"));
        assert_eq!(whose("Ann Lee/2026/run.fit", 2).as_deref(), Ok("Ann Lee"));
        assert_eq!(whose("Ann Lee/2026/run.fit", 1), Err(NoMatch::Nobody));
        assert_eq!(whose("joann.fit", 1), Err(NoMatch::Nobody));
    }

    #[test]
    fn accents_in_one_sign_in_two_or_left_out() {
        for name in ["zoë žák", "zoe\u{308} z\u{30c}a\u{301}k", "Zoe_Zak"] {
            assert_eq!(whose(&format!("{name}.gpx"), 1).as_deref(), Ok("Zoë Žák"), "{name}");
        }
    }

    #[test]
    fn two_that_fit_equally_are_never_guessed() {
        let mut squad = squad();
        squad[0].aliases = vec!["lee".to_owned()];
        let found = athlete_of(Path::new("lee.fit"), 1, &squad);
        assert!(matches!(found, Err(NoMatch::Several(names)) if names.len() == 2));
    }
}
