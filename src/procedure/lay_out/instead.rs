//! Answers that would do in the place of one that does not add up, each tried before it is told.

use super::sheet::{mm, up};
use super::{Answers, NotSo, question};

/// Answers that may be behind a failure of each answer, itself first.
fn related(answer: &str) -> &'static [&'static str] {
    match answer {
        "diameter" => &["diameter", "speeds"],
        "holes" => &["holes", "torque"],
        "torque" => &["torque", "shaft"],
        "shaft" => &["shaft", "bearings-apart", "diameter"],
        "speeds" => &["speeds", "shaft"],
        "bearings-apart" => &["bearings-apart", "discs"],
        "discs" => &["discs", "thickness"],
        _ => &[],
    }
}

/// The nearest value of each related answer with which all adds up, the others as they are.
pub fn would_do(answers: &Answers, not: &NotSo, adds_up: impl Fn(&Answers) -> bool) -> Vec<(&'static str, String)> {
    let first = |flag: &&'static str| {
        // What the failure itself found is tried first.
        let found = not.instead.iter().filter(|(f, _)| f == flag).filter_map(|(_, words)| {
            let mut other = answers.clone();
            question(flag)?.take(&mut other, words, false).ok()?;
            Some((words.clone(), other))
        });
        let mut all = found.chain(others(answers, flag));
        all.find(|(_, a)| adds_up(a)).map(|(words, _)| (*flag, words))
    };
    related(not.answer).iter().filter_map(first).collect()
}

/// Values of one answer from the given one away, in the direction that can help.
fn others(answers: &Answers, flag: &str) -> Vec<(String, Answers)> {
    let shares = [0.85, 0.7, 0.5, 0.25];
    let with = |change: &dyn Fn(&mut Answers)| {
        let mut other = answers.clone();
        change(&mut other);
        other
    };
    match flag {
        "shaft" => {
            let sizes = (answers.shaft / 5 + 1..=10).map(|n| n * 5);
            sizes.map(|d| (format!("{d} mm"), with(&|a| a.shaft = d))).collect()
        }
        "torque" => {
            let values = shares.map(|s| (answers.torque * s * 10.0).floor() / 10.0);
            values.into_iter().filter(|v| *v > 0.0).map(|v| (format!("{v} N·m"), with(&|a| a.torque = v))).collect()
        }
        "diameter" => {
            let values = shares.map(|s| (answers.outer * s / 5.0).floor() * 5.0);
            values.into_iter().filter(|v| *v >= 60.0).map(|v| (mm(v), with(&|a| a.outer = v))).collect()
        }
        "thickness" => {
            let values = [1.5, 2.0].map(|s| (answers.thickness * s).min(40.0));
            values.into_iter().map(|v| (mm(v), with(&|a| a.thickness = v))).collect()
        }
        "speeds" => shares
            .into_iter()
            .map(|s| answers.speeds.iter().map(|v| (v * s).floor().max(5.0)).collect::<Vec<f64>>())
            .filter(|list| list.windows(2).all(|pair| pair[0] < pair[1]))
            .map(|list| {
                let words: Vec<String> = list.iter().map(|v| format!("{v} rpm")).collect();
                (words.join("; "), with(&|a| a.speeds.clone_from(&list)))
            })
            .collect(),
        "bearings-apart" => {
            let shorter = shares.map(|s| up(answers.between * s, 10.0));
            shorter.into_iter().map(|v| (mm(v), with(&|a| a.between = v))).collect()
        }
        "discs" => {
            let most = (1..answers.discs.1).rev();
            let words =
                |least: u32, most: u32| if least == most { most.to_string() } else { format!("{least} to {most}") };
            most.map(|n| (words(answers.discs.0.min(n), n), with(&|a| a.discs = (a.discs.0.min(n), n))))
                .take(8)
                .collect()
        }
        "holes" => (answers.rods + 1..=24).take(6).map(|n| (n.to_string(), with(&|a| a.rods = n))).collect(),
        _ => Vec::new(),
    }
}
