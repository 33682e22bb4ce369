//! Bending of a shaft.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::bending::{Bent, Load, Shaft, bend};
use crate::mechanics::rotor::weight;
use crate::module::Setup;
use crate::procedure::shaft_line;
use crate::quantity::{Angle, Density, Force, Kind, Length, Stiffness, Stress};
use crate::standards::bearings::askew;

use super::super::load::{self, Chosen};
use super::given::{fail, length, number, positive, quantity, shown};
use super::rotor::disc;
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Bending {
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
    /// A disc and its weight: "200 mm: 300 x 10 mm bore 30" is at 200 mm, 300 mm across, 10 mm thick
    #[arg(long = "disc", id = "disc")]
    discs_given: Vec<String>,
    /// A force: "620 mm: 300 N" pulls down, "620 mm: 300 N at 90" across, at 180 up
    #[arg(long = "load")]
    loads: Vec<String>,
    /// Density; 0 leaves the shaft's own weight out
    #[arg(long, default_value = "7850 kg/m3")]
    density: String,
    /// Modulus of elasticity
    #[arg(long, default_value = "206 GPa")]
    elastic: String,
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
            "Euler-Bernoulli beam of one diameter, weight of the shaft counted; discs do not stiffen it, notches do not count",
            askew().source.as_str(),
        ];
        let bent = match &self.spec {
            Some(spec) => {
                basis.push("the belt's pull straight down or up, whichever bends more; bearings and frame at 1e8 N/m, an estimate");
                let module = load::module(spec)?;
                let setup = Setup::choose(&module, &self.chosen.map()?).map_err(fail)?;
                shaft_line::bending(&module, &setup).map_err(fail)?
            }
            None => bend(&self.given()?).map_err(fail)?,
        };
        Ok(Answered::new(keys(&bent, &places), &basis))
    }

    fn given(&self) -> Result<Shaft, Failure> {
        let density = Density::from_kg_m3(quantity("density", &self.density, Kind::Density)?);
        if density.kg_m3() < 0.0 {
            return Err(Failure::new("--density: it is not below 0"));
        }
        let [a, b] = self.bearings.as_slice() else {
            return Err(Failure::new(format!("--bearing is needed twice, {} were given", self.bearings.len())));
        };
        let place = |text: &str| quantity("bearing", text, Kind::Length).map(Length::from_mm);
        let mut loads = Vec::new();
        for text in &self.discs_given {
            let lump = disc(text, Density::from_kg_m3(7850.0))?;
            loads.push(Load::pulling(lump.at, weight(lump.mass), Angle::from_deg(0.0)));
        }
        for text in &self.loads {
            loads.push(force(text)?);
        }
        let stiffness = self.stiffness.as_deref().map(|k| positive("stiffness", k, Kind::Stiffness)).transpose()?;
        Ok(Shaft {
            length: length("length", self.length.as_deref().unwrap_or_default())?,
            diameter: length("shaft", self.shaft.as_deref().unwrap_or_default())?,
            density,
            elastic: Stress::from_mpa(positive("elastic", &self.elastic, Kind::Stress)?),
            bearings: [place(a)?, place(b)?],
            stiffness: stiffness.map(Stiffness::from_n_per_m),
            loads,
        })
    }
}

fn keys(bent: &Bent, places: &[Length]) -> Vec<(&'static str, Value)> {
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
        ("deflection_mm", shown(most.mm())),
        ("deflection_at_mm", shown(most_at.mm())),
        ("slope_deg", list(slopes)),
        ("slope_allowed_deg", shown(askew().service_deg)),
        ("slope_within", json!(slopes.iter().all(|s| *s <= askew().service_deg))),
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
