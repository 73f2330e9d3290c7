//! How a coach likes it: kept in the library, each by its name, so that a value nobody understands
//! falls back alone.

use std::collections::BTreeMap;

use pacewright_core::units::UnitSystem;
use pacewright_store::{Act, Change};

use crate::desk::Desk;
use crate::{Now, Problem};

/// The sizes text can have, percent.
pub const TEXT_SIZES: std::ops::RangeInclusive<u16> = 80..=200;

pub use pacewright_sheets::Paper;

/// What can be set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Kilometres or miles.
    pub units: UnitSystem,
    /// Size of text, percent of the usual.
    pub text_percent: u16,
    /// Dark screen.
    pub dark: bool,
    /// Paper of documents.
    pub paper: Paper,
    /// What papers call the squad.
    pub club: String,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            units: UnitSystem::Kilometres,
            text_percent: 100,
            dark: false,
            paper: Paper::A4,
            club: String::new(),
        }
    }
}

/// The settings of a library.
///
/// # Errors
/// Damage in the library.
pub fn settings(desk: &Desk) -> Result<Settings, Problem> {
    let kept = desk.ask(|library| Ok(library.settings()?))?;
    Ok(read(&kept))
}

/// Keeps settings; undone like any act.
///
/// # Errors
/// A library that takes nothing more.
pub fn keep(desk: &Desk, settings: &Settings, now: &Now) -> Result<(), Problem> {
    let (at, wanted) = (now.instant, written(settings));
    desk.ask(move |library| {
        let known = library.settings()?;
        let (called, changes): (Vec<&str>, Vec<Change>) = wanted
            .into_iter()
            .filter(|(name, _, value)| known.get(*name) != Some(value))
            .map(|(name, called, value)| {
                (called, Change::PutSetting { name: name.to_owned(), value })
            })
            .unzip();
        if !changes.is_empty() {
            // where nothing was kept before, all of them change
            let what = if called.len() > 2 { "the settings" } else { &called.join(" and ") };
            let what = format!("Change {what}");
            let _done = library.act(&Act { what, at, changes })?;
        }
        Ok(())
    })
}

fn read(kept: &BTreeMap<String, String>) -> Settings {
    let usual = Settings::default();
    let get = |name: &str| kept.get(name).map(String::as_str);
    Settings {
        units: if get("units") == Some("miles") { UnitSystem::Miles } else { usual.units },
        text_percent: get("text percent")
            .and_then(|text| text.parse().ok())
            .filter(|percent| TEXT_SIZES.contains(percent))
            .unwrap_or(usual.text_percent),
        dark: get("theme") == Some("dark"),
        paper: if get("paper") == Some("letter") { Paper::Letter } else { usual.paper },
        club: get("club").map_or(usual.club, str::to_owned),
    }
}

/// Each setting: its name in the library, what the history calls it, its value.
fn written(settings: &Settings) -> [(&'static str, &'static str, String); 5] {
    let units = if settings.units == UnitSystem::Miles { "miles" } else { "kilometres" };
    let paper = if settings.paper == Paper::Letter { "letter" } else { "a4" };
    let theme = if settings.dark { "dark" } else { "light" };
    [
        ("units", "kilometres or miles", units.to_owned()),
        ("text percent", "the size of text", settings.text_percent.to_string()),
        ("theme", "light or dark", theme.to_owned()),
        ("paper", "the paper", paper.to_owned()),
        ("club", "the name of the club", settings.club.clone()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_nobody_understands_falls_back_alone() {
        let mut kept: BTreeMap<String, String> =
            written(&Settings { dark: true, ..Settings::default() })
                .into_iter()
                .map(|(name, _, value)| (name.to_owned(), value))
                .collect();
        let _old = kept.insert("text percent".to_owned(), "huge".to_owned());
        assert_eq!(read(&kept), Settings { dark: true, ..Settings::default() });
    }
}
