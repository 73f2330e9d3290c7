//! How a squad tests: the days it meets, how many can be tested a day, its retest window, and which
//! tests belong to which part of its season.

use chrono::{Datelike, Days, NaiveDate, NaiveTime, Weekday};
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, OwnWindowId, ProgrammeId, SquadId};
use crate::plan::Meeting;
use crate::retest::RetestWindow;
use crate::test::TestKind;

/// A day of the week on which a squad meets for tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeetingDay {
    /// Which day.
    pub weekday: Weekday,
    /// At what time, where it is the same every week.
    pub at: Option<NaiveTime>,
}

/// The months of the year in which a test is part of the season, all of them by default.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Months([bool; 12]);

impl Default for Months {
    fn default() -> Self {
        Self([true; 12])
    }
}

impl Months {
    /// The months of these numbers, 1 to 12.
    pub fn of(months: impl IntoIterator<Item = u32>) -> Self {
        let mut all = [false; 12];
        for month in months {
            if let Some(place) =
                usize::try_from(month).ok().and_then(|m| all.get_mut(m.wrapping_sub(1)))
            {
                *place = true;
            }
        }
        Self(all)
    }

    /// The numbers of the months, 1 to 12.
    pub fn numbers(self) -> impl Iterator<Item = u32> {
        (1..).zip(self.0).filter(|(_, is_in)| *is_in).map(|(month, _)| month)
    }

    /// Whether a day falls into one of them.
    pub fn hold(self, on: NaiveDate) -> bool {
        self.numbers().any(|month| month == on.month())
    }
}

/// A squad's programme.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Programme {
    /// Identity in the library.
    pub id: ProgrammeId,
    /// Whose.
    pub squad: SquadId,
    /// When it meets, by weekday from Monday.
    pub days: Vec<MeetingDay>,
    /// How many can be tested a day, at least 1.
    pub capacity: u32,
    /// When its tests are repeated.
    pub window: RetestWindow,
    /// When in the year each test is run: 5, 20, 40 minutes.
    pub season: [Months; 3],
}

/// How many can be tested a day where nobody has said: two lanes of a track, one whistle (judgement).
pub const USUAL_CAPACITY: u32 = 8;

impl Programme {
    /// A programme nobody has changed yet.
    pub fn usual(id: ProgrammeId, squad: SquadId) -> Self {
        Self {
            id,
            squad,
            days: Vec::new(),
            capacity: USUAL_CAPACITY,
            window: RetestWindow::default(),
            season: [Months::default(); 3],
        }
    }

    /// Whether a test is part of the season on a day.
    pub fn has(&self, kind: TestKind, on: NaiveDate) -> bool {
        TestKind::ALL.iter().zip(self.season).any(|(k, months)| *k == kind && months.hold(on))
    }

    /// The time the squad meets on a day, where it does and the time is known.
    pub fn time_on(&self, on: NaiveDate) -> Option<NaiveTime> {
        self.days.iter().find(|day| day.weekday == on.weekday()).and_then(|day| day.at)
    }

    /// The meetings of some weeks from a day on.
    pub fn meetings(&self, from: NaiveDate, weeks: u32) -> Vec<Meeting> {
        let days =
            (0..u64::from(weeks) * 7).filter_map(|day| from.checked_add_days(Days::new(day)));
        let on = days.filter(|on| self.days.iter().any(|day| day.weekday == on.weekday()));
        on.map(|on| Meeting { on, at: self.time_on(on), capacity: self.capacity }).collect()
    }
}

/// An athlete's own retest window; it counts before their squad's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OwnWindow {
    /// Identity in the library.
    pub id: OwnWindowId,
    /// Whose.
    pub athlete: AthleteId,
    /// When their tests are repeated.
    pub window: RetestWindow,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn meetings_fall_on_the_squads_days_and_tests_into_their_months() {
        let mut programme = Programme::usual(ProgrammeId(1), SquadId(1));
        let at = NaiveTime::from_hms_opt(18, 30, 0);
        programme.days = vec![
            MeetingDay { weekday: Weekday::Tue, at },
            MeetingDay { weekday: Weekday::Sat, at: None },
        ];
        programme.season[0] = Months::of([4, 5, 6]);
        // 26 November 2026 is a Thursday
        let from = NaiveDate::from_ymd_opt(2026, 11, 26).unwrap();
        let meetings = programme.meetings(from, 2);
        let days: Vec<(u32, bool)> =
            meetings.iter().map(|m| (m.on.day(), m.at.is_some())).collect();
        assert_eq!(days, [(28, false), (1, true), (5, false), (8, true)]);
        assert!(!programme.has(TestKind::FiveMinutes, from));
        assert!(programme.has(TestKind::TwentyMinutes, from));
        assert_eq!(Months::of([0, 1, 12, 13]).numbers().collect::<Vec<_>>(), [1, 12]);
    }
}
