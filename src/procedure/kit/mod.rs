//! What to order and to pack for a module, all setups together: parts, hardware, tools, gauges, consumables, protective
//! equipment, spares.

mod gauges;
mod hardware;
mod parts;
mod sheet;
mod tools;

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::module::{Module, Setup};
pub use crate::standards::kit::Kind;

use super::plan::{Acceptance, Check, CheckKind, Step};
use super::steps::{PlanError, plan_with};
use super::words::Words;

pub use gauges::Judges;
pub use sheet::{NoSheet, Sheet, sheet, sheets};

/// Everything for one module.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kit {
    /// Module id.
    pub module: String,
    /// Title.
    pub title: String,
    /// Revision of the spec.
    pub revision: String,
    /// Lines, by kind.
    pub lines: Vec<Line>,
    /// Checks that none of the instruments named for them can decide, with their usual uncertainty.
    pub undecided: Vec<Undecided>,
    /// Setups that have no order of work and are not in the kit, and why.
    pub without: Vec<Without>,
    /// What to ask about the place of work.
    pub site: Vec<String>,
    /// Steps of all setups, each once; one of the same id stands again where its checks differ.
    #[serde(skip)]
    steps: Vec<Step>,
}

/// A setup that the kit does not cover.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Without {
    /// In words.
    pub setup: String,
    /// Why.
    pub why: String,
}

/// A check that the instruments of its step cannot decide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Undecided {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Uncertainty that would do, mm.
    pub uncertainty_at_most: String,
    /// Instruments named there.
    pub instruments: Vec<String>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// Unique in a kit, made from its name, size and joint.
    pub id: String,
    /// Kind.
    pub kind: Kind,
    /// Name; of what steps name, the string used there.
    pub name: String,
    /// Size.
    pub size: Option<String>,
    /// Property class, tolerance class, designation.
    pub class: Option<String>,
    /// How many.
    pub quantity: u32,
    /// Counted in.
    pub unit: String,
    /// Ids of the steps that need it.
    #[serde(rename = "for")]
    pub steps: Vec<String>,
    /// Without it the work stops.
    pub required: bool,
    /// What else is to be known.
    pub note: Option<String>,
    /// Rule behind the quantity, where it is not counted from the spec.
    pub basis: Option<String>,
    /// Joint that hardware belongs to.
    pub joint: Option<String>,
    /// Ids of the parts it stands for.
    pub parts: Vec<String>,
    /// Torques it is set to, N·m.
    pub torques_nm: Vec<f64>,
    /// The narrowest check that it has to decide.
    pub judges: Option<Judges>,
}

impl Line {
    fn new(kind: Kind, name: impl Into<String>, size: Option<String>, quantity: u32) -> Self {
        let name = name.into();
        let id = slug(&[&name, size.as_deref().unwrap_or_default()]);
        Self {
            id,
            kind,
            name,
            size,
            class: None,
            quantity,
            unit: "piece".into(),
            steps: Vec::new(),
            required: true,
            note: None,
            basis: None,
            joint: None,
            parts: Vec::new(),
            torques_nm: Vec::new(),
            judges: None,
        }
    }

    fn class(self, class: impl Into<String>) -> Self {
        Self { class: Some(class.into()), ..self }
    }

    fn note(self, note: impl Into<String>) -> Self {
        Self { note: Some(note.into()), ..self }
    }

    /// Hardware of two joints looks alike, so its note begins with its own.
    fn joint_note(self, note: &str) -> Self {
        let joint = self.joint.clone().unwrap_or_default();
        self.note(format!("for the {joint}; {note}"))
    }

    fn unit(self, unit: &str) -> Self {
        Self { unit: unit.to_owned(), ..self }
    }

    /// For a joint: its id tells which.
    fn joint(self, joint: &str) -> Self {
        Self { id: slug(&[&self.id, joint]), joint: Some(joint.to_owned()), ..self }
    }

    fn advised(self) -> Self {
        Self { required: false, ..self }
    }

    /// Spares of it by the rule of a sort, if any are carried.
    fn spares(&self, of: &str) -> Option<Self> {
        let (quantity, source) = crate::standards::kit::spares(of, self.quantity)?;
        Some(Self {
            id: format!("spare-{}", self.id),
            kind: Kind::Spare,
            quantity,
            required: false,
            note: self.joint.as_ref().map(|joint| format!("for the {joint}")),
            basis: Some(source.to_owned()),
            ..self.clone()
        })
    }
}

impl Kit {
    /// Checks whose limits come from a drawing or fit, with their steps.
    pub fn guarded(&self) -> impl Iterator<Item = (&str, &Check)> {
        let guarded = |c: &&Check| {
            c.acceptance == Acceptance::Guarded && !matches!(c.kind, CheckKind::Gauge | CheckKind::Derived)
        };
        self.steps.iter().flat_map(move |s| s.checks.iter().filter(guarded).map(|c| (s.id.as_str(), c)))
    }
}

/// Steps of every setup, in the order in which the setups bring them.
struct Everything {
    steps: Vec<Step>,
    without: Vec<Without>,
}

impl Everything {
    fn of(module: &Module, words: &Words) -> Result<Self, PlanError> {
        let (mut steps, mut without): (Vec<Step>, Vec<Without>) = (Vec::new(), Vec::new());
        let mut refused = None;
        for setup in Setup::all(module) {
            match plan_with(module, &setup, words) {
                Ok(plan) => steps.extend(plan.steps),
                Err(e) => {
                    without.push(Without { setup: setup.words(), why: e.to_string() });
                    refused.get_or_insert(e);
                }
            }
        }
        match refused {
            Some(e) if steps.is_empty() => Err(e),
            _ => Ok(Self { steps, without }),
        }
    }

    /// Ids of the steps of a kind, each once, in order.
    fn ids(&self, is: impl Fn(&Step) -> bool) -> Vec<String> {
        let mut seen = BTreeSet::new();
        self.steps.iter().filter(|s| is(s) && seen.insert(s.id.clone())).map(|s| s.id.clone()).collect()
    }

    /// Steps that work on, bring or take one of these parts, or tighten one of these groups.
    fn on(&self, names: &[String]) -> Vec<String> {
        let named = |list: &[String]| list.iter().any(|p| names.contains(p));
        let group = |s: &Step| s.group.as_ref().is_some_and(|g| names.contains(g));
        self.ids(|s| named(&s.parts) || named(&s.adds) || named(&s.removes) || group(s))
    }
}

/// The kit of a module, in the words given.
///
/// # Errors
/// [`PlanError`] where no setup has an order of work; a table that lacks a size is told with its line.
pub fn kit(module: &Module, words: &Words) -> Result<Kit, PlanError> {
    let all = Everything::of(module, words)?;
    let mut lines = parts::lines(module, &all);
    lines.extend(hardware::lines(module, &all)?);
    lines.extend(tools::lines(module, &all));
    let undecided = gauges::judge(&all.steps, &mut lines);
    lines.sort_by_key(|l| l.kind);
    number_same(&mut lines);
    // Rods are received in each length: the same step with other limits.
    let mut seen = BTreeSet::new();
    let once = |s: &Step| seen.insert((s.id.clone(), format!("{:?}", s.checks)));
    Ok(Kit {
        module: module.id.clone(),
        title: module.title.clone(),
        revision: module.revision.clone(),
        lines,
        undecided,
        without: all.without,
        site: crate::standards::kit::site().to_vec(),
        steps: all.steps.into_iter().filter(once).collect(),
    })
}

/// No two lines share an id, whatever names a workshop gives its tools.
fn number_same(lines: &mut [Line]) {
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    for line in lines {
        let n = seen.entry(line.id.clone()).or_insert(0);
        *n += 1;
        if *n > 1 {
            line.id = format!("{}-{n}", line.id);
        }
    }
}

/// Words as an id: lower case letters and digits, hyphens between.
fn slug(words: &[&str]) -> String {
    let lower = words.join(" ").to_lowercase();
    let plain: String = lower.chars().map(|c| if c.is_alphanumeric() || c == '.' { c } else { ' ' }).collect();
    // "M8 x 112 mm" is m8-112: short enough to type.
    plain.split_whitespace().filter(|w| !matches!(*w, "x" | "mm")).collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{embedded, read};

    fn demo(name: &str) -> Kit {
        let module = read(&embedded(name).unwrap()).unwrap();
        kit(&module, Words::built_in().unwrap()).unwrap()
    }

    #[test]
    fn ids_are_unique_and_can_be_typed() {
        for name in ["flywheel", "testwheel", "countershaft"] {
            let kit = demo(name);
            let ids: BTreeSet<&str> = kit.lines.iter().map(|l| l.id.as_str()).collect();
            assert_eq!(ids.len(), kit.lines.len());
            assert!(ids.iter().all(|id| !id.contains(char::is_whitespace) && !id.starts_with('-')), "{ids:?}");
            assert!(kit.lines.iter().all(|l| l.quantity > 0 && !l.unit.is_empty()));
        }
    }

    #[test]
    fn the_same_spec_gives_the_same_kit() {
        assert_eq!(demo("countershaft"), demo("countershaft"));
    }
}
