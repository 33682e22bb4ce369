//! Bench values: slip friction, steels, torque tools, lifting. What belongs to bolts alone is in [`super::bolting`], reaming in
//! [`super::cutting`], instruments in [`super::measuring`]; the data file is one.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Density, Length, Mass, Stress, Torque};

pub use super::bolting::scatter;
use super::bolting::{EmbeddingRow, FrictionRow, Scatter};
use super::cutting::{Reamer, Skin, StepRow, StockRow};
use super::measuring::{ExpansionRow, Instrument};
use super::set_screws::SetScrewRow;
use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
pub(super) struct Table {
    pub(super) scatter: Vec<Scatter>,
    pub(super) friction_class: Vec<FrictionRow>,
    pub(super) embedding: Vec<EmbeddingRow>,
    slip: SlipFriction,
    steel: Vec<SteelRow>,
    pub(super) ream_hand: Vec<StockRow>,
    pub(super) ream_machine: Vec<StockRow>,
    pub(super) drill_oversize_mm: Most,
    pub(super) light_metal_stock: Value,
    pub(super) skin: Skin,
    pub(super) reamer: Reamer,
    pub(super) instruments: Vec<Instrument>,
    torque_tool: Vec<ToolRow>,
    lift: Vec<LiftRow>,
    wrench: WrenchRow,
    pub(super) set_screw: Vec<SetScrewRow>,
    set_screw_shaft_hv: Most,
    soft_foot_mm: Most,
    frame_stiffness: Range,
    ring_play_mm: Most,
    pub(super) expansion: Vec<ExpansionRow>,
    pub(super) drill_steps_source: String,
    pub(super) drill_steps: Vec<StepRow>,
}

/// A low and a high value of one source.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Range {
    /// Low.
    pub low: f64,
    /// High.
    pub high: f64,
    /// Source.
    pub source: String,
}

/// Friction of steel faces against slip: one value where it holds, another where it takes grip away.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct SlipFriction {
    /// Where friction carries: the least that is sure.
    pub holds: f64,
    /// Where friction is lost to, as on the faces of a collar that closes under load: the most that is published.
    pub loses: f64,
    /// Source of the first.
    pub holds_source: String,
    /// Source of the second.
    pub loses_source: String,
}

#[derive(Debug, Deserialize)]
struct SteelRow {
    name: String,
    density: f64,
    elastic_gpa: f64,
    yields: Vec<(f64, f64)>,
    tensile: Vec<(f64, f64)>,
    source: String,
}

#[derive(Debug, Deserialize)]
struct ToolRow {
    up_to: f64,
    share: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
struct LiftRow {
    up_to: f64,
    words: String,
    #[serde(default)]
    gear: String,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct WrenchRow {
    least_share: f64,
    source: String,
    full_nm: Vec<f64>,
    full_source: String,
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct Most {
    pub(super) most: f64,
    pub(super) source: String,
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct Value {
    pub(super) value: f64,
    pub(super) source: String,
}

pub(super) static TABLE: LazyLock<Table> = LazyLock::new(|| table("bench.yaml", include_str!("data/bench.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// Friction of steel faces against slip, where it holds and where it loses.
///
/// ```
/// let slip = runtrue::standards::bench::slip();
/// assert_eq!((slip.holds, slip.loses), (0.10, 0.74));
/// ```
#[must_use]
pub fn slip() -> &'static SlipFriction {
    &TABLE.slip
}

/// A steel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steel {
    /// Density.
    pub density: Density,
    /// Modulus of elasticity.
    pub elastic: Stress,
    /// Up to which thickness or diameter (mm) which least yield strength (MPa) holds, ascending.
    yields: &'static [(f64, f64)],
    /// The same for the least tensile strength.
    tensile: &'static [(f64, f64)],
    /// Source.
    pub source: &'static str,
}

impl Steel {
    /// Least yield strength of a plate of this thickness or a bar of this diameter: thick stock cools slower and is softer.
    ///
    /// # Errors
    /// [`NotInTable`] outside the sizes of the standard.
    ///
    /// ```
    /// use runtrue::{quantity::Length, standards::bench::steel};
    /// let at = |mm: f64| steel("C45").and_then(|s| s.yield_strength(Length::from_mm(mm)));
    /// assert_eq!((at(16.0)?.mpa(), at(25.0)?.mpa()), (340.0, 305.0));
    /// assert!(at(120.0).is_err() && at(0.0).is_err());
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    pub fn yield_strength(&self, size: Length) -> Result<Stress, NotInTable> {
        self.at(self.yields, "yield", size)
    }

    /// Least tensile strength of a plate of this thickness or a bar of this diameter.
    ///
    /// # Errors
    /// [`NotInTable`] outside the sizes of the standard.
    ///
    /// ```
    /// use runtrue::{quantity::Length, standards::bench::steel};
    /// let at = |mm: f64| steel("C45").and_then(|s| s.tensile_strength(Length::from_mm(mm)));
    /// assert_eq!((at(16.0)?.mpa(), at(25.0)?.mpa()), (620.0, 580.0));
    /// assert!(at(120.0).is_err());
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    pub fn tensile_strength(&self, size: Length) -> Result<Stress, NotInTable> {
        self.at(self.tensile, "tensile", size)
    }

    fn at(&self, rows: &[(f64, f64)], which: &str, size: Length) -> Result<Stress, NotInTable> {
        let row = rows.iter().find(|(up_to, _)| size.mm() > 0.0 && size.mm() <= *up_to);
        row.map(|(_, mpa)| Stress::from_mpa(*mpa)).ok_or_else(|| {
            let most = rows.last().map_or(0.0, |(up_to, _)| *up_to);
            let what = format!("{which} strength at {} mm", size.mm());
            NotInTable::new(what, format!("above 0 up to {most} mm"), self.source)
        })
    }
}

/// The steel of that name.
///
/// # Errors
/// [`NotInTable`].
///
/// ```
/// let s355 = runtrue::standards::bench::steel("S355")?;
/// assert_eq!((s355.elastic.gpa(), s355.density.kg_m3()), (206.0, 7850.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn steel(name: &str) -> Result<Steel, NotInTable> {
    let row = TABLE.steel.iter().find(|r| r.name == name);
    row.map(|r| Steel {
        density: Density::from_kg_m3(r.density),
        elastic: Stress::from_gpa(r.elastic_gpa),
        yields: &r.yields,
        tensile: &r.tensile,
        source: &r.source,
    })
    .ok_or_else(|| NotInTable::new(format!("steel \"{name}\""), "S235, S355, C45", "EN 10025-2, EN ISO 683-1"))
}

/// Names of the steels in the table.
///
/// ```
/// assert!(runtrue::standards::bench::steel_names().any(|name| name == "C45"));
/// ```
pub fn steel_names() -> impl Iterator<Item = &'static str> {
    TABLE.steel.iter().map(|row| row.name.as_str())
}

/// Least share of a torque wrench's range that is used.
///
/// ```
/// assert_eq!(runtrue::standards::bench::wrench_share().0, 0.2);
/// ```
#[must_use]
pub fn wrench_share() -> (f64, &'static str) {
    (TABLE.wrench.least_share, &TABLE.wrench.source)
}

/// Usable range of the smallest usual torque wrench that covers a torque: [`wrench_share`] of its full torque up to it. The
/// torque lies highest in that range, where its deviation counts least.
///
/// # Errors
/// [`NotInTable`] below 0.2 N·m and above 800 N·m.
///
/// ```
/// use runtrue::{quantity::Torque, standards::bench::torque_wrench};
/// let range = |nm: f64| torque_wrench(Torque::from_nm(nm)).map(|(a, b)| (a.nm(), b.nm()));
/// assert_eq!((range(17.3)?, range(5.0)?, range(0.9)?), ((5.0, 25.0), (1.0, 5.0), (0.2, 1.0)));
/// assert!(range(801.0).is_err() && range(0.1).is_err() && range(f64::NAN).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn torque_wrench(torque: Torque) -> Result<(Torque, Torque), NotInTable> {
    let row = &TABLE.wrench;
    let covers = |full: &&f64| row.least_share * **full <= torque.nm() && torque.nm() <= **full;
    let full = row.full_nm.iter().find(covers).ok_or_else(|| {
        let (least, most) = (row.full_nm.first().copied(), row.full_nm.last().copied());
        let range = format!("{} to {} N·m", row.least_share * least.unwrap_or(0.0), most.unwrap_or(0.0));
        NotInTable::new(format!("a torque wrench for {} N·m", torque.nm()), range, &row.full_source)
    })?;
    Ok((Torque::from_nm(row.least_share * full), Torque::from_nm(*full)))
}

/// Permissible deviation of a setting torque wrench, as a share of the torque.
///
/// # Errors
/// [`NotInTable`] over 2000 N·m.
///
/// ```
/// use runtrue::{quantity::Torque, standards::bench::torque_tool};
/// assert_eq!(torque_tool(Torque::from_nm(10.0))?.0, 0.06);
/// assert_eq!(torque_tool(Torque::from_nm(17.0))?.0, 0.04);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn torque_tool(torque: Torque) -> Result<(f64, &'static str), NotInTable> {
    let row = TABLE.torque_tool.iter().find(|r| torque.nm() <= r.up_to);
    row.map(|r| (r.share, r.source.as_str()))
        .ok_or_else(|| NotInTable::new(format!("torque of {} N·m", torque.nm()), "up to 2000 N·m", "ISO 6789"))
}

/// How a mass is lifted, in words.
///
/// ```
/// let words = runtrue::standards::bench::lift(runtrue::quantity::Mass::from_kg(32.0));
/// assert_eq!(words, "Two people lift it together");
/// ```
#[must_use]
pub fn lift(mass: Mass) -> &'static str {
    lift_row(mass).map_or("", |r| r.words.as_str())
}

/// The row of a mass; what is heavier than the table is lifted as its heaviest.
fn lift_row(mass: Mass) -> Option<&'static LiftRow> {
    TABLE.lift.iter().find(|r| mass.kg() <= r.up_to).or(TABLE.lift.last())
}

/// What such a lift takes; empty where hands do.
///
/// ```
/// use runtrue::{quantity::Mass, standards::bench::lifting_gear};
/// assert_eq!((lifting_gear(Mass::from_kg(6.0)), lifting_gear(Mass::from_kg(60.0))), ("", "Hoist and slings"));
/// ```
#[must_use]
pub fn lifting_gear(mass: Mass) -> &'static str {
    lift_row(mass).map_or("", |r| r.gear.as_str())
}

/// Hardest shaft, HV, that a cup-point set screw bites.
///
/// ```
/// assert_eq!(runtrue::standards::bench::set_screw_shaft_hv().0, 270.0);
/// ```
#[must_use]
pub fn set_screw_shaft_hv() -> (f64, &'static str) {
    (TABLE.set_screw_shaft_hv.most, &TABLE.set_screw_shaft_hv.source)
}

/// Stiffness of a bearing with its frame, N/m: soft and stiff. Nobody knows it before the machine stands.
///
/// ```
/// let frame = runtrue::standards::bench::frame_stiffness();
/// assert_eq!((frame.low, frame.high), (1e7, 1e8));
/// ```
#[must_use]
pub fn frame_stiffness() -> &'static Range {
    &TABLE.frame_stiffness
}

/// Axial play of an insert bearing: what two fixed rings leave the shaft to grow into, and what the held shaft may move.
///
/// ```
/// assert_eq!(runtrue::standards::bench::ring_play_mm().0, 0.1);
/// ```
#[must_use]
pub fn ring_play_mm() -> (f64, &'static str) {
    (TABLE.ring_play_mm.most, &TABLE.ring_play_mm.source)
}

/// Largest gap under a foot, mm.
///
/// ```
/// assert_eq!(runtrue::standards::bench::soft_foot_mm().0, 0.05);
/// ```
#[must_use]
pub fn soft_foot_mm() -> (f64, &'static str) {
    (TABLE.soft_foot_mm.most, &TABLE.soft_foot_mm.source)
}

/// Every row's name and source, for the test that none is without.
///
/// ```
/// assert!(runtrue::standards::bench::sources().iter().all(|(_, source)| !source.is_empty()));
/// ```
#[must_use]
pub fn sources() -> Vec<(String, &'static str)> {
    let t = &*TABLE;
    let mut all: Vec<(String, &str)> = vec![
        ("slip, holding".into(), &t.slip.holds_source),
        ("slip, losing".into(), &t.slip.loses_source),
        ("skin".into(), &t.skin.source),
        ("reamer".into(), &t.reamer.source),
        ("wrench".into(), &t.wrench.source),
        ("wrench sizes".into(), &t.wrench.full_source),
        ("set screw on shaft".into(), &t.set_screw_shaft_hv.source),
        ("soft foot".into(), &t.soft_foot_mm.source),
        ("frame stiffness".into(), &t.frame_stiffness.source),
        ("ring play".into(), &t.ring_play_mm.source),
    ];
    all.push(("drill oversize".into(), &t.drill_oversize_mm.source));
    all.push(("drill steps".into(), &t.drill_steps_source));
    all.extend(t.expansion.iter().map(|r| (r.material.clone(), r.source.as_str())));
    all.push(("light metal".into(), &t.light_metal_stock.source));
    all.extend(super::bolting::sources());
    all.extend(super::set_screws::sources());
    all.extend(t.torque_tool.iter().map(|r| (format!("torque tool {}", r.up_to), r.source.as_str())));
    all.extend(t.lift.iter().map(|r| (r.words.clone(), r.source.as_str())));
    all.extend(t.steel.iter().map(|r| (r.name.clone(), r.source.as_str())));
    let stock = t.ream_hand.iter().chain(&t.ream_machine);
    all.extend(stock.map(|r| (format!("stock over {}", r.over), r.source.as_str())));
    all.extend(t.instruments.iter().map(|r| (r.kind.clone(), r.source.as_str())));
    all
}
