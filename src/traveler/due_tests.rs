//! Dates worked out by hand: month ends, leap years, time zones, the change of the clocks.

use chrono::NaiveDate;
use rust_decimal::Decimal;

use super::event::{Body, Corrects, Event, Header};
use super::hours::HoursRun;
use super::record::Record;
use super::rules_tests::{entry, start};
use super::state::Integrity;
use crate::procedure::plan::FollowUp;
use crate::standards::settling::Interval;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn rule(hours: Option<u32>, days: Option<u32>, months: Option<u32>) -> Interval {
    Interval { hours, days, months }
}

fn follow(times: &[Interval]) -> FollowUp {
    FollowUp {
        id: "rods".into(),
        joint: "rods".into(),
        name: "the rod nuts".into(),
        what: "Recheck the rod nuts".into(),
        parts: vec!["rods".into()],
        step: "recheck-rods-visit".into(),
        set_by: vec!["tighten-rods-final".into(), "tighten-rods-circular".into()],
        after: "spin-first".into(),
        times: times.to_vec(),
        basis: "a test".into(),
    }
}

/// The small plan worked through, its run at a given time; then events as they come.
fn ran(at: &str, times: &[Interval], more: &[(&str, Body)]) -> Record {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    for (step, check, values) in [
        ("inspect-disc", "bore", &["24.60 mm", "24.60 mm"][..]),
        ("inspect-disc", "lot", &["4711"]),
        ("inspect-disc", "holes", &["6"]),
        ("ream-disc", "plug", &["go=yes no-go=no"]),
        ("tighten-rods-final", "torque", &["clicked=3/3"]),
        ("tighten-rods-circular", "round", &["moved=0"]),
        ("prove-slip", "line", &["yes"]),
    ] {
        s.enter(&entry(step, check, values, "ak")).unwrap();
    }
    let release =
        super::Release { step: "prove-slip".into(), by: "mh".into(), role: "design".into(), ..Default::default() };
    s.release(&release).unwrap();
    s.enter(&entry("guard-drum", "closed", &["yes"], "ak")).unwrap();
    s.enter(&entry("spin-first", "room", &["20 °C"], "ak")).unwrap();
    let mut events = s.record().events.clone();
    let Body::Started(started) = &mut events[0].body else { panic!("no start") };
    let mut plan = (*started.plan).clone();
    plan.follow_up = vec![follow(times)];
    started.plan = plan.into();
    events.last_mut().unwrap().header.at = at.to_owned();
    for (at, body) in more {
        let event = events.len() as u64 + 1;
        let header =
            Header { event, before: String::new(), at: (*at).to_owned(), by: "ak".into(), what: body.what().into() };
        events.push(Event { header, body: body.clone(), hash: String::new() });
    }
    Record::of_events("small-1", events, Integrity::default()).unwrap()
}

fn hours(hours: &str, corrects: Option<u64>) -> Body {
    let corrects = corrects.map(|event| Corrects { event, reason: "slip".into() });
    Body::Hours(HoursRun { hours: hours.into(), corrects })
}

/// Counted by hand on a calendar.
#[test]
fn dates_are_those_of_the_calendar_at_the_place_of_the_run() {
    let cases = [
        // 30 days hath November: the 27th and five days is the 2nd.
        ("2026-11-27T16:00:00.000+01:00", rule(None, Some(5), None), "2026-12-02"),
        // Over the end of February, in a leap year and not.
        ("2028-02-25T16:00:00.000+01:00", rule(None, Some(5), None), "2028-03-01"),
        ("2027-02-25T16:00:00.000+01:00", rule(None, Some(5), None), "2027-03-02"),
        // A month later than the 31st is the last day of a shorter one.
        ("2026-08-31T09:00:00.000+02:00", rule(None, None, Some(1)), "2026-09-30"),
        ("2027-08-31T09:00:00.000+02:00", rule(None, None, Some(6)), "2028-02-29"),
        // Clocks go back on 2026-10-25 in Europe; a day stays a day.
        ("2026-10-24T23:30:00.000+02:00", rule(None, Some(5), None), "2026-10-29"),
        // Late in the evening where it ran: the next day in UTC and still that day there. And the other way round.
        ("2026-12-31T23:30:00.000-08:00", rule(None, Some(5), None), "2027-01-05"),
        ("2027-01-01T00:30:00.000+13:00", rule(None, Some(5), None), "2027-01-06"),
        ("2027-11-27T10:00:00.000+01:00", rule(None, Some(365), None), "2028-11-26"),
    ];
    for (at, times, wanted) in cases {
        let due = ran(at, &[times], &[]).due();
        assert_eq!((due.len(), due[0].on), (1, Some(day(wanted))), "{at}");
        let wanted = day(wanted);
        assert!(!due[0].now(wanted.pred_opt().unwrap()) && due[0].now(wanted) && !due[0].overdue(wanted), "{at}");
        assert!(due[0].overdue(wanted.succ_opt().unwrap()), "{at}");
    }
}

#[test]
fn nothing_is_due_before_the_run_nor_of_a_record_that_says_nothing() {
    let mut record = ran("2026-11-27T16:00:00.000+01:00", &[rule(None, Some(5), None)], &[]);
    let run = record.events.pop().unwrap();
    let before = Record::of_events("small-1", record.events.clone(), Integrity::default()).unwrap();
    assert!(before.follows_up() && before.due().is_empty());
    record.events.push(run);
    let home = tempfile::tempdir().unwrap();
    let (_, s) = start(home.path());
    assert!(!s.record().follows_up() && s.record().due().is_empty());
}

/// 8 h are due: 3 and 4.5 are 7.5, not yet; half an hour more is 8, due and overdue whatever the date. A note of 12 h put right to
/// 1.2 h counts 1.2. Set again, the joint begins anew.
#[test]
fn hours_of_running_count_as_noted_and_as_put_right() {
    let at = "2026-11-27T16:00:00.000+01:00";
    let rule = [rule(Some(8), Some(14), None)];
    let today = day("2026-11-28");
    let noted = |list: &[Body]| {
        let more: Vec<(&str, Body)> = list.iter().map(|b| (at, b.clone())).collect();
        ran(at, &rule, &more).due().remove(0)
    };
    let some = noted(&[hours("3", None), hours("4.5", None)]);
    assert!(some.run_h == Decimal::new(75, 1) && !some.now(today), "{some:?}");
    assert_eq!(some.when(), "2026-12-11, or 7.5 of 8 h run");
    assert!(noted(&[hours("3", None), hours("4.5", None), hours("0.5", None)]).overdue(today));
    let last = ran(at, &rule, &[]).events.len() as u64;
    let right = noted(&[hours("12", None), hours("1.2", Some(last + 1)), hours("1", None)]);
    assert_eq!(right.run_h, Decimal::new(22, 1));
    let twice = noted(&[hours("12", None), hours("1.2", Some(last + 1)), hours("0.2", Some(last + 2))]);
    assert_eq!(twice.run_h, Decimal::new(2, 1));
}

/// A correction turns no bolt: the joint stays due from its run. One set anew has not run since, and says so.
#[test]
fn a_corrected_reading_keeps_its_date_and_a_joint_set_anew_waits_for_its_run() {
    let times = [rule(None, Some(7), None)];
    let run = "2026-07-14T10:00:00.000+02:00";
    let before = ran(run, &times, &[]);
    let found = before.events.iter().find_map(|e| match &e.body {
        Body::Reading(r) if r.step == "tighten-rods-final" => Some((e.header.event, r.clone())),
        _ => None,
    });
    let (event, reading) = found.unwrap();
    let later = "2026-07-20T10:00:00.000+02:00";
    let mut right = reading.clone();
    right.corrects = Some(Corrects { event, reason: "mistyped".into() });
    let corrected = ran(run, &times, &[(later, Body::Reading(right))]);
    assert_eq!(corrected.due(), before.due());
    assert!(corrected.due()[0].on == Some(day("2026-07-21")) && corrected.not_run().is_empty());
    let anew = ran(run, &times, &[(later, Body::Reading(reading))]);
    assert!(anew.due().is_empty());
    assert_eq!(anew.not_run().iter().map(|f| f.id.as_str()).collect::<Vec<_>>(), ["rods"]);
}
