//! Pulley, belt and sled of a new module.

use crate::mechanics::belt::Drive;
use crate::quantity::{Force, Length};
use crate::standards::{belts, ribs};

use super::sheet::{Sheet, mm, up};
use super::{Answers, NotSo};

/// Profile whose stock lengths are known and that small machines use.
pub const PROFILE: &str = "PJ";

/// Most ribs that a belt is given, and fewest.
const RIBS: (u32, u32) = (4, 20);

/// Smallest steps that are tried, mm: effective diameters of the fastest step.
const SMALLEST: [f64; 6] = [60.0, 80.0, 100.0, 125.0, 160.0, 200.0];

/// Largest pulley of the driver, and of the shaft, mm (common practice: what is still turned or cut from plate in a small shop).
const LARGEST: f64 = 630.0;

/// From the rim of the discs to the middle of the driver's shaft, mm: guard, its gap and the shaft itself (common practice).
const PAST: f64 = 50.0;

/// Travel that slots are given at most, mm (common practice).
const TRAVEL: f64 = 250.0;

/// Run-in tension of a rib, N, as it is written where no family says otherwise.
pub const TENSION: (&str, &str) = ("55 N per rib", "44 N per rib");

/// Sizes of the drive.
#[derive(Debug, Clone)]
pub struct Sizes {
    /// Name and effective diameter of each step, the slowest first.
    pub steps: Vec<(String, f64)>,
    /// Effective diameter of the driver.
    pub driver: f64,
    /// Ribs of belt and pulley.
    pub ribs: u32,
    /// Length of the hub.
    pub hub: f64,
    /// Effective length of the belt, in stock.
    pub belt: f64,
    /// Centre distance with the sled at its inner end, and its travel.
    pub sled: (f64, f64),
}

/// Sizes that follow from the answers.
///
/// # Errors
/// [`NotSo`] where no pulleys, ribs or stock belt do what is asked.
pub fn sizes(answers: &Answers, sheet: &Sheet<'_>) -> Result<Sizes, NotSo> {
    let profile = belts::profile(PROFILE).map_err(|e| NotSo::new("speeds", e.to_string()))?;
    let least = (f64::from(answers.shaft) * 1.6 + 20.0).max(profile.smallest.mm());
    let mut failed: Vec<NotSo> = Vec::new();
    for fast in SMALLEST.into_iter().filter(|d| *d >= least) {
        match with_step(answers, sheet, fast) {
            Ok(sizes) => return Ok(sizes),
            Err(not) => failed.push(not),
        }
    }
    // Why the smallest pulleys do not do says what is asked too much of; why the largest do not, what stands in the way of more.
    let more = failed.last().map(|not| not.why.clone()).unwrap_or_default();
    let first = failed.into_iter().next();
    let mut first =
        first.unwrap_or_else(|| NotSo::new("speeds", format!("a pulley of {} is too large for the shop", mm(LARGEST))));
    if !more.is_empty() && more != first.why {
        first.why.push_str(&format!("; and with larger pulleys {more}"));
    }
    Err(first)
}

fn with_step(answers: &Answers, sheet: &Sheet<'_>, fast: f64) -> Result<Sizes, NotSo> {
    let hb = ribs::line_difference(PROFILE).map_err(|e| NotSo::new("speeds", e.to_string()))?;
    // Speeds go with pitch diameters, which lie outside the effective ones.
    let beyond = hb.low + hb.high;
    let fastest = answers.speeds.last().copied().unwrap_or(f64::NAN);
    let slowest = answers.speeds.first().copied().unwrap_or(f64::NAN);
    let ratio = fastest / answers.driver;
    // A driver no smaller than the step of the rotor would be allowed to be; the step grows where the driver is quick.
    let fast = fast.max(up((SMALLEST[0] + beyond) / ratio - beyond, 5.0));
    let driver = up((fast + beyond) * ratio - beyond, 5.0);
    let step = |speed: f64| ((driver + beyond) * answers.driver / speed - beyond).round();
    let slow = step(slowest);
    for (what, diameter) in [("driver", driver), ("rotor", slow)] {
        if diameter > LARGEST {
            let why = format!(
                "from {} to {} rpm the {what} needs a pulley of {}, and {} is the largest",
                answers.driver,
                if what == "driver" { fastest } else { slowest },
                mm(diameter),
                mm(LARGEST)
            );
            return Err(NotSo::new("speeds", why));
        }
    }
    let count = answers.speeds.len();
    let named = names(count).iter().zip(&answers.speeds);
    let steps: Vec<(String, f64)> = named.map(|(name, speed)| ((*name).to_owned(), step(*speed))).collect();
    let rim = if answers.plain() { 0.0 } else { answers.outer / 2.0 + PAST };
    let (belt, sled) = belt(sheet, &steps, driver, rim)?;
    let ribs = ribs_for(answers, sheet, &steps, driver, belt)?;
    let hub = hub(answers, ribs, count);
    Ok(Sizes { steps, driver, ribs, hub, belt, sled })
}

/// Names of one to five steps, the slowest first.
pub fn names(count: usize) -> &'static [&'static str] {
    match count {
        0 | 1 => &["only"],
        2 => &["slow", "fast"],
        3 => &["slow", "middle", "fast"],
        4 => &["slow", "second", "third", "fast"],
        _ => &["slow", "second", "third", "fourth", "fast"],
    }
}

/// Every step's grooves side by side, and at least the hold of a hub of 1.8 shaft diameters (common practice).
fn hub(answers: &Answers, ribs: u32, steps: usize) -> f64 {
    let pitch = belts::profile(PROFILE).map_or(0.0, |p| p.pitch.mm());
    let wide = u32::try_from(steps).map_or(1.0, f64::from) * (f64::from(ribs) * pitch + 6.0);
    up(wide.max(f64::from(answers.shaft) * 1.8), 5.0)
}

/// The belt run in passes the torque on at every step without slipping.
fn ribs_for(
    answers: &Answers,
    sheet: &Sheet<'_>,
    steps: &[(String, f64)],
    driver: f64,
    belt: f64,
) -> Result<u32, NotSo> {
    let used = sheet.said("belt.tension.used", TENSION.1);
    let rib: f64 = used.split_whitespace().next().and_then(|n| n.replace(',', ".").parse().ok()).unwrap_or(f64::NAN);
    let holds = |d: f64| {
        let mm = Length::from_mm;
        let drive = Drive::from_length(mm(d), mm(driver), mm(belt)).ok()?;
        Some(drive.slip_torque(Force::from_n(rib), mm(d)).nm())
    };
    let least = steps.iter().filter_map(|(_, d)| holds(*d)).fold(f64::INFINITY, f64::min);
    let own = sheet.said("belt.ribs", "6").parse::<u32>().unwrap_or(6).clamp(RIBS.0, RIBS.1);
    let enough = (own..=RIBS.1).find(|n| f64::from(*n) * least >= answers.torque);
    enough.ok_or_else(|| {
        let most = (f64::from(RIBS.1) * least * 10.0).floor() / 10.0;
        let why = format!(
            "a belt {PROFILE} of {} ribs passes {most} N·m on before it slips, {} N·m are asked",
            RIBS.1, answers.torque
        );
        let mut not = NotSo::new("torque", why);
        not.instead.push(("torque", format!("{most} N·m")));
        not
    })
}

/// The shortest stock belt whose centres leave the larger pulley and the discs clear, and the slots that lay it on and take it up at every step.
fn belt(sheet: &Sheet<'_>, steps: &[(String, f64)], driver: f64, past: f64) -> Result<(f64, (f64, f64)), NotSo> {
    let mm = Length::from_mm;
    let largest = steps.iter().map(|(_, d)| *d).fold(driver, f64::max);
    // Twice the larger pulley or so gives the smaller one its wrap; below 250 mm nobody gets at the belt (common practice).
    let wanted = ((largest * 1.9).max(250.0) * 0.8).max(past);
    let asked = sheet.changed.get("belt.length").and_then(|l| l.split_whitespace().next()?.parse::<f64>().ok());
    let lengths = asked.map_or_else(|| belts::stock(PROFILE).to_vec(), |l| vec![l]);
    let centres = |length: f64| -> Option<(f64, f64)> {
        let all = steps.iter().map(|(_, d)| Drive::from_length(mm(*d), mm(driver), mm(length)).map(|d| d.centre.mm()));
        let all: Vec<f64> = all.collect::<Result<_, _>>().ok()?;
        let (inward, outward) = belts::allowance(PROFILE, mm(length)).ok()?;
        let least = all.iter().copied().fold(f64::INFINITY, f64::min) - inward.mm();
        Some((least, all.iter().copied().fold(0.0, f64::max) + outward.mm()))
    };
    let good = |length: &f64| centres(*length).filter(|(least, most)| *least >= wanted && most - least <= TRAVEL);
    let found = lengths.iter().find_map(|length| good(length).map(|ends| (*length, ends)));
    let Some((length, (least, most))) = found else {
        let why = format!(
            "no stock belt goes round a driver of {} and steps of {} to {} mm with slots of {} at most",
            super::sheet::mm(driver),
            steps.last().map_or(0.0, |(_, d)| *d),
            steps.first().map_or(0.0, |(_, d)| *d),
            super::sheet::mm(TRAVEL)
        );
        return Err(NotSo::new("speeds", why));
    };
    let inner = (least / 5.0).floor() * 5.0;
    let travel = up(most - inner, 10.0);
    let own = sheet.mm("sled.travel").filter(|own| *own >= travel && *own <= TRAVEL);
    Ok((length, (inner, own.unwrap_or(travel))))
}
