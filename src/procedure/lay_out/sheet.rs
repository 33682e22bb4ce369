//! What a new spec is put together from: what was changed to make it add up, what the family says, and what is usual.

use std::collections::BTreeMap;

use crate::module::{File, Form, Key, Node, Place};

/// Values to draw from.
#[derive(Debug, Clone, Default)]
pub struct Sheet<'a> {
    /// What the modules of a family share.
    pub family: Option<&'a Node>,
    /// What the design check asked for, by field.
    pub changed: BTreeMap<String, String>,
}

impl Sheet<'_> {
    /// What stands at a field: changed, else the family's, else the usual.
    pub fn said(&self, path: &str, usual: &str) -> String {
        let of_family = || self.family.and_then(|f| f.at(path)?.text().map(str::to_owned));
        self.changed.get(path).cloned().or_else(of_family).unwrap_or_else(|| usual.to_owned())
    }

    /// As [`Sheet::said`], as a node.
    pub fn node(&self, path: &str, usual: &str) -> Node {
        Node::words(self.said(path, usual))
    }

    /// What was computed, unless the design check asked for something else.
    pub fn computed(&self, path: &str, value: impl Into<String>) -> Node {
        Node::words(self.changed.get(path).cloned().unwrap_or_else(|| value.into()))
    }

    /// A list, the family's where it has one.
    pub fn list(&self, path: &str, usual: &[&str]) -> Vec<String> {
        let of_family = self.family.and_then(|f| f.at(path));
        match of_family.map(|node| &node.form) {
            Some(Form::List(list)) => list.iter().filter_map(Node::text).map(str::to_owned).collect(),
            _ => usual.iter().map(|&s| s.to_owned()).collect(),
        }
    }

    /// A part of the family taken as it is, else what is usual.
    pub fn whole(&self, path: &str, usual: Node) -> Node {
        self.family.and_then(|f| f.at(path)).map_or(usual, own)
    }

    /// Bolts of a group: count, size, class, friction, use, what secures them.
    pub fn bolts(&self, path: &str, usual: [&str; 6]) -> Node {
        let names = ["count", "size", "class", "friction", "use", "secure"];
        map(names.iter().zip(usual).map(|(name, usual)| (*name, self.node(&format!("{path}.{name}"), usual))))
    }

    /// The number at a field that holds a length like "20 mm ±0.1"; none for another form.
    pub fn mm(&self, path: &str) -> Option<f64> {
        let said = self.said(path, "");
        said.split_whitespace().next().and_then(|n| n.replace(',', ".").parse().ok()).filter(|_| said.contains(" mm"))
    }
}

/// The node as part of the new spec.
fn own(node: &Node) -> Node {
    let form = match &node.form {
        Form::Words { text, quoted } => Form::Words { text: text.clone(), quoted: *quoted },
        Form::List(list) => Form::List(list.iter().map(own).collect()),
        Form::Map(list) => Form::Map(list.iter().map(|(k, n)| (key(&k.name), own(n))).collect()),
    };
    Node { form, place: Place::default(), file: File::Spec }
}

fn key(name: &str) -> Key {
    Key { name: name.to_owned(), place: Place::default(), file: File::Spec }
}

/// A map of names and values.
pub fn map<'a>(pairs: impl IntoIterator<Item = (&'a str, Node)>) -> Node {
    let list = pairs.into_iter().map(|(name, node)| (key(name), node)).collect();
    Node { form: Form::Map(list), place: Place::default(), file: File::Spec }
}

/// A list of values.
pub fn list(nodes: impl IntoIterator<Item = Node>) -> Node {
    Node { form: Form::List(nodes.into_iter().collect()), place: Place::default(), file: File::Spec }
}

/// A list of words.
pub fn words<T: AsRef<str>>(words: impl IntoIterator<Item = T>) -> Node {
    list(words.into_iter().map(|w| Node::words(w.as_ref())))
}

/// Millimetres as they are written, without needless digits.
pub fn mm(value: f64) -> String {
    format!("{} mm", (value * 1000.0).round() / 1000.0)
}

/// The next multiple of a step.
pub fn up(value: f64, step: f64) -> f64 {
    (value / step - 1e-9).ceil() * step
}
