//! Bending of a shaft.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::bending::{self, Bent, Load, bend};
use crate::mechanics::rotor::weight;
use crate::procedure::shaft_line;
use crate::quantity::{Angle, Density, Force, Kind, Length, Stiffness, Torque};
use crate::standards::bearings::askew;
use crate::standards::bench;

use super::given::{fail, number, positive, quantity, shown};
use super::shaft::Shaft;
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Bending {
    #[command(flatten)]
    shaft: Shaft,
    /// A force: "620 mm: 300 N" pulls down, "620 mm: 300 N at 90" across, at 180 up
    #[arg(long = "load")]
    loads: Vec<String>,
    /// Torque in the shaft, for the stress of both together; of a spec its largest
    #[arg(long)]
    torque: Option<String>,
    /// Density; 0 leaves the shaft's own weight out
    #[arg(long, default_value = "7850 kg/m3")]
    density: String,
    /// Stiffness of each bearing with its frame; without it they do not give
    #[arg(long)]
    stiffness: Option<String>,
    /// Place to give the deflection at as well; any number of times
    #[arg(long = "at")]
    places: Vec<String>,
}

impl Bending {
    pub fn answer(self) -> Result<Answered, Failure> {
        let places: Vec<Length> = self
            .places
            .iter()
            .map(|p| quantity("at", p, Kind::Length).map(Length::from_mm))
            .collect::<Result<_, _>>()?;
        let mut basis = vec![
            "Euler-Bernoulli beam of one diameter, weight of the shaft counted; discs do not stiffen it, notches do not count".to_owned(),
            "with a torque: distortion energy, the whole torque where the moment is largest".to_owned(),
            askew().source.clone(),
        ];
        let torque =
            self.torque.as_deref().map(|t| quantity("torque", t, Kind::Torque).map(Torque::from_nm)).transpose()?;
        let (bent, torque) = match self.shaft.module()? {
            Some((module, setup)) => {
                let frame = bench::frame_stiffness();
                basis.push(format!(
                    "the belt's pull straight down or up, whichever bends more; bearings and frame at {:e} N/m: {}",
                    frame.low, frame.source
                ));
                let torque = torque.unwrap_or(*module.limits.torque);
                (shaft_line::bending(&module, &setup).map_err(fail)?, torque)
            }
            None => (bend(&self.given()?).map_err(fail)?, torque.unwrap_or(Torque::from_nm(0.0))),
        };
        let basis: Vec<&str> = basis.iter().map(String::as_str).collect();
        let answered = Answered::new(keys(&bent, torque, &places), &basis);
        Ok(answered.yes_if(square(&bent)))
    }

    fn given(&self) -> Result<bending::Shaft, Failure> {
        let density = Density::from_kg_m3(quantity("density", &self.density, Kind::Density)?);
        if density.kg_m3() < 0.0 {
            return Err(Failure::new("--density: it is not below 0"));
        }
        let mut loads = Vec::new();
        for lump in self.shaft.discs()? {
            loads.push(Load::pulling(lump.at, weight(lump.mass), Angle::from_deg(0.0)));
        }
        for text in &self.loads {
            loads.push(force(text)?);
        }
        let stiffness = self.stiffness.as_deref().map(|k| positive("stiffness", k, Kind::Stiffness)).transpose()?;
        let (diameter, length) = self.shaft.sizes()?;
        Ok(bending::Shaft {
            length,
            diameter,
            density,
            elastic: self.shaft.elastic()?,
            bearings: self.shaft.bearings()?,
            stiffness: stiffness.map(Stiffness::from_n_per_m),
            loads,
        })
    }
}

/// The shaft stands as square to its bearings as they bear in service.
fn square(bent: &Bent) -> bool {
    bent.bearing_slopes().iter().all(|s| s.deg() <= askew().service_deg)
}

fn keys(bent: &Bent, torque: Torque, places: &[Length]) -> Vec<(&'static str, Value)> {
    let list = |values: [f64; 2]| json!(values.map(shown));
    let (moment, moment_at) = bent.largest_moment();
    let (most, most_at) = bent.largest_deflection();
    let slopes = bent.bearing_slopes().map(|s| s.deg());
    let row = |p: &Length| {
        json!({ "at_mm": shown(p.mm()), "deflection_mm": shown(bent.deflection(*p).mm()),
                "sinks_mm": shown(bent.sinks(*p).mm()), "slope_deg": shown(bent.slope(*p).deg()),
                "moment_nm": shown(bent.moment(*p).nm()) })
    };
    let mut keys = vec![
        ("reaction_n", list(bent.bearing_loads().map(|r| r.n()))),
        ("reaction_down_n", list(bent.reactions().map(|(down, _)| down.n()))),
        ("moment_nm", shown(moment.nm())),
        ("moment_at_mm", shown(moment_at.mm())),
        ("bending_stress_mpa", shown(bent.stress().mpa())),
        ("equivalent_mpa", shown(bent.stress_with(torque).mpa())),
        ("deflection_mm", shown(most.mm())),
        ("deflection_at_mm", shown(most_at.mm())),
        ("slope_deg", list(slopes)),
        ("slope_allowed_deg", shown(askew().service_deg)),
        ("slope_within", json!(square(bent))),
    ];
    if !places.is_empty() {
        keys.push(("places", Value::from(places.iter().map(row).collect::<Vec<_>>())));
    }
    keys
}

/// "620 mm: 300 N at 90".
fn force(text: &str) -> Result<Load, Failure> {
    let wrong = || Failure::new(format!("--load: \"{text}\" is not a load; write it like \"620 mm: 300 N at 90\""));
    let (place, rest) = text.split_once(':').ok_or_else(wrong)?;
    let (size, angle) = rest.split_once(" at ").unwrap_or((rest, "0"));
    let at = Length::from_mm(quantity("load", place.trim(), Kind::Length)?);
    let newton = quantity("load", size.trim(), Kind::Force)?;
    let degrees = number("load", angle.trim().trim_end_matches('°').trim())?;
    Ok(Load::pulling(at, Force::from_n(newton), Angle::from_deg(degrees)))
}
