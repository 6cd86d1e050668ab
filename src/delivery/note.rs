//! The note for the printer's intake desk, as a page and as a text: first what to do, then the pictures.
//!
//! What concerns the photographer alone is not on it: warnings, credits, test prints, checksums.

use serde::Serialize;

use crate::judge::Row;
use crate::report::Report;
use crate::report::text::LAST_WORD;
use crate::units::show;
use crate::units::words::visible;

use super::days;
use super::frame::{Frame, Legend, Thumbnail};
use super::html::rendered;
use super::instructions::{EXCEPTIONS, InstructedOrder, Instruction, TO_CHECK, paper, placing};
use super::ordered::agreed;
use super::plan::{DeliveredPicture, DeliveryPlan};
use super::since::{Comparison, PictureChange};

/// The content of the note. Foreign text is escaped.
#[derive(Debug, Serialize)]
pub struct Note {
    title: String,
    printer: String,
    from: String,
    made: String,
    /// What to do, the most urgent first.
    instructions: Vec<Instruction>,
    pictures: Vec<PictureNote>,
    legend: Legend,
    last_word: &'static str,
}

/// The note on one picture.
#[derive(Debug, Serialize)]
pub struct PictureNote {
    name: String,
    /// What has become of it since the earlier delivery; empty if there is none.
    change: String,
    facts: String,
    prints: Vec<PrintNote>,
    /// What the instructions that concern this picture in particular are about.
    marks: Vec<&'static str>,
    frame: Frame,
}

/// The note on one print of a picture.
#[derive(Debug, Serialize)]
pub struct PrintNote {
    /// Page and name; empty for a print that is called by its size.
    called: String,
    size: String,
    copies: String,
    placing: String,
    /// Empty where nobody named it.
    paper: String,
}

impl Note {
    /// Creates the note of a delivery; `small` returns a picture's thumbnail.
    pub fn of(
        report: &Report,
        plan: &DeliveryPlan,
        earlier: Option<&Comparison>,
        small: &dyn Fn(&DeliveredPicture) -> Thumbnail,
    ) -> Note {
        let brief = &report.brief;
        let text = |text: Option<&str>| visible(text.unwrap_or_default()).into_owned();
        let prints = report.prints();
        let goes = |sent: &&DeliveredPicture| earlier.is_none_or(|earlier| earlier.goes(sent));
        let sent: Vec<&DeliveredPicture> = plan.sent.iter().filter(goes).collect();
        let unchanged = plan.sent.len() - sent.len();
        let order = InstructedOrder { report, prints: &prints, sent: &sent, earlier, unchanged };
        let picture = |sent: &&DeliveredPicture| {
            let rows: Vec<&Row> = sent.rows.iter().map(|at| &report.rows[*at]).collect();
            let print_of = |row: &&Row| prints.get(row.key.print.as_ref()).map(|print| PrintNote::of(row, print));
            PictureNote {
                name: visible(&sent.name).into_owned(),
                change: earlier.map(|earlier| change_words(earlier.change(sent))).unwrap_or_default(),
                facts: rows.first().and_then(|row| row.facts.as_deref()).map(described).unwrap_or_default(),
                prints: rows.iter().filter_map(print_of).collect(),
                marks: marks(&rows),
                frame: Frame::of(rows.first().copied(), small(sent)),
            }
        };
        let pictures: Vec<PictureNote> = sent.iter().map(picture).collect();
        Note {
            title: text(brief.title.as_deref().or(Some("Pictures"))),
            printer: text(brief.printer.as_deref()),
            from: text(brief.from.as_deref()),
            made: days::in_words(&report.made),
            instructions: order.instructions(),
            legend: Legend::of(pictures.iter().map(|picture| &picture.frame)),
            pictures,
            last_word: LAST_WORD,
        }
    }

    /// Renders the note as a page.
    ///
    /// # Errors
    /// The template is wrong, which a test rules out.
    pub fn html(&self) -> Result<Vec<u8>, minijinja::Error> {
        rendered("note", self)
    }

    /// Renders the note as a text.
    pub fn text(&self) -> Vec<u8> {
        let mut lines = vec![self.title.clone()];
        let of = |label: &str, value: &str| (!value.is_empty()).then(|| format!("{label} {value}"));
        lines.extend(of("for", &self.printer));
        lines.extend(of("from", &self.from));
        lines.extend(of("written on", &self.made));
        lines.push(String::new());
        for Instruction { about, lines: of_it, .. } in &self.instructions {
            lines.extend(of_it.iter().map(|line| format!("{about}: {line}")));
        }
        lines.push(self.last_word.to_owned());
        for picture in &self.pictures {
            let change = if picture.change.is_empty() { String::new() } else { format!(" ({})", picture.change) };
            lines.extend([String::new(), format!("{}{change}", picture.name)]);
            lines.extend(picture.prints.iter().map(|print| format!("  {}", print.words())));
            lines.push(format!("  {}", picture.facts));
            lines.extend(picture.marks.iter().map(|about| format!("  see \"{about}\"")));
        }
        (lines.join("\n") + "\n").into_bytes()
    }
}

impl PrintNote {
    fn of(row: &Row, print: &crate::brief::Print) -> PrintNote {
        let size = row.placement.as_ref().map_or_else(|| print.size.show(), |placement| placement.finished.show());
        // A print without a name is called by its size.
        let name = Some(visible(&print.name).into_owned()).filter(|_| print.name != print.size.show());
        let page = row.page.map(|page| format!("page {page}"));
        PrintNote {
            called: page.into_iter().chain(name).collect::<Vec<String>>().join(", "),
            size,
            copies: show::count(row.copies as usize, "copy", "copies"),
            placing: placing(row, print),
            paper: paper(row, print),
        }
    }

    fn words(&self) -> String {
        let parts = [&self.called, &self.size, &self.copies, &self.placing, &self.paper];
        parts.into_iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<String>>().join(", ")
    }
}

fn described(facts: &crate::picture::Facts) -> String {
    format!("{}, {}, {}", facts.format.name(), show::pixels(facts.upright_px()), show::bytes(facts.bytes))
}

/// Returns which of the instructions concern a picture in particular.
fn marks(rows: &[&Row]) -> Vec<&'static str> {
    let has_exception = rows.iter().any(|row| agreed(row).next().is_some());
    let is_to_check = rows.iter().flat_map(|row| &row.findings).any(|one| one.rule.uses.concerns_printer);
    let marks = [(has_exception, EXCEPTIONS), (is_to_check, TO_CHECK)];
    marks.into_iter().filter(|(is, _)| *is).map(|(_, about)| about).collect()
}

/// Describes a picture's change since the earlier delivery.
fn change_words(change: PictureChange) -> String {
    let ordered = |before: &[String]| format!("the order has changed; before: {}", visible(&before.join("; ")));
    match change {
        PictureChange::New => "new".to_owned(),
        PictureChange::Replaces(_) => "replaces the file that you have under this name".to_owned(),
        PictureChange::Renamed(old, before) => {
            let and = if before.is_empty() { String::new() } else { format!("; {}", ordered(&before)) };
            format!("the same file as {}, which this name replaces{and}", visible(&old))
        }
        PictureChange::Ordered(before) if before.is_empty() => "the same file as before, for more prints".to_owned(),
        PictureChange::Ordered(before) => format!("the same file as before; {}", ordered(&before)),
        PictureChange::Unchanged => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::requirements::Level;
    use crate::delivery::plan::{DeliverySelection, plan};
    use crate::delivery::record::RecordedPicture;
    use crate::delivery::since::EarlierDelivery;
    use crate::delivery::terms::OrderTerms;
    use crate::judge::RowState;
    use crate::judge::acceptance::{Acceptance, AcceptedFinding};
    use crate::picture::facts::Profile;
    use crate::report::sample;
    use crate::units::growth::grows_less_than_square;
    use std::collections::BTreeMap;
    use std::path::PathBuf;

    /// A note of the sample's rows with hostile texts, since an earlier delivery.
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

    /// A note of one sound picture, changed before.
    fn note_of(change: impl FnOnce(&mut Report)) -> Note {
        let mut report = sample::report();
        report.order_findings.clear();
        report.rows.retain(|row| row.state == RowState::Pass);
        change(&mut report);
        let plan = plan(&report, &sample::files(&report), &DeliverySelection::default()).unwrap();
        Note::of(&report, &plan, None, &|_| None)
    }

    fn text(note: &Note) -> String {
        String::from_utf8(note.text()).unwrap()
    }

    fn accepted(rule: &str, allowed_by: Option<&str>) -> AcceptedFinding {
        let acceptance = Acceptance {
            print: None,
            rule: rule.to_owned(),
            about: String::new(),
            reason: "the client wants it".to_owned(),
            by: "Maren".to_owned(),
            allowed_by: allowed_by.map(str::to_owned),
            when: "2026-11-30".to_owned(),
            bound: Default::default(),
        };
        let finding = sample::finding(rule, Level::Must, &[]).into();
        AcceptedFinding { finding, acceptance: acceptance.into() }
    }

    #[test]
    fn the_page_is_one_file_without_script_and_escapes_what_it_did_not_write() {
        let page = String::from_utf8(note().html().unwrap()).unwrap();
        assert!(page.contains("&lt;script&gt;alert(1)&lt;") && !page.contains("<script"), "{page}");
        for said in ["hers", "replaces the file", "before: nine", "gone", "from Maren &lt;olde&gt;, "] {
            assert!(page.contains(said), "{said}: {page}");
        }
        assert!(!page.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{page}");
        assert!(!page.contains("http://") && !page.contains("src=\"/"));
        assert!(page.contains("Content-Security-Policy") && page.contains("data:image&#x2f;jpeg;base64,"));
        assert_eq!(page.matches("a hard proof have the last word").count(), 1);
        assert!(page.contains("210\u{a0}x\u{a0}260\u{a0}mm") && !page.contains("210 x 260"), "{page}");
    }

    #[test]
    fn the_text_says_first_what_to_do_and_then_every_picture_with_its_prints() {
        let note = note();
        let text = text(&note);
        assert!(text.contains("\nChanges: from: Maren <olde>, "), "{text}");
        assert!(!text.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{text}");
        let places: Vec<usize> = ["from Maren <olde>, ", "Withdrawn, do not print: gone", "Order: ", LAST_WORD, "p016"]
            .iter()
            .map(|part| text.rfind(part).unwrap_or_else(|| panic!("{part}: {text}")))
            .collect();
        assert!(places.is_sorted(), "{places:?}: {text}");
        assert!(note.pictures.iter().all(|picture| text.contains(&picture.name)));
        assert_eq!(text.matches(LAST_WORD).count(), 1);
    }

    #[test]
    fn what_concerns_the_photographer_alone_is_not_on_the_note() {
        let note = note_of(|report| {
            let warning = sample::finding("file.credit", Level::Should, &[]).into();
            report.rows[0].findings = vec![warning];
            report.rows[0].accepted = vec![accepted("detail.halo", None)];
            report.rows[0].test_print = crate::judge::model::test_print::TestPrint::Required;
        });
        let text = text(&note);
        for word in ["214 ppi", "warning", "accepted", "test print", "SHA", "efef", "T10:00", "colour correction"] {
            assert!(!text.to_lowercase().contains(&word.to_lowercase()), "{word}: {text}");
        }
        assert!(text.contains("written on 25 November 2026"), "{text}");
    }

    #[test]
    fn what_the_printer_must_know_says_what_to_do_who_agreed_and_why() {
        let exception = |allowed_by| {
            text(&note_of(|report| report.rows[0].accepted = vec![accepted("density.minimum", allowed_by)]))
        };
        let said = exception(Some("Corrow Lane"));
        assert!(said.contains("Agreed exceptions: p016-leeks.jpg: print as it is. 214 ppi"), "{said}");
        assert!(said.contains("agreed by Corrow Lane: the client wants it (Maren, 30 November 2026)"), "{said}");
        assert!(!exception(None).contains("exception"));
        let unclear = text(&note_of(|report| {
            report.rows[0].findings = vec![sample::finding("margins.bleed", Level::Note, &[]).into()];
        }));
        assert!(unclear.contains("Check before printing: p016-leeks.jpg: "), "{unclear}");
        assert!(unclear.contains("bleed not confirmed") && !unclear.contains("bleed included"), "{unclear}");
    }

    #[test]
    fn a_page_costs_by_its_pictures_and_not_by_their_square() {
        grows_less_than_square(1_000, sample::many, |report| {
            let plan = plan(&report, &sample::files(&report), &DeliverySelection::default()).unwrap();
            let note = Note::of(&report, &plan, None, &|_| None);
            assert_eq!(note.pictures.len(), report.rows.len());
        });
    }
}
