//! Threads, torque, patterns, fits, reaming.

use clap::Args;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Value, json};

use crate::mechanics::{fastener, joint, ream, tightening};
use crate::quantity::{Force, Kind, Length};
use crate::standards::{bench, iso286, threads};

use super::bolting::modulus_of;
use super::given::{exact_mm, fail, number, positive, shown};
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Thread {
    /// Size, like M10 or M12x1.25
    size: String,
}

impl Thread {
    pub fn answer(self) -> Result<Answered, Failure> {
        let t = threads::thread(&self.size).map_err(fail)?;
        let key = |found: Result<f64, crate::standards::NotInTable>| found.map_or(Value::Null, |mm| json!(mm));
        Ok(Answered::new(
            vec![
                ("pitch_mm", json!(t.p)),
                ("pitch_diameter_mm", shown(t.d2())),
                ("minor_diameter_mm", shown(t.d3())),
                ("stress_area_mm2", shown(t.stress_area_mm2())),
                ("nut_height_mm", json!(t.m)),
                ("across_flats_mm", json!(t.s)),
                ("minor_diameter_nut_mm", shown(t.d1())),
                ("lead_deg", shown(t.lead_deg())),
                ("thin_nut_height_mm", json!(t.thin)),
                ("washer_thickness_mm", json!(t.washer)),
                ("washer_outer_mm", json!(t.washer_outer)),
                ("clearance_hole_mm", json!(t.hole)),
                ("bearing_diameter_mm", json!(t.dw)),
                ("set_screw_key_mm", key(threads::set_screw_key(&t.size))),
                ("cap_screw_key_mm", key(threads::cap_screw_key(&t.size))),
            ],
            &[threads::source(), threads::fine_source(), "ISO 724 and ISO 898-1 for diameters and stress area"],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Torque {
    /// Thread
    #[arg(long)]
    thread: String,
    /// Property class
    #[arg(long, required_unless_present = "preload")]
    class: Option<String>,
    /// Friction of the thread (and the head)
    #[arg(long, required_unless_present = "preload")]
    friction: Option<String>,
    /// Friction under the head, if another
    #[arg(long)]
    friction_head: Option<String>,
    /// Highest friction to be expected, for the least preload
    #[arg(long)]
    friction_up_to: Option<String>,
    /// How the bolt is tightened
    #[arg(long, default_value = "click wrench")]
    method: String,
    /// By the proof load, or by the equivalent stress at yield
    #[arg(long, value_parser = ["proof", "equivalent"], default_value = "proof")]
    preload_by: String,
    /// Share, 0 to 1
    #[arg(long, default_value = "0.75")]
    share: String,
    /// Clamped length, for the elongation
    #[arg(long)]
    grip: Option<String>,
    /// Preload, for the short form
    #[arg(long, requires = "nut_factor")]
    preload: Option<String>,
    /// Nut factor, for the short form
    #[arg(long, requires = "preload")]
    nut_factor: Option<String>,
}

impl Torque {
    pub fn answer(self) -> Result<Answered, Failure> {
        let thread = threads::thread(&self.thread).map_err(fail)?;
        if let (Some(preload), Some(k)) = (&self.preload, &self.nut_factor) {
            let preload = Force::from_n(positive("preload", preload, Kind::Force)?);
            let torque = fastener::torque_by_nut_factor(thread, preload, number("nut-factor", k)?);
            return Ok(Answered::new(vec![("torque_nm", shown(torque.nm()))], &["T = K·F·d, the nut factor as given"]));
        }
        let class =
            threads::class(self.class.as_deref().unwrap_or_default(), Length::from_mm(thread.d)).map_err(fail)?;
        let mu = number("friction", self.friction.as_deref().unwrap_or_default())?;
        let head = self.friction_head.as_deref().map_or(Ok(mu), |h| number("friction-head", h))?;
        let share = number("share", &self.share)?;
        let preload = if self.preload_by == "proof" {
            fastener::preload_by_proof(thread, &class, share)
        } else {
            fastener::preload_by_equivalent(thread, class.yield_strength, share, mu)
        }
        .map_err(fail)?;
        let torque = fastener::torque(thread, preload, mu, head).map_err(fail)?;
        let (scatter, source) = bench::scatter(&self.method).map_err(fail)?;
        let split = fastener::split(thread, mu, head).map_err(fail)?;
        let mut pairs = vec![
            ("preload_kn", shown(preload.kn())),
            ("torque_nm", shown(torque.nm())),
            ("nut_factor", shown(fastener::nut_factor(thread, preload, torque))),
            ("preload_low_kn", shown(fastener::least_preload(preload, scatter).kn())),
            ("preload_high_kn", shown(preload.kn())),
            ("scatter", shown(scatter)),
            ("scatter_band", shown(fastener::scatter_band(scatter).map_err(fail)?)),
            ("share_into_preload", shown(split.preload)),
            ("share_into_thread", shown(split.thread)),
            ("share_into_head", shown(split.head)),
            ("yield_use", shown(joint::yield_use(thread, &class, preload, mu).map_err(fail)?)),
        ];
        if let Some(text) = &self.friction_up_to {
            let most = number("friction-up-to", text)?;
            let left = fastener::preload_from_torque(thread, torque, most, most).map_err(fail)?;
            let factor = fastener::friction_change(thread, (mu, head), (most, most)).map_err(fail)?;
            pairs.push(("preload_high_friction_kn", shown(left.kn())));
            pairs.push(("torque_factor_high_friction", shown(factor)));
        }
        if let Some(grip) = &self.grip {
            let grip = Length::from_mm(positive("grip", grip, Kind::Length)?);
            let elastic = modulus_of(self.class.as_deref().unwrap_or_default())?.elastic;
            pairs.push(("elongation_mm", shown(fastener::elongation_of(thread, preload, grip, elastic).mm())));
        }
        let strength = threads::class_sources()[usize::from(self.class.is_some_and(|c| c.starts_with('A')))];
        Ok(Answered::new(pairs, &[strength, "VDI 2230-1:2001 and later, friction form and equivalent stress", source]))
    }
}

#[derive(Debug, Args)]
pub struct Pattern {
    /// Number of bolts
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=200))]
    count: u32,
    /// Number of passes
    #[arg(long, default_value_t = 3, value_parser = clap::value_parser!(u32).range(1..=6))]
    passes: u32,
    /// Full torque, for the torque of each pass
    #[arg(long)]
    torque: Option<String>,
}

impl Pattern {
    pub fn answer(self) -> Result<Answered, Failure> {
        let order = tightening::sequence(self.count);
        let mut pairs = vec![
            ("order", json!(order)),
            ("passes", json!(tightening::passes(self.passes))),
            ("labels", json!(tightening::labels(&order).map_err(fail)?)),
            ("circular", json!(tightening::circular(self.count))),
        ];
        if let Some(text) = &self.torque {
            let full = crate::quantity::Torque::from_nm(positive("torque", text, Kind::Torque)?);
            let each = tightening::pass_torques(full, self.passes);
            pairs.push(("pass_torques_nm", each.iter().map(|t| shown(t.nm())).collect()));
        }
        Ok(Answered::new(
            pairs,
            &[
                "ASME PCC-1, legacy cross pattern for multiples of four; a circular round at full torque last",
                "common practice for other counts",
                "labels: the number in the order that a diagram prints at each position",
            ],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Fit {
    /// Nominal size
    #[arg(long)]
    size: String,
    /// Class of the hole
    #[arg(long)]
    hole: String,
    /// Class of the shaft
    #[arg(long)]
    shaft: String,
}

impl Fit {
    pub fn answer(self) -> Result<Answered, Failure> {
        let size = exact_mm("size", &self.size)?;
        if !self.hole.starts_with(char::is_uppercase) || !self.shaft.starts_with(char::is_lowercase) {
            return Err(Failure::new("holes have capital letters and shafts small ones, like --hole H7 --shaft h6"));
        }
        let hole = iso286::class(&self.hole, size).map_err(fail)?;
        let shaft = iso286::class(&self.shaft, size).map_err(fail)?;
        let (least, most) = (hole.lower_um - shaft.upper_um, hole.upper_um - shaft.lower_um);
        let kind = match (least >= Decimal::ZERO, most <= Decimal::ZERO) {
            (true, _) => "clearance",
            (_, true) => "interference",
            _ => "transition",
        };
        let um = |d: Decimal| json!(d.to_f64());
        Ok(Answered::new(
            vec![
                ("hole_lower_um", um(hole.lower_um)),
                ("hole_upper_um", um(hole.upper_um)),
                ("shaft_lower_um", um(shaft.lower_um)),
                ("shaft_upper_um", um(shaft.upper_um)),
                ("clearance_min_um", um(least)),
                ("clearance_max_um", um(most)),
                ("kind", json!(kind)),
            ],
            &[iso286::source()],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Ream {
    /// Finished size
    #[arg(long)]
    finished: String,
    /// Tolerance class
    #[arg(long)]
    zone: String,
    /// Bore as measured
    #[arg(long)]
    measured: String,
    /// How the edge was made
    #[arg(long, value_parser = ["laser", "plasma", "drilled", "bored"], default_value = "bored")]
    edge: String,
    /// By hand or by machine
    #[arg(long, value_parser = ["hand", "machine"], default_value = "hand")]
    by: String,
}

impl Ream {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (finished, measured) = (exact_mm("finished", &self.finished)?, exact_mm("measured", &self.measured)?);
        let (lower, upper) = ream::reamer(&self.zone, finished).map_err(fail)?;
        let size = Length::from_mm(finished.to_f64().unwrap_or(f64::NAN));
        let hard = matches!(self.edge.as_str(), "laser" | "plasma");
        let stock = ream::stock(size, self.by == "hand", hard).map_err(fail)?;
        let on_diameter = finished - measured;
        let side = (on_diameter / Decimal::TWO).to_f64().unwrap_or(f64::NAN);
        let (verdict, why) = judged(side, &stock, hard);
        let mm = |d: Decimal| json!(d.to_f64());
        Ok(Answered::new(
            vec![
                ("stock_on_diameter_mm", mm(on_diameter)),
                ("stock_per_side_mm", mm(on_diameter / Decimal::TWO)),
                ("reamer_lower_mm", mm(lower)),
                ("reamer_upper_mm", mm(upper)),
                ("verdict", json!(verdict)),
                ("why", json!(why)),
            ],
            &[&stock.basis, "DIN 1420 as printed by a reamer maker", iso286::source()],
        ))
    }
}

fn judged(side: f64, stock: &ream::Stock, hard: bool) -> (&'static str, String) {
    let (least, most) = (stock.least.mm(), stock.most.mm());
    if side < least - 1e-9 {
        let skin = if hard {
            "; the reamer would cut nothing but hard skin: bore or drill out first, or have the bore machined"
        } else {
            "; the reamer would rub"
        };
        return ("too little", format!("{side:.3} mm on each side, at least {least:.2} mm are needed{skin}"));
    }
    if side > most + 1e-9 {
        return (
            "too much",
            format!("{side:.3} mm on each side, at most {most:.2} mm are reamed: drill or bore first"),
        );
    }
    ("good", format!("{side:.3} mm on each side, from {least:.2} to {most:.2} mm"))
}
