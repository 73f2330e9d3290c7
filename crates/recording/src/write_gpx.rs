//! A recording as GPX 1.1.

use std::fmt::Write as _;

use chrono::{DateTime, SecondsFormat, TimeDelta, Utc};
use pacewright_core::recording::{Recording, Sample, Sport};

use crate::{Format, WriteError, sport};

/// Our own namespace for what GPX has no element for.
const EXTENSION: &str = "urn:pacewright:track-point:1";

/// The recording as GPX 1.1: a track segment for each stretch between pauses; heart rate, cadence
/// and the device's distance in an extension. Laps and legs have no place in GPX.
///
/// # Errors
/// No date; a sample without a position.
pub fn write_gpx(recording: &Recording) -> Result<String, WriteError> {
    let started_at = recording.started_at().ok_or(WriteError::Dateless(Format::Gpx))?;
    let mut text = String::with_capacity(300 * recording.samples().len() + 500);
    text.push_str(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"Pacewright\" ",
    );
    text.push_str("xmlns=\"http://www.topografix.com/GPX/1/1\" xmlns:p=\"");
    text.push_str(EXTENSION);
    text.push_str("\">\n<trk>\n");
    let indoors = recording.circumstances().indoors && *recording.sport() == Sport::Running;
    if let Some(words) =
        if indoors { Some("treadmill running") } else { sport::to_words(recording.sport()) }
    {
        element(&mut text, "type", &quick_xml::escape::escape(words));
        text.push('\n');
    }
    let mut pauses = recording.timer_pauses().unwrap_or_default().iter().peekable();
    text.push_str("<trkseg>\n");
    for (index, sample) in recording.samples().iter().enumerate() {
        let resumed = pauses.next_if(|pause| pause.to <= sample.time).is_some();
        if resumed && index > 0 {
            text.push_str("</trkseg>\n<trkseg>\n");
        }
        while pauses.next_if(|pause| pause.to <= sample.time).is_some() {}
        point(&mut text, sample, started_at)?;
    }
    text.push_str("</trkseg>\n</trk>\n</gpx>\n");
    Ok(text)
}

fn point(text: &mut String, sample: &Sample, started_at: DateTime<Utc>) -> Result<(), WriteError> {
    let at_s = sample.time.s();
    let position = sample.position.ok_or(WriteError::Placeless { at_s })?;
    #[expect(clippy::cast_possible_truncation, reason = "a recording is far shorter than i64")]
    let elapsed = TimeDelta::microseconds((at_s * 1e6).round() as i64);
    let time = started_at.checked_add_signed(elapsed).ok_or(WriteError::Dateless(Format::Gpx))?;
    let precision = match time.timestamp_subsec_micros() {
        0 => SecondsFormat::Secs,
        micros if micros % 1_000 == 0 => SecondsFormat::Millis,
        _ => SecondsFormat::Micros,
    };
    append(
        text,
        format_args!(
            "<trkpt lat=\"{:.7}\" lon=\"{:.7}\">",
            position.latitude_degrees(),
            position.longitude_degrees()
        ),
    );
    if let Some(altitude) = sample.altitude {
        element(text, "ele", &format!("{:.2}", altitude.m()));
    }
    element(text, "time", &time.to_rfc3339_opts(precision, true));
    let extra = [
        ("p:hr", sample.heart_rate.map(|heart_rate| heart_rate.bpm().to_string())),
        ("p:cad", sample.cadence.map(|cadence| cadence.per_minute().to_string())),
        ("p:distance", sample.distance.map(|distance| format!("{:.2}", distance.m()))),
    ];
    if extra.iter().any(|(_, value)| value.is_some()) {
        text.push_str("<extensions><p:TrackPoint>");
        for (name, value) in extra {
            if let Some(value) = value {
                element(text, name, &value);
            }
        }
        text.push_str("</p:TrackPoint></extensions>");
    }
    text.push_str("</trkpt>\n");
    Ok(())
}

fn element(text: &mut String, name: &str, content: &str) {
    append(text, format_args!("<{name}>{content}</{name}>"));
}

fn append(text: &mut String, what: std::fmt::Arguments<'_>) {
    let written = text.write_fmt(what);
    debug_assert!(written.is_ok(), "writing to a string cannot fail");
}
