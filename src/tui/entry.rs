//! The open entry: what is being typed for one check, value by value.

use crate::procedure::plan::{Check, CheckKind};
use crate::quantity::{Amount, unit};
use crate::traveler::is_round;

/// What is being typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OpenEntry {
    /// Digits or words not yet taken.
    pub input: String,
    /// Values of a series taken so far, as typed; bolts as "n=value" or "n" for a click.
    pub given: Vec<String>,
    /// Input shown back in the unit of the check; the next Enter takes it.
    pub shown_back: Option<String>,
}

/// What an Enter or a key came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken {
    /// Values are complete: record them.
    Ready(Vec<String>),
    /// One more is needed; or nothing was typed.
    More,
    /// Not taken, with the reason.
    Not(String),
    /// Converted: shown back, to be confirmed by another Enter.
    ShowBack(String),
}

impl OpenEntry {
    /// A character was typed.
    pub fn push(&mut self, c: char) {
        self.shown_back = None;
        if self.input.chars().count() < 200 {
            self.input.push(c);
        }
    }

    /// A character is taken back.
    pub fn backspace(&mut self) {
        self.shown_back = None;
        self.input.pop();
    }

    /// The last value is taken back.
    pub fn undo(&mut self) {
        if self.input.is_empty() {
            self.given.pop();
        }
        self.input.clear();
        self.shown_back = None;
    }

    /// Bolt that comes next in the sequence.
    #[must_use]
    pub fn next_bolt(&self, sequence: &[u32]) -> Option<u32> {
        sequence.get(self.given.len()).copied()
    }

    /// The next bolt has clicked.
    pub fn click(&mut self, sequence: &[u32]) -> Taken {
        if self.given.iter().any(|g| g.contains('=')) {
            return Taken::Not(
                "This pass was begun with measured torques; type the torque, or take them back with u.".into(),
            );
        }
        let Some(bolt) = self.next_bolt(sequence) else {
            return Taken::More;
        };
        self.given.push(bolt.to_string());
        self.complete_bolts(sequence)
    }

    fn complete_bolts(&self, sequence: &[u32]) -> Taken {
        if self.given.len() < sequence.len() {
            return Taken::More;
        }
        let n = sequence.len();
        if self.given.iter().all(|g| g.contains('=')) {
            Taken::Ready(self.given.clone())
        } else {
            Taken::Ready(vec![format!("clicked={n}/{n}")])
        }
    }

    /// Enter was pressed.
    pub fn enter(&mut self, check: &Check, sequence: &[u32]) -> Taken {
        let typed = self.input.trim().to_owned();
        if typed.is_empty() {
            return Taken::More;
        }
        if let Some(back) = self.converted(check, &typed) {
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
        match check.kind {
            CheckKind::Series => self.one_more(typed, check.count.unwrap_or(1) as usize),
            CheckKind::Torque if is_round(check) => Taken::Ready(vec![format!("moved={typed}")]),
            CheckKind::Torque => self.bolt(&typed, sequence),
            _ => Taken::Ready(vec![typed]),
        }
    }

    fn one_more(&mut self, typed: String, wanted: usize) -> Taken {
        self.given.push(typed);
        self.input.clear();
        if self.given.len() < wanted { Taken::More } else { Taken::Ready(self.given.clone()) }
    }

    fn bolt(&mut self, typed: &str, sequence: &[u32]) -> Taken {
        if self.given.iter().any(|g| !g.contains('=')) {
            return Taken::Not(
                "This pass was begun with clicks; press Space for each bolt, or take them back with u.".into(),
            );
        }
        let Some(bolt) = self.next_bolt(sequence) else {
            return Taken::More;
        };
        self.given.push(format!("{bolt}={typed}"));
        self.input.clear();
        self.complete_bolts(sequence)
    }

    /// For checks with a unit: the value in the unit of the check, if another unit was typed.
    fn converted(&self, check: &Check, typed: &str) -> Option<Result<String, String>> {
        let numeric = matches!(check.kind, CheckKind::Measure | CheckKind::Series | CheckKind::Torque);
        let to = check.unit.as_deref().and_then(unit).filter(|_| numeric)?;
        let amount = match Amount::parse_in(typed, to.kind, Some(to)) {
            Ok(amount) => amount,
            Err(e) => return Some(Err(e.to_string())),
        };
        if amount.unit == to {
            return None;
        }
        Some(match amount.in_unit(to) {
            Ok(value) => Ok(format!("{typed} is {value} {}. Enter again to take it.", to.symbol)),
            Err(e) => Err(e.to_string()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::plan::Acceptance;

    fn check(kind: CheckKind, unit: Option<&str>, count: u32) -> Check {
        Check {
            id: "x".into(),
            kind,
            prompt: String::new(),
            unit: unit.map(Into::into),
            nominal: None,
            lower: None,
            upper: None,
            acceptance: Acceptance::Simple,
            critical: false,
            basis: String::new(),
            rule: None,
            count: Some(count),
            derive: None,
        }
    }

    fn typed(entry: &mut OpenEntry, text: &str) {
        text.chars().for_each(|c| entry.push(c));
    }

    #[test]
    fn another_unit_is_shown_back_before_it_counts() {
        let check = check(CheckKind::Measure, Some("mm"), 1);
        let mut entry = OpenEntry::default();
        typed(&mut entry, "0,984 in");
        assert!(matches!(entry.enter(&check, &[]), Taken::ShowBack(t) if t.contains("24.9936 mm")));
        assert_eq!(entry.enter(&check, &[]), Taken::Ready(vec!["0,984 in".into()]));
        let mut entry = OpenEntry::default();
        typed(&mut entry, "25.1 kg");
        assert!(matches!(entry.enter(&check, &[]), Taken::Not(t) if t.contains("a mass")));
        assert_eq!(entry.input, "25.1 kg", "what does not count stays to be mended");
    }

    #[test]
    fn a_series_is_complete_with_its_last_value() {
        let check = check(CheckKind::Series, Some("mm"), 2);
        let mut entry = OpenEntry::default();
        typed(&mut entry, "25.001");
        assert_eq!(entry.enter(&check, &[]), Taken::More);
        assert_eq!(entry.enter(&check, &[]), Taken::More, "an empty Enter adds nothing");
        typed(&mut entry, "25.002");
        assert_eq!(entry.enter(&check, &[]), Taken::Ready(vec!["25.001".into(), "25.002".into()]));
    }

    #[test]
    fn clicks_go_round_the_sequence_and_are_not_mixed_with_values() {
        let check = check(CheckKind::Torque, Some("N·m"), 3);
        let order = [1, 3, 2];
        let mut entry = OpenEntry::default();
        assert_eq!(entry.click(&order), Taken::More);
        assert_eq!(entry.next_bolt(&order), Some(3));
        typed(&mut entry, "24.0");
        assert!(matches!(entry.enter(&check, &order), Taken::Not(_)));
        entry.input.clear();
        entry.click(&order);
        assert_eq!(entry.click(&order), Taken::Ready(vec!["clicked=3/3".into()]));
        entry.undo();
        assert_eq!(entry.given.len(), 2);
    }
}
