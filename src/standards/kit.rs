//! Rules of a kit: spares, cutting of rods, kinds of what steps name, what is always packed, what to ask before travelling.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::quantity::{Length, Stress};

use super::measuring::{Instrument, Measures, instruments};
use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    spares: Vec<Spare>,
    cutting: Cutting,
    washer_hardness: Vec<WasherRow>,
    named: Vec<Packed>,
    always: Vec<Packed>,
    gauges: Vec<Gauge>,
    checks: Checks,
    site: Vec<String>,
}

/// Kinds of lines in a kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Made or bought part.
    Part,
    /// Bolts, rods, nuts, washers.
    Hardware,
    /// Tool.
    Tool,
    /// Measuring instrument.
    Gauge,
    /// Used up.
    Consumable,
    /// Worn or kept ready against harm.
    Protective,
    /// One more than is built in.
    Spare,
}

/// How many spares of a sort.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Spare {
    of: String,
    share: f64,
    least: u32,
    /// Source of the rule.
    pub source: String,
}

/// How rods are cut from bars.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Cutting {
    bar: f64,
    kerf: f64,
    dressing: f64,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct WasherRow {
    up_to: f64,
    hv: u32,
    source: String,
}

/// A thing that is packed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Packed {
    /// Name, or the first words of one in a step.
    pub name: String,
    /// Kind.
    pub kind: Kind,
    /// How many.
    pub quantity: u32,
    /// Counted in.
    pub unit: String,
    /// For everybody named in the spec.
    #[serde(default)]
    pub each: bool,
    /// Only where a caution says one of these words; empty for always.
    #[serde(default)]
    pub words: Vec<String>,
    /// Good to have; its want stops nothing.
    #[serde(default)]
    pub advised: bool,
    /// Source; empty for what a step names.
    #[serde(default)]
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct Gauge {
    name: String,
    measures: Measures,
    /// Row in the table of usual instruments; none for one that tells to its step.
    kind: Option<String>,
}

#[derive(Debug, Default, Deserialize)]
struct Checks {
    outside: Vec<String>,
    inside: Vec<String>,
    difference: Vec<String>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("kit.yaml", include_str!("data/kit.yaml")));

/// Reads the table, so that a fault in it is told before anything rests on it.
pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// Spares for a number of pieces of a sort, and the rule's source: a share of it rounded up, and no less than the least.
/// None for a sort of which none is carried.
///
/// ```
/// use runtrue::standards::kit::spares;
/// let n = |of, pieces| spares(of, pieces).map(|(n, _)| n);
/// assert_eq!((n("nut", 24), n("nut", 4), n("rod", 6), n("belt", 1)), (Some(3), Some(2), Some(1), Some(1)));
/// assert_eq!((n("shaft", 1), n("nut", 0)), (None, None));
/// ```
#[must_use]
pub fn spares(of: &str, pieces: u32) -> Option<(u32, &'static str)> {
    let row = TABLE.spares.iter().find(|r| r.of == of).filter(|_| pieces > 0)?;
    // A share of twenty written as 0.1 is two, whatever the last binary digit says.
    let share = (row.share * f64::from(pieces) - 1e-9).ceil().max(0.0) as u32;
    Some((share.max(row.least), row.source.as_str()))
}

/// How rods are cut.
///
/// ```
/// assert!(runtrue::standards::kit::cutting().source.contains("DIN 976"));
/// ```
#[must_use]
pub fn cutting() -> &'static Cutting {
    &TABLE.cutting
}

impl Cutting {
    /// Length to saw a rod to, before both ends are dressed: the finished length and the allowance.
    ///
    /// ```
    /// use runtrue::{quantity::Length, standards::kit::cutting};
    /// assert_eq!(cutting().sawn(Length::from_mm(112.0)).mm(), 113.0);
    /// ```
    #[must_use]
    pub fn sawn(&self, finished: Length) -> Length {
        finished + Length::from_mm(self.dressing)
    }

    /// Bar length.
    ///
    /// ```
    /// assert_eq!(runtrue::standards::kit::cutting().bar().mm(), 1000.0);
    /// ```
    #[must_use]
    pub const fn bar(&self) -> Length {
        Length::from_mm(self.bar)
    }

    /// Bars needed for pieces of these finished lengths: the longest first, each into the first bar with room for it and the saw
    /// cut behind it.
    ///
    /// # Errors
    /// [`NotInTable`] for a piece longer than a bar.
    ///
    /// ```
    /// use runtrue::{quantity::Length, standards::kit::cutting};
    /// // 115 mm of bar go into each: 8 into one bar, and two long ones of 600 into a bar each.
    /// let lengths = |n: usize, mm: f64| vec![Length::from_mm(mm); n];
    /// assert_eq!((cutting().bars(&lengths(8, 112.0))?, cutting().bars(&lengths(9, 112.0))?), (1, 2));
    /// assert_eq!(cutting().bars(&lengths(2, 600.0))?, 2);
    /// assert!(cutting().bars(&lengths(1, 1000.0)).is_err());
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    pub fn bars(&self, finished: &[Length]) -> Result<u32, NotInTable> {
        let mut pieces: Vec<f64> = finished.iter().map(|l| self.sawn(*l).mm()).collect();
        pieces.sort_by(|a, b| b.total_cmp(a));
        if let Some(long) = pieces.iter().find(|p| p.is_nan() || **p > self.bar) {
            return Err(NotInTable::new(
                format!("a rod sawn to {long} mm"),
                format!("up to {} mm", self.bar),
                &self.source,
            ));
        }
        let mut left: Vec<f64> = Vec::new();
        for piece in pieces {
            match left.iter_mut().find(|l| **l >= piece) {
                Some(bar) => *bar -= piece + self.kerf,
                None => left.push(self.bar - piece - self.kerf),
            }
        }
        Ok(u32::try_from(left.len()).unwrap_or(u32::MAX))
    }
}

/// Hardness of the flat washer for a bolt of this tensile strength, HV.
///
/// # Errors
/// [`NotInTable`] above class 10.9.
///
/// ```
/// use runtrue::{quantity::Stress, standards::kit::washer_hardness};
/// let hv = |mpa: f64| washer_hardness(Stress::from_mpa(mpa)).map(|(hv, _)| hv);
/// assert_eq!((hv(800.0)?, hv(1040.0)?), (200, 300));
/// assert!(hv(1220.0).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn washer_hardness(strength: Stress) -> Result<(u32, &'static str), NotInTable> {
    let row = TABLE.washer_hardness.iter().find(|r| strength.mpa() <= r.up_to);
    row.map(|r| (r.hv, r.source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("a washer under a bolt of {} MPa", strength.mpa()), "up to 1040 MPa", "ISO 7089")
    })
}

/// What a name in a step stands for, and the rest of the name: its size. The longest first words count.
///
/// ```
/// use runtrue::standards::kit::{Kind, named};
/// let (row, size) = named("Pair of balls 1.5 mm").ok_or("not in the table")?;
/// assert_eq!((row.kind, row.unit.as_str(), size), (Kind::Tool, "pair", "1.5 mm"));
/// assert!(named("Socket 16 mm").is_none() && named("Chalkboard").is_none());
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn named(name: &str) -> Option<(&'static Packed, &str)> {
    let rest = |row: &Packed| name.strip_prefix(row.name.as_str()).filter(|r| r.is_empty() || r.starts_with(' '));
    let fits = TABLE.named.iter().filter_map(|row| Some((row, rest(row)?.trim_start())));
    fits.max_by_key(|(row, _)| row.name.len())
}

/// What is packed beside what steps name.
///
/// ```
/// assert!(runtrue::standards::kit::always().iter().any(|p| p.name == "Safety shoes" && p.each));
/// ```
#[must_use]
pub fn always() -> &'static [Packed] {
    &TABLE.always
}

/// What a check of this id measures; none where no size is measured.
///
/// ```
/// use runtrue::standards::{kit::measures, measuring::Measures};
/// assert_eq!((measures("bore"), measures("run-out")), (Some(Measures::Inside), Some(Measures::Difference)));
/// assert_eq!(measures("class"), None);
/// ```
#[must_use]
pub fn measures(check: &str) -> Option<Measures> {
    let lists = &TABLE.checks;
    let all = [
        (&lists.outside, Measures::Outside),
        (&lists.inside, Measures::Inside),
        (&lists.difference, Measures::Difference),
    ];
    all.into_iter().find(|(list, _)| list.iter().any(|c| c == check)).map(|(_, measures)| measures)
}

/// Usual expanded uncertainty, mm, of an instrument as steps name it, laid on a size: that of the table, and no less than its
/// resolution (the last words of the name). None for an instrument that does not measure this, or not at this size.
///
/// ```
/// use runtrue::standards::{kit::usual_mm, measuring::Measures};
/// assert_eq!(usual_mm("Two-point bore gauge 0.001 mm", Measures::Inside, 25.0), Some(0.005));
/// assert_eq!(usual_mm("Outside micrometer 0.01 mm", Measures::Outside, 8.0), Some(0.01));
/// assert_eq!(usual_mm("Caliper 0.02 mm", Measures::Outside, 400.0), None);
/// assert_eq!(usual_mm("Feeler gauge 0.05 mm", Measures::Difference, 0.4), Some(0.05)); // tells to its step
/// ```
#[must_use]
pub fn usual_mm(name: &str, measures: Measures, size: f64) -> Option<f64> {
    let fits = |g: &&Gauge| name.starts_with(&g.name) && g.measures == measures;
    let gauge = TABLE.gauges.iter().find(fits)?;
    let mut words = name.rsplit(' ');
    let resolution = words.next().filter(|unit| *unit == "mm").and(words.next()).and_then(|n| n.parse::<f64>().ok());
    let Some(kind) = &gauge.kind else { return resolution };
    let of_kind = |i: &&Instrument| i.kind.starts_with(kind.as_str()) && i.measures == measures;
    let u = instruments().iter().filter(of_kind).find(|i| size > i.over && size <= i.up_to)?.u;
    Some(u.max(resolution.unwrap_or(0.0)))
}

/// What to ask about the place of work before travelling.
///
/// ```
/// assert!(runtrue::standards::kit::site().iter().all(|q| q.ends_with('?')));
/// ```
#[must_use]
pub fn site() -> &'static [String] {
    &TABLE.site
}

/// Every rule's name and source, for the test that none is without.
///
/// ```
/// assert!(runtrue::standards::kit::sources().iter().all(|(_, source)| !source.is_empty()));
/// ```
#[must_use]
pub fn sources() -> Vec<(String, &'static str)> {
    let t = &*TABLE;
    let spares = t.spares.iter().map(|r| (format!("spare {}", r.of), r.source.as_str()));
    let washers = t.washer_hardness.iter().map(|r| (format!("washer {} HV", r.hv), r.source.as_str()));
    let always = t.always.iter().map(|r| (r.name.clone(), r.source.as_str()));
    spares.chain(washers).chain(always).chain([("cutting".to_owned(), t.cutting.source.as_str())]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_and_every_rule_has_its_source() {
        assert!(TABLE.spares.len() >= 8 && TABLE.named.len() >= 15 && TABLE.always.len() >= 5 && TABLE.site.len() >= 5);
        for (name, source) in sources() {
            assert!(source.len() > 10, "{name}");
        }
    }

    #[test]
    fn every_gauge_stands_in_the_table_of_usual_instruments() {
        for kind in TABLE.gauges.iter().filter_map(|g| g.kind.as_ref()) {
            assert!(instruments().iter().any(|i| i.kind == *kind), "{kind}");
        }
    }

    #[test]
    fn bars_are_never_cut_longer_than_they_are() {
        let mut n = 7_u64;
        for _ in 0..200 {
            n = n.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let lengths: Vec<Length> =
                (0..(n >> 40) % 30).map(|k| Length::from_mm(30.0 + ((n >> (k % 20)) % 900) as f64)).collect();
            let bars = cutting().bars(&lengths).unwrap();
            let sum: f64 = lengths.iter().map(|l| l.mm() + 1.0).sum();
            assert!(f64::from(bars) * 1000.0 >= sum, "{bars} bars for {sum} mm");
            assert!(bars as usize <= lengths.len());
        }
    }
}
