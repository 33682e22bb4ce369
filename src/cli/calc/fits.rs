//! Fits, temperature, reaming, and what an instrument can decide.

use clap::Args;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Value, json};

use crate::mechanics::fit::{self, Warm};
use crate::mechanics::ream::{self, Stock};
use crate::mechanics::uncertainty::{Keep, Verdict, acceptance, guard_band, guard_for, judge};
use crate::quantity::{Kind, Length, Mass, Temperature, Unbalance};
use crate::standards::measuring::{self, Measures};
use crate::standards::{cutting, iso286};

use super::given::{exact_mm, fail, positive, quantity, shown};
use super::{Answered, Failure};

fn exact(value: Decimal) -> Value {
    json!(value.to_f64())
}

fn length(value: Decimal) -> Length {
    Length::from_mm(value.to_f64().unwrap_or(f64::NAN))
}

/// What a part is made of, at its temperature.
fn warm(name: &str, material: &str, at: &str) -> Result<(Warm, &'static str), Failure> {
    let (per_k, source) = measuring::expansion(material).map_err(fail)?;
    Ok((Warm { per_k, at: Temperature::from_c(quantity(name, at, Kind::Temperature)?) }, source))
}

#[derive(Debug, Args)]
pub struct Fit {
    /// Nominal size
    #[arg(long)]
    size: String,
    /// Class of the hole
    #[arg(long)]
    hole: String,
    /// Class of the shaft
    #[arg(long)]
    shaft: String,
    /// Temperature of both parts, for the clearance there
    #[arg(long)]
    at: Option<String>,
    /// Material of the hole
    #[arg(long, default_value = "steel")]
    hole_material: String,
    /// Material of the shaft
    #[arg(long, default_value = "steel")]
    shaft_material: String,
}

impl Fit {
    pub fn answer(self) -> Result<Answered, Failure> {
        let size = exact_mm("size", &self.size)?;
        let fit = fit::Fit::new(&self.hole, &self.shaft, size).map_err(fail)?;
        let mut pairs = vec![
            ("hole_lower_um", exact(fit.hole.lower_um)),
            ("hole_upper_um", exact(fit.hole.upper_um)),
            ("shaft_lower_um", exact(fit.shaft.lower_um)),
            ("shaft_upper_um", exact(fit.shaft.upper_um)),
            ("clearance_min_um", exact(fit.least_um())),
            ("clearance_max_um", exact(fit.most_um())),
            ("kind", json!(fit.kind().to_string())),
        ];
        let mut basis = vec![iso286::source()];
        if let Some(at) = &self.at {
            let (hole, hole_source) = warm("at", &self.hole_material, at)?;
            let (shaft, shaft_source) = warm("at", &self.shaft_material, at)?;
            let change = fit::clearance_change(length(size), hole, shaft).mm() * 1000.0;
            let warmed = |um: Decimal| shown(um.to_f64().unwrap_or(f64::NAN) + change);
            pairs.extend([
                ("change_um", shown(change)),
                ("clearance_min_there_um", warmed(fit.least_um())),
                ("clearance_max_there_um", warmed(fit.most_um())),
            ]);
            basis.extend([hole_source, shaft_source]);
            basis.dedup();
        }
        Ok(Answered::new(pairs, &basis))
    }
}

#[derive(Debug, Args)]
pub struct AtTwenty {
    /// Size as read
    #[arg(long)]
    reading: String,
    /// Temperature of the part
    #[arg(long)]
    part_at: String,
    /// Material of the part: steel, aluminium, cast iron, brass
    #[arg(long, default_value = "steel")]
    part: String,
    /// Temperature of the instrument
    #[arg(long)]
    instrument_at: String,
    /// Material of the instrument; none, if it holds its length
    #[arg(long, default_value = "steel")]
    instrument: String,
}

impl AtTwenty {
    pub fn answer(self) -> Result<Answered, Failure> {
        let reading = Length::from_mm(positive("reading", &self.reading, Kind::Length)?);
        let (part, part_source) = warm("part-at", &self.part, &self.part_at)?;
        let (instrument, source) = warm("instrument-at", &self.instrument, &self.instrument_at)?;
        let by = fit::correction(reading, part, instrument);
        let unsure = fit::soak_uncertainty(reading, part.per_k, 2.0);
        let mut basis = vec!["ISO 1: sizes hold at 20 °C", part_source, source];
        basis.dedup();
        Ok(Answered::new(
            vec![
                ("correction_um", shown(by.mm() * 1000.0)),
                ("size_at_20_mm", shown((reading + by).mm())),
                ("two_kelvin_um", shown(unsure.mm() * 1000.0)),
            ],
            &basis,
        ))
    }
}

#[derive(Debug, Args)]
pub struct Ream {
    /// Finished size
    #[arg(long)]
    finished: String,
    /// Tolerance class
    #[arg(long)]
    zone: String,
    /// Bore as measured
    #[arg(long)]
    measured: String,
    /// How the edge was made
    #[arg(long, value_parser = ["laser", "plasma", "drilled", "bored"], default_value = "bored")]
    edge: String,
    /// By hand or by machine
    #[arg(long, value_parser = ["hand", "machine"], default_value = "hand")]
    by: String,
    /// What is reamed
    #[arg(long, value_parser = ["steel", "light"], default_value = "steel")]
    metal: String,
}

impl Ream {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (finished, measured) = (exact_mm("finished", &self.finished)?, exact_mm("measured", &self.measured)?);
        let (lower, upper) = ream::reamer(&self.zone, finished).map_err(fail)?;
        // The hard skin is that of steel; light metal does not harden at the edge.
        let hard = matches!(self.edge.as_str(), "laser" | "plasma") && self.metal == "steel";
        let stock = ream::stock(length(finished), self.by == "hand", hard).map_err(fail)?;
        let stock = if self.metal == "light" { stock.in_light_metal() } else { stock };
        let on_diameter = finished - measured;
        let side = (on_diameter / Decimal::TWO).to_f64().unwrap_or(f64::NAN);
        let (verdict, why) = judged(side, &stock, hard);
        let drill = stock.drill(length(finished));
        let answered = Answered::new(
            vec![
                ("stock_on_diameter_mm", exact(on_diameter)),
                ("stock_per_side_mm", exact(on_diameter / Decimal::TWO)),
                ("stock_least_mm", shown(stock.least.mm())),
                ("stock_most_mm", shown(stock.most.mm())),
                ("drill_mm", drill.map_or(Value::Null, |d| shown(d.mm()))),
                ("reamer_lower_mm", exact(lower)),
                ("reamer_upper_mm", exact(upper)),
                ("verdict", json!(verdict)),
                ("why", json!(why)),
            ],
            &[&stock.basis, &cutting::reamer().source, cutting::drill_oversize().1, iso286::source()],
        );
        Ok(answered.yes_if(verdict == GOOD))
    }
}

/// The stock is neither too little nor too much.
const GOOD: &str = "good";

fn judged(side: f64, stock: &Stock, hard: bool) -> (&'static str, String) {
    let (least, most) = (stock.least.mm(), stock.most.mm());
    if side < least - 1e-9 {
        let skin = if hard {
            "; the reamer would cut nothing but hard skin: bore or drill out first, or have the bore machined"
        } else {
            "; the reamer would rub"
        };
        return ("too little", format!("{side:.3} mm on each side, at least {least:.2} mm are needed{skin}"));
    }
    if side > most + 1e-9 {
        return (
            "too much",
            format!("{side:.3} mm on each side, at most {most:.2} mm are reamed: drill or bore first"),
        );
    }
    (GOOD, format!("{side:.3} mm on each side, from {least:.2} to {most:.2} mm"))
}

#[derive(Debug, Args)]
pub struct Loose {
    /// Permissible residual unbalance at the speed of the rotor
    #[arg(long)]
    unbalance: String,
    /// Mass of all discs
    #[arg(long)]
    mass: String,
    /// Run-out of the discs allowed for other reasons
    #[arg(long)]
    run_out: Option<String>,
    /// Bore as it comes, least
    #[arg(long, requires_all = ["bore_most", "shaft_least", "shaft_most"])]
    bore_least: Option<String>,
    /// Bore as it comes, largest
    #[arg(long)]
    bore_most: Option<String>,
    /// Shaft, least
    #[arg(long)]
    shaft_least: Option<String>,
    /// Shaft, largest
    #[arg(long)]
    shaft_most: Option<String>,
}

impl Loose {
    pub fn answer(self) -> Result<Answered, Failure> {
        let unbalance = Unbalance::from_gmm(positive("unbalance", &self.unbalance, Kind::Unbalance)?);
        let mass = Mass::from_kg(positive("mass", &self.mass, Kind::Mass)?);
        let mm = |name: &str, text: &String| positive(name, text, Kind::Length).map(Length::from_mm);
        let run_out = self.run_out.as_ref().map(|t| mm("run-out", t)).transpose()?;
        let loose = ream::largest_clearance(unbalance, mass, run_out).map_err(fail)?;
        let needed = match (&self.bore_least, &self.bore_most, &self.shaft_least, &self.shaft_most) {
            (Some(a), Some(b), Some(c), Some(d)) => {
                let bore = (mm("bore-least", a)?, mm("bore-most", b)?);
                let shaft = (mm("shaft-least", c)?, mm("shaft-most", d)?);
                Some(ream::finishing_needed(bore, shaft, loose))
            }
            _ => None,
        };
        let answered = Answered::new(
            vec![("largest_clearance_mm", shown(loose.mm())), ("finishing_needed", json!(needed))],
            &["ISO 21940-11, permissible residual unbalance as given", "all discs pushed to one side of the shaft"],
        );
        // A bore that has to be finished is not good as it comes.
        Ok(answered.yes_if(needed != Some(true)))
    }
}

#[derive(Debug, Args)]
pub struct Decide {
    /// Nominal size, with --zone
    #[arg(long, requires = "zone", required_unless_present_all = ["lower", "upper"])]
    size: Option<String>,
    /// Tolerance class, with --size
    #[arg(long, requires = "size")]
    zone: Option<String>,
    /// Lower limit
    #[arg(long, requires = "upper", conflicts_with = "size")]
    lower: Option<String>,
    /// Upper limit
    #[arg(long, requires = "lower")]
    upper: Option<String>,
    /// What the limits are of, where no class tells it
    #[arg(long, value_parser = ["outside", "inside", "difference"], default_value = "outside")]
    of: String,
    /// Expanded uncertainty U of the instrument in hand
    #[arg(long)]
    uncertainty: Option<String>,
    /// How much of U is kept off each limit
    #[arg(long, value_parser = ["whole", "95"], default_value = "whole")]
    guard: String,
    /// Value read with it
    #[arg(long, requires = "uncertainty")]
    value: Option<String>,
}

impl Decide {
    pub fn answer(self) -> Result<Answered, Failure> {
        let (lower, upper) = self.limits()?;
        let keep = if self.guard == "95" { Keep::NinetyFive } else { Keep::Whole };
        let mut pairs = vec![
            ("lower_mm", exact(lower)),
            ("upper_mm", exact(upper)),
            // Half the tolerance left to work in (common practice).
            ("guard_for_half_mm", guard_for(lower, upper, Decimal::new(5, 1)).map_or(Value::Null, exact)),
        ];
        let (can, cannot) = usual(lower, upper, keep, self.measures());
        pairs.extend([("can_decide", json!(can)), ("cannot_decide", json!(cannot))]);
        let mut no = false;
        if let Some(text) = &self.uncertainty {
            let guard = guard_band(exact_mm("uncertainty", text)?.abs(), keep);
            let zone = acceptance(lower, upper, guard);
            let verdict = self.value.as_deref().map(|v| exact_mm("value", v)).transpose()?;
            let verdict = verdict.map(|v| judge(v, Some(lower), Some(upper), guard));
            no = zone.is_none() || verdict.is_some_and(|v| v != Verdict::Within);
            pairs.extend([
                ("guard_mm", exact(guard)),
                ("accept_from_mm", zone.map_or(Value::Null, |z| exact(z.0))),
                ("accept_to_mm", zone.map_or(Value::Null, |z| exact(z.1))),
                ("verdict", verdict.map_or(Value::Null, |v| json!(word(v)))),
            ]);
        }
        let edition = match keep {
            Keep::Whole => "ISO 14253-1, guard band U on each side",
            Keep::NinetyFive => "ISO 14253-1:2017, 0.83·U on each side, from memory",
        };
        let mut basis = vec![edition, "instruments with their usual uncertainty: DIN 862, DIN 863, common practice"];
        if self.zone.is_some() {
            basis.push(iso286::source());
        }
        let answered = Answered::new(pairs, &basis);
        Ok(if no { answered.no() } else { answered })
    }

    /// Holes have capital letters.
    fn measures(&self) -> Measures {
        match (&self.zone, self.of.as_str()) {
            (Some(zone), _) if zone.starts_with(char::is_uppercase) => Measures::Inside,
            (Some(_), _) => Measures::Outside,
            (None, "inside") => Measures::Inside,
            (None, "difference") => Measures::Difference,
            (None, _) => Measures::Outside,
        }
    }

    fn limits(&self) -> Result<(Decimal, Decimal), Failure> {
        let (lower, upper) = match (&self.size, &self.zone, &self.lower, &self.upper) {
            (Some(size), Some(zone), _, _) => {
                let size = exact_mm("size", size)?;
                iso286::class(zone, size).map_err(fail)?.limits_mm(size)
            }
            (_, _, Some(lower), Some(upper)) => (exact_mm("lower", lower)?, exact_mm("upper", upper)?),
            _ => return Err(Failure::new("--size with --zone, or --lower with --upper are needed")),
        };
        if lower < upper {
            return Ok((lower, upper));
        }
        Err(Failure::new(format!("--lower: {lower} mm is not below the upper limit, {upper} mm")))
    }
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "within",
        Verdict::Outside => "outside",
        Verdict::Undecided => "undecided",
    }
}

/// The usual instruments for that, parted by whether they can ever say "within"; a pair of limit gauges always can.
fn usual(lower: Decimal, upper: Decimal, keep: Keep, what: Measures) -> (Vec<String>, Vec<String>) {
    let size = upper.to_f64().unwrap_or(f64::NAN);
    let (mut can, mut cannot) = (Vec::new(), Vec::new());
    for i in measuring::instruments().iter().filter(|i| i.measures == what && size > i.over && size <= i.up_to) {
        let guard = guard_band(Decimal::from_f64_retain(i.u).unwrap_or_default().round_dp(4), keep).normalize();
        match acceptance(lower, upper, guard) {
            Some((from, to)) => can.push(format!("{} (U {} mm): {from} to {to} mm", i.kind, i.u)),
            None => cannot.push(format!("{} (U {} mm)", i.kind, i.u)),
        }
    }
    let gauge = match what {
        Measures::Inside => format!("plug gauge, go {lower} and no-go {upper} mm"),
        Measures::Outside => format!("snap gauge, go {upper} and no-go {lower} mm"),
        Measures::Difference => return (can, cannot),
    };
    can.push(gauge);
    (can, cannot)
}
