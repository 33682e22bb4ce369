//! `run-down`: drag from speed and time to rest, and whether it is what was expected.
//!
//! Readings: speed (rpm), time to rest (s). With: `scale` (J·π/30, so that `scale`·rpm/s is N·m), `least` and `most` drag expected, N·m.
//! Drag outside them is a doubt, never an outcome: what is expected of seals and belt is an estimate. Drag within what tachometer and
//! stop watch leave open of an end is undecided.

use super::{Found, Given};

/// What a tachometer and a hand on a stop watch leave open: rpm and s (common practice).
const OPEN: (f64, f64) = (1.0, 0.5);

/// See the head of the file.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let (speed, time, scale) = (given.value(0)?, given.value(1)?, given.figure("scale")?);
    if time == 0.0 {
        return Err(format!("{} is nought", given.name(1)));
    }
    let (words, doubt) = judged(speed, time, scale * speed / time, (given.figure("least")?, given.figure("most")?));
    Ok(Found { doubt, ..Found::one(scale * speed / time, format!("{scale} × {speed} / {time}; {words}")) })
}

/// Words on a drag against what is expected, and the doubt where it is neither within nor too near to tell.
pub(in crate::traveler) fn judged(
    speed: f64,
    time: f64,
    drag: f64,
    (least, most): (f64, f64),
) -> (String, Option<String>) {
    let open = (OPEN.0 / speed).hypot(OPEN.1 / time);
    let expected = format!("{least:.2} to {most:.2} N·m expected");
    let near = |end: f64| (drag - end).abs() <= drag * open;
    if near(least) || near(most) {
        let words = format!("{expected}, undecided: tachometer and stop watch leave {:.0} % open", open * 100.0);
        return (words, None);
    }
    if drag > most {
        let why = format!(
            "a drag of {drag:.2} N·m from {speed} rpm in {time} s, {expected} at most: look for what rubs, a belt that still drives, a bearing too tight; or the time was read too short"
        );
        return (format!("{expected}, more than that"), Some(why));
    }
    if drag < least {
        let why = format!(
            "a drag of {drag:.2} N·m from {speed} rpm in {time} s, {expected} at least: look at time and speed; the drive may have helped, or seals drag less than estimated"
        );
        return (format!("{expected}, less than that"), Some(why));
    }
    (format!("{expected}, as expected"), None)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// J = 0.654 kg·m²: a scale of 0.0685. From 104 rpm, 0.1 to 0.5 N·m expected: 71 s to 14 s.
    #[test]
    fn a_run_down_is_as_expected_doubted_or_too_near_to_tell() {
        let told = |time: f64| judged(104.0, time, 0.0685 * 104.0 / time, (0.1, 0.5));
        let (words, doubt) = told(30.0);
        assert!(words.contains("as expected") && doubt.is_none(), "{words}");
        // 0.89 N·m in 8 s.
        assert!(told(8.0).1.is_some_and(|d| d.contains("0.89 N·m") && d.contains("rubs")));
        assert!(told(120.0).1.is_some_and(|d| d.contains("0.06 N·m") && d.contains("at least")));
        // Half a second of 14 s is 3.6 %, one of 104 rpm 1 %: within 3.7 % of an end nothing is decided.
        let (words, doubt) = told(14.0);
        assert!(words.contains("undecided") && doubt.is_none(), "{words}");
    }
}
