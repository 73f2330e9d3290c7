//! Who is who: fourteen invented people, each there to show something.

mod club;

pub(crate) use club::CAST;

use pacewright_core::athlete::{Screening, Sensor, Sex};
use pacewright_core::schedule::AwayKind;
use pacewright_core::test::TestKind;
use pacewright_core::units::HeartRate;

use chrono::NaiveDate;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

use crate::calendar::{DaysAgo, Series, days_after, days_before, tests};
use crate::season::{Kit, Recorded, Season, Twist, mix};
use crate::simulate::{HeartRateSensor, Runner, Sampling};
use crate::{DemoAthlete, DemoAway, DemoBooking, FileFormat};

pub(crate) const CLUB: &str = "Tarn Hollow Runners";

/// Fixes all chance in the demo.
const SEED: u64 = 0x7A12_0110_77A1;

/// Screening, in days before today.
#[derive(Clone, Copy)]
pub(crate) enum Screened {
    NotAsked,
    Cleared(DaysAgo),
    Hold(DaysAgo),
}

#[derive(Clone, Copy)]
pub(crate) struct Away {
    pub(crate) kind: AwayKind,
    pub(crate) from: DaysAgo,
    pub(crate) to: DaysAgo,
    pub(crate) well: Option<DaysAgo>,
}

/// One of the cast: the truth about them today, and what the coach knows.
#[derive(Clone, Copy)]
pub(crate) struct Member {
    pub(crate) name: &'static str,
    pub(crate) alias: Option<&'static str>,
    pub(crate) squads: &'static [&'static str],
    pub(crate) age_years: u32,
    pub(crate) days_past_birthday: u32,
    pub(crate) sex: Sex,
    /// The truth: today's time over 5 km.
    pub(crate) five_km_s: f64,
    /// The truth: exponent of endurance, heart, stride.
    pub(crate) exponent: f64,
    pub(crate) highest_bpm: f64,
    pub(crate) resting_bpm: f64,
    pub(crate) gain: f64,
    pub(crate) time_constant_s: f64,
    pub(crate) share: f64,
    pub(crate) cadence: f64,
    /// The truth: speed against today in per cent, so many days ago.
    pub(crate) path: &'static [(f64, f64)],
    /// Whether the coach knows the highest heart rate.
    pub(crate) highest_known: bool,
    pub(crate) medication: bool,
    pub(crate) screening: Screened,
    pub(crate) consent: Option<DaysAgo>,
    pub(crate) sensor: Sensor,
    pub(crate) format: FileFormat,
    pub(crate) sampling: Sampling,
    pub(crate) distance_bias_percent: f64,
    /// Days since the newest test and how many, of 5, 20 and 40 minutes.
    pub(crate) tested: [(DaysAgo, u32); 3],
    pub(crate) away: &'static [Away],
    pub(crate) booked: &'static [(TestKind, u32)],
    pub(crate) twist: Option<(TestKind, Twist)>,
    pub(crate) to_confirm: &'static [TestKind],
    pub(crate) notes: &'static str,
}

/// Days between two tests of a kind.
const EVERY_DAYS: u32 = 43;

impl Member {
    /// As the coach would enter them.
    pub(crate) fn athlete(&self, on: NaiveDate) -> DemoAthlete {
        let before = |days| days_before(on, days);
        DemoAthlete {
            name: self.name.to_owned(),
            squads: self.squads.iter().map(|&squad| squad.to_owned()).collect(),
            born: before(self.age_years * 365 + self.age_years / 4 + self.days_past_birthday),
            sex: self.sex,
            resting_heart_rate: HeartRate::from_bpm(self.resting_bpm).ok(),
            max_heart_rate: HeartRate::from_bpm(self.highest_bpm)
                .ok()
                .filter(|_| self.highest_known),
            rate_lowering_medication: self.medication,
            screening: match self.screening {
                Screened::NotAsked => Screening::NotAsked,
                Screened::Cleared(days) => Screening::Cleared { on: before(days) },
                Screened::Hold(days) => Screening::Hold { since: Some(before(days)) },
            },
            guardian_consent: self.consent.map(before),
            sensor: self.sensor,
            aliases: self.alias.map(str::to_owned).into_iter().collect(),
            notes: self.notes.to_owned(),
            away: self
                .away
                .iter()
                .map(|away| DemoAway {
                    kind: away.kind,
                    from: before(away.from),
                    to: Some(before(away.to)),
                    well_on: away.well.map(before),
                })
                .collect(),
            bookings: self
                .booked
                .iter()
                .map(|&(kind, days)| DemoBooking { kind, on: days_after(on, days) })
                .collect(),
        }
    }

    /// Their truth over time and what they ran.
    pub(crate) fn season(&self, index: usize, athlete: &DemoAthlete) -> Season {
        let series: Vec<Series> = TestKind::ALL
            .into_iter()
            .zip(self.tested)
            .map(|(kind, (newest, count))| Series { kind, newest, count, every_days: EVERY_DAYS })
            .collect();
        let away: Vec<_> = self.away.iter().map(|away| (away.from, away.to)).collect();
        let mut rng = ChaCha8Rng::seed_from_u64(mix(SEED, index as u64));
        Season {
            athlete: index,
            file_label: athlete.aliases.first().unwrap_or(&athlete.name).clone(),
            seed: SEED,
            runner: self.runner(),
            path: self.path.to_vec(),
            on_medication: self.medication,
            kit: Kit {
                format: self.format,
                sampling: self.sampling,
                heart_rate: match self.sensor {
                    Sensor::Strap => HeartRateSensor::Strap,
                    Sensor::Wrist => HeartRateSensor::Wrist,
                },
                distance_bias_percent: self.distance_bias_percent,
            },
            recorded: Recorded::AsPeopleDo,
            tests: tests(&series, &away, &mut rng),
            twist: self.twist,
            to_confirm: self.to_confirm.to_vec(),
        }
    }

    fn runner(&self) -> Runner {
        // from the 5 km time to the speed over 20 minutes, by the athlete's own power law
        let five_km_speed = 5_000.0 / self.five_km_s;
        let power = 1.0 / self.exponent - 1.0;
        Runner {
            twenty_minute_speed_m_per_s: five_km_speed * (1_200.0 / self.five_km_s).powf(power),
            endurance_exponent: self.exponent,
            max_heart_rate_bpm: self.highest_bpm,
            resting_heart_rate_bpm: self.resting_bpm,
            gain_bpm_per_m_per_s: self.gain,
            time_constant_s: self.time_constant_s,
            twenty_minute_heart_rate_share: self.share,
            cadence_per_minute: self.cadence,
        }
    }
}
