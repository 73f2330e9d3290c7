//! The sentences and acts of the weekly review.

use chrono::NaiveDate;

use super::{away, number, test};
use crate::format::{day_short, percent};
use crate::review::{Asking, Because, Concern, Doubt, Sureness};
use crate::rules::FloorMethod;
use crate::test::TestKind;

/// "Seven of fourteen need you this week."
pub fn headline(needing: usize, athletes: usize) -> String {
    match (needing, athletes) {
        (_, 0) => "No athletes yet".to_owned(),
        (0, _) => "Nobody needs you this week".to_owned(),
        (1, 1) => "Your athlete needs you this week".to_owned(),
        (1, all) => format!("One of {} needs you this week", number(all).to_lowercase()),
        (some, all) => {
            format!("{} of {} need you this week", number(some), number(all).to_lowercase())
        }
    }
}

/// One sentence for what matters most about an athlete.
pub fn concern(concern: &Concern, today: NaiveDate) -> String {
    match concern {
        Concern::ToConfirm { looks_first, on, kind, count } => {
            let more = if *count > 1 {
                format!(" ({} wait)", number(*count).to_lowercase())
            } else {
                String::new()
            };
            let what = match looks_first {
                Doubt::LookFirst => "look before it counts",
                Doubt::None => "ready to confirm",
            };
            format!("{}: {}, {what}{more}.", day_short(*on), test(*kind))
        }
        Concern::Ask(asking) => ask(*asking).to_owned(),
        Concern::Returning { not_before, back_after, kind } => {
            returning(*not_before, *back_after, away(*kind))
        }
        Concern::Offered { first, by, .. } => offered(*first, by.as_deref()),
        Concern::Overdue { all: true, since, .. } => {
            format!("All three tests overdue, the first since {}.", day_short(*since))
        }
        Concern::Overdue { since, kind, .. } => {
            format!("{} overdue since {}.", test(*kind), day_short(*since))
        }
        Concern::Losing { sureness, kind, since } => losing(*sureness, *kind, *since),
        Concern::NeverTested { kind } => format!("No {} yet.", test(*kind)),
        Concern::NewZones { from } => {
            format!("New zones since {}; hand out the card.", weekday(*from, today))
        }
        Concern::BookedSoon { on, kind } => {
            format!("{} booked for {}.", test(*kind), weekday(*on, today))
        }
        Concern::Due { closes, kind } => {
            format!("{} due; the window closes on {}.", test(*kind), day_short(*closes))
        }
        Concern::WindowOpen { closes, kind } => {
            format!("Nothing to do; {} any time until {}.", test(*kind), day_short(*closes))
        }
        Concern::OnHold => "On hold: no all-out test.".to_owned(),
        Concern::Away { until: Some(until) } => format!("Away until {}.", day_short(*until)),
        Concern::Away { until: None } => "Away.".to_owned(),
        Concern::Nothing => "Nothing to do.".to_owned(),
    }
}

/// What matters most about an athlete, with what must never go unsaid beside it: that they may not run
/// all-out comes first, and a card to hand out stands behind that.
pub fn concerns(
    first: &Concern,
    screening: Option<&Concern>,
    card: Option<&Concern>,
    today: NaiveDate,
) -> String {
    let beside = match screening {
        Some(health) if health == first => [Some(first), card],
        health => [health, Some(first)],
    };
    let sentences: Vec<String> =
        beside.into_iter().flatten().map(|each| concern(each, today)).collect();
    sentences.join(" ")
}

/// The next act for a concern; `None` where there is nothing to do.
pub fn act(concern: &Concern) -> Option<&'static str> {
    Some(match concern {
        Concern::ToConfirm { .. } => "Open the test",
        Concern::Ask(_) => "Ask now",
        Concern::Returning { .. } => "See the return",
        Concern::Offered { .. } => "See the zones",
        Concern::Overdue { .. } | Concern::Due { .. } | Concern::NeverTested { .. } => {
            "Book a date"
        }
        Concern::Losing { .. } => "See the trend",
        Concern::NewZones { .. } => "Print the card",
        Concern::BookedSoon { .. } => "Print the sheet",
        Concern::WindowOpen { .. } | Concern::OnHold | Concern::Away { .. } | Concern::Nothing => {
            return None;
        }
    })
}

fn offered(first: bool, by: Option<&str>) -> String {
    let zones = if first { "first zones" } else { "other zones than the card" };
    match by {
        Some(what) => format!("The {what} gives {zones}."),
        None => format!("What is known now gives {zones}."),
    }
}

/// Why zones are offered: "LT1 heart rate is 91 % of LT2 heart rate since 11 September; on the card it is
/// 95 %."
pub fn because(why: &Because) -> String {
    let from = |day: &Option<NaiveDate>| {
        day.map_or_else(String::new, |day| format!(" since {}", day_short(day)))
    };
    match why {
        Because::Factor { before, now, since } => format!(
            "LT1 heart rate is {} of LT2 heart rate{}; on the card it is {}.",
            percent(*now),
            from(since),
            percent(*before)
        ),
        Because::Share { before, now, since } => format!(
            "LT2 is {} of the 20-minute test{}; on the card it is {}.",
            percent(now.ratio()),
            from(since),
            percent(before.ratio())
        ),
        Because::Floor { now, since } => format!(
            "The aerobic floor's heart rate goes by the {}{}.",
            match now {
                FloorMethod::OfMaximum => "highest heart rate",
                FloorMethod::OfReserve => "heart-rate reserve",
            },
            from(since)
        ),
        Because::Medication { taken: true } => {
            "Medication that lowers the heart rate is taken now.".to_owned()
        }
        Because::Medication { taken: false } => {
            "Medication that lowers the heart rate is no longer taken.".to_owned()
        }
        Because::Scheme(Some(name)) => format!("The scheme {name} is chosen."),
        Because::Scheme(None) => "The five zones are chosen.".to_owned(),
    }
}

fn losing(sureness: Sureness, kind: TestKind, since: NaiveDate) -> String {
    let quality = match kind {
        TestKind::FiveMinutes => "VO2max pace",
        TestKind::TwentyMinutes => "LT2 pace",
        TestKind::FortyMinutes => "LT1 pace",
    };
    let since = day_short(since);
    match sureness {
        Sureness::Clear => format!("{quality} has clearly fallen since {since}."),
        Sureness::Likely => format!("{quality} has likely fallen since {since}."),
    }
}

fn ask(asking: Asking) -> &'static str {
    match asking {
        Asking::Health => "Not asked about health yet: no all-out test until then.",
        Asking::Again => {
            "The health questions are over a year old: ask again before an all-out test."
        }
        Asking::Medication => {
            "Ask what the medication is for and for clearance: no all-out test until then."
        }
        Asking::Consent => "Under 18: a guardian's consent is needed before an all-out test.",
    }
}

fn returning(not_before: Option<NaiveDate>, back_after: NaiveDate, why: &str) -> String {
    let back = back_after.succ_opt().unwrap_or(back_after);
    match not_before {
        Some(day) => format!(
            "Back since {} ({why}). No all-out test before {}.",
            day_short(back),
            day_short(day)
        ),
        None => format!(
            "Back since {} ({why}). No all-out test until running without pain is noted.",
            day_short(back)
        ),
    }
}

/// A day within the coming or past week by its weekday, any other by its date.
fn weekday(day: NaiveDate, today: NaiveDate) -> String {
    match day.signed_duration_since(today).num_days() {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        -1 => "yesterday".to_owned(),
        -6..=6 => day.format("%A").to_string(),
        _ => day_short(day),
    }
}
