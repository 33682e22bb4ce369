//! What a reader must stand: any bytes at all, without a panic, and with the promises said beside each target.
//! `tests/fuzz_corpus.rs` runs the same functions over the kept inputs, on any toolchain.

use std::collections::BTreeMap;

use runtrue::module::{self, Module, Setup, SetupError, Source, sha256_hex};
use runtrue::procedure::{Words, design_check, make_plan};
use runtrue::quantity::{Amount, Band, Kind, parse_decimal};
use runtrue::traveler::instruments::Register;
use runtrue::traveler::report::{self, Filter};
use runtrue::traveler::{Record, StepState};

/// The spec reader, and what is computed from a spec that reads: the design check and the plan of the first setup.
/// A problem names a line that the text has, and its report holds no control code.
pub fn spec(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let source = Source { name: "fuzzed.yaml".into(), text: text.into() };
    match module::read(&source) {
        Ok(module) => {
            let _ = design_check::check(&module);
            if let Ok(setup) = first(&module) {
                let _ = make_plan(&module, &setup);
            }
        }
        Err(problems) => {
            assert!(!problems.list().is_empty(), "refused without a reason");
            let report = problems.report();
            assert!(!report.chars().any(|c| c.is_control() && c != '\n'), "a control code in {report:?}");
        }
    }
}

fn first(module: &Module) -> Result<Setup, SetupError> {
    Setup::choose(module, &BTreeMap::new())
}

/// The quantity parser. What reads as an amount reads the same again as it was written.
pub fn quantity(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let _ = parse_decimal(text);
    for &kind in Kind::ALL {
        if let Ok(amount) = Amount::parse_as(text, kind) {
            let plain = format!("{} {}", amount.number, amount.unit.symbol);
            let again = Amount::parse_as(&plain, kind).map(|a| (a.number, a.unit.symbol));
            assert_eq!(again, Ok((amount.number, amount.unit.symbol)), "{text:?} as {kind}, written {plain:?}");
            assert!(amount.as_f64().is_finite(), "{text:?} as {kind} is not finite");
            let _ = (amount.base(), amount.difference());
        }
        if let Ok(Band { lower: Some(lower), upper: Some(upper), .. }) = Band::parse(text, kind) {
            assert!(lower <= upper, "{text:?}: the lower limit lies over the upper");
        }
    }
}

/// The record's reader: the bytes as they are, and the same with every hash made true, so that what stands behind the
/// hashes is tried too. What reads is folded, printed in every form, and its verdicts looked at.
pub fn traveler(bytes: &[u8]) {
    let _ = Record::integrity_of(bytes);
    let _ = Record::read("fuzzed", bytes).map(|record| used(&record));
    let mended = with_true_hashes(bytes);
    let _ = Record::read("fuzzed", &mended).map(|record| used(&record));
}

fn used(record: &Record) {
    let _ = record.judged_again();
    let open = record.open_steps();
    assert!(open.iter().all(|step| record.step_state(&step.id) != StepState::Done), "an open step that is done");
    let beside = report::Beside { register: &Register::default(), signatures: None };
    let document = report::review(record, &beside, &Filter::default());
    let html = report::html(&document);
    assert!(!html.contains("<script"), "markup came through");
    let _ = (report::text(&document), report::markdown(&document));
}

/// Gives every `before:` and `hash:` line the value it ought to have.
#[must_use]
pub fn with_true_hashes(bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(bytes.len());
    let mut start = 0;
    let mut before = "none".to_owned();
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        if line.starts_with(b"hash: ") && line.ends_with(b"\n") {
            before = sha256_hex(&out[start..]);
            out.extend_from_slice(format!("hash: {before}\n").as_bytes());
            start = out.len();
        } else if line.starts_with(b"before: ") && line.ends_with(b"\n") {
            out.extend_from_slice(format!("before: {before}\n").as_bytes());
        } else {
            out.extend_from_slice(line);
        }
    }
    out
}

/// A workshop's own words: laid over the built-in ones or refused with the file's name; no caution or check is lost.
pub fn words(bytes: &[u8]) {
    let Ok(mut words) = Words::built_in().cloned() else { panic!("the built-in words do not read") };
    if let Err(error) = words.lay_over("fuzzed.yaml", bytes) {
        assert!(error.to_string().contains("fuzzed.yaml"), "{error}");
        return;
    }
    let flywheel = module::embedded("flywheel").and_then(|source| module::read(&source).ok());
    let module = flywheel.expect("the demo reads");
    let setup = first(&module).expect("the demo has a first setup");
    let plain = runtrue::procedure::make_plan(&module, &setup).expect("the demo has a plan");
    let Ok(own) = runtrue::procedure::plan_with(&module, &setup, &words) else { return };
    for (step, base) in own.steps.iter().zip(&plain.steps) {
        assert!(step.cautions.len() >= base.cautions.len(), "{}: a caution was lost", step.id);
        assert!(base.checks.iter().all(|c| step.checks.iter().any(|o| o.id == c.id)), "{}: a check was lost", step.id);
    }
}
