//! What a printer's intake desk must do with a delivery, readable in half a minute: nothing that the brief or the files
//! do not say.

use std::collections::HashMap;

use serde::Serialize;

use crate::brief::requirements::Edge;
use crate::brief::{Crop, Print, PrintsById};
use crate::judge::Row;
use crate::judge::acceptance::AcceptedFinding;
use crate::judge::rules::density::tag::length_by_tag;
use crate::judge::rules::margins::bleed;
use crate::picture::Facts;
use crate::picture::facts::Profile;
use crate::report::Report;
use crate::units::words::visible;
use crate::units::{Length, Share, show};

use super::days;
use super::ordered::{agreed, edge_words};
use super::plan::DeliveredPicture;
use super::since::{Comparison, PictureChange};

/// What the agreed exceptions are under.
pub(super) const EXCEPTIONS: &str = "Agreed exceptions";
/// What only the printer can settle is under this.
pub(super) const TO_CHECK: &str = "Check before printing";
/// Most pictures that a line names before it counts the others. Own choice: each picture says it too.
const MOST_NAMED: usize = 8;
/// Number of names up to which the last line names them, and says "all others" beyond. Own choice.
const FEWEST_OTHERS: usize = 2;
/// Largest error at which a picture placed at 100 % has its size, on either side. Own choice: less than a cut may be
/// off.
const FULL_SCALE_WITHIN: Length = Length::from_um(500);
/// Share of a picture, in per cent, from which cutting to the print's aspect ratio counts as a crop: as in
/// `size.aspect`.
const CROP_PERCENT: i128 = 1;

/// An instruction: what it is about, and what to do, one sentence a line. Foreign text is escaped.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Instruction {
    /// What it is about.
    pub about: &'static str,
    /// True if harm is done where it is overlooked.
    pub urgent: bool,
    /// What to do.
    pub lines: Vec<String>,
}

/// A picture's name, and something said of it.
type Said = (String, String);

/// The order that instructions are about.
pub(super) struct InstructedOrder<'a> {
    pub(super) report: &'a Report,
    pub(super) prints: &'a PrintsById<'a>,
    /// The pictures that go with this delivery.
    pub(super) sent: &'a [&'a DeliveredPicture],
    pub(super) earlier: Option<&'a Comparison>,
    /// The number of pictures that the printer has and that stay as they are.
    pub(super) unchanged: usize,
}

impl InstructedOrder<'_> {
    /// Returns the instructions, the most urgent first.
    pub(super) fn instructions(&self) -> Vec<Instruction> {
        let brief = &self.report.brief;
        let foreign = |text: Option<&str>| text.map(|text| visible(text).into_owned()).into_iter().collect();
        let withdrawn = Instruction { about: "Withdrawn, do not print", urgent: true, lines: self.withdrawn() };
        let others = [
            ("Changes", self.changes()),
            ("Order", vec![self.order()]),
            ("Due", brief.due.iter().map(|due| days::in_words(due)).collect()),
            ("Size and bleed", together(self.of_rows(&placing))),
            ("Cropping", together(self.of_rows(&cropping))),
            ("Paper", together(self.of_rows(&paper))),
            ("Colour space", together(self.of_facts(&colour_space))),
            ("Colour correction", foreign(brief.colour_correction.as_deref())),
            (EXCEPTIONS, named(self.collected(&|row| agreed(row).map(exception).collect()))),
            (TO_CHECK, named(self.collected(&to_check))),
            ("Questions to", foreign(brief.from.as_deref())),
            ("Files travel by", foreign(brief.requirements.delivery.transfer.as_deref())),
        ];
        let others = others.map(|(about, lines)| Instruction { about, urgent: about == TO_CHECK, lines });
        [withdrawn].into_iter().chain(others).filter(|one| !one.lines.is_empty()).collect()
    }

    fn withdrawn(&self) -> Vec<String> {
        let withdrawn = self.earlier.map(|earlier| earlier.withdrawn.as_slice()).unwrap_or_default();
        withdrawn.iter().map(|name| visible(name).into_owned()).collect()
    }

    /// Describes what is to be done with files of earlier deliveries.
    fn changes(&self) -> Vec<String> {
        let Some(earlier) = self.earlier else { return Vec::new() };
        let of = |is: fn(&PictureChange) -> bool| {
            let names = self.sent.iter().filter(|sent| is(&earlier.change(sent)));
            names.map(|sent| visible(&sent.name).into_owned()).collect::<Vec<String>>()
        };
        let replaced = of(|change| matches!(change, PictureChange::Replaces(_)));
        let ordered = of(|change| match change {
            PictureChange::Ordered(_) => true,
            PictureChange::Renamed(_, before) => !before.is_empty(),
            _ => false,
        });
        let renamed = self.sent.iter().filter_map(|sent| match earlier.change(sent) {
            PictureChange::Renamed(old, _) => Some(format!("{} is now called {}", visible(&old), visible(&sent.name))),
            _ => None,
        });
        let mut lines = Vec::new();
        if !replaced.is_empty() {
            lines.push(format!("replaced, use the new files: {}", replaced.join(", ")));
        }
        lines.extend(renamed);
        if !ordered.is_empty() {
            lines.push(format!("new order, same files: {}", ordered.join(", ")));
        }
        if self.unchanged > 0 {
            let unchanged = show::count(self.unchanged, "picture", "pictures");
            lines.push(format!("{unchanged} unchanged, not sent again: use the files that you have"));
        }
        lines
    }

    fn order(&self) -> String {
        let rows = || self.sent.iter().flat_map(|sent| &sent.rows).map(|at| &self.report.rows[*at]);
        let copies: usize = rows().map(|row| row.copies as usize).sum();
        let (pictures, prints) = (self.sent.len(), rows().count());
        format!(
            "{}, {}, {} in all",
            show::count(pictures, "picture", "pictures"),
            show::count(prints, "print", "prints"),
            show::count(copies, "copy", "copies")
        )
    }

    fn rows_of<'o>(&'o self, sent: &'o DeliveredPicture) -> impl Iterator<Item = (&'o Row, &'o Print)> {
        let rows = sent.rows.iter().map(|at| &self.report.rows[*at]);
        rows.filter_map(|row| Some((row, self.prints.get(row.key.print.as_ref())?)))
    }

    /// Collects things said of single prints, each under its picture's name.
    fn collected(&self, say: &dyn Fn(&Row) -> Vec<String>) -> Vec<Said> {
        let of_row = |sent, (row, print)| say(row).into_iter().map(move |words| (name_of(sent, print), words));
        self.sent.iter().flat_map(|sent| self.rows_of(sent).flat_map(move |one| of_row(sent, one))).collect()
    }

    /// Collects what is said of each print under its picture's name, with the print's name too where the picture has
    /// several of which different things are said.
    fn of_rows(&self, say: &dyn Fn(&Row, &Print) -> String) -> Vec<Said> {
        let of_picture = |sent: &&DeliveredPicture| {
            let said: Vec<(&Print, String)> = self.rows_of(sent).map(|(row, print)| (print, say(row, print))).collect();
            match said.split_first() {
                Some(((_, words), others)) if others.iter().all(|(_, other)| other == words) => {
                    vec![(visible(&sent.name).into_owned(), words.clone())]
                }
                _ => said.into_iter().map(|(print, words)| (name_of(sent, print), words)).collect(),
            }
        };
        self.sent.iter().flat_map(of_picture).filter(|(_, words)| !words.is_empty()).collect()
    }

    fn of_facts(&self, say: &dyn Fn(&Facts) -> String) -> Vec<Said> {
        let first = |sent: &DeliveredPicture| self.report.rows[*sent.rows.first()?].facts.as_deref().map(say);
        self.sent.iter().filter_map(|sent| Some((visible(&sent.name).into_owned(), first(sent)?))).collect()
    }
}

/// Names a picture, with its print where it has several.
fn name_of(sent: &DeliveredPicture, print: &Print) -> String {
    match sent.rows.len() {
        0 | 1 => visible(&sent.name).into_owned(),
        _ => format!("{} ({})", visible(&sent.name), visible(&print.name)),
    }
}

/// Returns what only the printer can settle.
fn to_check(row: &Row) -> Vec<String> {
    let found = row.findings.iter().filter(|one| one.rule.uses.concerns_printer);
    found.map(|one| visible(&one.found).into_owned()).collect()
}

/// Describes an agreed exception: what to do, what it is, who agreed and why.
fn exception(one: &AcceptedFinding) -> String {
    let acceptance = &one.acceptance;
    let day = days::in_words(&acceptance.when);
    let by = visible(&acceptance.by);
    let signed = if day.is_empty() { by.into_owned() } else { format!("{by}, {day}") };
    let who = match &acceptance.allowed_by {
        Some(who) => format!("agreed by {}", visible(who)),
        None => "accepted".to_owned(),
    };
    let found = visible(&one.finding.found);
    format!("print as it is. {}; {who}: {} ({signed})", found.trim_end_matches('.'), visible(&acceptance.reason))
}

/// Describes the size at which a picture is placed and what its edge carries.
pub(super) fn placing(row: &Row, print: &Print) -> String {
    let margins = &print.requirements.margins;
    let rules = row.findings.iter().map(|one| one.rule).chain(row.accepted.iter().map(|one| one.finding.rule));
    if rules.into_iter().any(|rule| rule == &bleed::RULE) {
        return "bleed not confirmed".to_owned();
    }
    let (scale, edge) = match margins.edge {
        Edge::Bleed => (scale(row), format!("{} included", edge_words(margins))),
        // A lab enlarges it to cover the sheet.
        Edge::Borderless => (None, format!("{}, no bleed included", edge_words(margins))),
        Edge::Border | Edge::Wrap => (scale(row), edge_words(margins)),
    };
    scale.into_iter().chain([edge]).collect::<Vec<String>>().join(", ")
}

/// Describes the scale at which the file has the size of its print; `None` where it is cropped first.
fn scale(row: &Row) -> Option<String> {
    let (placement, facts) = (row.placement.as_deref()?, row.facts.as_deref()?);
    let fit = placement.fit.as_ref().filter(|fit| fit.lost <= Share::percent(CROP_PERCENT))?;
    let frame = placement.frame();
    // What the print loses to its aspect ratio hangs over on both sides of the frame.
    let [top, right, bottom, left] = fit.lost_lengths;
    let printed = (frame.width + left + right, frame.height + top + bottom);
    let by_tag = facts.upright_tag().and_then(|(across, down)| {
        let (width, height) = facts.upright_px();
        Some((length_by_tag(width, across)?, length_by_tag(height, down)?))
    });
    let is_near = |one: Length, other: Length| one.distance(other) <= FULL_SCALE_WITHIN;
    let is_full = by_tag.is_some_and(|(width, height)| is_near(width, printed.0) && is_near(height, printed.1));
    Some(if is_full { "at 100 %".to_owned() } else { format!("scaled to {}", frame.show()) })
}

fn cropping(row: &Row, print: &Print) -> String {
    let fit = row.placement.as_deref().and_then(|placement| placement.fit.as_ref());
    let is_cut = fit.is_some_and(|fit| fit.lost > Share::percent(CROP_PERCENT));
    match print.crop {
        Crop::ByDesigner => "the designer may crop",
        Crop::ByPhotographer if is_cut => "not in the aspect ratio of its print, ask before you crop",
        Crop::ByPhotographer => "cropped by the photographer, do not crop further",
    }
    .to_owned()
}

/// Names the paper, where somebody did: a default is no order.
pub(super) fn paper(_: &Row, print: &Print) -> String {
    let is_said = |key: &str| !print.origins.of(key).is_open();
    let paper = &print.requirements.paper;
    let words = [("paper.surface", paper.surface.word()), ("paper.stock", paper.stock.word())];
    words.into_iter().filter(|(key, _)| is_said(key)).map(|(_, word)| word).collect::<Vec<&str>>().join(" ")
}

fn colour_space(facts: &Facts) -> String {
    let name = crate::report::facts::profile(facts);
    let name = visible(&name);
    match facts.profile {
        Profile::Embedded(_) => format!("{name}, profile embedded"),
        Profile::None => format!("no profile embedded{}", name.trim_start_matches("none embedded")),
        Profile::Broken(_) => format!("profile {name}"),
    }
}

/// Collects the names of which the same is said, in the order in which it is first said.
fn alike(said: Vec<Said>) -> Vec<(String, Vec<String>)> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for (name, words) in said {
        let place = *places.entry(words.clone()).or_insert(groups.len());
        match groups.get_mut(place) {
            Some((_, names)) => names.push(name),
            None => groups.push((words, vec![name])),
        }
    }
    groups
}

/// Says something of all pictures in one line where it is the same, else in one line for each group that shares it, the
/// largest last.
fn together(said: Vec<Said>) -> Vec<String> {
    let mut groups = alike(said);
    if groups.len() <= 1 {
        return groups.into_iter().map(|(words, _)| words).collect();
    }
    groups.sort_by_key(|(_, names)| names.len());
    let last = groups.len() - 1;
    let line = |(at, (words, names)): (usize, (String, Vec<String>))| match names.len() {
        count if at == last && count > FEWEST_OTHERS => format!("all others: {words}"),
        count if count <= MOST_NAMED => format!("{}: {words}", names.join(", ")),
        count => format!("{} and {} more: {words}", names[..MOST_NAMED].join(", "), count - MOST_NAMED),
    };
    groups.into_iter().enumerate().map(line).collect()
}

/// Says each thing once, with all the pictures that it is about.
fn named(said: Vec<Said>) -> Vec<String> {
    alike(said).into_iter().map(|(words, names)| format!("{}: {words}", names.join(", "))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::placement::Placement;
    use crate::judge::testing::print;
    use crate::picture::facts::ResolutionTag;
    use crate::report::sample;

    /// Margins of a page.
    const PAGE: &str = "[paper]\nstock = \"coated\"\n[margins]\nbleed = \"3 mm\"\n";

    /// The row of a print and a file of these pixels, with this resolution tag.
    fn row(print: &Print, (width, height): (u32, u32), tag: Option<f64>) -> Row {
        let mut row = sample::row(Some(print), Some("a.jpg"), crate::judge::RowState::Pass);
        let mut facts = sample::facts(width, height);
        facts.tag = tag.map(|ppi| ResolutionTag { x_ppi: ppi, y_ppi: ppi });
        row.placement = Some(Placement::of(print, facts.upright_px()).into());
        row.facts = Some(facts.into());
        row
    }

    #[test]
    fn a_picture_is_placed_at_full_scale_only_where_its_tag_gives_its_size() {
        let page = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\""));
        let of = |px, tag| placing(&row(&page, px, tag), &page);
        assert_eq!(of((2551, 3142), Some(300.0)), "at 100 %, 3 mm bleed included");
        // 118 px/cm is 299.72 ppi: 0.25 mm on 266 mm.
        assert_eq!(of((2551, 3142), Some(299.72)), "at 100 %, 3 mm bleed included");
        assert_eq!(of((2551, 3142), Some(72.0)), "scaled to 216 x 266 mm, 3 mm bleed included");
        assert_eq!(of((2551, 3142), Some(299.0)), "scaled to 216 x 266 mm, 3 mm bleed included");
        assert_eq!(of((2551, 3142), None), "scaled to 216 x 266 mm, 3 mm bleed included");
        assert_eq!(of((3142, 3142), Some(300.0)), "3 mm bleed included", "it is cropped first");
    }

    #[test]
    fn each_kind_of_edge_is_said_in_its_own_words() {
        let of = |margins: &str, size: &str, px| {
            let text = format!("[paper]\nstock = \"coated\"\n[margins]\n{margins}\n[[print]]\nsize = \"{size}\"");
            let print = print(&text);
            placing(&row(&print, px, Some(300.0)), &print)
        };
        assert_eq!(of("edge = \"borderless\"", "8 x 10 in", (2400, 3000)), "borderless, no bleed included");
        assert_eq!(of("edge = \"bleed\"\nbleed = \"0 mm\"", "8 x 10 in", (2400, 3000)), "at 100 %, no bleed included");
        let border = of("edge = \"border\"\nborder = \"1 in\"", "8 x 10 in", (1800, 2400));
        assert_eq!(border, "at 100 %, white border of 1 in");
        let bar = of("edge = \"wrap\"\nwrap = \"1 in\"\nsides = \"mirrored\"", "8 x 10 in", (2400, 3000));
        assert_eq!(bar, "at 100 %, on a bar of 1 in, mirrored sides");
    }

    #[test]
    fn who_may_crop_is_said_of_every_print() {
        let page = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\""));
        assert_eq!(
            cropping(&row(&page, (2551, 3142), None), &page),
            "cropped by the photographer, do not crop further"
        );
        assert!(cropping(&row(&page, (3142, 3142), None), &page).ends_with("ask before you crop"));
        let designed = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\"\ncrop = \"by the designer\""));
        assert_eq!(cropping(&row(&designed, (3142, 3142), None), &designed), "the designer may crop");
    }

    #[test]
    fn a_paper_that_nobody_named_is_not_ordered() {
        let nobody = print("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(paper(&row(&nobody, (2400, 3000), None), &nobody), "");
        let named = print("[paper]\nstock = \"coated\"\nsurface = \"matte\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(paper(&row(&named, (2400, 3000), None), &named), "matte coated");
    }

    #[test]
    fn what_is_the_same_of_all_pictures_is_said_once_and_else_by_picture() {
        let said = |words: &[(&str, &str)]| {
            together(words.iter().map(|(name, words)| ((*name).to_owned(), (*words).to_owned())).collect())
        };
        assert_eq!(said(&[]), [""; 0]);
        assert_eq!(said(&[("a", "sRGB"), ("b", "sRGB")]), ["sRGB"]);
        assert_eq!(said(&[("a", "sRGB"), ("b", "grey"), ("c", "sRGB")]), ["b: grey", "a, c: sRGB"]);
        assert_eq!(said(&[("a", "x"), ("b", "x"), ("c", "x"), ("d", "y")]), ["d: y", "all others: x"]);
        let mut many: Vec<(&str, &str)> = vec![("x", "sRGB"); 20];
        many.push(("b", "grey"));
        assert_eq!(said(&many), ["b: grey", "all others: sRGB"]);
    }
}
