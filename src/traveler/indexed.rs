//! The index of the discs as the record has it: heavy sides, the hole of each at position 1, and what was predicted.
//!
//! Only what was kept is read; nothing is computed anew, but for [`Record::best_indices`], which a person asks for.

use rust_decimal::Decimal;

use crate::mechanics::balance::Indexed;
use crate::procedure::plan::{Check, CheckKind, Computation, Plan, Step};

use super::computed;
pub use super::computed::index::Discs;
use super::record::Record;

/// One disc.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IndexedDisc {
    /// Part.
    pub disc: String,
    /// Unbalance, g·mm.
    pub unbalance: Decimal,
    /// Its angle from hole 1, degrees.
    pub angle: Decimal,
    /// What drag hides, g·mm.
    pub floor: Decimal,
    /// Hole that was computed for position 1.
    pub hole: Option<String>,
    /// Hole that was found at position 1 with all discs on.
    pub stands: Option<String>,
}

impl IndexedDisc {
    /// True where drag does not hide its unbalance.
    #[must_use]
    pub fn findable(&self) -> bool {
        self.unbalance > self.floor
    }
}

/// The index of a build.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct IndexKept {
    /// Step that computed it; `STEP/residual` and its fellows are the prediction.
    pub step: String,
    /// Discs that were measured.
    pub discs: Vec<IndexedDisc>,
    /// Predicted unbalance of all, g·mm.
    pub residual: Option<String>,
    /// Its direction from position 1, degrees.
    pub angle: Option<String>,
    /// What it is known within, g·mm.
    pub within: Option<String>,
    /// Couple, g·mm².
    pub couple: Option<String>,
    /// What is permitted, g·mm.
    pub permitted: Option<String>,
    /// What the discs make as they were counted to stand, g·mm; none before, and in records of older programs.
    pub stands: Option<String>,
}

/// The check that computes which hole of each disc stands at position 1.
fn finds_index(check: &Check) -> Option<&Computation> {
    let by = check.derive.as_ref()?.by.as_ref()?;
    (by.name == "index" && by.with.get("part").is_some_and(|p| p == "holes")).then_some(by)
}

/// The step that computes the index, in a plan that has one.
fn index_step(plan: &Plan) -> Option<(&Step, &Check, &Computation)> {
    plan.steps.iter().find_map(|s| s.checks.iter().find_map(|c| Some((s, c, finds_index(c)?))))
}

impl Record {
    fn latest_index(&self) -> Option<(&Step, &Check, &Computation)> {
        self.plans_back().find_map(index_step)
    }

    /// The index as it was kept; none where the plan does not look for one.
    #[must_use]
    pub fn index_kept(&self) -> Option<IndexKept> {
        let (step, check, by) = self.latest_index()?;
        let one = |step: &str, check: &str| self.reading(step, check).map(|k| k.reading.values.join(" "));
        let own = |check: &str| one(&step.id, check);
        let holes = self.reading(&step.id, &check.id).map(|k| k.reading.values.clone()).unwrap_or_default();
        let stands = self.stands_at(&format!("{}/{}", step.id, check.id));
        let number = |step: &str, check: &str| one(step, check)?.parse::<Decimal>().ok();
        let disc = |(k, name): (usize, &String)| {
            let (of, _) = by.inputs.get(k * computed::index::EACH)?.split_once('/')?;
            Some(IndexedDisc {
                disc: name.clone(),
                unbalance: number(of, "unbalance")?,
                angle: number(of, "angle")?,
                floor: number(of, "floor")?,
                hole: holes.get(k).cloned(),
                stands: stands.get(k).cloned(),
            })
        };
        Some(IndexKept {
            step: step.id.clone(),
            discs: check.places.iter().enumerate().filter_map(disc).collect(),
            residual: own("residual"),
            angle: own("residual-angle"),
            within: own("within"),
            couple: own("couple"),
            permitted: by.with.get("permitted").cloned(),
            stands: self.stands_as_counted(),
        })
    }

    /// The computed sum of the discs as they were counted to stand.
    fn stands_as_counted(&self) -> Option<String> {
        let steps = self.plans_back().flat_map(|p| &p.steps);
        let (step, check) = steps.flat_map(|s| s.checks.iter().map(move |c| (s, c))).find(|(_, c)| {
            let by = c.derive.as_ref().and_then(|d| d.by.as_ref());
            by.is_some_and(|by| by.name == "index" && by.with.get("part").is_some_and(|p| p == "stands"))
        })?;
        Some(self.reading(&step.id, &check.id)?.reading.values.join(" "))
    }

    /// What was counted beside a computed index with all discs on.
    fn stands_at(&self, beside: &str) -> Vec<String> {
        let mut steps = self.plans_back().flat_map(|p| &p.steps);
        let counts = |c: &&Check| c.kind == CheckKind::Series && c.beside.as_deref() == Some(beside);
        let found = steps.find_map(|s| Some((s, s.checks.iter().find(counts)?)));
        let kept = found.and_then(|(s, c)| self.reading(&s.id, &c.id));
        kept.map(|k| k.reading.values.clone()).unwrap_or_default()
    }

    /// The discs as they were read and the best indices of them, reckoned now.
    ///
    /// # Errors
    /// Words where the plan looks for no index, or a reading is missing.
    pub fn best_indices(&self, most: usize) -> Result<(Discs, Vec<Indexed>), String> {
        let none = || format!("{} looks for no heavy side of its discs", self.build);
        let (_, _, by) = self.latest_index().ok_or_else(none)?;
        let discs = self.discs_read(by)?;
        let best = discs.best(most)?;
        Ok((discs, best))
    }

    /// The discs of an index as they were read.
    fn discs_read(&self, by: &Computation) -> Result<Discs, String> {
        let reading = |of: &String| {
            let (step, check) = of.split_once('/').ok_or_else(|| format!("{of} names no check"))?;
            let kept = self.reading(step, check).ok_or_else(|| format!("{step} has no reading of {check} yet"))?;
            let values: Option<Vec<Decimal>> = kept.reading.values.iter().map(|v| v.parse().ok()).collect();
            values.ok_or_else(|| format!("{of} is no number"))
        };
        let readings = by.inputs.iter().map(reading).collect::<Result<Vec<_>, String>>()?;
        Discs::of(&computed::given(by, &readings))
    }

    /// What the discs make with other holes at position 1 than the index asks, whether that passes, and what puts it right. Discs that
    /// are not counted yet are taken as the index asks.
    pub(super) fn stands_with(&self, check: &Check, typed: &[String]) -> Option<String> {
        let (step, finds, by) = self.latest_index()?;
        let beside = format!("{}/{}", step.id, finds.id);
        if check.beside.as_deref() != Some(beside.as_str()) {
            return None;
        }
        let discs = self.discs_read(by).ok()?;
        let number = |v: &String| v.trim().parse::<u32>().ok().filter(|h| (1..=discs.holes).contains(h));
        let asked: Vec<u32> =
            self.reading(&step.id, &finds.id)?.reading.values.iter().map(number).collect::<Option<_>>()?;
        let mut stand = asked.clone();
        let on = |name: &String| finds.places.iter().position(|p| p == name);
        for (name, hole) in self.counted_when_fitted(&beside) {
            *stand.get_mut(on(name)?)? = number(hole)?;
        }
        for (name, hole) in check.places.iter().zip(typed) {
            *stand.get_mut(on(name)?)? = number(hole)?;
        }
        let size = |holes: &[u32]| Some(discs.standing(holes).ok()?.magnitude());
        let so = match discs.passes(discs.standing(&stand).ok()?) {
            Some(true) => "which passes".to_owned(),
            Some(false) => "which does not pass".to_owned(),
            None => format!("known within {:.0}, so nobody can tell", discs.within()),
        };
        let mend = match check.places.as_slice() {
            [one] => self.other_discs(&discs, &asked, on(one)?, *stand.get(on(one)?)?),
            _ => "turn the discs as the index asks; where rods hold them, ease these first (change --redo)".to_owned(),
        };
        Some(format!(
            "the discs would make {:.0} g·mm, {:.0} as asked, {:.0} are permitted: {so}; {mend}",
            size(&stand)?,
            size(&asked)?,
            discs.permitted
        ))
    }

    /// One disc stays where it is and all others go along: the same index, turned.
    fn other_discs(&self, discs: &Discs, asked: &[u32], fixed: usize, hole: u32) -> String {
        let by = hole + discs.holes - asked[fixed];
        let along = |(k, name): (usize, &String)| {
            (k != fixed).then(|| format!("{name} to hole {}", (asked[k] - 1 + by) % discs.holes + 1))
        };
        let others: Vec<String> = discs.names.iter().enumerate().filter_map(along).collect();
        if others.is_empty() {
            return "alone it may stand anyhow".into();
        }
        format!("turn it to hole {}, or leave it and bring {}: the same index", asked[fixed], others.join(", "))
    }

    /// Holes that were counted when each disc went on, by its name.
    fn counted_when_fitted(&self, beside: &str) -> Vec<(&String, &String)> {
        let steps = self.plan().steps.iter();
        let checks = steps.flat_map(|s| s.checks.iter().map(move |c| (s, c)));
        let counts = checks.filter(|(_, c)| c.kind == CheckKind::Count && c.beside.as_deref() == Some(beside));
        counts
            .filter_map(|(s, c)| Some((c.places.first()?, self.reading(&s.id, &c.id)?.reading.values.first()?)))
            .collect()
    }

    /// Which discs a newly computed index turns, against the one of the round of work before.
    pub(super) fn moved(&self, step: &str, check: &Check, values: &[String]) -> Option<String> {
        finds_index(check)?;
        let key = (step.to_owned(), check.id.clone());
        let before = self.index.earlier.iter().rev().find_map(|round| round.get(&key))?.last()?;
        let super::event::Body::Reading(old) = &self.events.get(*before)?.body else { return None };
        let turned = check.places.iter().zip(&old.values).zip(values).filter(|((_, old), new)| old != new);
        let each: Vec<String> =
            turned.map(|((disc, old), new)| format!("{disc} from hole {old} to hole {new}")).collect();
        Some(if each.is_empty() { "no disc is turned".into() } else { format!("to be turned: {}", each.join(", ")) })
    }
}
