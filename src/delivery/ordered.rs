//! The orders for a picture, in words for the printer, which a later delivery compares.

use crate::brief::requirements::{BorderFit, Edge, Margins, WrapSides};
use crate::brief::{Crop, Pages, Print, PrintsById};
use crate::decisions::sent::{OrderParts, OrderedPrint};
use crate::judge::acceptance::AcceptedFinding;
use crate::judge::{Finding, Row};
use crate::reading::check_report::CheckReport;
use crate::units::show;
use crate::units::words::visible;

use crate::report::days;

/// Heading of accepted findings that concern the printer.
pub(super) const EXCEPTIONS: &str = "Exceptions";
/// Details of an order.
const SIZE: &str = "size";
const PAGE: &str = "page";

/// Returns size and page of an order, which a print keeps that gets another name.
pub(super) fn size_and_page(parts: &OrderParts) -> (Option<&str>, Option<&str>) {
    let of = |about| parts.details.get(about).map(String::as_str);
    (of(SIZE), of(PAGE))
}

/// Returns the orders for a picture, of some rows of a report: everything whose change the printer must know of. A test
/// print is the photographer's own business, and no part of the order.
pub(super) fn orders_of(report: &CheckReport, prints: &PrintsById, rows: &[usize]) -> Vec<OrderedPrint> {
    let rows = rows.iter().map(|at| &report.rows[*at]);
    let mut orders: Vec<OrderedPrint> = rows
        .filter_map(|row| {
            let print = prints.get(row.key.print.as_ref())?;
            let details = details(row, print, &report.brief.requirements.margins);
            // A print without a name is called by its size.
            let name = Some(row.print_name.clone()).filter(|name| *name != size(row));
            let copies = copies(row, print);
            let copies_words = copies.map(|copies| show::count(copies as usize, "copy", "copies"));
            let caption = print.caption.as_ref().map(|caption| format!("caption: {caption}"));
            let detail_words = details.iter().map(|(_, words)| words.clone());
            let words: Vec<String> = name.into_iter().chain(detail_words).chain(copies_words).chain(caption).collect();
            let details = details.into_iter().map(|(about, words)| (about.to_owned(), words)).collect();
            let parts = OrderParts { copies, caption: print.caption.clone(), details };
            Some(OrderedPrint {
                words: words.join(", "),
                print: print.name_with_version().into_owned(),
                parts: Some(parts),
            })
        })
        .collect();
    orders.sort();
    orders
}

/// Describes an exception as a part of the order: who allowed it belongs to it; who wrote it down, and in which words,
/// changes nothing for the printer.
fn exception_ordered(one: &AcceptedFinding) -> String {
    let allowed = one.acceptance.allowed_by.as_ref().map(|who| format!(", allowed by {who}")).unwrap_or_default();
    format!("exception: {}{allowed}", one.finding.found)
}

/// Describes what is ordered of a print beside its copies and caption, each with what it is about: size, page, paper,
/// edge, exceptions, warnings to tell, a safe margin that differs from the order's, who may crop, credit line, folds.
fn details(row: &Row, print: &Print, of_order: &Margins) -> Vec<(&'static str, String)> {
    let margins = &print.requirements.margins;
    let exceptions: Vec<String> = exceptions_to_tell(row).map(exception_ordered).collect();
    let known: Vec<String> = warnings_to_tell(row, print).map(|one| format!("known: {}", one.found)).collect();
    let safe = (margins.safe != of_order.safe).then(|| format!("safe margin {}", margins.safe.show(margins.unit)));
    let details = [
        (SIZE, Some(size(row))),
        (PAGE, row.page.map(Pages::words)),
        ("paper", Some(paper(print)).filter(|words| !words.is_empty())),
        ("edge", Some(edge_words(margins) + unconfirmed_edge(print))),
        ("exceptions", (!exceptions.is_empty()).then(|| exceptions.join(", "))),
        ("warnings", (!known.is_empty()).then(|| known.join(", "))),
        ("safe margin", safe),
        ("cropping", crop_words(print).map(str::to_owned)),
        ("credit line", print.credit.as_ref().map(|credit| format!("credit: {credit}"))),
        ("folds", fold_words(margins)),
    ];
    details.into_iter().filter_map(|(about, words)| Some((about, words?))).collect()
}

/// Says where it is a default how an edge is finished: the printer reads that nobody confirmed it.
pub(super) fn unconfirmed_edge(print: &Print) -> &'static str {
    let key = match print.requirements.margins.edge {
        Edge::Bleed => return "",
        Edge::Borderless => "margins.edge",
        Edge::Border => "margins.border",
        Edge::Wrap => "margins.wrap",
    };
    if print.origins.of(key).is_open() { " (not confirmed)" } else { "" }
}

/// Says who may crop, where the brief does.
fn crop_words(print: &Print) -> Option<&'static str> {
    match print.crop {
        Crop::ByDesigner => Some("the designer may crop"),
        Crop::ByPhotographer if print.origins.of("print.crop").is_open() => None,
        Crop::ByPhotographer => Some("do not crop"),
    }
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

/// Returns the accepted findings that the printer must know of: those that a client or printer allowed, those that
/// the photographer wants on the note, and those whose rule concerns the printer.
pub(super) fn exceptions_to_tell(row: &Row) -> impl Iterator<Item = &AcceptedFinding> {
    let concerns = |one: &&AcceptedFinding| {
        let acceptance = &one.acceptance;
        acceptance.allowed_by.is_some() || acceptance.is_on_note || one.finding.rule.uses.concerns_printer
    };
    row.accepted.iter().filter(concerns)
}

/// Returns the warnings of a row that the photographer chose to tell the printer.
pub(super) fn warnings_to_tell<'a>(row: &'a Row, print: &'a Print) -> impl Iterator<Item = &'a Finding> {
    let is_told = |one: &&Finding| !one.rule.uses.concerns_printer && print.requirements.delivery.tells(one.rule.id);
    row.findings.iter().map(|one| one.as_ref()).filter(is_told)
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
                format!("whole picture shown, white border of at least {}", margins.border.show(margins.unit))
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
            let report = CheckReport { rows, brief: Arc::new(brief), ..sample::report() };
            let orders = orders_of(&report, &report.prints(), &[0]);
            assert_eq!((orders.len(), orders[0].print.as_str()), (1, "wall"));
            orders[0].words.clone()
        };
        let plain = "wall, 8 x 10 in, borderless (not confirmed)";
        assert_eq!(of(""), format!("{plain}, 1 copy"));
        assert_eq!(
            of("caption = \"Oysters, at low water\""),
            format!("{plain}, 1 copy, caption: Oysters, at low water")
        );
        assert_eq!(of("credit = \"I. Tarrow\""), format!("{plain}, credit: I. Tarrow, 1 copy"));
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
