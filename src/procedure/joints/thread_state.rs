//! What threads and turning faces are brought to before they are turned on, for the friction that a torque is worked out for.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::module::{Bolts, Securing};
use crate::procedure::figures::{NoFigure, at};
use crate::standards::bolting;

/// State of threads and of the faces that turn on each other: the torque is worked out for it, so a step brings them to it.
#[derive(Debug, Clone, Default)]
pub struct Threads {
    /// In a few words, with the friction: "lightly oiled, 0.12 to 0.16".
    pub said: String,
    /// What is done before they are turned on, and what stays dry; empty where nothing is.
    pub ready: String,
    /// With what; empty where nothing is put on.
    pub tool: &'static str,
}

impl Threads {
    /// Those of a group of the spec.
    ///
    /// # Errors
    /// [`NoFigure`] for a friction that no class holds.
    pub fn of(bolts: &Bolts) -> Result<Self, NoFigure> {
        let friction = &bolts.friction;
        let end = |d: Option<Decimal>| d.and_then(|d| d.to_f64());
        let low = end(friction.value.lower).or(end(friction.value.upper)).unwrap_or(f64::NAN);
        let state = at(friction, bolting::thread_state(low, end(friction.value.upper).unwrap_or(low)))?;
        let ready = format!(
            "{}, for friction {}. Wipe off what runs; shaft, bores and clamped faces stay dry, oil there costs grip (common practice).{}",
            state.ready,
            friction.written,
            under(*bolts.secure)
        );
        Ok(Self { said: format!("{}, {}", state.said, friction.written), ready, tool: state.tool })
    }
}

/// What secures a bolt from underneath is put on with it; all else comes after the last torque.
const fn under(secure: Securing) -> &'static str {
    match secure {
        Securing::SpringWasher => {
            " Each gets its spring washer, straight under the head or nut that is turned, over the flat washer where there is one."
        }
        Securing::ThreadLocker | Securing::SecondNut | Securing::None => "",
    }
}
