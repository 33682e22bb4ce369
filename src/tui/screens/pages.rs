//! The text of a step in counted pages: cautions whole, action, tools and reasons; nothing is cut without a mark, and
//! what a mark stands for is whole on a page of its own.

use ratatui::style::Style;
use ratatui::text::{Line, Span};

use crate::procedure::naming;
use crate::procedure::plan::{Caution, Check, CheckKind, Step};
use crate::traveler::Record;
use crate::tui::app::App;
use crate::tui::looking::{Look, held};
use crate::tui::widgets::text;

use super::step::why_not;
use super::{joints, kept, limits, panels};

/// Pages of a step's text.
pub struct Pages {
    /// Lines of each page.
    pub list: Vec<Vec<Line<'static>>>,
    /// So many from the first have to be seen before the entry opens.
    pub required: usize,
    /// What the pages after those hold.
    pub rest: &'static str,
}

impl Pages {
    /// Adds what the entry has no room for, on pages of its own behind the others.
    pub fn append(&mut self, app: &App<'_>, laid: &super::entry::Laid, height: u16) {
        let head = Line::from(Span::styled("What is asked and said below, whole:", app.theme.name()));
        let room = usize::from(height).saturating_sub(2).max(1);
        self.list.extend(laid.all().chunks(room).map(|part| [std::slice::from_ref(&head), part].concat()));
        if self.rest.is_empty() {
            self.rest = "what is said below, whole";
        }
    }
}

/// The pages of what the left side shows now, for the width and height of its area.
#[must_use]
pub fn of(app: &App<'_>, width: u16, height: u16) -> Pages {
    let (Some(record), Some(step)) = (app.record(), app.shown_step()) else {
        return Pages { list: vec![Vec::new()], required: 1, rest: "" };
    };
    let sheet = Sheet::new(app, record, step, (width, height));
    match app.look() {
        Look::Back => sheet.looking_back(),
        Look::Ahead => sheet.looking_ahead(),
        Look::Work | Look::Other => sheet.work(),
    }
}

/// So many pages of [`of`] have to be seen before the entry opens. It is asked for many times in one frame, so only what it
/// hangs on is laid out.
#[must_use]
pub fn required(app: &App<'_>, width: u16, height: u16) -> usize {
    match (app.look(), app.record(), app.shown_step()) {
        (Look::Back | Look::Ahead, Some(_), Some(_)) => 0,
        (_, Some(record), Some(step)) => Sheet::new(app, record, step, (width, height)).required(),
        _ => 1,
    }
}

/// The advice on a reading outside its limits, in pages; none of them has to be seen.
#[must_use]
pub fn advice(app: &App<'_>, record: &Record, step: &Step, width: u16, height: u16) -> Pages {
    let sheet = Sheet::new(app, record, step, (width, height));
    let lines = [sheet.cautions(), sheet.title(), panels::outside_lines(app, record, step, sheet.width)].concat();
    let list = if lines.len() <= sheet.height { vec![lines] } else { sheet.cut(&lines, &sheet.reminder()) };
    Pages { list, required: 0, rest: "more advice" }
}

/// Least rows of new text on a page that repeats the cautions whole.
const LEAST: usize = 5;

struct Sheet<'a> {
    app: &'a App<'a>,
    record: &'a Record,
    step: &'a Step,
    width: u16,
    height: usize,
}

impl<'a> Sheet<'a> {
    /// The rows of joints that are not final are kept free at the foot of every page.
    fn new(app: &'a App<'a>, record: &'a Record, step: &'a Step, (width, height): (u16, u16)) -> Self {
        let (width, height) = (width.saturating_sub(1), usize::from(height.max(2)));
        let joints = joints::rows(app, record, width, height);
        Self { app, record, step, width, height: height.saturating_sub(joints).max(2) }
    }
}

impl Sheet<'_> {
    /// Cautions and action on the first pages, and on a last one whatever had to be told shortly there.
    fn work(&self) -> Pages {
        let (banner, told) = (self.banner(), self.told());
        let whole = [banner.clone(), told.clone(), self.with_and_why()].concat();
        let needed = panels::needed(self.app, self.record, self.step, self.width);
        let bases = self.asked(|c| self.basis_is_cut(c));
        if whole.len() + needed <= self.height && bases.is_empty() {
            return Pages { list: vec![whole], required: 1, rest: "" };
        }
        // Tools and reasons give way to one line each, and to the state of a tightening; whole they follow, for whoever
        // wants them.
        let mut brief = self.in_short();
        while !brief.is_empty() && banner.len() + told.len() + brief.len() + needed >= self.height {
            brief.pop();
        }
        let short = [told, brief].concat();
        let head = [banner.clone(), self.reminder()].concat();
        let mut list = if banner.len() + short.len() < self.height {
            vec![[banner, short].concat()]
        } else {
            self.cut_after(&banner, &short, &head)
        };
        let required = list.len();
        let mut more = self.chunks(&self.with_and_why(), &head);
        // What the limits rest on is not parted where it fits on a page of its own.
        match more.last_mut().filter(|last| last.len() + bases.len() < self.height) {
            Some(last) => last.extend(bases),
            None => more.extend(self.chunks(&bases, &head)),
        }
        list.extend(more);
        Pages { list, required, rest: "tools, reasons and limits in full" }
    }

    /// Pages of cautions and action. Tools and reasons give way to them, and whatever stands below gives way to both.
    fn required(&self) -> usize {
        let (banner, told) = (self.banner(), self.told());
        if banner.len() + told.len() < self.height {
            return 1;
        }
        self.cut_after(&banner, &told, &[banner.clone(), self.reminder()].concat()).len()
    }

    fn told(&self) -> Vec<Line<'static>> {
        [self.cautions(), self.title(), self.actions()].concat()
    }

    /// What was entered first: that is what one looks back for. Then what the step said.
    fn looking_back(&self) -> Pages {
        let said = [self.cautions(), self.actions(), self.with_and_why(), self.asked(|_| true)].concat();
        let readings = kept::readings(self.app, self.record, self.step, self.width);
        let lines = [readings, vec![Line::default()], said].concat();
        self.flow(&[self.banner(), self.title()].concat(), &lines)
    }

    /// Why not now, then what the step says and what it will ask for.
    fn looking_ahead(&self) -> Pages {
        let why = why_not(self.app, self.record, self.step).unwrap_or_default();
        // Its own name stands below.
        let why = why.strip_prefix(&format!("{} ", self.step.id)).map_or_else(|| why.clone(), |w| format!("it {w}"));
        let why = text::with_titles(&why, &self.record.plan().steps);
        let mut lines = text::named("Not now:", self.app.theme.name(), &why, self.width, Style::new());
        lines.extend([self.cautions(), self.title(), self.actions(), self.with_and_why()].concat());
        lines.extend(kept::readings_made(self.app, self.record, self.step, self.width));
        lines.extend(self.asked(|c| self.record.reading(&self.step.id, &c.id).is_none()));
        let banner = self.banner();
        if banner.len() + lines.len() <= self.height {
            return Pages { list: vec![[banner, lines].concat()], required: 0, rest: "" };
        }
        let list = self.cut_after(&banner, &lines, &[banner.clone(), self.reminder()].concat());
        Pages { list, required: 0, rest: "more" }
    }

    /// Lines under a head that every page repeats.
    fn flow(&self, head: &[Line<'static>], lines: &[Line<'static>]) -> Pages {
        if head.len() + lines.len() <= self.height {
            return Pages { list: vec![[head, lines].concat()], required: 0, rest: "" };
        }
        Pages { list: self.chunks(lines, head), required: 0, rest: "more" }
    }

    /// Lines in pages; the first begins as they do, the others repeat the head.
    fn cut(&self, lines: &[Line<'static>], head: &[Line<'static>]) -> Vec<Vec<Line<'static>>> {
        self.cut_after(&[], lines, head)
    }

    fn cut_after(
        &self,
        first: &[Line<'static>],
        lines: &[Line<'static>],
        head: &[Line<'static>],
    ) -> Vec<Vec<Line<'static>>> {
        // One row of each page is kept for its number.
        let room = (self.height - 1).saturating_sub(first.len()).max(1);
        let (one, rest) = lines.split_at(room.min(lines.len()));
        let mut pages = vec![[first, one].concat()];
        pages.extend(self.chunks(rest, head));
        pages
    }

    fn chunks(&self, lines: &[Line<'static>], head: &[Line<'static>]) -> Vec<Vec<Line<'static>>> {
        let room = (self.height - 1).saturating_sub(head.len()).max(1);
        lines.chunks(room).map(|part| [head, part].concat()).collect()
    }

    /// Loud, where this is not the step in hand.
    fn banner(&self) -> Vec<Line<'static>> {
        let words = match self.app.look() {
            Look::Work => return Vec::new(),
            Look::Back => "LOOKING BACK: this step is done.".to_owned(),
            Look::Ahead => "LOOKING AHEAD: not to be done now.".to_owned(),
            Look::Other => {
                let how = held(self.record, self.step).unwrap_or_else(|| "may be done now".into());
                format!("NOT THE STEP IN HAND; {how}.")
            }
        };
        let in_hand = self.record.current_step().filter(|_| self.app.session.is_some());
        let typed = self.app.typing && self.app.open_check().is_some_and(|c| c.asks() == CheckKind::Text);
        let key = if typed { "Esc, w" } else { "w" };
        let in_hand = in_hand.map_or_else(String::new, |s| format!(" In hand: step {} ({key})", s.number));
        let line = text::cut(&format!(" {words}{in_hand} "), usize::from(self.width));
        vec![Line::from(Span::styled(line, self.app.theme.alert().patch(self.app.theme.bar())))]
    }

    fn cautions(&self) -> Vec<Line<'static>> {
        let one = |c: &Caution| {
            let word = format!(" {} ", c.signal.word());
            text::named(&word, self.app.theme.signal(c.signal), &c.text, self.width, Style::new())
        };
        self.step.cautions.iter().flat_map(one).collect()
    }

    fn title(&self) -> Vec<Line<'static>> {
        text::wrapped(&self.step.title, self.width, self.app.theme.action())
    }

    fn actions(&self) -> Vec<Line<'static>> {
        let (name, plain) = (self.app.theme.name(), Style::new());
        (1..)
            .zip(&self.step.actions)
            .flat_map(|(n, action)| text::named(&format!("{n}."), name, action, self.width, plain))
            .collect()
    }

    fn tools_and_reasons(&self) -> [(&'static str, String); 2] {
        let tools = naming::with(self.step);
        let why = naming::why_now(self.step, &self.record.plan().steps);
        [("With:", tools.join("; ")), ("Why now:", why)]
    }

    fn with_and_why(&self) -> Vec<Line<'static>> {
        let (name, plain) = (self.app.theme.name(), Style::new());
        let list = self.tools_and_reasons().into_iter().filter(|(_, words)| !words.is_empty());
        list.flat_map(|(head, words)| text::named(head, name, &words, self.width, plain)).collect()
    }

    fn in_short(&self) -> Vec<Line<'static>> {
        let line = |(name, words): (&'static str, String)| {
            let room = usize::from(self.width).saturating_sub(name.chars().count() + 1);
            Line::from(vec![
                Span::styled(format!("{name} "), self.app.theme.name()),
                Span::raw(text::cut(&words, room)),
            ])
        };
        self.tools_and_reasons().into_iter().filter(|(_, words)| !words.is_empty()).map(line).collect()
    }

    fn basis(&self, check: &Check) -> String {
        self.app.record().map_or_else(|| check.basis.clone(), |record| limits::basis(record, check))
    }

    fn basis_is_cut(&self, check: &Check) -> bool {
        let basis = format!("basis: {}", self.basis(check));
        check.asks() != CheckKind::Derived && basis.chars().count() > usize::from(self.app.size.0.saturating_sub(1))
    }

    /// What is asked for, with limits and their basis in full.
    fn asked(&self, which: impl Fn(&Check) -> bool) -> Vec<Line<'static>> {
        let one = |check: &Check| {
            let words = format!("{} {}. Basis: {}.", check.prompt, limits::told(check), self.basis(check));
            text::named("·", self.app.theme.name(), &words, self.width, Style::new())
        };
        self.step.checks.iter().filter(|c| which(c)).flat_map(one).collect()
    }

    /// Cautions and action stay on every page: whole where that leaves room for something new, else by their words.
    fn reminder(&self) -> Vec<Line<'static>> {
        let whole = [self.cautions(), self.title()].concat();
        if whole.len() + LEAST < self.height {
            return whole;
        }
        let mut spans = Vec::new();
        for caution in &self.step.cautions {
            spans.push(Span::styled(format!(" {} ", caution.signal.word()), self.app.theme.signal(caution.signal)));
            spans.push(Span::raw(" "));
        }
        spans.push(Span::raw("whole on page 1"));
        let title = text::cut(&self.step.title, usize::from(self.width));
        vec![Line::from(spans), Line::from(Span::styled(title, self.app.theme.action()))]
    }
}
