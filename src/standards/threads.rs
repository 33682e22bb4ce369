//! Metric threads, coarse and fine, and property classes of bolts and nuts.

use std::f64::consts::PI;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Length, Stress};

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Threads {
    source: String,
    rows: Vec<Thread>,
    fine_source: String,
    fine: Vec<Fine>,
}

#[derive(Debug, Deserialize)]
struct Fine {
    of: String,
    p: f64,
}

static THREADS: LazyLock<Threads> = LazyLock::new(|| {
    let mut all: Threads = table("threads.yaml", include_str!("data/threads.yaml"));
    let fine: Vec<Thread> = all.fine.iter().filter_map(|row| fine_thread(&all.rows, row)).collect();
    all.rows.extend(fine);
    all
});

pub(super) fn read() {
    LazyLock::force(&THREADS);
}

pub(super) fn read_classes() {
    LazyLock::force(&CLASSES);
}

fn fine_thread(coarse: &[Thread], row: &Fine) -> Option<Thread> {
    let of = coarse.iter().find(|t| t.size == row.of)?;
    Some(Thread { size: format!("{}x{}", row.of, row.p), p: row.p, ..of.clone() })
}

/// A metric thread with the hardware that goes with it. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Thread {
    /// "M8" coarse, "M8x1" fine.
    pub size: String,
    /// Nominal diameter.
    pub d: f64,
    /// Pitch (ISO 261).
    pub p: f64,
    /// Width across flats (ISO 4032).
    pub s: f64,
    /// Height of the nut, largest (ISO 4032).
    pub m: f64,
    /// Height of the thin nut, largest (ISO 4035).
    pub thin: f64,
    /// Thickness of the washer (ISO 7089).
    pub washer: f64,
    /// Outer diameter of the washer (ISO 7089).
    pub washer_outer: f64,
    /// Hole of the washer, least (ISO 7089, from memory).
    pub washer_hole: f64,
    /// Clearance hole, medium (ISO 273).
    pub hole: f64,
    /// Thickness of the spring washer, pressed flat (DIN 127 B, from memory).
    pub spring: f64,
    /// Bearing diameter of head or nut, least (ISO 4014).
    pub dw: f64,
    /// Key of the set screw (ISO 4026); 0 where the standard has no such size, see [`set_screw_key`].
    #[serde(default)]
    pub hex: f64,
    /// Key of the socket head cap screw (ISO 4762); 0 where the standard has no such size, see [`cap_screw_key`].
    #[serde(default)]
    pub cap_key: f64,
}

impl Thread {
    /// Pitch diameter, `d − 0.649519 P` (ISO 724), mm.
    ///
    /// ```
    /// let m10 = runtrue::standards::threads::thread("M10")?;
    /// assert!((m10.d2() - 9.026).abs() < 5e-4);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn d2(&self) -> f64 {
        self.d - 0.75 * self.height()
    }

    /// Minor diameter of the nut, `d − 1.082532 P` (ISO 724), mm.
    ///
    /// ```
    /// let m10 = runtrue::standards::threads::thread("M10")?;
    /// assert!((m10.d1() - 8.376).abs() < 5e-4);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn d1(&self) -> f64 {
        self.d - 1.25 * self.height()
    }

    /// Minor diameter of the bolt, `d − 1.226869 P` (ISO 898-1), mm.
    ///
    /// ```
    /// let m10 = runtrue::standards::threads::thread("M10")?;
    /// assert!((m10.d3() - 8.160).abs() < 5e-4);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn d3(&self) -> f64 {
        self.d1() - self.height() / 6.0
    }

    /// Diameter of the stress area, the mean of [`Thread::d2`] and [`Thread::d3`] (ISO 898-1), mm.
    ///
    /// ```
    /// let m10 = runtrue::standards::threads::thread("M10")?;
    /// assert!((m10.ds() - (9.026 + 8.160) / 2.0).abs() < 5e-4);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn ds(&self) -> f64 {
        f64::midpoint(self.d2(), self.d3())
    }

    /// Area at the minor diameter d3 (VDI 2230-1), mm²: what a long rod is mostly made of.
    ///
    /// ```
    /// let m10 = runtrue::standards::threads::thread("M10")?;
    /// assert!((m10.minor_area_mm2() - 52.29).abs() < 0.005); // π/4·8.160²
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn minor_area_mm2(&self) -> f64 {
        PI / 4.0 * self.d3().powi(2)
    }

    /// Lead angle at the pitch diameter, `atan(P/(π·d2))`, degrees.
    ///
    /// ```
    /// let m10 = runtrue::standards::threads::thread("M10")?;
    /// assert!((m10.lead_deg() - 3.03).abs() < 0.01); // atan(1.5/(π·9.026))
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn lead_deg(&self) -> f64 {
        (self.p / (PI * self.d2())).atan().to_degrees()
    }

    /// Stress area (ISO 898-1), mm².
    ///
    /// ```
    /// let m8 = runtrue::standards::threads::thread("M8")?;
    /// assert!((m8.stress_area_mm2() - 36.6).abs() < 0.05);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn stress_area_mm2(&self) -> f64 {
        PI / 4.0 * self.ds().powi(2)
    }

    /// Height of the basic triangle (ISO 68-1), mm.
    fn height(&self) -> f64 {
        3.0_f64.sqrt() / 2.0 * self.p
    }
}

/// The thread of that size, such as "M8" or "M8x1"; "×" and the coarse pitch written out ("M8x1.25") are understood.
///
/// # Errors
/// [`NotInTable`] for other sizes than M3 to M24 coarse and the common fine pitches of ISO 261.
///
/// ```
/// use runtrue::standards::threads::thread;
/// assert_eq!(thread("M12x1.25")?.p, 1.25);
/// assert_eq!(thread("M12×1.75")?.size, "M12"); // the coarse pitch
/// assert!(thread("M13").is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn thread(size: &str) -> Result<&'static Thread, NotInTable> {
    let wanted = size.replace('×', "x").replace(' ', "");
    let named = |t: &&Thread| t.size == wanted || format!("{}x{}", t.size, t.p) == wanted;
    THREADS.rows.iter().find(named).ok_or_else(|| {
        let sizes: Vec<&str> = sizes().collect();
        NotInTable::new(format!("thread \"{size}\""), sizes.join(", "), &THREADS.source)
    })
}

/// Key of the set screw of that size (ISO 4026), mm.
///
/// # Errors
/// [`NotInTable`] where the standard has no such size.
///
/// ```
/// assert_eq!(runtrue::standards::threads::set_screw_key("M8")?, 4.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_key(size: &str) -> Result<f64, NotInTable> {
    key(size, thread(size)?.hex, "set screw", "M3 to M16, M20, M24", "ISO 4026")
}

/// Key of the socket head cap screw of that size (ISO 4762), mm.
///
/// # Errors
/// [`NotInTable`] where the standard has no such size.
///
/// ```
/// assert_eq!(runtrue::standards::threads::cap_screw_key("M8")?, 6.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn cap_screw_key(size: &str) -> Result<f64, NotInTable> {
    key(size, thread(size)?.cap_key, "cap screw", "M3 to M16, M20, M24", "ISO 4762")
}

fn key(size: &str, key_mm: f64, screw: &str, range: &str, standard: &str) -> Result<f64, NotInTable> {
    if key_mm > 0.0 {
        return Ok(key_mm);
    }
    Err(NotInTable::new(format!("key of a {screw} \"{size}\""), range, standard))
}

/// Every size of the table.
///
/// ```
/// assert!(runtrue::standards::threads::sizes().any(|s| s == "M10x1.25"));
/// ```
pub fn sizes() -> impl Iterator<Item = &'static str> {
    THREADS.rows.iter().map(|t| t.size.as_str())
}

/// Source of the thread table.
///
/// ```
/// assert!(runtrue::standards::threads::source().contains("ISO 4032"));
/// ```
#[must_use]
pub fn source() -> &'static str {
    &THREADS.source
}

/// Source of the fine pitches.
///
/// ```
/// assert!(runtrue::standards::threads::fine_source().contains("ISO 261"));
/// ```
#[must_use]
pub fn fine_source() -> &'static str {
    &THREADS.fine_source
}

#[derive(Debug, Default, Deserialize)]
struct Classes {
    source: String,
    rows: Vec<Row>,
    stainless_source: String,
    stainless: Vec<Row>,
}

#[derive(Debug, Deserialize)]
struct Row {
    class: String,
    over: f64,
    up_to: f64,
    rm: f64,
    #[serde(rename = "yield")]
    yield_mpa: f64,
    proof: f64,
    nut: u32,
}

static CLASSES: LazyLock<Classes> = LazyLock::new(|| table("classes.yaml", include_str!("data/classes.yaml")));

/// Strength of a property class at one diameter (ISO 898-1:2013).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Class {
    /// Tensile strength, least.
    pub rm: Stress,
    /// Yield strength, least.
    pub yield_strength: Stress,
    /// Proof stress.
    pub proof: Stress,
    /// Least class of the nut (ISO 898-2).
    pub nut: u32,
}

/// The property class, for a thread of diameter `d`: steel "8.8", stainless "A2-70" or "A4-80".
///
/// Stainless has no proof stress (ISO 3506-1); the stress at 0.2 % stands in its place. Threaded rod without a mark counts as
/// 4.6 until it is proven (common practice).
///
/// # Errors
/// [`NotInTable`] for a class or diameter the standard does not have.
///
/// ```
/// use runtrue::{quantity::Length, standards::threads::class};
/// assert_eq!(class("8.8", Length::from_mm(20.0))?.proof.mpa(), 600.0); // above 16 mm, ISO 898-1
/// assert_eq!(class("A2-70", Length::from_mm(8.0))?.yield_strength.mpa(), 450.0); // ISO 3506-1
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn class(name: &str, d: Length) -> Result<Class, NotInTable> {
    let stainless = name.strip_prefix("A2-").or_else(|| name.strip_prefix("A4-"));
    let (rows, wanted) = stainless.map_or((&CLASSES.rows, name), |strength| (&CLASSES.stainless, strength));
    let fits = |r: &&Row| r.class == wanted && d.mm() > r.over && d.mm() <= r.up_to;
    let found = rows.iter().find(fits).map(|r| Class {
        rm: Stress::from_mpa(r.rm),
        yield_strength: Stress::from_mpa(r.yield_mpa),
        proof: Stress::from_mpa(r.proof),
        nut: r.nut,
    });
    found.ok_or_else(|| {
        let what = format!("property class \"{name}\" at {} mm", d.mm());
        if stainless.is_some() {
            return NotInTable::new(what, "A2 and A4 with 50, 70, 80 up to 24 mm", &CLASSES.stainless_source);
        }
        NotInTable::new(
            what,
            "4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 10.9 and 12.9 up to 39 mm, 9.8 up to 16 mm",
            &CLASSES.source,
        )
    })
}

/// True if a steel nut of that class takes the full load of the bolt (ISO 898-2): its class at least the first number
/// of the bolt's. A higher class may always replace a lower one; thin nuts ("04", "05") are never the only nut.
///
/// # Errors
/// [`NotInTable`] for a nut class the standard does not have.
///
/// ```
/// use runtrue::{quantity::Length, standards::threads::{class, nut_carries}};
/// let bolt = class("8.8", Length::from_mm(8.0))?;
/// assert!(nut_carries(&bolt, "8")? && nut_carries(&bolt, "10")?);
/// assert!(!nut_carries(&bolt, "5")? && !nut_carries(&bolt, "04")?);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn nut_carries(bolt: &Class, nut: &str) -> Result<bool, NotInTable> {
    let classes = ["04", "05", "5", "6", "8", "9", "10", "12", "50", "70", "80"];
    if !classes.contains(&nut) {
        return Err(NotInTable::new(format!("nut class \"{nut}\""), classes.join(", "), "ISO 898-2, ISO 3506-2"));
    }
    // A stainless nut has two digits from 50 up and pairs with stainless only.
    let number: u32 = nut.parse().unwrap_or(0);
    let same_kind = (number >= 50) == (bolt.nut >= 50);
    Ok(!nut.starts_with('0') && same_kind && number >= bolt.nut)
}

/// Source of the classes: steel, then stainless.
///
/// ```
/// assert!(runtrue::standards::threads::class_sources()[0].contains("ISO 898-1"));
/// ```
#[must_use]
pub fn class_sources() -> [&'static str; 2] {
    [&CLASSES.source, &CLASSES.stainless_source]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fine_thread_is_stronger_than_the_coarse_one_and_shares_its_hardware() {
        for row in &THREADS.fine {
            let (coarse, fine) = (thread(&row.of).unwrap(), thread(&format!("{}x{}", row.of, row.p)).unwrap());
            assert!(fine.stress_area_mm2() > coarse.stress_area_mm2() && fine.p < coarse.p, "{}", fine.size);
            assert_eq!((fine.d, fine.m, fine.s), (coarse.d, coarse.m, coarse.s));
        }
        let fine = THREADS.rows.iter().filter(|row| row.size.contains('x')).count();
        assert_eq!(fine, THREADS.fine.len(), "a fine size without its coarse one");
    }

    #[test]
    fn a_key_the_standard_does_not_have_is_refused() {
        assert_eq!(set_screw_key("M6").unwrap(), 3.0);
        assert!(set_screw_key("M18").unwrap_err().to_string().contains("ISO 4026"));
        assert!(cap_screw_key("M18").unwrap_err().to_string().contains("ISO 4762"));
    }

    #[test]
    fn stainless_beyond_its_table_and_mixed_nuts_are_refused() {
        assert!(class("A2-70", Length::from_mm(30.0)).unwrap_err().to_string().contains("24 mm"));
        assert!(class("A9-70", Length::from_mm(8.0)).is_err());
        let steel = class("4.8", Length::from_mm(8.0)).unwrap();
        assert!(!nut_carries(&steel, "70").unwrap());
        assert!(nut_carries(&steel, "7").is_err());
    }
}
