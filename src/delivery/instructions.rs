//! What a printer's intake desk must do with a delivery, readable in half a minute: nothing that the brief or the files
//! do not say.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use crate::brief::requirements::Edge;
use crate::brief::{Crop, Print, PrintsById};
use crate::judge::rules::density::tag::length_by_tag;
use crate::judge::rules::margins::bleed;
use crate::judge::rules::set::duplicate;
use crate::judge::{Finding, Row};
use crate::picture::Facts;
use crate::picture::facts::Profile;
use crate::report::Report;
use crate::units::words::visible;
use crate::units::{Length, Share, show};

use super::days;
use super::order_change::ListHead;
use super::ordered::{agreed, copies, edge_words, exception, paper, told};
use super::plan::DeliveredPicture;
use super::since::{Comparison, PictureChange};

/// What was accepted of that concerns the printer is under this.
pub(super) const EXCEPTIONS: &str = "Exceptions";
/// Warnings that the photographer leaves, and tells the printer, are under this.
pub(super) const KNOWN: &str = "Known, leave as it is";
/// What only the printer can settle is under this.
pub(super) const TO_CHECK: &str = "Check before printing";
/// What to do with earlier files is under this.
pub(super) const CHANGES: &str = "Changes";
/// How much goes with a delivery that follows another is under this.
pub(super) const IN_THIS_DELIVERY: &str = "In this delivery";
/// How much goes with any other is under this.
pub(super) const ORDER: &str = "Order";
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
            (CHANGES, self.changes()),
            (if self.earlier.is_some() { IN_THIS_DELIVERY } else { ORDER }, self.order()),
            ("Files due at the printer", brief.due.iter().map(|due| days::in_words(due)).collect()),
            ("Size and bleed", together(self.of_rows(&placing))),
            ("Cropping", together(self.of_rows(&cropping))),
            ("Paper", together(self.of_rows(&paper))),
            ("Colour space", together(self.of_facts(&colour_space))),
            ("Colour correction", foreign(brief.colour_correction.as_deref())),
            (EXCEPTIONS, named(self.collected(&|row, _| agreed(row).map(exception).collect()))),
            (KNOWN, named(self.collected(&known))),
            (
                TO_CHECK,
                [
                    named(self.collected(&to_check)),
                    self.same_pictures().iter().map(|names| same_words(names)).collect(),
                ]
                .concat(),
            ),
            ("Questions to", foreign(brief.from.as_deref())),
            ("Sent by", foreign(brief.requirements.delivery.transfer.as_deref())),
        ];
        let others = others.map(|(about, lines)| Instruction { about, urgent: about == TO_CHECK, lines });
        [withdrawn].into_iter().chain(others).filter(|one| !one.lines.is_empty()).collect()
    }

    fn withdrawn(&self) -> Vec<String> {
        let Some(earlier) = self.earlier else { return Vec::new() };
        let files = earlier.withdrawn.iter().map(|name| visible(name).into_owned());
        files.chain(earlier.withdrawn_prints(self.sent)).collect()
    }

    /// Describes what is to be done with files of earlier deliveries.
    fn changes(&self) -> Vec<String> {
        let Some(earlier) = self.earlier else { return Vec::new() };
        let of = |is: fn(&PictureChange) -> bool| {
            let names = self.sent.iter().filter(|sent| is(&earlier.change(sent)));
            names.map(|sent| visible(&sent.name).into_owned()).collect::<Vec<String>>()
        };
        let replaced = of(|change| matches!(change, PictureChange::Replaces(_)));
        let renamed = self.sent.iter().filter_map(|sent| match earlier.change(sent) {
            PictureChange::Renamed(old) => Some(format!("{} is now called {}", visible(&old), visible(&sent.name))),
            _ => None,
        });
        let mut lines = Vec::new();
        if !replaced.is_empty() {
            lines.push(format!("replaced, use the new files: {}", replaced.join(", ")));
        }
        lines.extend(renamed);
        lines.extend(self.order_changes(earlier));
        if self.unchanged > 0 {
            let unchanged = show::count(self.unchanged, "picture", "pictures");
            lines.push(format!("{unchanged} unchanged, not sent again: use the files that you have"));
        }
        lines.extend(earlier.changed_terms());
        lines
    }

    /// Describes what is ordered differently of the pictures: one line for each kind of change.
    fn order_changes(&self, earlier: &Comparison) -> Vec<String> {
        let mut by_head: BTreeMap<(ListHead, bool), Vec<String>> = BTreeMap::new();
        for sent in self.sent {
            let is_new_file = matches!(earlier.change(sent), PictureChange::Replaces(_));
            let file = visible(&sent.name);
            for (head, words) in earlier.prints(sent).iter().filter_map(|one| one.listed(&file, sent.rows.len() > 1)) {
                let names = by_head.entry((head, is_new_file)).or_default();
                if names.last() != Some(&words) {
                    names.push(words);
                }
            }
        }
        let line = |((head, is_new_file), names): ((ListHead, bool), Vec<String>)| {
            format!("{}: {}", head.words(is_new_file), names.join(", "))
        };
        by_head.into_iter().map(line).collect()
    }

    /// Returns the names of pictures that are the same file under several names, unless somebody accepted that.
    pub(super) fn same_pictures(&self) -> Vec<Vec<String>> {
        let is_duplicate = |row: &Row| row.accepted.iter().any(|one| one.finding.rule == &duplicate::RULE);
        let mut by_content: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for sent in self.sent.iter().filter(|sent| !self.rows_of(sent).any(|(row, _)| is_duplicate(row))) {
            by_content.entry(&sent.sha256).or_default().push(visible(&sent.name).into_owned());
        }
        let mut same: Vec<Vec<String>> = by_content.into_values().filter(|names| names.len() > 1).collect();
        same.sort();
        same
    }

    /// Counts what is to be printed of these files; nothing where only words of the order changed.
    fn order(&self) -> Vec<String> {
        if self.sent.is_empty() {
            return Vec::new();
        }
        let rows = || self.sent.iter().flat_map(|sent| &sent.rows).map(|at| &self.report.rows[*at]);
        let counted = self.sent.iter().flat_map(|sent| self.rows_of(sent));
        let counted: Vec<u32> = counted.filter_map(|(row, print)| copies(row, print)).collect();
        let all = show::count(counted.iter().map(|copies| *copies as usize).sum(), "copy", "copies");
        let (pictures, prints) = (self.sent.len(), rows().count());
        let copies = match counted.len() {
            0 => None,
            count if count == prints => Some(format!("{all} in all")),
            count => Some(format!("{all} of {}", show::count(count, "print", "prints"))),
        };
        let counts = [show::count(pictures, "picture", "pictures"), show::count(prints, "print", "prints")];
        vec![counts.into_iter().chain(copies).collect::<Vec<String>>().join(", ")]
    }

    fn rows_of<'o>(&'o self, sent: &'o DeliveredPicture) -> impl Iterator<Item = (&'o Row, &'o Print)> {
        let rows = sent.rows.iter().map(|at| &self.report.rows[*at]);
        rows.filter_map(|row| Some((row, self.prints.get(row.key.print.as_ref())?)))
    }

    /// Collects things said of single prints, each under its picture's name.
    fn collected(&self, say: &dyn Fn(&Row, &Print) -> Vec<String>) -> Vec<Said> {
        let of_row = |sent, (row, print)| say(row, print).into_iter().map(move |words| (name_of(sent, print), words));
        self.sent.iter().flat_map(|sent| self.rows_of(sent).flat_map(move |one| of_row(sent, one))).collect()
    }

    /// Collects what is said of each print under its picture's name, with the print's name too where the picture has
    /// several of which different things are said. The words are empty where nothing is said.
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
        self.sent.iter().flat_map(of_picture).collect()
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

/// Says that files are the same picture.
fn same_words(names: &[String]) -> String {
    match names.split_last() {
        Some((last, others)) => format!("{} and {last} are the same picture", others.join(", ")),
        None => String::new(),
    }
}

/// Returns the warnings that the photographer chose to tell.
fn known(row: &Row, print: &Print) -> Vec<String> {
    told(row, print).map(|one| visible(&one.found).into_owned()).collect()
}

/// Returns what only the printer can settle.
fn to_check(row: &Row, _: &Print) -> Vec<String> {
    let found = row.findings.iter().filter(|one| one.rule.uses.concerns_printer);
    found.map(|one| visible(&one.found).into_owned()).collect()
}

/// Describes the size at which a picture is placed and what its edge carries.
pub(super) fn placing(row: &Row, print: &Print) -> String {
    let margins = &print.requirements.margins;
    if let Some(finding) = bleed_finding(row) {
        return without_bleed(row, finding);
    }
    let edge = edge_words(margins);
    match margins.edge {
        Edge::Bleed => scaled(row, &format!("{edge} included")),
        // A lab enlarges it to cover the sheet.
        Edge::Borderless => format!("{edge}, no bleed included"),
        Edge::Border | Edge::Wrap => scaled(row, &edge),
    }
}

/// Returns what was found of a picture's bleed, accepted or not.
fn bleed_finding(row: &Row) -> Option<&Finding> {
    let accepted = row.accepted.iter().map(|one| &*one.finding);
    row.findings.iter().map(|one| &**one).chain(accepted).find(|one| one.rule == &bleed::RULE)
}

/// True if it is only unknown whether a picture has bleed.
fn is_unknown(finding: &Finding) -> bool {
    finding.about == "unknown"
}

/// Describes the size and bleed of a picture whose bleed is missing, differs or is unknown.
fn without_bleed(row: &Row, finding: &Finding) -> String {
    if is_unknown(finding) {
        return "bleed not confirmed".to_owned();
    }
    let size = row.placement.as_deref().filter(|_| finding.measured == Some(0.0)).map(|one| one.finished.show());
    let what = match size {
        Some(size) => format!("no bleed in the file, which is {size}"),
        None => visible(&finding.short).into_owned(),
    };
    format!("{what}: ask before you enlarge or crop")
}

/// Describes the scale of a picture and its edge.
fn scaled(row: &Row, edge: &str) -> String {
    match scale(row) {
        None => edge.to_owned(),
        Some(Scale::Full) => format!("at 100 %, {edge}"),
        Some(Scale::To(size, None)) => format!("place at {size}, {edge}"),
        Some(Scale::To(size, Some(tag))) => format!("place at {size}, {edge} (the file's {tag} tag does not count)"),
    }
}

/// How large a picture is placed.
enum Scale {
    /// As large as its resolution tag makes it.
    Full,
    /// At this size; with its resolution tag, if it has one.
    To(String, Option<String>),
}

/// Formats a resolution tag, to hundredths: as fine as any file's unit.
fn tag_words((across, down): (f64, f64)) -> String {
    let rounded = |ppi: f64| (ppi * 100.0).round() / 100.0;
    match (rounded(across), rounded(down)) {
        (across, down) if across == down => format!("{across} ppi"),
        (across, down) => format!("{across} x {down} ppi"),
    }
}

/// Returns the scale at which the file has the size of its print; `None` where it is cropped first.
fn scale(row: &Row) -> Option<Scale> {
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
    Some(if is_full { Scale::Full } else { Scale::To(frame.show(), facts.upright_tag().map(tag_words)) })
}

fn cropping(row: &Row, print: &Print) -> String {
    let fit = row.placement.as_deref().and_then(|placement| placement.fit.as_ref());
    let is_cut = fit.is_some_and(|fit| fit.lost > Share::percent(CROP_PERCENT));
    let lacks_bleed = bleed_finding(row).is_some_and(|one| !is_unknown(one));
    let cropped = match print.crop {
        Crop::ByDesigner => return "the designer may crop".to_owned(),
        Crop::ByPhotographer if is_cut => {
            return "not in the aspect ratio of its print, ask before you crop".to_owned();
        }
        Crop::ByPhotographer if lacks_bleed => return "not made for this bleed, ask before you crop".to_owned(),
        // A default is no order.
        Crop::ByPhotographer if print.origins.of("print.crop").is_open() => "cropped by the photographer",
        Crop::ByPhotographer => "cropped by the photographer, do not crop further",
    };
    match print.requirements.margins.edge {
        Edge::Borderless => format!("{cropped}; at the edges you may lose the usual borderless overlap"),
        Edge::Bleed | Edge::Border | Edge::Wrap => cropped.to_owned(),
    }
}

fn colour_space(facts: &Facts) -> String {
    let name = crate::report::facts::profile(facts);
    let name = visible(&name);
    match facts.profile {
        Profile::Embedded(_) => format!("{name}, profile embedded"),
        Profile::None => {
            let claim = name.trim_start_matches("none embedded");
            let what = if claim.is_empty() { ": ask before you assign one" } else { claim };
            format!("{}, no profile embedded{what}", facts.model.name())
        }
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
/// largest last. Every line names its pictures, since another ends the list with "all others"; where nothing is said of
/// some, no line is about all.
fn together(said: Vec<Said>) -> Vec<String> {
    let count = said.len();
    let mut groups = alike(said.into_iter().filter(|(_, words)| !words.is_empty()).collect());
    let is_of_all = groups.iter().map(|(_, names)| names.len()).sum::<usize>() == count;
    if groups.len() <= 1 && is_of_all {
        return groups.into_iter().map(|(words, _)| words).collect();
    }
    groups.sort_by_key(|(_, names)| names.len());
    let last = groups.len().saturating_sub(1);
    let line = |(at, (words, names)): (usize, (String, Vec<String>))| match names.len() {
        count if is_of_all && at == last && count > FEWEST_OTHERS => format!("all others: {words}"),
        _ => format!("{}: {words}", names.join(", ")),
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
    use crate::brief::requirements::Level;
    use crate::judge::placement::Placement;
    use crate::judge::testing::print;
    use crate::picture::facts::{Model, ResolutionTag};
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
        let place = "place at 216 x 266 mm, 3 mm bleed included";
        assert_eq!(of((2551, 3142), Some(72.0)), format!("{place} (the file's 72 ppi tag does not count)"));
        assert_eq!(of((2551, 3142), Some(298.999)), format!("{place} (the file's 299 ppi tag does not count)"));
        assert_eq!(of((2551, 3142), None), place);
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
        assert_eq!(cropping(&row(&page, (2551, 3142), None), &page), "cropped by the photographer");
        let stated = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\"\ncrop = \"by the photographer\""));
        let words = "cropped by the photographer, do not crop further";
        assert_eq!(cropping(&row(&stated, (2551, 3142), None), &stated), words);
        let borderless = print("[margins]\nedge = \"borderless\"\n[[print]]\nsize = \"8 x 10 in\"");
        let words = "cropped by the photographer; at the edges you may lose the usual borderless overlap";
        assert_eq!(cropping(&row(&borderless, (2400, 3000), None), &borderless), words);
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
        let stock = print("[paper]\nstock = \"uncoated\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(paper(&row(&stock, (2400, 3000), None), &stock), "matte uncoated", "as in the list of orders");
    }

    #[test]
    fn a_bleed_that_is_missing_is_not_called_unknown() {
        let page = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\"\ncrop = \"by the photographer\""));
        let of = |about: &str, short: &str, measured: Option<f64>| {
            let mut row = row(&page, (2480, 3071), Some(300.0));
            let (about, short) = (about.to_owned(), short.to_owned());
            let finding = sample::finding("margins.bleed", Level::Should, &["a.jpg"]);
            row.findings = vec![Finding { about, short, measured, ..finding }.into()];
            (placing(&row, &page), cropping(&row, &page))
        };
        let (size, crop) = of("", "no bleed", Some(0.0));
        assert_eq!(size, "no bleed in the file, which is 210 x 260 mm: ask before you enlarge or crop");
        assert_eq!(crop, "not made for this bleed, ask before you crop");
        assert_eq!(of("", "too little bleed", Some(1.5)).0, "too little bleed: ask before you enlarge or crop");
        let (size, crop) = of("unknown", "bleed unknown", None);
        assert_eq!(size, "bleed not confirmed");
        assert_eq!(crop, "cropped by the photographer, do not crop further");
    }

    #[test]
    fn a_page_that_nobody_ordered_in_copies_has_none() {
        let of = |keys: &str| {
            let print = print(&format!("[[print]]\nsize = \"8 x 10 in\"\n{keys}"));
            copies(&row(&print, (2400, 3000), None), &print)
        };
        assert_eq!((of("page = 4"), of(""), of("page = 4\ncopies = 1")), (None, Some(1), Some(1)));
    }

    #[test]
    fn a_picture_without_a_profile_is_named_by_its_colour_model() {
        let of = |model| colour_space(&Facts { model, profile: Profile::None, claim: None, ..sample::facts(8, 10) });
        assert_eq!(of(Model::Cmyk), "CMYK, no profile embedded: ask before you assign one");
        assert_eq!(of(Model::Rgb), "RGB, no profile embedded: ask before you assign one");
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
        let names: Vec<String> = (10..30).map(|at| format!("p{at}")).collect();
        let mut halves: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), "matte")).collect();
        halves.extend(vec![("x", "lustre"); 21]);
        assert_eq!(said(&halves), [format!("{}: matte", names.join(", ")), "all others: lustre".to_owned()]);
        // Where nothing is said of some, no line is about all.
        assert_eq!(said(&[("a", "x"), ("b", "x"), ("c", "x"), ("d", "")]), ["a, b, c: x"]);
        assert_eq!(said(&[("d", "")]), [""; 0]);
    }
}
