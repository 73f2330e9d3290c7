//! Every colour of the program, in one place: what a thing is (its role) picks the ink.

use serde::Serialize;

/// How deep the one ink of the zones is, from the palest 0 to the deepest 12: two to seven zones are
/// steps of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Depth(u8);

impl Depth {
    /// The palest.
    pub const PALEST: Self = Self(0);
    const DEEPEST: u8 = 12;

    /// The step of a zone by its number, 1 the easiest, of so many.
    fn of(number: u8, zones: u8) -> Self {
        let steps = u16::from(zones.max(2) - 1);
        let step = u16::from(number.max(1) - 1).min(steps);
        let depth = (step * u16::from(Self::DEEPEST) + steps / 2) / steps;
        Self(u8::try_from(depth).unwrap_or(Self::DEEPEST))
    }
}

impl Serialize for Depth {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&format_args!("zone-{}", self.0))
    }
}

/// What an ink is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Text and strokes.
    Ink,
    /// Secondary text.
    SoftInk,
    /// What was before: old strokes under new ones. Never text.
    Ghost,
    /// Lines between sections.
    Rule,
    /// Lines between rows.
    FaintRule,
    /// The one act of a row, bookings, what must be looked at.
    Mark,
    /// The page.
    Paper,
    /// A field to write in.
    Field,
    /// A row under the cursor.
    Selected,
    /// Words that are marked in a field, or pointed at in a list.
    Marked,
    /// Dark text on a pale zone.
    OnPaleZone,
    /// Pale text on a deep zone.
    OnDeepZone,
    /// Aerobic base; drawn with circles.
    QualityBase,
    /// Threshold; drawn with squares.
    QualityThreshold,
    /// Top end; drawn with diamonds.
    QualityTopEnd,
    /// The doubt around the trend of the aerobic base. Never text.
    BandBase,
    /// The doubt around the trend of the threshold. Never text.
    BandThreshold,
    /// The doubt around the trend of the top end. Never text.
    BandTopEnd,
    /// A zone.
    #[serde(untagged)]
    Zone(Depth),
}

impl Role {
    /// All but those of the zones.
    const OTHERS: [Self; 18] = [
        Self::Ink,
        Self::SoftInk,
        Self::Ghost,
        Self::Rule,
        Self::FaintRule,
        Self::Mark,
        Self::Paper,
        Self::Field,
        Self::Selected,
        Self::Marked,
        Self::OnPaleZone,
        Self::OnDeepZone,
        Self::QualityBase,
        Self::QualityThreshold,
        Self::QualityTopEnd,
        Self::BandBase,
        Self::BandThreshold,
        Self::BandTopEnd,
    ];

    /// All of them.
    pub fn all() -> impl Iterator<Item = Self> {
        let zones = (0..=Depth::DEEPEST).map(|depth| Self::Zone(Depth(depth)));
        Self::OTHERS.into_iter().chain(zones)
    }

    /// The ink of a zone by its number, 1 the easiest, of so many: from the palest to the deepest.
    pub fn zone(number: u8, zones: u8) -> Self {
        Self::Zone(Depth::of(number, zones))
    }

    /// The ink of text that stands on a zone, at least 4.5:1 against it.
    pub fn on_zone(number: u8, zones: u8) -> Self {
        if Depth::of(number, zones).0 <= 8 { Self::OnPaleZone } else { Self::OnDeepZone }
    }
}

/// Which ground the inks are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Theme {
    /// The screen, light.
    #[default]
    Light,
    /// The screen, dark: the hues stay.
    Dark,
    /// Printed: the light inks on white paper.
    Print,
}

/// A colour, eight bits a channel, sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Colour {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

impl Colour {
    const fn of(hex: u32) -> Self {
        let [_, red, green, blue] = hex.to_be_bytes();
        Self { red, green, blue }
    }

    /// As SVG and Typst write it: "#22201c".
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }

    /// The contrast ratio of two colours, 1 to 21 (WCAG 2.2, "contrast ratio").
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.relative_luminance(), other.relative_luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// Relative luminance, 0 black to 1 white (WCAG 2.2, "relative luminance").
    fn relative_luminance(self) -> f64 {
        let linear = |channel: u8| {
            let value = f64::from(channel) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }
}

/// The palette: the colour of a role on a ground.
pub fn colour(role: Role, theme: Theme) -> Colour {
    let (light, dark) = light_and_dark(role);
    match (theme, role) {
        (Theme::Print, Role::Paper | Role::Field) => Colour::of(0x00ff_ffff),
        (Theme::Light | Theme::Print, _) => Colour::of(light),
        (Theme::Dark, _) => Colour::of(dark),
    }
}

/// Qualities stand near the Okabe-Ito colour-blind-safe set, darkened for contrast on paper.
fn light_and_dark(role: Role) -> (u32, u32) {
    match role {
        Role::Ink => (0x0022_201c, 0x00ec_e8df),
        Role::SoftInk => (0x006f_6a60, 0x00a8_a192),
        Role::Ghost => (0x00a4_9c8e, 0x007c_7568),
        Role::Rule => (0x00d9_d4c8, 0x0045_4139),
        Role::FaintRule => (0x00ec_e8de, 0x0031_2e29),
        Role::Mark => (0x007a_2e2e, 0x00e0_9a94),
        Role::Paper => (0x00fb_faf7, 0x001d_1c1a),
        Role::Field => (0x00ff_ffff, 0x0026_2422),
        Role::Selected => (0x00f3_efe5, 0x002b_2925),
        Role::Marked => (0x00e2_cfaf, 0x0055_4a34),
        Role::Zone(depth) => zone_inks(depth),
        // deeper than the ink and pure white: on the middle steps those would miss 4.5:1 by a hair
        Role::OnPaleZone => (0x001b_1915, 0x001b_1915),
        Role::OnDeepZone => (0x00ff_ffff, 0x00ff_ffff),
        Role::QualityBase => (0x001d_659b, 0x0063_a8db),
        Role::QualityThreshold => (0x00b3_541e, 0x00e0_8a55),
        Role::QualityTopEnd => (0x009a_4f7c, 0x00cc_8bb2),
        // the quality's ink at about a sixth over the paper, so that points stand out on it
        Role::BandBase => (0x00d9_e3e8, 0x0027_3238),
        Role::BandThreshold => (0x00f0_e0d5, 0x003c_2d23),
        Role::BandTopEnd => (0x00ec_dfe3, 0x0038_2d33),
    }
}

/// The one hue of the zones, pale to deep, light and dark: the inks of five zones, and between two of
/// them what lies between.
fn zone_inks(Depth(depth): Depth) -> (u32, u32) {
    const LIGHT: [u32; 5] = [0x00f3_ebdd, 0x00e2_cfaf, 0x00c2_a274, 0x008f_6e40, 0x0055_3c18];
    const DARK: [u32; 5] = [0x00f3_ebdd, 0x00e2_cfaf, 0x00c2_a274, 0x008f_6e40, 0x0062_461d];
    let between = |inks: [u32; 5]| {
        let (step, third) = (usize::from(depth / 3), u32::from(depth % 3));
        let of = |step: usize| inks.get(step).or(inks.last()).copied().unwrap_or_default();
        let [paler, deeper] = [of(step), of(step + 1)].map(u32::to_be_bytes);
        let mix = |channel: usize| {
            let of = |ink: [u8; 4]| ink.get(channel).copied().map_or(0, u32::from);
            (of(paler) * (3 - third) + of(deeper) * third + 1) / 3
        };
        mix(1) << 16 | mix(2) << 8 | mix(3)
    };
    (between(LIGHT), between(DARK))
}

#[cfg(test)]
mod tests {
    use super::*;

    const THEMES: [Theme; 3] = [Theme::Light, Theme::Dark, Theme::Print];

    /// WCAG 2.2, success criterion 1.4.3: text at least 4.5:1.
    #[test]
    fn every_text_ink_has_contrast_on_its_ground() {
        for theme in THEMES {
            let on = |text: Role, ground: Role| {
                let ratio = colour(text, theme).contrast(colour(ground, theme));
                assert!(ratio >= 4.5, "{text:?} on {ground:?}, {theme:?}: {ratio:.2}");
            };
            for text in [Role::Ink, Role::SoftInk, Role::Mark] {
                for ground in [Role::Paper, Role::Field, Role::Selected] {
                    on(text, ground);
                }
            }
            on(Role::Ink, Role::Marked);
            for quality in [Role::QualityBase, Role::QualityThreshold, Role::QualityTopEnd] {
                on(quality, Role::Paper);
            }
            for zones in 2..=7 {
                for number in 1..=zones {
                    on(Role::on_zone(number, zones), Role::zone(number, zones));
                }
            }
        }
    }

    /// The two ends of the scale are 21:1 and 1:1 by WCAG's own definition; #767676 is its
    /// well-known grey at 4.54:1 on white.
    #[test]
    fn contrast_follows_the_standard() {
        let (white, black) = (Colour::of(0x00ff_ffff), Colour::of(0));
        assert!((white.contrast(black) - 21.0).abs() < 1e-9);
        assert!((white.contrast(white) - 1.0).abs() < 1e-9);
        assert!((white.contrast(Colour::of(0x0076_7676)) - 4.54).abs() < 0.005);
    }

    /// WCAG 2.2, success criterion 1.4.11: what carries meaning in a figure at least 3:1.
    #[test]
    fn points_have_contrast_on_their_bands() {
        for theme in THEMES {
            for (point, band) in [
                (Role::QualityBase, Role::BandBase),
                (Role::QualityThreshold, Role::BandThreshold),
                (Role::QualityTopEnd, Role::BandTopEnd),
            ] {
                let ratio = colour(point, theme).contrast(colour(band, theme));
                assert!(ratio >= 3.0, "{point:?} on {band:?}, {theme:?}: {ratio:.2}");
            }
        }
    }

    #[test]
    fn zones_deepen_step_by_step() {
        for theme in THEMES {
            for zones in 2..=7 {
                let contrast = |number| {
                    let [paler, deeper] =
                        [number, number + 1].map(|number| colour(Role::zone(number, zones), theme));
                    assert!(paler.relative_luminance() > deeper.relative_luminance());
                    paler.contrast(deeper)
                };
                // no published limit for steps that are numbered too: ours, to tell them apart
                assert!((1..zones).all(|number| contrast(number) > 1.15), "{zones}, {theme:?}");
                let ends = [1, zones].map(|number| Role::zone(number, zones));
                assert_eq!(ends, [Role::Zone(Depth(0)), Role::Zone(Depth(12))]);
            }
        }
    }

    /// The five stand where they are stated, whatever lies between.
    #[test]
    fn five_zones_have_the_stated_inks() {
        let hex = |number| colour(Role::zone(number, 5), Theme::Light).hex();
        let five: Vec<String> = (1..=5).map(hex).collect();
        assert_eq!(five, ["#f3ebdd", "#e2cfaf", "#c2a274", "#8f6e40", "#553c18"]);
    }

    /// Documents find an ink by its name: no two may share one.
    #[test]
    fn every_ink_has_a_name_of_its_own() {
        let name = |role| serde_json::to_value(role).unwrap().as_str().unwrap().to_owned();
        let names: std::collections::BTreeSet<String> = Role::all().map(name).collect();
        assert_eq!(names.len(), Role::all().count());
        assert!(names.contains("soft-ink") && names.contains("zone-12"));
    }
}
