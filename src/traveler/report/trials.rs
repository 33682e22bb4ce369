//! Speed trials as a document: the adopted setup, setups side by side with a chart, every run.

use crate::traveler::event::Event;
use crate::traveler::record::Record;
use crate::traveler::side_by_side::SetupRuns;
use crate::traveler::trial::Trial;

use super::figure::{Ink, Shape};
use super::sections::{section, when};
use super::{Block, Cell, Document, Figure};

/// Columns of a bar in a terminal.
const COLUMNS: usize = 40;

/// A figure that setups are compared by: name, what it is, unit, the last run's or the most of all.
struct Column {
    name: &'static str,
    what: &'static str,
    unit: &'static str,
    most: bool,
}

const COLUMNS_COMPARED: [Column; 6] = [
    Column { name: "speed", what: "highest speed of the rotor", unit: "rpm", most: true },
    Column { name: "run-down", what: "run-down of the last run", unit: "s", most: false },
    Column { name: "drag", what: "drag from the last run-down", unit: "N·m", most: false },
    Column { name: "slip", what: "slip of the belt in the last run", unit: "%", most: false },
    Column { name: "rise", what: "largest rise of a bearing over the room", unit: "°C", most: true },
    Column { name: "tension-lost", what: "largest belt force lost in a run", unit: "%", most: true },
];

/// All of it as a document of its own.
#[must_use]
pub fn trials(record: &Record) -> Document {
    let mut blocks = vec![Block::Facts(facts(record))];
    let own = blocks_of(record);
    if own.is_empty() {
        blocks.push(Block::Text("No speed trial is in the record yet.".into()));
    }
    blocks.extend(own);
    let title = format!("Speed trials of {}, serial {}", record.plan().title, record.started().serial);
    Document { title, blocks }
}

fn facts(record: &Record) -> Vec<(String, String)> {
    let mut facts = vec![
        ("Build".to_owned(), record.build.clone()),
        ("Setup in hand".to_owned(), crate::traveler::trial::setup_said(&record.plan().setup)),
        (
            "Adopted".to_owned(),
            record.adopted().map_or_else(|| "none".into(), |a| format!("{}: {}", a.said(), a.reason)),
        ),
    ];
    if let Some(r) = record.running() {
        facts.push((
            "Made for".into(),
            format!("{} rpm of the rotor, never above {} rpm", short(&r.speed_rpm), short(&r.limit_rpm)),
        ));
        facts.push(("Energy then".into(), format!("{} J with {} kg·m²", short(&r.energy_j), r.inertia_kgm2)));
        let (low, high) = &r.run_down_s;
        facts
            .push(("Run-down expected".into(), format!("{} to {} s from there; {}", short(low), short(high), r.basis)));
    }
    facts
}

/// A figure of the plan to a whole number.
fn short(text: &str) -> String {
    text.parse::<f64>().map_or_else(|_| text.to_owned(), |v| crate::quantity::rounded(v, 0))
}

/// What a review says of the trials; nothing where there are none and nothing is adopted.
pub fn blocks_of(record: &Record) -> Vec<Block> {
    let mut blocks = adoptions(record);
    let setups = record.setups_run();
    if setups.is_empty() {
        return blocks;
    }
    blocks.extend(too_fast(record));
    let head = ["setup", "runs", "speed", "run-down", "drag", "slip", "rise", "force lost"];
    blocks.extend(section("Setups side by side", &head, setups.iter().map(row).collect()));
    let said: Vec<String> = setups.iter().filter_map(notes).collect();
    if !said.is_empty() {
        blocks.push(Block::List(said));
    }
    let parts: Vec<String> = setups.iter().filter_map(parts_words).collect();
    if !parts.is_empty() {
        blocks.push(Block::List(parts));
    }
    blocks.extend(charts(&setups).into_iter().map(Block::Figure));
    let head = ["run", "setup", "measured and computed", "said", "verdict", "by, at"];
    let rows = record.trials().into_iter().map(|(t, e)| run(record, t, e));
    blocks.extend(section("Speed trials", &head, rows.collect()));
    let words = "Run 1 is the baseline; the same is run once more at the end. One thing is changed from run to run (common practice).";
    blocks.push(Block::Text(words.into()));
    blocks
}

/// A warning for each run over the limit, those put right since too, with what answers it.
fn too_fast(record: &Record) -> Vec<Block> {
    let one = |(t, e): (&Trial, &Event)| {
        let limit = t.value("speed").and_then(|v| v.upper.clone()).unwrap_or_default();
        let answer = record.run_answer(t, e).unwrap_or_else(|| "OPEN, it waits for a decision".into());
        let words = format!(
            "Run {} went to {}, over {limit} rpm. That stays, whatever a later run shows. Answer: {answer}.",
            t.number,
            t.shown("speed")
        );
        Block::Warning("WARNING".into(), words)
    };
    record.runs_too_fast().into_iter().map(one).collect()
}

fn adoptions(record: &Record) -> Vec<Block> {
    let all = record.adoptions();
    let n = all.len();
    let rows = all.into_iter().enumerate().map(|(k, (a, e))| {
        let residual = match (&a.balance_grade, &a.permissible_gmm, &a.speed_rpm) {
            (Some(g), Some(u), Some(n)) => format!("G {g} at {} rpm: {u} g·mm", short(n)),
            _ => String::new(),
        };
        let doubt = a.doubt.as_ref().map_or_else(String::new, |d| format!("; although {d}"));
        let over = if k + 1 < n { "replaced by a later one" } else { "" };
        vec![
            Cell::of(e.header.event.to_string()),
            Cell { struck: k + 1 < n, note: over.into(), ..Cell::of(a.said()) },
            Cell::of(format!("{}{doubt}", a.reason)),
            Cell::of(residual),
            Cell::of(format!("{} ({}), {}", e.header.by, a.role, when(&e.header.at))),
        ]
    });
    section("Adopted setup", &["entry", "setup", "why", "residual unbalance", "by, at"], rows.collect())
}

fn value(setup: &SetupRuns<'_>, column: &Column) -> Option<f64> {
    if column.most { setup.most(column.name) } else { setup.last(column.name) }
}

/// A number as it is compared: as many digits as the figures have.
fn number(v: f64) -> String {
    let text = format!("{v:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn row(setup: &SetupRuns<'_>) -> Vec<Cell> {
    let shown = |c: &Column| value(setup, c).map_or_else(String::new, |v| format!("{} {}", number(v), c.unit));
    let name = if setup.adopted { format!("{} (adopted)", setup.said) } else { setup.said.clone() };
    let mut cells = vec![Cell { strong: setup.adopted, ..Cell::of(name) }, Cell::of(setup.runs.len().to_string())];
    cells.extend(COLUMNS_COMPARED.iter().map(|c| Cell::of(shown(c))));
    cells
}

/// What was felt, heard and smelt last.
fn notes(setup: &SetupRuns<'_>) -> Option<String> {
    let said = ["vibration", "noise", "smell", "result"].map(|c| (c, setup.said_last(c)));
    let said: Vec<String> = said.into_iter().filter(|(_, w)| !w.is_empty()).map(|(c, w)| format!("{c} {w}")).collect();
    (!said.is_empty()).then(|| format!("{}: {}", setup.said, said.join("; ")))
}

/// Both parts of the drag, or why they cannot be told apart.
fn parts_words(setup: &SetupRuns<'_>) -> Option<String> {
    let words = match setup.parts.as_ref()? {
        Ok(d) => format!(
            "drag {} N·m at any speed and {} N·m more for each rad/s, from two run-downs",
            number(d.constant.nm()),
            number(d.by_speed)
        ),
        Err(why) => format!("its run-downs do not part the drag: {why}"),
    };
    Some(format!("{}: {words}", setup.said))
}

fn run(record: &Record, t: &Trial, e: &Event) -> Vec<Cell> {
    let figure = |name: &str| t.figure(name).map(|f| format!("{name} {} {}", f.value, f.unit));
    let named = |name: &str, check: &str| Some(t.shown(check)).filter(|s| !s.is_empty()).map(|s| format!("{name}{s}"));
    let join = |list: Vec<Option<String>>| list.into_iter().flatten().collect::<Vec<_>>().join(", ");
    let measured = vec![
        named("", "speed"),
        named("driver ", "driver"),
        figure("slip"),
        named("for ", "held"),
        figure("energy"),
        named("run-down ", "run-down"),
        figure("drag"),
        named("bearings ", "bearing"),
        named("room ", "room"),
        figure("rise"),
        named("belt before ", "before"),
        named("after ", "after"),
        figure("tension-lost"),
    ];
    let checks = ["changed", "vibration", "noise", "smell", "result", "stop"];
    let said = checks.map(|check| named(&format!("{check}: "), check)).to_vec();
    let right = record.corrected_run(e.header.event);
    vec![
        Cell::of(t.number.to_string()),
        Cell::of(crate::traveler::trial::setup_said(&t.setup)),
        Cell {
            struck: right.is_some(),
            note: right.map_or_else(String::new, |r| format!("superseded: corrected in run {}", r.number)),
            ..Cell::of(join(measured))
        },
        Cell::of(join(said)),
        Cell { strong: t.verdict.open() && right.is_none(), ..Cell::of(verdict(t)) },
        Cell::of(join(hands(t, e))),
    ]
}

/// The verdict, what is outside, what was kept all the same, what is put right.
fn verdict(t: &Trial) -> String {
    let odd = t.values.iter().filter(|v| v.verdict.open()).map(|v| format!("{}: {}", v.check, v.because));
    let doubt = t.doubt.iter().map(|d| format!("kept although {d}"));
    let corrects = t.corrects.iter().map(|c| format!("corrects entry {}: {}", c.event, c.reason));
    let all = std::iter::once(t.verdict.word().to_owned()).chain(odd).chain(doubt).chain(corrects);
    all.collect::<Vec<_>>().join("; ")
}

fn hands(t: &Trial, e: &Event) -> Vec<Option<String>> {
    let with: Vec<&str> = t.instruments.iter().map(|u| u.id.as_str()).collect();
    vec![
        Some(format!("{} ({})", e.header.by, t.role)),
        t.witness.as_ref().map(|w| format!("with {w}")),
        t.paper.as_ref().map(|p| format!("from paper of {} at {}", p.measured_by, p.at)),
        (!with.is_empty()).then(|| with.join(" ")),
        Some(when(&e.header.at)),
    ]
}

/// One chart a figure that two setups have: a bar a setup, from nought.
pub fn charts(setups: &[SetupRuns<'_>]) -> Vec<Figure> {
    COLUMNS_COMPARED.iter().filter_map(|c| chart(setups, c)).collect()
}

fn chart(setups: &[SetupRuns<'_>], column: &Column) -> Option<Figure> {
    let values: Vec<(&SetupRuns<'_>, f64)> = setups.iter().filter_map(|s| Some((s, value(s, column)?))).collect();
    // A bar alone compares nothing.
    if values.len() < 2 {
        return None;
    }
    let most = values.iter().map(|(_, v)| v.abs()).max_by(f64::total_cmp).filter(|m| *m > 0.0)?;
    let name = |s: &SetupRuns<'_>| if s.adopted { format!("{} *", s.said) } else { s.said.clone() };
    let widest = values.iter().map(|(s, _)| name(s).chars().count()).max().unwrap_or(0).min(24);
    let line = |(s, v): &(&SetupRuns<'_>, f64)| {
        let bar = ((v.abs() / most * COLUMNS as f64).round() as usize).min(COLUMNS);
        let below = if *v < 0.0 { "-" } else { "#" };
        let name: String = name(s).chars().take(widest).collect();
        format!("{name:<widest$} |{:<COLUMNS$}| {}", below.repeat(bar), number(*v))
    };
    let lines = values.iter().map(line).collect();
    let mut shapes = Vec::new();
    for (k, (s, v)) in values.iter().enumerate() {
        let y = 9.0 * k as f64;
        let ink = if *v < 0.0 { Ink::Dashed } else { Ink::Solid };
        shapes.push(Shape::Words((24.0, y + 5.5), 4.2, name(s)));
        shapes.push(Shape::Rect((50.0, y + 1.0, 120.0 * v.abs() / most, 6.0), ink));
        shapes.push(Shape::Words((185.0, y + 5.5), 4.2, number(*v)));
    }
    let star = if setups.iter().any(|s| s.adopted) { "; * is adopted" } else { "" };
    let caption = format!("{}, {}{star}", column.what, column.unit);
    let height = 9.0 * values.len() as f64;
    Some(Figure { caption, view: (0.0, -1.0, 200.0, height + 2.0), page_mm: 88.0, shapes, lines })
}
