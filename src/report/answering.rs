//! Questions to the printer, one at a time at the prompt, and all of them as a mail.

use crate::brief::Brief;
use crate::brief::answer::{UnderstoodAnswer, WrittenAnswer};
use crate::brief::key_table;
use crate::brief::questions::{OpenQuestion, answered_lines, assumed_words, questions};
use crate::report::brief_words::concerned_words;
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

/// What is typed to take the usual value as the answer.
pub const TAKES_USUAL: &str = "=";
/// Columns that what belongs to a question is indented by.
const INDENT: usize = 2;
/// The greeting where nobody is named.
const HELLO: &str = "Hello,";

/// Says how many questions are open, where answers go, and how to answer.
pub fn beginning(brief: &Brief, open: usize) -> Vec<Line> {
    if open == 0 {
        return vec![Line::plain(
            "Nothing is open: every question that plateside would put to the printer is answered.",
        )];
    }
    let into = match brief.sheets.first() {
        Some(sheet) => format!("the printer's sheet {}; one for single prints goes into the brief", sheet.display()),
        None => brief.path.display().to_string(),
    };
    vec![
        Line::plain(format!("{} open. Answers go into {into}.", are_open(open))),
        Line::of(
            Style::Dim,
            format!(
                "Type what the printer has answered. {TAKES_USUAL} takes the usual value; an empty line leaves the \
                 question open; Ctrl-C ends, and what is answered stays."
            ),
        ),
    ]
}

fn are_open(open: usize) -> String {
    format!("{} {}", show::count(open, "question", "questions"), if open == 1 { "is" } else { "are" })
}

/// A question at the prompt, with the value that is usual.
pub fn asked(question: &OpenQuestion, brief: &Brief) -> Vec<Line> {
    let about = concerned_words(question, brief);
    let usual = if question.assumed == key_table::NOT_SAID { "" } else { question.assumed.as_str() };
    let mut lines = vec![
        Line::blank(),
        Line::of(Style::Strong, question.text.as_ref()).and(Style::Dim, format!("  {}", question.key)),
    ];
    match usual {
        "" if about.is_empty() => {}
        "" => lines.push(Line::of(Style::Dim, visible(about.trim_end_matches("; "))).indented(INDENT, 0)),
        usual => lines.push(Line::of(Style::Dim, visible(&format!("{about}usual: {usual}"))).indented(INDENT, 0)),
    }
    lines
}

/// Says that an answer was written, as the file has it.
pub fn kept(question: &OpenQuestion, written: &WrittenAnswer) -> Vec<Line> {
    let file = written.file.file_name().unwrap_or_default().to_string_lossy();
    let words = format!("{} = {}, written into {file}", question.key, written.value);
    vec![Line::of(Style::Good, visible(&words)).indented(INDENT, INDENT)]
}

/// Says how an answer in everyday words was understood, before it is written.
pub fn understood(question: &OpenQuestion, answer: &UnderstoodAnswer) -> Vec<Line> {
    let words = format!("understood as {} = {}", question.key, answer.value);
    let next = "press Enter to write it, or type the answer again";
    vec![Line::plain(visible(&words)).indented(INDENT, INDENT), Line::of(Style::Dim, next).indented(INDENT, INDENT)]
}

/// Says why an answer was not written, and what to type.
pub fn refused(what: &str, fix: &str) -> Vec<Line> {
    vec![Line::of(Style::Bad, what).indented(INDENT, INDENT), Line::of(Style::Good, fix).indented(INDENT, INDENT)]
}

/// Says how many answers were written and how many questions stay open.
pub fn ending(answers: usize, open: usize) -> Vec<Line> {
    let open = match open {
        0 => "nothing is open any more".to_owned(),
        open => format!("{} open", are_open(open)),
    };
    vec![Line::blank(), Line::plain(format!("{} written; {open}.", show::count(answers, "answer", "answers")))]
}

/// The open questions as a mail to the printer: subject, greeting, numbered questions; no keys of the brief.
pub fn mail(brief: &Brief) -> Vec<Line> {
    let job = brief.title.as_deref().unwrap_or("our order");
    let mut lines = Vec::new();
    let mut say = |text: &str| lines.push(Line::plain(visible(text)));
    if let Some(contact) = &brief.contact {
        say(&format!("To: {contact}"));
    }
    say(&format!("Subject: Questions about {job}"));
    say("");
    say(&greeting(brief.contact.as_deref()));
    say("");
    let asked = questions(brief);
    if asked.is_empty() {
        say(&format!("I have no questions about {job}: everything that I check the pictures against is answered."));
    } else {
        say(&format!(
            "Before I export the pictures for {job}, I would like to know the following. If a specification of yours \
             answers it, please send me that instead. Until I hear from you I assume the values in brackets, \
             where there are any."
        ));
        say("");
    }
    for (at, alike) in asked.chunk_by(|one, other| one.text == other.text).enumerate() {
        let asides: Vec<String> = alike.iter().filter_map(|question| aside(question, brief)).collect();
        let asides = if asides.is_empty() { String::new() } else { format!(" ({})", asides.join("; ")) };
        say(&format!("{}. {}{asides}", at + 1, alike[0].text));
    }
    let agreed = answered_lines(brief);
    if !agreed.is_empty() {
        say("");
        say(&format!("I take these as agreed; tell me if one is wrong: {}.", agreed.join(", ")));
    }
    say("");
    say("Thank you");
    brief.from.iter().for_each(|from| say(from));
    lines
}

/// What is taken until a question is answered that is put about several papers or prints, each with what it is about:
/// `for matte coated, offset: Dmax 1.6`. Foreign text.
pub fn assumptions(alike: &[OpenQuestion], brief: &Brief) -> Vec<String> {
    alike.iter().filter(|question| usual(question, brief).is_some()).filter_map(|one| aside(one, brief)).collect()
}

/// What a question is about, and what is taken until it is answered; `None` if neither is to be said.
fn aside(question: &OpenQuestion, brief: &Brief) -> Option<String> {
    let about = concerned_words(question, brief);
    let about = Some(about.trim_end_matches("; ").to_owned()).filter(|about| !about.is_empty());
    let said: Vec<String> = about.into_iter().chain(usual(question, brief)).collect();
    (!said.is_empty()).then(|| said.join(": "))
}

/// What is taken until a question is answered, in printed words.
fn usual(question: &OpenQuestion, brief: &Brief) -> Option<String> {
    Some(assumed_words(brief, question)).filter(|usual| usual != key_table::NOT_SAID && usual != "none")
}

/// The greeting, with the name of whoever answers at the printer's: what stands before their address.
fn greeting(contact: Option<&str>) -> String {
    let name = contact.and_then(|contact| contact.split([',', '<', ';']).next()).map(str::trim);
    match name.filter(|name| !name.is_empty() && !name.contains('@') && !name.contains(|c: char| c.is_ascii_digit())) {
        Some(name) => format!("Hello {name},"),
        None => HELLO.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    fn text(lines: &[Line]) -> String {
        lines.iter().map(|line| format!("{}\n", line.text())).collect()
    }

    fn brief(text: &str) -> Brief {
        crate::brief::parse(text, Path::new("a.toml"), None, &[]).unwrap_or_else(|problems| panic!("{problems:#?}"))
    }

    #[test]
    fn a_mail_asks_in_plain_words_and_names_no_key() {
        let brief = brief(
            "title = \"Low Water Suppers\"\ncontact = \"Ines Falk, prepress@corrow-lane.example\"\n\
             from = \"Maren Olde\"\n[paper]\nstock = \"coated\"\n[[print]]\nsize = \"A4\"\n",
        );
        let mail = text(&mail(&brief));
        let begin = "To: Ines Falk, prepress@corrow-lane.example\nSubject: Questions about Low Water Suppers\n\n\
                     Hello Ines Falk,\n\n";
        assert!(mail.starts_with(begin) && mail.ends_with("\nThank you\nMaren Olde\n"), "{mail}");
        assert!(mail.contains("\n1. By what date do you need the pictures?\n"), "{mail}");
        assert!(mail.contains("polarising filter)? (for gloss coated, offset: Dmax 1.9)\n"), "{mail}");
        assert!(mail.contains("? (JPEG or TIFF)\n") && mail.contains("? (trimmed with bleed)\n"), "{mail}");
        assert!(mail.contains("tell me if one is wrong: coated."), "{mail}");
        let keys: Vec<&str> = key_table::all().map(|key| key.path).filter(|path| path.contains('.')).collect();
        assert!(keys.iter().all(|key| !mail.contains(key)), "{mail}");
        let numbers = mail.lines().filter_map(|line| line.split_once(". ")?.0.parse::<usize>().ok());
        assert_eq!(numbers.collect::<Vec<_>>(), (1..=questions(&brief).len()).collect::<Vec<_>>());
    }

    #[test]
    fn whoever_answers_is_greeted_by_name() {
        assert_eq!(greeting(Some("Ines Falk <prepress@corrow-lane.example>")), "Hello Ines Falk,");
        for nobody in [None, Some("prepress@corrow-lane.example"), Some("+44 0"), Some("")] {
            assert_eq!(greeting(nobody), "Hello,");
        }
    }
}
