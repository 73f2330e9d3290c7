//! The zone card: what an athlete carries.

use pacewright_core::calibration::{Basis, Calibration};
use pacewright_core::format::{day, day_short, pace_unit, whole_beats};
use pacewright_core::markers::{Marker, MarkerName, Markers};
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, Origin, UnitSystem};
use pacewright_core::words;
use pacewright_core::zones::shown::{ShownZone, shown};
use pacewright_core::zones::{Leads, Zone, Zones};
use serde::Serialize;

use crate::drawing::Drawing;
use crate::fonts;
use crate::ink::Role;
use crate::lane::{Axis, Look, lane_of, marker_label};
use crate::strip::Window;
use crate::typeset::{Document, Name, SheetError, Template, typeset};

const TEMPLATE: Template =
    Template { name: "zone cards", source: include_str!("../../../assets/documents/card.typ") };

/// How cards lie on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Layout {
    /// One to a page of A6, lying.
    OneToAPage,
    /// Eight to a page of A4, with marks to cut by.
    EightToAPage,
    /// Eight to a page of US Letter, with marks to cut by.
    EightToALetterPage,
}

impl Layout {
    /// How many em of its small print a line of a card holds, a hundredth held back; it follows from
    /// the sizes in the template.
    fn line_em(self) -> f64 {
        match self {
            Self::OneToAPage => 47.0,
            Self::EightToAPage | Self::EightToALetterPage => 44.0,
        }
    }
}

/// What a card says.
#[derive(Debug, Clone, PartialEq)]
pub struct CardFacts<'a> {
    /// The athlete's name.
    pub athlete: String,
    /// What was confirmed: markers, zones, the tests behind them, the day from which they hold.
    pub calibration: &'a Calibration,
    /// Units of the paces.
    pub units: UnitSystem,
    /// Takes medication that lowers the heart rate: no heart rate is printed, whatever the zones hold.
    pub medication: bool,
    /// The span in which to repeat each test.
    pub retests: Vec<(TestKind, Window)>,
    /// The heart rate to hold in the 40-minute test.
    pub forty_minute_target: Option<HeartRate>,
    /// Past the retest window, or grown too uncertain.
    pub out_of_date: bool,
    /// Back after weeks away from zones confirmed before them.
    pub after_weeks_away: bool,
    /// More lines for this athlete; short sentences.
    pub notes: Vec<String>,
}

impl CardFacts<'_> {
    /// The zones as far as they may be shown: on medication that lowers it, no heart rate.
    pub fn zones(&self) -> Zones {
        let zones = self.calibration.zones.clone();
        if self.medication { zones.without_heart_rate() } else { zones }
    }

    /// Whether no number leads until a new test.
    fn is_by_feel(&self) -> bool {
        self.out_of_date || self.after_weeks_away
    }

    /// The zones as a person reads them, with what leads today.
    pub fn shown_zones(&self) -> Vec<ShownZone> {
        let zones = shown(&self.zones(), self.units).into_iter();
        zones.map(|zone| if self.is_by_feel() { zone.by_feel() } else { zone }).collect()
    }

    /// Which markers were not tested, in one sentence; `None` where all were.
    pub fn estimated(&self) -> Option<String> {
        estimated_in_words(&self.calibration.markers, self.zones().have_heart_rate())
    }

    /// That there are no heart rates, and what to run by instead; beside zones that are out of date no
    /// pace is spoken of.
    pub fn without_heart_rates(&self, what: &str) -> String {
        let instead = if self.out_of_date { "" } else { ": run by pace and by feel" };
        format!("{what}{instead}.")
    }
}

/// Lays out the cards of these athletes, in their order.
///
/// # Errors
/// The layout failed: a fault of the program.
pub fn cards(facts: &[CardFacts<'_>], layout: Layout) -> Result<Document, SheetError> {
    let written = Written { layout, cards: facts.iter().map(|card| write(card, layout)).collect() };
    typeset(&TEMPLATE, &written)
}

/// Everything as text, as the template places it.
#[derive(Serialize)]
struct Written {
    layout: Layout,
    cards: Vec<WrittenCard>,
}

#[derive(Serialize)]
struct WrittenCard {
    athlete: Name,
    from: String,
    out_of_date: bool,
    basis: String,
    lane: Drawing,
    has_heart_rate: bool,
    pace_head: String,
    rows: Vec<WrittenRow>,
    statements: Vec<String>,
    /// Lines beyond those every card has; above a few the template measures.
    more_lines: u32,
    /// The retests need all the width there is, or more.
    narrow: bool,
    retests: Vec<WrittenRetest>,
}

#[derive(Serialize)]
struct WrittenRow {
    number: u8,
    ground: Role,
    on_ground: Role,
    name: String,
    /// The name is longer than its column.
    long: bool,
    heart_rate: String,
    pace: String,
    lap: String,
    guidance: String,
    leads: &'static str,
}

#[derive(Serialize)]
struct WrittenRetest {
    test: String,
    by: String,
    from: String,
}

/// The width of the card's lane in px of its drawing; the template scales it to the card.
const LANE_WIDTH: f64 = 566.0;

fn write(facts: &CardFacts<'_>, layout: Layout) -> WrittenCard {
    let calibration = facts.calibration;
    let zones = facts.zones();
    let has_heart_rate = zones.have_heart_rate();
    let markers = &calibration.markers;
    let axis = Axis::around([markers]);
    let count = u8::try_from(zones.zones.len()).unwrap_or(u8::MAX);
    let (look, edges) = (Look::card(LANE_WIDTH, facts.units), calibration.zones.own_edges());
    let (basis, statements, retests) =
        (basis(&calibration.basis), statements(facts, has_heart_rate), retests(facts));
    WrittenCard {
        athlete: Name::of(&facts.athlete),
        from: day(calibration.from),
        out_of_date: facts.out_of_date,
        more_lines: more_lines(&basis, &statements, layout)
            + u32::from(facts.out_of_date)
            + more_zones(&zones),
        narrow: retests_in_em(&retests) > layout.line_em(),
        basis,
        lane: axis.map_or_else(
            || Drawing::new(LANE_WIDTH, 1.0),
            |axis| lane_of((markers, edges.as_deref()), None, axis, &look),
        ),
        has_heart_rate,
        pace_head: format!("Pace, min per {}", pace_unit(facts.units)),
        rows: zones
            .zones
            .iter()
            .zip(facts.shown_zones())
            .map(|(zone, shown)| row(zone, shown, (count, facts.is_by_feel())))
            .collect(),
        statements,
        retests,
    }
}

fn row(zone: &Zone, shown: ShownZone, (zones, by_feel): (u8, bool)) -> WrittenRow {
    let estimated = if shown.estimated { " · estimated" } else { "" };
    WrittenRow {
        number: shown.number,
        ground: Role::zone(shown.number, zones),
        on_ground: Role::on_zone(shown.number, zones),
        long: is_long(&shown.name),
        name: shown.name,
        guidance: format!("{}{estimated}", shown.guidance),
        leads: match zone.leads {
            _ if by_feel => "feel",
            Leads::HeartRate if zone.heart_rate.is_some() => "heart-rate",
            Leads::HeartRate => "feel",
            Leads::Pace | Leads::PaceOrFeel => "pace",
        },
        heart_rate: shown.heart_rate,
        pace: shown.pace,
        lap: shown.lap_400,
    }
}

fn basis(basis: &[Basis]) -> String {
    let tests: Vec<String> = basis
        .iter()
        .map(|basis| format!("{} {}", words::stands_on(basis), day(basis.on)))
        .collect();
    if tests.is_empty() {
        "No test stands behind these zones".to_owned()
    } else {
        tests.join(" · ")
    }
}

fn statements(facts: &CardFacts<'_>, has_heart_rate: bool) -> Vec<String> {
    let mut lines = Vec::new();
    lines.extend(facts.calibration.zones.scheme.as_ref().map(|name| format!("Zones: {name}.")));
    if facts.medication {
        lines.push(facts.without_heart_rates("No heart rates on this card"));
    } else if !has_heart_rate {
        lines.push(facts.without_heart_rates("No heart rates to go by yet"));
    }
    lines.extend(facts.estimated());
    lines.extend(facts.notes.iter().cloned());
    lines
}

/// Which markers were not tested, in one sentence.
fn estimated_in_words(markers: &Markers, has_heart_rate: bool) -> Option<String> {
    let named = |is_estimated: fn(&Marker) -> bool| {
        let names = MarkerName::ALL.into_iter().filter(|name| is_estimated(markers.get(*name)));
        names.map(marker_label).collect::<Vec<_>>()
    };
    let paces = named(|marker| marker.speed.is_some_and(|speed| speed.origin == Origin::Estimated));
    let rates =
        named(|marker| marker.heart_rate.is_some_and(|rate| rate.origin == Origin::Estimated));
    let mut parts = Vec::new();
    if !paces.is_empty() {
        parts.push(format!("pace at {}", listed(&paces)));
    }
    if has_heart_rate && !rates.is_empty() {
        parts.push(format!("heart rate at {}", listed(&rates)));
    }
    if parts.is_empty() {
        return None;
    }
    let dashed = if paces.is_empty() { "" } else { " (dashed)" };
    Some(
        format!("Estimated, not tested{dashed}: {}.", parts.join("; "))
            .replace("VO2max pace", "VO2max"),
    )
}

fn more_lines(basis: &str, statements: &[String], layout: Layout) -> u32 {
    let lines = |text: &str| {
        let share = fonts::text_width(text, 1.0) / layout.line_em();
        // a tenth of a line is left where a word does not split; three lines and more are measured
        if share <= 1.0 {
            1
        } else if share <= 1.9 {
            2
        } else {
            9
        }
    };
    statements.iter().map(|text| lines(text)).sum::<u32>() + lines(basis) - 1
}

/// How many em of a zone's name its column holds, a tenth held back for the bolder face.
const NAME_EM: f64 = 8.3;

/// Whether a zone's name, in a scheme of the coach's own, is longer than its column.
fn is_long(name: &str) -> bool {
    fonts::text_width(name, 1.0) > NAME_EM
}

/// A card of more zones than five, or of a name on two lines, is always measured.
fn more_zones(zones: &Zones) -> u32 {
    const MEASURED: u32 = 9;
    let is_more = zones.zones.len() > 5 || zones.zones.iter().any(|zone| is_long(&zone.name));
    if is_more { MEASURED } else { 0 }
}

/// The width of the retests beside each other, in em of the small print.
fn retests_in_em(retests: &[WrittenRetest]) -> f64 {
    let wide = |text: &str| fonts::text_width(text, 1.0);
    let columns =
        retests.iter().map(|one| wide(&format!("{} {}", one.test, one.by)).max(wide(&one.from)));
    // the word before them, bolder letters, and gaps
    columns.sum::<f64>() + 5.5
}

/// "a, b and c".
fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn retests(facts: &CardFacts<'_>) -> Vec<WrittenRetest> {
    let target = facts.forty_minute_target.filter(|_| !facts.medication).map(whole_beats);
    let hold = |kind: TestKind| target.filter(|_| kind == TestKind::FortyMinutes);
    // windows are weeks away and the card is dated: their days need no year
    let mut all = facts.retests.clone();
    all.sort_by_key(|(kind, _)| *kind);
    let mut out: Vec<WrittenRetest> = all
        .into_iter()
        .map(|(kind, window)| {
            let opens = format!("from {}", day_short(window.opens));
            WrittenRetest {
                test: format!("{} minutes", kind.minutes()),
                by: format!("by {}", day_short(window.closes)),
                from: hold(kind)
                    .map_or_else(|| opens.clone(), |beats| format!("{opens}; hold {beats} bpm")),
            }
        })
        .collect();
    // the target is worth carrying where no window stands too, as before the first 40-minute test
    let planned = facts.retests.iter().any(|(kind, _)| *kind == TestKind::FortyMinutes);
    if let Some(beats) = target.filter(|_| !planned) {
        let tested = facts.calibration.basis.iter().any(|test| test.kind == TestKind::FortyMinutes);
        let from = if tested { "" } else { "not tested yet" }.to_owned();
        let (test, by) = ("40 minutes".to_owned(), format!("at {beats} bpm"));
        out.push(WrittenRetest { test, by, from });
    }
    out
}
