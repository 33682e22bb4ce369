//! Windows with questions: which ones a key opens, and what their answers do.

use std::collections::BTreeMap;

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::instruments::Register;
use crate::traveler::people;
use crate::traveler::{
    CheckState, EndedEarly, Entry, Record, Release, Remote, initials_fit, is_round, opens_power, plausible,
};

use super::app::App;
use super::ask::{Ask, Field, Purpose};
use super::deciding;
use super::entry::OpenEntry;
use super::keys::Act;
use super::two::READER;

/// Opens the window that belongs to a key.
pub fn open(app: &mut App<'_>, act: Act) {
    if app.session.is_none() {
        return;
    }
    let ask = match act {
        Act::Note => Some(Ask::new(Purpose::Note, "Note", "Kept with this step.", vec![Field::text("Note")])),
        Act::Attach => Some(Ask::new(
            Purpose::Attach,
            "Keep a file with this step",
            "A picture, a certificate, a log. It is copied into the folder of this build; its hash goes into the record.",
            vec![Field::text("File"), Field::text("What it shows")],
        )),
        Act::Correct => correct(app),
        Act::Dispose => deciding::dispose(app),
        Act::Release => release(app),
        Act::Instrument => instrument(app),
        Act::EndEarly => end_early(app),
        _ => None,
    };
    if ask.is_some() {
        app.ask = ask;
    } else if app.message.is_empty() {
        app.message = "Nothing here to do that with.".into();
    }
}

/// Roles of the module.
pub(super) fn roles(app: &App<'_>) -> Vec<String> {
    app.record().map_or_else(Vec::new, |r| r.plan().people.keys().cloned().collect())
}

fn correct(app: &App<'_>) -> Option<Ask> {
    let (record, step) = (app.record()?, app.shown_step()?);
    let mut read: Vec<_> = step
        .checks
        .iter()
        .filter(|c| c.asks() != CheckKind::Derived)
        .filter_map(|c| record.reading(&step.id, &c.id).map(|kept| (c, kept.event)))
        .collect();
    // The one that is outside first, then the one just read: that is what a mistyped value is about.
    read.sort_by_key(|(c, event)| (record.check_state(step, c) != CheckState::Open, std::cmp::Reverse(*event)));
    let read: Vec<String> = read.into_iter().map(|(c, _)| deciding::choice_of(c)).collect();
    let read = Some(read).filter(|read| !read.is_empty())?;
    let words = "The old reading stays, struck through. Put a semicolon between several values.";
    let mut fields = vec![Field::choice("Which", read), Field::text("Right value"), Field::text("Why")];
    // With two at work a value counts once it was read back, the right one as the first.
    fields.extend(app.two.then(|| Field::initials(READER)));
    Some(Ask::new(Purpose::Correct, "Correct a reading", words, fields))
}

/// True where a hold waits for its release only: everything is answered, and no part is out. One that was released from
/// afar waits until the same person releases it in person.
pub fn releasable(record: &Record, step: &Step) -> bool {
    record.waits_for_release(step) || record.released_from_afar(step).is_some()
}

fn release(app: &App<'_>) -> Option<Ask> {
    let (record, step) = (app.record()?, app.shown_step()?);
    let role = step.hold.as_ref()?;
    if !releasable(record, step) {
        return None;
    }
    if let Some((by, channel)) = record.released_from_afar(step) {
        let words =
            format!("Released by {by} from afar ({channel}). It counts as open until {by} releases it in person.");
        let fields = vec![Field::initials(&format!("Initials, by {by} in person"))];
        return Some(Ask::new(Purpose::Release, "Release this hold point", &words, fields));
    }
    let who = record.plan().people.get(role).map_or_else(String::new, |l| l.join(", "));
    let words = match record.lone_builder() {
        None => format!("Released by the role {role} ({who}), not by who did the work."),
        Some(lone) => format!(
            "Released by the role {role} ({who}). This is {lone}'s build alone: {lone} may release it, also after doing the work."
        ),
    };
    let mut fields = vec![
        Field::initials("Initials of who releases"),
        Field::text("From afar, by which channel (empty: on site)").optional(),
        // Whoever is at the bench need not be the one who took it down, so nobody is proposed.
        Field::initials("Taken down by").only_after(1),
    ];
    if record.alone().is_some() && opens_power(record.plan(), step) {
        fields.push(Field::choice("Is anybody else present", vec!["yes".into(), "no".into()]));
    }
    Some(Ask::new(Purpose::Release, "Release this hold point", &words, fields))
}

fn instrument(app: &mut App<'_>) -> Option<Ask> {
    match Register::load(app.store.root()) {
        Ok(register) => {
            let words = "Those that can decide this check come first. Readings after this are kept with the instrument. Add instruments with \"runtrue instruments add\".";
            let choices = instrument_choices(app, &register);
            Some(Ask::new(Purpose::Instrument, "Instrument", words, vec![Field::choice("Instrument", choices)]))
        }
        Err(error) => {
            app.message = error.to_string();
            None
        }
    }
}

/// Every instrument in use with what it is good for here, the best first, and none at the end. The id is the first word.
fn instrument_choices(app: &App<'_>, register: &Register) -> Vec<String> {
    let today = chrono::Local::now().date_naive().to_string();
    let offers = app.open_check().map_or_else(Vec::new, |c| register.offers(c, &today));
    let late = |overdue: bool| if overdue { ", past its date" } else { "" };
    let good = offers.iter().map(|o| format!("{} ({}{})", o.instrument.id, o.ability.words(), late(o.overdue)));
    let others = register.instruments.iter().filter(|i| !i.retired && i.faulty.is_none());
    let others = others.filter(|i| !offers.iter().any(|o| o.instrument.id == i.id));
    let others = others.map(|i| format!("{} ({}{})", i.id, i.kind, late(i.overdue(&today))));
    good.chain(others).chain(["none".to_owned()]).collect()
}

fn end_early(app: &App<'_>) -> Option<Ask> {
    let (record, step) = (app.record()?, app.shown_step()?);
    let runs = step.checks.iter().any(|c| record.check_state(step, c) == CheckState::Running);
    let fields = vec![Field::initials("Initials"), Field::choice(ROLE, roles(app)), Field::text("Why")];
    runs.then(|| {
        Ask::new(Purpose::EndEarly, "End the wait early", "Only by a role of this module that may release.", fields)
    })
}

/// What is wrong with the answer in hand, where that can be told before the others are asked: initials that cannot be, or that may not
/// release or decide what the window is about.
pub fn wrong_at_once(app: &App<'_>, ask: &Ask) -> Option<String> {
    let field = ask.fields.get(ask.at)?;
    let typed = ask.answer(ask.at);
    if !field.initials || typed.is_empty() {
        return None;
    }
    if let Err(why) = initials_fit(&typed) {
        return Some(why.to_string());
    }
    match (&ask.purpose, ask.at) {
        (Purpose::Release, 0) => {
            let (session, step) = (app.session.as_ref()?, app.shown_step()?);
            session.may_release(&step.id, &typed).err().map(|e| e.to_string())
        }
        (Purpose::Dispose | Purpose::DecideRun(_), _) => {
            let role = ask.fields.iter().find(|f| f.label == ROLE)?.value.clone();
            let stands = app.record()?.has_role(&typed, &role);
            (!stands).then(|| format!("\"{typed}\" does not stand under the role \"{role}\" of this module"))
        }
        _ => None,
    }
}

/// What the question for the role is called in which something is decided.
pub(super) const ROLE: &str = "Role";

/// Does what the answers ask for; a fault keeps the window open and says why.
pub fn apply(app: &mut App<'_>, ask: &Ask) {
    let done = match &ask.purpose {
        Purpose::Person => person(app, ask),
        Purpose::Start(name) => start(app, ask, name),
        Purpose::Find => app.find(&ask.answer(0)),
        Purpose::Pieces => app.pieces(&ask.answer(0)),
        Purpose::Note => note(app, &ask.answer(0)),
        Purpose::Attach => attached(app, ask),
        Purpose::Reopen => app.reopen(&ask.answer(0), &ask.answer(1)),
        Purpose::Correct => corrected(app, ask),
        Purpose::Dispose => deciding::disposed(app, ask),
        Purpose::GivenUp => deciding::stopped(app, ask),
        Purpose::Release => released(app, ask),
        Purpose::EndEarly => ended(app, ask),
        Purpose::Change(build) => app.ask_change_to(build, &ask.answer(0)),
        Purpose::ChangeTo(build, wish) => app.plan_change(build, *wish, ask),
        Purpose::Trial => app.keep_run(ask),
        Purpose::DecideRun(run) => app.keep_decision(*run, ask),
        Purpose::Adopt => app.keep_adoption(ask),
        Purpose::Begin => app.begin_change(&ask.answer(0), &ask.answer(1)),
        Purpose::Witness(values) => app.witnessed(values.clone(), &ask.answer(0)),
        Purpose::Instrument => {
            let id = ask.answer(0).split(' ').next().unwrap_or_default().to_owned();
            let register = Register::load(app.store.root()).map_err(|e| e.to_string());
            register.map(|register| {
                let before = app.anew();
                app.uncertainty = register.find(&id).and_then(|i| i.uncertainty.clone());
                app.instrument = (id != "none").then_some(id);
                app.parted_from(&before);
                String::new()
            })
        }
    };
    match done {
        Ok(words) => {
            if app.ask.as_ref().is_some_and(|a| a.purpose == ask.purpose) {
                app.ask = if ask.purpose == Purpose::Person { app.parked.take() } else { None };
            }
            app.typing = true;
            app.message = words;
        }
        Err(fault) => {
            if let Some(open) = &mut app.ask {
                open.fault = fault;
            }
        }
    }
}

fn person(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    let initials = ask.answer(0);
    initials_fit(&initials).map_err(|e| e.to_string())?;
    if let Some(people) = app.record().filter(|r| r.is_new(&initials)).map(|r| r.plan().people.clone()) {
        a_helper(app, ask, &people, &initials)?;
    }
    let role = app.record().map(|r| r.role(&initials));
    let told = std::mem::take(&mut app.message);
    let words = role.map_or_else(String::new, |role| format!("{initials} is at the bench, role {role}. {told}"));
    app.part_from_begun(&initials);
    let before = app.anew();
    app.by = Some(initials);
    app.parted_from(&before);
    Ok(words.trim_end().to_owned())
}

/// The question about initials that stand under no role.
const HELPER: &str = "No role in the spec";
const SLIP: &str = "a typing error";

/// Initials that stand under no role are asked about once: a helper, or a slip of the finger. Enter alone keeps nobody.
fn a_helper(
    app: &mut App<'_>,
    ask: &Ask,
    people: &BTreeMap<String, Vec<String>>,
    initials: &str,
) -> Result<(), String> {
    let Some(words) = people::unknown(people, initials).filter(|_| !app.helpers.contains(initials)) else {
        return Ok(());
    };
    let answer = ask.fields.iter().find(|f| f.label == HELPER).map(|f| f.value.clone());
    let Some(open) = &mut app.ask else { return Err(words) };
    match answer.as_deref() {
        None => {
            open.fields.push(Field::choice(HELPER, vec![SLIP.into(), "a helper".into()]));
            open.at = open.fields.len() - 1;
            Err(format!("{words}: a helper, or a typing error?"))
        }
        Some(SLIP) => {
            open.fields.retain(|f| f.label != HELPER);
            open.fields[0].value.clear();
            open.at = 0;
            Err("Type the initials again.".into())
        }
        Some(_) => {
            app.helpers.insert(initials.to_owned());
            Ok(())
        }
    }
}

/// Asks about the initials given at the start of the program where they stand under no role and made no entry yet.
pub fn ask_if_unknown(app: &mut App<'_>) {
    let new = |by: &&String| {
        !app.helpers.contains(*by) && app.record().is_some_and(|r| r.is_new(by) && r.unknown(by).is_some())
    };
    if app.by.as_ref().filter(new).is_none() {
        return;
    }
    app.ask_person();
    app.by = None;
    if let Some(ask) = app.ask.clone() {
        apply(app, &ask);
    }
}

fn start(app: &mut App<'_>, ask: &Ask, name: &str) -> Result<String, String> {
    let mut fields = ask.fields.clone();
    fields.retain(|f| f.label != HELPER);
    // Initials and serial number, the axes, practice, alone.
    let last = fields.len() - 1;
    let axes = fields[2..last - 1].iter().map(|f| (f.label.clone(), f.value.clone()));
    let setup: BTreeMap<String, String> = axes.collect();
    let practice = ask.answer(last - 1) == "yes";
    let alone = Some(ask.answer(last)).filter(|why| !why.is_empty());
    initials_fit(&ask.answer(0)).map_err(|e| e.to_string())?;
    let (plan, spec) = app.modules.plan(name, &setup)?;
    a_helper(app, ask, &plan.people, &ask.answer(0))?;
    app.start_build(name, (plan, spec), (ask.answer(1), ask.answer(0)), practice, alone)?;
    Ok("The build is started. Everything that is entered is saved at once.".into())
}

/// Acts on the build in hand for who is at the bench.
pub(super) fn with_session<T>(
    app: &mut App<'_>,
    act: impl FnOnce(&mut crate::traveler::Session, &str, &str) -> Result<T, crate::traveler::EntryError>,
) -> Result<T, String> {
    let by = app.by.clone().ok_or("Say first who is at the bench: key i.")?;
    let step = app.step.clone();
    let session = app.session.as_mut().ok_or("No build is open.")?;
    act(session, &step, &by).map_err(|e| e.to_string())
}

fn note(app: &mut App<'_>, text: &str) -> Result<String, String> {
    with_session(app, |s, step, by| s.note(step, text, by)).map(|n| format!("Note saved, entry {n}."))
}

fn attached(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    let (file, text) = (ask.answer(0), ask.answer(1));
    with_session(app, |s, step, by| s.attach(step, std::path::Path::new(&file), &text, by))
        .map(|n| format!("File kept, entry {n}."))
}

/// The check that is corrected, and its new values.
fn correction<'a>(app: &'a App<'_>, ask: &Ask) -> Option<(&'a Check, Vec<String>)> {
    let id = deciding::check_of(&ask.answer(0));
    let check = app.shown_step()?.checks.iter().find(|c| c.id == id)?;
    let typed = ask.answer(1);
    // Numbers of those that moved are typed here as they are in the entry.
    let values = match is_round(check) {
        true => vec![format!("moved={}", typed.trim_start_matches("moved="))],
        false => typed.split(';').map(|v| v.trim().to_owned()).collect(),
    };
    Some((check, values))
}

/// Why a correction is asked about before it counts: it is as hard to believe as a first value would be, or its check is critical.
pub fn hardly_right(app: &App<'_>, ask: &Ask) -> Option<String> {
    let (check, values) = correction(app, ask)?;
    let doubt = plausible::of_entry(app.record()?, check, &values);
    let typed = values.join("; ");
    match doubt {
        Some(words) => Some(format!("Is it so? {typed}: {words}.")),
        None if check.critical => Some(format!("A critical value. Does the instrument show {typed}?")),
        None => None,
    }
}

fn corrected(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    let (check, values) = correction(app, ask).ok_or("Nothing is read here that could be put right.")?;
    let instrument = app.instrument_for(check);
    let (check, reason, helper) = (check.id.clone(), ask.answer(2), app.is_helper());
    let witness = app.two.then(|| ask.answer(3));
    witness.as_deref().map_or(Ok(()), |initials| app.reads_back(initials))?;
    let open = |app: &App<'_>| app.open_check().map(|c| c.id.clone());
    let before = open(app);
    let done = with_session(app, |s, step, by| {
        s.enter(&Entry {
            step: step.to_owned(),
            check,
            values,
            by: by.to_owned(),
            correct: Some(reason),
            instrument,
            witness,
            helper,
            bare: true,
            ..Entry::default()
        })
    })
    .map(|o| {
        let doubt = o.doubt.map_or_else(String::new, |d| format!(" Kept with it: {d}."));
        format!("Corrected, entry {}: {}, {}.{doubt}", o.event, o.verdict.word(), o.message)
    });
    if open(app) != before {
        // What was typed for the check that is answered now is nothing for the next one.
        app.entry = OpenEntry::default();
        app.typing = true;
    }
    done
}

fn released(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    let role = app.shown_step().and_then(|s| s.hold.clone()).unwrap_or_default();
    let channel = ask.answer(1);
    let remote = (!channel.is_empty()).then(|| Remote { channel, taken_by: ask.answer(2) });
    let (by, nobody_else) = (ask.answer(0), ask.answer(3) == "no");
    with_session(app, |s, step, _| s.release(&Release { step: step.to_owned(), by, role, remote, nobody_else }))
        .map(|n| format!("Released, entry {n}. Tab leads on."))
}

fn ended(app: &mut App<'_>, ask: &Ask) -> Result<String, String> {
    let check = app.open_check().map(|c| c.id.clone()).ok_or("No wait runs here.")?;
    let end_early = Some(EndedEarly { role: ask.answer(1), reason: ask.answer(2) });
    let by = ask.answer(0);
    with_session(app, |s, step, _| {
        s.enter(&Entry { step: step.to_owned(), check, values: vec!["done".into()], by, end_early, ..Entry::default() })
    })
    .map(|o| format!("Ended, entry {}: {}.", o.event, o.message))
}
