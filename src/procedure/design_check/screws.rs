//! Findings on set screws: of the pulleys' hubs, and of the bearings' rings.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::set_screw;
use crate::module::{Module, Pulley, RingLock, SetScrews};
use crate::quantity::rounded;
use crate::standards::{bench, ring_screws, set_screws};

use super::{Finding, Severity, finding};

/// What holds in every setup.
pub(super) fn whole(module: &Module) -> Vec<Finding> {
    let mut found: Vec<Finding> = bite(module).into_iter().collect();
    for drive in &module.drives {
        found.extend(over_test(&drive.pulley.part, &drive.pulley.set_screws));
        found.extend(hub(module, &drive.pulley));
        found.extend(long_key(&drive.pulley));
    }
    if let RingLock::SetScrews(screws) = &module.bearings.lock {
        found.extend(over_test(&module.bearings.insert, screws));
    }
    found.extend(ring(module));
    found.extend(ring_size(module));
    found
}

fn bite(module: &Module) -> Option<Finding> {
    let (most, source) = bench::set_screw_shaft_hv();
    let hv = module.shaft.hardness.to_f64()?;
    (hv > most).then(|| {
        finding(
            "shaft-hardness",
            Severity::Error,
            format!("a shaft of {hv} HV is too hard for cup-point set screws"),
            source,
            module.shaft.hardness.place.line,
        )
        .held(hv, most, "HV")
        .mend("Grind flats or spots under the screws, take a softer shaft, or another lock.")
    })
}

/// A torque above the one that the screw itself is tested with.
fn over_test(part: &str, screws: &SetScrews) -> Option<Finding> {
    let most = set_screws::set_screw_test_torque(&screws.thread).ok()?;
    (*screws.torque > most).then(|| {
        let text = format!(
            "the {} set screws of {part} are tightened to {} N·m, above the {} N·m they are tested with",
            *screws.thread,
            screws.torque.nm(),
            most.nm()
        );
        let basis = "ISO 898-5, test torque of set screws 45H, as printed by a screw maker";
        finding("screw-torque", Severity::Error, text, basis, screws.torque.place.line)
            .held(screws.torque.nm(), most.nm(), "N·m")
            .mend("Take the torque from the screw maker's chart; a larger screw holds more.")
    })
}

/// What a hub's set screws carry, over the safety that their source asks for under the module's kind of load.
fn hub(module: &Module, pulley: &Pulley) -> Option<Finding> {
    if pulley.key.is_some() {
        // The key takes the torque, the screws keep the hub in its place; the key itself is a joint of the torque path.
        return None;
    }
    let (screws, load) = (&pulley.set_screws, module.limits.load());
    let hv = module.shaft.hardness.to_f64()?;
    // What no table holds is told where the figures are computed.
    let hold = set_screw::hub_hold(&screws.thread, *screws.count, hv, *screws.torque).ok()?;
    let (asked, half) = (*module.limits.torque, module.shaft.diameter.length() / 2.0);
    let allowed = hold.allowed(load).ok()? * half;
    let safety = set_screws::set_screw_safety(load).ok()?;
    let (least, lowest) = (hold.low * half, safety.low);
    let basis = format!("{}; the lower of two published series of holding, at the torque of the spec", safety.source);
    let found = |severity, text: String| {
        let at = finding("hub-screws", severity, text, &basis, screws.count.place.line).at(pulley.part.as_str());
        at.held(least / asked, lowest, "")
    };
    let holds = |by: &str| {
        format!(
            "the set screws of {} hold {} times the torque{by}; under {} load {lowest} to {} are asked",
            pulley.part,
            rounded(least / asked, 1),
            load.word(),
            safety.high
        )
    };
    if allowed < asked {
        let mend = "Take larger or more set screws at their full torque, a key, or a smaller torque.";
        return Some(found(Severity::Error, holds("")).mend(mend));
    }
    (least / asked < safety.high).then(|| {
        found(Severity::Note, holds(" by the lower series"))
            .mend("Look for a shift of the hub after the first run; a key carries more.")
    })
}

/// A key that stands out of its hub carries over the hub alone, and what stands out is in the way of what comes next on the shaft.
fn long_key(pulley: &Pulley) -> Option<Finding> {
    let (key, hub) = (pulley.key.as_ref()?, *pulley.hub_length);
    (**key > hub).then(|| {
        let text = format!(
            "the key of {} is {} mm long, its hub {} mm: it carries over the hub alone, and stands out of it",
            pulley.part,
            key.mm(),
            hub.mm()
        );
        finding("key-length", Severity::Warning, text, "geometry; DIN 6885-1", key.place.line)
            .held(key.mm(), hub.mm(), "mm")
            .at(pulley.part.as_str())
            .mend("Take a key no longer than the hub.")
    })
}

/// The set screws of the inner rings against the figures of the maker that the spec names, else against those of all: too low walks,
/// too high splits the ring.
fn ring(module: &Module) -> Option<Finding> {
    let RingLock::SetScrews(screws) = &module.bearings.lock else { return None };
    let (insert, line) = (module.bearings.insert.as_str(), screws.torque.place.line);
    let warning = |text: String, basis: &str| finding("ring-screws", Severity::Warning, text, basis, line);
    let all = "bearing makers' mounting instructions, all published figures";
    let Some(range) = ring_screws::range(insert, &screws.from).ok()? else {
        let figures: Vec<String> = ring_screws::torques(insert).ok()?.iter().map(|t| figure(t)).collect();
        let text = format!(
            "the set screws of {insert} get {} N·m from \"{}\", and the makers' figures have no range in common: {}",
            screws.torque.nm(),
            screws.from,
            figures.join(", ")
        );
        return Some(
            warning(text, all).mend("Name the maker and its ring in \"from\", and take the torque of its sheet."),
        );
    };
    let (torque, low, high) = (*screws.torque, range.low, range.high);
    let limit = match (torque < low, torque > high) {
        (true, _) => low,
        (_, true) => high,
        _ => return None,
    };
    let whose = range.maker.as_deref().map_or("all makers in common".into(), |maker| format!("{maker}'s figures"));
    let loose = if torque < low {
        format!("; the ring is held only {} % as fast", rounded(torque / low * 100.0, 0))
    } else {
        String::new()
    };
    let text = format!(
        "{} N·m on the set screws of {insert}, where {whose} allow {} to {} N·m{loose}",
        torque.nm(),
        rounded(low.nm(), 2),
        rounded(high.nm(), 2)
    );
    let found = warning(text, all).held(torque.nm(), limit.nm(), "N·m");
    Some(found.mend("Read the bearing maker's own sheet again."))
}

/// A ring comes with its screws: another size in the spec has another key, another torque and other spares.
fn ring_size(module: &Module) -> Option<Finding> {
    let RingLock::SetScrews(screws) = &module.bearings.lock else { return None };
    let insert = module.bearings.insert.as_str();
    let own = &ring_screws::torques(insert).ok()?.first()?.screw;
    // Makers print M8 and M8x1 for one ring; the pitch is not compared.
    let size = screws.thread.split('x').next().unwrap_or_default();
    (size != own).then(|| {
        let text =
            format!("the set screws of {insert} are {}, where its makers have {own} in the ring", *screws.thread);
        let basis = "bearing makers' mounting instructions, all published figures";
        let found = finding("ring-screws", Severity::Warning, text, basis, screws.thread.place.line).at("size");
        found.mend(format!("Write {own}, or read the bearing maker's own sheet again."))
    })
}

fn figure(torque: &ring_screws::RingTorque) -> String {
    let ring = if torque.ring.is_empty() { String::new() } else { format!(" {}", torque.ring) };
    let range =
        if torque.low < torque.high { format!("{} to {}", torque.low, torque.high) } else { torque.high.to_string() };
    format!("{range} N·m {} ({}{ring})", torque.kind, torque.maker)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    fn found(pairs: &[(&str, &str)]) -> Vec<Finding> {
        whole(&demo_with("flywheel", pairs))
    }

    fn of<'a>(found: &'a [Finding], id: &str) -> Option<&'a Finding> {
        found.iter().find(|f| f.id == id)
    }

    const HUB: &str = "size: M10, torque: 33 N·m";

    /// By hand, M10 at 33 N·m, two a quarter turn apart: 1.7071·4450 N·12.5 mm = 94.96 N·m, 6.3 times 15. M8 at 17: 1.7071·2600·12.5 =
    /// 55.5 N·m, 3.7 times, below 4. Steady load asks for 1.5 to 2.
    #[test]
    fn a_hub_is_held_against_the_safety_of_its_load() {
        let demo = found(&[]);
        let note = of(&demo, "hub-screws").unwrap();
        assert!(note.severity == Severity::Note && (note.value.unwrap() - 6.331).abs() < 2e-3, "{note:?}");
        let small = found(&[(HUB, "size: M8, torque: 17 N·m")]);
        let error = of(&small, "hub-screws").unwrap();
        assert!(error.severity == Severity::Error && (error.value.unwrap() - 3.699).abs() < 2e-3, "{error:?}");
        assert!(error.text.contains("3.7 times") && error.limit == Some(4.0));
        let steady =
            found(&[(HUB, "size: M8, torque: 17 N·m"), ("slip safety: 1.5", "slip safety: 1.5\n  load: steady")]);
        assert!(of(&steady, "hub-screws").is_none());
    }

    /// Half the torque holds half: 3.2 times, below 4.
    #[test]
    fn a_hub_that_is_tightened_less_holds_less() {
        let slack = found(&[(HUB, "size: M10, torque: 16.5 N·m")]);
        let error = of(&slack, "hub-screws").unwrap();
        assert!(error.severity == Severity::Error && (error.value.unwrap() - 3.165).abs() < 2e-3, "{error:?}");
    }

    /// By hand, 8 x 7 on 25 mm: 3 mm of flank bear at 0.9·225 MPa. 40 mm long it would bear over 32 mm, within 1.3 d; a hub of 20 mm leaves
    /// 3·20·202.5 N·12.5 mm = 151.9 N·m.
    #[test]
    fn a_key_carries_over_its_hub_alone() {
        let keyed = |length: &str, hub: &str| {
            let key = format!("hub length: {hub}\n  key: {length}");
            demo_with("flywheel", &[("hub length: 60 mm", &key)])
        };
        let holds = |module: &Module| {
            let joints = crate::procedure::figures::hub_joints(module).unwrap();
            joints.iter().find(|j| j.name.starts_with("pulley")).unwrap().holds.nm()
        };
        let (short, long) = (keyed("40 mm", "20 mm"), keyed("40 mm", "60 mm"));
        assert!(
            (holds(&short) - 151.875).abs() < 1e-6 && (holds(&long) - 151.875 * 1.6).abs() < 1e-6,
            "{}",
            holds(&long)
        );
        let told = whole(&short);
        let finding = of(&told, "key-length").unwrap();
        assert!(finding.severity == Severity::Warning && finding.limit == Some(20.0), "{finding:?}");
        assert!(of(&whole(&long), "key-length").is_none());
    }

    #[test]
    fn a_torque_above_the_test_torque_of_the_screw_is_an_error_at_its_line() {
        assert!(of(&found(&[]), "screw-torque").is_none());
        let hub = found(&[(HUB, "size: M10, torque: 41 N·m")]);
        let error = of(&hub, "screw-torque").unwrap();
        assert!(error.severity == Severity::Error && error.limit == Some(40.0) && error.text.contains("pulley"));
        let ring = found(&[("torque: 4.8 N·m", "torque: 8.6 N·m")]);
        assert!(of(&ring, "screw-torque").is_some_and(|f| f.limit == Some(8.5) && f.text.contains("UC205")));
    }

    #[test]
    fn a_ring_is_held_against_the_maker_that_is_named_and_an_unnamed_one_is_asked_for() {
        assert!(of(&found(&[]), "ring-screws").is_none());
        let low = found(&[("torque: 4.8 N·m", "torque: 4 N·m")]);
        let text = &of(&low, "ring-screws").unwrap().text;
        assert!(text.contains("AMI's figures allow 4.57 to 4.86 N·m") && text.contains("88 % as fast"), "{text}");
        assert!(of(&found(&[("torque: 4.8 N·m", "torque: 5 N·m")]), "ring-screws").is_some());
        let unnamed = found(&[("AMI mounting instructions, zone-hardened ring", "the bearing maker's sheet")]);
        let text = &of(&unnamed, "ring-screws").unwrap().text;
        assert!(text.contains("no range in common") && text.contains("7.3 to 9.6 N·m"), "{text}");
    }
}
