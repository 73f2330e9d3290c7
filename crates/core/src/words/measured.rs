//! Courses and measured distances in words.

use crate::course::{Course, Measured, Surface};
use crate::format::{metres, pace, pace_unit, slope_percent};
use crate::units::{Distance, UnitSystem};

/// "River loop: 850 m, trail, slope +0.5 %".
pub fn course(course: &Course) -> String {
    let slope = match slope_percent(course.slope) {
        level if level == "0.0 %" => String::new(),
        slope => format!(", slope {slope}"),
    };
    format!("{}: {}, {}{slope}", course.name, metres(course.length), surface(course.surface))
}

/// "track".
pub fn surface(surface: Surface) -> &'static str {
    match surface {
        Surface::Track => "track",
        Surface::Road => "road",
        Surface::Trail => "trail",
    }
}

/// "5,200 m in laps of River loop", "treadmill at 4:08 per km, incline 1.0 %".
pub fn measured(measured: &Measured, units: UnitSystem) -> String {
    match measured {
        Measured::Distance(distance) => metres(*distance),
        Measured::Laps { course, laps } => {
            let whole = Distance::from_m(course.length.m() * laps.count());
            let whole = whole.map(metres).unwrap_or_default();
            format!("{whole} in laps of {}", course.name)
        }
        Measured::Treadmill { speed, incline } => format!(
            "treadmill at {} per {}, incline {}",
            pace(*speed, units),
            pace_unit(units),
            slope_percent(*incline)
        ),
    }
}
