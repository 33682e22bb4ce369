//! The reader's lines where two people work together: one reads, the other acts and answers with the value.

use ratatui::style::Style;
use ratatui::text::{Line, Span};

use crate::procedure::plan::Step;
use crate::traveler::Record;
use crate::tui::app::App;
use crate::tui::widgets::text::{cut, named};

use super::limits;

/// What the reader says: cautions before anything is done, then what is asked. The other one acts and answers.
#[must_use]
pub fn lines(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let plain = Style::new();
    let acts = app.by.as_deref().unwrap_or("nobody named");
    let mut lines = vec![Line::from(Span::styled(
        cut(&format!("READ ALOUD. {acts} acts and answers with the value; type it, read it back."), usize::from(width)),
        app.theme.alert(),
    ))];
    let begun = step.checks.iter().any(|c| record.reading(&step.id, &c.id).is_some());
    if !begun {
        for caution in &step.cautions {
            let word = format!(" {} ", caution.signal.word());
            lines.extend(named(&word, app.theme.signal(caution.signal), &caution.text, width, plain));
        }
        for (n, action) in (1..).zip(&step.actions) {
            lines.extend(named(&format!("{n}."), app.theme.name(), action, width, plain));
        }
    }
    if let Some(check) = app.open_check() {
        let asked = format!("{} {}.", check.prompt, limits::told(check));
        lines.extend(named("Ask:", app.theme.name(), &asked, width, app.theme.action()));
    }
    lines
}
