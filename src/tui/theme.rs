//! Styles by meaning. Only the 16 named colours, and every state has a word or sign beside its colour.

use ratatui::style::{Color, Modifier, Style};

use crate::procedure::plan::Signal;
use crate::traveler::Verdict;

/// Styles of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    colour: bool,
}

impl Theme {
    /// With colours.
    #[must_use]
    pub const fn coloured() -> Self {
        Self { colour: true }
    }

    /// Attributes only, for `NO_COLOR`.
    #[must_use]
    pub const fn plain() -> Self {
        Self { colour: false }
    }

    fn fg(self, colour: Color) -> Style {
        if self.colour { Style::new().fg(colour) } else { Style::new() }
    }

    /// Head line and key bar.
    #[must_use]
    pub fn bar(self) -> Style {
        Style::new().add_modifier(Modifier::REVERSED)
    }

    /// What is to be done.
    #[must_use]
    pub fn action(self) -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// Names of things: "Why now", "Tools".
    #[must_use]
    pub fn name(self) -> Style {
        self.fg(Color::Cyan)
    }

    /// Where typing goes.
    #[must_use]
    pub fn entry(self) -> Style {
        Style::new().add_modifier(Modifier::BOLD | Modifier::UNDERLINED)
    }

    /// The chosen row.
    #[must_use]
    pub fn chosen(self) -> Style {
        Style::new().add_modifier(Modifier::REVERSED)
    }

    /// A key in the key bar.
    #[must_use]
    pub fn key(self) -> Style {
        Style::new().add_modifier(Modifier::REVERSED | Modifier::BOLD)
    }

    /// Signal words.
    #[must_use]
    pub fn signal(self, signal: Signal) -> Style {
        let colour = match signal {
            Signal::Danger => Color::Red,
            Signal::Warning => Color::LightRed,
            Signal::Caution => Color::Yellow,
            Signal::Notice => Color::Blue,
        };
        self.fg(colour).add_modifier(Modifier::BOLD | Modifier::REVERSED)
    }

    /// A verdict and everything that says it.
    #[must_use]
    pub fn verdict(self, verdict: Verdict) -> Style {
        match verdict {
            Verdict::Within => self.fg(Color::Green),
            Verdict::Outside => self.fg(Color::Red).add_modifier(Modifier::BOLD),
            Verdict::Undecided => self.fg(Color::Yellow).add_modifier(Modifier::BOLD),
            Verdict::NotJudged => Style::new(),
        }
    }

    /// Something the person must know now.
    #[must_use]
    pub fn alert(self) -> Style {
        self.fg(Color::Yellow).add_modifier(Modifier::BOLD)
    }

    /// Parts in place, in pictures.
    #[must_use]
    pub const fn fitted(self) -> Color {
        Color::Reset
    }

    /// The part or bolt of this step.
    #[must_use]
    pub const fn now(self) -> Color {
        if self.colour { Color::Yellow } else { Color::Reset }
    }

    /// What is not there yet.
    #[must_use]
    pub const fn missing(self) -> Color {
        if self.colour { Color::DarkGray } else { Color::Reset }
    }
}

/// Sign of a verdict, for places too small for its word.
#[must_use]
pub const fn sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "✓",
        Verdict::Outside => "✗",
        Verdict::Undecided => "?",
        Verdict::NotJudged => "•",
    }
}
