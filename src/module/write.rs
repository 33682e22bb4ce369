//! A tree written as a spec is by hand: sections apart, short maps on one line, remarks in a column.

use std::collections::BTreeMap;

use super::problem::Place;
use super::tree::{File, Form, Key, Node};

/// Longest line that a short map is written on.
const WIDTH: usize = 130;

/// Column in which remarks begin.
const REMARKS: usize = 33;

/// Sections in the order that the built-in modules have them in.
const SECTIONS: [&str; 21] = [
    "runtrue",
    "builds on",
    "module",
    "title",
    "revision",
    "seen from",
    "setup",
    "limits",
    "shaft",
    "discs",
    "plates",
    "collars",
    "rods",
    "bearings",
    "base",
    "pulley",
    "belt",
    "sled",
    "second drive",
    "frame",
    "guard",
];

/// Where something of the text was written first.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Line of the text.
    pub line: u32,
    /// Column there.
    pub column: u32,
    /// File it comes from.
    pub file: File,
    /// Place in that file.
    pub place: Place,
}

/// A text with the origin of everything in it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Written {
    /// The text.
    pub text: String,
    /// By line and column.
    pub marks: Vec<Mark>,
    /// File and line of each field, by its path.
    pub fields: BTreeMap<String, (File, u32)>,
}

/// What stands behind `#` at a path; nothing for most.
pub type Remarks<'a> = &'a dyn Fn(&str, &Key, &Node) -> Option<String>;

/// Writes a whole spec or family.
pub fn write(root: &Node, remarks: Remarks<'_>) -> Written {
    let Form::Map(sections) = &root.form else { return Written::default() };
    let mut out = Writer { done: Written::default(), line: 1, remarks };
    let rank = |(key, _): &&(Key, Node)| SECTIONS.iter().position(|s| *s == key.name).unwrap_or(SECTIONS.len());
    let mut sections: Vec<&(Key, Node)> = sections.iter().collect();
    sections.sort_by_key(rank);
    let mut apart = false;
    for (key, node) in sections {
        let large = !out.on_one_line(node, 0);
        if large || apart {
            out.end();
        }
        apart = large;
        out.entry("", key, node, 0);
    }
    out.done
}

struct Writer<'a> {
    done: Written,
    line: u32,
    remarks: Remarks<'a>,
}

impl Writer<'_> {
    fn end(&mut self) {
        self.done.text.push('\n');
        self.line += 1;
    }

    fn mark(&mut self, file: File, place: Place) {
        let begun = self.done.text.rfind('\n').map_or(0, |n| n + 1);
        let column = u32::try_from(self.done.text[begun..].chars().count() + 1).unwrap_or(u32::MAX);
        self.done.marks.push(Mark { line: self.line, column, file, place });
    }

    fn entry(&mut self, path: &str, key: &Key, node: &Node, depth: usize) {
        let path = if path.is_empty() { key.name.clone() } else { format!("{path}.{}", key.name) };
        self.done.text.push_str(&"  ".repeat(depth));
        self.mark(key.file, key.place);
        self.done.text.push_str(&words(&key.name, false));
        self.done.text.push(':');
        self.done.fields.insert(path.clone(), (node.file, node.place.line));
        let remark = (self.remarks)(&path, key, node);
        if self.on_one_line(node, depth) {
            self.done.text.push(' ');
            self.flow(&path, node);
            self.remark(remark);
            return;
        }
        self.remark(remark);
        match &node.form {
            Form::Map(list) => list.iter().for_each(|(key, node)| self.entry(&path, key, node, depth + 1)),
            Form::List(list) => list.iter().enumerate().for_each(|(n, node)| self.item(&path, n, node, depth + 1)),
            Form::Words { .. } => {}
        }
    }

    fn item(&mut self, path: &str, n: usize, node: &Node, depth: usize) {
        self.done.text.push_str(&"  ".repeat(depth));
        self.done.text.push_str("- ");
        self.flow(path, node);
        let key = Key { name: n.to_string(), place: node.place, file: node.file };
        let remark = (self.remarks)(&format!("{path}.{}", name_of(node, n)), &key, node);
        self.remark(remark);
    }

    fn remark(&mut self, remark: Option<String>) {
        if let Some(remark) = remark {
            let begun = self.done.text.rfind('\n').map_or(0, |n| n + 1);
            let used = self.done.text[begun..].chars().count();
            let gap = REMARKS.saturating_sub(used).max(if used < REMARKS { 1 } else { 3 });
            self.done.text.push_str(&format!("{}# {remark}", " ".repeat(gap)));
        }
        self.end();
    }

    fn flow(&mut self, path: &str, node: &Node) {
        self.mark(node.file, node.place);
        match &node.form {
            Form::Words { text, quoted } => self.done.text.push_str(&words(text, *quoted)),
            Form::List(list) => {
                self.done.text.push('[');
                for (n, node) in list.iter().enumerate() {
                    self.done.text.push_str(if n > 0 { ", " } else { "" });
                    self.flow(path, node);
                }
                self.done.text.push(']');
            }
            Form::Map(list) => {
                self.done.text.push_str("{ ");
                for (n, (key, node)) in list.iter().enumerate() {
                    self.done.text.push_str(if n > 0 { ", " } else { "" });
                    self.mark(key.file, key.place);
                    self.done.text.push_str(&format!("{}: ", words(&key.name, false)));
                    let inner = format!("{path}.{}", key.name);
                    self.done.fields.insert(inner.clone(), (node.file, node.place.line));
                    self.flow(&inner, node);
                }
                self.done.text.push_str(" }");
            }
        }
    }

    /// Words, lists of words, and short maps of both that come from one file; a section of more than two fields never.
    fn on_one_line(&self, node: &Node, depth: usize) -> bool {
        let one_file =
            |list: &[(Key, Node)]| list.iter().all(|(k, n)| (k.file, n.file) == (list[0].0.file, list[0].1.file));
        match &node.form {
            Form::Words { .. } => true,
            Form::List(list) => list.iter().all(|n| matches!(n.form, Form::Words { .. })),
            Form::Map(list) => {
                let plain = |n: &Node| match &n.form {
                    Form::Words { .. } => true,
                    Form::List(list) => list.iter().all(|n| matches!(n.form, Form::Words { .. })),
                    Form::Map(_) => false,
                };
                (depth > 0 || list.len() <= 2) && list.iter().all(|(_, n)| plain(n)) && one_file(list) && short(list)
            }
        }
    }
}

fn short(list: &[(Key, Node)]) -> bool {
    let length = |node: &Node| match &node.form {
        Form::Words { text, .. } => text.chars().count() + 2,
        Form::List(list) => list.iter().filter_map(Node::text).map(|t| t.chars().count() + 2).sum(),
        Form::Map(_) => WIDTH,
    };
    list.iter().map(|(k, n)| k.name.chars().count() + 2 + length(n)).sum::<usize>() < WIDTH
}

/// What an item of a list is called in paths: its part, else its number.
fn name_of(node: &Node, n: usize) -> String {
    node.get("part").and_then(Node::text).map_or_else(|| n.to_string(), str::to_owned)
}

/// Words as YAML: plain where nothing in them means more, else in double quotation marks.
fn words(text: &str, quoted: bool) -> String {
    let begins = text.chars().next().is_some_and(|c| c.is_alphanumeric() || matches!(c, '+' | '−' | '.'));
    let inside = |c: char| !c.is_control() && !matches!(c, ',' | '[' | ']' | '{' | '}' | '"' | '\'' | '#');
    let ends = !text.ends_with([' ', ':']);
    let plain = begins && ends && !text.contains(": ") && text.chars().all(inside);
    // `~` alone takes a field of the family away.
    if !quoted && (plain || text == "~") {
        return text.to_owned();
    }
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::super::tree::parse;
    use super::*;

    /// The demos, taken apart and written again, say the same to the last word.
    #[test]
    fn a_spec_written_again_says_the_same() {
        for name in ["flywheel", "testwheel", "countershaft"] {
            let tree = parse(&super::super::embedded(name).unwrap().text, File::Spec).unwrap();
            let again = write(&tree, &|_, _, _| None);
            let read = parse(&again.text, File::Spec).unwrap();
            assert!(tree.says_the_same(&read), "{}", again.text);
            assert!(again.text.lines().all(|l| l.chars().count() < 160), "{}", again.text);
        }
    }

    #[test]
    fn words_that_mean_something_to_yaml_are_quoted() {
        for text in ["a: b", "x, y", "- a", "#1", "say \"so\"", "a\tb", "", " a", "it's", "a:"] {
            let line = format!("k: {}\n", words(text, false));
            assert_eq!(parse(&line, File::Spec).unwrap().get("k").and_then(Node::text), Some(text), "{line}");
        }
    }
}
