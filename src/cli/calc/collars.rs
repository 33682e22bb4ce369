//! Rods and split collars on one shaft: what each order of tightening costs.

use clap::Args;
use serde_json::json;

use crate::mechanics::interplay::{Case, Stack, Topology};
use crate::mechanics::{fastener, joint};
use crate::quantity::{Force, Length};
use crate::standards::threads::{self, Thread};
use crate::standards::{bench, bolting};

use super::given::{fail, number, shown};
use super::slip::length;
use super::{Answered, Failure};

/// A friction: above 0, at most 1.
fn friction(name: &str, text: &str) -> Result<f64, Failure> {
    let value = number(name, text)?;
    if value > 0.0 && value <= 1.0 {
        return Ok(value);
    }
    Err(Failure::new(format!("--{name}: \"{text}\" must be above 0 and at most 1")))
}

#[derive(Debug, Args)]
pub struct Collars {
    /// Number of rods
    #[arg(long)]
    rods: u32,
    /// Thread of the rods
    #[arg(long)]
    rod: String,
    /// Number of pinch bolts of one collar
    #[arg(long)]
    pinch: u32,
    /// Thread of the pinch bolts
    #[arg(long)]
    pinch_thread: String,
    /// Property class of both
    #[arg(long, default_value = "8.8")]
    class: String,
    /// Share of the proof load of both
    #[arg(long, default_value = "0.7")]
    share: String,
    /// Diameter of the shaft
    #[arg(long)]
    shaft: String,
    /// Circle of the rods
    #[arg(long)]
    circle: String,
    /// Length of the stack
    #[arg(long)]
    stack: String,
    /// Inner interfaces of the stack, which settle
    #[arg(long, default_value_t = 6)]
    interfaces: u32,
    /// Roughness Rz of their faces
    #[arg(long, default_value = "16 um")]
    roughness: String,
    /// Where the rods run: through the collars, or from end plate to end plate with the collars outside
    #[arg(long, default_value = "collars", value_parser = ["collars", "plates"])]
    through: String,
    /// Friction that is sure to hold; that of the table, if not given
    #[arg(long)]
    friction: Option<String>,
    /// Friction that grip and clamp are lost to; that of clean dry faces, if not given
    #[arg(long)]
    friction_up_to: Option<String>,
    /// Share of the rods' force at which the sliding collar closes
    #[arg(long, default_value = "0.3")]
    at: String,
}

impl Collars {
    pub fn answer(self) -> Result<Answered, Failure> {
        let stack = self.read()?;
        let topology = if self.through == "collars" { Topology::ThroughCollars } else { Topology::ThroughEndPlates };
        let at = number("at", &self.at)?;
        let roughness = length("roughness", &self.roughness)?;
        let faces = bolting::embedding(roughness).map_err(fail)?;
        // At least the stack is squeezed; at most its faces settle as well.
        let settled = Stack { shortening: stack.shortening + faces.inner * f64::from(self.interfaces), ..stack };
        let [holds, loses] = self.cases()?;
        let low = stack.outcome(topology, at, holds).map_err(fail)?;
        let high = settled.outcome(topology, at, loses).map_err(fail)?;
        let worst = settled.between(topology, at, holds, loses).map_err(fail)?;
        let shares = [0.3, 0.6, 1.0];
        let best = stack.best(topology, &shares).map_err(fail)?;
        let both = |a: f64, b: f64| json!([shown(a), shown(b)]);
        let pairs = vec![
            ("rods_kn", shown(stack.rods.kn())),
            ("pinch_kn", shown(stack.pinch.kn())),
            ("grip_lost", both(low.grip_lost, high.grip_lost)),
            ("clamp_kept", both(low.clamp_kept, high.clamp_kept)),
            ("collar_nm", both(low.collar.nm(), high.collar.nm())),
            ("discs_nm", both(low.discs.nm(), high.discs.nm())),
            ("collar_worst_nm", shown(worst.collar.nm())),
            ("discs_worst_nm", shown(worst.discs.nm())),
            ("gap_um", both(low.gap.mm() * 1000.0, high.gap.mm() * 1000.0)),
            ("best_at", json!(best)),
        ];
        let rule =
            "pairs: low and high friction, contact and faces, each the same everywhere; a limit is the worst alone";
        let worst = "the worst collar: sliding collar on the shaft; the worst discs: disc on disc; friction high where it takes and low where it holds";
        let best = "best of 30, 60 and 100 % of the rods, seated by the first; preloads full, nothing settled";
        let (holds, loses) = (bench::slip().holds_source.as_str(), bench::slip().loses_source.as_str());
        Ok(Answered::new(pairs, &["statics of friction", rule, worst, best, holds, loses, faces.source]))
    }

    /// The case that holds and the case that loses, with the friction given.
    fn cases(&self) -> Result<[Case; 2], Failure> {
        let with = |name: &str, given: Option<&String>, case: Case| -> Result<Case, Failure> {
            let mu = given.map(|text| friction(name, text)).transpose()?;
            Ok(Case { mu: mu.unwrap_or(case.mu), ..case })
        };
        let holds = with("friction", self.friction.as_ref(), Case::low())?;
        let loses = with("friction-up-to", self.friction_up_to.as_ref(), Case::high())?;
        if holds.mu <= loses.mu {
            return Ok([holds, loses]);
        }
        Err(Failure::new(format!(
            "--friction: {} is above {}, the friction that grip is lost to; give --friction-up-to too",
            holds.mu, loses.mu
        )))
    }

    fn read(&self) -> Result<Stack, Failure> {
        let share = number("share", &self.share)?;
        let one = |size: &str| -> Result<(&'static Thread, Force), Failure> {
            let thread = threads::thread(size).map_err(fail)?;
            let class = threads::class(&self.class, Length::from_mm(thread.d)).map_err(fail)?;
            Ok((thread, fastener::preload_by_proof(thread, &class, share).map_err(fail)?))
        };
        let ((rod, rod_force), (_, pinch_force)) = (one(&self.rod)?, one(&self.pinch_thread)?);
        let (washer, hole) = (Length::from_mm(rod.washer_outer), Length::from_mm(rod.hole));
        let elastic = bolting::modulus("carbon").map_err(fail)?.elastic;
        let sleeve = joint::sleeve_resilience(length("stack", &self.stack)?, washer, hole, elastic).map_err(fail)?;
        Ok(Stack {
            rods: rod_force * f64::from(self.rods),
            pinch: pinch_force * f64::from(self.pinch),
            shaft: length("shaft", &self.shaft)?,
            circle: length("circle", &self.circle)?,
            shortening: Length::from_mm(rod_force.n() * sleeve.mm_per_n()),
        })
    }
}
