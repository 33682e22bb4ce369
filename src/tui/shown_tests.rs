//! What a fitter has to see is on the screen, whole: at every step of all demos, looked at, worked on and looked back at.

use crossterm::event::{Event, KeyCode};

use crate::procedure::meaning::meaning;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{CheckState, Disposition, DispositionKind, StepState, side};

use super::looking::Look;
use super::tests::{app, app_of, build_up_to, enter, good, key, keys, let_go, text};
use super::*;

pub(super) fn squeeze(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// A text stands whole on a page, or runs on from one page to the next, also at a hyphen.
pub(super) fn told(pages: &[String], text: &str) -> bool {
    (0..pages.len()).any(|k| runs_on(&pages[k..], &squeeze(text)))
}

fn runs_on(pages: &[String], text: &str) -> bool {
    let Some((page, rest)) = pages.split_first() else { return false };
    if page.contains(text) {
        return true;
    }
    let ends = text.char_indices().map(|(at, _)| at).rev();
    // A few letters that happen to stand there are no beginning.
    let most = ends.into_iter().find(|end| page.contains(&text[..*end])).unwrap_or(0);
    most > 8 && runs_on(rest, &text[most..])
}

/// Every page of the screen; nothing runs into the last column, where it would be cut unseen.
fn pages(app: &mut App<'_>) -> Vec<String> {
    let count = screens::step::page_count(app);
    let mut list = Vec::new();
    for page in 0..count {
        (app.page, app.seen) = (page, app.seen.max(page));
        let shown = text(app);
        for line in shown.lines() {
            let last = line.chars().nth(usize::from(app.size.0) - 1);
            assert!(matches!(last, None | Some(' ' | '─' | '…')), "{}: cut unseen: {line}", app.step);
        }
        assert!(count == 1 || shown.contains(&format!("page {} of {count}", page + 1)), "{}\n{shown}", app.step);
        list.push(squeeze(&shown));
    }
    list
}

fn assert_told(app: &App<'_>, pages: &[String], text: &str) {
    assert!(told(pages, text), "{}: \"{text}\" is not whole on the screen\n{}", app.step, pages.join("\n\n"));
}

/// How many pages must be read is reckoned without laying out the others, and is the same.
fn reckoned(app: &App<'_>) {
    for (width, height) in [(80, 15), (80, 11), (67, 25), (40, 6)] {
        let laid = screens::pages::of(app, width, height).required;
        assert_eq!(screens::pages::required(app, width, height), laid, "{} at {width}x{height}", app.step);
    }
}

/// Cautions and action on every page, and everything the step says on some.
fn step_told(app: &App<'_>, pages: &[String], step: &Step) {
    for page in pages {
        for caution in &step.cautions {
            assert!(page.contains(caution.signal.word()), "{}: a caution left the screen\n{page}", step.id);
        }
        let start: String = step.title.chars().take(30).collect();
        assert!(page.contains(&squeeze(&start)), "{}: the action left the screen\n{page}", step.id);
    }
    let steps = &app.record().unwrap().plan().steps;
    for caution in &step.cautions {
        assert_told(app, pages, &format!("{} {}", caution.signal.word(), caution.text));
    }
    step.actions.iter().for_each(|action| assert_told(app, pages, action));
    assert_told(app, pages, &crate::procedure::naming::with(step).join("; "));
    assert_told(app, pages, &crate::procedure::naming::why_now(step, steps));
}

/// The open check: what is asked, its limits, and their basis here or on a page.
fn entry_told(app: &mut App<'_>, before: &[String], check: &Check) {
    if app.soak_asked().is_some() {
        let question = app.soak_asked().unwrap();
        assert!(squeeze(&text(app)).contains(&squeeze(&question)), "{question}");
        keys(app, "y");
    }
    app.message.clear();
    let shown = vec![squeeze(&text(app))];
    assert_eq!(app.open_check().map(|c| &c.id), Some(&check.id), "{}", app.step);
    assert_told(app, &shown, &check.prompt);
    let limits = screens::limits_told(check);
    // The entry has them as name and value, without a colon.
    assert!(shown[0].replace(':', "").contains(&squeeze(&limits.replace(':', ""))), "{limits}\n{}", shown[0]);
    let basis = squeeze(&super::screens::basis_told(app.record().unwrap(), check));
    assert!(shown.iter().chain(before).any(|p| p.contains(&basis)), "{}: {}", app.step, check.basis);
}

/// A value that lies outside, where there is one.
fn bad(check: &Check) -> Option<Vec<String>> {
    let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
    let n = check.count.unwrap_or(1) as usize;
    let off = number(&check.upper).map(|b| b * 2.0 + 1.0).or_else(|| number(&check.lower).map(|a| a / 2.0));
    match check.asks() {
        CheckKind::Confirm => Some(vec!["no".into()]),
        CheckKind::Gauge => Some(vec!["go=no".into(), "no-go=no".into()]),
        CheckKind::Measure => off.map(|v| vec![format!("{v:.3}")]),
        CheckKind::Series if check.rule != Some(crate::procedure::plan::SeriesRule::Range) => {
            off.map(|v| vec![format!("{v:.3}"); n])
        }
        _ => None,
    }
}

/// Advice, cautions and action, whole, while a reading outside waits.
fn advice_told(app: &mut App<'_>, step: &Step, check: &Check) {
    let Some(values) = bad(check) else { return };
    enter(app, &step.id, check, values);
    let record = app.record().unwrap();
    let Some(side) = record.reading(&step.id, &check.id).and_then(|k| side(check, k.reading)) else {
        panic!("{} {}: not outside", step.id, check.id)
    };
    let because = record.reading(&step.id, &check.id).unwrap().reading.because.clone();
    let found = meaning(&step.operation, check, side);
    app.page = 0;
    reckoned(app);
    let list = pages(app);
    for words in [&found.means, &found.causes, &because] {
        assert_told(app, &list, words);
    }
    for caution in &step.cautions {
        assert_told(app, &list, &format!("{} {}", caution.signal.word(), caution.text));
    }
    for words in ["Have it decided, with reason and role.", "Write in a note what was done."] {
        assert_told(app, &list, words);
    }
    app.page = 0;
    // One that stays open until it is decided is decided here; a good value does not close it.
    if check.stays {
        let disposition = Disposition { kind: DispositionKind::UseAsIs, reason: "test".into(), role: "design".into() };
        app.session.as_mut().unwrap().dispose(&step.id, &check.id, disposition, "mh").unwrap();
    }
}

fn looked_back(app: &mut App<'_>, step: &Step) {
    let seen = app.seen;
    app.visit(step.id.clone());
    let list = pages(app);
    let record = app.record().unwrap();
    assert_eq!((record.step_state(&step.id), app.look()), (StepState::Done, Look::Back), "{}", step.id);
    assert!(list.iter().all(|p| p.matches("LOOKINGBACK").count() >= 3), "{}", step.id);
    for check in &step.checks {
        let kept = record.reading(&step.id, &check.id).unwrap();
        assert_told(app, &list, &check.prompt);
        let unit = check.unit.as_deref().unwrap_or_default();
        let value = format!("{} {unit}, {}", kept.reading.values.join(" "), kept.reading.verdict.word());
        assert_told(app, &list, &value);
        let by = format!("{}; {} ({}), {}", screens::limits_told(check), kept.by, kept.reading.role, &kept.at[..10]);
        assert_told(app, &list, &by);
    }
    step_told_whole(app, &list, step);
    keys(app, "w");
    app.seen = seen;
}

fn step_told_whole(app: &App<'_>, list: &[String], step: &Step) {
    step.actions.iter().for_each(|action| assert_told(app, list, action));
    step.cautions.iter().for_each(|caution| assert_told(app, list, &caution.text));
}

/// Works on a build of each demo at 80 x 24, the demos beside each other.
fn each_demo(work: impl Fn(&mut App<'static>) + Sync) {
    std::thread::scope(|all| {
        for name in crate::module::embedded_names() {
            let work = &work;
            all.spawn(move || {
                let home = tempfile::tempdir().unwrap();
                work(&mut app_of(&name, home.path(), (80, 24)));
            });
        }
    });
}

/// The whole build of each demo at 80 x 24: each step before its turn, at work, with a value outside, and looked back at.
#[test]
fn every_step_is_told_whole_at_80_by_24() {
    each_demo(|app| {
        for step in app.record().unwrap().plan().steps.clone() {
            app.show(step.id.clone());
            let list = pages(app);
            step_told(app, &list, &step);
            for check in step.checks.iter().filter(|_| app.look() == Look::Ahead) {
                assert_told(app, &list, &format!("{} {}.", check.prompt, screens::limits_told(check)));
            }
        }
        while let Some(step) = app.record().unwrap().current_step().cloned() {
            app.show_work();
            reckoned(app);
            let list = pages(app);
            step_told(app, &list, &step);
            assert!(app.text_seen(), "{}", step.id);
            for (k, check) in step.checks.iter().filter(|c| c.asks() != CheckKind::Derived).enumerate() {
                entry_told(app, &list, check);
                if k == 0 {
                    advice_told(app, &step, check);
                }
                if app.record().unwrap().check_state(&step, check) != CheckState::Answered {
                    enter(app, &step.id, check, good(check));
                }
            }
            let_go(app, &step);
            looked_back(app, &step);
        }
    });
}

/// From two metres, at every step of all demos and in each state: few words, and a number in large digits.
#[test]
fn the_two_metre_view_has_few_words_and_large_digits() {
    each_demo(|app| {
        app.far = true;
        while let Some(step) = app.record().unwrap().current_step().cloned() {
            app.show_work();
            seen_from_afar(app, "before it was read");
            app.seen = 9;
            for check in step.checks.iter().filter(|c| c.asks() != CheckKind::Derived) {
                seen_from_afar(app, &check.id);
                if app.soak_asked().is_some() {
                    keys(app, "y");
                }
                place_seen_from_afar(app, check);
                // What was just said counts among the twelve words.
                app.message = "Saved, entry 12: within, inside the limits by more than the instrument's part.".into();
                seen_from_afar(app, &format!("{}, said", check.id));
                app.message.clear();
                if app.takes_text() && check.asks() != CheckKind::Text {
                    keys(app, "12.5");
                    seen_from_afar(app, &format!("{} typed", check.id));
                    app.entry.clear_input();
                }
                enter(app, &step.id, check, good(check));
            }
            seen_from_afar(app, "held or done");
            let_go(app, &step);
            seen_from_afar(app, "done");
        }
    });
}

/// Where the next value of a series is taken stands beside which of how many it is.
fn place_seen_from_afar(app: &mut App<'_>, check: &Check) {
    let Some(place) = check.place(0).filter(|_| check.asks() == CheckKind::Series && app.text_seen()) else { return };
    let first: String = place.split_whitespace().take(2).collect::<Vec<_>>().join(" ");
    let shown = text(app);
    assert!(shown.contains(&first), "{}: \"{place}\"\n{shown}", app.step);
}

fn seen_from_afar(app: &mut App<'_>, state: &str) {
    for (size, rows) in [((120, 36), 7), ((80, 24), 5)] {
        app.update(&Event::Resize(size.0, size.1));
        let shown = text(app);
        let words = shown.split_whitespace().filter(|w| w.chars().any(char::is_alphabetic)).count();
        assert!(words <= 12, "{} {state}: {words} words\n{shown}", app.step);
        let high = shown.lines().filter(|l| l.contains('█')).count();
        assert!(high >= rows, "{} {state}: a number of {high} rows\n{shown}", app.step);
        let record = app.record().unwrap();
        let step = record.step(&app.step).unwrap();
        let own = step.group.as_deref().filter(|_| record.step_state(&step.id) != StepState::Done);
        let loose = record.open_joints().iter().any(|j| own != Some(j.group));
        let verb = step.title.split_whitespace().next().unwrap();
        assert!(shown.contains(verb) || !app.message.is_empty(), "{} {state}: no action\n{shown}", app.step);
        assert_eq!(shown.contains("! NOT FINAL"), loose && app.message.is_empty(), "{} {state}\n{shown}", app.step);
    }
}

#[test]
fn looking_back_takes_no_value_and_one_key_leads_to_the_step_in_hand() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-pulley");
    let events = app.record().unwrap().events.len();
    key(&mut app, KeyCode::Left);
    keys(&mut app, "25.004\nyn ");
    assert_eq!(app.record().unwrap().events.len(), events);
    keys(&mut app, "c");
    assert!(text(&app).contains("Correct a reading"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "w");
    assert_eq!((app.step.as_str(), app.look()), ("inspect-pulley", Look::Work));
    assert!(!text(&app).contains("LOOKING"), "{}", text(&app));
}

/// Another step may be taken out of turn; it is said until something is entered there.
#[test]
fn a_step_out_of_turn_is_said_and_may_be_worked_on() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    build_up_to(&mut app, "inspect-shaft");
    for _ in 0..3 {
        key(&mut app, KeyCode::Right);
    }
    assert_eq!(app.look(), Look::Other, "{}", app.step);
    assert!(text(&app).contains("NOT THE STEP IN HAND"), "{}", text(&app));
    app.seen = 9;
    let check = app.open_check().unwrap().clone();
    let step = app.step.clone();
    enter(&mut app, &step, &check, good(&check));
    app.visiting = false;
    assert_eq!(app.look(), Look::Work);
}

#[test]
fn an_entry_of_the_record_opens_whole_and_no_line_names_an_id() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-pulley");
    keys(&mut app, "r");
    let list = text(&app);
    let record = app.record().unwrap();
    assert!(!record.plan().steps.iter().any(|s| s.id.contains('-') && list.contains(&format!("{} ", s.id))), "{list}");
    assert!(!list.contains("+00:00") && !list.contains("+0"), "{list}");
    assert_eq!(list.matches(&record.events[0].header.at[..10]).count(), 1, "the day once: {list}");
    let last = record.events.last().unwrap().clone();
    keys(&mut app, "\n");
    let shown = text(&app);
    for part in ["Step:", "Asked:", "Value:", "Limits:", "Typed:", "Role:", &last.hash] {
        assert!(squeeze(&shown).contains(&squeeze(part)), "{part}\n{shown}");
    }
    key(&mut app, KeyCode::Esc);
    assert_eq!(text(&app), list);
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.shown, app::Shown::Step);
}

/// While a joint is tightened its torque stands large beside the words, also on the smallest screen, wherever six rows are
/// left; and other joints left open are told.
#[test]
fn the_torque_stands_large_at_every_tightening_that_fits_a_page() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let (mut seen, mut large, mut beside) = (0, 0, 0);
    while let Some(step) = app.record().unwrap().current_step().cloned() {
        app.show_work();
        app.seen = 9;
        let torque =
            step.torque_nm.is_some() && step.checks.iter().any(|c| c.asks() == CheckKind::Torque && c.unit.is_some());
        if torque && screens::step::pages_required(&app) == 1 {
            let shown = text(&app);
            let high = shown.lines().filter(|l| l.contains('█')).count();
            let row = |words: &str| shown.lines().position(|l| l.trim_start().starts_with(words));
            let left = row("to enter").unwrap() - row("page 1 of").unwrap_or_default();
            assert!(high >= 5 || left <= 6, "{}\n{shown}", step.id);
            let others = app.record().unwrap().open_joints().iter().any(|j| step.group.as_deref() != Some(j.group));
            assert_eq!(shown.contains("! NOT FINAL"), others, "{}\n{shown}", step.id);
            seen += 1;
            large += usize::from(high >= 5);
            beside += usize::from(others);
        }
        for check in step.checks.iter().filter(|c| c.asks() != CheckKind::Derived) {
            enter(&mut app, &step.id, check, good(check));
        }
        let_go(&mut app, &step);
    }
    println!("large at {large}, other joints open at {beside}, of {seen}");
    assert!(seen > 10 && large * 3 > seen * 2 && beside > 2, "{large}, {beside} of {seen}");
}
