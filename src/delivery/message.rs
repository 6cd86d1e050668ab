//! The covering mail of a delivery: what is attached, what has changed, what to throw away, which questions are open.
//!
//! It is for a person who reads mail, so it is plain text in whole sentences, without file formats or checksums.

use crate::brief::Brief;
use crate::brief::key_table::NOT_SAID;
use crate::brief::questions::{OpenQuestion, questions};
use crate::units::show;
use crate::units::words::visible;

use super::contents::{NOTE, PICTURES};
use super::days;
use super::instructions::{CHANGES, IN_THIS_DELIVERY, ORDER};
use super::note::Note;
use super::numbering::DeliveryNumber;
use super::plan::PlannedPicture;
use super::since::{Comparison, PictureChange};

/// Most names in one line; more are counted. Own choice: the note lists them all.
const MAX_NAMED: usize = 12;

/// Writes the mail for a delivery whose note is this one.
pub(super) fn text(
    brief: &Brief,
    note: &Note,
    number: &DeliveryNumber,
    sent: &[&PlannedPicture],
    comparison: Option<&Comparison>,
) -> Vec<u8> {
    let [title, printer, from] = note.names();
    let greeting = match printer {
        "" => "Hello,".to_owned(),
        printer => format!("Hello {printer},"),
    };
    let parts = [
        vec![title.to_owned()],
        vec![greeting],
        first_lines(brief, note, number),
        with_heading("In this delivery", contents(sent)),
        with_heading("Changed since then", note.lines(CHANGES).to_vec()),
        with_heading("Superseded: please do not print these files; delete them", to_throw_away(sent, comparison)),
        with_heading(
            "Withdrawn: please do not make these prints",
            comparison.map_or(Vec::new(), |one| one.withdrawn_prints(sent)),
        ),
        with_heading("Open questions", open_questions(brief)),
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

/// Names files that are withdrawn, and earlier files whose place others take.
fn to_throw_away(sent: &[&PlannedPicture], comparison: Option<&Comparison>) -> Vec<String> {
    let Some(comparison) = comparison else { return Vec::new() };
    let mut lines: Vec<String> = comparison.withdrawn.iter().map(|name| visible(name).into_owned()).collect();
    let is_replaced = |one: &&&PlannedPicture| matches!(comparison.change(one), PictureChange::Replaces { .. });
    let replaced: Vec<&str> = sent.iter().filter(is_replaced).map(|one| one.name.as_str()).collect();
    if !replaced.is_empty() {
        lines.push(format!("the earlier files of: {}", list_names(replaced.into_iter())));
    }
    lines.extend(sent.iter().filter_map(|one| match comparison.change(one) {
        PictureChange::Renamed(old) => Some(format!("{}, which is called {} now", visible(&old), visible(&one.name))),
        _ => None,
    }));
    lines
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

/// Writes what the brief leaves open: each question once, with what is taken until it is answered.
fn open_questions(brief: &Brief) -> Vec<String> {
    let is_same = |one: &OpenQuestion, other: &OpenQuestion| one.text == other.text;
    questions(brief).chunk_by(is_same).map(question_words).collect()
}

fn question_words(alike: &[OpenQuestion]) -> String {
    let text = alike.first().map(|one| visible(&one.text)).unwrap_or_default();
    let assumed = alike.iter().filter(|one| one.assumed != NOT_SAID && one.assumed != "none").map(|one| {
        let prints = Some(list_names(one.prints.iter().map(String::as_str))).filter(|_| !one.prints.is_empty());
        let of = one.paper.clone().or(prints).filter(|_| alike.len() > 1);
        format!("{}{}", one.assumed, of.map(|of| format!(" for {of}")).unwrap_or_default())
    });
    let assumed: Vec<String> = assumed.collect();
    let until = if assumed.is_empty() {
        String::new()
    } else {
        format!(" Until I hear from you I assume: {}.", assumed.join("; "))
    };
    format!("{text}{}", visible(&until))
}
