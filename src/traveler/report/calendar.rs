//! What is due as a calendar file, iCalendar by RFC 5545: one all-day event each, which a phone or a desk takes in.

use chrono::{DateTime, Utc};
use sha2::{Digest, Sha256};

use crate::module::printable;
use crate::traveler::due::Due;

/// Longest line in bytes, without its end (RFC 5545, 3.1).
const LONGEST: usize = 75;

/// One entry of a calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// What makes it this one and no other: read in again, it takes the place of the one before.
    pub key: String,
    /// What is done, and on what.
    pub summary: String,
    /// Why, and by whose rule.
    pub description: String,
    /// The day.
    pub on: chrono::NaiveDate,
}

impl Entry {
    /// The entry of something due; none where no date is known. `whose` tells builds apart for good, `build` is their name.
    #[must_use]
    pub fn of(whose: &str, build: &str, due: &Due) -> Option<Self> {
        Some(Self {
            key: format!("{whose} {} {}", due.id, due.since.0),
            summary: format!("{build}: {}", due.what),
            description: format!("{}. Counted from {}. {}.", due.when(), due.since.1, due.basis),
            on: due.on?,
        })
    }
}

/// The file, stamped with the time it was made.
#[must_use]
pub fn calendar(entries: &[Entry], now: DateTime<Utc>) -> String {
    let mut out = String::new();
    let mut line = |text: &str| fold(text, &mut out);
    for head in ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//runtrue//what is due//EN", "CALSCALE:GREGORIAN"] {
        line(head);
    }
    for e in entries {
        line("BEGIN:VEVENT");
        line(&format!("UID:{}@runtrue", uid(&e.key)));
        line(&format!("DTSTAMP:{}", now.format("%Y%m%dT%H%M%SZ")));
        line(&format!("DTSTART;VALUE=DATE:{}", e.on.format("%Y%m%d")));
        line(&format!("SUMMARY:{}", escaped(&e.summary)));
        line(&format!("DESCRIPTION:{}", escaped(&e.description)));
        line("TRANSP:TRANSPARENT");
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    out
}

/// The same for the same key, and no word of a person in it.
fn uid(key: &str) -> String {
    Sha256::digest(key.as_bytes()).iter().take(16).map(|b| format!("{b:02x}")).collect()
}

/// A value of type TEXT (RFC 5545, 3.3.11). What a terminal could obey is made visible before.
fn escaped(text: &str) -> String {
    let text = printable(text).replace('\r', "");
    text.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,").replace('\n', "\\n").replace('\t', " ")
}

/// A content line with CRLF, folded before it grows too long; no letter is cut in two.
fn fold(text: &str, out: &mut String) {
    let mut length = 0;
    for c in text.chars() {
        if length + c.len_utf8() > LONGEST {
            out.push_str("\r\n ");
            length = 1;
        }
        out.push(c);
        length += c.len_utf8();
    }
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{NaiveDate, TimeZone};
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 128, rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_127), ..ProptestConfig::default() })]
        /// Whatever a person called a part: it stays one value of one entry, for another program's reader as well.
        #[test]
        fn any_words_stay_one_value(text in prop_oneof![any::<String>(), Just("x\r\nEND:VEVENT\r\nBEGIN:VALARM;\u{1b}[2J\\,".to_owned())]) {
            use icalendar::{CalendarComponent, Component};
            let on = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
            let summary = format!("a {text} z");
            let entry = Entry { key: text.clone(), summary: summary.clone(), description: text, on };
            let file = calendar(&[entry], Utc.with_ymd_and_hms(2026, 2, 28, 23, 59, 5).unwrap());
            prop_assert!(file.split("\r\n").all(|l| l.len() <= 75 && !l.chars().any(char::is_control)), "{file:?}");
            let read: icalendar::Calendar = file.parse().unwrap();
            prop_assert_eq!(read.components.len(), 1);
            let CalendarComponent::Event(event) = &read.components[0] else { panic!("no event") };
            let wanted = printable(&summary).replace('\t', " ");
            prop_assert_eq!(event.get_summary().unwrap(), wanted);
        }
    }

    #[test]
    fn lines_end_fold_and_escape_by_the_standard() {
        let entry = Entry {
            key: "k".into(),
            summary: "a;b,c\\d\ne".into(),
            description: "ü".repeat(80),
            on: NaiveDate::from_ymd_opt(2026, 3, 1).unwrap(),
        };
        let now = Utc.with_ymd_and_hms(2026, 2, 28, 23, 59, 5).unwrap();
        let text = calendar(&[entry], now);
        assert!(text.contains("\r\nSUMMARY:a\\;b\\,c\\\\d\\ne\r\n"), "{text}");
        assert!(text.contains("DTSTAMP:20260228T235905Z\r\nDTSTART;VALUE=DATE:20260301\r\n"));
        assert!(text.split("\r\n").all(|l| l.len() <= 75 && !l.contains('\n')) && text.ends_with("END:VCALENDAR\r\n"));
        // By hand: "DESCRIPTION:" has 12 bytes, so 31 letters of two bytes fit into the first line and 37 into the next.
        assert!(text.contains(&format!(
            "DESCRIPTION:{}\r\n {}\r\n {}\r\n",
            "ü".repeat(31),
            "ü".repeat(37),
            "ü".repeat(12)
        )));
    }
}
