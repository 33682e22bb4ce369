//! A spec or a family as the file has it: maps, lists and words with their places, before anybody asks what they mean.

use granit_parser::{Event, Parser, ScalarStyle, Span};

use super::problem::{Place, Problem};

/// Deeper than any part of a spec goes.
const DEEPEST: usize = 12;

/// Which of two files something stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum File {
    /// The spec.
    Spec,
    /// The family it builds on.
    Family,
}

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// What it is.
    pub form: Form,
    /// Where it stands.
    pub place: Place,
    /// In which file.
    pub file: File,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Words, with quotation marks in the file or without.
    Words {
        /// The words.
        text: String,
        /// They stood in quotation marks.
        quoted: bool,
    },
    /// Names with their values, in the order of the file.
    Map(Vec<(Key, Node)>),
    /// A list.
    List(Vec<Node>),
}

/// A name in a map.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    /// The name.
    pub name: String,
    /// Where it stands.
    pub place: Place,
    /// In which file.
    pub file: File,
}

impl Node {
    /// Words as a program writes them.
    pub fn words(text: impl Into<String>) -> Self {
        Self { form: Form::Words { text: text.into(), quoted: false }, place: Place::default(), file: File::Spec }
    }

    /// True for an empty value or `~`, by which a spec takes a field of its family away.
    pub fn is_nothing(&self) -> bool {
        matches!(&self.form, Form::Words { text, quoted: false } if matches!(text.as_str(), "" | "~" | "null"))
    }

    /// The words, where it is words.
    pub fn text(&self) -> Option<&str> {
        match &self.form {
            Form::Words { text, .. } => Some(text),
            _ => None,
        }
    }

    /// The value under a name, where it is a map that has it.
    pub fn get(&self, name: &str) -> Option<&Self> {
        let Form::Map(list) = &self.form else { return None };
        list.iter().find(|(key, _)| key.name == name).map(|(_, node)| node)
    }

    /// The value under a path like `rods.class`.
    pub fn at(&self, path: &str) -> Option<&Self> {
        path.split('.').try_fold(self, |node, name| node.get(name))
    }

    /// Same words, names and lists, wherever they stand.
    pub fn says_the_same(&self, other: &Self) -> bool {
        match (&self.form, &other.form) {
            (Form::Words { text: a, .. }, Form::Words { text: b, .. }) => a.trim() == b.trim(),
            (Form::List(a), Form::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.says_the_same(b)),
            (Form::Map(a), Form::Map(b)) => {
                a.len() == b.len() && a.iter().all(|(k, v)| other.get(&k.name).is_some_and(|o| o.says_the_same(v)))
            }
            _ => false,
        }
    }
}

/// Reads a text as a tree.
///
/// # Errors
/// One [`Problem`]: what is no YAML, a name written twice, an anchor, a nesting deeper than any spec has.
pub fn parse(text: &str, file: File) -> Result<Node, Problem> {
    let mut events = Parser::new_from_str_with_options(text, granit_parser::options! { emit_comments: false });
    let mut reader = Reader { events: &mut events, file };
    let (event, span) = reader.next()?;
    let root = reader.node(event, span, 0)?;
    match reader.next()?.0 {
        Event::StreamEnd => Ok(root),
        _ => Err(problem(place(&span), "more than one document stands in the file", "Leave one of them.")),
    }
}

struct Reader<'a, 'b> {
    events: &'a mut Parser<'b, granit_parser::StrInput<'b>>,
    file: File,
}

impl<'b> Reader<'_, 'b> {
    /// The next event that is a value or ends one.
    fn next(&mut self) -> Result<(Event<'b>, Span), Problem> {
        loop {
            match self.events.next() {
                None => return Ok((Event::StreamEnd, Span::default())),
                Some(Ok((Event::StreamStart | Event::DocumentStart(..) | Event::DocumentEnd, _))) => {}
                Some(Ok(pair)) => return Ok(pair),
                Some(Err(error)) => {
                    let at = *error.marker();
                    let what = format!("this is not valid YAML: {}", error.info());
                    let mend = "Look at indentation, colons, quotes and brackets here.";
                    return Err(problem(at_marker(at.line(), at.col(), 1), &what, mend));
                }
            }
        }
    }

    fn node(&mut self, event: Event<'b>, span: Span, depth: usize) -> Result<Node, Problem> {
        let place = place(&span);
        if depth > DEEPEST {
            return Err(problem(place, "this is nested deeper than any part of a spec", "Look at the brackets here."));
        }
        if event.anchor_id().is_some() || event.is_alias() {
            let what = "anchors and aliases are not read in a family and in what builds on one";
            return Err(problem(place, what, "Write the value out; what modules share stands in the family."));
        }
        let form = match event {
            Event::Scalar(text, style, ..) => {
                Form::Words { text: text.into_owned(), quoted: style != ScalarStyle::Plain }
            }
            Event::SequenceStart(..) => self.list(depth)?,
            Event::MappingStart(..) => self.map(depth)?,
            _ => return Err(problem(place, "nothing is written here", "Fill it in.")),
        };
        Ok(Node { form, place, file: self.file })
    }

    fn list(&mut self, depth: usize) -> Result<Form, Problem> {
        let mut list = Vec::new();
        loop {
            match self.next()? {
                (Event::SequenceEnd, _) => return Ok(Form::List(list)),
                (event, span) => list.push(self.node(event, span, depth + 1)?),
            }
        }
    }

    fn map(&mut self, depth: usize) -> Result<Form, Problem> {
        let mut list: Vec<(Key, Node)> = Vec::new();
        loop {
            let (event, span) = self.next()?;
            if matches!(event, Event::MappingEnd) {
                return Ok(Form::Map(list));
            }
            let at = place(&span);
            let key = self.node(event, span, depth + 1)?;
            let Form::Words { text: name, .. } = key.form else {
                return Err(problem(at, "a name is needed here", "Write it like \"class: 8.8\"."));
            };
            if list.iter().any(|(k, _)| k.name == name) {
                return Err(problem(at, &format!("\"{name}\" is written twice"), "Take one of them out."));
            }
            let (event, span) = self.next()?;
            let value = self.node(event, span, depth + 1)?;
            list.push((Key { name, place: at, file: self.file }, value));
        }
    }
}

fn problem(place: Place, what: &str, mend: &str) -> Problem {
    Problem { place, what: what.to_owned(), mend: mend.to_owned() }
}

fn place(span: &Span) -> Place {
    let (start, end) = (span.start, span.end);
    let length = if start.line() == end.line() { end.col().saturating_sub(start.col()) } else { 1 };
    at_marker(start.line(), start.col(), length)
}

/// The parser counts lines from one and columns from nought.
fn at_marker(line: usize, column: usize, length: usize) -> Place {
    let small = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Place { line: small(line), column: small(column + 1), length: small(length.max(1)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tree_has_its_words_and_places() {
        let root = parse("a: 1\nb: { c: \"x, y\", d: [1, 2] }\ne:\n", File::Spec).unwrap();
        assert_eq!(root.at("b.c").and_then(Node::text), Some("x, y"));
        assert_eq!(root.at("b.c").unwrap().place, Place { line: 2, column: 9, length: 6 });
        assert!(root.get("e").unwrap().is_nothing() && !root.get("a").unwrap().is_nothing());
    }

    #[test]
    fn what_is_no_tree_is_told_with_its_place() {
        let said = |text: &str| parse(text, File::Family).unwrap_err();
        assert!(said("a: 1\na: 2\n").what.contains("twice") && said("a: 1\na: 2\n").place.line == 2);
        assert!(said("a: &x 1\nb: *x\n").what.contains("anchors"));
        assert!(said("a: [1\n").what.contains("YAML"));
        assert!(said(&format!("a: {}{}", "[".repeat(40), "]".repeat(40))).what.contains("deeper"));
    }
}
