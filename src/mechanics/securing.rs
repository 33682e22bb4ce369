//! What securing a nut does to its torque: prevailing torque nuts and anaerobic lockers.

use crate::quantity::{Force, Torque};
use crate::standards::NotInTable;
use crate::standards::bolting;
use crate::standards::threads::Thread;

use super::{OutOfRange, fastener};

/// Torque to set for a prevailing torque nut: that of the preload and what the nut takes by itself.
///
/// The prevailing torque is measured on the nut running down, just before it touches. Where it was not measured, between
/// none and the most of ISO 2320 ([`with_prevailing_range`]).
///
/// # Errors
/// [`OutOfRange`] for a prevailing torque below 0.
///
/// ```
/// use runtrue::{mechanics::securing::with_prevailing, quantity::Torque};
/// assert_eq!(with_prevailing(Torque::from_nm(17.0), Torque::from_nm(3.5))?.nm(), 20.5);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn with_prevailing(seating: Torque, prevailing: Torque) -> Result<Torque, OutOfRange> {
    if prevailing.nm() >= 0.0 && prevailing.nm().is_finite() {
        return Ok(seating + prevailing);
    }
    let value = format!("{} N·m", prevailing.nm());
    Err(OutOfRange::new("prevailing torque", value, "it is at least 0", "ISO 2320"))
}

/// Torque to set for a new prevailing torque nut that was not measured: with the least on the first way off, and with the
/// most on the way on (ISO 2320, classes 5 to 8). A wide band: measure the nut.
///
/// # Errors
/// [`NotInTable`] for a thread ISO 2320 has no coarse nut for.
///
/// ```
/// use runtrue::{mechanics::securing::with_prevailing_range, quantity::Torque};
/// let (low, high) = with_prevailing_range("M8", Torque::from_nm(17.0))?;
/// assert_eq!((low.nm(), high.nm()), (17.85, 23.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn with_prevailing_range(size: &str, seating: Torque) -> Result<(Torque, Torque), NotInTable> {
    let nut = bolting::prevailing(size)?;
    Ok((seating + nut.first_off, seating + nut.on))
}

/// True if a prevailing torque nut may be used again: on the way off it still takes at least the fifth-time value.
///
/// # Errors
/// [`NotInTable`] for a thread ISO 2320 has no coarse nut for.
///
/// ```
/// use runtrue::{mechanics::securing::nut_still_holds, quantity::Torque};
/// assert!(nut_still_holds("M8", Torque::from_nm(0.6))? && !nut_still_holds("M8", Torque::from_nm(0.5))?);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn nut_still_holds(size: &str, off: Torque) -> Result<bool, NotInTable> {
    Ok(off >= bolting::prevailing(size)?.fifth_off)
}

/// Torque for a preload with a wet anaerobic locker in the thread, at the low and the high friction of its class; the head
/// stays as it was. The low one is the one to set, so that the preload is never passed.
///
/// # Errors
/// [`OutOfRange`] for friction of the head outside 0.04 to 0.40.
///
/// ```
/// use runtrue::{mechanics::{fastener::torque, securing::with_locker}, quantity::Force, standards::threads::thread};
/// let (m8, f) = (thread("M8")?, Force::from_kn(12.74));
/// let (low, high) = with_locker(m8, f, 0.12)?;
/// let before = torque(m8, f, 0.12, 0.12)?;
/// assert!(low > before && (high / before - 1.38).abs() < 0.005); // 0.578·7.188·0.12 more on 1.3163 mm
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn with_locker(thread: &Thread, preload: Force, mu_head: f64) -> Result<(Torque, Torque), OutOfRange> {
    let wet = bolting::locker_friction()
        .map_err(|e| OutOfRange::new("friction of a locker", e.what, e.range, "VDI 2230-1 friction classes"))?;
    let at = |mu: f64| fastener::torque(thread, preload, mu, mu_head);
    Ok((at(wet.low)?, at(wet.high)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::threads::thread;

    #[test]
    fn a_locker_always_asks_for_more_torque_than_an_oiled_thread() {
        for size in ["M5", "M8", "M12x1.25", "M24"] {
            let t = thread(size).unwrap();
            let (low, high) = with_locker(t, Force::from_kn(10.0), 0.12).unwrap();
            let oiled = fastener::torque(t, Force::from_kn(10.0), 0.12, 0.12).unwrap();
            assert!(oiled < low && low < high, "{size}");
        }
        assert!(with_locker(thread("M8").unwrap(), Force::from_kn(10.0), 0.5).is_err());
    }

    #[test]
    fn what_is_no_torque_or_no_nut_is_refused() {
        assert!(with_prevailing(Torque::from_nm(10.0), Torque::from_nm(-1.0)).is_err());
        assert!(with_prevailing(Torque::from_nm(10.0), Torque::from_nm(f64::NAN)).is_err());
        assert!(with_prevailing_range("M8x1", Torque::from_nm(10.0)).unwrap_err().to_string().contains("ISO 2320"));
        assert!(nut_still_holds("M30", Torque::from_nm(10.0)).is_err());
    }
}
