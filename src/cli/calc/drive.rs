//! Belts, pulleys, bearings.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::{bearing, belt};
use crate::quantity::{Force, Kind, Length, Speed};
use crate::standards::belts;

use super::given::{fail, positive, shown};
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct Belt {
    /// Profile: PH, PJ, PK, PL or PM
    #[arg(long)]
    profile: String,
    /// Ribs
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=100))]
    ribs: u32,
    /// Smaller effective diameter
    #[arg(long)]
    small: String,
    /// Larger effective diameter
    #[arg(long)]
    large: String,
    /// Effective belt length
    #[arg(long, required_unless_present = "centre", conflicts_with = "centre")]
    length: Option<String>,
    /// Centre distance
    #[arg(long)]
    centre: Option<String>,
    /// Static tension of a strand, whole belt
    #[arg(long)]
    tension: Option<String>,
}

impl Belt {
    pub fn answer(self) -> Result<Answered, Failure> {
        let profile = belts::profile(&self.profile).map_err(fail)?;
        let mm = |name: &str, text: &str| positive(name, text, Kind::Length).map(Length::from_mm);
        let (a, b) = (mm("small", &self.small)?, mm("large", &self.large)?);
        let (small, large) = if a < b { (a, b) } else { (b, a) };
        if small < profile.smallest {
            return Err(Failure::new(format!(
                "--small: {} mm is below the least effective diameter of {}, {} mm ({})",
                small.mm(),
                self.profile,
                profile.smallest.mm(),
                belts::source()
            )));
        }
        let drive = match (&self.length, &self.centre) {
            (Some(length), _) => belt::Drive::from_length(small, large, mm("length", length)?).map_err(fail)?,
            (None, Some(centre)) => belt::Drive { small, large, centre: mm("centre", centre)? },
            (None, None) => return Err(Failure::new("--length or --centre is needed")),
        };
        if drive.centre < (small + large) / 2.0 {
            return Err(Failure::new("--centre: the pulleys would touch"));
        }
        let tension =
            self.tension.as_deref().map(|t| positive("tension", t, Kind::Force).map(Force::from_n)).transpose()?;
        let with = |f: &dyn Fn(Force) -> f64| tension.map_or(Value::Null, |t| shown(f(t)));
        let mass = profile.mass_kg_m * f64::from(self.ribs);
        Ok(Answered::new(
            vec![
                ("centre_mm", shown(drive.centre.mm())),
                ("length_mm", shown(drive.length().mm())),
                ("span_mm", shown(drive.span().mm())),
                ("wrap_small_deg", shown(drive.wrap_small().deg())),
                ("deflection_mm", shown(belt::deflection(drive.span()).mm())),
                ("deflection_force_n", with(&|t| belt::deflection_force(t).n())),
                ("frequency_hz", with(&|t| belt::frequency_hz(t, mass, drive.span()))),
            ],
            &[
                belts::source(),
                "exact geometry of two pulleys; force T/16 at span/64, the belt as a string",
                "mass of a rib as two belt makers print it; weigh the belt for the frequency",
            ],
        ))
    }
}

#[derive(Debug, Args)]
pub struct OverBalls {
    /// Profile
    #[arg(long)]
    profile: String,
    /// Effective diameter
    #[arg(long)]
    effective: String,
}

impl OverBalls {
    pub fn answer(self) -> Result<Answered, Failure> {
        let profile = belts::profile(&self.profile).map_err(fail)?;
        let effective = positive("effective", &self.effective, Kind::Length)?;
        if effective < profile.smallest.mm() {
            return Err(Failure::new(format!(
                "--effective: the least of {} is {} mm ({})",
                self.profile,
                profile.smallest.mm(),
                belts::source()
            )));
        }
        Ok(Answered::new(
            vec![("ball_mm", json!(profile.ball.mm())), ("over_balls_mm", shown(effective + profile.two_x.mm()))],
            &[belts::source()],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Bearing {
    /// Dynamic rating
    #[arg(long)]
    dynamic: String,
    /// Equivalent load
    #[arg(long)]
    load: String,
    /// Speed
    #[arg(long)]
    speed: String,
}

impl Bearing {
    pub fn answer(self) -> Result<Answered, Failure> {
        let dynamic = Force::from_n(positive("dynamic", &self.dynamic, Kind::Force)?);
        let load = Force::from_n(positive("load", &self.load, Kind::Force)?);
        let speed = Speed::from_rpm(positive("speed", &self.speed, Kind::Speed)?);
        let life = bearing::life(dynamic, load, speed).map_err(fail)?;
        Ok(Answered::new(
            vec![("life_mrev", shown(life.h() * speed.rpm() * 60.0 / 1e6)), ("life_h", shown(life.h()))],
            &["ISO 281, ball bearings"],
        ))
    }
}
