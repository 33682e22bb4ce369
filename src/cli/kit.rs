//! `kit SPEC`: what to order and to pack, ticked off; inspection sheets for makers and receipt.

use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use crate::module::Module;
use crate::module::near::or_near;
use crate::procedure::kit::{self, Kit, Line};
use crate::traveler::instruments::Register;
use crate::traveler::report::{self, Packed};
use crate::traveler::{Ability, Store, Ticks};

use super::csv;
use super::{Answer, Asked, Failure, load, out, print};

#[derive(Debug, Args)]
#[command(after_help = "Example: runtrue kit flywheel
         runtrue kit flywheel --have nut-m8-rods=12 --have \"V-blocks\" --lacks chalk
         runtrue kit flywheel --sheet pulley --format html > pulley.html

Every setup of the spec is covered. What is in hand is kept by module in the data folder; a line is named by its id or its name.
Ends with code 1 while something required is missing.")]
pub struct Pack {
    /// Module spec: a file, or a built-in module
    spec: String,
    /// Tick a line off, or note how many of it are in hand
    #[arg(long, value_name = "NAME[=N]", value_parser = super::as_typed)]
    have: Vec<String>,
    /// Take a tick back: none of it in hand
    #[arg(long, value_name = "NAME", value_parser = super::as_typed)]
    lacks: Vec<String>,
    /// Inspection sheet of a part, for its maker and for receipt
    #[arg(long, value_name = "PART", conflicts_with_all = ["sheets", "have", "lacks"])]
    sheet: Option<String>,
    /// Inspection sheets of all parts and hardware
    #[arg(long, conflicts_with_all = ["have", "lacks"])]
    sheets: bool,
    /// Form
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Markdown,
    Html,
    Csv,
    Json,
}

impl Pack {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let module = load::module(&self.spec)?;
        let words = load::words(asked)?;
        let kit =
            super::progress::told(|| format!("the kit of every setup of {}", module.id), || kit::kit(&module, &words))
                .map_err(|e| Failure::new(e.to_string()))?;
        let form = if asked.json { Form::Json } else { self.format };
        if self.sheets || self.sheet.is_some() {
            return self.print_sheets(&kit, &module, form);
        }
        let store = asked.store()?;
        let ticks = self.ticked(&store, &kit)?;
        let register = Register::load(store.root())?;
        match form {
            Form::Text => out(&report::text(&document(&kit, &ticks, &register))),
            Form::Markdown => out(&report::markdown(&document(&kit, &ticks, &register))),
            Form::Html => out(&report::html(&document(&kit, &ticks, &register))),
            Form::Csv => out(&table(&kit, &ticks)),
            Form::Json => print(&as_json(&kit, &ticks, &register)),
        }
        let stops = report::packed(&kit, &ticks).iter().any(Packed::stops);
        Ok(if stops { Answer::No } else { Answer::Yes })
    }

    /// What is in hand, with what was just said about it written first.
    fn ticked(&self, store: &Store, kit: &Kit) -> Result<Ticks, Failure> {
        let mut changes: Vec<(&str, &str, u32)> = Vec::new();
        for typed in &self.have {
            let (line, number) = named(kit, typed)?;
            changes.push((&line.id, &line.name, number.unwrap_or(line.quantity)));
        }
        for typed in &self.lacks {
            let line = find(kit, typed)?;
            changes.push((&line.id, &line.name, 0));
        }
        Ok(if changes.is_empty() { store.ticks(&kit.module)? } else { store.tick(&kit.module, &changes)? })
    }

    fn print_sheets(&self, kit: &Kit, module: &Module, form: Form) -> Result<Answer, Failure> {
        let sheets = match &self.sheet {
            Some(part) => vec![kit::sheet(kit, module, part).map_err(|e| Failure::new(e.to_string()))?],
            None => kit::sheets(kit, module),
        };
        let document = || report::sheets(kit, &sheets);
        match form {
            Form::Text => out(&report::text(&document())),
            Form::Markdown => out(&report::markdown(&document())),
            Form::Html => out(&report::html(&document())),
            Form::Csv => {
                return Err(Failure::new("a sheet is printed as text, markdown, html or json; csv is for the kit"));
            }
            Form::Json => print(&json!({
                "module": kit.module,
                "sheets": sheets.iter().map(|s| json!({
                    "part": s.line.id, "name": s.line.name, "parts": s.line.parts, "quantity": s.line.quantity,
                    "asked": s.asked.iter().map(|(n, v)| json!({ "name": n, "value": v })).collect::<Vec<_>>(),
                    "steps": s.steps,
                })).collect::<Vec<_>>(),
            })),
        }
        Ok(Answer::Yes)
    }
}

/// The kit, and behind it the checks that no instrument of the register can decide.
fn document(kit: &Kit, ticks: &Ticks, register: &Register) -> report::Document {
    let mut document = report::kit(kit, ticks);
    let open = undecided(kit, register);
    if !open.is_empty() {
        let words: Vec<String> = open.iter().map(|(step, check)| format!("{step} {check}")).collect();
        document.blocks.push(report::Block::Heading(2, "No instrument of the register can decide these".into()));
        document.blocks.push(report::Block::List(words));
    }
    document
}

/// Guarded checks that no registered instrument can decide; none where no instrument is registered.
fn undecided<'k>(kit: &'k Kit, register: &Register) -> Vec<(&'k str, &'k str)> {
    if register.instruments.is_empty() {
        return Vec::new();
    }
    let today = chrono::Local::now().date_naive().to_string();
    let none = |check: &crate::procedure::plan::Check| {
        let offers = register.offers(check, &today);
        offers.iter().all(|o| !matches!(o.ability, Ability::Decides | Ability::NotStated))
    };
    let mut seen = std::collections::BTreeSet::new();
    kit.guarded()
        .filter(|(step, check)| none(check) && seen.insert((*step, check.id.as_str())))
        .map(|(s, c)| (s, c.id.as_str()))
        .collect()
}

/// A line by what was typed: `NAME` or `NAME=3`.
fn named<'k>(kit: &'k Kit, typed: &str) -> Result<(&'k Line, Option<u32>), Failure> {
    let Some((name, number)) = typed.rsplit_once('=') else {
        return Ok((find(kit, typed)?, None));
    };
    let read = number.trim().parse::<u32>();
    let number = read.map_err(|_| {
        Failure::new(format!("\"--have {typed}\": \"{number}\" is no number of pieces; write it like nut-m8-rods=12"))
    })?;
    Ok((find(kit, name)?, Some(number)))
}

/// The line of that id, or the only one of that name.
fn find<'k>(kit: &'k Kit, typed: &str) -> Result<&'k Line, Failure> {
    let wanted = typed.trim().to_lowercase();
    if let Some(line) = kit.lines.iter().find(|l| l.id == wanted) {
        return Ok(line);
    }
    let same: Vec<&Line> = kit.lines.iter().filter(|l| l.name.to_lowercase() == wanted).collect();
    match same.as_slice() {
        [line] => Ok(line),
        [] => {
            let near = |l: &&Line| l.id.contains(&wanted) || l.name.to_lowercase().contains(&wanted);
            let near: Vec<&str> = kit.lines.iter().filter(near).map(|l| l.id.as_str()).collect();
            let hint = if near.is_empty() {
                let near = or_near(&wanted, kit.lines.iter().map(|l| l.id.as_str()));
                format!("\"runtrue kit {} --format csv\" lists the ids{near}", kit.module)
            } else {
                format!("near it are {}", near.join(", "))
            };
            Err(Failure::new(format!("the kit of {} has no line \"{typed}\"; {hint}", kit.module)))
        }
        more => {
            let ids: Vec<&str> = more.iter().map(|l| l.id.as_str()).collect();
            Err(Failure::new(format!(
                "\"{typed}\" stands in {} lines; name one by its id: {}",
                ids.len(),
                ids.join(", ")
            )))
        }
    }
}

fn as_json(kit: &Kit, ticks: &Ticks, register: &Register) -> Value {
    let all = report::packed(kit, ticks);
    let lines: Vec<Value> = all
        .iter()
        .map(|p| {
            let mut line = json!(p.line);
            line["have"] = json!(p.have);
            line
        })
        .collect();
    json!({
        "module": kit.module, "title": kit.title, "revision": kit.revision,
        "missing": all.iter().filter(|p| p.stops()).count(),
        "lines": lines,
        "undecided": kit.undecided,
        "register_undecided": undecided(kit, register).iter().map(|(s, c)| json!({ "step": s, "check": c })).collect::<Vec<_>>(),
        "without": kit.without,
        "site": kit.site,
    })
}

/// The kit as comma-separated values (RFC 4180), one line a line.
fn table(kit: &Kit, ticks: &Ticks) -> String {
    let head = ["kind", "id", "name", "size", "class", "quantity", "unit", "have", "required", "joint", "note", "for"];
    let mut text = csv::line(&head.map(str::to_owned));
    for p in report::packed(kit, ticks) {
        let line = p.line;
        let word = |t: &Option<String>| t.clone().unwrap_or_default();
        let kind = json!(line.kind).as_str().unwrap_or_default().to_owned();
        text.push_str(&csv::line(&[
            kind,
            line.id.clone(),
            line.name.clone(),
            word(&line.size),
            word(&line.class),
            line.quantity.to_string(),
            line.unit.clone(),
            p.have.to_string(),
            if line.required { "yes" } else { "no" }.to_owned(),
            word(&line.joint),
            word(&line.note),
            line.steps.join(" "),
        ]));
    }
    text
}
