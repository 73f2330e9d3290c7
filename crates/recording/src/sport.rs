//! What was done, as each format names it.

use pacewright_core::recording::Sport;
use rustyfit::profile::typedef;

/// From a FIT number; generic and unknown numbers say nothing.
pub(crate) fn from_fit(number: u8) -> Sport {
    match typedef::Sport(number) {
        typedef::Sport::GENERIC => Sport::Unknown,
        typedef::Sport::RUNNING => Sport::Running,
        other => {
            let name = other.to_string();
            // the library shows a number without a name as "Sport(61)"
            if name.contains('(') || number == u8::MAX {
                Sport::Unknown
            } else {
                Sport::Other(name.replace('_', " "))
            }
        }
    }
}

/// To a FIT number; a name FIT does not know becomes generic.
pub(crate) fn to_fit(sport: &Sport) -> u8 {
    match sport {
        Sport::Unknown => typedef::Sport::GENERIC.0,
        Sport::Running => typedef::Sport::RUNNING.0,
        Sport::Other(_) => {
            (0..u8::MAX).find(|&number| from_fit(number) == *sport).unwrap_or_default()
        }
    }
}

/// From the words of a GPX track type; bare numbers mean something else to every program.
pub(crate) fn from_words(words: &str) -> Sport {
    const LONGEST: usize = 40;
    let words: String = words
        .chars()
        .map(|c| if c == '_' || c == '-' || c.is_control() { ' ' } else { c })
        .take(LONGEST)
        .collect();
    let words = words.trim().to_lowercase();
    let says_nothing = ["", "generic", "other", "unknown", "workout", "activity"];
    if says_nothing.contains(&words.as_str()) || !words.chars().any(char::is_alphabetic) {
        return Sport::Unknown;
    }
    if words
        .split_whitespace()
        .any(|word| ["run", "running", "jogging", "treadmill"].contains(&word))
    {
        return Sport::Running;
    }
    Sport::Other(words)
}

/// Whether the words of a GPX track type say that it was run indoors.
pub(crate) fn indoors(words: &str) -> bool {
    let words = words.to_lowercase();
    ["treadmill", "indoor"].iter().any(|word| words.contains(word))
}

/// The words of a GPX track type, where there is something to say.
pub(crate) fn to_words(sport: &Sport) -> Option<&str> {
    match sport {
        Sport::Running => Some("running"),
        Sport::Other(name) => Some(name),
        Sport::Unknown => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fit_numbers_go_there_and_back() {
        assert_eq!(from_fit(1), Sport::Running);
        assert_eq!(from_fit(2), Sport::Other("cycling".into()));
        assert_eq!(from_fit(12), Sport::Other("cross country skiing".into()));
        for number in [0, 61, 255] {
            assert_eq!(from_fit(number), Sport::Unknown, "{number}");
        }
        assert_eq!(to_fit(&from_fit(12)), 12);
        assert_eq!(to_fit(&Sport::Other("tightrope walking".into())), 0);
    }

    #[test]
    fn words_of_a_track_type() {
        for words in ["running", "Run", "trail_running", "Track Run"] {
            assert_eq!(from_words(words), Sport::Running, "{words}");
        }
        for words in ["", "9", " ", "other"] {
            assert_eq!(from_words(words), Sport::Unknown, "{words}");
        }
        assert_eq!(from_words("Cycling"), Sport::Other("cycling".into()));
        assert_eq!(from_words("trunk lifting"), Sport::Other("trunk lifting".into()));
    }
}
