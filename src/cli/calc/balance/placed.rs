//! Masses on their places: sums, holes, discs, washers, drilled holes.

use clap::Args;
use serde_json::json;

use crate::mechanics::balance as mech;
use crate::mechanics::balance::{At, Vector};
use crate::quantity::{Kind, Length};

use super::super::given::{fail, length, number, positive, quantity, shown, vector};
use super::super::{Answered, Failure};
use super::polar;

pub(super) fn unbalances(name: &str, texts: &[String]) -> Result<Vec<Vector>, Failure> {
    texts.iter().map(|d| vector(name, d, Some(Kind::Unbalance))).collect()
}

pub(super) fn lengths(name: &str, texts: &[String]) -> Result<Vec<f64>, Failure> {
    texts.iter().map(|p| quantity(name, p, Kind::Length)).collect()
}

#[derive(Debug, Args)]
pub struct Masses {
    /// A known unbalance, like "900 gmm@30"
    #[arg(long = "unbalance", required = true)]
    unbalances: Vec<String>,
    /// Its place along the shaft, in the same order
    #[arg(long = "at", requires = "planes")]
    places: Vec<String>,
    /// Place of a correction plane; twice
    #[arg(long = "plane", requires = "places")]
    planes: Vec<String>,
    /// Radius the correction is fixed at, for its mass
    #[arg(long)]
    radius: Option<String>,
}

impl Masses {
    pub fn answer(self) -> Result<Answered, Failure> {
        let all = unbalances("unbalance", &self.unbalances)?;
        let radius = self.radius.as_deref().map(|r| length("radius", r)).transpose()?;
        let sum = mech::resultant(&all);
        let (gmm, deg) = polar(sum);
        let mut keys = vec![("resultant_gmm".to_owned(), gmm), ("resultant_deg".to_owned(), deg)];
        let mut correction = |name: &str, v: Vector| {
            let (gmm, deg) = polar(v);
            keys.extend([(format!("{name}_gmm"), gmm), (format!("{name}_deg"), deg)]);
            keys.extend(radius.map(|r| (format!("{name}_g"), shown(v.magnitude() / r.mm()))));
        };
        match self.planes.as_slice() {
            [] => correction("correction", sum.opposite()),
            [a, b] => {
                let planes = [quantity("plane", a, Kind::Length)?, quantity("plane", b, Kind::Length)?];
                let [one, two] = self.two(&all, planes.map(Length::from_mm))?;
                correction("correction_1", one);
                correction("correction_2", two);
            }
            more => return Err(Failure::new(format!("--plane is needed twice, {} were given", more.len()))),
        }
        let pairs = keys.iter().map(|(k, v)| (k.as_str(), v.clone())).collect();
        Ok(Answered::new(pairs, &["statics: sum of the vectors, and of their moments about each plane"]))
    }

    fn two(&self, all: &[Vector], planes: [Length; 2]) -> Result<[Vector; 2], Failure> {
        let places = lengths("at", &self.places)?;
        if places.len() != all.len() {
            return Err(Failure::new(format!("--at: {} places for {} unbalances", places.len(), all.len())));
        }
        let at: Vec<At> = all.iter().zip(places).map(|(u, x)| At { at: Length::from_mm(x), unbalance: *u }).collect();
        mech::in_two_planes(&at, planes).map_err(fail)
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
    pub fn answer(self) -> Result<Answered, Failure> {
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
    pub fn answer(self) -> Result<Answered, Failure> {
        let unbalance = vector("unbalance", &self.unbalance, Some(Kind::Unbalance))?;
        let radius = positive("radius", &self.radius, Kind::Length)?;
        let washer = positive("washer", &self.washer, Kind::Mass)? * 1000.0;
        let (counts, left) = mech::washers(unbalance, self.holes, radius, washer, self.most).map_err(fail)?;
        Ok(Answered::new(
            vec![
                ("counts", json!(counts)),
                ("residual_gmm", shown(left.magnitude())),
                ("residual_deg", shown(left.degrees())),
            ],
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
    /// Thickness of the disc, for holes right through
    #[arg(long)]
    thickness: Option<String>,
}

impl Drill {
    pub fn answer(self) -> Result<Answered, Failure> {
        let mass = positive("mass", &self.mass, Kind::Mass)? * 1000.0;
        let diameter = positive("diameter", &self.diameter, Kind::Length)?;
        let density = positive("density", &self.density, Kind::Density)?;
        let point = self.point.as_deref().map(|p| number("point", p.trim_end_matches('°'))).transpose()?;
        let depth = mech::drill_depth_mm(mass, diameter, density, point).map_err(fail)?;
        let cone = point.map_or(Ok(0.0), |p| mech::cone_height_mm(diameter, p)).map_err(fail)?;
        let mut keys = vec![
            ("depth_mm", shown(depth)),
            ("depth_at_tip_mm", shown(depth + cone)),
            ("drill_at", json!("on the heavy side, opposite to where weight would be added")),
        ];
        if let Some(thickness) = &self.thickness {
            let through = mech::through_hole_mass_g(diameter, positive("thickness", thickness, Kind::Length)?, density);
            keys.extend([("through_hole_g", shown(through)), ("through_holes", shown(mass / through))]);
        }
        Ok(Answered::new(keys, &["volume of the hole; the cone of the point counts"]))
    }
}
