//! Decisions on readings outside: who decides what about which part, and the second look before a part leaves the module.

use crate::procedure::plan::Check;
use crate::procedure::remaining;
use crate::traveler::{CheckState, Disposition, DispositionKind, Goal, Record};

use super::answers::{ROLE, roles, with_session};
use super::app::App;
use super::ask::{Ask, Field, Purpose};
use super::changing::Computing;

/// The question for the part that a decision is about.
const PART: &str = "Part it is about";

/// A check to choose: its id, and what is asked.
pub fn choice_of(check: &Check) -> String {
    format!("{}: {}", check.id, check.prompt)
}

/// The id of the check that was chosen.
pub fn check_of(choice: &str) -> String {
    choice.split(':').next().unwrap_or(choice).to_owned()
}

/// What the question for the kind of decision is called.
pub const DISPOSITION: &str = "Disposition";
const ALL_PARTS: &str = "all of them";
const REPLACE: &str = "replace it now: shows what comes off";

/// The window for a decision; where a part was given up and is built in, for its replacement.
pub fn dispose(app: &App<'_>) -> Option<Ask> {
    let (record, step) = (app.record()?, app.shown_step()?);
    let stopped = record.stopped_at(&step.id);
    if stopped.is_empty() {
        return decide(app);
    }
    let parts = stopped.join(", ");
    let words =
        format!("{parts} was given up and is built in. Nothing measured here answers that: it is replaced first.");
    let field = Field::choice("What", vec![REPLACE.into(), "decide otherwise".into()]);
    Some(Ask::new(Purpose::GivenUp, &parts, &words, vec![field]))
}

fn decide(app: &App<'_>) -> Option<Ask> {
    let (record, step) = (app.record()?, app.shown_step()?);
    let outside = |c: &&Check| record.to_answer(&step.id, c).is_some_and(|k| k.reading.verdict.open());
    let waits = |c: &&Check| matches!(record.check_state(step, c), CheckState::Open | CheckState::Stopped);
    let open = step.checks.iter().filter(waits).filter(outside);
    let open: Vec<String> = open.map(choice_of).collect();
    let kinds = DispositionKind::ALL.iter().map(|(w, _)| (*w).to_owned()).collect();
    let words = "\"Use as is\" and \"repair\" are decided by the design side, not by who took the reading. Rework needs a new reading.";
    let mut fields = vec![
        Field::choice("Reading", open.clone()),
        Field::choice(DISPOSITION, kinds),
        Field::text("Why"),
        Field::choice(ROLE, roles(app)),
        Field::initials("Initials of who decides"),
    ];
    // Which part leaves is asked where it does not follow; the whole of a step on several is rarely meant.
    if step.parts.len() > 1 {
        fields.push(Field::choice(PART, [&step.parts[..], &[ALL_PARTS.to_owned()]].concat()));
    }
    (!open.is_empty()).then(|| Ask::new(Purpose::Dispose, "Decide on a reading outside its limits", words, fields))
}

/// Writes the decision to the record.
pub fn disposed(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    let kind = DispositionKind::of(&ask.answer(1)).ok_or("No such disposition.")?;
    let disposition = Disposition { kind, reason: ask.answer(2), role: ask.answer(3) };
    let (check, by) = (check_of(&ask.answer(0)), ask.answer(4));
    let all = || app.shown_step().map(|s| s.parts.clone()).unwrap_or_default();
    let parts: Vec<String> = about(ask).map_or_else(Vec::new, |p| if p == ALL_PARTS { all() } else { vec![p] });
    let parts = if kind.gives_up() { parts } else { Vec::new() };
    let event = with_session(app, |s, step, _| s.dispose_of(step, &check, disposition, &parts, &by))?;
    let said = format!("{} kept, entry {event}.{}", kind.word(), then(app, kind));
    if !kind.gives_up() {
        return Ok(said);
    }
    app.drop_former();
    if app.draws_first {
        app.computing = Some(Computing::SetupsLeft(said.clone()));
        return Ok(format!("{said} Computing what can still be built …"));
    }
    Ok(format!("{said}{}", setups_left(app)))
}

/// The part that a decision names, where the step is on several.
fn about(ask: &Ask) -> Option<String> {
    ask.fields.iter().find(|f| f.label == PART).map(|f| f.value.clone())
}

/// What has to be looked at twice before it counts: a part that leaves the module, a correction or a run that can hardly be, a
/// correction of a critical value.
pub fn second_look(app: &App<'_>, ask: &Ask) -> Option<String> {
    match ask.purpose {
        Purpose::Correct => return super::answers::hardly_right(app, ask),
        Purpose::Trial => return app.hardly_run(ask),
        _ => {}
    }
    let kind = (ask.purpose == Purpose::Dispose).then(|| DispositionKind::of(&ask.answer(1)))??;
    let only = || app.shown_step().and_then(|s| s.parts.first().cloned());
    let part = about(ask).or_else(only).unwrap_or_else(|| "what this step is about".into());
    let where_to = if kind == DispositionKind::Return { ", back to the supplier" } else { "" };
    kind.gives_up().then(|| {
        format!(
            "{} {part}: it leaves the module{where_to}. What was measured on it is asked again of the next one.",
            kind.word()
        )
    })
}

/// What is to be done after a part was given up.
fn then(app: &App<'_>, kind: DispositionKind) -> String {
    let (Some(record), true) = (app.record(), kind.gives_up()) else {
        return String::new();
    };
    let stopped = record.stopped_at(&app.step);
    if stopped.is_empty() {
        return " Another part: measure again.".into();
    }
    format!(" {} is built in. d: replace it now.", stopped.join(", "))
}

/// A part that is built in: the change that replaces it is shown, or the decision is taken anew.
pub fn stopped(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    if ask.answer(0) != REPLACE {
        let again = decide(app).ok_or("There is nothing to decide here.")?;
        app.ask = Some(again);
        return Ok(String::new());
    }
    let record = app.record().ok_or("No build is open.")?;
    let build = record.build.clone();
    let replace = record.to_replace().into_iter().collect();
    app.show_change(&build, Goal { replace, ..Goal::default() })
}

/// What a part that is given up does to the setups; empty where the record's spec does not tell.
pub fn setups_left(app: &App<'_>) -> String {
    let setups = app.record().and_then(Record::setups_left);
    setups.map_or_else(String::new, |s| remaining::words(&s).replace('\n', " "))
}
