//! `index`: which hole of each disc stands at hole position 1, so that the heavy sides cancel.
//!
//! Inputs: of each disc in order its rest positions, test mass and starting mass. With, beside what `heavy side` takes: `holes`,
//! `places` (middle of each disc along the shaft, mm), `permitted` (g·mm), `discs` (their names), `apart` (distance of the bearings, mm;
//! older plans have none), and `part`: which of `holes` (one for each disc), `residual`, `angle`, `within`, `couple` is wanted. After a
//! last reading, the hole of each disc that was counted at position 1, `stands` and `stands-angle` tell the sum as they stand.

use crate::mechanics::balance::{self, HeavySide, Indexed, Vector};
use crate::quantity::{Unbalance, rounded};
use crate::traveler::event::Verdict;

use super::{Found, Given, heavy_side};

/// Readings of each disc.
pub const EACH: usize = 3;

/// The discs of a plan as they were read.
#[derive(Debug, Clone, PartialEq)]
pub struct Discs {
    /// Names, in the order along the shaft.
    pub names: Vec<String>,
    /// What each was found to be.
    pub each: Vec<HeavySide>,
    /// Holes of a disc.
    pub holes: u32,
    /// Middle of each along the shaft, mm.
    pub places: Vec<f64>,
    /// What is permitted of the rotor, g·mm.
    pub permitted: f64,
}

impl Discs {
    /// Takes them from the readings.
    ///
    /// # Errors
    /// Words where a reading or figure is missing.
    pub fn of(given: &Given<'_>) -> Result<Self, String> {
        let count = given.readings.len() / EACH;
        let each = (0..count).map(|k| heavy_side::of_disc(given, k * EACH)).collect::<Result<_, _>>()?;
        let holes = given.figure("holes")?;
        Ok(Self {
            names: given.word("discs")?.split_whitespace().map(str::to_owned).collect(),
            each,
            holes: if (1.0..=1e6).contains(&holes) { holes as u32 } else { 0 },
            places: given.figures("places")?,
            permitted: given.figure("permitted")?,
        })
    }

    /// The best indices, the best first.
    ///
    /// # Errors
    /// Words where there are too many.
    pub fn best(&self, most: usize) -> Result<Vec<Indexed>, String> {
        let vectors: Vec<Vector> = self.each.iter().map(|d| d.found).collect();
        balance::indices(self.holes, &vectors, &self.places, most).map_err(|e| e.to_string())
    }

    /// What the sum is known within.
    #[must_use]
    pub fn within(&self) -> f64 {
        let each: Vec<Unbalance> = self.each.iter().map(|d| d.within).collect();
        balance::index_uncertainty_of(&each).gmm()
    }

    /// The sum of the discs with these holes at position 1.
    ///
    /// # Errors
    /// Words where there is not one hole for each disc.
    pub fn standing(&self, holes: &[u32]) -> Result<Vector, String> {
        let vectors: Vec<Vector> = self.each.iter().map(|d| d.found).collect();
        balance::indexed_as(self.holes, &vectors, &self.places, holes).map(|(sum, _)| sum).map_err(|e| e.to_string())
    }

    /// A sum against what is permitted: none where the readings do not decide.
    #[must_use]
    pub fn passes(&self, sum: Vector) -> Option<bool> {
        let over = sum.magnitude() - self.permitted;
        (over.abs() >= self.within()).then_some(over < 0.0)
    }

    /// By how many holes all discs stand further on than an index asks; none where they do not agree.
    #[must_use]
    pub fn shifted(&self, asked: &[u32], stand: &[u32]) -> Option<u32> {
        let mut all =
            asked.iter().zip(stand).map(|(asked, stand)| (stand + self.holes - asked % self.holes) % self.holes);
        let first = all.next()?;
        all.all(|one| one == first).then_some(first)
    }

    /// The hole of each disc that stands at position 1.
    #[must_use]
    pub fn holes_of(&self, index: &Indexed) -> Vec<u32> {
        index.turns.iter().map(|t| balance::hole_at_position_1(self.holes, *t)).collect()
    }
}

/// One of the values of the index.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let discs = Discs::of(given)?;
    let best = discs.best(1)?.into_iter().next().ok_or("there is no disc")?;
    let (sum, within) = (best.residual.magnitude(), discs.within());
    match given.word("part")? {
        "holes" => Ok(Found::each(discs.holes_of(&best).into_iter().map(f64::from).collect(), words(&discs, &best))),
        "residual" => {
            let near = (sum - discs.permitted).abs() < within;
            let why = format!(
                "known within {} g·mm, and {} are permitted: the readings do not decide; find the heavy sides with less drag, or balance the rotor as a whole",
                rounded(within, 0),
                rounded(discs.permitted, 0)
            );
            let verdict = near.then_some((Verdict::Undecided, why));
            Ok(Found { verdict, ..Found::one(sum, words(&discs, &best)) })
        }
        "angle" => Ok(Found::one(best.residual.degrees(), "direction of the sum")),
        "within" => Ok(Found::one(within, "drag and play of every disc, as squares")),
        "couple" => Ok(Found::one(best.couple, couple_words(given, best.couple, discs.permitted))),
        "stands" => stands(given, &discs, &best),
        "stands-angle" => Ok(Found::one(discs.standing(&counted(given, &discs)?)?.degrees(), "direction of the sum")),
        other => Err(format!("the plan asks for \"{other}\", which an index has not")),
    }
}

/// The couple at the bearings against half of what is permitted (ISO 21940-11, 4.5.2, and ISO 1940-1, both from memory).
fn couple_words(given: &Given<'_>, couple: f64, permitted: f64) -> String {
    let middle = "about the middle of the discs";
    let Ok(apart) = given.figure("apart") else { return middle.into() };
    let (each, half) = (couple / apart, permitted / 2.0);
    let so = if each <= half { "passes" } else { "does not pass: two planes are wanted to take it away" };
    format!("{middle}; {each:.0} g·mm at each bearing, {half:.0} is half of what is permitted, so it {so}")
}

/// The holes that were counted at position 1.
fn counted(given: &Given<'_>, discs: &Discs) -> Result<Vec<u32>, String> {
    Ok(given.values(discs.names.len() * EACH)?.iter().map(|h| *h as u32).collect())
}

/// What the discs make as they stand. As computed it was judged with the index; otherwise it is judged here.
fn stands(given: &Given<'_>, discs: &Discs, best: &Indexed) -> Result<Found, String> {
    let (stand, asked) = (counted(given, discs)?, discs.holes_of(best));
    let sum = discs.standing(&stand)?;
    let within = discs.within();
    let words = format!(
        "{:.0} g·mm at {:.0}°, known within {within:.0}; the index would make {:.0}",
        sum.magnitude(),
        sum.degrees(),
        best.residual.magnitude()
    );
    let verdict = match discs.shifted(&asked, &stand) {
        Some(0) => Some((Verdict::NotJudged, "as the index asks, and judged with it".to_owned())),
        // A best index of equal sum is as good, and drag hides what is less.
        _ if sum.magnitude() <= best.residual.magnitude() + 0.5 => {
            Some((Verdict::NotJudged, "other holes than the index asks, and no worse".to_owned()))
        }
        _ if discs.passes(sum).is_none() => {
            let why = format!(
                "other holes than the index asks; {:.0} g·mm are permitted, and the readings do not decide; bring the discs to their index",
                discs.permitted
            );
            Some((Verdict::Undecided, why))
        }
        _ => None,
    };
    Ok(Found { verdict, ..Found::one(sum.magnitude(), words) })
}

/// "disc-1 hole 1, disc-2 hole 3; at worst 4100 g·mm; disc-3 shows no heavy side and counts as zero".
fn words(discs: &Discs, best: &Indexed) -> String {
    let holes = discs.names.iter().zip(discs.holes_of(best)).map(|(name, hole)| format!("{name} hole {hole}"));
    let hidden: Vec<&str> =
        discs.names.iter().zip(&discs.each).filter(|(_, d)| !d.findable()).map(|(n, _)| n.as_str()).collect();
    let zero = match hidden.as_slice() {
        [] => String::new(),
        [one] => format!("; {one} shows no heavy side above its drag and counts as zero"),
        many => format!("; {} show no heavy side above their drag and count as zero", many.join(", ")),
    };
    format!("{}; the worst index makes {} g·mm{zero}", holes.collect::<Vec<_>>().join(", "), rounded(best.worst, 0))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use rust_decimal::Decimal;

    use super::super::of;
    use crate::procedure::plan::Computation;
    use crate::traveler::event::Verdict;

    fn dec(text: &str) -> Vec<Decimal> {
        text.split(' ').map(|t| t.parse().unwrap()).collect()
    }

    fn by(part: &str, permitted: &str, discs: &[&str]) -> Computation {
        let with = [
            ("radius", "100"),
            ("play", "0"),
            ("holes", "6"),
            ("permitted", permitted),
            ("part", part),
            ("places", &["4", "12", "20"][..discs.len()].join(" ")),
            ("discs", &discs.join(" ")),
        ];
        let with: BTreeMap<String, String> = with.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        let inputs =
            discs.iter().flat_map(|d| ["rest", "mass", "starts"].map(|c| format!("balance-{d}/{c}"))).collect();
        Computation { name: "index".into(), inputs, with }
    }

    fn read(discs: &[(&str, &str, &str)]) -> Vec<Vec<Decimal>> {
        discs.iter().flat_map(|(rest, mass, starts)| [dec(rest), dec(mass), dec(starts)]).collect()
    }

    /// By hand: 1200 g·mm at 30° stays; 1200 at 90° has to come to 210°, two holes on, so hole 5 stands at position 1.
    #[test]
    fn two_alike_are_turned_against_each_other() {
        let two = read(&[("30 30 30 30", "12", "1"), ("90 90 90 90", "12", "1")]);
        let names = ["disc-1", "disc-2"];
        let found = of(&by("holes", "500", &names), &two).unwrap();
        assert_eq!(found.values, [1.0, 5.0]);
        assert!(
            found.words.contains("disc-2 hole 5") && found.words.contains("worst index makes 2400"),
            "{}",
            found.words
        );
        let residual = of(&by("residual", "500", &names), &two).unwrap();
        assert!(residual.values[0] < 1e-6 && residual.verdict.is_none());
        // 100 g·mm of drag each, as squares.
        assert!((of(&by("within", "500", &names), &two).unwrap().values[0] - 20_000.0_f64.sqrt()).abs() < 1e-9);
        // Opposite at 4 and 12 mm: 1200·4 + 1200·4.
        assert!((of(&by("couple", "500", &names), &two).unwrap().values[0] - 9600.0).abs() < 1e-6);
    }

    #[test]
    fn what_drag_hides_is_no_input_and_a_sum_too_near_its_limit_is_undecided() {
        let names = ["disc-1", "disc-2", "disc-3"];
        let three = read(&[("30 30 30 30", "12", "1"), ("0 90 180 270", "0.5", "1"), ("210 210 210 210", "9", "1")]);
        let found = of(&by("residual", "1000", &names), &three).unwrap();
        assert!((found.values[0] - 300.0).abs() < 1e-6 && found.verdict.is_none(), "{found:?}");
        assert!(found.words.contains("disc-2 shows no heavy side"), "{}", found.words);
        // Three times 100 as squares are 173: a limit of 200 or 400 is nearer than that.
        for permitted in ["200", "400"] {
            let near = of(&by("residual", permitted, &names), &three).unwrap();
            assert!(matches!(near.verdict, Some((Verdict::Undecided, _))), "{near:?}");
        }
        assert!(of(&by("weight", "1000", &names), &three).unwrap_err().contains("weight"));
    }
}
