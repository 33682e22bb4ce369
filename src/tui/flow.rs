//! The way of an event: which window or screen it belongs to, and what it does there.

use std::time::{Duration, Instant, SystemTime};

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers, MouseEventKind};

use super::PAUSE;
use super::answers;
use super::app::{App, Shown};
use super::ask::{Ask, Purpose};
use super::deciding;
use super::keys::{self, Act, On};
use super::two::READER;

/// True for an event that only a person makes: a key, a paste, a click. A mouse that lies on a bench which shakes moves by itself.
pub fn is_somebody(event: &Event) -> bool {
    match event {
        Event::Key(key) => key.kind == KeyEventKind::Press,
        Event::Mouse(mouse) => matches!(mouse.kind, MouseEventKind::Down(_)),
        Event::Paste(_) => true,
        Event::Resize(..) | Event::FocusGained | Event::FocusLost => false,
    }
}

/// True for an event that changes nothing on any screen.
pub fn is_nothing(event: &Event) -> bool {
    match event {
        Event::Mouse(mouse) => {
            matches!(mouse.kind, MouseEventKind::Moved | MouseEventKind::Drag(_) | MouseEventKind::Up(_))
        }
        Event::FocusLost => true,
        _ => false,
    }
}

/// How long nobody was seen: by the clock that nobody sets, or by that which goes on while the lid is closed.
#[derive(Debug, Clone, Copy)]
pub struct Seen {
    steady: Instant,
    wall: SystemTime,
}

impl Seen {
    /// Somebody is here now.
    pub fn now() -> Self {
        Self { steady: Instant::now(), wall: SystemTime::now() }
    }

    /// How long ago that was.
    pub fn ago(&self) -> Duration {
        self.steady.elapsed().max(self.wall.elapsed().unwrap_or_default())
    }
}

impl App<'_> {
    /// What an event does.
    pub fn update(&mut self, event: &Event) {
        match event {
            Event::Resize(w, h) => {
                self.size = (*w, *h);
                self.page = 0;
            }
            // A paste goes into an open field and never fires a key.
            Event::Paste(text) => self.paste(text),
            Event::Mouse(mouse) => self.mouse(*mouse),
            Event::FocusGained => self.refresh(),
            Event::Key(key) if key.kind == KeyEventKind::Press => {
                self.refresh();
                self.key(key);
            }
            _ => {}
        }
    }

    /// The keys of the screen shown.
    #[must_use]
    pub const fn on(&self) -> On {
        match self.shown {
            Shown::Bench => On::Bench,
            Shown::Step => On::Step,
            Shown::Steps => On::Steps,
            Shown::Record => On::Record,
            Shown::Handover => On::Handover,
            Shown::Kit => On::Kit,
            Shown::Change => On::Change,
            Shown::Trials => On::Trials,
        }
    }

    pub(super) fn key(&mut self, key: &KeyEvent) {
        // Ctrl-C leaves as q does at the bench: the record is safe at any moment.
        let control = key.modifiers.contains(KeyModifiers::CONTROL);
        if control && matches!(key.code, KeyCode::Char('c' | 'z')) {
            self.quit = key.code == KeyCode::Char('c');
            self.suspend = !self.quit;
            return;
        }
        if self.too_small() {
            return;
        }
        if self.window_page(key.code) {
            return;
        }
        if self.trouble_key(key.code) {
            return;
        }
        if self.help {
            self.help_key(key.code);
            return;
        }
        if self.ask.is_some() {
            self.ask_key(key);
            return;
        }
        if !self.look_again.is_empty() {
            self.look_again_key(key);
            return;
        }
        if self.menu.is_some() {
            self.menu_key(key);
            return;
        }
        if self.shown == Shown::Step && self.entry_key(key) {
            return;
        }
        let burst = std::mem::take(&mut self.burst);
        match keys::act(self.on(), key) {
            // The Enter of a caliper whose digits found no entry opens no line of a list.
            Some(_) if burst && key.code == KeyCode::Enter => {}
            Some(act) => self.act(act),
            None => self.stray(key, burst),
        }
    }

    /// A caliper closes no page: what it typed would lose its first digit.
    fn help_key(&mut self, code: KeyCode) {
        if !self.caliper_unused(code, "The page of keys is closed first.") {
            self.help = false;
            self.burst = false;
        }
    }

    /// What an event does, that long after somebody was last seen to be here. The key after a long pause asks who is there, and
    /// does nothing else; a window that changed its size or came to the front is no person.
    pub fn update_after(&mut self, event: &Event, idle: Duration) {
        if !(is_somebody(event) && idle > PAUSE && self.after_pause()) {
            self.update(event);
        }
    }

    /// Pages of a window that is longer than the screen. True if the key turned one.
    fn window_page(&mut self, code: KeyCode) -> bool {
        let pages = matches!(code, KeyCode::PageDown | KeyCode::PageUp) && !self.in_front();
        let hidden = if pages { super::screens::overlay::hidden(self) } else { 0 };
        if hidden == 0 {
            self.over = 0;
            return false;
        }
        let page = usize::from(self.size.1.saturating_sub(4));
        self.over = match code {
            KeyCode::PageDown => (self.over + page).min(hidden),
            _ => self.over.saturating_sub(page),
        };
        true
    }

    /// True where keys go to the screen itself and not to a window over it.
    #[must_use]
    pub const fn in_front(&self) -> bool {
        self.ask.is_none() && self.look_again.is_empty() && !self.help && self.menu.is_none() && self.trouble.is_none()
    }

    /// Below 80 x 24 nothing is taken; what was typed stays.
    #[must_use]
    pub const fn too_small(&self) -> bool {
        self.size.0 < 80 || self.size.1 < 24
    }

    fn act(&mut self, act: Act) {
        match act {
            Act::Help => {
                self.help = true;
                return;
            }
            Act::Theme => {
                self.theme = self.theme.next();
                return;
            }
            _ => self.message.clear(),
        }
        let before = self.shown;
        match self.shown {
            Shown::Bench => self.bench_act(act),
            Shown::Step => self.step_act(act),
            Shown::Steps => self.steps_act(act),
            Shown::Record => self.record_act(act),
            Shown::Handover => self.handover_act(act),
            Shown::Kit => self.kit_act(act),
            Shown::Change => self.change_act(act),
            Shown::Trials => self.trials_act(act),
        }
        if before != Shown::Step && self.shown == Shown::Step {
            // Esc made keys commands to go there: back at the step words are words again.
            self.typing = true;
        }
    }

    fn ask_key(&mut self, key: &KeyEvent) {
        let Some(ask) = &mut self.ask else { return };
        if ask.sure.is_some() {
            return self.second_look_key(key.code);
        }
        match key.code {
            KeyCode::Esc => self.leave_ask(),
            KeyCode::Backspace => ask.backspace(),
            KeyCode::Up | KeyCode::Left => ask.turn(-1),
            KeyCode::Down | KeyCode::Right | KeyCode::Tab => ask.turn(1),
            KeyCode::Enter => self.ask_enter(),
            KeyCode::Char(c) if !c.is_control() => ask.push(c),
            _ => {}
        }
    }

    fn ask_enter(&mut self) {
        let wrong = self.ask.as_ref().and_then(|ask| answers::wrong_at_once(self, ask));
        if let (Some(fault), Some(ask)) = (wrong, &mut self.ask) {
            ask.fault = fault;
            return;
        }
        let answered = self.ask.as_mut().and_then(|ask| ask.enter().then(|| ask.clone()));
        if let Some(ask) = answered {
            match deciding::second_look(self, &ask) {
                Some(words) => self.ask = Some(Ask { sure: Some(words), ..ask }),
                None => answers::apply(self, &ask),
            }
        }
    }

    /// Only y and n answer a second look; an Enter more does not.
    fn second_look_key(&mut self, key: KeyCode) {
        let Some(ask) = &mut self.ask else { return };
        match key {
            KeyCode::Char('y') => {
                ask.sure = None;
                let ask = ask.clone();
                answers::apply(self, &ask);
            }
            KeyCode::Char('n') | KeyCode::Esc => {
                ask.sure = None;
                (ask.fault, ask.at) = match ask.purpose {
                    Purpose::Dispose => {
                        let at = ask.fields.iter().position(|f| f.label == deciding::DISPOSITION);
                        ("Nothing was decided.".into(), at.unwrap_or(0))
                    }
                    Purpose::Correct => ("Nothing was put right.".into(), 1),
                    _ => ("Nothing was kept.".into(), 0),
                };
                // Whoever read that back has not read back what is typed now.
                ask.fields.iter_mut().filter(|f| f.label == READER).for_each(|f| f.value.clear());
            }
            _ => ask.fault = "y or n answers this; Enter does not.".into(),
        }
    }
}
