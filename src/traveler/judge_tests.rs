use super::*;

fn check(kind: CheckKind) -> Check {
    Check {
        prompt: "p".into(),
        unit: Some("mm".into()),
        lower: Some("25.000".into()),
        upper: Some("25.021".into()),
        acceptance: Acceptance::Guarded,
        basis: "b".into(),
        ..Check::blank("x", kind)
    }
}

fn said(check: &Check, typed: &[&str], taking: Taking) -> (Verdict, String) {
    let typed: Vec<String> = typed.iter().map(|t| (*t).to_owned()).collect();
    let judged = judge(check, &typed, taking).unwrap_or_else(|e| panic!("{e}"));
    (judged.verdict, judged.because)
}

#[test]
fn an_inch_is_judged_exactly() {
    let check = check(CheckKind::Measure);
    assert_eq!(said(&check, &["0.9843 in"], Taking::default()).0, Verdict::Within); // 25.00122 mm
    assert_eq!(said(&check, &["0,984 in"], Taking::default()).0, Verdict::Outside); // 24.9936 mm
}

#[test]
fn a_coarse_instrument_leaves_it_undecided_and_no_instrument_is_said() {
    let check = check(CheckKind::Measure);
    let u = Taking { guard: "0.03".parse().ok(), ..Taking::default() };
    assert_eq!(said(&check, &["25.01 mm"], u).0, Verdict::Undecided);
    assert!(said(&check, &["25.01 mm"], Taking::default()).1.contains("uncertainty not considered"));
}

#[test]
fn a_bare_number_is_taken_at_the_bench_only() {
    let check = check(CheckKind::Measure);
    assert_eq!(said(&check, &["25,01"], Taking { bare: true, ..Taking::default() }).0, Verdict::Within);
    let error = judge(&check, &["25.01".into()], Taking::default()).unwrap_err().to_string();
    assert!(error.contains("write \"25.01 mm\""), "{error}");
}

#[test]
fn series_follow_their_rule() {
    let base = Check { count: Some(3), ..check(CheckKind::Series) };
    let v = ["25.001 mm", "25.030 mm", "25.002 mm"];
    let with = |rule| Check { rule: Some(rule), ..base.clone() };
    assert_eq!(said(&with(SeriesRule::Each), &v, Taking::default()).0, Verdict::Outside);
    assert!(said(&with(SeriesRule::Each), &v, Taking::default()).1.starts_with("value 2"));
    assert_eq!(said(&with(SeriesRule::Mean), &v, Taking::default()).0, Verdict::Within);
    assert_eq!(said(&with(SeriesRule::Largest), &v, Taking::default()).0, Verdict::Outside);
    assert!(judge(&base, &["25 mm".into()], Taking::default()).is_err());
}

#[test]
fn torque_takes_bolts_clicks_or_rounds() {
    let t = Check {
        unit: Some("N·m".into()),
        lower: Some("23.04".into()),
        upper: Some("24.96".into()),
        acceptance: Acceptance::Simple,
        count: Some(2),
        ..check(CheckKind::Torque)
    };
    assert_eq!(said(&t, &["1=24.0", "2=24.1"], Taking::default()).0, Verdict::Within);
    assert_eq!(said(&t, &["2=25.1 1=24.0"], Taking::default()).1.split(' ').next(), Some("bolt"));
    assert_eq!(said(&t, &["clicked=2/2"], Taking::default()).0, Verdict::Within);
    assert_eq!(said(&t, &["clicked=1/2"], Taking::default()).0, Verdict::Outside);
    for bad in [&["1=24.0"][..], &["1=24 1=24"], &["3=24 1=24"], &["clicked=2/3"], &["24.0"], &["1=24 kg 2=24"]] {
        let typed: Vec<String> = bad.iter().map(|t| (*t).to_owned()).collect();
        assert!(judge(&t, &typed, Taking::default()).is_err(), "{bad:?}");
    }
    let round = Check { unit: None, lower: Some("0".into()), upper: Some("0".into()), ..t };
    assert_eq!(said(&round, &["moved=0"], Taking::default()).0, Verdict::Within);
    assert_eq!(said(&round, &["moved=1,2"], Taking::default()).0, Verdict::Undecided);
    for typed in [&["moved=1 2"][..], &["moved=1", "2"], &["moved=1, 2"], &["moved=1,2"]] {
        let typed: Vec<String> = typed.iter().map(|t| (*t).to_owned()).collect();
        assert_eq!(judge(&round, &typed, Taking::default()).unwrap().values, ["moved=1,2"], "{typed:?}");
    }
    for bad in ["moved=", "moved= ", "1 2", "moved=1 1", "moved=0 2", "moved=1.2"] {
        assert!(judge(&round, &[bad.to_owned()], Taking::default()).is_err(), "{bad}");
    }
    assert_eq!(said(&round, &["moved=2"], Taking { rounds: 2, ..Taking::default() }).0, Verdict::Outside);
    assert!(judge(&round, &["moved=7".into()], Taking::default()).is_err());
}

#[test]
fn words_and_counts() {
    assert_eq!(said(&check(CheckKind::Confirm), &["no"], Taking::default()).0, Verdict::Outside);
    assert_eq!(said(&check(CheckKind::Gauge), &["go=yes", "no-go=yes"], Taking::default()).0, Verdict::Outside);
    let count = Check { lower: Some("6".into()), upper: Some("6".into()), unit: None, ..check(CheckKind::Count) };
    assert_eq!(said(&count, &["6"], Taking::default()).0, Verdict::Within);
    assert_eq!(said(&count, &["5"], Taking::default()).0, Verdict::Outside);
    for bad in ["6.0", "-6", "six", "", "99999999999"] {
        assert!(judge(&count, &[bad.to_owned()], Taking::default()).is_err(), "{bad}");
    }
}
