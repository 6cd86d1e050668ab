//! What the brief leaves open, as ready questions to the printer; each names the key that will hold its answer.

use std::borrow::Cow;
use std::collections::HashSet;

use crate::colour::ProfileSpace;
use crate::units::{self, Share};

use super::findings;
use super::key::BriefKey;
use super::key_table;
use super::model::{Brief, Print};
use super::origin::Origins;
use super::requirements::{Edge, Requirements, Space, Stock, WrapSides};

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
    /// The paper that "this paper" or "this material" means, in words.
    pub paper: Option<String>,
    /// What its prints are on, where they are all the prints on it.
    pub stock: Option<&'static str>,
    /// The places in the brief of all prints that leave it open.
    pub concerned: Vec<usize>,
}

impl OpenQuestion {
    /// True if a value of its key answers it; not so where two of the printer's own values contradict each other.
    pub fn is_answered_by_value(&self) -> bool {
        !self.key.contains('.') || !self.concerned.is_empty()
    }
}

/// Returns every open question, in the order of the key table.
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
                    paper: None,
                    concerned: Vec::new(),
                    stock: None,
                });
            }
            continue;
        }
        questions.extend(open_questions_about(brief, key, text));
        if key.path == findings::INK_LIMIT {
            questions.extend(profile_against_limit(brief));
        }
    }
    questions
}

/// Returns a question for each pair of the printer's profile and ink limit that contradict each other.
fn profile_against_limit(brief: &Brief) -> Vec<OpenQuestion> {
    let mut pairs: Vec<((Share, Share), Vec<String>)> = Vec::new();
    for print in brief.prints.iter().filter(|print| !print.origins.of(findings::INK_LIMIT).is_open()) {
        let Some(pair) = findings::ink_beyond(&print.requirements).zip(print.requirements.paper.ink_limit) else {
            continue;
        };
        match pairs.iter_mut().find(|(other, _)| *other == pair) {
            Some((_, prints)) => prints.push(print.name_with_version().into_owned()),
            None => pairs.push((pair, vec![print.name_with_version().into_owned()])),
        }
    }
    let question = |((most, limit), prints): ((Share, Share), Vec<String>)| {
        let (most, limit) = (units::show::share(most), units::show::share(limit));
        let text = format!("Your profile uses up to {most} of ink, above your limit of {limit}: which one applies?");
        let all = prints.len() == brief.prints.len();
        let prints = if all { Vec::new() } else { prints };
        OpenQuestion {
            text: text.into(),
            key: findings::INK_LIMIT,
            assumed: limit,
            prints,
            paper: None,
            stock: None,
            concerned: Vec::new(),
        }
    };
    pairs.into_iter().map(question).collect()
}

/// Returns the questions about a key that prints leave open: one for each wording, paper and value taken meanwhile.
fn open_questions_about(brief: &Brief, key: &BriefKey, text: &'static str) -> Vec<OpenQuestion> {
    let mut open: Vec<OpenQuestion> = Vec::new();
    for (at, print) in brief.prints.iter().enumerate().filter(|(_, print)| is_open(print, key)) {
        let assumed = value_words(print, key).unwrap_or_else(|| key.default.to_owned());
        let paper = text.contains(THIS_PAPER).then(|| paper_words(print));
        let text = text_for(print, key, text);
        let same = |other: &&mut OpenQuestion| other.text == text && other.assumed == assumed && other.paper == paper;
        match open.iter_mut().find(same) {
            Some(question) => {
                question.prints.push(print.name_with_version().into_owned());
                question.concerned.push(at);
            }
            None => {
                let (prints, concerned) = (vec![print.name_with_version().into_owned()], vec![at]);
                open.push(OpenQuestion { text, key: key.path, assumed, prints, paper, stock: None, concerned });
            }
        }
    }
    // One wording after the other.
    let first = open.first().map(|question| question.text.clone());
    open.sort_by_key(|question| Some(&question.text) != first.as_ref());
    for question in open.iter_mut().filter(|question| question.prints.len() == brief.prints.len()) {
        question.prints.clear();
    }
    // The question which paper it is cannot be put by the paper.
    for question in open.iter_mut().filter(|question| question.key != "paper.stock") {
        question.stock = common_stock(brief, &question.prints);
    }
    open
}

/// Returns what the named prints are on, if no other print is on it.
fn common_stock(brief: &Brief, names: &[String]) -> Option<&'static str> {
    let named: HashSet<&str> = names.iter().map(String::as_str).collect();
    let is_named = |print: &Print| named.contains(&*print.name_with_version());
    let stock = brief.prints.iter().find(|print| is_named(print))?.requirements.paper.stock;
    let is_alone = brief.prints.iter().all(|print| (print.requirements.paper.stock == stock) == is_named(print));
    is_alone.then(|| match stock {
        Stock::Coated => "coated paper",
        Stock::Uncoated => "uncoated paper",
        Stock::Cotton => "cotton paper",
        other => other.word(),
    })
}

/// How the key table's questions name the paper.
const THIS_PAPER: &str = "this paper";

/// Returns the question in the words for a print: a canvas is no paper, a card has no binding.
fn text_for(print: &Print, key: &BriefKey, text: &'static str) -> Cow<'static, str> {
    let is_material =
        matches!(print.requirements.paper.stock, Stock::Canvas | Stock::Metal | Stock::Acrylic | Stock::Wood);
    match key.path {
        "margins.gutter" if print.page.is_none() => {
            "How far from the fold, on each side, must the subject stay?".into()
        }
        _ if is_material => {
            text.replace(THIS_PAPER, "this material").replace("does the paper", "does the material").into()
        }
        _ => text.into(),
    }
}

/// Returns the paper with its process: `matte coated, offset`.
fn paper_words(print: &Print) -> String {
    let paper = &print.requirements.paper;
    format!("{} {}, {}", paper.surface.word(), paper.stock.word(), paper.process.word())
}

/// Returns what a print requires by a key, as it is said to a printer; nothing where the key is no requirement.
fn value_words(print: &Print, key: &BriefKey) -> Option<String> {
    let value = key.of_requirements(&print.requirements)?;
    Some(match key.path {
        "file.depth" => format!("{} bits", value.replace(", ", " or ")),
        "paper.dmax" => format!("Dmax {}", print.requirements.paper.dmax),
        _ => value,
    })
}

/// Returns what is taken until a question is answered, as it is said to a printer.
pub fn assumed_words(brief: &Brief, question: &OpenQuestion) -> String {
    let print = question.concerned.first().and_then(|at| brief.prints.get(*at));
    match (print, question.key) {
        (Some(print), "file.formats" | "colour.space" | "margins.edge" | "margins.sides") => {
            with_label(&print.requirements, question.key, &question.assumed)
        }
        _ => question.assumed.clone(),
    }
}

/// Returns what is not asked, since the brief says it, though the printer has not answered it on a known day: each
/// requirement in words, in the order of the key table.
pub fn answered_lines(brief: &Brief) -> Vec<String> {
    let mut answered = Vec::new();
    for key in key_table::all().filter(|key| key.question.is_some()) {
        let mut values: Vec<String> = Vec::new();
        for print in &brief.prints {
            let origin = print.origins.of(key.path);
            let is_said = !origin.is_open() && brief.answered_on(key.path, &origin).is_none();
            let is_asked = is_said && concerns(&print.requirements, &print.origins, key.path);
            if let Some(words) = value_words(print, key).filter(|_| is_asked) {
                let words = with_label(&print.requirements, key.path, &words);
                if !values.contains(&words) {
                    values.push(words);
                }
            }
        }
        if !values.is_empty() {
            let last = values.pop().unwrap_or_default();
            answered.push(if values.is_empty() {
                last
            } else {
                format!("{} and {last} (by print)", values.join(", "))
            });
        }
    }
    answered
}

/// Returns a value with the trade's word for what it is: `bleed 3 mm`, `Dmax 1.9`.
fn with_label(required: &Requirements, path: &str, value: &str) -> String {
    let label = match path {
        "paper.stock" | "paper.surface" | "paper.process" | "file.depth" => return value.to_owned(),
        "paper.dmax" => return format!("Dmax {}", required.paper.dmax),
        "file.formats" => return value.to_uppercase().replace(", ", " or "),
        "margins.edge" => return edge_words(required.margins.edge).to_owned(),
        "margins.sides" => return sides_words(required.margins.sides).to_owned(),
        "colour.space" => {
            let spaces: Vec<&str> = required.colour.spaces.iter().map(|space| space_name(*space)).collect();
            return spaces.join(" or ");
        }
        "file.name" => return format!("file names in \"{value}\""),
        "detail.sharpened" => return format!("sharpened {value}"),
        "paper.profile" => "profile",
        "paper.ink_limit" => "total ink limit",
        "file.largest" => "largest file",
        "density.target" => "target",
        "density.minimum" => "minimum",
        "density.ruling" => "screen ruling",
        "margins.bleed" => "bleed",
        "margins.safe" => "safe margin",
        "margins.border" => "border",
        "margins.wrap" => "stretcher bar",
        "margins.gutter" => "gutter",
        "delivery.transfer" => "files sent by",
        _ => path,
    };
    format!("{label} {value}")
}

/// Returns how an edge is finished, in words.
pub(super) fn edge_words(edge: Edge) -> &'static str {
    match edge {
        Edge::Bleed => "trimmed with bleed",
        Edge::Borderless => "borderless",
        Edge::Border => "with a white border",
        Edge::Wrap => "wrapped round a bar",
    }
}

/// What goes round the sides of a bar, in words.
pub(super) fn sides_words(sides: WrapSides) -> &'static str {
    match sides {
        WrapSides::Picture => "the picture goes round the sides",
        WrapSides::Mirrored => "mirrored sides",
        WrapSides::Plain => "plain sides",
    }
}

/// Returns the name of a space, as in an export dialog.
pub(super) fn space_name(space: Space) -> &'static str {
    match space {
        Space::Rgb(encoding) => encoding.name(),
        Space::Grey => "greyscale",
        Space::Cmyk => "CMYK",
        Space::Paper => "your own profile",
    }
}

/// True if a print leaves a key open that matters for it.
pub(super) fn is_open(print: &Print, key: &BriefKey) -> bool {
    print.origins.of(key.path).is_open() && concerns(&print.requirements, &print.origins, key.path)
}

/// True if a key matters for such a print: a lab print has no screen ruling, a page no bar.
fn concerns(required: &Requirements, origins: &Origins, path: &str) -> bool {
    let said = |path: &str| !origins.of(path).is_open();
    match path {
        "paper.ink_limit" => {
            // Only pictures in CMYK have one: RGB is converted by the printer.
            let printer = required.paper.printer.as_deref();
            let is_four_inks = printer.is_some_and(|printer| printer.facts().space == ProfileSpace::Cmyk);
            let spaces = &required.colour.spaces;
            spaces.contains(&Space::Cmyk) || is_four_inks && (spaces.contains(&Space::Paper) || said(path))
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
                table if !key_table::is_in_print(key) => format!("[{table}]\n{line}\n{print}"),
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
    fn a_question_is_in_the_words_for_its_print() {
        let card = of("[margins]\nfolds = [\"74 mm\"]\n[[print]]\nsize = \"148 x 105 mm\"\n");
        let gutter = card.iter().find(|question| question.key == "margins.gutter").unwrap();
        assert_eq!(gutter.text, "How far from the fold, on each side, must the subject stay?");
        let canvas = of("[paper]\nstock = \"canvas\"\n[[print]]\nsize = \"16 x 20 in\"\n");
        let dmax = canvas.iter().find(|question| question.key == "paper.dmax").unwrap();
        assert!(dmax.text.contains("of this material (Dmax"), "{}", dmax.text);
        assert_eq!((dmax.paper.as_deref(), dmax.assumed.as_str()), (Some("matte canvas, inkjet"), "Dmax 1.45"));
        let depth = canvas.iter().find(|question| question.key == "file.depth").unwrap();
        assert_eq!(depth.assumed, "8 or 16 bits");
    }

    #[test]
    fn the_ink_limit_is_asked_only_where_cmyk_is_sent() {
        let asked = |space: &str| {
            let text = format!("[paper]\nstock = \"coated\"\n[colour]\nspace = {space}\n[[print]]\nsize = \"A4\"\n");
            of(&text).iter().any(|question| question.key == findings::INK_LIMIT)
        };
        assert_eq!((asked("\"srgb\""), asked("\"cmyk\""), asked("[\"srgb\", \"cmyk\"]")), (false, true, true));
    }

    #[test]
    fn what_the_brief_says_is_listed_and_not_asked() {
        let text = "[paper]\nstock = \"coated\"\ndmax = 1.9\n[colour]\nspace = \"srgb\"\n[margins]\n\
                    bleed = \"3 mm\"\n[[print]]\nsize = \"A4\"\n";
        let brief = crate::brief::parse(text, Path::new("a.toml"), None, &[]).unwrap();
        let answered = answered_lines(&brief);
        for words in ["coated", "Dmax 1.9", "sRGB", "bleed 3 mm"] {
            assert!(answered.iter().any(|one| one == words), "{words}: {answered:?}");
        }
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
