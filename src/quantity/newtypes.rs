//! Quantities for reckoning: one type a kind, so that a torque is never added to a force.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::amount::{Amount, QuantityError};
use super::unit::Kind;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $base:literal: $from:ident / $get:ident $(, $kind:expr)? $(; $($unit:literal $scale:literal $ufrom:ident / $uget:ident),+)?) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("From a value in ", $base, ".\n\n```\nuse runtrue::quantity::", stringify!($name), ";\nassert_eq!(",
                stringify!($name), "::", stringify!($from), "(2.5).", stringify!($get), "(), 2.5);\n```")]
            #[must_use]
            pub const fn $from(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("Value in ", $base, ".")]
            #[must_use]
            pub const fn $get(self) -> f64 {
                self.0
            }

            $($(
                #[doc = concat!("From a value in ", $unit, ".\n\n```\nuse runtrue::quantity::", stringify!($name), ";\nassert_eq!(",
                    stringify!($name), "::", stringify!($ufrom), "(2.0).", stringify!($get), "(), ", $scale, " * 2.0);\n```")]
                #[must_use]
                pub const fn $ufrom(value: f64) -> Self {
                    Self(value * $scale)
                }

                #[doc = concat!("Value in ", $unit, ".")]
                #[must_use]
                pub const fn $uget(self) -> f64 {
                    self.0 / $scale
                }
            )+)?
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self(0.0), Add::add)
            }
        }

        $(impl TryFrom<&Amount> for $name {
            type Error = QuantityError;
            fn try_from(amount: &Amount) -> Result<Self, QuantityError> {
                if amount.unit.kind == $kind {
                    return Ok(Self(amount.as_f64()));
                }
                // The same words as a text of another kind gets.
                Amount::parse_as(&amount.written, $kind).map(|a| Self(a.as_f64()))
            }
        })?
    };
}

quantity!(/// A length.
    Length, "mm": from_mm / mm, Kind::Length; "m" 1000.0 from_m / m);
quantity!(/// A force.
    Force, "N": from_n / n, Kind::Force; "kN" 1000.0 from_kn / kn);
quantity!(/// A torque.
    Torque, "N·m": from_nm / nm, Kind::Torque);
quantity!(/// A stress or pressure.
    Stress, "MPa": from_mpa / mpa, Kind::Stress; "GPa" 1000.0 from_gpa / gpa);
quantity!(/// A mass.
    Mass, "kg": from_kg / kg, Kind::Mass; "g" 0.001 from_g / g);
quantity!(/// A speed of rotation.
    Speed, "rpm": from_rpm / rpm, Kind::Speed);
quantity!(/// A plane angle.
    Angle, "degrees": from_deg / deg, Kind::Angle);
quantity!(/// A temperature.
    Temperature, "°C": from_c / c, Kind::Temperature);
quantity!(/// An energy.
    Energy, "J": from_j / j, Kind::Energy);
quantity!(/// A time.
    Time, "s": from_s / s, Kind::Time; "h" 3600.0 from_h / h);
quantity!(/// A stiffness.
    Stiffness, "N/m": from_n_per_m / n_per_m, Kind::Stiffness);
quantity!(/// A moment of inertia.
    Inertia, "kg·m²": from_kgm2 / kgm2, Kind::Inertia);
quantity!(/// An unbalance.
    Unbalance, "g·mm": from_gmm / gmm, Kind::Unbalance);
quantity!(/// A density.
    Density, "kg/m³": from_kg_m3 / kg_m3, Kind::Density);
quantity!(/// A frequency.
    Frequency, "Hz": from_hz / hz, Kind::Frequency);
quantity!(/// A power.
    Power, "W": from_w / w, Kind::Power; "kW" 1000.0 from_kw / kw);
quantity!(/// A velocity along a line.
    Velocity, "m/s": from_m_s / m_s, Kind::Velocity);
quantity!(/// Mass of a belt per length.
    LineMass, "kg/m": from_kg_m / kg_m);

impl Speed {
    /// Angular velocity `n·π/30` in rad/s.
    ///
    /// ```
    /// let omega = runtrue::quantity::Speed::from_rpm(300.0).rad_s();
    /// assert!((omega - 31.416).abs() < 0.001);
    /// ```
    #[must_use]
    pub fn rad_s(self) -> f64 {
        self.0 * std::f64::consts::PI / 30.0
    }
}

impl Angle {
    /// Value in radians.
    ///
    /// ```
    /// assert!((runtrue::quantity::Angle::from_deg(180.0).rad() - 3.14159).abs() < 1e-5);
    /// ```
    #[must_use]
    pub const fn rad(self) -> f64 {
        self.0.to_radians()
    }
}

/// Force times arm.
impl Mul<Length> for Force {
    type Output = Torque;
    fn mul(self, arm: Length) -> Torque {
        Torque::from_nm(self.n() * arm.m())
    }
}

/// Force times velocity.
impl Mul<Velocity> for Force {
    type Output = Power;
    fn mul(self, velocity: Velocity) -> Power {
        Power::from_w(self.n() * velocity.m_s())
    }
}

/// Velocity of a point on a circle that turns.
impl Mul<Length> for Speed {
    type Output = Velocity;
    fn mul(self, radius: Length) -> Velocity {
        Velocity::from_m_s(self.rad_s() * radius.m())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arithmetic_keeps_the_kind() {
        assert_eq!((Force::from_kn(2.0) * Length::from_mm(50.0)).nm(), 100.0);
        assert_eq!(Length::from_m(0.5).mm(), 500.0);
        assert_eq!(Length::from_mm(30.0) / Length::from_mm(12.0), 2.5);
        assert_eq!((Force::from_n(250.0) * Velocity::from_m_s(4.0)).kw(), 1.0);
    }

    #[test]
    fn another_kind_is_refused() {
        let mass = Amount::parse_as("3 kg", Kind::Mass).unwrap();
        assert!(Length::try_from(&mass).is_err());
        assert_eq!(Mass::try_from(&mass).unwrap().g(), 3000.0);
    }
}
