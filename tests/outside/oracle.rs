//! Value files made by the scripts under `tests/oracles`, each with its library pinned by version.

use serde_json::Value;

/// What `tests/oracles/NAME.json` holds under `values`. The file also names library and version; the script beside it,
/// `NAME.py` or `NAME.sh`, makes it anew.
pub fn values(name: &str) -> Value {
    let path = format!("{}/tests/oracles/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let file: Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{path}: {e}"));
    assert!(file["library"].is_string() && file["version"].is_string(), "{path}: library and version are named");
    file["values"].clone()
}
