//! Heat and altitude: what they do to an all-out effort.

use crate::course::Surface;
use crate::units::{Altitude, Share};

/// Air temperature in degrees Celsius, where anyone runs (-40 to 55).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Celsius(f64);

impl Celsius {
    /// A temperature from degrees Celsius; `None` outside -40 to 55.
    pub fn from_degrees(degrees: f64) -> Option<Self> {
        (degrees.is_finite() && (-40.0..=55.0).contains(&degrees)).then_some(Self(degrees))
    }

    /// Degrees Celsius.
    pub fn degrees(self) -> f64 {
        self.0
    }
}

impl TryFrom<f64> for Celsius {
    type Error = &'static str;

    fn try_from(degrees: f64) -> Result<Self, Self::Error> {
        Self::from_degrees(degrees).ok_or("a temperature outside -40 to 55 degrees")
    }
}

impl From<Celsius> for f64 {
    fn from(temperature: Celsius) -> Self {
        temperature.0
    }
}

/// Wet-bulb globe temperature from its three thermometers, outdoors, degrees Celsius:
/// 0.7 natural wet bulb + 0.2 globe + 0.1 air.
///
/// # Source
/// ISO 7243 (from memory).
pub fn wet_bulb_globe(wet_bulb: Celsius, globe: Celsius, air: Celsius) -> Option<Celsius> {
    Celsius::from_degrees(0.7 * wet_bulb.0 + 0.2 * globe.0 + 0.1 * air.0)
}

/// Wet-bulb globe temperature estimated from air temperature and relative humidity:
/// 0.567 T + 0.393 e + 3.94, with the vapour pressure e in hPa.
///
/// It stands for moderately high sun and light wind: too high in cloud or at night, too low in full
/// sun without wind. Always shown as an estimate.
///
/// # Source
/// A widely reproduced approximation (from memory, no primary source seen).
pub fn estimated_wet_bulb_globe(air: Celsius, relative_humidity: Share) -> Option<Celsius> {
    let saturated = 6.105 * (17.27 * air.0 / (237.7 + air.0)).exp();
    Celsius::from_degrees(0.567 * air.0 + 0.393 * relative_humidity.ratio() * saturated + 3.94)
}

/// What a wet-bulb globe temperature means for an all-out effort (judgement, within the flags for
/// road races: Armstrong LE et al. Med Sci Sports Exerc 2007;39(3):556-572; Roberts WO. Med Sci
/// Sports Exerc 2010;42(2):226-232, doi 10.1249/MSS.0b013e3181b1cdcf).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeatAdvice {
    /// Nothing to say.
    Fine,
    /// From 18: the result will be slower than on a cool day.
    Slows,
    /// From 23, or 21 without acclimatisation: better another day.
    Postpone,
    /// From 28: no all-out effort.
    Refuse,
}

/// What the heat means, see [`HeatAdvice`].
pub fn heat_advice(wet_bulb_globe: Celsius, acclimatised: bool) -> HeatAdvice {
    let postpone = if acclimatised { 23.0 } else { 21.0 };
    match wet_bulb_globe.0 {
        t if t >= 28.0 => HeatAdvice::Refuse,
        t if t >= postpone => HeatAdvice::Postpone,
        t if t >= 18.0 => HeatAdvice::Slows,
        _ => HeatAdvice::Fine,
    }
}

/// Two tests whose places differ by more than this height, in metres, are unlike (loss of VO2max has
/// been seen from 300 m on: Wehrlin JP, Hallén J. Eur J Appl Physiol 2006;96(4):404-412, doi
/// 10.1007/s00421-005-0081-9).
pub const UNLIKE_ALTITUDE_M: f64 = 300.0;
/// Two tests whose wet-bulb globe temperatures differ by more than this are unlike (judgement: one
/// step of the published table, about 1 % of speed; Ely MR et al. Med Sci Sports Exerc
/// 2007;39(3):487-493).
pub const UNLIKE_HEAT_DEGREES: f64 = 5.0;

/// The weather of a test, as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum Weather {
    /// By thermometer and hygrometer: heat stress is estimated from them.
    Air {
        /// Temperature of the air.
        temperature: Celsius,
        /// Relative humidity.
        humidity: Share,
    },
    /// Wet-bulb globe temperature by its own instrument.
    WetBulbGlobe(Celsius),
}

impl Weather {
    /// Wet-bulb globe temperature, measured or estimated.
    pub fn heat(self) -> Option<Celsius> {
        match self {
            Self::Air { temperature, humidity } => estimated_wet_bulb_globe(temperature, humidity),
            Self::WetBulbGlobe(measured) => Some(measured),
        }
    }
}

/// What a test was run on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum Ground {
    /// A course on the ground.
    Course(Surface),
    /// A treadmill.
    Treadmill,
}

/// What is known of where and when a test was run. Unknown is not unlike.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize, serde::Deserialize)]
pub struct Conditions {
    /// The weather.
    pub weather: Option<Weather>,
    /// Height of the place.
    pub altitude: Option<Altitude>,
    /// What it was run on; where nothing is noted, not a treadmill.
    pub ground: Option<Ground>,
}

impl Conditions {
    /// Wet-bulb globe temperature, where the weather is known.
    pub fn heat(&self) -> Option<Celsius> {
        self.weather.and_then(Weather::heat)
    }

    /// Whether it was run on a treadmill.
    pub fn is_treadmill(&self) -> bool {
        self.ground == Some(Ground::Treadmill)
    }

    /// Whether nothing is noted.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// In what two tests were unlike, first reason first; `None` where they can be compared.
pub fn unlike(one: &Conditions, other: &Conditions) -> Option<Unlike> {
    let apart =
        |a: Option<f64>, b: Option<f64>, by: f64| a.zip(b).is_some_and(|(a, b)| (a - b).abs() > by);
    let heat = |c: &Conditions| c.heat().map(Celsius::degrees);
    let height = |c: &Conditions| c.altitude.map(Altitude::m);
    // firm ground is alike; on soft or uneven ground the same effort is slower (judgement)
    let firm = |c: &Conditions| match c.ground {
        Some(Ground::Course(surface)) => Some(surface != Surface::Trail),
        Some(Ground::Treadmill) | None => None,
    };
    if one.is_treadmill() != other.is_treadmill() {
        Some(Unlike::Treadmill)
    } else if apart(height(one), height(other), UNLIKE_ALTITUDE_M) {
        Some(Unlike::Altitude)
    } else if firm(one).zip(firm(other)).is_some_and(|(one, other)| one != other) {
        Some(Unlike::Surface)
    } else if apart(heat(one), heat(other), UNLIKE_HEAT_DEGREES) {
        Some(Unlike::Heat)
    } else {
        None
    }
}

/// In what two tests were unlike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Unlike {
    /// One was on a treadmill.
    Treadmill,
    /// At heights more than 300 m apart.
    Altitude,
    /// One on track or road, one on soft or uneven ground.
    Surface,
    /// In unlike heat.
    Heat,
}
