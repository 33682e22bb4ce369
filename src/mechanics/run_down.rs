//! Running down to rest: time and turns from the drag, and the drag from the run-down.
//!
//! `J·dω/dt = −(T0 + c·ω)`: a constant part (bearings, seals) and one that grows with the speed (grease, air, as far as it
//! may be taken as a straight line). Rigid bodies. A guard that can be opened before the rotor rests needs the longest of the
//! measured times, not the computed one (ISO 14119).

use std::f64::consts::PI;

use crate::quantity::{Inertia, Speed, Time, Torque};

use super::{OutOfRange, above_zero};

const SOURCE: &str = "mechanics of rigid bodies";

/// Drag of bearings, seals and air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drag {
    /// The part that does not depend on speed.
    pub constant: Torque,
    /// What is added for each rad/s, N·m·s; zero where only one torque is known.
    pub by_speed: f64,
}

impl Drag {
    /// The same at every speed.
    ///
    /// ```
    /// use runtrue::{mechanics::run_down::Drag, quantity::Torque};
    /// assert_eq!(Drag::constant(Torque::from_nm(0.2)).by_speed, 0.0);
    /// ```
    #[must_use]
    pub fn constant(torque: Torque) -> Self {
        Self { constant: torque, by_speed: 0.0 }
    }
}

/// How a rotor comes to rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Time to rest.
    pub time: Time,
    /// Turns to rest.
    pub turns: f64,
}

/// Time and turns to rest. Constant drag: `t = J·ω/T`, `turns = J·ω²/(2·T)/2π`; with a part that grows with the speed
/// `t = J/c·ln(1 + c·ω/T0)`, `turns = J/c·(ω − T0/c·ln(1 + c·ω/T0))/2π`.
///
/// # Errors
/// [`OutOfRange`] unless inertia, speed and the constant drag are above zero and the other part is not below: with drag by
/// speed alone it would never rest.
///
/// ```
/// use runtrue::{mechanics::run_down::{stop, Drag}, quantity::{Inertia, Speed, Torque}};
/// // 5 kg·m² at 60 rad/s and 1 N·m rest after 300 s (Verma, Concepts of Physics: a flywheel).
/// let s = stop(Inertia::from_kgm2(5.0), Speed::from_rpm(1800.0 / std::f64::consts::PI), Drag::constant(Torque::from_nm(1.0)))?;
/// assert!((s.time.s() - 300.0).abs() < 1e-9 && (s.turns - 1432.4).abs() < 0.05);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn stop(inertia: Inertia, speed: Speed, drag: Drag) -> Result<Stop, OutOfRange> {
    let (j, w, t0, c) = (inertia.kgm2(), speed.rad_s(), drag.constant.nm(), drag.by_speed);
    above_zero("inertia", j, "kg·m²", SOURCE)?;
    above_zero("speed", speed.rpm(), "rpm", SOURCE)?;
    above_zero("constant drag", t0, "N·m", SOURCE)?;
    if !(c >= 0.0 && c.is_finite()) {
        return Err(OutOfRange::new("drag by speed", format!("{c} N·m·s"), "it is not below 0", SOURCE));
    }
    // Below this the logarithm loses more than the straight line does.
    if c * w < 1e-6 * t0 {
        return Ok(Stop { time: Time::from_s(j * w / t0), turns: j * w * w / (2.0 * t0) / (2.0 * PI) });
    }
    let log = (c * w / t0).ln_1p();
    Ok(Stop { time: Time::from_s(j / c * log), turns: j / c * (w - t0 / c * log) / (2.0 * PI) })
}

/// Mean drag between two readings of the speed while the rotor runs free: `T = J·(ω1 − ω2)/t`.
///
/// # Errors
/// [`OutOfRange`] unless inertia and time are above zero and the second speed is lower than the first and not below zero.
///
/// ```
/// use runtrue::{mechanics::run_down::drag, quantity::{Inertia, Speed, Time}};
/// // 80 kg·m² from 9000 to 5500 rpm in 7.5 s: 48.869 rad/s² printed, so 3909.5 N·m.
/// let t = drag(Inertia::from_kgm2(80.0), Speed::from_rpm(9000.0), Speed::from_rpm(5500.0), Time::from_s(7.5))?;
/// assert!((t.nm() - 3909.5).abs() < 0.1);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn drag(inertia: Inertia, from: Speed, to: Speed, time: Time) -> Result<Torque, OutOfRange> {
    above_zero("inertia", inertia.kgm2(), "kg·m²", SOURCE)?;
    above_zero("time between the readings", time.s(), "s", SOURCE)?;
    if !(to.rpm() >= 0.0 && from > to) {
        return Err(OutOfRange::new(
            "second speed",
            format!("{} rpm", to.rpm()),
            format!("it lies from 0 to below the first of {} rpm", from.rpm()),
            SOURCE,
        ));
    }
    Ok(Torque::from_nm(inertia.kgm2() * (from - to).rad_s() / time.s()))
}

/// Both parts of the drag from three speeds at even intervals. Between them the speed above `−T0/c` falls by one and the same
/// share `q = (ω1 − ω2)/(ω0 − ω1)`, so `c = −J·ln q/Δt` and `T0 = c·(ω1 − q·ω0)/(q − 1)`, the inverse of [`stop`].
///
/// # Errors
/// [`OutOfRange`] unless the speeds fall, not below zero, and each interval loses at most as much as the one before: drag that
/// rises while the rotor slows is a rub or a brake, not this law.
///
/// ```
/// use runtrue::{mechanics::run_down::drag_parts, quantity::{Inertia, Speed, Time}};
/// let rpm = Speed::from_rpm;
/// let d = drag_parts(Inertia::from_kgm2(1.0), [rpm(300.0), rpm(200.0), rpm(120.0)], Time::from_s(10.0))?;
/// assert!((d.by_speed - 0.022_314).abs() < 1e-6); // −ln 0.8 / 10
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn drag_parts(inertia: Inertia, speeds: [Speed; 3], interval: Time) -> Result<Drag, OutOfRange> {
    let first = drag(inertia, speeds[0], speeds[1], interval)?;
    let second = drag(inertia, speeds[1], speeds[2], interval)?;
    let q = second / first;
    if q > 1.0 {
        return Err(OutOfRange::new(
            "drag of the slower interval",
            format!("{:.4} N·m", second.nm()),
            format!("it is at most that of the faster, {:.4} N·m; look for a rub, or measure again", first.nm()),
            SOURCE,
        ));
    }
    if q > 1.0 - 1e-9 {
        return Ok(Drag::constant(first));
    }
    let c = -inertia.kgm2() * q.ln() / interval.s();
    let constant = c * (speeds[1].rad_s() - q * speeds[0].rad_s()) / (q - 1.0);
    if constant < 0.0 {
        return Err(OutOfRange::new(
            "constant drag",
            format!("{constant:.4} N·m"),
            "it is not below 0; the readings do not follow this law, take them further apart",
            SOURCE,
        ));
    }
    Ok(Drag { constant: Torque::from_nm(constant), by_speed: c })
}

/// Both parts of the drag from two run-downs to rest from different speeds, each a speed and a time. With `k = c/T0` the times are as
/// `ln(1 + k·ω1)` to `ln(1 + k·ω2)`, so their share tells `k`, and `c = J·ln(1 + k·ω1)/t1`, `T0 = c/k`: the inverse of [`stop`].
///
/// # Errors
/// [`OutOfRange`] unless the first speed is the higher, speeds and times are above zero, and the times stand to each other as this
/// law can have them: at most as the speeds (drag that grows with the speed), and the longer one from the higher speed.
///
/// ```
/// use runtrue::{mechanics::run_down::{drag_of_two, stop, Drag}, quantity::{Inertia, Speed, Torque}};
/// let (j, drag) = (Inertia::from_kgm2(0.65), Drag { constant: Torque::from_nm(0.1), by_speed: 0.01 });
/// let of = |rpm: f64| Ok::<_, runtrue::mechanics::OutOfRange>((Speed::from_rpm(rpm), stop(j, Speed::from_rpm(rpm), drag)?.time));
/// let found = drag_of_two(j, of(105.0)?, of(50.0)?)?;
/// assert!((found.constant.nm() - 0.1).abs() < 1e-9 && (found.by_speed - 0.01).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn drag_of_two(inertia: Inertia, high: (Speed, Time), low: (Speed, Time)) -> Result<Drag, OutOfRange> {
    let plain = drag(inertia, high.0, Speed::from_rpm(0.0), high.1)?;
    drag(inertia, low.0, Speed::from_rpm(0.0), low.1)?;
    let (w1, w2) = (high.0.rad_s(), low.0.rad_s());
    if w1 <= w2 {
        let range = format!("it is above the second, {} rpm", low.0.rpm());
        return Err(OutOfRange::new("first speed", format!("{} rpm", high.0.rpm()), range, SOURCE));
    }
    let (share, most) = (high.1 / low.1, w1 / w2);
    // So near to the share of the speeds the part by speed cannot be told from none.
    if (share / most - 1.0).abs() < 1e-9 {
        return Ok(Drag::constant(plain));
    }
    if !(share > 1.0 && share < most) {
        return Err(OutOfRange::new(
            "share of the two run-down times",
            format!("{share:.4}"),
            format!(
                "it lies over 1 and at most at {most:.4}, the share of the speeds; look for a rub, or measure again"
            ),
            SOURCE,
        ));
    }
    // The share falls steadily from that of the speeds at k = 0 towards 1; k is found on a scale of powers.
    let of = |k: f64| (k * w1).ln_1p() / (k * w2).ln_1p();
    let (mut low_k, mut high_k) = (1e-12_f64, 1e12_f64);
    if share <= of(high_k) || share >= of(low_k) {
        let range = "a constant part and one by speed that can be told apart";
        return Err(OutOfRange::new("share of the two run-down times", format!("{share:.6}"), range, SOURCE));
    }
    for _ in 0..200 {
        let middle = (low_k * high_k).sqrt();
        if of(middle) > share {
            low_k = middle;
        } else {
            high_k = middle;
        }
    }
    let k = (low_k * high_k).sqrt();
    let c = inertia.kgm2() * (k * w1).ln_1p() / high.1.s();
    Ok(Drag { constant: Torque::from_nm(c / k), by_speed: c })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Speed after a time, by the closed form of the law.
    fn after(j: f64, w: f64, drag: Drag, t: f64) -> f64 {
        let (t0, c) = (drag.constant.nm(), drag.by_speed);
        (w + t0 / c) * (-c * t / j).exp() - t0 / c
    }

    #[test]
    fn the_drag_comes_back_from_the_run_down_it_makes() {
        let rad = |w: f64| Speed::from_rpm(w * 30.0 / PI);
        for (t0, c) in [(0.05, 0.001), (0.3, 0.01), (1.0, 0.0005)] {
            let drag = Drag { constant: Torque::from_nm(t0), by_speed: c };
            let speeds = [0.0, 4.0, 8.0].map(|t| rad(after(2.0, 40.0, drag, t)));
            let found = drag_parts(Inertia::from_kgm2(2.0), speeds, Time::from_s(4.0)).unwrap();
            assert!((found.constant.nm() - t0).abs() < 1e-6 * t0, "{found:?}");
            assert!((found.by_speed - c).abs() < 1e-6 * c, "{found:?}");
            // At the time of rest the closed form is at zero.
            let rest = stop(Inertia::from_kgm2(2.0), rad(40.0), drag).unwrap();
            assert!(after(2.0, 40.0, drag, rest.time.s()).abs() < 1e-9);
        }
    }

    #[test]
    fn a_little_drag_by_speed_changes_little_and_more_stops_sooner() {
        let stop = |c: f64| {
            let drag = Drag { constant: Torque::from_nm(0.2), by_speed: c };
            stop(Inertia::from_kgm2(1.0), Speed::from_rpm(300.0), drag).unwrap()
        };
        let (plain, tiny, more) = (stop(0.0), stop(1e-8), stop(1e-3));
        assert!((tiny.time.s() / plain.time.s() - 1.0).abs() < 1e-5);
        assert!(more.time < plain.time && more.turns < plain.turns);
    }

    #[test]
    fn two_run_downs_give_the_drag_back_and_what_this_law_cannot_do_is_refused() {
        let (j, rpm, s) = (Inertia::from_kgm2(0.65), Speed::from_rpm, Time::from_s);
        for (t0, c) in [(0.05, 0.001), (0.3, 0.01), (1.0, 0.0005), (0.02, 0.05)] {
            let drag = Drag { constant: Torque::from_nm(t0), by_speed: c };
            let of = |n: f64| (rpm(n), stop(j, rpm(n), drag).unwrap().time);
            let found = drag_of_two(j, of(300.0), of(120.0)).unwrap();
            assert!((found.constant.nm() / t0 - 1.0).abs() < 1e-6, "{found:?}");
            assert!((found.by_speed / c - 1.0).abs() < 1e-6, "{found:?}");
        }
        // Times as the speeds: no part by speed.
        let plain = drag_of_two(j, (rpm(200.0), s(40.0)), (rpm(100.0), s(20.0))).unwrap();
        assert_eq!(plain.by_speed, 0.0);
        // Slower from the lower speed, longer than the speeds allow, the same speed, a time of nothing.
        for (a, b) in [(19.0, 20.0), (41.0, 20.0), (0.0, 20.0)] {
            assert!(drag_of_two(j, (rpm(200.0), s(a)), (rpm(100.0), s(b))).is_err(), "{a} {b}");
        }
        assert!(drag_of_two(j, (rpm(100.0), s(30.0)), (rpm(100.0), s(20.0))).is_err());
    }

    #[test]
    fn what_cannot_run_down_is_refused() {
        let (j, n) = (Inertia::from_kgm2(1.0), Speed::from_rpm(300.0));
        assert!(stop(j, n, Drag::constant(Torque::from_nm(0.0))).is_err());
        assert!(stop(j, Speed::from_rpm(f64::NAN), Drag::constant(Torque::from_nm(1.0))).is_err());
        assert!(drag(j, n, n, Time::from_s(1.0)).is_err());
        let rub = [300.0, 250.0, 150.0].map(Speed::from_rpm);
        assert!(drag_parts(j, rub, Time::from_s(5.0)).unwrap_err().to_string().contains("rub"));
        let no_friction = [300.0, 100.0, 40.0].map(Speed::from_rpm);
        assert!(drag_parts(j, no_friction, Time::from_s(5.0)).is_err());
    }
}
