//! What the brief leaves open, as ready questions to the printer; each names the key that will hold its answer.

use std::borrow::Cow;

use crate::colour::ProfileSpace;
use crate::units::{self, Share};

use super::key::BriefKey;
use super::key_table;
use super::model::{Brief, Print};
use super::origin::Origins;
use super::remarks;
use super::requirements::{Edge, Requirements, Space};

/// One open question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenQuestion {
    /// The question, ready to be sent.
    pub text: Cow<'static, str>,
    /// The key that will hold its answer.
    pub key: &'static str,
    /// What is taken meanwhile; may hold foreign text.
    pub assumed: String,
    /// The prints that it is about, by name; empty when it is about all of them.
    pub prints: Vec<String>,
}

/// Every open question, in the order of the key table.
pub fn questions(brief: &Brief) -> Vec<OpenQuestion> {
    let mut questions = Vec::new();
    for key in key_table::all() {
        let Some(text) = key.question else { continue };
        if key.table().is_empty() {
            if brief.origins.of(key.path).is_open() {
                questions.push(OpenQuestion {
                    text: text.into(),
                    key: key.path,
                    assumed: key.default.to_owned(),
                    prints: Vec::new(),
                });
            }
            continue;
        }
        for (assumed, prints) in open(brief, key) {
            let all = prints.len() == brief.prints.len();
            let prints = if all { Vec::new() } else { prints };
            questions.push(OpenQuestion { text: text.into(), key: key.path, assumed, prints });
        }
        if key.path == remarks::INK_LIMIT {
            questions.extend(profile_against_limit(brief));
        }
    }
    questions
}

/// Whether the printer's own profile keeps the printer's own limit: a question for each pair of the two.
fn profile_against_limit(brief: &Brief) -> Vec<OpenQuestion> {
    let mut pairs: Vec<((Share, Share), Vec<String>)> = Vec::new();
    for print in brief.prints.iter().filter(|print| !print.origins.of(remarks::INK_LIMIT).is_open()) {
        let Some(pair) = remarks::ink_beyond(&print.requirements).zip(print.requirements.paper.ink_limit) else {
            continue;
        };
        match pairs.iter_mut().find(|(other, _)| *other == pair) {
            Some((_, prints)) => prints.push(print.name.clone()),
            None => pairs.push((pair, vec![print.name.clone()])),
        }
    }
    let question = |((most, limit), prints): ((Share, Share), Vec<String>)| {
        let (most, limit) = (units::show::share(most), units::show::share(limit));
        let text = format!("Your profile uses up to {most} of ink, above your limit of {limit}: which one applies?");
        let all = prints.len() == brief.prints.len();
        let prints = if all { Vec::new() } else { prints };
        OpenQuestion { text: text.into(), key: remarks::INK_LIMIT, assumed: limit, prints }
    };
    pairs.into_iter().map(question).collect()
}

/// The prints that leave a key open, by what is taken for it meanwhile.
fn open(brief: &Brief, key: &BriefKey) -> Vec<(String, Vec<String>)> {
    let mut open: Vec<(String, Vec<String>)> = Vec::new();
    for print in brief.prints.iter().filter(|print| is_open(print, key)) {
        let assumed = key.of_requirements(&print.requirements).unwrap_or_else(|| key.default.to_owned());
        match open.iter_mut().find(|(other, _)| *other == assumed) {
            Some((_, prints)) => prints.push(print.name.clone()),
            None => open.push((assumed, vec![print.name.clone()])),
        }
    }
    open
}

fn is_open(print: &Print, key: &BriefKey) -> bool {
    print.origins.of(key.path).is_open() && concerns(&print.requirements, &print.origins, key.path)
}

/// Whether a key matters for such a print: a lab print has no screen ruling, a page no bar.
fn concerns(required: &Requirements, origins: &Origins, path: &str) -> bool {
    let said = |path: &str| !origins.of(path).is_open();
    match path {
        "paper.ink_limit" => {
            let four_inks = required.colour.spaces.contains(&Space::Cmyk)
                || required.paper.printer.as_deref().is_some_and(|printer| printer.facts().space == ProfileSpace::Cmyk);
            required.paper.ink_limit.is_some() || four_inks
        }
        "paper.dmax" => !said("paper.profile"),
        "file.name" => !said("file.name_pattern"),
        "file.name_pattern" => !said("file.name"),
        "density.target" => !said("density.ruling") && !said("density.distance"),
        "density.ruling" => required.paper.process.is_press() && !said("density.target"),
        "margins.bleed" => required.margins.edge == Edge::Bleed,
        "margins.border" => required.margins.edge == Edge::Border,
        "margins.wrap" | "margins.sides" => required.margins.edge == Edge::Wrap,
        "margins.gutter" => !required.margins.folds.is_empty(),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    fn of(text: &str) -> Vec<OpenQuestion> {
        questions(&crate::brief::parse(text, Path::new("a.toml"), None, &[]).unwrap())
    }

    #[test]
    fn every_question_names_a_key_and_is_gone_when_it_is_answered() {
        let print = "[[print]]\nsize = \"210 x 260 mm\"\n";
        let press = format!("[paper]\nstock = \"coated\"\n[margins]\nfolds = [\"100 mm\"]\n{print}");
        for question in of(print).into_iter().chain(of(&press)) {
            let key = key_table::find(question.key).expect("a key of the table");
            assert!(!question.assumed.is_empty());
            let line = key.line(key.example);
            let text = match key.table() {
                "" => format!("{line}\n{print}"),
                table => format!("{print}[print.{table}]\n{line}\n"),
            };
            assert!(of(&text).iter().all(|other| other.key != question.key), "{} stays open", question.key);
        }
    }

    #[test]
    fn only_what_concerns_the_job_is_asked() {
        let lab = of("[[print]]\nsize = \"8 x 10 in\"\n");
        let keys: Vec<&str> = lab.iter().map(|question| question.key).collect();
        assert!(keys.contains(&"paper.profile") && keys.contains(&"margins.edge"));
        assert!(
            !keys.contains(&"density.ruling") && !keys.contains(&"margins.wrap") && !keys.contains(&"margins.bleed")
        );
        let edge = lab.iter().find(|question| question.key == "margins.edge").unwrap();
        assert_eq!((edge.assumed.as_str(), edge.prints.len()), ("borderless", 0));
    }

    #[test]
    fn a_print_of_another_paper_has_questions_of_its_own() {
        let text = "[paper]\nstock = \"coated\"\nsurface = \"matte\"\n[[print]]\nname = \"page\"\nsize = \"A4\"\n\
                    [[print]]\nname = \"wall\"\nsize = \"16 x 20 in\"\n[print.paper]\nstock = \"photo paper\"\n";
        let questions = of(text);
        let surface = questions.iter().find(|question| question.key == "paper.surface").unwrap();
        assert_eq!((surface.assumed.as_str(), surface.prints.as_slice()), ("lustre", ["wall".to_owned()].as_slice()));
    }
}
