//! Tension of a V-ribbed belt: what the power asks for, what a reading tells, what the adjuster does.
//!
//! Forces and masses are those of the whole belt; divide by the ribs for a figure a rib. The requirement is the drive designer's
//! or the belt maker's; [`static_tension`] only tells whether it is plausible, for published formulas differ by a third.

use crate::quantity::{Force, Frequency, Length, LineMass, Mass, Power, Speed, Velocity};

use super::belt::Drive;
use super::{OutOfRange, above_zero, not_negative};

const MAKERS: &str = "belt makers' manuals";

/// Speed of the belt's cord: `π·(de + 2·hb)·n`.
///
/// ```
/// use runtrue::{mechanics::belt_tension::belt_speed, quantity::{Length, Speed}};
/// let mm = Length::from_mm;
/// let v = belt_speed(mm(97.6), mm(1.2), Speed::from_rpm(600.0));
/// assert!((v.m_s() - std::f64::consts::PI).abs() < 1e-9); // a pitch diameter of 100 mm, ten turns a second
/// ```
#[must_use]
pub fn belt_speed(effective: Length, hb: Length, speed: Speed) -> Velocity {
    speed * (effective / 2.0 + hb)
}

/// Difference of the two strands that a power asks for: `P/v`. Multiply the power by its service factor first.
///
/// # Errors
/// [`OutOfRange`] for a power or speed that is not above zero.
///
/// ```
/// use runtrue::{mechanics::belt_tension::pull, quantity::{Power, Velocity}};
/// assert_eq!(pull(Power::from_kw(1.0), Velocity::from_m_s(10.0))?.n(), 100.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn pull(power: Power, velocity: Velocity) -> Result<Force, OutOfRange> {
    above_zero("power", power.w(), "W", "mechanics")?;
    above_zero("belt speed", velocity.m_s(), "m/s", "mechanics")?;
    Ok(Force::from_n(power.w() / velocity.m_s()))
}

/// Static strand tension that keeps a pull from slipping: `Fe/2·(r+1)/(r−1) + m·v²`, r the [`Drive::slip_ratio`]
/// (Euler and Eytelwein; tension ratio from memory: RMA IP-26). A check of plausibility, not the requirement.
///
/// ```
/// use runtrue::{mechanics::{belt::Drive, belt_tension::static_tension}, quantity::{Force, Length, LineMass, Velocity}};
/// let mm = Length::from_mm;
/// let drive = Drive::from_centre(mm(100.0), mm(100.0), mm(400.0))?;
/// // Ratio 4 at half a turn: 120 N of pull are 160 N against 40 N, so 100 N at rest; 0.1 kg/m at 10 m/s adds 10 N.
/// let t0 = static_tension(&drive, Force::from_n(120.0), LineMass::from_kg_m(0.1), Velocity::from_m_s(10.0));
/// assert!((t0.n() - 110.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
#[must_use]
pub fn static_tension(drive: &Drive, pull: Force, mass: LineMass, velocity: Velocity) -> Force {
    let r = drive.slip_ratio();
    pull * ((r + 1.0) / (2.0 * (r - 1.0))) + Force::from_n(mass.kg_m() * velocity.m_s().powi(2))
}

/// Tight and slack strand of a running drive: `T0 ± Fe/2`.
///
/// # Errors
/// [`OutOfRange`] where the pull is over twice the static tension: the slack strand would push.
///
/// ```
/// use runtrue::{mechanics::belt_tension::strands, quantity::Force};
/// let (tight, slack) = strands(Force::from_n(100.0), Force::from_n(120.0))?;
/// assert_eq!((tight.n(), slack.n()), (160.0, 40.0));
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn strands(at_rest: Force, pull: Force) -> Result<(Force, Force), OutOfRange> {
    if pull >= Force::from_n(0.0) && pull <= at_rest * 2.0 {
        return Ok((at_rest + pull / 2.0, at_rest - pull / 2.0));
    }
    Err(OutOfRange::new(
        "pull of the belt",
        format!("{:.1} N", pull.n()),
        format!("it lies from 0 to {:.1} N, twice the tension at rest", at_rest.n() * 2.0),
        "statics of the belt",
    ))
}

/// Load of a running belt on a pulley's shaft: `sqrt(T1² + T2² − 2·T1·T2·cos wrap)`. At rest, with equal strands, it is
/// [`Drive::shaft_pull`].
///
/// ```
/// use runtrue::{mechanics::belt_tension::hub_load, quantity::{Angle, Force}};
/// let n = Force::from_n;
/// assert!((hub_load(n(300.0), n(400.0), Angle::from_deg(90.0)).n() - 500.0).abs() < 1e-9);
/// assert!((hub_load(n(300.0), n(400.0), Angle::from_deg(180.0)).n() - 700.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn hub_load(tight: Force, slack: Force, wrap: crate::quantity::Angle) -> Force {
    let (a, b) = (tight.n(), slack.n());
    Force::from_n((a * a + b * b - 2.0 * a * b * wrap.rad().cos()).max(0.0).sqrt())
}

/// For the tension reading the span is pressed in by one part in so many.
pub const DEFLECTED: u32 = 64;

/// Deflection for the tension reading: a 64th of the span (ContiTech/Goodyear power transmission manual; the print rounds
/// 1.5625 mm on 100 mm to 1.6).
///
/// ```
/// use runtrue::{mechanics::belt_tension::deflection, quantity::Length};
/// assert_eq!(deflection(Length::from_mm(320.0)).mm(), 5.0);
/// ```
#[must_use]
pub fn deflection(span: Length) -> Length {
    span / f64::from(DEFLECTED)
}

/// Force at mid span for that deflection: `4·T0·δ/span`, so T0/16, the belt taken as a string.
///
/// ```
/// use runtrue::{mechanics::belt_tension::deflection_force, quantity::Force};
/// assert_eq!(deflection_force(Force::from_n(160.0)).n(), 10.0);
/// ```
#[must_use]
pub fn deflection_force(strand: Force) -> Force {
    strand / 16.0
}

/// What a belt gives under tension: the whole belt's EA and its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Modulus times section, all ribs: the force that would double the length.
    pub ea: Force,
    /// Effective length.
    pub length: Length,
}

impl Stretch {
    /// Rise of the tension while the span is deflected by a 64th: `EA·span/(2048·L)`. The belt is taken to slip freely round the
    /// pulleys, so the whole length shares the stretch.
    ///
    /// ```
    /// use runtrue::{mechanics::belt_tension::Stretch, quantity::{Force, Length}};
    /// let belt = Stretch { ea: Force::from_n(20_480.0), length: Length::from_mm(1000.0) };
    /// assert_eq!(belt.rise(Length::from_mm(400.0)).n(), 4.0);
    /// ```
    #[must_use]
    pub fn rise(&self, span: Length) -> Force {
        self.ea * (span / (self.length * 2048.0))
    }

    /// Change of centre distance for a change of strand tension: `ΔT·L/(EA·2·cos γ)`. Positive moves the pulleys apart. Frame
    /// and sled are taken as stiff.
    ///
    /// ```
    /// use runtrue::{mechanics::{belt::Drive, belt_tension::Stretch}, quantity::{Force, Length}};
    /// let mm = Length::from_mm;
    /// let belt = Stretch { ea: Force::from_n(10_000.0), length: mm(1000.0) };
    /// let drive = Drive::from_length(mm(100.0), mm(100.0), mm(1000.0))?;
    /// assert!((belt.centre_for(Force::from_n(100.0), &drive).mm() - 5.0).abs() < 1e-9); // 1 % of 1 m, over two strands
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn centre_for(&self, change: Force, drive: &Drive) -> Length {
        drive.centre_for(self.length * (change / self.ea))
    }

    /// Turns of an adjuster of that lead for a change of strand tension; positive tightens.
    ///
    /// # Errors
    /// [`OutOfRange`] for a lead or an EA that is not above zero.
    ///
    /// ```
    /// use runtrue::{mechanics::{belt::Drive, belt_tension::Stretch}, quantity::{Force, Length}};
    /// let mm = Length::from_mm;
    /// let belt = Stretch { ea: Force::from_n(10_000.0), length: mm(1000.0) };
    /// let drive = Drive::from_length(mm(100.0), mm(100.0), mm(1000.0))?;
    /// let turns = belt.turns(Force::from_n(30.0), &drive, mm(1.5))?; // 1.5 mm of centre on an M10 screw
    /// assert!((turns - 1.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn turns(&self, change: Force, drive: &Drive, lead: Length) -> Result<f64, OutOfRange> {
        above_zero("lead of the adjuster", lead.mm(), "mm", "geometry")?;
        above_zero("spring rate of the belt", self.ea.n(), "N", MAKERS)?;
        Ok(self.centre_for(change, drive) / lead)
    }
}

/// Force at mid span for a deflection of span/64, the belt's stretch counted: `(T0 + EA·span/(2048·L))/16` (the shape of the
/// stiffness term of RMA IP-26, from memory).
///
/// ```
/// use runtrue::{mechanics::belt_tension::{Stretch, deflection_force_stretched}, quantity::{Force, Length}};
/// let belt = Stretch { ea: Force::from_n(20_480.0), length: Length::from_mm(1000.0) };
/// let force = deflection_force_stretched(Force::from_n(156.0), Length::from_mm(400.0), &belt);
/// assert_eq!(force.n(), 10.0);
/// ```
#[must_use]
pub fn deflection_force_stretched(strand: Force, span: Length, stretch: &Stretch) -> Force {
    deflection_force(strand + stretch.rise(span))
}

/// Strand tension that a reading at mid span tells, the belt as a string: `F·span/(4·δ)`. Stretch makes the true one smaller, by
/// [`Stretch::rise`] at δ = span/64.
///
/// # Errors
/// [`OutOfRange`] for a force or deflection not above zero, and for a deflection over a twentieth of the span, where the sine is
/// no longer the slope.
///
/// ```
/// use runtrue::{mechanics::belt_tension::by_deflection, quantity::{Force, Length}};
/// let t = by_deflection(Force::from_n(10.0), Length::from_mm(5.0), Length::from_mm(320.0))?;
/// assert_eq!(t.n(), 160.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn by_deflection(force: Force, deflection: Length, span: Length) -> Result<Force, OutOfRange> {
    above_zero("force at mid span", force.n(), "N", MAKERS)?;
    above_zero("deflection", deflection.mm(), "mm", MAKERS)?;
    if deflection <= span / 20.0 {
        return Ok(force * (span / (deflection * 4.0)));
    }
    Err(OutOfRange::new(
        "deflection",
        format!("{} mm", deflection.mm()),
        format!("it is at most {:.1} mm, a twentieth of the span", span.mm() / 20.0),
        "small angles",
    ))
}

/// Mass per metre of a belt that was weighed: `mass/L`. The surest way: for PK the published figures differ by half.
///
/// # Errors
/// [`OutOfRange`] for a mass or length that is not above zero.
///
/// ```
/// use runtrue::{mechanics::belt_tension::weighed, quantity::{Length, Mass}};
/// let m = weighed(Mass::from_g(96.0), Length::from_mm(868.0))?; // a belt of 5 PK ribs on a balance
/// assert!((m.kg_m() - 0.11).abs() < 0.001);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn weighed(mass: Mass, length: Length) -> Result<LineMass, OutOfRange> {
    above_zero("mass of the belt", mass.g(), "g", "weighing")?;
    above_zero("length of the belt", length.mm(), "mm", "weighing")?;
    Ok(LineMass::from_kg_m(mass.kg() / length.m()))
}

/// Frequency of the plucked span: `f = sqrt(T/(4·m·L²))` (belt makers' manuals: vibrating string).
///
/// # Errors
/// [`OutOfRange`] for a tension, mass or span that is not above zero.
///
/// ```
/// use runtrue::{mechanics::belt_tension::frequency, quantity::{Force, Length, LineMass}};
/// let f = frequency(Force::from_n(160.0), LineMass::from_kg_m(0.1), Length::from_mm(500.0))?;
/// assert_eq!(f.hz(), 40.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn frequency(strand: Force, mass: LineMass, span: Length) -> Result<Frequency, OutOfRange> {
    above_zero("tension", strand.n(), "N", MAKERS)?;
    above_zero("mass of the belt", mass.kg_m(), "kg/m", MAKERS)?;
    above_zero("span", span.mm(), "mm", MAKERS)?;
    Ok(Frequency::from_hz((strand.n() / (4.0 * mass.kg_m() * span.m().powi(2))).sqrt()))
}

/// Strand tension that a frequency tells: `T = 4·m·L²·f²`. The inverse of [`frequency`].
///
/// # Errors
/// [`OutOfRange`] for a frequency, mass or span that is not above zero.
///
/// ```
/// use runtrue::{mechanics::belt_tension::by_frequency, quantity::{Frequency, Length, LineMass}};
/// let t = by_frequency(Frequency::from_hz(40.0), LineMass::from_kg_m(0.1), Length::from_mm(500.0))?;
/// assert!((t.n() - 160.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn by_frequency(heard: Frequency, mass: LineMass, span: Length) -> Result<Force, OutOfRange> {
    above_zero("frequency", heard.hz(), "Hz", MAKERS)?;
    above_zero("mass of the belt", mass.kg_m(), "kg/m", MAKERS)?;
    above_zero("span", span.mm(), "mm", MAKERS)?;
    Ok(Force::from_n(4.0 * mass.kg_m() * span.m().powi(2) * heard.hz().powi(2)))
}

/// Relative uncertainty of a tension by frequency: `sqrt((2·u_f)² + (2·u_L)² + u_m²)`, each a share of its own value.
///
/// # Errors
/// [`OutOfRange`] for a share that is below 0 or no number: an uncertainty has no sign.
///
/// ```
/// use runtrue::mechanics::belt_tension::by_frequency_spread;
/// let u = by_frequency_spread(0.01, 0.005, 0.05)?;
/// assert!((u - 0.055).abs() < 5e-4); // 1 %, 0.5 % and 5 % make 5.5 %
/// assert!(by_frequency_spread(-0.05, 0.005, 0.05).is_err());
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn by_frequency_spread(frequency: f64, span: f64, mass: f64) -> Result<f64, OutOfRange> {
    let share = |what, value| not_negative(what, value, "", "an uncertainty has no sign");
    let doubled = 2.0 * share("uncertainty of the frequency", frequency)?;
    let (of_span, of_mass) = (share("uncertainty of the span", span)?, share("uncertainty of the mass", mass)?);
    Ok(doubled.hypot(2.0 * of_span).hypot(of_mass))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Angle;

    fn drive() -> Drive {
        Drive::from_length(Length::from_mm(80.0), Length::from_mm(250.0), Length::from_mm(1600.0)).unwrap()
    }

    #[test]
    fn reading_and_tension_are_inverse() {
        let (span, mass) = (drive().span(), LineMass::from_kg_m(0.054));
        for n in [1.0, 40.0, 330.0, 2000.0] {
            let t = Force::from_n(n);
            let heard = frequency(t, mass, span).unwrap();
            assert!((by_frequency(heard, mass, span).unwrap() / t - 1.0).abs() < 1e-12);
            let back = by_deflection(deflection_force(t), deflection(span), span).unwrap();
            assert!((back / t - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn the_static_tension_is_just_enough_and_grows_as_the_wrap_shrinks() {
        let still = (LineMass::from_kg_m(0.0), Velocity::from_m_s(5.0));
        let fe = Force::from_n(100.0);
        let t0 = static_tension(&drive(), fe, still.0, still.1);
        let (tight, slack) = strands(t0, fe).unwrap();
        assert!((tight / slack - drive().slip_ratio()).abs() < 1e-9);
        let mut last = t0;
        for centre in [400.0, 300.0, 250.0, 200.0, 170.0] {
            let nearer = Drive::from_centre(drive().small, drive().large, Length::from_mm(centre)).unwrap();
            let now = static_tension(&nearer, fe, still.0, still.1);
            assert!(now > last, "{centre}");
            last = now;
        }
    }

    #[test]
    fn at_rest_the_load_on_the_hub_is_the_pull_of_both_strands() {
        let (d, t) = (drive(), Force::from_n(330.0));
        for wrap in [d.wrap_small(), d.wrap_large()] {
            assert!((hub_load(t, t, wrap) - d.shaft_pull(t)).n().abs() < 1e-9);
        }
        assert_eq!(hub_load(t, t, Angle::from_deg(0.0)).n(), 0.0);
    }

    #[test]
    fn the_stretch_of_a_deflected_span_is_that_of_the_exact_triangle() {
        let (span, length) = (Length::from_mm(400.0), Length::from_mm(1000.0));
        let stretch = Stretch { ea: Force::from_n(50_000.0), length };
        let side = (span.mm() / 2.0).hypot(span.mm() / f64::from(DEFLECTED));
        let exact = stretch.ea.n() * (2.0 * side - span.mm()) / length.mm();
        assert!((stretch.rise(span).n() / exact - 1.0).abs() < 3e-4);
        let d = drive();
        let turns = |n: f64| stretch.turns(Force::from_n(n), &d, Length::from_mm(1.5)).unwrap();
        assert!(turns(20.0) > 0.0 && (turns(20.0) + turns(-20.0)).abs() < 1e-12);
        assert!(stretch.turns(Force::from_n(1.0), &d, Length::from_mm(0.0)).is_err());
    }

    #[test]
    fn nonsense_is_refused_with_its_name() {
        let (n, mm) = (Force::from_n, Length::from_mm);
        assert!(by_deflection(n(10.0), mm(50.0), mm(320.0)).unwrap_err().to_string().contains("16.0 mm"));
        assert!(by_deflection(n(0.0), mm(5.0), mm(320.0)).is_err());
        assert!(frequency(n(10.0), LineMass::from_kg_m(f64::NAN), mm(320.0)).is_err());
        assert!(weighed(Mass::from_g(90.0), mm(0.0)).is_err());
        assert!(pull(Power::from_w(-1.0), Velocity::from_m_s(1.0)).is_err());
        assert!(strands(n(10.0), n(21.0)).is_err());
    }
}
