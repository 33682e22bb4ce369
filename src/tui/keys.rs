//! One table of keys. Key bar, key page, README and tests come from it.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// Where a key holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, strum::VariantArray)]
pub enum On {
    /// The list of modules and builds.
    Bench,
    /// The step in work.
    Step,
    /// The list behind one key of the step: what is seldom wanted.
    More,
    /// An open field that letters go into: words, or a value with its unit.
    Field,
    /// The list of steps.
    Steps,
    /// The record.
    Record,
    /// The hand-over page.
    Handover,
    /// The kit.
    Kit,
    /// What a change of a build means.
    Change,
    /// Speed trials.
    Trials,
    /// Everywhere.
    All,
}

/// What a key does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, strum::VariantArray)]
pub enum Act {
    /// Open what is chosen.
    Open,
    /// Up.
    Up,
    /// Down.
    Down,
    /// A page down; the next page of the text.
    PageDown,
    /// A page up.
    PageUp,
    /// Leave this screen.
    Back,
    /// Leave the program.
    Quit,
    /// Key page.
    Help,
    /// Who is at the bench.
    Person,
    /// Yes.
    Yes,
    /// No.
    No,
    /// This bolt has clicked.
    Click,
    /// Take the last value of the open entry back.
    Undo,
    /// Leave for the next step.
    Next,
    /// Look at the step before.
    Earlier,
    /// Look at the step after.
    Later,
    /// Back to the step in work.
    Work,
    /// Picture alone.
    Picture,
    /// To be read from two metres.
    Far,
    /// Two people: one reads, one acts.
    Two,
    /// The step's own words, or what a reading outside means.
    OwnWords,
    /// List of steps.
    Steps,
    /// Record.
    Record,
    /// The list of what is seldom wanted.
    More,
    /// Hand-over page.
    Handover,
    /// Kit of a module.
    Kit,
    /// All of a line in hand, or none.
    Tick,
    /// How many of a line are in hand.
    Pieces,
    /// Find words, or jump to a number.
    Find,
    /// Note.
    Note,
    /// Keep a file.
    Attach,
    /// Open a closed record again.
    Reopen,
    /// Correct a reading.
    Correct,
    /// Disposition.
    Dispose,
    /// Release.
    Release,
    /// Instrument.
    Instrument,
    /// End a wait early.
    EndEarly,
    /// Start or end a wait.
    Clock,
    /// Close the record.
    Finish,
    /// Change a build: another setup, a part, a step anew.
    Change,
    /// Speed trials of the build.
    Trials,
    /// A new run.
    NewRun,
    /// Decide on a run over the limit.
    DecideRun,
    /// Adopt the setup in hand.
    Adopt,
    /// Only the steps that may be done now.
    OpenOnly,
    /// Other colours.
    Theme,
    /// Plainer marks in pictures.
    Marks,
    /// Type words into a text entry again.
    Type,
    /// Take what is typed.
    Take,
    /// Take a character back.
    Rub,
    /// Drop what is typed; in words, make keys commands again.
    Clear,
}

/// One row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// Where.
    pub on: On,
    /// Key.
    pub code: KeyCode,
    /// Its name.
    pub name: &'static str,
    /// What it does, for the key page.
    pub help: &'static str,
    /// Short word for the key bar; empty where it has no place there.
    pub short: &'static str,
    /// Action.
    pub act: Act,
}

const fn row(on: On, code: KeyCode, name: &'static str, short: &'static str, help: &'static str, act: Act) -> Row {
    Row { on, code, name, help, short, act }
}

use KeyCode::{BackTab, Backspace, Char, Down, Enter, Esc, Left, PageDown, PageUp, Right, Tab, Up};

/// Every key of the guide.
pub const TABLE: &[Row] = &[
    row(On::All, Char('?'), "?", "keys", "show all keys", Act::Help),
    row(On::All, Char('g'), "g", "", "colours: dark, light, none", Act::Theme),
    row(On::Bench, Up, "Up", "", "choose the line above", Act::Up),
    row(On::Bench, Down, "Down", "", "choose the line below", Act::Down),
    row(On::Bench, Enter, "Enter", "open", "start, go on with, or read", Act::Open),
    row(On::Bench, Char('k'), "k", "kit", "what to order and pack for it", Act::Kit),
    row(On::Bench, Char('c'), "c", "change", "change a build: setup, part", Act::Change),
    row(On::Bench, Char('i'), "i", "person", "say who is at the bench", Act::Person),
    row(On::Bench, Char('q'), "q", "leave", "leave the program", Act::Quit),
    row(On::Step, Char('y'), "y", "", "yes, at a question", Act::Yes),
    row(On::Step, Char('n'), "n", "", "no, at a question", Act::No),
    row(On::Step, Char(' '), "Space", "", "bolt clicked; or read on", Act::Click),
    row(On::Step, Char('u'), "u", "undo", "take the last value back", Act::Undo),
    row(On::Step, Char('c'), "c", "correct", "correct a reading, with reason", Act::Correct),
    row(On::Step, Char('d'), "d", "decide", "decide on a reading outside", Act::Dispose),
    row(On::Step, Char('o'), "o", "", "outside: advice, or the step", Act::OwnWords),
    row(On::Step, Char('s'), "s", "release", "release a hold point", Act::Release),
    row(On::Step, Char('k'), "k", "clock", "start or end a waiting time", Act::Clock),
    row(On::Step, Char('e'), "e", "", "end a wait early, by a role", Act::EndEarly),
    row(On::Step, Char('v'), "v", "", "type words again after Esc", Act::Type),
    row(On::Step, Char('x'), "x", "", "close the record, all done", Act::Finish),
    row(On::Step, Tab, "Tab", "next step", "leave for the next step", Act::Next),
    row(On::Step, Char('w'), "w", "work", "back to the step in work", Act::Work),
    row(On::Step, Left, "Left", "", "look at the step before", Act::Earlier),
    row(On::Step, Right, "Right", "", "look at the step after", Act::Later),
    row(On::Step, PageDown, "PgDn", "", "next page of the text", Act::PageDown),
    row(On::Step, PageUp, "PgUp", "", "page before", Act::PageUp),
    row(On::Step, Char('m'), "m", "more", "more: a list of what is rarer", Act::More),
    row(On::Step, Char('p'), "p", "picture", "the picture alone, and back", Act::Picture),
    row(On::Step, Char('z'), "z", "2 m", "large, for two metres; and back", Act::Far),
    row(On::Step, Char('l'), "l", "steps", "list of all steps", Act::Steps),
    row(On::Step, Char('r'), "r", "record", "the record", Act::Record),
    row(On::Step, Char('a'), "a", "note", "add a note to this step", Act::Note),
    row(On::Step, Char('t'), "t", "instrument", "instrument of next readings", Act::Instrument),
    row(On::Step, Char('i'), "i", "person", "say who is at the bench", Act::Person),
    row(On::Step, Char('q'), "q", "bench", "back to the bench", Act::Back),
    row(On::More, Char('h'), "h", "", "page for the next shift", Act::Handover),
    row(On::More, Char('b'), "b", "", "two: one reads, one acts", Act::Two),
    row(On::More, Char('f'), "f", "", "keep a file with this step", Act::Attach),
    row(On::More, Char('j'), "j", "", "change: setup, part, step anew", Act::Change),
    row(On::More, Char('t'), "t", "", "speed trials, adopt a setup", Act::Trials),
    row(On::More, Char('d'), "d", "", "decide on a run over its limit", Act::DecideRun),
    row(On::More, Char('m'), "m", "", "plainer marks in pictures", Act::Marks),
    row(On::Field, Enter, "Enter", "take it", "take what is typed", Act::Take),
    row(On::Field, Backspace, "Backspace", "one back", "take a character back", Act::Rub),
    row(On::Field, Esc, "Esc", "drop it", "drop; for words: keys again", Act::Clear),
    row(On::Field, Tab, "Tab", "next step", "leave, if it is empty", Act::Next),
    row(On::Steps, Up, "Up", "", "choose the step above", Act::Up),
    row(On::Steps, Down, "Down", "", "choose the step below", Act::Down),
    row(On::Steps, PageDown, "PgDn", "", "a page down", Act::PageDown),
    row(On::Steps, PageUp, "PgUp", "", "a page up", Act::PageUp),
    row(On::Steps, Char('o'), "o", "open now", "only steps open now, or all", Act::OpenOnly),
    row(On::Steps, Char('/'), "/", "find", "find words, or go to a number", Act::Find),
    row(On::Steps, Enter, "Enter", "go there", "open the step", Act::Open),
    row(On::Steps, Esc, "Esc", "back", "back to the step", Act::Back),
    row(On::Record, Up, "Up", "", "a line up", Act::Up),
    row(On::Record, Down, "Down", "", "a line down", Act::Down),
    row(On::Record, Enter, "Enter", "whole", "the entry, whole", Act::Open),
    row(On::Record, PageDown, "PgDn", "page", "a page down", Act::PageDown),
    row(On::Record, PageUp, "PgUp", "", "a page up", Act::PageUp),
    row(On::Record, Char('/'), "/", "find", "find words in the record", Act::Find),
    row(On::Record, Char('o'), "o", "", "open a closed record again", Act::Reopen),
    row(On::Record, Char('t'), "t", "trials", "speed trials, adopted setup", Act::Trials),
    row(On::Record, Esc, "Esc", "back", "back", Act::Back),
    row(On::Record, BackTab, "Shift-Tab", "", "back", Act::Back),
    row(On::Handover, Up, "Up", "", "a line up", Act::Up),
    row(On::Handover, Down, "Down", "", "a line down", Act::Down),
    row(On::Handover, PageDown, "PgDn", "page", "a page down", Act::PageDown),
    row(On::Handover, PageUp, "PgUp", "", "a page up", Act::PageUp),
    row(On::Handover, Esc, "Esc", "back", "back to the step", Act::Back),
    row(On::Kit, Up, "Up", "", "choose the line above", Act::Up),
    row(On::Kit, Down, "Down", "", "choose the line below", Act::Down),
    row(On::Kit, PageDown, "PgDn", "", "a page down", Act::PageDown),
    row(On::Kit, PageUp, "PgUp", "", "a page up", Act::PageUp),
    row(On::Kit, Char(' '), "Space", "tick", "all of it in hand, or none", Act::Tick),
    row(On::Kit, Char('n'), "n", "number", "say how many are in hand", Act::Pieces),
    row(On::Kit, Char('o'), "o", "missing", "only what is missing, or all", Act::OpenOnly),
    row(On::Kit, Char('/'), "/", "find", "find words in the list", Act::Find),
    row(On::Kit, Esc, "Esc", "back", "back to the bench", Act::Back),
    row(On::Change, Char('y'), "y", "begin it", "begin it, with reason", Act::Yes),
    row(On::Change, Up, "Up", "", "a line up", Act::Up),
    row(On::Change, Down, "Down", "", "a line down", Act::Down),
    row(On::Change, PageDown, "PgDn", "page", "a page down", Act::PageDown),
    row(On::Change, PageUp, "PgUp", "", "a page up", Act::PageUp),
    row(On::Change, Esc, "Esc", "leave it", "leave everything as it is", Act::Back),
    row(On::Trials, Char('n'), "n", "new run", "a run: cautions, then values", Act::NewRun),
    row(On::Trials, Char('y'), "y", "", "cautions are read, go on", Act::Yes),
    row(On::Trials, Char('a'), "a", "adopt", "adopt the setup in hand", Act::Adopt),
    row(On::Trials, Char('m'), "m", "more", "more: d decides on a run", Act::More),
    row(On::Trials, Up, "Up", "", "a line up", Act::Up),
    row(On::Trials, Down, "Down", "", "a line down", Act::Down),
    row(On::Trials, PageDown, "PgDn", "page", "a page down", Act::PageDown),
    row(On::Trials, PageUp, "PgUp", "", "a page up", Act::PageUp),
    row(On::Trials, Esc, "Esc", "back", "back", Act::Back),
];

/// What a key does on a screen.
#[must_use]
pub fn act(on: On, key: &KeyEvent) -> Option<Act> {
    if key.modifiers.intersects(KeyModifiers::CONTROL | KeyModifiers::ALT) {
        return None;
    }
    TABLE.iter().find(|r| (r.on == on || r.on == On::All) && r.code == key.code).map(|r| r.act)
}

/// Keys of a screen as a Markdown table, for the README.
#[must_use]
pub fn markdown() -> String {
    let mut out = "| screen | key | what it does |\n| --- | --- | --- |\n".to_owned();
    for row in TABLE {
        let screen = match row.on {
            On::Bench => "bench",
            On::Step => "step",
            On::More => "step, `m`",
            On::Field => "field",
            On::Steps => "steps",
            On::Record => "record",
            On::Handover => "hand-over",
            On::Kit => "kit",
            On::Change => "change",
            On::Trials => "trials",
            On::All => "everywhere",
        };
        out.push_str(&format!("| {screen} | `{}` | {} |\n", row.name, row.help));
    }
    out
}

#[cfg(test)]
mod tests {
    use strum::VariantArray;

    use super::*;

    #[test]
    fn no_key_stands_twice_on_one_screen() {
        for on in On::VARIANTS {
            let mut seen = std::collections::HashSet::new();
            for row in TABLE.iter().filter(|r| r.on == *on || r.on == On::All) {
                assert!(seen.insert(row.code), "{} twice on {on:?}", row.name);
            }
        }
    }

    #[test]
    fn every_screen_has_keys_and_everything_a_key_can_do_has_one() {
        On::VARIANTS.iter().for_each(|on| assert!(TABLE.iter().any(|r| r.on == *on), "{on:?}"));
        Act::VARIANTS.iter().for_each(|act| assert!(TABLE.iter().any(|r| r.act == *act), "{act:?}"));
    }

    #[test]
    fn every_help_fits_its_column_of_the_key_page() {
        assert!(TABLE.iter().all(|r| r.help.chars().count() <= 31 && r.name.chars().count() <= 9));
    }

    #[test]
    fn digits_and_signs_are_never_commands_and_enter_only_in_lists() {
        for row in TABLE {
            if let Char(c) = row.code {
                assert!(!c.is_ascii_digit() && !matches!(c, ',' | '.' | '-'), "{}", row.name);
            }
            assert!(
                row.code != Enter || matches!(row.on, On::Bench | On::Steps | On::Record | On::Field),
                "{}",
                row.name
            );
        }
    }

    #[test]
    fn the_readme_shows_the_keys_of_the_table() {
        let readme = include_str!("../../README.md");
        assert!(readme.contains(&markdown()), "the README's table of keys must be:\n{}", markdown());
    }
}
