//! `verify BUILD`: is the record as it was written, is it the one the plate names, who signed it, does it come out again.

use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::{Map, Value, json};

use crate::traveler::{
    CopyState, FILE, Integrity, NAMESPACE, Record, Relation, Signature, Store, StoreError, apart, copy_state, relation,
};

use super::{Answer, Asked, Failure, look, one_line, out, print, recompute, review};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue verify flywheel-015\n  runtrue verify flywheel-015 --recompute")]
pub struct Verify {
    /// Build, or a path to a folder that holds a record
    build: String,
    /// The code on the module's plate: one of the close-outs must have it
    #[arg(long)]
    code: Option<String>,
    /// A file of allowed signers (ssh-keygen): signatures must be of one of them
    #[arg(long, value_name = "FILE")]
    signers: Option<PathBuf>,
    /// Another copy of the record, to be set side by side
    #[arg(long, value_name = "PATH")]
    against: Option<String>,
    /// Derive the plan and judge every reading once more, and tell differences; no verdict is changed
    #[arg(long)]
    recompute: bool,
}

/// What was found: lines for people, keys for programs, and whether all is well.
#[derive(Default)]
struct Found {
    lines: Vec<String>,
    keys: Map<String, Value>,
    wrong: bool,
}

impl Found {
    fn key(&mut self, name: &str, value: Value) {
        self.keys.insert(name.to_owned(), value);
    }
}

impl Verify {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let mut found = Found::default();
        match store.read(&self.build) {
            Ok(record) => self.look(&store, &record, &mut found)?,
            Err(unreadable @ StoreError::NoRecord(_)) => {
                damaged(&store.integrity(&self.build)?, &unreadable.to_string(), &self.build, &mut found);
            }
            Err(other) => return Err(other.into()),
        }
        let answer = if found.wrong { Answer::No } else { Answer::Yes };
        if asked.json {
            print(&Value::Object(found.keys));
        } else {
            found.lines.iter().for_each(|line| out(&one_line(line)));
        }
        Ok(answer)
    }

    fn look(&self, store: &Store, record: &Record, found: &mut Found) -> Result<(), Failure> {
        chain(record, self.code.is_some(), found);
        attached(&store.folder_of(&self.build)?, record, found);
        if let Some(code) = &self.code {
            plate(record, code, found);
        }
        let signatures = store.signatures(&self.build, self.signers.as_deref())?;
        signed(&signatures, self.signers.is_some(), found);
        if let Some(other) = &self.against {
            beside(record, &elsewhere(store, other)?, other, found);
        }
        if self.recompute {
            let differences = recompute::differences(record);
            found.lines.extend(recompute::lines(&differences));
            found.key("recompute", recompute::as_json(&differences));
        }
        Ok(())
    }
}

fn chain(record: &Record, compared: bool, found: &mut Found) {
    let i = &record.integrity;
    let complete = record.is_closed();
    let code = record.closeouts().last().filter(|_| complete).map(|(_, code, _, _)| code.clone());
    found.wrong = !i.whole() || i.torn_tail > 0;
    found.key("build", json!(record.build));
    integrity_keys(i, found);
    found.key("closeouts", json!(review::closeouts(record)));
    found.key("code", json!(code));
    found.key("clock_set_back", json!(record.clock_set_back()));
    found.lines.push(format!("{}: {} events, {}.", record.build, i.events, i.words()));
    for (event, code, _, _) in record.closeouts() {
        found.lines.push(format!("Closed out at entry {event}, code {code}."));
    }
    if code.is_none() {
        found.lines.push("Not closed: whole events that were cut off at the end would not show.".into());
    } else if !compared {
        found.lines.push("Compare the code with the module's plate (--code): only a code kept elsewhere or a signature shows whether whole events were cut off, or everything was written anew.".into());
    }
    for event in record.clock_set_back() {
        found.lines.push(format!("The clock was set back before entry {event}."));
    }
}

/// Files kept with the build: each must still have the size and hash that the record states.
fn attached(folder: &std::path::Path, record: &Record, found: &mut Found) {
    let mut list = Vec::new();
    for kept in record.attachments() {
        let state = copy_state(folder, kept);
        found.wrong |= state != CopyState::Unchanged;
        found.lines.push(format!("Attached file {}: {}.", kept.file, state.word()));
        list.push(json!({ "step": kept.step, "file": kept.file, "sha256": kept.sha256, "state": state.word() }));
    }
    found.key("attachments", json!(list));
}

fn integrity_keys(i: &Integrity, found: &mut Found) {
    found.key("events", json!(i.events));
    found.key("whole", json!(i.whole()));
    found.key("first_bad_event", json!(i.first_bad.as_ref().map(|(n, _)| n)));
    found.key("torn_tail", json!(i.torn_tail > 0));
}

/// The answer where not even the first event can be trusted: "no", with the place.
fn damaged(i: &Integrity, why: &str, build: &str, found: &mut Found) {
    found.wrong = true;
    found.key("build", json!(build));
    integrity_keys(i, found);
    found.key("closeouts", json!([]));
    found.key("code", Value::Null);
    found.key("reason", json!(why));
    found.lines.push(why.to_owned());
}

/// Hyphens and case of a code do not count.
fn plate(record: &Record, code: &str, found: &mut Found) {
    let plain = |t: &str| t.chars().filter(char::is_ascii_hexdigit).collect::<String>().to_lowercase();
    let wanted = plain(code);
    let event = record.closeouts().iter().find(|(_, code, _, _)| plain(code) == wanted).map(|(event, ..)| *event);
    found.wrong |= event.is_none();
    found.key("code_at", json!(event));
    found.lines.push(match event {
        Some(event) => format!("The code {code} is that of entry {event}: up to there nothing was changed or cut off."),
        None => format!(
            "NO close-out of this record has the code {code}: it was misread, belongs to another record, or entries were cut off or written anew."
        ),
    });
}

fn signed(signatures: &[Signature], asked_who: bool, found: &mut Found) {
    found.key("signatures", json!(signatures.iter().map(review::signature).collect::<Vec<_>>()));
    found.wrong |= signatures.iter().any(|s| s.good == Some(false)) || (asked_who && signatures.is_empty());
    if asked_who && signatures.is_empty() {
        found.lines.push("There is NO signature beside this record.".into());
    }
    for s in signatures {
        let word = match s.good {
            Some(true) => "good",
            Some(false) => "BAD",
            None => "not checked",
        };
        let who = s.signer.as_ref().map_or_else(String::new, |w| format!(", signer {w}"));
        found.lines.push(format!("Signature {} of entry {}: {word}{who}; {}", s.file, s.event, s.said));
        found.lines.push(format!(
            "  By hand: head -c {} {FILE} | ssh-keygen -Y check-novalidate -n {NAMESPACE} -s {}",
            s.bytes, s.file
        ));
    }
}

/// A copy in another folder, or one of the builds.
fn elsewhere(store: &Store, other: &str) -> Result<Record, Failure> {
    let path = Path::new(other);
    let here = path.join(FILE).is_file() && !other.contains(['/', '\\']);
    Ok(store.read(&if here { format!("./{other}") } else { other.to_owned() })?)
}

fn beside(own: &Record, other: &Record, named: &str, found: &mut Found) {
    let how = relation(own, other);
    let (mine, theirs) = apart(own, other);
    let row = |e: &crate::traveler::event::Event| json!({ "event": e.header.event, "at": e.header.at, "by": e.header.by, "what": look::event_words(e) });
    found.wrong |= matches!(how, Relation::Diverged(_) | Relation::Unrelated);
    found.key(
        "against",
        json!({
            "path": named, "relation": how.word(), "common": own.events.len() - mine.len(),
            "here": mine.iter().map(row).collect::<Vec<_>>(), "there": theirs.iter().map(row).collect::<Vec<_>>(),
        }),
    );
    found.lines.push(match how {
        Relation::Unrelated => format!("{named} is the record of another build."),
        Relation::Same => format!("{named} holds the same entries."),
        Relation::Ahead(n) => format!("{named} is an older copy: this record has {n} entries more."),
        Relation::Behind(n) => format!("{named} is newer: it has {n} entries more."),
        Relation::Diverged(n) => format!(
            "The two copies went different ways after entry {n}. They are not merged: decide which goes on, and enter there again what the other has."
        ),
    });
    if how != Relation::Unrelated {
        let line = |side: &str, e: &crate::traveler::event::Event| {
            format!("  {side} {:>4} {} {:<4} {}", e.header.event, e.header.at, e.header.by, look::event_words(e))
        };
        found.lines.extend(mine.iter().map(|e| line("here: ", e)));
        found.lines.extend(theirs.iter().map(|e| line("there:", e)));
    }
}
