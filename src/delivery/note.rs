//! The note for the printer's intake desk, as a page and as a text: first what to do, then the pictures.
//!
//! What concerns the photographer alone is not on it: warnings, credits, test prints, checksums.

use std::collections::HashSet;

use serde::Serialize;

use crate::brief::requirements::Edge;
use crate::brief::{Pages, PrintsById};
use crate::judge::Row;
use crate::reading::check_report::CheckReport;
use crate::report::text::LAST_WORD;
use crate::report::thumbnail::JpegThumbnail;
use crate::units::show;
use crate::units::words::visible;

use super::frame::{Frame, Legend};
use super::html::render;
use super::instructions::{InstructedOrder, Instruction, KNOWN, TO_CHECK, version_of};
use super::numbering::DeliveryNumber;
use super::ordered::{EXCEPTIONS, copies, exceptions_to_tell, fold_words, paper, warnings_to_tell};
use super::placing::placing_words;
use super::plan::{DeliveryPlan, PlannedPicture};
use super::since::{Comparison, pictures_to_send};

/// The content of the note. Foreign text is escaped.
#[derive(Debug, Serialize)]
pub struct Note {
    title: String,
    printer: String,
    from: String,
    /// Which delivery it is, with its day.
    made: String,
    /// The batch that it is; empty if it is none.
    batch: String,
    /// The earlier delivery; empty if there is none.
    follows: String,
    /// What to do, the most urgent first.
    instructions: Vec<Instruction>,
    pictures: Vec<PictureNote>,
    legend: Legend,
    last_word: &'static str,
    /// True if the delivery leaves out a part of the order.
    is_part: bool,
}

/// The note on one picture.
#[derive(Debug, Serialize)]
pub struct PictureNote {
    /// The name of the version that begins with this picture; empty for the others.
    version: String,
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
    /// Empty for a page of which nobody ordered a number.
    copies: String,
    placing: String,
    /// Empty without a fold.
    folds: String,
    /// Empty where nobody named it.
    paper: String,
}

impl Note {
    /// Creates the note of a delivery; `small` returns a picture's thumbnail.
    pub fn of(
        report: &CheckReport,
        plan: &DeliveryPlan,
        comparison: Option<&Comparison>,
        number: &DeliveryNumber,
        small: &dyn Fn(&PlannedPicture) -> Option<JpegThumbnail>,
    ) -> Note {
        let brief = &report.brief;
        let text = |text: Option<&str>| visible(text.unwrap_or_default()).into_owned();
        let prints = report.prints();
        let sent = pictures_to_send(plan, comparison);
        let unchanged = plan.pictures.len() - sent.len();
        let is_part = !plan.left_out.is_empty();
        let repeats = number.repeats.as_ref();
        let order = InstructedOrder { report, prints: &prints, sent: &sent, comparison, is_part, unchanged, repeats };
        let same: HashSet<String> = order.same_pictures().into_iter().flatten().collect();
        let picture = |sent: &&PlannedPicture| {
            let name = visible(&sent.name).into_owned();
            let rows: Vec<&Row> = sent.rows.iter().map(|at| &report.rows[*at]).collect();
            let print_of = |row: &&Row| prints.get(row.key.print.as_ref()).map(|print| PrintNote::of(row, print));
            PictureNote {
                version: String::new(),
                change: match (comparison, repeats) {
                    (Some(comparison), _) => comparison.change_words(sent),
                    (None, Some(repeats)) => repeats.change_words(&sent.name).to_owned(),
                    (None, None) => String::new(),
                },
                facts: rows.first().and_then(|row| row.facts.as_deref()).map(facts_words).unwrap_or_default(),
                prints: rows.iter().filter_map(print_of).collect(),
                marks: mark_instructions(&rows, &prints, same.contains(&name)),
                frame: Frame::of(rows.first().copied(), small(sent)),
                name,
            }
        };
        let mut pictures: Vec<PictureNote> = sent.iter().map(picture).collect();
        let mut before = None;
        for (picture, sent) in pictures.iter_mut().zip(&sent) {
            let version = version_of(report, sent);
            picture.version = visible(version.filter(|_| version != before).unwrap_or_default()).into_owned();
            before = version;
        }
        Note {
            title: text(brief.title.as_deref().or(Some("Pictures"))),
            printer: text(brief.printer.as_deref()),
            from: text(brief.from.as_deref()),
            made: number.words(),
            batch: number.batch.map(|batch| format!("batch {batch} of the order")).unwrap_or_default(),
            follows: number.follows.clone(),
            instructions: order.instructions(),
            legend: Legend::of(pictures.iter().map(|picture| &picture.frame)),
            pictures,
            last_word: LAST_WORD,
            is_part,
        }
    }

    /// Returns the name of the job, who prints, and who sends.
    pub(super) fn names(&self) -> [&str; 3] {
        [&self.title, &self.printer, &self.from]
    }

    /// True if the delivery leaves out a part of the order.
    pub(super) fn is_part(&self) -> bool {
        self.is_part
    }

    /// Returns the lines of the instruction about something.
    pub(super) fn lines(&self, about: &str) -> &[String] {
        let found = self.instructions.iter().find(|one| one.about == about);
        found.map(|one| one.lines.as_slice()).unwrap_or_default()
    }

    /// Renders the note as a page.
    ///
    /// # Errors
    /// The template is wrong, which a test rules out.
    pub fn html(&self) -> Result<Vec<u8>, minijinja::Error> {
        render("note", self)
    }

    /// Renders the note as a text.
    pub fn text(&self) -> Vec<u8> {
        let mut lines = vec![self.title.clone()];
        let of = |label: &str, value: &str| (!value.is_empty()).then(|| format!("{label} {value}"));
        lines.extend(of("for", &self.printer));
        lines.extend(of("from", &self.from));
        lines.extend([&self.batch, &self.made].into_iter().filter(|line| !line.is_empty()).cloned());
        lines.extend(of("follows", &self.follows));
        lines.push(String::new());
        for Instruction { about, lines: of_it, .. } in &self.instructions {
            lines.extend(of_it.iter().map(|line| format!("{about}: {line}")));
        }
        lines.push(self.last_word.to_owned());
        for picture in &self.pictures {
            if !picture.version.is_empty() {
                lines.extend([String::new(), format!("Version {}", picture.version)]);
            }
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
        let page = row.page.map(Pages::words);
        PrintNote {
            called: page.into_iter().chain(name).collect::<Vec<String>>().join(", "),
            size: match print.requirements.margins.edge {
                Edge::Bleed => format!("finished size {size}"),
                Edge::Wrap => format!("face {size}"),
                Edge::Borderless | Edge::Border => size,
            },
            copies: copies(row, print).map(|one| show::count(one as usize, "copy", "copies")).unwrap_or_default(),
            placing: placing_words(row, print),
            folds: fold_words(&print.requirements.margins).unwrap_or_default(),
            paper: paper(print),
        }
    }

    fn words(&self) -> String {
        let parts = [&self.called, &self.size, &self.copies, &self.placing, &self.folds, &self.paper];
        parts.into_iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<String>>().join(", ")
    }
}

fn facts_words(facts: &crate::picture::Facts) -> String {
    format!("{}, {}, {}", facts.format.name(), show::pixels(facts.upright_px()), show::bytes(facts.bytes))
}

/// Returns which of the instructions concern a picture in particular.
fn mark_instructions(rows: &[&Row], prints: &PrintsById<'_>, is_one_of_the_same: bool) -> Vec<&'static str> {
    let of_row = |row: &&Row| {
        prints.get(row.key.print.as_ref()).is_some_and(|print| warnings_to_tell(row, print).next().is_some())
    };
    let has_known = rows.iter().any(of_row);
    let has_exception = rows.iter().any(|row| exceptions_to_tell(row).next().is_some());
    let is_to_check =
        is_one_of_the_same || rows.iter().flat_map(|row| &row.findings).any(|one| one.rule.uses.concerns_printer);
    let marks = [(has_exception, EXCEPTIONS), (has_known, KNOWN), (is_to_check, TO_CHECK)];
    marks.into_iter().filter(|(is, _)| *is).map(|(_, about)| about).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::requirements::Level;
    use crate::decisions::sent::{OrderTerms, SentLog};
    use crate::delivery::plan::{DeliverySelection, plan};
    use crate::delivery::record::RecordedPicture;
    use crate::delivery::since::PrinterHoldings;
    use crate::judge::{Finding, RowState};
    use crate::picture::facts::EmbeddedProfile;
    use crate::report::sample;
    use crate::units::growth::grows_less_than_square;
    use std::collections::BTreeMap;
    use std::path::PathBuf;
    use std::sync::Arc;

    /// A note of the sample's rows with hostile texts, since an earlier delivery.
    fn note() -> Note {
        let mut report = sample::report();
        report.order_findings.clear();
        report.rows.retain(|row| matches!(row.state, RowState::Pass | RowState::Warn));
        let brief = std::sync::Arc::make_mut(&mut report.brief);
        brief.title = Some("<script>alert(1)</script>\u{1b}[31m".to_owned());
        brief.from = Some("Maren <olde>, \u{1b}maren@low-water.example".to_owned());
        for facts in report.rows.iter_mut().filter_map(|row| row.facts.as_mut()) {
            if let EmbeddedProfile::Embedded(profile) = &mut std::sync::Arc::make_mut(facts).profile {
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
        let earlier = plan.pictures.iter().map(|sent| held(&sent.name, "\u{1b}[2J", None));
        let mut pictures: BTreeMap<String, RecordedPicture> =
            earlier.chain([held("gone\u{7}.jpg", "", None)]).collect();
        // The order of the last picture has changed.
        let last = plan.pictures.last().unwrap();
        pictures.extend([held(&last.name, &last.sha256, Some(vec!["nine\u{1b}[31m copies".to_owned()]))]);
        let made = "2026-11-20T12:00:00Z".to_owned();
        let earlier = PrinterHoldings { pictures, terms: Some(OrderTerms::default()), made, number: 1, repeats: None };
        let number = DeliveryNumber::next(&report.made, None, &SentLog::default(), Some(&earlier));
        let earlier = earlier.compare(&report, &plan);
        Note::of(&report, &plan, Some(&earlier), &number, &|_| {
            Some(JpegThumbnail { bytes: vec![0xff, 0xd8], size_px: (40, 50) })
        })
    }

    /// A note of one sound picture, changed before.
    fn note_of(change: impl FnOnce(&mut CheckReport)) -> Note {
        let mut report = sample::report();
        report.order_findings.clear();
        report.rows.retain(|row| row.state == RowState::Pass);
        change(&mut report);
        let plan = plan(&report, &sample::files(&report), &DeliverySelection::default()).unwrap();
        let number = DeliveryNumber::next(&report.made, None, &SentLog::default(), None);
        Note::of(&report, &plan, None, &number, &|_| None)
    }

    fn text(note: &Note) -> String {
        String::from_utf8(note.text()).unwrap()
    }

    #[test]
    fn the_page_is_one_file_without_script_and_escapes_what_it_did_not_write() {
        let page = String::from_utf8(note().html().unwrap()).unwrap();
        assert!(page.contains("&lt;script&gt;alert(1)&lt;") && !page.contains("<script"), "{page}");
        for said in [
            "hers",
            "replaces the file",
            "before: nine",
            "gone",
            "from Maren &lt;olde&gt;, ",
            "follows the delivery of",
        ] {
            assert!(page.contains(said), "{said}: {page}");
        }
        assert!(!page.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{page}");
        assert!(!page.contains("http://") && !page.contains("src=\"/"));
        assert!(page.contains("<dt class=\"mark\">Withdrawn, do not print</dt>"), "{page}");
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
        let places: Vec<usize> = [
            "from Maren <olde>, ",
            "written on 25 November 2026",
            "follows the delivery of 20 November 2026",
            "Withdrawn, do not print: gone",
            "In this delivery: ",
            LAST_WORD,
            "p016",
        ]
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
            report.rows[0].accepted = vec![sample::accepted("detail.halo", None)];
            report.rows[0].test_print = crate::judge::model::test_print::TestPrint::Required;
        });
        let text = text(&note);
        for word in ["214 ppi", "warning", "accepted", "test print", "SHA", "efef", "T10:00", "colour correction"] {
            assert!(!text.to_lowercase().contains(&word.to_lowercase()), "{word}: {text}");
        }
        assert!(text.contains("written on 25 November 2026"), "{text}");
    }

    #[test]
    fn warnings_go_to_the_printer_only_where_the_photographer_chose_them() {
        let said = |tell: &[&str]| {
            text(&note_of(|report| {
                report.rows[0].findings = vec![sample::finding("file.credit", Level::Should, &[]).into()];
                for print in &mut Arc::make_mut(&mut report.brief).prints {
                    Arc::make_mut(&mut print.requirements).delivery.tell =
                        tell.iter().map(|&name| name.to_owned()).collect();
                }
            }))
        };
        let known = "\nKnown, leave as it is: p016-leeks.jpg: 214 ppi at 210 x 260 mm";
        for tell in [&["file.credit"][..], &["file"], &["tone", "file.credit"]] {
            let said = said(tell);
            assert!(said.contains(known) && said.contains("see \"Known, leave as it is\""), "{tell:?}: {said}");
        }
        assert!(!said(&["tone", "file.name", "fil"]).contains("Known") && !said(&[]).contains("Known"));
    }

    #[test]
    fn what_the_printer_must_know_says_what_it_is_who_allowed_it_and_why() {
        let exception = |allowed_by| {
            text(&note_of(|report| report.rows[0].accepted = vec![sample::accepted("density.minimum", allowed_by)]))
        };
        let said = exception(Some("Corrow Lane"));
        assert!(said.contains("\nExceptions: p016-leeks.jpg: 214 ppi at 210 x 260 mm"), "{said}");
        let who = "; allowed by Corrow Lane. Reason given by Maren, 30 November 2026: \"the client wants it\"\n";
        assert!(said.contains(who) && !said.contains("agreed") && !said.contains("as it is"), "{said}");
        assert!(!exception(None).to_lowercase().contains("exception"));
        let unclear = text(&note_of(|report| {
            let finding = sample::finding("margins.bleed", Level::Note, &[]);
            report.rows[0].findings = vec![Finding { about: "unknown".to_owned(), ..finding }.into()];
        }));
        assert!(unclear.contains("Check before printing: p016-leeks.jpg: "), "{unclear}");
        assert!(unclear.contains("bleed not confirmed") && !unclear.contains("bleed included"), "{unclear}");
    }

    #[test]
    fn two_files_that_are_the_same_picture_are_said_before_printing() {
        let twice = |accept: bool| {
            text(&note_of(|report| {
                let mut other = report.rows[0].clone();
                other.key.picture = Some(crate::picture::PictureKey::from_text("p018-oysters.jpg"));
                report.rows.push(other);
                if accept {
                    report.rows.iter_mut().for_each(|row| row.accepted = vec![sample::accepted("set.duplicate", None)]);
                }
            }))
        };
        let said = twice(false);
        assert!(said.contains("Check before printing: p016-leeks.jpg and p018-oysters.jpg are the same"), "{said}");
        assert_eq!(said.matches("see \"Check before printing\"").count(), 2, "{said}");
        assert!(!twice(true).contains("the same picture"));
    }

    #[test]
    fn a_page_without_an_ordered_number_has_no_copies_and_a_folded_card_says_where() {
        let said = text(&note_of(|_| {}));
        assert!(said.contains("\nOrder: 1 picture, 1 print\n") && !said.contains("cop"), "{said}");
        let folded = text(&note_of(|report| {
            let brief = Arc::make_mut(&mut report.brief);
            Arc::make_mut(&mut brief.prints[2].requirements).margins.folds =
                vec![crate::units::Length::from_um(74_000)];
        }));
        assert!(folded.contains(", fold 74 mm from the left of the finished size, "), "{folded}");
    }

    #[test]
    fn a_page_costs_by_its_pictures_and_not_by_their_square() {
        grows_less_than_square(1_000, sample::many, |report| {
            let plan = plan(&report, &sample::files(&report), &DeliverySelection::default()).unwrap();
            let note = Note::of(&report, &plan, None, &DeliveryNumber::default(), &|_| None);
            assert_eq!(note.pictures.len(), report.rows.len());
        });
    }
}
