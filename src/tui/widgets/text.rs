//! Text that keeps to its width: wrapping, cutting with a mark, pages.

use ratatui::style::Style;
use ratatui::text::{Line, Span};
use unicode_width::UnicodeWidthStr;

use crate::module::one_line;
use crate::procedure::plan::Step;

/// Lines of a text wrapped to a width.
#[must_use]
pub fn wrapped(text: &str, width: u16, style: Style) -> Vec<Line<'static>> {
    named("", Style::new(), text, width, style)
}

/// A name and a text behind it; later lines are indented under the text.
#[must_use]
pub fn named(name: &str, name_style: Style, text: &str, width: u16, style: Style) -> Vec<Line<'static>> {
    let lead = if name.is_empty() { String::new() } else { format!("{name} ") };
    let indent = lead.width().min(4);
    let first = usize::from(width).saturating_sub(lead.width()).max(8);
    let rest = usize::from(width).saturating_sub(indent).max(8);
    let clean = one_line(text);
    let options = textwrap::Options::new(rest).initial_indent("").break_words(true);
    // The first line is narrower by the name: a stand-in of that width is wrapped along and taken off again.
    let filler = "\u{a0}".repeat(rest.saturating_sub(first));
    let whole = format!("{filler}{clean}");
    let lines = textwrap::wrap(&whole, options);
    let take_off = |l: &str| l.strip_prefix(filler.as_str()).unwrap_or(l).to_owned();
    lines
        .iter()
        .enumerate()
        .map(|(k, line)| {
            if k == 0 {
                Line::from(vec![Span::styled(lead.clone(), name_style), Span::styled(take_off(line), style)])
            } else {
                Line::from(vec![Span::raw(" ".repeat(indent)), Span::styled(line.to_string(), style)])
            }
        })
        .collect()
}

/// A text cut to a width, with a mark where something is missing.
#[must_use]
pub fn cut(text: &str, width: usize) -> String {
    let clean = one_line(text);
    if clean.width() <= width {
        return clean;
    }
    let mut out = String::new();
    for c in clean.chars() {
        let mut buffer = [0; 4];
        if out.width() + c.encode_utf8(&mut buffer).width() + 1 > width {
            break;
        }
        out.push(c);
    }
    if width > 0 {
        out.push('…');
    }
    out
}

/// A text in which steps named by id are named by number and title, as a fitter knows them.
#[must_use]
pub fn with_titles(text: &str, steps: &[Step]) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let bare = |word: &str| word.trim_end_matches([':', ',', '.', ';', ')']).to_owned();
    // "stock of ream-disc-1" is a value by its id: it is named by what is asked.
    let value = |k: usize| {
        let step = words.get(k + 2).filter(|_| words[k + 1..].first() == Some(&"of"))?;
        let step = steps.iter().find(|s| s.id == bare(step))?;
        step.checks.iter().find(|c| c.id == words[k]).map(|c| c.prompt.trim_end_matches('?').to_owned())
    };
    let word = |(k, word): (usize, &&str)| {
        if let Some(asked) = value(k) {
            return format!("\"{asked}\"");
        }
        // A value is named by what is asked already, so its step needs its number only.
        let short = k >= 2 && value(k - 2).is_some();
        let id = word.trim_end_matches([':', ',', '.', ';', ')']);
        let tail = &word[id.len()..];
        let found = steps.iter().find(|s| s.id == id);
        found.map_or_else(
            || (*word).to_owned(),
            |s| {
                let title = if short { String::new() } else { format!(" ({})", s.title) };
                format!("step {}{title}{tail}", s.number)
            },
        )
    };
    words.iter().enumerate().map(word).collect::<Vec<_>>().join(" ")
}

/// The day of a time of the record, by the clock at the place where it was written.
#[must_use]
pub fn day(at: &str) -> String {
    // A record that somebody bent may hold anything there.
    cut(at.get(..10).unwrap_or(at), 24)
}

/// Day and time of the record to the minute, by the clock at the place where it was written.
#[must_use]
pub fn minute(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}

/// A text set in a field: the end of it where it is longer, with a mark, so that what is being typed is seen.
#[must_use]
pub fn tail(text: &str, width: usize) -> String {
    let clean = one_line(text);
    if clean.width() <= width {
        return clean;
    }
    let mut end = Vec::new();
    let mut room = width.saturating_sub(1);
    for c in clean.chars().rev() {
        let wide = c.encode_utf8(&mut [0; 4]).width();
        if wide > room {
            break;
        }
        room -= wide;
        end.push(c);
    }
    std::iter::once('…').filter(|_| width > 0).chain(end.into_iter().rev()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(lines: &[Line<'_>]) -> Vec<String> {
        lines.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn nothing_is_lost_and_no_line_is_wider_than_asked() {
        let text = "Turn forward only, also when you withdraw. Stop at a squeal or at chatter. A_very_long_word_that_does_not_fit_in_a_narrow_column";
        for width in [20u16, 37, 80] {
            let lines = plain(&named("Do:", Style::new(), text, width, Style::new()));
            assert!(lines.iter().all(|l| l.width() <= usize::from(width)), "{width}: {lines:?}");
            let joined: String = lines.concat().chars().filter(|c| !c.is_whitespace()).collect();
            let wanted: String = format!("Do:{text}").chars().filter(|c| !c.is_whitespace()).collect();
            assert_eq!(joined, wanted, "{width}");
        }
    }

    #[test]
    fn a_cut_is_marked_and_control_codes_are_shown() {
        assert_eq!(cut("abcdef", 4), "abc…");
        assert_eq!(cut("abc", 4), "abc");
        assert!(!cut("a\u{1b}[2J", 10).contains('\u{1b}'));
        assert_eq!(cut("abc", 0), "");
        assert_eq!(tail("abcdef", 4), "…def");
        assert_eq!(tail("abc", 4), "abc");
        assert_eq!(tail("abc", 0), "");
    }

    #[test]
    fn a_time_is_told_by_the_clock_of_its_place() {
        let at = "2026-07-14T09:31:07.412+02:00";
        assert_eq!((day(at).as_str(), minute(at).as_str()), ("2026-07-14", "2026-07-14 09:31"));
        assert_eq!(minute("?"), "?");
    }
}
