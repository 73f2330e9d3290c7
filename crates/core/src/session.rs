//! A session by zone: every athlete's lap and repetition times, in pace groups.
//!
//! Times follow the paces that stand on the card ([`crate::zones::shown`]), so that sheet and card
//! never contradict each other. What leads follows the card too: a pace is a target; where heart rate
//! leads, as a ceiling, times are limits and no targets; a zone that is open upwards says "at least".
//!
//! A target is shared only from the middle half of each one's band, so that a group is one session to
//! all of it; everyone's own times are given whole.

mod groups;
mod place;

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::athlete::Athlete;
use crate::calibration::Calibration;
use crate::format::{SplitTime, TimeBand, half_up, pace_over};
use crate::parse::{WrongRepetitions, repetitions};
use crate::retest::RetestWindow;
use crate::schedule::Away;
use crate::test::{Test, TestKind};
use crate::units::{Distance, UnitSystem};
use crate::zones::shown::ShownPace;

use groups::{common, fewest, suited};
use place::{Placed, place, to_run_by};

/// Repetitions in one zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Session {
    zone: u8,
    repetitions: u32,
    distance: Distance,
    lap: Option<Distance>,
}

/// Why there is no such session.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WrongSession {
    /// No scheme has such a zone.
    #[error("there is no zone {0}: 1 is the easiest, and no scheme has more than 7")]
    Zone(u8),
    /// The repetitions cannot be.
    #[error(transparent)]
    Repetitions(#[from] WrongRepetitions),
}

/// Whether all that is missing is how long a lap is.
pub fn needs_lap(wrong: &WrongSession) -> bool {
    *wrong == WrongSession::Repetitions(WrongRepetitions::LapUnknown)
}

impl Session {
    /// Repetitions as they are typed, "6 x 1000 m", on laps of a length, or timed whole.
    ///
    /// # Errors
    /// A zone that no scheme has, repetitions that cannot be.
    pub fn new(zone: u8, run: &str, lap: Option<Distance>) -> Result<Self, WrongSession> {
        if !(1..=7).contains(&zone) {
            return Err(WrongSession::Zone(zone));
        }
        let (repetitions, distance) = repetitions(run, lap)?;
        Ok(Self { zone, repetitions, distance, lap })
    }

    /// The zone's number, 1 the easiest.
    pub fn zone(&self) -> u8 {
        self.zone
    }

    /// How many.
    pub fn repetitions(&self) -> u32 {
        self.repetitions
    }

    /// How far each goes.
    pub fn distance(&self) -> Distance {
        self.distance
    }

    /// The lap that is timed: `None` where no lap was given, or a repetition is no longer than one.
    pub fn lap(&self) -> Option<Distance> {
        self.lap.filter(|lap| *lap < self.distance)
    }

    /// What groups share a time over: a lap, else the whole repetition.
    fn timed(&self) -> Distance {
        self.lap().unwrap_or(self.distance)
    }

    /// The laps to pass within a repetition: at most six, evenly chosen where there are more.
    fn passed(&self) -> Vec<u32> {
        let Some(lap) = self.lap() else { return Vec::new() };
        let within = |count: &u32| f64::from(*count) * lap.m() < self.distance.m() - 1e-6;
        // the longest repetition on the shortest lap has a thousand of them
        let laps: Vec<u32> = (1..=1_000).take_while(within).collect();
        let every = laps.len().div_ceil(6).max(1);
        laps.into_iter().skip(every - 1).step_by(every).collect()
    }
}

/// One athlete as far as a session asks.
#[derive(Debug, Clone, Copy)]
pub struct Entrant<'a> {
    /// Who.
    pub athlete: &'a Athlete,
    /// The zones in force on the day.
    pub calibration: Option<&'a Calibration>,
    /// On medication that lowers the heart rate: no heart rate is shown.
    pub medicated: bool,
    /// Spans away.
    pub aways: &'a [Away],
    /// Their tests, which may have renewed the date of the zones.
    pub tests: &'a [Test],
    /// When their tests are repeated.
    pub window: RetestWindow,
}

/// Why somebody stands apart, without times.
#[derive(Debug, Clone, PartialEq)]
pub enum Apart {
    /// On hold, away, or back too short a time. Which of them is private and never printed.
    Held,
    /// Not cleared for hard running: to be asked first. Why is private and never printed.
    NotAsked,
    /// No zones in force.
    NoZones,
    /// Back after three weeks away or more: by feel until a new test.
    ByFeel {
        /// The first day back.
        since: NaiveDate,
    },
    /// The zones are out of date.
    OutOfDate {
        /// The tests to repeat; none where something holds them.
        tests: Vec<TestKind>,
    },
    /// Their scheme has no zone of this number.
    NoSuchZone {
        /// The number.
        number: u8,
        /// The scheme's name; `None` for the five zones.
        scheme: Option<String>,
    },
    /// The zone has no pace for this athlete.
    NoPace,
    /// The zone is too narrow for a time over so short a distance.
    TooNarrow(Distance),
}

/// What the times of a section mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Steer {
    /// To be run.
    Target,
    /// The slowest; faster by feel.
    AtLeast,
    /// The fastest; a heart rate leads, or feel.
    Limit,
}

/// One athlete in a section.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// The name.
    pub name: String,
    /// Whether an edge of their zone was not tested but estimated.
    pub estimated: bool,
    /// What leads where no pace does: "up to 157 bpm", "by feel: you can talk in sentences".
    pub ceiling: Option<String>,
    /// The zone's pace as it stands on the card.
    pub pace: String,
    /// Their own times of a lap, where laps are timed.
    pub lap: Option<TimeBand>,
    /// Their own times of a repetition.
    pub repetition: Option<TimeBand>,
}

/// Athletes who share one time that lies inside the band of each: a target in the middle half of it,
/// where that holds a whole second.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The time of a lap, where laps are timed.
    pub lap: Option<SplitTime>,
    /// The time of a repetition.
    pub repetition: SplitTime,
    /// When to pass the laps within a repetition: how far, and the time by then. None of limits.
    pub passing: Vec<(Distance, SplitTime)>,
    /// The pace of it, without its unit.
    pub pace: String,
    /// Who, the fastest first.
    pub members: Vec<Member>,
}

/// The athletes of one scheme: a zone of the same number is another intensity in another scheme, so
/// that its athletes are never in one group with these.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// The zone's number.
    pub number: u8,
    /// How many zones its scheme has.
    pub zones: u8,
    /// Its name, as on the card.
    pub name: String,
    /// The scheme's name; `None` for the five zones.
    pub scheme: Option<String>,
    /// What the times mean.
    pub steer: Steer,
    /// The fewest groups there can be, fastest first.
    pub groups: Vec<Group>,
    /// Who goes by heart rate or feel alone, without a time.
    pub untimed: Vec<Member>,
}

/// What a split sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct Splits {
    /// The session.
    pub session: Session,
    /// The five zones first, then other schemes by name.
    pub sections: Vec<Section>,
    /// Who has no times, by name, and why.
    pub apart: Vec<(String, Apart)>,
}

impl Splits {
    /// How many athletes stand in the sections.
    pub fn athletes(&self) -> usize {
        let of = |section: &Section| {
            section.untimed.len() + section.groups.iter().map(|g| g.members.len()).sum::<usize>()
        };
        self.sections.iter().map(of).sum()
    }
}

/// Why an athlete would stand apart on a day, whatever is run in a zone of this number; `None` where they
/// would have times, as far as the zone has a pace.
pub fn apart(zone: u8, entrant: &Entrant<'_>, on: NaiveDate) -> Option<Apart> {
    to_run_by(zone, entrant, on).err()
}

/// The times of everybody on a day, in the fewest pace groups.
pub fn splits(
    session: &Session,
    entrants: &[Entrant<'_>],
    units: UnitSystem,
    on: NaiveDate,
) -> Splits {
    let mut sections: BTreeMap<_, Vec<Placed>> = BTreeMap::new();
    let mut apart = Vec::new();
    for entrant in entrants {
        match place(session, entrant, units, on) {
            Ok(placed) => sections.entry(placed.section.clone()).or_default().push(placed),
            Err(why) => apart.push((entrant.athlete.name.clone(), why)),
        }
    }
    let sections = sections
        .into_iter()
        .map(|((scheme, name, steer), mut placed)| {
            placed.sort_by(|a, b| {
                let wish = |placed: &Placed| placed.range.map(|range| range.wish);
                wish(a).cmp(&wish(b)).then_with(|| a.member.name.cmp(&b.member.name))
            });
            let zones = placed.first().map_or(session.zone, |placed| placed.zones);
            let (timed, untimed): (Vec<Placed>, Vec<Placed>) =
                placed.into_iter().partition(|placed| placed.range.is_some());
            Section {
                number: session.zone,
                zones,
                name,
                scheme,
                steer,
                groups: grouped(session, &timed, steer, units),
                untimed: untimed.into_iter().map(|placed| placed.member).collect(),
            }
        })
        .collect();
    apart.sort_by_cached_key(|(name, _)| name.to_lowercase());
    Splits { session: *session, sections, apart }
}

fn grouped(session: &Session, placed: &[Placed], steer: Steer, units: UnitSystem) -> Vec<Group> {
    let ranges: Vec<_> = placed.iter().filter_map(|placed| placed.range).collect();
    let shared = |group: &Vec<usize>| time_of(common(group, &ranges), steer);
    let first: Vec<u32> = fewest(&ranges).iter().map(|group| shared(group).tenths()).collect();
    let mut groups: Vec<(SplitTime, Vec<usize>)> =
        suited(&first, &ranges).into_iter().map(|group| (shared(&group), group)).collect();
    groups.sort_by_key(|(time, _)| *time);
    groups.iter().map(|(time, group)| group_of(session, *time, group, placed, units)).collect()
}

/// The time a group shares, of all that it may run: a target stands in the middle (judgement), a
/// time that is at least run is the slowest, a limit the fastest of them.
fn time_of((from, to): (u32, u32), steer: Steer) -> SplitTime {
    let (fastest, slowest) = (SplitTime::from_tenths(from), SplitTime::from_tenths(to));
    match steer {
        Steer::Target => TimeBand { fastest: Some(fastest), slowest: Some(slowest) }.middle(),
        Steer::AtLeast => slowest,
        Steer::Limit => fastest,
    }
}

fn group_of(
    session: &Session,
    time: SplitTime,
    group: &[usize],
    placed: &[Placed],
    units: UnitSystem,
) -> Group {
    let members = || group.iter().filter_map(|at| placed.get(*at));
    // whole seconds of pace that all of them may run: a shared time lies in each one's paces, so that
    // the slowest fast end never stands beyond the fastest slow end
    let paces = ShownPace {
        fastest_s: members().filter_map(|one| one.pace.fastest_s).max(),
        slowest_s: members().filter_map(|one| one.pace.slowest_s).min(),
    };
    let repetition = || {
        let exact = time.s() * session.distance.m() / session.timed().m();
        match paces.times(session.distance, units) {
            Some(band) => band.nearest(exact),
            // paces too narrow for a time over this distance: what the laps come to
            None => SplitTime::from_tenths(half_up(exact * 10.0)),
        }
    };
    let repetition = session.lap().map_or(time, |_| repetition());
    let is_limit = members().any(|one| one.section.2 == Steer::Limit);
    let passed = if is_limit { Vec::new() } else { session.passed() };
    let passing = passed.into_iter().filter_map(|count| {
        let far = Distance::from_m(f64::from(count) * session.timed().m()).ok()?;
        Some((far, time.times(count)))
    });
    Group {
        lap: session.lap().map(|_| time),
        repetition,
        passing: passing.collect(),
        pace: pace_over(time, session.timed(), units),
        members: members().map(|one| one.member.clone()).collect(),
    }
}

#[cfg(test)]
mod tests;
