//! Findings of one setup along the shaft: bending, and room for every part.

use crate::mechanics::fatigue;
use crate::module::{Module, Setup};
use crate::procedure::shaft_line;
use crate::quantity::{Length, Stress, rounded};
use crate::standards::{self, bearings, bench};

use super::{Finding, Severity, finding};

/// The shaft stays as square to its bearings as they bear in service, and lasts.
pub(super) fn bending(module: &Module, setup: &Setup) -> Vec<Finding> {
    let line = module.shaft.diameter.place.line;
    // Where it cannot be bent, the critical speed of the same shaft tells why.
    let Ok(bent) = shaft_line::bending(module, setup) else { return Vec::new() };
    let mut found = Vec::new();
    let slope = bent.bearing_slopes().map(|s| s.deg()).into_iter().fold(0.0, f64::max);
    let askew = bearings::askew();
    if slope > askew.service_deg {
        let text = format!("weights and belt bend the shaft {} degrees out of square at a bearing", rounded(slope, 2));
        found.push(
            finding("shaft-slope", Severity::Error, text, &askew.source, line)
                .held(slope, askew.service_deg, "°")
                .mend("Thicken the shaft, or move pulley and bearing together."),
        );
    }
    found.extend(breaks(module, bent.stress_with(*module.limits.torque)));
    found
}

/// Bending and torque together, against what the shaft bears for ever.
fn breaks(module: &Module, stress: Stress) -> Option<Finding> {
    let (line, diameter) = (module.shaft.diameter.place.line, module.shaft.diameter.length());
    let steel = bench::steel(&module.shaft.steel).ok()?;
    let allowed = steel.tensile_strength(diameter).and_then(|tensile| fatigue::allowed(tensile, diameter));
    let (endurance, notch) = standards::fatigue::sources();
    let allowed = match allowed {
        Ok(allowed) => allowed,
        Err(e) => return Some(finding("shaft-bending", Severity::Error, e.to_string(), endurance, line)),
    };
    (stress > allowed).then(|| {
        let text = "weights, belt and torque stress the shaft too high to last with hubs and set screws on it".into();
        let basis = format!("{}; {endurance}; {notch}", steel.source);
        finding("shaft-bending", Severity::Error, text, &basis, line)
            .held(stress.mpa(), allowed.mpa(), "MPa")
            .mend("Thicken the shaft, or move pulley and bearing together.")
    })
}

/// Every part finds its place on the shaft, the stack at its longest, its rods counted.
pub(super) fn room(module: &Module, setup: &Setup) -> Vec<Finding> {
    let (Ok(room), line) = (shaft_line::room(module, setup), module.shaft.length.place.line) else {
        return Vec::new();
    };
    let error = |text: String, value: Length, limit: Length, mend: String| {
        finding("shaft-room", Severity::Error, text, "places along the shaft, worst case", line)
            .held(value.mm(), limit.mm(), "mm")
            .mend(mend)
    };
    let zero = Length::from_mm(0.0);
    let mut found = Vec::new();
    if room.least_gap < zero {
        let short = rounded(-room.least_gap.mm(), 1);
        let text = format!("{} and {} overlap by {short} mm along the shaft", room.between.0, room.between.1);
        found.push(error(text, room.least_gap, zero, format!("Move them {short} mm apart, or take fewer discs.")));
    }
    if room.needed > *module.shaft.length || room.before < zero {
        let text = format!(
            "the parts need the shaft from {} to {} mm",
            rounded(room.before.mm(), 1),
            rounded(room.needed.mm(), 1)
        );
        let mend = "Take a longer shaft, or move the outermost bearings inwards.".to_owned();
        found.push(error(text, *module.shaft.length, room.needed, mend));
    }
    found
}
