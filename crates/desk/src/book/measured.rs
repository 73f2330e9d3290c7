//! What was measured for a recording, as it is kept: as settings, through the library's one door, so that
//! it can be undone.

use std::collections::BTreeMap;

use pacewright_core::course::{Measured, MeasuredEffort};
use pacewright_core::ids::RecordingId;
use pacewright_core::test::{Evidence, Test};
use pacewright_store::{Change, Library};

use crate::Problem;

/// Settings that hold what was measured for a recording begin so, its number after it.
const MEASURED: &str = "measured/";

/// The name under which it is kept.
pub(crate) fn name_of(recording: RecordingId) -> String {
    format!("{MEASURED}{}", recording.0)
}

/// How what was measured for a recording is kept.
pub(crate) fn kept_for(
    recording: RecordingId,
    measured: &MeasuredEffort,
) -> Result<Change, Problem> {
    Ok(Change::PutSetting { name: name_of(recording), value: text_of(measured)? })
}

/// What was measured for the recording of a test.
pub(crate) fn of_test(library: &Library, test: &Test) -> Result<Option<MeasuredEffort>, Problem> {
    in_settings(&library.settings()?, test)
}

/// The same from all settings.
pub(crate) fn in_settings(
    settings: &BTreeMap<String, String>,
    test: &Test,
) -> Result<Option<MeasuredEffort>, Problem> {
    read(settings, test).transpose().map_err(|_| {
        Problem::new("A distance entered for a recording cannot be read; enter it again.")
    })
}

/// The text in which it is kept; empty where nothing was measured.
pub(crate) fn text_in_settings<'a>(settings: &'a BTreeMap<String, String>, test: &Test) -> &'a str {
    let Evidence::Recorded { recording, .. } = test.evidence else { return "" };
    settings.get(&name_of(recording)).map_or("", String::as_str)
}

/// The same, as it was kept. What was kept without the stretch it was measured for is that of the
/// effort the test has.
fn read(
    settings: &BTreeMap<String, String>,
    test: &Test,
) -> Option<serde_json::Result<MeasuredEffort>> {
    let Evidence::Recorded { recording, span, .. } = test.evidence else { return None };
    let kept = settings.get(&name_of(recording))?;
    let with_span = serde_json::from_str::<MeasuredEffort>(kept);
    Some(with_span.or_else(|_| {
        let measured = serde_json::from_str::<Measured>(kept)?;
        Ok(MeasuredEffort { measured, over: Some(span) })
    }))
}

/// Whether a test's recording was measured by a treadmill's own speed.
pub(crate) fn on_treadmill(settings: &BTreeMap<String, String>, test: &Test) -> bool {
    let entered = read(settings, test).and_then(Result::ok);
    entered.is_some_and(|entered| entered.measured.is_treadmill())
}

/// A value as the text it is kept in.
///
/// # Errors
/// A value that has no text.
pub(crate) fn text_of(value: &impl serde::Serialize) -> Result<String, Problem> {
    serde_json::to_string(value)
        .map_err(|e| Problem::new(format!("What was entered cannot be kept ({e}).")))
}
