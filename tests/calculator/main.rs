//! `calc`, by published values and worked examples. The source stands beside each.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod answers;
#[path = "../common/mod.rs"]
mod common;
mod rotor;

use common::{json, runtrue};
use serde_json::Value;

fn calc(arguments: &[&str]) -> Value {
    let home = tempfile::tempdir().unwrap();
    let (code, value) = json(home.path(), &[&["calc"], arguments].concat());
    assert_eq!(code, 0, "{arguments:?}: {value}");
    assert!(!value["basis"].as_array().unwrap().is_empty());
    value
}

/// Exit code and answer, whatever it is.
fn answered(arguments: &[&str]) -> (i32, Value) {
    let home = tempfile::tempdir().unwrap();
    json(home.path(), &[&["calc"], arguments].concat())
}

fn near(value: &Value, key: &str, wanted: f64, within: f64) {
    let found = value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"));
    assert!((found - wanted).abs() <= within, "{key}: {found} against {wanted}");
}

#[test]
fn threads_and_torque() {
    let m10 = calc(&["thread", "M10"]);
    near(&m10, "pitch_mm", 1.5, 0.0);
    near(&m10, "pitch_diameter_mm", 9.026, 5e-4); // ISO 724
    near(&m10, "minor_diameter_mm", 8.160, 5e-4); // d3, ISO 898-1
    near(&m10, "stress_area_mm2", 58.0, 0.05); // ISO 898-1, printed
    near(&m10, "nut_height_mm", 8.4, 0.0); // ISO 4032
    near(&m10, "across_flats_mm", 16.0, 0.0); // ISO 4032
    // A published torque table at 75 % of proof, friction 0.125 and 0.140: M10 42 and 47 N·m, M12 73 and 82, printed in
    // whole N·m; it states neither bearing diameter nor hole, hence 3.5 %.
    for (thread, friction, printed) in [
        ("M8", "0.125", 21.0),
        ("M10", "0.125", 42.0),
        ("M10", "0.140", 47.0),
        ("M12", "0.125", 73.0),
        ("M12", "0.140", 82.0),
        ("M14", "0.125", 117.0),
    ] {
        let t = calc(&[
            "torque",
            "--thread",
            thread,
            "--class",
            "8.8",
            "--friction",
            friction,
            "--preload-by",
            "proof",
            "--share",
            "0.75",
        ]);
        near(&t, "torque_nm", printed, printed * 0.035);
    }
    let k = calc(&["torque", "--thread", "M10", "--preload", "25 kN", "--nut-factor", "0.2"]);
    near(&k, "torque_nm", 50.0, 1e-9); // 0.2 × 25 kN × 10 mm
}

#[test]
fn joints_nuts_and_wrenches() {
    let base = ["joint", "--thread", "M12", "--class", "8.8", "--preload", "20 kN", "--friction", "0.14"];
    // By hand, M12 over 300 mm at 20 kN and 0.14: moment 23.15 N·m, 4.4 degrees, 237 and 300 MPa.
    let joint = calc(&[&base[..], &["--grip", "300 mm"]].concat());
    near(&joint, "twist_deg", 4.4, 0.05);
    near(&joint, "tension_mpa", 237.3, 0.1);
    near(&joint, "equivalent_mpa", 300.0, 0.5);
    near(&joint, "engagement_steel_mm", 12.0, 0.0);
    // Rz 16: two threads of 3, two faces of 3, one interface of 2 µm.
    near(&joint, "settling_um", 14.0, 1e-9);
    // The torque of 0.14 at friction 0.40 leaves less than half: arms of 2.212 and 5.803 mm, 20 kN·2.212/5.803·0.96 = 7.32 kN.
    let (half, wide) =
        (&joint["sure_preload_kn"], calc(&[&base[..], &["--grip", "300 mm", "--friction-up-to", "0.40"]].concat()));
    near(&wide, "sure_preload_kn", half.as_f64().unwrap() - 10.0 + 7.32, 0.01);
    let stainless =
        ["joint", "--thread", "M8", "--class", "A2-70", "--share", "0.6", "--friction", "0.2", "--grip", "80 mm"];
    let short = calc(&[&stainless[..], &["--out", "2.5 mm"]].concat());
    near(&short, "threads_out", 2.0, 1e-9);
    assert_eq!(short["protrusion"], "good");
    assert_eq!(answered(&[&stainless[..], &["--out", "1 mm"]].concat()).0, 1);
    // TORQBOLT, ISO 898-2: a nut 8 carries 8.8, a nut 6 does not.
    assert_eq!(calc(&["nut", "--thread", "M8", "--bolt", "8.8", "--nut", "8"])["carries"], true);
    assert_eq!(answered(&["nut", "--thread", "M8", "--bolt", "8.8", "--nut", "6"]).0, 1);
    let wrench = calc(&["wrench", "--torque", "17 N·m", "--from", "5.1 N·m", "--largest", "25 N·m"]);
    near(&wrench, "wrench_most_nm", 25.5, 1e-9); // ISO 6789: from a fifth of the range
    near(&wrench, "deviation_nm", 0.68, 1e-9); // 4 % above 10 N·m
    assert_eq!(answered(&["wrench", "--torque", "17 N·m", "--largest", "100 N·m"]).0, 1);
    let nut = ["securing", "--thread", "M8", "--class", "8.8", "--friction", "0.12", "--with"];
    let measured = calc(&[&nut[..], &["prevailing", "--measured", "2.5 N·m"]].concat());
    let plain = measured["torque_plain_nm"].as_f64().unwrap();
    near(&measured, "set_nm", plain + 2.5, 1e-4);
    assert_eq!(answered(&[&nut[..], &["locker", "--measured", "2.5 N·m"]].concat()).0, 2);
    // Class B is 0.08 to 0.16 (VDI 2230-1). By hand, M8: arms 0.944 and 1.689 mm, so 15.92 kN fall to 8.90 kN.
    let class_b = calc(&["torque", "--thread", "M8", "--class", "8.8", "--friction", "B"]);
    near(&class_b, "preload_high_friction_kn", 8.90, 0.01);
    near(&class_b, "scatter", 2.0, 0.0); // click wrench
    near(&class_b, "preload_low_kn", 15.92 / 2.0, 0.01); // less than 8.90·0.96 of the highest friction
    // At 0.24 the arm is 2.434 mm: 15.92·0.9438/2.434·0.96 = 5.93 kN, less than half.
    let wide = calc(&["torque", "--thread", "M8", "--class", "8.8", "--friction", "0.08", "--friction-up-to", "0.24"]);
    near(&wide, "preload_low_kn", 5.93, 0.01);
    assert_eq!(answered(&["torque", "--thread", "M8", "--class", "8.8", "--friction", "E"]).0, 2);
}

/// Published calculations of split hubs; the others by hand, as written beside them.
#[test]
fn what_carries_the_torque() {
    let hub = ["slip", "clamp", "--bolts", "4", "--each", "26.2 kN", "--shaft", "50 mm", "--friction", "0.16"];
    let loaded = calc(&[&hub[..], &["--torque", "500 N·m", "--axial", "1.5 kN", "--length", "50 mm"]].concat());
    near(&loaded, "pressure_mpa", 41.9, 0.05); // published calculation sheet, split hub of 50 mm
    near(&loaded, "safety", 1.67, 0.005);
    assert_eq!(answered(&[&hub[..], &["--torque", "900 N·m"]].concat()).0, 1);
    let ring = ["slip", "clamp", "--bolts", "1", "--each", "48.9 kN", "--shaft", "50 mm", "--friction", "0.17"];
    let ring = calc(&[&ring[..], &["--hinge", "31 mm", "--bolt-lever", "87 mm"]].concat());
    near(&ring, "across_split_kn", 137.235, 5e-4); // published calculation sheet, clamp ring
    near(&ring, "across_sure_kn", 48.9, 1e-9); // the bolt alone, no lever
    near(&ring, "torque_sure_nm", 415.65, 1e-9); // 0.17·48.9 kN·50 mm
    // Ring of 120 and 60 mm: worn (60 + 30)/2 = 45 mm; uniform 2/3·(60³ − 30³)/(60² − 30²) = 46.67 mm.
    let face =
        calc(&["slip", "faces", "--clamp", "10 kN", "--outer", "120 mm", "--inner", "60 mm", "--friction", "0.1"]);
    near(&face, "torque_low_nm", 45.0, 1e-9);
    near(&face, "torque_high_nm", 46.666_67, 1e-4);
    // DIN 6885-1 at 25 mm: 8 x 7; 60 N·m are 4800 N at the rim, on 3 x 24 mm.
    let key = calc(&["key", "--shaft", "25 mm", "--length", "32 mm", "--torque", "60 N·m"]);
    near(&key, "pressure_mpa", 66.667, 1e-3);
    near(&key, "depth_hub_mm", 3.3, 0.0);
    let screws = ["set-screw", "--thread", "M8", "--shaft", "25 mm", "--at", "0", "--at", "90"];
    near(&calc(&screws), "seating_nm", 17.0, 0.0); // Ruland
    assert_eq!(answered(&[&screws[..], &["--hardness", "600"]].concat()).0, 2);
    assert_eq!(answered(&[&screws[..], &["--torque", "60 N·m"]].concat()).0, 1);
    // By hand: 1.7071·2600 N·12.5 mm = 55.48 N·m over 4; the load shakes where nothing is said. Half the torque holds half.
    near(&calc(&screws), "allowed_nm", 13.87, 0.01);
    assert_eq!(calc(&screws)["load"], "shaking");
    near(&calc(&[&screws[..], &["--load", "steady"]].concat()), "allowed_nm", 36.99, 0.01);
    near(&calc(&[&screws[..], &["--tightened", "8.5 N·m"]].concat()), "torque_low_nm", 27.74, 0.01);
    assert_eq!(answered(&[&screws[..], &["--tightened", "20.1 N·m"]].concat()).0, 2);
    assert_eq!(answered(&[&screws[..], &["--tightened", "-1 N·m"]].concat()).0, 2);
}

/// Statics worked by hand for six M8 8.8 at 70 % of proof and two M6: 8 to 33 % of grip lost at 30 %, 27 to 109 % at 100 %.
#[test]
fn rods_and_collars_in_both_arrangements() {
    let stack = ["collars", "--rods", "6", "--rod", "M8", "--pinch", "2", "--pinch-thread", "M6"];
    let stack = [&stack[..], &["--shaft", "25 mm", "--circle", "100 mm", "--stack", "80 mm"]].concat();
    let both = |arguments: &[&str], key: &str| {
        let found = calc(&[&stack[..], arguments].concat());
        let of = |i: usize| found[key][i].as_f64().unwrap();
        ((of(0) * 100.0).round(), (of(1) * 100.0).round())
    };
    let rolled = ["--friction", "0.1", "--friction-up-to", "0.2"];
    assert_eq!(both(&[&rolled[..], &["--at", "0.3"]].concat(), "grip_lost"), (8.0, 33.0));
    assert_eq!(both(&[&rolled[..], &["--at", "1"]].concat(), "grip_lost"), (27.0, 109.0));
    assert_eq!(both(&[&rolled[..], &["--at", "0.3"]].concat(), "clamp_kept"), (97.0, 92.0));
    // By hand: 16.34 − 0.2·13.38·2 = 10.99 kN are left, 0.1·10.99 kN·25 mm. Clean dry faces at 0.74 take 19.8 kN, so all.
    near(&calc(&[&stack[..], &rolled[..]].concat()), "collar_worst_nm", 27.5, 0.05);
    assert_eq!(both(&["--at", "0.3"], "grip_lost"), (8.0, 121.0));
    near(&calc(&stack), "collar_worst_nm", 0.0, 0.0);
    assert_eq!(answered(&[&stack[..], &["--friction", "0.9"]].concat()).0, 2);
    near(&calc(&stack), "best_at", 0.3, 0.0);
    let plates = calc(&[&stack[..], &["--through", "plates"]].concat());
    near(&plates, "best_at", 1.0, 0.0);
    assert!(plates["gap_um"][1].as_f64().unwrap() > plates["gap_um"][0].as_f64().unwrap());
}

#[test]
fn patterns_fits_and_reaming() {
    let eight = calc(&["pattern", "--count", "8"]);
    assert_eq!(eight["order"], serde_json::json!([1, 5, 3, 7, 2, 6, 4, 8])); // ASME PCC-1, legacy
    let fit = calc(&["fit", "--size", "25 mm", "--hole", "H7", "--shaft", "h6"]);
    near(&fit, "hole_upper_um", 21.0, 0.0); // ISO 286-2
    near(&fit, "shaft_lower_um", -13.0, 0.0);
    near(&fit, "clearance_max_um", 34.0, 0.0);
    assert_eq!(fit["kind"], "clearance");
    assert_eq!(calc(&["fit", "--size", "25 mm", "--hole", "H7", "--shaft", "p6"])["kind"], "interference");
    assert_eq!(calc(&["fit", "--size", "25 mm", "--hole", "H7", "--shaft", "k6"])["kind"], "transition");
    // Dormer, DIN 1420: 10 D8 (10.062/10.040) has a reamer 10.058/10.050; H7 at 25 mm has +17/+9.
    let ream = calc(&[
        "ream",
        "--finished",
        "25 mm",
        "--zone",
        "H7",
        "--measured",
        "24.6 mm",
        "--edge",
        "bored",
        "--by",
        "hand",
    ]);
    near(&ream, "reamer_upper_mm", 25.017, 1e-9);
    near(&ream, "reamer_lower_mm", 25.009, 1e-9);
    assert_eq!(ream["verdict"], "good");
    near(&ream, "drill_mm", 24.5, 1e-9); // 24.45 to 24.65
    fits_at_the_bench();
    let (code, laser) = answered(&[
        "ream",
        "--finished",
        "25 mm",
        "--zone",
        "H7",
        "--measured",
        "24.8 mm",
        "--edge",
        "laser",
        "--by",
        "hand",
    ]);
    assert_eq!(code, 1, "{laser}");
    assert_eq!(laser["verdict"], "too little");
    assert!(laser["why"].as_str().unwrap().contains("hard skin"));
}

fn fits_at_the_bench() {
    let hub = calc(&[
        "fit",
        "--size",
        "25 mm",
        "--hole",
        "H7",
        "--shaft",
        "h6",
        "--at",
        "50 °C",
        "--hole-material",
        "aluminium",
    ]);
    near(&hub, "change_um", 8.475, 1e-3); // 25 mm · 11.3e-6/K · 30 K
    near(&hub, "clearance_max_there_um", 42.475, 1e-3);
    // NPL's rod, read with a gauge that holds its length.
    let rod = calc(&[
        "at-twenty",
        "--reading",
        "500.035 mm",
        "--part-at",
        "23.7 °C",
        "--instrument",
        "none",
        "--instrument-at",
        "20 °C",
    ]);
    near(&rod, "size_at_20_mm", 500.013, 5e-4);
    let soaked = calc(&["at-twenty", "--reading", "25 mm", "--part-at", "31 °C", "--instrument-at", "31 °C"]);
    near(&soaked, "correction_um", 0.0, 0.0);
    let light = calc(&["ream", "--finished", "10 mm", "--zone", "H7", "--measured", "9.6 mm", "--metal", "light"]);
    near(&light, "stock_most_mm", 0.225, 1e-9);
    let loose = calc(&["loose", "--unbalance", "6380 gmm", "--mass", "31.8 kg"]);
    near(&loose, "largest_clearance_mm", 0.40126, 1e-5);
    let decide = calc(&["decide", "--size", "25 mm", "--zone", "H7"]);
    let names = |key: &str| decide[key].to_string();
    assert!(names("cannot_decide").contains("caliper") && names("can_decide").contains("bore gauge"), "{decide}");
    assert!(names("can_decide").contains("plug gauge, go 25.000 and no-go 25.021 mm"));
    assert!(!decide.to_string().contains("outside micrometer"), "a bore is no outside size: {decide}");
    let shaft = calc(&["decide", "--size", "25 mm", "--zone", "h6"]);
    assert!(
        shaft["can_decide"].to_string().contains("outside micrometer (U 0.004 mm): 24.991 to 24.996 mm"),
        "{shaft}"
    );
    let home = tempfile::tempdir().unwrap();
    let with = |value: &str, guard: &str| {
        let words =
            ["calc", "decide", "--size", "25 mm", "--zone", "H7", "--uncertainty", "0.005 mm", "--guard", guard];
        let (code, answer) = json(home.path(), &[&words[..], &["--value", value]].concat());
        (code, answer["verdict"].as_str().unwrap().to_owned())
    };
    assert_eq!(with("25.005 mm", "whole"), (0, "within".into()));
    assert_eq!(with("25.0045 mm", "whole"), (1, "undecided".into()));
    assert_eq!(with("25.0045 mm", "95"), (0, "within".into())); // 0.83 · 5 µm
    assert_eq!(with("25.026 mm", "whole"), (1, "outside".into()));
}

#[test]
fn belts_balls_and_bearings() {
    // One belt maker's table: size over balls is effective diameter + 2x, PK ball 2.5 mm and 2x 0.99 mm (ISO 9982:2021).
    let pk = calc(&["over-balls", "--profile", "PK", "--effective", "80 mm"]);
    near(&pk, "ball_mm", 2.5, 0.0);
    near(&pk, "over_balls_mm", 80.99, 1e-9);
    let by_length = calc(&[
        "belt",
        "--profile",
        "PJ",
        "--ribs",
        "8",
        "--small",
        "60 mm",
        "--large",
        "200 mm",
        "--length",
        "1200 mm",
        "--tension",
        "160 N",
    ]);
    near(&by_length, "deflection_force_n", 10.0, 1e-9); // T/16 at span/64
    let centre = format!("{} mm", by_length["centre_mm"]);
    let back =
        calc(&["belt", "--profile", "PJ", "--ribs", "8", "--small", "60 mm", "--large", "200 mm", "--centre", &centre]);
    near(&back, "length_mm", 1200.0, 1e-3);
    assert!(back["frequency_hz"].is_null());
    belt_at_the_bench(&by_length);
    let life = calc(&["bearing", "--dynamic", "14 kN", "--load", "1.4 kN", "--speed", "1000 rpm"]);
    near(&life, "life_mrev", 1000.0, 1e-6); // (C/P)³
    near(&life, "life_h", 16_666.67, 0.01);
    mounted_bearings();
}

/// What the reading, the sled and the adjuster are asked about the same belt.
fn belt_at_the_bench(belt: &Value) {
    assert_eq!((belt["fit_in_mm"].as_f64(), belt["take_up_mm"].as_f64()), (Some(15.0), Some(18.0)));
    let span = format!("{} mm", belt["span_mm"]);
    let by_force = calc(&["tension", "--span", &span, "--force", "10 N", "--ribs", "8"]);
    near(&by_force, "tension_n", 160.0, 1e-6);
    near(&by_force, "tension_rib_n", 20.0, 1e-6);
    let heard = format!("{} Hz", belt["frequency_hz"]);
    // 8 ribs of 0.009 kg/m on 1.2 m are 86.4 g.
    let by_ear =
        calc(&["tension", "--span", &span, "--frequency", &heard, "--weighed", "86.4 g", "--length", "1200 mm"]);
    near(&by_ear, "tension_n", 160.0, 0.01);
    near(&by_ear, "uncertainty_percent", 2.296, 0.001); // 1 % meter, 1 of 383 mm, 1 % scales
    let turned = calc(&[
        "belt",
        "--profile",
        "PK",
        "--ribs",
        "4",
        "--small",
        "80 mm",
        "--large",
        "200 mm",
        "--centre",
        "380 mm",
        "--change",
        "-44 N",
        "--lead",
        "1.5 mm",
    ]);
    // A thousandth of the length, over two strands.
    let moved = turned["length_mm"].as_f64().unwrap() / 1000.0 / 2.0;
    near(&turned, "centre_change_mm", -moved, 0.02 * moved);
    near(&turned, "turns", -moved / 1.5, 0.02 * moved);
    let slots = calc(&[
        "slots",
        "--profile",
        "PJ",
        "--length",
        "1600 mm",
        "--driver",
        "250 mm",
        "--step",
        "140 mm",
        "--step",
        "80 mm",
    ]);
    // The table's travel: 15 mm inward, 23 mm outward.
    let (inner, outer) = (slots["inner_mm"].as_f64().unwrap(), slots["outer_mm"].as_f64().unwrap());
    let centre = |i: usize| slots["centre_mm"][i].as_f64().unwrap();
    assert!((inner - (centre(0) - 15.0)).abs() < 1e-3 && (outer - (centre(1) + 23.0)).abs() < 1e-3, "{slots}");
    let measured = calc(&["over-balls", "--profile", "PJ", "--measured", "80.21 mm", "--ribs", "6"]);
    near(&measured, "effective_mm", 79.98, 1e-6);
    near(&measured, "face_width_mm", 15.3, 1e-6);
}

fn mounted_bearings() {
    // f0·Fa/C0 = 13.9·0.4/7.8 = 0.713: Y 1.699 by interpolation, Fa/Fr above e: 0.56·0.8 + 1.699·0.4 = 1.1276 kN.
    let both = calc(&["bearing", "--insert", "UC205", "--load", "0.8 kN", "--axial", "0.4 kN", "--speed", "300 rpm"]);
    near(&both, "equivalent_kn", 1.1276, 2e-4);
    near(&both, "static_safety", 9.75, 1e-6); // 7.8 kN over the radial 0.8 kN
    assert_eq!(both["shaft_class"], "h6"); // P/C 0.08
    let unit = calc(&["unit", "UC205", "--shaft", "h7"]);
    near(&unit, "seat_most_um", 42.0, 0.0); // bore +21, shaft -21
    near(&unit, "set_screw_high_nm", 9.6, 1e-9);
    assert_eq!(unit["set_screw_published"].as_array().unwrap().len(), 4);
    let grows = calc(&["growth", "--between", "460 mm", "--shaft", "30 °C", "--frame", "20 °C", "--play", "0.1 mm"]);
    near(&grows, "growth_mm", 0.05382, 1e-6); // 460 · 11.7e-6 · 10
    let home = tempfile::tempdir().unwrap();
    let (code, hot) = json(
        home.path(),
        &["calc", "growth", "--between", "460 mm", "--shaft", "45 °C", "--frame", "20 °C", "--play", "0.1 mm"],
    );
    assert_eq!((code, hot["one_must_float"].as_bool()), (1, Some(true)));
}
