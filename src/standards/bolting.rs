//! Bolting values: scatter of the preload, friction classes, embedding, set screws.

use serde::Deserialize;

use crate::quantity::{Force, Length, Torque};

use super::NotInTable;
use super::bench::{Range, TABLE};

#[derive(Debug, Deserialize)]
pub(super) struct Scatter {
    method: String,
    low: f64,
    factor: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct FrictionRow {
    class: String,
    low: f64,
    high: f64,
    state: String,
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

#[derive(Debug, Deserialize)]
pub(super) struct SetScrewRow {
    size: String,
    torque: f64,
    stainless: f64,
    test: f64,
    holding: Option<f64>,
    holding_low: Option<f64>,
    source: String,
}

fn scatter_row(method: &str) -> Result<&'static Scatter, NotInTable> {
    TABLE.scatter.iter().find(|r| r.method == method).ok_or_else(|| {
        let known: Vec<&str> = TABLE.scatter.iter().map(|r| r.method.as_str()).collect();
        NotInTable::new(format!("tightening method \"{method}\""), known.join(", "), "VDI 2230-1")
    })
}

/// Scatter of the preload by tightening method: largest over least, and its source.
///
/// # Errors
/// [`NotInTable`] for an unknown method.
pub fn scatter(method: &str) -> Result<(f64, &'static str), NotInTable> {
    scatter_row(method).map(|r| (r.factor, r.source.as_str()))
}

/// Scatter of the preload as printed: the best and the worst factor of the method.
///
/// # Errors
/// [`NotInTable`] for an unknown method.
///
/// ```
/// let range = runtrue::standards::bolting::scatter_range("click wrench")?;
/// assert_eq!((range.low, range.high), (1.6, 2.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn scatter_range(method: &str) -> Result<Range, NotInTable> {
    scatter_row(method).map(|r| Range { low: r.low, high: r.factor, source: r.source.clone() })
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
pub fn embedding(roughness: Length) -> Result<Embedding, NotInTable> {
    // A roughness of 0.010 mm is 10.000000000000002 µm in binary; a millionth of a micrometre is nothing.
    let um = roughness.mm() * 1000.0 - 1e-6;
    let row = TABLE.embedding.iter().find(|r| um > r.over - 1e-3 && um <= r.up_to);
    let of_um = |um: f64| Length::from_mm(um / 1000.0);
    row.map(|r| Embedding { thread: of_um(r.thread), face: of_um(r.face), inner: of_um(r.inner), source: &r.source })
        .ok_or_else(|| {
            NotInTable::new(format!("embedding at Rz {} mm", roughness.mm()), "above 0 up to 0.160 mm", "VDI 2230-1")
        })
}

fn set_screw(size: &str) -> Option<&'static SetScrewRow> {
    TABLE.set_screw.iter().find(|r| r.size == size)
}

/// Seating torque of a cup-point set screw and its source, alloy steel or stainless. The maker's figure comes first.
///
/// # Errors
/// [`NotInTable`] for other sizes than M3 to M10.
///
/// ```
/// let (torque, _) = runtrue::standards::bolting::set_screw_torque("M8", false)?;
/// assert_eq!(torque.nm(), 17.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_torque(size: &str, stainless: bool) -> Result<(Torque, &'static str), NotInTable> {
    let row = set_screw(size).ok_or_else(|| {
        NotInTable::new(format!("torque of a set screw \"{size}\""), "M3 to M10", "set screw torque charts")
    })?;
    Ok((Torque::from_nm(if stainless { row.stainless } else { row.torque }), &row.source))
}

/// Test torque of a set screw 45H (ISO 898-5 as printed by a screw maker): a limit, never a target.
///
/// # Errors
/// [`NotInTable`] for other sizes than M3 to M10.
pub fn set_screw_test_torque(size: &str) -> Result<Torque, NotInTable> {
    let row = set_screw(size)
        .ok_or_else(|| NotInTable::new(format!("test torque of a set screw \"{size}\""), "M3 to M10", "ISO 898-5"))?;
    Ok(Torque::from_nm(row.test))
}

fn no_holding(size: &str) -> NotInTable {
    NotInTable::new(format!("holding force of a set screw \"{size}\""), "M6, M8, M10", "SPS cup-point tests")
}

/// Axial holding force of one cup-point set screw on a soft shaft, by the highest published series.
///
/// # Errors
/// [`NotInTable`] where no test figure is known.
pub fn set_screw_holding(size: &str) -> Result<(Force, &'static str), NotInTable> {
    let row = set_screw(size).ok_or_else(|| no_holding(size))?;
    Ok((Force::from_n(row.holding.ok_or_else(|| no_holding(size))?), &row.source))
}

/// Axial holding force of one cup-point set screw on a soft shaft, N: published series differ by two and more. The low
/// end is the one for a limit.
///
/// # Errors
/// [`NotInTable`] where no test figure is known.
pub fn set_screw_holding_range(size: &str) -> Result<Range, NotInTable> {
    let row = set_screw(size).ok_or_else(|| no_holding(size))?;
    match (row.holding_low, row.holding) {
        (Some(low), Some(high)) => Ok(Range { low, high, source: row.source.clone() }),
        _ => Err(no_holding(size)),
    }
}

/// Every row's name and source.
pub(super) fn sources() -> Vec<(String, &'static str)> {
    let t = &*TABLE;
    let mut all: Vec<(String, &str)> = t.scatter.iter().map(|r| (r.method.clone(), r.source.as_str())).collect();
    all.extend(t.friction_class.iter().map(|r| (format!("friction {}", r.class), r.source.as_str())));
    all.extend(t.embedding.iter().map(|r| (format!("embedding over {}", r.over), r.source.as_str())));
    all.extend(t.set_screw.iter().map(|r| (format!("{} {}", r.size, r.torque), r.source.as_str())));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_have_their_ends_in_order() {
        for row in &TABLE.scatter {
            assert!(1.0 < row.low && row.low <= row.factor, "{}", row.method);
        }
        for size in ["M6", "M8", "M10"] {
            let range = set_screw_holding_range(size).unwrap();
            assert!(range.low < range.high && range.high == set_screw_holding(size).unwrap().0.n(), "{size}");
        }
        for size in ["M4", "M5", "M6", "M8", "M10"] {
            // Seating lies under the test torque, or the screw would break in the hand.
            assert!(set_screw_torque(size, false).unwrap().0 < set_screw_test_torque(size).unwrap(), "{size}");
        }
    }

    #[test]
    fn a_roughness_belongs_to_the_band_it_ends() {
        let exact = |um: f64| embedding(Length::from_mm(um / 1000.0)).unwrap().inner.mm();
        assert!((exact(10.0) - 0.0015).abs() < 1e-12 && (exact(10.1) - 0.002).abs() < 1e-12);
        assert!(embedding(Length::from_mm(0.17)).is_err() && embedding(Length::from_mm(-0.01)).is_err());
    }

    #[test]
    fn what_is_unknown_is_refused_with_what_is_known() {
        assert!(scatter("by feel").unwrap_err().to_string().contains("click wrench"));
        assert!(friction_class("E").is_err() && set_screw_torque("M12", false).is_err());
        assert!(set_screw_holding("M4").is_err());
    }
}
