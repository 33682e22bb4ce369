//! What is found on the stack: rods, reaming, stress, balance.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::ream;
use crate::module::{Edge, Module, Setup, Stack};
use crate::procedure::figures::{self, Figures, StackFigures};
use crate::quantity::{Force, Length, Torque, rounded};
use crate::standards::{bench, threads};

use super::{Finding, Severity, finding, round};

/// What holds in every setup.
pub(super) fn whole(module: &Module, stack: &Stack) -> Vec<Finding> {
    let mut found = stock(stack);
    found.extend(rod_holes(stack));
    found.extend(plates_drive(module, stack));
    found
}

/// What depends on the setup.
pub(super) fn of_setup(module: &Module, stack: &Stack, setup: &Setup, own: &StackFigures, f: &Figures) -> Vec<Finding> {
    let found = [rods(stack, setup, own), stress(stack, own), balance_and_bore(module, stack, setup, own, f)];
    found.into_iter().flatten().collect()
}

/// Collars that stand outside the plates touch them with no force that could be relied on: by friction they take along nothing.
/// What would press them enough, or what screws or dowels have to carry, is said; whether these hold is not computed.
fn plates_drive(module: &Module, stack: &Stack) -> Option<Finding> {
    let plates = stack.plates.as_ref()?;
    let slip = bench::slip();
    let torque = *module.limits.torque * module.limits.slip_safety.to_f64()?;
    let outer = if stack.collars.outer.mm() < plates.outer.mm() { *stack.collars.outer } else { *plates.outer };
    let (ring, press) = pressed(outer, stack.collars.bore.length(), torque, slip.low)?;
    let circle = (outer + stack.collars.bore.length()) / 2.0;
    let pins = Force::from_n(2.0 * torque.nm() / circle.m());
    let text = format!(
        "collars outside the end plates: the rods do not press them together, so by friction a collar takes its plate along with \
         no torque that can be relied on; at friction {} it would take {} kN on a ring of {} mm mean radius. What joins the two, \
         and what it holds, is not computed",
        slip.low,
        rounded(press.kn(), 1),
        rounded(ring.mm(), 0)
    );
    Some(
        finding(
            "plate-drive",
            Severity::Warning,
            text,
            &format!("statics: rods that end in the plates do not press the collars; friction {}", slip.source),
            plates.outer.place.line,
        )
        .held(0.0, torque.nm(), "N·m")
        .mend(format!(
            "Screw or dowel each plate to its collar for {} N·m: together {} kN of shear on a circle of {} mm, half way between bore and rim; and \
             see in the slip test that the line over collar and plate stays unbroken.",
            rounded(torque.nm(), 1),
            rounded(pins.kn(), 2),
            rounded(circle.mm(), 0)
        )),
    )
}

/// Mean radius of the ring on which a collar touches with even pressure, and the force on it that carries a torque by
/// friction: `r = 2/3 · (R³ − r³)/(R² − r²)`, `F = T/(μ·r)`.
fn pressed(outer: Length, bore: Length, torque: Torque, friction: f64) -> Option<(Length, Force)> {
    let (r, b) = (outer.m() / 2.0, bore.m() / 2.0);
    let mean = 2.0 / 3.0 * (r.powi(3) - b.powi(3)) / (r * r - b * b);
    (mean.is_finite() && mean > 0.0)
        .then(|| (Length::from_mm(mean * 1000.0), Force::from_n(torque.nm() / (friction * mean))))
}

fn rods(stack: &Stack, setup: &Setup, f: &StackFigures) -> Option<Finding> {
    let (least, most) = f.rod_needed;
    let line = stack.rods.lengths.get(&setup.discs).map_or(stack.rods.bolts.count.place.line, |l| l.place.line);
    let Some(length) = f.rod_length else {
        return Some(
            finding(
                "rod-length",
                Severity::Error,
                format!("no rod length is given for {} discs", setup.discs),
                "spec",
                line,
            )
            .mend(format!("Cut rods {} mm long.", next_even(least).mm())),
        );
    };
    let basis = "stack, two washers, nuts and one to three threads at both ends (ISO 4032, ISO 4035, ISO 7089; common practice)";
    if length < least {
        return Some(
            finding(
                "rod-length",
                Severity::Error,
                format!("rods of {} mm are too short, {} mm are needed", length.mm(), rounded(least.mm(), 1)),
                basis,
                line,
            )
            .held(length.mm(), least.mm(), "mm")
            .mend(format!("Cut rods {} mm long.", next_even(least).mm())),
        );
    }
    (length > most).then(|| {
        finding(
            "rod-length",
            Severity::Warning,
            format!(
                "rods of {} mm stand out {} mm further than three threads",
                length.mm(),
                rounded((length - most).mm() / 2.0, 1)
            ),
            basis,
            line,
        )
        .held(length.mm(), most.mm(), "mm")
        .mend(format!(
            "Cut them to {} mm, or cap the ends and count them in the guard's clearance.",
            next_even(least).mm()
        ))
    })
}

/// The next even millimetre, as rods are cut.
fn next_even(least: Length) -> Length {
    Length::from_mm((least.mm() / 2.0).ceil() * 2.0)
}

/// Reaming: enough stock, none of it hard skin.
fn stock(stack: &Stack) -> Vec<Finding> {
    let discs = &stack.discs;
    let line = discs.bore.place.line;
    let hard = matches!(*discs.edge, Edge::Laser | Edge::Plasma);
    let stock = match ream::stock(discs.finish.length(), discs.by_hand, hard) {
        Ok(stock) => stock,
        Err(e) => {
            return vec![finding("ream-stock", Severity::Error, e.to_string(), "reaming tables", line)];
        }
    };
    if stock.impossible() {
        let text = format!(
            "a {} edge needs at least {} mm of stock on each side to get under its hard skin, and a reamer takes at most {} mm",
            discs.edge.word(),
            round(stock.least.mm()),
            round(stock.most.mm())
        );
        return vec![
            finding("ream-stock", Severity::Error, text, &stock.basis, discs.edge.place.line)
                .held(stock.least.mm(), stock.most.mm(), "mm")
                .mend("Bore or drill the discs out first, or have the bores machined; then write \"edge: bored\"."),
        ];
    }
    let side = |bore: Option<Decimal>| bore.and_then(|b| b.to_f64()).map(|b| (discs.finish.length().mm() - b) / 2.0);
    let (least, most) = (side(discs.bore.value.upper), side(discs.bore.value.lower));
    let mut found = Vec::new();
    for (value, limit, bad) in [(least, stock.least, true), (most, stock.most, false)] {
        let Some(value) = value else { continue };
        let outside = if bad { value < limit.mm() - 1e-9 } else { value > limit.mm() + 1e-9 };
        if outside {
            let word = if bad { "at least" } else { "at most" };
            found.push(
                finding(
                    "ream-stock",
                    Severity::Error,
                    format!(
                        "the drawn bore can leave {} mm of stock on each side; {word} {} mm is reamed",
                        round(value),
                        round(limit.mm())
                    ),
                    &stock.basis,
                    line,
                )
                .held(value, limit.mm(), "mm")
                .mend("Change the bore as it comes, or its tolerance."),
            );
        }
    }
    found
}

fn rod_holes(stack: &Stack) -> Option<Finding> {
    let thread = threads::thread(&stack.rods.bolts.thread).ok()?;
    let hole = stack.discs.drill.mm();
    (hole < thread.hole - 1e-9).then(|| {
        finding(
            "rod-hole",
            Severity::Error,
            format!("a hole of {hole} mm is too small for {}", thread.size),
            threads::source(),
            stack.discs.drill.place.line,
        )
        .held(hole, thread.hole, "mm")
        .mend(format!("Drill {} mm, the medium clearance hole.", thread.hole))
    })
}

fn stress(stack: &Stack, f: &StackFigures) -> Option<Finding> {
    let line = stack.discs.outer.place.line;
    let steel = bench::steel(&stack.discs.steel).ok()?;
    match &f.hoop {
        Err(e) => Some(finding("hoop-stress", Severity::Error, e.to_string(), "Shigley, rotating rings", line)),
        Ok(stress) => {
            // The rod holes raise the stress about three times (from memory: Peterson, hole in a plate).
            let strength = steel.yield_strength(stack.discs.thickness.length()).ok()?;
            let (peak, allowed) = (*stress * 3.0, strength / 2.0);
            (peak > allowed).then(|| {
                finding(
                    "hoop-stress",
                    Severity::Error,
                    "the discs are stressed too high at this speed".into(),
                    steel.source,
                    line,
                )
                .held(peak.mpa(), allowed.mpa(), "MPa")
                .mend("Lower the speed or the diameter.")
            })
        }
    }
}

/// How loose the discs may sit before balance asks for reamed bores, and whether the bore as it comes needs it.
fn balance_and_bore(module: &Module, stack: &Stack, setup: &Setup, own: &StackFigures, f: &Figures) -> Option<Finding> {
    let discs = own.disc_mass * f64::from(setup.discs);
    let loose = ream::largest_clearance(f.unbalance, discs, None).ok()?;
    let (comes, words) = as_it_comes(module, stack, loose)?;
    let text = format!(
        "{} g·mm are permitted at {} rpm; discs {} mm loose on the shaft, all pushed to one side, would use them up{words}",
        rounded(f.unbalance.gmm(), 0),
        rounded(f.speed.rpm(), 0),
        rounded(loose.mm(), 2)
    );
    Some(
        finding(
            "reaming-needed",
            Severity::Note,
            text,
            "ISO 21940-11, permissible residual unbalance",
            module.limits.balance_grade.place.line,
        )
        .held(comes.mm(), loose.mm(), "mm"),
    )
}

/// How loose the bore as it comes may be on the shaft, below zero where it does not go on, and what that says.
fn as_it_comes(module: &Module, stack: &Stack, loose: Length) -> Option<(Length, &'static str)> {
    let length = |d: Option<Decimal>| d.and_then(|d| d.to_f64()).map(Length::from_mm);
    let bore = (length(stack.discs.bore.value.lower)?, length(stack.discs.bore.value.upper)?);
    let (lower, upper, _) = figures::limits(&module.shaft.diameter).ok()?;
    let shaft = (length(lower)?, length(upper)?);
    let words = match (bore.0 < shaft.1, ream::finishing_needed(bore, shaft, loose)) {
        (true, _) => "; as it comes the bore does not go on, so it is reamed",
        (false, true) => "; as it comes the bore may be looser, so it is reamed",
        (false, false) => "; as it comes the bore is not looser, so balance does not ask for reaming",
    };
    Some((bore.1 - shaft.0, words))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A collar 80 mm across on a shaft of 30 mm: r = 2/3 · (40³ − 15³)/(40² − 15²) = 29.394 mm; 13.5 N·m at 0.10: 4.593 kN.
    #[test]
    fn what_would_have_to_press_a_collar_on_its_plate() {
        let mm = Length::from_mm;
        let (ring, force) = pressed(mm(80.0), mm(30.0), Torque::from_nm(13.5), 0.10).unwrap();
        assert!((ring.mm() - 29.394).abs() < 0.001 && (force.kn() - 4.593).abs() < 0.001, "{ring:?} {force:?}");
        assert!(pressed(mm(30.0), mm(30.0), Torque::from_nm(13.5), 0.10).is_none());
    }
}
