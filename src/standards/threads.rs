//! Metric coarse threads and property classes.

use std::f64::consts::PI;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Length, Stress};

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Threads {
    source: String,
    rows: Vec<Thread>,
}

static THREADS: LazyLock<Threads> = LazyLock::new(|| table(include_str!("data/threads.yaml")));

/// A metric coarse thread with the hardware that goes with it. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Thread {
    /// "M8".
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
    /// Clearance hole, medium (ISO 273).
    pub hole: f64,
    /// Bearing diameter of head or nut, least (ISO 4014).
    pub dw: f64,
    /// Key of the set screw (ISO 4026).
    pub hex: f64,
    /// Key of the socket head cap screw (ISO 4762).
    pub cap_key: f64,
}

impl Thread {
    /// Pitch diameter, `d − 0.649519 P` (ISO 724), mm.
    #[must_use]
    pub fn d2(&self) -> f64 {
        self.d - 0.75 * self.height()
    }

    /// Minor diameter of the nut, `d − 1.082532 P` (ISO 724), mm.
    #[must_use]
    pub fn d1(&self) -> f64 {
        self.d - 1.25 * self.height()
    }

    /// Minor diameter of the bolt, `d − 1.226869 P` (ISO 898-1), mm.
    #[must_use]
    pub fn d3(&self) -> f64 {
        self.d1() - self.height() / 6.0
    }

    /// Diameter of the stress area, the mean of [`Thread::d2`] and [`Thread::d3`] (ISO 898-1), mm.
    #[must_use]
    pub fn ds(&self) -> f64 {
        f64::midpoint(self.d2(), self.d3())
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

/// The thread of that size.
///
/// # Errors
/// [`NotInTable`] for other sizes than M3 to M24 coarse.
pub fn thread(size: &str) -> Result<&'static Thread, NotInTable> {
    THREADS.rows.iter().find(|t| t.size == size).ok_or_else(|| {
        let sizes: Vec<&str> = sizes().collect();
        NotInTable::new(format!("thread \"{size}\""), sizes.join(", "), &THREADS.source)
    })
}

/// Every size of the table.
pub fn sizes() -> impl Iterator<Item = &'static str> {
    THREADS.rows.iter().map(|t| t.size.as_str())
}

/// Source of the thread table.
#[must_use]
pub fn source() -> &'static str {
    &THREADS.source
}

#[derive(Debug, Default, Deserialize)]
struct Classes {
    source: String,
    rows: Vec<Row>,
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

static CLASSES: LazyLock<Classes> = LazyLock::new(|| table(include_str!("data/classes.yaml")));

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

/// The property class, for a thread of diameter `d`.
///
/// # Errors
/// [`NotInTable`] for a class or diameter the standard does not have.
pub fn class(name: &str, d: Length) -> Result<Class, NotInTable> {
    let fits = |r: &&Row| r.class == name && d.mm() > r.over && d.mm() <= r.up_to;
    CLASSES
        .rows
        .iter()
        .find(fits)
        .map(|r| Class {
            rm: Stress::from_mpa(r.rm),
            yield_strength: Stress::from_mpa(r.yield_mpa),
            proof: Stress::from_mpa(r.proof),
            nut: r.nut,
        })
        .ok_or_else(|| {
            NotInTable::new(
                format!("property class \"{name}\""),
                "4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 10.9 and 12.9 up to 39 mm",
                &CLASSES.source,
            )
        })
}
