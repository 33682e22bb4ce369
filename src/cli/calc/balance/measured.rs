//! Corrections from what was measured.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::balance as mech;
use crate::mechanics::balance::{Influence, Response, TwoPlane, WELL_CONDITIONED};
use crate::quantity::Kind;

use super::super::given::{at_angle, fail, length, number, positive, shown, vector, vectors};
use super::super::{Answered, Failure};
use super::polar;

const VECTORS: &str =
    "influence coefficients, as in Brüel & Kjær's application notes; angles in the sense of the rotor's marks";

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
    /// Reading after the correction, for the weight to add next
    #[arg(long)]
    after: Option<String>,
}

impl OnePlane {
    pub fn answer(self) -> Result<Answered, Failure> {
        let initial = vector("initial", &self.initial, None)?;
        let with_trial = vector("with-trial", &self.with_trial, None)?;
        let trial = vector("trial", &self.trial, Some(Kind::Mass))?;
        let influence = Influence::of(initial, trial, with_trial).map_err(fail)?;
        let (g, deg) = polar(influence.correction(initial));
        let response = mech::response(initial, with_trial).map_err(fail)?;
        let told = match response {
            Response::Enough => "enough",
            Response::TooLittle => "too little: under 30 % and under 30°, take a larger trial weight",
            Response::Stop => "the vibration doubled: stop, move the trial weight or take a smaller one",
        };
        let mut keys = vec![
            ("correction_g", g),
            ("correction_deg", deg),
            ("add", json!("trial weight off; where mass is drilled away, on the other side")),
            ("trial_told", json!(told)),
        ];
        if let Some(after) = &self.after {
            let (g, deg) = polar(influence.correction(vector("after", after, None)?));
            keys.extend([("next_g", g), ("next_deg", deg)]);
        }
        let answered = Answered::new(keys, &[VECTORS, "30 % or 30° common practice"]);
        Ok(answered.yes_if(matches!(response, Response::Enough)))
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
    pub fn answer(self) -> Result<Answered, Failure> {
        let trial = positive("trial", &self.trial, Kind::Mass)? * 1000.0;
        let runs = self.at.iter().map(|t| at_angle("at", t)).collect::<Result<Vec<_>, Failure>>()?;
        let (c, k) = mech::no_phase(trial, number("initial", &self.initial)?, &runs).map_err(fail)?;
        let (g, deg) = polar(c);
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
        Ok(answered.yes_if(good))
    }
}

#[derive(Debug, Args)]
pub struct TwoRun {
    /// Trial weight
    #[arg(long)]
    trial: String,
    /// Reading at first
    #[arg(long)]
    initial: String,
    /// Reading with the trial weight at an angle, and opposite, like 0=5 and 180=4
    #[arg(long = "at", value_name = "ANGLE=READING", required = true)]
    at: Vec<String>,
}

impl TwoRun {
    pub fn answer(self) -> Result<Answered, Failure> {
        let trial = positive("trial", &self.trial, Kind::Mass)? * 1000.0;
        let [first, second] = self.at.as_slice() else {
            return Err(Failure::new(format!(
                "--at is needed twice, {} were given; more go to four-run",
                self.at.len()
            )));
        };
        let runs = [at_angle("at", first)?, at_angle("at", second)?];
        let [a, b] = mech::two_runs(trial, number("initial", &self.initial)?, runs).map_err(fail)?;
        let ((g, deg), (_, other)) = (polar(a), polar(b));
        Ok(Answered::new(
            vec![
                ("correction_g", g),
                ("correction_deg", json!([deg, other])),
                (
                    "next",
                    json!(
                        "one of the two is right: one more run at any other angle decides, then four-run with all three"
                    ),
                ),
            ],
            &["law of cosines over two opposite runs"],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Two {
    /// Readings of the sensors at first, two or more
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
    pub fn answer(self) -> Result<Answered, Failure> {
        // Grams may be written or left out: the contract's form is "g@deg".
        let grams = |name: &str, text: &str| vector(name, text, Some(Kind::Mass)).or_else(|_| vector(name, text, None));
        let run = TwoPlane {
            initial: vectors("initial", &self.initial)?,
            trials: [grams("trial-1", &self.trial_1)?, grams("trial-2", &self.trial_2)?],
            with_1: vectors("with-1", &self.with_1)?,
            with_2: vectors("with-2", &self.with_2)?,
            trial_1_kept: self.keep_trial_1,
        };
        let found = mech::two_plane(&run).map_err(fail)?;
        let [(g1, d1), (g2, d2)] = found.corrections.map(polar);
        let trial = if self.keep_trial_1 {
            "taken as still on in run 2"
        } else {
            "taken as off in run 2; if it stayed on, say --keep-trial-1: the readings cannot show it"
        };
        let warning = if found.condition > WELL_CONDITIONED {
            json!(
                "the planes act much alike on the sensors: small errors make large, opposite masses; move planes or sensors apart"
            )
        } else {
            Value::Null
        };
        Ok(Answered::new(
            vec![
                ("correction_1_g", g1),
                ("correction_1_deg", d1),
                ("correction_2_g", g2),
                ("correction_2_deg", d2),
                ("add", json!("both trial weights off")),
                ("trial_1", json!(trial)),
                ("condition", shown(found.condition)),
                ("condition_warning", warning),
                ("left_rms", shown(found.left)),
            ],
            &[
                VECTORS,
                "least squares where there are more than two sensors; a condition over 10 is warned of (common practice)",
            ],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Weigh {
    /// Radius the mass is hung at
    #[arg(long)]
    radius: String,
    /// Mass in grams that just starts the rotor with the hole at an angle level with the axis, like 90=20
    #[arg(long = "start", value_name = "ANGLE=GRAMS", required = true)]
    starts: Vec<String>,
}

impl Weigh {
    pub fn answer(self) -> Result<Answered, Failure> {
        let radius = length("radius", &self.radius)?;
        let starts = self.starts.iter().map(|t| at_angle("start", t)).collect::<Result<Vec<_>, Failure>>()?;
        let found = mech::weigh(radius, &starts).map_err(fail)?;
        let ((gmm, deg), (_, light)) = (polar(found.unbalance), polar(found.unbalance.opposite()));
        Ok(Answered::new(
            vec![
                ("unbalance_gmm", gmm),
                ("unbalance_deg", deg),
                ("correction_g", shown(found.unbalance.magnitude() / radius.mm())),
                ("correction_deg", light),
                ("breakaway_nm", shown(found.breakaway.nm())),
                ("scatter_gmm", shown(found.scatter)),
            ],
            &[
                "statics: mass times radius is friction less the unbalance's part at that hole; least squares",
                "static methods leave the couple",
            ],
        ))
    }
}
