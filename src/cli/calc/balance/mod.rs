//! Balancing.

mod indexed;
mod limits;
mod measured;
mod placed;

use clap::Subcommand;
use serde_json::Value;

use crate::mechanics::balance::Vector;

use super::given::shown;
use super::{Answered, Asked, Failure};

#[derive(Debug, Subcommand)]
pub enum Balance {
    /// Permissible residual unbalance, and its shares for two planes
    #[command(
        after_help = "Examples:\n  runtrue calc balance permissible --grade 6.3 --mass \"24 kg\" --speed \"300 rpm\"\n  runtrue calc balance permissible --grade 6.3 --mass \"24 kg\" --speed \"300 rpm\" --centre \"190 mm\" --plane \"50 mm\" --plane \"510 mm\""
    )]
    Permissible(limits::Permissible),
    /// Smallest unbalance that can be found
    #[command(
        after_help = "Examples:\n  runtrue calc balance floor --breakaway \"0.02 N·m\" --permitted \"6380 gmm\"\n  runtrue calc balance floor --mass \"28 kg\" --arm \"0.01 mm\""
    )]
    Floor(limits::Floor),
    /// Size of a trial weight
    #[command(
        after_help = "Example: runtrue calc balance trial --mass \"35 kg\" --speed \"300 rpm\" --radius \"40 mm\""
    )]
    Trial(limits::Trial),
    /// One plane, with phase
    #[command(
        after_help = "Example: runtrue calc balance vector --initial 4.2@35 --trial \"10 g@0\" --with-trial 3.1@120"
    )]
    Vector(measured::OnePlane),
    /// One plane, without phase: three trial runs or more
    #[command(
        after_help = "Example: runtrue calc balance four-run --trial \"10 g\" --initial 5.58 --at 0=3.0646 --at 120=6.6153 --at 240=8.3118"
    )]
    FourRun(measured::FourRun),
    /// One plane, without phase, two opposite trial runs
    #[command(after_help = "Example: runtrue calc balance two-run --trial \"20 g\" --initial 3 --at 0=5 --at 180=4")]
    TwoRun(measured::TwoRun),
    /// Two planes
    #[command(
        after_help = "Example: runtrue calc balance two-plane --initial 7.2@238,13.5@296 --trial-1 2.5@0 --with-1 4.9@114,9.2@347 --trial-2 2.5@0 --with-2 4.0@79,12.0@292"
    )]
    TwoPlane(measured::Two),
    /// Static unbalance by starting masses, hole by hole
    #[command(
        after_help = "Example: runtrue calc balance weigh --radius \"100 mm\" --start 0=30 --start 90=20 --start 180=30 --start 270=40"
    )]
    Weigh(measured::Weigh),
    /// Known unbalances: what they add up to, and what takes it away
    #[command(
        after_help = "Examples:\n  runtrue calc balance masses --unbalance \"900 gmm@30\" --unbalance \"400 gmm@200\" --radius \"40 mm\"\n  runtrue calc balance masses --unbalance \"900 gmm@30\" --at \"100 mm\" --plane \"0 mm\" --plane \"300 mm\""
    )]
    Masses(placed::Masses),
    /// A mass on the two holes beside it
    #[command(after_help = "Example: runtrue calc balance split --mass \"12 g\" --angle 40 --holes 6")]
    Split(placed::Split),
    /// The best index of discs
    #[command(after_help = "Example: runtrue calc balance index --holes 6 --disc \"8 gmm@20\" --disc \"11 gmm@75\"")]
    Index(indexed::Index),
    /// Washers opposite an unbalance
    #[command(
        after_help = "Example: runtrue calc balance washers --unbalance \"900 gmm@40\" --holes 6 --radius \"70 mm\" --washer \"3.1 g\""
    )]
    Washers(placed::Washers),
    /// Depth to drill
    #[command(
        after_help = "Example: runtrue calc balance drill --mass \"12 g\" --diameter \"8 mm\" --density \"7850 kg/m3\" --point 118"
    )]
    Drill(placed::Drill),
}

impl Balance {
    pub fn answer(self, asked: &Asked) -> Result<Answered, Failure> {
        match self {
            Self::Permissible(a) => a.answer(),
            Self::Floor(a) => a.answer(),
            Self::Trial(a) => a.answer(),
            Self::Vector(a) => a.answer(),
            Self::FourRun(a) => a.answer(),
            Self::TwoRun(a) => a.answer(),
            Self::TwoPlane(a) => a.answer(),
            Self::Weigh(a) => a.answer(),
            Self::Masses(a) => a.answer(),
            Self::Split(a) => a.answer(),
            Self::Index(a) => a.answer(asked),
            Self::Washers(a) => a.answer(),
            Self::Drill(a) => a.answer(),
        }
    }
}

/// Magnitude and angle, as they are printed.
fn polar(v: Vector) -> (Value, Value) {
    (shown(v.magnitude()), shown(v.degrees()))
}
