//! The parts of a review after the summary: deviations, doubts, releases, parts, instruments, all steps.

use std::collections::BTreeMap;

use crate::procedure::plan::Step;
use crate::procedure::range_words;
use crate::traveler::NOT_CONSIDERED;
use crate::traveler::event::{Body, Event, Reading};
use crate::traveler::instruments::Register;
use crate::traveler::kept::Kept;
use crate::traveler::listing::setup_words;
use crate::traveler::parts::parts as part_list;
use crate::traveler::record::Record;
use crate::traveler::rounds::Changed;
use crate::traveler::state::StepState;

use super::{Block, Cell, Filter, Table};

/// Every reading, in the order of the steps.
pub fn all_readings(record: &Record) -> Vec<(&Step, Kept<'_>)> {
    let steps = record.plan().steps.iter();
    steps.flat_map(|s| s.checks.iter().flat_map(move |c| record.readings(&s.id, &c.id)).map(move |k| (s, k))).collect()
}

pub(super) fn section(title: &str, head: &[&'static str], rows: Vec<Vec<Cell>>) -> Vec<Block> {
    if rows.is_empty() {
        return Vec::new();
    }
    vec![Block::Heading(2, title.into()), Block::Table(Table { head: head.to_vec(), rows })]
}

/// A time of the record to the second, easier to read; its offset is that of the place, and stays.
pub fn when(at: &str) -> String {
    crate::traveler::session::time(at).map_or_else(|| at.to_owned(), |t| t.format("%Y-%m-%d %H:%M:%S %:z").to_string())
}

/// Readings outside, undecided, corrected or ended early, each with its answer.
pub fn deviations(rounds: &[Record], filter: &Filter) -> Vec<Block> {
    let odd =
        |k: &Kept<'_>| k.reading.verdict.open() || k.reading.corrects.is_some() || k.reading.ended_early.is_some();
    let undone = |k: &Kept<'_>| !k.superseded && rounds.last().is_some_and(|now| !now.in_force(k));
    let rows: Vec<Vec<Cell>> = rounds
        .iter()
        .flat_map(|r| all_readings(r).into_iter().map(move |(s, k)| (r, s, k)))
        .filter(|(_, s, k)| odd(k) && filter.fits(s, k))
        .map(|(record, step, k)| {
            let answer = match answer(&k) {
                _ if stays_open(record, step, &k) => "OPEN".to_owned(),
                open if open == "OPEN" && undone(&k) => "undone by a later change".to_owned(),
                answer => answer,
            };
            let open = answer == "OPEN";
            vec![
                Cell::of(k.event.to_string()),
                Cell::of(step_in_round(step, &k)),
                Cell::of(&k.reading.check),
                value(step, &k),
                Cell::of(limits(&k)),
                Cell::of(k.reading.verdict.word()),
                Cell { strong: open, ..Cell::of(answer) },
                Cell::of(format!("{}, {}", k.by, when(k.at))),
            ]
        })
        .collect();
    let runs = rounds.last().filter(|_| filter.is_empty()).map(runs_too_fast).unwrap_or_default();
    let rows: Vec<Vec<Cell>> = rows.into_iter().chain(runs).collect();
    let head = ["entry", "step", "check", "value", "limits", "verdict", "answer", "by, at"];
    let found = section("Deviations", &head, rows);
    if !found.is_empty() {
        return found;
    }
    let none =
        if filter.is_empty() { "None: every reading within its limits, nothing corrected." } else { "None shown." };
    vec![Block::Heading(2, "Deviations".into()), Block::Text(none.into())]
}

/// Speed trials over the limit, as rows among the deviations.
fn runs_too_fast(record: &Record) -> Vec<Vec<Cell>> {
    let row = |(t, e): (&crate::traveler::trial::Trial, &Event)| {
        let taken = t.value("speed");
        let answer = record.run_answer(t, e);
        vec![
            Cell::of(e.header.event.to_string()),
            Cell::of(format!("speed trial, run {}", t.number)),
            Cell::of("speed"),
            Cell::of(t.shown("speed")),
            Cell::of(taken.and_then(|v| v.upper.clone()).map_or_else(String::new, |u| format!("at most {u} rpm"))),
            Cell::of(taken.map_or("", |v| v.verdict.word())),
            Cell { strong: answer.is_none(), ..Cell::of(answer.unwrap_or_else(|| "OPEN".into())) },
            Cell::of(format!("{}, {}", e.header.by, when(&e.header.at))),
        ]
    };
    record.runs_too_fast().into_iter().map(row).collect()
}

/// The step's id, with the round of work where it is not the first build.
fn step_in_round(step: &Step, k: &Kept<'_>) -> String {
    match k.reading.round {
        0 => step.id.clone(),
        round => format!("{} (round {round})", step.id),
    }
}

/// Changeover, service, rework, substitution: why, who, and what no longer stood.
pub fn changes(record: &Record) -> Vec<Block> {
    let rows = record.events.iter().filter_map(|e| {
        let Body::Changed(c) = &e.body else { return None };
        let touched =
            format!("{} undone, {} readings stale, {} judged anew", c.undone.len(), c.stale.len(), c.rejudged.len());
        Some(vec![
            Cell::of(c.round.to_string()),
            Cell::of(format!("{}: {}{}", c.kind.word(), c.reason, received(c))),
            Cell::of(setup_words(&c.plan.setup)),
            Cell::of(touched),
            Cell::of(format!("{} ({}), entry {}", e.header.by, c.role, e.header.event)),
            Cell::of(when(&e.header.at)),
        ])
    });
    section(
        "Rounds of work after the first build",
        &["round", "why", "setup", "steps and readings", "by", "at"],
        rows.collect(),
    )
}

/// What came otherwise, as it was entered.
fn received(changed: &Changed) -> String {
    let list: Vec<String> = changed.received.iter().map(|(field, value)| format!("{field} {value}")).collect();
    if list.is_empty() { String::new() } else { format!(" (as received: {})", list.join(", ")) }
}

/// How a reading that is not plainly within was answered.
fn answer(k: &Kept<'_>) -> String {
    let r = k.reading;
    match (k.disposition, &r.corrects) {
        (Some((d, by)), _) => format!("{} by {by} ({}): {}", d.kind.word(), d.role, d.reason),
        (None, Some(c)) => format!("corrects entry {}: {}", c.event, c.reason),
        (None, None) if k.former => "of the part that was given up".into(),
        (None, None) if k.superseded => "answered by a later reading".into(),
        (None, None) if r.ended_early.is_some() => r.because.clone(),
        (None, None) => "OPEN".into(),
    }
}

/// True for a reading outside that a later one does not answer, and nobody decided on.
fn stays_open(record: &Record, step: &Step, k: &Kept<'_>) -> bool {
    let check = step.checks.iter().find(|c| c.id == k.reading.check);
    k.disposition.is_none()
        && check
            .filter(|c| c.stays)
            .and_then(|c| record.to_answer(&step.id, c))
            .is_some_and(|open| open.event == k.event)
}

/// How a pass is kept whose bolts were pulled to the click.
const CLICKS: &str = "clicked=";

/// Values, each of a series with its place.
fn values(step: &Step, k: &Kept<'_>) -> String {
    let check = step.checks.iter().find(|c| c.id == k.reading.check);
    let place = |n: usize| check.and_then(|c| c.place(n)).map_or_else(String::new, |p| format!("{p} "));
    let told =
        |v: &str| v.strip_prefix(CLICKS).map_or_else(|| v.to_owned(), |n| format!("clicks {}", n.replace('/', " of ")));
    let each = k.reading.values.iter().enumerate().map(|(n, v)| format!("{}{}", place(n), told(v)));
    each.collect::<Vec<_>>().join(", ")
}

/// The value with its unit, and what was typed where that was something else.
fn value(step: &Step, k: &Kept<'_>) -> Cell {
    let r = k.reading;
    let unit = unit_of(r);
    let value = format!("{} {unit}", values(step, k)).trim().to_owned();
    let plain = |(typed, value): (&String, &String)| typed == value || *typed == format!("{value} {unit}");
    let same = r.entered.len() == r.values.len() && r.entered.iter().zip(&r.values).all(plain);
    let text = if r.derived || same { value } else { format!("{value} (typed {})", r.entered.join(" ")) };
    let former = k.former.then(|| "of the part that was given up".to_owned());
    let notes = [former, k.later.map(|later| struck(k, later)), k.corrected.and_then(|was| corrects(r, was))];
    Cell {
        text,
        struck: k.superseded,
        note: notes.into_iter().flatten().collect::<Vec<_>>().join("; "),
        ..Cell::default()
    }
}

/// The unit of a value; none beside words, as "done" of a waiting time, and beside clicks.
fn unit_of(reading: &Reading) -> &str {
    let is_number = |v: &String| v.contains(|c: char| c.is_ascii_digit()) && !v.starts_with(CLICKS);
    reading.unit.as_deref().filter(|_| reading.values.iter().any(is_number)).unwrap_or_default()
}

/// Who put another value in the place of this one, when and why.
fn struck(k: &Kept<'_>, later: &Event) -> String {
    let Body::Reading(by) = &later.body else { return String::new() };
    let (entry, who, at) = (later.header.event, &later.header.by, minute(&later.header.at));
    match &by.corrects {
        Some(c) if c.event == k.event => {
            format!("superseded: corrected in entry {entry} by {who}, {at}, because: {}", c.reason)
        }
        _ => format!("superseded: measured again in entry {entry} by {who}, {at}"),
    }
}

/// What a correction puts right.
fn corrects(reading: &Reading, was: &Event) -> Option<String> {
    let Body::Reading(old) = &was.body else { return None };
    let reason = &reading.corrects.as_ref()?.reason;
    let value = format!("{} {}", old.values.join(", "), unit_of(old));
    Some(format!(
        "corrected: was {}, by {}, {}, because: {reason}",
        value.trim(),
        was.header.by,
        minute(&was.header.at)
    ))
}

/// A time of the record to the minute, without its offset.
fn minute(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}

fn limits(k: &Kept<'_>) -> String {
    let wanted = || k.reading.wanted.as_ref().map_or_else(String::new, |w| format!("wanted {w}"));
    range_words(k.reading.lower.as_ref(), k.reading.upper.as_ref(), "").unwrap_or_else(wanted)
}

/// Readings in force that an instrument found faulty since was used for, of whatever round.
pub fn doubtful<'r>(rounds: &'r [Record], register: &Register) -> Vec<(&'r Step, Kept<'r>)> {
    let faulty =
        |k: &Kept<'_>| k.reading.instrument.as_ref().is_some_and(|u| register.doubted(u, k.measured_at()).is_some());
    let in_force = |k: &Kept<'_>| rounds.last().is_some_and(|now| now.in_force(k));
    rounds.iter().flat_map(all_readings).filter(|(_, k)| faulty(k) && in_force(k)).collect()
}

/// Those readings, with what is wrong with the instrument.
pub fn doubts(rounds: &[Record], register: &Register, filter: &Filter) -> Vec<Block> {
    let rows = doubtful(rounds, register).into_iter().filter(|(s, k)| filter.fits(s, k)).map(|(step, k)| {
        let id = k.reading.instrument.as_ref().map_or("", |u| u.id.as_str());
        let why = register.find(id).and_then(|i| i.faulty.as_ref()).map_or_else(String::new, |f| f.reason.clone());
        vec![
            Cell::of(k.event.to_string()),
            Cell::of(step_in_round(step, &k)),
            Cell::of(&k.reading.check),
            value(step, &k),
            Cell { strong: true, ..Cell::of(id) },
            Cell::of(why),
        ]
    });
    let mut rows: Vec<Vec<Cell>> = rows.collect();
    let all = rounds.last().map_or_else(Vec::new, |r| r.trials_in_doubt(register));
    let fitting = all.into_iter().filter(|(_, e, ..)| filter.event_fits(None, &e.header.by, &e.header.at));
    rows.extend(fitting.map(|(trial, event, used, faulty)| {
        let values: Vec<String> = trial.values.iter().map(|v| format!("{} {}", v.check, v.values.join(" "))).collect();
        vec![
            Cell::of(event.header.event.to_string()),
            Cell::of(format!("speed trial, run {}", trial.number)),
            Cell::of(String::new()),
            Cell::of(values.join(", ")),
            Cell { strong: true, ..Cell::of(&used.id) },
            Cell::of(&faulty.reason),
        ]
    }));
    section("Readings in doubt", &["entry", "step", "check", "value", "instrument", "found"], rows)
}

/// Parts: what is known of each, and where it sat.
pub fn parts(record: &Record) -> Vec<Block> {
    let rows = part_list(record).into_iter().filter(|p| !p.history.is_empty()).map(|p| {
        let facts: Vec<String> = p.facts().iter().map(|(name, value)| format!("{name} {value}")).collect();
        let history: Vec<String> = p.history.iter().map(|h| format!("{} (entry {})", h.words(), h.event)).collect();
        vec![Cell::of(&p.part), Cell::of(facts.join(", ")), Cell::of(history.join("; "))]
    });
    section("Parts", &["part", "lot, serial, marks", "history"], rows.collect())
}

/// Instruments used, as the record has them, with how many readings.
pub fn instruments(record: &Record, register: &Register) -> Vec<Block> {
    let mut used: BTreeMap<&str, (&crate::traveler::event::Used, usize, bool)> = BTreeMap::new();
    for u in record.events.iter().flat_map(Event::used) {
        let row = used.entry(u.id.as_str()).or_insert((u, 0, false));
        *row = (u, row.1 + 1, row.2 || u.overdue);
    }
    let rows = used.into_values().map(|(u, n, overdue)| {
        let faulty = register.find(&u.id).is_some_and(|i| i.faulty.is_some());
        let state = match (overdue, faulty) {
            (_, true) => "found faulty since",
            (true, _) => "past its date when used",
            _ => "in date",
        };
        let or = |t: &Option<String>| t.clone().unwrap_or_else(|| "not stated".into());
        vec![
            Cell::of(&u.id),
            Cell::of(&u.kind),
            Cell::of(or(&u.uncertainty)),
            Cell::of(or(&u.due)),
            Cell::of(n.to_string()),
            Cell { strong: overdue || faulty, ..Cell::of(state) },
        ]
    });
    section("Instruments", &["id", "kind", "U", "calibration due", "readings", "state"], rows.collect())
}

/// How a step of a round stands: in the last one as it is, in one before as that left it.
fn state_in_round(whole: &Record, then: &Record, step: &Step) -> String {
    let state = then.step_state(&step.id);
    match state {
        _ if then.round() == whole.round() => state.word().to_owned(),
        StepState::Done if whole.fallen_since(then.round(), &step.id) => "done, does not stand any more".to_owned(),
        StepState::Done => state.word().to_owned(),
        _ => format!("not done when round {} began", then.round() + 1),
    }
}

/// Every step of a round with its readings; steps without any in one line each. `whole` is the record with all rounds.
pub fn steps(whole: &Record, record: &Record, filter: &Filter) -> Vec<Block> {
    let title = match record.round() {
        0 => "Steps".to_owned(),
        round => format!("Steps of round {round}"),
    };
    let mut blocks = vec![Block::Heading(2, title)];
    let unconsidered = |(s, k): &(&Step, Kept<'_>)| filter.fits(s, k) && k.reading.because.contains(NOT_CONSIDERED);
    if all_readings(record).iter().any(unconsidered) {
        let words = "Limits from a drawing, and no instrument with a stated uncertainty under \"with\": uncertainty not considered.";
        blocks.push(Block::Text(words.into()));
    }
    for step in record.plan().steps.iter().filter(|s| filter.step_fits(s)) {
        let readings: Vec<Kept<'_>> = step.checks.iter().flat_map(|c| record.readings(&step.id, &c.id)).collect();
        let rows: Vec<Vec<Cell>> = readings.iter().filter(|k| filter.fits(step, k)).map(|k| row(step, k)).collect();
        if rows.is_empty() && !filter.is_empty() {
            continue;
        }
        let state = state_in_round(whole, record, step);
        blocks.push(Block::Heading(3, format!("{}. {} ({state})", step.number, step.title)));
        if !rows.is_empty() {
            let head = ["entry", "check", "value", "limits", "verdict", "by", "with", "at"].to_vec();
            blocks.push(Block::Table(Table { head, rows }));
        }
    }
    blocks
}

/// The verdict and why; what is said of the whole list stands above it, once.
fn verdict(k: &Kept<'_>) -> String {
    let r = k.reading;
    let because = r.because.replace(&format!(", {NOT_CONSIDERED}"), "");
    let doubt = r.doubt.as_ref().map_or_else(String::new, |d| format!("; kept although {d}"));
    let typed = r.typed.as_ref().map_or_else(String::new, |t| format!("; typed {t}"));
    format!("{}: {because}{doubt}{typed}", r.verdict.word())
}

fn row(step: &Step, k: &Kept<'_>) -> Vec<Cell> {
    let r = k.reading;
    let with = r
        .instrument
        .as_ref()
        .map_or_else(String::new, |i| if i.overdue { format!("{} (past its date)", i.id) } else { i.id.clone() });
    let paper = r.paper.as_ref().map_or_else(String::new, |p| format!(", from paper of {} at {}", p.measured_by, p.at));
    let witness = r.witness.as_ref().map_or_else(String::new, |w| format!(", read back by {w}"));
    vec![
        Cell::of(k.event.to_string()),
        Cell::of(&r.check),
        value(step, k),
        Cell::of(limits(k)),
        Cell { strong: r.verdict.open() && !k.superseded, ..Cell::of(verdict(k)) },
        Cell::of(format!("{} ({}){paper}{witness}", k.by, r.role)),
        Cell::of(with),
        Cell::of(when(k.at)),
    ]
}
