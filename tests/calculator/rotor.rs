//! Shafts, critical speeds, run-downs, stacks and balance, by published values and worked examples.

use super::*;

#[test]
fn critical_speeds() {
    let home = tempfile::tempdir().unwrap();
    // ross-rotordynamics (PyPI), Euler-Bernoulli: a bare shaft of 1 m, 25 mm, on stiff bearings at its ends, 50.292 Hz.
    let bare = calc(&[
        "critical",
        "--shaft",
        "25 mm",
        "--length",
        "1000 mm",
        "--bearing",
        "0 mm",
        "--bearing",
        "1000 mm",
        "--stiffness",
        "1e10 N/m",
    ]);
    assert!((bare["zero_speed_hz"][0].as_f64().unwrap() - 50.292).abs() < 0.001, "{bare}");
    let demo = calc(&["critical", "flywheel", "--discs", "3"]);
    let check = json(home.path(), &["check", "flywheel"]).1;
    let three = check["setups"].as_array().unwrap().iter().find(|s| s["set"]["discs"] == "3").unwrap().clone();
    let figure = three["figures"]["first_critical_rpm"].as_f64().unwrap();
    assert!((figure - demo["cautious_rpm"].as_f64().unwrap()).abs() < 0.1, "{figure} {demo}");
    assert!(
        three["figures"].as_object().unwrap().values().all(|v| !v.is_null()),
        "no figure of the demo is null: {three}"
    );
    for bad in [
        &["critical", "--shaft", "25 mm", "--length", "1 m", "--bearing", "0 mm"][..],
        &["critical", "--shaft", "25 mm", "--length", "1 m", "--bearing", "0 mm", "--bearing", "2 m"],
        &["critical", "--shaft", "25 mm", "--length", "1 m", "--bearing", "0 mm", "--bearing", "1 m", "--disc", "300"],
    ] {
        assert_eq!(json(home.path(), &[&["calc"], bad].concat()).0, 2, "{bad:?}");
    }
}

#[test]
fn balancing() {
    near(
        &calc(&["balance", "permissible", "--grade", "2.5", "--mass", "3600 kg", "--speed", "3000 rpm"]),
        "permissible_gmm",
        28_647.9,
        0.1,
    ); // ISO 1940-1 annex, inputs from memory
    // A field report: 83.5 at 308.87 printed, its angles 0.06° off; computed 83.429 at 308.806.
    let one = calc(&[
        "balance",
        "vector",
        "--initial",
        "4.81@16.8",
        "--trial",
        "103.25 g@0",
        "--with-trial",
        "4.7628 at 299.9",
    ]);
    near(&one, "correction_g", 83.5, 0.08);
    near(&one, "correction_deg", 308.87, 0.07);
    // Brüel & Kjær application note 17-227 (inputs from memory): 2.95 g at 50.2°, 2.84 g at 278.1°.
    let two = [
        "balance",
        "two-plane",
        "--initial",
        "7.2@238,13.5@296",
        "--trial-1",
        "2.5@0",
        "--with-1",
        "4.9@114,9.2@347",
        "--trial-2",
        "2.5@0",
        "--with-2",
        "4.0@79,12.0@292",
    ];
    let two = calc(&two);
    near(&two, "correction_1_g", 2.9514, 1e-4);
    near(&two, "correction_1_deg", 50.189, 1e-3);
    near(&two, "correction_2_g", 2.8441, 1e-4);
    near(&two, "correction_2_deg", 278.116, 1e-3);
    // The same with the first trial weight kept on, made from 14 g at 250° and 9 g at 130°.
    let kept = [
        "balance",
        "two-plane",
        "--initial",
        "6.71145@112.7121,4.54892@338.4124",
        "--trial-1",
        "6@45",
        "--with-1",
        "8.89941@103.4327,4.44246@330.1033",
        "--trial-2",
        "8@270",
        "--with-2",
        "10.05542@105.3828,8.39554@324.3700",
        "--keep-trial-1",
    ];
    let kept = calc(&kept);
    near(&kept, "correction_1_g", 14.0, 1e-3);
    near(&kept, "correction_1_deg", 250.0, 1e-2);
    near(&kept, "correction_2_g", 9.0, 1e-3);
    near(&kept, "correction_2_deg", 130.0, 1e-2);
    // Split of the field report on 292.5° and 315°: 23.3 and 61.49 printed, angle as above.
    let parts =
        calc(&["balance", "split", "--mass", "83.429 g", "--angle", "308.806", "--holes", "16", "--first", "0"]);
    near(&parts, "mass_a_g", 23.523, 0.01);
    near(&parts, "mass_b_g", 61.209, 0.01);
    assert_eq!((parts["hole_a"].as_u64(), parts["hole_b"].as_u64()), (Some(14), Some(15)));
}

#[test]
fn shafts_run_downs_and_stacks() {
    let home = tempfile::tempdir().unwrap();
    // 300 N overhung 120 mm on a span of 400 mm, shaft without weight: −90 and 390 N, 36 N·m at the near bearing.
    let given = ["--shaft", "30 mm", "--length", "650 mm", "--bearing", "100 mm", "--bearing", "500 mm"];
    let overhung = [&["bending"][..], &given, &["--density", "0 kg/m3", "--load", "620 mm: 300 N"]].concat();
    let bent = calc(&overhung);
    near(&bent, "moment_nm", 36.0, 1e-9);
    near(&bent, "moment_at_mm", 500.0, 1e-9);
    assert_eq!(bent["reaction_down_n"], serde_json::json!([-90.0, 390.0]));
    assert_eq!(bent["slope_within"], true);
    let of_spec = calc(&["bending", "flywheel", "--discs", "5"]);
    assert!(of_spec["bending_stress_mpa"].as_f64().unwrap() > 1.0, "{of_spec}");
    // 5 kg·m² at 60 rad/s and 1 N·m rest after 300 s, and the drag comes back from two speeds.
    let stop = calc(&["run-down", "--inertia", "5 kg·m2", "--speed", "572.9578 rpm", "--torque", "1 N·m"]);
    near(&stop, "time_s", 300.0, 1e-3);
    let back = calc(&[
        "run-down",
        "--inertia",
        "5 kgm2",
        "--speed",
        "572.9578 rpm",
        "--then",
        "286.4789 rpm",
        "--after",
        "150 s",
    ]);
    near(&back, "drag_nm", 1.0, 1e-6);
    // By hand: 5·(8 ± 0.2) + 2·(20 ± 0.1), rods as in the doc of rod_needed_between.
    let parts = ["--part", "5 x 8 mm ±0.2", "--part", "2 x 20 mm ±0.1", "--samples", "10000"];
    let stack = calc(&[&["stack"][..], &parts, &["--rod", "M8", "--second-nuts"]].concat());
    assert_eq!(stack["worst_case_mm"], serde_json::json!([78.8, 81.2]));
    near(&stack, "rod_least_mm", 114.1, 1e-9);
    near(&stack, "rod_most_mm", 116.7, 1e-9);
    let all = calc(&["stack", "flywheel", "--samples", "10000"]);
    let rows = all["setups"].as_array().unwrap();
    assert_eq!(rows.iter().map(|r| r["discs"].as_u64().unwrap()).collect::<Vec<_>>(), [1, 2, 3, 4, 5]);
    assert!(
        rows.iter()
            .all(|r| r["shaft_needed_mm"].as_f64().unwrap() <= 560.0 && r["least_gap_mm"].as_f64().unwrap() > 0.0)
    );
    for bad in [
        &["run-down", "--inertia", "5 kg·m2", "--speed", "300 rpm"][..],
        &["run-down", "--inertia", "5 kg", "--speed", "300 rpm", "--torque", "1 N·m"],
        &["stack", "--part", "five x 8 mm"],
        &["stack", "--part", "5 x 8 mm ±0.2", "--samples", "10"],
        &["bending", "--shaft", "30 mm", "--length", "650 mm", "--bearing", "100 mm"],
    ] {
        let (code, value) = json(home.path(), &[&["calc"], bad].concat());
        assert_eq!(code, 2, "{bad:?}: {value}");
    }
}

#[test]
fn what_balance_permits_finds_and_weighs() {
    let home = tempfile::tempdir().unwrap();
    let planes = ["--centre", "150 mm", "--plane", "0 mm", "--plane", "240 mm"];
    let asked =
        [&["balance", "permissible", "--grade", "G 2.5", "--mass", "3600 kg", "--speed", "3000 rpm"][..], &planes];
    let permitted = calc(&asked.concat());
    near(&permitted, "plane_1_gmm", 28_647.9 * 0.375, 0.1);
    near(&permitted, "plane_2_gmm", 28_647.9 * 0.625, 0.1);
    // 0.1 N·m hides 10 197 g·mm: more than half of 6380.
    let (code, value) =
        json(home.path(), &["calc", "balance", "floor", "--breakaway", "0.1 N·m", "--permitted", "6380 gmm"]);
    assert_eq!((code, value["decides"].as_bool()), (1, Some(false)));
    let weighed = calc(&[
        "balance", "weigh", "--radius", "100 mm", "--start", "0=30", "--start", "90=20", "--start", "180=30",
        "--start", "270=40",
    ]);
    near(&weighed, "unbalance_gmm", 1000.0, 1e-6);
    near(&weighed, "correction_deg", 270.0, 1e-6);
    let two = calc(&["balance", "two-run", "--trial", "20 g", "--initial", "3", "--at", "0=5", "--at", "180=4"]);
    near(&two, "correction_g", 17.693, 0.001);
    let masses = calc(&[
        "balance",
        "masses",
        "--unbalance",
        "900 gmm@30",
        "--at",
        "100 mm",
        "--plane",
        "0 mm",
        "--plane",
        "300 mm",
    ]);
    near(&masses, "correction_1_gmm", 600.0, 1e-6);
    near(&masses, "correction_2_deg", 210.0, 1e-6);
    let alike = ["balance", "two-plane", "--initial", "5@10,6@20", "--trial-1", "1@0", "--with-1", "6@10,7@20"];
    let alike = calc(&[&alike[..], &["--trial-2", "1@0", "--with-2", "6.1@10,6.9@20"]].concat());
    assert!(alike["condition_warning"].as_str().unwrap().contains("alike"), "{alike}");
    for bad in [
        &["balance", "permissible", "--grade", "0.1", "--mass", "1 kg", "--speed", "300 rpm"][..],
        &["balance", "index", "--holes", "6", "--disc", "50 gmm@20", "--known-within", "108 gmm"],
        &["balance", "two-run", "--trial", "20 g", "--initial", "9", "--at", "0=5", "--at", "180=4"],
        &["balance", "weigh", "--radius", "100 mm", "--start", "0=30"],
    ] {
        assert_eq!(json(home.path(), &[&["calc"], bad].concat()).0, 2, "{bad:?}");
    }
}

/// The torque in the shaft counts, and a soft frame judges where none is named.
#[test]
fn bending_with_torque_and_critical_speeds_on_two_frames() {
    let shaft = ["--shaft", "30 mm", "--length", "650 mm", "--bearing", "100 mm", "--bearing", "500 mm"];
    let load = ["--load", "620 mm: 300 N", "--density", "0 kg/m3", "--torque", "20 N·m"];
    let bent = calc(&[&["bending"], &shaft[..], &load].concat());
    near(&bent, "bending_stress_mpa", 13.581, 0.001); // 32·36/(π·30³)
    near(&bent, "equivalent_mpa", 15.071, 0.001); // √(13.581² + 3·3.773²)
    let disc = ["--disc", "300 mm: 300 x 50 mm bore 30"];
    let both = calc(&[&["critical"], &shaft[..], &disc].concat());
    let on = |k: &str| calc(&[&["critical"], &shaft[..], &disc, &["--stiffness", k]].concat());
    let (soft, stiff) = (on("1e7 N/m"), on("1e8 N/m"));
    assert_eq!(both["critical_rpm"], stiff["critical_rpm"]);
    assert_eq!((&both["cautious_rpm"], &both["stiff_cautious_rpm"]), (&soft["cautious_rpm"], &stiff["cautious_rpm"]));
    assert!(soft["cautious_rpm"].as_f64() < stiff["cautious_rpm"].as_f64() && soft.get("stiff_cautious_rpm").is_none());
}
