//! `as-predicted`: what a correction should have left against what was found after it.
//!
//! Readings: those that told what was missing before (`before` of them), those that tell it now (`now` of them), both in the order of
//! the method's own computation; then the mass of one washer and the washers fitted at each hole, or the holes drilled (number, depth,
//! angle of the first, angle between) and the depth that was drilled. With, beside what the method takes: `method`, `mass`, `angle` and
//! `hides` (what it calls them), `put` (`washers` or `drilling`), `hole-angles`. Gives the distance of both, g·mm, and judges it by a
//! doubt.

use crate::mechanics::balance::{Compared, Fits, Vector, as_predicted, drilled_mass_g};

use super::{Compute, Found, Given, at_rest, no_phase, one_plane, two_planes};

/// See the head of the file.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let count = |key: &str| given.figure(key).map(|n| n as usize);
    let (before, now) = (count("before")?, count("now")?);
    let (first, then) = (0..before, before..before + now);
    let compute = method(given)?;
    let ask = |inputs: &std::ops::Range<usize>, give: &str| given.asked(inputs.clone(), &[("give", give)], compute);
    let radius = given.figure("radius")?;
    let (mass, angle) = (given.word("mass")?, given.word("angle")?);
    let missing = |inputs: &std::ops::Range<usize>| -> Result<Vector, String> {
        Ok(Vector::polar(ask(inputs, mass)? * radius, ask(inputs, angle)?))
    };
    let put = put_on(given, before + now)?;
    let needed = missing(&first)?;
    let floor = ask(&then, given.word("hides")?)?;
    if given.word("method")? == "no-phase" {
        let found = ask(&then, "residual")?;
        return Ok(told_by_size(needed, &put, found, floor));
    }
    let found = missing(&then)?;
    let compared = as_predicted(needed, &put, found, floor, &turns(given)?);
    Ok(told(given, &compared, found))
}

/// The computation of the method of balancing.
pub(super) fn method(given: &Given<'_>) -> Result<Compute, String> {
    match given.word("method")? {
        "weigh" => Ok(at_rest::weighed),
        "at-rest" => Ok(at_rest::at_rest),
        "one-plane" => Ok(one_plane::of),
        "no-phase" => Ok(no_phase::of),
        "two-planes" => Ok(two_planes::of),
        other => Err(format!("{other} is no method of balancing")),
    }
}

/// What was put on, g·mm at its angle; a hole drilled counts on the other side.
fn put_on(given: &Given<'_>, from: usize) -> Result<Vec<Vector>, String> {
    let radius = given.figure("radius")?;
    if given.word("put")? == "washers" {
        let (one, fitted, angles) = (given.value(from)?, given.values(from + 1)?, given.figures("hole-angles")?);
        return Ok(fitted.iter().zip(angles).map(|(n, at)| Vector::polar(n * one * radius, at)).collect());
    }
    let (holes, depth) = (given.values(from)?, given.value(from + 1)?);
    let [number, _, first, apart] = holes else {
        return Err(format!("{} are not number, depth, first and apart", given.name(from)));
    };
    if *number == 0.0 || depth == 0.0 {
        return Ok(Vec::new());
    }
    let figure = |key: &str| given.figure(key);
    let each = drilled_mass_g(depth, figure("diameter")?, figure("density")?, Some(figure("point")?))
        .map_err(|e| e.to_string())?;
    let on = figure("on")? / 2.0;
    Ok((0..*number as u32).map(|k| Vector::polar(each * on, first + apart * f64::from(k)).opposite()).collect())
}

/// By how much weights may stand wrong: from hole to hole, or on the other side.
fn turns(given: &Given<'_>) -> Result<Vec<f64>, String> {
    if given.word("put")? != "washers" {
        return Ok(vec![180.0]);
    }
    Ok(given.figures("hole-angles")?.into_iter().skip(1).collect())
}

fn told(given: &Given<'_>, c: &Compared, found: Vector) -> Found {
    let compared = format!(
        "{:.0} g·mm at {:.0}° were to be missing after what was put on, {:.0} at {:.0}° are: {:.0} apart, {:.0} are left open by the floor of the method and a fifth of the correction",
        c.predicted.magnitude(),
        c.predicted.degrees(),
        found.magnitude(),
        found.degrees(),
        c.apart,
        c.within
    );
    let washers = given.word("put").is_ok_and(|put| put == "washers");
    let holes = given.figures("hole-angles").map_or(1, |h| h.len().max(1)) as f64;
    let look = match c.fits {
        Fits::Predicted => return Found::one(c.apart, format!("as predicted: {compared}")),
        Fits::Hidden => {
            return Found::one(c.apart, format!("undecided, the correction is less than the floor shows: {compared}"));
        }
        Fits::Turned(degrees) if washers => {
            let on = (degrees / 360.0 * holes).round();
            let (n, way) = if on * 2.0 > holes { (holes - on, "back") } else { (on, "on") };
            format!("it fits washers {n} {} further {way} than entered", if n == 1.0 { "hole" } else { "holes" })
        }
        Fits::Turned(_) => "it fits holes drilled on the light side".into(),
        Fits::OtherWay => "it fits angles counted the other way round".into(),
        Fits::NotThere if washers => "it fits washers that are not on".into(),
        Fits::NotThere => "it fits holes that were not drilled".into(),
        Fits::Nothing => "look at the weights, at loose parts, at speed and sensors".into(),
    };
    let doubt = format!(
        "{:.0} g·mm at {:.0}° were to be missing, {:.0} at {:.0}° are, {:.0} are left open; {look}",
        c.predicted.magnitude(),
        c.predicted.degrees(),
        found.magnitude(),
        found.degrees(),
        c.within
    );
    Found { doubt: Some(doubt), ..Found::one(c.apart, format!("not as predicted: {compared}; {look}")) }
}

/// Amplitudes alone tell how much is missing and not where: only the sizes are held against each other.
fn told_by_size(needed: Vector, put: &[Vector], found: f64, floor: f64) -> Found {
    let zero = Vector::polar(0.0, 0.0);
    let c = as_predicted(needed, put, zero, floor, &[]);
    let predicted = c.predicted.magnitude();
    let apart = (found - predicted).abs();
    let compared = format!(
        "{predicted:.0} g·mm were to be missing after what was put on, {found:.0} are: {apart:.0} apart, {:.0} are left open by the floor of the method and a fifth of the correction",
        c.within
    );
    match c.fits {
        Fits::Hidden => {
            Found::one(apart, format!("undecided, the correction is less than the floor shows: {compared}"))
        }
        _ if apart <= c.within => Found::one(apart, format!("as predicted: {compared}")),
        _ => {
            let look = "look at the holes of the weights, at loose parts, at speed and sensors";
            let doubt = format!(
                "{predicted:.0} g·mm were to be missing, {found:.0} are, {:.0} are left open; {look}",
                c.within
            );
            Found { doubt: Some(doubt), ..Found::one(apart, format!("not as predicted: {compared}; {look}")) }
        }
    }
}
