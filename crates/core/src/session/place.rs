//! Where one athlete stands in a session: in a section with times of their own, or apart.

use chrono::NaiveDate;

use super::groups::Range;
use super::{Apart, Entrant, Member, Session, Steer};
use crate::aging::{OutOfDate, by_feel_since, out_of_date};
use crate::calibration::Calibration;
use crate::format::{SplitTime, TimeBand};
use crate::retest::{self, Hold};
use crate::screening::{NotCleared, not_cleared};
use crate::test::TestKind;
use crate::units::UnitSystem;
use crate::words::ceiling;
use crate::zones::shown::{ShownPace, shown, shown_pace};
use crate::zones::{Leads, Zone, Zones};

/// In a group that is to run "at least" so fast nobody is asked for more than this much above their
/// own pace, in thousandths of speed: what a 5-minute test repeats to (judgement; the figure is
/// [`crate::physiology::reliability::speed_percent`]'s). A zone that is open upwards would let
/// everyone run with the fastest.
pub(super) const AT_LEAST_ABOVE: u32 = 24;

/// An athlete in a section.
pub(super) struct Placed {
    /// The scheme, the zone's name, what its times mean: all of a group share them.
    pub(super) section: (Option<String>, String, Steer),
    /// How many zones the scheme has.
    pub(super) zones: u8,
    pub(super) member: Member,
    /// The times of a lap (or repetition) they may share with others; `None` without a time.
    pub(super) range: Option<Range>,
    /// The zone's paces as shown.
    pub(super) pace: ShownPace,
}

/// Where an athlete stands on a day.
///
/// # Errors
/// Why they stand apart.
pub(super) fn place(
    session: &Session,
    entrant: &Entrant<'_>,
    units: UnitSystem,
    on: NaiveDate,
) -> Result<Placed, Apart> {
    let calibration = to_run_by(session.zone, entrant, on)?;
    let zones = calibration.zones.clone();
    let zones = if entrant.medicated { zones.without_heart_rate() } else { zones };
    in_zone(session, &entrant.athlete.name, &zones, units)
}

/// The zones to run by on a day, in a zone of this number.
///
/// # Errors
/// Why the athlete stands apart, whatever is run in the zone.
pub(super) fn to_run_by<'a>(
    zone: u8,
    entrant: &Entrant<'a>,
    on: NaiveDate,
) -> Result<&'a Calibration, Apart> {
    let holds = holds(entrant, on);
    let cleared = not_cleared(entrant.athlete, on);
    if cleared == Some(NotCleared::Hold) || holds.contains(&Hold::Away) {
        return Err(Apart::Held);
    }
    let hard = is_hard(zone, entrant.calibration);
    if hard && holds.contains(&Hold::Returning) {
        return Err(Apart::Held);
    }
    if hard && cleared.is_some() {
        return Err(Apart::NotAsked);
    }
    let calibration = entrant.calibration.ok_or(Apart::NoZones)?;
    if let Some(since) = by_feel_since(calibration, entrant.aways, on) {
        return Err(Apart::ByFeel { since });
    }
    let outdated = out_of_date(calibration, entrant.tests, entrant.aways, entrant.window, on);
    if !outdated.is_empty() {
        // nobody is told to run a test that something holds
        let free = cleared.is_none() && holds.is_empty();
        let tests = outdated.into_iter().map(OutOfDate::kind).filter(|_| free).collect();
        return Err(Apart::OutOfDate { tests });
    }
    Ok(calibration)
}

/// What holds any test but a booking or a clearance: away, returning.
fn holds(entrant: &Entrant<'_>, on: NaiveDate) -> Vec<Hold> {
    retest::holds(TestKind::TwentyMinutes, &[], entrant.aways, true, on)
}

/// Whether a zone is run harder than LT1: the third of the five zones and those above it; in another
/// scheme every zone that does not end at LT1 pace or below, or that is not known.
fn is_hard(number: u8, calibration: Option<&Calibration>) -> bool {
    let own = calibration.filter(|calibration| calibration.zones.scheme.is_some());
    let Some(calibration) = own else { return number > 2 };
    let zone = calibration.zones.zones.iter().find(|zone| zone.number == number);
    let fastest = zone.and_then(|zone| zone.pace).and_then(|band| band.fastest);
    let lt1 = calibration.markers.lt1.speed.map(|estimate| estimate.value);
    // a share of a marker that is LT1 itself may miss it by a hair
    !fastest.zip(lt1).is_some_and(|(fastest, lt1)| fastest.m_per_s() <= lt1.m_per_s() + 1e-9)
}

fn in_zone(
    session: &Session,
    name: &str,
    zones: &Zones,
    units: UnitSystem,
) -> Result<Placed, Apart> {
    let number = session.zone;
    let scheme = zones.scheme.clone();
    let mut both = zones.zones.iter().zip(shown(zones, units));
    let Some((zone, on_card)) = both.find(|(zone, _)| zone.number == number) else {
        return Err(Apart::NoSuchZone { number, scheme });
    };
    let band = zone.pace.map(|band| shown_pace(band, units));
    let steer = steer(zone, band)?;
    let pace = band.unwrap_or(ShownPace { slowest_s: None, fastest_s: None });
    let is_timed = pace.fastest_s.is_some() || steer == Steer::AtLeast;
    let over = |distance| match pace.times(distance, units).filter(|_| is_timed) {
        None if is_timed => Err(Apart::TooNarrow(distance)),
        times => Ok(times),
    };
    let lap = session.lap().map(over).transpose()?.flatten();
    let repetition = over(session.distance)?;
    let own = if session.lap().is_some() { lap } else { repetition };
    let member = Member {
        name: name.to_owned(),
        estimated: on_card.estimated,
        ceiling: (zone.leads == Leads::HeartRate).then(|| ceiling(zone, &on_card)),
        pace: on_card.pace,
        lap,
        repetition,
    };
    let range = own.map(|own| range(own, steer));
    let count = u8::try_from(zones.zones.len()).unwrap_or(u8::MAX);
    let section = (scheme, zones.name_of(zone).to_owned(), steer);
    Ok(Placed { section, zones: count, member, range, pace })
}

/// What the times of a zone mean: where heart rate leads they are limits, and so they are in a pace zone
/// that is open downwards; one that is open upwards is run at least so fast.
fn steer(zone: &Zone, band: Option<ShownPace>) -> Result<Steer, Apart> {
    if zone.leads == Leads::HeartRate {
        return Ok(Steer::Limit);
    }
    match band.map(|band| (band.slowest_s, band.fastest_s)) {
        Some((Some(_), Some(_))) => Ok(Steer::Target),
        Some((Some(_), None)) => Ok(Steer::AtLeast),
        Some((None, Some(_))) => Ok(Steer::Limit),
        Some((None, None)) | None => Err(Apart::NoPace),
    }
}

fn range(own: TimeBand, steer: Steer) -> Range {
    let own = if steer == Steer::Target { middle_half(own) } else { own };
    let from = own.fastest.map_or(0, SplitTime::tenths);
    let to = own.slowest.map_or(u32::MAX, SplitTime::tenths);
    match steer {
        Steer::Target => Range { from, to, wish: own.middle().tenths() },
        Steer::Limit => Range { from, to, wish: from },
        Steer::AtLeast => {
            let longest = u64::from(to) * 1_000;
            let near = longest.div_ceil(u64::from(1_000 + AT_LEAST_ABOVE));
            Range { from: u32::try_from(near).unwrap_or(to), to, wish: to }
        }
    }
}

/// What of a target's band may be shared: the middle half of it, a quarter left out at either end, in
/// whole seconds; all of it where the middle half holds none (judgement). A time at the slow end for one
/// and at the fast end for another is two sessions: in zone 4 the one runs barely above LT2, the other
/// almost at VO2max pace.
pub(super) fn middle_half(own: TimeBand) -> TimeBand {
    let Some((from, to)) = own.fastest.zip(own.slowest) else { return own };
    let (from, to) = (from.tenths(), to.tenths());
    let quarter = to.saturating_sub(from).div_ceil(4);
    let (from, to) = ((from + quarter).next_multiple_of(10), (to - quarter) / 10 * 10);
    let end = |tenths| Some(SplitTime::from_tenths(tenths));
    if from <= to { TimeBand { fastest: end(from), slowest: end(to) } } else { own }
}
