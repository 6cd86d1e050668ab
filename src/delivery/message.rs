//! The covering mail of a delivery: what is attached, what has changed, what to throw away, which questions are open.
//!
//! It is for a person who reads mail, so it is plain text in whole sentences, without file formats or checksums.

use std::collections::HashSet;

use crate::brief::questions::{OpenQuestion, questions};
use crate::brief::{Brief, PrintId};
use crate::reading::check_report::CheckReport;
use crate::report::answering::assumptions;
use crate::units::show;
use crate::units::words::visible;

use super::contents::{NOTE, PICTURES};
use super::instructions::{CHANGES, IN_THIS_DELIVERY, ORDER, SENT_AGAIN};
use super::note::Note;
use super::numbering::DeliveryNumber;
use super::plan::PlannedPicture;
use super::repeated::RepeatedOrders;
use super::since::{Comparison, PictureChange};
use crate::report::days;

/// Most names in one line; more are counted. Own choice: the note lists them all.
const MAX_NAMED: usize = 12;

/// Writes the mail for a delivery whose note is this one.
pub(super) fn text(
    report: &CheckReport,
    note: &Note,
    number: &DeliveryNumber,
    sent: &[&PlannedPicture],
    comparison: Option<&Comparison>,
) -> Vec<u8> {
    let brief: &Brief = &report.brief;
    let [title, printer, from] = note.names();
    let greeting = match printer {
        "" => "Hello,".to_owned(),
        printer => format!("Hello {printer},"),
    };
    let parts = [
        vec![title.to_owned()],
        vec![greeting],
        note.lines(SENT_AGAIN).iter().map(|line| sentence(line)).collect(),
        first_lines(brief, note, number),
        with_heading("In this delivery", contents(sent)),
        with_heading("Changed since then", note.lines(CHANGES).to_vec()),
        with_heading(
            "Withdrawn: please do not print these any more",
            withdrawn(sent, comparison, number.repeats.as_ref()),
        ),
        with_heading("Replaced or renamed: please delete the earlier files", replaced(sent, comparison)),
        with_heading("Open questions", open_questions(&of_prints(report, sent))),
        vec!["Please let me know that everything has arrived.".to_owned()],
        vec![from.to_owned()],
    ];
    let parts = parts.into_iter().map(|lines| lines.join("\n")).filter(|part| !part.is_empty());
    (parts.collect::<Vec<String>>().join("\n\n") + "\n").into_bytes()
}

/// Says which delivery it is and how much there is to print.
fn first_lines(brief: &Brief, note: &Note, number: &DeliveryNumber) -> Vec<String> {
    let what = match number.follows.is_empty() {
        _ if note.is_part() => "Here are some of the pictures for this order",
        true => "Here are the pictures for this order",
        false => "Here is what has changed in this order",
    };
    let mut order = note.lines(ORDER).iter().chain(note.lines(IN_THIS_DELIVERY));
    let counts = order.next().map(|words| format!(": {words}")).unwrap_or_default();
    let mut lines = vec![format!("{what}{counts}.")];
    lines.extend(number.batch.map(|batch| format!("This is batch {batch} of the order.")));
    if number.number > 1 {
        lines.push(format!("This is the {}.", number.words()));
    }
    if !number.follows.is_empty() {
        lines.push(format!("It follows {}.", number.follows));
    }
    lines.extend(brief.due.iter().map(|due| format!("The files are due with you on {}.", days::in_words(due))));
    lines
}

/// Makes a sentence of a line of the note.
fn sentence(line: &str) -> String {
    let mut letters = line.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}

/// A head with its lines below it; nothing without lines.
fn with_heading(head: &str, lines: Vec<String>) -> Vec<String> {
    let lines: Vec<String> = lines.into_iter().map(|line| format!("- {line}")).collect();
    if lines.is_empty() { lines } else { [vec![head.to_owned()], lines].concat() }
}

fn contents(sent: &[&PlannedPicture]) -> Vec<String> {
    let pictures = match sent {
        [] => "no pictures: use the files that you have".to_owned(),
        sent => {
            let count = show::count(sent.len(), "picture", "pictures");
            format!("{count} in the folder \"{PICTURES}\": {}", list_names(sent.iter().map(|one| one.name.as_str())))
        }
    };
    vec![
        pictures,
        format!("{NOTE}: the note with what to do; read it first"),
        "the prints to make, and the captions, as tables".to_owned(),
    ]
}

/// Names files that are withdrawn, and prints of files that stay.
fn withdrawn(
    sent: &[&PlannedPicture],
    comparison: Option<&Comparison>,
    repeats: Option<&RepeatedOrders>,
) -> Vec<String> {
    let Some(comparison) = comparison else {
        return repeats.map(|repeats| repeats.withdrawn.clone()).unwrap_or_default();
    };
    let files = comparison.withdrawn.iter().map(|name| visible(name).into_owned());
    files.chain(comparison.withdrawn_prints(sent)).collect()
}

/// Names earlier files whose place others take, with the names of those.
fn replaced(sent: &[&PlannedPicture], comparison: Option<&Comparison>) -> Vec<String> {
    let Some(comparison) = comparison else { return Vec::new() };
    let (mut same_name, mut lines): (Vec<&str>, Vec<String>) = Default::default();
    for one in sent {
        let name = visible(&one.name);
        match comparison.change(one) {
            PictureChange::Replaces { name: None, .. } => same_name.push(&one.name),
            PictureChange::Replaces { name: Some(old), .. } => {
                lines.push(format!("{}: replaced by {name}, a new picture", visible(&old)));
            }
            PictureChange::Renamed(old) => {
                lines.push(format!("{}: now called {name}; the picture is unchanged", visible(&old)));
            }
            PictureChange::New | PictureChange::Ordered | PictureChange::Unchanged => {}
        }
    }
    let what = match same_name.len() {
        0 => return lines,
        1 => "the name is unchanged, the picture is new",
        _ => "the names are unchanged, the pictures are new",
    };
    lines.insert(0, format!("{}: {what}", list_names(same_name.into_iter())));
    lines
}

/// Returns the brief with the prints of these pictures alone: only they are asked about.
fn of_prints(report: &CheckReport, sent: &[&PlannedPicture]) -> Brief {
    let rows = sent.iter().flat_map(|one| &one.rows).filter_map(|at| report.rows.get(*at));
    let ids: HashSet<&PrintId> = rows.filter_map(|row| row.key.print.as_ref()).collect();
    let prints = report.brief.prints.iter().filter(|print| ids.contains(&print.id)).cloned().collect();
    Brief { prints, ..Brief::clone(&report.brief) }
}

/// Lists names, and how many more there are.
fn list_names<'a>(names: impl ExactSizeIterator<Item = &'a str>) -> String {
    let more = names.len().saturating_sub(MAX_NAMED);
    let mut named: Vec<String> = names.take(MAX_NAMED).map(|name| visible(name).into_owned()).collect();
    if more > 0 {
        named.push(format!("and {more} more"));
    }
    named.join(", ")
}

/// Writes what a brief leaves open: each question once, with what is taken until it is answered.
fn open_questions(brief: &Brief) -> Vec<String> {
    let is_same = |one: &OpenQuestion, other: &OpenQuestion| one.text == other.text;
    let words = |alike: &[OpenQuestion]| {
        let text = alike.first().map(|one| visible(&one.text)).unwrap_or_default();
        let assumed = assumptions(alike, brief);
        let until = match assumed.is_empty() {
            true => String::new(),
            false => format!(" Until I hear from you I assume: {}.", assumed.join("; ")),
        };
        format!("{text}{}", visible(&until))
    };
    questions(brief).chunk_by(is_same).map(words).collect()
}
