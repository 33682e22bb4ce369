//! Mounted bearings.

use clap::Args;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Value, json};

use crate::mechanics::bearing;
use crate::quantity::{Force, Kind, Length, Speed, Temperature};
use crate::standards::{bearings, iso286, measuring, ring_screws};

use super::given::{fail, number, positive, quantity, shown};
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Bearing {
    /// Dynamic rating
    #[arg(long, required_unless_present = "insert")]
    dynamic: Option<String>,
    /// Static rating
    #[arg(long)]
    r#static: Option<String>,
    /// Factor f0 of the bearing, for axial load
    #[arg(long)]
    f0: Option<String>,
    /// Insert like UC205, for its ratings where none are given
    #[arg(long)]
    insert: Option<String>,
    /// Equivalent load, or the radial load alone
    #[arg(long)]
    load: String,
    /// Axial load; --load is then the radial one
    #[arg(long)]
    axial: Option<String>,
    /// Speed
    #[arg(long)]
    speed: String,
}

impl Bearing {
    pub fn answer(self) -> Result<Answered, Failure> {
        let force = |name: &str, text: &str| positive(name, text, Kind::Force).map(Force::from_n);
        let unit = self.insert.as_deref().map(bearings::insert).transpose().map_err(fail)?;
        let rating = |name: &str, given: Option<&String>, of: &dyn Fn(&bearings::Unit) -> Force| {
            given.map(|t| force(name, t)).transpose().map(|g| g.or_else(|| unit.map(of)))
        };
        let dynamic = rating("dynamic", self.dynamic.as_ref(), &bearings::Unit::dynamic)?
            .ok_or_else(|| Failure::new("--dynamic or --insert is needed"))?;
        let stated = rating("static", self.r#static.as_ref(), &bearings::Unit::static_rating)?;
        let f0 = self.f0.as_deref().map(|t| number("f0", t)).transpose()?.or_else(|| unit.map(|u| u.f0));
        let radial = force("load", &self.load)?;
        let axial = self.axial.as_deref().map(|t| quantity("axial", t, Kind::Force).map(Force::from_n)).transpose()?;
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        let load = equivalent(radial, axial, stated, f0)?;
        let life = bearing::life(dynamic, load, speed).map_err(fail)?;
        let safety = stated.and_then(|c0| bearing::static_safety(c0, radial, axial.unwrap_or_default()).ok());
        let (class, class_source) = bearings::shaft_class(load / dynamic).map_err(fail)?;
        let mut basis = vec!["ISO 281, ball bearings", class_source];
        if unit.is_some() {
            basis.push(bearings::source());
        }
        if axial.is_some() {
            basis.extend([bearings::axial_source(), bearings::f0_source()]);
        }
        if safety.is_some() {
            basis.push(&bearings::static_factors().source);
        }
        let stands = safety.is_none_or(|s| s >= bearings::static_factors().safety);
        let answered = Answered::new(
            vec![
                ("life_mrev", shown(life.h() * speed.rpm() * 60.0 / 1e6)),
                ("life_h", shown(life.h())),
                ("equivalent_kn", shown(load.kn())),
                ("static_safety", safety.map_or(Value::Null, shown)),
                ("shaft_class", json!(class)),
            ],
            &basis,
        );
        Ok(answered.yes_if(stands))
    }
}

/// The load that the life goes by.
fn equivalent(radial: Force, axial: Option<Force>, stated: Option<Force>, f0: Option<f64>) -> Result<Force, Failure> {
    let Some(axial) = axial else {
        return Ok(radial);
    };
    match (stated, f0) {
        (Some(c0), Some(f0)) if f0 > 0.0 => bearing::equivalent_load(radial, axial, c0, f0).map_err(fail),
        _ => Err(Failure::new(
            "--axial: the static rating and f0 are needed too: --static \"7.8 kN\" --f0 13.9, or --insert",
        )),
    }
}

#[derive(Debug, Args)]
pub struct Unit {
    /// Insert, like UC205
    insert: String,
    /// Tolerance class of the shaft
    #[arg(long, default_value = "h6")]
    shaft: String,
}

impl Unit {
    pub fn answer(self) -> Result<Answered, Failure> {
        let unit = bearings::insert(&self.insert).map_err(fail)?;
        let bore = Decimal::from_f64_retain(unit.bore).unwrap_or_default().normalize();
        let (loose, most) = bearing::seat_um(&self.shaft, bore).map_err(fail)?;
        let clearance = bearings::clearance_um(Length::from_mm(unit.bore)).map_err(fail)?;
        let (low, high) = ring_screws::published(&self.insert).map_err(fail)?;
        let torques = ring_screws::torques(&self.insert).map_err(fail)?;
        let lower = iso286::class(&self.shaft, bore).map_err(fail)?.lower_um;
        let worth = bearings::worth(lower, bore);
        let speed = worth.map(|class| bearings::limiting_speed(&self.insert, class)).transpose().map_err(fail)?;
        let mut basis = vec![bearings::source(), bearings::bore_um(Length::from_mm(unit.bore)).map_err(fail)?.1];
        basis.push(&clearance.source);
        basis.extend(speed.map(|(_, source)| source));
        let mut pairs = size(unit);
        pairs.extend([
            ("seat_least_um", json!(loose.to_f64())),
            ("seat_most_um", json!(most.to_f64())),
            ("clearance_low_um", shown(clearance.low)),
            ("clearance_high_um", shown(clearance.high)),
            ("set_screw_low_nm", shown(low.nm())),
            ("set_screw_high_nm", shown(high.nm())),
            ("set_screw_published", torques.iter().map(|t| published(t)).collect()),
            ("seats_as", json!(worth)),
            ("limiting_speed_rpm", speed.map_or(Value::Null, |(s, _)| shown(s.rpm()))),
            ("askew_fitting_deg", shown(bearings::askew().fitting_deg)),
            ("askew_service_deg", shown(bearings::askew().service_deg)),
        ]);
        basis.push(&bearings::askew().source);
        basis.push("set screws: from all makers; take the one whose bearing it is, for they have no common range");
        // A ring that has to be pressed on does not slide, and one looser than h11 has no maker's word.
        let slides = loose >= Decimal::ZERO && worth.is_some();
        Ok(Answered::new(pairs, &basis).yes_if(slides))
    }
}

fn size(unit: &bearings::Unit) -> Vec<(&'static str, Value)> {
    vec![
        ("housing", json!(unit.housing)),
        ("bore_mm", shown(unit.bore)),
        ("outer_mm", shown(unit.outer)),
        ("ring_width_mm", shown(unit.b)),
        ("short_side_mm", shown(unit.s)),
        ("axis_height_mm", shown(unit.h)),
        ("bolt_distance_mm", shown(unit.j)),
        ("foot_length_mm", shown(unit.l)),
        ("foot_width_mm", shown(unit.a)),
        ("bolt", json!(unit.bolt)),
        ("dynamic_kn", shown(unit.c)),
        ("static_kn", shown(unit.c0)),
    ]
}

fn published(torque: &ring_screws::RingTorque) -> Value {
    let range =
        if torque.low < torque.high { format!("{} to {}", torque.low, torque.high) } else { torque.low.to_string() };
    json!(format!("{} N·m {} ({})", range, torque.kind, torque.source))
}

#[derive(Debug, Args)]
pub struct Growth {
    /// Distance between the two bearings
    #[arg(long)]
    between: String,
    /// Temperature of the shaft
    #[arg(long)]
    shaft: String,
    /// Temperature of the frame
    #[arg(long)]
    frame: String,
    /// Axial play with both units locked, pushed and pulled against a dial indicator
    #[arg(long)]
    play: String,
}

impl Growth {
    pub fn answer(self) -> Result<Answered, Failure> {
        let celsius = |name: &str, text: &str| quantity(name, text, Kind::Temperature).map(Temperature::from_c);
        let between = Length::from_mm(positive("between", &self.between, Kind::Length)?);
        let play = Length::from_mm(quantity("play", &self.play, Kind::Length)?);
        let warm = bearing::warming(between, celsius("shaft", &self.shaft)?, celsius("frame", &self.frame)?, play)
            .map_err(fail)?;
        let answered = Answered::new(
            vec![
                ("growth_mm", shown(warm.grows.mm())),
                ("binds_at_k", shown(warm.binds_at)),
                ("one_must_float", json!(warm.one_must_float)),
            ],
            &[measuring::expansion_per_k().1, "steel shaft on a steel frame, both units locked"],
        );
        Ok(if warm.one_must_float { answered.no() } else { answered })
    }
}
