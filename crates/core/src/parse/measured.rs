//! A distance measured by other means than the recording, and a course, each in one line as a coach
//! types it.

use super::{NotUnderstood, Run, WrongResult, decimal, distance, run};
use crate::course::{Course, Lane, Measured, Surface};
use crate::format::METRES_PER_MILE;
use crate::units::{Distance, Laps, Slope, Speed};

/// What is wrong with a measured distance or a course.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WrongMeasure {
    /// No distance and no laps.
    #[error(transparent)]
    Result(WrongResult),
    /// Laps without a course.
    #[error(
        "how long is a lap? Write {0} in lane 1 on a standard track, or {0} of a course you named"
    )]
    LapUnknown(String),
    /// A course nobody named.
    #[error("there is no course \"{0}\": name it first, with its length")]
    NoSuchCourse(String),
    /// A lane no track has.
    #[error("\"{0}\" is no lane of a standard track: write lane 1 to lane 9")]
    Lane(String),
    /// No speed of a treadmill.
    #[error(
        "\"{0}\" is no treadmill setting: write its speed and incline, treadmill 14.5 km/h 1 %"
    )]
    Treadmill(String),
    /// No course.
    #[error(
        "\"{0}\" is no course: write its name, the length of a lap, track, road or trail, and a slope if it has one: River loop, 850 m, trail, 0.5 %"
    )]
    Course(String),
}

/// A measured distance: "5400 m", "13 x 400 + 200", "13 laps 200 in lane 2", "6 laps of River loop",
/// "treadmill 14.5 km/h 1 %".
///
/// # Errors
/// Anything else; a course that is not among those given.
pub fn measured(text: &str, courses: &[Course]) -> Result<Measured, WrongMeasure> {
    let given = text.trim();
    let lower = given.to_lowercase();
    if let Some(setting) = lower.strip_prefix("treadmill") {
        return treadmill(setting).ok_or_else(|| WrongMeasure::Treadmill(given.to_owned()));
    }
    if let Some((count, lane)) = lower.split_once("lane") {
        let number = lane.trim().parse().ok().and_then(|number: u8| Lane::try_from(number).ok());
        let course = number.and_then(Course::track);
        let course = course.ok_or_else(|| WrongMeasure::Lane(lane.trim().to_owned()))?;
        let count = count.trim_end();
        return laps_of(count.strip_suffix(" in").unwrap_or(count), course);
    }
    if let Some((count, name)) = lower.split_once(" of ").or_else(|| lower.split_once(" on ")) {
        let named = |course: &&Course| course.name.to_lowercase() == name.trim();
        let course = courses.iter().find(named).cloned();
        return laps_of(
            count,
            course.ok_or_else(|| WrongMeasure::NoSuchCourse(name.trim().to_owned()))?,
        );
    }
    match run(given).and_then(|run| run.distance(None)) {
        Ok(distance) => Ok(Measured::Distance(distance)),
        Err(WrongResult::LapUnknown) => Err(WrongMeasure::LapUnknown(given.to_owned())),
        Err(other) => Err(WrongMeasure::Result(other)),
    }
}

fn laps_of(count: &str, course: Course) -> Result<Measured, WrongMeasure> {
    let run = run(count).map_err(WrongMeasure::Result)?;
    let whole = run.distance(Some(course.length)).map_err(WrongMeasure::Result)?;
    // "5200 m of River loop": the distance stands, whatever the course
    if let Run::Distance(distance) = run {
        return Ok(Measured::Distance(distance));
    }
    let laps = Laps::from_count(whole.m() / course.length.m());
    laps.map(|laps| Measured::Laps { course, laps })
        .map_err(|_| WrongMeasure::Result(WrongResult::TooFar))
}

fn treadmill(setting: &str) -> Option<Measured> {
    let unit = ["km/h", "kmh", "mph"].into_iter().find(|unit| setting.contains(unit))?;
    let (speed, rest) = setting.split_once(unit)?;
    let metres = if unit == "mph" { METRES_PER_MILE } else { 1_000.0 };
    let speed = Speed::from_m_per_s(decimal(speed.trim())? * metres / 3_600.0).ok()?;
    // a belt that stands still is none
    (speed.m_per_s() > 0.0).then_some(())?;
    let rest = rest.trim().trim_start_matches([',', 'a', 't']).trim();
    let incline = if rest.is_empty() { Slope::from_ratio(0.0).ok()? } else { slope(rest)? };
    Some(Measured::Treadmill { speed, incline })
}

/// "1 %", "-0.5%".
fn slope(text: &str) -> Option<Slope> {
    let number = text.trim().strip_suffix('%')?.trim();
    let (sign, number) = match number.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, number.strip_prefix('+').unwrap_or(number)),
    };
    Slope::from_ratio(sign * decimal(number.trim())? / 100.0).ok()
}

/// A course: "River loop, 850 m, trail", "Dam, 2.5 km, road, -0.4 %".
///
/// # Errors
/// Anything else.
pub fn course(text: &str) -> Result<Course, WrongMeasure> {
    let refused = || WrongMeasure::Course(text.trim().to_owned());
    let cells: Vec<&str> = text.split(", ").map(str::trim).collect();
    let (name, length, surface, rise) = match cells.as_slice() {
        [name, length, surface] => (*name, *length, *surface, None),
        [name, length, surface, rise] => (*name, *length, *surface, Some(*rise)),
        _ => return Err(refused()),
    };
    let length: Distance = distance(length)
        .map_err(|error: NotUnderstood| WrongMeasure::Result(WrongResult::NotUnderstood(error)))?;
    let surface = match surface.to_lowercase().as_str() {
        "track" => Surface::Track,
        "road" => Surface::Road,
        "trail" => Surface::Trail,
        _ => return Err(refused()),
    };
    let slope = rise.map_or_else(|| Slope::from_ratio(0.0).ok(), slope).ok_or_else(refused)?;
    if name.is_empty() || length.m() <= 0.0 {
        return Err(refused());
    }
    Ok(Course { name: name.to_owned(), length, surface, slope })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Seconds;

    fn metres(text: &str) -> f64 {
        let courses = [course("River loop, 850 m, trail, 0.5 %").unwrap()];
        let run = measured(text, &courses).unwrap_or_else(|e| panic!("{text}: {e}"));
        run.distance(Seconds::from_s(1_200.0).unwrap()).unwrap().m()
    }

    #[test]
    fn every_way_to_say_it() {
        for (text, expected) in [
            ("5400", 5_400.0),
            ("5,4 km", 5_400.0),
            ("13 x 400 + 200", 5_400.0),
            ("13 laps 200 in lane 1", 5_400.0),
            ("6 laps 100 of River loop", 5_200.0),
            ("6.5 laps on river LOOP", 5_525.0),
            // 20 minutes at 15 km/h
            ("treadmill 15 km/h", 5_000.0),
            ("Treadmill 15,0 km/h 1 %", 5_000.0),
        ] {
            assert!((metres(text) - expected).abs() < 0.2, "{text}: {}", metres(text));
        }
        let incline = |text| match measured(text, &[]).unwrap() {
            Measured::Treadmill { incline, .. } => incline.ratio(),
            other => panic!("{other:?}"),
        };
        assert!((incline("treadmill 12 km/h at 1.5 %") - 0.015).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_meant_is_refused_in_a_sentence() {
        for (text, told) in [
            ("4 laps 172", "how long is a lap? Write 4 laps 172 in lane 1 on a standard track, or"),
            (" laps of River loop", "no course"),
            ("13 laps of Moon", "no course \"moon\""),
            ("13 laps in lane 12", "no lane"),
            ("treadmill fast", "no treadmill setting"),
            ("treadmill 0 km/h", "no treadmill setting"),
            ("treadmill 12 km/h 80 %", "no treadmill setting"),
            ("13 laps 500 in lane 1", "more than a lap"),
            ("16:40", "is a time"),
            ("", "no distance"),
        ] {
            let error = measured(text, &[]).unwrap_err().to_string();
            assert!(error.contains(told), "{text}: {error}");
        }
        for text in ["River loop", "River loop, 850 m", "River loop, 850 m, ice", ", 850 m, road"] {
            assert!(course(text).is_err(), "{text}");
        }
        let dam = course("Dam, 2,5 km, road, -0.4 %").unwrap();
        assert!(
            (dam.slope.ratio() + 0.004).abs() < 1e-12 && (dam.length.m() - 2_500.0).abs() < 1e-9
        );
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_understood_or_refused(text in "\\PC{0,32}") {
            let _ = (measured(&text, &[]).is_ok(), course(&text).is_ok());
        }
    }
}
