//! An operation before it has words: what it needs and makes, what it asks for, what its text will be filled with.

use rust_decimal::Decimal;

pub use super::derive::{computed, derive, spread};
use super::engine::{Group, Id, Need, Stage, What};
pub use super::places::{counted, thirds, two_ways};
use super::plan::{Acceptance, Check, CheckKind, Derive, Picture, SeriesRule};
use crate::quantity::Torque;

/// One operation on its way to a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Kind of operation, the name of its file of words.
    pub kind: &'static str,
    /// Entry in that file.
    pub entry: &'static str,
    /// Step id.
    pub id: Id,
    /// Parts worked on.
    pub parts: Vec<Id>,
    /// Where.
    pub place: &'static str,
    /// Needs.
    pub needs: Vec<Need>,
    /// Parts in place afterwards.
    pub adds: Vec<Id>,
    /// Parts off afterwards.
    pub removes: Vec<Id>,
    /// Group and stage reached.
    pub raises: Option<(Id, Stage)>,
    /// Group and stage shown, where nothing is raised (rechecks).
    pub shows: Option<(Id, String)>,
    /// Facts made.
    pub makes: Vec<Id>,
    /// Torque, N·m.
    pub torque_nm: Option<f64>,
    /// Bolts in order.
    pub sequence: Option<Vec<u32>>,
    /// Role that must release it.
    pub hold: Option<&'static str>,
    /// Working minutes, common practice.
    pub minutes: u32,
    /// Waiting hours.
    pub wait_h: Option<f64>,
    /// What makes its outcome another one under the same id: a length, a place.
    pub key: String,
    /// Entry of words for taking off again what it adds.
    pub off: &'static str,
    /// Texts for the slots.
    pub slots: Vec<(&'static str, String)>,
    /// Checks; prompts are filled in from the words.
    pub checks: Vec<Check>,
    /// Picture.
    pub picture: Picture,
}

impl Draft {
    /// An operation `KIND-OBJECT`, with the words of `entry`.
    #[must_use]
    pub fn new(kind: &'static str, entry: &'static str, object: &str, place: &'static str) -> Self {
        Self {
            kind,
            entry,
            id: format!("{kind}-{object}"),
            parts: Vec::new(),
            place,
            needs: Vec::new(),
            adds: Vec::new(),
            removes: Vec::new(),
            raises: None,
            shows: None,
            makes: Vec::new(),
            torque_nm: None,
            sequence: None,
            hold: None,
            minutes: 5,
            wait_h: None,
            key: String::new(),
            off: "part",
            slots: Vec::new(),
            checks: Vec::new(),
            picture: Picture::Section,
        }
    }

    /// Adds a word to the id: `KIND-OBJECT-STAGE`.
    #[must_use]
    pub fn staged(mut self, stage: &str) -> Self {
        self.id = format!("{}-{}", self.id, stage.replace(' ', "-"));
        self
    }

    /// Parts worked on.
    #[must_use]
    pub fn parts<S: Into<String>>(mut self, parts: impl IntoIterator<Item = S>) -> Self {
        self.parts.extend(parts.into_iter().map(Into::into));
        self
    }

    /// Fills a slot, in place of what it was filled with before.
    #[must_use]
    pub fn slot(mut self, name: &'static str, text: impl Into<String>) -> Self {
        self.slots.retain(|(known, _)| *known != name);
        self.slots.push((name, text.into()));
        self
    }

    /// The text of a slot.
    #[must_use]
    pub fn text(&self, slot: &str) -> Option<&str> {
        self.slots.iter().find(|(known, _)| *known == slot).map(|(_, text)| text.as_str())
    }

    /// Adds a need.
    #[must_use]
    pub fn needs(mut self, what: What, why: &str) -> Self {
        self.needs.push(Need { what, why: why.to_owned(), line: None, lasting: true });
        self
    }

    /// Adds a need that a line of the spec gives rise to.
    #[must_use]
    pub fn needs_by(mut self, what: What, why: &str, line: u32) -> Self {
        self.needs.push(Need { what, why: why.to_owned(), line: Some(line), lasting: true });
        self
    }

    /// Needs a fact, and falls with it.
    #[must_use]
    pub fn after(self, fact: impl Into<String>, why: &str) -> Self {
        self.needs(What::Fact(fact.into()), why)
    }

    /// Needs something at that time only: what is done stays good when it is over.
    #[must_use]
    pub fn once(mut self, what: What, why: &str) -> Self {
        self.needs.push(Need { what, why: why.to_owned(), line: None, lasting: false });
        self
    }

    /// Needs a fact at that time only.
    #[must_use]
    pub fn once_after(self, fact: impl Into<String>, why: &str) -> Self {
        self.once(What::Fact(fact.into()), why)
    }

    /// Is another outcome under the same id wherever this text differs.
    #[must_use]
    pub fn keyed(mut self, key: impl Into<String>) -> Self {
        self.key = key.into();
        self
    }

    /// Entry of words by which what it adds is taken off again.
    #[must_use]
    pub fn off(mut self, entry: &'static str) -> Self {
        self.off = entry;
        self
    }

    /// Takes a part off.
    #[must_use]
    pub fn removes(mut self, part: impl Into<String>) -> Self {
        self.removes.push(part.into());
        self
    }

    /// Makes a fact.
    #[must_use]
    pub fn makes(mut self, fact: impl Into<String>) -> Self {
        self.makes.push(fact.into());
        self
    }

    /// Brings a part.
    #[must_use]
    pub fn adds(mut self, part: impl Into<String>) -> Self {
        self.adds.push(part.into());
        self
    }

    /// Asks for something.
    #[must_use]
    pub fn check(mut self, check: Check) -> Self {
        self.checks.push(check);
        self
    }

    /// Is held until the design side releases it.
    #[must_use]
    pub fn held(mut self) -> Self {
        self.hold = Some("design");
        self
    }

    /// Working minutes.
    #[must_use]
    pub fn minutes(mut self, minutes: u32) -> Self {
        self.minutes = minutes;
        self
    }

    /// Picture.
    #[must_use]
    pub fn picture(mut self, picture: Picture) -> Self {
        self.picture = picture;
        self
    }
}

/// Everything the kinds of joint put down for one module and setup.
#[derive(Debug, Default)]
pub struct Sheet {
    /// Operations.
    pub drafts: Vec<Draft>,
    /// Groups.
    pub groups: Vec<Group>,
    /// Pairs of groups that share a contact: (rods, pinch).
    pub coupled: Vec<(Id, Id)>,
}

impl Sheet {
    /// Puts down an operation.
    pub fn add(&mut self, draft: Draft) {
        self.drafts.push(draft);
    }

    /// Puts down a group.
    pub fn group(&mut self, id: &str, holds: &[(String, Stage)]) {
        self.groups.push(Group { id: id.to_owned(), holds: holds.to_vec() });
    }
}

fn blank(id: &str, kind: CheckKind) -> Check {
    Check { basis: "common practice".into(), ..Check::blank(id, kind) }
}

/// Yes or no.
#[must_use]
pub fn confirm(id: &str) -> Check {
    blank(id, CheckKind::Confirm)
}

/// Words.
#[must_use]
pub fn text(id: &str) -> Check {
    Check { basis: "kept for tracing".into(), ..blank(id, CheckKind::Text) }
}

/// A list of so many different numbers, kept as it is written.
#[must_use]
pub fn numbers(id: &str, count: u32) -> Check {
    Check { count: Some(count), ..text(id) }
}

/// Words that have to stand there; parts set apart by a space may come in any order.
#[must_use]
pub fn wanted(id: &str, wanted: &str, basis: &str) -> Check {
    Check { wanted: Some(wanted.to_owned()), basis: basis.to_owned(), ..blank(id, CheckKind::Confirm) }
}

/// Go and no-go gauge for the feature that another check, `STEP/CHECK`, measures.
#[must_use]
pub fn gauge(id: &str, measured: &str, basis: &str) -> Check {
    Check { basis: basis.to_owned(), beside: Some(measured.to_owned()), ..blank(id, CheckKind::Gauge) }
}

/// A whole number from `lower` to `upper`.
#[must_use]
pub fn count(id: &str, lower: u32, upper: u32, basis: &str) -> Check {
    Check {
        nominal: (lower == upper).then(|| lower.to_string()),
        lower: Some(lower.to_string()),
        upper: Some(upper.to_string()),
        basis: basis.to_owned(),
        ..blank(id, CheckKind::Count)
    }
}

/// Limits of a measured value.
#[derive(Debug, Clone, Default)]
pub struct Limits {
    /// Nominal.
    pub nominal: Option<Decimal>,
    /// Lower.
    pub lower: Option<Decimal>,
    /// Upper.
    pub upper: Option<Decimal>,
    /// Basis.
    pub basis: String,
    /// Guard band taken off.
    pub guarded: bool,
}

/// One measured value.
#[must_use]
pub fn measure(id: &str, unit: &str, limits: Limits) -> Check {
    let show = |d: Option<Decimal>| d.map(|d| d.to_string());
    Check {
        unit: Some(unit.to_owned()),
        nominal: show(limits.nominal),
        lower: show(limits.lower),
        upper: show(limits.upper),
        acceptance: if limits.guarded { Acceptance::Guarded } else { Acceptance::Simple },
        basis: limits.basis,
        ..blank(id, CheckKind::Measure)
    }
}

/// Several measured values.
#[must_use]
pub fn series(id: &str, unit: &str, count: u32, rule: SeriesRule, limits: Limits) -> Check {
    Check { kind: CheckKind::Series, rule: Some(rule), count: Some(count), ..measure(id, unit, limits) }
}

/// Several measured values, each at its place.
#[must_use]
pub fn series_at(id: &str, unit: &str, places: Vec<String>, rule: SeriesRule, limits: Limits) -> Check {
    let count = u32::try_from(places.len()).unwrap_or(u32::MAX);
    Check { places, ..series(id, unit, count, rule, limits) }
}

/// A value computed from another check's reading.
#[must_use]
pub fn derived(id: &str, unit: &str, limits: Limits, derive: Derive) -> Check {
    Check { kind: CheckKind::Derived, derive: Some(derive), ..measure(id, unit, limits) }
}

/// A value to the hundredth, its second digit only where it has one.
#[must_use]
pub fn tenths(value: Decimal) -> Decimal {
    let (one, two) = (value.round_dp(1), value.round_dp(2));
    if one == two { one } else { two }
}

/// Torque bolt by bolt, or clicks, from the least to the most that a bolt may read.
#[must_use]
pub fn torque(id: &str, bolts: u32, target: Torque, (least, most): (Torque, Torque), basis: &str) -> Check {
    let two = |t: Torque| Decimal::from_f64_retain(t.nm()).map(|d| d.round_dp(2));
    let limits = Limits {
        nominal: two(target).map(tenths),
        lower: two(least),
        upper: two(most),
        basis: basis.to_owned(),
        guarded: false,
    };
    Check { kind: CheckKind::Torque, count: Some(bolts), ..measure(id, "N·m", limits) }
}

/// How many nuts still moved: none may.
#[must_use]
pub fn moved(id: &str, bolts: u32, basis: &str) -> Check {
    Check {
        kind: CheckKind::Torque,
        count: Some(bolts),
        lower: Some("0".into()),
        upper: Some("0".into()),
        basis: basis.to_owned(),
        ..blank(id, CheckKind::Torque)
    }
}

/// A waiting time in hours.
#[must_use]
pub fn wait(id: &str, hours: u32, basis: &str) -> Check {
    Check {
        lower: Some(hours.to_string()),
        unit: Some("h".into()),
        basis: basis.to_owned(),
        ..blank(id, CheckKind::Wait)
    }
}
