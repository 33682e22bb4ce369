//! Run-down to rest.

use clap::Args;
use serde_json::json;

use crate::mechanics::run_down::{Drag, drag, drag_parts, stop};
use crate::module::Setup;
use crate::procedure::Figures;
use crate::quantity::{Inertia, Kind, Speed, Time, Torque};

use super::super::load::{self, Chosen};
use super::given::{fail, positive, quantity, shown};
use super::{Answered, Failure};

#[derive(Debug, Args)]
pub struct RunDown {
    /// Module spec, whose inertia and speed are taken
    spec: Option<String>,
    #[command(flatten)]
    chosen: Chosen,
    /// Moment of inertia of all that turns
    #[arg(long, required_unless_present = "spec")]
    inertia: Option<String>,
    /// Speed when the drive is cut
    #[arg(long, required_unless_present = "spec")]
    speed: Option<String>,
    /// Drag torque that does not depend on speed
    #[arg(long, conflicts_with = "then", required_unless_present = "then")]
    torque: Option<String>,
    /// Drag torque that is added at that speed by grease and air
    #[arg(long, requires = "torque")]
    more_at_speed: Option<String>,
    /// Speed read later, while it runs free; a second one, after the same time again, parts the drag into two
    #[arg(long, requires = "after", num_args = 1)]
    then: Vec<String>,
    /// Time between the readings
    #[arg(long)]
    after: Option<String>,
}

impl RunDown {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (inertia, speed) = self.turning()?;
        let drag = self.drag(inertia, speed)?;
        let rest = stop(inertia, speed, drag).map_err(fail)?;
        Ok(Answered::new(
            vec![
                ("inertia_kgm2", shown(inertia.kgm2())),
                ("speed_rpm", shown(speed.rpm())),
                ("drag_nm", shown(drag.constant.nm())),
                ("drag_by_speed_nms", shown(drag.by_speed)),
                ("time_s", shown(rest.time.s())),
                ("turns", shown(rest.turns)),
                (
                    "warning",
                    json!(
                        "a computed time opens no guard: measure the run-down three times and wait for the longest, or for standstill seen"
                    ),
                ),
            ],
            &[
                "rigid body under constant drag and drag by speed",
                "ISO 14119: run-down longer than the way to the hazard needs guard locking (from memory)",
            ],
        ))
    }

    fn turning(&self) -> Result<(Inertia, Speed), Failure> {
        let figures = match &self.spec {
            Some(spec) => {
                let module = load::module(spec)?;
                let setup = Setup::choose(&module, &self.chosen.map()?).map_err(fail)?;
                Some(Figures::of(&module, &setup).map_err(fail)?)
            }
            None => None,
        };
        let of = |given: &Option<String>, name: &str, kind, from: Option<f64>| match (given, from) {
            (Some(text), _) => positive(name, text, kind),
            (None, Some(value)) => Ok(value),
            (None, None) => Err(Failure::new(format!("--{name} is needed"))),
        };
        let inertia = of(&self.inertia, "inertia", Kind::Inertia, figures.as_ref().map(|f| f.inertia.kgm2()))?;
        let speed = of(&self.speed, "speed", Kind::Speed, figures.as_ref().map(|f| f.speed.rpm()))?;
        Ok((Inertia::from_kgm2(inertia), Speed::from_rpm(speed)))
    }

    fn drag(&self, inertia: Inertia, speed: Speed) -> Result<Drag, Failure> {
        if let Some(torque) = &self.torque {
            let constant = Torque::from_nm(positive("torque", torque, Kind::Torque)?);
            let more = self.more_at_speed.as_deref().map(|t| positive("more-at-speed", t, Kind::Torque)).transpose()?;
            return Ok(Drag { constant, by_speed: more.unwrap_or(0.0) / speed.rad_s() });
        }
        let interval = Time::from_s(positive("after", self.after.as_deref().unwrap_or_default(), Kind::Time)?);
        let then: Vec<Speed> = self
            .then
            .iter()
            .map(|t| quantity("then", t, Kind::Speed).map(Speed::from_rpm))
            .collect::<Result<_, _>>()?;
        match then.as_slice() {
            [one] => Ok(Drag::constant(drag(inertia, speed, *one, interval).map_err(fail)?)),
            [one, two] => drag_parts(inertia, [speed, *one, *two], interval).map_err(fail),
            more => Err(Failure::new(format!("--then is given once or twice, not {} times", more.len()))),
        }
    }
}
