//! `zones` and `compare`: numbers without a library.

use std::fmt::Write;

use pacewright_core::change::Change;
use pacewright_core::format::{percent, signed_percent};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_core::zones::shown::{ShownZone, shown};
use pacewright_desk::Problem;
use pacewright_desk::calculate::{self, Calculated, Typed};

use super::to_json;
use crate::arguments::{Compare, ZonesOf};
use crate::json;
use crate::output::Output;

pub(super) fn zones(asked: &ZonesOf) -> Result<Output, Problem> {
    let calculated = calculate::zones(&Typed {
        five_m: asked.five,
        twenty_m: asked.twenty,
        twenty_bpm: asked.twenty_hr,
        forty_m: asked.forty,
        forty_bpm: asked.forty_hr,
        maximum_bpm: asked.hr_max,
        age_years: asked.age,
    })?;
    if asked.json {
        return to_json(&json::calculated(&calculated));
    }
    let why = if asked.why { why_text(&calculated) } else { String::new() };
    let races = if asked.races { races_text(&calculated) } else { String::new() };
    Ok(Output::text(zones_text(&calculated) + &why + &races))
}

/// Each marker with its interval and where its numbers come from.
fn why_text(calculated: &Calculated) -> String {
    let mut text = String::from(
        "\n\nWhere the numbers come from (nine in ten runners like this lie in the range):",
    );
    for line in calculated.why(UnitSystem::Kilometres) {
        text.push_str("\n  ");
        text.push_str(&line);
    }
    text
}

/// The weakest quality, and what races may take.
fn races_text(calculated: &Calculated) -> String {
    let lines = calculated.outlook().join("\n  ");
    format!("\n\nBalance, and what a race may take (flat course, cool weather):\n  {lines}")
}

fn zones_text(calculated: &Calculated) -> String {
    let units = UnitSystem::Kilometres;
    let mut text =
        String::from("   Zone              Heart rate   Pace per km        400 m   What leads\n");
    for ShownZone { number, name, heart_rate, pace, lap_400, guidance, estimated, .. } in
        shown(&calculated.zones, units)
    {
        let mark = if estimated { "estimated; " } else { "" };
        // a String takes every line
        let _always = writeln!(
            text,
            "{number}  {name:<16}  {heart_rate:<11}  {pace:<17}  {lap_400:<6}  {mark}{guidance}"
        );
    }
    if let Some(estimated) = words::estimated_markers(&calculated.derived.markers) {
        text.push('\n');
        text.push_str(&estimated);
    }
    for remark in &calculated.derived.remarks {
        let _always = write!(
            text,
            "\n{}: {}",
            words::severity(remark.severity),
            words::remark(remark, units)
        );
    }
    text
}

pub(super) fn compare(asked: &Compare) -> Result<Output, Problem> {
    let change = calculate::compare(asked.test, &asked.before, &asked.after)?;
    if asked.json {
        return to_json(&change);
    }
    Ok(Output::text(compare_text(&change)))
}

fn compare_text(change: &Change) -> String {
    format!(
        "{}: {}, with an error of {} on such a change.\n\
         Chances that the true change is a worthwhile gain {}, too small to matter {}, a worthwhile loss {}.",
        words::verdict(change.verdict),
        signed_percent(change.change_percent),
        signed_percent(change.standard_error_percent).trim_start_matches('+'),
        percent(change.chance_better),
        percent(change.chance_trivial),
        percent(change.chance_worse),
    )
}
