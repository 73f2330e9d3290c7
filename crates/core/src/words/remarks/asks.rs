//! What a remark asks of the coach: of a test that waits, and of one that counts.

use crate::remark::Finding;

/// When what a remark asks is to be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Asks {
    /// Before the test counts.
    Now,
    /// In the next test of its kind: this one counts.
    NextTime,
}

impl Asks {
    /// What is asked, of the two.
    pub(super) fn of(self, now: &'static str, next_time: &'static str) -> &'static str {
        match self {
            Self::Now => now,
            Self::NextTime => next_time,
        }
    }

    /// What is asked about what was seen, where that is the same however much of it was.
    pub(super) fn about(self, finding: &Finding) -> &'static str {
        let (now, next_time) = match finding {
            Finding::PauseInside { .. } => (
                "A test with a pause is no test: repeat it without stopping the watch.",
                "Do not stop the watch in the next one.",
            ),
            Finding::PauseAvoided { .. } => (
                "If the watch or the athlete stopped during the test, repeat it.",
                "Do not stop the watch in the next one.",
            ),
            Finding::FilesJoined { .. } => {
                ("Repeat it without stopping the watch.", "Do not stop the watch in the next one.")
            }
            Finding::NotAllOut { .. } => (
                "Set the edges by hand, or repeat the test.",
                "Run the next one all-out over its whole length.",
            ),
            Finding::TwoSpeeds { .. } => {
                ("Set the edges by hand, or repeat the test.", "Run the next one as one effort.")
            }
            Finding::Slope { .. } => {
                ("Repeat the test on level ground.", "Run the next one on level ground.")
            }
            Finding::Fade { .. } => {
                ("Repeat it in cool weather.", "Run the next one in cool weather.")
            }
            Finding::NoTarget => (
                "Accept it with the reason if it was held at a pace for easy talk; else repeat it once a 20-minute test with a heart rate to trust has given the target.",
                "Run the next one once a 20-minute test with a heart rate to trust has given the target.",
            ),
            Finding::NoTargetOnMedication => (
                "Accept it with the reason if it was held at a pace for easy talk; else repeat it by talk test.",
                "Hold the next one at a pace for easy talk too.",
            ),
            Finding::AnotherSport { .. } => (
                "If it was a run, accept it with that reason.",
                "Set the device to running before the next one.",
            ),
            _ => ("", ""),
        };
        self.of(now, next_time)
    }
}
