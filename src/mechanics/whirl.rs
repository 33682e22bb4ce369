//! Critical speeds of a shaft with discs on two flexible bearings, by beam finite elements.
//!
//! Euler-Bernoulli beams with consistent mass, discs as point masses with tilt inertia, bearings as springs. At standstill
//! the tilt inertia of a disc slows the shaft; in forward whirl at running speed the gyroscopic moment turns it into
//! `Id − Ip` and raises the critical speed. So the standstill value is the cautious one for what unbalance drives. Backward whirl, with
//! `Id + Ip`, lies below it; unbalance drives it only where the supports are unlike across and up and down. It is not computed here, and
//! the quarter that service keeps below the critical speed has to cover it. Frames bend too: a bump test of
//! the assembled machine beats any formula (common practice).

use nalgebra::DMatrix;

use crate::quantity::{Density, Length, Mass, Speed, Stiffness, Stress};

use super::OutOfRange;

/// Something heavy on the shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lump {
    /// Place along the shaft.
    pub at: Length,
    /// Mass.
    pub mass: Mass,
    /// Moment of inertia about a diameter, kg·m².
    pub tilt: f64,
    /// Moment of inertia about the axis, kg·m².
    pub polar: f64,
}

/// A shaft of one diameter on two bearings.
#[derive(Debug, Clone, PartialEq)]
pub struct Rotor {
    /// Length.
    pub length: Length,
    /// Diameter.
    pub diameter: Length,
    /// Density.
    pub density: Density,
    /// Modulus of elasticity.
    pub elastic: Stress,
    /// Places of the bearings.
    pub bearings: [Length; 2],
    /// Stiffness of each bearing with its frame.
    pub stiffness: Stiffness,
    /// Heavy parts.
    pub lumps: Vec<Lump>,
}

/// Speeds, ascending.
#[derive(Debug, Clone, PartialEq)]
pub struct Critical {
    /// Natural frequencies at standstill, as speeds: the cautious ones.
    pub standstill: Vec<Speed>,
    /// Forward whirl at running speed.
    pub forward: Vec<Speed>,
}

/// The speed in service keeps to this share of the first critical speed: a quarter below (common practice, 20 to 25 %).
pub const SERVICE_SHARE: f64 = 0.75;

/// ```
/// use runtrue::{mechanics::whirl::Critical, quantity::Speed};
/// let found = Critical { standstill: vec![Speed::from_rpm(4_000.0)], forward: vec![Speed::from_rpm(4_400.0)] };
/// assert_eq!(found.cautious().map(Speed::rpm), Some(4_000.0)); // not the higher one that running gives
/// assert_eq!(found.highest_in_service().map(Speed::rpm), Some(3_000.0));
/// ```
impl Critical {
    /// The cautious first critical speed: at standstill, without the gyroscopic stiffening that running adds. None where nothing swings.
    #[must_use]
    pub fn cautious(&self) -> Option<Speed> {
        self.standstill.first().copied()
    }

    /// Highest speed in service: [`SERVICE_SHARE`] of [`Critical::cautious`].
    #[must_use]
    pub fn highest_in_service(&self) -> Option<Speed> {
        self.cautious().map(|s| s * SERVICE_SHARE)
    }
}

/// Largest length of an element as a share of the shaft.
const FINEST: f64 = 1.0 / 64.0;

/// The first three critical speeds, at standstill and in forward whirl.
///
/// # Errors
/// [`OutOfRange`] for places off the shaft, bearings at one place, a value that is not above zero, or a lump with less than no mass.
///
/// ```
/// use runtrue::mechanics::whirl::{Rotor, critical};
/// use runtrue::quantity::{Density, Length, Stiffness, Stress};
/// // A bare shaft on stiff bearings at its ends: (π/L)²·√(E·I/(ρ·A)) = 50.292 Hz.
/// let found = critical(&Rotor {
///     length: Length::from_m(1.0), diameter: Length::from_mm(25.0), density: Density::from_kg_m3(7850.0),
///     elastic: Stress::from_gpa(206.0), bearings: [Length::from_m(0.0), Length::from_m(1.0)],
///     stiffness: Stiffness::from_n_per_m(1e10), lumps: vec![],
/// })?;
/// let first = found.cautious().unwrap();
/// assert!((first.rpm() / 60.0 - 50.292).abs() < 0.001);
/// assert!((found.highest_in_service().unwrap() / first - 0.75).abs() < 1e-12);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn critical(rotor: &Rotor) -> Result<Critical, OutOfRange> {
    refuse(rotor)?;
    let nodes = nodes(rotor);
    let stiffness = stiffness(rotor, &nodes);
    let solve = |forward: bool| speeds(&stiffness, mass(rotor, &nodes, forward));
    Ok(Critical { standstill: solve(false)?, forward: solve(true)? })
}

/// The first critical speed at standstill, the cautious one, without the rest.
///
/// # Errors
/// [`OutOfRange`] as for [`critical`], and for a shaft that nothing makes swing.
///
/// ```
/// use runtrue::mechanics::whirl::{Lump, Rotor, first_critical};
/// use runtrue::quantity::{Density, Length, Mass, Stiffness, Stress};
/// // A light shaft with 10 kg in the middle: 48·E·I/L³ is 48·206e9·1.9175e-8/1 = 189.6 kN/m; √(k/m) = 137.69 rad/s.
/// let found = first_critical(&Rotor {
///     length: Length::from_m(1.0), diameter: Length::from_mm(25.0), density: Density::from_kg_m3(1e-6),
///     elastic: Stress::from_gpa(206.0), bearings: [Length::from_m(0.0), Length::from_m(1.0)], stiffness: Stiffness::from_n_per_m(1e12),
///     lumps: vec![Lump { at: Length::from_m(0.5), mass: Mass::from_kg(10.0), tilt: 0.0, polar: 0.0 }],
/// })?;
/// assert!((found.rpm() - 1314.8).abs() < 0.5);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn first_critical(rotor: &Rotor) -> Result<Speed, OutOfRange> {
    refuse(rotor)?;
    let nodes = nodes(rotor);
    let found = speeds(&stiffness(rotor, &nodes), mass(rotor, &nodes, false))?;
    let still = || OutOfRange::new("shaft", "without mass", "something heavy swings", "beam theory");
    found.first().copied().ok_or_else(still)
}

fn refuse(rotor: &Rotor) -> Result<(), OutOfRange> {
    let on = |x: Length| x.mm() >= 0.0 && x <= rotor.length;
    let places = rotor.bearings.iter().copied().chain(rotor.lumps.iter().map(|l| l.at));
    if let Some(off) = places.into_iter().find(|x| !on(*x)) {
        return Err(OutOfRange::new(
            "place on the shaft",
            format!("{} mm", off.mm()),
            format!("it lies from 0 to {} mm", rotor.length.mm()),
            "geometry",
        ));
    }
    let apart = (rotor.bearings[0] - rotor.bearings[1]).mm().abs();
    let positive = [
        apart,
        rotor.length.mm(),
        rotor.diameter.mm(),
        rotor.density.kg_m3(),
        rotor.elastic.mpa(),
        rotor.stiffness.n_per_m(),
    ];
    let heavy = |l: &Lump| [l.mass.kg(), l.tilt, l.polar].iter().all(|v| *v >= 0.0 && v.is_finite());
    if positive.iter().all(|v| *v > 0.0 && v.is_finite()) && rotor.lumps.iter().all(heavy) {
        Ok(())
    } else {
        Err(OutOfRange::new(
            "shaft, bearings, material or discs",
            "not above 0",
            "all are above 0, the bearings apart, and no disc has less than no mass",
            "geometry",
        ))
    }
}

/// Places of the nodes in metres: every bearing and lump has one.
fn nodes(rotor: &Rotor) -> Vec<f64> {
    let mut fixed: Vec<f64> = vec![0.0, rotor.length.m()];
    fixed.extend(rotor.bearings.iter().map(|b| b.m()));
    fixed.extend(rotor.lumps.iter().map(|l| l.at.m()));
    fixed.sort_by(f64::total_cmp);
    fixed.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let finest = rotor.length.m() * FINEST;
    let mut nodes = vec![0.0];
    for pair in fixed.windows(2) {
        let pieces = ((pair[1] - pair[0]) / finest).ceil().max(1.0) as usize;
        nodes.extend((1..=pieces).map(|k| pair[0] + (pair[1] - pair[0]) * k as f64 / pieces as f64));
    }
    nodes
}

fn node_at(nodes: &[f64], x: f64) -> usize {
    let away = |k: &usize| (nodes[*k] - x).abs();
    (0..nodes.len()).min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(0)
}

/// Adds a beam's four by four matrix for each element.
fn beams(nodes: &[f64], element: impl Fn(f64) -> [[f64; 4]; 4]) -> DMatrix<f64> {
    let mut all = DMatrix::zeros(2 * nodes.len(), 2 * nodes.len());
    for (k, pair) in nodes.windows(2).enumerate() {
        let part = element(pair[1] - pair[0]);
        for (i, row) in part.iter().enumerate() {
            for (j, value) in row.iter().enumerate() {
                all[(2 * k + i, 2 * k + j)] += value;
            }
        }
    }
    all
}

fn stiffness(rotor: &Rotor, nodes: &[f64]) -> DMatrix<f64> {
    let inertia = std::f64::consts::PI * rotor.diameter.m().powi(4) / 64.0;
    let bending = rotor.elastic.mpa() * 1e6 * inertia;
    let mut all = beams(nodes, |l| {
        let f = bending / l.powi(3);
        let (a, b, c, d) = (12.0 * f, 6.0 * l * f, 4.0 * l * l * f, 2.0 * l * l * f);
        [[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]]
    });
    for bearing in rotor.bearings {
        let k = 2 * node_at(nodes, bearing.m());
        all[(k, k)] += rotor.stiffness.n_per_m();
    }
    all
}

fn mass(rotor: &Rotor, nodes: &[f64], forward: bool) -> DMatrix<f64> {
    let line = rotor.density.kg_m3() * std::f64::consts::PI * rotor.diameter.m().powi(2) / 4.0;
    let mut all = beams(nodes, |l| {
        let f = line * l / 420.0;
        let (a, b, c) = (156.0 * f, 22.0 * l * f, 54.0 * f);
        let (d, e, g) = (13.0 * l * f, 4.0 * l * l * f, 3.0 * l * l * f);
        [[a, b, c, -d], [b, e, d, -g], [c, d, a, -b], [-d, -g, -b, e]]
    });
    for lump in &rotor.lumps {
        let k = 2 * node_at(nodes, lump.at.m());
        all[(k, k)] += lump.mass.kg();
        all[(k + 1, k + 1)] += if forward { lump.tilt - lump.polar } else { lump.tilt };
    }
    all
}

/// Eigenvalues of `L⁻¹·M·L⁻ᵀ` with `K = L·Lᵀ` are `1/ω²`; in forward whirl M need not be positive, K always is.
fn speeds(stiffness: &DMatrix<f64>, mass: DMatrix<f64>) -> Result<Vec<Speed>, OutOfRange> {
    let none = || OutOfRange::new("stiffness of the shaft", "not positive", "two bearings hold it", "beam theory");
    let lower = stiffness.clone().cholesky().ok_or_else(none)?.l();
    let half = lower.solve_lower_triangular(&mass).ok_or_else(none)?;
    let whole = lower.solve_lower_triangular(&half.transpose()).ok_or_else(none)?;
    let symmetric = (&whole + whole.transpose()) * 0.5;
    // The shapes are not asked for: they would take most of the time.
    let mut inverse: Vec<f64> = symmetric.symmetric_eigenvalues().iter().copied().filter(|v| *v > 0.0).collect();
    inverse.sort_by(|a, b| b.total_cmp(a));
    Ok(inverse.iter().take(3).map(|v| Speed::from_rpm(30.0 / std::f64::consts::PI / v.sqrt())).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shaft(length: f64, diameter: f64, bearings: [f64; 2], lumps: Vec<Lump>) -> Rotor {
        Rotor {
            length: Length::from_m(length),
            diameter: Length::from_m(diameter),
            density: Density::from_kg_m3(7850.0),
            elastic: Stress::from_gpa(206.0),
            bearings: bearings.map(Length::from_m),
            stiffness: Stiffness::from_n_per_m(1e10),
            lumps,
        }
    }

    #[test]
    fn softer_bearings_and_heavier_discs_lower_the_speed() {
        let disc = Lump { at: Length::from_m(0.4), mass: Mass::from_kg(15.0), tilt: 0.05, polar: 0.1 };
        let first = |r: &Rotor| critical(r).unwrap().standstill[0];
        let hard = shaft(0.8, 0.03, [0.0, 0.8], vec![disc]);
        let soft = Rotor { stiffness: Stiffness::from_n_per_m(1e6), ..hard.clone() };
        let heavy = Rotor { lumps: vec![Lump { mass: Mass::from_kg(20.0), ..disc }], ..hard.clone() };
        assert!(first(&soft) < first(&hard) && first(&heavy) < first(&hard));
        let c = critical(&hard).unwrap();
        assert!(c.forward[0] >= c.standstill[0]);
        assert_eq!(first_critical(&hard).unwrap(), c.standstill[0]);
    }

    #[test]
    fn what_cannot_stand_is_refused() {
        assert!(critical(&shaft(0.8, 0.03, [0.0, 0.9], vec![])).is_err());
        assert!(critical(&shaft(0.8, 0.03, [0.4, 0.4], vec![])).is_err());
        assert!(critical(&shaft(0.8, 0.0, [0.0, 0.8], vec![])).is_err());
        let less = Lump { at: Length::from_m(0.4), mass: Mass::from_kg(-1.0), tilt: 0.0, polar: 0.0 };
        assert!(critical(&shaft(0.8, 0.03, [0.0, 0.8], vec![less])).is_err());
    }
}
