//! `schema`: the JSON Schema of a spec or a family.

use clap::{Args, ValueEnum};

use crate::module::schema;

use super::{Answer, Asked, Failure, out};

/// JSON Schema of a spec or a family.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  runtrue schema > spec.schema.json
  runtrue schema family > family.schema.json")]
pub struct Schema {
    /// Of which file
    #[arg(value_enum, default_value_t = Of::Spec)]
    of: Of,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Of {
    /// A module spec
    Spec,
    /// A family that specs build on
    Family,
}

impl Schema {
    pub fn run(self, _: &Asked) -> Result<Answer, Failure> {
        let schema = match self.of {
            Of::Spec => schema::spec(),
            Of::Family => schema::family(),
        };
        let text = serde_json::to_string_pretty(&schema).map_err(|e| Failure::new(e.to_string()))?;
        out(&text);
        Ok(Answer::Yes)
    }
}
