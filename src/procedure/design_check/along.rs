//! Findings of one setup along the shaft: bending, and room for every part.

use crate::module::{Module, Setup};
use crate::procedure::shaft_line;
use crate::quantity::{Length, rounded};
use crate::standards::{bearings, bench};

use super::{Finding, Severity, finding};

/// Share of the yield strength that rotating bending may take: the stress reverses with every turn, and set screws dent the shaft
/// (common practice; half the tensile strength, over a notch factor of 2 and a safety of 1.5, comes to about the same).
const ROTATING: f64 = 0.25;

/// The shaft stays as square to its bearings as they bear in service, and far below its yield strength.
pub(super) fn bending(module: &Module, setup: &Setup) -> Vec<Finding> {
    let line = module.shaft.diameter.place.line;
    let (Ok(bent), Ok(steel)) = (shaft_line::bending(module, setup), bench::steel(&module.shaft.steel)) else {
        // The critical speed of the same shaft tells why.
        return Vec::new();
    };
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
    let strength = match steel.yield_strength(module.shaft.diameter.length()) {
        Ok(strength) => strength,
        Err(e) => return vec![finding("shaft-bending", Severity::Error, e.to_string(), steel.source, line)],
    };
    let (stress, allowed) = (bent.stress(), strength * ROTATING);
    if stress > allowed {
        let text = "weights and belt bend the shaft too far for a rotating shaft with dents of set screws".into();
        let basis = format!("{}; a quarter of it in rotating bending, common practice", steel.source);
        found.push(
            finding("shaft-bending", Severity::Error, text, basis.as_str(), line)
                .held(stress.mpa(), allowed.mpa(), "MPa")
                .mend("Thicken the shaft, or move pulley and bearing together."),
        );
    }
    found
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
