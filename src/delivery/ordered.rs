//! The orders for a picture, in words for the printer, which a later delivery compares.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::brief::requirements::{BorderFit, Edge, Margins, WrapSides};
use crate::brief::{Crop, Print, PrintsById};
use crate::judge::Row;
use crate::judge::acceptance::AcceptedFinding;
use crate::report::Report;
use crate::units::show;
use crate::units::words::visible;

use super::days;

/// The order for one print of a picture.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct OrderedPrint {
    /// The order in words.
    pub(super) words: String,
    /// The print's name.
    pub(super) print: String,
    /// `None` in a record that was written before parts were kept.
    pub(super) parts: Option<OrderParts>,
}

/// The parts of an order whose change is said in words of its own. Foreign text.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(super) struct OrderParts {
    pub(super) copies: u32,
    pub(super) caption: Option<String>,
    /// Everything else but the print's name: what it is about, and the order in words.
    #[serde(default)]
    pub(super) details: BTreeMap<String, String>,
}

impl OrderParts {
    /// Returns size and page, which a print keeps that gets another name.
    pub(super) fn place(&self) -> (Option<&str>, Option<&str>) {
        let of = |about| self.details.get(about).map(String::as_str);
        (of(SIZE), of(PAGE))
    }
}

/// Details of an order.
const SIZE: &str = "size";
const PAGE: &str = "page";

/// Returns the orders for a picture, of some rows of a report: everything whose change the printer must know of.
pub(super) fn ordered(report: &Report, prints: &PrintsById, rows: &[usize]) -> Vec<OrderedPrint> {
    let rows = rows.iter().map(|at| &report.rows[*at]);
    let mut orders: Vec<OrderedPrint> = rows
        .filter_map(|row| {
            let print = prints.get(row.key.print.as_ref())?;
            let details = details(row, print, &report.brief.requirements.margins);
            // A print without a name is called by its size.
            let name = Some(row.print_name.clone()).filter(|name| *name != size(row));
            let copies = copies(row, print).map(|copies| show::count(copies as usize, "copy", "copies"));
            let caption = print.caption.as_ref().map(|caption| format!("caption: {caption}"));
            let detail_words = details.iter().map(|(_, words)| words.clone());
            let words: Vec<String> = name.into_iter().chain(detail_words).chain(copies).chain(caption).collect();
            let details = details.into_iter().map(|(about, words)| (about.to_owned(), words)).collect();
            let parts = OrderParts { copies: row.copies, caption: print.caption.clone(), details };
            Some(OrderedPrint { words: words.join(", "), print: print.name.clone(), parts: Some(parts) })
        })
        .collect();
    orders.sort();
    orders
}

/// Describes what is ordered of a print beside its copies and caption, each with what it is about: size, page, paper,
/// edge, exceptions, a safe margin that differs from the order's, a crop left to the designer, folds.
fn details(row: &Row, print: &Print, of_order: &Margins) -> Vec<(&'static str, String)> {
    let margins = &print.requirements.margins;
    let exceptions: Vec<String> = agreed(row).map(|one| format!("exception: {}", one.finding.found)).collect();
    let safe = (margins.safe != of_order.safe).then(|| format!("safe margin {}", margins.safe.show(margins.unit)));
    let details = [
        (SIZE, Some(size(row))),
        (PAGE, row.page.map(|page| format!("page {page}"))),
        ("paper", Some(paper(print)).filter(|words| !words.is_empty())),
        ("edge", Some(edge_words(margins))),
        ("exceptions", (!exceptions.is_empty()).then(|| exceptions.join(", "))),
        ("safe margin", safe),
        ("cropping", (print.crop == Crop::ByDesigner).then(|| "the designer may crop".to_owned())),
        ("folds", fold_words(margins)),
    ];
    details.into_iter().filter_map(|(about, words)| Some((about, words?))).collect()
}

/// Describes where a print is folded; `None` without a fold.
pub(super) fn fold_words(margins: &Margins) -> Option<String> {
    let places: Vec<String> = margins.folds.iter().map(|fold| show::length(*fold, margins.unit)).collect();
    let (last, others) = places.split_last()?;
    let from = "from the left of the finished size";
    match others {
        [] => Some(format!("fold {last} {from}")),
        others => Some(format!("folds {} and {last} {from}", others.join(", "))),
    }
}

/// Returns the finished size of a row; empty if it has no placement on its print.
pub(super) fn size(row: &Row) -> String {
    row.placement.as_ref().map(|placement| placement.finished.show()).unwrap_or_default()
}

/// Returns the accepted findings that the printer must know of: those that a client or printer allowed, and those whose
/// rule concerns the printer.
pub(super) fn agreed(row: &Row) -> impl Iterator<Item = &AcceptedFinding> {
    let concerns =
        |one: &&AcceptedFinding| one.acceptance.allowed_by.is_some() || one.finding.rule.uses.concerns_printer;
    row.accepted.iter().filter(concerns)
}

/// Describes an exception: what it is, who allowed it, and the photographer's reason in her words.
pub(super) fn exception(one: &AcceptedFinding) -> String {
    let acceptance = &one.acceptance;
    let day = days::in_words(&acceptance.when);
    let by = visible(&acceptance.by);
    let signed = if day.is_empty() { by.into_owned() } else { format!("{by}, {day}") };
    let who = match &acceptance.allowed_by {
        Some(who) => format!("allowed by {}. Reason given by {signed}", visible(who)),
        None => format!("accepted by {signed}"),
    };
    let found = visible(&one.finding.found);
    format!("{}; {who}: \"{}\"", found.trim_end_matches('.'), visible(&acceptance.reason))
}

/// Returns the number of copies of a print; `None` for a page of which nobody ordered a number.
pub(super) fn copies(row: &Row, print: &Print) -> Option<u32> {
    let is_open = print.page.is_some() && print.origins.of("print.copies").is_open();
    (!is_open).then_some(row.copies)
}

/// Names the paper as far as somebody did: a default is no order.
pub(super) fn paper(print: &Print) -> String {
    let paper = &print.requirements.paper;
    let words = [("paper.surface", paper.surface.word()), ("paper.stock", paper.stock.word())];
    let said = words.into_iter().filter(|(key, _)| !print.origins.of(key).is_open()).map(|(_, word)| word);
    said.collect::<Vec<&str>>().join(" ")
}

/// Names how the edge is finished, where somebody did; empty where it is a default.
pub(super) fn edge_name(print: &Print) -> &'static str {
    if print.origins.of("margins.edge").is_open() { "" } else { print.requirements.margins.edge.word() }
}

/// Describes the treatment of a print's edge, for the person who trims it.
pub(super) fn edge_words(margins: &Margins) -> String {
    let length = |length| show::length(length, margins.unit);
    match margins.edge {
        Edge::Bleed if !margins.includes_bleed || margins.bleed.is_zero() => "no bleed".to_owned(),
        Edge::Bleed if margins.bleed.differ() => format!("bleed ({})", margins.bleed.show(margins.unit)),
        Edge::Bleed => format!("{} bleed", length(margins.bleed.top)),
        Edge::Borderless => "borderless".to_owned(),
        Edge::Border => match margins.fit {
            BorderFit::Fill => format!("white border of {}", margins.border.show(margins.unit)),
            BorderFit::Inside => {
                format!("white border of at least {}, whole picture shown", margins.border.show(margins.unit))
            }
        },
        Edge::Wrap => match margins.sides {
            WrapSides::Picture => format!("wrapped round a bar of {}", length(margins.wrap)),
            sides => format!("on a bar of {}, {} sides", length(margins.wrap), sides.word()),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::RowState;
    use crate::judge::testing::{brief, print};
    use crate::report::sample;
    use std::sync::Arc;

    #[test]
    fn caption_crop_and_an_own_safe_margin_belong_to_what_is_ordered() {
        let of = |keys: &str| {
            let text = format!("[margins]\nsafe = \"5 mm\"\n[[print]]\nname = \"wall\"\nsize = \"8 x 10 in\"\n{keys}");
            let brief = brief(&text);
            let rows = vec![sample::row(brief.prints.first(), Some("a.jpg"), RowState::Pass)];
            let report = Report { rows, brief: Arc::new(brief), ..sample::report() };
            let orders = ordered(&report, &report.prints(), &[0]);
            assert_eq!((orders.len(), orders[0].print.as_str()), (1, "wall"));
            orders[0].words.clone()
        };
        let plain = "wall, 8 x 10 in, borderless";
        assert_eq!(of(""), format!("{plain}, 1 copy"));
        assert_eq!(
            of("caption = \"Oysters, at low water\""),
            format!("{plain}, 1 copy, caption: Oysters, at low water")
        );
        assert_eq!(of("crop = \"by the designer\""), format!("{plain}, the designer may crop, 1 copy"));
        assert_eq!(of("margins.safe = \"9 mm\""), format!("{plain}, safe margin 9 mm, 1 copy"));
        let folded = of("margins.folds = [\"74 mm\"]");
        assert_eq!(folded, format!("{plain}, fold 74 mm from the left of the finished size, 1 copy"));
        let twice = of("margins.folds = [\"100 mm\", \"50 mm\"]");
        assert!(twice.contains(", folds 50 mm and 100 mm from the left of the finished size, "), "{twice}");
    }

    #[test]
    fn a_paper_that_nobody_named_is_not_ordered() {
        let nobody = print("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(paper(&nobody), "");
        let named = print("[paper]\nstock = \"coated\"\nsurface = \"matte\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(paper(&named), "matte coated");
        let stock = print("[paper]\nstock = \"uncoated\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(paper(&stock), "uncoated", "its surface is a default");
    }

    #[test]
    fn a_page_that_nobody_ordered_in_copies_has_none() {
        let of = |keys: &str| {
            let print = print(&format!("[[print]]\nsize = \"8 x 10 in\"\n{keys}"));
            copies(&sample::row(Some(&print), Some("a.jpg"), RowState::Pass), &print)
        };
        assert_eq!((of("page = 4"), of(""), of("page = 4\ncopies = 1")), (None, Some(1), Some(1)));
    }
}
