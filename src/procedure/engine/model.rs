//! What the engine knows: parts, freedoms, stages, needs, operations. No kind of part or operation has a name here.

use std::fmt;

/// Id of a part, a freedom, a fact, a group or an operation: plain text, unique in its kind.
pub type Id = String;

/// How far a group of fasteners is. Later stages are greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// In place, not touched.
    Loose,
    /// Turned on with the fingers.
    Hand,
    /// First contact, by a short spanner or a small torque.
    Snug,
    /// The n-th pass of those before the last.
    Pass(u8),
    /// The full torque.
    Final,
    /// Round until none moves.
    Circular,
}

impl Stage {
    /// The stage of that name, as it is displayed.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let plain = [Self::Loose, Self::Hand, Self::Snug, Self::Final, Self::Circular];
        let pass = || name.strip_prefix("pass ").and_then(|n| n.parse().ok()).map(Self::Pass);
        plain.into_iter().find(|stage| stage.to_string() == name).or_else(pass)
    }
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Loose => f.write_str("loose"),
            Self::Hand => f.write_str("hand"),
            Self::Snug => f.write_str("snug"),
            Self::Pass(n) => write!(f, "pass {n}"),
            Self::Final => f.write_str("final"),
            Self::Circular => f.write_str("circular"),
        }
    }
}

/// Fasteners tightened together, and the freedoms they take away, each from a stage on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// Name.
    pub id: Id,
    /// Freedoms it closes, and from which stage.
    pub holds: Vec<(Id, Stage)>,
}

/// What must be so when an operation is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// The freedom is open: before every raise that closes it.
    Open(Id),
    /// The freedom is closed: after the raise that closes it.
    Closed(Id),
    /// The part is there: after what adds it.
    Present(Id),
    /// The part is not there yet: before what adds it.
    Absent(Id),
    /// The fact is made.
    Fact(Id),
    /// At least so many of the options; everything in an option holds together.
    AtLeast(u8, Vec<Vec<What>>),
}

/// A need, why it is one, and the line of the spec it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// What must be so.
    pub what: What,
    /// Why, as a clause that reads well after "because".
    pub why: String,
    /// Line of the spec, if one says so.
    pub line: Option<u32>,
    /// What needed it falls with it. False where only the order counts: a face cleaned before it was covered.
    pub lasting: bool,
}

/// One piece of work as the engine sees it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Work {
    /// Step id.
    pub id: Id,
    /// What it needs.
    pub needs: Vec<Need>,
    /// Parts worked on.
    pub parts: Vec<Id>,
    /// Parts in place afterwards.
    pub adds: Vec<Id>,
    /// Parts off afterwards.
    pub removes: Vec<Id>,
    /// Group and the stage it reaches.
    pub raises: Option<(Id, Stage)>,
    /// Facts it makes.
    pub makes: Vec<Id>,
    /// What makes its outcome another one under the same id: a torque, a length, a place.
    pub key: String,
    /// Fasteners it turns.
    pub bolts: u32,
    /// Readings it asks for.
    pub readings: u32,
    /// Where it is done; work at one place stays together.
    pub place: String,
    /// Its main tool.
    pub tool: String,
    /// Its main instrument.
    pub instrument: String,
    /// Starts a clock: begun as soon as it may, other work goes on meanwhile.
    pub waits: bool,
}

/// One edge of the graph: `from` comes before `to`, because.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edge {
    /// Earlier operation, by index.
    pub from: usize,
    /// Later operation, by index.
    pub to: usize,
    /// Why.
    pub why: String,
    /// Line of the spec.
    pub line: Option<u32>,
    /// True where physics demands it, false where a score decided.
    pub hard: bool,
    /// The later one falls with the earlier one.
    pub lasting: bool,
    /// A part in the way, a freedom open or held; not a fact alone.
    pub physical: bool,
}

/// Why no order exists.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// Something is needed that no operation brings.
    #[error("{operation} needs {needed}, and nothing brings it: {why}{}", at_line(.line))]
    NothingBrings {
        /// Operation in need.
        operation: Id,
        /// Part, freedom or fact.
        needed: Id,
        /// Reason of the need.
        why: String,
        /// Line of the spec.
        line: Option<u32>,
    },
    /// A shortest circle of needs; leaving out any one of them opens it.
    #[error("no order can be found; these needs go round in a circle:\n{}", circle(.0))]
    Circle(Vec<CircleLink>),
    /// Every choice is blocked, by these reasons together.
    #[error("no order can be found in any of the choices; {}:\n{}", counted(.reasons.len(), *.fewest), lines_of(.reasons))]
    EveryChoice {
        /// Reasons.
        reasons: Vec<Reason>,
        /// No smaller set blocks them all. False where there were too many sets to try: then none of these can be left out.
        fewest: bool,
    },
    /// More choices than are compared.
    #[error("{count} combinations of choices are more than 64: {}; decide some of them in the spec", .names.join(", "))]
    TooManyChoices {
        /// Operations that leave a choice.
        names: Vec<Id>,
        /// Combinations.
        count: u64,
    },
    /// Every order of two coupled groups is refused.
    #[error("no order of {} leaves the joint whole: {why}", .groups.join(" and "))]
    NoMergeHolds {
        /// Groups.
        groups: Vec<Id>,
        /// Why.
        why: String,
    },
    /// Too many orders to compare.
    #[error("{} have more than 5000 orders to compare; split the groups", .0.join(" and "))]
    TooManyMerges(Vec<Id>),
}

/// One of the reasons that block every choice.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// One operation has to come before another.
    Before(CircleLink),
    /// Something is needed that no operation brings.
    Missing {
        /// Operation in need.
        operation: Id,
        /// Part, freedom or fact.
        needed: Id,
        /// Reason of the need.
        why: String,
        /// Line of the spec.
        line: Option<u32>,
    },
    /// No order of two coupled groups holds.
    Merge {
        /// Groups.
        groups: Vec<Id>,
        /// Why.
        why: String,
    },
}

impl Reason {
    /// The refusal that this reason is alone.
    #[must_use]
    pub fn alone(self) -> Refusal {
        match self {
            Self::Before(link) => Refusal::Circle(vec![link]),
            Self::Missing { operation, needed, why, line } => Refusal::NothingBrings { operation, needed, why, line },
            Self::Merge { groups, why } => Refusal::NoMergeHolds { groups, why },
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Before(l) => write!(f, "{} before {}: {}{}", l.first, l.then, l.why, at_line(&l.line)),
            other => write!(f, "{}", other.clone().alone()),
        }
    }
}

/// One need of a circle, in words.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct CircleLink {
    /// Earlier operation.
    pub first: Id,
    /// Later operation.
    pub then: Id,
    /// Why.
    pub why: String,
    /// Line of the spec.
    pub line: Option<u32>,
}

fn at_line(line: &Option<u32>) -> String {
    line.map_or_else(String::new, |n| format!(" (line {n} of the spec)"))
}

fn circle(links: &[CircleLink]) -> String {
    lines_of(&links.iter().cloned().map(Reason::Before).collect::<Vec<_>>())
}

fn lines_of(list: &[Reason]) -> String {
    list.iter().map(|reason| format!("  {reason}")).collect::<Vec<_>>().join("\n")
}

fn counted(count: usize, fewest: bool) -> String {
    if fewest {
        format!("these {count} reasons block them all, and no fewer do")
    } else {
        format!("these {count} reasons block them all, and none of them can be left out")
    }
}
