//! YAML that the program wrote or brought along: tables, records, registers.

use serde::de::{DeserializeOwned, Error};

/// Reads a document. The reader is reached through an interface and so made once, not anew for each of the many types
/// that are read with it: that takes 0.8 MB off the program.
///
/// # Errors
/// What the YAML reader says.
///
/// ```
/// let two: Vec<u8> = runtrue::standards::yaml::read("[6, 8]").unwrap();
/// assert_eq!(two, [6, 8]);
/// ```
pub fn read<T: DeserializeOwned>(text: &str) -> Result<T, serde_yaml::Error> {
    let mut reader = <dyn erased_serde::Deserializer<'_>>::erase(serde_yaml::Deserializer::from_str(text));
    erased_serde::deserialize(&mut reader).map_err(serde_yaml::Error::custom)
}
