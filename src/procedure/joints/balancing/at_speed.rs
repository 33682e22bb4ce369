//! Balance by runs at speed. Between two runs the guard opens at seen standstill with the drive isolated, and closes again.

use crate::module::{End, Means, Method};
use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::{Check, SeriesRule};
use crate::quantity::rounded;

use super::super::{decimal, running};
use super::corrections::{self, FOUND, IN_TURN, Missing, plain, retained};
use super::predicted::{self, Correction};
use super::told::{Computed, left};
use super::{DONE, Spot, Work, said};

const FRAME: &str = "frame";

/// Runs, counted, with the fact that the rotor stands open again behind each.
struct Runs<'a> {
    work: &'a Work<'a>,
    done: u32,
    last: String,
}

/// Puts down the steps.
pub fn put_down(work: &Work<'_>, sheet: &mut Sheet, rechecked: &[String]) -> Result<(), NoFigure> {
    let ready = "Fix the sensors at the bearings, in the plane of the shaft's axis, and the mark for the phase; they stay where they are until the end.";
    let ready = if *work.balance.method == Method::NoPhase {
        "Fix the sensor at the bearing nearer to the discs; it stays where it is until the end."
    } else {
        ready
    };
    let mut prepare = corrections::prepare(work, FRAME, ready, "Sensors fixed, cables clear of the rotor?", "at speed");
    for fact in rechecked {
        prepare = prepare.after(fact.clone(), "the rotor is balanced as it will stand");
    }
    sheet.add(
        prepare
            .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
            .makes("balance prepared"),
    );
    let mut runs = Runs { work, done: 0, last: "balance prepared".into() };
    let found = match *work.balance.method {
        Method::TwoPlanes => two_planes(&mut runs, sheet)?,
        Method::NoPhase => without_phase(&mut runs, sheet)?,
        Method::SinglePlane | Method::Static => one_plane(&mut runs, sheet)?,
    };
    correct(&mut runs, sheet, found)
}

/// Corrections by each means in turn, a run after each; the last run is judged.
fn correct(runs: &mut Runs<'_>, sheet: &mut Sheet, found: Missing) -> Result<(), NoFigure> {
    let work = runs.work;
    let means: Vec<Means> = work.balance.correct_by.iter().map(|m| m.value).collect();
    let (trials, mut found) = (runs.done, found);
    let mut before = Computed { work, run: format!("balance-run-{trials}"), trials }.told();
    for (k, by) in means.iter().enumerate() {
        let fact = format!("balance corrected {}", k + 1);
        sheet.add(corrections::draft(work, FRAME, *by, &found)?.after(&*runs.last, FOUND).makes(&*fact));
        runs.last = fact;
        let last = k + 1 == means.len();
        let what = if last { "what is left" } else { "after the washers" };
        let mut run = runs.reading(what);
        let id = run.id.clone();
        run.checks.extend(left(work, &id, trials, last)?);
        let now = Computed { work, run: id.clone(), trials }.told();
        run.checks.extend(predicted::after(work, &Correction { before: &before, now: &now, by: *by })?);
        before = now;
        let run = if last { run.makes("balance residual") } else { run };
        runs.run(sheet, run);
        found = Missing::of(work, &id, "trim");
        if *work.balance.method == Method::NoPhase {
            // Amplitudes alone tell how much is left, not where.
            found = Missing::of(work, &format!("balance-run-{trials}"), "correction");
        }
    }
    // The guard is open behind the last run; what is balanced is so once its retaining nuts are looked at.
    sheet.add(
        corrections::recheck(work)?
            .after(&*runs.last, "what held at speed is looked at where hands may go to it")
            .makes(DONE),
    );
    Ok(())
}

impl Runs<'_> {
    /// A run that reads the vibration, not yet in its place.
    fn reading(&self, what: &str) -> Draft {
        let (work, n) = (self.work, self.done + 1);
        let b = work.balance;
        let (speed, most) = (work.spot.speed.rpm(), running::at_most_turned(work.spot.speed, work.spot.limit).rpm());
        let turned = if b.against {
            " Enter the angle as the meter shows it; it counts against the sense and is turned round once, by the program."
        } else {
            ""
        };
        let read = match *b.method {
            Method::NoPhase => format!("Read the amplitude in {}.", b.reads),
            Method::TwoPlanes => {
                format!("Read amplitude in {} and angle at both bearings, the far one first.{turned}", b.reads)
            }
            _ => format!("Read amplitude in {} and angle of the bearing nearer to the discs.{turned}", b.reads),
        };
        let again = match what {
            "what is left" if *b.method == Method::TwoPlanes => corrections::left_too_much(b).to_owned(),
            "what is left" => format!("{} {}", work.spot.couple_words(), corrections::left_too_much(b)),
            _ => "Then isolate and see the standstill before the guard is opened.".to_owned(),
        };
        let kind = if *b.method == Method::NoPhase { "Vibration meter" } else { "Vibration meter with phase" };
        let limits = draft::Limits {
            nominal: decimal(speed, 0),
            upper: decimal(most, 0),
            basis: "the same speed in every run; never above the limit of the spec".into(),
            ..draft::Limits::default()
        };
        work.draft("run", &format!("run-{n}"), FRAME)
            .keyed(rounded(speed, 0))
            .slot("number", n.to_string())
            .slot("what", what)
            .slot("speed", format!("{} rpm", rounded(speed, 0)))
            .slot("limit", format!("{} rpm", rounded(most, 0)))
            .slot("energy", format!("{} J", rounded(work.stacked.figures.energy.j(), 0)))
            .slot("read", read)
            .slot("again", again)
            .slot("instrument", format!("{kind}, {}", b.reads))
            .slot("bearing 1", "the far bearing")
            .slot("bearing 2", "the drive bearing")
            .check(Check { stays: true, ..draft::measure("speed", "rpm", limits) })
            .check(reading(work))
            .minutes(12)
    }

    /// Guard closed, run, guard open again.
    fn run(&mut self, sheet: &mut Sheet, run: Draft) {
        let n = self.done + 1;
        let context = self.work.stacked;
        let (closed, read, open) = (
            format!("guard closed for balance {n}"),
            format!("balance run {n}"),
            format!("guard open after balance {n}"),
        );
        let stage = format!("balance {n}");
        sheet.add(
            running::close(context, &stage)
                .after(&*self.last, "nothing is done at the rotor behind a closed guard")
                .makes(&*closed)
                .held(),
        );
        sheet.add(run.after(&*closed, "a rotor is never spun without its guard").makes(&*read));
        sheet.add(
            running::open(context).staged(&stage).after(&*read, "the next step needs hands at the rotor").makes(&*open),
        );
        (self.done, self.last) = (n, open);
    }

    /// A trial weight at an end.
    fn trial(&mut self, sheet: &mut Sheet, number: u32, end: End, hole: Option<u32>) {
        let work = self.work;
        let spot = work.spot;
        let (count, force) = spot.trial;
        let grams = spot.washer.g() * f64::from(count);
        let before = match (number, work.balance.first_stays) {
            (1, _) => "Take every balance washer off; the retaining nuts go back on without them.",
            (_, true) => "Leave trial weight 1 where it is.",
            (_, false) => "Take the trial weight of the last run off.",
        };
        let place = hole.map_or_else(
            || {
                format!(
                    "Any hole will do; write down its angle: hole 1 is 0°, clockwise, seen from the {}.",
                    work.stacked.module.seen_from
                )
            },
            |h| {
                format!(
                    "Fix it at hole {}, {}° clockwise, seen from the {}: the same weight as in every trial run.",
                    h + 1,
                    rounded(spot.angle(h), 0),
                    work.stacked.module.seen_from
                )
            },
        );
        let mut draft = retained(work, "trial weight", &format!("trial-{number}"), FRAME)
            .slot("number", number.to_string())
            .slot("end", end.words())
            .slot("before", before)
            .slot(
                "trial",
                format!("{count} {}, {} g", if count == 1 { "washer" } else { "washers" }, rounded(grams, 1)),
            )
            .slot("speed", format!("{} rpm", rounded(spot.speed.rpm(), 0)))
            .slot("force", format!("{} N", rounded(force.n(), 1)))
            .slot("pull", format!("{} N", rounded(spot.pull.n(), 1)))
            .slot("share", trial_share(spot))
            .slot("where", place)
            .after(&*self.last, IN_TURN)
            .after(format!("{} lined", work.stacked.stack.rods.part), corrections::LINED)
            .minutes(10);
        let basis = "10 % of the rotor's weight as force, or what the rods carry (common practice); weighed";
        if hole.is_none() {
            let places = vec!["mass, g".to_owned(), "angle, °".to_owned()];
            draft = draft.check(plain(draft::series_at("trial", "", places, SeriesRule::Each, said(basis))));
        } else if number == 1 {
            draft = draft.check(draft::measure("trial-mass", "g", said(basis)));
        }
        let fact = format!("balance trial {number}");
        sheet.add(draft.check(draft::confirm("line")).makes(&*fact));
        self.last = fact;
    }
}

/// Force of the trial weight over the rotor's weight, in words; one washer may be more than is usual on a light, fast rotor.
fn trial_share(spot: &Spot) -> String {
    let share = spot.trial_share();
    let over = if share > 10.0 {
        ", over the usual tenth, and one washer is the least there is: run up slowly, stop at the first shake"
    } else {
        ""
    };
    format!("{} % of the rotor's weight{over}", rounded(share, 1))
}

/// The reading of a run.
fn reading(work: &Work<'_>) -> Check {
    let unit = &work.balance.reads;
    let kept = said("kept as read");
    let pair = |at: &str| [format!("{at}amplitude, {unit}"), format!("{at}angle, °")];
    match *work.balance.method {
        Method::NoPhase => draft::measure("reading", unit, kept),
        Method::TwoPlanes => {
            let places = [pair("far "), pair("drive ")].concat();
            plain(draft::series_at("reading", "", places, SeriesRule::Each, kept))
        }
        _ => plain(draft::series_at("reading", "", pair("").to_vec(), SeriesRule::Each, kept)),
    }
}

fn plane(work: &Work<'_>, k: usize) -> End {
    work.balance.planes.get(k).map_or(End::Drive, |p| p.value)
}

fn one_plane(runs: &mut Runs<'_>, sheet: &mut Sheet) -> Result<Missing, NoFigure> {
    let work = runs.work;
    runs.run(sheet, runs.reading("as it is"));
    runs.trial(sheet, 1, plane(work, 0), None);
    let mut run = runs.reading("with the trial weight");
    let told = Computed { work, run: run.id.clone(), trials: runs.done + 1 };
    run.checks.extend([
        told.value("response", "%", "response", 0),
        told.value("correction", "g", "mass", 2),
        told.value("correction-angle", "°", "angle", 1),
    ]);
    run.checks.extend(predicted::against_index(work, &told.told())?);
    let id = run.id.clone();
    runs.run(sheet, run);
    Ok(Missing::of(work, &id, "correction"))
}

fn without_phase(runs: &mut Runs<'_>, sheet: &mut Sheet) -> Result<Missing, NoFigure> {
    let work = runs.work;
    runs.run(sheet, runs.reading("as it is"));
    let holes = third_holes(work.spot.holes);
    for (number, hole) in (1..).zip(holes) {
        runs.trial(sheet, number, plane(work, 0), Some(hole));
        let mut run = runs.reading(&format!("trial weight at hole {}", hole + 1));
        if number == 3 {
            let told = Computed { work, run: run.id.clone(), trials: runs.done + 1 };
            run.checks.extend([
                told.value("consistency", "", "consistency", 3),
                told.value("correction", "g", "mass", 2),
                told.value("correction-angle", "°", "angle", 1),
            ]);
            run.checks.extend(predicted::against_index(work, &told.told())?);
        }
        runs.run(sheet, run);
    }
    Ok(Missing::of(work, &format!("balance-run-{}", runs.done), "correction"))
}

/// Three holes as evenly round as they come, from 0.
pub fn third_holes(holes: u32) -> [u32; 3] {
    [0, (holes + 1) / 3, (2 * holes + 1) / 3]
}

fn two_planes(runs: &mut Runs<'_>, sheet: &mut Sheet) -> Result<Missing, NoFigure> {
    let work = runs.work;
    runs.run(sheet, runs.reading("as it is"));
    for number in [1, 2] {
        let end = plane(work, number as usize - 1);
        runs.trial(sheet, number, end, None);
        let mut run = runs.reading(&format!("trial weight {number} on"));
        let told = Computed { work, run: run.id.clone(), trials: runs.done + 1 };
        run.checks.push(told.value(&format!("response-{number}"), "%", &format!("response-{number}"), 0));
        if number == 2 {
            run.checks.push(told.value("condition", "", "condition", 1));
            run.checks.extend(told.planes("correction", ["mass", "angle"]));
            run.checks.extend(predicted::against_index(work, &told.told())?);
        }
        runs.run(sheet, run);
    }
    Ok(Missing::of(work, &format!("balance-run-{}", runs.done), "correction"))
}
