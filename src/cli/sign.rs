//! `sign BUILD --key FILE`: a signature of a closed record.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use crate::module::printable;
use crate::traveler::{NAMESPACE, SignError};

use super::{Answer, Asked, Failure, out, print};

impl From<SignError> for Failure {
    fn from(e: SignError) -> Self {
        Self::new(e.to_string())
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue sign flywheel-017 --key ~/.ssh/id_ed25519\n\nssh-keygen signs; the key stays where it is. \"runtrue verify\" checks, and so does ssh-keygen -Y verify without this program."
)]
pub struct Sign {
    /// Build
    build: String,
    /// Private key of OpenSSH, or the public one if an agent holds it
    #[arg(long, value_name = "FILE")]
    key: PathBuf,
}

impl Sign {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let file = asked.store()?.sign(&self.build, &self.key)?;
        let shown = file.display().to_string();
        if asked.json {
            print(&json!({ "build": self.build, "signature": shown, "namespace": NAMESPACE }));
        } else {
            out(&printable(&format!("Signed: {shown}\nCheck it with \"runtrue verify {}\".", self.build)));
        }
        Ok(Answer::Yes)
    }
}
