//! Discs: mass, inertia, energy, rim speed, stress; critical speeds of a shaft with discs.

use clap::Args;
use serde_json::Value;

use crate::mechanics::rotor::{self, Ring};
use crate::mechanics::{disc_stress, whirl};
use crate::procedure::figures::critical_speeds;
use crate::quantity::{Density, Kind, Length, Speed, Stiffness, Stress};
use crate::standards::bench;

use super::given::{fail, length, number, positive, quantity, shown};
use super::shaft::{STEEL, Shaft};
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Rotor {
    /// Outer diameter
    #[arg(long)]
    outer: String,
    /// Bore; 0 for a solid disc
    #[arg(long)]
    bore: String,
    /// Thickness of one disc
    #[arg(long)]
    thickness: String,
    /// Number of discs
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=200))]
    discs: u32,
    /// Density
    #[arg(long, default_value = "7850 kg/m3")]
    density: String,
    /// Speed
    #[arg(long)]
    speed: String,
    /// Number of rod holes
    #[arg(long, requires = "hole", requires = "on")]
    holes: Option<u32>,
    /// Diameter of a rod hole
    #[arg(long, requires = "holes")]
    hole: Option<String>,
    /// Diameter of the circle of the rod holes
    #[arg(long, requires = "holes")]
    on: Option<String>,
    /// Yield strength, for the speed limit
    #[arg(long = "yield")]
    yield_strength: Option<String>,
    /// Safety against yield at the speed limit
    #[arg(long, default_value = "2", requires = "yield_strength")]
    safety: String,
}

impl Rotor {
    pub fn answer(self) -> Result<Answered, Failure> {
        let ring = self.ring()?;
        let density = Density::from_kg_m3(positive("density", &self.density, Kind::Density)?);
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        let n = f64::from(self.discs);
        let inertia = ring.inertia(density) * n;
        let stress = |found: Result<Stress, _>| found.map(|s| shown(s.mpa())).map_err(fail);
        let mut keys = vec![
            ("mass_kg", shown((ring.mass(density) * n).kg())),
            ("inertia_kgm2", shown(inertia.kgm2())),
            ("energy_j", shown(rotor::energy(inertia, speed).j())),
            ("rim_speed_m_s", shown(rotor::rim_speed(ring.outer, speed).m_s())),
            ("hoop_stress_mpa", stress(disc_stress::hoop_stress(&ring, density, speed))?),
            ("peak_stress_mpa", stress(disc_stress::peak_stress(&ring, density, speed))?),
        ];
        let mut slow_enough = true;
        if let Some(re) = &self.yield_strength {
            let re = Stress::from_mpa(positive("yield", re, Kind::Stress)?);
            let limit = disc_stress::speed_limit(&ring, density, re, number("safety", &self.safety)?).map_err(fail)?;
            slow_enough = speed <= limit;
            keys.extend([("speed_limit_rpm", shown(limit.rpm())), ("speed_within", slow_enough.into())]);
        }
        let basis = [
            "mechanics of rigid bodies",
            "thin disc, outer radius at least ten thicknesses (Shigley, rotating rings), Poisson's ratio 0.3; hoop stress at the bore, or in the middle of a solid disc",
            "peak: three times the hoop stress where a hole comes nearest to the bore (from memory: Peterson), or the bore's",
        ];
        let answered = Answered::new(keys, &basis);
        Ok(answered.yes_if(slow_enough))
    }

    fn ring(&self) -> Result<Ring, Failure> {
        let bore = quantity("bore", &self.bore, Kind::Length).map(Length::from_mm)?;
        let plain = Ring::plain(length("outer", &self.outer)?, bore, length("thickness", &self.thickness)?);
        let ring = match (self.holes, &self.hole, &self.on) {
            (Some(holes), Some(hole), Some(on)) => {
                Ring { holes, hole: length("hole", hole)?, circle: length("on", on)?, ..plain }
            }
            _ => plain,
        };
        ring.checked().map_err(fail)
    }
}

#[derive(Debug, Args)]
pub struct Critical {
    #[command(flatten)]
    shaft: Shaft,
    /// Stiffness of each bearing with its frame; without it 1e8 N/m is shown, and a soft frame judges
    #[arg(long)]
    stiffness: Option<String>,
    /// Speed in service, to be held against the first critical speed
    #[arg(long)]
    speed: Option<String>,
}

impl Critical {
    pub fn answer(self) -> Result<Answered, Failure> {
        let given = self.stiffness.as_deref().map(|k| positive("stiffness", k, Kind::Stiffness)).transpose()?;
        let frame = bench::frame_stiffness();
        let found = self.critical(given.unwrap_or(frame.high))?;
        let judged = if given.is_some() { found.clone() } else { self.critical(frame.low)? };
        let list = |speeds: &[Speed], factor: f64| {
            Value::from(speeds.iter().map(|s| shown(s.rpm() * factor)).collect::<Vec<_>>())
        };
        let highest = judged.highest_in_service();
        let rpm = |speed: Option<Speed>| speed.map_or(Value::Null, |s| shown(s.rpm()));
        let mut keys = vec![
            ("critical_rpm", list(&found.forward, 1.0)),
            ("zero_speed_hz", list(&found.standstill, 1.0 / 60.0)),
            ("cautious_rpm", rpm(judged.cautious())),
        ];
        if given.is_none() {
            keys.push(("stiff_cautious_rpm", rpm(found.cautious())));
        }
        keys.push(("highest_in_service_rpm", rpm(highest)));
        let asked = self.speed.as_deref().map(|s| positive("speed", s, Kind::Speed)).transpose()?;
        let within = asked.is_none_or(|s| highest.is_some_and(|h| s <= h.rpm()));
        if asked.is_some() {
            keys.push(("speed_within", within.into()));
        }
        let on = given.map_or_else(
            || {
                format!(
                    "bearings and frame at {:e} N/m, the cautious value at {:e} N/m: {}",
                    frame.high, frame.low, frame.source
                )
            },
            |k| format!("bearings and frame at {k:e} N/m as given"),
        );
        let answered = Answered::new(
            keys,
            &[
                "Euler-Bernoulli beam elements; forward synchronous whirl, and at standstill, which is the cautious value",
                &on,
                "in service a quarter below the cautious value (common practice)",
            ],
        );
        Ok(answered.yes_if(within))
    }

    fn critical(&self, stiffness: f64) -> Result<whirl::Critical, Failure> {
        let stiffness = Stiffness::from_n_per_m(stiffness);
        if let Some((module, setup)) = self.shaft.module()? {
            return critical_speeds(&module, &setup, stiffness).map_err(fail);
        }
        let (diameter, length) = self.shaft.sizes()?;
        let rotor = whirl::Rotor {
            length,
            diameter,
            density: STEEL,
            elastic: self.shaft.elastic()?,
            bearings: self.shaft.bearings()?,
            stiffness,
            lumps: self.shaft.discs()?,
        };
        whirl::critical(&rotor).map_err(fail)
    }
}
