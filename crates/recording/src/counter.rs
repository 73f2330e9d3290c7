//! The device's distance counter: its restarts joined, its small falls no step.

/// Joins the readings of a counter into one distance that never falls.
#[derive(Debug, Default)]
pub(crate) struct Counter {
    last: Option<f64>,
    total: f64,
}

/// What a reading gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reading {
    /// The joined distance, in metres.
    pub(crate) total_m: f64,
    /// The counter started again just before.
    pub(crate) restarted: bool,
}

impl Counter {
    /// The joined distance after one more reading in metres. A reading below half the one before,
    /// less 5 m, means that the counter started again (found so on real multi-sport files).
    pub(crate) fn read(&mut self, reading_m: f64) -> Reading {
        let last = self.last.replace(reading_m);
        let restarted = last.is_some_and(|last| reading_m < 0.5 * last - 5.0);
        match last {
            None => self.total = reading_m,
            Some(_) if restarted => self.total += reading_m,
            Some(last) => self.total += (reading_m - last).max(0.0),
        }
        Reading { total_m: self.total, restarted }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn totals(readings: &[f64]) -> Vec<(f64, bool)> {
        let mut counter = Counter::default();
        readings.iter().map(|&m| counter.read(m)).map(|r| (r.total_m, r.restarted)).collect()
    }

    #[test]
    fn a_restart_is_joined() {
        assert_eq!(
            totals(&[0.0, 100.0, 2.0, 12.0]),
            [(0.0, false), (100.0, false), (102.0, true), (112.0, false)]
        );
    }

    #[test]
    fn a_small_fall_is_no_step() {
        assert_eq!(totals(&[50.0, 48.0, 51.0]), [(50.0, false), (50.0, false), (53.0, false)]);
        // half less 5 m exactly is still a fall, not a restart
        assert_eq!(totals(&[100.0, 45.0]), [(100.0, false), (100.0, false)]);
    }
}
