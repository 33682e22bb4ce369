//! What a rotor's run-down is expected to be: drag of bearings, seals and belt, low and high, and the times that follow.

use crate::mechanics::run_down::{Drag, stop};
use crate::mechanics::{bearing, rotor as mechanics};
use crate::module::{Module, Setup};
use crate::quantity::{Force, Length, Time, Torque};
use crate::standards::{bearings, drag};

use super::{Figures, NoFigure, at, rotor};

/// Drag and time to rest from the setup's speed, low and high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunDown {
    /// Least and largest drag.
    pub drag: (Torque, Torque),
    /// Least and largest time: the largest drag stops first.
    pub time: (Time, Time),
}

/// The run-down of a setup from its speed. Low: the friction of the balls under the rotor's weight and the least drag of seals and
/// grease, the belts at rest. High: friction under weight and belt pull together, the most of seals and grease, and every belt
/// turning along. Drag by air is left out. The drive and the belt add no inertia here: the drive runs free.
///
/// # Errors
/// [`NoFigure`] for an insert or steel that no table holds, and a rotor that does not turn.
pub fn run_down(module: &Module, setup: &Setup, figures: &Figures) -> Result<RunDown, NoFigure> {
    let parts = rotor::masses(module, setup)?;
    let pulls: Vec<Force> = figures.drives.iter().map(|d| d.drive.shaft_pull(d.strand_new)).collect();
    let insert = &module.bearings.insert;
    let bore = Length::from_mm(at(insert, bearings::insert(insert))?.bore);
    let (a, b) = rotor::bearing_loads(module, &parts, &pulls);
    let weight = mechanics::weight(figures.mass);
    let friction = |load: Force, mu: f64| at(insert, bearing::friction_torque(load, bore, mu)).map(Torque::nm);
    let (ball, seals, belt) = (drag::ball(), drag::seals(), drag::belt());
    // A belt each, and each turns along: none passes more than the whole torque.
    let passed = module.limits.torque.nm() * figures.drives.len() as f64;
    let low = friction(weight, ball.low)? + seals.low + belt.low * passed;
    let high = friction(a + b, ball.high)? + seals.high + belt.high * passed;
    let time =
        |nm: f64| at(&module.limits.speed, stop(figures.inertia, figures.speed, Drag::constant(Torque::from_nm(nm))));
    Ok(RunDown { drag: (Torque::from_nm(low), Torque::from_nm(high)), time: (time(high)?.time, time(low)?.time) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    /// All but the belts is the same whatever torque passes: 4 N·m more let each belt take 5 % of them, 0.2 N·m.
    #[test]
    fn every_belt_drags() {
        let most = |demo: &str, from: &str, to: &str| {
            let module = demo_with(demo, &[(from, to)]);
            let setup = Setup::all(&module).remove(0);
            run_down(&module, &setup, &Figures::of(&module, &setup).unwrap()).unwrap().drag.1.nm()
        };
        let two = most("countershaft", "torque: 4 N·m", "torque: 8 N·m")
            - most("countershaft", "torque: 4 N·m", "torque: 4 N·m");
        let one =
            most("testwheel", "torque: 9 N·m", "torque: 13 N·m") - most("testwheel", "torque: 9 N·m", "torque: 9 N·m");
        assert!((two - 0.4).abs() < 1e-9 && (one - 0.2).abs() < 1e-9, "{two} {one}");
    }
}
