//! Commands that write the record: build, enter, release, note, finish, reopen.

use std::io::IsTerminal;
use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use crate::module::{Module, printable};
use crate::procedure::remaining;
use crate::traveler::{
    Disposition, DispositionKind, EndedEarly, Entry, EntryError, Paper, Record, Release, Remote, Session, Start,
    StoreError, code,
};

use super::load::{self, Chosen};
use super::{Answer, Asked, Failure, out, print, refused};

impl From<StoreError> for Failure {
    fn from(e: StoreError) -> Self {
        Self::new(e.to_string())
    }
}

impl From<EntryError> for Failure {
    fn from(e: EntryError) -> Self {
        Self { entry: true, ..Self::new(format!("not recorded: {e}")) }
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue build flywheel --serial 018 --by ak\n  runtrue build flywheel --serial 019 --by ak --set discs=3 --no-open"
)]
pub struct Build {
    /// Module spec: a file, or a built-in module
    spec: String,
    /// Serial number of this module
    #[arg(long, value_parser = super::as_typed)]
    serial: String,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
    #[command(flatten)]
    chosen: Chosen,
    /// A practice build, no real module
    #[arg(long)]
    practice: bool,
    /// One person builds it: why; who did the work may then release its holds
    #[arg(long, value_name = "REASON", value_parser = super::as_typed)]
    alone: Option<String>,
    /// Print the build's name and do not open the guide, as with --json
    #[arg(long)]
    no_open: bool,
}

impl Build {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        // Whoever reads JSON has no use for the guide; where it cannot open nothing is started either.
        let quiet = self.no_open || asked.json;
        if !quiet && !super::guide::can_open() {
            return Err(Failure::new(
                "the guide needs a terminal, so nothing was started; --no-open starts the build and prints its name",
            ));
        }
        let module = load::module(&self.spec)?;
        let plan = load::plan(&module, &self.chosen.map()?, &load::words(asked)?)?;
        let start = Start {
            plan,
            spec_text: module.text.clone(),
            spec_name: self.spec,
            serial: self.serial,
            by: self.by.clone(),
            practice: self.practice,
            alone: self.alone,
        };
        let session = asked.store()?.start(start)?;
        helper(session.record(), &self.by);
        let build = session.record().build.clone();
        let [setup, said] = taken(&module, session.record());
        let chosen = session.record().plan().setup.clone();
        drop(session);
        if quiet {
            // A program finds the setup in the JSON; a person at a terminal is told how to take another.
            if std::io::stderr().is_terminal() {
                eprintln!("{}", printable(&setup));
            }
            if asked.json {
                print(&json!({ "build": build, "setup": chosen }));
            } else {
                out(&build);
            }
            return Ok(Answer::Yes);
        }
        super::guide::open(asked, &crate::tui::Opening::Begun { build, said }, Some(&self.by))
    }
}

/// Which setup a build was started in and which others there are; how another is taken, on the command line and in the
/// guide.
fn taken(module: &Module, record: &Record) -> [String; 2] {
    let setup = &record.plan().setup;
    if setup.is_empty() {
        let only = format!("{} has one setup only.", record.plan().module);
        return [only.clone(), only];
    }
    let chosen = setup.iter().map(|(axis, value)| format!("{axis} {value}")).collect::<Vec<_>>().join(", ");
    let others = module.axes.iter().map(|a| {
        let others = a.allowed.iter().filter(|v| setup.get(&a.name) != Some(v)).map(String::as_str);
        format!("{} {}", a.name, others.collect::<Vec<_>>().join(", "))
    });
    let others = others.collect::<Vec<_>>().join("; ");
    let build = &record.build;
    [
        format!("The setup is {chosen}. Another ({others}): runtrue change {build} --set AXIS=VALUE."),
        format!("The setup is {chosen}. m, then j takes another ({others})."),
    ]
}

/// Says on standard error, at their first entry, that initials stand under no role: a helper, or a slip of the finger.
pub fn helper(record: &Record, by: &str) {
    if let Some(words) = record.unknown(by).filter(|_| record.is_new(by)) {
        eprintln!("{}", printable(&format!("{words}. {by} counts as a helper.")));
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue enter flywheel-017 inspect-shaft run-out \"0.01 mm\" --by ak\n  runtrue enter flywheel-017 inspect-shaft run-out \"0.02 mm\" --by ak --correct --reason \"read wrongly\""
)]
pub struct Enter {
    /// Build, as "runtrue builds" lists it
    build: String,
    /// Step id
    step: String,
    /// Check id
    check: String,
    /// Value or values, each with its unit; none to decide on the reading in force
    #[arg(required_unless_present = "disposition", value_name = "VALUE", value_parser = super::as_typed)]
    values: Vec<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
    /// Instrument, as in the register
    #[arg(long, value_name = "ID")]
    instrument: Option<String>,
    /// Put the reading in force right
    #[arg(long)]
    correct: bool,
    /// Why: of a correction, a disposition, an early end
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: Option<String>,
    /// Answer to a reading outside its limits
    #[arg(long, value_parser = ["rework", "repair", "use-as-is", "scrap", "return"])]
    disposition: Option<String>,
    /// A part that is scrapped or sent back, once for each; has to be named where the step is on several
    #[arg(long = "part", value_name = "PART", requires = "disposition")]
    parts: Vec<String>,
    /// Role in which you decide
    #[arg(long)]
    role: Option<String>,
    /// Typed from paper
    #[arg(long, requires = "measured_by", requires = "at")]
    from_paper: bool,
    /// Who measured
    #[arg(long, value_name = "INITIALS", requires = "from_paper")]
    measured_by: Option<String>,
    /// When it was measured
    #[arg(long, value_name = "TIME", requires = "from_paper", value_parser = super::as_typed)]
    at: Option<String>,
    /// Who read the value back to you
    #[arg(long, value_name = "INITIALS")]
    witness: Option<String>,
}

impl Enter {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let build = self.build.clone();
        let entry = self.entry()?;
        let mut session = asked.store()?.resume(&build)?;
        helper(session.record(), &entry.by);
        let outcome = refused::entered(session.enter(&entry), &session, &entry)?;
        let left =
            entry.disposition.as_ref().filter(|d| d.kind.gives_up()).and_then(|_| session.record().setups_left());
        if asked.json {
            print(&json!({
                "recorded": true, "event": outcome.event, "verdict": outcome.verdict, "because": outcome.message,
                "lower": outcome.lower, "upper": outcome.upper, "wanted": outcome.wanted, "doubt": outcome.doubt,
                "next": outcome.next, "setups": left,
            }));
        } else {
            out(&format!(
                "Recorded as entry {}: {}, {}.\nMay be done now: {}{}",
                outcome.event,
                outcome.verdict.word(),
                outcome.message,
                outcome.next.join(", "),
                left.as_deref().map_or_else(String::new, remaining::words)
            ));
        }
        if let Some(doubt) = &outcome.doubt {
            let how = "if it was mistyped, enter it again with --correct --reason";
            eprintln!("{}", printable(&format!("Look again: {doubt}; {how}.")));
        }
        let accepted = entry.disposition.is_some_and(|d| d.kind.accepts());
        Ok(if outcome.verdict.open() && !accepted { Answer::No } else { Answer::Yes })
    }

    fn entry(self) -> Result<Entry, Failure> {
        let need = |what: &Option<String>, name: &str| {
            what.clone().ok_or_else(|| Failure::new(format!("{name} is needed with this")))
        };
        let disposition = match &self.disposition {
            Some(word) => Some(Disposition {
                kind: DispositionKind::of(word).ok_or_else(|| Failure::new(format!("\"{word}\" is no disposition")))?,
                reason: need(&self.reason, "--reason")?,
                role: need(&self.role, "--role")?,
            }),
            None => None,
        };
        let end_early = match (&self.role, &self.reason, &disposition, self.correct) {
            (Some(role), Some(reason), None, false) => Some(EndedEarly { role: role.clone(), reason: reason.clone() }),
            _ => None,
        };
        let paper = match (self.from_paper, self.measured_by, self.at) {
            (true, Some(measured_by), Some(at)) => Some(Paper { measured_by, at }),
            _ => None,
        };
        Ok(Entry {
            step: self.step,
            check: self.check,
            values: self.values,
            by: self.by,
            instrument: self.instrument,
            correct: if self.correct { Some(need(&self.reason, "--reason")?) } else { None },
            disposition,
            parts: self.parts,
            paper,
            witness: self.witness,
            end_early,
            bare: false,
            twice: false,
            anew: Vec::new(),
            helper: false,
        })
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue release flywheel-016 prove-slip --by mh --role design --remote telephone --taken-by ak\n  runtrue release flywheel-016 prove-slip --by mh --role design"
)]
pub struct ReleaseStep {
    /// Build
    build: String,
    /// Step id of the hold point
    step: String,
    /// Initials of the one who releases
    #[arg(long, value_name = "INITIALS")]
    by: String,
    /// Role in which it is released
    #[arg(long)]
    role: String,
    /// Released from afar: by which channel
    #[arg(long, value_name = "CHANNEL", requires = "taken_by", value_parser = super::as_typed)]
    remote: Option<String>,
    /// Who took the release down
    #[arg(long, value_name = "INITIALS")]
    taken_by: Option<String>,
    /// Nobody else is present (a one-person build, before power)
    #[arg(long)]
    nobody_else: bool,
}

impl ReleaseStep {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let remote = self.remote.zip(self.taken_by).map(|(channel, taken_by)| Remote { channel, taken_by });
        let mut session = asked.store()?.resume(&self.build)?;
        helper(session.record(), &self.by);
        if let Some(remote) = &remote {
            helper(session.record(), &remote.taken_by);
        }
        let (step, nobody_else) = (self.step.clone(), self.nobody_else);
        let release = Release { step, by: self.by, role: self.role, remote, nobody_else };
        let event = refused::kept(session.release(&release), &session)?;
        told(asked, &session, event, &format!("{} is released", self.step));
        Ok(Answer::Yes)
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue note flywheel-017 inspect-shaft \"left on the bench, wrapped\" --by ak\n  runtrue note flywheel-017 inspect-shaft \"certificate\" --attach certificate.pdf --by ak"
)]
pub struct Note {
    /// Build
    build: String,
    /// Step id
    step: String,
    /// Text
    #[arg(value_parser = super::as_typed)]
    text: String,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
    /// File to be copied into the build's folder and kept with its hash; the text tells what it shows
    #[arg(long, value_name = "FILE")]
    attach: Option<PathBuf>,
}

impl Note {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let mut session = asked.store()?.resume(&self.build)?;
        helper(session.record(), &self.by);
        let (done, said) = match &self.attach {
            None => (session.note(&self.step, &self.text, &self.by), "The note is kept"),
            Some(file) => (session.attach(&self.step, file, &self.text, &self.by), "The file is kept"),
        };
        let event = refused::kept(done, &session)?;
        told(asked, &session, event, said);
        Ok(Answer::Yes)
    }
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue finish flywheel-015 --by ak\n  runtrue verify flywheel-015 --json")]
pub struct Finish {
    /// Build
    build: String,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
}

impl Finish {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let mut session = asked.store()?.resume(&self.build)?;
        helper(session.record(), &self.by);
        let event = refused::kept(session.finish(&self.by), &session)?;
        let code = session.record().events.last().map_or_else(String::new, |e| code(&e.hash));
        if asked.json {
            print(&json!({ "recorded": true, "event": event, "code": code }));
        } else {
            out(&format!("The record is closed. Code for the plate: {code}"));
        }
        Ok(Answer::Yes)
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue reopen flywheel-015 --reason \"belt changed\" --by ak\n  runtrue change flywheel-015 --replace belt"
)]
pub struct Reopen {
    /// Build
    build: String,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
    /// Why
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: String,
}

impl Reopen {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let mut session = asked.store()?.resume(&self.build)?;
        helper(session.record(), &self.by);
        let event = refused::kept(session.reopen(&self.by, &self.reason), &session)?;
        told(asked, &session, event, "The record is open again; the code of the earlier close-out stays checkable");
        Ok(Answer::Yes)
    }
}

pub fn told(asked: &Asked, session: &Session, event: u64, words: &str) {
    let next: Vec<String> = session.record().open_steps().iter().map(|s| s.id.clone()).collect();
    if asked.json {
        print(&json!({ "recorded": true, "event": event, "next": next }));
    } else {
        out(&format!("{words}, entry {event}.\nMay be done now: {}", next.join(", ")));
    }
}
