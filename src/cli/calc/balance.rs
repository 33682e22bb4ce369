//! Balancing.

use clap::{Args, Subcommand};
use serde_json::{Value, json};

use crate::mechanics::balance as mech;
use crate::mechanics::balance::{TwoPlane, Vector};
use crate::mechanics::rotor;
use crate::quantity::{Kind, Mass, Speed};

use super::given::{fail, number, pair, positive, quantity, shown, vector};
use super::{Answered, Failure};

const VECTORS: &str =
    "influence coefficients, as in Brüel & Kjær's application notes; angles in the sense of the rotor's marks";

#[derive(Debug, Subcommand)]
pub enum Balance {
    /// Permissible residual unbalance
    #[command(
        after_help = "Example: runtrue calc balance permissible --grade 6.3 --mass \"24 kg\" --speed \"300 rpm\""
    )]
    Permissible(Permissible),
    /// One plane, with phase
    #[command(
        after_help = "Example: runtrue calc balance vector --initial 4.2@35 --trial \"10 g@0\" --with-trial 3.1@120"
    )]
    Vector(OnePlane),
    /// One plane, without phase
    #[command(
        after_help = "Example: runtrue calc balance four-run --trial \"10 g\" --initial 5.58 --at 0=3.0646 --at 120=6.6153 --at 240=8.3118"
    )]
    FourRun(FourRun),
    /// Two planes
    #[command(
        after_help = "Example: runtrue calc balance two-plane --initial 7.2@238,13.5@296 --trial-1 2.5@0 --with-1 4.9@114,9.2@347 --trial-2 2.5@0 --with-2 4.0@79,12.0@292"
    )]
    TwoPlane(Two),
    /// A mass on the two holes beside it
    #[command(after_help = "Example: runtrue calc balance split --mass \"12 g\" --angle 40 --holes 6")]
    Split(Split),
    /// The best index of discs
    #[command(after_help = "Example: runtrue calc balance index --holes 6 --disc \"8 gmm@20\" --disc \"11 gmm@75\"")]
    Index(Index),
    /// Washers opposite an unbalance
    #[command(
        after_help = "Example: runtrue calc balance washers --unbalance \"900 gmm@40\" --holes 6 --radius \"70 mm\" --washer \"3.1 g\""
    )]
    Washers(Washers),
    /// Depth to drill
    #[command(
        after_help = "Example: runtrue calc balance drill --mass \"12 g\" --diameter \"8 mm\" --density \"7850 kg/m3\" --point 118"
    )]
    Drill(Drill),
}

impl Balance {
    pub fn answer(self) -> Result<Answered, Failure> {
        match self {
            Self::Permissible(a) => a.answer(),
            Self::Vector(a) => a.answer(),
            Self::FourRun(a) => a.answer(),
            Self::TwoPlane(a) => a.answer(),
            Self::Split(a) => a.answer(),
            Self::Index(a) => a.answer(),
            Self::Washers(a) => a.answer(),
            Self::Drill(a) => a.answer(),
        }
    }
}

fn correction(v: Vector) -> (Value, Value) {
    (shown(v.magnitude()), shown(v.degrees()))
}

#[derive(Debug, Args)]
pub struct Permissible {
    /// Balance grade G, mm/s
    #[arg(long)]
    grade: String,
    /// Mass of the rotor
    #[arg(long)]
    mass: String,
    /// Highest speed in service
    #[arg(long)]
    speed: String,
}

impl Permissible {
    fn answer(self) -> Result<Answered, Failure> {
        let grade = number("grade", self.grade.trim_start_matches(['G', ' ']))?;
        if grade <= 0.0 {
            return Err(Failure::new("--grade: it must be above 0, like 6.3"));
        }
        let mass = Mass::from_kg(positive("mass", &self.mass, Kind::Mass)?);
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        Ok(Answered::new(
            vec![("permissible_gmm", shown(rotor::permissible_unbalance(grade, mass, speed).gmm()))],
            &["ISO 21940-11"],
        ))
    }
}

#[derive(Debug, Args)]
pub struct OnePlane {
    /// Reading at first, like 4.2@35
    #[arg(long)]
    initial: String,
    /// Trial weight, like "10 g@0"
    #[arg(long)]
    trial: String,
    /// Reading with it
    #[arg(long)]
    with_trial: String,
}

impl OnePlane {
    fn answer(self) -> Result<Answered, Failure> {
        let c = mech::single_plane(
            vector("initial", &self.initial, None)?,
            vector("trial", &self.trial, Some(Kind::Mass))?,
            vector("with-trial", &self.with_trial, None)?,
        )
        .map_err(fail)?;
        let (g, deg) = correction(c);
        Ok(Answered::new(vec![("correction_g", g), ("correction_deg", deg)], &[VECTORS]))
    }
}

#[derive(Debug, Args)]
pub struct FourRun {
    /// Trial weight
    #[arg(long)]
    trial: String,
    /// Reading at first
    #[arg(long)]
    initial: String,
    /// Reading with the trial weight at an angle, like 120=4.0
    #[arg(long = "at", value_name = "ANGLE=READING", required = true)]
    at: Vec<String>,
}

impl FourRun {
    fn answer(self) -> Result<Answered, Failure> {
        let trial = positive("trial", &self.trial, Kind::Mass)? * 1000.0;
        let run = |t: &String| {
            let (angle, reading) = t
                .split_once('=')
                .ok_or_else(|| Failure::new(format!("--at: \"{t}\" is not ANGLE=READING, like 120=4.0")))?;
            Ok((number("at", angle)?, number("at", reading)?))
        };
        let runs = self.at.iter().map(run).collect::<Result<Vec<_>, Failure>>()?;
        let (c, k) = mech::no_phase(trial, number("initial", &self.initial)?, &runs).map_err(fail)?;
        let (g, deg) = correction(c);
        let good = mech::CONSISTENT.contains(&k);
        let why = if good {
            "the readings agree"
        } else {
            "the readings contradict each other; do not fit this, measure again"
        };
        let keys = vec![
            ("correction_g", g),
            ("correction_deg", deg),
            ("consistency", shown(k)),
            ("usable", json!(good)),
            ("why", json!(why)),
        ];
        let answered =
            Answered::new(keys, &["law of cosines over the trial runs; consistency 0.9 to 1.1 common practice"]);
        Ok(if good { answered } else { answered.no() })
    }
}

#[derive(Debug, Args)]
pub struct Two {
    /// Readings of sensors A and B at first
    #[arg(long)]
    initial: String,
    /// Trial weight in plane 1, grams at degrees
    #[arg(long)]
    trial_1: String,
    /// Readings with it
    #[arg(long)]
    with_1: String,
    /// Trial weight in plane 2
    #[arg(long)]
    trial_2: String,
    /// Readings with it
    #[arg(long)]
    with_2: String,
    /// Trial weight 1 was still on in the second run
    #[arg(long)]
    keep_trial_1: bool,
}

impl Two {
    fn answer(self) -> Result<Answered, Failure> {
        // Grams may be written or left out: the contract's form is "g@deg".
        let grams = |name: &str, text: &str| vector(name, text, Some(Kind::Mass)).or_else(|_| vector(name, text, None));
        let run = TwoPlane {
            initial: pair("initial", &self.initial)?,
            trials: [grams("trial-1", &self.trial_1)?, grams("trial-2", &self.trial_2)?],
            with_1: pair("with-1", &self.with_1)?,
            with_2: pair("with-2", &self.with_2)?,
            trial_1_kept: self.keep_trial_1,
        };
        let [a, b] = mech::two_plane(&run).map_err(fail)?;
        let ((g1, d1), (g2, d2)) = (correction(a), correction(b));
        Ok(Answered::new(
            vec![("correction_1_g", g1), ("correction_1_deg", d1), ("correction_2_g", g2), ("correction_2_deg", d2)],
            &[VECTORS],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Split {
    /// Mass
    #[arg(long)]
    mass: String,
    /// Angle from marked hole 1
    #[arg(long)]
    angle: String,
    /// Number of holes
    #[arg(long)]
    holes: u32,
    /// Angle of hole 1
    #[arg(long, default_value = "0")]
    first: String,
}

impl Split {
    fn answer(self) -> Result<Answered, Failure> {
        let mass = positive("mass", &self.mass, Kind::Mass)? * 1000.0;
        let [(a, ma), (b, mb)] =
            mech::split(mass, number("angle", &self.angle)?, self.holes, number("first", &self.first)?)
                .map_err(fail)?;
        Ok(Answered::new(
            vec![("hole_a", json!(a)), ("mass_a_g", shown(ma)), ("hole_b", json!(b)), ("mass_b_g", shown(mb))],
            &["resolution of a vector on two directions"],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Index {
    /// Number of holes
    #[arg(long)]
    holes: u32,
    /// Unbalance of a disc as received, like "8 gmm@20"
    #[arg(long = "disc", required = true)]
    discs: Vec<String>,
    /// Place of a disc along the shaft
    #[arg(long = "at")]
    places: Vec<String>,
}

impl Index {
    fn answer(self) -> Result<Answered, Failure> {
        let discs =
            self.discs.iter().map(|d| vector("disc", d, Some(Kind::Unbalance))).collect::<Result<Vec<_>, _>>()?;
        let places = self.places.iter().map(|p| quantity("at", p, Kind::Length)).collect::<Result<Vec<_>, _>>()?;
        let found = mech::index(self.holes, &discs, &places).map_err(fail)?;
        Ok(Answered::new(
            vec![
                ("indices", json!(found.turns)),
                ("residual_gmm", shown(found.residual.magnitude())),
                ("residual_deg", shown(found.residual.degrees())),
                ("couple_gmm2", shown(found.couple)),
                ("worst_gmm", shown(found.worst)),
            ],
            &["every arrangement compared: static sum first, couple about the middle second"],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Washers {
    /// Unbalance, like "900 gmm@40"
    #[arg(long)]
    unbalance: String,
    /// Number of holes
    #[arg(long)]
    holes: u32,
    /// Radius of the holes
    #[arg(long)]
    radius: String,
    /// Mass of one washer
    #[arg(long)]
    washer: String,
    /// Most washers on one hole
    #[arg(long, default_value_t = 6)]
    most: u32,
}

impl Washers {
    fn answer(self) -> Result<Answered, Failure> {
        let unbalance = vector("unbalance", &self.unbalance, Some(Kind::Unbalance))?;
        let radius = positive("radius", &self.radius, Kind::Length)?;
        let washer = positive("washer", &self.washer, Kind::Mass)? * 1000.0;
        let (counts, left) = mech::washers(unbalance, self.holes, radius, washer, self.most).map_err(fail)?;
        Ok(Answered::new(
            vec![("counts", json!(counts)), ("residual_gmm", shown(left.magnitude()))],
            &["statics; weigh the washers you have"],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Drill {
    /// Mass to take away
    #[arg(long)]
    mass: String,
    /// Diameter of the drill
    #[arg(long)]
    diameter: String,
    /// Density
    #[arg(long, default_value = "7850 kg/m3")]
    density: String,
    /// Point angle; without it the hole is flat
    #[arg(long)]
    point: Option<String>,
}

impl Drill {
    fn answer(self) -> Result<Answered, Failure> {
        let mass = positive("mass", &self.mass, Kind::Mass)? * 1000.0;
        let diameter = positive("diameter", &self.diameter, Kind::Length)?;
        let density = positive("density", &self.density, Kind::Density)?;
        let point = self.point.as_deref().map(|p| number("point", p.trim_end_matches('°'))).transpose()?;
        if point.is_some_and(|p| !(30.0..180.0).contains(&p)) {
            return Err(Failure::new("--point: it lies from 30 to 180 degrees"));
        }
        let depth = mech::drill_depth_mm(mass, diameter, density, point).map_err(fail)?;
        Ok(Answered::new(vec![("depth_mm", shown(depth))], &["volume of the hole; the cone of the point counts"]))
    }
}
