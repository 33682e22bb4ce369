//! What stands below the words of a step where there is room: what a reading outside means, how far the tightening is,
//! every check with its limits and reading, joints left open, the next steps, the build's progress.

use ratatui::style::Style;
use ratatui::text::{Line, Span};

use crate::procedure::meaning::meaning;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{CheckState, Kept, MOST_ROUNDS, Record, StepState, ease_first, is_round, side};
use crate::tui::app::App;
use crate::tui::looking::Look;
use crate::tui::theme::sign;
use crate::tui::widgets::big;
use crate::tui::widgets::text::{cut, named};

use super::joints;
use super::limits::range;

/// Lines that belong together; they are shown whole or not at all.
pub type Panel = Vec<Line<'static>>;

/// Adds what stands below the words, most important first and whole or not at all: the state of a tightening and every
/// check under the words; joints left open, progress and neighbours at the foot, always in that order and place.
pub fn below(app: &App<'_>, record: &Record, step: &Step, width: u16, height: usize, lines: &mut Panel) {
    let joints = joints::lines(app, record, width, height);
    // What is not final has its place at the foot whatever else there is to show.
    let above = height.saturating_sub(joints.len());
    let add = |panel: Panel, lines: &mut Panel| {
        let gap = usize::from(lines.len() + 1 + panel.len() <= above);
        if lines.len() + gap + panel.len() <= above {
            lines.extend(std::iter::repeat_n(Line::default(), gap));
            lines.extend(panel);
        }
    };
    if let Some(panel) = tightening(app, record, step, width) {
        add(panel, lines);
    }
    let kept = if joints.is_empty() { 0 } else { joints.len() + 1 };
    if step.checks.len() > 1 && app.look() != Look::Back && lines.len() + kept + step.checks.len() < height {
        add(checks(app, record, step, width), lines);
    }
    let mut foot = joints;
    let room = |foot: &Panel, lines: &Panel| height.saturating_sub(lines.len() + foot.len());
    for panel in [progress(app, record, width, room(&foot, lines) > 17), coming(app, record, step, width)] {
        if panel.len() + 2 <= room(&foot, lines) {
            foot.extend(std::iter::repeat_n(Line::default(), usize::from(!foot.is_empty())));
            foot.extend(panel);
        }
    }
    let back = room(&foot, lines).saturating_sub(4).min(DONE_BEFORE);
    let done = done_last(app, record, step, width, back);
    if !done.is_empty() {
        // Done before, then coming: in the order in which they happen.
        let at = foot.iter().position(|l| l.spans.first().is_some_and(|s| s.content == NEXT)).unwrap_or(foot.len());
        foot.splice(at..at, done);
    }
    if foot.len() <= room(&Vec::new(), lines) {
        let free = height - lines.len() - foot.len();
        lines.extend(std::iter::repeat_n(Line::default(), free));
        lines.extend(foot);
    }
}

/// At the foot below advice: joints left open, which are told on every screen.
pub fn loud(app: &App<'_>, record: &Record, width: u16, height: usize, lines: &mut Panel) {
    let joints = joints::lines(app, record, width, height);
    if lines.len() + joints.len() <= height {
        lines.extend(std::iter::repeat_n(Line::default(), height - lines.len() - joints.len()));
        lines.extend(joints);
    }
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
    let kept = record.to_answer(&step.id, check).filter(|_| !record.is_of_former_part(step, &check.id))?;
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
    let value = format!("{} {unit}", kept.reading.values.join(" "));
    let value = format!("{}, {}", value.trim_end(), kept.reading.because);
    let verdict = kept.reading.verdict;
    let name = format!("{}:", verdict.word().to_uppercase());
    let mut lines = named(&name, theme.verdict(verdict), &value, width, theme.verdict(verdict));
    lines.extend(named("It means:", theme.name(), &found.means, width, plain));
    lines.extend(named("Usually:", theme.name(), &found.causes, width, plain));
    lines.push(Line::from(Span::styled("What is possible:", theme.name())));
    for (key, words) in possible(app, step, &check, &kept) {
        lines.extend(named(&format!("  {key:<5}"), theme.action(), &words, width, plain));
    }
    lines
}

fn possible(app: &App<'_>, step: &Step, check: &Check, kept: &Kept<'_>) -> Vec<(&'static str, String)> {
    let Some(record) = app.record() else { return Vec::new() };
    let others_stand = !app.anew().is_empty();
    let mut list: Vec<(&'static str, String)> = Vec::new();
    match check.asks() {
        CheckKind::Derived => {
            list.push(("Left", "Look at the reading it rests on; c there puts that right, and this with it.".into()));
        }
        CheckKind::Torque if ease_first(check, kept.reading).is_some() => {
            let first = ease_first(check, kept.reading).unwrap_or_default();
            list.push(("first", format!("{first} (common practice).")));
            let then = if others_stand {
                "Then pull it again and type its torque; the others stand. u: the whole pass anew, in order."
            } else {
                "Then go through the pass in order, and enter it anew."
            };
            list.push(("type", then.into()));
        }
        CheckKind::Torque if is_round(check) => list.push(("type", "Go round again and enter which moved.".into())),
        _ if check.stays => {
            list.push(("type", "Enter what a later run shows; this one stays open until it is decided.".into()));
        }
        CheckKind::Text => {
            list.push(("type", "Read it again and type what stands there; both stay in the record.".into()))
        }
        CheckKind::Confirm | CheckKind::Gauge => list.push(("y n", "Mend it or look again, and answer anew.".into())),
        _ if others_stand => {
            let words =
                "Measure again what is outside and type that; the others stand. Both stay in the record. u: all anew.";
            list.push(("type", words.into()));
        }
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
    format!(
        "Have it decided, with reason and role. \"Use as is\" or \"repair\" is decided by {who}, not by {} who took the reading.",
        kept.by
    )
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
        _ if app.open_check().is_some_and(|c| c.id == check.id) => app.bolts_tight(),
        _ => Vec::new(),
    };
    let asked = app.sequence();
    let skipped = app.entry.skipped(&asked);
    let wrench = step.tools.iter().find(|t| t.to_lowercase().contains("wrench")).cloned().unwrap_or_default();
    let beside = [
        format!("N·m   {}", pass(record, step)),
        format!("set to {torque:.1} N·m: {wrench}"),
        format!("clicks {} of {}", done.len(), sequence.len()),
        order(&sequence, &done, app.entry.next_bolt(&asked).filter(|n| !done.contains(n))),
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
    found.map_or_else(String::new, |(s, _)| format!("! step {} went out of order: keep to it now", s.number))
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
    let gone = record.rounds_gone(&step.id, &check.id);
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
    if gone.len() < MOST_ROUNDS && record.step_state(&step.id) != StepState::Done {
        let words = format!(
            "round {} of at most {MOST_ROUNDS}: each once, to the click; note the numbers that turn",
            gone.len() + 1
        );
        lines.push(Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.action())));
    }
    lines
}

/// Every check with its limits and its reading.
fn checks(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Panel {
    let room = usize::from(width);
    // Whole where the longest ones fit beside each other, else in shares.
    let longest = |len: &dyn Fn(&Check) -> usize| step.checks.iter().map(len).max().unwrap_or(0);
    let limit = longest(&|c| range(c).chars().count()).clamp(8, 20.max(room * 24 / 100));
    let value = longest(&|c| {
        let kept = record.reading(&step.id, &c.id);
        kept.map_or(0, |k| super::series::list(c, &k.reading.values, room).chars().count())
    });
    let left = room.saturating_sub(limit + 4 + value.min(room * 40 / 100));
    let prompt = longest(&|c| c.prompt.chars().count()).min(left.max(room * 36 / 100));
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
const DONE_BEFORE: usize = 3;
/// Steps that come next that are named at most.
const TO_COME: usize = 3;
/// Head over the steps that come.
const NEXT: &str = "Then";

fn neighbour(step: &Step, words: &str, width: u16) -> Line<'static> {
    Line::from(cut(&format!("  {:>3}. {}{words}", step.number, step.title), usize::from(width)))
}

/// What was done last, with its values.
fn done_last(app: &App<'_>, record: &Record, step: &Step, width: u16, most: usize) -> Panel {
    let done: Vec<&Step> = record.last_done(most).into_iter().filter(|s| s.id != step.id).collect();
    if done.is_empty() {
        return Vec::new();
    }
    let line = |s: &&Step| neighbour(s, &format!("  ✓ {}", values_of(record, s)), width);
    let head = Line::from(Span::styled("Done last", app.theme.name()));
    std::iter::once(head).chain(done.iter().map(line)).collect()
}

/// The steps that come next.
fn coming(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Panel {
    let open = |s: &&Step| s.id != step.id && s.number > step.number && record.step_state(&s.id) != StepState::Done;
    let coming: Vec<&Step> = record.plan().steps.iter().filter(open).collect();
    let mut lines = vec![Line::from(Span::styled(NEXT, app.theme.name()))];
    lines.extend(coming.iter().take(TO_COME).map(|s| neighbour(s, "", width)));
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

/// How far the build is, in all and at each place of work; each place on a line of its own where there is room.
fn progress(app: &App<'_>, record: &Record, width: u16, tall: bool) -> Panel {
    let steps = &record.plan().steps;
    let mut places: Vec<&str> = Vec::new();
    for step in steps {
        if !places.contains(&step.place.as_str()) {
            places.push(&step.place);
        }
    }
    let count = |place: &str| {
        let of_place = steps.iter().filter(|s| s.place == place);
        of_place.fold((0, 0), |(done, of), s| (done + usize::from(record.step_state(&s.id) == StepState::Done), of + 1))
    };
    let bar = |done: usize, of: usize| {
        let long = usize::from(width).saturating_sub(28).min(40);
        let full = done * long / of.max(1);
        format!("[{}{}]", "█".repeat(full), "·".repeat(long - full))
    };
    let (done, of) = (record.steps_done(), steps.len());
    let head = Line::from(Span::styled(format!("{} {done} of {of} steps", bar(done, of)), app.theme.name()));
    if tall {
        let line = |place: &&str| {
            let (done, of) = count(place);
            Line::from(cut(&format!("{} {done} of {of} {place}", bar(done, of)), usize::from(width)))
        };
        return std::iter::once(head).chain(places.iter().map(line)).collect();
    }
    let at = |place: &&str| {
        let (done, of) = count(place);
        format!("{place} {done}/{of}")
    };
    let words = places.iter().map(at).collect::<Vec<_>>().join("   ");
    vec![head, Line::from(cut(&words, usize::from(width)))]
}
