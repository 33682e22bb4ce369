//! Which setups can still be built when parts were scrapped, sent back, or came other than drawn.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::module::{Module, Setup};

use super::design_check::{OneByOne, Severity};

/// A part that is not to be used and has not been replaced.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Lost {
    /// Part id; where a step worked on several, each of them.
    pub part: String,
    /// Why, in words: "scrap at inspect-disc-3, bore".
    pub because: String,
    /// Setup it was meant for: rods of another length are not lost with these.
    pub setup: BTreeMap<String, String>,
}

/// One setup of the spec.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Remaining {
    /// Value of each axis.
    pub set: BTreeMap<String, String>,
    /// It can still be built.
    pub ok: bool,
    /// What stands against it.
    pub why: Vec<String>,
    /// In words.
    #[serde(skip)]
    pub words: String,
}

/// Every setup of a module as received, and what stands against it: parts that are lost, else the errors of its design check.
#[must_use]
pub fn remaining(module: &Module, lost: &[Lost]) -> Vec<Remaining> {
    let mut checks = OneByOne::new(module);
    let all = Setup::all(module).into_iter().map(|setup| {
        let mut why = wanting(module, &setup, lost);
        // A setup that lacks a part is out already; the check of the others takes its time.
        let found = if why.is_empty() { checks.of(&setup) } else { Vec::new() };
        why.extend(found.into_iter().filter(|f| f.severity == Severity::Error).map(|f| f.text));
        Remaining { ok: why.is_empty(), words: setup.words(), set: setup.values, why }
    });
    all.collect()
}

/// Parts that this setup needs and that are lost.
fn wanting(module: &Module, setup: &Setup, lost: &[Lost]) -> Vec<String> {
    let mut why = Vec::new();
    let stack = module.stack.as_ref();
    if let Some(stack) = stack {
        let gone: std::collections::BTreeSet<&str> =
            lost.iter().filter(|l| is_disc(&stack.discs.part, &l.part)).map(|l| l.part.as_str()).collect();
        let left = (*stack.discs.count).saturating_sub(gone.len() as u32);
        if setup.discs > left {
            why.push(format!("needs {} discs, {left} are left without {}", setup.discs, names(&gone)));
        }
    }
    for one in lost {
        let disc = stack.is_some_and(|s| is_disc(&s.discs.part, &one.part));
        let rods = stack.filter(|s| s.rods.part == one.part);
        let other_length = rods.is_some_and(|s| {
            let meant = one.setup.get("discs").and_then(|d| d.parse().ok()).unwrap_or(setup.discs);
            let length = |discs: u32| s.rods.lengths.get(&discs).map(|l| l.value.mm());
            length(meant) != length(setup.discs)
        });
        if !disc && !other_length {
            why.push(format!("needs {} ({}), until it is replaced", one.part, one.because));
        }
    }
    why
}

fn is_disc(discs: &str, part: &str) -> bool {
    part.strip_prefix(discs).and_then(|rest| rest.strip_prefix('-')).is_some_and(|n| n.parse::<u32>().is_ok())
}

fn names(parts: &std::collections::BTreeSet<&str>) -> String {
    parts.iter().copied().collect::<Vec<_>>().join(", ")
}

/// Setups that can still be built, and what stands against each of the others; nothing where nothing does.
#[must_use]
pub fn words(left: &[Remaining]) -> String {
    let (ok, not): (Vec<&Remaining>, Vec<&Remaining>) = left.iter().partition(|r| r.ok);
    if not.is_empty() {
        return String::new();
    }
    let names = |list: &[&Remaining]| list.iter().map(|r| r.words.as_str()).collect::<Vec<_>>().join("; ");
    let can = if ok.is_empty() { "none".to_owned() } else { names(&ok) };
    let mut text = format!("\nSetups that can still be built: {can}.");
    // Setups with the same reason stand together.
    for (k, r) in not.iter().enumerate().filter(|(k, r)| not[..*k].iter().all(|before| before.why != r.why)) {
        let same: Vec<&Remaining> = not[k..].iter().copied().filter(|other| other.why == r.why).collect();
        text.push_str(&format!("\nNot {}: {}.", names(&same), r.why.join("; ")));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{Source, embedded, read};

    fn lost(part: &str, discs: &str) -> Lost {
        let setup = [("discs".to_owned(), discs.to_owned())].into();
        Lost { part: part.into(), because: "scrap".into(), setup }
    }

    fn left(module: &Module, lost: &[Lost]) -> Vec<String> {
        let mut discs: Vec<String> =
            remaining(module, lost).into_iter().filter(|r| r.ok).filter_map(|r| r.set.get("discs").cloned()).collect();
        discs.dedup();
        discs
    }

    /// By hand, from the spec: five discs, rods cut for each number of them.
    #[test]
    fn what_is_lost_takes_the_setups_that_need_it() {
        let module = read(&embedded("flywheel").unwrap()).unwrap();
        assert_eq!(left(&module, &[]), ["1", "2", "3", "4", "5"]);
        assert_eq!(left(&module, &[lost("disc-3", "5")]), ["1", "2", "3", "4"]);
        assert_eq!(left(&module, &[lost("disc-3", "5"), lost("disc-1", "5"), lost("disc-3", "5")]), ["1", "2", "3"]);
        assert_eq!(left(&module, &[lost("rods", "5")]), ["1", "2", "3", "4"]);
        assert!(left(&module, &[lost("pulley", "5")]).is_empty());
    }

    /// Rods of class 4.6: proof 225 MPa in place of 600, a third of the clamp.
    #[test]
    fn what_came_other_than_drawn_is_checked_anew_in_every_setup() {
        let text = crate::module::substitute(&embedded("flywheel").unwrap().text, "rods.class", "4.6").unwrap();
        let module = read(&Source { name: "x".into(), text }).unwrap();
        let all = remaining(&module, &[]);
        assert_eq!(all.len(), 15);
        let checked = crate::procedure::design_check::check(&module);
        assert_eq!(checked.setups.len(), all.len());
        assert!(all.iter().any(|setup| !setup.ok), "class 4.6 does for every setup");
        for (a, b) in all.iter().zip(&checked.setups) {
            let whole = checked.findings.iter().any(|f| f.setup.is_none() && f.severity == Severity::Error);
            assert_eq!((a.ok, &a.set), (b.ok && !whole, &b.set), "{:?}", a.why);
        }
    }
}
