//! Zone schemes beside the program's five zones: written down once, chosen for an athlete or a squad.
//! Kept as settings, through the library's one door, so that they can be undone.

use std::collections::BTreeMap;
use std::path::Path;

use pacewright_core::athlete::Athlete;
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::zones::{FIVE_ZONES, Scheme, read_scheme};
use pacewright_store::{Act, Change};

use crate::desk::Desk;
use crate::files::read_bytes;
use crate::{Now, Problem};

/// Settings that hold schemes begin so, their name after it.
const SCHEME: &str = "scheme/";
/// Settings that hold what was chosen begin so, the athlete's or squad's number after it.
const OF_ATHLETE: &str = "scheme of athlete/";
const OF_SQUAD: &str = "scheme of squad/";

/// The schemes of a library, and who follows which.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Schemes {
    by_name: BTreeMap<String, Scheme>,
    of_athlete: BTreeMap<i64, String>,
    of_squad: BTreeMap<i64, String>,
}

/// Whose zones follow a scheme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// One athlete's.
    Athlete(AthleteId),
    /// A squad's, for those without a choice of their own.
    Squad(SquadId),
}

impl Schemes {
    pub(crate) fn read(settings: &BTreeMap<String, String>) -> Result<Self, Problem> {
        let mut schemes = Self::default();
        for (name, text) in settings {
            if let Some(name) = name.strip_prefix(SCHEME) {
                let scheme = serde_json::from_str(text).map_err(|_| {
                    Problem::new(format!(
                        "The zone scheme \"{name}\" cannot be read; write it again."
                    ))
                })?;
                let _none_before = schemes.by_name.insert(name.to_owned(), scheme);
            }
            let chosen =
                |prefix: &str| Some((name.strip_prefix(prefix)?.parse().ok()?, text.clone()));
            schemes.of_athlete.extend(chosen(OF_ATHLETE));
            schemes.of_squad.extend(chosen(OF_SQUAD));
        }
        Ok(schemes)
    }

    /// The schemes by name.
    pub fn all(&self) -> impl Iterator<Item = (&str, &Scheme)> {
        self.by_name.iter().map(|(name, scheme)| (name.as_str(), scheme))
    }

    /// The scheme chosen for an athlete or squad itself, by name.
    pub fn chosen(&self, whose: Whose) -> Option<&str> {
        let name = match whose {
            Whose::Athlete(id) => self.of_athlete.get(&id.0),
            Whose::Squad(id) => self.of_squad.get(&id.0),
        };
        name.map(String::as_str)
    }

    /// The scheme of an athlete's zones: their own, else that of their first squad that has one, else
    /// the five zones.
    pub fn of(&self, athlete: &Athlete) -> &Scheme {
        let squads = athlete.squads.iter().filter_map(|squad| self.chosen(Whose::Squad(*squad)));
        let mut wanted = self.chosen(Whose::Athlete(athlete.id)).into_iter().chain(squads);
        wanted.find_map(|name| self.by_name.get(name)).unwrap_or(&FIVE_ZONES)
    }
}

/// Writes a scheme down, or over the one of the same name. Zones in force stay as they were handed
/// out; those that would follow are offered.
///
/// # Errors
/// No name, a line that cannot be read, zones that overlap; a library that takes nothing more.
pub fn put_scheme(desk: &Desk, name: &str, text: &str, now: &Now) -> Result<(), Problem> {
    let name = name.trim();
    if name.is_empty() {
        return Err(Problem::new("Give the scheme a name."));
    }
    let scheme = read_scheme(text).map_err(|wrong| Problem::new(wrong.to_string()))?.named(name);
    let value = serde_json::to_string(&scheme)
        .map_err(|error| Problem::new(format!("The scheme cannot be kept ({error}).")))?;
    let change = Change::PutSetting { name: format!("{SCHEME}{name}"), value };
    act(desk, format!("Write down the zone scheme {name}"), change, now)
}

/// Writes a scheme down from a file.
///
/// # Errors
/// A file that cannot be read or is no text; as [`put_scheme`].
pub fn put_scheme_from(desk: &Desk, name: &str, file: &Path, now: &Now) -> Result<(), Problem> {
    let text = String::from_utf8(read_bytes(file)?)
        .map_err(|_| Problem::about(file, "is no text; write the scheme as plain text."))?;
    put_scheme(desk, name, &text, now).map_err(|problem| Problem::about(file, problem))
}

/// Takes a scheme away; whoever followed it follows the five zones again.
///
/// # Errors
/// A library that takes nothing more.
pub fn remove_scheme(desk: &Desk, name: &str, now: &Now) -> Result<(), Problem> {
    let change = Change::RemoveSetting { name: format!("{SCHEME}{name}") };
    act(desk, format!("Remove the zone scheme {name}"), change, now)
}

/// Chooses a scheme for an athlete or squad; `None` goes back to what stands behind it.
///
/// # Errors
/// A library that takes nothing more.
pub fn choose_scheme(
    desk: &Desk,
    whose: Whose,
    scheme: Option<&str>,
    now: &Now,
) -> Result<(), Problem> {
    let (name, whom) = desk.ask(move |library| match whose {
        Whose::Athlete(id) => Ok((format!("{OF_ATHLETE}{}", id.0), library.athlete(id)?.name)),
        Whose::Squad(id) => {
            let named = library.squads()?.into_iter().find(|squad| squad.id == id);
            let whom = named.map_or_else(|| "a squad".to_owned(), |squad| squad.name);
            Ok((format!("{OF_SQUAD}{}", id.0), whom))
        }
    })?;
    let (what, change) = match scheme {
        Some(scheme) => (
            format!("Choose the zone scheme {scheme} for {whom}"),
            Change::PutSetting { name, value: scheme.to_owned() },
        ),
        None => (format!("Choose the usual zones for {whom}"), Change::RemoveSetting { name }),
    };
    act(desk, what, change, now)
}

fn act(desk: &Desk, what: String, change: Change, now: &Now) -> Result<(), Problem> {
    let at = now.instant;
    desk.ask(move |library| {
        let _done = library.act(&Act { what, at, changes: vec![change] })?;
        Ok(())
    })
}
