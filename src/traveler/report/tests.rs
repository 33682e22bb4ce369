use super::*;
use crate::traveler::rules_tests::{entry, start};

const NASTY: &str = "<script>alert(1)</script> \"' & | `~~` =1+1\n# x\u{1b}[2J \u{202e}abc";

fn worked() -> (tempfile::TempDir, Record) {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    s.enter(&entry("inspect-disc", "lot", &[NASTY], "ak")).unwrap();
    s.enter(&entry("inspect-disc", "holes", &["5"], "ak")).unwrap();
    s.enter(&entry("inspect-disc", "holes", &["6"], "jo")).unwrap();
    s.note("inspect-disc", NASTY, "ak").unwrap();
    let record = s.record().clone();
    (home, record)
}

/// No register, no look at signatures.
const BARE: Beside<'static> = Beside { register: &Register { instruments: Vec::new() }, signatures: None };

fn reviewed(filter: &Filter) -> Document {
    review(&worked().1, &BARE, filter)
}

#[test]
fn peoples_words_are_words_in_every_form() {
    let document = reviewed(&Filter::default());
    let page = html(&document);
    assert!(page.contains("&lt;script&gt;") && !page.to_lowercase().contains("<script"));
    assert!(page.contains("&quot;&#39; &amp;"));
    for form in [text(&document), markdown(&document), page] {
        assert!(!form.chars().any(|c| (c.is_control() && c != '\n') || c == '\u{202e}'), "{form}");
    }
    let lines = markdown(&document);
    let row = lines.lines().find(|l| l.contains("script")).unwrap();
    assert!(row.contains("\\<script\\>") && row.contains("\\|") && row.contains("\\# x"), "{row}");
}

#[test]
fn a_page_holds_all_it_needs() {
    let page = html(&reviewed(&Filter::default()));
    for outside in ["http://", "https://", "src=", "url(", "@import", "<link"] {
        let found = page.replace("http://www.w3.org/2000/svg", "").contains(outside);
        assert!(!found, "{outside}");
    }
    assert!(page.contains("@media print") && page.starts_with("<!DOCTYPE html>"));
    let opened = page.matches("<table").count();
    assert!(opened > 3 && opened == page.matches("</table>").count());
    assert_eq!(page.matches("<tr>").count(), page.matches("</tr>").count());
}

#[test]
fn the_summary_comes_first_then_deviations_then_everything() {
    for form in [text, markdown, html] {
        let page = form(&reviewed(&Filter::default()));
        let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words} is missing in {page}"));
        assert!(at("Open points") < at("Deviations") && at("Deviations") < at("Steps") && at("Steps") < at("Notes"));
        assert!(at("record unchanged") < at("Open points"));
    }
}

#[test]
fn what_is_superseded_stays_and_is_struck_through() {
    let document = reviewed(&Filter::default());
    let plain = text(&document);
    assert!(plain.contains("was 5 (superseded: measured") && !plain.contains("~~5"), "{plain}");
    assert!(markdown(&document).contains("~~5~~ superseded: measured again in entry"));
    assert!(html(&document).contains("<s>5</s><br><small>superseded: measured again in entry"));
}

#[test]
fn a_filter_leaves_out_readings_and_never_the_summary() {
    let shown = |filter: Filter| text(&reviewed(&filter));
    let by = shown(Filter { by: Some("jo".into()), ..Filter::default() });
    assert!(by.contains("Open points") && by.contains("jo (fitter)") && !by.contains("was 5"), "{by}");
    let outside = shown(Filter { verdict: Some("outside".into()), ..Filter::default() });
    assert!(outside.contains("was 5 (superseded") && !outside.contains("script"), "{outside}");
    for none in [
        Filter { step: Some("ream-disc".into()), ..Filter::default() },
        Filter { instrument: Some("DI-3".into()), ..Filter::default() },
        Filter { until: Some("1999".into()), ..Filter::default() },
        Filter { from: Some("2999-01".into()), ..Filter::default() },
    ] {
        let page = shown(none.clone());
        assert!(page.contains("None shown.") && !page.contains("(superseded"), "{none:?}: {page}");
    }
}

#[test]
fn a_blank_traveler_has_a_line_for_each_value_and_the_cautions_before_them() {
    let module = crate::module::read(&crate::module::embedded("flywheel").unwrap()).unwrap();
    let setup = crate::module::Setup::choose(&module, &std::collections::BTreeMap::new()).unwrap();
    let plan = crate::procedure::make_plan(&module, &setup).unwrap();
    let document = blank(&plan, Some("017"), None);
    let rows = document.blocks.iter().map(|b| if let Block::Table(t) = b { t.rows.len() } else { 0 }).sum::<usize>();
    let wanted: usize = plan.steps.iter().map(|s| s.checks.len() + usize::from(s.hold.is_some())).sum();
    assert!(rows > wanted, "{rows} rows for {wanted} checks and releases: a series has several");
    let cautions: usize = plan.steps.iter().map(|s| s.cautions.len()).sum();
    let warned = document.blocks.iter().filter(|b| matches!(b, Block::Warning(..))).count();
    let of_runs = plan.running.as_ref().map_or(0, |r| r.trial.cautions.len());
    assert!(cautions > 10 && of_runs > 0 && warned == cautions + of_runs, "{warned}, {cautions}, {of_runs}");
    let page = html(&document);
    assert_eq!(page.matches("<td class=\"blank\">").count(), rows * 4);
    assert!(page.contains("<svg") && page.contains("017"));
}

#[test]
fn drawings_say_in_words_what_is_in_place() {
    let module = crate::module::read(&crate::module::embedded("flywheel").unwrap()).unwrap();
    let setup = crate::module::Setup::choose(&module, &std::collections::BTreeMap::new()).unwrap();
    let drawing = crate::procedure::make_plan(&module, &setup).unwrap().drawing;
    let figure = super::drawing::section(&drawing, &["disc-1"]).unwrap();
    let states: Vec<bool> = figure.lines.iter().map(|l| l.contains(": in place")).collect();
    assert_eq!(states.iter().filter(|s| **s).count(), 1, "{:?}", figure.lines);
    assert_eq!(figure.lines.len(), drawing.parts.len());
    assert!(
        figure.svg().matches("<rect class=\"dashed\"").count() > figure.svg().matches("<rect class=\"solid\"").count()
    );
}
