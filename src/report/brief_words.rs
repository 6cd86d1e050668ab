//! A brief in words: its problems, its effective values, its open questions.

use std::collections::HashSet;

use unicode_width::UnicodeWidthStr;

use crate::brief::key::{BriefKey, Shown};
use crate::brief::key_table;
use crate::brief::origin::Origin;
use crate::brief::picture_patterns::PictureSelector;
use crate::brief::questions::{OpenQuestion, answered_lines, questions};
use crate::brief::requirements::{Edge, Requirements, Sides};
use crate::brief::show::{self as effective, ShownValue};
use crate::brief::starter::STARTERS;
use crate::brief::{Brief, Print, PrintsById, Problem};
use crate::judge::placement::Placement;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;
use crate::units::{Length, LengthUnit, Size, show};

/// Indent of a problem's parts, in columns.
const INDENT: usize = 4;
/// Width of a label of a print's geometry, in columns.
const LABEL: usize = 12;
/// Width of the number of a question, in columns.
const NUMBER: usize = 4;
/// Most prints that a question names; more are counted.
const NAMED_PRINTS: usize = 3;
/// Width of a key of the brief, in columns.
const KEY: usize = 24;
/// The key that says whether a print may be rotated.
const ROTATE: &str = "print.rotate";
/// The key that says how files are named, as a pattern.
const NAME_PATTERN: &str = "file.name_pattern";
/// Where the answers go.
const ANSWERING: [&str; 3] = [
    "plateside brief answer BRIEF takes the answers, one question at a time, and writes them down. Or do it yourself:",
    "Write answers at the top of the brief, above the first table: density.minimum = \"200 ppi\"",
    "If [density] is there already, write minimum = \"200 ppi\" below it. plateside explain KEY says more.",
];
/// What the words behind a value mean.
const ORIGINS: [&str; 2] = [
    "usual: plateside's default, or a starter's value; nobody requires it",
    "required: set by the brief, the printer's sheet, a print or the picture list, on the line given",
];
/// Characters shown of an offending line on each side of the offence; 60 on the left and 40 on the right fit the
/// usual terminal's hundred columns.
const SHOWN_BEFORE: usize = 60;
const SHOWN_AFTER: usize = 40;

/// Formats all of a brief's problems: place, problem, the line with a caret under the offence, the line to write.
pub fn problems(problems: &[Problem]) -> Vec<Line> {
    let mut lines = Vec::new();
    for problem in problems {
        if !lines.is_empty() {
            lines.push(Line::blank());
        }
        lines.extend(problem_lines(problem));
    }
    lines
}

fn problem_lines(problem: &Problem) -> Vec<Line> {
    let place = problem.place_in(&problem.file.to_string_lossy());
    let mut lines =
        vec![Line::of(Style::Strong, format!("{place}: ")).and(Style::Bad, problem.what.as_str()).indented(0, INDENT)];
    if !problem.text.trim().is_empty() {
        // A cell is shown by itself: all of it is meant.
        let (shown, caret) = around(&problem.text, problem.cell.as_ref().map_or(problem.column, |_| 1));
        lines.push(Line::of(Style::Dim, shown).indented(INDENT, 0));
        if problem.cell.is_none() {
            lines.push(Line::of(Style::Bad, "^").indented(INDENT + caret, 0));
        }
    }
    if !problem.fix.is_empty() {
        lines.push(Line::of(Style::Plain, "fix  ").and(Style::Good, problem.fix.as_str()).indented(INDENT, 0));
    }
    lines
}

/// Returns the part of a line around a column (from 1), escaped, and the offence's column in that part.
fn around(text: &str, column: usize) -> (String, usize) {
    let at = column.saturating_sub(1);
    let blanks = text.chars().take_while(|c| c.is_whitespace()).count().min(at);
    let from = blanks.max(at.saturating_sub(SHOWN_BEFORE));
    let before: String = text.chars().take(at).skip(from).collect();
    let after: String = text.chars().skip(at).take(SHOWN_AFTER).collect();
    let cut = |cut: bool| if cut { "…" } else { "" };
    let before = format!("{}{}", cut(from > blanks), visible(&before));
    let caret = before.width();
    (format!("{before}{}{}", visible(after.trim_end()), cut(text.chars().count() > at + SHOWN_AFTER)), caret)
}

/// Formats the effective brief: every value and its origin, then each print with its geometry and differences.
pub fn brief_lines(brief: &Brief) -> Vec<Line> {
    let mut lines = vec![Line::of(Style::Head, "The order"), Line::of(Style::Dim, brief.path.to_string_lossy())];
    lines.extend(ORIGINS.iter().map(|line| Line::of(Style::Dim, *line)));
    lines.extend(effective::order(brief).iter().map(|row| row_line(row, &brief.requirements)));
    for remark in &brief.findings {
        lines.push(Line::blank());
        lines.extend(problem_lines(&remark.problem));
    }
    let prints = PrintsById::of(brief);
    for print in &brief.prints {
        lines.push(Line::blank());
        lines.extend(geometry(print, prints.id_beside_name(Some(&print.id))));
        lines.extend(effective::print(brief, print).iter().map(|row| row_line(row, &print.requirements)));
    }
    lines
}

fn row_line(row: &ShownValue, required: &Requirements) -> Line {
    let line = Line::of(Style::Dim, format!("{:KEY$}  ", row.key)).and(Style::Strong, row.value.as_str());
    match origin_words(row, required) {
        Some(words) => line.and(Style::Dim, format!("  ({words})")),
        None => line,
    }
    .indented(2, KEY + 2)
}

/// Returns where a value comes from; nothing where nobody has said anything. A name or a title is no requirement.
fn origin_words(row: &ShownValue, required: &Requirements) -> Option<String> {
    let in_brief = row.origin == Origin::Default && row.key == "prints";
    if in_brief || row.value == key_table::NOT_SAID {
        return None;
    }
    if row.key == NAME_PATTERN && row.origin == Origin::Default && required.file.name.words.is_some() {
        return Some("follows from file.name".to_owned());
    }
    if row.origin == Origin::Process {
        return Some(if row.key == ROTATE && row.value == "no" && !required.paper.process.is_press() {
            "usual with folds or unequal margins".to_owned()
        } else {
            format!("usual for {}", required.paper.process.word())
        });
    }
    let requires = |key: &BriefKey| matches!(key.shown, Shown::Requirements(_) | Shown::AnyNames);
    let is_requirement = key_table::find(&row.key).is_some_and(requires);
    let words = if is_requirement { row.origin.words() } else { row.origin.place() };
    Some(match &row.answered {
        Some(day) => format!("{words}, answered {day}"),
        None => words,
    })
}

/// Formats what the brief leaves open as questions to the printer; each names the key that will hold its answer.
pub fn open_questions(brief: &Brief) -> Vec<Line> {
    let questions = questions(brief);
    if questions.is_empty() {
        let mut lines = vec![Line::plain("The brief answers every question that plateside would put to the printer.")];
        lines.extend(lines_not_asked(brief));
        return lines;
    }
    let mut lines = vec![
        Line::of(Style::Dim, "Questions for the printer, each with the key of the brief that takes the answer."),
        Line::of(Style::Dim, "Until you have the answer, plateside checks against the value below the question."),
    ];
    let is_same = |a: &OpenQuestion, b: &OpenQuestion| a.key == b.key && a.text == b.text;
    let mut table = None;
    for (at, required) in questions.chunk_by(is_same).enumerate() {
        let [first, ..] = required else { continue };
        let own = key_table::find(first.key).map_or("", BriefKey::table);
        if table != Some(own) {
            table = Some(own);
            lines.push(Line::blank());
            lines.push(Line::of(Style::Head, heading(own)));
        }
        let number = format!("{}.", at + 1);
        lines.push(
            Line::of(Style::Strong, format!("{number:NUMBER$}{}", first.text))
                .and(Style::Dim, format!("  {}", first.key))
                .indented(0, NUMBER),
        );
        lines.extend(required.iter().filter(|question| question.assumed != key_table::NOT_SAID).map(|question| {
            let prints = concerned_words(question, brief);
            Line::of(Style::Dim, format!("{prints}until answered: {}", question.assumed)).indented(NUMBER, 2)
        }));
    }
    lines.push(Line::blank());
    lines.extend(ANSWERING.iter().map(|line| Line::plain(*line)));
    lines.extend(lines_not_asked(brief));
    lines
}

/// Lists what is not asked, since the brief says it; nothing if it says nothing.
fn lines_not_asked(brief: &Brief) -> Vec<Line> {
    let answered = answered_lines(brief);
    if answered.is_empty() {
        return Vec::new();
    }
    let words = format!(
        "Not asked, since the brief says it: {}. Ask the printer to confirm these too.",
        visible(&answered.join("; "))
    );
    vec![Line::blank(), Line::plain(words)]
}

/// Returns the subject of a table's questions.
fn heading(table: &str) -> &'static str {
    match table {
        "" => "The order",
        "paper" => "Paper and process",
        "file" => "Files",
        "colour" => "Colour",
        "density" => "Resolution and screen ruling",
        "margins" => "Edges, margins and folds",
        "tone" => "Highlights and shadows",
        "detail" => "Sharpening",
        "delivery" => "Delivery",
        _ => "The prints",
    }
}

/// Names what a question is about: its paper, or its prints.
pub fn concerned_words(question: &OpenQuestion, brief: &Brief) -> String {
    match (&question.paper, question.prints.len()) {
        (None, _) => named_prints(question, brief),
        (Some(paper), 0) => format!("for {paper}; "),
        (Some(paper), count) => format!("for {paper} ({}); ", show::count(count, "print", "prints")),
    }
}

/// Names the prints of a question: nothing for all, a few by name, many by what they are on, by the few that are left
/// out, or by number.
fn named_prints(question: &OpenQuestion, brief: &Brief) -> String {
    let (names, of) = (&question.prints, brief.prints.len());
    if names.is_empty() {
        return String::new();
    }
    if let Some(version) = whole_version(question, brief) {
        return format!("for the version \"{version}\"; ");
    }
    if names.len() <= NAMED_PRINTS {
        let few: Vec<&str> = names.iter().map(String::as_str).collect();
        return format!("for {}; ", quoted(&few));
    }
    if let Some(stock) = question.stock {
        return format!("for the {} prints on {stock}; ", names.len());
    }
    let named: HashSet<&str> = names.iter().map(String::as_str).collect();
    let all: Vec<_> = brief.prints.iter().map(Print::name_with_version).collect();
    let others: Vec<&str> = all.iter().map(|name| &**name).filter(|name| !named.contains(name)).collect();
    // Several prints may have one name.
    if !others.is_empty() && others.len() <= NAMED_PRINTS && names.len() + others.len() == of {
        return format!("for all but {}; ", quoted(&others));
    }
    format!("for {} of {}; ", names.len(), show::count(of, "print", "prints"))
}

/// Returns the name of the version whose prints are those that a question is about, and no others.
fn whole_version<'b>(question: &OpenQuestion, brief: &'b Brief) -> Option<&'b str> {
    let version_of = |at: &usize| brief.prints.get(*at).and_then(|print| print.version.as_ref());
    let version = version_of(question.concerned.first()?)?;
    let is_same = |at: &usize| version_of(at) == Some(version);
    let of = brief.prints.iter().filter(|print| print.version.as_ref() == Some(version)).count();
    (question.concerned.len() == of && question.concerned.iter().all(is_same)).then_some(&*version.name)
}

/// Lists names in quotes: `"a", "b" and "c"`.
fn quoted(names: &[&str]) -> String {
    let mut names: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    let last = names.pop().unwrap_or_default();
    if names.is_empty() { last } else { format!("{} and {last}", names.join(", ")) }
}

/// Lists the briefs to start from.
pub fn starters() -> Vec<Line> {
    let mut lines = vec![Line::plain("Briefs to start from:")];
    lines.extend(STARTERS.iter().map(|starter| {
        Line::of(Style::Strong, format!("{:KEY$}", starter.name)).and(Style::Plain, starter.about).indented(2, KEY)
    }));
    lines.push(Line::blank());
    lines.push(Line::of(
        Style::Dim,
        "plateside brief new NAME writes NAME.toml here; --into FILE writes it elsewhere. No file is overwritten.",
    ));
    lines.push(Line::of(Style::Dim, "plateside brief new --from LIST takes the prints from a picture list."));
    let like = "plateside brief new --like LAST.toml takes printer, papers, sheet and answers of an earlier order.";
    lines.push(Line::of(Style::Dim, like));
    lines
}

/// Formats a print's geometry in both its own unit and millimetres, and in pixels; under its name, and under its id
/// where others have that name.
pub fn geometry(print: &Print, id: Option<&str>) -> Vec<Line> {
    let placement = Placement::of_print(print);
    let density = &print.requirements.density;
    let unit = print.requirements.margins.unit;
    let name = format!("{}{}", print.name_with_version(), id.map(|id| format!(" ({id})")).unwrap_or_default());
    let mut lines = vec![Line::of(Style::Head, name).and(Style::Dim, pictures(print))];
    let mut say = |label: &str, text: String| {
        let label = Line::of(Style::Dim, format!("{label:LABEL$}"));
        lines.push(label.and(Style::Plain, text).indented(2, LABEL));
    };
    say("finished", in_mm_too(placement.finished));
    let frame = placement.frame();
    if (frame.width, frame.height) != (placement.finished.width, placement.finished.height) {
        let why = match print.requirements.margins.edge {
            _ if frame.width < placement.finished.width => "inside the border",
            Edge::Wrap => "with what goes round the bar",
            _ => "with bleed",
        };
        say("picture", format!("{}, {why}", in_mm_too(frame)));
    }
    let (target, minimum) = (placement.needed_px(density.target), placement.needed_px(density.minimum));
    say("target", format!("{} at {}", show::pixels(target), show::ppi(density.target)));
    say("minimum", format!("{} at {}", show::pixels(minimum), show::ppi(density.minimum)));
    if !placement.cut_away.is_zero() {
        say("may be cut", format!("{} from the picture's edge", sides(placement.cut_away, unit)));
    }
    if placement.safe != placement.cut_away && !placement.safe.is_zero() {
        say("keep clear", format!("{} from the picture's edge", sides(placement.safe, unit)));
    }
    if !placement.folds.is_empty() {
        let folds: Vec<String> = placement.folds.iter().map(|fold| show::length(*fold, unit)).collect();
        let gutter = match placement.gutter {
            Length::ZERO => String::new(),
            gutter => format!(", {} lost on each side", show::length(gutter, unit)),
        };
        say("folds", format!("{} from the picture's left edge{gutter}", folds.join(", ")));
    }
    lines
}

fn pictures(print: &Print) -> String {
    let page = print.page.map(|page| format!(", {}", page.words())).unwrap_or_default();
    let copies = match print.copies {
        1 => String::new(),
        n => format!(", {}", show::count(n as usize, "copy", "copies")),
    };
    let picks = match &print.pictures {
        PictureSelector::One(pattern) => format!("takes the picture {}", pattern.as_str()),
        PictureSelector::Many(pattern) => format!("takes all pictures {}", pattern.as_str()),
        PictureSelector::Rest => "takes every picture that no other print takes".to_owned(),
    };
    format!("{page}{copies}  {picks}")
}

fn in_mm_too(size: Size) -> String {
    let mm = Size::new(size.width, size.height, LengthUnit::Millimetre);
    if size.unit == LengthUnit::Millimetre { mm.show() } else { format!("{} ({})", size.show(), mm.show()) }
}

fn sides(sides: Sides, unit: LengthUnit) -> String {
    if !sides.differ() {
        return show::length(sides.top, unit);
    }
    let each = ["top", "right", "bottom", "left"].into_iter().zip(sides.each());
    let words: Vec<String> = each.map(|(name, side)| format!("{} {name}", show::length(side, unit))).collect();
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;
    use crate::report::sample;

    fn text(lines: &[Line]) -> String {
        lines.iter().map(|line| format!("{}{}\n", " ".repeat(line.indent), line.text())).collect()
    }

    fn problem(text: &str, column: usize) -> Problem {
        Problem {
            file: PathBuf::from("low-water.toml"),
            line: 2,
            column,
            cell: None,
            text: text.to_owned(),
            what: "\"8x10\" has no unit".to_owned(),
            fix: "write size = \"8 x 10 in\"".to_owned(),
        }
    }

    #[test]
    fn a_default_is_usual_and_what_nobody_said_is_no_instruction() {
        let brief = "[density]\nminimum = \"200 ppi\"\n[[print]]\nname = \"wall\"\nsize = \"A4\"\n";
        let brief = crate::brief::parse(brief, std::path::Path::new("a.toml"), None, &[]).unwrap();
        let text = text(&brief_lines(&brief));
        let row = |key: &str| text.lines().find(|line| line.trim_start().starts_with(key)).unwrap().to_owned();
        assert!(row("density.minimum").ends_with("200 ppi  (required: brief, line 2)"), "{text}");
        assert!(row("density.target").ends_with("300 ppi  (usual)"), "{text}");
        assert!(row("paper.surface").ends_with("lustre  (usual for this paper)"), "{text}");
        assert!(row("margins.edge").ends_with("borderless  (usual for silver halide)"), "{text}");
        assert!(row("print.name").ends_with("wall  (print, line 4)"), "{text}");
        assert!(row("colour_correction").ends_with("  not said"), "{text}");
    }

    #[test]
    fn what_a_print_requires_is_shown_also_where_it_is_the_usual_value() {
        let brief = "[[print]]\nname = \"wall\"\nsize = \"A4\"\ncolour.space = \"srgb\"\n";
        let brief = crate::brief::parse(brief, std::path::Path::new("a.toml"), None, &[]).unwrap();
        let text = text(&brief_lines(&brief));
        let rows: Vec<&str> = text.lines().filter(|line| line.trim_start().starts_with("colour.space")).collect();
        assert!(
            rows.len() == 2 && rows[0].ends_with("(usual)") && rows[1].ends_with("(required: print, line 4)"),
            "{text}"
        );
    }

    #[test]
    fn questions_are_numbered_and_each_is_asked_once() {
        let mut brief = String::from("[paper]\nstock = \"coated\"\n");
        for page in 1..=5 {
            brief.push_str(&format!("[[print]]\nname = \"plate {page}, warm\"\nsize = \"A4\"\n"));
        }
        brief.push_str("[print.paper]\nstock = \"cotton\"\n");
        let brief = crate::brief::parse(&brief, std::path::Path::new("a.toml"), None, &[]).unwrap();
        let text = text(&open_questions(&brief));
        assert_eq!(text.matches("How deep is the black of this paper").count(), 1, "{text}");
        assert!(text.contains("for gloss coated, offset (4 prints); until answered: "), "{text}");
        assert!(text.contains("for the 4 prints on coated paper; until answered: "), "{text}");
        assert!(text.contains("above the first table: density.minimum = \"200 ppi\"\n"), "{text}");
        assert!(
            text.ends_with(
                "Not asked, since the brief says it: coated and cotton (by print). Ask the printer to confirm these \
                 too.\n"
            ),
            "{text}"
        );
        assert!(text.contains("for \"plate 5, warm\"; until answered: "), "{text}");
        let numbers = text.lines().filter_map(|line| line.split_once(". ")?.0.parse::<usize>().ok());
        assert!(numbers.enumerate().all(|(at, number)| number == at + 1), "{text}");
    }

    #[test]
    fn the_caret_stands_under_the_offence() {
        insta::assert_snapshot!(text(&problems(&[problem("  size = \"8x10\"", 10)])), @r#"
        low-water.toml:2:10: "8x10" has no unit
            size = "8x10"
                   ^
            fix  write size = "8 x 10 in"
        "#);
    }

    #[test]
    fn long_and_hostile_lines_keep_their_caret_and_lose_their_sting() {
        let long = format!("{}\u{1b}[31mé\u{4e2d}X{}", "a".repeat(200), "b".repeat(200));
        let column = long.chars().position(|c| c == 'X').unwrap() + 1;
        let (shown, caret) = around(&long, column);
        assert!(shown.starts_with('…') && shown.ends_with('…') && !shown.contains('\u{1b}'));
        let before = &shown[..shown.find('X').unwrap()];
        assert_eq!(before.width(), caret);
        assert_eq!(around("abc", 9), ("abc".to_owned(), 3), "a place behind the end");
    }

    #[test]
    fn a_print_is_shown_in_its_unit_in_millimetres_and_in_pixels() {
        let text = text(&geometry(&sample::brief().prints[0], None));
        // 210 x 260 mm with 3 mm bleed at 300 and 240 ppi: 216 x 266 mm (arithmetic).
        for words in ["210 x 260 mm", "216 x 266 mm", "2551 x 3142 px at 300 ppi", "2041 x 2513 px at 240 ppi"] {
            assert!(text.contains(words), "{words} is missing in\n{text}");
        }
    }
}
