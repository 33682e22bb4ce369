//! What was found held against what was to be expected: by the index of the discs before a correction, by the weights after it. Both
//! judge by a doubt and let nothing wait.

use crate::module::{End, Means, Method};
use crate::procedure::draft;
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::Check;

use super::super::heavy_side;
use super::{Work, corrections, said};

/// Readings that tell what is missing, in the order of the method's computation, and what it takes of the plan.
pub struct Told {
    /// Name of the computation.
    pub name: &'static str,
    /// Readings.
    pub inputs: Vec<String>,
    /// What the plan gives it.
    pub with: Vec<(&'static str, String)>,
}

/// A correction that was put on between two measurements.
pub struct Correction<'a> {
    /// The measurement before it.
    pub before: &'a Told,
    /// The measurement after it.
    pub now: &'a Told,
    /// What takes it away.
    pub by: Means,
}

/// How the method calls mass, angle and floor of a plane, and the plane's own word in ids of checks; one row a plane.
fn planes(work: &Work<'_>) -> Vec<[String; 4]> {
    if *work.balance.method != Method::TwoPlanes {
        return vec![["mass".into(), "angle".into(), "hides".into(), String::new()]];
    }
    let one = |(n, end): (u32, &crate::module::Given<End>)| {
        [format!("mass-{n}"), format!("angle-{n}"), format!("hides-{n}"), format!("-{}", end.value.word())]
    };
    (1..).zip(&work.balance.planes).map(one).collect()
}

/// What the correction should have left against what was found, plane by plane.
///
/// # Errors
/// [`NoFigure`] for a steel without a density.
pub fn after(work: &Work<'_>, c: &Correction<'_>) -> Result<Vec<Check>, NoFigure> {
    let spot = work.spot;
    let one = |[mass, angle, hides, plane]: [String; 4]| -> Result<Check, NoFigure> {
        let mut inputs = [c.before.inputs.clone(), c.now.inputs.clone()].concat();
        let mut with = c.now.with.clone();
        let put = match c.by {
            Means::Washers => {
                inputs.extend(["balance-prepare/washer".to_owned(), format!("balance-washers/fitted{plane}")]);
                "washers"
            }
            Means::Drilling => {
                inputs.extend([format!("balance-drilling/holes{plane}"), format!("balance-drilling/drilled{plane}")]);
                with.extend(corrections::hole(work)?);
                "drilling"
            }
        };
        with.extend([
            ("before", c.before.inputs.len().to_string()),
            ("now", c.now.inputs.len().to_string()),
            ("method", c.now.name.to_owned()),
            ("mass", mass),
            ("angle", angle),
            ("hides", hides),
            ("put", put.to_owned()),
            ("hole-angles", spot.angles()),
        ]);
        let words = "what was to be missing after the weights, against what is";
        let derive = draft::computed("as-predicted", inputs, &work.with("apart", &with), 0, words);
        let basis = "the floor of the method twice and a fifth of the correction are left open (common practice)";
        Ok(draft::derived(&format!("against{plane}"), "g·mm", said(basis), derive))
    };
    planes(work).into_iter().map(one).collect()
}

/// The heavy side of the rotor as assembled against the index of its discs; none where these were not looked for.
///
/// # Errors
/// [`NoFigure`] as the index has it.
pub fn against_index(work: &Work<'_>, found: &Told) -> Result<Option<Check>, NoFigure> {
    let Some((mut inputs, index)) = heavy_side::as_counted(work.stacked)? else { return Ok(None) };
    inputs.extend(found.inputs.clone());
    let mut with = found.with.clone();
    with.extend(index.into_iter().filter_map(|(key, text)| Some((under_index(key)?, text))));
    let two = *work.balance.method == Method::TwoPlanes;
    let (mass, angle) = if two { ("mass-1 mass-2", "angle-1 angle-2") } else { ("mass", "angle") };
    with.extend([
        ("method", found.name.to_owned()),
        ("mass", mass.to_owned()),
        ("angle", angle.to_owned()),
        ("hides", "hides".to_owned()),
        ("others", format!("{:.1}", work.spot.pulleys.gmm())),
    ]);
    let words = "sum of the discs in their index, against what was found";
    let derive = draft::computed("as-indexed", inputs, &work.with("apart", &with), 0, words);
    let basis = "drag and play of the discs, floor of the method, run-out of pulleys and a tenth of what was found, as squares (common practice)";
    Ok(Some(draft::derived("against-index", "g·mm", said(basis), derive)))
}

/// Both computations take a radius of their own, and more: those of the index stand behind this word.
fn under_index(key: &str) -> Option<&'static str> {
    const KEYS: [(&str, &str); 7] = [
        ("radius", "index-radius"),
        ("play", "index-play"),
        ("holes", "index-holes"),
        ("places", "index-places"),
        ("permitted", "index-permitted"),
        ("discs", "index-discs"),
        ("apart", "index-apart"),
    ];
    KEYS.iter().find(|(own, _)| *own == key).map(|(_, under)| *under)
}
