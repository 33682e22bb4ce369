//! Lengths along the shaft.

use clap::{Args, ValueEnum};
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Map, Value, json};

use crate::mechanics::stack_samples::{SAMPLES, Sampled, Spread, sample};
use crate::mechanics::stack_up::{Link, Nuts, rod_needed, root_sum_square, worst_case};
use crate::module::{Module, Setup};
use crate::procedure::figures::{Figures, links, rods_over};
use crate::procedure::shaft_line::room;
use crate::quantity::{Band, Kind, Length};
use crate::standards::threads::thread;

use super::super::load::{self, Chosen};
use super::super::typed;
use super::given::{fail, shown};
use super::{Answered, Failure};

#[derive(Debug, Clone, Copy, ValueEnum)]
enum SpreadWord {
    /// Anywhere between the limits alike
    Even,
    /// Normal, limits at three standard deviations
    Normal,
}

#[derive(Debug, Args)]
pub struct Stack {
    /// Module spec: every number of discs it allows, or the one chosen
    spec: Option<String>,
    #[command(flatten)]
    chosen: Chosen,
    /// A length: "5 x 8 mm ±0.2", "-1 x 3 mm ±0.1" where it closes a gap, "5 x 8 mm ±0.2 alike" from one sheet
    #[arg(long = "part", required_unless_present = "spec")]
    parts: Vec<String>,
    /// Thread of the rods over the stack
    #[arg(long)]
    rod: Option<String>,
    /// A second full nut at both ends
    #[arg(long)]
    second_nuts: bool,
    /// A spring washer at both ends
    #[arg(long, conflicts_with = "second_nuts")]
    spring_washers: bool,
    /// Limits of the whole, for the share of stacks outside: "79 mm to 81 mm"
    #[arg(long)]
    within: Option<String>,
    /// The discs of the spec are cut from one sheet and deviate alike
    #[arg(long)]
    one_sheet: bool,
    /// How a part's length lies between its limits
    #[arg(long, value_enum, default_value = "even")]
    spread: SpreadWord,
    /// Number of stacks built
    #[arg(long, default_value_t = 100_000, value_parser = clap::value_parser!(u32).range(i64::from(*SAMPLES.start())..=i64::from(*SAMPLES.end())))]
    samples: u32,
    /// Seed of the random numbers
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

const BASIS: [&str; 4] = [
    "worst case: every part at a limit; what is ordered by it always fits",
    "root sum square: independent parts, limits at three standard deviations, 99.73 % inside",
    "samples: PCG XSL-RR 128/64 from the seed; quantiles at 0.135 and 99.865 %, bounds by the rank of the sample (95 %)",
    "rods: ISO 4032, ISO 4035, ISO 7089, DIN 127, one to three threads at both ends (common practice)",
];

impl Stack {
    pub fn answer(self) -> Result<Answered, Failure> {
        let mut keys = match &self.spec {
            Some(spec) => self.of_spec(&load::module(spec)?)?,
            None => self.of_parts()?,
        };
        keys.push(("samples", json!(self.samples)));
        keys.push(("seed", json!(self.seed)));
        keys.push(("spread", json!(if matches!(self.spread, SpreadWord::Even) { "even" } else { "normal" })));
        let fits = |row: &Value| row["fits"] != json!(false);
        let all = keys.iter().all(|(key, value)| match value {
            Value::Array(rows) if *key == "setups" => rows.iter().all(fits),
            value => *key != "fits" || *value != json!(false),
        });
        Ok(Answered::new(keys, &BASIS).yes_if(all))
    }

    fn of_parts(&self) -> Result<Vec<(&'static str, Value)>, Failure> {
        let links = self.parts.iter().map(|p| part(p)).collect::<Result<Vec<_>, _>>()?;
        let mut keys = self.lengths(&links)?;
        if let Some(rod) = &self.rod {
            let thread = thread(rod).map_err(fail)?;
            let (low, high) = limits(&links);
            let (least, most) = rod_needed(thread, low, high, self.nuts());
            keys.extend(rods(least, most));
            keys.push(("fits", json!(least <= most)));
        }
        Ok(keys)
    }

    fn nuts(&self) -> Nuts {
        match (self.second_nuts, self.spring_washers) {
            (true, _) => Nuts::SecondNut,
            (_, true) => Nuts::SpringWasher,
            _ => Nuts::Plain,
        }
    }

    fn of_spec(&self, module: &Module) -> Result<Vec<(&'static str, Value)>, Failure> {
        let chosen = self.chosen.map()?;
        let given = Setup::choose(module, &chosen).map_err(fail)?;
        let mut seen = Vec::new();
        let mut rows = Vec::new();
        for setup in Setup::all(module) {
            let asked = chosen.is_empty() || setup.discs == given.discs;
            if asked && !seen.contains(&setup.discs) {
                seen.push(setup.discs);
                rows.push(Value::Object(self.row(module, &setup)?));
            }
        }
        Ok(vec![("shaft_mm", thousandth(module.shaft.length.mm())), ("setups", Value::from(rows))])
    }

    fn row(&self, module: &Module, setup: &Setup) -> Result<Map<String, Value>, Failure> {
        let figures = Figures::of(module, setup).map_err(fail)?;
        let (Some(stack), Some(own)) = (&module.stack, &figures.stack) else {
            return Err(Failure::new(format!("{} has no stack of discs", module.id)));
        };
        let [discs, ends] = links(stack, setup);
        let discs = if self.one_sheet { discs.from_one_sheet() } else { discs };
        let links = [discs, ends];
        let room = room(module, setup).map_err(fail)?;
        let mut keys = vec![("discs", json!(setup.discs))];
        keys.extend(self.lengths(&links)?);
        let (least, most) = rods_over(stack, setup, own.rod.thread);
        keys.extend(rods(least, most));
        keys.push(("rod_given_mm", own.rod_length.map_or(Value::Null, |l| thousandth(l.mm()))));
        keys.push(("shaft_needed_mm", thousandth(room.needed.mm())));
        keys.push(("least_gap_mm", thousandth(room.least_gap.mm())));
        keys.push(("gap_between", json!([room.between.0, room.between.1])));
        let rod = own.rod_length.is_none_or(|given| given >= least);
        let placed = room.least_gap.mm() >= 0.0 && room.before.mm() >= 0.0 && room.needed <= *module.shaft.length;
        keys.push(("fits", json!(rod && placed)));
        Ok(keys.into_iter().map(|(k, v)| (k.to_owned(), v)).collect())
    }

    fn lengths(&self, links: &[Link]) -> Result<Vec<(&'static str, Value)>, Failure> {
        let spread = match self.spread {
            SpreadWord::Even => Spread::Even,
            SpreadWord::Normal => Spread::Normal,
        };
        let sampled = sample(links, spread, self.samples, self.seed).map_err(fail)?;
        let (low, high) = limits(links);
        let (middle, half) = root_sum_square(links);
        let pair = |a: Length, b: Length| json!([thousandth(a.mm()), thousandth(b.mm())]);
        let mut keys = vec![
            ("middle_mm", thousandth(middle.mm())),
            ("worst_case_mm", pair(low, high)),
            ("root_sum_square_mm", pair(middle - half, middle + half)),
            ("sampled_mm", pair(sampled.low.value, sampled.high.value)),
            ("sampled_low_bounds_mm", pair(sampled.low.from, sampled.low.to)),
            ("sampled_high_bounds_mm", pair(sampled.high.from, sampled.high.to)),
            ("mean_mm", thousandth(sampled.mean.mm())),
            ("deviation_mm", thousandth(sampled.deviation.mm())),
        ];
        if let Some(text) = &self.within {
            keys.push(("outside_share", outside(&sampled, text)?));
        }
        Ok(keys)
    }
}

fn outside(sampled: &Sampled, text: &str) -> Result<Value, Failure> {
    let band = Band::parse(&typed(text), Kind::Length).map_err(|e| Failure::new(format!("--within: {e}")))?;
    let mm = |d: Option<rust_decimal::Decimal>| d.and_then(|d| d.to_f64()).map(Length::from_mm);
    Ok(shown(sampled.outside(mm(band.lower), mm(band.upper))))
}

fn limits(links: &[Link]) -> (Length, Length) {
    let (low, high) = worst_case(links);
    let mm = |d: rust_decimal::Decimal| Length::from_mm(d.to_f64().unwrap_or(f64::NAN));
    (mm(low), mm(high))
}

fn rods(least: Length, most: Length) -> [(&'static str, Value); 3] {
    let one = if least <= most {
        "a length between the two serves every stack"
    } else {
        "no one length serves every stack: measure the stack, then cut"
    };
    [("rod_least_mm", thousandth(least.mm())), ("rod_most_mm", thousandth(most.mm())), ("rods", json!(one))]
}

/// Millimetres to the thousandth, as they are measured.
fn thousandth(mm: f64) -> Value {
    json!((mm * 1000.0).round() / 1000.0)
}

/// "5 x 8 mm ±0.2 alike".
fn part(text: &str) -> Result<Link, Failure> {
    let wrong = |why: &str| Failure::new(format!("--part: \"{text}\" {why}; write it like \"5 x 8 mm ±0.2\""));
    let written = typed(text);
    let (rest, alike) = written.strip_suffix("alike").map_or((written.as_str(), false), |r| (r.trim(), true));
    let (count, size) = rest.split_once('x').unwrap_or(("1", rest));
    let count: i32 = count.trim().parse().map_err(|_| wrong("does not begin with a whole number"))?;
    if count == 0 || count.abs() > 1000 {
        return Err(wrong("counts none or more than 1000"));
    }
    let band = Band::parse(size.trim(), Kind::Length).map_err(|e| Failure::new(format!("--part: {e}")))?;
    let (Some(lower), Some(upper)) = (band.lower, band.upper) else {
        return Err(wrong("has not both limits"));
    };
    let link = Link::new(lower, upper, count);
    Ok(if alike { link.from_one_sheet() } else { link })
}
