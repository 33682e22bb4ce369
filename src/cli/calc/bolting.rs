//! What a tightened joint does, nuts, securing, and the wrench.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::{fastener, joint, securing, slip, tightening};
use crate::quantity::{Force, Kind, Length, Torque};
use crate::standards::threads::{self, Class, Thread};
use crate::standards::{bench, bolting};

use super::given::{fail, number, positive, quantity, shown};
use super::{Answered, Failure};

/// Modulus by the name of the property class: stainless for A2 and A4.
pub fn modulus_of(class: &str) -> Result<bolting::Modulus, Failure> {
    bolting::modulus(if class.starts_with('A') { "stainless" } else { "carbon" }).map_err(fail)
}

/// A bolt, and the preload it gets: a share of its proof load, or a force.
#[derive(Debug, Args)]
pub struct Bolt {
    /// Thread, like M8 or M8x1
    #[arg(long)]
    thread: String,
    /// Property class, like 8.8 or A2-70
    #[arg(long)]
    class: String,
    /// Share of the proof load, above 0 to 0.9
    #[arg(long, default_value = "0.75", conflicts_with = "preload")]
    share: String,
    /// Preload, in place of a share
    #[arg(long)]
    preload: Option<String>,
}

impl Bolt {
    fn read(&self) -> Result<(&'static Thread, Class, Force), Failure> {
        let thread = threads::thread(&self.thread).map_err(fail)?;
        let class = threads::class(&self.class, Length::from_mm(thread.d)).map_err(fail)?;
        let preload = match &self.preload {
            Some(text) => Force::from_n(positive("preload", text, Kind::Force)?),
            None => fastener::preload_by_proof(thread, &class, number("share", &self.share)?).map_err(fail)?,
        };
        Ok((thread, class, preload))
    }
}

#[derive(Debug, Args)]
pub struct Joint {
    #[command(flatten)]
    bolt: Bolt,
    /// Friction of the thread
    #[arg(long)]
    friction: String,
    /// Highest friction to be expected, of thread and head; for the preload that is sure
    #[arg(long)]
    friction_up_to: Option<String>,
    /// Clamped length
    #[arg(long)]
    grip: String,
    /// Inner interfaces between clamped parts
    #[arg(long, default_value_t = 1)]
    interfaces: u32,
    /// Roughness Rz of the faces
    #[arg(long, default_value = "16 um")]
    roughness: String,
    /// Diameter of the parts that are squeezed as a sleeve; the washer's, if not given
    #[arg(long)]
    sleeve: Option<String>,
    /// How the bolt is tightened, for the preload that is sure
    #[arg(long, default_value = "click wrench")]
    method: String,
    /// Thread that stands out beyond the nut
    #[arg(long)]
    out: Option<String>,
}

impl Joint {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (thread, class, preload) = self.bolt.read()?;
        let mu = number("friction", &self.friction)?;
        let grip = Length::from_mm(positive("grip", &self.grip, Kind::Length)?);
        let steel = modulus_of(&self.bolt.class)?;
        let rod = joint::rod_resilience_of(thread, grip, steel.elastic).map_err(fail)?;
        let sleeve = self.sleeve_diameter(thread)?;
        let carbon = bolting::modulus("carbon").map_err(fail)?.elastic;
        let parts = joint::sleeve_resilience(grip, sleeve, Length::from_mm(thread.hole), carbon).map_err(fail)?;
        let faces = bolting::embedding(Length::from_mm(positive("roughness", &self.roughness, Kind::Length)?));
        let faces = faces.map_err(fail)?;
        let settled = joint::settling(&faces, joint::Faces::of_rod(self.interfaces));
        let loss = joint::settling_loss(settled, rod, parts).map_err(fail)?;
        let stretch = fastener::elongation_of(thread, preload, grip, steel.elastic).map_err(fail)?;
        let turn = joint::nut_turn(thread, preload, rod, parts).map_err(fail)?;
        let twist = joint::torsion(thread, preload, mu, grip).map_err(fail)?;
        let used = joint::yield_use(thread, &class, preload, mu).map_err(fail)?;
        let (scatter, method) = bolting::scatter(&self.method).map_err(fail)?;
        let sure = slip::sure_force(self.least(thread, preload, mu, scatter)?, 1.0, loss).map_err(fail)?;
        let mut pairs = vec![
            ("preload_kn", shown(preload.kn())),
            ("elongation_mm", shown(stretch.mm())),
            ("nut_turn_deg", shown(turn.deg())),
            ("settling_um", shown(settled.mm() * 1000.0)),
            ("settling_loss_kn", shown(loss.kn())),
            ("sure_preload_kn", shown(sure.kn())),
            ("twist_deg", shown(twist.twist.deg())),
            ("tension_mpa", shown(twist.tension.mpa())),
            ("shear_mpa", shown(twist.shear.mpa())),
            ("equivalent_mpa", shown(twist.equivalent.mpa())),
            ("yield_use", shown(used)),
            ("engagement_steel_mm", shown(joint::engagement_needed(thread, false).mm())),
            ("engagement_light_metal_mm", shown(joint::engagement_needed(thread, true).mm())),
            ("engagement_full_strength_mm", shown(joint::engagement_full_strength(thread).mm())),
        ];
        let good = self.protrusion(thread, &mut pairs)? && used <= 1.0;
        let basis = ["VDI 2230-1: resilience, embedding, torsion", faces.source, steel.source, method];
        let answered = Answered::new(pairs, &basis);
        Ok(answered.yes_if(good))
    }

    /// Least preload before it settles: by the method alone, or by the highest friction too, where one is given.
    fn least(&self, thread: &Thread, preload: Force, mu: f64, scatter: f64) -> Result<Force, Failure> {
        let Some(text) = &self.friction_up_to else { return fastener::least_preload(preload, scatter).map_err(fail) };
        let set = fastener::torque(thread, preload, mu, mu).map_err(fail)?;
        let (tool, _) = bench::torque_tool(set).map_err(fail)?;
        let most = number("friction-up-to", text)?;
        fastener::least_preload_over(thread, preload, set, most, scatter, tool).map_err(fail)
    }

    fn sleeve_diameter(&self, thread: &Thread) -> Result<Length, Failure> {
        let given = self.sleeve.as_ref().map(|text| positive("sleeve", text, Kind::Length));
        Ok(Length::from_mm(given.transpose()?.unwrap_or(thread.washer_outer)))
    }

    /// Adds the threads beyond the nut, if a length is given; false if they are too few or too many.
    fn protrusion(&self, thread: &Thread, pairs: &mut Vec<(&'static str, Value)>) -> Result<bool, Failure> {
        let Some(text) = &self.out else { return Ok(true) };
        let out = Length::from_mm(quantity("out", text, Kind::Length)?);
        let judged = joint::protrusion(thread, out);
        pairs.push(("threads_out", shown(out.mm() / thread.p)));
        pairs.push(("protrusion", json!(judged.as_ref().map_or_else(ToString::to_string, |_| "good".into()))));
        Ok(judged.is_ok())
    }
}

#[derive(Debug, Args)]
pub struct Nut {
    /// Thread of the bolt
    #[arg(long)]
    thread: String,
    /// Property class of the bolt
    #[arg(long)]
    bolt: String,
    /// Class of the nut
    #[arg(long)]
    nut: String,
}

impl Nut {
    pub fn answer(self) -> Result<Answered, Failure> {
        let thread = threads::thread(&self.thread).map_err(fail)?;
        let class = threads::class(&self.bolt, Length::from_mm(thread.d)).map_err(fail)?;
        let carries = threads::nut_carries(&class, &self.nut).map_err(fail)?;
        let pairs = vec![
            ("carries", json!(carries)),
            ("least_nut_class", json!(class.nut)),
            ("proof_load_kn", shown(class.proof.mpa() * thread.stress_area_mm2() / 1000.0)),
        ];
        let [steel, stainless] = threads::class_sources();
        let answered = Answered::new(pairs, &["ISO 898-2 and ISO 3506-2, pairing of nuts", steel, stainless]);
        Ok(answered.yes_if(carries))
    }
}

#[derive(Debug, Args)]
pub struct Securing {
    #[command(flatten)]
    bolt: Bolt,
    /// Friction of the thread as oiled, and under the nut
    #[arg(long)]
    friction: String,
    /// What secures the nut
    #[arg(long, value_parser = ["prevailing", "locker"])]
    with: String,
    /// Prevailing torque as measured on the nut running down
    #[arg(long)]
    measured: Option<String>,
}

impl Securing {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (thread, _, preload) = self.bolt.read()?;
        let mu = number("friction", &self.friction)?;
        let plain = fastener::torque(thread, preload, mu, mu).map_err(fail)?;
        let (low, high, source) = match (&self.measured, self.with.as_str()) {
            (Some(_), "locker") => return Err(Failure::new("--measured belongs to --with prevailing")),
            (None, "locker") => {
                let (low, high) = securing::with_locker(thread, preload, mu).map_err(fail)?;
                (low, high, bolting::locker_friction().map_err(fail)?.source)
            }
            (Some(text), _) => {
                let own = Torque::from_nm(positive("measured", text, Kind::Torque)?);
                let set = securing::with_prevailing(plain, own).map_err(fail)?;
                (set, set, "prevailing torque as measured".into())
            }
            (None, _) => {
                let (low, high) = securing::with_prevailing_range(&thread.size, plain).map_err(fail)?;
                (low, high, bolting::prevailing(&thread.size).map_err(fail)?.source.into())
            }
        };
        let pairs = vec![
            ("preload_kn", shown(preload.kn())),
            ("torque_plain_nm", shown(plain.nm())),
            ("torque_low_nm", shown(low.nm())),
            ("torque_high_nm", shown(high.nm())),
            ("set_nm", shown(low.nm())),
        ];
        let never_passed = "set the low torque: the preload is then never passed (VDI 2230-1)";
        Ok(Answered::new(pairs, &[&source, never_passed]))
    }
}

#[derive(Debug, Args)]
pub struct Wrench {
    /// Torque to set
    #[arg(long)]
    torque: String,
    /// Least torque of the same job, such as the first pass
    #[arg(long)]
    from: Option<String>,
    /// Largest torque of the wrench at hand
    #[arg(long)]
    largest: Option<String>,
}

impl Wrench {
    pub fn answer(self) -> Result<Answered, Failure> {
        let torque = Torque::from_nm(positive("torque", &self.torque, Kind::Torque)?);
        let from = self.from.as_ref().map(|text| positive("from", text, Kind::Torque).map(Torque::from_nm));
        let from = from.transpose()?.unwrap_or(torque);
        let (least, most) = tightening::wrench_for(from, torque).map_err(fail)?;
        let (share, tool) = bench::torque_tool(torque).map_err(fail)?;
        let mut pairs = vec![
            ("wrench_least_nm", shown(least.nm())),
            ("wrench_most_nm", shown(most.nm())),
            ("deviation_nm", shown(torque.nm() * share)),
        ];
        let mut fits = true;
        if let Some(text) = &self.largest {
            let largest = Torque::from_nm(positive("largest", text, Kind::Torque)?);
            let judged = tightening::wrench(torque, largest).and_then(|_| tightening::wrench(from, largest));
            fits = judged.is_ok();
            pairs.push(("usable_from_nm", shown(largest.nm() * bench::wrench_share().0)));
            pairs.push(("verdict", json!(judged.map_or_else(|e| e.to_string(), |_| "good".into()))));
        }
        let answered = Answered::new(pairs, &[bench::wrench_share().1, tool]);
        Ok(answered.yes_if(fits))
    }
}
