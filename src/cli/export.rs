//! `export BUILD`: the record for people and programs. `blank SPEC`: a traveler to fill by hand.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::traveler::instruments::Register;
use crate::traveler::report::{self, Beside, Document};

use super::load::{self, Chosen};
use super::review::{self, Shown};
use super::{Answer, Asked, Failure, out, print};

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue export flywheel-017 --format html > flywheel-017.html\n\nThe HTML is one file with its drawings; print it from a browser."
)]
pub struct Export {
    /// Build, or a path to a folder that holds a record
    build: String,
    /// Form
    #[arg(long, value_enum, default_value_t = Form::Markdown)]
    format: Form,
    #[command(flatten)]
    shown: Shown,
    /// A file of allowed signers (ssh-keygen): tells whose the signatures are
    #[arg(long, value_name = "FILE")]
    signers: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Markdown,
    Html,
    Json,
    Csv,
}

impl Export {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let record = store.read(&self.build)?;
        let register = Register::load(store.root())?;
        let signatures = store.signatures(&self.build, self.signers.as_deref())?;
        let filter = self.shown.filter();
        review::known(&record, &filter)?;
        let beside = Beside { register: &register, signatures: Some(&signatures) };
        let document = || report::review(&record, &beside, &filter);
        match if asked.json { Form::Json } else { self.format } {
            Form::Text => out(&report::text(&document())),
            Form::Markdown => out(&report::markdown(&document())),
            Form::Html => out(&report::html(&document())),
            Form::Json => print(&review::as_json(&record, &beside, &filter)),
            Form::Csv => out(&super::csv::readings(&record, &filter)),
        }
        Ok(if record.integrity.whole() { Answer::Yes } else { Answer::No })
    }
}

/// The forms of a document that holds no data for programs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Page {
    Text,
    Markdown,
    Html,
}

impl Page {
    pub fn print(self, document: &Document) {
        out(&match self {
            Self::Text => report::text(document),
            Self::Markdown => report::markdown(document),
            Self::Html => report::html(document),
        });
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue blank flywheel --discs 3 --serial 017 > blank.html\n\nWhat was written on it is entered later with \"runtrue enter … --from-paper --measured-by INITIALS --at TIME\"."
)]
pub struct Blank {
    /// Module spec: a file, or a built-in module
    spec: String,
    #[command(flatten)]
    chosen: Chosen,
    /// Serial number to be printed on it
    #[arg(long, value_parser = super::as_typed)]
    serial: Option<String>,
    /// One person builds it: why; printed on it
    #[arg(long, value_name = "REASON", value_parser = super::as_typed)]
    alone: Option<String>,
    /// Form
    #[arg(long, value_enum, default_value_t = Page::Html)]
    format: Page,
}

impl Blank {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let module = load::module(&self.spec)?;
        let plan = load::plan(&module, &self.chosen.map()?, &load::words(asked)?)?;
        self.format.print(&report::blank(&plan, self.serial.as_deref(), self.alone.as_deref()));
        Ok(Answer::Yes)
    }
}
