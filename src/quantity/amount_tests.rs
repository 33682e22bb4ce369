use super::*;

fn number(text: &str, kind: Kind, to: &str) -> String {
    let amount = Amount::parse_as(text, kind).unwrap();
    amount.in_unit(unit(to).unwrap()).unwrap().to_string()
}

#[test]
fn what_people_write() {
    assert_eq!(number("25 mm", Kind::Length, "mm"), "25");
    assert_eq!(number("0,984 in", Kind::Length, "mm"), "24.9936");
    assert_eq!(number("63/64 in", Kind::Length, "mm"), "25.003125");
    assert_eq!(number("1 1/2 in", Kind::Length, "mm"), "38.1");
    assert_eq!(number("24.10mm", Kind::Length, "mm"), "24.10");
    assert_eq!(number("46 N m", Kind::Torque, "N·m"), "46");
    assert_eq!(number("46Nm", Kind::Torque, "N·m"), "46");
    assert_eq!(number("300 1/min", Kind::Speed, "rpm"), "300");
    assert_eq!(number("300/min", Kind::Speed, "rpm"), "300");
    assert_eq!(number("-0.05 mm", Kind::Length, "µm"), "-50");
    assert_eq!(number("1e8 N/m", Kind::Stiffness, "N/m"), "100000000");
    assert_eq!(number("2,5e-2 mm", Kind::Length, "µm"), "25");
    assert_eq!(number("32 °F", Kind::Temperature, "°C"), "0");
    assert_eq!(number("50 °F", Kind::Temperature, "°C"), "10");
    assert_eq!(number("-40 °F", Kind::Temperature, "°C"), "-40");
    assert_eq!(number("37 °C", Kind::Temperature, "°F"), "98.6");
}

#[test]
fn what_is_refused_names_what_is_needed() {
    let said = |text: &str, kind| Amount::parse_as(text, kind).unwrap_err().to_string();
    assert!(said("25", Kind::Length).contains("a length is needed, like \"25 mm\""));
    assert!(said("25 kg", Kind::Length).contains("is a mass; a length is needed"));
    assert!(said("25 parsec", Kind::Length).contains("parsec"));
    assert!(said("1,234.5 mm", Kind::Length).contains("one comma or one point"));
    assert!(said("mm", Kind::Length).contains("number"));
    assert!(said("1-2 mm", Kind::Length).contains('"'));
    assert!(said("1e400 mm", Kind::Length).contains("digits"));
    assert!(said("--5 mm", Kind::Length).contains("number"));
    assert!(said("1 234 mm", Kind::Length).contains("thousands"));
    assert!(said("1/3 in", Kind::Length).contains("no exact decimal"));
    assert!(said("1/0 in", Kind::Length).contains("number"));
    assert!(said("NaN mm", Kind::Length).contains("number"));
    assert!(said(&format!("1{} mm", "0".repeat(40)), Kind::Length).contains("digits"));
}

#[test]
fn the_largest_number_there_is_does_not_stop_the_program() {
    let coldest = Amount::parse_as("-79228162514264337593543950335 °F", Kind::Temperature).unwrap();
    assert!(coldest.as_f64() < -4e28 && coldest.base().is_err());
}

#[test]
fn nothing_is_rounded_on_the_way_to_the_base_unit() {
    let long = Amount::parse_as("1.23456789012345678901 lbf·ft", Kind::Torque).unwrap();
    assert!(matches!(long.base(), Err(QuantityError::TooLong(_))));
    assert!((long.as_f64() - 1.673_849_303_863_01).abs() < 1e-12);
}

/// 28 places behind the point are kept, as a fraction, by its power of ten and in full; what is read can be written and read again.
#[test]
fn what_is_read_can_be_written_and_read_again() {
    for text in ["2/1e28", "2e-28", "0.0000000000000000000000000002", "79228162514264337593543950335", "0,1"] {
        let read = parse_decimal(text).unwrap();
        assert_eq!(parse_decimal(&read.to_string()), Ok(read), "{text}");
    }
    for text in
        ["2e-29", "0.00000000000000000000000000002", "79228162514264337593543950336", "1.00000000000000000000000000001"]
    {
        assert!(parse_decimal(text).is_err(), "{text}: {:?}", parse_decimal(text));
    }
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config {
        cases: 2_000,
        rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_125),
        ..Default::default()
    })]

    /// Whatever is typed is read or refused in words, never a panic, and never as something unbounded.
    #[test]
    fn anything_typed_is_read_or_refused(text in "[-+−0-9.,/eE ]{0,12}( ?(mm|in|°F|N·m|g·mm|%|µm|[a-z]{1,4}))?|\\PC{0,40}") {
        for &kind in Kind::ALL {
            match Amount::parse_as(&text, kind) {
                Ok(amount) => {
                    proptest::prop_assert!(amount.as_f64().is_finite());
                    let plain = format!("{} {}", amount.number, amount.unit.symbol);
                    proptest::prop_assert_eq!(Amount::parse_as(&plain, kind).unwrap().number, amount.number);
                }
                Err(refused) => proptest::prop_assert!(!refused.to_string().is_empty()),
            }
        }
    }

    /// Digits stay as typed, and a comma is a point.
    #[test]
    fn digits_stay_and_a_comma_is_a_point(whole in 0u32..1_000_000, part in "[0-9]{1,6}") {
        let read = |sign: char| Amount::parse_as(&format!("{whole}{sign}{part} mm"), Kind::Length).unwrap();
        proptest::prop_assert_eq!(read(',').number.to_string(), format!("{whole}.{part}"));
        proptest::prop_assert_eq!(read(',').number, read('.').number);
    }

    /// Inches to millimetres and back is the number that was typed.
    #[test]
    fn inches_and_back(thousandths in 1u32..50_000) {
        let inches = Decimal::new(i64::from(thousandths), 3);
        let mm = Amount::parse_as(&format!("{inches} in"), Kind::Length).unwrap().base().unwrap();
        let back = Amount::parse_as(&format!("{mm} mm"), Kind::Length).unwrap().in_unit(unit("in").unwrap()).unwrap();
        proptest::prop_assert_eq!(back, inches.normalize());
    }
}
