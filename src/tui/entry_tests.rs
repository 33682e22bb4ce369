use super::*;

fn check(kind: CheckKind, unit: Option<&str>, count: u32) -> Check {
    Check { unit: unit.map(Into::into), count: Some(count), ..Check::blank("x", kind) }
}

fn typed(entry: &mut OpenEntry, text: &str) {
    text.chars().for_each(|c| entry.push(c));
}

#[test]
fn another_unit_is_shown_back_before_it_counts() {
    let check = check(CheckKind::Measure, Some("mm"), 1);
    let mut entry = OpenEntry::default();
    typed(&mut entry, "0,984 in");
    assert!(matches!(entry.enter(&check, &[]), Taken::ShowBack(t) if t.contains("24.9936 mm")));
    assert_eq!(entry.enter(&check, &[]), Taken::Ready(vec!["0,984 in".into()]));
    let mut entry = OpenEntry::default();
    typed(&mut entry, "25.1 kg");
    assert!(matches!(entry.enter(&check, &[]), Taken::Not(t) if t.contains("a mass")));
    assert_eq!(entry.input, "25.1 kg", "what does not count stays to be mended");
}

#[test]
fn a_series_is_complete_with_its_last_value() {
    let check = check(CheckKind::Series, Some("mm"), 2);
    let mut entry = OpenEntry::default();
    typed(&mut entry, "25.001");
    assert_eq!(entry.enter(&check, &[]), Taken::More);
    assert_eq!(entry.enter(&check, &[]), Taken::More, "an empty Enter adds nothing");
    typed(&mut entry, "25.002");
    assert_eq!(entry.enter(&check, &[]), Taken::Ready(vec!["25.001".into(), "25.002".into()]));
}

#[test]
fn clicks_go_round_the_sequence_and_are_not_mixed_with_values() {
    let check = check(CheckKind::Torque, Some("N·m"), 3);
    let order = [1, 3, 2];
    let mut entry = OpenEntry::default();
    assert_eq!(entry.click(&order), Taken::More);
    assert_eq!(entry.next_bolt(&order), Some(3));
    typed(&mut entry, "24.0");
    assert!(matches!(entry.enter(&check, &order), Taken::Not(_)));
    entry.input.clear();
    entry.click(&order);
    assert_eq!(entry.click(&order), Taken::Ready(vec!["clicked=3/3".into()]));
    entry.undo();
    assert_eq!(entry.given.len(), 2);
}

#[test]
fn a_bolt_skipped_or_out_of_turn_is_noticed() {
    let check = check(CheckKind::Torque, Some("N·m"), 4);
    let order = [1, 3, 2, 4];
    let mut entry = OpenEntry::default();
    entry.click(&order);
    typed(&mut entry, "2");
    assert!(matches!(entry.click(&order), Taken::OutOfTurn(w) if w.contains("Bolt 2 before 3")));
    assert_eq!(entry.skipped(&order), [3]);
    let said = entry.out_of_order(&order).unwrap();
    assert!(said.contains("Bolt 2 is tight before 3: ease 2") && said.contains("take it back (u); then 3"), "{said}");
    typed(&mut entry, "1");
    assert!(matches!(entry.click(&order), Taken::Not(w) if w.contains("done already")));
    entry.undo();
    assert_eq!(entry.click(&order), Taken::More, "the next is the one that was skipped");
    assert_eq!(entry.bolts_done(), [1, 2, 3]);
    assert!(entry.out_of_order(&order).unwrap().contains("ease it to where it stood"), "it stays in sight");
    assert_eq!(entry.click(&order), Taken::Doubted);
    assert!(entry.note.as_ref().unwrap().contains("order 1 2 3 4, given was 1 3 2 4"));
    assert_eq!(entry.enter(&check, &order), Taken::Doubted, "Enter answers no question");
    assert_eq!(entry.keep_doubted(&check, &order), Taken::Ready(vec!["clicked=4/4".into()]));
    let mut entry = OpenEntry::default();
    typed(&mut entry, "3=24.1");
    assert!(matches!(entry.enter(&check, &order), Taken::OutOfTurn(_)));
    typed(&mut entry, "24.0");
    entry.enter(&check, &order);
    assert_eq!(entry.given, ["3=24.1", "1=24.0"]);
}

#[test]
fn what_can_hardly_be_counts_after_a_yes_only() {
    let bore = Check {
        lower: Some("25.000".into()),
        upper: Some("25.021".into()),
        nominal: Some("25".into()),
        ..check(CheckKind::Measure, Some("mm"), 1)
    };
    let mut entry = OpenEntry::default();
    typed(&mut entry, "250.10");
    assert_eq!(entry.enter(&bore, &[]), Taken::Doubted);
    assert_eq!(entry.enter(&bore, &[]), Taken::Doubted, "a second Enter, by reflex or by a caliper");
    typed(&mut entry, "25.010");
    assert_eq!(entry.input, "25.010", "a new reading stands in its place");
    assert_eq!(entry.enter(&bore, &[]), Taken::Ready(vec!["25.010".into()]));
    typed(&mut entry, "");
    entry.input = "0.9843".into();
    assert_eq!(entry.enter(&bore, &[]), Taken::Doubted);
    assert!(entry.doubt.as_ref().unwrap().words().contains("set to inch"));
    assert_eq!(entry.keep_doubted(&bore, &[]), Taken::Ready(vec!["0.9843".into()]));
}

#[test]
fn a_critical_value_is_typed_twice_and_a_mismatch_drops_both() {
    let series = Check { critical: true, ..check(CheckKind::Series, Some("mm"), 2) };
    let mut entry = OpenEntry::default();
    let round = |entry: &mut OpenEntry, values: [&str; 2]| {
        typed(entry, values[0]);
        assert_eq!(entry.enter(&series, &[]), Taken::More);
        typed(entry, values[1]);
        entry.enter(&series, &[])
    };
    assert_eq!(round(&mut entry, ["25.001", "25.002"]), Taken::Again);
    assert!(entry.given.is_empty() && entry.input.is_empty(), "the first is out of sight");
    assert!(matches!(round(&mut entry, ["25.001", "25.003"]), Taken::Not(w) if w.contains("do not agree")));
    assert_eq!(entry, OpenEntry::default());
    assert_eq!(round(&mut entry, ["25.001", "25.002"]), Taken::Again);
    assert!(matches!(round(&mut entry, ["25,001", "25.0020"]), Taken::Ready(_)));
}
