//! What would mend a finding: changes of the spec that are tried before they are told. A mend takes its finding away in every
//! setup and brings no other one.

mod belt;
mod shaft;
mod slip;
mod stack;
mod whole;

use std::collections::BTreeSet;

use crate::module::{Module, Setup, Source, put, read};
use crate::procedure::figures::HeldBy;

use super::{Finding, Mend, Severity, Stands, quick};

/// A change that may help: words, fields and values.
struct Candidate {
    text: String,
    set: Vec<(String, String)>,
}

fn candidate(text: impl Into<String>, set: &[(&str, String)]) -> Candidate {
    Candidate { text: text.into(), set: set.iter().map(|(f, v)| ((*f).to_owned(), v.clone())).collect() }
}

/// Ways to mend one finding; of each list the first change that helps is told.
type Ways = Vec<Vec<Candidate>>;

/// Finds the mends of every finding; what is found in several setups is mended for all of them at once.
pub(super) fn all(module: &Module, findings: &mut [Finding]) {
    if findings.iter().all(|f| f.severity == Severity::Note && f.id != "belt-length") {
        return;
    }
    let before = Seen::of(&quick(module));
    let setups = Setup::all(module);
    let mut known: Vec<(Finding, Vec<Mend>)> = Vec::new();
    for finding in findings {
        if let Some((_, mends)) = known.iter().find(|(f, _)| same(f, finding)) {
            finding.mends.clone_from(mends);
        } else {
            let setup = setups.iter().find(|s| finding.setup.as_ref() == Some(&s.words())).or(setups.first());
            let ways = setup.map_or_else(Vec::new, |setup| ways(module, setup, finding));
            let helps = |list: Vec<Candidate>| list.into_iter().find(|c| mends(module, finding, &before, c));
            let found = ways.into_iter().filter_map(helps).map(|c| mend(module, c));
            finding.mends = found.collect();
            known.push((finding.clone(), finding.mends.clone()));
        }
        if !finding.mends.is_empty() {
            let words = finding.mends.iter().map(|m| format!("{}.", m.text));
            finding.mend = Some(words.collect::<Vec<_>>().join(" Or: ") + &in_family(&finding.mends));
        }
    }
}

fn mend(module: &Module, candidate: Candidate) -> Mend {
    let stands = |(field, _): &(String, String)| {
        let (file, line) = module.origins.as_ref()?.in_family(field)?;
        Some(Stands { field: field.clone(), file: file.to_owned(), line })
    };
    Mend { family: candidate.set.iter().filter_map(stands).collect(), text: candidate.text, set: candidate.set }
}

/// Where fields that stand in the family may be written; nothing where none does.
fn in_family(mends: &[Mend]) -> String {
    let mut all: Vec<String> =
        mends.iter().flat_map(|m| &m.family).map(|s| format!("{} in {}, line {}", s.field, s.file, s.line)).collect();
    all.sort();
    all.dedup();
    if all.is_empty() {
        return String::new();
    }
    format!(
        " Of these the family has {}: written there it holds for all its modules, in the spec for this one.",
        all.join("; ")
    )
}

fn same(a: &Finding, b: &Finding) -> bool {
    (&a.id, a.line, &a.at) == (&b.id, b.line, &b.at)
}

fn ways(module: &Module, setup: &Setup, finding: &Finding) -> Ways {
    match finding.id.as_str() {
        "slip" => slip::ways(module, setup, finding),
        "hub-screws" => slip::hub(module, finding),
        "key-length" => slip::shorter_key(module, finding),
        "rod-length" | "rod-hole" | "ream-stock" | "hoop-stress" => stack::ways(module, setup, finding),
        "belt-fitting" | "belt-take-up" | "belt-length" | "pulley-size" | "speed" => belt::ways(module, setup, finding),
        "critical-speed" | "shaft-bending" | "shaft-slope" | "bearing-life" => shaft::ways(module, finding),
        _ => whole::ways(module, finding),
    }
}

/// Findings that weigh, by what they are about.
struct Seen(BTreeSet<(String, Option<String>, Option<String>)>);

impl Seen {
    fn of(findings: &[Finding]) -> Self {
        let weigh = findings.iter().filter(|f| f.severity != Severity::Note);
        Self(weigh.map(|f| (f.id.clone(), f.at.clone(), f.setup.clone())).collect())
    }
}

/// Tries a change: the finding is gone wherever it was, and nothing else is found that was not there before.
fn mends(module: &Module, finding: &Finding, before: &Seen, candidate: &Candidate) -> bool {
    let Some(after) = with(module, &candidate.set) else { return false };
    let found = quick(&after);
    let gone = found.iter().all(|f| !(same(f, finding) && f.severity <= finding.severity));
    let stands = || finding.id != "critical-speed" || shaft::clear_of_critical(&after);
    gone && Seen::of(&found).0.is_subset(&before.0) && stands()
}

/// The module with fields of its spec changed; none where the spec cannot take the change.
fn with(module: &Module, set: &[(String, String)]) -> Option<Module> {
    let text = set.iter().try_fold(module.text.clone(), |text, (field, value)| put(&text, field, value).ok())?;
    read(&Source { name: module.id.clone(), text }).ok()
}

/// What helps a joint in general, where no change that was tried does alone.
pub(super) const fn in_general(by: HeldBy) -> &'static str {
    match by {
        HeldBy::Pinch(_) => "Take a wider collar with larger or more pinch bolts, or a smaller torque.",
        HeldBy::Rods => "Take more or larger rods on a larger circle, or a smaller torque.",
        HeldBy::Pins => "Take thicker pins on a larger circle, or a smaller torque.",
        HeldBy::Screws(_) => "Take a key, a clamping hub, or a smaller torque.",
    }
}

/// A length as it is written, without needless zeros.
fn mm(value: f64) -> String {
    format!("{} mm", (value * 1000.0).round() / 1000.0)
}
