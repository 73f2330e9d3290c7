//! A remark about the heat a test was run in.

use crate::physiology::conditions::{Conditions, HeatAdvice, Weather, heat_advice};
use crate::remark::{Finding, Remark, Severity};

/// What the noted weather does to a test's result: nothing below a wet-bulb globe temperature of 18, a
/// note from there, to be looked at from 23. Heat slows and raises the heart rate.
pub fn heat(noted: &Conditions) -> Option<Remark> {
    let heat = noted.heat()?;
    // whether the athlete was used to heat is not known; the note tells of it from 18 on anyway
    let severity = match heat_advice(heat, true) {
        HeatAdvice::Fine => return None,
        HeatAdvice::Slows => Severity::Note,
        HeatAdvice::Postpone | HeatAdvice::Refuse => Severity::Check,
    };
    let finding = Finding::Heat {
        wet_bulb_globe_degrees: heat.degrees(),
        estimated: matches!(noted.weather, Some(Weather::Air { .. })),
    };
    Some(Remark::new(finding, severity, None))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physiology::conditions::Celsius;
    use crate::remark::Code;
    use crate::units::{Share, UnitSystem};
    use crate::words;

    fn at(weather: Weather) -> Option<(Severity, String)> {
        let remark = heat(&Conditions { weather: Some(weather), ..Conditions::default() })?;
        assert_eq!(remark.finding.code(), Code::Heat);
        Some((remark.severity, words::remark(&remark, UnitSystem::Kilometres)))
    }

    #[test]
    fn heat_is_told_by_the_flags_for_road_races() {
        // 18, 23 and 28: Armstrong et al. 2007, see `heat_advice`
        let globe = |degrees| at(Weather::WetBulbGlobe(Celsius::from_degrees(degrees).unwrap()));
        assert_eq!(heat(&Conditions::default()), None);
        assert_eq!(globe(17.9), None);
        assert_eq!(globe(18.0).unwrap().0, Severity::Note);
        assert_eq!(globe(23.0).unwrap().0, Severity::Check);
        let (severity, said) = globe(28.0).unwrap();
        assert_eq!(severity, Severity::Check);
        assert!(said.contains("too hot for any all-out effort"), "{said}");
        // 30 degrees at 50 %: 29.3, worked by hand from the published approximation
        let air = Weather::Air {
            temperature: Celsius::from_degrees(30.0).unwrap(),
            humidity: Share::from_ratio(0.5).unwrap(),
        };
        assert!(at(air).unwrap().1.contains("about 29 \u{b0}C, estimated"), "{:?}", at(air));
    }
}
