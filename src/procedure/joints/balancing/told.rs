//! What is computed of a run: from the trial runs the correction, from a run after it what is left.

use crate::module::Method;
use crate::procedure::draft;
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::Check;

use super::at_speed::third_holes;
use super::corrections::{self, Missing, plain};
use super::predicted::Told;
use super::{Work, said};

/// What is computed at a run, from all runs up to the last trial run and, beyond that, from the run itself.
pub struct Computed<'a> {
    /// The rotor and its figures.
    pub work: &'a Work<'a>,
    /// The run.
    pub run: String,
    /// Number of the last trial run.
    pub trials: u32,
}

impl Computed<'_> {
    /// Readings and figures of the plan that every value of the run rests on.
    pub fn told(&self) -> Told {
        let b = self.work.balance;
        let reading = |n: u32| format!("balance-run-{n}/reading");
        let trial = |n: u32| format!("balance-trial-{n}/trial");
        let own = format!("{}/reading", self.run);
        let (name, mut inputs) = match *b.method {
            Method::NoPhase => {
                let mut inputs: Vec<String> = (1..=self.trials).map(reading).collect();
                inputs.push("balance-trial-1/trial-mass".into());
                ("no-phase", inputs)
            }
            Method::TwoPlanes => {
                let mut inputs = vec![reading(1), trial(1), reading(2)];
                if self.trials > 2 {
                    inputs.extend([trial(2), reading(3)]);
                }
                ("two-planes", inputs)
            }
            _ => ("one-plane", vec![reading(1), trial(1), reading(2)]),
        };
        if !inputs.contains(&own) {
            inputs.push(own);
        }
        let spot = self.work.spot;
        let mut with =
            vec![("phase", if b.against { "against" } else { "with" }.to_owned()), ("floor", b.floor.to_string())];
        match *b.method {
            Method::NoPhase => {
                let angles = third_holes(spot.holes).map(|h| spot.angle(h).to_string());
                with.push(("angles", angles.join(" ")));
            }
            Method::TwoPlanes => {
                let list =
                    |l: &[crate::quantity::Length]| l.iter().map(|x| x.mm().to_string()).collect::<Vec<_>>().join(" ");
                with.push(("first", if b.first_stays { "stays" } else { "off" }.to_owned()));
                with.push(("planes", list(&spot.planes)));
                with.push(("bearings", list(&spot.bearings)));
            }
            _ => {}
        }
        Told { name, inputs, with }
    }

    fn derive(&self, give: &str, decimals: u32, more: &[(&'static str, String)]) -> crate::procedure::plan::Derive {
        let told = self.told();
        let words = match *self.work.balance.method {
            Method::NoPhase => "law of cosines over the trial runs",
            Method::TwoPlanes => "influence of each plane on both sensors",
            _ => "influence of the trial weight",
        };
        let mut all = self.work.with(give, &told.with);
        for (key, text) in more {
            all.retain(|(k, _)| k != key);
            all.push((key, text.clone()));
        }
        draft::computed(told.name, told.inputs, &all, decimals, words)
    }

    /// One value of the run.
    pub fn value(&self, id: &str, unit: &str, give: &str, decimals: u32) -> Check {
        let check = draft::derived(
            id,
            unit,
            said("influence coefficients; limits by common practice"),
            self.derive(give, decimals, &[]),
        );
        if unit.is_empty() { plain(check) } else { check }
    }

    /// Mass and angle of both planes.
    pub fn planes(&self, name: &str, give: [&str; 2]) -> Vec<Check> {
        let ends = (1..).zip(&self.work.balance.planes);
        ends.flat_map(|(n, end): (u32, _)| {
            let id = format!("{name}-{}", end.word());
            [
                self.value(&id, "g", &format!("{}-{n}", give[0]), 2),
                self.value(&format!("{id}-angle"), "°", &format!("{}-{n}", give[1]), 1),
            ]
        })
        .collect()
    }
}

/// What is computed of a run after a correction; limits where it is the last.
///
/// # Errors
/// [`NoFigure`] where a table has no value for what the spec says.
pub fn left(work: &Work<'_>, run: &str, trials: u32, judged: bool) -> Result<Vec<Check>, NoFigure> {
    let told = Computed { work, run: run.to_owned(), trials };
    let limits = |gmm: f64| if judged { work.permitted(gmm) } else { said(&work.spot.basis) };
    let residual = |id: &str, give: &str, gmm: f64| {
        let derive = told.derive(give, 0, &[("permitted", format!("{gmm:.1}"))]);
        draft::derived(id, "g·mm", limits(gmm), derive)
    };
    let mut checks = Vec::new();
    if *work.balance.method == Method::TwoPlanes {
        let [a, b] = work.spot.shares.map(crate::quantity::Unbalance::gmm);
        checks.extend([residual("residual-1", "residual-1", a), residual("residual-2", "residual-2", b)]);
        checks.extend(told.planes("trim", ["trim", "trim-angle"]));
    } else {
        checks.push(residual("residual", "residual", work.spot.permitted.gmm()));
    }
    if *work.balance.method == Method::SinglePlane {
        checks.extend([told.value("trim", "g", "trim", 2), told.value("trim-angle", "°", "trim-angle", 1)]);
    }
    if judged {
        let grade = draft::Limits { basis: work.spot.basis.clone(), ..draft::Limits::default() };
        checks.push(draft::derived("grade", "mm/s", grade, told.derive("grade", 2, &[])));
        if *work.balance.method != Method::NoPhase {
            checks.extend(corrections::still(work, &Missing::of(work, run, "trim"))?);
        }
    }
    Ok(checks)
}
