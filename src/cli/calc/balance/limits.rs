//! What is permitted, what can be found, how large a trial weight.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::balance as mech;
use crate::mechanics::rotor::unbalance_force;
use crate::quantity::{Kind, Length, Mass, Speed, Torque, Unbalance};
use crate::standards::balance_grades;

use super::super::given::{fail, length, number, positive, quantity, shown};
use super::super::{Answered, Failure};

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
    /// Place of the mass centre, to share it between two planes
    #[arg(long, requires = "planes")]
    centre: Option<String>,
    /// Place of a tolerance plane, by rule a bearing; twice
    #[arg(long = "plane", requires = "centre")]
    planes: Vec<String>,
    /// Residual unbalance found, for the grade it meets
    #[arg(long)]
    residual: Option<String>,
}

impl Permissible {
    pub fn answer(self) -> Result<Answered, Failure> {
        let grade = number("grade", self.grade.trim_start_matches(['G', ' ']))?;
        if grade <= 0.0 {
            return Err(Failure::new("--grade: it must be above 0, like 6.3"));
        }
        let mass = Mass::from_kg(positive("mass", &self.mass, Kind::Mass)?);
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        let whole = mech::permissible_unbalance(grade, mass, speed).map_err(fail)?;
        let machines = balance_grades::grade(grade).map_or(Value::Null, |row| json!(row.machines));
        let mut keys = vec![
            ("permissible_gmm", shown(whole.gmm())),
            ("specific_um", shown(mech::specific_um(grade, speed).map_err(fail)?)),
            ("meant_for", machines),
        ];
        if let Some(centre) = &self.centre {
            keys.extend(self.shares(whole, centre)?);
        }
        let mut within = true;
        if let Some(residual) = &self.residual {
            let residual = Unbalance::from_gmm(positive("residual", residual, Kind::Unbalance)?);
            let met = mech::achieved_grade(residual, mass, speed).map_err(fail)?;
            within = residual <= whole;
            keys.extend([("achieved_grade", shown(met)), ("residual_within", json!(within))]);
        }
        let answered = Answered::new(keys, &["ISO 21940-11", balance_grades::source()]);
        Ok(answered.yes_if(within))
    }

    fn shares(&self, whole: Unbalance, centre: &str) -> Result<Vec<(&'static str, Value)>, Failure> {
        let place = |name: &str, text: &str| quantity(name, text, Kind::Length).map(Length::from_mm);
        let [a, b] = self.planes.as_slice() else {
            return Err(Failure::new(format!("--plane is needed twice, {} were given", self.planes.len())));
        };
        let planes = [place("plane", a)?, place("plane", b)?];
        let shares = mech::split_to_planes(whole, place("centre", centre)?, planes).map_err(fail)?;
        let why = match (shares.limited, shares.overhung) {
            (false, _) => "by the distance of the mass centre to the other plane",
            (true, false) => "kept within 0.3 to 0.7 of the whole",
            (true, true) => {
                "mass centre outside the planes: kept within 0.3 to 1.3 of the whole (from memory: ISO 21940-11)"
            }
        };
        Ok(vec![
            ("plane_1_gmm", shown(shares.each[0].gmm())),
            ("plane_2_gmm", shown(shares.each[1].gmm())),
            ("shares", json!(why)),
        ])
    }
}

#[derive(Debug, Args)]
pub struct Floor {
    /// Torque that just starts the rotor
    #[arg(long, required_unless_present = "mass")]
    breakaway: Option<String>,
    /// Mass of the rotor, on level edges
    #[arg(long, requires = "arm", conflicts_with = "breakaway")]
    mass: Option<String>,
    /// Arm of rolling resistance of the edges
    #[arg(long, requires = "mass")]
    arm: Option<String>,
    /// Permissible unbalance that has to be decided on
    #[arg(long)]
    permitted: Option<String>,
}

impl Floor {
    pub fn answer(self) -> Result<Answered, Failure> {
        let floor = match (&self.breakaway, &self.mass, &self.arm) {
            (Some(torque), ..) => {
                mech::smallest_findable(Torque::from_nm(positive("breakaway", torque, Kind::Torque)?))
            }
            (None, Some(mass), Some(arm)) => {
                mech::rolling_floor(Mass::from_kg(positive("mass", mass, Kind::Mass)?), length("arm", arm)?)
            }
            _ => return Err(Failure::new("--breakaway, or --mass with --arm, is needed")),
        };
        let mut keys = vec![("smallest_findable_gmm", shown(floor.gmm()))];
        let mut good = true;
        if let Some(text) = &self.permitted {
            good = mech::decides(floor, Unbalance::from_gmm(positive("permitted", text, Kind::Unbalance)?));
            let why = if good {
                "it is at most half of what is permitted: rolling to rest decides"
            } else {
                "it is over half of what is permitted: use edges or free rollers before the bearings go on, or weigh hole by hole"
            };
            keys.extend([("decides", json!(good)), ("why", json!(why))]);
        }
        let basis =
            ["statics: torque over gravity; half of the limit common practice", "static methods leave the couple"];
        let answered = Answered::new(keys, &basis);
        Ok(answered.yes_if(good))
    }
}

#[derive(Debug, Args)]
pub struct Trial {
    /// Mass of the rotor
    #[arg(long)]
    mass: String,
    /// Speed of the trial run
    #[arg(long)]
    speed: String,
    /// Radius the weight is fixed at
    #[arg(long)]
    radius: String,
    /// Its force as a share of the rotor's weight
    #[arg(long, default_value = "0.1")]
    share: String,
}

impl Trial {
    pub fn answer(self) -> Result<Answered, Failure> {
        let mass = Mass::from_kg(positive("mass", &self.mass, Kind::Mass)?);
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        let radius = length("radius", &self.radius)?;
        let trial = mech::trial_weight(mass, speed, radius, number("share", &self.share)?).map_err(fail)?;
        let force = unbalance_force(Unbalance::from_gmm(trial.g() * radius.mm()), speed);
        Ok(Answered::new(
            vec![
                ("trial_g", shown(trial.g())),
                ("force_n", shown(force.n())),
                ("fixing", json!("bolt it, no tape or magnet; stop if the vibration doubles")),
            ],
            &["force of 5 to 10 % of the rotor's weight (public condition-monitoring notes)"],
        ))
    }
}
