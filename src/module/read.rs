//! Reading single values: each failure becomes a problem with its place, and reading goes on to find the next one.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::quantity::{Amount, Band, Force, Kind, Length, Mass, QuantityError, Speed, Torque, parse_decimal};

use super::fasteners::{Bolts, Securing, SetScrews};
use super::model::Given;
use super::problem::{Place, Problem};
use super::raw::{self, Text};

/// Collects problems while values are read. A value that does not read gets a stand-in, and the spec is refused later.
#[derive(Debug, Default)]
pub struct Reader {
    /// What was found so far.
    pub problems: Vec<Problem>,
}

/// Place of a text in the file.
pub fn place(text: &Text) -> Place {
    let at = &text.referenced;
    let small = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
    Place {
        line: small(at.line()),
        column: small(at.column()),
        length: small(text.value.chars().count().max(1) as u64),
    }
}

impl Reader {
    /// Notes a problem.
    pub fn problem(&mut self, place: Place, what: impl Into<String>, mend: impl Into<String>) {
        self.problems.push(Problem { place, what: what.into(), mend: mend.into() });
    }

    /// A value with its words and place.
    pub fn given<T>(&mut self, text: &Text, value: T) -> Given<T> {
        self.refuse_control_codes(&text.value, place(text));
        Given { value, written: text.value.clone(), place: place(text) }
    }

    /// An escape such as `\u001b` passes the reader of the file; it would reach prints and terminals.
    pub fn refuse_control_codes(&mut self, words: &str, place: Place) {
        if let Some(c) = words.chars().find(|c| c.is_control()) {
            let what = format!("control code U+{:04X} in the text", u32::from(c));
            self.problem(place, what, "Take it out; a spec holds printable text only.");
        }
    }

    fn take<T>(&mut self, text: &Text, result: Result<T, QuantityError>, stand_in: T) -> Given<T> {
        let value = result.unwrap_or_else(|error| {
            self.problem(place(text), error.to_string(), "Write the value with its unit.");
            stand_in
        });
        self.given(text, value)
    }

    fn positive(&mut self, text: &Text, kind: Kind, most: f64) -> f64 {
        let value = match Amount::parse_as(&text.value, kind) {
            Ok(amount) => amount.as_f64(),
            Err(error) => {
                self.problem(place(text), error.to_string(), "Write the value with its unit.");
                return 1.0;
            }
        };
        if value > 0.0 && value <= most {
            return value;
        }
        let unit = kind.base_symbol();
        self.problem(
            place(text),
            format!("\"{}\" cannot be: {kind} here is above 0 and at most {most} {unit}", text.value),
            "Check the number and its unit.",
        );
        1.0
    }

    /// A length above zero, at most 20 m.
    pub fn length(&mut self, text: &Text) -> Given<Length> {
        let value = self.positive(text, Kind::Length, 20_000.0);
        self.given(text, Length::from_mm(value))
    }

    /// A mass, at most 1000 kg.
    pub fn mass(&mut self, text: &Text) -> Given<Mass> {
        let value = self.positive(text, Kind::Mass, 1000.0);
        self.given(text, Mass::from_kg(value))
    }

    /// A place along the shaft.
    pub fn position(&mut self, text: &Text) -> Given<Length> {
        self.length(text)
    }

    /// A torque, at most 100 kN·m.
    pub fn torque(&mut self, text: &Text) -> Given<Torque> {
        let value = self.positive(text, Kind::Torque, 100_000.0);
        self.given(text, Torque::from_nm(value))
    }

    /// A speed, at most 100 000 rpm.
    pub fn speed(&mut self, text: &Text) -> Given<Speed> {
        let value = self.positive(text, Kind::Speed, 100_000.0);
        self.given(text, Speed::from_rpm(value))
    }

    /// A force for each rib: "55 N per rib".
    pub fn force_per_rib(&mut self, text: &Text) -> Given<Force> {
        let Some(force) = text.value.trim().strip_suffix("per rib") else {
            self.problem(
                place(text),
                format!("\"{}\" does not say \"per rib\"", text.value),
                "Write it like \"55 N per rib\".",
            );
            return self.given(text, Force::from_n(1.0));
        };
        let read = Amount::parse_as(force, Kind::Force).and_then(|a| Force::try_from(&a));
        let given = self.take(text, read, Force::from_n(1.0));
        if given.n() <= 0.0 {
            self.problem(given.place, "a tension is above 0 N", "Take it from the belt maker's sheet.");
        }
        given
    }

    /// A value with limits, as a drawing states it.
    pub fn band(&mut self, text: &Text, kind: Kind) -> Given<Band> {
        let read = Band::parse(&text.value, kind);
        let given = self.take(text, read, Band::default());
        let largest = Decimal::from(20_000);
        let values = [given.value.nominal, given.value.lower, given.value.upper];
        let least = if kind == Kind::Temperature { Decimal::from(-60) } else { Decimal::ZERO };
        if values.into_iter().flatten().any(|v| v < least || v > largest) {
            self.problem(given.place, format!("\"{}\" cannot be", text.value), "Check the number and its unit.");
        }
        given
    }

    /// A value with a tolerance class such as H7.
    pub fn classed(&mut self, text: &Text) -> Given<Band> {
        let given = self.band(text, Kind::Length);
        if given.value.nominal.is_some() && given.value.class.is_none() {
            self.problem(
                given.place,
                format!("\"{}\" has no tolerance class", text.value),
                "Write it like \"25 mm H7\".",
            );
        }
        given
    }

    /// A whole number from `least` to `most`.
    pub fn count(&mut self, text: &Text, least: u32, most: u32) -> Given<u32> {
        let value = text.value.trim().parse::<u32>().ok().filter(|n| (least..=most).contains(n));
        let value = value.unwrap_or_else(|| {
            self.problem(
                place(text),
                format!("\"{}\" is not a whole number from {least} to {most}", text.value),
                "Write the count in digits.",
            );
            least
        });
        self.given(text, value)
    }

    /// A plain decimal above zero.
    pub fn number(&mut self, text: &Text) -> Given<Decimal> {
        self.above_zero(text, parse_decimal(&text.value))
    }

    /// A decimal after a fixed word: "G 16", or before a unit: "210 HV".
    pub fn worded(&mut self, text: &Text, kind: Kind, front: &str) -> Given<Decimal> {
        let body = text.value.trim();
        let body = if front.is_empty() { body } else { body.strip_prefix(front).unwrap_or("").trim() };
        let read = Amount::parse_as(body, kind).and_then(|a| a.base());
        self.above_zero(text, read)
    }

    fn above_zero(&mut self, text: &Text, read: Result<Decimal, QuantityError>) -> Given<Decimal> {
        let given = self.take(text, read, Decimal::ONE);
        if given.value <= Decimal::ZERO {
            self.problem(given.place, format!("\"{}\" must be above 0", text.value), "Check the number.");
        }
        given
    }

    /// "70 % of proof" as 0.70.
    pub fn proof_share(&mut self, text: &Text) -> Given<f64> {
        let share = text
            .value
            .trim()
            .strip_suffix("of proof")
            .and_then(|t| Amount::parse_as(t, Kind::Percent).ok())
            .and_then(|a| a.number.to_f64())
            .filter(|p| (5.0..=90.0).contains(p));
        let share = share.unwrap_or_else(|| {
            self.problem(
                place(text),
                format!("\"{}\" is not a share of the proof load from 5 to 90 %", text.value),
                "Write it like \"70 % of proof\".",
            );
            50.0
        });
        self.given(text, share / 100.0)
    }

    /// One word of a closed list.
    pub fn word<T: Copy>(&mut self, text: &Text, choices: &[(&str, T)]) -> Given<T> {
        let found = choices.iter().find(|(word, _)| *word == text.value.trim());
        if found.is_none() {
            let list: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
            self.problem(
                place(text),
                format!("\"{}\" is not one of the words known here", text.value),
                format!("Write one of: {}.", list.join(", ")),
            );
        }
        self.given(text, found.unwrap_or(&choices[0]).1)
    }

    /// A text taken as it is.
    pub fn text(&mut self, text: &Text) -> Given<String> {
        let value = text.value.trim().to_owned();
        if value.is_empty() {
            self.problem(place(text), "nothing is written here", "Fill it in.");
        }
        self.given(text, value)
    }

    /// An id: lower case letters, digits and hyphens, so that it can stand in step ids and file names.
    pub fn id(&mut self, text: &Text) -> Given<String> {
        let given = self.text(text);
        let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let starts = given.value.starts_with(|c: char| c.is_ascii_lowercase());
        let good = starts && given.value.len() <= 32 && given.value.chars().all(fits);
        if !given.value.is_empty() && !good {
            self.problem(
                given.place,
                format!("\"{}\" cannot be an id", text.value),
                "Use up to 32 lower case letters, digits and hyphens, a letter first.",
            );
        }
        given
    }

    /// Bolts of a group.
    pub fn bolts(&mut self, raw: &raw::Bolts) -> Bolts {
        let (thread, length) = self.bolt_size(&raw.size);
        Bolts {
            count: self.count(&raw.count, 1, 200),
            thread,
            length,
            class: self.text(&raw.class),
            friction: self.friction(&raw.friction),
            share: self.proof_share(&raw.share),
            secure: self.word(&raw.secure, &Securing::WORDS),
        }
    }

    /// "M8 x 35" as thread and length.
    fn bolt_size(&mut self, text: &Text) -> (Given<String>, Option<Length>) {
        let (thread, length) = match text.value.split_once(" x ") {
            Some((thread, length)) => (thread.trim(), length.trim().parse::<f64>().ok().filter(|l| *l > 0.0)),
            None => (text.value.trim(), None),
        };
        if length.is_none() {
            self.problem(
                place(text),
                format!("\"{}\" is not a bolt size", text.value),
                "Write thread and length in mm, like \"M8 x 35\".",
            );
        }
        let given = self.given(text, thread.to_owned());
        (given, length.map(Length::from_mm))
    }

    /// Friction from low to high.
    pub fn friction(&mut self, text: &Text) -> Given<Band> {
        let given = self.band(text, Kind::Number);
        let inside = |v: Option<Decimal>| v.and_then(|v| v.to_f64()).is_some_and(|v| (0.04..=0.40).contains(&v));
        if !(inside(given.value.lower) && inside(given.value.upper)) {
            self.problem(
                given.place,
                format!("\"{}\" is not a range of friction from 0.04 to 0.40", text.value),
                "Write it like \"0.12 to 0.16\".",
            );
        }
        given
    }

    /// Set screws.
    pub fn set_screws(&mut self, raw: &raw::SetScrews) -> SetScrews {
        SetScrews {
            count: self.count(&raw.count, 1, 8),
            thread: self.text(&raw.size),
            torque: self.torque(&raw.torque),
            from: self.text(&raw.from).value,
        }
    }
}
