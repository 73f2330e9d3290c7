//! From one athlete's truth and test days to the runs they ran.

use chrono::{NaiveDate, NaiveTime, TimeDelta};
use pacewright_core::test::TestKind;
use pacewright_core::units::HeartRate;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::calendar::{DaysAgo, days_before};
use crate::simulate::{
    Course, DayForm, Device, Effort, Fault, HeartRateSensor, Marks, Pacing, Run, Runner, Sampling,
    normal,
};
use crate::{DemoRun, FileFormat};

/// What a coach tells a runner to hold for 40 minutes: 95 % of 95 % of the mean heart rate of the
/// newest 20-minute test (common practice, no source).
const HELD_SHARE: f64 = 0.95 * 0.95;

/// What an athlete runs with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Kit {
    pub(crate) format: FileFormat,
    pub(crate) sampling: Sampling,
    pub(crate) heart_rate: HeartRateSensor,
    pub(crate) distance_bias_percent: f64,
}

/// What sets the newest test of a kind apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Twist {
    /// The strap slips: 45 beats too low for 40 s, then nothing for 3 minutes.
    StrapDropout,
    /// It was run over hills.
    Hills,
}

/// How much of a run is recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Recorded {
    /// As people do: mostly with warm-up, lap button and cool-down.
    AsPeopleDo,
    /// The effort alone, for large libraries.
    EffortOnly,
}

/// One athlete's truth over time and the tests they ran.
#[derive(Debug, Clone)]
pub(crate) struct Season {
    pub(crate) athlete: usize,
    pub(crate) file_label: String,
    pub(crate) seed: u64,
    /// The truth today.
    pub(crate) runner: Runner,
    /// Days ago and speed against today in per cent, oldest first; straight lines between.
    pub(crate) path: Vec<(f64, f64)>,
    pub(crate) on_medication: bool,
    pub(crate) kit: Kit,
    pub(crate) recorded: Recorded,
    /// Oldest first.
    pub(crate) tests: Vec<(DaysAgo, TestKind)>,
    pub(crate) twist: Option<(TestKind, Twist)>,
    pub(crate) to_confirm: Vec<TestKind>,
}

impl Season {
    /// Every run, oldest first.
    pub(crate) fn runs(&self, on: NaiveDate) -> Vec<DemoRun> {
        let mut told_bpm = None;
        let mut first_five = true;
        let mut runs = Vec::with_capacity(self.tests.len());
        for (index, &(days_ago, kind)) in self.tests.iter().enumerate() {
            let newest = self.tests.iter().skip(index + 1).all(|(_, later)| *later != kind);
            let five = kind == TestKind::FiveMinutes;
            let practice = five && std::mem::take(&mut first_five);
            let when = When { days_ago, kind, newest, practice };
            let Some(run) = self.run(on, when, told_bpm) else {
                continue;
            };
            if kind == TestKind::TwentyMinutes
                && let Ok(truth) = run.run.truth()
            {
                told_bpm = Some((HELD_SHARE * truth.mean_heart_rate.bpm()).round());
            }
            runs.push(run);
        }
        runs
    }

    fn run(&self, on: NaiveDate, when: When, told_bpm: Option<f64>) -> Option<DemoRun> {
        let mut rng = ChaCha8Rng::seed_from_u64(self.seed_of(when));
        let length_s = match when.kind {
            TestKind::FiveMinutes => 300,
            TestKind::TwentyMinutes => 1_200,
            TestKind::FortyMinutes => 2_400,
        };
        let effort = if when.kind.all_out() {
            Effort::AllOut { length_s, pacing: Pacing::USUAL }
        } else {
            Effort::HeldAtHeartRate { length_s, target_bpm: told_bpm? }
        };
        let day = days_before(on, when.days_ago);
        // mornings: the date is the same in nearly every time zone
        let after_nine = TimeDelta::seconds(rng.random_range(0..9_000));
        let start = day.and_time(NaiveTime::MIN + TimeDelta::hours(9) + after_nine).and_utc();
        let runner = Runner {
            twenty_minute_speed_m_per_s: self.runner.twenty_minute_speed_m_per_s
                * (1.0 + along(&self.path, f64::from(when.days_ago)) / 100.0),
            ..self.runner
        };
        let mut run = Run::new(runner, effort, rng.random());
        run.form = form(when, &mut rng);
        run.started_at = Some(start);
        self.dress(&mut run, when, &mut rng);
        Some(DemoRun {
            athlete: self.athlete,
            kind: when.kind,
            on: day,
            start,
            format: self.kit.format,
            file_name: format!(
                "{} {day} {} min.{}",
                self.file_label,
                when.kind.minutes(),
                self.kit.format.extension()
            ),
            target_heart_rate: told_bpm
                .filter(|_| !when.kind.all_out() && !self.on_medication)
                .and_then(|bpm| HeartRate::from_bpm(bpm).ok()),
            to_confirm: when.newest && self.to_confirm.contains(&when.kind),
            run,
        })
    }

    /// Course, device, warm-up and mishaps.
    fn dress(&self, run: &mut Run, when: When, rng: &mut ChaCha8Rng) {
        let twist = self.twist.filter(|(kind, _)| when.newest && *kind == when.kind);
        let gpx = self.kit.format == FileFormat::Gpx;
        let luck: f64 = rng.random();
        let marks = match (self.recorded, gpx) {
            (Recorded::EffortOnly, _) => Marks::StartedAtTheGun,
            _ if twist.is_some() => Marks::Lap,
            (_, true) if luck < 0.6 => Marks::StartedAtTheGun,
            (_, false) if luck < 0.82 => Marks::Lap,
            (_, false) if luck < 0.93 => Marks::StartedAtTheGun,
            _ => Marks::None,
        };
        run.device = Device {
            sampling: self.kit.sampling,
            marks,
            heart_rate: self.kit.heart_rate,
            distance: !gpx,
            distance_bias_percent: self.kit.distance_bias_percent + 0.15 * normal(rng),
            laps_and_pauses: !gpx,
            ..Device::default()
        };
        run.course = if when.kind.all_out() { Course::track() } else { Course::tarn_path() };
        run.warm_up_s = rng.random_range(600..=1_200);
        run.cool_down_s = rng.random_range(300..=600);
        if self.recorded == Recorded::EffortOnly {
            (run.warm_up_s, run.cool_down_s) = (240, 0);
        } else if luck < 0.08 && !gpx {
            // a stop on the way to the track
            run.faults.push(Fault::Pause { from_s: -420.0, for_s: 45.0 });
        }
        match twist {
            Some((_, Twist::Hills)) => run.course = Course::hill_lane(),
            Some((_, Twist::StrapDropout)) => run.faults.extend([
                Fault::HeartRateFall { from_s: 640.0, for_s: 40.0, by_bpm: 45.0 },
                Fault::HeartRateMissing { from_s: 680.0, for_s: 180.0 },
            ]),
            None => {}
        }
    }

    fn seed_of(&self, when: When) -> u64 {
        let words = [self.athlete as u64, u64::from(when.days_ago), u64::from(when.kind.minutes())];
        words.into_iter().fold(self.seed, mix)
    }
}

/// Where a run stands in a season.
#[derive(Clone, Copy)]
struct When {
    days_ago: DaysAgo,
    kind: TestKind,
    newest: bool,
    practice: bool,
}

/// A day's form: a test repeated by the same athlete differs by 1.5 to 2.5 % in speed (a 5-minute
/// run by 2.4, an outdoor 5 km by 1 to 1.5), and by a few beats in heart rate; a first 5-minute run
/// is less steady, and 1.2 % slower for want of practice.
fn form(when: When, rng: &mut ChaCha8Rng) -> DayForm {
    let (spread, want_of_practice) = match when.kind {
        TestKind::FiveMinutes if when.practice => (3.0, 1.2),
        TestKind::FiveMinutes => (2.2, 0.0),
        TestKind::TwentyMinutes | TestKind::FortyMinutes => (1.6, 0.0),
    };
    // nobody runs a test on a day on which everything fails
    let day = normal(rng).clamp(-2.0, 2.0);
    DayForm {
        speed_percent: spread * day - want_of_practice,
        heart_rate_bpm: 1.8 * normal(rng).clamp(-2.0, 2.0),
    }
}

/// A value on straight lines between points in falling days ago; the ends hold beyond them.
fn along(path: &[(f64, f64)], days_ago: f64) -> f64 {
    for pair in path.windows(2) {
        let [(older, from), (newer, to)] = *pair else {
            continue;
        };
        if days_ago > older {
            return from;
        }
        if days_ago >= newer {
            return from + (to - from) * (older - days_ago) / (older - newer);
        }
    }
    path.last().map_or(0.0, |(_, value)| *value)
}

/// A seed from a seed and a word, well mixed (`SplitMix64`: Steele, Lea and Flood 2014,
/// doi 10.1145/2660193.2660195).
pub(crate) fn mix(seed: u64, word: u64) -> u64 {
    let mut mixed = seed.wrapping_add(word.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^ (mixed >> 31)
}
