//! `assess`: the test effort of recordings, found and judged.

use std::fmt::Write;

use pacewright_core::assess::{Assessment, Known};
use pacewright_core::course::{Measured, MeasuredEffort};
use pacewright_core::effort::{Effort, FoundBy};
use pacewright_core::format::{metres, pace, percent, time, whole_beats};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_desk::Problem;
use pacewright_desk::calculate::target;
use pacewright_desk::files::{AssessedFile, assess_file};
use pacewright_desk::measured::{measured_without_library, one_file_only};

use super::to_json;
use crate::arguments::Assess;
use crate::json;
use crate::output::Output;

/// Done when at least one file gave an effort; each file that did not gets a sentence.
pub(super) fn assess(asked: &Assess) -> Result<Output, Problem> {
    if asked.measured.is_some() && asked.files.len() > 1 {
        return Err(one_file_only());
    }
    let known = Known {
        target: asked.target_hr.map(target).transpose()?,
        medicated: false,
        sensor: None,
        measured: asked
            .measured
            .as_deref()
            .map(measured_without_library)
            .transpose()?
            .map(of_found),
    };
    let files: Vec<AssessedFile> =
        asked.files.iter().map(|path| assess_file(path, asked.test, &known)).collect();
    let mut output = if asked.json {
        to_json(&files.iter().map(json::assessed).collect::<Vec<_>>())?
    } else {
        Output::text(files.iter().map(text).collect::<Vec<_>>().join("\n"))
    };
    output.problems = files.iter().filter_map(problem).collect();
    output.failed = output.problems.len() == files.len();
    Ok(output)
}

/// Measured of whatever effort is found.
fn of_found(measured: Measured) -> MeasuredEffort {
    MeasuredEffort { measured, over: None }
}

fn problem(file: &AssessedFile) -> Option<String> {
    match &file.outcome {
        Err(problem) => Some(problem.to_string()),
        Ok(Assessment { effort: None, remarks, .. }) => {
            let why = remarks.first().map(|r| words::remark(r, UnitSystem::Kilometres));
            Some(format!("{}: no effort. {}", file.path.display(), why.unwrap_or_default()))
        }
        Ok(_) => None,
    }
}

fn text(file: &AssessedFile) -> String {
    let Ok(assessment) = &file.outcome else { return String::new() };
    let Some(effort) = &assessment.effort else { return String::new() };
    let mut text = format!("{}: {}\n", file.path.display(), words::good_for(assessment.good_for));
    text.push_str(&numbers(effort));
    for remark in &assessment.remarks {
        let sentence = words::remark(remark, UnitSystem::Kilometres);
        // a String takes every line
        let _always = writeln!(text, "  {}: {sentence}", words::severity(remark.severity));
    }
    text
}

fn numbers(effort: &Effort) -> String {
    let found = match effort.found_by {
        FoundBy::Lap => "the marked lap",
        FoundBy::WholeRecording => "the whole recording",
        FoundBy::Fastest => "the fastest stretch",
        FoundBy::ByHand => "edges set by hand",
    };
    let heart = effort.mean_heart_rate.map_or_else(String::new, |mean| {
        let share = percent(effort.heart_rate_share.ratio());
        format!(", mean heart rate {} over {share} of it", whole_beats(mean))
    });
    format!(
        "  {} to {} ({found}): {}, {} per km{heart}\n",
        time(effort.span.from),
        time(effort.span.to),
        metres(effort.distance),
        pace(effort.mean_speed, UnitSystem::Kilometres),
    )
}
