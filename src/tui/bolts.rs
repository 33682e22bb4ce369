//! The bolts of a pass: in their order, by clicks or by torques, one by one or as a list; what is out of turn or too tight.

use std::collections::BTreeSet;

use crate::procedure::plan::Check;
use crate::traveler::{ORDER, above, value};

use super::entry::{Doubt, OpenEntry, Taken, TooTight};

impl OpenEntry {
    /// Bolts done in this pass, in the order in which they were done.
    #[must_use]
    pub fn bolts_done(&self) -> Vec<u32> {
        self.given.iter().filter_map(|g| g.split('=').next()?.parse().ok()).collect()
    }

    /// Bolt that comes next: the first of the sequence that is not done.
    #[must_use]
    pub fn next_bolt(&self, sequence: &[u32]) -> Option<u32> {
        let done = self.bolts_done();
        sequence.iter().find(|n| !done.contains(n)).copied()
    }

    /// Bolts that were passed over: before one that is done, and not done themselves.
    #[must_use]
    pub fn skipped(&self, sequence: &[u32]) -> Vec<u32> {
        let done = self.bolts_done();
        let last = sequence.iter().rposition(|n| done.contains(n)).unwrap_or(0);
        sequence[..last].iter().filter(|n| !done.contains(n)).copied().collect()
    }

    /// The first bolt that was tightened before its turn.
    #[must_use]
    pub fn early(&self, sequence: &[u32]) -> Option<u32> {
        let done = self.bolts_done();
        done.iter().zip(sequence).find(|(done, turn)| done != turn).map(|(bolt, _)| *bolt)
    }

    /// What is to be done about a bolt that was tightened before its turn, as long as it stands among those done.
    #[must_use]
    pub fn out_of_order(&self, sequence: &[u32]) -> Option<String> {
        let early = self.early(sequence)?;
        let skipped = self.skipped(sequence);
        let before: Vec<String> = skipped.iter().map(u32::to_string).collect();
        Some(if before.is_empty() {
            format!(
                "Bolt {early} was before its turn: ease it to where it stood before this pass, and tighten it once more."
            )
        } else {
            let before = before.join(", ");
            format!(
                "Bolt {early} is tight before {before}: ease {early} to where it stood before this pass and take it back (u); then {before}."
            )
        })
    }

    /// A bolt has clicked: the next one, or the one whose number is typed.
    pub fn click(&mut self, sequence: &[u32]) -> Taken {
        if self.torques() {
            return Taken::Not(
                "This pass was begun with measured torques; type the torque, or take them back with u.".into(),
            );
        }
        // What was refused stands in the field and names no bolt; it does not go without a word.
        if std::mem::take(&mut self.refused) && !self.input.is_empty() {
            let typed = std::mem::take(&mut self.input);
            return Taken::Not(format!("{typed} was not taken and is out of the field now. Space again: it clicked."));
        }
        let bolt = match self.named_bolt(sequence) {
            Ok(bolt) => bolt,
            Err(why) => {
                self.refused = true;
                return Taken::Not(why);
            }
        };
        let Some(bolt) = bolt else { return Taken::More };
        self.done(bolt, bolt.to_string(), sequence)
    }

    /// The bolt whose number stands in the input; without one the next.
    fn named_bolt(&self, sequence: &[u32]) -> Result<Option<u32>, String> {
        let typed = self.input.trim();
        if typed.is_empty() {
            return Ok(self.next_bolt(sequence));
        }
        match typed.parse::<u32>().ok().filter(|n| sequence.contains(n)) {
            None => Err(format!("There is no bolt {typed} here; Space alone takes the next, Enter takes a torque.")),
            Some(n) if self.bolts_done().contains(&n) => {
                Err(format!("Bolt {n} is done already in this pass; u takes the last one back."))
            }
            Some(n) => Ok(Some(n)),
        }
    }

    /// A bolt is done; out of turn it is said at once.
    fn done(&mut self, bolt: u32, given: String, sequence: &[u32]) -> Taken {
        let turn = self.next_bolt(sequence);
        self.input.clear();
        self.given.push(given);
        if self.given.len() < sequence.len() {
            return match turn {
                Some(next) if next != bolt => {
                    Taken::OutOfTurn(format!("Bolt {bolt} before {next}: not the order given."))
                }
                _ => Taken::More,
            };
        }
        let done = self.bolts_done();
        if done == sequence {
            return Taken::Ready(self.bolt_values());
        }
        let list = |bolts: &[u32]| bolts.iter().map(u32::to_string).collect::<Vec<_>>().join(" ");
        let words = format!("{}, given was {}", list(&done), list(sequence));
        self.doubt = Some(Doubt::Order(format!(
            "All {} are done, but in the order {words}. Ease them and go round again in order: u takes back. Or y: keep it with a note; it stays in sight until a pass in order.",
            sequence.len()
        )));
        self.note = Some(format!("{ORDER} {words}."));
        Taken::Doubted
    }

    /// True where this pass was begun with measured torques: its bolts are not clicked.
    #[must_use]
    pub fn torques(&self) -> bool {
        self.given.iter().any(|g| g.contains('='))
    }

    /// The bolts as they are recorded.
    pub(super) fn bolt_values(&self) -> Vec<String> {
        let n = self.given.len();
        if self.given.iter().all(|g| g.contains('=')) { self.given.clone() } else { vec![format!("clicked={n}/{n}")] }
    }

    /// A torque was typed for the next bolt, or for the one named before it. One that is too tight is asked about before it
    /// counts: on it no later pull tells anything.
    pub(super) fn bolt(&mut self, check: &Check, typed: &str, sequence: &[u32]) -> Taken {
        if self.given.iter().any(|g| !g.contains('=')) {
            return Taken::Not(
                "This pass was begun with clicks; press Space for each bolt, or take them back with u.".into(),
            );
        }
        let (bolt, torque) = match typed.split_once('=') {
            None => (self.next_bolt(sequence), typed),
            Some((bolt, torque)) => {
                let named = Self { input: bolt.to_owned(), given: self.given.clone(), ..Self::default() };
                match named.named_bolt(sequence) {
                    Ok(bolt) => (bolt, torque),
                    Err(why) => return Taken::Not(why),
                }
            }
        };
        let Some(bolt) = bolt else { return Taken::More };
        // A value with its unit is one word: a list of bolts is parted at its spaces.
        let torque: String = torque.split_whitespace().collect();
        match too_tight(check, bolt, &torque) {
            Some(tight) => {
                self.doubt = Some(Doubt::Tight(tight));
                Taken::Doubted
            }
            None => self.done(bolt, format!("{bolt}={torque}"), sequence),
        }
    }

    /// A bolt that was read too tight stays so while the pass goes on: the reading says it.
    pub(super) fn left_tight(&mut self, tight: &TooTight, sequence: &[u32]) -> Taken {
        self.done(tight.bolt, format!("{}={}", tight.bolt, tight.torque), sequence)
    }

    /// Bolts with their torques in one line, `1=24.0 2=24.1`: all of it is looked at before any of it is taken. None where
    /// the line is no list.
    pub(super) fn list(&mut self, check: &Check, sequence: &[u32], typed: &str) -> Option<Taken> {
        let words: Vec<&str> = typed.split([' ', ',', ';', '\t']).filter(|w| !w.is_empty()).collect();
        if typed.matches('=').count() < 2 {
            let numbers = words.len() > 1 && words.iter().all(|w| w.parse::<f64>().is_ok());
            let spaced = typed.split_whitespace().count() > 1 || typed.contains(';');
            let how = "Nothing of it is taken: a list names each bolt, like 1=24.0 2=24.1; or one torque and Enter.";
            return (numbers && spaced).then(|| Taken::Not(how.into()));
        }
        let items = items(typed);
        if let Some(why) = self.no_list(check, sequence, &items) {
            return Some(Taken::Not(format!("{why}. Nothing of the list is taken: type it anew.")));
        }
        let mut taken = Taken::More;
        for (k, item) in (1..).zip(&items) {
            self.input.clone_from(item);
            taken = self.value(check, sequence, item.clone());
            if !matches!(taken, Taken::More | Taken::OutOfTurn(_)) {
                self.dropped(&mut taken, items.len() - k);
                break;
            }
        }
        Some(taken)
    }

    /// A question in the middle of a list: what follows is typed anew, and that is said with it.
    fn dropped(&mut self, taken: &mut Taken, bolts: usize) {
        let words = match (&mut self.doubt, taken) {
            (Some(Doubt::Tight(tight)), _) => &mut tight.words,
            (Some(Doubt::Value(words)), _) | (None, Taken::ShowBack(words) | Taken::Not(words)) => words,
            _ => return,
        };
        if bolts > 0 {
            words.push_str(" Nothing after it in the list is taken.");
        }
    }

    /// Why a list cannot be taken as it stands.
    fn no_list(&self, check: &Check, sequence: &[u32], items: &[String]) -> Option<String> {
        let mut named = BTreeSet::new();
        let mut twice = BTreeSet::new();
        for item in items {
            let Some((bolt, torque)) = item.split_once('=') else {
                return Some(format!("\"{item}\" names no bolt"));
            };
            let one = Self { input: bolt.to_owned(), given: self.given.clone(), ..Self::default() };
            match one.named_bolt(sequence) {
                Ok(Some(n)) if !named.insert(n) => {
                    twice.insert(n);
                }
                Ok(Some(_)) => {}
                Ok(None) => return Some(format!("\"{item}\" names no bolt")),
                Err(why) => return Some(why.split("; ").next().unwrap_or(&why).to_owned()),
            }
            if let Err(why) = value(check, torque, true) {
                return Some(format!("\"{item}\": {why}"));
            }
        }
        if twice.is_empty() {
            return None;
        }
        let done = self.bolts_done();
        let missing = sequence.iter().filter(|n| !named.contains(n) && !done.contains(n)).map(u32::to_string);
        let missing = missing.collect::<Vec<_>>().join(", ");
        let twice = twice.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
        let missing = if missing.is_empty() { String::new() } else { format!(", bolt {missing} is missing") };
        Some(format!("Bolt {twice} stands twice{missing}"))
    }
}

/// The parts of a list, each bolt with its torque; what follows without a bolt belongs to the one before, as a unit does.
fn items(typed: &str) -> Vec<String> {
    let mut items: Vec<String> = Vec::new();
    for word in typed.split([' ', ';', '\t']).filter(|w| !w.is_empty()) {
        match items.last_mut() {
            Some(last) if !word.contains('=') => last.push_str(word),
            _ => items.push(word.trim_end_matches(',').to_owned()),
        }
    }
    items
}

/// The nuts that moved, as they are recorded: parted by commas however they were typed.
#[must_use]
pub fn moved(typed: &str) -> String {
    let nuts: Vec<&str> = typed.split([' ', ',', ';']).filter(|w| !w.is_empty()).collect();
    format!("moved={}", nuts.join(","))
}

/// A torque above the upper limit, and what is asked about its bolt.
fn too_tight(check: &Check, bolt: u32, torque: &str) -> Option<TooTight> {
    let upper = above(check, torque)?;
    let unit = check.unit.as_deref().unwrap_or_default();
    let bare = torque.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let read = if bare { format!("{torque} {unit}") } else { torque.to_owned() };
    let read = format!("bolt {bolt} at {read}, above {upper} {unit}");
    let words = format!(
        "Too tight: {read}. Ease it well below first: on a tighter bolt the wrench clicks at once and tells nothing. y: eased, now pull it again. n: left as it is, go on. Only mistyped: type it anew, which is noted."
    );
    Some(TooTight { bolt, torque: torque.to_owned(), words, read })
}
