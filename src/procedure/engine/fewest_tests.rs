//! The fewest reasons against brute force: every set of reasons of small modules with choices is tried, smallest first.

use std::collections::BTreeSet;

use super::random::Dice;
use super::*;

/// A reason as brute force sees it: an operation before another, or something missing at an operation; and why.
type Told = (String, String, String);

fn fact(x: usize) -> What {
    What::Fact(format!("x{x}"))
}

/// Operations that each make a fact and need facts of others, some of them at least so many of several, some that nobody makes.
fn module(dice: &mut Dice) -> Vec<Work> {
    let n = 3 + dice.roll(3);
    (0..n)
        .map(|k| {
            let needs = (0..1 + dice.roll(2)).map(|_| {
                let other = |dice: &mut Dice| {
                    let unmade = dice.roll(12) == 0;
                    if unmade { fact(90) } else { fact((k + 1 + dice.roll(n as u64 - 1)) % n) }
                };
                let what = if dice.roll(2) == 0 {
                    let count = 2 + dice.roll(2);
                    let options = (0..count).map(|_| (0..1 + dice.roll(2)).map(|_| other(dice)).collect()).collect();
                    What::AtLeast(1 + dice.roll(2) as u8, options)
                } else {
                    other(dice)
                };
                Need { what, why: format!("reason {}", dice.roll(2)), line: Some(3), lasting: true }
            });
            Work { id: format!("w{k}"), makes: vec![format!("x{k}")], needs: needs.collect(), ..Work::default() }
        })
        .collect()
}

/// The reasons of each choice, made here anew: for every need each set of `k` options.
fn choices(works: &[Work]) -> Vec<BTreeSet<Told>> {
    let mut all: Vec<BTreeSet<Told>> = vec![BTreeSet::new()];
    for work in works {
        for need in &work.needs {
            let told = |what: &What| {
                let What::Fact(x) = what else { panic!("facts alone") };
                let maker = works.iter().find(|w| w.makes.contains(x));
                let from = maker.map_or_else(|| format!("no {x}"), |w| w.id.clone());
                (from, work.id.clone(), need.why.clone())
            };
            let sets: Vec<BTreeSet<Told>> = match &need.what {
                What::AtLeast(k, options) => (0u32..1 << options.len())
                    .filter(|bits| bits.count_ones() == u32::from(*k))
                    .map(|bits| {
                        let some = (0..options.len()).filter(|o| bits >> o & 1 == 1);
                        some.flat_map(|o| options[o].iter().map(told)).collect()
                    })
                    .collect(),
                plain => vec![BTreeSet::from([told(plain)])],
            };
            all = all.iter().flat_map(|one| sets.iter().map(move |set| one.union(set).cloned().collect())).collect();
        }
    }
    all
}

fn blocks(kept: &BTreeSet<&Told>, choice: &BTreeSet<Told>) -> bool {
    let mut left: Vec<&Told> = choice.iter().filter(|t| kept.contains(t)).collect();
    if left.iter().any(|(from, ..)| from.starts_with("no ")) {
        return true;
    }
    // Operations that wait for nothing any more are done, until none is left or they wait for each other.
    loop {
        let waiting: BTreeSet<&String> = left.iter().map(|(_, to, _)| to).collect();
        let before = left.len();
        left.retain(|(from, ..)| waiting.contains(from));
        if left.len() == before {
            return before > 0;
        }
    }
}

fn told(refusal: Refusal) -> Vec<Told> {
    let link = |l: CircleLink| (l.first, l.then, l.why);
    let missing = |operation: Id, needed: Id, why: String| (format!("no {needed}"), operation, why);
    match refusal {
        Refusal::Circle(links) => links.into_iter().map(link).collect(),
        Refusal::NothingBrings { operation, needed, why, .. } => vec![missing(operation, needed, why)],
        Refusal::EveryChoice { reasons, fewest } => {
            assert!(fewest, "small modules are searched to the end");
            let one = |reason| match reason {
                Reason::Before(l) => link(l),
                Reason::Missing { operation, needed, why, .. } => missing(operation, needed, why),
                Reason::Merge { .. } => panic!("no groups here"),
            };
            reasons.into_iter().map(one).collect()
        }
        other => panic!("{other}"),
    }
}

#[test]
fn no_smaller_set_of_reasons_blocks_every_choice() {
    let seed = 20_261;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    let (mut refused, mut tangled) = (0, 0);
    for _ in 0..900 {
        let works = module(&mut dice);
        let choices = choices(&works);
        if choices.len() > 64 {
            continue;
        }
        let all: Vec<Told> = choices.iter().flatten().cloned().collect::<BTreeSet<_>>().into_iter().collect();
        let answer = path(&State::default(), &Goal { works: &works, groups: &[], couplings: &[] });
        let whole: BTreeSet<&Told> = all.iter().collect();
        let blocked = |kept: &BTreeSet<&Told>| choices.iter().all(|choice| blocks(kept, choice));
        assert_eq!(answer.is_err(), blocked(&whole), "{works:#?}");
        let Err(refusal) = answer else { continue };
        let text = refusal.to_string();
        let reasons = told(refusal);
        assert!(blocked(&reasons.iter().collect()), "{text}\n{works:#?}");
        if all.len() > 14 {
            continue;
        }
        let sets = (0u32..1 << all.len()).filter(|bits| (bits.count_ones() as usize) < reasons.len());
        for bits in sets {
            let kept: BTreeSet<&Told> = (0..all.len()).filter(|k| bits >> k & 1 == 1).map(|k| &all[k]).collect();
            assert!(!blocked(&kept), "{kept:?} would do for\n{text}\n{works:#?}");
        }
        refused += 1;
        tangled += usize::from(reasons.len() > 3);
    }
    println!("{refused} refused, {tangled} of them for more than three reasons");
    assert!(refused > 150 && tangled > 20);
}

#[test]
fn what_one_choice_lacks_and_another_closes_in_a_circle_is_told_together() {
    let need = |what, why: &str| Need { what, why: why.into(), line: Some(9), lasting: true };
    let work = |k: usize, needs| Work { id: format!("w{k}"), makes: vec![format!("x{k}")], needs, ..Work::default() };
    let works = vec![
        work(0, vec![need(What::AtLeast(1, vec![vec![fact(5)], vec![fact(1)]]), "one of both carries it")]),
        work(1, vec![need(fact(0), "it hangs on the first")]),
    ];
    let refusal =
        path(&State::default(), &Goal { works: &works, groups: &[], couplings: &[] }).unwrap_err().to_string();
    assert!(refusal.contains("these 3 reasons block them all, and no fewer do"), "{refusal}");
    assert!(
        refusal.contains("w0 needs x5, and nothing brings it: one of both carries it (line 9 of the spec)"),
        "{refusal}"
    );
    assert!(refusal.contains("w0 before w1: it hangs on the first (line 9 of the spec)"), "{refusal}");
}
