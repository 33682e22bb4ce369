//! `calc TOPIC`: the bench calculator. Every answer names its sources.

mod balance;
mod bending;
mod drive;
mod fasteners;
mod given;
mod rotor;
mod run_down;
mod stack;

use clap::{Args, Subcommand};
use serde_json::{Map, Value, json};

use super::{Answer, Asked, Failure, out, print};

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue calc torque --thread M10 --class 8.8 --friction 0.12 --preload-by proof --share 0.75"
)]
pub struct Calc {
    #[command(subcommand)]
    topic: Topic,
}

#[derive(Debug, Subcommand)]
enum Topic {
    /// Dimensions of a metric coarse thread
    #[command(after_help = "Example: runtrue calc thread M10")]
    Thread(fasteners::Thread),
    /// Preload and torque of a bolt
    #[command(
        after_help = "Examples:\n  runtrue calc torque --thread M10 --class 8.8 --friction 0.12 --preload-by proof --share 0.75\n  runtrue calc torque --thread M10 --preload \"25 kN\" --nut-factor 0.2"
    )]
    Torque(fasteners::Torque),
    /// Order of tightening and passes
    #[command(after_help = "Example: runtrue calc pattern --count 8")]
    Pattern(fasteners::Pattern),
    /// Limits and clearance of a fit
    #[command(after_help = "Example: runtrue calc fit --size \"25 mm\" --hole H7 --shaft h6")]
    Fit(fasteners::Fit),
    /// Reaming stock and reamer
    #[command(
        after_help = "Example: runtrue calc ream --finished \"25 mm\" --zone H7 --measured \"24.6 mm\" --edge bored --by hand"
    )]
    Ream(fasteners::Ream),
    /// Ribbed belt on two pulleys
    #[command(
        after_help = "Example: runtrue calc belt --profile PJ --ribs 8 --small \"60 mm\" --large \"200 mm\" --length \"1200 mm\" --tension \"180 N\""
    )]
    Belt(drive::Belt),
    /// Size over balls of a ribbed pulley
    #[command(after_help = "Example: runtrue calc over-balls --profile PK --effective \"80 mm\"")]
    OverBalls(drive::OverBalls),
    /// Rating life of a ball bearing
    #[command(after_help = "Example: runtrue calc bearing --dynamic \"14 kN\" --load \"1.2 kN\" --speed \"300 rpm\"")]
    Bearing(drive::Bearing),
    /// Mass, inertia, energy and stress of discs
    #[command(
        after_help = "Example: runtrue calc rotor --outer \"360 mm\" --bore \"25 mm\" --thickness \"8 mm\" --discs 5 --density \"7850 kg/m3\" --speed \"300 rpm\""
    )]
    Rotor(rotor::Rotor),
    /// Critical speeds of a shaft with discs
    #[command(
        after_help = "Examples:\n  runtrue calc critical flywheel --discs 3\n  runtrue calc critical --shaft \"30 mm\" --length \"650 mm\" --bearing \"100 mm\" --bearing \"500 mm\" --disc \"200 mm: 300 x 10 mm bore 30\""
    )]
    Critical(rotor::Critical),
    /// Bending of a shaft: reactions, moment, stress, deflection, slope at the bearings
    #[command(
        after_help = "Examples:\n  runtrue calc bending flywheel --discs 3\n  runtrue calc bending --shaft \"30 mm\" --length \"650 mm\" --bearing \"100 mm\" --bearing \"500 mm\" --disc \"300 mm: 300 x 50 mm bore 30\" --load \"620 mm: 300 N at 0\""
    )]
    Bending(bending::Bending),
    /// Run-down to rest: time from the drag, drag from the run-down
    #[command(
        after_help = "Examples:\n  runtrue calc run-down --inertia \"0.5 kg·m2\" --speed \"300 rpm\" --torque \"0.2 N·m\"\n  runtrue calc run-down flywheel --discs 3 --torque \"0.2 N·m\"\n  runtrue calc run-down --inertia \"0.5 kg·m2\" --speed \"300 rpm\" --then \"200 rpm\" --after \"26 s\""
    )]
    RunDown(run_down::RunDown),
    /// Lengths along the shaft: worst case, root sum square, samples; rods and room for every number of discs
    #[command(
        after_help = "Examples:\n  runtrue calc stack flywheel\n  runtrue calc stack --part \"5 x 8 mm ±0.2\" --part \"2 x 20 mm ±0.1\" --rod M8 --second-nuts"
    )]
    Stack(stack::Stack),
    /// Balancing
    #[command(subcommand)]
    Balance(balance::Balance),
}

/// An answer: keys, then the sources.
struct Answered {
    keys: Map<String, Value>,
    answer: Answer,
}

impl Answered {
    fn new(pairs: Vec<(&str, Value)>, basis: &[&str]) -> Self {
        let mut keys: Map<String, Value> = pairs.into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
        keys.insert("basis".into(), json!(basis));
        Self { keys, answer: Answer::Yes }
    }

    /// Answered, but with a no.
    fn no(self) -> Self {
        Self { answer: Answer::No, ..self }
    }
}

impl Calc {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let answered = match self.topic {
            Topic::Thread(t) => t.answer(),
            Topic::Torque(t) => t.answer(),
            Topic::Pattern(t) => t.answer(),
            Topic::Fit(t) => t.answer(),
            Topic::Ream(t) => t.answer(),
            Topic::Belt(t) => t.answer(),
            Topic::OverBalls(t) => t.answer(),
            Topic::Bearing(t) => t.answer(),
            Topic::Rotor(t) => t.answer(),
            Topic::Critical(t) => t.answer(),
            Topic::Bending(t) => t.answer(),
            Topic::RunDown(t) => t.answer(),
            Topic::Stack(t) => t.answer(),
            Topic::Balance(t) => t.answer(),
        }?;
        if asked.json {
            print(&Value::Object(answered.keys.clone()));
        } else {
            for (key, value) in &answered.keys {
                out(&line(key, value));
            }
        }
        Ok(answered.answer)
    }
}

/// One key on a line; a list of objects one object a line under it.
fn line(key: &str, value: &Value) -> String {
    match value {
        Value::Array(list) if list.first().is_some_and(Value::is_object) => {
            let rows = list.iter().map(|v| format!("\n  {}", plain(v, ", ")));
            format!("{key}{}", rows.collect::<String>())
        }
        other => format!("{key:<22} {}", plain(other, if key == "basis" { "; " } else { ", " })),
    }
}

fn plain(value: &Value, between: &str) -> String {
    match value {
        Value::String(s) => s.clone(),
        Value::Null => "-".into(),
        Value::Array(list) => list.iter().map(|v| plain(v, " to ")).collect::<Vec<_>>().join(between),
        Value::Object(keys) => {
            keys.iter().map(|(k, v)| format!("{k} {}", plain(v, " to "))).collect::<Vec<_>>().join(between)
        }
        other => other.to_string(),
    }
}
