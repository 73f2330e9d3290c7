//! The zones as a person reads them: rounded, contiguous, no overlap and no gap.
//!
//! Heart rates are whole beats; a marker's beat belongs to the zone below it (LT1 is the top of
//! zone 2). Paces are whole seconds; a marker's pace belongs to the faster zone, so 6:32 – 4:53 is
//! followed by 4:52 – 4:05.

use crate::format::{TimeBand, clock, pace_seconds, pace_unit, times_inside};
use crate::units::{Distance, Speed, UnitSystem};
use crate::zones::{HeartRateBand, Leads, PaceBand, Zone, Zones};

/// One zone in words and rounded numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownZone {
    /// 1 is the easiest.
    pub number: u8,
    /// "Easy".
    pub name: String,
    /// "below 137", "137 – 157", "above 165", or "–".
    pub heart_rate: String,
    /// "slower than 6:32", "6:32 – 4:53", "3:29 and faster", or words where no pace is printed.
    pub pace: String,
    /// The fastest 400 m lap whose pace is still one of the zone's: "1:58"; "–" where it has none.
    pub lap_400: String,
    /// What leads: "heart rate as a ceiling".
    pub leads: &'static str,
    /// How to run it, where there is more to say: "usual 6:15 – 5:20 per km".
    pub hint: Option<String>,
    /// Both in one line: "heart rate as a ceiling; usual 6:15 – 5:20 per km".
    pub guidance: String,
    /// Whether an edge was not tested but estimated.
    pub estimated: bool,
}

impl ShownZone {
    /// The same zone where its numbers are too old to lead: its paces and heart rates stand for
    /// reference, and nothing is said of how to keep to them.
    #[must_use]
    pub fn by_feel(self) -> Self {
        const LEADS: &str = "by feel until a new test";
        Self { leads: LEADS, hint: None, guidance: LEADS.to_owned(), ..self }
    }
}

/// Whole seconds of a zone's slow and fast end, both inside the zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShownPace {
    /// Slow end; `None` is open.
    pub slowest_s: Option<u32>,
    /// Fast end; `None` is open.
    pub fastest_s: Option<u32>,
}

/// The paces of a zone in whole seconds per kilometre or mile.
pub fn shown_pace(band: PaceBand, units: UnitSystem) -> ShownPace {
    let seconds = |speed: Option<Speed>| speed.and_then(|s| pace_seconds(s, units));
    ShownPace {
        slowest_s: seconds(band.slowest),
        // the marker's own second opens the faster zone
        fastest_s: seconds(band.fastest).map(|s| s + 1),
    }
}

impl ShownPace {
    /// The times over a distance that keep to these paces; `None` where the paces are too narrow for
    /// so short a distance.
    pub fn times(self, distance: Distance, units: UnitSystem) -> Option<TimeBand> {
        times_inside((self.fastest_s, self.slowest_s), distance, units)
    }
}

/// All zones as they stand on a card, in the coach's units.
pub fn shown(zones: &Zones, units: UnitSystem) -> Vec<ShownZone> {
    zones.zones.iter().map(|zone| shown_zone(zone, zones, units)).collect()
}

fn shown_zone(zone: &Zone, zones: &Zones, units: UnitSystem) -> ShownZone {
    // what is said of the two easy zones holds for the program's own five zones
    let hint = if zones.scheme.is_none() { hint(zone, units) } else { None };
    let leads = leads(zone);
    ShownZone {
        number: zone.number,
        name: zones.name_of(zone).to_owned(),
        heart_rate: zone.heart_rate.map_or_else(|| "–".to_owned(), heart_rate_words),
        pace: pace_words(zone, zones, units),
        lap_400: lap_words(zone, units).unwrap_or_else(|| "–".to_owned()),
        guidance: hint.as_ref().map_or_else(|| leads.to_owned(), |hint| format!("{leads}; {hint}")),
        leads,
        hint,
        estimated: zone.estimated,
    }
}

fn heart_rate_words(band: HeartRateBand) -> String {
    match (band.from, band.to) {
        (Some(from), Some(to)) if from == to => format!("{from}"),
        (Some(from), Some(to)) => format!("{from} – {to}"),
        (None, Some(to)) => format!("below {}", u32::from(to) + 1),
        (Some(from), None) => format!("above {}", from.saturating_sub(1)),
        (None, None) => "–".to_owned(),
    }
}

fn pace_words(zone: &Zone, zones: &Zones, units: UnitSystem) -> String {
    let Some(band) = zone.pace else {
        let walked = zones.scheme.is_none() && zone.number == 1 && has_walking_floor(zones);
        return if walked { "walk, or very easy jog".to_owned() } else { "–".to_owned() };
    };
    let ShownPace { slowest_s, fastest_s } = shown_pace(band, units);
    match (slowest_s, fastest_s) {
        (Some(slow), Some(fast)) if slow == fast => clock(slow),
        (Some(slow), Some(fast)) => format!("{} – {}", clock(slow), clock(fast)),
        (Some(slow), None) => format!("{} and faster", clock(slow)),
        (None, Some(fast)) if zone.number == 1 => format!("slower than {}", clock(fast - 1)),
        (None, Some(fast)) => format!("{} and slower", clock(fast)),
        (None, None) => "–".to_owned(),
    }
}

/// Whether the second zone opens at a walk: its slow end is left open, its fast end is not.
fn has_walking_floor(zones: &Zones) -> bool {
    let second = zones.zones.iter().find(|zone| zone.number == 2).and_then(|zone| zone.pace);
    second.is_some_and(|band| band.slowest.is_none() && band.fastest.is_some())
}

/// A lap of a standard track, metres.
const LAP_M: f64 = 400.0;

/// Never a lap that is faster than the paces beside it.
fn lap_words(zone: &Zone, units: UnitSystem) -> Option<String> {
    // nobody runs laps by the watch in the lowest zone
    let band = zone.pace.filter(|_| zone.number > 1)?;
    let lap = Distance::from_m(LAP_M).ok()?;
    shown_pace(band, units).times(lap, units)?.fastest.map(|time| time.to_string())
}

fn leads(zone: &Zone) -> &'static str {
    match zone.leads {
        Leads::HeartRate if zone.heart_rate.is_some() => "heart rate as a ceiling",
        Leads::HeartRate => "by feel: you can talk in sentences",
        Leads::Pace => "pace",
        Leads::PaceOrFeel => "pace or feel; hills by feel",
    }
}

fn hint(zone: &Zone, units: UnitSystem) -> Option<String> {
    match zone.number {
        1 => Some("walk breaks fine".to_owned()),
        2 => usual_easy(zone, units).map(|usual| format!("usual {usual}")),
        _ => None,
    }
}

/// The usual easy range inside zone 2: from 15 to 65 % of the way from the floor to LT1
/// (judgement), so that LT1 stays a limit and not a target. `None` where an edge is open.
fn usual_easy(zone: &Zone, units: UnitSystem) -> Option<String> {
    let band = zone.pace?;
    let (slow, fast) = (band.slowest?.m_per_s(), band.fastest?.m_per_s());
    let at = |share: f64| Speed::from_m_per_s(slow + share * (fast - slow)).ok();
    let (from, to) = (pace_seconds(at(0.15)?, units)?, pace_seconds(at(0.65)?, units)?);
    Some(format!("{} – {} per {}", clock(from), clock(to), pace_unit(units)))
}
