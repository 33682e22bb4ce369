//! An event as the text of its YAML document, and back.

use super::event::{Body, Event, Header};

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
        Body::Part(b) => serde_yaml::to_string(b)?,
        Body::Attached(b) => serde_yaml::to_string(b)?,
        Body::SetAside(b) => serde_yaml::to_string(b)?,
        Body::ClosedOut(b) => serde_yaml::to_string(b)?,
        Body::Reopened(b) => serde_yaml::to_string(b)?,
        Body::Changed(b) => serde_yaml::to_string(b)?,
        Body::Unknown => String::new(),
    };
    Ok(head + &rest)
}

/// Reads a document back.
///
/// # Errors
/// What the YAML reader says.
pub fn read(text: &str, hash: &str) -> Result<Event, serde_yaml::Error> {
    let header: Header = serde_yaml::from_str(text)?;
    let body = match header.what.as_str() {
        "started" => Body::Started(serde_yaml::from_str(text)?),
        "reading" => Body::Reading(serde_yaml::from_str(text)?),
        "disposition" => Body::Disposition(serde_yaml::from_str(text)?),
        "release" => Body::Release(serde_yaml::from_str(text)?),
        "note" => Body::Note(serde_yaml::from_str(text)?),
        "part" => Body::Part(serde_yaml::from_str(text)?),
        "attached" => Body::Attached(serde_yaml::from_str(text)?),
        "set-aside" => Body::SetAside(serde_yaml::from_str(text)?),
        "closed-out" => Body::ClosedOut(serde_yaml::from_str(text)?),
        "reopened" => Body::Reopened(serde_yaml::from_str(text)?),
        "changed" => Body::Changed(serde_yaml::from_str(text)?),
        _ => Body::Unknown,
    };
    Ok(Event { header, body, hash: hash.to_owned() })
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
