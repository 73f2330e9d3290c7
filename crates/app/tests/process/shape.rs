//! The shapes promised to scripts, held against what is printed: exactly these keys, these types,
//! null only where it is allowed, and words only of the promised lists.

use serde_json::Value;

/// What a value must be.
#[derive(Clone)]
pub(crate) enum Shape {
    Text,
    Number,
    Whole,
    /// A day as 2026-11-25.
    Day,
    OneOf(&'static [&'static str]),
    /// One of 5, 20, 40.
    Minutes,
    OrNull(Box<Shape>),
    List(Box<Shape>),
    Object(Vec<(&'static str, Shape)>),
}

use Shape::{Day, List, Minutes, Number, Object, OneOf, OrNull, Text, Whole};

fn or_null(shape: Shape) -> Shape {
    OrNull(Box::new(shape))
}

fn list(shape: Shape) -> Shape {
    List(Box::new(shape))
}

impl Shape {
    /// Checks a value, its place in the whole named in every complaint.
    #[track_caller]
    pub(crate) fn check(&self, value: &Value) {
        if let Err(complaint) = self.fits(value, "the value") {
            panic!("{complaint}\n{value:#}");
        }
    }

    fn fits(&self, value: &Value, place: &str) -> Result<(), String> {
        let wrong = |wanted: &str| Err(format!("{place} is {value}, not {wanted}"));
        match self {
            Text if value.is_string() => Ok(()),
            Text => wrong("a text"),
            Number if value.as_f64().is_some_and(f64::is_finite) => Ok(()),
            Number => wrong("a number"),
            Whole if value.is_u64() => Ok(()),
            Whole => wrong("a whole number"),
            Day => match value.as_str().map(str::parse::<chrono::NaiveDate>) {
                Some(Ok(_)) => Ok(()),
                _ => wrong("a day"),
            },
            OneOf(words) if value.as_str().is_some_and(|v| words.contains(&v)) => Ok(()),
            OneOf(words) => wrong(&format!("one of {words:?}")),
            Minutes if value.as_u64().is_some_and(|v| [5, 20, 40].contains(&v)) => Ok(()),
            Minutes => wrong("5, 20 or 40"),
            OrNull(_) if value.is_null() => Ok(()),
            OrNull(shape) => shape.fits(value, place),
            List(shape) => {
                let Some(items) = value.as_array() else { return wrong("a list") };
                items
                    .iter()
                    .enumerate()
                    .try_for_each(|(index, item)| shape.fits(item, &format!("{place}[{index}]")))
            }
            Object(fields) => {
                let Some(object) = value.as_object() else { return wrong("an object") };
                if let Some(other) = object.keys().find(|k| !fields.iter().any(|(n, _)| n == k)) {
                    return Err(format!("{place} has a key {other} that was never promised"));
                }
                fields.iter().try_for_each(|(name, shape)| {
                    let missing = || format!("{place} lacks {name}");
                    let value = object.get(*name).ok_or_else(missing)?;
                    shape.fits(value, &format!("{place}.{name}"))
                })
            }
        }
    }
}

const CODES: &[&str] = &[
    "length",
    "pause",
    "all_out",
    "gps_jump",
    "distance_source",
    "heart_rate_missing",
    "heart_rate_implausible",
    "heart_rate_step",
    "heart_rate_dropout",
    "heart_rate_flat",
    "cadence_lock",
    "heart_rate_lag",
    "pacing",
    "finish_sprint",
    "target_missed",
    "target_unknown",
    "drift",
    "slope",
    "conditions",
    "heat",
    "wind",
    "altitude",
    "treadmill",
    "sensor",
    "clock",
    "parts",
    "second_recording",
    "truncated",
    "checksum",
    "sport",
    "duplicate",
    "markers_order",
    "markers_apart",
    "critical_speed",
    "heart_rate_max",
    "medication",
    "screening",
    "first_attempt",
];

fn remark() -> Shape {
    Object(vec![
        ("code", OneOf(CODES)),
        ("severity", OneOf(&["note", "check", "spoils"])),
        ("bears_on", or_null(OneOf(&["speed", "heart_rate"]))),
        ("message", Text),
        ("value", or_null(Number)),
        ("from_s", or_null(Number)),
        ("to_s", or_null(Number)),
    ])
}

pub(crate) fn zones() -> Shape {
    let origin = || or_null(OneOf(&["measured", "by rule", "estimated", "entered"]));
    let marker = Object(vec![
        ("name", OneOf(&["aerobic_floor", "lt1", "lt2", "vo2max"])),
        ("speed_m_per_s", or_null(Number)),
        ("speed_error_m_per_s", or_null(Number)),
        ("heart_rate_bpm", or_null(Number)),
        ("heart_rate_error_bpm", or_null(Number)),
        ("speed_origin", origin()),
        ("heart_rate_origin", origin()),
    ]);
    let beats = Object(vec![("from", or_null(Whole)), ("to", or_null(Whole))]);
    let pace = Object(vec![("slowest", or_null(Number)), ("fastest", or_null(Number))]);
    let zone = Object(vec![
        ("number", Whole),
        ("name", Text),
        ("heart_rate_bpm", or_null(beats)),
        ("pace_s_per_km", or_null(pace)),
    ]);
    Object(vec![
        ("markers", list(marker)),
        ("zones", list(zone)),
        ("critical_speed_m_per_s", or_null(Number)),
        ("remarks", list(remark())),
    ])
}

pub(crate) fn assess() -> Shape {
    let recording = Object(vec![
        ("distance_m", or_null(Number)),
        ("duration_s", Number),
        ("distance_source", or_null(OneOf(&["device", "positions", "entered"]))),
    ]);
    let effort = Object(vec![
        ("start_s", Number),
        ("end_s", Number),
        ("found_by", OneOf(&["lap", "whole recording", "fastest"])),
        ("distance_m", Number),
        ("mean_speed_m_per_s", Number),
        ("flat_speed_m_per_s", or_null(Number)),
        ("mean_heart_rate_bpm", or_null(Number)),
        ("heart_rate_share", Number),
        ("peak_heart_rate_bpm", or_null(Number)),
        ("ascent_m", or_null(Number)),
    ]);
    list(Object(vec![
        ("file", Text),
        ("error", or_null(Text)),
        ("recording", or_null(recording)),
        ("effort", or_null(effort)),
        ("use", or_null(OneOf(&["usable", "doubtful", "unusable"]))),
        ("remarks", list(remark())),
    ]))
}

pub(crate) fn compare() -> Shape {
    Object(vec![
        ("change_percent", Number),
        ("standard_error_percent", Number),
        ("typical_error_percent", Number),
        ("smallest_worthwhile_percent", Number),
        ("chance_better", Number),
        ("chance_trivial", Number),
        ("chance_worse", Number),
        (
            "verdict",
            OneOf(&["clear gain", "likely gain", "no clear change", "likely loss", "clear loss"]),
        ),
    ])
}

pub(crate) fn read() -> Shape {
    list(Object(vec![
        ("file", Text),
        ("athlete", or_null(Text)),
        ("test", or_null(Minutes)),
        ("outcome", OneOf(&["taken in", "duplicate", "unmatched", "refused"])),
        ("reason", or_null(Text)),
    ]))
}

pub(crate) fn due() -> Shape {
    list(Object(vec![
        ("athlete", Text),
        ("test", Minutes),
        ("state", OneOf(&["never tested", "fresh", "due", "overdue"])),
        ("held_by", list(OneOf(&["booked", "away", "not cleared", "returning"]))),
        ("last_on", or_null(Day)),
        ("opens_on", or_null(Day)),
        ("closes_on", or_null(Day)),
    ]))
}

pub(crate) fn plan() -> Shape {
    Object(vec![
        ("bookings", list(Object(vec![("athlete", Text), ("test", Minutes), ("on", Day)]))),
        ("unplaced", list(Object(vec![("athlete", Text), ("test", Minutes), ("reason", Text)]))),
    ])
}

#[test]
fn a_wrong_shape_is_told_with_its_place() {
    let shape = list(Object(vec![("test", Minutes), ("on", or_null(Day))]));
    let complaint =
        |text: &str| shape.fits(&serde_json::from_str(text).unwrap(), "the value").unwrap_err();
    shape.check(&serde_json::json!([{ "test": 20, "on": null }]));
    assert_eq!(complaint(r#"[{"test":6,"on":null}]"#), "the value[0].test is 6, not 5, 20 or 40");
    assert_eq!(complaint(r#"[{"test":5}]"#), "the value[0] lacks on");
    assert_eq!(complaint(r#"[{"test":5,"on":"soon"}]"#), "the value[0].on is \"soon\", not a day");
    let more = complaint(r#"[{"test":5,"on":null,"by":1}]"#);
    assert_eq!(more, "the value[0] has a key by that was never promised");
}
