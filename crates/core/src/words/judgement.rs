//! What a test is worth and what it would change, in words.

use crate::change::{Change, Verdict};
use crate::effort::FoundBy;
use crate::format::signed_percent;
use crate::remark::{BearsOn, Remark, Severity};
use crate::test::TestKind;

/// How an effort was found: "found by the lap".
pub fn found_by(found_by: FoundBy, kind: TestKind) -> String {
    match found_by {
        FoundBy::Lap => "found by the lap".to_owned(),
        FoundBy::WholeRecording => "the whole recording".to_owned(),
        FoundBy::Fastest => format!("the fastest {} minutes", kind.minutes()),
        FoundBy::ByHand => "set by hand".to_owned(),
    }
}

/// What a test is good for, by what its remarks bear on: "doubtful for heart rate, good for pace";
/// one that bears on neither alone counts for both.
pub fn worth(remarks: &[Remark]) -> String {
    let worst = |on: BearsOn| {
        let bears = |r: &&Remark| r.bears_on.is_none_or(|b| b == on);
        remarks.iter().filter(bears).map(|r| r.severity).max()
    };
    let word = |severity: Option<Severity>| match severity {
        None | Some(Severity::Note) => "good",
        Some(Severity::Check) => "doubtful",
        Some(Severity::Spoils) => "unusable",
    };
    let (pace, rate) = (word(worst(BearsOn::Speed)), word(worst(BearsOn::HeartRate)));
    if pace == rate {
        format!("{pace} for pace and heart rate")
    } else {
        format!("{pace} for pace, {rate} for heart rate")
    }
}

/// A change with its error and verdict: "+3.4 %, error of a change 2.8 %: likely gain (0.80)"; the
/// number in brackets is the probability of what the verdict says.
pub fn change_with_error(change: &Change) -> String {
    let (by, error) = (signed_percent(change.change_percent), change.standard_error_percent);
    let verdict = super::change(change);
    if change.verdict == Verdict::NoClearChange {
        return format!("{by}, inside the error of a change, {error:.1} %: {verdict}");
    }
    format!("{by}, error of a change {error:.1} %: {verdict}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::compare;
    use crate::remark::Finding;
    use crate::units::Speed;

    #[test]
    fn a_change_is_said_with_its_error_and_verdict() {
        // chances by Hopkins's method, worked by hand in the tests of `change`: 3 % is 0.76
        let speed = |m: f64| [Speed::from_m_per_s(m / 1_200.0).unwrap()];
        let between = |after| {
            let change = compare(TestKind::TwentyMinutes, &speed(5_400.0), &speed(after)).unwrap();
            change_with_error(&change)
        };
        assert_eq!(between(5_562.0), "+3.0 %, error of a change 2.8 %: likely gain (0.76)");
        let small = between(5_410.0);
        assert_eq!(small, "+0.2 %, inside the error of a change, 2.8 %: no clear change");
    }

    #[test]
    fn worth_follows_what_the_remarks_bear_on() {
        let remark = |severity, on| Remark::new(Finding::CutOff, severity, on);
        assert_eq!(worth(&[]), "good for pace and heart rate");
        let strap = remark(Severity::Spoils, Some(BearsOn::HeartRate));
        assert_eq!(worth(&[strap]), "good for pace, unusable for heart rate");
        assert_eq!(worth(&[remark(Severity::Check, None)]), "doubtful for pace and heart rate");
    }
}
