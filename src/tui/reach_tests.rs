//! Whatever is cut or scrolled away on the smallest screen is one known key away: every screen is walked to its end at
//! 80 x 24, and every line that belongs to it is found whole.

use crossterm::event::KeyCode;

use crate::procedure::kit::Line;
use crate::traveler::Disposition;
use crate::traveler::DispositionKind;
use crate::traveler::report::{note, what};

use super::app::Shown;
use super::shown_tests::{squeeze, told};
use super::tests::{app, build_up_to, enter, key, keys, text};
use super::trouble::Trouble;
use super::*;

/// The screens on the way when one key is pressed until nothing changes any more.
fn walk(app: &mut App<'_>, code: KeyCode) -> Vec<String> {
    let mut seen = vec![text(app)];
    for _ in 0..2_000 {
        key(app, code);
        let now = text(app);
        if seen.last() == Some(&now) {
            return seen.iter().map(|s| squeeze(&s.lines().map(inside).collect::<String>())).collect();
        }
        seen.push(now);
    }
    panic!("no end\n{}", text(app));
}

/// What stands in the window over the screen, where a line crosses one.
fn inside(line: &str) -> &str {
    let mut parts = line.split('│');
    match (parts.next(), parts.next()) {
        (Some(_), Some(window)) => window,
        _ => line,
    }
}

fn assert_reached(seen: &[String], words: &str) {
    assert!(told(seen, words) || seen.iter().any(|s| s.contains(&squeeze(words))), "not reached: {words}");
}

#[test]
fn every_step_of_the_list_and_every_entry_of_the_record_is_whole() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-pulley");
    keys(&mut app, "l");
    app.line = 0;
    let seen = walk(&mut app, KeyCode::Down);
    for step in &app.record().unwrap().plan().steps {
        assert_reached(&seen, &format!("{}. {} (at: {}", step.number, step.title, step.place));
    }
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "r");
    app.line = 0;
    for event in app.record().unwrap().events.clone() {
        key(&mut app, KeyCode::Enter);
        let seen = walk(&mut app, KeyCode::Down);
        let words = screens::opened::words(app.record().unwrap(), &event);
        // A name is set apart from its words by a colon.
        let seen: Vec<String> = seen.iter().map(|s| s.replace(':', "")).collect();
        for fact in words.lines().filter(|fact| !fact.ends_with(' ')) {
            assert_reached(&seen, &fact.replace(':', ""));
        }
        key(&mut app, KeyCode::Esc);
        key(&mut app, KeyCode::Down);
    }
}

#[test]
fn every_line_of_the_kit_and_of_a_change_is_whole() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-pulley");
    keys(&mut app, "mj\n");
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n");
    let seen = walk(&mut app, KeyCode::Down);
    let way = app.change.as_ref().unwrap().prospect.way.clone();
    way.plan.steps.iter().for_each(|s| assert_reached(&seen, &format!("{}. {}", s.number, s.title)));
    way.findings.iter().for_each(|f| assert_reached(&seen, &f.text));
    way.undone.iter().for_each(|u| assert_reached(&seen, &u.because));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "q");
    app.chosen = 0;
    keys(&mut app, "k");
    assert_eq!(app.shown, Shown::Kit);
    let seen = walk(&mut app, KeyCode::Down);
    let lines: Vec<Line> = app.kit_lines().into_iter().cloned().collect();
    assert!(lines.len() > 40);
    for line in &lines {
        assert_reached(&seen, &what(line));
        assert_reached(&seen, &note(line));
        assert_reached(&seen, line.basis.as_deref().unwrap_or_default());
    }
}

#[test]
fn the_hand_over_tells_parts_notes_joints_and_tools_and_none_is_cut() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-disc-2");
    let step = app.shown_step().unwrap().clone();
    let bore = step.checks.iter().find(|c| c.id == "flatness").unwrap().clone();
    enter(&mut app, &step.id, &bore, vec!["0.9".into()]);
    let sent = Disposition { kind: DispositionKind::Return, reason: "bent".into(), role: "design".into() };
    let session = app.session.as_mut().unwrap();
    session.dispose(&step.id, &bore.id, sent, "mh").unwrap();
    let long = "The crate of the second disc was wet inside and its label could not be read at all. ".repeat(4);
    session.note(&step.id, &long, "jo").unwrap();
    session.note("inspect-disc-1", "Rim dressed with the fine stone.", "ak").unwrap();
    keys(&mut app, "mh");
    let seen = walk(&mut app, KeyCode::Down);
    for words in [
        "Parts returned or replaced",
        "! GONE, no other in its place: disc-2, return at step",
        "Notes of this shift, since",
        "! open, step",
        long.trim(),
        "Rim dressed with the fine stone.",
        "Tools out, to be counted:",
        "HELD step",
    ] {
        assert_reached(&seen, words);
    }
    // Another disc is measured in its place: it is told as replaced.
    enter(&mut app, &step.id, &bore, vec!["0.1".into()]);
    app.line = 0;
    let seen = walk(&mut app, KeyCode::Down);
    assert_reached(&seen, "replaced disc-2, return at");
    assert!(!seen.iter().any(|s| s.contains("GONE")), "{seen:?}");
}

/// Long words in every place that says what just happened.
#[test]
fn long_words_at_the_foot_and_in_windows_are_read_to_their_end() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-pulley");
    let long: String = (0..60).map(|k| format!("word{k:02} of a long answer ")).collect();
    app.message = long.clone();
    assert!(text(&app).contains("on the last page: PgDn"), "{}", text(&app));
    let mut seen = Vec::new();
    for page in 0..screens::step::page_count(&app) {
        app.page = page;
        seen.push(squeeze(&text(&app)));
    }
    assert_reached(&seen, &long);
    let parts = (0..9).map(|k| format!("part {k}: {}", &long[..300])).collect::<Vec<_>>();
    app.trouble = Some(Trouble { title: "NOT SAVED", entry: true, parts: parts.clone() });
    let seen = walk(&mut app, KeyCode::PageDown);
    parts.iter().for_each(|part| assert_reached(&seen, part));
    key(&mut app, KeyCode::Esc);
    assert!(app.trouble.is_none());
    // At the foot of lists, as long as a message can be. One program at a time has the build open.
    drop(app);
    let shorter: String = long.chars().take(480).collect();
    for shown in [Shown::Bench, Shown::Steps, Shown::Record, Shown::Handover, Shown::Kit, Shown::Change] {
        let mut app = super::tests::app_again(home.path());
        if shown == Shown::Kit {
            keys(&mut app, "q");
            app.chosen = 0;
            keys(&mut app, "k");
        } else if shown == Shown::Change {
            keys(&mut app, "mj\n");
            key(&mut app, KeyCode::Down);
            keys(&mut app, "\n");
        }
        app.shown = shown;
        app.line = 0;
        app.message = shorter.clone();
        let now = text(&app);
        assert!(squeeze(&now).contains(&squeeze(&shorter)), "{shown:?}\n{now}");
    }
}

#[test]
fn after_leaving_a_build_the_cursor_stands_on_it() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "q");
    let row = app.bench_rows()[app.chosen].clone();
    let app::BenchRow::Build(k) = row else { panic!("{row:?}") };
    assert_eq!(app.builds[k].build, "flywheel-1");
    assert!(text(&app).lines().any(|l| l.starts_with("> flywheel-1")), "{}", text(&app));
}

#[test]
fn the_list_marks_the_step_in_work_and_the_chosen_line_with_signs() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-pulley");
    keys(&mut app, "l");
    let number = app.record().unwrap().current_step().unwrap().number;
    let line = |app: &App<'_>, sign: &str| {
        text(app).lines().filter(|l| l.contains(sign)).map(str::to_owned).collect::<Vec<_>>()
    };
    let marked = line(&app, "<- in work");
    assert!(marked.len() == 1 && marked[0].starts_with(&format!(">{number:>4}")), "{marked:?}");
    key(&mut app, KeyCode::Down);
    let chosen: Vec<String> = text(&app).lines().filter(|l| l.starts_with('>')).map(str::to_owned).collect();
    assert!(chosen.len() == 1 && !chosen[0].contains("in work"), "{chosen:?}");
    assert!(line(&app, "<- in work")[0].starts_with(&format!(" {number:>4}")));
}

/// The steps named as done last are the last ones, also where there is room for few.
#[test]
fn done_last_names_the_step_done_last() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (100, 30));
    build_up_to(&mut app, "inspect-pulley");
    let record = app.record().unwrap();
    assert!(record.last_done(0).is_empty());
    let last = record.last_done(1)[0].clone();
    let mut seen = 0;
    for height in 24..40 {
        app.size = (100, height);
        let shown = text(&app);
        let Some(at) = shown.lines().position(|l| l.trim() == "Done last") else { continue };
        let numbered = |l: &&str| l.trim_start().starts_with(|c: char| c.is_ascii_digit());
        let before_next: Vec<&str> = shown.lines().skip(at + 1).take_while(numbered).collect();
        assert!(before_next.last().is_some_and(|l| l.contains(&last.title)), "{height}\n{shown}");
        seen += 1;
    }
    assert!(seen > 2, "{seen} heights have room for it");
}

/// Letters of the list behind `m` do one thing after it, say so without it, and a caliper chooses nothing there.
#[test]
fn the_list_of_what_is_rarer_opens_by_letter_or_arrow() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "h");
    assert!(app.message.starts_with("h stands in the list behind m"), "{}", app.message);
    keys(&mut app, "m");
    let shown = text(&app);
    for row in menu::rows() {
        assert!(shown.contains(row.help), "{}\n{shown}", row.help);
    }
    keys(&mut app, "25.1\n");
    assert_eq!((app.menu, app.shown), (Some(0), Shown::Step), "a caliper chooses nothing");
    keys(&mut app, "\n");
    assert_eq!((app.menu, app.shown), (None, Shown::Handover));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "mb");
    assert!(app.two);
    keys(&mut app, "m");
    key(&mut app, KeyCode::Esc);
    assert_eq!((app.menu, app.shown), (None, Shown::Step));
}
