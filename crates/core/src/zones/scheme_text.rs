//! A scheme as a coach writes it, one zone a line: "Steady; 90 % of LT2; heart rate".
//!
//! The name, the edge above it as a share of a marker, and what leads. Two shares, "88/92 %", are of
//! pace and of heart rate. The last zone has no edge: "Fast; ; feel". A zone led by feel has no heart
//! rates.

use super::Leads;
use super::scheme::{BadScheme, Edge, Scheme, ZonePlan};
use crate::markers::MarkerName;
use crate::parse;

/// What is wrong with a scheme that was written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BadLine {
    /// A line without its three parts.
    #[error("Line {line}: write three parts, \"Steady; 90 % of LT2; heart rate\".")]
    Parts {
        /// Which line, from 1.
        line: usize,
    },
    /// An edge that cannot be read.
    #[error(
        "Line {line}: \"{text}\" is no edge; write a share of the floor, LT1, LT2 or VO2max: 90 % of LT2."
    )]
    Edge {
        /// Which line.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// Something else than what can lead.
    #[error("Line {line}: \"{text}\" cannot lead; write heart rate, pace or feel.")]
    Leads {
        /// Which line.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// The zones do not make a scheme.
    #[error("{0}")]
    Scheme(#[from] BadScheme),
}

const MARKERS: [(MarkerName, &str); 4] = [
    (MarkerName::AerobicFloor, "floor"),
    (MarkerName::Lt1, "LT1"),
    (MarkerName::Lt2, "LT2"),
    (MarkerName::Vo2max, "VO2max"),
];
const LEADERS: [(Leads, &str); 3] =
    [(Leads::HeartRate, "heart rate"), (Leads::Pace, "pace"), (Leads::PaceOrFeel, "feel")];

/// Reads a scheme; empty lines are passed over.
///
/// # Errors
/// The first line that cannot be read, or why the zones make no scheme.
pub fn read_scheme(text: &str) -> Result<Scheme, BadLine> {
    let lines: Vec<(usize, &str)> = text
        .lines()
        .enumerate()
        .map(|(at, line)| (at + 1, line.trim()))
        .filter(|(_, line)| !line.is_empty())
        .collect();
    let (mut edges, mut zones) = (Vec::new(), Vec::new());
    for (at, (line, text)) in lines.iter().enumerate() {
        let parts: Vec<&str> = text.split(';').map(str::trim).collect();
        let [name, edge, leads] = parts[..] else { return Err(BadLine::Parts { line: *line }) };
        let wanted = leads.to_lowercase();
        let leads = LEADERS.iter().find(|(_, word)| *word == wanted).map(|(leads, _)| *leads);
        let leads = leads.ok_or_else(|| BadLine::Leads { line: *line, text: wanted.clone() })?;
        let has_heart_rate = leads != Leads::PaceOrFeel;
        zones.push(ZonePlan { name: name.to_owned(), leads, has_heart_rate });
        let last = at + 1 == lines.len();
        match (edge.is_empty(), last) {
            (true, true) => {}
            (false, _) => edges.push(
                self::edge(edge)
                    .ok_or_else(|| BadLine::Edge { line: *line, text: edge.to_owned() })?,
            ),
            (true, false) => return Err(BadLine::Parts { line: *line }),
        }
    }
    Ok(Scheme::new(edges, zones)?)
}

fn edge(text: &str) -> Option<Edge> {
    let (shares, marker) = match text.split_once('%') {
        Some((shares, marker)) => (shares.trim(), marker),
        None => ("100", text),
    };
    let marker = marker.trim().trim_start_matches("of ").trim_start_matches("the ").to_lowercase();
    let (marker, _) = MARKERS.iter().find(|(_, word)| word.to_lowercase() == marker.trim())?;
    let (speed, rate) = shares.split_once('/').unwrap_or((shares, shares));
    let share = |text: &str| parse::number(text).map(|percent| percent / 100.0);
    Some(Edge {
        of_speed: share(speed)?,
        of_heart_rate: share(rate)?,
        beat_opens: *marker == MarkerName::AerobicFloor,
        ..Edge::at(*marker)
    })
}

/// Writes a scheme as [`read_scheme`] reads it.
pub fn write_scheme(scheme: &Scheme) -> String {
    let percent = |share: f64| format!("{}", (share * 1_000.0).round() / 10.0);
    let lines = scheme.zones().iter().enumerate().map(|(at, zone)| {
        let leads = LEADERS.iter().find(|(leads, _)| *leads == zone.leads).map_or("", |l| l.1);
        let edge = scheme.edges().get(at).map_or_else(String::new, |edge| {
            let marker = MARKERS.iter().find(|(name, _)| *name == edge.marker).map_or("", |m| m.1);
            let (speed, rate) = (percent(edge.of_speed), percent(edge.of_heart_rate));
            let shares = if speed == rate { speed } else { format!("{speed}/{rate}") };
            format!("{shares} % of {marker}")
        });
        format!("{}; {edge}; {leads}", zone.name)
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    const THREE: &str =
        "Easy; 100 % of LT1; heart rate\nSteady; 97/99 % of LT2; pace\nFast; ; feel";

    #[test]
    fn a_scheme_is_read_as_it_was_written() {
        let scheme = read_scheme(THREE).unwrap();
        assert_eq!(write_scheme(&scheme), THREE);
        assert!((scheme.edges()[1].of_heart_rate - 0.99).abs() < 1e-12);
        let five = Scheme::five_zones();
        assert_eq!(read_scheme(&write_scheme(&five)).unwrap(), five);
        assert_eq!(read_scheme("Easy; LT1; heart rate\n\nHard; ; pace").unwrap().zones().len(), 2);
    }

    #[test]
    fn what_is_wrong_is_said_with_its_line() {
        let said = |text: &str| read_scheme(text).unwrap_err().to_string();
        assert_eq!(
            said("Easy; 100 % of LT1\nFast; ; pace"),
            "Line 1: write three parts, \"Steady; 90 % of LT2; heart rate\"."
        );
        assert!(
            said("Easy; 100 % of LT3; pace\nFast; ; pace")
                .starts_with("Line 1: \"100 % of LT3\" is no edge")
        );
        assert!(
            said("Easy; LT1; watts\nFast; ; pace").starts_with("Line 1: \"watts\" cannot lead")
        );
        assert!(said("Easy; ; pace\nFast; ; pace").starts_with("Line 1"));
        // 80 % of LT2 lies under LT1 of a usual runner
        assert!(
            said("A; LT1; pace\nB; 80 % of LT2; pace\nC; ; pace")
                .contains("Edge 2 does not stand above")
        );
    }
}
