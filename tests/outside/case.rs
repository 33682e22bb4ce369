//! One value from outside, what we find for it, and how many of them a part rests on.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// Where a value comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// A published table or single value.
    Table,
    /// A worked example, whole: given and answer stand together in the source.
    Example,
    /// A reference library, run by a script under `tests/oracles`.
    Library,
    /// Remembered; held, but it does not count.
    Memory,
}

/// One comparison.
#[derive(Debug)]
pub struct Case {
    source: &'static str,
    origin: Origin,
    what: String,
    found: String,
    printed: String,
    met: bool,
}

/// Collects the cases of a topic; `from` names the source of those that follow.
#[derive(Debug)]
pub struct Cases {
    source: &'static str,
    origin: Origin,
    all: Vec<Case>,
}

impl Cases {
    /// Empty.
    pub fn new() -> Self {
        Self { source: "", origin: Origin::Memory, all: Vec::new() }
    }

    /// What follows stands in this source.
    pub fn from(&mut self, origin: Origin, source: &'static str) -> &mut Self {
        (self.origin, self.source) = (origin, source);
        self
    }

    /// A number as printed, met within the rounding of the print, or wider with a reason beside the call.
    pub fn near(&mut self, what: impl Into<String>, found: f64, printed: f64, within: f64) -> &mut Self {
        // The last binary digit of the difference is no part of the print.
        let met = (found - printed).abs() <= within * (1.0 + 1e-9) + 1e-12;
        self.push(what.into(), format!("{found}"), format!("{printed} ± {within}"), met)
    }

    /// A number met within a share of the print; the reason stands beside the call.
    pub fn share(&mut self, what: impl Into<String>, found: f64, printed: f64, share: f64) -> &mut Self {
        self.near(what, found, printed, printed.abs() * share)
    }

    /// Something exact: an order, a limit in whole micrometres, a word.
    pub fn same<T: fmt::Debug + PartialEq<U>, U: fmt::Debug>(
        &mut self,
        what: impl Into<String>,
        found: T,
        printed: U,
    ) -> &mut Self {
        let met = found == printed;
        self.push(what.into(), format!("{found:?}"), format!("{printed:?}"), met)
    }

    fn push(&mut self, what: String, found: String, printed: String, met: bool) -> &mut Self {
        assert!(!self.source.is_empty(), "{what}: no source is named");
        self.all.push(Case { source: self.source, origin: self.origin, what, found, printed, met });
        self
    }

    /// All of them.
    pub fn done(self) -> Vec<Case> {
        self.all
    }
}

/// Fails with every case that is not met.
pub fn hold(cases: Vec<Case>) {
    let missed: Vec<String> = cases
        .iter()
        .filter(|c| !c.met)
        .map(|c| format!("{}: {} against {} ({})", c.what, c.found, c.printed, c.source))
        .collect();
    assert!(missed.is_empty(), "{} of {} values missed:\n{}", missed.len(), cases.len(), missed.join("\n"));
}

/// How much a part rests on.
#[derive(Debug, PartialEq, Eq)]
pub struct Count {
    values: usize,
    sources: usize,
    examples: usize,
    memory: usize,
}

/// So many values of one table count; the rest are held all the same.
const MOST_OF_ONE_TABLE: usize = 25;

impl Count {
    /// Counts them: at most 25 of one source, none from memory.
    pub fn of(cases: &[Case]) -> Self {
        let mut by_source: BTreeMap<&str, usize> = BTreeMap::new();
        for case in cases.iter().filter(|c| c.origin != Origin::Memory) {
            *by_source.entry(case.source).or_default() += 1;
        }
        let examples: BTreeSet<&str> = cases.iter().filter(|c| c.origin == Origin::Example).map(|c| c.source).collect();
        Self {
            values: by_source.values().map(|n| (*n).min(MOST_OF_ONE_TABLE)).sum(),
            sources: by_source.len(),
            examples: examples.len(),
            memory: cases.iter().filter(|c| c.origin == Origin::Memory).count(),
        }
    }

    /// At least ten values of at least two sources.
    pub fn enough(&self, part: &str) {
        assert!(self.values >= 10 && self.sources >= 2, "{part} rests on too little: {self}");
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} values of {} sources, {} worked examples; {} from memory beside them",
            self.values, self.sources, self.examples, self.memory
        )
    }
}

#[test]
fn a_miss_is_a_failure_and_memory_does_not_count() {
    let mut c = Cases::new();
    c.from(Origin::Memory, "remembered").near("a", 1.0, 1.0, 0.0);
    c.from(Origin::Table, "a table");
    for n in 0..30 {
        c.near("b", f64::from(n), f64::from(n), 0.0);
    }
    c.from(Origin::Example, "an example").near("c", 1.04, 1.0, 0.05);
    let all = c.done();
    assert_eq!(Count::of(&all), Count { values: 26, sources: 2, examples: 1, memory: 1 });
    hold(all);
    let mut wrong = Cases::new();
    wrong.from(Origin::Table, "a table").near("d", 1.06, 1.0, 0.05);
    assert!(std::panic::catch_unwind(|| hold(wrong.done())).is_err());
}
