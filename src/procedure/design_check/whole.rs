//! Findings that hold in every setup.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::{bearing, joint};
use crate::module::{Bolts, Module, Securing};
use crate::procedure::figures::{self, NoFigure};
use crate::quantity::rounded;
use crate::standards::{bearings, bench, measuring};

use super::{Finding, Severity, balance, drives, finding, no_figure, screws, seats, stack};

/// What holds in every setup.
pub(super) fn whole(module: &Module) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(screws::whole(module));
    found.extend(seats::whole(module));
    found.extend(housing_bolts(module));
    found.extend(module.stack.iter().flat_map(stack::whole));
    found.extend(securing(module));
    found.extend(spring_washers(module));
    found.extend(yields(module));
    found.extend(growth(module));
    found.extend(module.drives.iter().filter_map(|d| drives::stock_length(&d.belt)));
    found.extend(balance::whole(module).into_iter().flatten());
    found
}

fn housing_bolts(module: &Module) -> Option<Finding> {
    let unit = bearings::insert(&module.bearings.insert).ok()?;
    let bolts = &module.bearings.base_bolts;
    (unit.bolt != bolts.thread.value || unit.housing != *module.bearings.housing).then(|| {
        finding(
            "housing",
            Severity::Error,
            format!("insert {} goes into housing {} with bolts {}", unit.insert, unit.housing, unit.bolt),
            bearings::source(),
            bolts.thread.place.line,
        )
        .mend(format!("Use housing {} and bolts {}.", unit.housing, unit.bolt))
    })
}

fn securing(module: &Module) -> Vec<Finding> {
    let open = module.bolt_groups().into_iter().filter(|(_, b, _)| *b.secure == Securing::None);
    open.map(|(name, b, _)| {
        let text = format!("nothing keeps the {name} tight");
        finding("securing", Severity::Warning, text, "common practice", b.secure.place.line)
            .at(name)
            .mend("Name what secures them.")
    })
    .collect()
}

/// A split spring washer is flat long before a bolt has its preload, and keeps nothing from turning; on what turns that is worth knowing.
fn spring_washers(module: &Module) -> Vec<Finding> {
    let Some(stack) = &module.stack else { return Vec::new() };
    // At rest the washers for balance go on before the first run, and neither locker nor second nut comes under them after it.
    let washers_first = module.balance.as_ref().is_some_and(|b| b.washers.is_some() && !b.at_speed());
    let rods = if washers_first {
        "Balance at speed or by drilling; then thread locker or second nuts may secure them."
    } else {
        "Take thread locker, or second nuts with rods that are longer by them."
    };
    let turning = [("rods", &stack.rods.bolts, rods), ("pinch bolts", &stack.collars.pinch, "Take thread locker.")];
    let sprung = turning.into_iter().filter(|(_, bolts, _)| *bolts.secure == Securing::SpringWasher);
    sprung
        .map(|(name, bolts, mend)| {
            let text = format!(
                "spring washers under the {name} do not keep them from turning loose: their preload holds, and the lines tell"
            );
            let basis = "VDI 2230-1 counts split spring washers as without effect, and DIN 127 is withdrawn (both from memory)";
            finding("securing", Severity::Note, text, basis, bolts.secure.place.line).at(name).mend(mend)
        })
        .collect()
}

/// Bolts that tightening would stretch for good: tension and torsion together above the yield strength. Every group is asked.
fn yields(module: &Module) -> Vec<Finding> {
    let rods = module.stack.iter().map(|s| ("rods", &s.rods.bolts));
    let groups = rods.chain(module.bolt_groups().into_iter().map(|(name, bolts, _)| (name, bolts)));
    groups.filter_map(|(name, bolts)| stretched(name, bolts)).collect()
}

fn stretched(name: &str, bolts: &Bolts) -> Option<Finding> {
    let used = match yield_use(bolts) {
        Ok(used) => used,
        Err(e) => return Some(no_figure(&e)),
    };
    (used > 1.0).then(|| {
        let text = format!(
            "tightening takes the {name} to {} % of their yield strength, with the torsion of the wrench",
            rounded(used * 100.0, 0)
        );
        let basis = "VDI 2230-1, equivalent stress while tightening";
        finding("bolt-yield", Severity::Error, text, basis, bolts.share.place.line)
            .held(used * 100.0, 100.0, "%")
            .at(name)
            .mend("Take a smaller share of proof, a higher class, or a better lubricant.")
    })
}

/// Share of the yield strength at full torque, at the lowest friction, for which the torque is set.
fn yield_use(bolts: &Bolts) -> Result<f64, NoFigure> {
    let tight = figures::tight(bolts)?;
    let mu = bolts.friction.value.lower.and_then(|d| d.to_f64()).unwrap_or(f64::NAN);
    figures::at(&bolts.friction, joint::yield_use(tight.thread, &tight.class, tight.preload, mu))
}

/// Growth between two bearings that are both locked, against the bearings' axial play.
fn growth(module: &Module) -> Option<Finding> {
    let [a, b] = [0, 1].map(|i| module.bearings.each.get(i).map(|id| figures::place(module, &id.value)));
    let between = b? - a?;
    let range = &module.limits.temperature.value;
    let kelvin = (range.upper? - range.lower?).to_f64()?;
    let grows = bearing::growth(between, kelvin).mm();
    let (source, line) = (measuring::expansion_per_k().1, module.limits.temperature.place.line);
    let text =
        format!("over {kelvin} K the shaft grows {} mm more than a cold base between the bearings", rounded(grows, 2));
    let Some(floats) = &module.bearings.floats else {
        // Two fixed rings have their own axial play alone, as the check of the held shaft allows.
        let play = bench::ring_play_mm().0;
        let severity = if grows > play { Severity::Warning } else { Severity::Note };
        let text = format!("{text}; both rings are fixed");
        let mend = "Let one bearing float, or keep the bench and the base at one temperature.";
        return Some(finding("growth", severity, text, source, line).held(grows, play, "mm").mend(mend));
    };
    let text = format!("{text}; {} is locked last, after a turn by hand", **floats);
    Some(finding("growth", Severity::Note, text, source, line))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{demo_with, embedded, read};

    fn with(from: &str, to: &str) -> Module {
        demo_with("flywheel", &[(from, to)])
    }

    /// Rods on spring washers pass, with a note that says what they are worth; second nuts and locker have none.
    #[test]
    fn spring_washers_on_what_turns_are_noted() {
        let sprung = spring_washers(&demo_with("testwheel", &[]));
        assert_eq!(sprung.len(), 1, "{sprung:?}");
        assert!(sprung[0].severity == Severity::Note && sprung[0].at.as_deref() == Some("rods"));
        assert!(spring_washers(&read(&embedded("flywheel").unwrap()).unwrap()).is_empty());
        let pinch = spring_washers(&with("of proof, secure: thread locker", "of proof, secure: spring washer"));
        assert_eq!(pinch[0].at.as_deref(), Some("pinch bolts"));
    }

    /// M10 10.9 at 90 % of proof, friction 0.20: 747 MPa tension; by the elastic section 16·M/(π·ds³) with an arm of
    /// 0.239 + 1.043 = 1.282 mm, ds 8.593 mm, so shear 0.597 of the tension and 747·sqrt(1 + 3·0.597²) = 1074 MPa, 114 % of 940.
    #[test]
    fn tightening_past_yield_is_an_error_at_the_bolts_line() {
        assert!(yields(&read(&embedded("flywheel").unwrap()).unwrap()).is_empty());
        let pinch = "pinch: { count: 2, size: M10 x 45, class: 10.9, friction: 0.12 to 0.16, use: 70 % of proof";
        let rough = pinch.replace("0.12 to 0.16", "0.20 to 0.24").replace("70 %", "90 %");
        let found = yields(&with(pinch, &rough));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].severity, Severity::Error);
        assert!((found[0].value.unwrap() - 114.3).abs() < 1.0, "{:?}", found[0].value);
        assert!(found[0].text.contains("pinch bolts") && found[0].line == Some(50), "{found:?}");
        // Friction of 0.20 at 90 % of proof stretches any 8.8, whichever group it is.
        for group in ["base bolts", "hold-downs", "lock bolts"] {
            let bolts = embedded("flywheel").unwrap().text;
            let line = bolts.lines().find(|l| l.trim().starts_with(&format!("{group}:"))).unwrap();
            let rough = line.replace("0.12 to 0.16", "0.20 to 0.24").replace("60 %", "90 %");
            let found = yields(&with(line, &rough));
            assert_eq!(found.len(), 1, "{group}");
            assert!(found[0].text.contains(group) && found[0].value.unwrap() > 110.0, "{found:?}");
        }
    }
}
