//! Steps named as a fitter knows them, by number and title. A plan keeps ids, since numbers change with the order; what is
//! printed or shown names both where it speaks of another step.

use super::plan::Step;

/// What a step is done with, each thing once: tools and instruments, of one that is there in two sizes both sizes behind its name.
#[must_use]
pub fn with(step: &Step) -> Vec<String> {
    each_once(step.tools.iter().chain(&step.instruments))
}

/// Names with their sizes, each name once: "Torque wrench 1-5 N·m and 5-25 N·m".
pub fn each_once<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut once: Vec<(&str, Vec<&str>)> = Vec::new();
    for name in names {
        // The size begins with the first word that begins with a digit; "Hex key for M8" is whole.
        let digit = |at: usize| name[at + 1..].starts_with(|c: char| c.is_ascii_digit());
        let at = name.match_indices(' ').map(|(at, _)| at).find(|at| digit(*at)).unwrap_or(name.len());
        let (head, size) = (&name[..at], name[at..].trim_start());
        match once.iter_mut().find(|(h, _)| *h == head) {
            Some((_, sizes)) if size.is_empty() || sizes.contains(&size) => {}
            Some((_, sizes)) => sizes.push(size),
            None => once.push((head, vec![size])),
        }
    }
    once.into_iter().map(|(head, sizes)| format!("{head} {}", sizes.join(" and ")).trim_end().to_owned()).collect()
}

/// The reasons of a step for where it stands, in words.
#[must_use]
pub fn why_now(step: &Step, steps: &[Step]) -> String {
    step.why_now.iter().map(|why| reason(why, steps)).collect::<Vec<_>>().join(" ")
}

/// "After a, b: why." with the steps named.
fn reason(why: &str, steps: &[Step]) -> String {
    let named = why.split_once(": ").and_then(|(head, tail)| {
        let (word, ids) = head.split_once(' ')?;
        let ids: Vec<&str> = ids.split(", ").collect();
        let known = ids.iter().all(|id| steps.iter().any(|s| s.id == *id));
        known.then(|| format!("{word} {}: {tail}", named(&ids, steps)))
    });
    named.unwrap_or_else(|| why.to_owned())
}

/// "step 12, Ream the bore of disc-1" for one, "steps 12 and 14 to 17" for several; an id that is in no step stays.
#[must_use]
pub fn named(ids: &[&str], steps: &[Step]) -> String {
    let find = |id: &str| steps.iter().find(|s| s.id == id);
    if let [id] = ids {
        return find(id).map_or_else(|| (*id).to_owned(), |s| format!("step {}, {}", s.number, s.title));
    }
    let mut numbers: Vec<u32> = ids.iter().filter_map(|id| find(id)).map(|s| s.number).collect();
    numbers.sort_unstable();
    let unknown = ids.iter().filter(|id| find(id).is_none()).map(|id| (*id).to_owned());
    let mut parts = ranges(&numbers);
    parts.extend(unknown);
    let last = parts.pop().unwrap_or_default();
    if parts.is_empty() { format!("steps {last}") } else { format!("steps {} and {last}", parts.join(", ")) }
}

/// A text in which steps named by id are named by title too, the id in brackets behind it, as it is typed on the command line: "Ream
/// the bore of disc-1 (ream-disc-1)". What was named once keeps to its id.
#[must_use]
pub fn titled(text: &str, steps: &[Step]) -> String {
    let mut named = std::collections::BTreeSet::new();
    let mut word = |word: &str| {
        let id = word.trim_end_matches([':', ',', '.', ';', ')']);
        match steps.iter().find(|s| s.id == id) {
            Some(step) if named.insert(&step.id) => format!("{} ({id}){}", step.title, &word[id.len()..]),
            _ => word.to_owned(),
        }
    };
    text.split(' ').map(&mut word).collect::<Vec<_>>().join(" ")
}

/// Numbers in rising order, neighbours drawn together: "3", "5 to 8".
#[must_use]
pub fn ranges(numbers: &[u32]) -> Vec<String> {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &n in numbers {
        match runs.last_mut() {
            Some((_, end)) if n <= *end + 1 => *end = n,
            _ => runs.push((n, n)),
        }
    }
    let words = |(a, b): (u32, u32)| match b - a {
        0 => vec![a.to_string()],
        1 => vec![a.to_string(), b.to_string()],
        _ => vec![format!("{a} to {b}")],
    };
    runs.into_iter().flat_map(words).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{Setup, embedded, read};

    #[test]
    fn a_thing_is_named_once_with_all_its_sizes() {
        let names = [
            "Spanner 13 mm",
            "Lamp",
            "Torque wrench 5-25 N·m",
            "Spanner 13 mm",
            "Torque wrench 1-5 N·m",
            "Hex key for M8",
        ];
        let names = names.map(str::to_owned);
        assert_eq!(
            each_once(names.iter()),
            ["Spanner 13 mm", "Lamp", "Torque wrench 5-25 N·m and 1-5 N·m", "Hex key for M8"]
        );
    }

    #[test]
    fn steps_are_named_by_number_and_title_and_runs_are_drawn_together() {
        let module = read(&embedded("flywheel").unwrap()).unwrap();
        let setup = Setup::choose(&module, &std::collections::BTreeMap::new()).unwrap();
        let steps = crate::procedure::make_plan(&module, &setup).unwrap().steps;
        let number = |id: &str| steps.iter().find(|s| s.id == id).unwrap().number;
        let ream = number("ream-disc-1");
        assert!(named(&["ream-disc-1"], &steps).starts_with(&format!("step {ream}, Ream the bore of disc-1")));
        let first = number("fit-disc-1");
        let ids = ["fit-disc-1", "fit-disc-2", "fit-disc-3", "fit-collar-far"];
        assert_eq!(named(&ids, &steps), format!("steps {first} to {} and {}", first + 2, number("fit-collar-far")));
        assert_eq!(ranges(&[1, 2, 4, 6, 7, 8]), ["1", "2", "4", "6 to 8"]);
        for step in &steps {
            let why = why_now(step, &steps);
            for other in step.after.iter().filter(|id| id.contains('-')) {
                assert!(!why.contains(&format!("After {other}")), "{}: {why}", step.id);
            }
        }
        assert_eq!(reason("Because it was undone: a burr.", &steps), "Because it was undone: a burr.");
        let title = &steps[ream as usize - 1].title;
        assert_eq!(
            titled("fit-disc comes after ream-disc-1; ream-disc-1 is held", &steps),
            format!("fit-disc comes after {title} (ream-disc-1); ream-disc-1 is held"),
            "once, and no word that is no id"
        );
    }
}
