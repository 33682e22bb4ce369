//! `calc TOPIC`: the bench calculator. Every answer names its sources.

mod balance;
mod bearings;
mod belts;
mod bending;
mod bolting;
mod collars;
mod fasteners;
mod fits;
mod given;
mod rotor;
mod run_down;
mod shaft;
mod slip;
mod stack;
mod words;

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
    /// Dimensions of a metric thread, coarse or fine
    #[command(after_help = "Examples:\n  runtrue calc thread M10\n  runtrue calc thread M12x1.25")]
    Thread(fasteners::Thread),
    /// Preload and torque of a bolt
    #[command(
        after_help = "Examples:\n  runtrue calc torque --thread M10 --class 8.8 --friction 0.12 --preload-by proof --share 0.75\n  runtrue calc torque --thread M8 --class 8.8 --friction B\n  runtrue calc torque --thread M8 --class A2-70 --friction 0.20 --friction-up-to 0.30 --share 0.6 --method \"indicating wrench\"\n  runtrue calc torque --thread M10 --preload \"25 kN\" --nut-factor 0.2"
    )]
    Torque(fasteners::Torque),
    /// Order of tightening and passes
    #[command(
        after_help = "Examples:\n  runtrue calc pattern --count 8\n  runtrue calc pattern --count 6 --torque \"17 N·m\""
    )]
    Pattern(fasteners::Pattern),
    /// What a tightened bolt does: stretch, turn, settling, twist, engagement
    #[command(
        after_help = "Examples:\n  runtrue calc joint --thread M8 --class 8.8 --friction 0.12 --grip \"80 mm\" --interfaces 6\n  runtrue calc joint --thread M8 --class 8.8 --preload \"12.7 kN\" --friction 0.12 --grip \"80 mm\" --out \"2.5 mm\""
    )]
    Joint(bolting::Joint),
    /// Does this nut take the load of this bolt
    #[command(after_help = "Example: runtrue calc nut --thread M8 --bolt 8.8 --nut 8")]
    Nut(bolting::Nut),
    /// Torque of a prevailing torque nut, or with a thread locker
    #[command(
        after_help = "Examples:\n  runtrue calc securing --thread M8 --class 8.8 --friction 0.12 --with prevailing --measured \"2.5 N·m\"\n  runtrue calc securing --thread M8 --class 8.8 --friction 0.12 --with locker"
    )]
    Securing(bolting::Securing),
    /// Which torque wrench, and how near it sets
    #[command(after_help = "Example: runtrue calc wrench --torque \"17 N·m\" --from \"5.1 N·m\" --largest \"25 N·m\"")]
    Wrench(bolting::Wrench),
    /// Torque that friction passes on
    #[command(subcommand, after_help = "Example: runtrue calc slip faces --clamp \"40 kN\" --circle \"100 mm\"")]
    Slip(slip::Slip),
    /// Parallel key: section, pressure, torque
    #[command(after_help = "Example: runtrue calc key --shaft \"25 mm\" --length \"32 mm\" --torque \"60 N·m\"")]
    Key(slip::Key),
    /// Set screws on a shaft
    #[command(
        after_help = "Example: runtrue calc set-screw --thread M8 --shaft \"25 mm\" --at 0 --at 90 --hardness 200 --torque \"12 N·m\""
    )]
    SetScrew(slip::Screws),
    /// Rods and split collars: what each order of tightening costs
    #[command(
        after_help = "Examples:\n  runtrue calc collars --rods 6 --rod M8 --pinch 2 --pinch-thread M6 --shaft \"25 mm\" --circle \"100 mm\" --stack \"80 mm\" --at 0.3\n  runtrue calc collars --rods 6 --rod M8 --pinch 2 --pinch-thread M6 --shaft \"25 mm\" --circle \"100 mm\" --stack \"80 mm\" --through plates --at 1"
    )]
    Collars(collars::Collars),
    /// Limits and clearance of a fit
    #[command(
        after_help = "Examples:\n  runtrue calc fit --size \"25 mm\" --hole H7 --shaft h6\n  runtrue calc fit --size \"25 mm\" --hole H7 --shaft h6 --at \"50 °C\" --hole-material aluminium"
    )]
    Fit(fits::Fit),
    /// Size at 20 °C from a reading at another temperature
    #[command(
        after_help = "Example: runtrue calc at-twenty --reading \"25.012 mm\" --part aluminium --part-at \"28 °C\" --instrument-at \"22 °C\""
    )]
    AtTwenty(fits::AtTwenty),
    /// Reaming stock, drill and reamer
    #[command(
        after_help = "Example: runtrue calc ream --finished \"25 mm\" --zone H7 --measured \"24.6 mm\" --edge bored --by hand"
    )]
    Ream(fits::Ream),
    /// How loose a bore may be before balance or run-out asks for reaming
    #[command(
        after_help = "Example: runtrue calc loose --unbalance \"6380 gmm\" --mass \"31.8 kg\" --bore-least \"25.05 mm\" --bore-most \"25.25 mm\" --shaft-least \"24.987 mm\" --shaft-most \"25 mm\""
    )]
    Loose(fits::Loose),
    /// Which instruments can decide a tolerance
    #[command(
        after_help = "Examples:\n  runtrue calc decide --size \"25 mm\" --zone H7\n  runtrue calc decide --lower \"19.9 mm\" --upper \"20.1 mm\" --uncertainty \"0.03 mm\" --value \"20.02 mm\""
    )]
    Decide(fits::Decide),
    /// Ribbed belt on two pulleys
    #[command(
        after_help = "Examples:\n  runtrue calc belt --profile PJ --ribs 8 --small \"60 mm\" --large \"200 mm\" --length \"1200 mm\" --tension \"180 N\"\n  runtrue calc belt --profile PK --ribs 4 --small \"80 mm\" --large \"200 mm\" --centre \"380 mm\" --change \"25 N\" --lead \"1.5 mm\""
    )]
    Belt(belts::Belt),
    /// Tension that a reading on the span tells
    #[command(
        after_help = "Examples:\n  runtrue calc tension --span \"320 mm\" --force \"20 N\" --deflection \"5 mm\" --ribs 6\n  runtrue calc tension --span \"320 mm\" --frequency \"88 Hz\" --weighed \"65 g\" --length \"1200 mm\" --ribs 6"
    )]
    Tension(belts::Tension),
    /// Slots of the sled for every step of a pulley
    #[command(
        after_help = "Example: runtrue calc slots --profile PJ --length \"1600 mm\" --driver \"250 mm\" --step \"140 mm\" --step \"110 mm\" --step \"80 mm\""
    )]
    Slots(belts::Sled),
    /// Size over balls of a ribbed pulley
    #[command(
        after_help = "Examples:\n  runtrue calc over-balls --profile PK --effective \"80 mm\"\n  runtrue calc over-balls --profile PJ --measured \"80.21 mm\" --ribs 6"
    )]
    OverBalls(belts::OverBalls),
    /// Rating life of a ball bearing
    #[command(
        after_help = "Examples:\n  runtrue calc bearing --dynamic \"14 kN\" --load \"1.2 kN\" --speed \"300 rpm\"\n  runtrue calc bearing --insert UC205 --load \"0.8 kN\" --axial \"0.4 kN\" --speed \"300 rpm\""
    )]
    Bearing(bearings::Bearing),
    /// Dimensions, seat and set screws of a mounted bearing
    #[command(after_help = "Example: runtrue calc unit UC205 --shaft h7")]
    Unit(bearings::Unit),
    /// Growth between two locked bearings, and whether one must float
    #[command(
        after_help = "Example: runtrue calc growth --between \"460 mm\" --shaft \"30 °C\" --frame \"20 °C\" --play \"0.1 mm\""
    )]
    Growth(bearings::Growth),
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
    /// Bending of a shaft and its slope at the bearings
    #[command(
        after_help = "Examples:\n  runtrue calc bending flywheel --discs 3\n  runtrue calc bending --shaft \"30 mm\" --length \"650 mm\" --bearing \"100 mm\" --bearing \"500 mm\" --disc \"300 mm: 300 x 50 mm bore 30\" --load \"620 mm: 300 N at 0\""
    )]
    Bending(bending::Bending),
    /// Run-down to rest: time from the drag, drag from the run-down
    #[command(
        after_help = "Examples:\n  runtrue calc run-down --inertia \"0.5 kg·m2\" --speed \"300 rpm\" --torque \"0.2 N·m\"\n  runtrue calc run-down flywheel --discs 3 --torque \"0.2 N·m\"\n  runtrue calc run-down --inertia \"0.5 kg·m2\" --speed \"300 rpm\" --then \"200 rpm\" --after \"26 s\""
    )]
    RunDown(run_down::RunDown),
    /// Lengths along the shaft, rods and room, for every number of discs
    #[command(
        after_help = "Examples:\n  runtrue calc stack flywheel\n  runtrue calc stack --part \"5 x 8 mm ±0.2\" --part \"2 x 20 mm ±0.1\" --rod M8 --second-nuts"
    )]
    Stack(stack::Stack),
    /// Balancing
    #[command(
        subcommand,
        after_help = "Example: runtrue calc balance vector --initial 4.2@35 --trial \"10 g@0\" --with-trial 3.1@120"
    )]
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

    /// Answered with a yes or a no.
    fn yes_if(self, good: bool) -> Self {
        if good { self } else { self.no() }
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
            Topic::Joint(t) => t.answer(),
            Topic::Nut(t) => t.answer(),
            Topic::Securing(t) => t.answer(),
            Topic::Wrench(t) => t.answer(),
            Topic::Slip(t) => t.answer(),
            Topic::Key(t) => t.answer(),
            Topic::SetScrew(t) => t.answer(),
            Topic::Collars(t) => t.answer(),
            Topic::Fit(t) => t.answer(),
            Topic::AtTwenty(t) => t.answer(),
            Topic::Ream(t) => t.answer(),
            Topic::Loose(t) => t.answer(),
            Topic::Decide(t) => t.answer(),
            Topic::Belt(t) => t.answer(),
            Topic::Tension(t) => t.answer(),
            Topic::Slots(t) => t.answer(),
            Topic::OverBalls(t) => t.answer(),
            Topic::Bearing(t) => t.answer(),
            Topic::Unit(t) => t.answer(),
            Topic::Growth(t) => t.answer(),
            Topic::Rotor(t) => t.answer(),
            Topic::Critical(t) => t.answer(),
            Topic::Bending(t) => t.answer(),
            Topic::RunDown(t) => t.answer(),
            Topic::Stack(t) => t.answer(),
            Topic::Balance(t) => t.answer(asked),
        }?;
        if asked.json {
            print(&Value::Object(answered.keys.clone()));
        } else {
            for (key, value) in &answered.keys {
                out(&words::line(key, value));
            }
        }
        Ok(answered.answer)
    }
}
