//! What keeps bolts tight must be something that a step of their group does: a word that no step carries out would be read as done.

use super::fasteners::{Bolts, Securing};
use super::model::Module;
use super::read::Reader;

/// Refuses every word of securing that no step of its group carries out.
pub fn check(module: &Module, reader: &mut Reader) {
    if let Some(stack) = &module.stack {
        one("rods", &stack.rods.bolts, on_rods, reader);
        one("collars", &stack.collars.pinch, on_pinch_bolts, reader);
    }
    one("bearings", &module.bearings.base_bolts, standing_still, reader);
    one("frame", &module.frame.hold_downs, standing_still, reader);
    for drive in &module.drives {
        one("sled", &drive.sled.lock_bolts, on_a_sled, reader);
    }
}

/// What is wrong, and what to write instead.
type Refusal = (String, &'static str);

fn one(group: &str, bolts: &Bolts, refusal: fn(&str, Securing) -> Option<Refusal>, reader: &mut Reader) {
    if let Some((what, mend)) = refusal(group, bolts.secure.value) {
        reader.problem(bolts.secure.place, what, mend);
    }
}

fn loose(group: &str) -> String {
    format!("nothing keeps the bolts of the {group} tight, and they turn with the rotor")
}

fn on_rods(group: &str, word: Securing) -> Option<Refusal> {
    match word {
        Securing::None => Some((loose(group), "Choose \"thread locker\", \"second nut\" or \"spring washer\".")),
        Securing::ThreadLocker | Securing::SecondNut | Securing::SpringWasher => None,
    }
}

/// Pinch bolts stand in tapped holes: there is no thread behind them for a nut.
fn on_pinch_bolts(group: &str, word: Securing) -> Option<Refusal> {
    const MEND: &str = "Choose \"thread locker\" or \"spring washer\".";
    match word {
        Securing::None => Some((loose(group), MEND)),
        Securing::SecondNut => Some((
            format!("the pinch bolts of the {group} stand in tapped holes, a second nut has no thread there"),
            MEND,
        )),
        Securing::ThreadLocker | Securing::SpringWasher => None,
    }
}

/// Bolts of what stands still: the spec does not say whether the holes below them are tapped, and they are rechecked with a wrench,
/// before the run and at every visit, which breaks the bond of a locker.
fn standing_still(group: &str, word: Securing) -> Option<Refusal> {
    const MEND: &str = "Choose \"spring washer\", or \"none\" where the line alone shall tell.";
    match word {
        Securing::SecondNut => Some((
            format!(
                "no step puts second nuts on the bolts of the {group}: the spec does not say that they end in nuts"
            ),
            MEND,
        )),
        Securing::ThreadLocker => Some((
            format!("no step locks the bolts of the {group}: they are rechecked with a wrench, which breaks the bond"),
            MEND,
        )),
        Securing::SpringWasher | Securing::None => None,
    }
}

/// Lock bolts are eased whenever the belt is drawn again.
fn on_a_sled(group: &str, word: Securing) -> Option<Refusal> {
    match word {
        Securing::ThreadLocker => Some((
            format!(
                "the lock bolts of the {group} are eased each time the belt is drawn again, a locker would not let them"
            ),
            "Choose \"spring washer\", or \"none\" where the line alone shall tell.",
        )),
        _ => standing_still(group, word),
    }
}
