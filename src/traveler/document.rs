//! An event as the text of its YAML document, and back.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex};

use serde::Deserialize;

use crate::procedure::plan::Plan;

use super::event::{Body, Event, Header, Started};

/// Writes header and body as the text of a document, without `---` and hash.
///
/// # Errors
/// What the YAML writer says.
pub fn write(header: &Header, body: &Body) -> Result<String, serde_yaml::Error> {
    let head = serde_yaml::to_string(header)?;
    let rest = match body {
        Body::Started(b) => serde_yaml::to_string(b)?,
        Body::Reading(b) => serde_yaml::to_string(b)?,
        Body::Disposition(b) => serde_yaml::to_string(b)?,
        Body::Release(b) => serde_yaml::to_string(b)?,
        Body::Note(b) => serde_yaml::to_string(b)?,
        Body::Hours(b) => serde_yaml::to_string(b)?,
        Body::Part(b) => serde_yaml::to_string(b)?,
        Body::Attached(b) => serde_yaml::to_string(b)?,
        Body::SetAside(b) => serde_yaml::to_string(b)?,
        Body::ClosedOut(b) => serde_yaml::to_string(b)?,
        Body::Reopened(b) => serde_yaml::to_string(b)?,
        Body::Changed(b) => serde_yaml::to_string(b)?,
        Body::Trial(b) => serde_yaml::to_string(b)?,
        Body::Adopted(b) => serde_yaml::to_string(b)?,
        Body::Unknown => String::new(),
    };
    Ok(head + &rest)
}

/// Reads a document back.
///
/// # Errors
/// What the YAML reader says.
pub fn read(text: &str, hash: &str) -> Result<Event, serde_yaml::Error> {
    // The head stands first and is short; a large document is not read twice for it.
    let header: Header = serde_yaml::from_str(head(text)).or_else(|_| serde_yaml::from_str(text))?;
    let body = match header.what.as_str() {
        "started" => Body::Started(Box::new(started(text)?)),
        "reading" => Body::Reading(serde_yaml::from_str(text)?),
        "disposition" => Body::Disposition(serde_yaml::from_str(text)?),
        "release" => Body::Release(serde_yaml::from_str(text)?),
        "note" => Body::Note(serde_yaml::from_str(text)?),
        "hours" => Body::Hours(serde_yaml::from_str(text)?),
        "part" => Body::Part(serde_yaml::from_str(text)?),
        "attached" => Body::Attached(serde_yaml::from_str(text)?),
        "set-aside" => Body::SetAside(serde_yaml::from_str(text)?),
        "closed-out" => Body::ClosedOut(serde_yaml::from_str(text)?),
        "reopened" => Body::Reopened(serde_yaml::from_str(text)?),
        "changed" | "visit" => Body::Changed(serde_yaml::from_str(text)?),
        "trial" => Body::Trial(serde_yaml::from_str(text)?),
        "adopted" => Body::Adopted(serde_yaml::from_str(text)?),
        _ => Body::Unknown,
    };
    Ok(Event { header, body, hash: hash.to_owned() })
}

/// The document up to and with its `what:`.
fn head(text: &str) -> &str {
    let from = text.find("\nwhat:").map_or(text.len(), |at| at + 1);
    let end = text[from..].find('\n').map_or(text.len(), |at| from + at + 1);
    &text[..end]
}

/// The start of a build without its plan.
#[derive(Deserialize)]
struct Opening {
    format: u32,
    program: String,
    serial: String,
    practice: bool,
    #[serde(default)]
    alone: Option<String>,
    spec_name: String,
    spec: String,
}

/// The plan stands last and is nearly all of the document. Builds of one module in one setup have the same, which is read
/// once while the program runs.
fn started(text: &str) -> Result<Started, serde_yaml::Error> {
    let Some((before, plan)) = text.split_once("\nplan:\n") else {
        return serde_yaml::from_str(text);
    };
    let parts = serde_yaml::from_str::<Opening>(before).and_then(|opening| Ok((opening, plan_of(plan)?)));
    match parts {
        Ok((o, plan)) => Ok(Started {
            format: o.format,
            program: o.program,
            serial: o.serial,
            practice: o.practice,
            alone: o.alone,
            spec_name: o.spec_name,
            spec: o.spec,
            plan,
        }),
        // Written in another order than this program's, or not readable: the whole document tells which.
        Err(_) => serde_yaml::from_str(text),
    }
}

/// Plans read, by their text.
static PLANS: LazyLock<Mutex<BTreeMap<String, Arc<Plan>>>> = LazyLock::new(Mutex::default);
/// So many are kept; one has some hundred kilobytes.
const MOST_PLANS: usize = 16;

fn plan_of(text: &str) -> Result<Arc<Plan>, serde_yaml::Error> {
    let known = PLANS.lock().ok().and_then(|plans| plans.get(text).cloned());
    if let Some(plan) = known {
        return Ok(plan);
    }
    let plan: Arc<Plan> = Arc::new(serde_yaml::from_str(text)?);
    if let Ok(mut plans) = PLANS.lock() {
        if plans.len() >= MOST_PLANS {
            plans.clear();
        }
        plans.insert(text.to_owned(), Arc::clone(&plan));
    }
    Ok(plan)
}

#[cfg(test)]
mod tests {
    use super::super::event::Noted;
    use super::*;
    use proptest::prelude::*;

    fn note(text: &str) -> String {
        let header = Header {
            event: 2,
            before: "x".into(),
            at: "2026-07-14T09:31:07.412+02:00".into(),
            by: text.chars().filter(char::is_ascii_alphanumeric).take(8).collect(),
            what: "note".into(),
        };
        write(&header, &Body::Note(Noted { step: "012".into(), text: text.to_owned() })).unwrap()
    }

    #[test]
    fn words_that_yaml_takes_for_something_else_come_back() {
        for text in [
            "012",
            "1:30",
            "no",
            "~",
            "",
            " ",
            "- a",
            "a: b",
            "#",
            "---",
            "hash: x\nhash: y",
            "\u{1b}[2J",
            "a\rb",
            "a\u{85}b",
            "\u{feff}x",
            "true",
            "1e3",
            "|",
            "é😀",
        ] {
            let written = note(text);
            assert!(crate::traveler::frame::build("", &written).is_ok(), "{written}");
            let Body::Note(back) = read(&written, "h").unwrap().body else { panic!("not a note") };
            assert_eq!(back.text, text, "{written}");
            assert_eq!(back.step, "012");
        }
    }

    #[test]
    fn a_start_is_read_in_parts_as_it_is_read_whole_and_a_bent_one_is_refused() {
        let home = tempfile::tempdir().unwrap();
        let (_, session) = crate::traveler::rules_tests::start(home.path());
        let event = &session.record().events[0];
        let text = write(&event.header, &event.body).unwrap();
        for _ in 0..2 {
            assert_eq!(read(&text, &event.hash).unwrap(), *event);
            assert_eq!(started(&text).unwrap(), serde_yaml::from_str(&text).unwrap());
        }
        // Another order of the fields, and a plan that is none.
        let (before, plan) = text.split_once("\nplan:\n").unwrap();
        let turned = before.replacen("what: started\n", &format!("what: started\nplan:\n{plan}"), 1);
        assert_eq!(read(&turned, &event.hash).unwrap(), *event);
        assert!(read(&text.replacen("  steps:", "  strides:", 1), "h").is_err());
        assert!(read(&text.replacen("serial:", "cereal:", 1), "h").is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 256, rng_seed: proptest::test_runner::RngSeed::Fixed(20_260_714), ..ProptestConfig::default() })]
        #[test]
        fn any_text_comes_back(text in any::<String>()) {
            let written = note(&text);
            prop_assert!(crate::traveler::frame::build("", &written).is_ok());
            let Body::Note(back) = read(&written, "h").unwrap().body else { panic!("not a note") };
            prop_assert_eq!(back.text, text);
        }
    }
}
