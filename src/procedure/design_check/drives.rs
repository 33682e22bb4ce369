//! What is found on the belt drives: travel of the sled, pulleys, belt lengths.

use serde_json::{Map, Value, json};

use crate::mechanics::belt_tension;
use crate::module::{Belt, Drive, Module, Setup};
use crate::procedure::figures::{self, DriveFigures, Figures};
use crate::quantity::{Length, rounded};
use crate::standards::{belts, ribs};

use super::{Finding, Severity, finding, round};

/// What depends on the setup.
pub(super) fn of_setup(module: &Module, setup: &Setup, f: &Figures) -> Vec<Finding> {
    let mut found = Vec::new();
    for (k, (drive, own)) in module.drives.iter().zip(&f.drives).enumerate() {
        found.extend(slot(drive, own).into_iter().map(|f| f.at(drive.belt.part.as_str())));
        found.extend(pulleys(module, setup, k, drive));
        found.extend(trapped(module, drive));
        found.extend(slips(module, k, own).map(|f| f.at(drive.belt.part.as_str())));
    }
    found
}

/// A belt that runs between two bearings is changed only with a bearing off.
fn trapped(module: &Module, drive: &Drive) -> Option<Finding> {
    let at = module.on_shaft(&drive.pulley.part)?;
    let is_bearing = |part: &str| module.bearings.each.iter().any(|b| b.value == part);
    let order = &module.shaft.order;
    let outer = order[at + 1..].iter().find(|on| is_bearing(&on.part.value))?;
    let inner = order[..at].iter().any(|on| is_bearing(&on.part.value));
    inner.then(|| {
        let text = format!(
            "{} is trapped between the bearings: it hangs on the shaft before {}, and its change costs that bearing",
            drive.belt.part, outer.part.value
        );
        finding("belt-trapped", Severity::Note, text, "geometry of the shaft", outer.part.place.line)
            .mend("Keep a spare belt at hand when the bearing is off; no spare loop hangs on a running shaft.")
    })
}

/// The belt gives way before the torque of the spec is reached: nothing breaks, but the rotor cannot take it from this drive.
fn slips(module: &Module, k: usize, own: &DriveFigures) -> Option<Finding> {
    let (holds, torque) = (own.slips_at(), *module.limits.torque);
    (holds < torque).then(|| {
        let text = format!(
            "run in, the belt slips at {} N·m at the rotor, under the largest torque of {} N·m: it gives way first",
            rounded(holds.nm(), 1),
            rounded(torque.nm(), 1)
        );
        let source = format!("belt friction over the wrap, {}", ribs::tension_ratio().1);
        finding("belt-slip", Severity::Note, text, &source, module.drives[k].belt.ribs.place.line)
            .held(holds.nm(), torque.nm(), "N·m")
            .mend("More ribs, or a larger step; a belt that slips long wears and glazes.")
    })
}

/// Figures of each drive by the names of the contract.
pub(super) fn numbers(module: &Module, f: &Figures) -> Vec<Map<String, Value>> {
    let of = |(drive, own): (&Drive, &DriveFigures)| {
        let span = own.drive.span().mm();
        let pairs = [
            ("centre_mm", own.drive.centre.mm()),
            ("slot_position_mm", (own.drive.centre - *drive.sled.inner).mm()),
            ("span_mm", span),
            ("belt_deflection_mm", belt_tension::deflection(own.drive.span()).mm()),
            ("belt_deflection_force_n", own.forces().0.n()),
            ("belt_slip_torque_nm", own.slips_at().nm()),
        ];
        pairs.into_iter().map(|(k, v)| (k.to_owned(), json!(round(v)))).collect()
    };
    module.drives.iter().zip(&f.drives).map(of).collect()
}

/// The sled must give room to lay the belt on, and travel left for stretch.
fn slot(drive: &Drive, f: &DriveFigures) -> Vec<Finding> {
    let line = drive.belt.length.place.line;
    let (inward, outward) = match belts::allowance(&drive.belt.profile, *drive.belt.length) {
        Ok(pair) => pair,
        Err(e) => {
            return vec![finding("belt-travel", Severity::Warning, e.to_string(), belts::allowance_source(), line)];
        }
    };
    let (inner, outer) = (*drive.sled.inner, *drive.sled.inner + *drive.sled.travel);
    let (lay, stretched) = (f.drive.centre - inward, f.drive.centre + outward);
    let shorter = |by: Length| rounded(by.mm() * 2.0, 0);
    let mut found = Vec::new();
    if lay < inner {
        let text = format!(
            "to lay the belt on, the centre must come down to {} mm; the sled ends at {} mm",
            rounded(lay.mm(), 1),
            inner.mm()
        );
        found.push(
            finding("belt-fitting", Severity::Error, text, belts::allowance_source(), line)
                .held(lay.mm(), inner.mm(), "mm")
                .mend(format!("A belt about {} mm longer, or slots further in.", shorter(inner - lay))),
        );
    }
    if stretched > outer {
        let text = format!(
            "for take-up the centre must reach {} mm; the sled ends at {} mm",
            rounded(stretched.mm(), 1),
            outer.mm()
        );
        found.push(
            finding("belt-take-up", Severity::Error, text, belts::allowance_source(), line)
                .held(stretched.mm(), outer.mm(), "mm")
                .mend(format!("A belt about {} mm shorter, or longer slots.", shorter(stretched - outer))),
        );
    }
    found
}

fn pulleys(module: &Module, setup: &Setup, k: usize, drive: &Drive) -> Option<Finding> {
    let profile = belts::profile(&drive.belt.profile).ok()?;
    let step = figures::step_diameter(module, setup, k);
    let line = drive.pulley.steps.get(setup.step_of(module, k)).map_or(0, |d| d.place.line);
    (step < profile.smallest).then(|| {
        finding(
            "pulley-size",
            Severity::Error,
            format!("{} mm is too small for {}", step.mm(), *drive.belt.profile),
            belts::source(),
            line,
        )
        .held(step.mm(), profile.smallest.mm(), "mm")
        .at(drive.pulley.part.as_str())
        .mend(format!("At least {} mm.", profile.smallest.mm()))
    })
}

/// A length that is not on the shelf.
pub(super) fn stock_length(belt: &Belt) -> Option<Finding> {
    let stock = belts::stock(&belt.profile);
    let length = belt.length.mm();
    if stock.is_empty() || stock.iter().any(|l| (l - length).abs() < 0.5) {
        return None;
    }
    let near = stock.iter().copied().min_by(|a, b| (a - length).abs().total_cmp(&(b - length).abs()))?;
    Some(
        finding(
            "belt-length",
            Severity::Note,
            format!("{} of {length} mm is not in the stock range looked at", *belt.profile),
            "published range of one belt maker",
            belt.length.place.line,
        )
        .at(belt.part.as_str())
        .mend(format!("{near} mm is the nearest; or order to length.")),
    )
}
