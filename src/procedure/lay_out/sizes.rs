//! Where everything stands along the shaft of a new module.

use crate::standards::bearings;

use super::sheet::{mm, up};
use super::{Answers, NotSo, drive, stack};

/// Least gap between two neighbours on the shaft, mm: room for a feeler gauge, a key and fingers (common practice).
const GAP: f64 = 10.0;

/// Shaft that stands out of a bearing at a free end, mm (common practice).
const STUB: f64 = 15.0;

/// Places along the shaft, mm from the far end.
#[derive(Debug, Clone, Copy)]
pub struct Places {
    /// Middle of the far bearing.
    pub far: f64,
    /// Middle of the drive bearing.
    pub drive: f64,
    /// Clamping face of the located collar, at the drive side.
    pub face: f64,
    /// Middle of the pulley.
    pub pulley: f64,
    /// Length of the shaft.
    pub length: f64,
}

/// Places that leave every part its room.
///
/// # Errors
/// [`NotSo`] where the bearings stand too near, with the distance that would do.
pub fn places(answers: &Answers, stack: Option<&stack::Sizes>, drive: &drive::Sizes) -> Result<Places, NotSo> {
    let insert = insert(answers);
    let unit = bearings::insert(&insert).map_err(|e| NotSo::new("shaft", e.to_string()))?;
    let ring = unit.s.max(unit.b - unit.s);
    let stack_takes = stack.map_or(0.0, |s| s.longest + 2.0 * s.out);
    let inside = if answers.overhung { 0.0 } else { stack_takes };
    let gaps = if stack.is_some() && !answers.overhung { 3.0 } else { 2.0 };
    let needed = up(2.0 * ring + inside + drive.hub + gaps * GAP, 5.0);
    if answers.between < needed {
        let why = format!(
            "between bearings {} apart there is no room: rings, pulley{} and gaps need {}",
            mm(answers.between),
            if inside > 0.0 { ", discs with their rods" } else { "" },
            mm(needed)
        );
        let mut not = NotSo::new("bearings-apart", why);
        not.instead.push(("bearings-apart", mm(needed)));
        return Err(not);
    }
    Ok(match stack {
        Some(s) if answers.overhung => {
            let face = up(GAP + s.out + s.longest - s.width, 5.0);
            let far = up(face + s.width + s.out + GAP + ring, 5.0);
            let drive_at = far + answers.between;
            Places {
                far,
                drive: drive_at,
                face,
                pulley: (far + answers.between / 2.0).round(),
                length: ends(drive_at, ring),
            }
        }
        _ => {
            let far = up(ring + STUB, 10.0);
            let drive_at = far + answers.between;
            let free = (answers.between - needed) / 2.0;
            let pulley = (drive_at - ring - GAP - free.min(GAP) - drive.hub / 2.0).floor();
            // The discs stand in the middle of what is left to them.
            let (from, to) = (far + ring, pulley - drive.hub / 2.0);
            let (width, longest) = stack.map_or((0.0, 0.0), |s| (s.width, s.longest));
            let face = ((from + to) / 2.0 + longest / 2.0 - width).floor();
            Places { far, drive: drive_at, face, pulley, length: ends(drive_at, ring) }
        }
    })
}

fn ends(last: f64, ring: f64) -> f64 {
    up(last + ring + STUB, 10.0)
}

/// Designation of the insert for the shaft: UC2 and a fifth of the bore.
pub fn insert(answers: &Answers) -> String {
    format!("UC2{:02}", answers.shaft / 5)
}
