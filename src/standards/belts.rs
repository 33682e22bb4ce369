//! V-ribbed belts: profiles, allowances, stock lengths, alignment.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Angle, Length};

use super::ribs::{ForceRow, Groove, Make, Quality, Ratio};
use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
pub(super) struct Table {
    source: String,
    profiles: Vec<Row>,
    allowance_source: String,
    allowance: Vec<Allowance>,
    alignment_source: String,
    alignment_deg: f64,
    pub(super) groove_source: String,
    pub(super) groove_angle_deg: f64,
    pub(super) grooves: Vec<Groove>,
    pub(super) makes: Vec<Make>,
    pub(super) force_source: String,
    pub(super) force: Vec<ForceRow>,
    pub(super) ratio: Ratio,
    pub(super) quality: Quality,
    stock: BTreeMap<String, Vec<f64>>,
}

#[derive(Debug, Deserialize)]
struct Row {
    profile: String,
    pitch: f64,
    smallest: f64,
    ball: f64,
    two_x: f64,
}

#[derive(Debug, Deserialize)]
struct Allowance {
    up_to: f64,
    #[serde(rename = "PJ")]
    pj: Option<f64>,
    #[serde(rename = "PL")]
    pl: Option<f64>,
    #[serde(rename = "PM")]
    pm: Option<f64>,
    take_up: f64,
}

pub(super) static TABLE: LazyLock<Table> = LazyLock::new(|| table("belts.yaml", include_str!("data/belts.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// A rib profile of ISO 9982.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Profile {
    /// Pitch of the ribs.
    pub pitch: Length,
    /// Smallest effective diameter.
    pub smallest: Length,
    /// Diameter of the checking balls.
    pub ball: Length,
    /// Size over balls less effective diameter.
    pub two_x: Length,
}

/// The profile of that name.
///
/// # Errors
/// [`NotInTable`] for others than PH, PJ, PK, PL, PM.
///
/// ```
/// let pk = runtrue::standards::belts::profile("PK")?;
/// assert_eq!((pk.pitch.mm(), pk.ball.mm(), pk.two_x.mm()), (3.56, 2.5, 0.99)); // ISO 9982:2021, table 2
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn profile(name: &str) -> Result<Profile, NotInTable> {
    let row = TABLE.profiles.iter().find(|r| r.profile == name);
    row.map(|r| Profile {
        pitch: Length::from_mm(r.pitch),
        smallest: Length::from_mm(r.smallest),
        ball: Length::from_mm(r.ball),
        two_x: Length::from_mm(r.two_x),
    })
    .ok_or_else(|| NotInTable::new(format!("belt profile \"{name}\""), "PH, PJ, PK, PL, PM", &TABLE.source))
}

/// The profile, for a pulley of that effective diameter.
///
/// # Errors
/// [`NotInTable`] for an unknown profile, and for a diameter under the least of the profile.
///
/// ```
/// use runtrue::{quantity::Length, standards::belts::pulley};
/// assert!(pulley("PJ", Length::from_mm(20.0)).is_ok());
/// assert!(pulley("PJ", Length::from_mm(19.0)).is_err_and(|e| e.to_string().contains("at least 20 mm")));
/// ```
pub fn pulley(name: &str, effective: Length) -> Result<Profile, NotInTable> {
    let profile = profile(name)?;
    if effective >= profile.smallest {
        return Ok(profile);
    }
    Err(NotInTable::new(
        format!("an effective diameter of {} mm for {name}", effective.mm()),
        format!("at least {} mm", profile.smallest.mm()),
        &TABLE.source,
    ))
}

/// Least travel of the centre distance: inwards to lay the belt on, outwards to take up stretch.
///
/// # Errors
/// [`NotInTable`] where the maker's table has no figure for profile and length; it has none for PH and PK.
///
/// ```
/// use runtrue::{quantity::Length, standards::belts::allowance};
/// let (inward, outward) = allowance("PJ", Length::from_mm(559.0))?; // the maker's example, 220J8: half an inch each
/// assert_eq!((inward.mm(), outward.mm()), (13.0, 13.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn allowance(name: &str, length: Length) -> Result<(Length, Length), NotInTable> {
    let row = TABLE.allowance.iter().find(|r| length.mm() > 0.0 && length.mm() <= r.up_to);
    let inward = row.and_then(|r| match name {
        "PJ" => r.pj,
        "PL" => r.pl,
        "PM" => r.pm,
        _ => None,
    });
    match (row, inward) {
        (Some(r), Some(inward)) => Ok((Length::from_mm(inward), Length::from_mm(r.take_up))),
        _ => Err(NotInTable::new(
            format!("belt travel for {name}, {} mm", length.mm()),
            "PJ, PL from 1016 and PM from 2032 up to 3048 mm",
            &TABLE.allowance_source,
        )),
    }
}

/// Largest angle between belt and pulley plane: a quarter of a degree for V-ribbed belts, half of what V-belts bear. The same
/// maker's 1/16 inch to the foot is not the same: 0.298 degrees.
///
/// ```
/// assert_eq!(runtrue::standards::belts::alignment().0.deg(), 0.25);
/// ```
#[must_use]
pub fn alignment() -> (Angle, &'static str) {
    (Angle::from_deg(TABLE.alignment_deg), &TABLE.alignment_source)
}

/// Effective lengths kept in stock by one maker, mm; none for PH, PL, PM.
///
/// ```
/// assert!(runtrue::standards::belts::stock("PJ").contains(&1200.0));
/// ```
#[must_use]
pub fn stock(name: &str) -> &'static [f64] {
    TABLE.stock.get(name).map_or(&[], Vec::as_slice)
}

/// Source of the profiles.
///
/// ```
/// assert!(runtrue::standards::belts::source().contains("ISO 9982"));
/// ```
#[must_use]
pub fn source() -> &'static str {
    &TABLE.source
}

/// Source of the allowances.
///
/// ```
/// assert!(runtrue::standards::belts::allowance_source().contains("p. 30"));
/// ```
#[must_use]
pub fn allowance_source() -> &'static str {
    &TABLE.allowance_source
}
