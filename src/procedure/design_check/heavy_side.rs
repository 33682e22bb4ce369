//! Whether the heavy side of the discs can be found well enough, and whether it is worth finding.

use crate::mechanics::balance::index_can_be_tried;
use crate::module::{HeavySide, Module, Setup, Stack};
use crate::procedure::figures::{Figures, HeavyFigures};
use crate::quantity::{Unbalance, rounded};

use super::{Finding, Severity, finding, no_figure};

const BASIS: &str = "ISO 21940-11, permissible residual unbalance at the speed that is never passed, or that of the setup a build adopted; half of it for what cannot be found, common practice";

/// What is found in one setup; nothing where the spec does not look for the heavy side.
pub(super) fn of_setup(module: &Module, stack: &Stack, setup: &Setup, f: &Figures) -> Vec<Finding> {
    let Some(way) = &stack.discs.heavy_side else { return Vec::new() };
    let line = way.arm.place.line;
    if !index_can_be_tried(*stack.discs.holes, setup.discs as usize) {
        let text = format!(
            "{} discs on {} holes have more than a million indices; no best one can be found",
            setup.discs, *stack.discs.holes
        );
        let finding = finding("heavy-side-index", Severity::Error, text, "common practice", line);
        return vec![finding.mend("Leave \"heavy side\" out, and balance the rotor as a whole.")];
    }
    match HeavyFigures::of(module, stack, way, setup, f) {
        Err(e) => vec![no_figure(&e)],
        Ok(own) => vec![judged(way, setup, &own)],
    }
}

fn judged(way: &HeavySide, setup: &Setup, own: &HeavyFigures) -> Finding {
    let show = |u: Unbalance| rounded(u.gmm(), 0);
    let known = format!(
        "the heavy side of {} discs is found within {} g·mm on {} (drag hides {} g·mm of a disc, play {}), {} are permitted",
        setup.discs,
        show(own.all),
        way.on.value.word(),
        show(own.floor),
        show(own.play),
        show(own.permitted)
    );
    let line = way.arm.place.line;
    if !own.worth_doing() {
        let text = format!(
            "not worth doing: {} discs off centre by the play of their bores make {} g·mm, with rims and thickness at their limits {}, and {} are permitted",
            setup.discs,
            show(own.off_centre),
            show(own.most),
            show(own.permitted)
        );
        return finding("heavy-side-needless", Severity::Note, text, BASIS, line)
            .held(own.most.gmm(), own.permitted.gmm(), "g·mm")
            .mend("Leave \"heavy side\" out.");
    }
    if !own.decides() {
        let text = format!("{known}: more than half, so this way does not decide");
        return finding("heavy-side-floor", Severity::Warning, text, BASIS, line)
            .held(own.all.gmm(), own.permitted.gmm() / 2.0, "g·mm")
            .mend("Take freer edges or rollers, a closer mandrel, or balance the rotor as a whole.");
    }
    let text = format!("{known}; discs within their drawing can make {}, so it is worth doing", show(own.most));
    finding("heavy-side", Severity::Note, text, BASIS, line).held(own.all.gmm(), own.permitted.gmm() / 2.0, "g·mm")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{Source, embedded, read};

    fn found(grade: &str, arm: &str) -> Vec<(Finding, HeavyFigures)> {
        let mut text = embedded("testwheel").unwrap().text;
        let line = |text: &str, start: &str| text.lines().find(|l| l.trim().starts_with(start)).unwrap().to_owned();
        let (old, heavy) = (line(&text, "balance grade:"), line(&text, "heavy side:"));
        text = text.replace(&old, &format!("  balance grade: G {grade}"));
        let way = format!(
            "  heavy side: {{ on: edges, mandrel: 30 mm h6, mandrel mass: 1.2 kg, arm: {arm}, radius: 140 mm }}"
        );
        text = text.replace(&heavy, &way);
        let module = read(&Source { name: "x".into(), text }).unwrap_or_else(|p| panic!("{}", p.report()));
        let stack = module.stack.as_ref().unwrap();
        let each = Setup::all(&module).into_iter().map(|setup| {
            let f = Figures::of(&module, &setup).unwrap();
            let own = HeavyFigures::of(&module, stack, stack.discs.heavy_side.as_ref().unwrap(), &setup, &f).unwrap();
            (of_setup(&module, stack, &setup, &f).remove(0), own)
        });
        each.collect()
    }

    /// By hand, a disc of 300 x 10 mm: π/4·(300² − 30² − 5·9²)·10 mm³ of 7.85e-3 g make 5468 g. On edges with a mandrel of 1.2 kg and
    /// an arm of 0.02 mm drag hides 6668·0.02 = 133.4 g·mm. 30 H7 on h6 is up to 21 + 13 = 34 µm wide, 17 µm off the axis: 93.0 g·mm,
    /// twice as squares 131.5; three discs within sqrt(3·(133.4² + 131.5²)) = 324. Off centre all to one side 3·93.0 = 279; a rim
    /// 0.1 mm off 547 a disc, and 0.4 mm of wedge 7.85e-3·0.4·π·150³/8 = 4162 a disc: 14,405 in all.
    #[test]
    fn figures_are_those_worked_by_hand() {
        let (_, own) = found("6.3", "0.02 mm").pop().unwrap();
        let near = |u: Unbalance, by_hand: f64| assert!((u.gmm() - by_hand).abs() < by_hand * 2e-3, "{u:?} {by_hand}");
        near(own.floor, 133.4);
        near(own.play, 131.5);
        near(own.all, 324.4);
        near(own.off_centre, 279.0);
        near(own.most, 14_405.0);
    }

    #[test]
    fn the_check_says_when_it_decides_when_it_cannot_and_when_it_is_needless() {
        let ids = |grade, arm| found(grade, arm).into_iter().map(|(f, _)| f.id).collect::<Vec<_>>();
        assert_eq!(ids("6.3", "0.02 mm")[2], "heavy-side");
        assert_eq!(ids("1", "0.1 mm")[2], "heavy-side-floor");
        assert_eq!(ids("100", "0.02 mm")[2], "heavy-side-needless");
    }
}
