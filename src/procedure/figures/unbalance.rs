//! Where a rotor's unbalance may come from: every disc and pulley with its place, at worst and as likely. And the speed it is held against.

use rust_decimal::prelude::ToPrimitive;

use crate::module::{Module, Setup};
use crate::quantity::{Length, Speed, Unbalance};

use super::heavy_side::terms_of_disc;
use super::{Figures, NoFigure, rotor};

/// The speed that a residual unbalance is held against, and its name. ISO 21940-11 asks for the highest speed in service: that of the
/// adopted setup where this is it, else the one that is never passed.
#[must_use]
pub fn balanced_at(module: &Module, setup: &Setup, f: &Figures) -> (Speed, &'static str) {
    if setup.adopted { (f.speed, "of the adopted setup") } else { (*module.limits.speed, "that are never passed") }
}

/// A part that may be out of balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// Its middle along the shaft.
    pub at: Length,
    /// Every tolerance at its limit, all to one side.
    pub most: Unbalance,
    /// Every tolerance at its limit, each to a side of its own.
    pub likely: Unbalance,
}

/// All of them in one setup.
///
/// *Likely* is the root of the sum of squares: it is the root mean square of a sum whose terms point to independent sides (statistics).
/// Every term is taken at its limit, so most rotors are better.
#[derive(Debug, Clone, PartialEq)]
pub struct Sources {
    /// Discs first, then pulleys.
    pub each: Vec<Source>,
    /// What makes most of a disc's share, in words; empty without discs.
    pub largest_term: &'static str,
}

impl Sources {
    /// Takes them from the tolerances of the spec.
    ///
    /// # Errors
    /// [`NoFigure`] for a class outside ISO 286 or a steel without a density.
    pub fn of(module: &Module, setup: &Setup) -> Result<Self, NoFigure> {
        let parts = rotor::masses(module, setup)?;
        let (mut each, mut largest_term) = (Vec::new(), "");
        if let Some(own) = &module.stack {
            let terms = terms_of_disc(module, own)?;
            let names = ["the play of the bores", "the run-out of the rims", "thickness that differs across a disc"];
            let largest = terms.iter().zip(names).max_by(|a, b| a.0.gmm().total_cmp(&b.0.gmm()));
            largest_term = largest.map_or("", |(_, name)| name);
            let most = terms.iter().fold(Unbalance::from_gmm(0.0), |sum, t| sum + *t);
            // The shaft stands first in the list of masses, the discs behind it.
            let discs = parts.iter().skip(1).take(setup.discs as usize);
            each.extend(discs.map(|p| Source { at: p.at, most, likely: squares(&terms) }));
        }
        // The pulleys stand last.
        let pulleys = parts.iter().rev().zip(module.drives.iter().rev());
        each.extend(pulleys.map(|(part, drive)| {
            let run_out = drive.pulley.run_out.value.upper.and_then(|u| u.to_f64()).unwrap_or(0.0);
            let most = Unbalance::from_gmm(part.mass.g() * run_out / 2.0);
            Source { at: part.at, most, likely: most }
        }));
        Ok(Self { each, largest_term })
    }

    /// Every tolerance at its limit, all to one side.
    #[must_use]
    pub fn most(&self) -> Unbalance {
        self.each.iter().fold(Unbalance::from_gmm(0.0), |sum, s| sum + s.most)
    }

    /// Every tolerance at its limit, each to a side of its own.
    #[must_use]
    pub fn likely(&self) -> Unbalance {
        squares(&self.each.iter().map(|s| s.likely).collect::<Vec<_>>())
    }

    /// The same of the pulleys alone.
    #[must_use]
    pub fn of_pulleys(&self, discs: u32) -> Unbalance {
        squares(&self.each.iter().skip(discs as usize).map(|s| s.likely).collect::<Vec<_>>())
    }

    /// The couple that stays when the sum is taken away in one plane, g·mm²: at worst, and likely. With the sum gone it is the same
    /// about any place (statics), so it is reckoned about the plane, where the correction has no lever.
    #[must_use]
    pub fn couple(&self, plane: Length) -> (f64, f64) {
        let levers = || self.each.iter().map(|s| (s, (s.at - plane).mm().abs()));
        let most = levers().map(|(s, lever)| s.most.gmm() * lever).sum();
        let likely = levers().map(|(s, lever)| (s.likely.gmm() * lever).powi(2)).sum::<f64>().sqrt();
        (most, likely)
    }
}

fn squares(each: &[Unbalance]) -> Unbalance {
    Unbalance::from_gmm(each.iter().map(|u| u.gmm().powi(2)).sum::<f64>().sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    /// By hand, as beside the heavy side: a disc of 5468 g is off by 93.0, 546.8 and 4161.6 g·mm, 4801.4 in a row, 4198.4 as squares.
    /// The pulley of 125 x 50 mm on 30: 7.85e-3·π/4·(125² − 30²)·50 = 4539 g, 0.125 mm off: 567 g·mm at 330 mm.
    #[test]
    fn sources_and_their_couple_are_those_worked_by_hand() {
        let module = demo_with("blower", &[]);
        let setup = Setup::all(&module).pop().unwrap();
        let sources = Sources::of(&module, &setup).unwrap();
        let near = |is: f64, by_hand: f64| assert!((is / by_hand - 1.0).abs() < 2e-3, "{is} {by_hand}");
        assert_eq!((sources.each.len(), sources.largest_term), (4, "thickness that differs across a disc"));
        near(sources.most().gmm(), 3.0 * 4801.4 + 567.4);
        near(sources.likely().gmm(), (3.0 * 4198.4_f64.powi(2) + 567.4_f64.powi(2)).sqrt());
        near(sources.of_pulleys(3).gmm(), 567.4);
        // About a plane in the middle disc: one disc has no lever, its neighbours 10 mm, the pulley what it stands away.
        let middle = sources.each[1].at;
        let pulley = 330.0 - middle.mm();
        let (most, likely) = sources.couple(middle);
        near(most, 2.0 * 4801.4 * 10.0 + 567.4 * pulley);
        near(likely, (2.0 * 41_984.0_f64.powi(2) + (567.4 * pulley).powi(2)).sqrt());
    }

    #[test]
    fn a_setup_that_was_adopted_goes_by_its_own_speed() {
        let module = demo_with("blower", &[]);
        let setup = Setup::all(&module).pop().unwrap();
        let f = Figures::of(&module, &setup).unwrap();
        assert_eq!(balanced_at(&module, &setup, &f).0.rpm(), 950.0);
        let (speed, name) = balanced_at(&module, &setup.as_adopted(true), &f);
        assert!((speed.rpm() - f.speed.rpm()).abs() < 1e-9 && f.speed.rpm() < 905.0 && name.contains("adopted"));
    }
}
