//! The content of a delivery's notes as plain values, and the notes made from it: one self-contained page, and a text.

use std::collections::HashMap;

use minijinja::{AutoEscape, Environment};
use serde::Serialize;

use crate::brief::requirements::Level;
use crate::brief::{Print, PrintsById};
use crate::judge::{Finding, Row, RowState};
use crate::picture::PictureKey;
use crate::report::Report;
use crate::report::text::LAST_WORD;
use crate::units::show;
use crate::units::words::visible;

use super::ordered::edge_words;
use super::plan::{DeliveredPicture, DeliveryPlan, ListedFiles};
use super::since::{Comparison, PictureChange};

/// The page's template.
const PAGE: &str = include_str!("note.html");

/// The content of the notes.
#[derive(Debug, Serialize)]
pub struct Note {
    title: String,
    printer: String,
    from: String,
    due: String,
    made: String,
    colour: String,
    transfer: String,
    pictures: Vec<PictureNote>,
    withdrawn: Vec<String>,
    /// Terms of the order that have changed since the earlier delivery.
    changed: Vec<String>,
    unchanged: usize,
    /// Prints that have no picture yet.
    missing: Vec<String>,
    /// Findings on the order as a whole.
    order: Vec<String>,
    last_word: &'static str,
}

/// The note on one picture.
#[derive(Debug, Serialize)]
pub struct PictureNote {
    name: String,
    sha256: String,
    change: String,
    space: String,
    facts: String,
    rows: Vec<RowNote>,
    /// A small JPEG as a data URL; empty if there is none.
    small: String,
    /// Width and height of the small picture, in its own units, for the overlay.
    size: [u32; 2],
    /// Rectangles over the small picture: the finished edge where there is bleed, trim and safe area; left, top, width,
    /// height.
    finished: Option<[f64; 4]>,
    cut: Option<[f64; 4]>,
    safe: Option<[f64; 4]>,
    /// Heights of the lightness histogram's bars, 0 to 100.
    bars: Vec<f64>,
}

/// The note on one print of a picture.
#[derive(Debug, Serialize)]
pub struct RowNote {
    print: String,
    size: String,
    paper: String,
    edge: String,
    copies: u32,
    page: String,
    ppi: String,
    state: &'static str,
    findings: Vec<String>,
    accepted: Vec<String>,
    /// The state of its test print; empty if none is required.
    test_print: String,
    caption: String,
}

/// A small picture for the page: JPEG bytes and size in pixels.
pub type NoteThumbnail = Option<(Vec<u8>, (u32, u32))>;

impl Note {
    /// Creates the notes of a delivery; `small` returns a picture's thumbnail.
    pub fn of(
        report: &Report,
        plan: &DeliveryPlan,
        earlier: Option<&Comparison>,
        small: &dyn Fn(&DeliveredPicture) -> NoteThumbnail,
    ) -> Note {
        let brief = &report.brief;
        let text = |text: Option<&str>| visible(text.unwrap_or_default()).into_owned();
        let change = |sent: &DeliveredPicture| earlier.map_or(PictureChange::New, |earlier| earlier.change(sent));
        let withdrawn = earlier.map(|one| one.withdrawn.as_slice()).unwrap_or_default();
        let prints = report.prints();
        let goes = plan.sent.iter().filter(|sent| change(sent) != PictureChange::Unchanged);
        Note {
            title: text(brief.title.as_deref().or(Some("Pictures"))),
            printer: text(brief.printer.as_deref()),
            from: text(brief.from.as_deref()),
            due: brief.due.as_ref().map(ToString::to_string).unwrap_or_default(),
            made: report.made.clone(),
            colour: text(brief.colour_correction.as_deref()),
            transfer: text(brief.requirements.delivery.transfer.as_deref()),
            pictures: goes
                .map(|sent| picture((&report.rows, &prints), sent, earlier.map(|_| change(sent)), small(sent)))
                .collect(),
            withdrawn: withdrawn.iter().map(|name| visible(name).into_owned()).collect(),
            changed: earlier.map(Comparison::changed_terms).unwrap_or_default(),
            unchanged: plan.sent.iter().filter(|sent| change(sent) == PictureChange::Unchanged).count(),
            missing: Vec::new(),
            order: Vec::new(),
            last_word: LAST_WORD,
        }
    }

    /// Creates the notes of a check, for a client: every picture that is for a print, in any state, under its own name.
    pub fn of_check(report: &Report, files: &ListedFiles, small: &dyn Fn(&DeliveredPicture) -> NoteThumbnail) -> Note {
        let mut sent: Vec<DeliveredPicture> = Vec::new();
        let mut places: HashMap<&PictureKey, usize> = HashMap::new();
        for (at, row) in report.rows.iter().enumerate().filter(|(_, row)| row.key.print.is_some()) {
            let Some(picture) = &row.key.picture else { continue };
            let place = *places.entry(picture).or_insert(sent.len());
            match sent.get_mut(place) {
                Some(one) => one.rows.push(at),
                None => sent.push(DeliveredPicture {
                    name: picture.as_str().to_owned(),
                    picture: picture.clone(),
                    path: files.get(picture).map(|(path, _)| path.clone()).unwrap_or_default(),
                    sha256: row.sha256.clone().unwrap_or_default(),
                    rows: vec![at],
                }),
            }
        }
        let missing = report.rows.iter().filter(|row| row.state == RowState::Missing);
        let missing = missing.map(|row| visible(&row.print_name).into_owned()).collect();
        let of_order = report.order_findings.iter().filter(|finding| finding.level > Level::Note);
        let order = of_order.map(|finding| said_of(finding)).collect();
        Note { missing, order, ..Note::of(report, &DeliveryPlan { sent, extra: Vec::new() }, None, small) }
    }

    /// Renders the page: one file, no script, nothing fetched. All text is escaped.
    ///
    /// # Errors
    /// The template is wrong, which a test rules out.
    pub fn html(&self) -> Result<Vec<u8>, minijinja::Error> {
        let mut environment = Environment::new();
        environment.set_auto_escape_callback(|_| AutoEscape::Html);
        environment.add_template("note", PAGE)?;
        Ok(environment.get_template("note")?.render(self)?.into_bytes())
    }

    /// Renders the notes as text.
    pub fn text(&self) -> Vec<u8> {
        let mut lines = vec![self.title.clone()];
        let said = |name: &str, value: &str| (!value.is_empty()).then(|| format!("{name}: {value}"));
        lines.extend(said("for", &self.printer));
        lines.extend(said("from", &self.from));
        lines.extend(said("due", &self.due));
        lines.extend(said("made", &self.made));
        lines.extend(said("colour correction", &self.colour));
        lines.extend(said("transfer", &self.transfer));
        lines.extend(self.changed.iter().map(|term| format!("changed since the earlier delivery: {term}")));
        lines.push(String::new());
        for picture in &self.pictures {
            let change = if picture.change.is_empty() { String::new() } else { format!(" ({})", picture.change) };
            lines.push(format!("{}{change}", picture.name));
            lines.push(format!("  {}, {}", picture.facts, picture.space));
            for row in &picture.rows {
                let page = if row.page.is_empty() { String::new() } else { format!(", page {}", row.page) };
                let copies = show::count(row.copies as usize, "copy", "copies");
                // A print without a name is called by its size.
                let name = if row.print == row.size { String::new() } else { format!("{}, ", row.print) };
                lines.push(format!("  {name}{}{page}, {copies}, {}, {}, {}", row.size, row.paper, row.edge, row.ppi));
                lines.extend(row.findings.iter().map(|finding| format!("  {finding}")));
                lines.extend(row.accepted.iter().map(|finding| format!("  accepted: {finding}")));
                lines.extend((!row.test_print.is_empty()).then(|| format!("  test print {}", row.test_print)));
            }
            lines.push(format!("  SHA-256 {}", picture.sha256));
            lines.push(String::new());
        }
        if self.unchanged > 0 {
            lines.push(format!("{} unchanged, not sent again", show::count(self.unchanged, "picture", "pictures")));
        }
        lines.extend(self.withdrawn.iter().map(|name| format!("withdrawn, do not print: {}", visible(name))));
        lines.push(self.last_word.to_owned());
        (lines.join("\n") + "\n").into_bytes()
    }
}

fn picture(
    (all, prints): (&[Row], &PrintsById),
    sent: &DeliveredPicture,
    change: Option<PictureChange>,
    small: NoteThumbnail,
) -> PictureNote {
    let rows: Vec<&Row> = sent.rows.iter().map(|at| &all[*at]).collect();
    let first = rows.first();
    let facts = first.and_then(|row| row.facts.as_deref());
    let size = small.as_ref().map_or((1, 1), |(_, size)| *size);
    let lines = first.and_then(|row| crate::judge::metrics::cut_lines::CutLines::centred(row.placement.as_deref()?));
    let over = |[left, top, right, bottom]: [f64; 4]| {
        let (width, height) = (f64::from(size.0), f64::from(size.1));
        [left * width, top * height, (right - left) * width, (bottom - top) * height]
            .map(|number| (number * 100.0).round() / 100.0)
    };
    let tones = first.and_then(|row| row.tones.as_deref());
    let most = tones.map_or(0.0, |tones| tones.histogram.iter().copied().fold(0.0, f32::max)).max(f32::MIN_POSITIVE);
    PictureNote {
        name: visible(&sent.name).into_owned(),
        sha256: sent.sha256.clone(),
        change: change.map(change_words).unwrap_or_default(),
        space: facts.map(|facts| visible(&crate::report::facts::profile(facts)).into_owned()).unwrap_or_default(),
        facts: facts.map(described).unwrap_or_default(),
        rows: rows.into_iter().filter_map(|row| Some(row_note(row, prints.get(row.key.print.as_ref())?))).collect(),
        small: small.map(|(jpeg, _)| format!("data:image/jpeg;base64,{}", base64(&jpeg))).unwrap_or_default(),
        size: [size.0, size.1],
        finished: lines
            .as_ref()
            .filter(|lines| lines.finished != lines.window && lines.finished != lines.trim)
            .map(|lines| over(lines.finished)),
        cut: lines.as_ref().map(|lines| over(lines.trim)),
        safe: lines.as_ref().map(|lines| over(lines.safe)),
        bars: tones.map(|tones| bars(&tones.histogram, most)).unwrap_or_default(),
    }
}

/// Scales heights so that the highest is 100, as square roots, so that small values still show.
fn bars(histogram: &[f32], most: f32) -> Vec<f64> {
    histogram.iter().map(|share| (f64::from(share / most).max(0.0).sqrt() * 1000.0).round() / 10.0).collect()
}

fn base64(bytes: &[u8]) -> String {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD.encode(bytes)
}

fn described(facts: &crate::picture::Facts) -> String {
    format!(
        "{}, {}, {} bit {}, {}",
        facts.format.name(),
        show::pixels(facts.upright_px()),
        facts.bits,
        facts.model.name(),
        show::bytes(facts.bytes)
    )
}

/// Formats a finding with its level.
fn said_of(finding: &Finding) -> String {
    let word = if finding.level == Level::Must { "to fix" } else { "warning" };
    format!("{word}: {}", visible(&finding.found))
}

/// Describes a picture's change since the earlier delivery.
fn change_words(change: PictureChange) -> String {
    let ordered = |before: &[String]| format!("ordered otherwise; before: {}", visible(&before.join("; ")));
    match change {
        PictureChange::New => "new".to_owned(),
        PictureChange::Replaces(old) => format!("replaces {}", visible(&old)),
        PictureChange::Renamed(old, before) => {
            let and = if before.is_empty() { String::new() } else { format!("; {}", ordered(&before)) };
            format!("the same file as {}, which this name replaces{and}", visible(&old))
        }
        PictureChange::Ordered(before) if before.is_empty() => "the same file as before, for more prints".to_owned(),
        PictureChange::Ordered(before) => format!("the same file as before, {}", ordered(&before)),
        PictureChange::Unchanged => String::new(),
    }
}

/// True if the note includes a finding: warnings, and whether a picture has its bleed, which only the printer can
/// settle if the file does not show it.
fn concerns_printer(finding: &Finding) -> bool {
    finding.level > Level::Note || finding.rule.uses.concerns_printer
}

fn row_note(row: &Row, print: &Print) -> RowNote {
    let said = |text: &str| visible(text).into_owned();
    let required = &print.requirements;
    RowNote {
        print: said(&print.name),
        size: row.placement.as_ref().map_or_else(|| print.size.show(), |placement| placement.finished.show()),
        paper: format!("{} {}", required.paper.surface.word(), required.paper.stock.word()),
        edge: edge_words(&required.margins),
        copies: row.copies,
        page: row.page.map(|page| page.to_string()).unwrap_or_default(),
        ppi: row.placement.as_ref().and_then(|one| one.fit).map(|fit| show::ppi(fit.density)).unwrap_or_default(),
        state: row.state.word(),
        findings: row.findings.iter().filter(|one| concerns_printer(one)).map(|one| said_of(one)).collect(),
        accepted: row
            .accepted
            .iter()
            .map(|one| said(&format!("{} (accepted {})", one.finding.found, one.acceptance.words())))
            .collect(),
        test_print: row.test_print.words().unwrap_or_default(),
        caption: said(print.caption.as_deref().unwrap_or_default()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::delivery::plan::{DeliverySelection, plan};
    use crate::delivery::record::RecordedPicture;
    use crate::delivery::since::EarlierDelivery;
    use crate::delivery::terms::OrderTerms;
    use crate::picture::facts::Profile;
    use crate::report::sample;
    use crate::units::growth::grows_less_than_square;
    use std::collections::BTreeMap;
    use std::path::PathBuf;

    fn note() -> Note {
        let mut report = sample::report();
        report.order_findings.clear();
        report.rows.retain(|row| matches!(row.state, RowState::Pass | RowState::Warn));
        let brief = std::sync::Arc::make_mut(&mut report.brief);
        brief.title = Some("<script>alert(1)</script>\u{1b}[31m".to_owned());
        brief.from = Some("Maren <olde>, \u{1b}maren@low-water.example".to_owned());
        for facts in report.rows.iter_mut().filter_map(|row| row.facts.as_mut()) {
            if let Profile::Embedded(profile) = &mut std::sync::Arc::make_mut(facts).profile {
                (profile.known_as, profile.description) = (None, "hers\u{1b}]0;x\u{7}\u{202e}".to_owned());
            }
        }
        let keys = report.rows.iter().filter_map(|row| row.key.picture.clone());
        let files = keys.map(|key| (key.clone(), (PathBuf::from(key.as_str()), true))).collect();
        let plan = plan(&report, &files, &DeliverySelection::default()).unwrap();
        let held = |name: &str, sha256: &str, ordered: Option<Vec<String>>| {
            let (name, sha256) = (name.to_owned(), sha256.to_owned());
            (name.clone(), RecordedPicture { name, sha256, ordered, ..RecordedPicture::default() })
        };
        let earlier = plan.sent.iter().map(|sent| held(&sent.name, "\u{1b}[2J", None));
        let mut pictures: BTreeMap<String, RecordedPicture> =
            earlier.chain([held("gone\u{7}.jpg", "", None)]).collect();
        // The order of the last picture has changed.
        let last = plan.sent.last().unwrap();
        pictures.extend([held(&last.name, &last.sha256, Some(vec!["nine\u{1b}[31m copies".to_owned()]))]);
        let earlier = EarlierDelivery { pictures, terms: Some(OrderTerms::default()), ..EarlierDelivery::default() };
        let earlier = earlier.compared(&report, &plan);
        Note::of(&report, &plan, Some(&earlier), &|_| Some((vec![0xff, 0xd8], (40, 50))))
    }

    #[test]
    fn the_page_is_one_file_without_script_and_escapes_what_it_did_not_write() {
        let page = String::from_utf8(note().html().unwrap()).unwrap();
        assert!(page.contains("&lt;script&gt;alert(1)&lt;") && !page.contains("<script"), "{page}");
        assert!(
            page.contains("hers")
                && page.contains("replaces ")
                && page.contains("before: nine")
                && page.contains("gone"),
            "{page}"
        );
        assert!(!page.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{page}");
        assert!(!page.contains("http://") && !page.contains("src=\"/"));
        assert!(page.contains("Content-Security-Policy") && page.contains("data:image&#x2f;jpeg;base64,"));
        assert!(page.contains("a hard proof have the last word"));
        assert!(page.contains("<dt>from</dt><dd>Maren &lt;olde&gt;, "), "{page}");
        assert!(page.contains("Changed since the earlier delivery: from: Maren &lt;olde&gt;, "), "{page}");
    }

    #[test]
    fn a_bleed_that_cannot_be_told_stands_on_the_note() {
        let finding = |rule, level| sample::finding(rule, level, &["p012.jpg"]);
        assert!(concerns_printer(&finding("margins.bleed", Level::Note)));
        assert!(concerns_printer(&finding("tone.dark", Level::Should)));
        assert!(!concerns_printer(&finding("detail.noise", Level::Note)));
    }

    #[test]
    fn a_check_as_a_page_names_every_state_and_what_is_missing() {
        let report = sample::report();
        let page = Note::of_check(&report, &ListedFiles::new(), &|_| None).html().unwrap();
        let page = String::from_utf8(page).unwrap();
        assert!(page.contains("No picture yet") && page.contains(">FIX<") && page.contains(">PASS<"), "{page}");
        assert!(page.contains("The order: warning: 214 ppi at 210 x 260 mm; 240 asked"), "{page}");
    }

    #[test]
    fn the_text_says_every_picture_with_its_print_and_checksum() {
        let note = note();
        let text = String::from_utf8(note.text()).unwrap();
        assert!(text.contains("\nfrom: Maren <olde>, "), "{text}");
        assert!(text.contains("\nchanged since the earlier delivery: from: Maren <olde>, "), "{text}");
        assert!(!text.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{text}");
        for picture in &note.pictures {
            assert!(text.contains(&picture.name) && text.contains(&picture.sha256));
        }
        assert!(!text.contains('\u{1b}') && text.ends_with(&format!("{LAST_WORD}\n")));
    }

    #[test]
    fn a_page_costs_by_its_pictures_and_not_by_their_square() {
        grows_less_than_square(1_000, sample::many, |report| {
            let note = Note::of_check(&report, &ListedFiles::new(), &|_| None);
            assert_eq!(note.pictures.len(), report.rows.len());
        });
    }
}
