//! Joints on the way of the torque: faces, split hubs, keys, set screws.

use clap::{Args, Subcommand};
use serde_json::{Value, json};

use crate::mechanics::interplay::{OneCut, one_cut_pinch};
use crate::mechanics::key::Keyed;
use crate::mechanics::set_screw::{SetScrews, size_share};
use crate::mechanics::slip::{Clamp, Pressure, face_torque, ring_radius, worn_radius};
use crate::quantity::{Angle, Force, Kind, Length, Stress, Torque};
use crate::standards::set_screws::Load;
use crate::standards::{bench, keys, set_screws, threads};

use super::given::{fail, number, positive, quantity, shown};
use super::{Answered, Failure};

type Pairs = Vec<(&'static str, Value)>;

#[derive(Debug, Subcommand)]
pub enum Slip {
    /// Clamped faces: disc on disc, collar on disc
    #[command(
        after_help = "Examples:\n  runtrue calc slip faces --clamp \"40 kN\" --circle \"100 mm\" --torque \"60 N·m\"\n  runtrue calc slip faces --clamp \"40 kN\" --outer \"60 mm\" --inner \"25 mm\" --friction 0.15"
    )]
    Faces(Faces),
    /// Split collar or hub clamped on a shaft
    #[command(
        after_help = "Examples:\n  runtrue calc slip clamp --bolts 2 --each \"8.1 kN\" --shaft \"25 mm\" --torque \"30 N·m\" --axial \"500 N\"\n  runtrue calc slip clamp --bolts 1 --each \"12 kN\" --shaft \"25 mm\" --hinge \"25 mm\" --bolt-lever \"42 mm\" --friction 0.12"
    )]
    Clamp(Clamped),
}

impl Slip {
    pub fn answer(self) -> Result<Answered, Failure> {
        match self {
            Self::Faces(f) => f.answer(),
            Self::Clamp(c) => c.answer(),
        }
    }
}

pub fn length(name: &str, text: &str) -> Result<Length, Failure> {
    positive(name, text, Kind::Length).map(Length::from_mm)
}

fn force(name: &str, text: &str) -> Result<Force, Failure> {
    positive(name, text, Kind::Force).map(Force::from_n)
}

/// Friction as given, both ends the same, or that which is sure to hold and that of clean dry faces.
fn friction(given: Option<&String>) -> Result<(f64, f64), Failure> {
    let table = bench::slip();
    given.map_or(Ok((table.holds, table.loses)), |text| number("friction", text).map(|mu| (mu, mu)))
}

/// Adds the safety against a torque that is asked for; false where it is below 1.
fn against(holds: f64, asked: Option<&String>, pairs: &mut Pairs) -> Result<bool, Failure> {
    let Some(text) = asked else { return Ok(true) };
    let safety = holds / positive("torque", text, Kind::Torque)?;
    pairs.push(("safety", shown(safety)));
    Ok(safety >= 1.0)
}

fn judged(answered: Answered, good: bool) -> Answered {
    answered.yes_if(good)
}

#[derive(Debug, Args)]
pub struct Faces {
    /// Force that clamps the faces, the least that is sure
    #[arg(long)]
    clamp: String,
    /// Circle of the bolts that clamp them
    #[arg(long, required_unless_present = "outer", conflicts_with = "outer")]
    circle: Option<String>,
    /// Outer diameter of the face, where it is pressed all over
    #[arg(long, requires = "inner")]
    outer: Option<String>,
    /// Inner diameter of the face
    #[arg(long, requires = "outer")]
    inner: Option<String>,
    /// Friction; if not given, what is sure to hold (low) and that of clean dry faces (high)
    #[arg(long)]
    friction: Option<String>,
    /// Torque to carry, against the low one
    #[arg(long)]
    torque: Option<String>,
}

impl Faces {
    pub fn answer(self) -> Result<Answered, Failure> {
        let clamp = force("clamp", &self.clamp)?;
        let (low, high) = friction(self.friction.as_ref())?;
        let (least, most) = self.radii()?;
        let holds = face_torque(low, clamp, least).map_err(fail)?;
        let mut pairs = vec![
            ("radius_mm", shown(least.mm())),
            ("torque_low_nm", shown(holds.nm())),
            ("torque_high_nm", shown(face_torque(high, clamp, most).map_err(fail)?.nm())),
        ];
        let good = against(holds.nm(), self.torque.as_ref(), &mut pairs)?;
        let note = "statics of friction; faces in series each carry the whole torque";
        Ok(judged(Answered::new(pairs, &[note, &bench::slip().holds_source, &bench::slip().loses_source]), good))
    }

    /// Radius of the friction: of the bolts, or of the face, worn and new.
    fn radii(&self) -> Result<(Length, Length), Failure> {
        if let Some(circle) = &self.circle {
            let radius = length("circle", circle)? / 2.0;
            return Ok((radius, radius));
        }
        let outer = length("outer", self.outer.as_deref().unwrap_or_default())?;
        let inner = Length::from_mm(quantity("inner", self.inner.as_deref().unwrap_or_default(), Kind::Length)?);
        Ok((worn_radius(outer, inner).map_err(fail)?, ring_radius(outer, inner).map_err(fail)?))
    }
}

#[derive(Debug, Args)]
pub struct Clamped {
    /// Number of clamping bolts
    #[arg(long)]
    bolts: u32,
    /// Force of each bolt, the least that is sure
    #[arg(long)]
    each: String,
    /// Diameter of the shaft
    #[arg(long)]
    shaft: String,
    /// One cut: from the hinge to the middle of the shaft
    #[arg(long, requires = "bolt_lever")]
    hinge: Option<String>,
    /// One cut: from the hinge to the bolts
    #[arg(long, requires = "hinge")]
    bolt_lever: Option<String>,
    /// Friction; if not given, what is sure to hold (low) and that of clean dry faces (high)
    #[arg(long)]
    friction: Option<String>,
    /// Torque to carry; the safety counts no lever of one cut
    #[arg(long, default_value = "0 N·m")]
    torque: String,
    /// Axial force to carry
    #[arg(long, default_value = "0 N")]
    axial: String,
    /// Length of the bore on the shaft, for the pressure
    #[arg(long)]
    length: Option<String>,
}

impl Clamped {
    pub fn answer(self) -> Result<Answered, Failure> {
        let across = self.across()?;
        let shaft = length("shaft", &self.shaft)?;
        let (low, high) = friction(self.friction.as_ref())?;
        let clamp = |force, mu, pressure| Clamp::new(force, shaft, mu, pressure).map_err(fail);
        let torque = |mu, pressure| clamp(across.ideal, mu, pressure).map(|c| shown(c.torque().nm()));
        let cautious = clamp(across.sure, low, Pressure::TwoLines)?;
        let mut pairs = vec![
            ("across_split_kn", shown(across.ideal.kn())),
            ("across_sure_kn", shown(across.sure.kn())),
            ("torque_sure_nm", shown(cautious.torque().nm())),
            ("torque_two_lines_nm", torque(low, Pressure::TwoLines)?),
            ("torque_cosine_nm", torque(low, Pressure::Cosine)?),
            ("torque_uniform_nm", torque(low, Pressure::Uniform)?),
            ("torque_high_nm", torque(high, Pressure::Uniform)?),
            ("axial_low_n", shown(cautious.axial().n())),
        ];
        if let Some(text) = &self.length {
            let most = clamp(across.ideal, low, Pressure::TwoLines)?;
            let pressure = most.mean_pressure(length("length", text)?).map_err(fail)?;
            pairs.push(("pressure_mpa", shown(pressure.mpa())));
        }
        let asked = Torque::from_nm(quantity("torque", &self.torque, Kind::Torque)?);
        let axial = Force::from_n(quantity("axial", &self.axial, Kind::Force)?);
        let mut good = true;
        if asked.nm() != 0.0 || axial.n() != 0.0 {
            let safety = cautious.safety(asked, axial).map_err(fail)?;
            pairs.push(("safety", shown(safety)));
            good = safety >= 1.0;
        }
        let lever = "one cut: the force across the split is an ideal by the whole lever, the sure one counts none (common practice)";
        let mut basis = vec!["statics of a clamped half shell, two lines to uniform pressure"];
        basis.extend([bench::slip().holds_source.as_str(), bench::slip().loses_source.as_str()]);
        basis.extend(self.hinge.as_ref().map(|_| lever));
        Ok(judged(Answered::new(pairs, &basis), good))
    }

    /// Force across the split; two halves have no lever, so both bounds are the bolts'.
    fn across(&self) -> Result<OneCut, Failure> {
        if self.bolts == 0 {
            return Err(Failure::new("--bolts: at least one"));
        }
        let all = force("each", &self.each)? * f64::from(self.bolts);
        match (&self.hinge, &self.bolt_lever) {
            (Some(hinge), Some(bolt)) => {
                let (hinge, bolt) = (length("hinge", hinge)?, length("bolt-lever", bolt)?);
                one_cut_pinch(all, hinge * 2.0, bolt - hinge).map_err(fail)
            }
            _ => Ok(OneCut { sure: all, ideal: all }),
        }
    }
}

#[derive(Debug, Args)]
pub struct Key {
    /// Diameter of the shaft
    #[arg(long)]
    shaft: String,
    /// Length of the key
    #[arg(long)]
    length: String,
    /// Square ends (form B); round ones (form A), if not said
    #[arg(long)]
    square_ends: bool,
    /// Number of keys
    #[arg(long, default_value_t = 1)]
    keys: u32,
    /// Torque to carry
    #[arg(long)]
    torque: String,
    /// Yield strength of the weakest of key, shaft and hub
    #[arg(long = "yield", default_value = "235 MPa")]
    yield_strength: String,
}

impl Key {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (shaft, long) = (length("shaft", &self.shaft)?, length("length", &self.length)?);
        let torque = Torque::from_nm(positive("torque", &self.torque, Kind::Torque)?);
        let weakest = Stress::from_mpa(positive("yield", &self.yield_strength, Kind::Stress)?);
        let keyed = Keyed::standard(shaft, long, !self.square_ends, self.keys).map_err(fail)?;
        let capacity = keyed.capacity(weakest).map_err(fail)?;
        let safety = capacity / torque;
        let pairs = vec![
            ("width_mm", json!(keyed.key.b)),
            ("height_mm", json!(keyed.key.h)),
            ("depth_shaft_mm", json!(keyed.key.t1)),
            ("depth_hub_mm", json!(keyed.key.t2)),
            ("bearing_length_mm", shown(keyed.bearing.mm())),
            ("pressure_mpa", shown(keyed.pressure(torque).map_err(fail)?.mpa())),
            ("shear_mpa", shown(keyed.shear(torque).map_err(fail)?.mpa())),
            ("capacity_nm", shown(capacity.nm())),
            ("safety", shown(safety)),
        ];
        let sharing = keys::sharing(self.keys).map_err(fail)?.1;
        Ok(judged(Answered::new(pairs, &[keys::source(), keys::permitted_share().1, sharing]), safety >= 1.0))
    }
}

#[derive(Debug, Args)]
pub struct Screws {
    /// Thread, M6 to M10
    #[arg(long)]
    thread: String,
    /// Diameter of the shaft
    #[arg(long)]
    shaft: String,
    /// Where a screw stands around the shaft, in degrees; once for each
    #[arg(long, required = true)]
    at: Vec<String>,
    /// Point of the screws
    #[arg(long, default_value = "cup", value_parser = ["cup", "cone", "flat", "dog", "oval"])]
    point: String,
    /// Stainless screws
    #[arg(long)]
    stainless: bool,
    /// Hardness of the shaft, HV
    #[arg(long, default_value = "200")]
    hardness: String,
    /// Kind of load; shaking, the severe one, if not said: all that turns, starts and stops
    #[arg(long, default_value = "shaking", value_parser = ["steady", "shaking"])]
    load: String,
    /// Torque of the screws; that of the chart, if not given
    #[arg(long)]
    tightened: Option<String>,
    /// Torque to carry
    #[arg(long)]
    torque: Option<String>,
}

impl Screws {
    pub fn answer(self) -> Result<Answered, Failure> {
        let shaft = length("shaft", &self.shaft)?;
        let screw = threads::thread(&self.thread).map_err(fail)?;
        let at: Result<Vec<Angle>, Failure> =
            self.at.iter().map(|a| number("at", a.trim_end_matches(['°', ' '])).map(Angle::from_deg)).collect();
        let test = set_screws::set_screw_test_torque(&self.thread).map_err(fail)?;
        let tightened =
            self.tightened.as_ref().map(|text| positive("tightened", text, Kind::Torque).map(Torque::from_nm));
        let tightened = tightened.transpose()?;
        if let Some(torque) = tightened.filter(|torque| *torque > test) {
            let (given, most) = (torque.nm(), test.nm());
            return Err(Failure::new(format!(
                "--tightened: {given} N·m is above the screw's test torque of {most} N·m"
            )));
        }
        let load = Load::WORDS.into_iter().find(|(word, _)| *word == self.load).map_or(Load::Shaking, |(_, load)| load);
        let screws = SetScrews {
            thread: self.thread,
            point: self.point,
            at: at?,
            stainless: self.stainless,
            shaft_hv: number("hardness", &self.hardness)?,
            torque: tightened,
        };
        let hold = screws.hold().map_err(fail)?;
        let (low, high) = hold.torque(shaft);
        let safety = set_screws::set_screw_safety(load).map_err(fail)?;
        let allowed = (hold.allowed(load).map_err(fail)? * (shaft / 2.0)).nm();
        let (seating, source) = set_screws::set_screw_torque(&screws.thread, self.stainless).map_err(fail)?;
        let mut pairs = vec![
            ("seating_nm", shown(seating.nm())),
            ("test_nm", shown(test.nm())),
            ("key_mm", json!(threads::set_screw_key(&screws.thread).map_err(fail)?)),
            ("hold_low_n", shown(hold.low.n())),
            ("hold_high_n", shown(hold.high.n())),
            ("torque_low_nm", shown(low.nm())),
            ("torque_high_nm", shown(high.nm())),
            ("load", json!(load.word())),
            ("safety_asked", json!([safety.low, safety.high])),
            ("allowed_nm", shown(allowed)),
            ("size_share", shown(size_share(Length::from_mm(screw.d), shaft).map_err(fail)?)),
        ];
        let good = against(allowed, self.torque.as_ref(), &mut pairs)?;
        let rule = "allowed: the lesser of the higher series over the largest safety and the lower over the least; screws together by statics";
        Ok(judged(Answered::new(pairs, &[source, &safety.source, bench::set_screw_shaft_hv().1, rule]), good))
    }
}
