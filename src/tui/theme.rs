//! Styles by meaning. Only the 16 named colours, and every state has a word or sign beside its colour.

use ratatui::style::{Color, Modifier, Style};

use crate::procedure::plan::Signal;
use crate::traveler::Verdict;

/// What the terminal's paper is, or that no colour is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Paper {
    Dark,
    Light,
    /// Attributes only, by choice.
    Plain,
    /// Attributes only, by `NO_COLOR`: no key brings colours back.
    NoColour,
}

/// Styles of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    paper: Paper,
}

impl Theme {
    /// With colours that are read on dark paper.
    #[must_use]
    pub const fn coloured() -> Self {
        Self { paper: Paper::Dark }
    }

    /// With colours that are read on light paper: no yellow, no cyan.
    #[must_use]
    pub const fn light() -> Self {
        Self { paper: Paper::Light }
    }

    /// Attributes only, for `NO_COLOR`.
    #[must_use]
    pub const fn plain() -> Self {
        Self { paper: Paper::NoColour }
    }

    /// The next theme: dark, light, without colour, and round again.
    #[must_use]
    pub const fn next(self) -> Self {
        let paper = match self.paper {
            Paper::Dark => Paper::Light,
            Paper::Light => Paper::Plain,
            Paper::Plain => Paper::Dark,
            Paper::NoColour => Paper::NoColour,
        };
        Self { paper }
    }

    /// A colour for dark paper, and the one that stands for it on light paper.
    const fn pick(self, dark: Color, light: Color) -> Color {
        match self.paper {
            Paper::Dark => dark,
            Paper::Light => light,
            Paper::Plain | Paper::NoColour => Color::Reset,
        }
    }

    fn fg(self, dark: Color, light: Color) -> Style {
        match self.paper {
            Paper::Plain | Paper::NoColour => Style::new(),
            _ => Style::new().fg(self.pick(dark, light)),
        }
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
        self.fg(Color::Cyan, Color::Blue)
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
        let (dark, light) = match signal {
            Signal::Danger => (Color::Red, Color::Red),
            Signal::Warning => (Color::LightRed, Color::Red),
            Signal::Caution => (Color::Yellow, Color::Magenta),
            Signal::Notice => (Color::LightBlue, Color::Blue),
        };
        self.fg(dark, light).add_modifier(Modifier::BOLD | Modifier::REVERSED)
    }

    /// A verdict and everything that says it.
    #[must_use]
    pub fn verdict(self, verdict: Verdict) -> Style {
        match verdict {
            Verdict::Within => self.fg(Color::Green, Color::Green),
            Verdict::Outside => self.fg(Color::LightRed, Color::Red).add_modifier(Modifier::BOLD),
            Verdict::Undecided => self.fg(Color::Yellow, Color::Magenta).add_modifier(Modifier::BOLD),
            Verdict::NotJudged => Style::new(),
        }
    }

    /// Something the person must know now.
    #[must_use]
    pub fn alert(self) -> Style {
        self.fg(Color::Yellow, Color::Magenta).add_modifier(Modifier::BOLD)
    }

    /// Parts in place, in pictures.
    #[must_use]
    pub const fn fitted(self) -> Color {
        Color::Reset
    }

    /// The part or bolt of this step.
    #[must_use]
    pub const fn now(self) -> Color {
        self.pick(Color::Yellow, Color::Magenta)
    }

    /// What is not there yet.
    #[must_use]
    pub const fn missing(self) -> Color {
        self.pick(Color::DarkGray, Color::DarkGray)
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
