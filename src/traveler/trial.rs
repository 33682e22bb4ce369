//! Speed trials in the record: each run of a setup with what was measured, judged and said of it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::procedure::Words;
use crate::procedure::plan::{Check, CheckKind, Plan, Running};

use super::event::{Body, Corrects, Event, Paper, Used, Verdict};
use super::guarded;
use super::record::Record;
use super::state::StepState;

/// One run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Trial {
    /// Number of the run, from 1 over all rounds; never used again.
    pub number: u32,
    /// Round of work.
    pub round: u32,
    /// Setup of that round.
    pub setup: BTreeMap<String, String>,
    /// Role of the person, as stated by the spec.
    pub role: String,
    /// What was measured or said, with the limits it was judged by.
    pub values: Vec<Taken>,
    /// What was computed from it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Computed>,
    /// The worst verdict of all values.
    pub verdict: Verdict,
    /// Instruments, as the register had them then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instruments: Vec<Used>,
    /// Correction: event of the run put right, and why. That one stays, struck through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Corrects>,
    /// The second person at the run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub witness: Option<String>,
    /// Taken from paper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<Paper>,
    /// Why something of it is hard to believe or was not done as it should; it was kept all the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub doubt: Option<String>,
}

/// One value of a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taken {
    /// Check of the trial.
    pub check: String,
    /// As typed.
    pub entered: Vec<String>,
    /// As judged, exact decimals in the check's unit, or words.
    pub values: Vec<String>,
    /// Unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Lower limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower: Option<String>,
    /// Upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper: Option<String>,
    /// Verdict.
    pub verdict: Verdict,
    /// Why, in words.
    pub because: String,
}

/// A figure computed from the values of a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Computed {
    /// Name: `slip`, `drag`, `rise`, `tension-lost`, `energy`.
    pub name: String,
    /// A decimal.
    pub value: String,
    /// Unit.
    pub unit: String,
    /// How it comes about.
    pub words: String,
}

impl Trial {
    /// The value of a check, if it was given.
    #[must_use]
    pub fn value(&self, check: &str) -> Option<&Taken> {
        self.values.iter().find(|v| v.check == check)
    }

    /// The first number of a check.
    #[must_use]
    pub fn number_of(&self, check: &str) -> Option<f64> {
        self.value(check)?.values.first()?.parse().ok()
    }

    /// What was said for a check; empty where nothing was.
    #[must_use]
    pub fn said(&self, check: &str) -> String {
        self.value(check).map_or_else(String::new, |v| v.values.join(" "))
    }

    /// The value of a check with its unit; empty where it was not given.
    #[must_use]
    pub fn shown(&self, check: &str) -> String {
        self.value(check).map_or_else(String::new, Taken::shown)
    }

    /// A figure by its name.
    #[must_use]
    pub fn figure(&self, name: &str) -> Option<&Computed> {
        self.figures.iter().find(|f| f.name == name)
    }

    /// A figure as a number.
    #[must_use]
    pub fn figure_of(&self, name: &str) -> Option<f64> {
        self.figure(name)?.value.parse().ok()
    }

    /// In a line.
    #[must_use]
    pub fn words(&self) -> String {
        let changed = Some(self.said("changed")).filter(|c| !c.is_empty()).map(|c| format!(", changed: {c}"));
        let down = Some(self.shown("run-down")).filter(|d| !d.is_empty()).map(|d| format!(", run-down {d}"));
        format!(
            "run {}, {}: {}{}{}, {}",
            self.number,
            setup_said(&self.setup),
            self.shown("speed"),
            down.unwrap_or_default(),
            changed.unwrap_or_default(),
            self.verdict.word()
        )
    }
}

impl Taken {
    /// Values with their unit.
    #[must_use]
    pub fn shown(&self) -> String {
        format!("{} {}", self.values.join(", "), self.unit.as_deref().unwrap_or_default()).trim_end().to_owned()
    }
}

/// A setup as people say it: "5 discs, slow".
#[must_use]
pub fn setup_said(setup: &BTreeMap<String, String>) -> String {
    let said = |(axis, value): (&String, &String)| match (axis.as_str(), value.as_str()) {
        ("discs", "1") => "1 disc".to_owned(),
        ("discs", n) => format!("{n} discs"),
        ("pulley", step) => step.to_owned(),
        _ => format!("{axis} {value}"),
    };
    setup.iter().map(said).collect::<Vec<_>>().join(", ")
}

/// What a run asks for where the plan of an older program has neither words nor limits of its own: id and unit, in order.
const PLAIN: [(&str, Option<&str>); 14] = [
    ("speed", Some("rpm")),
    ("driver", Some("rpm")),
    ("held", Some("min")),
    ("run-down", Some("s")),
    ("bearing", Some("°C")),
    ("room", Some("°C")),
    ("before", Some("N")),
    ("after", Some("N")),
    ("vibration", None),
    ("noise", None),
    ("smell", None),
    ("result", None),
    ("changed", None),
    ("stop", None),
];

impl Record {
    /// Every run, oldest first, with its event.
    #[must_use]
    pub fn trials(&self) -> Vec<(&Trial, &Event)> {
        let runs = self.events.iter().filter_map(|e| match &e.body {
            Body::Trial(t) => Some((&**t, e)),
            _ => None,
        });
        runs.collect()
    }

    /// The run that puts an earlier one right, where one does.
    #[must_use]
    pub fn corrected_run(&self, event: u64) -> Option<&Trial> {
        let corrects = |t: &Trial| t.corrects.as_ref().is_some_and(|c| c.event == event);
        self.trials().into_iter().map(|(t, _)| t).find(|t| corrects(t))
    }

    /// The runs that stand: those that no later one puts right.
    #[must_use]
    pub fn trials_standing(&self) -> Vec<(&Trial, &Event)> {
        self.trials().into_iter().filter(|(_, e)| self.corrected_run(e.header.event).is_none()).collect()
    }

    /// The plan of a round of work; 0 is the first build.
    #[must_use]
    pub fn plan_of(&self, round: u32) -> Option<&Plan> {
        match round {
            0 => Some(&self.started().plan),
            n => self.changes().get(n as usize - 1).map(|c| &*c.plan),
        }
    }

    /// What runs of the round in hand are held against; none in plans of older programs.
    #[must_use]
    pub fn running(&self) -> Option<&Running> {
        self.plan().running.as_deref()
    }

    /// What a run asks for, with the limits of the round in hand. A plan of an older program has none of its own: the limit of its
    /// own runs stands in then, and the rest is kept without judging.
    #[must_use]
    pub fn trial_checks(&self) -> Vec<Check> {
        self.running().map_or_else(|| plain(self.plan()), |r| r.trial.checks.clone())
    }

    /// Why no run may be made now, if so: its guard, a run of the plan that is not done, a run over the limit without an answer.
    #[must_use]
    pub fn trial_barred(&self) -> Option<String> {
        let plan = self.plan();
        let done = |id: &str| self.step_state(id) == StepState::Done;
        let last = plan.steps.iter().rfind(|s| s.operation == "guard").map(|s| s.number);
        if let Some(last) = last
            && let Some(open) = plan.steps.iter().find(|s| s.number <= last && !done(&s.id))
        {
            let guard = plan.steps.iter().find(|s| s.operation == "guard" && !done(&s.id));
            let guard = guard.map_or(open.id.as_str(), |g| g.id.as_str());
            return Some(format!(
                "the rotor is never spun without its guard; {guard} is not done, nor all that comes before it, {} first",
                open.id
            ));
        }
        if let Some(open) = plan.steps.iter().find(|s| s.operation == "spin" && !done(&s.id)) {
            return Some(format!("a trial comes after the runs of the plan; {} is not done", open.id));
        }
        let plans = std::iter::once(&*self.started().plan).chain(self.changes().into_iter().map(|c| &*c.plan));
        let guards: Vec<_> = plans.flat_map(|p| &p.steps).filter(|s| s.operation == "guard").collect();
        if guards.is_empty() {
            return Some("the rotor is never spun without its guard, and this plan has no guard step".into());
        }
        let fitted = self.fitted();
        let off = guards.iter().flat_map(|g| &g.adds).find(|part| !fitted.contains(&part.as_str()));
        off.map(|part| format!("the rotor is never spun without its guard; {part} is off"))
            .or_else(|| guarded::opened_by_run(self))
            .or_else(|| self.run_waits())
    }

    /// The highest speed that was reached in the round in hand, rpm, in its runs and trials.
    #[must_use]
    pub fn top_speed(&self) -> Option<f64> {
        self.top_speed_but(None)
    }

    /// The same without the trial of an event, which is about to be put right.
    pub(super) fn top_speed_but(&self, event: Option<u64>) -> Option<f64> {
        let spins = self.plan().steps.iter().filter(|s| s.operation == "spin");
        let runs = spins.filter_map(|s| self.reading(&s.id, "speed")?.reading.values.first()?.parse().ok());
        let own = |t: &&(&Trial, &Event)| t.0.round == self.round() && Some(t.1.header.event) != event;
        let trials = self.trials_standing();
        let trials = trials.iter().filter(own).filter_map(|(t, _)| t.number_of("speed"));
        runs.chain(trials).max_by(f64::total_cmp)
    }
}

fn plain(plan: &Plan) -> Vec<Check> {
    let spins = plan.steps.iter().filter(|s| s.operation == "spin");
    let limit = spins.flat_map(|s| &s.checks).find(|c| c.id == "speed");
    let asked = Words::built_in().map(|words| words.asked("trial")).unwrap_or_default();
    let prompt = |id: &str| {
        let words = asked.get(id).cloned().unwrap_or_else(|| id.to_owned());
        // One value is kept of it here, not one of each bearing.
        if id == "bearing" { format!("{words}, the warmer one") } else { words }
    };
    let speed = |id: &str| limit.filter(|_| id == "speed");
    let check = |(id, unit): &(&str, Option<&str>)| Check {
        prompt: prompt(id),
        unit: unit.map(str::to_owned),
        upper: speed(id).and_then(|c| c.upper.clone()),
        basis: speed(id).map_or_else(|| "kept for comparison".into(), |c| c.basis.clone()),
        stays: *id == "speed",
        ..Check::blank(id, if unit.is_some() { CheckKind::Measure } else { CheckKind::Text })
    };
    PLAIN.iter().map(check).collect()
}
