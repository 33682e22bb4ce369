//! JSON Schema of spec and family, made from the reader's own types, for editors that complete and check while one writes.

use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use super::near;
use super::problem::Problem;
use super::raw::Spec;
use super::tree::{Form, Node};

/// Behind the name of a section in which anything may be left to the family.
const PART: &str = "-or-less";

/// Schema of a spec: whole, or less than whole where it builds on a family.
#[must_use]
pub fn spec() -> Value {
    let (whole, mut defs) = generated();
    let mut own = less(&whole, true);
    own.insert("required".into(), json!(["runtrue", "builds on", "module", "title"]));
    let partial: Vec<(String, Value)> =
        objects(&defs).map(|(n, d)| (format!("{n}{PART}"), Value::Object(less(d, true)))).collect();
    defs.extend(partial);
    defs.insert("whole-spec".into(), Value::Object(whole));
    defs.insert("spec-on-a-family".into(), Value::Object(own));
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Module spec of runtrue, version 1",
        "type": "object",
        "if": { "required": ["builds on"] },
        "then": { "$ref": "#/$defs/spec-on-a-family" },
        "else": { "$ref": "#/$defs/whole-spec" },
        "$defs": defs,
    })
}

/// Schema of a family: any of a spec's fields but those that each module has of its own.
#[must_use]
pub fn family() -> Value {
    let (whole, mut defs) = generated();
    let mut own = less(&whole, false);
    if let Some(fields) = own.get_mut("properties").and_then(Value::as_object_mut) {
        for name in ["builds on", "module", "title"] {
            fields.shift_remove(name);
        }
        fields.insert(
            "runtrue".into(),
            json!({ "const": "family 1", "description": "The form of this file. Its first line." }),
        );
    }
    let partial: Vec<(String, Value)> =
        objects(&defs).map(|(n, d)| (format!("{n}{PART}"), Value::Object(less(d, false)))).collect();
    defs.extend(partial);
    let mut root = Map::new();
    root.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    root.insert("title".into(), json!("Family of module specs of runtrue, version 1"));
    own.insert(
        "description".into(),
        json!("What several modules share. A spec that builds on it states what is its own."),
    );
    own.insert("required".into(), json!(["runtrue"]));
    root.extend(own);
    drop_unused(&Value::Object(root.clone()), &mut defs);
    root.insert("$defs".into(), Value::Object(defs));
    Value::Object(root)
}

/// Leaves out what neither the root nor anything left refers to.
fn drop_unused(root: &Value, defs: &mut Map<String, Value>) {
    loop {
        let text = format!("{root}{}", Value::Object(defs.clone()));
        let before = defs.len();
        defs.retain(|name, _| text.contains(&format!("\"#/$defs/{name}\"")));
        if defs.len() == before {
            return;
        }
    }
}

/// The schema of a whole spec, and what it refers to.
fn generated() -> (Map<String, Value>, Map<String, Value>) {
    let root = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Spec>();
    let Value::Object(mut root) = root.to_value() else { return (Map::new(), Map::new()) };
    root.shift_remove("$schema");
    let defs = root.shift_remove("$defs");
    let Some(Value::Object(defs)) = defs else { return (root, Map::new()) };
    (root, defs)
}

fn objects(defs: &Map<String, Value>) -> impl Iterator<Item = (&String, &Map<String, Value>)> {
    defs.iter()
        .filter_map(|(name, def)| Some((name, def.as_object()?)))
        .filter(|(_, def)| def.contains_key("properties"))
}

/// A section with nothing required, of sections like it; `taken` lets an empty value take a field of the family away.
fn less(section: &Map<String, Value>, taken: bool) -> Map<String, Value> {
    let mut section = section.clone();
    section.shift_remove("required");
    if let Some(Value::Object(fields)) = section.get_mut("properties") {
        for (name, field) in fields.iter_mut() {
            *field = referring(field.take());
            if taken && !["runtrue", "builds on", "module", "title"].contains(&name.as_str()) {
                *field = json!({ "anyOf": [field.take(), { "type": "null" }] });
            }
        }
    }
    section
}

/// The same with every reference to a section pointing to the one in which anything may be left out. Items of lists stay whole: a list
/// replaces a list.
fn referring(value: Value) -> Value {
    match value {
        Value::Object(map) => {
            let turned = map.into_iter().map(|(key, value)| match (key.as_str(), &value) {
                ("$ref", Value::String(to)) if is_section(to) => (key, json!(format!("{to}{PART}"))),
                ("items", _) => (key, value),
                _ => (key, referring(value)),
            });
            Value::Object(turned.collect())
        }
        Value::Array(list) => Value::Array(list.into_iter().map(referring).collect()),
        other => other,
    }
}

/// Sections are named as their types are, sorts of values in lower case.
fn is_section(reference: &str) -> bool {
    reference.rsplit('/').next().is_some_and(|name| name.starts_with(|c: char| c.is_ascii_uppercase()))
}

/// Fields of a tree that no spec has, each with what may have been meant.
pub(super) fn unknown_fields(tree: &Node) -> Vec<Problem> {
    let (whole, defs) = generated();
    let mut found = Vec::new();
    unknown(tree, &Value::Object(whole), &defs, &mut found);
    found
}

fn unknown(node: &Node, schema: &Value, defs: &Map<String, Value>, found: &mut Vec<Problem>) {
    let schema = resolved(schema, defs);
    match &node.form {
        Form::Words { .. } => {}
        Form::List(list) => list.iter().for_each(|node| unknown(node, &schema["items"], defs, found)),
        Form::Map(list) => {
            let Some(fields) = schema["properties"].as_object() else {
                // Names that people choose, or a value where the file has a map; that is told when a spec is read on it.
                list.iter().for_each(|(_, node)| unknown(node, &schema["additionalProperties"], defs, found));
                return;
            };
            for (key, node) in list {
                match fields.get(&key.name) {
                    Some(field) => unknown(node, field, defs, found),
                    None => {
                        let known: Vec<&str> = fields.keys().map(String::as_str).collect();
                        let near = near::did_you_mean(&key.name, known.iter().copied());
                        found.push(Problem {
                            place: key.place,
                            what: format!("there is no field \"{}\" here", key.name),
                            mend: format!("{near}Fields here: {}.", known.join(", ")),
                        });
                    }
                }
            }
        }
    }
}

/// What a schema refers to; of "this or nothing" the first.
fn resolved<'a>(schema: &'a Value, defs: &'a Map<String, Value>) -> &'a Value {
    let schema = schema["anyOf"].get(0).unwrap_or(schema);
    let name = schema["$ref"].as_str().and_then(|r| r.rsplit('/').next());
    name.and_then(|name| defs.get(name)).unwrap_or(schema)
}
