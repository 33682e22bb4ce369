//! Laid out, checked, changed as the check asks, and checked again, until nothing is found.

use std::collections::BTreeMap;

use crate::module::{self, Module, Node, Source};
use crate::procedure::design_check::{self, Finding};
use crate::procedure::figures::{Collar, HeldBy};

use super::sheet::Sheet;
use super::spec::{self, Open, Whole};
use super::{Answers, NotSo, drive, instead, sizes, stack};

/// Rounds of laying out and checking; each changes one thing, and more than a dozen things are never to be changed.
const ROUNDS: usize = 14;

/// What was asked is changed by nobody but the builder.
const ASKED: [&str; 10] = [
    "limits.torque",
    "limits.speed",
    "limits.load",
    "discs.outer",
    "discs.count",
    "discs.holes.count",
    "rods.count",
    "belt.driver.speed",
    "shaft.diameter",
    "pulley.steps",
];

/// A spec that adds up.
#[derive(Debug, Clone)]
pub struct Laid {
    /// The spec's text: whole, or what goes beyond the family.
    pub text: String,
    /// The module it makes.
    pub module: Module,
    /// What was changed from the usual to make it add up: field and value.
    pub changed: Vec<(String, String)>,
}

/// The spec of the answers, on a family where one is given with the name that the spec calls it by.
///
/// # Errors
/// [`NotSo`] with the answer that does not add up, by how much, and answers that would do.
pub fn lay_out(answers: &Answers, family: Option<(&str, &Node)>) -> Result<Laid, NotSo> {
    let shared = family.map(|(_, node)| node);
    refuse_other_joins(shared)?;
    match settle(answers, shared) {
        Ok((tree, module, sheet)) => {
            let changed = sheet.changed.into_iter().collect();
            Ok(Laid { text: text(&tree, family), module, changed })
        }
        // A family's own mistake is mended in the family.
        Err(stuck) if stuck.not.answer == "family" => Err(stuck.not),
        Err(stuck) => {
            let adds_up = |a: &Answers| settle(a, shared).is_ok();
            let instead = instead::would_do(answers, &stuck.not, |a| stuck.gone_with(a, shared), adds_up);
            let mut not = stuck.not;
            // Whatever rule named an answer: the one whose change mends it is to blame.
            if let Some((answer, _)) = instead.first() {
                not.answer = answer;
            }
            not.instead = instead;
            Err(not)
        }
    }
}

/// Where the laying out came to its end without a spec that adds up.
#[derive(Debug)]
struct Stuck {
    not: NotSo,
    /// Id of the finding that nothing took away; none where the sizes themselves could not be found.
    finding: Option<String>,
    /// What had been changed by then.
    changed: BTreeMap<String, String>,
}

impl Stuck {
    /// True where with other answers the same fault is not met; what else there may be is not looked for.
    fn gone_with(&self, answers: &Answers, family: Option<&Node>) -> bool {
        let changed = [self.changed.clone(), BTreeMap::new()];
        changed.into_iter().any(|changed| {
            let sheet = Sheet { family, changed };
            let Ok((_, module)) = once(answers, &sheet, Open::Ends) else { return false };
            self.finding.as_ref().is_none_or(|id| !design_check::finds(&module, id))
        })
    }
}

/// Rods that end in plates are laid out by hand.
fn refuse_other_joins(family: Option<&Node>) -> Result<(), NotSo> {
    let join = family.and_then(|f| f.at("rods.join")?.text());
    if family.is_some_and(|f| f.get("plates").is_some()) || join.is_some_and(|j| j != "through the collars") {
        let why = "the rods of this family end in plates, and only rods through the collars are laid out here; write the spec by hand";
        return Err(NotSo::new("family", why));
    }
    Ok(())
}

fn text(tree: &Node, family: Option<(&str, &Node)>) -> String {
    let mut tree = tree.clone();
    if let Some((name, shared)) = family {
        let own = module::beyond(shared, &tree).unwrap_or_else(|| super::sheet::map([]));
        let module::Form::Map(mut list) = own.form else { return String::new() };
        // The first lines are always the spec's own.
        list.retain(|(k, _)| k.name != "runtrue");
        let head = super::sheet::map([("runtrue", Node::words("spec 1")), ("builds on", Node::words(name))]);
        let module::Form::Map(mut all) = head.form else { return String::new() };
        all.append(&mut list);
        tree.form = module::Form::Map(all);
    }
    module::write(&tree, &spec::remark).text
}

/// Lays out and changes until the check finds nothing.
fn settle<'a>(answers: &Answers, family: Option<&'a Node>) -> Result<(Node, Module, Sheet<'a>), Stuck> {
    let mut sheet = Sheet { family, ..Sheet::default() };
    let stuck = |sheet: &Sheet<'_>, not: NotSo, finding: Option<&Finding>| Stuck {
        not,
        finding: finding.map(|f| f.id.clone()),
        changed: sheet.changed.clone(),
    };
    let mut last = None;
    for _ in 0..ROUNDS {
        let laid = |open| once(answers, &sheet, open).map_err(|not| stuck(&sheet, not, None));
        let at_ends = design_check::first_found(&laid(Open::Ends)?.1);
        let found = if at_ends.is_some() {
            at_ends
        } else {
            let (tree, module) = laid(Open::All)?;
            let Some(found) = design_check::first_found(&module) else { return Ok((tree, module, sheet)) };
            Some(found)
        };
        let Some(finding) = found else { continue };
        let mends = finding.mends.iter().map(|m| &m.set);
        let allowed = mends.filter(|set| set.iter().all(|(field, _)| !asked(field)));
        let mut news = allowed
            .filter(|set| set.iter().any(|(f, v)| sheet.changed.get(f).map(String::as_str) != Some(unquoted(v))));
        let Some(set) = news.next() else {
            let Some((field, value)) = less_clamp(&finding, &sheet) else {
                return Err(stuck(&sheet, blame(&finding), Some(&finding)));
            };
            sheet.changed.insert(field, value);
            continue;
        };
        // Lengths of rods follow from the stack, which is laid out anew.
        let kept = set.iter().filter(|(field, _)| !field.starts_with("rods.length"));
        sheet.changed.extend(kept.map(|(field, value)| (field.clone(), unquoted(value).to_owned())));
        last = Some(finding);
    }
    // One change undid the other, round after round: what was found last is told.
    let not = last.as_ref().map_or_else(|| NotSo::new("torque", "nothing was laid out"), blame);
    Err(stuck(&sheet, not, last.as_ref()))
}

/// A mend is text for a file, quoted where the file needs it; the tree of a new spec quotes its words itself.
fn unquoted(value: &str) -> &str {
    value.strip_prefix('"').and_then(|v| v.strip_suffix('"')).unwrap_or(value)
}

/// Rods that press the sliding collar out of its grip are tightened less: by ten percent of proof, to 30 at least.
fn less_clamp(finding: &Finding, sheet: &Sheet<'_>) -> Option<(String, String)> {
    let sliding = finding.joint == Some(HeldBy::Pinch(Collar::Sliding));
    let own: u32 = sheet.said("rods.use", "60 % of proof").split_whitespace().next()?.parse().ok()?;
    (sliding && own >= 40).then(|| ("rods.use".to_owned(), format!("{} % of proof", own - 10)))
}

/// Fields that answers stand in, whole or in part.
fn asked(field: &str) -> bool {
    ASKED.iter().any(|a| field == *a || field.starts_with(&format!("{a}.")))
}

/// One spec of the answers as they are.
fn once(answers: &Answers, sheet: &Sheet<'_>, open: Open) -> Result<(Node, Module), NotSo> {
    let stack = if answers.plain() { None } else { Some(stack::sizes(answers, sheet)?) };
    let drive = drive::sizes(answers, sheet)?;
    let places = sizes::places(answers, stack.as_ref(), &drive)?;
    let tree = spec::spec(answers, sheet, &Whole { stack, drive, places }, open)?;
    let source = Source { name: answers.name.clone(), text: module::write(&tree, &spec::remark).text };
    // The layout writes what the reader reads; a family's own value may still be wrong, and its message says which.
    let module = module::read(&source).map_err(|p| NotSo::new("family", p.to_string()))?;
    Ok((tree, module))
}

/// Which answer is most often behind a finding that no change took away; what is found to mend it has the last word.
fn blame(finding: &Finding) -> NotSo {
    let answer = match finding.id.as_str() {
        "hoop-stress" | "disc-holes" => "diameter",
        "nut-room" => "holes",
        "slip" if finding.joint == Some(HeldBy::Rods) => "holes",
        "slip" | "hub-screws" | "collar-closes" => "torque",
        "shaft-slope" | "shaft-bending" | "bearing-life" | "bearing-seat" => "shaft",
        "critical-speed" | "speed" | "bearing-speed" | "pulley-size" => "speeds",
        "shaft-room" | "growth" => "bearings-apart",
        id if id.starts_with("belt") => "speeds",
        _ => "shaft",
    };
    let by = match (finding.value, finding.limit, finding.unit.as_deref()) {
        (Some(value), Some(limit), Some("")) => format!(" ({value} against {limit})"),
        (Some(value), Some(limit), Some(unit)) => format!(" ({value} {unit} against {limit} {unit})"),
        _ => String::new(),
    };
    let setup = finding.setup.as_ref().map_or_else(String::new, |s| format!("with {s}, "));
    NotSo::new(answer, format!("{setup}{}{by}", finding.text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_a_mend_lose_the_quotes_of_the_file_and_no_others() {
        assert_eq!(unquoted("\"set screw maker's table, alloy steel M8\""), "set screw maker's table, alloy steel M8");
        assert_eq!(unquoted("M8 x 35"), "M8 x 35");
        assert_eq!(unquoted("\""), "\"");
    }
}
