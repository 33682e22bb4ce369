//! Threads, torque, patterns.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::{fastener, joint, tightening};
use crate::quantity::{Force, Kind, Length};
use crate::standards::{bench, bolting, threads};

use super::bolting::modulus_of;
use super::given::{fail, number, positive, shown};
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
    /// Friction of the thread (and the head), or a class A to D of VDI 2230
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
            return short_form(thread, preload, k);
        }
        let name = self.class.as_deref().unwrap_or_default();
        let class = threads::class(name, Length::from_mm(thread.d)).map_err(fail)?;
        let (mu, most, class_source) = friction(self.friction.as_deref().unwrap_or_default())?;
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
        let given = self.friction_up_to.as_ref().map(|text| number("friction-up-to", text)).transpose()?;
        let most = given.or(most);
        let (tool, _) = bench::torque_tool(torque).map_err(fail)?;
        // Where no range of friction is stated, the tightening factor alone tells the least.
        let least = most.map_or_else(
            || fastener::least_preload(preload, scatter),
            |most| fastener::least_preload_over(thread, preload, torque, most, scatter, tool),
        );
        let least = least.map_err(fail)?;
        let mut pairs = vec![
            ("preload_kn", shown(preload.kn())),
            ("torque_nm", shown(torque.nm())),
            ("nut_factor", shown(fastener::nut_factor(thread, preload, torque).map_err(fail)?)),
            ("preload_low_kn", shown(least.kn())),
            ("preload_high_kn", shown(preload.kn())),
            ("scatter", shown(scatter)),
            ("scatter_band", shown(fastener::scatter_band(scatter).map_err(fail)?)),
            ("share_into_preload", shown(split.preload)),
            ("share_into_thread", shown(split.thread)),
            ("share_into_head", shown(split.head)),
            ("yield_use", shown(joint::yield_use(thread, &class, preload, mu).map_err(fail)?)),
        ];
        if let Some(most) = most {
            let left = fastener::preload_from_torque(thread, torque, most, most).map_err(fail)?;
            let factor = fastener::friction_change(thread, (mu, head), (most, most)).map_err(fail)?;
            pairs.push(("preload_high_friction_kn", shown(left.kn())));
            pairs.push(("torque_factor_high_friction", shown(factor)));
        }
        if let Some(grip) = &self.grip {
            let grip = Length::from_mm(positive("grip", grip, Kind::Length)?);
            let elastic = modulus_of(name)?.elastic;
            pairs.push((
                "elongation_mm",
                shown(fastener::elongation_of(thread, preload, grip, elastic).map_err(fail)?.mm()),
            ));
        }
        let stainless = name.starts_with('A');
        if stainless {
            pairs.push(("note", json!("stainless on stainless galls: lubricate, and turn slowly (common practice)")));
        }
        let strength = threads::class_sources()[usize::from(stainless)];
        let form = "VDI 2230-1:2001 and later, friction form and equivalent stress";
        let basis: Vec<&str> = [strength, form, source].into_iter().chain(class_source.as_deref()).collect();
        Ok(Answered::new(pairs, &basis))
    }
}

fn short_form(thread: &threads::Thread, preload: &str, nut_factor: &str) -> Result<Answered, Failure> {
    let preload = Force::from_n(positive("preload", preload, Kind::Force)?);
    let k = number("nut-factor", nut_factor)?;
    if k <= 0.0 {
        return Err(Failure::new(format!("--nut-factor: \"{nut_factor}\" must be above 0; usual are 0.10 to 0.35")));
    }
    let torque = fastener::torque_by_nut_factor(thread, preload, k).map_err(fail)?;
    Ok(Answered::new(vec![("torque_nm", shown(torque.nm()))], &["T = K·F·d, the nut factor as given"]))
}

/// A number, or the range of a friction class: the torque is set for its low end, and the high end leaves the least preload.
fn friction(text: &str) -> Result<(f64, Option<f64>, Option<String>), Failure> {
    if !text.starts_with(char::is_alphabetic) {
        return Ok((number("friction", text)?, None, None));
    }
    let (range, _) = bolting::friction_class(text).map_err(fail)?;
    Ok((range.low, Some(range.high), Some(range.source)))
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
