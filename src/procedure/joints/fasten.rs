//! What all fastener groups share: hand, snug, passes, final, round, recheck, witness lines.

use crate::mechanics::tightening;
use crate::module::{Bolts, SetScrews, spec_line};
use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{NoFigure, Tight, at, tight};
use crate::procedure::plan::Picture;
use crate::quantity::{Torque, rounded};
use crate::standards::{bench, ring_screws, set_screws, threads};

use super::thread_state::Threads;

/// One group about to be tightened.
pub struct Tightening<'a> {
    /// Group id, also the object in step ids.
    pub group: &'a str,
    /// What it is called in sentences.
    pub name: String,
    /// "6 rod nuts M8".
    pub bolts: String,
    /// How many.
    pub count: u32,
    /// Full torque.
    pub torque: Torque,
    /// Whose figure that is, which says how it is rounded and what it may never pass.
    pub figure: Figure,
    /// Spanner or key.
    pub spanner: String,
    /// State of threads and turning faces that the torque is worked out for.
    pub threads: Threads,
    /// What holds against the wrench.
    pub counter: &'a str,
    /// Which bolt has number 1, and how the others follow.
    pub numbers: String,
    /// The tool it is held with; empty where nothing turns along.
    pub counter_tool: String,
    /// Place of work.
    pub place: &'static str,
    /// Where the torque comes from, in words.
    pub source: String,
    /// Basis of the torque: its source with the line of the spec, and what it was reckoned by.
    pub basis: String,
}

/// Whose figure a torque is.
#[derive(Debug, Clone, PartialEq)]
pub enum Figure {
    /// Reckoned from preload and friction, which are known to no more than a tenth of a newton metre.
    Reckoned,
    /// A maker's, kept to the hundredth and never rounded up, with the largest that is allowed and who says so, where that is known.
    Makers(Option<(Torque, String)>),
}

/// Bolts that no drawing numbers.
const NUMBERED: &str = "Paint the numbers beside them first, round in one direction.";

/// A group of bolts from the spec.
///
/// # Errors
/// [`NoFigure`].
pub fn of_bolts<'a>(
    group: &'a str,
    name: &str,
    bolts: &Bolts,
    place: &'static str,
) -> Result<Tightening<'a>, NoFigure> {
    let tight = tight(bolts)?;
    Ok(Tightening {
        group,
        name: name.to_owned(),
        bolts: format!("{} of {}", *bolts.count, bolts.thread.value),
        count: *bolts.count,
        torque: tight.torque,
        figure: Figure::Reckoned,
        spanner: format!("Socket {} mm", tight.thread.s),
        threads: Threads::of(bolts)?,
        counter: "Hold the bolt head still where it would turn along.",
        numbers: NUMBERED.into(),
        counter_tool: format!("Spanner {} mm", tight.thread.s),
        place,
        source: source(bolts),
        basis: basis(bolts, &tight),
    })
}

/// Where a bolt torque comes from, in words.
pub fn source(bolts: &Bolts) -> String {
    format!("{} {} at {}", bolts.thread.value, bolts.class.value, bolts.share.written)
}

/// Basis of a bolt torque, in words.
pub fn basis(bolts: &Bolts, tight: &Tight) -> String {
    format!(
        "{} ({}), {} kN each; ISO 898-1 proof stress, torque by the friction form of VDI 2230-1 at friction {}",
        source(bolts),
        spec_line(bolts.share.place),
        rounded(tight.preload.kn(), 1),
        bolts.friction.value.lower.unwrap_or_default(),
    )
}

/// A group of set screws from the spec. Their torque never passes the one that such a screw is tested with.
///
/// # Errors
/// [`NoFigure`] for a size without a key.
pub fn of_screws<'a>(
    group: &'a str,
    name: &str,
    screws: &SetScrews,
    place: &'static str,
) -> Result<Tightening<'a>, NoFigure> {
    let largest = set_screws::set_screw_test_torque(&screws.thread).ok();
    let largest = largest.map(|most| (most, "the torque they are tested with, ISO 898-5".to_owned()));
    Ok(Tightening {
        group,
        name: name.to_owned(),
        bolts: format!("{} of {}", *screws.count, screws.thread.value),
        count: *screws.count,
        torque: *screws.torque,
        figure: Figure::Makers(largest),
        spanner: hex_bit(at(&screws.thread, threads::set_screw_key(&screws.thread))?),
        threads: Threads::default(),
        counter: "",
        numbers: NUMBERED.into(),
        counter_tool: String::new(),
        place,
        source: screws.from.to_string(),
        basis: format!("{} ({})", screws.from, spec_line(screws.torque.place)),
    })
}

/// The set screws of a bearing's ring: their torque passes neither the one they are tested with nor the largest of the ring's maker.
///
/// # Errors
/// As [`of_screws`].
pub fn of_ring<'a>(
    group: &'a str,
    name: &str,
    (insert, screws): (&str, &SetScrews),
    place: &'static str,
) -> Result<Tightening<'a>, NoFigure> {
    let mut t = of_screws(group, name, screws, place)?;
    if let (Figure::Makers(largest), Ok(Some(range))) = (&mut t.figure, ring_screws::range(insert, &screws.from))
        && largest.as_ref().is_none_or(|(most, _)| range.high < *most)
    {
        *largest = Some((range.high, "the most that the ring's maker allows".to_owned()));
    }
    Ok(t)
}

impl Tightening<'_> {
    /// What the wrench is set to for a share of the full torque.
    pub fn set_to(&self, share: f64) -> Torque {
        let exact = self.torque.nm() * share;
        Torque::from_nm(match self.figure {
            Figure::Reckoned => (exact * 10.0).round() / 10.0,
            // A hair more than the figure keeps its own last digit, which binary numbers may hold as a hair less.
            Figure::Makers(_) => (exact * 100.0 + 1e-6).floor() / 100.0,
        })
    }

    /// The full torque in words, as the wrench is set.
    pub fn said(&self) -> String {
        exact(self.set_to(1.0))
    }

    /// The most that a bolt may read where the wrench is set to a torque, and why; none where the tool alone bounds it. A torque of the
    /// spec that is over the largest itself is a finding of the design check, and stays what is worked by.
    fn most(&self, set: Torque) -> Option<(Torque, &str)> {
        match &self.figure {
            Figure::Makers(Some((most, why))) => Some((if set > *most { set } else { *most }, why)),
            Figure::Makers(None) | Figure::Reckoned => None,
        }
    }

    fn draft(&self, entry: &'static str, stage: Stage) -> Draft {
        let mut draft = Draft::new("tighten", entry, self.group, self.place)
            .staged(&stage.to_string())
            .picture(Picture::Circle(self.group.to_owned()))
            .slot("group", &self.name)
            .slot("bolts", &self.bolts)
            .makes(format!("{} {stage}", self.group));
        draft.raises = Some((self.group.to_owned(), stage));
        draft
    }

    /// Turned on with the fingers.
    pub fn by_hand(&self) -> Draft {
        self.draft("by hand", Stage::Hand)
            .slot("ready", &self.threads.ready)
            .slot("oil", self.threads.tool)
            .check(draft::count("by-hand", self.count, self.count, "every one"))
            .minutes(4)
    }

    /// To a share of the full torque, in order.
    ///
    /// # Errors
    /// [`NoFigure`] where no tool covers the torque.
    pub fn to_share(&self, entry: &'static str, stage: Stage, share: f64) -> Result<Draft, NoFigure> {
        let torque = self.set_to(share);
        let (tool, tool_basis) = bench::torque_tool(torque).map_err(|e| NoFigure { line: 0, why: e.to_string() })?;
        let order = tightening::sequence(self.count);
        // Only where the tool could pass it is the largest worth a word.
        let most = self.most(torque).filter(|(most, _)| *most < torque * (1.0 + tool));
        let never = most.map_or_else(String::new, |(most, why)| format!("; never over {}, {why}", exact(most)));
        let basis = format!("{}; tool {tool_basis}{never}", self.basis);
        let band = (torque * (1.0 - tool), most.map_or(torque * (1.0 + tool), |(most, _)| most));
        let holds =
            format!(" It holds for threads {}; in any other state they need another torque.", self.threads.said);
        let mut draft = self
            .draft(entry, stage)
            .slot("torque", exact(torque))
            .slot("share", format!("{:.0} %", share * 100.0))
            .slot("stage", stage.to_string())
            .slot("friction state", &self.threads.said)
            .slot("ready", "")
            .slot("holds", holds)
            .slot("oil", "")
            .slot("closing", "")
            .slot("sequence", words(&order))
            .slot("counter", self.counter)
            .slot("numbers", &self.numbers)
            .slot("counter tool", &self.counter_tool)
            .slot("wrench", covering(torque)?)
            .slot("spanner", &self.spanner)
            .slot("source", &self.source)
            .check(draft::torque("torque", self.count, torque, band, &basis))
            .minutes(2 + self.count.div_ceil(2));
        draft.torque_nm = Some(torque.nm());
        draft.sequence = Some(order);
        Ok(draft)
    }

    /// Round at the full torque until none moves.
    pub fn round(&self) -> Draft {
        let mut draft = self
            .draft("round until none moves", Stage::Circular)
            .slot("torque", self.said())
            .slot("wrench", wrench(self.torque))
            .slot("spanner", &self.spanner)
            .slot("counter", self.counter)
            .slot("counter tool", &self.counter_tool)
            .check(draft::moved(
                "moved",
                self.count,
                "ASME PCC-1, legacy: round until no nut turns; three rounds at most, common practice",
            ));
        draft.torque_nm = Some(self.set_to(1.0).nm());
        draft.sequence = Some((1..=self.count).collect());
        draft
    }

    /// Checked again without raising it, `when` telling which recheck.
    pub fn recheck(&self, when: &str, after_run: bool) -> Draft {
        let entry = if after_run { "after the run" } else { "after the neighbour" };
        let order = tightening::sequence(self.count);
        // After the run the module stands on its frame, wherever the joint was made.
        let place = if after_run { "frame" } else { self.place };
        let mut draft = Draft::new("recheck", entry, self.group, place)
            .picture(Picture::Circle(self.group.to_owned()))
            .slot("group", &self.name)
            .slot("torque", self.said())
            .slot("sequence", words(&order))
            .slot("wrench", wrench(self.torque))
            .slot("spanner", &self.spanner)
            .slot("counter tool", &self.counter_tool)
            .check(draft::moved("moved", self.count, &self.basis));
        if after_run {
            draft.checks.insert(0, draft::confirm("mark"));
        }
        if !when.is_empty() {
            draft = draft.staged(when);
        }
        draft.shows = Some((self.group.to_owned(), Stage::Final.to_string()));
        draft.torque_nm = Some(self.set_to(1.0).nm());
        draft.sequence = Some(order);
        draft
    }

    /// Witness lines after the last torque.
    pub fn witness_lines(&self) -> Draft {
        Draft::new("secure", "spring washer", self.group, self.place)
            .staged("lines")
            .picture(Picture::Circle(self.group.to_owned()))
            .slot("group", &self.name)
            .slot("bolts", self.count.to_string())
            .check(draft::confirm("lines"))
            .makes(format!("{} lined", self.group))
            .minutes(3)
    }

    /// Witness lines drawn once more, after the last recheck: what secures a group that has nothing else.
    pub fn lines_again(&self) -> Draft {
        let mut draft = self.witness_lines().staged("again");
        draft.makes.clear();
        draft.place = "frame";
        draft
    }

    /// Wicking locker run into that many threads, the last act at a group.
    pub fn locked(&self, entry: &'static str, threads: u32) -> Draft {
        Draft::new("secure", entry, self.group, "frame")
            .slot("bolts", threads.to_string())
            .check(draft::text("product"))
            .check(draft::confirm("lines"))
            .minutes(4)
    }

    /// Hand, snug and final for a plain group of bolts, and the line over them.
    pub fn plain(&self, sheet: &mut Sheet, hand: Draft, snug: Draft, last: Draft) {
        for draft in [hand, snug, last] {
            sheet.add(draft);
        }
        sheet.add(
            self.witness_lines()
                .needs(What::Fact(format!("{} final", self.group)), "the line is drawn over the final torque"),
        );
    }
}

/// "Hex key 3 mm", the key of a set screw (ISO 4026); the screw's own size where the standard has none.
pub fn hex_key(thread: &str) -> String {
    threads::set_screw_key(thread).map_or_else(|_| format!("Hex key for {thread}"), |key| format!("Hex key {key} mm"))
}

/// What a torque wrench drives a socket screw with: a key has no square for it.
pub fn hex_bit(across: f64) -> String {
    format!("Hex bit {across} mm")
}

/// "Spanner 16 mm" for a bolt, nut or adjuster of that thread (ISO 4032).
pub fn spanner(thread: &str) -> String {
    threads::thread(thread).map_or_else(|_| format!("Spanner for {thread}"), |t| format!("Spanner {} mm", t.s))
}

/// "17.3 N·m".
pub fn nm(torque: Torque) -> String {
    format!("{} N·m", rounded(torque.nm(), 1))
}

/// "4.86 N·m": as [`nm`], with the hundredths that a maker's figure has.
fn exact(torque: Torque) -> String {
    let tenths = torque.nm() * 10.0;
    let places = if (tenths - tenths.round()).abs() < 1e-6 { 1 } else { 2 };
    format!("{} N·m", rounded(torque.nm(), places))
}

/// The smallest wrench whose usable range covers the torque: it lies highest in its range there.
fn covering(torque: Torque) -> Result<String, NoFigure> {
    let (least, full) = bench::torque_wrench(torque).map_err(|e| NoFigure { line: 0, why: e.to_string() })?;
    Ok(format!("Torque wrench {}-{} N·m", least.nm(), full.nm()))
}

/// As [`covering`], for a joint that was tightened before: a torque that no wrench covers was refused there.
pub(super) fn wrench(torque: Torque) -> String {
    covering(torque).unwrap_or_default()
}

/// "1, 4, 2, 5, 3, 6".
fn words(order: &[u32]) -> String {
    order.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}
