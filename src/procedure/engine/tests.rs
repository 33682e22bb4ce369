use super::*;

fn need(what: What, why: &str) -> Need {
    Need { what, why: why.into(), line: Some(7), lasting: true }
}

fn first(works: &[Work], groups: &[Group], couplings: &[Coupled<'_>]) -> Result<Path, Refusal> {
    path(&State::default(), &Goal { works, groups, couplings })
}

fn work(id: &str, needs: Vec<Need>) -> Work {
    Work { id: id.into(), needs, ..Work::default() }
}

fn names(works: &[Work], path: &Path) -> Vec<String> {
    path.items.iter().map(|i| if let Item::Do(at) = i { works[*at].id.clone() } else { "undo".into() }).collect()
}

#[test]
fn an_absent_part_comes_later_and_a_present_one_earlier() {
    let works = vec![
        Work { adds: vec!["bearing".into()], ..work("a-bearing-on", vec![]) },
        Work {
            adds: vec!["belt".into()],
            ..work("z-hang-belt", vec![need(What::Absent("bearing".into()), "it cannot pass")])
        },
        work("b-tension", vec![need(What::Present("belt".into()), "there must be one")]),
    ];
    let path = first(&works, &[], &[]).unwrap();
    assert_eq!(names(&works, &path), ["z-hang-belt", "a-bearing-on", "b-tension"]);
}

#[test]
fn an_open_freedom_is_used_before_the_stage_that_closes_it() {
    let groups = [Group { id: "rods".into(), holds: vec![("slide".into(), Stage::Snug)] }];
    let raise = |id: &str, stage| Work { raises: Some(("rods".into(), stage)), ..work(id, vec![]) };
    let works = vec![
        raise("a", Stage::Final),
        raise("b", Stage::Snug),
        raise("c", Stage::Hand),
        work("d", vec![need(What::Open("slide".into()), "it must move")]),
        work("e", vec![need(What::Closed("slide".into()), "it must hold")]),
    ];
    let path = first(&works, &groups, &[]).unwrap();
    let order = names(&works, &path);
    let at = |id: &str| order.iter().position(|o| o == id).unwrap();
    assert!(at("c") < at("b") && at("b") < at("a"), "{order:?}");
    assert!(at("d") < at("b") && at("b") < at("e"), "{order:?}");
}

#[test]
fn the_shortest_circle_is_told_with_its_lines() {
    let fact = |f: &str| need(What::Fact(f.into()), &format!("{f} is needed"));
    let make = |id: &str, f: &str, needs: Vec<Need>| Work { makes: vec![f.into()], ..work(id, needs) };
    let works = vec![
        make("a", "A", vec![fact("B")]),
        make("b", "B", vec![fact("C"), fact("A")]),
        make("c", "C", vec![fact("D")]),
        make("d", "D", vec![fact("A")]),
    ];
    let Err(Refusal::Circle(links)) = first(&works, &[], &[]) else { panic!("a circle is there") };
    assert_eq!(links.len(), 2);
    assert!(links.iter().all(|l| l.line == Some(7)));
}

#[test]
fn what_nothing_brings_is_named() {
    let works = vec![work("a", vec![need(What::Present("shaft".into()), "it carries all")])];
    let refusal = first(&works, &[], &[]).unwrap_err().to_string();
    assert!(refusal.contains("shaft") && refusal.contains("line 7"), "{refusal}");
}

#[test]
fn the_best_scored_merge_becomes_an_edge_with_its_figures() {
    let raise =
        |group: &str, stage| Work { raises: Some((group.into(), stage)), ..work(&format!("{group}-{stage}"), vec![]) };
    let works = vec![
        raise("rods", Stage::Snug),
        raise("rods", Stage::Pass(1)),
        raise("rods", Stage::Final),
        raise("pinch", Stage::Final),
    ];
    let score = |order: &[(Id, Stage)]| {
        let at = order.iter().position(|(g, _)| g == "pinch").unwrap();
        Score { safety: [0.5, 1.0, 3.0, 2.0][at], by_friction: [1.0, 1.0], refused: None, words: format!("place {at}") }
    };
    let path = first(&works, &[], &[("rods".into(), "pinch".into(), &score)]).unwrap();
    assert_eq!(names(&works, &path), ["rods-snug", "rods-pass 1", "pinch-final", "rods-final"]);
    assert!(path.edges.iter().any(|e| !e.hard && e.why.contains("place 2") && e.why.contains("place 0")));
}

#[test]
fn when_every_merge_is_refused_the_plan_is_refused() {
    let raise = |group: &str| Work { raises: Some((group.into(), Stage::Final)), ..work(group, vec![]) };
    let works = vec![raise("rods"), raise("pinch")];
    let score = |_: &[(Id, Stage)]| Score {
        safety: 0.0,
        by_friction: [0.0; 2],
        refused: Some("no grip left".into()),
        words: String::new(),
    };
    let refusal = first(&works, &[], &[("rods".into(), "pinch".into(), &score)]).unwrap_err();
    assert!(refusal.to_string().contains("no grip left"));
}
