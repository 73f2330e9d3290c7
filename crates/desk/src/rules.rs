//! The rules of a library, set by the coach: LT2's share of the 20-minute test, and what the floor's
//! heart rate is worked out from. Kept as a setting with its history, through the library's one door.

use std::collections::BTreeMap;

use pacewright_core::format::{day_short, percent};
use pacewright_core::rules::{FloorMethod, Rules, RulesFrom, chosen};
use pacewright_store::{Act, Change};

use crate::desk::Desk;
use crate::{Now, Problem};

/// The setting that holds them.
const NAME: &str = "rules";

/// The history of the rules.
///
/// # Errors
/// A setting that cannot be read: no other rules are taken in its place.
pub(crate) fn read(settings: &BTreeMap<String, String>) -> Result<Vec<RulesFrom>, Problem> {
    let Some(text) = settings.get(NAME) else { return Ok(Vec::new()) };
    serde_json::from_str(text).map_err(|_| {
        Problem::new(
            "The rules for LT2 and the aerobic floor cannot be read from the library. Nothing was \
             changed: bring a copy of the library back in the library room, or take the last act back.",
        )
    })
}

/// Sets the rules from today on, and says what follows. Zones in force stay as they were handed out;
/// those that would follow are offered.
///
/// # Errors
/// A library that takes nothing more.
pub fn set_rules(desk: &Desk, rules: Rules, now: &Now) -> Result<String, Problem> {
    let (at, today) = (now.instant, now.today);
    desk.ask(move |library| {
        let history = chosen(&read(&library.settings()?)?, today, rules);
        let value = serde_json::to_string(&history)
            .map_err(|error| Problem::new(format!("The rules cannot be kept ({error}).")))?;
        let what = format!("Set the rules: {}", in_words(rules));
        let change = Change::PutSetting { name: NAME.to_owned(), value };
        let _done = library.act(&Act { what, at, changes: vec![change] })?;
        Ok(format!(
            "From {}: {}. No zones have changed; where new ones follow, the squad offers them.",
            day_short(today),
            in_words(rules)
        ))
    })
}

fn in_words(rules: Rules) -> String {
    let floor = match rules.floor {
        FloorMethod::OfMaximum => "the highest heart rate",
        FloorMethod::OfReserve => "the heart-rate reserve",
    };
    let share = percent(rules.second_threshold.ratio());
    format!("LT2 is {share} of the 20-minute test, the aerobic floor by {floor}")
}
