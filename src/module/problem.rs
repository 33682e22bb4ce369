//! What is wrong with a spec: what, where, why, and what to do about it.

use std::fmt;

use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode, SourceSpan};

/// Place in a file, counted from 1; zero where the file could not be read at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// Line.
    pub line: u32,
    /// Column, in characters.
    pub column: u32,
    /// Length in characters of what is meant, at least 1.
    pub length: u32,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where.
    pub place: Place,
    /// What is wrong, and why.
    pub what: String,
    /// What to do.
    pub mend: String,
}

/// Everything that is wrong with one file, in the order of its lines. Never empty.
#[derive(Debug, Clone)]
pub struct Problems {
    name: String,
    text: String,
    list: Vec<Problem>,
    /// Problems of another file that belongs to it: a spec's family.
    more: Option<Box<Problems>>,
}

impl Problems {
    /// Gathers the problems of the file `name`; `text` is shown in snippets. Control codes of either are made visible; the name
    /// and what is wrong stay on one line, whatever they hold or quote.
    #[must_use]
    pub fn new(name: &str, text: &str, mut list: Vec<Problem>) -> Self {
        list.sort_by_key(|p| p.place);
        for problem in &mut list {
            problem.what = one_line(&problem.what);
            problem.mend = one_line(&problem.mend);
        }
        Self { name: one_line(name), text: printable(text), list, more: None }
    }

    /// A problem of the file as a whole, with no text to point at.
    #[must_use]
    pub fn of_file(name: &str, what: impl Into<String>, mend: impl Into<String>) -> Self {
        let problem = Problem { place: Place::default(), what: what.into(), mend: mend.into() };
        Self::new(name, "", vec![problem])
    }

    /// With the problems of another file after its own.
    #[must_use]
    pub fn and(self, more: Self) -> Self {
        Self { more: Some(Box::new(more)), ..self }
    }

    /// The problems, by line.
    #[must_use]
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// The file's name.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.name
    }

    /// The full text for a person: each problem with its line, the words meant, and what to do.
    #[must_use]
    pub fn report(&self) -> String {
        let handler =
            GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor()).with_width(100).with_context_lines(1);
        let mut out = String::new();
        for problem in &self.list {
            let shown = Shown {
                problem,
                head: self.head(problem),
                source: NamedSource::new(&self.name, self.text.clone()),
                span: span_of(&self.text, problem.place),
            };
            if handler.render_report(&mut out, &shown).is_err() {
                out.push_str(&shown.head);
                out.push('\n');
            }
        }
        out + &self.more.as_ref().map_or_else(String::new, |more| more.report())
    }

    fn head(&self, problem: &Problem) -> String {
        let Place { line, column, .. } = problem.place;
        if line == 0 {
            format!("{}: {}", self.name, problem.what)
        } else {
            format!("{}, line {line}, column {column}: {}", self.name, problem.what)
        }
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.list.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{}. {}", self.head(problem), problem.mend)?;
        }
        self.more.as_ref().map_or(Ok(()), |more| write!(f, "\n{more}"))
    }
}

impl std::error::Error for Problems {}

#[derive(Debug)]
struct Shown<'a> {
    problem: &'a Problem,
    head: String,
    source: NamedSource<String>,
    span: Option<SourceSpan>,
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.head)
    }
}

impl std::error::Error for Shown<'_> {}

impl Diagnostic for Shown<'_> {
    fn help<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        Some(Box::new(&self.problem.mend))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.span.is_some().then_some(&self.source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let span = self.span?;
        let label = LabeledSpan::new_with_span(Some("here".to_owned()), span);
        Some(Box::new(std::iter::once(label)))
    }
}

/// Byte span of a place in the shown text, kept inside its line.
fn span_of(text: &str, place: Place) -> Option<SourceSpan> {
    let line = text.split_inclusive('\n').nth(place.line.checked_sub(1)? as usize)?;
    let start: usize = text.split_inclusive('\n').take(place.line as usize - 1).map(str::len).sum();
    let bare = line.trim_end_matches(['\n', '\r']);
    let from = byte_at(bare, place.column.saturating_sub(1) as usize);
    let to = byte_at(bare, (place.column.saturating_sub(1) + place.length.max(1)) as usize);
    Some((start + from, to - from).into())
}

fn byte_at(line: &str, column: usize) -> usize {
    line.char_indices().nth(column).map_or(line.len(), |(i, _)| i)
}

/// Text with control codes made visible, character for character, so that columns stay true.
#[must_use]
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\t' => c,
            c if (c as u32) < 0x20 => char::from_u32(0x2400 + c as u32).unwrap_or('\u{fffd}'),
            '\u{7f}' => '\u{2421}',
            '\u{80}'..='\u{9f}' | '\u{2028}' | '\u{2029}' => '\u{fffd}',
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// The same on one line: no text of a file may begin a line of its own among those of the program.
#[must_use]
pub fn one_line(text: &str) -> String {
    printable(text).replace(['\n', '\t'], " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn report_names_line_column_words_and_mend() {
        let problem = Problem {
            place: Place { line: 2, column: 9, length: 5 },
            what: "\"25 kg\" is a mass, a length is needed".into(),
            mend: "Write it like \"25 mm\".".into(),
        };
        let report = Problems::new("x.yaml", "a: 1\nlength: 25 kg\n", vec![problem]).report();
        for part in ["x.yaml", "line 2, column 9", "length: 25 kg", "Write it like"] {
            assert!(report.contains(part), "{part} is missing in\n{report}");
        }
    }

    #[test]
    fn control_codes_never_come_out() {
        let shown = printable("a\u{1b}[31mb\u{9b}c\u{7f}\r");
        assert!(!shown.chars().any(char::is_control), "{shown:?}");
        assert_eq!(shown.chars().count(), 11);
    }

    #[test]
    fn what_is_quoted_begins_no_line_of_its_own() {
        let problem =
            |what: &str, mend: &str| Problem { place: Place::default(), what: what.into(), mend: mend.into() };
        let problems = Problems::new("x\ny", "", vec![problem("no \"a\tb\nc\u{1b}\"", "did you mean \"a\tb\"?")]);
        let found = &problems.list()[0];
        assert_eq!(problems.file(), "x y");
        assert_eq!((found.what.as_str(), found.mend.as_str()), ("no \"a b c␛\"", "did you mean \"a b\"?"));
    }

    #[test]
    fn a_place_past_the_end_does_not_panic() {
        for (line, column) in [(1, 400), (9, 1), (0, 0)] {
            let place = Place { line, column, length: 9 };
            let problem = Problem { place, what: "w".into(), mend: "m".into() };
            assert!(Problems::new("x", "é\n", vec![problem]).report().contains('w'));
        }
    }
}
