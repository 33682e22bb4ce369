//! Static bending of a shaft on two bearings, overhung loads included.
//!
//! Euler-Bernoulli beam of one diameter, solved in closed form by Macaulay's brackets in two planes (downwards and across), the
//! weight of the shaft itself counted as a line load. Discs are taken not to stiffen it, which is the cautious side. Fillets, keyways
//! and set-screw dents raise the stress at their place and are not in it.

use std::f64::consts::PI;

use crate::quantity::{Angle, Density, Force, Length, Stiffness, Stress, Torque};

use super::OutOfRange;
use super::rotor::GRAVITY;

/// A force at a place: weight, belt pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Place along the shaft.
    pub at: Length,
    /// Part that pulls downwards; negative upwards.
    pub down: Force,
    /// Part that pulls across, to one side.
    pub across: Force,
}

impl Load {
    /// A force at an angle: 0° straight down, 90° across, 180° up.
    ///
    /// ```
    /// use runtrue::{mechanics::bending::Load, quantity::{Angle, Force, Length}};
    /// let pull = Load::pulling(Length::from_mm(620.0), Force::from_n(300.0), Angle::from_deg(180.0));
    /// assert!((pull.down.n() + 300.0).abs() < 1e-9 && pull.across.n().abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn pulling(at: Length, force: Force, angle: Angle) -> Self {
        let (sin, cos) = angle.rad().sin_cos();
        Self { at, down: force * cos, across: force * sin }
    }
}

/// A shaft with what pulls at it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shaft {
    /// Length.
    pub length: Length,
    /// Diameter.
    pub diameter: Length,
    /// Density; zero leaves the shaft's own weight out.
    pub density: Density,
    /// Modulus of elasticity.
    pub elastic: Stress,
    /// Places of the bearings.
    pub bearings: [Length; 2],
    /// Stiffness of each bearing with its frame; none for bearings that do not give.
    pub stiffness: Option<Stiffness>,
    /// Loads.
    pub loads: Vec<Load>,
}

/// A bent shaft, to be asked at any place.
///
/// ```
/// use runtrue::mechanics::bending::{Load, Shaft, bend};
/// use runtrue::quantity::{Angle, Density, Force, Length, Stress, Torque};
/// let mm = Length::from_mm;
/// // 300 N overhung by 120 mm on a span of 400 mm: the far bearing is lifted with 90 N, the near one carries 390 N.
/// let bent = bend(&Shaft {
///     length: mm(650.0), diameter: mm(30.0), density: Density::from_kg_m3(0.0), elastic: Stress::from_gpa(206.0),
///     bearings: [mm(100.0), mm(500.0)], stiffness: None,
///     loads: vec![Load::pulling(mm(620.0), Force::from_n(300.0), Angle::from_deg(0.0))],
/// })?;
/// let [(far, _), (near, _)] = bent.reactions();
/// assert!((far.n() + 90.0).abs() < 1e-9 && (near.n() - 390.0).abs() < 1e-9);
/// assert!((bent.bearing_loads()[0].n() - 90.0).abs() < 1e-9);
/// // M = P·c at the near bearing; stress 32·M/(π·d³).
/// assert!((bent.largest_moment().0.nm() - 36.0).abs() < 1e-9 && bent.largest_moment().1 == mm(500.0));
/// assert_eq!(bent.moment(mm(560.0)).nm().round(), 18.0);
/// assert!((bent.stress().mpa() - 13.581).abs() < 0.001);
/// // With 20 N·m: τ = 16·T/(π·d³) = 3.773 MPa, √(13.581² + 3·3.773²) = 15.071.
/// assert!((bent.stress_with(Torque::from_nm(20.0)).mpa() - 15.071).abs() < 0.001);
/// // It sinks outside and rises between; the slope at the near bearing is P·c·L/(3·E·I).
/// assert!(bent.sinks(mm(620.0)).mm() > 0.0 && bent.sinks(mm(300.0)).mm() < 0.0);
/// assert_eq!(bent.deflection(mm(300.0)), -bent.sinks(mm(300.0)));
/// assert_eq!(bent.largest_deflection().1, mm(650.0));
/// let by_table = 300.0 * 0.12 * 0.4 / (3.0 * 206e9 * std::f64::consts::PI * 0.03_f64.powi(4) / 64.0);
/// assert!((bent.bearing_slopes()[1].deg() - f64::to_degrees(by_table)).abs() < 1e-9);
/// assert_eq!(bent.slope(mm(500.0)), bent.bearing_slopes()[1]);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Bent {
    planes: [Plane; 2],
    bearings: [Length; 2],
    places: Vec<Length>,
    diameter: Length,
}

/// One plane: `EI·y = Σ F·⟨x−a⟩³/6 + q·x⁴/24 + C1·x + C2`, forces down positive, reactions among them as negative ones.
#[derive(Debug, Clone, PartialEq)]
struct Plane {
    forces: Vec<(f64, f64)>,
    line: f64,
    stiff: f64,
    slope: f64,
    offset: f64,
}

impl Plane {
    fn of(shaft: &Shaft, loads: &[(f64, f64)], line: f64) -> Self {
        let [a, b] = shaft.bearings.map(|b| b.m());
        let length = shaft.length.m();
        let total = loads.iter().map(|(_, f)| f).sum::<f64>() + line * length;
        let about_a = loads.iter().map(|(x, f)| f * (x - a)).sum::<f64>() + line * length * (length / 2.0 - a);
        let at_b = about_a / (b - a);
        let at_a = total - at_b;
        let mut forces = loads.to_vec();
        forces.extend([(a, -at_a), (b, -at_b)]);
        let stiff = shaft.elastic.mpa() * 1e6 * PI * shaft.diameter.m().powi(4) / 64.0;
        let mut plane = Self { forces, line, stiff, slope: 0.0, offset: 0.0 };
        // At each bearing the shaft has sunk by what the bearing gives.
        let gives = |r: f64| shaft.stiffness.map_or(0.0, |k| r / k.n_per_m());
        let rest = |x: f64, r: f64| stiff * gives(r) - plane.brackets(x, 3);
        let (rest_a, rest_b) = (rest(a, at_a), rest(b, at_b));
        plane.slope = (rest_b - rest_a) / (b - a);
        plane.offset = rest_a - plane.slope * a;
        plane
    }

    /// The loads integrated up to a place: power 3 for the deflection, 2 for the slope, 1 for the moment.
    fn brackets(&self, x: f64, power: i32) -> f64 {
        let below: f64 = (1..=power).map(f64::from).product();
        let forces: f64 = self.forces.iter().filter(|(a, _)| x > *a).map(|(a, f)| f * (x - a).powi(power)).sum();
        forces / below + self.line * x.powi(power + 1) / (below * f64::from(power + 1))
    }

    fn deflection(&self, x: f64) -> f64 {
        (self.brackets(x, 3) + self.slope * x + self.offset) / self.stiff
    }

    fn slope(&self, x: f64) -> f64 {
        (self.brackets(x, 2) + self.slope) / self.stiff
    }

    fn moment(&self, x: f64) -> f64 {
        -self.brackets(x, 1)
    }

    fn reactions(&self) -> [f64; 2] {
        let n = self.forces.len();
        [n - 2, n - 1].map(|k| -self.forces[k].1)
    }
}

/// Bends a shaft.
///
/// # Errors
/// [`OutOfRange`] for places off the shaft, bearings at one place, or a size or modulus that is not above zero.
///
/// ```
/// use runtrue::mechanics::bending::{Load, Shaft, bend};
/// use runtrue::quantity::{Angle, Density, Force, Length, Stress};
/// let mm = Length::from_mm;
/// // A load in the middle of 1 m sinks by W·L³/(48·E·I), I = π·d⁴/64 (any table of beams).
/// let bent = bend(&Shaft {
///     length: mm(1000.0), diameter: mm(30.0), density: Density::from_kg_m3(0.0), elastic: Stress::from_gpa(206.0),
///     bearings: [mm(0.0), mm(1000.0)], stiffness: None,
///     loads: vec![Load::pulling(mm(500.0), Force::from_n(100.0), Angle::from_deg(0.0))],
/// })?;
/// let by_table = 100.0 / (48.0 * 206e9 * std::f64::consts::PI * 0.03_f64.powi(4) / 64.0) * 1000.0;
/// assert!((bent.deflection(mm(500.0)).mm() - by_table).abs() < 1e-12);
/// assert!((bent.largest_moment().0.nm() - 25.0).abs() < 1e-9); // W·L/4
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn bend(shaft: &Shaft) -> Result<Bent, OutOfRange> {
    refuse(shaft)?;
    let line = shaft.density.kg_m3() * PI * shaft.diameter.m().powi(2) / 4.0 * GRAVITY;
    let plane = |part: fn(&Load) -> Force, line: f64| {
        let loads: Vec<(f64, f64)> = shaft.loads.iter().map(|l| (l.at.m(), part(l).n())).collect();
        Plane::of(shaft, &loads, line)
    };
    Ok(Bent {
        planes: [plane(|l| l.down, line), plane(|l| l.across, 0.0)],
        bearings: shaft.bearings,
        places: places(shaft),
        diameter: shaft.diameter,
    })
}

fn refuse(shaft: &Shaft) -> Result<(), OutOfRange> {
    let on = |x: &Length| x.mm() >= 0.0 && *x <= shaft.length;
    let mut places = shaft.bearings.iter().copied().chain(shaft.loads.iter().map(|l| l.at));
    if let Some(off) = places.find(|x| !on(x)) {
        return Err(OutOfRange::new(
            "place on the shaft",
            format!("{} mm", off.mm()),
            format!("it lies from 0 to {} mm", shaft.length.mm()),
            "geometry",
        ));
    }
    let apart = (shaft.bearings[0] - shaft.bearings[1]).mm().abs();
    let give = shaft.stiffness.map_or(1.0, |k| k.n_per_m());
    let positive = [apart, shaft.diameter.mm(), shaft.elastic.mpa(), give, 1.0 + shaft.density.kg_m3()];
    let numbers = shaft.loads.iter().all(|l| l.down.n().is_finite() && l.across.n().is_finite());
    if numbers && positive.iter().all(|v| *v > 0.0 && v.is_finite()) {
        return Ok(());
    }
    Err(OutOfRange::new(
        "shaft, bearings or loads",
        "not above 0",
        "diameter, modulus and stiffness are above 0, the bearings apart, the loads numbers",
        "geometry",
    ))
}

/// Where an extreme is looked for: every load and bearing, and 512 even steps between, so that a rounded top between two loads is
/// missed by less than a hundred-thousandth of it.
fn places(shaft: &Shaft) -> Vec<Length> {
    let steps = (0..=512).map(|k| shaft.length * (f64::from(k) / 512.0));
    steps.chain(shaft.bearings).chain(shaft.loads.iter().map(|l| l.at)).collect()
}

impl Bent {
    fn both(&self, of: impl Fn(&Plane) -> f64) -> f64 {
        of(&self.planes[0]).hypot(of(&self.planes[1]))
    }

    fn most(&self, of: impl Fn(Length) -> f64) -> (f64, Length) {
        let first = (0.0, self.places[0]);
        self.places.iter().map(|x| (of(*x), *x)).fold(first, |best, next| if next.0 > best.0 { next } else { best })
    }

    /// Reactions of the two bearings, downwards part and part across: what each bearing pushes up and back with.
    #[must_use]
    pub fn reactions(&self) -> [(Force, Force); 2] {
        let [down, across] = [0, 1].map(|k: usize| self.planes[k].reactions());
        [0, 1].map(|k: usize| (Force::from_n(down[k]), Force::from_n(across[k])))
    }

    /// Size of each bearing's reaction.
    #[must_use]
    pub fn bearing_loads(&self) -> [Force; 2] {
        self.reactions().map(|(down, across)| Force::from_n(down.n().hypot(across.n())))
    }

    /// How far the shaft sinks at a place; negative where it rises.
    #[must_use]
    pub fn sinks(&self, at: Length) -> Length {
        Length::from_m(self.planes[0].deflection(at.m()))
    }

    /// How far the shaft leaves its straight line, both planes together.
    #[must_use]
    pub fn deflection(&self, at: Length) -> Length {
        Length::from_m(self.both(|p| p.deflection(at.m())))
    }

    /// How much the shaft is out of square to a bearing or disc that stands there.
    #[must_use]
    pub fn slope(&self, at: Length) -> Angle {
        Angle::from_deg(self.both(|p| p.slope(at.m())).to_degrees())
    }

    /// Slope at the two bearings.
    #[must_use]
    pub fn bearing_slopes(&self) -> [Angle; 2] {
        self.bearings.map(|b| self.slope(b))
    }

    /// Bending moment at a place, both planes together.
    #[must_use]
    pub fn moment(&self, at: Length) -> Torque {
        Torque::from_nm(self.both(|p| p.moment(at.m())))
    }

    /// Largest bending moment and its place.
    #[must_use]
    pub fn largest_moment(&self) -> (Torque, Length) {
        let (moment, at) = self.most(|x| self.moment(x).nm());
        (Torque::from_nm(moment), at)
    }

    /// Largest deflection and its place.
    #[must_use]
    pub fn largest_deflection(&self) -> (Length, Length) {
        let (mm, at) = self.most(|x| self.deflection(x).mm());
        (Length::from_mm(mm), at)
    }

    /// Bending stress of the largest moment: `32·M/(π·d³)`. It turns with the shaft, so it counts as fully reversed.
    #[must_use]
    pub fn stress(&self) -> Stress {
        Stress::from_mpa(32.0 * self.largest_moment().0.nm() / (PI * self.diameter.m().powi(3)) / 1e6)
    }

    /// Bending and a torque together: `√(σ² + 3·τ²)` with `τ = 16·T/(π·d³)` (distortion energy). The whole torque is put where the moment
    /// is largest, and counts as reversed too, for starts and stops: the cautious side.
    #[must_use]
    pub fn stress_with(&self, torque: Torque) -> Stress {
        let shear = 16.0 * torque.nm() / (PI * self.diameter.m().powi(3)) / 1e6;
        Stress::from_mpa((self.stress().mpa().powi(2) + 3.0 * shear * shear).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shaft(loads: Vec<Load>) -> Shaft {
        let mm = Length::from_mm;
        Shaft {
            length: mm(650.0),
            diameter: mm(30.0),
            density: Density::from_kg_m3(7850.0),
            elastic: Stress::from_gpa(206.0),
            bearings: [mm(100.0), mm(500.0)],
            stiffness: None,
            loads,
        }
    }

    fn pull(at: f64, force: f64, angle: f64) -> Load {
        Load::pulling(Length::from_mm(at), Force::from_n(force), Angle::from_deg(angle))
    }

    #[test]
    fn an_overhung_load_follows_the_table_of_beams() {
        // y = P·c²·(L+c)/(3·E·I) at the load, P·c·L²/(9·√3·E·I) up at L/√3 from the far bearing.
        let bent = bend(&Shaft { density: Density::from_kg_m3(0.0), ..shaft(vec![pull(620.0, 300.0, 0.0)]) }).unwrap();
        let stiff = 206e9 * PI * 0.03_f64.powi(4) / 64.0;
        let tip = 300.0 * 0.12 * 0.12 * (0.4 + 0.12) / (3.0 * stiff) * 1000.0;
        assert!((bent.sinks(Length::from_mm(620.0)).mm() - tip).abs() < 1e-12);
        let up = 300.0 * 0.12 * 0.4 * 0.4 / (9.0 * 3.0_f64.sqrt() * stiff) * 1000.0;
        let at = Length::from_mm(100.0 + 400.0 / 3.0_f64.sqrt());
        assert!((bent.sinks(at).mm() + up).abs() < 1e-12);
        let [a, b] = bent.reactions();
        assert!((a.0.n() + 90.0).abs() < 1e-9 && (b.0.n() - 390.0).abs() < 1e-9);
        assert_eq!(bent.largest_moment().1.mm(), 500.0);
    }

    #[test]
    fn loads_add_up_and_turning_every_load_turns_the_answer() {
        let bare = Shaft { density: Density::from_kg_m3(0.0), ..shaft(vec![]) };
        let sinks =
            |loads: Vec<Load>| bend(&Shaft { loads, ..bare.clone() }).unwrap().sinks(Length::from_mm(300.0)).mm();
        let (a, b) = (pull(250.0, 80.0, 10.0), pull(620.0, 120.0, 250.0));
        assert!((sinks(vec![a, b]) - sinks(vec![a]) - sinks(vec![b])).abs() < 1e-12);
        let turned = |turn: f64| {
            let loads = vec![pull(250.0, 80.0, 10.0 + turn), pull(620.0, 120.0, 250.0 + turn)];
            let bent = bend(&Shaft { loads, ..bare.clone() }).unwrap();
            (bent.largest_moment().0.nm(), bent.largest_deflection().0.mm(), bent.bearing_loads()[1].n())
        };
        let (one, two) = (turned(0.0), turned(137.0));
        assert!((one.0 - two.0).abs() < 1e-9 && (one.1 - two.1).abs() < 1e-12 && (one.2 - two.2).abs() < 1e-9);
    }

    #[test]
    fn a_displacement_here_by_a_load_there_is_the_same_the_other_way_round() {
        let bare = Shaft { density: Density::from_kg_m3(0.0), ..shaft(vec![]) };
        let sinks = |load: f64, at: f64| {
            let loads = vec![pull(load, 50.0, 0.0)];
            bend(&Shaft { loads, ..bare.clone() }).unwrap().sinks(Length::from_mm(at)).mm()
        };
        for (a, b) in [(200.0, 620.0), (50.0, 300.0), (10.0, 640.0)] {
            assert!((sinks(a, b) - sinks(b, a)).abs() < 1e-12, "{a} {b}"); // Maxwell
        }
    }

    #[test]
    fn softer_bearings_let_it_sink_further_and_what_cannot_stand_is_refused() {
        let soft = Shaft { stiffness: Some(Stiffness::from_n_per_m(1e6)), ..shaft(vec![pull(300.0, 200.0, 0.0)]) };
        let hard = Shaft { stiffness: None, ..soft.clone() };
        let at = Length::from_mm(300.0);
        assert!(bend(&soft).unwrap().sinks(at) > bend(&hard).unwrap().sinks(at));
        assert!(bend(&hard).unwrap().sinks(Length::from_mm(100.0)).mm().abs() < 1e-12);
        let mm = Length::from_mm;
        assert!(bend(&Shaft { bearings: [mm(100.0), mm(700.0)], ..hard.clone() }).is_err());
        assert!(bend(&Shaft { bearings: [mm(100.0), mm(100.0)], ..hard.clone() }).is_err());
        assert!(bend(&Shaft { diameter: mm(0.0), ..hard.clone() }).is_err());
        assert!(bend(&Shaft { loads: vec![pull(300.0, f64::NAN, 0.0)], ..hard }).is_err());
    }
}
