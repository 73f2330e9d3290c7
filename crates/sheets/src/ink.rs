//! Every colour of the program, in one place: what a thing is (its role) picks the ink.

use serde::Serialize;

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
    /// The easiest zone.
    Zone1,
    /// The second zone.
    Zone2,
    /// The third zone.
    Zone3,
    /// The fourth zone.
    Zone4,
    /// The hardest zone.
    Zone5,
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
}

impl Role {
    /// All of them.
    pub const ALL: [Self; 23] = [
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
        Self::Zone1,
        Self::Zone2,
        Self::Zone3,
        Self::Zone4,
        Self::Zone5,
        Self::OnPaleZone,
        Self::OnDeepZone,
        Self::QualityBase,
        Self::QualityThreshold,
        Self::QualityTopEnd,
        Self::BandBase,
        Self::BandThreshold,
        Self::BandTopEnd,
    ];

    /// The ink of a zone by its number, 1 the easiest; numbers above 5 share the deepest.
    pub fn zone(number: u8) -> Self {
        match number {
            0 | 1 => Self::Zone1,
            2 => Self::Zone2,
            3 => Self::Zone3,
            4 => Self::Zone4,
            _ => Self::Zone5,
        }
    }

    /// The ink of text that stands on a zone, at least 4.5:1 against it.
    pub fn on_zone(number: u8) -> Self {
        if number <= 3 { Self::OnPaleZone } else { Self::OnDeepZone }
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
        Role::Zone1 => (0x00f3_ebdd, 0x00f3_ebdd),
        Role::Zone2 => (0x00e2_cfaf, 0x00e2_cfaf),
        Role::Zone3 => (0x00c2_a274, 0x00c2_a274),
        Role::Zone4 => (0x008f_6e40, 0x008f_6e40),
        Role::Zone5 => (0x0055_3c18, 0x0062_461d),
        Role::OnPaleZone => (0x0022_201c, 0x0022_201c),
        // pure white: the paper's own tone would miss 4.5:1 on zone 4 by a hair
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
            for number in 1..=5 {
                on(Role::on_zone(number), Role::zone(number));
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
            let light = |number| colour(Role::zone(number), theme).relative_luminance();
            assert!((1..5).all(|number| light(number) > light(number + 1)), "{theme:?}");
        }
    }
}
