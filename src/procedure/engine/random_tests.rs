//! Small random modules: the engine against brute force and against a replay that knows only parts, stages and facts.

use std::collections::{BTreeMap, BTreeSet};

use super::*;

/// A small generator of numbers, the same on every machine.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, n: u64) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n) as usize
    }
}

fn need(what: What, why: String, lasting: bool) -> Need {
    Need { what, why, line: None, lasting }
}

/// Operations in an order that works: each adds a part, raises a group or makes a fact, and needs what is there by then.
fn module(dice: &mut Dice, n: usize) -> (Vec<Work>, Vec<Group>) {
    let groups: Vec<Group> = (0..2)
        .map(|g| Group {
            id: format!("g{g}"),
            holds: vec![(format!("f{g}a"), Stage::Snug), (format!("f{g}b"), Stage::Final)],
        })
        .collect();
    let mut works: Vec<Work> = Vec::new();
    let stages = [Stage::Hand, Stage::Snug, Stage::Final];
    let mut reached = [0usize; 2];
    for k in 0..n {
        let mut work = Work { id: format!("w-{k}"), key: "a".into(), readings: 1, bolts: 1, ..Work::default() };
        let raised = dice.roll(2);
        match dice.roll(3) {
            0 => work.adds = vec![format!("p{k}")],
            1 if reached[raised] < 3 => {
                work.raises = Some((format!("g{raised}"), stages[reached[raised]]));
                reached[raised] += 1;
            }
            _ => work.makes = vec![format!("x{k}")],
        }
        for _ in 0..dice.roll(3) {
            let why = format!("reason {} of {k}", work.needs.len());
            let Some(earlier) = (k > 0).then(|| works[dice.roll(k as u64)].clone()) else { continue };
            let lasting = dice.roll(4) > 0;
            if let Some(part) = earlier.adds.first() {
                work.needs.push(need(What::Present(part.clone()), why, true));
            } else if let Some(fact) = earlier.makes.first() {
                work.needs.push(need(What::Fact(fact.clone()), why, lasting));
            } else if let Some((g, stage)) = &earlier.raises
                && let Some((f, _)) = groups.iter().find(|x| x.id == *g).unwrap().holds.iter().find(|h| h.1 == *stage)
            {
                work.needs.push(need(What::Closed(f.clone()), why, true));
            }
        }
        works.push(work);
    }
    // What is still open or absent when an operation is done may be what it needs.
    for k in 0..n {
        if dice.roll(2) == 0 {
            let later = k + dice.roll((n - k) as u64);
            let why = format!("before {later}");
            if later > k && !works[later].adds.is_empty() {
                let part = works[later].adds[0].clone();
                works[k].needs.push(need(What::Absent(part), why, true));
            } else if later > k
                && let Some((g, stage)) = works[later].raises.clone()
                && let Some((f, _)) = groups.iter().find(|x| x.id == g).unwrap().holds.iter().find(|h| h.1 == stage)
            {
                works[k].needs.push(need(What::Open(f.clone()), why, true));
            }
        }
    }
    let used: Vec<Group> =
        groups.into_iter().filter(|g| works.iter().any(|w| w.raises.as_ref().is_some_and(|r| r.0 == g.id))).collect();
    (works, used)
}

fn holds(groups: &[Group], stages: &BTreeMap<String, Stage>, freedom: &str) -> bool {
    let held = |g: &Group| g.holds.iter().any(|(f, from)| f == freedom && stages.get(&g.id).is_some_and(|s| s >= from));
    groups.iter().any(held)
}

/// The machine as a replay sees it.
#[derive(Default, Clone)]
struct Machine {
    parts: BTreeSet<String>,
    stages: BTreeMap<String, Stage>,
    facts: BTreeSet<String>,
}

impl Machine {
    fn of(works: &[&Work]) -> Self {
        let mut machine = Self::default();
        works.iter().for_each(|w| machine.apply(w));
        machine
    }

    fn apply(&mut self, work: &Work) {
        self.parts.extend(work.adds.iter().cloned());
        self.facts.extend(work.makes.iter().cloned());
        if let Some((g, s)) = &work.raises {
            self.stages.insert(g.clone(), *s);
        }
    }

    fn meets(&self, groups: &[Group], what: &What) -> bool {
        match what {
            What::Open(f) => !holds(groups, &self.stages, f),
            What::Closed(f) => holds(groups, &self.stages, f),
            What::Present(p) => self.parts.contains(p),
            What::Absent(p) => !self.parts.contains(p),
            What::Fact(x) => self.facts.contains(x),
            What::AtLeast(k, options) => {
                let met = options.iter().filter(|o| o.iter().all(|w| self.meets(groups, w))).count();
                met >= usize::from(*k)
            }
        }
    }
}

/// What brute force takes for allowed: wrong things gone, what stands rests on what stands, and what is to be done can be.
fn allowed(works: &[Work], groups: &[Group], wrong: usize, gone: u32) -> bool {
    let out = |k: usize| gone >> k & 1 == 1;
    if !out(wrong) {
        return false;
    }
    let standing: Vec<&Work> = (0..works.len()).filter(|&k| !out(k)).map(|k| &works[k]).collect();
    let machine = Machine::of(&standing);
    let chain = |w: &&Work| {
        w.raises.as_ref().is_none_or(|(g, s)| {
            let lower = works.iter().filter(|v| v.raises.as_ref().is_some_and(|(h, t)| h == g && t < s));
            lower.into_iter().all(|v| standing.iter().any(|x| x.id == v.id))
        })
    };
    let rests = |w: &&Work| {
        w.needs
            .iter()
            .filter(|n| n.lasting && !matches!(n.what, What::Open(_) | What::Absent(_)))
            .all(|n| machine.meets(groups, &n.what))
    };
    let free = |k: usize| {
        works[k]
            .needs
            .iter()
            .filter(|n| matches!(n.what, What::Open(_) | What::Absent(_)))
            .all(|n| machine.meets(groups, &n.what))
    };
    standing.iter().all(chain) && standing.iter().all(rests) && (0..works.len()).filter(|&k| out(k)).all(free)
}

#[test]
fn undoing_is_the_least_that_brute_force_finds() {
    let mut dice = Dice(4711);
    let mut more = 0;
    for _ in 0..300 {
        let n = 4 + dice.roll(6);
        let (works, groups) = module(&mut dice, n);
        let wrong = dice.roll(n as u64);
        let state = State {
            done: works.clone(),
            groups: groups.clone(),
            failed: [wrong].into_iter().collect(),
            ..State::default()
        };
        let path = path(&state, &Goal { works: &works, groups: &groups, couplings: &[] }).unwrap();
        let least = (0u32..1 << n).filter(|gone| allowed(&works, &groups, wrong, *gone)).map(u32::count_ones).min();
        assert_eq!(least, Some(path.undone.len() as u32), "{works:#?}\n{wrong}");
        more += usize::from(path.undone.len() > 1);
    }
    assert!(more > 100, "only {more} had more than the wrong thing to undo");
}

#[test]
fn a_replay_of_every_way_finds_each_need_met_and_ends_at_the_goal() {
    let mut dice = Dice(99);
    for _ in 0..400 {
        let n = 4 + dice.roll(9);
        let (works, groups) = module(&mut dice, n);
        let reached = dice.roll(n as u64 + 1);
        let mut state = State { done: works[..reached].to_vec(), groups: groups.clone(), ..State::default() };
        if reached > 0 {
            state.failed.insert(dice.roll(reached as u64));
        }
        let path = path(&state, &Goal { works: &works, groups: &groups, couplings: &[] }).unwrap();
        let fallen: BTreeSet<usize> = path.undone.iter().map(|u| u.0).collect();
        let mut machine = Machine::of(&state.done.iter().collect::<Vec<_>>());
        let standing: Vec<&Work> = (0..reached).filter(|k| !fallen.contains(k)).map(|k| &state.done[k]).collect();
        machine.facts = Machine::of(&standing).facts;
        for item in &path.items {
            match item {
                Item::Undo(Undoing::TakeOff { part, by }, _) => {
                    for need in &state.done[*by].needs {
                        if matches!(need.what, What::Open(_) | What::Absent(_)) {
                            assert!(machine.meets(&groups, &need.what), "{part} comes off against {need:?}");
                        }
                    }
                    assert!(machine.parts.remove(part));
                }
                Item::Undo(Undoing::Release { group, from, to }, _) => {
                    assert_eq!(machine.stages.get(group), Some(from));
                    match to {
                        Some(to) => machine.stages.insert(group.clone(), *to),
                        None => machine.stages.remove(group),
                    };
                }
                Item::Do(at) => {
                    let work = &path.works[*at];
                    for need in &work.needs {
                        assert!(machine.meets(&groups, &need.what), "{} against {need:?}", work.id);
                    }
                    if let Some((g, s)) = &work.raises {
                        assert!(machine.stages.get(g).is_none_or(|old| old < s), "{g} must rise");
                    }
                    machine.apply(work);
                }
            }
        }
        let end = Machine::of(&works.iter().collect::<Vec<_>>());
        assert_eq!((machine.parts, machine.stages, machine.facts), (end.parts, end.stages, end.facts));
    }
}

fn cheapest(works: &[Work], edges: &[(usize, usize)], order: &mut Vec<usize>, best: &mut Walk) {
    if Walk::of(works, order) > *best {
        return;
    }
    if order.len() == works.len() {
        *best = Walk::of(works, order);
        return;
    }
    for at in 0..works.len() {
        if !order.contains(&at) && edges.iter().all(|(a, b)| *b != at || order.contains(a)) {
            order.push(at);
            cheapest(works, edges, order, best);
            order.pop();
        }
    }
}

#[test]
fn the_walk_is_the_cheapest_of_all_orders() {
    let mut dice = Dice(7);
    for round in 0..250 {
        let n = 3 + dice.roll(7);
        let mut edges = Vec::new();
        let mut works: Vec<Work> = (0..n)
            .map(|k| Work {
                id: format!("w-{k}"),
                makes: vec![format!("x{k}")],
                place: ["bench", "frame", "base"][dice.roll(3)].into(),
                tool: ["", "key", "wrench"][dice.roll(3)].into(),
                instrument: ["", "rule", "gauge"][dice.roll(3)].into(),
                ..Work::default()
            })
            .collect();
        for (late, work) in works.iter_mut().enumerate().skip(1) {
            if dice.roll(3) == 0 {
                let early = dice.roll(late as u64);
                work.needs.push(need(What::Fact(format!("x{early}")), "it is needed".into(), true));
                edges.push((early, late));
            }
        }
        let path = path(&State::default(), &Goal { works: &works, groups: &[], couplings: &[] }).unwrap();
        let mut best = Walk { places: u32::MAX, ..Walk::default() };
        cheapest(&works, &edges, &mut Vec::new(), &mut best);
        assert_eq!(path.walk, best, "round {round}");
    }
}

/// Length of the shortest circle, by trying every way round.
fn shortest(edges: &[(usize, usize)], start: usize, at: usize, seen: &mut Vec<usize>) -> Option<usize> {
    let mut best = None;
    for &(a, b) in edges {
        if a != at {
            continue;
        }
        let length = if b == start {
            Some(seen.len())
        } else if seen.contains(&b) {
            None
        } else {
            seen.push(b);
            let found = shortest(edges, start, b, seen);
            seen.pop();
            found
        };
        best = [best, length].into_iter().flatten().min();
    }
    best
}

#[test]
fn the_circle_told_is_the_shortest_there_is() {
    let mut dice = Dice(31);
    let mut circles = 0;
    for _ in 0..300 {
        let n = 3 + dice.roll(4);
        let mut works: Vec<Work> =
            (0..n).map(|k| Work { id: format!("w-{k}"), makes: vec![format!("x{k}")], ..Work::default() }).collect();
        let mut edges = Vec::new();
        for _ in 0..n + 1 {
            let (a, b) = (dice.roll(n as u64), dice.roll(n as u64));
            if a != b {
                works[b].needs.push(need(What::Fact(format!("x{a}")), format!("{a} first"), true));
                edges.push((a, b));
            }
        }
        let least = (0..n).filter_map(|s| shortest(&edges, s, s, &mut vec![s])).min();
        let told = match path(&State::default(), &Goal { works: &works, groups: &[], couplings: &[] }) {
            Ok(_) => None,
            Err(Refusal::Circle(links)) => Some(links.len()),
            Err(other) => panic!("{other}"),
        };
        assert_eq!(told, least);
        circles += usize::from(told.is_some());
    }
    assert!(circles > 50);
}

#[test]
fn more_than_sixty_four_choices_are_refused_by_name() {
    let options = || What::AtLeast(1, vec![vec![What::Absent("a".into())], vec![What::Absent("b".into())]]);
    let works: Vec<Work> = (0..7)
        .map(|k| Work { id: format!("w-{k}"), needs: vec![need(options(), "either".into(), true)], ..Work::default() })
        .collect();
    let run = |works: &[Work]| path(&State::default(), &Goal { works, groups: &[], couplings: &[] });
    assert!(run(&works[..6]).is_ok());
    let refusal = run(&works).unwrap_err().to_string();
    assert!(refusal.contains("128") && refusal.contains("w-6"), "{refusal}");
}
