//! Values that were typed without their unit: what would have to stand there.

use crate::procedure::plan::Check;
use crate::quantity::parse_decimal;

use super::judge::{Taking, judge};

/// Values that lack nothing but their unit, with the unit of the check; none where they are values as they stand, or are none with
/// it either.
#[must_use]
pub fn with_units(check: &Check, typed: &[String]) -> Option<Vec<String>> {
    let unit = check.unit.as_deref()?;
    let with = |t: &String| {
        if parse_decimal(t).is_ok() { format!("{} {unit}", t.trim()) } else { t.clone() }
    };
    let values: Vec<String> = typed.iter().map(with).collect();
    let reads = |values: &[String]| judge(check, values, Taking::default()).is_ok();
    (!reads(typed) && reads(&values)).then_some(values)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::plan::CheckKind;

    #[test]
    fn only_what_lacks_its_unit_gets_one() {
        let plan = super::super::rules_tests::plan();
        let of = |kind| plan.steps.iter().flat_map(|s| &s.checks).find(|c| c.kind == kind && c.unit.is_some());
        let check = of(CheckKind::Measure).unwrap();
        let unit = check.unit.clone().unwrap();
        let said = |typed: &str| with_units(check, &[typed.to_owned()]);
        assert_eq!(said("18"), Some(vec![format!("18 {unit}")]));
        assert_eq!(said(&format!("18 {unit}")), None, "it stands there");
        assert_eq!(said("about 18"), None, "no unit makes that a value");
        let series = of(CheckKind::Series).unwrap();
        let unit = series.unit.clone().unwrap();
        let n = series.count.unwrap() as usize;
        let mixed = [vec![format!("24,5 {unit}")], vec!["24.6".to_owned(); n - 1]].concat();
        let told = with_units(series, &mixed).unwrap();
        assert_eq!((told[0].as_str(), told[1].clone()), (mixed[0].as_str(), format!("24.6 {unit}")));
        assert_eq!(with_units(series, &mixed[..n - 1]), None, "another value is missing as well");
    }
}
