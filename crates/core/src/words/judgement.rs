//! What a test is worth and what it would change, in words.

use crate::balance::Balance;
use crate::change::Change;
use crate::course::Surface;
use crate::effort::FoundBy;
use crate::format::{percent, percent_and_error, signed_percent, time};
use crate::outlook::Outlook;
use crate::physiology::conditions::{Celsius, Conditions, Ground, Weather};
use crate::remark::{BearsOn, Remark, Severity, Use, worst};
use crate::test::TestKind;
use crate::trend::TrendChange;

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
/// one that bears on neither alone counts for both. Where it is in doubt for anything else, that is
/// said in the same breath.
pub fn worth(remarks: &[Remark], good_for: Use) -> String {
    let word = |severity: Option<Severity>| match severity {
        None | Some(Severity::Note) => "good",
        Some(Severity::Check) => "doubtful",
        Some(Severity::Spoils) => "unusable",
    };
    let (pace, rate) =
        (word(worst(remarks, BearsOn::Speed)), word(worst(remarks, BearsOn::HeartRate)));
    let worth = if pace == rate {
        format!("{pace} for pace and heart rate")
    } else {
        format!("{pace} for pace, {rate} for heart rate")
    };
    if good_for == Use::Doubtful && Use::of(remarks) == Use::Usable {
        return format!("{worth}, but something else speaks against it");
    }
    worth
}

/// What was run against the test before, beside what two tests of nobody's change differ by: "+3.4 %,
/// more than the 2.8 % that two tests differ by on their own".
pub fn run_since(change: &Change) -> String {
    let (by, error) = (signed_percent(change.change_percent), change.standard_error_percent);
    let inside = if change.is_inside_error() { "inside" } else { "more than" };
    format!("{by}, {inside} the {error:.1} % that two tests differ by on their own")
}

/// What the trend makes of all tests together: "+1.2 ± 1.1 %, no clear change".
pub fn trend_in_short(change: &TrendChange) -> String {
    let by = percent_and_error(change.percent, change.error_percent);
    format!("{by}, {}", super::trend_verdict(change))
}

/// The same in whole sentences' words, with what a test off its trend may mean.
pub fn trend_since(change: &TrendChange) -> String {
    let told = trend_in_short(change);
    match change.off_percent {
        Some(off) => format!("{told}; {}", off_its_trend(off)),
        None => told,
    }
}

/// A test that the ones before it do not explain: what may lie behind it, and what to do.
pub fn off_its_trend(percent: f64) -> String {
    format!(
        "this test lies {} from what those before it lead to expect, more than its error explains. Unwell, \
         hot, not all-out, another course, or a real change: repeat it before the zones change",
        signed_percent(percent)
    )
}

/// A race time with its doubt: "42:10 (nine in ten: 40:28 to 43:56)".
pub fn race_time(outlook: &Outlook) -> String {
    let range = outlook.nine_in_ten().map_or_else(String::new, |(fast, slow)| {
        format!(" (nine in ten: {} to {})", time(fast), time(slow))
    });
    format!("{}{range}", time(outlook.time))
}

/// The weakest of the three qualities, or why none is named.
pub fn balance(found: Option<&Balance>, growing: bool) -> String {
    let Some(found) = found else {
        return if growing {
            "Under 16 no quality is called weak: growing up moves all three.".to_owned()
        } else {
            "The three qualities are compared once all three are tested.".to_owned()
        };
    };
    let named = found.weakest.and_then(|weakest| {
        let (kind, stands, chance) = found.qualities.iter().find(|(kind, ..)| *kind == weakest)?;
        let name = super::quality(*kind).to_lowercase();
        Some(format!(
            "Likely weakest is the {name}: {} against what the other two suggest (chance {:.2}). Look at its training first.",
            signed_percent(*stands),
            (chance * 100.0).floor() / 100.0
        ))
    });
    named.unwrap_or_else(|| {
        "No quality is called weak: between three markers with these errors no gap is sure enough.".to_owned()
    })
}

/// What is noted of a test's conditions: "18 \u{b0}C, 60 %, heat about 19 \u{b0}C; 640 m; road".
pub fn conditions(conditions: &Conditions) -> String {
    let degrees = |celsius: Celsius| format!("{:.0} \u{b0}C", celsius.degrees());
    let heat = conditions.heat().map_or_else(String::new, degrees);
    let weather = conditions.weather.map(|weather| match weather {
        Weather::Air { temperature, humidity } => {
            let (air, humidity) = (degrees(temperature), percent(humidity.ratio()));
            format!("{air}, {humidity} humidity, wet-bulb globe about {heat}")
        }
        Weather::WetBulbGlobe(_) => format!("wet-bulb globe {heat}"),
    });
    let height = conditions.altitude.map(|altitude| format!("{:.0} m above the sea", altitude.m()));
    let ground = conditions.ground.map(|ground| {
        match ground {
            Ground::Course(Surface::Track) => "track",
            Ground::Course(Surface::Road) => "road",
            Ground::Course(Surface::Trail) => "soft or uneven ground",
            Ground::Treadmill => "treadmill",
        }
        .to_owned()
    });
    let parts: Vec<String> = weather.into_iter().chain(height).chain(ground).collect();
    parts.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::{Verdict, compare};
    use crate::remark::Finding;
    use crate::units::Speed;

    #[test]
    fn a_change_is_said_beside_its_error_and_what_the_trend_makes_of_it() {
        // two tests of 2 % each differ by 2 sqrt 2 = 2.83 % (arithmetic)
        let speed = |m: f64| [Speed::from_m_per_s(m / 1_200.0).unwrap()];
        let between = |after| {
            let change = compare(TestKind::TwentyMinutes, &speed(5_400.0), &speed(after)).unwrap();
            run_since(&change)
        };
        let more = "+3.0 %, more than the 2.8 % that two tests differ by on their own";
        assert_eq!(between(5_562.0), more);
        let small = "+0.2 %, inside the 2.8 % that two tests differ by on their own";
        assert_eq!(between(5_410.0), small);
        let day = |month| chrono::NaiveDate::from_ymd_opt(2026, month, 3).unwrap();
        let change = TrendChange {
            from: day(1),
            to: day(5),
            percent: 2.04,
            error_percent: 1.2,
            chance_better: 0.8071,
            chance_worse: 0.01,
            verdict: Verdict::LikelyGain,
            off_percent: None,
        };
        assert_eq!(trend_since(&change), "+2.0 ± 1.2 %, likely gain (0.80)");
    }

    #[test]
    fn worth_follows_what_the_remarks_bear_on() {
        let remark = |severity, on| Remark::new(Finding::CutOff, severity, on);
        let alone = |remarks: &[Remark]| worth(remarks, Use::of(remarks));
        assert_eq!(alone(&[]), "good for pace and heart rate");
        let strap = remark(Severity::Spoils, Some(BearsOn::HeartRate));
        assert_eq!(alone(&[strap]), "good for pace, unusable for heart rate");
        assert_eq!(alone(&[remark(Severity::Check, None)]), "doubtful for pace and heart rate");
        // as of somebody who should not have run; judgement: one sentence, not two that contradict
        assert_eq!(
            worth(&[], Use::Doubtful),
            "good for pace and heart rate, but something else speaks against it"
        );
    }
}
