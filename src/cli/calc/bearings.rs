//! Mounted bearings.

use clap::Args;

use crate::mechanics::bearing;
use crate::quantity::{Force, Kind, Speed};

use super::given::{fail, positive, shown};
use super::{Answered, Failure};

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
