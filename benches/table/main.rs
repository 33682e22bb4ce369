//! Every speed that the program is held to, as one table.
//!
//! `benches/run.sh` measures all of it and writes the table into `benches/README.md`; `cargo bench --bench table -- record start`
//! measures some of it and prints. Nothing is asserted of a time.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a bench that fails has no answer to give")]

#[path = "../../tests/common/mod.rs"]
mod common;
mod drawing;
mod engine;
mod mechanics;
mod record;
mod start;
mod terminal;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// Runs of everything that is measured, at least.
const RUNS: usize = 30;

/// Times of one thing, in seconds, in order.
struct Times(Vec<f64>);

impl Times {
    fn new(mut seconds: Vec<f64>) -> Self {
        seconds.sort_unstable_by(f64::total_cmp);
        Self(seconds)
    }

    /// [`RUNS`] runs of the same.
    fn of(mut run: impl FnMut()) -> Self {
        Self::new((0..RUNS).map(|_| timed(&mut run)).collect())
    }

    fn at(&self, share: f64) -> f64 {
        self.0[((self.0.len() - 1) as f64 * share).round() as usize]
    }

    fn median(&self) -> f64 {
        self.at(0.5)
    }
}

fn timed(run: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    run();
    begun.elapsed().as_secs_f64()
}

/// One line of the table.
struct Row {
    what: String,
    median: String,
    high: String,
    runs: usize,
    aim: String,
    met: &'static str,
}

/// The table while it is measured; each line is printed as it comes.
#[derive(Default)]
struct Table(Vec<Row>);

impl Table {
    /// A ratio to something else measured in turn with it; of the 95th percentiles too.
    fn ratio(&mut self, what: &str, (own, other): (&Times, &Times), aim: (&str, bool)) {
        let of = |share| format!("{:.2}", own.at(share) / other.at(share));
        self.add(what, (of(0.5), of(0.95)), own.0.len(), aim);
    }

    /// Milliseconds, held to a bound at that share of the runs; none where there is no aim.
    fn ms(&mut self, what: &str, times: &Times, bound: Option<(f64, f64)>) {
        let ms = |seconds: f64| format!("{:.2} ms", seconds * 1e3);
        let high = bound.map_or(0.95, |(share, _)| share.max(0.95));
        let aim = bound.map_or_else(String::new, |(share, most)| format!("under {most} ms{}", percentile(share)));
        let met = bound.is_some_and(|(share, most)| times.at(share) * 1e3 < most);
        let high = format!("{}{}", ms(times.at(high)), if high > 0.95 { " (99 %)" } else { "" });
        self.add(what, (ms(times.median()), high), times.0.len(), (aim.as_str(), met));
    }

    fn add(&mut self, what: &str, (median, high): (String, String), runs: usize, (aim, met): (&str, bool)) {
        let met = if aim.is_empty() { "" } else { ["no", "yes"][usize::from(met)] };
        println!("{what:<64} {median:>12} {high:>18} n={runs:<5} {aim} {met}");
        self.0.push(Row { what: what.into(), median, high, runs, aim: aim.into(), met });
    }

    /// Something that could not be measured here, and why.
    fn without(&mut self, what: &str, why: &str, aim: &str) {
        println!("{what}: {why}");
        let row = Row { what: what.into(), median: why.into(), high: String::new(), runs: 0, aim: aim.into(), met: "" };
        self.0.push(row);
    }

    fn markdown(&self) -> String {
        let mut text = format!("{}\n\n", machine());
        text.push_str("| what | median | 95 % | runs | aim | met |\n| --- | --- | --- | --- | --- | --- |\n");
        for r in &self.0 {
            text.push_str(&format!(
                "| {} | {} | {} | {} | {} | {} |\n",
                r.what, r.median, r.high, r.runs, r.aim, r.met
            ));
        }
        text
    }
}

fn percentile(share: f64) -> &'static str {
    if share > 0.95 { ", 99th percentile" } else { ", median" }
}

/// Cores and kind of processor, and the kind of file system that records are measured on.
fn machine() -> String {
    let cpu = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let kind = cpu
        .lines()
        .find_map(|l| l.strip_prefix("model name"))
        .map_or("kind not known", |l| l.trim_matches([' ', '\t', ':']));
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    format!("{cores} cores, {kind}; {}; records on {}.", std::env::consts::OS, record::file_system(&place()))
}

/// Where records are measured: a folder on a disk.
fn place() -> PathBuf {
    let place = std::env::var_os("RUNTRUE_BENCH_DIR")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target"), PathBuf::from);
    fs::create_dir_all(&place).unwrap();
    place
}

/// A part of the table, by the word that asks for it alone.
type Part = (&'static str, fn(&mut Table));

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let wanted = |name: &str| asked.is_empty() || asked.iter().any(|a| a == name);
    let mut table = Table::default();
    let parts: [Part; 5] = [
        ("start", start::measure),
        ("mechanics", mechanics::measure),
        ("record", record::measure),
        ("drawing", drawing::measure),
        ("engine", engine::measure),
    ];
    for (_, measure) in parts.iter().filter(|(name, _)| wanted(name)) {
        measure(&mut table);
    }
    if std::env::var_os("RUNTRUE_BENCH_WRITE").is_some() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/README.md");
        let text = fs::read_to_string(&path).unwrap();
        let (before, rest) = text.split_once("<!-- table -->\n").expect("the place of the table");
        let (_, after) = rest.split_once("<!-- end -->").expect("the end of the table");
        fs::write(&path, format!("{before}<!-- table -->\n{}<!-- end -->{after}", table.markdown())).unwrap();
    }
}
