//! A family: what several modules share. A spec that builds on one is laid over it, field by field.

use std::collections::BTreeMap;
use std::path::{Component, Path};

use super::problem::{Place, Problem, Problems};
use super::source::{self, Source};
use super::spec_lines::each_spec_line;
use super::tree::{self, File, Form, Key, Node};
use super::write::{self, Mark, Written};

/// First line of a family.
const FIRST: &str = "runtrue: family 1";

/// What the second line begins with of a text that was put together from spec and family.
const PUT_TOGETHER: &str = "# Put together from two files";

/// Maps that name things: a spec that states one replaces it whole, since a name left over would be one thing more.
const WHOLE: [&str; 3] = ["pulley.steps", "second drive.pulley.steps", "rods.lengths"];

/// Two ways of stating one thing: a spec that takes one drops the other of its family.
const EITHER: [(&str, &str); 3] = [("length", "lengths"), ("set screws", "sleeve"), ("driver", "driven")];

/// Where everything of a spec that was laid over a family comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Origins {
    spec: Source,
    family: Source,
    marks: Vec<Mark>,
    fields: BTreeMap<String, (File, u32)>,
}

impl Origins {
    /// File and place of a place in the text that was put together.
    #[must_use]
    pub fn of(&self, place: Place) -> (&str, Place) {
        let (file, place) = self.first(place);
        (&self.source(file).name, place)
    }

    /// File and line of a line in the text that was put together.
    #[must_use]
    pub fn line(&self, line: u32) -> (&str, u32) {
        // What is said of a line is about its value, which stands last.
        let (name, place) = self.of(Place { line, column: u32::MAX, length: 1 });
        (name, place.line)
    }

    /// Words in which lines of the text that was put together are named by the file they stand in: "spec, line 41" as "family.yaml,
    /// line 12".
    #[must_use]
    pub fn in_words(&self, words: &str) -> String {
        let told = |number: &str| {
            let line = number.parse().map(|number| self.line(number));
            line.map_or_else(|_| "spec, line".to_owned(), |(file, line)| format!("{}, line {line}", short_name(file)))
        };
        each_spec_line(words, told, |_, told| told)
    }

    /// Line of the family at which a field like `rods.class` stands; none where the spec itself states it.
    #[must_use]
    pub fn in_family(&self, field: &str) -> Option<(&str, u32)> {
        let (file, line) = self.fields.get(field)?;
        (*file == File::Family).then_some((self.family.name.as_str(), *line))
    }

    fn source(&self, file: File) -> &Source {
        if file == File::Spec { &self.spec } else { &self.family }
    }

    fn first(&self, place: Place) -> (File, Place) {
        let at = |m: &&Mark| (m.line, m.column) <= (place.line, place.column);
        match self.marks.iter().rev().find(at) {
            Some(mark) if (mark.line, mark.column) == (place.line, place.column) => {
                (mark.file, Place { length: place.length, ..mark.place })
            }
            Some(mark) => (mark.file, mark.place),
            None => (File::Spec, Place { line: 1, column: 1, length: 1 }),
        }
    }

    /// Problems of the text that was put together, each told with the file it stands in.
    pub(super) fn told(&self, problems: &Problems) -> Problems {
        let (mut spec, mut family) = (Vec::new(), Vec::new());
        for problem in problems.list() {
            let (file, place) =
                if problem.place.line == 0 { (File::Spec, problem.place) } else { self.first(problem.place) };
            let list = if file == File::Spec { &mut spec } else { &mut family };
            list.push(Problem { place, ..problem.clone() });
        }
        let of = |source: &Source, list: Vec<Problem>| {
            (!list.is_empty()).then(|| Problems::new(&source.name, &source.text, list))
        };
        match (of(&self.spec, spec), of(&self.family, family)) {
            (Some(spec), Some(family)) => spec.and(family),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => problems.clone(),
        }
    }
}

/// A spec as it is read, with the origins of its fields where it builds on a family.
#[derive(Debug, Clone)]
pub(super) struct Opened {
    /// The whole spec.
    pub source: Source,
    /// Where its fields come from.
    pub origins: Option<Origins>,
}

/// True for a text that says it is a family.
pub(super) fn is_family(text: &str) -> bool {
    text.lines().next().unwrap_or_default().starts_with("runtrue: family")
}

/// True for a spec's text that was put together from two files, as a record keeps it.
#[must_use]
pub fn is_put_together(text: &str) -> bool {
    text.lines().nth(1).is_some_and(|l| l.starts_with(PUT_TOGETHER))
}

/// Of a line of such a text, the line of the family that it comes from, as the remark beside it says; none where it is the spec's own.
#[must_use]
pub fn family_line(line: &str) -> Option<&str> {
    let (_, remark) = line.rsplit_once(" # ")?;
    let (_, number) = remark.rsplit_once(", line ")?;
    number.parse::<u32>().is_ok().then_some(remark)
}

/// True where a line names a family.
pub(super) fn builds_on(text: &str) -> bool {
    text.lines().any(|l| ["builds on", "\"builds on\"", "'builds on'"].iter().any(|key| l.starts_with(key)))
}

/// Lays a spec over the family it names; `find` gets the family's file by the name that the spec writes.
///
/// # Errors
/// [`Problems`] of the spec or of its family, each with its own file, line and column.
pub(super) fn open(spec: Source, find: impl FnOnce(&str) -> Result<Source, String>) -> Result<Opened, Problems> {
    if !builds_on(&spec.text) {
        return Ok(Opened { source: spec, origins: None });
    }
    let of_spec = |problem: Problem| Problems::new(&spec.name, &spec.text, vec![problem]);
    let own = tree::parse(&spec.text, File::Spec).map_err(of_spec)?;
    let Some(named) = own.get("builds on") else { return Ok(Opened { source: spec, origins: None }) };
    let family = find_family(named, find).map_err(of_spec)?;
    let shared = family_tree(&family)?;
    let whole = lay_over(&shared, &own, "");
    let beside = format!(
        "{PUT_TOGETHER}; what comes from the family has its line beside it.\n#   spec    {}, SHA-256 {}\n#   family  {}, SHA-256 {}\n",
        super::one_line(&spec.name),
        super::sha256_hex(spec.text.as_bytes()),
        super::one_line(&family.name),
        super::sha256_hex(family.text.as_bytes())
    );
    let name = short_name(&family.name);
    let remark = |_: &str, key: &Key, node: &Node| {
        let file = if is_plain(node) { node.file } else { key.file };
        (file == File::Family).then(|| format!("{name}, line {}", node.place.line))
    };
    let written = write::write(&whole, &remark);
    let (text, marks, fields) = below_the_first_line(written, &beside);
    let source = Source { name: spec.name.clone(), text };
    Ok(Opened { source, origins: Some(Origins { spec, family, marks, fields }) })
}

/// The remarks at the head go below the first line, which says what the file is.
fn below_the_first_line(written: Written, head: &str) -> (String, Vec<Mark>, BTreeMap<String, (File, u32)>) {
    let (first, rest) = written.text.split_once('\n').unwrap_or((&written.text, ""));
    let down = u32::try_from(head.lines().count()).unwrap_or(0);
    let marks = written.marks.into_iter().map(|m| Mark { line: if m.line > 1 { m.line + down } else { 1 }, ..m });
    (format!("{first}\n{head}{rest}"), marks.collect(), written.fields)
}

fn is_plain(node: &Node) -> bool {
    !matches!(&node.form, Form::Map(list) if list.iter().any(|(_, n)| matches!(n.form, Form::Map(_))))
}

/// The file's own name, without folders.
fn short_name(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
    super::one_line(last)
}

fn find_family(named: &Node, find: impl FnOnce(&str) -> Result<Source, String>) -> Result<Source, Problem> {
    let wrong = |what: String, mend: &str| Problem { place: named.place, what, mend: mend.to_owned() };
    let beside = "Name the family's file as it lies from this one, like \"builds on: family.yaml\".";
    let Some(path) = named.text().map(str::trim).filter(|p| !p.is_empty()) else {
        return Err(wrong("\"builds on\" names one file".into(), beside));
    };
    let first = Path::new(path).components().next();
    if matches!(first, Some(Component::RootDir | Component::Prefix(_))) || path.starts_with('~') || path.contains("://")
    {
        let what = format!("\"{path}\" would not be found on another machine");
        return Err(wrong(what, beside));
    }
    let family = find(path).map_err(|why| wrong(format!("the family \"{path}\": {why}"), beside))?;
    let first = family.text.lines().next().unwrap_or_default();
    if first.starts_with("runtrue: spec") {
        let what = format!("\"{path}\" is a spec, and a spec builds on a family");
        return Err(wrong(
            what,
            "Move what both share into a file that begins \"runtrue: family 1\", and build both on it.",
        ));
    }
    Ok(family)
}

/// The family's tree, its own mistakes told.
fn family_tree(family: &Source) -> Result<Node, Problems> {
    let of_family = |problem: Problem| Problems::new(&family.name, &family.text, vec![problem]);
    let first = family.text.lines().next().unwrap_or_default();
    if first.split('#').next().unwrap_or_default().trim() != FIRST {
        let length = u32::try_from(first.chars().count().clamp(1, 60)).unwrap_or(1);
        return Err(of_family(Problem {
            place: Place { line: 1, column: 1, length },
            what: format!("this is no family that the program reads; its first line must be \"{FIRST}\""),
            mend: "Write that line at the very top, or name the right file.".into(),
        }));
    }
    let tree = tree::parse(&family.text, File::Family).map_err(of_family)?;
    let Form::Map(list) = &tree.form else {
        return Err(Problems::of_file(&family.name, "the family holds no sections", "Write them as in a spec."));
    };
    if let Some((key, _)) = list.iter().find(|(k, _)| k.name == "builds on") {
        return Err(of_family(Problem {
            place: key.place,
            what: "a family builds on no other file: one level is enough to see where a value comes from".into(),
            mend: "Write here what both families share, and take this line out.".into(),
        }));
    }
    for name in ["module", "title"] {
        if let Some((key, _)) = list.iter().find(|(k, _)| k.name == name) {
            return Err(of_family(Problem {
                place: key.place,
                what: format!("a family has no \"{name}\": that is what each of its modules has of its own"),
                mend: "Write it in the specs that build on this family.".into(),
            }));
        }
    }
    Ok(tree)
}

/// What the spec states in the place of what the family states.
fn lay_over(family: &Node, spec: &Node, path: &str) -> Node {
    let (Form::Map(shared), Form::Map(own)) = (&family.form, &spec.form) else { return spec.clone() };
    if WHOLE.contains(&path) {
        return spec.clone();
    }
    let dropped = |name: &str| {
        let other = EITHER.iter().find_map(|(a, b)| if *a == name { Some(b) } else { (*b == name).then_some(a) });
        other.is_some_and(|o| spec.get(o).is_some()) && spec.get(name).is_none()
    };
    let inner = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
    let mut list: Vec<(Key, Node)> = Vec::new();
    for (key, node) in shared.iter().filter(|(k, _)| !dropped(&k.name)) {
        match own.iter().find(|(k, _)| k.name == key.name) {
            Some((_, nothing)) if nothing.is_nothing() => {}
            Some((k, over)) => list.push((k.clone(), lay_over(node, over, &inner(&k.name)))),
            None => list.push((key.clone(), node.clone())),
        }
    }
    let new = own.iter().filter(|(k, _)| family.get(&k.name).is_none());
    list.extend(new.filter(|(k, _)| !(path.is_empty() && k.name == "builds on")).cloned());
    Node { form: Form::Map(list), place: spec.place, file: spec.file }
}

/// What is said where a family is asked for as if it were a module: its own mistakes first, else what can be built on it.
pub(super) fn alone(family: &Source, built_on_it: &[String]) -> Problems {
    let tree = match family_tree(family) {
        Ok(tree) => tree,
        Err(problems) => return problems,
    };
    let unknown = super::schema::unknown_fields(&tree);
    if !unknown.is_empty() {
        return Problems::new(&family.name, &family.text, unknown);
    }
    let mend = match built_on_it {
        [] => "Write a spec with \"builds on: FILE\" beside it; \"runtrue new --family FILE\" asks for what it needs."
            .to_owned(),
        list => format!("Name one that builds on it: {}.", list.join(", ")),
    };
    Problems::of_file(
        &family.name,
        "this is a family: it holds what several modules share, and nothing can be built from it alone",
        mend,
    )
}

/// A family's tree by its file, for a spec that is yet to be written on it.
///
/// # Errors
/// [`Problems`] of the file.
pub fn family(path: &str) -> Result<Node, Problems> {
    family_tree(&source::read_text(path)?)
}

/// The spec with everything left out that its family says too, and nothing where both say all the same.
#[must_use]
pub fn beyond(family: &Node, spec: &Node) -> Option<Node> {
    less(family, spec, "")
}

fn less(family: &Node, spec: &Node, path: &str) -> Option<Node> {
    if family.says_the_same(spec) {
        return None;
    }
    let (Form::Map(_), Form::Map(own)) = (&family.form, &spec.form) else { return Some(spec.clone()) };
    if WHOLE.contains(&path) {
        return Some(spec.clone());
    }
    let inner = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
    let mut list: Vec<(Key, Node)> = Vec::new();
    for (key, node) in own {
        let left = family.get(&key.name).map_or_else(|| Some(node.clone()), |f| less(f, node, &inner(&key.name)));
        list.extend(left.map(|left| (key.clone(), left)));
    }
    let Form::Map(shared) = &family.form else { return None };
    let gone = shared.iter().filter(|(k, _)| spec.get(&k.name).is_none());
    let either = |name: &str| {
        EITHER.iter().any(|(a, b)| (*a == name && spec.get(b).is_some()) || (*b == name && spec.get(a).is_some()))
    };
    list.extend(gone.filter(|(k, _)| !either(&k.name)).map(|(k, _)| (k.clone(), Node::words("~"))));
    (!list.is_empty()).then_some(Node { form: Form::Map(list), ..spec.clone() })
}
