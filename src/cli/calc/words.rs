//! Answers in words: what a key of the JSON is called at the bench, and in which unit its number is.

use serde_json::Value;

/// Endings of keys and their units, longer ones before the shorter that they end with.
const UNITS: [(&str, &str); 27] = [
    ("_mrev", "million turns"),
    ("_percent", "%"),
    ("_kgm2", "kg·m²"),
    ("_gmm2", "g·mm²"),
    ("_kg_m", "kg/m"),
    ("_m_s", "m/s"),
    ("_mm2", "mm²"),
    ("_gmm", "g·mm"),
    ("_nms", "N·m·s"),
    ("_mpa", "MPa"),
    ("_rpm", "rpm"),
    ("_deg", "°"),
    ("_mm", "mm"),
    ("_um", "µm"),
    ("_nm", "N·m"),
    ("_kn", "kN"),
    ("_kg", "kg"),
    ("_hz", "Hz"),
    ("_kw", "kW"),
    ("_g", "g"),
    ("_n", "N"),
    ("_j", "J"),
    ("_h", "h"),
    ("_s", "s"),
    ("_k", "K"),
    ("_w", "W"),
    ("_c", "°C"),
];

/// Keys whose own words say too little.
const NAMES: [(&str, &str); 63] = [
    ("accept_from_mm", "accepted from"),
    ("accept_to_mm", "accepted up to"),
    ("add", "how to correct"),
    ("allowed_nm", "torque with a safety"),
    ("axis_height_mm", "height of the axis"),
    ("binds_at_k", "play used up at a difference of"),
    ("cautious_rpm", "first critical speed, the cautious one"),
    ("centre_change_mm", "change of the centre"),
    ("change_um", "change of the clearance"),
    ("clamp_kept", "share of the clamping force kept"),
    ("clearance_low_um", "bearing clearance, least"),
    ("clearance_high_um", "bearing clearance, largest"),
    ("clearance_min_um", "clearance, least"),
    ("clearance_max_um", "clearance, largest"),
    ("clearance_min_there_um", "clearance there, least"),
    ("clearance_max_there_um", "clearance there, largest"),
    ("correction_deg", "correction at"),
    ("correction_g", "correction"),
    ("counts", "washers on each hole"),
    ("critical_rpm", "critical speeds, forward whirl"),
    ("deflection_force_n", "force at the deflection"),
    ("depth_mm", "depth, full diameter"),
    ("depth_at_tip_mm", "depth at the tip"),
    ("drag_by_speed_nms", "drag that grows with speed"),
    ("drill_mm", "drill"),
    ("equivalent_kn", "equivalent load"),
    ("equivalent_mpa", "equivalent stress"),
    ("fits", "goes together"),
    ("holes_at_1", "hole of each disc at position 1"),
    ("grip_lost", "share of the grip lost"),
    ("guard_for_half_mm", "largest guard band that leaves half the tolerance"),
    ("guard_mm", "guard band"),
    ("highest_in_service_rpm", "highest speed in service"),
    ("inertia_kgm2", "moment of inertia"),
    ("indices", "holes each disc is turned by"),
    ("left_rms", "reading left, root mean square"),
    ("life_mrev", "rating life"),
    ("life_h", "rating life in hours"),
    ("moment_nm", "bending moment"),
    ("next_deg", "then add at"),
    ("next_g", "then add"),
    ("nut_factor", "nut factor K"),
    ("permissible_gmm", "permissible unbalance"),
    ("reamer_lower_mm", "reamer, least"),
    ("reamer_upper_mm", "reamer, largest"),
    ("seats_as", "seats no better than"),
    ("seat_least_um", "play of the ring on the shaft, least"),
    ("seat_most_um", "play of the ring on the shaft, largest"),
    ("share", "share of the proof load"),
    ("sinks_mm", "sinks by"),
    ("size_at_20_mm", "size at 20 °C"),
    ("slope_allowed_deg", "slope allowed at a bearing"),
    ("slope_deg", "slope at the bearings"),
    ("specific_um", "permissible offset of the centre of mass"),
    ("speed_within", "speed within it"),
    ("stiff_cautious_rpm", "first critical speed on a stiff frame"),
    ("stock_least_mm", "stock per side, least"),
    ("stock_most_mm", "stock per side, largest"),
    ("trial_told", "trial weight told"),
    ("two_kelvin_um", "uncertainty of two kelvin"),
    ("worst_gmm", "unbalance of the worst arrangement"),
    ("yield_use", "share of the yield strength"),
    ("zero_speed_hz", "natural frequencies at standstill"),
];

/// What a key is called, and the unit of its number.
fn words(key: &str) -> (String, &'static str) {
    let ending = UNITS.iter().find(|(ending, _)| key.ends_with(ending));
    let (bare, unit) = ending.map_or((key, ""), |(ending, unit)| (&key[..key.len() - ending.len()], *unit));
    let name =
        NAMES.iter().find(|(k, _)| *k == key).map_or_else(|| bare.replace('_', " "), |(_, name)| (*name).to_owned());
    (name, unit)
}

/// One key on a line; a list of objects one object a line under it.
pub fn line(key: &str, value: &Value) -> String {
    let (name, unit) = words(key);
    match value {
        Value::Array(list) if list.first().is_some_and(Value::is_object) => {
            let rows = list.iter().map(|v| format!("\n  {}", plain(v, ", ", "")));
            format!("{name}{}", rows.collect::<String>())
        }
        Value::Array(list) if key == "basis" => {
            let sources = list.iter().map(|v| format!("\n  {}", plain(v, " to ", "")));
            format!("{name}{}", sources.collect::<String>())
        }
        other => format!("{name:<42} {}", plain(other, ", ", unit)),
    }
}

fn plain(value: &Value, between: &str, unit: &str) -> String {
    let with = |text: String| if unit.is_empty() { text } else { format!("{text} {unit}") };
    match value {
        Value::String(s) => s.clone(),
        Value::Null => "-".into(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.into(),
        Value::Number(n) => with(n.to_string()),
        Value::Array(list) => {
            let numbers = !list.is_empty() && list.iter().all(Value::is_number);
            let all: Vec<String> = list.iter().map(|v| plain(v, " to ", if numbers { "" } else { unit })).collect();
            if numbers { with(all.join(between)) } else { all.join(between) }
        }
        Value::Object(keys) => {
            let pair = |(k, v): (&String, &Value)| {
                let (name, unit) = words(k);
                // A disc for a disc, and not from one number to another.
                let between = if matches!(k.as_str(), "indices" | "holes_at_1") { " " } else { " to " };
                format!("{name} {}", plain(v, between, unit))
            };
            keys.iter().map(pair).collect::<Vec<_>>().join(between)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn people_read_words_and_units_and_programs_keep_their_keys() {
        let said = |key: &str, value: Value| line(key, &value).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(said("stock_per_side_mm", json!(0.2)), "stock per side 0.2 mm");
        assert_eq!(said("inertia_kgm2", json!(0.5)), "moment of inertia 0.5 kg·m²");
        assert_eq!(said("zero_speed_hz", json!([77.1, 300.2])), "natural frequencies at standstill 77.1, 300.2 Hz");
        assert_eq!(said("slope_within", json!(false)), "slope within no");
        assert_eq!(said("drill_mm", Value::Null), "drill -");
        assert_eq!(said("worst_case_mm", json!([78.8, 81.2])), "worst case 78.8, 81.2 mm");
        assert_eq!(said("setups", json!([{ "discs": 3, "rod_least_mm": 92.1 }])), "setups discs 3, rod least 92.1 mm");
    }

    #[test]
    fn a_longer_ending_is_tried_before_the_one_it_ends_with() {
        for (k, (ending, _)) in UNITS.iter().enumerate() {
            assert!(!UNITS[..k].iter().any(|(earlier, _)| ending.ends_with(earlier)), "{ending} is never reached");
        }
        assert_eq!((words("force_n").1, words("left_rms").1, words("kind").1), ("N", "", ""));
    }
}
