//! Speed trials of a setup: the words and limits of a run, and the figures that runs are reckoned with.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::module::spec_line;
use crate::procedure::draft::{self, Draft, Limits};
use crate::procedure::figures::{NoFigure, RunDown, run_down};
use crate::procedure::plan::{Check, Running, Step};
use crate::quantity::rounded;

use super::belt_run::found;
use super::running::{FRAME, HOT, down, expected_words, kept, quarters, rests_on, warm};
use super::{Context, decimal};

/// The draft of a speed trial, and its expected run-down. It stands in no order of work.
///
/// # Errors
/// [`NoFigure`] where a table has no value for what the spec says.
pub fn trial(context: &Context<'_>) -> Result<(Draft, RunDown), NoFigure> {
    let (f, limits) = (context.figures, &context.module.limits);
    let expected = run_down(context.module, context.setup, f)?;
    let speed = Limits {
        nominal: decimal(f.speed.rpm(), 0),
        upper: decimal(limits.speed.rpm(), 3).map(|d| d.normalize()),
        basis: format!("the most that the spec allows ({})", spec_line(limits.speed.place)),
        ..Limits::default()
    };
    let mut draft = Draft::new("trial", "speed trial", "speed", FRAME)
        .slot("speed", format!("{} rpm", rounded(f.speed.rpm(), 0)))
        .slot("limit", format!("{} rpm", rounded(limits.speed.rpm(), 0)))
        .slot("energy", format!("{} J", rounded(f.energy.j(), 0)))
        .slot("hot", format!("{} °C", rounded(HOT.c(), 0)))
        .slot("expected", expected_words(&expected))
        .check(Check { stays: true, ..draft::measure("speed", "rpm", speed) })
        .check(draft::measure("driver", "rpm", kept("the belt's slip is reckoned from it")))
        .check(draft::measure("held", "min", kept("bearings and belt warm with the time")))
        .check(draft::measure("run-down", "s", down(&expected)))
        .check(warm(context))
        .check(draft::measure("room", "°C", kept("the rise of the bearings is reckoned from it")))
        .minutes(20);
    for id in ["before", "after"] {
        // A module without a belt has no force of a belt.
        let limits = context.driven().next().map_or_else(|| kept("no belt drive"), |d| found(&d));
        draft = draft.check(draft::measure(id, "N", limits));
    }
    for id in ["vibration", "noise", "smell", "result", "changed", "stop"] {
        draft = draft.check(Check { basis: "kept for comparison".into(), ..draft::text(id) });
    }
    Ok((draft, expected))
}

/// The figures of the setup for its record.
pub fn running(context: &Context<'_>, expected: &RunDown, trial: Step) -> Running {
    let (f, m) = (context.figures, context.module);
    // Six digits are more than any of them is known by.
    let six = |value: f64| decimal(value, 6).map_or_else(|| "0".to_owned(), |d: Decimal| d.normalize().to_string());
    let pair = |a: f64, b: f64| (six(a), six(b));
    Running {
        inertia_kgm2: six(f.inertia.kgm2()),
        mass_kg: six(f.mass.kg()),
        speed_rpm: six(f.speed.rpm()),
        limit_rpm: six(m.limits.speed.rpm()),
        stages_rpm: quarters(context).map(|(_, rpm)| rounded(rpm, 0)).to_vec(),
        energy_j: six(f.energy.j()),
        driver_rpm: m.drives.first().and_then(|d| d.belt.driver_speed.as_ref()).map(|s| six(s.rpm())),
        ratio: f.drives.first().map(|d| pair(d.ratios.0, d.ratios.1)),
        drag_nm: pair(expected.drag.0.nm(), expected.drag.1.nm()),
        run_down_s: pair(expected.time.0.s(), expected.time.1.s()),
        balance_grade: six(m.limits.balance_grade.to_f64().unwrap_or(f64::NAN)),
        permissible_gmm: six((f.unbalance.gmm() * 10.0).round() / 10.0),
        basis: format!("rigid body, T = J·ω/t; expected drag: {}; ISO 21940-11 for the unbalance", rests_on()),
        trial,
    }
}
