use super::*;

fn demo() -> String {
    embedded("flywheel").unwrap().text
}

fn changed(from: &str, to: &str) -> Result<Module, Problems> {
    let text = demo();
    assert!(text.contains(from), "{from} is not in the demo");
    let text = text.replacen(from, to, 1);
    read(&Source { name: "x.yaml".into(), text })
}

#[test]
fn the_demo_reads() {
    let module = read(&embedded("flywheel").unwrap()).unwrap_or_else(|p| panic!("{}", p.report()));
    assert_eq!(module.shaft.length.mm(), 560.0);
    assert_eq!(module.axes.len(), 2);
    assert_eq!(Setup::all(&module).len(), 15);
    assert_eq!(module.stack.unwrap().rods.lengths[&5].mm(), 116.0);
    assert_eq!(
        module.limits.load(),
        crate::standards::set_screws::Load::Shaking,
        "nothing is said, so the severe side"
    );
}

/// One fault a row: what is put in place of what, and what the message must hold.
#[test]
fn every_fault_is_told_with_line_column_words_and_mend() {
    let faults = [
        ("  length: 560 mm", "  lenght: 560 mm", "Did you mean \"length\"?"),
        ("  steel: C45\n", "", "\"steel\" is missing"),
        ("length: 560 mm", "length: 560 kg", "is a mass; a length is needed"),
        ("length: 560 mm", "length: 560", "has no unit"),
        ("length: 560 mm", "length: -560 mm", "cannot be"),
        ("slip safety: 1.5", "slip safety: 1.5\n  load: calm", "Write one of: steady, shaking."),
        ("length: 1600 mm", "length: 1,600.0 mm", "one comma or one point"),
        ("diameter: 25 mm h6", "diameter: 25 mm", "no tolerance class"),
        ("part: base,", "part: pulley,", "two parts have the id \"pulley\""),
        ("part: base,", "part: disc-3,", "\"disc-3\" is one of the discs already: they are disc-1 to disc-5"),
        ("balance grade: G 16", "balance grade: G -5", "must be above 0"),
        ("hardness: 210 HV", "hardness: 0 HV", "must be above 0"),
        ("lengths: { 1: 84 mm,", "lengths: { 01: 84 mm,", "\"01\" is not a number of discs"),
        ("part: collar-far }", "part: collar-fra }", "names no part of this module"),
        ("floats: bearing-far", "floats: bearing-left", "is not one of the bearings"),
        ("{ count: 6, on: 80 mm", "{ count: 5, on: 80 mm", "but the discs have 5 holes"),
        ("first: 5 }", "first: 9 }", "not among the allowed values"),
        ("allowed: [slow,", "allowed: [slower,", "is not possible for pulley"),
        ("secure: second nut", "secure: none", "nothing keeps the bolts of the rods tight"),
        ("kind: two halves", "kind: three halves", "Write one of: two halves"),
        ("use: 60 % of proof", "use: 160 % of proof", "from 5 to 90 %"),
        ("at: 370 mm", "at: 770 mm", "beyond the shaft's end"),
        ("at: 370 mm", "at: 110 mm", "does not lie after"),
        ("{ part: pulley, at: 370 mm }", "{ part: pulley }", "\"pulley\" does not say where on the shaft it stands"),
        ("{ part: bearing-far, at: 50 mm }", "{ part: bearing-far }", "\"bearing-far\" does not say where"),
        ("seen from: drive end", "seen from: the pulley", "Write one of: far end, drive end."),
        ("new: 55 N per rib", "new: 55 N", "per rib"),
        ("revision: A\n", "revision: A\nrevision: B\n", "written twice"),
        ("count: 5\n", "count: five\n", "whole number"),
        ("[mh]", "[m h]", "cannot be initials"),
        ("design: [mh], ", "", "nobody stands for the design side"),
        ("outer: 380 mm", "outer: [380 mm]", "YAML"),
    ];
    for (from, to, wanted) in faults {
        let Err(problems) = changed(from, to) else { panic!("{to:?} was accepted") };
        let report = problems.report();
        assert!(problems.to_string().contains(wanted), "{to:?}: {wanted} is missing in\n{report}");
        assert!(report.contains("line ") && report.contains("column "), "{report}");
        assert!(report.contains("help:"), "{report}");
    }
}

#[test]
fn an_escaped_control_code_is_refused_wherever_it_stands() {
    let rows = [
        ("title: Flywheel of the pedal thresher", "title: \"a\\e[2Jb\""),
        ("slow: 140 mm", "\"sl\\e[2Jow\": 140 mm"),
        ("{ design: [mh]", "{ \"x\\e[2J\": [zz], design: [mh]"),
        ("made by: laser shop, bores by the lathe shop", "made by: \"a\\x07\""),
        ("from: belt maker's sheet", "from: \"a\\u009b31m\""),
    ];
    for (from, to) in rows {
        let Err(problems) = changed(from, to) else { panic!("{to:?} was accepted") };
        assert!(problems.to_string().contains("control code U+00"), "{to}: {problems}");
    }
}

#[test]
fn pins_of_end_plates_are_read_and_their_faults_told() {
    let text = embedded("testwheel").unwrap().text;
    let with = |to: &str| read(&Source { name: "x".into(), text: text.replacen("depth: 8 mm", to, 1) });
    let pins = with("depth: 7 mm").unwrap().stack.unwrap().plates.unwrap().pins.unwrap();
    assert_eq!((*pins.count, pins.diameter.mm(), pins.on.mm(), pins.depth.mm()), (2, 6.0, 55.0, 7.0));
    for (to, wanted) in [("depth: 8 kg", "is a mass"), ("deep: 8 mm", "deep")] {
        let report = with(to).unwrap_err().report();
        assert!(report.contains(wanted) && report.contains("help:"), "{report}");
    }
}

#[test]
fn the_heavy_side_is_read_and_its_faults_told() {
    let text = embedded("testwheel").unwrap().text;
    let with = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        read(&Source { name: "x".into(), text: text.replacen(from, to, 1) })
    };
    let way = with("on: edges", "on: rollers").unwrap().stack.unwrap().discs.heavy_side.unwrap();
    assert_eq!((way.on.word(), way.mandrel_mass.kg(), way.arm.mm(), way.radius.mm()), ("rollers", 1.2, 0.02, 140.0));
    for (from, to, wanted) in [
        ("on: edges", "on: knives", "edges, rollers"),
        ("mandrel: 30 mm h6", "mandrel: 25 mm h6", "does not fit the finished bore"),
        ("mandrel: 30 mm h6", "mandrel: 30 mm", "no tolerance class"),
        ("mandrel mass: 1.2 kg", "mandrel mass: 1.2 mm", "is a length"),
        ("arm: 0.02 mm", "arm: 2 mm", "about 0.01 mm"),
        ("radius: 140 mm", "radius: 151 mm", "between its bore and its rim"),
        ("radius: 140 mm", "radious: 140 mm", "radious"),
    ] {
        let report = with(from, to).unwrap_err().report();
        assert!(report.contains(wanted) && report.contains("help:"), "{to}: {report}");
    }
}

/// What two sections rest on is read once, and a fault in it told once.
#[test]
fn a_fault_of_a_disc_with_a_heavy_side_is_told_once() {
    let text = embedded("testwheel").unwrap().text;
    for (from, to) in [("outer: 300 mm", "outer: 300 kg"), ("finish: ream 30 mm H7", "finish: ream 30 mm")] {
        assert!(text.contains(from), "{from}");
        let problems = read(&Source { name: "x".into(), text: text.replacen(from, to, 1) }).unwrap_err();
        assert_eq!(problems.list().len(), 1, "{}", problems.report());
    }
}

#[test]
fn several_faults_are_told_at_once() {
    let text = demo().replacen("560 mm", "560 kg", 1).replacen("380 mm", "380", 1);
    let problems = read(&Source { name: "x".into(), text }).unwrap_err();
    assert_eq!(problems.list().len(), 2);
    assert!(problems.list()[0].place < problems.list()[1].place);
}

#[test]
fn hostile_text_is_refused_quickly_and_in_words() {
    let head = "runtrue: spec 1\n";
    let bomb: String = std::iter::once("a0: &a0 [x]\n".to_owned())
        .chain((1..9).map(|n| format!("a{n}: &a{n} [{}]\n", vec![format!("*a{}", n - 1); 9].join(", "))))
        .collect();
    for text in [
        String::new(),
        "# only a comment\n".into(),
        "[".repeat(20_000),
        format!("{head}{}", "[".repeat(20_000)),
        format!("{head}{bomb}"),
    ] {
        let report = read(&Source { name: "x".into(), text }).unwrap_err().report();
        assert!(report.contains("help:"), "{report}");
    }
}

#[test]
fn a_setup_that_is_not_allowed_names_what_is() {
    let module = read(&embedded("flywheel").unwrap()).unwrap();
    let choose = |axis: &str, value: &str| Setup::choose(&module, &[(axis.to_owned(), value.to_owned())].into());
    assert!(choose("discs", "7").unwrap_err().to_string().contains("1, 2, 3, 4, 5"));
    assert!(choose("colour", "red").unwrap_err().to_string().contains("discs, pulley"));
    assert_eq!(choose("discs", "2").unwrap().words(), "2 discs, slow");
}

/// A demo with words of its spec changed, each of which must stand there.
pub(crate) fn demo_with(demo: &str, changes: &[(&str, &str)]) -> Module {
    let mut text = embedded(demo).unwrap().text;
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    read(&Source { name: "x".into(), text }).unwrap_or_else(|p| panic!("{}", p.report()))
}
