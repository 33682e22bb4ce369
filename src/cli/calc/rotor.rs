//! Discs: mass, inertia, energy, rim speed, stress.

use clap::Args;

use crate::mechanics::rotor::{self, Ring};
use crate::quantity::{Density, Kind, Length, Speed};

use super::given::{fail, positive, shown};
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Rotor {
    /// Outer diameter
    #[arg(long)]
    outer: String,
    /// Bore
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
}

impl Rotor {
    pub fn answer(self) -> Result<Answered, Failure> {
        let mm = |name: &str, text: &str| positive(name, text, Kind::Length).map(Length::from_mm);
        let ring = Ring::plain(mm("outer", &self.outer)?, mm("bore", &self.bore)?, mm("thickness", &self.thickness)?);
        if ring.bore > ring.outer {
            return Err(Failure::new("--bore: it must be smaller than the outer diameter"));
        }
        let density = Density::from_kg_m3(positive("density", &self.density, Kind::Density)?);
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        let n = f64::from(self.discs);
        let inertia = ring.inertia(density) * n;
        let stress = rotor::hoop_stress(&ring, density, speed).map_err(fail)?;
        Ok(Answered::new(
            vec![
                ("mass_kg", shown((ring.mass(density) * n).kg())),
                ("inertia_kgm2", shown(inertia.kgm2())),
                ("energy_j", shown(rotor::energy(inertia, speed).j())),
                ("rim_speed_m_s", shown(speed.rad_s() * ring.outer.m() / 2.0)),
                ("hoop_stress_mpa", shown(stress.mpa())),
            ],
            &[
                "mechanics of rigid bodies",
                "Shigley, rotating rings, at the bore, Poisson's ratio 0.3; bolt holes raise it",
            ],
        ))
    }
}
