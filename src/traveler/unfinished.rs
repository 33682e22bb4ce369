//! Values of a series or a pass that were typed and are not complete: kept beside the record while they are typed, so
//! that a program that is killed loses none of them, and offered when the build is opened again.
//!
//! The file is no part of the record. Nothing hashes it, no verdict rests on it, and its values reach the record only as
//! a whole series, by the person who takes them up.

use std::collections::BTreeSet;
use std::fs;

use serde::{Deserialize, Serialize};

use crate::procedure::plan::{Check, CheckKind, Step};

use super::judge;
use super::machine::replace;
use super::record::Record;
use super::session::{Session, stamp};
use super::state::CheckState;
use super::store::StoreError;

/// The file, in the build's folder.
const FILE: &str = "not-complete.yaml";
/// Its first line.
const FORM: &str = "not complete 1";
/// The largest one that is read: a thousand times what a series takes.
const LARGEST: u64 = 1 << 20;

/// Values of one check, begun and not complete.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Begun {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Round of work.
    pub round: u32,
    /// Entries of the record when the last of them was typed.
    pub after: u64,
    /// Who typed them.
    pub by: String,
    /// When the last of them was typed.
    pub at: String,
    /// As typed; bolts as "n=value", or "n" for a click.
    pub given: Vec<String>,
    /// Of a critical check, what was typed the first time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<Vec<String>>,
    /// Numbers of the values that are typed anew, where the others stand as in the reading before; empty where all are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<u32>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    runtrue: String,
    values: Vec<Begun>,
}

impl Session {
    /// What was typed for a check up to now, to be kept beside the record.
    #[must_use]
    pub fn begun(&self, step: &str, check: &str, by: &str, given: &[String], first: Option<&Vec<String>>) -> Begun {
        Begun {
            step: step.to_owned(),
            check: check.to_owned(),
            round: self.record().round(),
            after: self.record().events.len() as u64,
            by: by.to_owned(),
            at: stamp(self.machine()),
            given: given.to_vec(),
            first: first.cloned(),
            only: Vec::new(),
        }
    }

    /// Keeps values that are not complete, in place of what was kept of them before; the file goes with the last of them.
    ///
    /// # Errors
    /// [`StoreError::Io`]: they are on the screen only. What was kept before may still be there.
    pub fn keep_begun(&self, values: &[Begun]) -> Result<(), StoreError> {
        let path = self.folder().join(FILE);
        let beside = self.folder().join(".not-complete.part");
        let machine = self.machine();
        let done = if values.is_empty() {
            if path.exists() { machine.remove_file(&path) } else { Ok(()) }
        } else {
            let file = File { runtrue: FORM.to_owned(), values: values.to_vec() };
            let text = serde_yaml::to_string(&file).map_err(std::io::Error::other);
            text.and_then(|text| replace(machine, &beside, &path, text.as_bytes()))
        };
        done.map_err(|e| StoreError::io(&path, e))
    }

    /// Values that were begun before the program was left or killed, and in words what of them could not be taken: that
    /// is set aside in the build's folder, never dropped.
    #[must_use]
    pub fn take_begun(&self) -> (Vec<Begun>, Option<String>) {
        let path = self.folder().join(FILE);
        let text = match fs::metadata(&path) {
            Err(_) => return (Vec::new(), None),
            Ok(m) if m.len() > LARGEST => Err(format!("it has {} bytes", m.len())),
            Ok(_) => fs::read_to_string(&path).map_err(|e| e.to_string()),
        };
        let read = text.and_then(|text| serde_yaml::from_str::<File>(&text).map_err(|e| e.to_string()));
        let read = read.and_then(|f| if f.runtrue == FORM { Ok(f) } else { Err(format!("its form is {}", f.runtrue)) });
        let values = match read {
            Ok(file) => file.values,
            Err(why) => return (Vec::new(), Some(self.set_begun_aside(&format!("cannot be read ({why})")))),
        };
        let (good, odd): (Vec<Begun>, Vec<Begun>) =
            values.into_iter().filter(|b| !self.record().recorded_since(b)).partition(|b| self.record().goes_on(b));
        if odd.is_empty() {
            return (good, None);
        }
        let names = odd.iter().map(|b| format!("{} {}", b.step, b.check)).collect::<Vec<_>>().join(", ");
        let told = self.set_begun_aside(&format!("do not fit the record any more ({names})"));
        // What still fits stays kept; where that fails it is on the screen, and kept with the next value.
        let _ = self.keep_begun(&good);
        (good, Some(told))
    }

    fn set_begun_aside(&self, why: &str) -> String {
        let path = self.folder().join(FILE);
        let stem = format!("not-complete-{}", stamp(self.machine()).replace(':', ""));
        let free =
            |n: u32| self.folder().join(if n == 0 { format!("{stem}.yaml") } else { format!("{stem}-{n}.yaml") });
        let to = (0..).map(free).find(|p| !p.exists()).unwrap_or_else(|| free(0));
        let what = format!("Values typed before the break {why}");
        match self.machine().rename(&path, &to) {
            Ok(()) => format!("{what}; they are set aside in {}. Measure anew, or read them there.", to.display()),
            Err(e) => format!("{what}, and cannot be set aside ({}: {e}). Measure anew.", path.display()),
        }
    }
}

impl Record {
    /// True where the part that a check is about was given up after so many entries: what was typed before is the former
    /// part's, and nothing for the one in its place.
    #[must_use]
    pub fn another_part_since(&self, step: &str, check: &str, after: u64) -> bool {
        // What was typed and not saved is no reading yet, so the parts tell, and not the readings that were given up.
        let parts = self.step(step).map_or(&[][..], |s| s.parts.as_slice());
        let about = |g: &super::given_up::Gone| {
            g.touches(step, check) || g.step == step || parts.iter().any(|p| g.given.parts.contains(p))
        };
        self.index.given_up.iter().any(|g| g.at as u64 >= after && about(g))
    }

    /// True where the check got its reading after these were typed: they have served.
    fn recorded_since(&self, begun: &Begun) -> bool {
        self.readings(&begun.step, &begun.check).iter().any(|k| k.event > begun.after)
    }

    /// True where these values may go on: the check still waits, and each of them is one of its values.
    fn goes_on(&self, begun: &Begun) -> bool {
        let Some(step) = self.step(&begun.step).filter(|_| begun.round == self.round()) else { return false };
        let Some(check) = step.checks.iter().find(|c| c.id == begun.check) else { return false };
        if self.another_part_since(&begun.step, &begun.check, begun.after) {
            return false;
        }
        let waits = !matches!(self.check_state(step, check), CheckState::Answered | CheckState::Stopped);
        waits && fits(step, check, &begun.given) && begun.first.as_ref().is_none_or(|f| fits(step, check, f))
    }
}

fn fits(step: &Step, check: &Check, given: &[String]) -> bool {
    let short = given.len() <= check.count.unwrap_or(1) as usize && given.iter().all(|g| g.chars().count() <= 200);
    match check.kind {
        CheckKind::Series => short && given.iter().all(|g| judge::value(check, g, true).is_ok()),
        CheckKind::Torque if !judge::is_round(check) => {
            let bolts: Vec<u32> = given.iter().filter_map(|g| g.split('=').next()?.parse().ok()).collect();
            let once: BTreeSet<&u32> = bolts.iter().collect();
            let clicks = given.iter().all(|g| !g.contains('='));
            let torque = |g: &String| g.split_once('=').is_some_and(|(_, t)| judge::value(check, t, true).is_ok());
            let sequence = step.sequence.as_deref().unwrap_or_default();
            let named = bolts.len() == given.len() && once.len() == bolts.len();
            short && named && bolts.iter().all(|n| sequence.contains(n)) && (clicks || given.iter().all(torque))
        }
        _ => false,
    }
}
