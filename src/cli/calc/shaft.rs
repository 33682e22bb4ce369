//! A shaft on two bearings as it is given on the command line: a module spec, or its sizes.

use clap::Args;

use crate::mechanics::rotor::Ring;
use crate::mechanics::whirl::Lump;
use crate::module::{Module, Setup};
use crate::quantity::{Density, Kind, Length, Stress};

use super::super::load::{self, Chosen};
use super::Failure;
use super::given::{fail, length, number, positive, quantity};

#[derive(Debug, Args)]
pub struct Shaft {
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
}

impl Shaft {
    /// The module and its setup, where a spec is given.
    pub fn module(&self) -> Result<Option<(Module, Setup)>, Failure> {
        let Some(spec) = &self.spec else { return Ok(None) };
        let module = load::module(spec)?;
        let setup = Setup::choose(&module, &self.chosen.map()?).map_err(fail)?;
        Ok(Some((module, setup)))
    }

    /// Diameter and length.
    pub fn sizes(&self) -> Result<(Length, Length), Failure> {
        let text = |given: &Option<String>| given.clone().unwrap_or_default();
        Ok((length("shaft", &text(&self.shaft))?, length("length", &text(&self.length))?))
    }

    /// Places of the two bearings.
    pub fn bearings(&self) -> Result<[Length; 2], Failure> {
        let [a, b] = self.bearings.as_slice() else {
            return Err(Failure::new(format!("--bearing is needed twice, {} were given", self.bearings.len())));
        };
        let place = |text: &str| quantity("bearing", text, Kind::Length).map(Length::from_mm);
        Ok([place(a)?, place(b)?])
    }

    /// The discs, of steel.
    pub fn discs(&self) -> Result<Vec<Lump>, Failure> {
        self.lumps.iter().map(|text| disc(text)).collect()
    }

    pub fn elastic(&self) -> Result<Stress, Failure> {
        positive("elastic", &self.elastic, Kind::Stress).map(Stress::from_mpa)
    }
}

/// Steel of discs and shafts (EN 1993-1-1, 3.2.6).
pub const STEEL: Density = Density::from_kg_m3(7850.0);

/// "200 mm: 300 x 10 mm bore 30".
fn disc(text: &str) -> Result<Lump, Failure> {
    let wrong =
        || Failure::new(format!("--disc: \"{text}\" is not a disc; write it like \"200 mm: 300 x 10 mm bore 30\""));
    let (at, size) = text.split_once(':').ok_or_else(wrong)?;
    let (outer, rest) = size.split_once('x').ok_or_else(wrong)?;
    let (thickness, bore) = rest.split_once("bore").ok_or_else(wrong)?;
    let plain = |t: &str| number("disc", t.trim().trim_end_matches("mm").trim()).map(Length::from_mm);
    let ring = Ring::plain(plain(outer)?, plain(bore)?, plain(thickness)?).checked().map_err(fail)?;
    let at = Length::from_mm(quantity("disc", at, Kind::Length)?);
    Ok(Lump { at, mass: ring.mass(STEEL), tilt: ring.tilt_kgm2(STEEL), polar: ring.inertia(STEEL).kgm2() })
}
