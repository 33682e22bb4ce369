//! The open entry: what is being typed for one check, value by value.

use crate::procedure::plan::{Check, CheckKind};
use crate::quantity::{Amount, unit};
use crate::traveler::{is_round, pair, plausible, unreadable};

use super::bolts::moved;

/// What is being typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OpenEntry {
    /// Digits or words not yet taken.
    pub input: String,
    /// Values of a series taken so far, as typed; bolts as "n=value" or "n" for a click.
    pub given: Vec<String>,
    /// Input shown back in the unit of the check; the next Enter takes it.
    pub shown_back: Option<String>,
    /// What y has to say yes to before it counts.
    pub doubt: Option<Doubt>,
    /// Values of a critical check typed the first time; not shown again.
    pub first: Option<Vec<String>>,
    /// Kept with the step once the values are saved: an order that was not kept.
    pub note: Option<String>,
    /// The values of a critical check agreed both times.
    pub twice: bool,
    /// What stands in the field was refused: the next character begins anew, Backspace edits it.
    pub refused: bool,
    /// All values are typed anew, those too that stand of a reading outside.
    pub all_anew: bool,
}

/// A question before something counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Doubt {
    /// The value typed can hardly be.
    Value(String),
    /// The bolts were not done in the order given.
    Order(String),
    /// The answers of a gauge cannot be together; the same ones once more count.
    Gauge(String),
    /// A bolt was read above the upper limit: was it eased before it is pulled again.
    Tight(TooTight),
}

/// A bolt that was read above the upper limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooTight {
    /// Its number.
    pub bolt: u32,
    /// The torque, as typed.
    pub torque: String,
    /// What is asked.
    pub words: String,
    /// What is kept of it in the record, without the answer.
    pub read: String,
}

impl Doubt {
    /// The question.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::Value(words) | Self::Order(words) | Self::Gauge(words) => words,
            Self::Tight(tight) => &tight.words,
        }
    }
}

/// What an Enter or a key came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken {
    /// Values are complete: record them.
    Ready(Vec<String>),
    /// One more is needed; or nothing was typed.
    More,
    /// A bolt was done before its turn.
    OutOfTurn(String),
    /// A critical check: once more, blind.
    Again,
    /// Asked first; the question stands in the entry.
    Doubted,
    /// Not taken, with the reason.
    Not(String),
    /// Converted: shown back, to be confirmed by another Enter.
    ShowBack(String),
}

impl OpenEntry {
    /// A character was typed. Over a doubted or refused value it begins a new one: the instrument was read again.
    pub fn push(&mut self, c: char) {
        let doubted = self.doubt.take().is_some() || self.shown_back.take().is_some();
        if std::mem::take(&mut self.refused) || doubted {
            self.input.clear();
        }
        if self.input.chars().count() < 200 {
            self.input.push(c);
        }
    }

    /// A character is taken back: what was refused is edited from now on.
    pub fn backspace(&mut self) {
        self.shown_back = None;
        self.doubt = None;
        self.refused = false;
        self.input.pop();
    }

    /// The last value is taken back.
    pub fn undo(&mut self) {
        if self.input.is_empty() && self.given.pop().is_none() {
            self.first = None;
        }
        self.clear_input();
        self.doubt = None;
    }

    /// What is typed and not yet taken is dropped.
    pub fn clear_input(&mut self) {
        self.input.clear();
        self.shown_back = None;
        self.refused = false;
    }

    /// True while something is typed that is not recorded yet.
    #[must_use]
    pub const fn begun(&self) -> bool {
        !self.input.is_empty() || !self.given.is_empty() || self.first.is_some()
    }

    /// Enter was pressed. `sequence` are the bolts, or the numbers of the values of a series, that are asked for in their
    /// order; empty where all values of a series are.
    pub fn enter(&mut self, check: &Check, sequence: &[u32]) -> Taken {
        let taken = self.entered(check, sequence);
        self.refused = matches!(taken, Taken::Not(_)) && !self.input.is_empty();
        taken
    }

    fn entered(&mut self, check: &Check, sequence: &[u32]) -> Taken {
        if self.doubt.is_some() {
            return Taken::Doubted;
        }
        let typed = self.input.trim().to_owned();
        if typed.is_empty() {
            return Taken::More;
        }
        if check.wanted.is_some() && matches!(typed.to_lowercase().as_str(), "y" | "yes") {
            return Taken::Not("Type what stands on it: a yes reads nothing.".into());
        }
        let pass = check.asks() == CheckKind::Torque && !is_round(check);
        if pass && let Some(taken) = self.list(check, sequence, &typed) {
            return taken;
        }
        self.value(check, sequence, typed)
    }

    /// One value, or one bolt with its torque.
    pub(super) fn value(&mut self, check: &Check, sequence: &[u32], typed: String) -> Taken {
        let value = typed.rsplit('=').next().unwrap_or(&typed);
        if let Some(back) = converted(check, value) {
            match back {
                Ok(text) if self.shown_back.as_deref() != Some(&typed) => {
                    self.shown_back = Some(typed);
                    return Taken::ShowBack(text);
                }
                Ok(_) => {}
                Err(why) => return Taken::Not(why),
            }
        }
        self.shown_back = None;
        if let Some(why) = unreadable(check, value) {
            return Taken::Not(why);
        }
        if let Some(found) = plausible::doubt(check, value).filter(|_| !is_round(check)) {
            let at = check.place(nth(sequence, self.given.len())).map_or_else(String::new, |p| format!("{p}: "));
            let words = format!("{at}{}? Hardly: {}. y: it is so, keep it. Or type it anew.", found.value, found.cause);
            self.doubt = Some(Doubt::Value(words));
            return Taken::Doubted;
        }
        self.take(check, sequence, typed)
    }

    /// y: what was asked about is so.
    pub fn keep_doubted(&mut self, check: &Check, sequence: &[u32]) -> Taken {
        match self.doubt.take() {
            Some(Doubt::Value(_)) => self.take(check, sequence, self.input.trim().to_owned()),
            Some(Doubt::Order(_)) => Taken::Ready(self.bolt_values()),
            Some(Doubt::Tight(tight)) => self.left_tight(&tight, sequence),
            Some(Doubt::Gauge(_)) | None => Taken::More,
        }
    }

    /// An answer of a gauge, the go side first. What the two can hardly be together counts when it is given twice, so
    /// that no reflex of a key keeps it.
    pub fn gauge(&mut self, yes: bool, doubt: impl Fn(&[String]) -> Option<String>) -> Taken {
        let side = if self.given.is_empty() { "go" } else { "no-go" };
        self.given.push(format!("{side}={}", if yes { "yes" } else { "no" }));
        if self.given.len() < 2 {
            return Taken::More;
        }
        let values = std::mem::take(&mut self.given);
        match doubt(&values) {
            Some(_) if self.first.as_ref() == Some(&values) => {}
            Some(words) => {
                let how = "Nothing is kept. Look again, answer both anew; the same once more is kept.";
                self.doubt = Some(Doubt::Gauge(format!("Hardly: {words}. {how}")));
                self.first = Some(values);
                return Taken::Doubted;
            }
            None => {}
        }
        self.doubt = None;
        Taken::Ready(values)
    }

    fn take(&mut self, check: &Check, sequence: &[u32], typed: String) -> Taken {
        match check.asks() {
            CheckKind::Series => self.one_more(check, sequence, typed),
            CheckKind::Torque if is_round(check) => Taken::Ready(vec![moved(&typed)]),
            CheckKind::Torque => self.bolt(check, &typed, sequence),
            CheckKind::Measure | CheckKind::Count => self.twice_if_critical(check, vec![typed]),
            _ => Taken::Ready(vec![typed]),
        }
    }

    fn one_more(&mut self, check: &Check, sequence: &[u32], typed: String) -> Taken {
        self.given.extend(pair(check, &typed));
        self.input.clear();
        let wanted = if sequence.is_empty() { check.count.unwrap_or(1) as usize } else { sequence.len() };
        if self.given.len() < wanted {
            return Taken::More;
        }
        self.twice_if_critical(check, self.given.clone())
    }

    /// A critical value counts when it was typed twice, the second time without sight of the first, and both agree.
    fn twice_if_critical(&mut self, check: &Check, values: Vec<String>) -> Taken {
        if !check.critical {
            return Taken::Ready(values);
        }
        let first = self.first.take();
        match first {
            Some(first) if plausible::same(check, &first, &values) => {
                self.twice = true;
                Taken::Ready(values)
            }
            Some(_) => {
                *self = Self::default();
                Taken::Not("The two do not agree; both are dropped. Measure again and type it twice.".into())
            }
            None => {
                *self = Self { first: Some(values), ..Self::default() };
                Taken::Again
            }
        }
    }
}

/// Which value of a series the one typed as number `k`, from 0, is, where only some are asked for.
#[must_use]
pub fn nth(sequence: &[u32], k: usize) -> usize {
    sequence.get(k).map_or(k, |number| (*number as usize).saturating_sub(1))
}

/// For checks with a unit: the value in the unit of the check, if another unit was typed.
fn converted(check: &Check, typed: &str) -> Option<Result<String, String>> {
    let numeric = matches!(check.asks(), CheckKind::Measure | CheckKind::Series | CheckKind::Torque);
    let to = check.unit.as_deref().and_then(unit).filter(|_| numeric)?;
    let amount = match Amount::parse_in(typed, to.kind, Some(to)) {
        Ok(amount) => amount,
        Err(e) => return Some(Err(e.to_string())),
    };
    if amount.unit == to {
        return None;
    }
    Some(match amount.in_unit(to) {
        // Shown to a tenth of a micrometre; judged and kept exactly.
        Ok(value) => Ok(format!("{typed} is {} {}. Enter again to take it.", value.round_dp(4).normalize(), to.symbol)),
        Err(e) => Err(e.to_string()),
    })
}

#[cfg(test)]
#[path = "entry_tests.rs"]
mod tests;
