//! A check as a single page for a client: every picture that is for a print, in any state.

use std::collections::HashMap;

use serde::Serialize;

use crate::brief::requirements::Level;
use crate::brief::{Pages, Print, PrintsById};
use crate::judge::to_do::{Cause, ToDo};
use crate::judge::{Finding, Row, RowState};
use crate::picture::PictureKey;
use crate::reading::check_report::CheckReport;
use crate::reading::checked::CheckedPictures;
use crate::report::days;
use crate::report::text::LAST_WORD;
use crate::report::thumbnail::{self, JpegThumbnail};
use crate::units::show;
use crate::units::words::visible;

use super::frame::{Frame, Legend, NOTE_THUMBNAIL_PX};
use super::html::render;
use super::ordered::edge_words;

/// The content of the page. Foreign text is escaped.
#[derive(Debug, Serialize)]
struct CheckPage {
    title: String,
    printer: String,
    from: String,
    due: String,
    made: String,
    /// Prints that have no picture yet.
    missing: Vec<String>,
    /// Findings on the order as a whole.
    order: Vec<String>,
    /// What to do, as far as one action puts right several findings.
    to_do: Vec<ToDoOnPage>,
    pictures: Vec<PictureOnPage>,
    legend: Legend,
    last_word: &'static str,
}

#[derive(Debug, Serialize)]
struct ToDoOnPage {
    /// Each cause with its pictures.
    causes: Vec<[String; 2]>,
    fix: Vec<String>,
}

impl ToDoOnPage {
    fn of(one: &ToDo) -> ToDoOnPage {
        let cause = |cause: &Cause| [cause.words_with_count(), cause.picture_names()];
        ToDoOnPage { causes: one.causes.iter().map(cause).collect(), fix: one.cure.words(one.picture_count()) }
    }
}

#[derive(Debug, Serialize)]
struct PictureOnPage {
    name: String,
    facts: String,
    rows: Vec<RowOnPage>,
    frame: Frame,
    /// Heights of the lightness histogram's bars, 0 to 100.
    bars: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct RowOnPage {
    state: &'static str,
    page: String,
    print: String,
    size: String,
    copies: String,
    paper: String,
    edge: String,
    ppi: String,
    caption: String,
    findings: Vec<String>,
    accepted: Vec<String>,
    /// The state of its test print; empty if none is required.
    test_print: String,
}

/// Renders the page: HTML in one file.
///
/// # Errors
/// The template is wrong, which a test rules out.
pub fn page(checked: &CheckedPictures) -> Result<Vec<u8>, minijinja::Error> {
    let small = |picture: &PictureKey| thumbnail::of(checked.file(picture)?, NOTE_THUMBNAIL_PX);
    render("page", &CheckPage::of(&checked.report, &small))
}

impl CheckPage {
    fn of(report: &CheckReport, small: &dyn Fn(&PictureKey) -> Option<JpegThumbnail>) -> CheckPage {
        let brief = &report.brief;
        let text = |text: Option<&str>| visible(text.unwrap_or_default()).into_owned();
        let prints = report.prints();
        let pictures: Vec<PictureOnPage> =
            by_picture(report).into_iter().map(|(key, rows)| picture(&prints, key, &rows, small(key))).collect();
        let missing = report.rows.iter().filter(|row| row.state == RowState::Missing);
        let of_order = report.order_findings.iter().filter(|finding| finding.level > Level::Note);
        CheckPage {
            title: text(brief.title.as_deref().or(Some("Pictures"))),
            printer: text(brief.printer.as_deref()),
            from: text(brief.from.as_deref()),
            due: brief.due.as_deref().map(days::in_words).unwrap_or_default(),
            made: days::in_words(&report.made),
            missing: missing.map(missing_words).collect(),
            to_do: report.to_do().iter().filter(|one| one.joins_several()).map(ToDoOnPage::of).collect(),
            order: of_order.map(|finding| finding_words(finding)).collect(),
            legend: Legend::of(pictures.iter().map(|picture| &picture.frame)),
            pictures,
            last_word: LAST_WORD,
        }
    }
}

/// Returns a print without a picture, and what to export for it.
fn missing_words(row: &Row) -> String {
    let name = row.name_with_version();
    let words: Vec<&str> = std::iter::once(&*name).chain(row.remarks()).collect();
    visible(&words.join("; ")).into_owned()
}

/// Collects the rows of each picture that is for a print, in the report's order.
fn by_picture(report: &CheckReport) -> Vec<(&PictureKey, Vec<&Row>)> {
    let mut pictures: Vec<(&PictureKey, Vec<&Row>)> = Vec::new();
    let mut places: HashMap<&PictureKey, usize> = HashMap::new();
    for row in report.rows.iter().filter(|row| row.key.print.is_some()) {
        let Some(picture) = &row.key.picture else { continue };
        let place = *places.entry(picture).or_insert(pictures.len());
        match pictures.get_mut(place) {
            Some((_, rows)) => rows.push(row),
            None => pictures.push((picture, vec![row])),
        }
    }
    pictures
}

fn picture(prints: &PrintsById, key: &PictureKey, rows: &[&Row], small: Option<JpegThumbnail>) -> PictureOnPage {
    let first = rows.first().copied();
    let facts = first.and_then(|row| row.facts.as_deref());
    let of_row = |row: &&Row| Some(of_row(row, prints.get(row.key.print.as_ref())?));
    PictureOnPage {
        name: key.to_string(),
        facts: facts.map(facts_words).unwrap_or_default(),
        rows: rows.iter().filter_map(of_row).collect(),
        bars: first.and_then(|row| row.tones.as_deref()).map(|tones| bars(&tones.histogram)).unwrap_or_default(),
        frame: Frame::of(first, small),
    }
}

/// Scales heights so that the highest is 100, as square roots, so that small values still show.
fn bars(histogram: &[f32]) -> Vec<f64> {
    let most = histogram.iter().copied().fold(0.0, f32::max).max(f32::MIN_POSITIVE);
    histogram.iter().map(|share| (f64::from(share / most).max(0.0).sqrt() * 1000.0).round() / 10.0).collect()
}

fn facts_words(facts: &crate::picture::Facts) -> String {
    format!(
        "{}, {}, {} bit {}, {}; profile: {}",
        facts.format.name(),
        show::pixels(facts.upright_px()),
        facts.bits,
        facts.model.name(),
        show::bytes(facts.bytes),
        visible(&crate::report::facts::profile(facts))
    )
}

fn of_row(row: &Row, print: &Print) -> RowOnPage {
    let said = |text: &str| visible(text).into_owned();
    let required = &print.requirements;
    let accepted =
        row.accepted.iter().map(|one| format!("{} (accepted {})", one.finding.found, one.acceptance.words()));
    RowOnPage {
        state: row.state.word(),
        page: row.page.map(Pages::words).unwrap_or_default(),
        print: said(&print.name_with_version()),
        size: row.placement.as_ref().map_or_else(|| print.size.show(), |placement| placement.finished.show()),
        copies: show::count(row.copies as usize, "copy", "copies"),
        paper: format!("{} {}", required.paper.surface.word(), required.paper.stock.word()),
        edge: edge_words(&required.margins),
        ppi: row.placement.as_ref().and_then(|one| one.fit).map(|fit| show::ppi(fit.density)).unwrap_or_default(),
        caption: said(print.caption.as_deref().unwrap_or_default()),
        findings: row.findings.iter().filter(|one| is_shown(one)).map(|one| finding_words(one)).collect(),
        accepted: accepted.map(|words| said(&words)).collect(),
        test_print: row.test_print.words().unwrap_or_default(),
    }
}

/// True if the page includes a finding: warnings, and what only the printer can settle.
fn is_shown(finding: &Finding) -> bool {
    finding.level > Level::Note || finding.rule.uses.concerns_printer
}

/// Formats a finding with its level.
fn finding_words(finding: &Finding) -> String {
    let word = if finding.level == Level::Must { "to fix" } else { "warning" };
    format!("{word}: {}", visible(&finding.found))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;
    use crate::units::growth::grows_less_than_square;

    #[test]
    fn a_check_as_a_page_names_every_state_and_what_is_missing() {
        let page = render("page", &CheckPage::of(&sample::report(), &|_| None)).unwrap();
        let page = String::from_utf8(page).unwrap();
        assert!(page.contains("No picture yet") && page.contains(">FIX<") && page.contains(">PASS<"), "{page}");
        assert!(page.contains("The order: warning: 214\u{a0}ppi at 210\u{a0}x\u{a0}260\u{a0}mm"), "{page}");
        assert!(!page.contains('\u{1b}') && page.matches("a hard proof have the last word").count() == 1);
    }

    #[test]
    fn a_bleed_that_cannot_be_told_is_shown() {
        let finding = |rule, level| sample::finding(rule, level, &["p012.jpg"]);
        assert!(is_shown(&finding("margins.bleed", Level::Note)));
        assert!(is_shown(&finding("tone.dark", Level::Should)));
        assert!(!is_shown(&finding("detail.noise", Level::Note)));
    }

    #[test]
    fn a_page_costs_by_its_pictures_and_not_by_their_square() {
        grows_less_than_square(1_000, sample::many, |report| {
            assert_eq!(CheckPage::of(&report, &|_| None).pictures.len(), report.rows.len());
        });
    }
}
