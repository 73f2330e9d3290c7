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
        let changes: Vec<Change> = wanted
            .into_iter()
            .filter(|(name, value)| known.get(*name) != Some(value))
            .map(|(name, value)| Change::PutSetting { name: name.to_owned(), value })
            .collect();
        if !changes.is_empty() {
            let names = changes.iter().filter_map(|change| match change {
                Change::PutSetting { name, .. } => Some(called(name)),
                _ => None,
            });
            // where nothing was kept before, all of them are
            let names: Vec<_> = names.collect();
            let what =
                if names.len() > 2 { "the settings".to_owned() } else { names.join(" and ") };
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

fn written(settings: &Settings) -> Vec<(&'static str, String)> {
    let units = if settings.units == UnitSystem::Miles { "miles" } else { "kilometres" };
    let paper = if settings.paper == Paper::Letter { "letter" } else { "a4" };
    let theme = if settings.dark { "dark" } else { "light" };
    vec![
        ("units", units.to_owned()),
        ("text percent", settings.text_percent.to_string()),
        ("theme", theme.to_owned()),
        ("paper", paper.to_owned()),
        ("club", settings.club.clone()),
    ]
}

/// What a setting is called where the history names it.
fn called(name: &str) -> &'static str {
    match name {
        "units" => "kilometres or miles",
        "text percent" => "the size of text",
        "theme" => "light or dark",
        "paper" => "the paper",
        _ => "the name of the club",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_nobody_understands_falls_back_alone() {
        let mut kept: BTreeMap<String, String> =
            written(&Settings { dark: true, ..Settings::default() })
                .into_iter()
                .map(|(name, value)| (name.to_owned(), value))
                .collect();
        let _old = kept.insert("text percent".to_owned(), "huge".to_owned());
        assert_eq!(read(&kept), Settings { dark: true, ..Settings::default() });
    }
}
