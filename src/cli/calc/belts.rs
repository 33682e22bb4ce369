//! Ribbed belts and their pulleys.

use clap::Args;
use serde_json::{Value, json};

use crate::mechanics::belt::Drive;
use crate::mechanics::belt_tension::{self as tension, Stretch};
use crate::mechanics::belt_travel::{Slots, gap};
use crate::mechanics::groove::Pulley;
use crate::quantity::{Force, Frequency, Kind, Length, LineMass, Mass, Power, Speed};
use crate::standards::bench::Range;
use crate::standards::{belts, ribs};

use super::given::{fail, number, positive, quantity, shown};
use super::{Answered, Failure};

const STRING: &str = "force T/16 at span/64 and frequency of a string (belt makers' manuals)";
const GEOMETRY: &str = "exact geometry of two pulleys";
const WEIGH: &str = "mass of a rib as belt makers print it; weigh the belt for the frequency";

fn mm(name: &str, text: &str) -> Result<Length, Failure> {
    positive(name, text, Kind::Length).map(Length::from_mm)
}

fn optional<T>(text: Option<&String>, read: impl Fn(&str) -> Result<T, Failure>) -> Result<Option<T>, Failure> {
    text.map(|t| read(t)).transpose()
}

fn maybe(value: Option<f64>) -> Value {
    value.map_or(Value::Null, shown)
}

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
    /// Mass of the whole belt, weighed
    #[arg(long)]
    weighed: Option<String>,
    /// Power, service factor counted: tension as a check of plausibility
    #[arg(long, requires = "speed")]
    power: Option<String>,
    /// Speed of the smaller pulley
    #[arg(long)]
    speed: Option<String>,
    /// Spring rate EA of one rib, where its maker gives it
    #[arg(long)]
    stretch: Option<String>,
    /// Lead of the adjuster, with --change
    #[arg(long, requires = "change")]
    lead: Option<String>,
    /// Change of strand tension wanted, whole belt, with --lead
    #[arg(long, requires = "lead")]
    change: Option<String>,
}

impl Belt {
    pub fn answer(self) -> Result<Answered, Failure> {
        let drive = self.drive()?;
        let mut pairs = geometry(&drive, &ribs::line_difference(&self.profile).map_err(fail)?);
        let mut basis = vec![belts::source().to_owned(), GEOMETRY.into(), STRING.into()];
        pairs.extend(self.travel(&drive, &mut basis));
        pairs.extend(self.readings(&drive, &mut basis)?);
        pairs.extend(self.loads(&drive, &mut basis)?);
        pairs.extend(self.adjuster(&drive, &mut basis)?);
        Ok(Answered::new(pairs, &basis.iter().map(String::as_str).collect::<Vec<_>>()))
    }

    fn drive(&self) -> Result<Drive, Failure> {
        let (a, b) = (mm("small", &self.small)?, mm("large", &self.large)?);
        belts::pulley(&self.profile, if a < b { a } else { b }).map_err(fail)?;
        match (&self.length, &self.centre) {
            (Some(length), _) => Drive::from_length(a, b, mm("length", length)?).map_err(fail),
            (None, Some(centre)) => Drive::from_centre(a, b, mm("centre", centre)?).map_err(fail),
            (None, None) => Err(Failure::new("--length or --centre is needed")),
        }
    }

    fn tension(&self) -> Result<Option<Force>, Failure> {
        optional(self.tension.as_ref(), |t| positive("tension", t, Kind::Force).map(Force::from_n))
    }

    /// Mass per metre of the whole belt: weighed, or as the makers print it.
    fn mass(&self, drive: &Drive) -> Result<(LineMass, LineMass), Failure> {
        if let Some(text) = &self.weighed {
            let mass = Mass::from_kg(positive("weighed", text, Kind::Mass)?);
            let weighed = tension::weighed(mass, drive.length()).map_err(fail)?;
            return Ok((weighed, weighed));
        }
        let (printed, ribs) = (ribs::rib_mass(&self.profile).map_err(fail)?, f64::from(self.ribs));
        Ok((LineMass::from_kg_m(printed.low * ribs), LineMass::from_kg_m(printed.high * ribs)))
    }

    fn stretch(&self, drive: &Drive) -> Result<Option<Stretch>, Failure> {
        let given = optional(self.stretch.as_ref(), |t| positive("stretch", t, Kind::Force))?;
        let known = given.or_else(|| ribs::makes(&self.profile).find_map(|m| m.ea));
        Ok(known.map(|ea| Stretch { ea: Force::from_n(ea * f64::from(self.ribs)), length: drive.length() }))
    }

    /// Travel of the centre to lay the belt on and to take up stretch, and how far out of line the pulleys may stand.
    fn travel(&self, drive: &Drive, basis: &mut Vec<String>) -> Vec<(&'static str, Value)> {
        let allowed = belts::allowance(&self.profile, drive.length());
        basis.push(allowed.as_ref().map_or_else(ToString::to_string, |_| belts::allowance_source().to_owned()));
        let (angle, source) = belts::alignment();
        basis.push(source.to_owned());
        vec![
            ("fit_in_mm", maybe(allowed.as_ref().ok().map(|a| a.0.mm()))),
            ("take_up_mm", maybe(allowed.ok().map(|a| a.1.mm()))),
            ("alignment_deg", shown(angle.deg())),
            ("alignment_mm", shown(gap(angle, drive.centre).mm())),
        ]
    }

    /// What an instrument on the span should show.
    fn readings(&self, drive: &Drive, basis: &mut Vec<String>) -> Result<Vec<(&'static str, Value)>, Failure> {
        let (span, strand) = (drive.span(), self.tension()?);
        let (light, heavy) = self.mass(drive)?;
        basis.push(if self.weighed.is_some() { "the belt as weighed".into() } else { WEIGH.into() });
        let published = ribs::deflection_force(&self.profile, drive.small);
        if let Ok((_, source)) = published {
            basis.push(source.to_owned());
        }
        let hz = |mass| strand.and_then(|t| tension::frequency(t, mass, span).ok()).map(Frequency::hz);
        let stretched = match (self.stretch(drive)?, strand) {
            (Some(s), Some(t)) => Some(tension::deflection_force_stretched(t, span, &s).n()),
            _ => None,
        };
        Ok(vec![
            ("deflection_mm", shown(tension::deflection(span).mm())),
            ("deflection_force_n", maybe(strand.map(|t| tension::deflection_force(t).n()))),
            ("deflection_force_stretched_n", maybe(stretched)),
            ("published_force_n", maybe(published.ok().map(|(f, _)| f.n() * f64::from(self.ribs)))),
            // Makers print different masses: the heavier hums lower. Between the two lies what the meter should show.
            ("frequency_hz", maybe(hz(heavy))),
            ("frequency_high_hz", maybe(hz(light))),
        ])
    }

    fn loads(&self, drive: &Drive, basis: &mut Vec<String>) -> Result<Vec<(&'static str, Value)>, Failure> {
        let pull = self.tension()?.map(|t| drive.shaft_pull(t).n());
        let holds = self.tension()?.map(|t| drive.slip_torque(t, drive.small).nm());
        basis.push(ribs::tension_ratio().1.to_owned());
        let mut pairs = vec![("shaft_pull_n", maybe(pull)), ("slip_torque_nm", maybe(holds))];
        let (Some(power), Some(speed)) = (&self.power, &self.speed) else {
            return Ok(pairs);
        };
        let power = Power::from_w(positive("power", power, Kind::Power)?);
        let speed = Speed::from_rpm(positive("speed", speed, Kind::Speed)?);
        let hb = Length::from_mm(ribs::line_difference(&self.profile).map_err(fail)?.low);
        let v = tension::belt_speed(drive.small, hb, speed);
        let fe = tension::pull(power, v).map_err(fail)?;
        let needed = tension::static_tension(drive, fe, self.mass(drive)?.1, v);
        basis.push("static tension by Euler and Eytelwein: plausibility, the maker's figure is the requirement".into());
        pairs.extend([
            ("belt_speed_m_s", shown(v.m_s())),
            ("pull_n", shown(fe.n())),
            ("tension_by_power_n", shown(needed.n())),
        ]);
        Ok(pairs)
    }

    fn adjuster(&self, drive: &Drive, basis: &mut Vec<String>) -> Result<Vec<(&'static str, Value)>, Failure> {
        let (Some(lead), Some(change)) = (&self.lead, &self.change) else {
            return Ok(Vec::new());
        };
        let stretch = self.stretch(drive)?.ok_or_else(|| {
            Failure::new(format!(
                "--change: no spring rate is published for {}; give the maker's, like --stretch \"9 kN\" a rib",
                self.profile
            ))
        })?;
        let change = Force::from_n(quantity("change", change, Kind::Force)?);
        let turns = stretch.turns(change, drive, mm("lead", lead)?).map_err(fail)?;
        basis.push("stretch of the belt alone, frame and sled stiff; spring rate of PK fitted to six reports".into());
        Ok(vec![("centre_change_mm", shown(stretch.centre_for(change, drive).mm())), ("turns", shown(turns))])
    }
}

fn geometry(drive: &Drive, hb: &Range) -> Vec<(&'static str, Value)> {
    let ratio = |hb: f64| drive.ratio(Length::from_mm(hb));
    vec![
        ("centre_mm", shown(drive.centre.mm())),
        ("length_mm", shown(drive.length().mm())),
        ("span_mm", shown(drive.span().mm())),
        ("wrap_small_deg", shown(drive.wrap_small().deg())),
        ("wrap_large_deg", shown(drive.wrap_large().deg())),
        ("ratio_low", shown(ratio(hb.high))),
        ("ratio_high", shown(ratio(hb.low))),
    ]
}

#[derive(Debug, Args)]
pub struct Sled {
    /// Profile
    #[arg(long)]
    profile: String,
    /// Effective belt length
    #[arg(long)]
    length: String,
    /// Effective diameter of the other pulley
    #[arg(long)]
    driver: String,
    /// Effective diameter of a step; repeat it
    #[arg(long = "step", required = true)]
    steps: Vec<String>,
    /// Travel inward to lay the belt on, where the table has none
    #[arg(long, requires = "outward")]
    inward: Option<String>,
    /// Travel outward for stretch, where the table has none
    #[arg(long, requires = "inward")]
    outward: Option<String>,
}

impl Sled {
    pub fn answer(self) -> Result<Answered, Failure> {
        let length = mm("length", &self.length)?;
        let driver = mm("driver", &self.driver)?;
        let steps = self.steps.iter().map(|s| mm("step", s)).collect::<Result<Vec<_>, _>>()?;
        for diameter in steps.iter().chain([&driver]) {
            belts::pulley(&self.profile, *diameter).map_err(fail)?;
        }
        let (both, source) = match (&self.inward, &self.outward) {
            (Some(i), Some(o)) => ((mm("inward", i)?, mm("outward", o)?), "travel as given"),
            _ => (belts::allowance(&self.profile, length).map_err(fail)?, belts::allowance_source()),
        };
        let slots = Slots::new(&steps, driver, length, both).map_err(fail)?;
        let list = |f: &dyn Fn(&crate::mechanics::belt_travel::Place) -> Length| {
            Value::Array(slots.places.iter().map(|p| shown(f(p).mm())).collect())
        };
        Ok(Answered::new(
            vec![
                ("centre_mm", list(&|p| p.drive.centre)),
                ("lay_on_mm", list(&|p| p.lay_on)),
                ("taken_up_mm", list(&|p| p.taken_up)),
                ("inner_mm", shown(slots.inner.mm())),
                ("outer_mm", shown(slots.outer.mm())),
                ("travel_mm", shown(slots.travel().mm())),
            ],
            &[source, GEOMETRY],
        ))
    }
}

#[derive(Debug, Args)]
pub struct Tension {
    /// Free span
    #[arg(long)]
    span: String,
    /// Force at mid span
    #[arg(long, required_unless_present = "frequency", conflicts_with = "frequency")]
    force: Option<String>,
    /// Deflection at that force; without it a 64th of the span
    #[arg(long, requires = "force")]
    deflection: Option<String>,
    /// Frequency of the plucked span
    #[arg(long, requires = "weighed")]
    frequency: Option<String>,
    /// Mass of the whole belt, weighed
    #[arg(long, requires = "length")]
    weighed: Option<String>,
    /// Effective length of the belt
    #[arg(long)]
    length: Option<String>,
    /// Ribs, for the tension of one
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=100))]
    ribs: u32,
    /// Uncertainty of the frequency meter, percent
    #[arg(long, default_value = "1")]
    meter: String,
}

impl Tension {
    pub fn answer(self) -> Result<Answered, Failure> {
        let span = mm("span", &self.span)?;
        let (strand, uncertainty, source) = match (&self.frequency, &self.weighed, &self.length) {
            (Some(f), Some(w), Some(l)) => self.by_frequency(span, f, w, l)?,
            _ => (
                self.by_force(span)?,
                Value::Null,
                "belt as a string: T = F·span/(4·deflection); its stretch reads as tension",
            ),
        };
        Ok(Answered::new(
            vec![
                ("tension_n", shown(strand.n())),
                ("tension_rib_n", shown(strand.n() / f64::from(self.ribs))),
                ("uncertainty_percent", uncertainty),
            ],
            &[source, "belt makers' manuals"],
        ))
    }

    fn by_force(&self, span: Length) -> Result<Force, Failure> {
        let force = Force::from_n(positive("force", self.force.as_deref().unwrap_or_default(), Kind::Force)?);
        let by = optional(self.deflection.as_ref(), |d| mm("deflection", d))?.unwrap_or(tension::deflection(span));
        tension::by_deflection(force, by, span).map_err(fail)
    }

    fn by_frequency(
        &self,
        span: Length,
        frequency: &str,
        weighed: &str,
        length: &str,
    ) -> Result<(Force, Value, &'static str), Failure> {
        let mass = Mass::from_kg(positive("weighed", weighed, Kind::Mass)?);
        let line = tension::weighed(mass, mm("length", length)?).map_err(fail)?;
        let heard = Frequency::from_hz(positive("frequency", frequency, Kind::Frequency)?);
        let strand = tension::by_frequency(heard, line, span).map_err(fail)?;
        // A millimetre on the span (tape), one percent on the scales.
        let meter = number("meter", &self.meter)?;
        let spread = tension::by_frequency_spread(meter / 100.0, 1.0 / span.mm(), 0.01);
        let spread = spread.map_err(|e| Failure::new(format!("--meter: \"{}\" percent cannot be; {e}", self.meter)))?;
        Ok((strand, shown(spread * 100.0), "T = 4·m·L²·f²; span known to 1 mm, mass to 1 %"))
    }
}

#[derive(Debug, Args)]
pub struct OverBalls {
    /// Profile
    #[arg(long)]
    profile: String,
    /// Effective diameter
    #[arg(long, required_unless_present = "measured", conflicts_with = "measured")]
    effective: Option<String>,
    /// Size over balls as measured, for the effective diameter it tells
    #[arg(long)]
    measured: Option<String>,
    /// Grooves, for the face width
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=100))]
    ribs: Option<u32>,
}

impl OverBalls {
    pub fn answer(self) -> Result<Answered, Failure> {
        let pulley = match (&self.effective, &self.measured) {
            (_, Some(k)) => Pulley::from_over_balls(&self.profile, mm("measured", k)?),
            (effective, None) => Pulley::new(&self.profile, mm("effective", effective.as_deref().unwrap_or_default())?),
        }
        .map_err(fail)?;
        let quality = ribs::quality();
        Ok(Answered::new(
            vec![
                ("ball_mm", json!(pulley.profile.ball.mm())),
                ("over_balls_mm", shown(pulley.over_balls().mm())),
                ("effective_mm", shown(pulley.effective.mm())),
                ("outside_mm", shown(pulley.outside().mm())),
                ("outside_least_mm", shown(pulley.outside_least().mm())),
                ("groove_depth_mm", shown(pulley.depth().mm())),
                ("face_width_mm", maybe(self.ribs.map(|z| pulley.face_width(z).mm()))),
                ("pitch_sum_mm", shown(quality.pitch_sum)),
                ("run_out_mm", maybe((self.profile == quality.profile).then_some(quality.run_out))),
            ],
            &[belts::source(), &quality.source],
        ))
    }
}
