//! What varies, and how: every distribution of the study.
//!
//! Runner: 20-minute speed 2.6 to 5.6 m/s, endurance exponent 1.04 to 1.12, highest heart rate
//! 188 (SD 9), gain 24.2 (6) beats per m/s, time constant 57.6 (15) s, rest 42 to 65, cadence
//! 176 (8). Effort: 5, 20 or 40 minutes, a third each; all-out with a start 3 % too slow to 12 %
//! too fast, a sag of 0 to 4 %, an end 2 % slower to 8 % faster, a wobble of 0.4 to 2 %; 40 minutes
//! held at a heart rate. Around it: 5 to 25 minutes of warm-up, 1 to 15 of cool-down at 50 to 72 %
//! of the 20-minute speed (around 40 minutes at 55 to 85 % of the speed held), a third straight into
//! the effort and the rest after a stroll of 5 to 90 s, up to four strides in 4 of 10. Course: track
//! 4 of 10, level path 3, hills of 5 to 35 m 3. Device: every second 65 %, every 2 to 7 s 35 %; lap
//! pressed 35 %, started at the gun 20 %, nothing 45 %; strap 70 %, wrist 30 %; own distance 60 %
//! with a bias of 0 (1) %; position noise 1 to 4 m. Faults: none in 4 of 10 runs, else one of five
//! kinds, wholly inside the effort.

use std::fmt;

use pacewright_core::test::TestKind;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::FaultClass;
use crate::season::mix;
use crate::simulate::{
    Course, Device, Effort, Fault, HeartRateSensor, Marks, Pacing, Run, Runner, Sampling, normal,
};

/// A 40-minute run is marked by a change of pace where the running around it, strides and all, is
/// this much slower.
const CHANGE_OF_PACE: f64 = 0.8;

/// One run of the study.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Which test.
    pub kind: TestKind,
    /// What was put in, if anything.
    pub class: Option<FaultClass>,
    /// The run.
    pub run: Run,
    /// Speed just before the effort, strides and all, over the effort's.
    around_share: f64,
}

impl Drawn {
    /// Whether anything marks where the effort is: it is faster than what is around it, or a lap or
    /// the recording itself does.
    pub fn is_marked(&self) -> bool {
        self.kind.all_out()
            || self.run.device.marks != Marks::None
            || self.around_share <= CHANGE_OF_PACE
    }
}

impl fmt::Display for Drawn {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Run { device, course, faults, runner, stroll_s, .. } = &self.run;
        write!(
            formatter,
            "{} min, {:.2} m/s, {:?}, {:?}, {:?}, own distance {}, noise {:.1} m, hill {:.0} m, stroll {stroll_s} s, around {:.2}, {:?}",
            self.kind.minutes(),
            runner.twenty_minute_speed_m_per_s,
            device.sampling,
            device.marks,
            device.heart_rate,
            device.distance,
            device.position_noise_m.unwrap_or_default(),
            course.hill_m,
            self.around_share,
            faults,
        )
    }
}

/// The run of a number in the study of a seed.
pub(super) fn draw(seed: u64, index: u32) -> Drawn {
    let mut rng = ChaCha8Rng::seed_from_u64(mix(seed, u64::from(index)));
    let kind = TestKind::ALL[rng.random_range(0..TestKind::ALL.len())];
    let runner = runner(&mut rng);
    let (effort, share_of_twenty) = effort(kind, &runner, &mut rng);
    let mut run = Run::new(runner, effort, rng.random());
    run.form.heart_rate_bpm = 2.0 * normal(&mut rng);
    run.warm_up_s = rng.random_range(300..=1_500);
    run.cool_down_s = rng.random_range(60..=900);
    run.stroll_s = if rng.random_bool(0.33) { 0 } else { rng.random_range(5..=90) };
    run.strides = if rng.random_bool(0.4) { rng.random_range(1..=4) } else { 0 };
    run.easy_share = match kind {
        TestKind::FortyMinutes => rng.random_range(0.55..0.85) * share_of_twenty,
        _ => rng.random_range(0.50..0.72),
    };
    run.course = course(&mut rng);
    run.device = device(&mut rng);
    let class =
        rng.random_bool(0.6).then(|| FaultClass::ALL[rng.random_range(0..FaultClass::ALL.len())]);
    run.faults.extend(class.map(|class| fault(class, kind, &mut rng)));
    // the last minute and a half of the warm-up, with its stride
    let easy = run.easy_share + 0.08;
    let around = if run.strides > 0 { (15.0 * 1.25 + 75.0 * easy) / 90.0 } else { easy };
    let around_share = around / share_of_twenty;
    Drawn { kind, class, run, around_share }
}

fn runner(rng: &mut ChaCha8Rng) -> Runner {
    Runner {
        twenty_minute_speed_m_per_s: rng.random_range(2.6..5.6),
        endurance_exponent: rng.random_range(1.04..1.12),
        max_heart_rate_bpm: (188.0 + 9.0 * normal(rng)).clamp(165.0, 210.0),
        resting_heart_rate_bpm: rng.random_range(42.0..65.0),
        gain_bpm_per_m_per_s: (24.2 + 6.0 * normal(rng)).clamp(12.0, 40.0),
        time_constant_s: (57.6 + 15.0 * normal(rng)).clamp(30.0, 100.0),
        twenty_minute_heart_rate_share: rng.random_range(0.90..0.94),
        cadence_per_minute: (176.0 + 8.0 * normal(rng)).clamp(152.0, 200.0),
    }
}

/// What is run, and about how fast as a share of the 20-minute speed.
fn effort(kind: TestKind, runner: &Runner, rng: &mut ChaCha8Rng) -> (Effort, f64) {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "300 to 2,400")]
    let length_s = kind.length_s() as u16;
    if kind.all_out() {
        let pacing = Pacing {
            fast_start: rng.random_range(-0.03..0.12),
            sag: rng.random_range(0.0..0.04),
            kick: rng.random_range(-0.02..0.08),
            wobble: rng.random_range(0.004..0.02),
        };
        return (Effort::AllOut { length_s, pacing }, 1.0);
    }
    // a moderate heart rate, as far below the 20-minute run's as takes 14 to 24 % of its speed
    let share = rng.random_range(0.76..0.86);
    let twenty_bpm = runner.twenty_minute_heart_rate_share * runner.max_heart_rate_bpm;
    let slower = (1.0 - share) * runner.twenty_minute_speed_m_per_s;
    let target_bpm = twenty_bpm - 4.0 - slower * runner.gain_bpm_per_m_per_s;
    (Effort::HeldAtHeartRate { length_s, target_bpm }, share)
}

fn course(rng: &mut ChaCha8Rng) -> Course {
    match rng.random_range(0..10) {
        0..4 => Course::track(),
        4..7 => Course::tarn_path(),
        _ => Course {
            hill_m: rng.random_range(5.0..35.0),
            hills: rng.random_range(1..=3),
            ..Course::hill_lane()
        },
    }
}

fn device(rng: &mut ChaCha8Rng) -> Device {
    let marks = match rng.random_range(0..100) {
        0..35 => Marks::Lap,
        35..55 => Marks::StartedAtTheGun,
        _ => Marks::None,
    };
    Device {
        sampling: if rng.random_bool(0.65) { Sampling::EverySecond } else { Sampling::Smart },
        marks,
        heart_rate: if rng.random_bool(0.7) {
            HeartRateSensor::Strap
        } else {
            HeartRateSensor::Wrist
        },
        distance: rng.random_bool(0.6),
        distance_bias_percent: normal(rng),
        position_noise_m: Some(rng.random_range(1.0..4.0)),
        // a device that marks laps writes them; of the others some do not tell their pauses
        laps_and_pauses: marks == Marks::Lap || rng.random_bool(0.7),
        ..Device::default()
    }
}

/// One fault inside the effort, half a minute from its ends.
fn fault(class: FaultClass, kind: TestKind, rng: &mut ChaCha8Rng) -> Fault {
    let longest_s = kind.length_s() - 60.0;
    let lasting = |shortest: f64, longest: f64, rng: &mut ChaCha8Rng| {
        let for_s: f64 = rng.random_range(shortest..longest.min(longest_s));
        (30.0 + rng.random_range(0.0..=longest_s - for_s), for_s)
    };
    match class {
        FaultClass::Pause => {
            let (from_s, for_s) = lasting(25.0, 150.0, rng);
            Fault::Pause { from_s, for_s }
        }
        FaultClass::Jump => {
            let (from_s, for_s) = lasting(10.0, 60.0, rng);
            Fault::PositionJump { from_s, for_s, by_m: rng.random_range(25.0..300.0) }
        }
        FaultClass::Flat => {
            let (from_s, for_s) = lasting(90.0, 300.0, rng);
            Fault::HeartRateFlat { from_s, for_s }
        }
        FaultClass::Lock => {
            let (from_s, for_s) = lasting(180.0, 600.0, rng);
            Fault::CadenceLock { from_s, for_s }
        }
        FaultClass::Dropout => {
            let (from_s, for_s) = lasting(8.0, 90.0, rng);
            Fault::HeartRateFall { from_s, for_s, by_bpm: rng.random_range(20.0..60.0) }
        }
    }
}
