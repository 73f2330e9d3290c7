//! The look in one place: colours of the palette, sizes of text and rows, the styles of what iced
//! draws itself.

use iced::overlay::menu;
use iced::theme::Palette;
use iced::widget::{container, pick_list, rule, scrollable, text_input};
use iced::{Background, Border, Color, Font, Shadow, font};
use pacewright_sheets::ink::{Role, Theme, colour};

/// Height of a row of a ledger, px.
pub(super) const ROW: f32 = 46.0;
/// Margin of a page, px.
pub(super) const MARGIN: f32 = 28.0;
/// Text of the page, px.
pub(super) const BODY: f32 = 15.0;
/// Titles, px.
pub(super) const TITLE: f32 = 25.0;
/// Column heads and second lines, px.
pub(super) const SMALL: f32 = 12.5;

/// The face of everything.
pub(super) const FACE: Font = Font::with_name(pacewright_sheets::fonts::FAMILY);
/// Names, and what is chosen.
pub(super) const STRONG: Font = Font { weight: font::Weight::Semibold, ..FACE };

/// The inks of a theme; small enough to be handed to every closure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ink {
    theme: Theme,
}

impl Ink {
    /// The inks of a light or dark screen.
    pub(super) fn new(dark: bool) -> Self {
        Self { theme: if dark { Theme::Dark } else { Theme::Light } }
    }

    /// The colour of a role.
    pub(super) fn of(self, role: Role) -> Color {
        let c = colour(role, self.theme);
        Color::from_rgb8(c.red, c.green, c.blue)
    }

    /// What iced's own widgets take. Neutral: nothing of it is derived into louder shades by us.
    pub(super) fn iced_theme(self) -> iced::Theme {
        let name = if self.theme == Theme::Dark { "Pacewright dark" } else { "Pacewright light" };
        let palette = Palette {
            background: self.of(Role::Paper),
            text: self.of(Role::Ink),
            primary: self.of(Role::Ink),
            success: self.of(Role::Ink),
            warning: self.of(Role::Mark),
            danger: self.of(Role::Mark),
        };
        iced::Theme::custom(name, palette)
    }

    /// The page.
    pub(super) fn page(self, flicker: bool) -> container::Style {
        // an unseen change of the background forces one full redraw instead of many small ones,
        // which is three times faster while a ledger scrolls
        let mut paper = self.of(Role::Paper);
        if flicker {
            paper.b = (paper.b - 1e-5).max(0.0);
        }
        container::Style {
            background: Some(Background::Color(paper)),
            text_color: Some(self.of(Role::Ink)),
            ..container::Style::default()
        }
    }

    /// A row under the cursor or chosen.
    pub(super) fn selected(self) -> container::Style {
        container::Style {
            background: Some(Background::Color(self.of(Role::Selected))),
            ..container::Style::default()
        }
    }

    /// A thin line.
    pub(super) fn rule(self, role: Role) -> rule::Style {
        rule::Style {
            color: self.of(role),
            radius: 0.0.into(),
            fill_mode: rule::FillMode::Full,
            snap: true,
        }
    }

    /// A field to write in; `wrong` draws its frame in the mark.
    pub(super) fn field(self, status: text_input::Status, wrong: bool) -> text_input::Style {
        let focused = matches!(status, text_input::Status::Focused { .. });
        let frame = match (wrong, focused) {
            (true, _) => Role::Mark,
            (false, true) => Role::Ink,
            (false, false) => Role::Rule,
        };
        text_input::Style {
            background: Background::Color(self.of(Role::Field)),
            border: Border {
                color: self.of(frame),
                width: if focused { 1.5 } else { 1.0 },
                radius: 2.0.into(),
            },
            icon: self.of(Role::SoftInk),
            placeholder: self.of(Role::SoftInk),
            value: self.of(Role::Ink),
            selection: self.of(Role::Marked),
        }
    }

    /// A list to choose one from, closed.
    pub(super) fn list(self, status: pick_list::Status) -> pick_list::Style {
        let open = !matches!(status, pick_list::Status::Active);
        pick_list::Style {
            text_color: self.of(Role::Ink),
            placeholder_color: self.of(Role::SoftInk),
            handle_color: self.of(Role::SoftInk),
            background: Background::Color(self.of(Role::Paper)),
            border: self.border(if open { Role::Ink } else { Role::Rule }),
        }
    }

    /// The same, open.
    pub(super) fn menu(self) -> menu::Style {
        menu::Style {
            background: Background::Color(self.of(Role::Field)),
            border: self.border(Role::Ink),
            text_color: self.of(Role::Ink),
            selected_text_color: self.of(Role::Ink),
            selected_background: Background::Color(self.of(Role::Marked)),
            shadow: Shadow::default(),
        }
    }

    fn border(self, role: Role) -> Border {
        Border { color: self.of(role), width: 1.0, radius: 2.0.into() }
    }

    /// A quiet scroll bar without a trough.
    pub(super) fn scroll(
        self,
        theme: &iced::Theme,
        status: scrollable::Status,
    ) -> scrollable::Style {
        let mut style = scrollable::default(theme, status);
        for rail in [&mut style.vertical_rail, &mut style.horizontal_rail] {
            rail.background = None;
            rail.scroller.background = Background::Color(self.of(Role::Rule));
        }
        style
    }
}
