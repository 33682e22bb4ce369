//! The questions a builder is asked for a new module, and what may be answered.

use rust_decimal::prelude::ToPrimitive;

use crate::quantity::{Amount, Kind, unit};
use crate::standards::set_screws::Load;

/// What was answered, in mm, rpm and N·m.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// Id of the module.
    pub name: String,
    /// Shaft diameter.
    pub shaft: u32,
    /// Fewest and most discs; none and none on a plain shaft.
    pub discs: (u32, u32),
    /// Outer diameter of a disc.
    pub outer: f64,
    /// Thickness of a disc.
    pub thickness: f64,
    /// Rods, and holes in each disc.
    pub rods: u32,
    /// Speed of the driver.
    pub driver: f64,
    /// Speeds wanted of the rotor, the slowest first.
    pub speeds: Vec<f64>,
    /// The discs stand outside the bearings.
    pub overhung: bool,
    /// Distance between the bearings.
    pub between: f64,
    /// Largest torque at the shaft.
    pub torque: f64,
    /// Kind of load.
    pub load: Load,
}

/// One question.
#[derive(Debug)]
pub struct Question {
    /// The flag that answers it, without its dashes.
    pub flag: &'static str,
    /// What is asked.
    pub asks: &'static str,
    /// Taken where nothing is answered.
    pub default: &'static str,
    /// What may be answered.
    pub range: &'static str,
    take: fn(&mut Answers, &str, bool) -> Result<(), String>,
}

impl Question {
    /// Takes an answer; a bare number has the unit of the question only where `bare` allows it.
    ///
    /// # Errors
    /// In words, with the range, for what cannot be answered.
    pub fn take(&self, answers: &mut Answers, words: &str, bare: bool) -> Result<(), String> {
        (self.take)(answers, words.trim(), bare).map_err(|why| format!("{why}; {}", self.range))
    }
}

/// The question of that flag.
#[must_use]
pub fn question(flag: &str) -> Option<&'static Question> {
    QUESTIONS.iter().find(|q| q.flag == flag)
}

/// Every question, in the order they are asked.
pub const QUESTIONS: [Question; 12] = [
    Question {
        flag: "name",
        asks: "Name of the module",
        default: "rotor",
        range: "up to 32 lower case letters, digits and hyphens, a letter first",
        take: |a, words, _| {
            let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            let good =
                words.starts_with(|c: char| c.is_ascii_lowercase()) && words.len() <= 32 && words.chars().all(fits);
            good.then(|| a.name = words.to_owned()).ok_or_else(|| format!("\"{words}\" cannot be a name"))
        },
    },
    Question {
        flag: "shaft",
        asks: "Diameter of the shaft",
        default: "25 mm",
        range: "20 to 50 mm in steps of 5, the bores of the bearings UC204 to UC210",
        take: |a, words, bare| {
            let mm = number(words, Kind::Length, bare, 20.0, 50.0)?;
            let whole = (mm / 5.0).fract() == 0.0;
            whole.then(|| a.shaft = whole_number(mm)).ok_or_else(|| format!("\"{words}\" is between two sizes"))
        },
    },
    Question {
        flag: "discs",
        asks: "How many discs",
        default: "1 to 5",
        range: "0 for a plain shaft, a number up to 24, or a range like \"1 to 5\" of at most 8 numbers, left open until the bench",
        take: |a, words, _| {
            let count = |t: &str| t.trim().parse::<u32>().map_err(|_| format!("\"{words}\" is no number of discs"));
            let (least, most) = match words.split_once(" to ") {
                Some((least, most)) => (count(least)?, count(most)?),
                None => (count(words)?, count(words)?),
            };
            if most > 24 || least > most || most - least > 7 || (least == 0 && most > 0) {
                return Err(format!("\"{words}\" discs cannot be"));
            }
            a.discs = (least, most);
            Ok(())
        },
    },
    Question {
        flag: "diameter",
        asks: "Outer diameter of a disc",
        default: "380 mm",
        range: "60 to 1200 mm",
        take: |a, words, bare| number(words, Kind::Length, bare, 60.0, 1200.0).map(|mm| a.outer = mm),
    },
    Question {
        flag: "thickness",
        asks: "Thickness of a disc",
        default: "8 mm",
        range: "2 to 40 mm",
        take: |a, words, bare| number(words, Kind::Length, bare, 2.0, 40.0).map(|mm| a.thickness = mm),
    },
    Question {
        flag: "holes",
        asks: "Rods through the discs, one a hole",
        default: "6",
        range: "3 to 24",
        take: |a, words, _| {
            let count = words.parse::<u32>().ok().filter(|n| (3..=24).contains(n));
            count.map(|n| a.rods = n).ok_or_else(|| format!("\"{words}\" rods cannot be"))
        },
    },
    Question {
        flag: "driver",
        asks: "Speed of the driver",
        default: "60 rpm",
        range: "5 to 3000 rpm",
        take: |a, words, bare| number(words, Kind::Speed, bare, 5.0, 3000.0).map(|rpm| a.driver = rpm),
    },
    Question {
        flag: "speeds",
        asks: "Speeds wanted of the rotor, one for each step of the pulley",
        default: "105 rpm; 135 rpm; 180 rpm",
        range: "one to five speeds of 5 to 3000 rpm, the slowest first, with \";\" between them",
        take: |a, words, bare| {
            let list = words.split(';').map(|one| number(one.trim(), Kind::Speed, bare, 5.0, 3000.0));
            let speeds: Vec<f64> = list.collect::<Result<_, _>>()?;
            if speeds.len() > 5 || speeds.windows(2).any(|pair| pair[0] >= pair[1]) {
                return Err(format!("\"{words}\" cannot be"));
            }
            a.speeds = speeds;
            Ok(())
        },
    },
    Question {
        flag: "discs-stand",
        asks: "Where the discs stand",
        default: "between",
        range: "\"between\" the bearings or \"overhung\"",
        take: |a, words, _| match words {
            "between" | "overhung" => {
                a.overhung = words == "overhung";
                Ok(())
            }
            _ => Err(format!("\"{words}\" is no place of the discs")),
        },
    },
    Question {
        flag: "bearings-apart",
        asks: "Distance between the bearings",
        default: "460 mm",
        range: "100 to 2000 mm",
        take: |a, words, bare| number(words, Kind::Length, bare, 100.0, 2000.0).map(|mm| a.between = mm),
    },
    Question {
        flag: "torque",
        asks: "Largest torque at the shaft, start and stop included",
        default: "10 N·m",
        range: "0.1 to 400 N·m",
        take: |a, words, bare| number(words, Kind::Torque, bare, 0.1, 400.0).map(|nm| a.torque = nm),
    },
    Question {
        flag: "load",
        asks: "Kind of load",
        default: "shaking",
        range: "\"shaking\" or \"steady\"",
        take: |a, words, _| {
            let found = Load::WORDS.iter().find(|(word, _)| *word == words);
            found.map(|(_, load)| a.load = *load).ok_or_else(|| format!("\"{words}\" is no kind of load"))
        },
    },
];

impl Default for Answers {
    /// Every default.
    fn default() -> Self {
        let mut answers = Self {
            name: String::new(),
            shaft: 0,
            discs: (0, 0),
            outer: 0.0,
            thickness: 0.0,
            rods: 0,
            driver: 0.0,
            speeds: Vec::new(),
            overhung: false,
            between: 0.0,
            torque: 0.0,
            load: Load::Shaking,
        };
        for question in &QUESTIONS {
            // A default that its own question refuses would leave a nought, which the tests find.
            let taken = question.take(&mut answers, question.default, false);
            debug_assert!(taken.is_ok(), "{taken:?}");
        }
        answers
    }
}

impl Answers {
    /// No discs.
    #[must_use]
    pub const fn plain(&self) -> bool {
        self.discs.1 == 0
    }

    /// False for the questions of discs on a plain shaft.
    #[must_use]
    pub fn asks(&self, flag: &str) -> bool {
        !self.plain() || !["diameter", "thickness", "holes", "discs-stand"].contains(&flag)
    }
}

fn number(words: &str, kind: Kind, bare: bool, least: f64, most: f64) -> Result<f64, String> {
    let assumed = if bare { unit(kind.base_symbol()) } else { None };
    let amount = Amount::parse_in(words, kind, assumed).map_err(|e| e.to_string())?;
    let value = amount.base().map_err(|e| e.to_string())?.to_f64().unwrap_or(f64::NAN);
    if (least..=most).contains(&value) { Ok(value) } else { Err(format!("\"{words}\" is out of range")) }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole number from 20 to 50")]
fn whole_number(mm: f64) -> u32 {
    mm.round() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(flag: &str, words: &str) -> String {
        question(flag).unwrap().take(&mut Answers::default(), words, false).unwrap_err()
    }

    #[test]
    fn every_default_is_taken_and_every_refusal_says_the_range() {
        let answers = Answers::default();
        assert_eq!((answers.shaft, answers.discs, answers.speeds.len()), (25, (1, 5), 3));
        let wrong = [
            ("name", "Rotor 1"),
            ("shaft", "27 mm"),
            ("shaft", "25"),
            ("shaft", "25 kg"),
            ("discs", "25"),
            ("discs", "5 to 1"),
            ("diameter", "2 m"),
            ("thickness", "1 mm"),
            ("holes", "2"),
            ("driver", "1 rpm"),
            ("speeds", "180 rpm; 90 rpm"),
            ("discs-stand", "beside"),
            ("bearings-apart", "10 mm"),
            ("torque", "-1 N·m"),
            ("load", "rough"),
        ];
        for (flag, words) in wrong {
            assert!(refused(flag, words).contains(question(flag).unwrap().range), "{flag} {words}");
        }
    }

    #[test]
    fn units_convert_and_a_bare_number_is_taken_only_where_the_unit_was_shown() {
        let mut answers = Answers::default();
        question("diameter").unwrap().take(&mut answers, "12 in", false).unwrap();
        assert!((answers.outer - 304.8).abs() < 1e-9);
        question("torque").unwrap().take(&mut answers, "7,5", true).unwrap();
        assert!((answers.torque - 7.5).abs() < 1e-12);
    }
}
