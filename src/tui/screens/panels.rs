//! What stands below the words of a step where there is room: what a reading outside means, how far the tightening is,
//! every check with its limits and reading, joints left open, the next steps, the build's progress.

use ratatui::style::Style;
use ratatui::text::{Line, Span};

use crate::procedure::meaning::meaning;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{CheckState, Kept, Record, StepState, ease_first, is_round, side};
use crate::tui::app::App;
use crate::tui::looking::Look;
use crate::tui::theme::sign;
use crate::tui::widgets::big;
use crate::tui::widgets::text::{cut, named};

use super::limits::range;

/// Lines that belong together; they are shown whole or not at all.
pub type Panel = Vec<Line<'static>>;

/// The panels of a step, what matters most first.
#[must_use]
pub fn all(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Panel> {
    let mut panels = Vec::new();
    panels.extend(tightening(app, record, step, width));
    panels.extend(joints(app, record, width));
    if step.checks.len() > 1 && app.look() != Look::Back {
        panels.push(checks(app, record, step, width));
    }
    panels.push(progress(app, record, width));
    panels
}

/// What must be on the screen beside the words: the state of a tightening.
#[must_use]
pub fn needed(app: &App<'_>, record: &Record, step: &Step, width: u16) -> usize {
    tightening(app, record, step, width).map_or(0, |p| p.len())
}

/// The reading of the open check that lies outside, if there is one.
#[must_use]
pub fn outside<'r>(app: &App<'_>, record: &'r Record) -> Option<(Kept<'r>, Check)> {
    let (step, check) = (app.shown_step()?, app.open_check()?);
    let kept = record.to_answer(&step.id, check)?;
    (kept.reading.verdict.open() && kept.disposition.is_none_or(|(d, _)| !d.kind.accepts()))
        .then(|| (kept, check.clone()))
}

/// What a reading outside means in this joint, what usually causes it, and what can be done about it.
#[must_use]
pub fn outside_lines(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Panel {
    let Some((kept, check)) = outside(app, record) else {
        return Vec::new();
    };
    let Some(side) = side(&check, kept.reading) else {
        return Vec::new();
    };
    let theme = app.theme;
    let plain = Style::new();
    let found = meaning(&step.operation, &check, side);
    let unit = kept.reading.unit.as_deref().unwrap_or_default();
    let value = format!("{} {unit}, {}", kept.reading.values.join(" "), kept.reading.because);
    let verdict = kept.reading.verdict;
    let name = format!("{}:", verdict.word().to_uppercase());
    let mut lines = named(&name, theme.verdict(verdict), &value, width, theme.verdict(verdict));
    lines.extend(named("It means:", theme.name(), &found.means, width, plain));
    lines.extend(named("Usually:", theme.name(), &found.causes, width, plain));
    lines.push(Line::from(Span::styled("What is possible:", theme.name())));
    for (key, words) in possible(record, step, &check, &kept) {
        lines.extend(named(&format!("  {key:<5}"), theme.action(), &words, width, plain));
    }
    lines
}

fn possible(record: &Record, step: &Step, check: &Check, kept: &Kept<'_>) -> Vec<(&'static str, String)> {
    let mut list: Vec<(&'static str, String)> = Vec::new();
    match check.asks() {
        CheckKind::Derived => {
            list.push(("Left", "Look at the reading it rests on; c there puts that right, and this with it.".into()));
        }
        CheckKind::Torque if ease_first(check, kept.reading).is_some() => {
            let first = ease_first(check, kept.reading).unwrap_or_default();
            list.push(("first", format!("{first} (common practice).")));
            list.push(("type", "Then go through the pass in order, and enter it anew.".into()));
        }
        CheckKind::Torque if is_round(check) => list.push(("type", "Go round again and enter which moved.".into())),
        _ if check.stays => {
            list.push(("type", "Enter what a later run shows; this one stays open until it is decided.".into()));
        }
        CheckKind::Text => {
            list.push(("type", "Read it again and type what stands there; both stay in the record.".into()))
        }
        CheckKind::Confirm | CheckKind::Gauge => list.push(("y n", "Mend it or look again, and answer anew.".into())),
        _ => list.push(("type", "Measure again and type the new value; both stay in the record.".into())),
    }
    // Where words are typed, letters are words: Esc makes the next ones keys.
    let words = check.asks() == CheckKind::Text;
    let key = |plain: &'static str, after: &'static str| if words { after } else { plain };
    if check.asks() != CheckKind::Derived {
        list.push((key("c", "Esc c"), "Only mistyped: put it right, with the reason.".into()));
    }
    list.push((key("d", "Esc d"), decided_by(record, kept)));
    list.push((key("a", "Esc a"), rework(record, step)));
    list
}

/// Who may decide, and who not because he took the reading.
fn decided_by(record: &Record, kept: &Kept<'_>) -> String {
    let people = record.plan().people.get("design").map_or(&[][..], Vec::as_slice);
    let free: Vec<&str> = people.iter().map(String::as_str).filter(|p| !kept.made_by(p)).collect();
    let who =
        if free.is_empty() { "somebody of the design side who did not take it".to_owned() } else { free.join(", ") };
    format!("Have it decided, with reason and role. Use as is and repair: {who}, not {} who took it.", kept.by)
}

fn rework(record: &Record, step: &Step) -> String {
    let over = record.built_on(&step.id);
    match over.as_slice() {
        [] => "Rework disturbs nothing else yet. Write in a note what was done.".into(),
        [first, rest @ ..] => {
            let more = if rest.is_empty() { String::new() } else { format!(" and {} more", rest.len()) };
            format!(
                "Rework would disturb step {}{more}, built on this one. Write in a note what was done.",
                first.number
            )
        }
    }
}

/// Torque in large digits, pass, wrench, clicks, order; or the rounds of a circular pass.
fn tightening(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Option<Panel> {
    let check = step.checks.iter().find(|c| c.asks() == CheckKind::Torque)?;
    if is_round(check) {
        return Some(rounds(app, record, step, check, width));
    }
    let torque = step.torque_nm?;
    let digits = big::lines(&format!("{torque:.1}"), false);
    let sequence = step.sequence.clone().unwrap_or_default();
    let done = match record.check_state(step, check) {
        CheckState::Answered => sequence.clone(),
        _ if app.open_check().is_some_and(|c| c.id == check.id) => app.entry.bolts_done(),
        _ => Vec::new(),
    };
    let skipped = app.entry.skipped(&sequence);
    let wrench = step.tools.iter().find(|t| t.to_lowercase().contains("wrench")).cloned().unwrap_or_default();
    let beside = [
        format!("N·m   {}", pass(record, step)),
        format!("set to {torque:.1} N·m: {wrench}"),
        format!("clicks {} of {}", done.len(), sequence.len()),
        order(&sequence, &done, app.entry.next_bolt(&sequence).filter(|n| !done.contains(n))),
        if skipped.is_empty() { order_of(record, step) } else { format!("! passed over: {}", list(&skipped)) },
    ];
    let room = usize::from(width).saturating_sub(digits[0].chars().count() + 3);
    let lines = digits.iter().zip(beside).map(|(d, words)| {
        let style = if words.starts_with('!') { app.theme.alert() } else { Style::new() };
        Line::from(vec![Span::styled(format!("{d}   "), app.theme.action()), Span::styled(cut(&words, room), style)])
    });
    Some(lines.collect())
}

/// What is left to be done about a pass of the same fasteners that was not done in its order; empty where nothing is.
fn order_of(record: &Record, step: &Step) -> String {
    let open = record.order_not_kept();
    let found = open.iter().find(|(s, _)| s.group == step.group);
    found.map_or_else(String::new, |(s, _)| format!("! step {} was out of order: keep it now, it evens out", s.number))
}

/// "pass 2 of 3, 60 % of the full torque".
fn pass(record: &Record, step: &Step) -> String {
    let stages: Vec<&Step> = record
        .plan()
        .steps
        .iter()
        .filter(|s| s.group == step.group && s.operation == "tighten" && s.torque_nm.is_some())
        .collect();
    let full = stages.iter().filter_map(|s| s.torque_nm).fold(0.0, f64::max);
    let at = stages.iter().position(|s| s.id == step.id).map_or(0, |k| k + 1);
    let share = step.torque_nm.map_or(0.0, |t| t / full.max(f64::MIN_POSITIVE) * 100.0);
    format!("{} ({at} of {}), {share:.0} % of full", step.stage.as_deref().unwrap_or("stage"), stages.len())
}

/// The order as one line: what is done with a tick, the next in brackets.
#[must_use]
pub fn order(sequence: &[u32], done: &[u32], next: Option<u32>) -> String {
    let word = |n: &u32| match (done.contains(n), next == Some(*n)) {
        (true, _) => format!("{n}✓"),
        (_, true) => format!("[{n}]"),
        _ => n.to_string(),
    };
    format!("order {}", sequence.iter().map(word).collect::<Vec<_>>().join(" "))
}

fn list(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

fn rounds(app: &App<'_>, record: &Record, step: &Step, check: &Check, width: u16) -> Panel {
    let kept = record.readings(&step.id, &check.id);
    let gone: Vec<_> = kept.iter().filter(|k| k.reading.corrects.is_none()).collect();
    let mut lines = Vec::new();
    for (k, round) in (1..).zip(&gone) {
        let moved = round.reading.values.join(" ").replace("moved=", "");
        let words = if moved == "0" { "none moved".to_owned() } else { format!("moved: {moved}") };
        lines.push(Line::from(vec![
            Span::raw(format!("round {k}  ")),
            Span::styled(
                format!("{} {}", sign(round.reading.verdict), cut(&words, usize::from(width).saturating_sub(12))),
                app.theme.verdict(round.reading.verdict),
            ),
        ]));
    }
    if gone.len() < 3 && record.step_state(&step.id) != StepState::Done {
        let words =
            format!("round {} of at most 3: touch every nut once, to the click; note which still turn", gone.len() + 1);
        lines.push(Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.action())));
    }
    lines
}

/// Joints that were begun and are not final, loud: they look tight and are not.
fn joints(app: &App<'_>, record: &Record, width: u16) -> Option<Panel> {
    let open = record.open_joints();
    let line = |j: &crate::traveler::OpenJoint<'_>| {
        let reached = j.reached.unwrap_or("begun");
        let words = format!("! NOT FINAL  {}: {reached}, {} to go, next is step {}", j.group, j.left, j.next.number);
        Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.alert()))
    };
    let mut lines: Panel = open.iter().map(line).collect();
    lines.extend(record.order_not_kept().into_iter().map(|(step, words)| {
        let words = format!("! ORDER  step {}: {words} A pass in order answers it.", step.number);
        Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.alert()))
    }));
    (!lines.is_empty()).then_some(lines)
}

/// Every check with its limits and its reading.
fn checks(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Panel {
    let room = usize::from(width);
    let longest = |words: &dyn Fn(&Check) -> usize| step.checks.iter().map(words).max().unwrap_or(0);
    let limit = longest(&|c| range(c).chars().count()).min(room * 30 / 100);
    // Room for a value stays behind; a question that is longer stands on a line of its own, whole.
    let prompt = longest(&|c| c.prompt.chars().count()).min(room.saturating_sub(limit + 14));
    let row = |check: &Check| -> Panel {
        let kept = record.reading(&step.id, &check.id);
        let open = app.at_work() && app.open_check().is_some_and(|c| c.id == check.id);
        let mark = kept.as_ref().map_or(if open { ">" } else { "·" }, |k| sign(k.reading.verdict));
        let style = kept.as_ref().map_or(Style::new(), |k| app.theme.verdict(k.reading.verdict));
        let value = kept.as_ref().map_or_else(String::new, |k| super::series::list(check, &k.reading.values, room));
        let (limits, left) = (cut(&range(check), limit), room.saturating_sub(prompt + limit + 4));
        let value = Span::styled(cut(&value, left), style);
        if check.prompt.chars().count() <= prompt {
            return vec![Line::from(vec![
                Span::raw(format!("{mark} {:<prompt$} {limits:<limit$} ", check.prompt)),
                value,
            ])];
        }
        let whole = Line::from(cut(&format!("{mark} {}", check.prompt), room));
        vec![whole, Line::from(vec![Span::raw(format!("{:prompt$}   {limits:<limit$} ", "")), value])]
    };
    step.checks.iter().flat_map(row).collect()
}

/// Steps done before this one that are named at most.
const DONE_BEFORE: usize = 6;

/// Neighbours of the step, as many as there are rows for: what was done last, with its values, and what comes.
#[must_use]
pub fn around(app: &App<'_>, record: &Record, step: &Step, width: u16, rows: usize) -> Panel {
    if rows < 3 {
        return Vec::new();
    }
    let room = usize::from(width);
    let line = |s: &Step, words: &str| Line::from(cut(&format!("  {:>3}. {}{words}", s.number, s.title), room));
    let open = |s: &&Step| s.id != step.id && s.number > step.number && record.step_state(&s.id) != StepState::Done;
    let coming: Vec<&Step> = record.plan().steps.iter().filter(open).collect();
    // Room for what was done stands back behind what comes: three lines of that first.
    let back = (rows.saturating_sub(5 + usize::from(!coming.is_empty()))).min(DONE_BEFORE);
    let done: Vec<&Step> = record.last_done(back).into_iter().filter(|s| s.id != step.id).collect();
    let mut lines = Vec::new();
    if !done.is_empty() {
        lines.push(Line::from(Span::styled("Done last:", app.theme.name())));
        lines.extend(done.iter().map(|s| line(s, &format!("  ✓ {}", values_of(record, s)))));
    }
    lines.push(Line::from(Span::styled("Then:", app.theme.name())));
    let left = rows.saturating_sub(lines.len());
    lines.extend(coming.iter().take(left).map(|s| line(s, "")));
    if coming.is_empty() {
        lines.push(Line::from("  nothing; this is the last"));
    }
    lines
}

/// The measured values of a step, in a few words.
fn values_of(record: &Record, step: &Step) -> String {
    let measured = step.checks.iter().filter(|c| c.unit.is_some());
    let value = |c: &Check| {
        let kept = record.reading(&step.id, &c.id)?;
        Some(format!("{} {}", kept.reading.values.join(" "), c.unit.as_deref().unwrap_or_default()))
    };
    measured.filter_map(value).collect::<Vec<_>>().join(", ")
}

/// How far the build is, in all and at each place of work.
fn progress(app: &App<'_>, record: &Record, width: u16) -> Panel {
    let steps = &record.plan().steps;
    let (done, of) = (record.steps_done(), steps.len());
    let bar = usize::from(width).saturating_sub(24).min(40);
    let full = done * bar / of.max(1);
    let head = format!("[{}{}] {done} of {of} steps", "█".repeat(full), "·".repeat(bar - full));
    let mut places: Vec<&str> = Vec::new();
    for step in steps {
        if !places.contains(&step.place.as_str()) {
            places.push(&step.place);
        }
    }
    let at = |place: &&str| {
        let of_place: Vec<&Step> = steps.iter().filter(|s| s.place == **place).collect();
        let ready = of_place.iter().filter(|s| record.step_state(&s.id) == StepState::Done).count();
        format!("{place} {ready}/{}", of_place.len())
    };
    let words = places.iter().map(at).collect::<Vec<_>>().join("   ");
    vec![Line::from(Span::styled(head, app.theme.name())), Line::from(cut(&words, usize::from(width)))]
}
