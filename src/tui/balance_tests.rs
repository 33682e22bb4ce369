//! Balancing on the screen: an amplitude and its angle typed as one, the rotor drawn with what was found, at both sizes.

use std::collections::BTreeMap;

use super::tests::{Demo, keys, screen, text};
use super::*;
use crate::module::{Setup, Source, embedded, read};
use crate::procedure::make_plan;
use crate::traveler::{Entry, Start, Store};

/// A build of the steps of a plan that balance.
fn bench(balance: Option<&str>, home: &std::path::Path, size: (u16, u16)) -> App<'static> {
    let mut text = embedded("blower").unwrap().text;
    if let Some(balance) = balance {
        let (from, to) = (text.find("balance:  ").unwrap(), text.find("\npeople:").unwrap());
        text = format!("{}balance:\n  {balance}\n{}", &text[..from], &text[to..]);
    }
    let module = read(&Source { name: "x".into(), text }).unwrap_or_else(|p| panic!("{}", p.report()));
    let mut plan = make_plan(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
    plan.steps.retain(|s| s.operation == "balance");
    plan.steps.iter_mut().for_each(|s| s.after.clear());
    let start = Start {
        plan,
        spec_text: module.text,
        spec_name: "blower".into(),
        serial: "1".into(),
        by: "ak".into(),
        practice: true,
        alone: None,
    };
    let store = Store::locate(Some(home)).unwrap();
    drop(store.start(start).unwrap());
    let mut app = App::new(store, &Demo, Theme::plain());
    app.by = Some("ak".into());
    app.update(&crossterm::event::Event::Resize(size.0, size.1));
    app.open_build("blower-1");
    app
}

fn enter(app: &mut App<'_>, step: &str, check: &str, values: &[&str]) {
    let entry = Entry {
        step: step.into(),
        check: check.into(),
        values: values.iter().map(|v| (*v).to_owned()).collect(),
        by: "ak".into(),
        ..Entry::default()
    };
    app.session.as_mut().unwrap().enter(&entry).unwrap();
}

/// 1000 g·mm at 72° against 3000 g·mm of drag, as in `tests/balance.rs`: 20 g at 252° are missing.
#[test]
fn the_rotor_is_drawn_with_its_heavy_side_and_the_washers_to_fit() {
    for size in [(80, 24), (140, 40)] {
        let home = tempfile::tempdir().unwrap();
        let mut app = bench(None, home.path(), size);
        enter(&mut app, "balance-prepare", "ready", &["yes"]);
        enter(&mut app, "balance-prepare", "washer", &["1.8 g"]);
        enter(&mut app, "balance-initial", "starts", &["53.8197 g", "40 g", "53.8197 g", "76.1803 g", "76.1803 g"]);
        app.show("balance-washers".into());
        app.picture = size.0 < 100;
        let shown = text(&app);
        for told in
            ["HE", "heavy at 72°: 1000 g·mm", "M at 252°: 20.0 g missing", "+ hole 4: 4 to fit", "+ hole 5: 4 to fit"]
        {
            assert!(shown.contains(told), "{size:?} {told}: {shown}");
        }
        app.picture = false;
        // The cautions of the step are read to the end before its entry opens.
        for _ in 0..2 {
            super::tests::key(&mut app, crossterm::event::KeyCode::PageDown);
            let _ = text(&app);
        }
        let asked = text(&app).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(asked.contains("(counts 0 0 0 4 4)"), "what is to be fitted stands in the question: {asked}");
    }
}

/// P2: 6.2 at 40°, with 12 g at 90° 8.1 at 115°: 8.42 g at 152.3° (by an independent program).
#[test]
fn an_amplitude_at_its_angle_is_typed_as_one() {
    let home = tempfile::tempdir().unwrap();
    let one = "method: single plane\n  reads: mm/s\n  floor: 0.01 mm/s\n  planes: [far end]\n  correct by: [washers]\n  washers: { size: M8, most: 4 }";
    let mut app = bench(Some(one), home.path(), (140, 40));
    for (step, reading) in
        [("balance-run-1", "6.2@40\n"), ("balance-trial-1", "12@90\n"), ("balance-run-2", "8.1\n115\n")]
    {
        if step != "balance-trial-1" {
            enter(&mut app, step, "speed", &["900 rpm"]);
        }
        app.show(step.into());
        // Long cautions are read to the end before the entry opens.
        for _ in 0..6 {
            super::tests::key(&mut app, crossterm::event::KeyCode::PageDown);
        }
        keys(&mut app, reading);
        assert!(text(&app).contains("Saved, entry"), "{step}: {}", text(&app));
    }
    let kept = app.record().unwrap().reading("balance-run-2", "correction").unwrap().reading.values[0].clone();
    assert_eq!(kept, "8.42");
    app.show("balance-washers".into());
    let shown = text(&app);
    assert!(shown.contains("heavy at 332°: 421 g·mm"), "{shown}");
    let _ = screen(&app);
}
