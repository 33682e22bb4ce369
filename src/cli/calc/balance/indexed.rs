//! The index of discs, from unbalances on the command line or from the readings of a build.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::balance as mech;
use crate::mechanics::balance::Indexed;
use crate::quantity::{Kind, Unbalance};

use super::super::given::{fail, positive, shown};
use super::super::{Answered, Asked, Failure};
use super::placed::{lengths, unbalances};

/// Arrangements that are listed.
const BEST: usize = 5;

#[derive(Debug, Args)]
pub struct Index {
    /// Reckon from what was read of the discs of this build, like testwheel-017
    #[arg(long, value_name = "BUILD", conflicts_with_all = ["holes", "discs", "places", "known_within"])]
    from: Option<String>,
    /// Number of holes
    #[arg(long, required_unless_present = "from")]
    holes: Option<u32>,
    /// Unbalance of a disc as received, like "8 gmm@20"
    #[arg(long = "disc", required_unless_present = "from")]
    discs: Vec<String>,
    /// Place of a disc along the shaft
    #[arg(long = "at")]
    places: Vec<String>,
    /// What the discs' unbalances are known within; a disc under it is refused
    #[arg(long)]
    known_within: Option<String>,
}

impl Index {
    pub fn answer(self, asked: &Asked) -> Result<Answered, Failure> {
        match &self.from {
            Some(build) => from_build(build, asked),
            None => self.as_given(),
        }
    }

    fn as_given(&self) -> Result<Answered, Failure> {
        let holes = self.holes.unwrap_or(0);
        let discs = unbalances("disc", &self.discs)?;
        let places = lengths("at", &self.places)?;
        let within = self.known_within.as_deref().map(|k| positive("known-within", k, Kind::Unbalance)).transpose()?;
        if let Some((k, disc)) = (1..).zip(&discs).find(|(_, d)| within.is_some_and(|w| d.magnitude() <= w)) {
            let known = within.unwrap_or_default();
            return Err(Failure::new(format!(
                "--disc: disc {k} has {:.0} g·mm, known within {known:.0} g·mm; its light side is a guess, leave it out",
                disc.magnitude()
            )));
        }
        let best = mech::indices(holes, &discs, &places, BEST).map_err(fail)?;
        let uncertain = within.map(|w| mech::index_uncertainty(Unbalance::from_gmm(w), discs.len()).gmm());
        answered(holes, &best, uncertain, Vec::new())
    }
}

/// Reckoned now, from what was read of each disc; a disc whose unbalance drag hides counts as zero.
fn from_build(build: &str, asked: &Asked) -> Result<Answered, Failure> {
    let record = asked.store()?.read(build)?;
    let (discs, best) = record.best_indices(BEST).map_err(Failure::new)?;
    let read = discs.names.iter().zip(&discs.each).map(|(name, d)| {
        json!({
            "disc": name, "unbalance_gmm": shown(d.size.gmm()), "heavy_deg": shown(d.found.degrees()),
            "floor_gmm": shown(d.floor.gmm()), "known_within_gmm": shown(d.within.gmm()), "findable": d.findable(),
        })
    });
    let more = vec![
        ("discs", Value::Array(read.collect())),
        ("permitted_gmm", shown(discs.permitted)),
        ("build", json!(record.build)),
    ];
    answered(discs.holes, &best, Some(discs.within()), more)
}

fn answered(
    holes: u32,
    best: &[Indexed],
    within: Option<f64>,
    more: Vec<(&'static str, Value)>,
) -> Result<Answered, Failure> {
    let first = best.first().ok_or_else(|| Failure::new("there is no disc".to_owned()))?;
    let at_1 = |i: &Indexed| i.turns.iter().map(|t| mech::hole_at_position_1(holes, *t)).collect::<Vec<_>>();
    let row = |i: &Indexed| {
        json!({
            "indices": i.turns, "holes_at_1": at_1(i), "residual_gmm": shown(i.residual.magnitude()),
            "residual_deg": shown(i.residual.degrees()), "couple_gmm2": shown(i.couple),
        })
    };
    let mut pairs = vec![
        ("indices", json!(first.turns)),
        ("holes_at_1", json!(at_1(first))),
        ("residual_gmm", shown(first.residual.magnitude())),
        ("residual_deg", shown(first.residual.degrees())),
        ("couple_gmm2", shown(first.couple)),
        ("worst_gmm", shown(first.worst)),
        ("residual_known_within_gmm", within.map_or(Value::Null, shown)),
        ("best", Value::Array(best.iter().map(row).collect())),
    ];
    pairs.extend(more);
    Ok(Answered::new(
        pairs,
        &[
            "every arrangement compared: static sum first, couple about the middle second",
            "errors of the discs add up as squares",
        ],
    ))
}
