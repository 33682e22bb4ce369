//! Heavy side of the discs: what can be found of it, what the drawing lets it be, and what the balance grade permits.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::balance::{self, play_floor, rolling_floor};
use crate::module::{HeavySide, Module, Setup, Stack};
use crate::quantity::{Length, Mass, Unbalance};
use crate::standards::bench;

use super::{Figures, NoFigure, at, balanced_at, limits, stack};

/// Run-out of a rim that the guide still lets pass after clamping, mm, ISO 2768-2 K (from memory).
pub const RADIAL_RUN_OUT: Decimal = Decimal::from_parts(2, 0, 0, false, 1);

/// What one disc within its drawing may be out of balance by: off centre by the play of its bore on the shaft, a rim that runs out by
/// what may pass, thickness from limit to limit across.
///
/// # Errors
/// [`NoFigure`] for a class outside ISO 286 or a steel without a density.
pub fn terms_of_disc(module: &Module, own: &Stack) -> Result<[Unbalance; 3], NoFigure> {
    let steel = at(&own.discs.steel, bench::steel(&own.discs.steel))?;
    let disc = stack::disc(own).mass(steel.density);
    let band = &own.discs.thickness.value;
    let thick = |d: Option<Decimal>| d.and_then(|d| d.to_f64());
    let wedge = thick(band.upper).zip(thick(band.lower)).map_or(0.0, |(a, b)| a - b);
    let rim = Length::from_mm(RADIAL_RUN_OUT.to_f64().unwrap_or(f64::NAN) / 2.0);
    let wedge = balance::wedge_unbalance(*own.discs.outer, Length::from_mm(wedge), steel.density);
    Ok([off_axis(own, disc, limits(&module.shaft.diameter)?.0)?, play_floor(disc, rim), wedge])
}

/// All discs of a setup heavy at one side.
fn largest_of_discs(module: &Module, own: &Stack, setup: &Setup) -> Result<Unbalance, NoFigure> {
    let [play, rim, wedge] = terms_of_disc(module, own)?;
    Ok((play + rim + wedge) * f64::from(setup.discs))
}

/// Unbalance of a disc off the axis by half of what its bore is wider than what goes through it.
fn off_axis(own: &Stack, disc: Mass, inner: Option<Decimal>) -> Result<Unbalance, NoFigure> {
    let (_, bore, _) = limits(&own.discs.finish)?;
    let wide = bore.zip(inner).and_then(|(b, i)| (b - i).to_f64()).unwrap_or(f64::NAN);
    Ok(play_floor(disc, Length::from_mm(wide.max(0.0) / 2.0)))
}

/// Figures of the heavy side in one setup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeavyFigures {
    /// What drag hides of one disc on its mandrel, by the arm of the spec.
    pub floor: Unbalance,
    /// What the play of the bore leaves open for one disc: on the mandrel, and again on the shaft, as squares.
    pub play: Unbalance,
    /// Both, for all discs of the setup, as squares.
    pub all: Unbalance,
    /// All discs off centre to one side by the whole play of the bore on the shaft.
    pub off_centre: Unbalance,
    /// All discs heavy at one side: off centre, rims that run out by what may pass, thickness from limit to limit across.
    pub most: Unbalance,
    /// What the balance grade permits the rotor, by [`balanced_at`].
    pub permitted: Unbalance,
    /// Distance of neighbouring discs along the shaft.
    pub pitch: Length,
}

impl HeavyFigures {
    /// Computes them.
    ///
    /// # Errors
    /// [`NoFigure`] for a class outside ISO 286, a steel without a density, or a balance grade outside ISO 21940-11.
    pub fn of(module: &Module, own: &Stack, way: &HeavySide, setup: &Setup, f: &Figures) -> Result<Self, NoFigure> {
        let steel = at(&own.discs.steel, bench::steel(&own.discs.steel))?;
        let disc = stack::disc(own).mass(steel.density);
        let n = f64::from(setup.discs);
        let off = |inner| off_axis(own, disc, inner);
        let (on_mandrel, on_shaft) = (off(limits(&way.mandrel)?.0)?, off(limits(&module.shaft.diameter)?.0)?);
        let play = balance::index_uncertainty_of(&[on_mandrel, on_shaft]);
        let floor = rolling_floor(disc + *way.mandrel_mass, *way.arm);
        let grade = module.limits.balance_grade.to_f64().unwrap_or(f64::NAN);
        let (speed, _) = balanced_at(module, setup, f);
        Ok(Self {
            floor,
            play,
            all: balance::index_uncertainty(balance::index_uncertainty_of(&[floor, play]), setup.discs as usize),
            off_centre: on_shaft * n,
            most: largest_of_discs(module, own, setup)?,
            permitted: at(&module.limits.balance_grade, balance::permissible_unbalance(grade, f.mass, speed))?,
            pitch: own.discs.thickness.length(),
        })
    }

    /// True where what cannot be found is at most half of what is permitted.
    #[must_use]
    pub fn decides(&self) -> bool {
        balance::decides(self.all, self.permitted)
    }

    /// True where discs within their drawing can be heavier at one side than permitted.
    #[must_use]
    pub fn worth_doing(&self) -> bool {
        self.most.gmm() > self.permitted.gmm()
    }
}
