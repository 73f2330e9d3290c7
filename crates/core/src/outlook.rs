//! What an athlete may run in a race, from 1500 m to the half marathon.
//!
//! The power law from the effort nearest in distance, with the athlete's own exponent where two
//! all-out efforts lie far enough apart to give one. Beyond the half marathon it refuses: the
//! published rule was well calibrated to the half marathon, but gave half of 2,303 runners a marathon
//! at least ten minutes too fast (Vickers AJ, Vertosick EA. BMC Sports Sci Med Rehabil 2016;8:26, doi
//! 10.1186/s13102-016-0052-y; root mean square error 14 to 20 minutes).

use chrono::{Days, NaiveDate};

use crate::calibration::Facts;
use crate::doubt::NINE_IN_TEN;
use crate::format;
use crate::markers::{Attempt, MarkerEvidence};
use crate::physiology::power_law::{BETWEEN_PEOPLE, Exponent};
use crate::physiology::reliability;
use crate::race::{Race, Ran};
use crate::test::{Performance, TestKind};
use crate::units::{Distance, Seconds};

/// The shortest race spoken of, metres.
const SHORTEST_M: f64 = 1_500.0;
/// The longest: the half marathon, metres.
const LONGEST_M: f64 = format::HALF_MARATHON_M;
/// Times the published rule was made for, seconds.
const LAW_S: std::ops::RangeInclusive<f64> = 3.5 * 60.0..=230.0 * 60.0;
/// Two efforts give an exponent of their own where the longer is at least this many times the
/// shorter in distance (judgement: under it their errors swamp it).
const FAR_ENOUGH: f64 = 1.5;
/// How far a race lies from the best line through an athlete's efforts on the day, relative
/// (judgement within the repeatability of races: course, weather, form).
const ON_THE_DAY: f64 = 0.015;

/// An all-out effort: how far in what time, and its repeatability relative to speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AllOut {
    /// How far.
    pub distance: Distance,
    /// In what time.
    pub duration: Seconds,
    /// Repeatability of its speed, of 1.
    pub error: f64,
}

/// Efforts older than this speak of another athlete, days (judgement: two blocks of twelve weeks).
const NEWEST_DAYS: u64 = 168;

/// The all-out efforts of an athlete that speak for a race on a day: the newest accepted 5- and
/// 20-minute tests, whether the zones follow from them or were kept, and every race of the last 24
/// weeks, 1500 m to the half marathon.
pub fn efforts(facts: &Facts<'_>, on: NaiveDate) -> Vec<AllOut> {
    let oldest = on.checked_sub_days(Days::new(NEWEST_DAYS)).unwrap_or(on);
    let run = |kind| facts.newest_run(kind, on);
    let tested = all_out(run(TestKind::FiveMinutes), run(TestKind::TwentyMinutes), oldest);
    let speaks = |metres: f64| (SHORTEST_M..=LONGEST_M).contains(&metres);
    let mut raced: Vec<Ran> = facts
        .races
        .iter()
        .filter_map(Race::ran)
        .filter(|race| (oldest..=on).contains(&race.on) && speaks(race.distance.m()))
        .collect();
    // of two over the same distance the newer speaks first
    raced.sort_by_key(|race| std::cmp::Reverse((race.on, race.race)));
    tested.into_iter().chain(raced.iter().map(AllOut::from)).collect()
}

/// The 5- and 20-minute tests of some evidence as all-out efforts, none before a day; those of no
/// known day were just run.
pub fn tested(evidence: &MarkerEvidence, oldest: NaiveDate) -> Vec<AllOut> {
    all_out(evidence.five, evidence.twenty, oldest)
}

fn all_out(five: Option<Attempt>, twenty: Option<Attempt>, oldest: NaiveDate) -> Vec<AllOut> {
    let tests = [(five, TestKind::FiveMinutes), (twenty, TestKind::TwentyMinutes)];
    let all_out = tests.into_iter().filter_map(|(attempt, kind)| {
        let attempt = attempt.filter(|attempt| attempt.on.is_none_or(|day| day >= oldest))?;
        let Performance { distance, duration, .. } = attempt.performance;
        Some(AllOut { distance, duration, error: attempt.speed(kind)?.1 })
    });
    all_out.collect()
}

impl From<&Ran> for AllOut {
    fn from(race: &Ran) -> Self {
        let error = reliability::RACE_PERCENT / 100.0;
        Self { distance: race.distance, duration: race.duration, error }
    }
}

/// What a race may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlook {
    /// The time.
    pub time: Seconds,
    /// One standard error of it, relative to it.
    pub error: f64,
    /// The exponent used.
    pub exponent: Exponent,
    /// Whether it is the athlete's own.
    pub own: bool,
}

impl Outlook {
    /// The time that nine in ten such races lie between.
    pub fn nine_in_ten(&self) -> Option<(Seconds, Seconds)> {
        let half = NINE_IN_TEN * self.error;
        let at = |factor: f64| Seconds::from_s(self.time.s() * factor).ok();
        Some((at((-half).exp())?, at(half.exp())?))
    }
}

/// Why there is no outlook.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoOutlook {
    /// Shorter than anything these efforts speak for.
    #[error(
        "No outlook under 1500 m: sprinting decides there, and neither test measures it. Race a \
         1500 m instead."
    )]
    TooShort,
    /// Beyond the half marathon.
    #[error(
        "No outlook beyond the half marathon: from efforts this short, every other marathon \
         would be foretold at least ten minutes too fast. Use a half marathon and long runs to judge it."
    )]
    TooLong,
    /// No all-out effort to start from.
    #[error("No outlook without an accepted 5- or 20-minute test or a race: run one first.")]
    NothingToStartFrom,
    /// The time would lie outside what the rule was made for.
    #[error(
        "No outlook over {}: the rule was made for efforts of 3.5 to 230 minutes.",
        format::race_distance(*wanted)
    )]
    OutsideTheRule {
        /// The distance asked for.
        wanted: Distance,
    },
}

/// The outlook on a race.
///
/// # Errors
/// A distance outside 1500 m to the half marathon, a time the rule was not made for, nothing to start
/// from.
pub fn outlook(efforts: &[AllOut], wanted: Distance) -> Result<Outlook, NoOutlook> {
    if wanted.m() < SHORTEST_M {
        return Err(NoOutlook::TooShort);
    }
    if wanted.m() > LONGEST_M {
        return Err(NoOutlook::TooLong);
    }
    let efforts = &best(efforts);
    let away = |effort: &AllOut| (wanted.m() / effort.distance.m()).ln().abs();
    let start = efforts
        .iter()
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .ok_or(NoOutlook::NothingToStartFrom)?;
    let own = own_exponent(efforts, start);
    let (exponent, exponent_error) = own.unwrap_or((Exponent::published(), BETWEEN_PEOPLE));
    let outside = NoOutlook::OutsideTheRule { wanted };
    let time = exponent
        .time((start.distance, start.duration), wanted)
        .filter(|time| LAW_S.contains(&time.s()))
        .ok_or(outside)?;
    // a speed that is off by e moves a time by about e times the exponent
    let error =
        (start.error * exponent.value()).hypot(exponent_error * away(start)).hypot(ON_THE_DAY);
    Ok(Outlook { time, error, exponent, own: own.is_some() })
}

/// The efforts without those that were not the athlete's best: whoever ran further at the same speed or
/// faster could have run faster over less. From such a one a 3000 m would come out slower than the
/// 10 km that was run.
fn best(efforts: &[AllOut]) -> Vec<AllOut> {
    let ran: Vec<&AllOut> =
        efforts.iter().filter(|e| e.distance.m() > 0.0 && e.duration.s() > 0.0).collect();
    let speed = |effort: &AllOut| effort.distance.m() / effort.duration.s();
    let beaten = |effort: &AllOut| {
        let beats = |other: &AllOut| {
            other.distance.m() > effort.distance.m() && speed(other) >= speed(effort)
        };
        ran.iter().any(|other| beats(other))
    };
    ran.iter().filter(|effort| !beaten(effort)).map(|effort| **effort).collect()
}

/// The athlete's own exponent from the effort to start from and the one furthest from it, with its
/// error; never surer than the two efforts make it, never less sure than knowing nothing.
fn own_exponent(efforts: &[AllOut], start: &AllOut) -> Option<(Exponent, f64)> {
    let apart = |other: &AllOut| (other.distance.m() / start.distance.m()).ln();
    let other = efforts.iter().max_by(|a, b| apart(a).abs().total_cmp(&apart(b).abs()))?;
    if apart(other).abs() < FAR_ENOUGH.ln() {
        return None;
    }
    let of = |effort: &AllOut| (effort.distance, effort.duration);
    let exponent = if apart(other) > 0.0 {
        Exponent::own(of(start), of(other))?
    } else {
        Exponent::own(of(other), of(start))?
    };
    let from_runs = start.error.hypot(other.error) * exponent.value() / apart(other).abs();
    Some((exponent, from_runs.min(BETWEEN_PEOPLE)))
}

/// The distances spoken of where none is asked for, metres.
const USUAL_M: [f64; 5] = [SHORTEST_M, 3_000.0, 5_000.0, 10_000.0, LONGEST_M];

/// The outlook on the usual distances, 1500 m to the half marathon.
pub fn usual(efforts: &[AllOut]) -> Vec<(Distance, Result<Outlook, NoOutlook>)> {
    let distances = USUAL_M.into_iter().filter_map(|metres| Distance::from_m(metres).ok());
    distances.map(|distance| (distance, outlook(efforts, distance))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn effort(metres: f64, seconds: f64) -> AllOut {
        AllOut {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(seconds).unwrap(),
            error: 0.02,
        }
    }

    fn metres(m: f64) -> Distance {
        Distance::from_m(m).unwrap()
    }

    #[test]
    fn one_effort_goes_by_the_published_exponent_two_by_their_own() {
        // the published rule: 5 km in 1200 s gives 10 km in 2501.9 s (arithmetic)
        let one = outlook(&[effort(5_000.0, 1_200.0)], metres(10_000.0)).unwrap();
        assert!((one.time.s() - 2_501.9).abs() < 0.1 && !one.own);
        // a 5-minute run of 1500 m and a 20-minute run of 5400 m: ln 4 / ln 3.6 = 1.0823
        let both = [effort(1_500.0, 300.0), effort(5_400.0, 1_200.0)];
        let two = outlook(&both, metres(10_000.0)).unwrap();
        assert!((two.exponent.value() - 1.082_25).abs() < 1e-4 && two.own);
        // held at 1.15 however far the two lie apart
        let odd = [effort(1_500.0, 300.0), effort(4_600.0, 1_200.0)];
        assert!((outlook(&odd, metres(10_000.0)).unwrap().exponent.value() - 1.15).abs() < 1e-12);
    }

    #[test]
    fn it_refuses_what_it_cannot_know_and_says_why() {
        let one = [effort(5_000.0, 1_200.0)];
        assert_eq!(outlook(&one, metres(800.0)), Err(NoOutlook::TooShort));
        assert_eq!(outlook(&one, metres(42_195.0)), Err(NoOutlook::TooLong));
        assert_eq!(outlook(&[], metres(5_000.0)), Err(NoOutlook::NothingToStartFrom));
        assert!(outlook(&one, metres(21_097.5)).is_ok());
        let walker = [effort(900.0, 1_200.0)];
        let refused = outlook(&walker, metres(21_097.5));
        assert_eq!(refused, Err(NoOutlook::OutsideTheRule { wanted: metres(21_097.5) }));
    }

    #[test]
    fn further_away_is_slower_and_less_sure() {
        let one = [effort(5_000.0, 1_200.0)];
        let far = [5_000.0, 8_000.0, 10_000.0, 15_000.0, 21_097.5];
        let all: Vec<Outlook> = far.iter().map(|m| outlook(&one, metres(*m)).unwrap()).collect();
        assert!(all.windows(2).all(|pair| pair[0].time < pair[1].time));
        assert!(all.windows(2).all(|pair| pair[0].error < pair[1].error));
    }

    #[test]
    fn who_ran_further_and_faster_is_not_foretold_slower_over_less() {
        // a 20-minute test of 4994 m and 5 km raced in 17:10
        let all = [effort(4_994.0, 1_200.0), effort(1_370.0, 300.0), effort(5_000.0, 1_030.0)];
        let time = |m: f64| outlook(&all, metres(m)).unwrap().time.s();
        assert!((time(5_000.0) - 1_030.0).abs() < 1e-9);
        let paces = [1_500.0, 3_000.0, 5_000.0, 10_000.0].map(|m| time(m) / m);
        assert!(paces.windows(2).all(|pair| pair[0] < pair[1]), "{paces:?}");
        assert!(!outlook(&all, metres(10_000.0)).unwrap().own, "one effort is left");
    }
}
