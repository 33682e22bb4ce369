//! Bolting values: scatter of the preload, friction classes, embedding, moduli, prevailing torque, lockers.
//! Set screws have a file of their own, [`super::set_screws`].

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Length, Stress, Torque};

use super::bench::{Range, TABLE};
use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Bolting {
    modulus: Vec<ModulusRow>,
    prevailing: PrevailingTable,
    locker: Locker,
    cap_screw: CapScrew,
}

#[derive(Debug, Deserialize)]
struct ModulusRow {
    steel: String,
    elastic: f64,
    shear: f64,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct PrevailingTable {
    source: String,
    rows: Vec<PrevailingRow>,
}

#[derive(Debug, Deserialize)]
struct PrevailingRow {
    size: String,
    on: f64,
    first_off: f64,
    fifth_off: f64,
}

#[derive(Debug, Default, Deserialize)]
struct CapScrew {
    thread_d: f64,
    thread_mm: f64,
    source: String,
    engaged_d: f64,
    engaged_source: String,
}

#[derive(Debug, Default, Deserialize)]
struct Locker {
    class: String,
    source: String,
}

static BOLTING: LazyLock<Bolting> = LazyLock::new(|| table("bolting.yaml", include_str!("data/bolting.yaml")));

pub(super) fn read() {
    LazyLock::force(&BOLTING);
}

#[derive(Debug, Deserialize)]
pub(super) struct Scatter {
    method: String,
    factor: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct FrictionRow {
    class: String,
    low: f64,
    high: f64,
    state: String,
    said: String,
    ready: String,
    tool: String,
    source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct EmbeddingRow {
    over: f64,
    up_to: f64,
    thread: f64,
    face: f64,
    inner: f64,
    source: String,
}

fn scatter_row(method: &str) -> Result<&'static Scatter, NotInTable> {
    TABLE.scatter.iter().find(|r| r.method == method).ok_or_else(|| {
        let known: Vec<&str> = TABLE.scatter.iter().map(|r| r.method.as_str()).collect();
        NotInTable::new(format!("tightening method \"{method}\""), known.join(", "), "VDI 2230-1")
    })
}

/// Scatter of the preload by tightening method, the ratio of the largest to the least, and its source.
///
/// # Errors
/// [`NotInTable`] for an unknown method.
///
/// ```
/// assert_eq!(runtrue::standards::bolting::scatter("click wrench")?.0, 2.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn scatter(method: &str) -> Result<(f64, &'static str), NotInTable> {
    scatter_row(method).map(|r| (r.factor, r.source.as_str()))
}

/// Friction of thread and head by class A to D (VDI 2230-1), with the state of the surfaces in words.
///
/// # Errors
/// [`NotInTable`] for another class. Class E (0.30 and above, dry stainless or aluminium) has no upper end: such joints
/// gall, and are lubricated instead.
///
/// ```
/// let (range, state) = runtrue::standards::bolting::friction_class("B")?;
/// assert_eq!((range.low, range.high), (0.08, 0.16));
/// assert!(state.contains("oil"));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn friction_class(class: &str) -> Result<(Range, &'static str), NotInTable> {
    let row = TABLE.friction_class.iter().find(|r| r.class == class);
    row.map(|r| (Range { low: r.low, high: r.high, source: r.source.clone() }, r.state.as_str()))
        .ok_or_else(|| NotInTable::new(format!("friction class \"{class}\""), "A, B, C, D", "VDI 2230-1"))
}

/// State of threads and turning faces that a range of friction counts on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadState {
    /// In a word: "lightly oiled".
    pub said: &'static str,
    /// How they are brought to it, a sentence without its stop.
    pub ready: &'static str,
    /// With what; empty where nothing is put on.
    pub tool: &'static str,
}

/// The state that a range of friction from `low` to `high` counts on: the first class, A to D, that holds its middle (VDI 2230-1).
/// How threads are brought to it is common practice.
///
/// # Errors
/// [`NotInTable`] where no class holds the middle.
///
/// ```
/// assert_eq!(runtrue::standards::bolting::thread_state(0.12, 0.16)?.said, "lightly oiled");
/// assert_eq!(runtrue::standards::bolting::thread_state(0.22, 0.30)?.said, "dry");
/// assert!(runtrue::standards::bolting::thread_state(0.5, 0.6).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn thread_state(low: f64, high: f64) -> Result<ThreadState, NotInTable> {
    let middle = (low + high) / 2.0;
    let row = TABLE.friction_class.iter().find(|r| r.low <= middle && middle <= r.high);
    row.map(|r| ThreadState { said: &r.said, ready: &r.ready, tool: &r.tool })
        .ok_or_else(|| NotInTable::new(format!("friction {middle:.2}"), "0.04 to 0.35", "VDI 2230-1"))
}

/// What faces settle under load (VDI 2230-1, axial load).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Embedding {
    /// All engaged threads of one fastener.
    pub thread: Length,
    /// Each bearing face of head or nut.
    pub face: Length,
    /// Each interface between clamped parts.
    pub inner: Length,
    /// Source.
    pub source: &'static str,
}

/// Embedding for a roughness Rz of the faces.
///
/// # Errors
/// [`NotInTable`] above 160 µm.
///
/// ```
/// use runtrue::{quantity::Length, standards::bolting::embedding};
/// let turned = embedding(Length::from_mm(0.016))?; // Rz 16: thread 3, face 3, inner 2 µm
/// assert_eq!((turned.thread.mm(), turned.inner.mm()), (0.003, 0.002));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn embedding(roughness: Length) -> Result<Embedding, NotInTable> {
    // A roughness of 0.010 mm is 10.000000000000002 µm in binary; a millionth of a micrometre is nothing.
    let um = roughness.mm() * 1000.0 - 1e-6;
    let row = TABLE.embedding.iter().find(|r| um > r.over - 1e-6 && um <= r.up_to);
    let of_um = |um: f64| Length::from_mm(um / 1000.0);
    row.map(|r| Embedding { thread: of_um(r.thread), face: of_um(r.face), inner: of_um(r.inner), source: &r.source })
        .ok_or_else(|| {
            NotInTable::new(format!("embedding at Rz {} mm", roughness.mm()), "above 0 up to 0.160 mm", "VDI 2230-1")
        })
}

/// Elasticity of a fastener's steel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Modulus {
    /// Modulus of elasticity.
    pub elastic: Stress,
    /// Shear modulus.
    pub shear: Stress,
    /// Source.
    pub source: &'static str,
}

/// Moduli of a fastener: "carbon" for classes 4.6 to 12.9, "stainless" for A2 and A4.
///
/// # Errors
/// [`NotInTable`] for another steel.
///
/// ```
/// use runtrue::standards::bolting::modulus;
/// assert_eq!(modulus("carbon")?.elastic.mpa(), 205_000.0);
/// assert!(modulus("stainless")?.elastic < modulus("carbon")?.elastic && modulus("brass").is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn modulus(steel: &str) -> Result<Modulus, NotInTable> {
    let row = BOLTING.modulus.iter().find(|r| r.steel == steel);
    row.map(|r| Modulus { elastic: Stress::from_gpa(r.elastic), shear: Stress::from_gpa(r.shear), source: &r.source })
        .ok_or_else(|| NotInTable::new(format!("modulus of \"{steel}\""), "carbon, stainless", "VDI 2230-1"))
}

/// Torque that a prevailing torque nut takes by itself, before any preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prevailing {
    /// Most on the way on.
    pub on: Torque,
    /// Least on the first way off.
    pub first_off: Torque,
    /// Least on the fifth way off: below it the nut is worn out.
    pub fifth_off: Torque,
    /// Source.
    pub source: &'static str,
}

/// Prevailing torque of a nut of class 5 to 8 on a coarse thread (ISO 2320).
///
/// # Errors
/// [`NotInTable`] for other threads than M3 to M24 coarse.
///
/// ```
/// let m8 = runtrue::standards::bolting::prevailing("M8")?;
/// assert_eq!((m8.on.nm(), m8.first_off.nm(), m8.fifth_off.nm()), (6.0, 0.85, 0.6));
/// assert!(runtrue::standards::bolting::prevailing("M8x1").is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn prevailing(size: &str) -> Result<Prevailing, NotInTable> {
    let nuts = &BOLTING.prevailing;
    let row = nuts.rows.iter().find(|r| r.size == size);
    row.map(|r| Prevailing {
        on: Torque::from_nm(r.on),
        first_off: Torque::from_nm(r.first_off),
        fifth_off: Torque::from_nm(r.fifth_off),
        source: &nuts.source,
    })
    .ok_or_else(|| NotInTable::new(format!("prevailing torque nut \"{size}\""), "M3 to M24 coarse", &nuts.source))
}

/// Friction of a thread wetted with an anaerobic locker that has not set yet (VDI 2230-1 class C).
///
/// # Errors
/// [`NotInTable`] if the friction class is missing from its own table.
///
/// ```
/// let wet = runtrue::standards::bolting::locker_friction()?;
/// assert_eq!((wet.low, wet.high), (0.14, 0.24));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn locker_friction() -> Result<Range, NotInTable> {
    let (range, _) = friction_class(&BOLTING.locker.class)?;
    Ok(Range { source: BOLTING.locker.source.clone(), ..range })
}

/// Grip of a cap screw of that length in a tapped hole, and how much of it is plain shank, at the cautious side: the screw stands two
/// diameters deep in its thread, at least half a diameter is gripped, and the thread ends where ISO 4762 ends it.
///
/// ```
/// use runtrue::{quantity::Length, standards::{bolting::cap_screw_grip, threads::thread}};
/// let (grip, shank) = cap_screw_grip(thread("M10")?, Length::from_mm(45.0));
/// assert_eq!((grip.mm(), shank.mm()), (25.0, 13.0)); // 45 - 20, and 45 - 32 of thread
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn cap_screw_grip(thread: &super::threads::Thread, length: Length) -> (Length, Length) {
    let (screw, d) = (&BOLTING.cap_screw, thread.d);
    let grip = (length.mm() - screw.engaged_d * d).max(d / 2.0);
    let shank = (length.mm() - screw.thread_d * d - screw.thread_mm).clamp(0.0, grip);
    (Length::from_mm(grip), Length::from_mm(shank))
}

/// Every row's name and source.
pub(super) fn sources() -> Vec<(String, &'static str)> {
    let t = &*TABLE;
    let mut all: Vec<(String, &str)> = t.scatter.iter().map(|r| (r.method.clone(), r.source.as_str())).collect();
    all.extend(t.friction_class.iter().map(|r| (format!("friction {}", r.class), r.source.as_str())));
    all.extend(t.embedding.iter().map(|r| (format!("embedding over {}", r.over), r.source.as_str())));
    let b = &*BOLTING;
    all.extend(b.modulus.iter().map(|r| (r.steel.clone(), r.source.as_str())));
    all.push(("prevailing torque".into(), &b.prevailing.source));
    all.push(("locker".into(), &b.locker.source));
    all.push(("thread of a cap screw".into(), &b.cap_screw.source));
    all.push(("engagement of a pinch bolt".into(), &b.cap_screw.engaged_source));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_have_their_ends_in_order() {
        for row in &TABLE.friction_class {
            assert!(0.0 < row.low && row.low < row.high && row.high < 0.5, "{}", row.class);
        }
        // Each class begins below the end of the one before it: every friction of the spec belongs to one.
        for pair in TABLE.friction_class.windows(2) {
            assert!(pair[0].low < pair[1].low && pair[1].low <= pair[0].high && pair[0].high < pair[1].high);
        }
        for pair in TABLE.embedding.windows(2) {
            assert!(pair[0].over < pair[0].up_to && (pair[0].up_to - pair[1].over).abs() < 1e-12, "{}", pair[1].over);
        }
    }

    /// The finer the way of tightening, the smaller the factor (VDI 2230-1 table A8); none is below one.
    #[test]
    fn finer_ways_of_tightening_scatter_less() {
        let factor = |method: &str| scatter(method).unwrap().0;
        let order = ["angle", "elongation", "indicating wrench", "click wrench", "power screwdriver", "impact"];
        assert!(1.0 < factor(order[0]) && order.windows(2).all(|w| factor(w[0]) < factor(w[1])));
    }

    #[test]
    fn a_roughness_belongs_to_the_band_it_ends() {
        let exact = |um: f64| embedding(Length::from_mm(um / 1000.0)).unwrap().inner.mm();
        assert!((exact(10.0) - 0.0015).abs() < 1e-12 && (exact(10.1) - 0.002).abs() < 1e-12);
        assert!(embedding(Length::from_mm(0.17)).is_err() && embedding(Length::from_mm(-0.01)).is_err());
        assert!(embedding(Length::from_mm(0.0)).is_err() && embedding(Length::from_mm(1e-6)).is_ok());
    }

    #[test]
    fn every_coarse_thread_has_its_prevailing_torque_and_it_wears() {
        for row in &BOLTING.prevailing.rows {
            let nut = prevailing(&row.size).unwrap();
            assert!(nut.fifth_off < nut.first_off && nut.first_off < nut.on, "{}", row.size);
        }
        let coarse = super::super::threads::sizes().filter(|s| !s.contains('x'));
        assert!(coarse.into_iter().all(|size| prevailing(size).is_ok()));
        assert!(BOLTING.prevailing.rows.windows(2).all(|w| w[0].on < w[1].on && w[0].first_off < w[1].first_off));
    }

    #[test]
    fn what_is_unknown_is_refused_with_what_is_known() {
        assert!(scatter("by feel").unwrap_err().to_string().contains("click wrench"));
        assert!(friction_class("E").is_err());
    }
}
