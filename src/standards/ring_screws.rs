//! Set screws of the inner rings of insert bearings: torques as their makers print them, and the range that may be used.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::Torque;

use super::{NotInTable, bearings, bench, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    set_screws: Vec<Row>,
}

#[derive(Debug, Deserialize)]
struct Row {
    bores: Vec<f64>,
    #[serde(flatten)]
    torque: RingTorque,
}

/// Torque of the set screws of a unit as one maker prints it, N·m.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct RingTorque {
    /// Screw.
    pub screw: String,
    /// Least.
    pub low: f64,
    /// Largest.
    pub high: f64,
    /// What the figure is: largest, recommended, recommended largest.
    pub kind: String,
    /// Maker; two names of one maker are parted by a stroke.
    pub maker: String,
    /// Kind of ring, where the maker prints more than one.
    #[serde(default)]
    pub ring: String,
    /// Source.
    pub source: String,
}

impl RingTorque {
    /// True where the words name this maker.
    fn named(&self, words: &str) -> bool {
        let mut words = words.split(|c: char| !c.is_alphanumeric());
        words.any(|word| self.maker.to_lowercase().split('/').any(|maker| maker == word))
    }

    /// Least torque that fills the figure. A figure that is a largest one has no lower end in print: as far as a torque wrench may be
    /// under it (ISO 6789).
    fn least(&self) -> f64 {
        let tool = bench::torque_tool(Torque::from_nm(self.high)).map_or(0.0, |(share, _)| share);
        if self.low < self.high { self.low } else { self.high * (1.0 - tool) }
    }
}

/// What the set screws of a ring may be tightened to.
#[derive(Debug, Clone, PartialEq)]
pub struct RingRange {
    /// Least: a looser ring walks.
    pub low: Torque,
    /// Largest: more splits the ring.
    pub high: Torque,
    /// Whose figures it rests on; none where no maker was named, and it is the narrowest of all.
    pub maker: Option<String>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("bearings.yaml", include_str!("data/bearings.yaml")));

/// Reads the table, so that a fault in it is told before anything rests on it.
pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// Torques of the set screws of a unit, every published figure: sources differ by two. The maker's own comes first; the
/// lowest is not the safe side, for a loose ring walks.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210.
///
/// ```
/// let torques = runtrue::standards::ring_screws::torques("UC205")?;
/// let low = torques.iter().map(|t| t.low).fold(f64::INFINITY, f64::min);
/// let high = torques.iter().map(|t| t.high).fold(0.0, f64::max);
/// assert_eq!((low, high), (3.95, 9.6));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn torques(insert: &str) -> Result<Vec<&'static RingTorque>, NotInTable> {
    let bore = bearings::insert(insert)?.bore;
    Ok(TABLE.set_screws.iter().filter(|r| r.bores.contains(&bore)).map(|r| &r.torque).collect())
}

/// Least and largest published torque of the set screws of a unit, whoever prints it: for looking up, not for judging.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210.
///
/// ```
/// let (low, high) = runtrue::standards::ring_screws::published("UC208")?;
/// assert_eq!((low.nm(), high.nm()), (8.36, 18.6)); // M8: sources differ by two
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn published(insert: &str) -> Result<(Torque, Torque), NotInTable> {
    let all = torques(insert)?;
    let low = all.iter().map(|t| t.low).fold(f64::INFINITY, f64::min);
    Ok((Torque::from_nm(low), Torque::from_nm(all.iter().map(|t| t.high).fold(0.0, f64::max))))
}

/// The range that every figure allows, of the maker that `from` names (and of the kind of ring, if named), else of all makers; none
/// where their figures have no range in common, and a maker must be named.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210.
///
/// ```
/// use runtrue::standards::ring_screws::range;
/// let named = |from| range("UC205", from).map(|r| r.map(|r| (r.low.nm(), r.high.nm())));
/// assert_eq!(named("Sealmaster, brochure G-252")?, Some((7.3, 9.6)));
/// assert_eq!(named("AMI, zone-hardened ring")?, Some((4.86 * 0.94, 4.86)));
/// assert_eq!(named("AMI")?, None); // one of its rings bears 3.95 at most, the other asks for 4.57
/// assert_eq!(named("the bearing maker's sheet")?, None); // 3.95 at most by one maker, 7.3 at least by another
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn range(insert: &str, from: &str) -> Result<Option<RingRange>, NotInTable> {
    let all = torques(insert)?;
    let words = from.to_lowercase();
    let of_maker: Vec<_> = all.iter().copied().filter(|t| t.named(&words)).collect();
    let of_ring: Vec<_> = of_maker.iter().copied().filter(|t| !t.ring.is_empty() && words.contains(&t.ring)).collect();
    let used = [&of_ring, &of_maker, &all].into_iter().find(|list| !list.is_empty()).unwrap_or(&all);
    let low = used.iter().map(|t| t.least()).fold(0.0, f64::max);
    let high = used.iter().map(|t| t.high).fold(f64::INFINITY, f64::min);
    let maker = of_maker.first().map(|t| t.maker.clone());
    let range = RingRange { low: Torque::from_nm(low), high: Torque::from_nm(high), maker };
    Ok((low <= high).then_some(range))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_has_torques_with_sources_and_they_grow_with_the_screw() {
        for unit in bearings::rows() {
            let torques = torques(&unit.insert).unwrap();
            assert_eq!(torques.len(), 4, "{}", unit.insert);
            assert!(torques.iter().all(|t| t.low <= t.high && t.source.len() > 10 && t.kind.len() > 5));
        }
        let low = |name: &str| torques(name).unwrap()[0].low;
        assert!(low("UC204") < low("UC207") && low("UC209") < low("UC210"));
        assert!(torques("UC211").is_err());
    }

    /// What the makers print has no common range for any size, so nobody's torque passes unnamed; each maker's own figure does.
    #[test]
    fn a_makers_own_figure_lies_in_its_range_and_another_makers_does_not() {
        for unit in bearings::rows() {
            // "familiar" names nobody.
            assert_eq!(range(&unit.insert, "a familiar sheet").unwrap(), None, "{}", unit.insert);
            for own in torques(&unit.insert).unwrap() {
                let range = range(&unit.insert, &format!("{} {}", own.maker, own.ring)).unwrap().unwrap();
                assert!(range.low.nm() <= own.low && own.high <= range.high.nm(), "{own:?}");
                assert!(range.maker.as_deref() == Some(&own.maker));
            }
        }
        let gld = range("UC206", "GLD technical reference").unwrap().unwrap();
        assert!((gld.low.nm() - 4.606).abs() < 1e-9 && gld.high.nm() == 4.9);
    }
}
