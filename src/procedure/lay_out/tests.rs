use super::*;
use crate::module::{Setup, tree};
use crate::procedure::design_check::{self, Severity};

fn answers(given: &[(&str, &str)]) -> Answers {
    let mut answers = Answers::default();
    for (flag, words) in given {
        question(flag).unwrap().take(&mut answers, words, false).unwrap();
    }
    answers
}

/// Answers by flag, and the answer that is to blame where they do not add up.
type Set<'a> = (&'a [(&'a str, &'a str)], Option<&'a str>);

/// Sets of answers, as builders may give them: each adds up in every setup, or the answer to blame is named with one that would do.
#[test]
fn each_set_of_answers_adds_up_or_names_the_answer_that_does_not() {
    let sets: [Set<'_>; 11] = [
        (&[], None),
        (&[("discs", "1"), ("speeds", "150 rpm")], None),
        (&[("holes", "24"), ("discs", "3"), ("bearings-apart", "600 mm")], None),
        (
            &[("discs-stand", "overhung"), ("discs", "1 to 2"), ("diameter", "300 mm"), ("bearings-apart", "250 mm")],
            None,
        ),
        (
            &[
                ("discs", "0"),
                ("driver", "300 rpm"),
                ("speeds", "90 rpm"),
                ("torque", "5 N·m"),
                ("bearings-apart", "300 mm"),
            ],
            None,
        ),
        (
            &[
                ("shaft", "40 mm"),
                ("torque", "20 N·m"),
                ("holes", "8"),
                ("discs", "2 to 4"),
                ("bearings-apart", "700 mm"),
            ],
            None,
        ),
        (
            &[
                ("shaft", "20 mm"),
                ("diameter", "1200 mm"),
                ("thickness", "40 mm"),
                ("discs", "8"),
                ("bearings-apart", "1500 mm"),
            ],
            Some("shaft"),
        ),
        (&[("driver", "1500 rpm"), ("speeds", "3000 rpm"), ("diameter", "1200 mm"), ("discs", "1")], Some("diameter")),
        (&[("bearings-apart", "150 mm")], Some("bearings-apart")),
        // No belt goes round pulleys that large: what asks for them is the torque.
        (&[("torque", "60 N·m"), ("discs", "1"), ("speeds", "150 rpm")], Some("torque")),
        (&[("diameter", "90 mm"), ("holes", "24")], Some("diameter")),
    ];
    let mut mended = 0;
    for (given, blamed) in sets {
        let answers = answers(given);
        match (lay_out(&answers, None), blamed) {
            (Ok(laid), None) => {
                let checked = design_check::check(&laid.module);
                let weigh: Vec<_> = checked.findings.iter().filter(|f| f.severity != Severity::Note).collect();
                assert!(weigh.is_empty(), "{given:?}: {weigh:?}");
                let counts = answers.discs.1 - answers.discs.0 + 1;
                let steps = u32::try_from(answers.speeds.len()).unwrap();
                assert_eq!(Setup::all(&laid.module).len(), (counts * steps) as usize, "{given:?}");
                assert_eq!(laid.module.limits.torque.nm(), answers.torque);
            }
            (Err(not), Some(blamed)) => {
                assert_eq!(not.answer, blamed, "{given:?}: {not:?}");
                assert!(not.why.chars().any(|c| c.is_ascii_digit()), "by how much: {not}");
                // The answer that is to blame is one whose change mends it, and its value is told.
                // Where no answer mends it alone, none is named.
                assert!(not.instead.first().is_none_or(|(flag, _)| *flag == blamed), "{not:?}");
                mended += usize::from(!not.instead.is_empty());
                for (flag, value) in not.instead.iter().take(1) {
                    let mut other = answers.clone();
                    question(flag).unwrap().take(&mut other, value, false).unwrap();
                    assert!(lay_out(&other, None).is_ok(), "{flag} {value}");
                }
            }
            (found, blamed) => panic!("{given:?}: {blamed:?} and {:?}", found.map(|l| l.text)),
        }
    }
    assert!(mended >= 2, "only {mended} of the answers to blame came with a value that mends");
}

/// The speeds that were asked for come out, by the middle of the makers' line differences, within a millimetre's rounding of a step.
#[test]
fn the_steps_turn_the_rotor_as_asked() {
    let answers = answers(&[("discs", "1"), ("speeds", "100 rpm; 140 rpm")]);
    let laid = lay_out(&answers, None).unwrap();
    for (setup, asked) in Setup::all(&laid.module).iter().zip(&answers.speeds) {
        let figures = crate::procedure::Figures::of(&laid.module, setup).unwrap();
        let middle = f64::midpoint(figures.drives[0].ratios.0, figures.drives[0].ratios.1) * answers.driver;
        assert!((middle / asked - 1.0).abs() < 0.015, "{middle} for {asked}");
    }
}

#[test]
fn on_a_family_only_what_is_its_own_is_written_and_the_family_is_kept_to() {
    let text = "runtrue: family 1\nlimits: { slip safety: 2, balance grade: G 6.3 }\nshaft: { steel: S355 }\ncollars:\n  each: [one, two]\npeople: { design: [zz] }\n";
    let family = tree(text, crate::module::File::Family).unwrap();
    let laid = lay_out(&answers(&[("discs", "2")]), Some(("shared.yaml", &family))).unwrap();
    assert!(laid.text.starts_with("runtrue: spec 1\nbuilds on: shared.yaml"), "{}", laid.text);
    for own in ["slip safety", "balance grade", "design", "each: [one, two]"] {
        assert!(!laid.text.contains(own), "{own} in\n{}", laid.text);
    }
    assert_eq!(laid.module.limits.slip_safety.to_string(), "2");
    assert_eq!(laid.module.shaft.steel.value, "S355");
    assert!(laid.module.shaft.order.iter().any(|on| on.part.value == "two" && on.face_at.is_some()));
}
