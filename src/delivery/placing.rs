//! How a picture is placed on its print, in words for the printer: its scale, its bleed, who may crop.

use crate::brief::requirements::{Edge, WrapSides};
use crate::brief::{Crop, Print};
use crate::judge::acceptance::AcceptedFinding;
use crate::judge::rules::density::tag::length_by_tag;
use crate::judge::rules::margins::bleed;
use crate::judge::rules::size::aspect;
use crate::judge::{Finding, Row, Rule};
use crate::units::words::visible;
use crate::units::{Length, Share};

use super::ordered::{EXCEPTIONS, edge_words, unconfirmed_edge};

/// Heading of the size at which a picture is placed.
pub(super) const SIZE_AND_BLEED: &str = "Size and bleed";
/// Largest error at which a picture placed at 100 % has its size, on either side. Own choice: less than a cut may be
/// off.
const FULL_SCALE_WITHIN: Length = Length::from_um(500);
/// Share of a picture, in per cent, from which cutting to the print's aspect ratio counts as a crop: as in
/// `size.aspect`.
const CROP_PERCENT: i128 = 1;

/// Describes the size at which a picture is placed and what its edge carries.
pub(super) fn placing_words(row: &Row, print: &Print) -> String {
    let margins = &print.requirements.margins;
    if let Some(finding) = bleed_finding(row) {
        return missing_bleed_words(row, finding);
    }
    let edge = edge_words(margins);
    // A usual value is no order.
    let is_open = |key: &str| print.origins.of(key).is_open();
    match margins.edge {
        Edge::Bleed if !margins.includes_bleed || margins.bleed.is_zero() => scale_words(row, "no bleed included"),
        Edge::Bleed if margins.bleed.differ() => {
            scale_words(row, &format!("the file is the finished size plus {edge}"))
        }
        Edge::Bleed => scale_words(row, &format!("the file is the finished size plus {edge} on every side")),
        // A lab enlarges it to cover the sheet.
        Edge::Borderless => format!("{edge}{}, no bleed included", unconfirmed_edge(print)),
        Edge::Border if is_open("margins.border") => {
            scale_words(row, "white border, its width not confirmed, not in the file")
        }
        Edge::Border => scale_words(row, &format!("{edge}, not in the file")),
        Edge::Wrap => {
            let bar = if is_open("margins.wrap") { "wrapped round a bar, its depth not confirmed" } else { &edge };
            let file = |row: &Row| row.placement.as_deref().map(|one| one.frame().show()).unwrap_or_default();
            let sides = match margins.sides {
                WrapSides::Picture if is_open("margins.wrap") => "the file holds face and sides".to_owned(),
                WrapSides::Picture => format!("the file holds face and sides, {}", file(row)),
                sides if is_open("margins.wrap") => format!("{} sides, not in the file", sides.word()),
                _ => "the file holds the face alone".to_owned(),
            };
            scale_words(row, &format!("{bar}, {sides}"))
        }
    }
}

/// Returns what was found of a picture's bleed, accepted or not.
pub(super) fn bleed_finding(row: &Row) -> Option<&Finding> {
    let accepted = row.accepted.iter().map(|one| &*one.finding);
    row.findings.iter().map(|one| &**one).chain(accepted).find(|one| one.rule == &bleed::RULE)
}

/// True if a picture has no bleed at all: it has the finished size.
pub(super) fn has_no_bleed(finding: &Finding) -> bool {
    !is_unknown(finding) && finding.measured == Some(0.0)
}

/// True if it is only unknown whether a picture has bleed.
fn is_unknown(finding: &Finding) -> bool {
    finding.about == "unknown"
}

/// Describes the size and bleed of a picture whose bleed is missing, differs or is unknown.
fn missing_bleed_words(row: &Row, finding: &Finding) -> String {
    if is_unknown(finding) {
        return "bleed not confirmed".to_owned();
    }
    let size = row.placement.as_deref().filter(|_| has_no_bleed(finding)).map(|one| one.finished.show());
    let what = match size {
        Some(size) => format!("no bleed in the file, which is {size}"),
        None => visible(&finding.short).into_owned(),
    };
    match is_agreed(row, &bleed::RULE) {
        true => format!("{what}: see \"{EXCEPTIONS}\""),
        false => format!("{what}: ask before you enlarge or crop"),
    }
}

/// Describes the scale of a picture and its edge.
fn scale_words(row: &Row, edge: &str) -> String {
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
    let by_tag = facts.upright_resolution().and_then(|(across, down)| {
        let (width, height) = facts.upright_px();
        Some((length_by_tag(width, across)?, length_by_tag(height, down)?))
    });
    let is_near = |one: Length, other: Length| one.distance(other) <= FULL_SCALE_WITHIN;
    let is_full = by_tag.is_some_and(|(width, height)| is_near(width, printed.0) && is_near(height, printed.1));
    Some(if is_full { Scale::Full } else { Scale::To(frame.show(), facts.upright_resolution().map(tag_words)) })
}

/// True if what was found by a rule is an exception that somebody allowed, or that the photographer explains on the
/// note: then nobody is to ask again.
fn is_agreed(row: &Row, rule: &Rule) -> bool {
    let is_told = |one: &AcceptedFinding| one.acceptance.allowed_by.is_some() || one.acceptance.is_on_note;
    row.accepted.iter().any(|one| one.finding.rule == rule && is_told(one))
}

pub(super) fn crop_words(row: &Row, print: &Print) -> String {
    let fit = row.placement.as_deref().and_then(|placement| placement.fit.as_ref());
    let is_cut = fit.is_some_and(|fit| fit.lost > Share::percent(CROP_PERCENT));
    if bleed_finding(row).is_some_and(|one| !is_unknown(one)) && !is_cut {
        return format!("see \"{SIZE_AND_BLEED}\"");
    }
    let cropped = match print.crop {
        Crop::ByDesigner => return "the designer may crop".to_owned(),
        Crop::ByPhotographer if is_cut && is_agreed(row, &aspect::RULE) => return format!("see \"{EXCEPTIONS}\""),
        Crop::ByPhotographer if is_cut => {
            return "not in the aspect ratio of the print: ask before you crop".to_owned();
        }
        // A default is no order.
        Crop::ByPhotographer if print.origins.of("print.crop").is_open() => "cropped by the photographer",
        Crop::ByPhotographer => "cropped by the photographer, do not crop further",
    };
    match print.requirements.margins.edge {
        Edge::Borderless if !print.origins.of("margins.edge").is_open() => {
            format!("{cropped}; the usual borderless overlap may be lost at the edges")
        }
        Edge::Borderless | Edge::Bleed | Edge::Border | Edge::Wrap => cropped.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::requirements::Level;
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
        facts.resolution_tag = tag.map(|ppi| ResolutionTag { x_ppi: ppi, y_ppi: ppi });
        row.placement = Some(Placement::of(print, facts.upright_px()).into());
        row.facts = Some(facts.into());
        row
    }

    #[test]
    fn a_picture_is_placed_at_full_scale_only_where_its_tag_gives_its_size() {
        let page = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\""));
        let of = |px, tag| placing_words(&row(&page, px, tag), &page);
        let bleed = "the file is the finished size plus 3 mm bleed on every side";
        assert_eq!(of((2551, 3142), Some(300.0)), format!("at 100 %, {bleed}"));
        // 118 px/cm is 299.72 ppi: 0.25 mm on 266 mm.
        assert_eq!(of((2551, 3142), Some(299.72)), format!("at 100 %, {bleed}"));
        let place = format!("place at 216 x 266 mm, {bleed}");
        assert_eq!(of((2551, 3142), Some(72.0)), format!("{place} (the file's 72 ppi tag does not count)"));
        assert_eq!(of((2551, 3142), Some(298.999)), format!("{place} (the file's 299 ppi tag does not count)"));
        assert_eq!(of((2551, 3142), None), place);
        assert_eq!(of((3142, 3142), Some(300.0)), bleed, "it is cropped first");
    }

    #[test]
    fn each_kind_of_edge_is_said_in_its_own_words() {
        let of = |margins: &str, size: &str, px| {
            let text = format!("[paper]\nstock = \"coated\"\n[margins]\n{margins}\n[[print]]\nsize = \"{size}\"");
            let print = print(&text);
            placing_words(&row(&print, px, Some(300.0)), &print)
        };
        assert_eq!(of("edge = \"borderless\"", "8 x 10 in", (2400, 3000)), "borderless, no bleed included");
        assert_eq!(of("edge = \"bleed\"\nbleed = \"0 mm\"", "8 x 10 in", (2400, 3000)), "at 100 %, no bleed included");
        let border = of("edge = \"border\"\nborder = \"1 in\"", "8 x 10 in", (1800, 2400));
        assert_eq!(border, "at 100 %, white border of 1 in, not in the file");
        let bar = of("edge = \"wrap\"\nwrap = \"1 in\"\nsides = \"mirrored\"", "8 x 10 in", (2400, 3000));
        assert_eq!(bar, "at 100 %, on a bar of 1 in, mirrored sides, the file holds the face alone");
        // The picture's own sides are in the file; a depth or a width that nobody gave is no order.
        let bar = of("edge = \"wrap\"\nwrap = \"20 mm\"", "8 x 10 in", (2872, 3472));
        assert!(bar.contains(", wrapped round a bar of 20 mm, the file holds face and sides, "), "{bar}");
        let open = of("edge = \"wrap\"\nsides = \"mirrored\"", "8 x 10 in", (2400, 3000));
        let words = "at 100 %, wrapped round a bar, its depth not confirmed, mirrored sides, not in the file";
        assert_eq!(open, words);
        let inside = of("edge = \"border\"\nborder = \"1 in\"\nfit = \"inside\"", "8 x 10 in", (1800, 2400));
        assert!(inside.ends_with("whole picture shown, white border of at least 1 in, not in the file"), "{inside}");
        let border = of("edge = \"border\"", "8 x 10 in", (1800, 2400));
        assert!(border.contains("white border, its width not confirmed, not in the file"), "{border}");
    }

    #[test]
    fn who_may_crop_is_said_of_every_print() {
        let page = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\""));
        assert_eq!(crop_words(&row(&page, (2551, 3142), None), &page), "cropped by the photographer");
        let stated = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\"\ncrop = \"by the photographer\""));
        let words = "cropped by the photographer, do not crop further";
        assert_eq!(crop_words(&row(&stated, (2551, 3142), None), &stated), words);
        let borderless = print("[margins]\nedge = \"borderless\"\n[[print]]\nsize = \"8 x 10 in\"");
        let words = "cropped by the photographer; the usual borderless overlap may be lost at the edges";
        assert_eq!(crop_words(&row(&borderless, (2400, 3000), None), &borderless), words);
        let open = print("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(crop_words(&row(&open, (2400, 3000), None), &open), "cropped by the photographer");
        assert_eq!(
            placing_words(&row(&open, (2400, 3000), None), &open),
            "borderless (not confirmed), no bleed included"
        );
        assert!(crop_words(&row(&page, (3142, 3142), None), &page).ends_with("ask before you crop"));
        let agreed = Row {
            accepted: vec![sample::accepted("size.aspect", Some("Corrow Lane"))],
            ..row(&page, (3142, 3142), None)
        };
        assert_eq!(crop_words(&agreed, &page), "see \"Exceptions\"");
        let designed = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\"\ncrop = \"by the designer\""));
        assert_eq!(crop_words(&row(&designed, (3142, 3142), None), &designed), "the designer may crop");
    }

    #[test]
    fn a_bleed_that_is_missing_is_not_called_unknown() {
        let page = print(&format!("{PAGE}[[print]]\nsize = \"210 x 260 mm\"\ncrop = \"by the photographer\""));
        let of = |about: &str, short: &str, measured: Option<f64>| {
            let mut row = row(&page, (2480, 3071), Some(300.0));
            let (about, short) = (about.to_owned(), short.to_owned());
            let finding = sample::finding("margins.bleed", Level::Should, &["a.jpg"]);
            row.findings = vec![Finding { about, short, measured, ..finding }.into()];
            (placing_words(&row, &page), crop_words(&row, &page))
        };
        let (size, crop) = of("", "no bleed", Some(0.0));
        assert_eq!(size, "no bleed in the file, which is 210 x 260 mm: ask before you enlarge or crop");
        assert_eq!(crop, "see \"Size and bleed\"");
        let agreed = Row {
            accepted: vec![sample::accepted("margins.bleed", Some("Corrow Lane"))],
            ..row(&page, (2480, 3071), Some(300.0))
        };
        assert!(placing_words(&agreed, &page).ends_with(": see \"Exceptions\""), "{}", placing_words(&agreed, &page));
        assert_eq!(of("", "too little bleed", Some(1.5)).0, "too little bleed: ask before you enlarge or crop");
        let (size, crop) = of("unknown", "bleed unknown", None);
        assert_eq!(size, "bleed not confirmed");
        assert_eq!(crop, "cropped by the photographer, do not crop further");
    }
}
