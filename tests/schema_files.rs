//! The JSON Schema for editors: as committed, true to the demos, and not so wide that it takes everything.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use runtrue::module::schema;
use serde_json::Value;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures");

fn committed(name: &str) -> String {
    std::fs::read_to_string(format!("{FOLDER}/{name}.schema.json")).unwrap()
}

fn demo(name: &str) -> String {
    std::fs::read_to_string(format!("{FOLDER}/modules/{name}.yaml")).unwrap()
}

/// As an editor sees the file: YAML's own numbers are numbers.
fn value(text: &str) -> Value {
    serde_yaml::from_str(text).unwrap()
}

fn takes(schema: &Value, text: &str) -> Result<(), String> {
    let validator = jsonschema::draft202012::new(schema).unwrap();
    let value = value(text);
    let errors: Vec<String> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
    if errors.is_empty() { Ok(()) } else { Err(errors.join("\n")) }
}

/// Remake with `runtrue schema > procedures/spec.schema.json` and `runtrue schema family > procedures/family.schema.json`.
#[test]
fn the_committed_schemas_are_those_of_the_types() {
    for (name, made) in [("spec", schema::spec()), ("family", schema::family())] {
        assert_eq!(committed(name), serde_json::to_string_pretty(&made).unwrap() + "\n", "{name}");
        assert!(jsonschema::meta::is_valid(&made), "{name} is no schema");
    }
}

#[test]
fn every_demo_and_a_new_spec_are_valid() {
    let (spec, family) = (schema::spec(), schema::family());
    for name in runtrue::module::embedded_names() {
        takes(&spec, &demo(&name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        // As it is read, with its family laid under it.
        takes(&spec, &runtrue::module::embedded(&name).unwrap().text).unwrap_or_else(|e| panic!("{name}: {e}"));
    }
    takes(&family, &demo("family")).unwrap_or_else(|e| panic!("{e}"));
    let answers = runtrue::procedure::lay_out::Answers::default();
    let laid = runtrue::procedure::lay_out::lay_out(&answers, None).unwrap();
    takes(&spec, &laid.text).unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn faulty_ones_are_not() {
    let spec = schema::spec();
    let flywheel = demo("flywheel");
    for (from, to) in [
        ("runtrue: spec 1", "runtrue: spec 2"),
        ("diameter: 25 mm h6", "diameter: 25 h6"),
        ("length: 560 mm", "length: 560"),
        ("length: 560 mm", "length: 560 kg"),
        ("torque: 15 N·m", "torque: 15 mm"),
        ("profile: PJ", "profile: PX"),
        ("secure: second nut", "secure: glue"),
        ("use: 60 % of proof", "use: 60 %"),
        ("size: M10 x 45", "size: M10"),
        ("  count: 5\n", "  count: five\n"),
        ("  part: shaft\n", ""),
        ("  outer: 380 mm\n", "  outer: 380 mm\n  otuer: 380 mm\n"),
        ("edge: bored", "edge: burnt"),
        ("module: flywheel", "module: Fly wheel"),
        ("[fit/face]", "[face]"),
    ] {
        assert!(flywheel.contains(from), "{from}");
        assert!(takes(&spec, &flywheel.replacen(from, to, 1)).is_err(), "{to}");
    }
    // What is left to the family may be missing, and only where one is named.
    let winnower = demo("winnower");
    assert!(takes(&spec, &winnower.replacen("builds on: family.yaml", "", 1)).is_err());
    assert!(takes(&spec, &winnower.replacen("outer: 300 mm", "outer: 300", 1)).is_err());
    let family = schema::family();
    assert!(takes(&family, &demo("family").replacen("revision: A", "module: x", 1)).is_err());
    assert!(takes(&family, &demo("family").replacen("slip safety", "slip safty", 1)).is_err());
}

#[test]
fn every_field_has_its_description() {
    fn walk(value: &Value, path: &str, bare: &mut Vec<String>) {
        match value {
            Value::Object(map) => {
                for (name, field) in map.get("properties").and_then(Value::as_object).into_iter().flatten() {
                    if field["description"].as_str().is_none_or(str::is_empty) {
                        bare.push(format!("{path}/{name}"));
                    }
                }
                map.iter().for_each(|(k, v)| walk(v, &format!("{path}/{k}"), bare));
            }
            Value::Array(list) => list.iter().for_each(|v| walk(v, path, bare)),
            _ => {}
        }
    }
    let mut bare = Vec::new();
    let whole = schema::spec();
    walk(&whole["$defs"]["whole-spec"], "spec", &mut bare);
    for (name, def) in
        whole["$defs"].as_object().unwrap().iter().filter(|(n, _)| !n.ends_with("-or-less") && !n.ends_with("-family"))
    {
        walk(def, name, &mut bare);
    }
    assert!(bare.is_empty(), "{bare:?}");
}
