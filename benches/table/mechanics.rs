//! Critical speeds and samples of a stack, beside libraries of another language where they are installed.

use std::hint::black_box;
use std::io::Write;
use std::process::{Command, Stdio};

use runtrue::mechanics::stack_samples::{Spread, sample};
use runtrue::mechanics::stack_up::Link;
use runtrue::mechanics::whirl;
use runtrue::module::{self, Setup};
use runtrue::procedure::figures;
use runtrue::quantity::Stiffness;
use runtrue::standards::bench;
use serde_json::{Value, json};

use super::{RUNS, Table, Times};

const SAMPLES: u32 = 1_000_000;

pub fn measure(table: &mut Table) {
    let module = module::read(&module::embedded("flywheel").unwrap()).unwrap();
    let setup = Setup::all(&module).remove(0);
    let frame = Stiffness::from_n_per_m(bench::frame_stiffness().low);
    let rotor = figures::swinging(&module, &setup, frame).unwrap();
    let other = others(&rotor);
    let own = Times::of(|| {
        black_box(whirl::first_critical(black_box(&rotor)).unwrap());
    });
    let of = |name: &str| -> Result<Times, String> {
        let found = &other[name];
        let list = found.as_array().ok_or_else(|| found.as_str().unwrap_or("no answer").to_owned())?;
        Ok(Times::new(list.iter().filter_map(Value::as_f64).collect()))
    };
    let faster = |table: &mut Table, what: &str, own: &Times, name: &str, aim: f64| {
        let words = format!("{aim} times");
        match of(name) {
            Ok(other) => table.ratio(what, (&other, own), (words.as_str(), other.median() / own.median() >= aim)),
            Err(why) => table.without(what, &format!("not measured: {why}"), &words),
        }
    };
    faster(table, "ross-rotordynamics / first critical speed of the demo rotor", &own, "ross", 100.0);
    table.ms("first critical speed of the demo rotor", &own, None);
    let size = |text: &str| text.parse().unwrap();
    let links = [
        Link::new(size("7.8"), size("8.2"), 5),
        Link::new(size("19.9"), size("20.1"), 2),
        Link::new(size("2.9"), size("3.1"), -1),
    ];
    for (spread, name) in [(Spread::Even, "even"), (Spread::Normal, "normal")] {
        let own = Times::of(|| {
            black_box(sample(black_box(&links), spread, SAMPLES, 7).unwrap());
        });
        faster(table, &format!("numpy / a million stacks of 8 parts, {name}"), &own, &format!("numpy_{name}"), 5.0);
        table.ms(&format!("a million stacks of 8 parts, {name}"), &own, None);
    }
}

/// Seconds of the other libraries, by name; in place of a list the reason why there is none.
fn others(rotor: &whirl::Rotor) -> Value {
    let asked = json!({
        "runs": RUNS,
        "samples": SAMPLES,
        "length": rotor.length.m(),
        "diameter": rotor.diameter.m(),
        "density": rotor.density.kg_m3(),
        "elastic": rotor.elastic.mpa() * 1e6,
        "stiffness": rotor.stiffness.n_per_m(),
        "bearings": rotor.bearings.map(|b| b.m()),
        "lumps": rotor.lumps.iter().map(|l| [l.at.m(), l.mass.kg(), l.tilt, l.polar]).collect::<Vec<_>>(),
    });
    let python = std::env::var_os("RUNTRUE_PYTHON").unwrap_or_else(|| "python3".into());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/others.py");
    let mut command = Command::new(python);
    let Ok(mut child) = command.args(["-P", script]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn() else {
        return json!({});
    };
    child.stdin.take().unwrap().write_all(asked.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout);
    text.lines().last().and_then(|line| serde_json::from_str(line).ok()).unwrap_or_default()
}
