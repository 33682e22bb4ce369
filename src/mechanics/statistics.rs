//! Figures of many readings of one check: mean, spread, drift, process performance.

/// Fewest values from which a performance figure is told (common practice).
pub const FEWEST_FOR_PERFORMANCE: usize = 30;

/// Arithmetic mean, in the unit of the values; none of no values.
///
/// ```
/// assert_eq!(runtrue::mechanics::statistics::mean(&[1.0, 2.0, 6.0]), Some(3.0));
/// ```
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    let n = values.len();
    (n > 0).then(|| values.iter().sum::<f64>() / n as f64)
}

/// Standard deviation of a sample, √(Σ(x − x̄)² ⁄ (n − 1)); in the unit of the values; none of fewer than two.
///
/// ```
/// let s = runtrue::mechanics::statistics::standard_deviation(&[2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]);
/// assert!((s.unwrap_or(0.0) - (32.0f64 / 7.0).sqrt()).abs() < 1e-12);
/// ```
#[must_use]
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    let mean = mean(values)?;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    (values.len() > 1).then(|| (squares / (values.len() - 1) as f64).sqrt())
}

/// Slope of the least-squares line through values in their order (1, 2, 3, …), in the unit of the values for each step of
/// the order; none of fewer than three values, where a line says nothing.
///
/// ```
/// use runtrue::mechanics::statistics::drift;
/// assert!((drift(&[1.0, 1.5, 2.0]).unwrap_or(0.0) - 0.5).abs() < 1e-12);
/// assert_eq!(drift(&[1.0, 2.0]), None);
/// ```
#[must_use]
pub fn drift(values: &[f64]) -> Option<f64> {
    if values.len() < 3 {
        return None;
    }
    let middle = (values.len() as f64 + 1.0) / 2.0;
    let mean = mean(values)?;
    let places = || (1..=values.len()).map(|k| k as f64 - middle);
    let with: f64 = places().zip(values).map(|(x, y)| x * (y - mean)).sum();
    let alone: f64 = places().map(|x| x * x).sum();
    Some(with / alone)
}

/// Process performance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Performance {
    /// How many values.
    pub n: usize,
    /// Mean.
    pub mean: f64,
    /// Standard deviation of all values.
    pub s: f64,
    /// Pp = (upper − lower) ⁄ 6 s; none with one limit.
    pub pp: Option<f64>,
    /// Ppk = the least of (upper − x̄) ⁄ 3 s and (x̄ − lower) ⁄ 3 s.
    pub ppk: f64,
}

impl Performance {
    /// The formulas, as shown beside the figures.
    pub const FORMULA: &'static str =
        "Pp = (upper - lower) / 6s, Ppk = min(upper - mean, mean - lower) / 3s, s of all values with n - 1";
    /// Where they come from.
    pub const BASIS: &'static str = "performance indices from the total standard deviation, normal distribution taken for granted (from memory: ISO 22514-2); told from 30 values on (common practice)";
}

/// Performance indices of a check, from [`FEWEST_FOR_PERFORMANCE`] values on; none with fewer, without a limit, or where
/// all values are equal (an instrument too coarse to show a spread).
///
/// The indices use the standard deviation of all values, so they are performance (Pp, Ppk) and not capability (Cp, Cpk),
/// which needs the spread inside subgroups. Values and limits in one unit.
///
/// ```
/// use runtrue::mechanics::statistics::performance;
/// // 15 values of 9 and 15 of 11: mean 10, s = √(30 ⁄ 29).
/// let values: Vec<f64> = (0..30).map(|k| if k % 2 == 0 { 9.0 } else { 11.0 }).collect();
/// let found = performance(&values, Some(4.0), Some(16.0)).map(|p| (p.n, p.ppk));
/// let s = (30.0f64 / 29.0).sqrt();
/// assert!(found.is_some_and(|(n, ppk)| n == 30 && (ppk - 6.0 / (3.0 * s)).abs() < 1e-12));
/// assert_eq!(performance(&values[1..], Some(4.0), Some(16.0)), None);
/// ```
#[must_use]
pub fn performance(values: &[f64], lower: Option<f64>, upper: Option<f64>) -> Option<Performance> {
    if values.len() < FEWEST_FOR_PERFORMANCE {
        return None;
    }
    let (mean, s) = (mean(values)?, standard_deviation(values)?);
    let sides = [upper.map(|u| u - mean), lower.map(|l| mean - l)];
    let nearest = sides.into_iter().flatten().min_by(f64::total_cmp)?;
    let pp = lower.zip(upper).map(|(l, u)| (u - l) / (6.0 * s));
    (s > 0.0).then_some(Performance { n: values.len(), mean, s, pp, ppk: nearest / (3.0 * s) })
}
