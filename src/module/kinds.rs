//! What a written value is, for the JSON Schema: the form it has, with examples. What is right the reader decides; a pattern here
//! takes everything that the reader takes.

use schemars::{Schema, json_schema};

use crate::quantity::Kind;
use crate::standards::set_screws;

use super::balance::{End, Means, Method, Rests};
use super::fasteners::{Join, Securing};
use super::heavy_side;
use super::model::{Edge, Split};

/// A sort of value.
pub trait Sort {
    /// Its name in the schema.
    const NAME: &'static str;
    /// Its form.
    fn schema() -> Schema;
}

macro_rules! sorts {
    ($($(#[doc = $doc:literal])+ $name:ident, $called:literal, $schema:expr;)+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug)]
        pub struct $name;

        impl Sort for $name {
            const NAME: &'static str = $called;

            fn schema() -> Schema {
                $schema
            }
        }
    )+};
}

/// Digits with comma, point or fraction, as an instrument or a drawing gives them.
const DIGITS: &str = r"[0-9.,][0-9.,/ eE+\-]*";

/// A number with a unit of this kind.
fn quantity(kind: Kind, what: &str, examples: &[&str]) -> Schema {
    let pattern = format!(r"^\s*\+?{DIGITS}\s*({})\s*$", units(kind));
    json_schema!({ "type": "string", "pattern": pattern, "description": what, "examples": examples })
}

/// Words that hold a number and a unit of this kind, with limits or not.
fn with_limits(kind: Kind, what: &str, examples: &[&str]) -> Schema {
    let pattern = format!(r"[0-9].*({})", units(kind));
    json_schema!({ "type": "string", "pattern": pattern, "description": what, "examples": examples })
}

fn units(kind: Kind) -> String {
    let escaped = |unit: &str| unit.replace('.', "\\.").replace('*', "\\*");
    kind.spellings().into_iter().map(escaped).collect::<Vec<_>>().join("|")
}

/// By hand or by machine, by hand being true.
pub const BY_HAND: [(&str, bool); 2] = [("hand", true), ("machine", false)];
/// Kinds of belt; another one could be opened and would come on last.
pub const BELTS: [(&str, ()); 1] = [("endless", ())];
/// Units of vibration, as they are written and as they are shown.
pub const READS: [(&str, &str); 3] = [("mm/s", "mm/s"), ("µm", "µm"), ("um", "µm")];
/// Sense of a phase, against that of the spec's angles being true.
pub const AGAINST: [(&str, bool); 2] = [("with the sense", false), ("against the sense", true)];
/// What becomes of the first trial weight, staying on being true.
pub const FIRST_STAYS: [(&str, bool); 2] = [("taken off", false), ("stays on", true)];

/// Words of a closed list, which is the one that the reader takes.
fn one_of<T>(what: &str, words: &[(&str, T)]) -> Schema {
    let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    json_schema!({ "type": "string", "enum": words, "description": what })
}

/// Words, which YAML may take for a number.
fn words(what: &str, examples: &[&str]) -> Schema {
    json_schema!({ "type": ["string", "number"], "description": what, "examples": examples })
}

fn shaped(pattern: &str, what: &str, examples: &[&str]) -> Schema {
    json_schema!({ "type": "string", "pattern": pattern, "description": what, "examples": examples })
}

sorts! {
    /// The form of the file.
    FormOfFile, "form-of-file", json_schema!({ "const": "spec 1", "description": "form of the file" });
    /// An id.
    Id, "id", shaped(r"^\s*[a-z][a-z0-9\-]{0,31}\s*$", "id: lower case letters, digits and hyphens, a letter first", &["collar-far"]);
    /// Words.
    Words, "words", words("words", &["drive end"]);
    /// Initials.
    Initials, "initials", shaped(r"^[A-Za-z0-9][A-Za-z0-9\-]{0,15}$", "initials", &["mh"]);
    /// Operation and check.
    CheckOf, "operation-and-check", shaped(r"^[a-z0-9\-]+/[a-z0-9\-]+$", "operation and check", &["fit/face", "ream/bore"]);
    /// A whole number.
    Count, "count", json_schema!({ "type": ["integer", "string"], "minimum": 1, "pattern": r"^\s*\+?[0-9]+\s*$", "description": "a whole number", "examples": [6] });
    /// A plain number.
    Number, "number", json_schema!({ "type": ["number", "string"], "exclusiveMinimum": 0, "pattern": format!(r"^\s*\+?{DIGITS}\s*$"), "description": "a number above 0", "examples": [1.5] });
    /// A length.
    Length, "length", quantity(Kind::Length, "length with its unit", &["25 mm", "0.984 in"]);
    /// A length with limits.
    Toleranced, "toleranced-length", with_limits(Kind::Length, "length with its limits, as on a drawing", &["8 mm ±0.2", "24.6 mm +0.1 -0.2", "at most 0.05 mm", "at least 10 mm"]);
    /// A diameter with its tolerance class.
    Fit, "diameter-with-class", with_limits(Kind::Length, "diameter with its tolerance class of ISO 286", &["25 mm H7", "25 mm h6"]);
    /// A finished bore.
    Finish, "finished-bore", with_limits(Kind::Length, "how the bore is finished, with its tolerance class", &["ream 25 mm H7"]);
    /// A torque.
    Torque, "torque", quantity(Kind::Torque, "torque with its unit", &["46 N·m", "46 Nm"]);
    /// A speed of rotation.
    Speed, "speed", quantity(Kind::Speed, "speed of rotation", &["300 rpm"]);
    /// A range of temperature.
    Temperature, "temperature-range", with_limits(Kind::Temperature, "range of temperature", &["10 °C to 35 °C"]);
    /// A balance grade.
    Grade, "balance-grade", shaped(r"^\s*G\s*[0-9.,]+\s*$", "balance grade of ISO 21940-11", &["G 16", "G 6.3"]);
    /// A hardness.
    Hardness, "hardness", quantity(Kind::Hardness, "Vickers hardness", &["210 HV"]);
    /// A range of friction.
    Friction, "friction", json_schema!({ "type": ["string", "number"], "pattern": r"[0-9]", "description": "coefficient of friction, low to high, 0.04 to 0.40", "examples": ["0.12 to 0.16"] });
    /// A share of the proof load.
    Share, "share-of-proof", shaped(r"^\s*[0-9.,]+\s*%\s*of proof$", "share of the proof load, 5 to 90 %", &["70 % of proof"]);
    /// What keeps bolts tight.
    Secure, "secure", one_of("what keeps them tight", &Securing::WORDS);
    /// Thread and length of a bolt.
    BoltSize, "bolt-size", shaped(r"^\s*M[0-9.]+(x[0-9.]+)?\s+x\s+[0-9.]+\s*$", "thread and length in mm", &["M8 x 35"]);
    /// A thread.
    Thread, "thread", shaped(r"^\s*M[0-9.]+(x[0-9.]+)?\s*$", "metric thread", &["M8", "M10x1.25"]);
    /// A property class.
    Class, "property-class", words("property class", &["8.8", "10.9", "12.9"]);
    /// A force for each rib.
    ForcePerRib, "force-per-rib", with_limits(Kind::Force, "static tension of one rib", &["55 N per rib"]);
    /// A steel.
    Steel, "steel", words("steel", &["C45", "S355", "S235"]);
    /// A designation.
    Designation, "designation", words("designation of its maker or standard", &["UC205", "P205", "H305"]);
    /// Profile of a ribbed belt.
    Profile, "profile", one_of("profile of the ribs", &["PH", "PJ", "PK", "PL", "PM"].map(|profile| (profile, ())));
    /// How an edge was made.
    EdgeMade, "edge", one_of("how the edge was made", &Edge::WORDS);
    /// By hand or machine.
    ByHand, "by-hand", one_of("by hand or by machine", &BY_HAND);
    /// How rods join.
    JoinOf, "join", one_of("how rods and collars join", &Join::WORDS);
    /// How a collar opens.
    CollarKind, "collar-kind", one_of("how a collar opens", &Split::WORDS);
    /// Kind of belt.
    BeltKind, "belt-kind", one_of("kind of belt", &BELTS);
    /// A mass.
    Mass, "mass", quantity(Kind::Mass, "mass with its unit", &["1.2 kg"]);
    /// An angle.
    Angle, "angle", quantity(Kind::Angle, "angle with its unit", &["118°"]);
    /// What a mandrel rolls on.
    RollsOn, "rolls-on", one_of("what the mandrel rolls on", &heavy_side::RollsOn::WORDS);
    /// What a rotor rests on.
    RestsOn, "rests-on", one_of("what the rotor rests on", &Rests::WORDS);
    /// How unbalance is found.
    BalanceMethod, "balance-method", one_of("how the unbalance is found", &Method::WORDS);
    /// Unit of vibration.
    ReadsIn, "reads-in", one_of("unit of the instrument's readings", &READS);
    /// A reading of vibration.
    Reading, "reading", shaped(r"^\s*\+?[0-9.,][0-9.,/ eE+\-]*\s*(mm/s|µm|um)\s*$", "reading with its unit", &["0.1 mm/s"]);
    /// Sense of a phase.
    PhaseSense, "phase-sense", one_of("whether the phase counts with the sense of the spec's angles", &AGAINST);
    /// What becomes of the first trial weight.
    FirstTrial, "first-trial-weight", one_of("what becomes of the first trial weight", &FIRST_STAYS);
    /// An end of the stack.
    StackEnd, "stack-end", one_of("an end of the stack", &End::WORDS);
    /// What takes unbalance away.
    CorrectBy, "correct-by", one_of("what takes the unbalance away", &Means::WORDS);
    /// Kind of load.
    Load, "load", one_of("kind of load", &set_screws::Load::WORDS);
}
