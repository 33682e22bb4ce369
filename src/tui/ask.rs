//! A few questions in a row, in a window: initials, a note, a reason, a release.

/// One question.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Field {
    /// What is asked.
    pub label: String,
    /// The answer so far.
    pub value: String,
    /// Answers to choose from; none for free text.
    pub choices: Vec<String>,
    /// May stay empty.
    pub optional: bool,
    /// Initials: those that cannot be are told at once.
    pub initials: bool,
    /// Asked only where the question of that place has an answer.
    pub only_after: Option<usize>,
    /// What is to be known of it while it is answered.
    pub note: String,
    /// The answer was there before anybody typed: the first character takes its place, Backspace edits it.
    pub proposed: bool,
}

impl Field {
    /// Free text.
    #[must_use]
    pub fn text(label: &str) -> Self {
        Self { label: label.to_owned(), ..Self::default() }
    }

    /// Free text with an answer to start from.
    #[must_use]
    pub fn with(label: &str, value: &str) -> Self {
        Self { label: label.to_owned(), value: value.to_owned(), proposed: !value.is_empty(), ..Self::default() }
    }

    /// Somebody's initials.
    #[must_use]
    pub fn initials(label: &str) -> Self {
        Self { initials: true, ..Self::text(label) }
    }

    /// Asked only where the question of that place was answered; needed then.
    #[must_use]
    pub const fn only_after(mut self, question: usize) -> Self {
        self.only_after = Some(question);
        self
    }

    /// With what is to be known of it while it is answered.
    #[must_use]
    pub fn noted(mut self, note: &str) -> Self {
        note.clone_into(&mut self.note);
        self
    }

    /// A choice; the first is taken to start with.
    #[must_use]
    pub fn choice(label: &str, choices: Vec<String>) -> Self {
        let value = choices.first().cloned().unwrap_or_default();
        Self { label: label.to_owned(), value, choices, ..Self::default() }
    }

    /// The choice taken to start with, in place of the first.
    #[must_use]
    pub fn starting(mut self, value: &str) -> Self {
        if self.choices.iter().any(|c| c == value) {
            value.clone_into(&mut self.value);
        }
        self
    }

    /// May stay empty.
    #[must_use]
    pub fn optional(mut self) -> Self {
        self.optional = true;
        self
    }

    /// The choice before or after; at the ends it stays, so that nobody lands on the last one by going back from the first.
    fn turn(&mut self, by: isize) {
        let at = self.choices.iter().position(|c| *c == self.value).unwrap_or(0);
        let to = at.saturating_add_signed(by).min(self.choices.len().saturating_sub(1));
        if let Some(choice) = self.choices.get(to) {
            choice.clone_into(&mut self.value);
        }
    }
}

/// What may be changed on a build from the screens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Another setup.
    Setup,
    /// A part is replaced.
    Part,
    /// A step is done anew.
    Anew,
    /// What has settled is looked at again.
    Settled,
}

/// What the answers are for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Purpose {
    /// Who is at the bench.
    Person,
    /// Start a build of a module.
    Start(String),
    /// A note.
    Note,
    /// A file to keep.
    Attach,
    /// A closed record opened again.
    Reopen,
    /// A correction.
    Correct,
    /// A disposition.
    Dispose,
    /// A part that was given up and is built in: replaced now, or decided otherwise.
    GivenUp,
    /// A release.
    Release,
    /// A wait ended early.
    EndEarly,
    /// The instrument of the next readings.
    Instrument,
    /// Words to find.
    Find,
    /// How many of a line of a kit are in hand.
    Pieces,
    /// What is to be changed on a build.
    Change(String),
    /// To which setup, which part, which step.
    ChangeTo(String, Wish),
    /// A speed trial.
    Trial,
    /// A decision on a speed trial that was over its limit: the number of the run.
    DecideRun(u32),
    /// Adopt the setup in hand.
    Adopt,
    /// Begin the change that was looked at.
    Begin,
    /// Values read back by the second person, to be recorded once they are right.
    Witness(Vec<String>),
}

/// The window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// What it is for.
    pub purpose: Purpose,
    /// Title.
    pub title: String,
    /// Words above the questions.
    pub words: String,
    /// Questions.
    pub fields: Vec<Field>,
    /// The one being answered.
    pub at: usize,
    /// Why the last answer did not do.
    pub fault: String,
    /// A second look at answers that cannot be taken back lightly: what they do, to be answered with y or n.
    pub sure: Option<String>,
}

impl Ask {
    /// A window with its questions.
    #[must_use]
    pub fn new(purpose: Purpose, title: &str, words: &str, fields: Vec<Field>) -> Self {
        Self {
            purpose,
            title: title.to_owned(),
            words: words.to_owned(),
            fields,
            at: 0,
            fault: String::new(),
            sure: None,
        }
    }

    /// A character was typed.
    pub fn push(&mut self, c: char) {
        if let Some(field) = self.fields.get_mut(self.at)
            && field.choices.is_empty()
            && self.sure.is_none()
            && field.value.chars().count() < 500
        {
            if std::mem::take(&mut field.proposed) {
                field.value.clear();
            }
            field.value.push(c);
        }
    }

    /// A character is taken back.
    pub fn backspace(&mut self) {
        if let Some(field) = self.fields.get_mut(self.at)
            && field.choices.is_empty()
        {
            field.proposed = false;
            field.value.pop();
        }
    }

    /// Another choice, or another question where there is nothing to choose.
    pub fn turn(&mut self, by: isize) {
        if let Some(field) = self.fields.get_mut(self.at) {
            if field.choices.is_empty() {
                let to = self.at.saturating_add_signed(by).min(self.fields.len() - 1);
                let ways = [to, to.saturating_add_signed(by).min(self.fields.len() - 1)];
                self.at = ways.into_iter().find(|k| self.is_asked(*k)).unwrap_or(self.at);
            } else {
                field.turn(by);
            }
        }
    }

    /// Enter: the next question; true once all are answered.
    pub fn enter(&mut self) -> bool {
        self.fault.clear();
        let Some(field) = self.fields.get(self.at) else {
            return true;
        };
        if field.value.trim().is_empty() && !field.optional {
            self.fault = "This needs an answer.".into();
            return false;
        }
        match (self.at + 1..self.fields.len()).find(|k| self.is_asked(*k)) {
            Some(next) => {
                self.at = next;
                false
            }
            None => true,
        }
    }

    /// False for a question that another answer makes idle.
    #[must_use]
    pub fn is_asked(&self, k: usize) -> bool {
        let after = self.fields.get(k).and_then(|f| f.only_after);
        after.is_none_or(|k| !self.answer(k).is_empty())
    }

    /// The answer to a question, trimmed.
    #[must_use]
    pub fn answer(&self, k: usize) -> String {
        self.fields.get(k).map_or_else(String::new, |f| f.value.trim().to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(fields: Vec<Field>) -> Ask {
        Ask::new(Purpose::Note, "t", "w", fields)
    }

    #[test]
    fn what_was_proposed_gives_way_to_what_is_typed() {
        let mut window = ask(vec![Field::with("Initials", "ak")]);
        "mh".chars().for_each(|c| window.push(c));
        assert_eq!(window.answer(0), "mh");
        let mut window = ask(vec![Field::with("Initials", "ak")]);
        window.backspace();
        window.push('b');
        assert_eq!(window.answer(0), "ab", "Backspace edits what is there");
        let mut window = ask(vec![Field::with("Initials", "ak")]);
        assert!(window.enter(), "Enter takes it as it is");
        assert_eq!(window.answer(0), "ak");
    }

    #[test]
    fn a_question_that_another_answer_makes_idle_is_passed_over() {
        let fields =
            || vec![Field::text("Channel").optional(), Field::initials("Taken by").only_after(0), Field::text("Why")];
        let mut window = ask(fields());
        assert!(!window.enter());
        assert_eq!(window.at, 2, "on site nobody takes it down");
        window.turn(-1);
        assert_eq!(window.at, 0, "going back passes over it too");
        window.push('t');
        assert!(!window.enter() && window.at == 1 && !window.enter());
        assert_eq!(window.fault, "This needs an answer.");
    }

    #[test]
    fn choices_end_at_their_ends() {
        let mut window =
            ask(vec![Field::choice("Disposition", vec!["rework".into(), "scrap".into(), "return".into()])]);
        window.turn(-1);
        assert_eq!(window.answer(0), "rework", "nobody lands on return by going back from rework");
        (0..5).for_each(|_| window.turn(1));
        assert_eq!(window.answer(0), "return");
    }
}
