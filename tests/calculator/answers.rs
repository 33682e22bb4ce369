//! What cannot be answered says why and how; what falls short ends with 1.

use super::*;

#[test]
fn what_cannot_be_answered_says_why_and_how() {
    let home = tempfile::tempdir().unwrap();
    let said = |arguments: &[&str]| {
        let output = runtrue(home.path(), &[&["calc"], arguments].concat());
        (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    for (arguments, words) in [
        (&[][..], "Example: runtrue calc torque"),
        (&["nonsense"], "Example: runtrue calc torque"),
        (&["fit", "--size", "25 mm", "--hole", "H7"], "runtrue calc fit --size"),
        (&["fit", "--size", "25", "--hole", "H7", "--shaft", "h6"], "a length is needed"),
        (&["fit", "--size", "25 kg", "--hole", "H7", "--shaft", "h6"], "is a mass"),
        (&["fit", "--size", "121 mm", "--hole", "H7", "--shaft", "h6"], "1 to 120 mm"),
        (&["thread", "M7"], "M3, M4"),
        (&["torque", "--thread", "M10", "--class", "8.8", "--friction", "0.9"], "0.04 to 0.40"),
        (&["bearing", "--dynamic", "14 kN", "--load", "9 kN", "--speed", "300 rpm"], "half the dynamic rating"),
        (
            &["belt", "--profile", "PJ", "--ribs", "8", "--small", "19 mm", "--large", "200 mm", "--centre", "300 mm"],
            "20 mm",
        ),
        (
            &["belt", "--profile", "PJ", "--ribs", "8", "--small", "60 mm", "--large", "200 mm", "--centre", "130 mm"],
            "above",
        ),
        (
            &[
                "belt",
                "--profile",
                "PJ",
                "--ribs",
                "8",
                "--small",
                "60 mm",
                "--large",
                "200 mm",
                "--centre",
                "300 mm",
                "--change",
                "9 N",
                "--lead",
                "1.5 mm",
            ],
            "--stretch",
        ),
        (&["slots", "--profile", "PK", "--length", "1600 mm", "--driver", "250 mm", "--step", "140 mm"], "PJ, PL"),
        (&["tension", "--span", "320 mm", "--force", "9 N", "--deflection", "40 mm"], "twentieth"),
        (
            &[
                "tension",
                "--span",
                "320 mm",
                "--frequency",
                "40 Hz",
                "--weighed",
                "86 g",
                "--length",
                "1 m",
                "--meter",
                "-5",
            ],
            "at least 0",
        ),
        (&["tension", "--span", "320 mm"], "Example"),
        (&["over-balls", "--profile", "PK", "--effective", "44 mm"], "at least 45 mm"),
        (&["bearing", "--load", "1 kN", "--speed", "300 rpm"], "--dynamic"),
        (&["bearing", "--dynamic", "14 kN", "--load", "1 kN", "--axial", "1 kN", "--speed", "300 rpm"], "--f0"),
        (&["bearing", "--insert", "UC211", "--load", "1 kN", "--speed", "300 rpm"], "UC204 to UC210"),
        (&["unit", "UC205", "--shaft", "h20"], "tolerance class"),
        (&["growth", "--between", "460 mm", "--shaft", "30 °C", "--frame", "20 °C"], "Example"),
        (&["fit", "--size", "25 mm", "--hole", "h7", "--shaft", "H6"], "capital letters"),
        (&["decide", "--size", "25 mm"], "Example"),
        (&["decide", "--lower", "25.1 mm", "--upper", "25 mm"], "not below"),
        (
            &["at-twenty", "--reading", "25 mm", "--part", "wood", "--part-at", "20 °C", "--instrument-at", "20 °C"],
            "aluminium",
        ),
        (&["ream", "--finished", "60 mm", "--zone", "H7", "--measured", "59 mm"], "50 mm"),
        (&["rotor", "--outer", "100 mm", "--bore", "25 mm", "--thickness", "20 mm", "--speed", "300 rpm"], "ten times"),
        (
            &[
                "balance",
                "four-run",
                "--trial",
                "10 g",
                "--initial",
                "5.6",
                "--at",
                "0=5.0",
                "--at",
                "120=3.2",
                "--at",
                "240=8.0",
            ],
            "contradict",
        ),
    ] {
        let (code, text) = said(arguments);
        assert_eq!(code, 2, "{arguments:?}: {text}");
        assert!(text.contains(words) && !text.contains("panicked"), "{arguments:?}: {text}");
    }
    // Readings that agree badly are answered with a no: the figures, and not to use them.
    let (code, value) = json(
        home.path(),
        &[
            "calc",
            "balance",
            "four-run",
            "--trial",
            "10 g",
            "--initial",
            "5.0",
            "--at",
            "0=6.1",
            "--at",
            "120=4.0",
            "--at",
            "240=5.6",
        ],
    );
    assert_eq!((code, value["usable"].as_bool()), (1, Some(false)));
}

/// An answer that falls short of what was asked ends with 1, and is the same answer all the same.
#[test]
fn what_falls_short_ends_with_one() {
    let bending = ["bending", "--shaft", "10 mm", "--length", "1000 mm", "--bearing", "0 mm", "--bearing", "1000 mm"];
    let rows: [(&str, &[&str], &str, i32); 12] = [
        ("ream", &["--finished", "25 mm", "--zone", "H7", "--measured", "24.6 mm"], "verdict", 0),
        ("ream", &["--finished", "25 mm", "--zone", "H7", "--measured", "24.9 mm"], "verdict", 1),
        ("ream", &["--finished", "25 mm", "--zone", "H7", "--measured", "24.0 mm"], "verdict", 1),
        ("stack", &["--part", "5 x 8 mm ±0.2", "--rod", "M8"], "fits", 0),
        ("stack", &["--part", "5 x 8 mm ±0.8", "--rod", "M8"], "fits", 1),
        ("bearing", &["--insert", "UC205", "--load", "1 kN", "--speed", "300 rpm"], "static_safety", 0),
        (
            "bearing",
            &["--dynamic", "14 kN", "--static", "0.9 kN", "--load", "1 kN", "--speed", "300 rpm"],
            "static_safety",
            1,
        ),
        ("unit", &["UC205", "--shaft", "h7"], "seats_as", 0),
        ("unit", &["UC205", "--shaft", "k6"], "seats_as", 1),
        ("unit", &["UC205", "--shaft", "d11"], "seats_as", 1),
        (bending[0], &[&bending[1..], &["--load", "500 mm: 20 N"]].concat(), "slope_within", 0),
        (bending[0], &[&bending[1..], &["--load", "500 mm: 200 N"]].concat(), "slope_within", 1),
    ];
    for (topic, flags, key, wanted) in rows {
        let (code, value) = answered(&[&[topic], flags].concat());
        assert_eq!(code, wanted, "{topic} {flags:?}: {value}");
        assert!(value.get(key).is_some(), "{value}");
    }
    let loose = |most: &str| {
        let bore =
            ["--bore-least", "25.05 mm", "--bore-most", most, "--shaft-least", "24.987 mm", "--shaft-most", "25 mm"];
        answered(&[&["loose", "--unbalance", "6380 gmm", "--mass", "31.8 kg"], &bore[..]].concat()).0
    };
    assert_eq!((loose("25.25 mm"), loose("25.9 mm")), (0, 1));
    let small = answered(&["balance", "vector", "--initial", "4.2@35", "--trial", "10 g@0", "--with-trial", "4.3@36"]);
    assert!(small.0 == 1 && small.1["trial_told"].to_string().contains("too little"), "{small:?}");
}
