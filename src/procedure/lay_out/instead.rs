//! Answers that would do in the place of one, when the answers do not add up: every question's range is looked through, the nearest
//! value that takes the fault away is found, and each is laid out whole before it is told.

use super::sheet::mm;
use super::{Answers, NotSo, question};

/// What may be answered otherwise; the name changes nothing.
const ANSWERS: [&str; 11] = [
    "shaft",
    "discs",
    "diameter",
    "thickness",
    "holes",
    "driver",
    "speeds",
    "discs-stand",
    "bearings-apart",
    "torque",
    "load",
];

/// A number is tried at these shares of what was answered, the nearest first.
const SHARES: [f64; 12] = [0.9, 1.1, 0.75, 1.35, 0.5, 2.0, 0.3, 3.5, 0.15, 6.0, 0.05, 10.0];

/// How often the way between a share that does and the last one that does not is halved.
const HALVED: usize = 2;

/// How many answers are told, and how many are laid out whole to find them: a builder chooses among few, and waits for them.
const TOLD: usize = 3;
const LAID_OUT: usize = 6;

/// A word in place of another counts as far as a third of a number.
const WORD: f64 = 1.1;

/// One answer given otherwise.
struct Other {
    flag: &'static str,
    words: String,
    answers: Answers,
    /// How far it lies from what was answered: logarithm of the share.
    far: f64,
}

/// Answers that would do, each alone with the others as they are, the nearest first; the one that the failure named stands first
/// where it would. `gone` tells soon whether a fault is gone, `adds_up` tells for certain.
pub fn would_do(
    answers: &Answers,
    not: &NotSo,
    gone: impl Fn(&Answers) -> bool,
    adds_up: impl Fn(&Answers) -> bool,
) -> Vec<(&'static str, String)> {
    let asked = ANSWERS.iter().filter(|flag| answers.asks(flag));
    let mut near: Vec<Other> = asked.filter_map(|flag| nearest(answers, flag, not, &gone)).collect();
    near.sort_by(|a, b| (a.flag != not.answer).cmp(&(b.flag != not.answer)).then(a.far.total_cmp(&b.far)));
    near.truncate(LAID_OUT);
    near.into_iter().filter(|other| adds_up(&other.answers)).take(TOLD).map(|o| (o.flag, o.words)).collect()
}

/// The nearest value of one answer with which the fault is gone.
fn nearest(answers: &Answers, flag: &&'static str, not: &NotSo, gone: &impl Fn(&Answers) -> bool) -> Option<Other> {
    let other = |words: String, far: f64| {
        let mut other = answers.clone();
        question(flag)?.take(&mut other, &words, false).ok()?;
        (other != *answers).then_some(Other { flag, words, answers: other, far })
    };
    // What the failure itself found is exact.
    let found = not.instead.iter().filter(|(f, _)| f == flag).find_map(|(_, words)| other(words.clone(), 0.0));
    if let Some(found) = found.filter(|o| gone(&o.answers)) {
        return Some(found);
    }
    if let Some(words) = counted(answers, flag) {
        let mut all = words.into_iter().filter_map(|(words, far)| other(words, far));
        return all.find(|o| gone(&o.answers));
    }
    let at = |share: f64| other(scaled(answers, flag, share)?, share.ln().abs()).filter(|o| gone(&o.answers));
    let (share, mut best) = SHARES.iter().find_map(|share| Some((*share, at(*share)?)))?;
    let same_side = |s: &&f64| (**s > 1.0) == (share > 1.0) && s.ln().abs() < share.ln().abs();
    let last =
        SHARES.iter().filter(same_side).map(|s| s.ln()).fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
    let (mut fails, mut does) = (last, share.ln());
    for _ in 0..HALVED {
        let middle = f64::midpoint(fails, does);
        match at(middle.exp()) {
            Some(nearer) => (does, best) = (middle, nearer),
            None => fails = middle,
        }
    }
    Some(best)
}

/// Values of an answer that is a count, a size of a row, or a word, the nearest first; none for a number.
fn counted(answers: &Answers, flag: &str) -> Option<Vec<(String, f64)>> {
    let far = |from: u32, to: u32| (f64::from(to) / f64::from(from.max(1))).ln().abs();
    let mut all: Vec<(String, f64)> = match flag {
        "shaft" => (4..=10).map(|n| n * 5).map(|d| (format!("{d} mm"), far(answers.shaft, d))).collect(),
        "holes" => (3..=24).map(|n: u32| (n.to_string(), far(answers.rods, n))).collect(),
        "discs" => {
            let (least, most) = answers.discs;
            let fewer = (1..most).rev().map(|n| (least.min(n), n));
            let narrower = (least + 1..=most).filter(|_| least > 0).map(|n| (n, most));
            // A range is as far from another as what is given up of it.
            let all = fewer.chain(narrower);
            all.map(|(a, b)| (said(a, b), far(most, b).max(far(most - least + 1, b - a + 1)))).collect()
        }
        "discs-stand" => vec![(if answers.overhung { "between" } else { "overhung" }.to_owned(), WORD)],
        "load" => vec![("steady".to_owned(), WORD), ("shaking".to_owned(), WORD)],
        _ => return None,
    };
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    Some(all)
}

fn said(least: u32, most: u32) -> String {
    if least == most { most.to_string() } else { format!("{least} to {most}") }
}

/// A number at a share of what was answered, in steps that somebody would answer.
fn scaled(answers: &Answers, flag: &str, share: f64) -> Option<String> {
    // Less is rounded down and more up, so that a share of a small number is another number.
    let to = |value: f64, step: f64| {
        let steps = value * share / step;
        let whole = if share < 1.0 { (steps + 1e-9).floor() } else { (steps - 1e-9).ceil() };
        (whole * step * 1000.0).round() / 1000.0
    };
    match flag {
        "diameter" => Some(mm(to(answers.outer, 5.0))),
        "thickness" => Some(mm(to(answers.thickness, 0.5))),
        "bearings-apart" => Some(mm(to(answers.between, 10.0))),
        "driver" => Some(format!("{} rpm", to(answers.driver, 1.0))),
        "torque" => Some(format!("{} N·m", to(answers.torque, 0.1))),
        "speeds" => {
            let each = answers.speeds.iter().map(|v| format!("{} rpm", to(*v, 1.0)));
            Some(each.collect::<Vec<_>>().join("; "))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nothing is laid out here: what adds up is a rule of the test, so the answer and the value that are found are known.
    fn found(not: &NotSo, adds_up: impl Fn(&Answers) -> bool) -> Vec<(&'static str, String)> {
        would_do(&Answers::default(), not, &adds_up, &adds_up)
    }

    #[test]
    fn the_answer_whose_change_mends_is_found_in_both_directions() {
        let not = NotSo::new("shaft", "x");
        let less = found(&not, |a| a.outer <= 250.0);
        assert_eq!(less.len(), 1, "{less:?}");
        let value: f64 = less[0].1.trim_end_matches(" mm").parse().unwrap();
        assert!(less[0].0 == "diameter" && (200.0..=250.0).contains(&value), "near what is wanted: {less:?}");
        let more = found(&not, |a| a.between >= 800.0);
        let value: f64 = more[0].1.trim_end_matches(" mm").parse().unwrap();
        assert!(more[0].0 == "bearings-apart" && (800.0..=900.0).contains(&value), "{more:?}");
        assert_eq!(
            found(&not, |a| a.load == crate::standards::set_screws::Load::Steady),
            [("load", "steady".to_owned())]
        );
        assert_eq!(found(&not, |a| a.discs.0 >= 3), [("discs", "3 to 5".to_owned())]);
        assert!(found(&not, |_| false).is_empty());
    }

    #[test]
    fn the_one_that_the_failure_named_stands_first_and_its_own_value_is_taken() {
        let not = NotSo { instead: vec![("torque", "7.3 N·m".to_owned())], ..NotSo::new("torque", "x") };
        let both = found(&not, |a| a.torque <= 7.3 || a.shaft >= 30);
        assert_eq!(both, [("torque", "7.3 N·m".to_owned()), ("shaft", "30 mm".to_owned())]);
        let nearest = found(&NotSo::new("holes", "x"), |a| a.torque <= 3.0 || a.shaft >= 30);
        assert_eq!(nearest[0].0, "shaft", "the smaller change: {nearest:?}");
    }

    #[test]
    fn no_value_is_out_of_range_and_none_is_the_one_that_was_given() {
        let asked = std::cell::RefCell::new(Vec::new());
        let plain = Answers { discs: (0, 0), ..Answers::default() };
        let seen = |a: &Answers| {
            asked.borrow_mut().push(a.clone());
            false
        };
        assert!(would_do(&plain, &NotSo::new("shaft", "x"), seen, |_| true).is_empty());
        let asked = asked.into_inner();
        assert!(asked.iter().all(|a| *a != plain && a.plain()) && asked.iter().any(|a| a.driver != plain.driver));
        let of_discs = |a: &&Answers| a.outer != plain.outer || a.rods != plain.rods || a.overhung != plain.overhung;
        assert_eq!(asked.iter().filter(of_discs).count(), 0);
    }
}
