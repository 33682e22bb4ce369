//! For tests: the record with every kind of event, each text in it that a person can have written replaced by another.

use std::sync::LazyLock;

use serde_yaml::Value;

use super::event::{self, Event};
use super::record::Record;
use super::sample_tests::everything;
use super::state::Integrity;

/// Where a text stands in a document.
type Path = Vec<Value>;

/// The documents of the record, and the places in each that may hold any text.
static DOCUMENTS: LazyLock<Vec<(Value, Vec<Path>)>> = LazyLock::new(|| {
    let home = tempfile::tempdir().unwrap();
    let record = everything(home.path()).read("small-1").unwrap();
    record.events.iter().map(free).collect()
});

/// Tried one by one: what is still an event with another text there may hold any text.
fn free(event: &Event) -> (Value, Vec<Path>) {
    let document: Value = serde_yaml::from_str(&event::write(&event.header, &event.body).unwrap()).unwrap();
    let mut paths = Vec::new();
    leaves(&document, &mut Vec::new(), &mut paths);
    paths.retain(|path| {
        let mut tried = document.clone();
        *at(&mut tried, path) = Value::String("any text".into());
        let kind = path == &[Value::String("what".into())];
        !kind && read(&tried).is_some()
    });
    (document, paths)
}

fn leaves(value: &Value, path: &mut Path, out: &mut Vec<Path>) {
    match value {
        Value::String(_) => out.push(path.clone()),
        Value::Mapping(map) => {
            for (key, value) in map {
                path.push(key.clone());
                leaves(value, path, out);
                path.pop();
            }
        }
        Value::Sequence(list) => {
            for (n, value) in list.iter().enumerate() {
                path.push(Value::Number(n.into()));
                leaves(value, path, out);
                path.pop();
            }
        }
        _ => {}
    }
}

fn at<'v>(value: &'v mut Value, path: &[Value]) -> &'v mut Value {
    path.iter().fold(value, |value, key| match key.as_u64() {
        Some(n) if value.is_sequence() => &mut value[n as usize],
        _ => &mut value[key],
    })
}

fn read(document: &Value) -> Option<Event> {
    event::read(&serde_yaml::to_string(document).unwrap(), "h").ok()
}

/// Names that a spec chooses: axes of a setup, roles, facts of a part.
fn rename(value: &mut Value, text: &str) {
    match value {
        Value::Mapping(map) => {
            for (key, value) in map.iter_mut() {
                let names = ["setup", "people", "facts"].iter().any(|n| key == *n);
                if let (true, Some(inner)) = (names, value.as_mapping_mut()) {
                    *inner = std::mem::take(inner).into_iter().map(|(_, v)| (Value::String(text.into()), v)).collect();
                } else {
                    rename(value, text);
                }
            }
        }
        Value::Sequence(list) => list.iter_mut().for_each(|v| rename(v, text)),
        _ => {}
    }
}

/// That record, this text in all those places; and in how many.
pub(crate) fn record_of(text: &str) -> (Record, usize) {
    let mut places = 0;
    let changed = |(document, paths): &(Value, Vec<Path>)| {
        let mut document = document.clone();
        for path in paths {
            *at(&mut document, path) = Value::String(text.to_owned());
        }
        places += paths.len();
        rename(&mut document, text);
        read(&document).unwrap()
    };
    let events: Vec<Event> = DOCUMENTS.iter().map(changed).collect();
    (Record::of_events(text, events, Integrity::default()).unwrap(), places)
}
