//! From the call to the first frame, beside the least program that draws one; memory of the guide; size of the program.

use std::fs;
use std::path::Path;

use runtrue::traveler::Store;

use super::terminal::Running;
use super::{RUNS, Table, Times, common, place, record};

const GUIDE: &str = env!("CARGO_BIN_EXE_runtrue");

pub fn measure(table: &mut Table) {
    let size = fs::metadata(GUIDE).unwrap().len() as f64 / 1e6;
    table.add("program, stripped", (format!("{size:.2} MB"), String::new()), 1, ("under 6 MB", size < 6.0));
    let home = tempfile::tempdir_in(place()).unwrap();
    record::many(home.path());
    // Looked at once, so that all starts find the same.
    Store::locate(Some(home.path())).unwrap().list().unwrap();
    first_frame(table, home.path());
    memory(table, "memory of the guide at most, 10,000 builds listed", || {
        let mut guide = Running::start(Path::new(GUIDE), &[], home.path());
        // What holds always is said once the list is whole.
        guide.until("people decide");
        guide
    });
    let home = tempfile::tempdir_in(place()).unwrap();
    drop(common::begun(&Store::locate(Some(home.path())).unwrap(), "flywheel", "1"));
    memory(table, "memory of the guide at most, a build opened and looked through", || {
        let mut guide = Running::start(Path::new(GUIDE), &["resume", "flywheel-1", "--by", "ak"], home.path());
        for _ in 0..RUNS {
            guide.send("\x1b[C");
            guide.drawn();
        }
        guide
    });
}

fn first_frame(table: &mut Table, home: &Path) {
    const WHAT: &str = "start to first frame with 10,000 builds / an empty frame by the same library";
    let empty = Path::new(GUIDE).with_file_name("empty_frame");
    if !empty.exists() {
        table.without(WHAT, "not measured: the other program is not built; benches/run.sh builds it", "1.5 times");
        return;
    }
    let (mut own, mut other) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        for (program, times) in [(Path::new(GUIDE), &mut own), (empty.as_path(), &mut other)] {
            times.push(Running::start(program, &[], home).seconds);
        }
    }
    let (own, other) = (Times::new(own), Times::new(other));
    table.ratio(WHAT, (&own, &other), ("1.5 times", own.median() / other.median() < 1.5));
    table.ms("the same, the guide alone", &own, None);
    table.ms("the same, the empty frame alone", &other, None);
}

/// What the guide needed at most by the time it has done that.
fn memory(table: &mut Table, what: &str, used: impl Fn() -> Running) {
    let peaks = Times::new((0..RUNS).filter_map(|_| used().peak()).collect());
    if peaks.0.is_empty() {
        table.without(what, "not measured: this system does not tell", "under 20 MB");
        return;
    }
    let mb = |share| format!("{:.1} MB", peaks.at(share));
    table.add(what, (mb(0.5), mb(0.95)), peaks.0.len(), ("under 20 MB", peaks.at(0.95) < 20.0));
}
