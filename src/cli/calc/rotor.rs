//! Discs: mass, inertia, energy, rim speed, stress; critical speeds of a shaft with discs.

use clap::Args;
use serde_json::Value;

use crate::mechanics::rotor::{self, Ring};
use crate::mechanics::{disc_stress, whirl};
use crate::module::Setup;
use crate::procedure::figures::critical_speeds;
use crate::quantity::{Density, Kind, Length, Speed, Stiffness, Stress};

use super::super::load::{self, Chosen};
use super::given::{fail, length, number, positive, quantity, shown};
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
        Ok(if slow_enough { answered } else { answered.no() })
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
    /// Module spec; without it the shaft is given by the options
    spec: Option<String>,
    #[command(flatten)]
    chosen: Chosen,
    /// Diameter of the shaft
    #[arg(long, required_unless_present = "spec")]
    shaft: Option<String>,
    /// Length of the shaft
    #[arg(long, required_unless_present = "spec")]
    length: Option<String>,
    /// Place of a bearing; twice
    #[arg(long = "bearing")]
    bearings: Vec<String>,
    /// A disc: "200 mm: 300 x 10 mm bore 30" is at 200 mm, 300 mm across, 10 mm thick
    #[arg(long = "disc", id = "disc")]
    lumps: Vec<String>,
    /// Modulus of elasticity
    #[arg(long, default_value = "206 GPa")]
    elastic: String,
    /// Stiffness of each bearing with its frame
    #[arg(long, default_value = "1e8 N/m")]
    stiffness: String,
    /// Speed in service, to be held against the first critical speed
    #[arg(long)]
    speed: Option<String>,
}

impl Critical {
    pub fn answer(self) -> Result<Answered, Failure> {
        let found = match &self.spec {
            Some(spec) => of_spec(spec, &self.chosen)?,
            None => whirl::critical(&self.rotor()?).map_err(fail)?,
        };
        let list = |speeds: &[Speed], factor: f64| {
            Value::from(speeds.iter().map(|s| shown(s.rpm() * factor)).collect::<Vec<_>>())
        };
        let highest = found.highest_in_service();
        let rpm = |speed: Option<Speed>| speed.map_or(Value::Null, |s| shown(s.rpm()));
        let mut keys = vec![
            ("critical_rpm", list(&found.forward, 1.0)),
            ("zero_speed_hz", list(&found.standstill, 1.0 / 60.0)),
            ("cautious_rpm", rpm(found.cautious())),
            ("highest_in_service_rpm", rpm(highest)),
        ];
        let asked = self.speed.as_deref().map(|s| positive("speed", s, Kind::Speed)).transpose()?;
        let within = asked.is_none_or(|s| highest.is_some_and(|h| s <= h.rpm()));
        if asked.is_some() {
            keys.push(("speed_within", within.into()));
        }
        let answered = Answered::new(
            keys,
            &[
                "Euler-Bernoulli beam elements; forward synchronous whirl, and at standstill, which is the cautious value",
                "stiffness of bearing and frame is an estimate; a bump test of the assembled machine tells more (common practice)",
                "in service a quarter below the cautious value (common practice)",
            ],
        );
        Ok(if within { answered } else { answered.no() })
    }

    fn rotor(&self) -> Result<whirl::Rotor, Failure> {
        let mm = |name: &str, text: &str| quantity(name, text, Kind::Length).map(Length::from_mm);
        let [a, b] = self.bearings.as_slice() else {
            return Err(Failure::new(format!("--bearing is needed twice, {} were given", self.bearings.len())));
        };
        let density = Density::from_kg_m3(7850.0);
        Ok(whirl::Rotor {
            length: mm("length", self.length.as_deref().unwrap_or_default())?,
            diameter: mm("shaft", self.shaft.as_deref().unwrap_or_default())?,
            density,
            elastic: Stress::from_mpa(positive("elastic", &self.elastic, Kind::Stress)?),
            bearings: [mm("bearing", a)?, mm("bearing", b)?],
            stiffness: Stiffness::from_n_per_m(positive("stiffness", &self.stiffness, Kind::Stiffness)?),
            lumps: self.lumps.iter().map(|d| disc(d, density)).collect::<Result<_, _>>()?,
        })
    }
}

fn of_spec(spec: &str, chosen: &Chosen) -> Result<whirl::Critical, Failure> {
    let module = load::module(spec)?;
    let setup = Setup::choose(&module, &chosen.map()?).map_err(fail)?;
    critical_speeds(&module, &setup).map_err(fail)
}

/// "200 mm: 300 x 10 mm bore 30".
pub fn disc(text: &str, density: Density) -> Result<whirl::Lump, Failure> {
    let wrong =
        || Failure::new(format!("--disc: \"{text}\" is not a disc; write it like \"200 mm: 300 x 10 mm bore 30\""));
    let (at, size) = text.split_once(':').ok_or_else(wrong)?;
    let (outer, rest) = size.split_once('x').ok_or_else(wrong)?;
    let (thickness, bore) = rest.split_once("bore").ok_or_else(wrong)?;
    let plain = |t: &str| number("disc", t.trim().trim_end_matches("mm").trim()).map(Length::from_mm);
    let ring = Ring::plain(plain(outer)?, plain(bore)?, plain(thickness)?).checked().map_err(fail)?;
    let at = Length::from_mm(quantity("disc", at, Kind::Length)?);
    Ok(whirl::Lump { at, mass: ring.mass(density), tilt: ring.tilt_kgm2(density), polar: ring.inertia(density).kgm2() })
}
