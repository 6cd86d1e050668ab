//! file.readable: the file decodes to its last row.

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::model::submission::{HeaderState, Pixels, Submission};
use crate::judge::rules::colour::model;
use crate::judge::rules::phrases::either;
use crate::picture::facts::{Format, Model};
use crate::picture::{Facts, Fault, FaultKind};

pub static RULE: Rule = Rule {
    id: "file.readable",
    group: RuleGroup::File,
    title: "",
    question: "Can the picture be read to its last row?",
    level: Level::Must,
    why: "what cannot be read can be neither checked nor printed; a file that breaks off prints grey below the break, \
          or stops the printer's whole queue",
    page: "The whole file is decoded, strictly, to its last row. A file that is cut short, damaged, empty, or no print \
           picture at all does not hold; nor does a JPEG whose coded blocks end before the picture does, also with an \
           end marker behind the cut, or a picture whose last rows are one flat colour as decoders leave it where \
           blocks never came: beginning one row of blocks higher on the right than on the left, or straight in the \
           middle grey of missing blocks. Such an end in black or white that begins straight is taken for painted. \
           This rule cannot be accepted or given a lower rank: nothing else can be said \
           of a file that cannot be read. A file that breaks off within seconds of its arrival is tried again first, \
           since a copy may still be under way.",
    fix: "",
    misses: "",
    keys: &[],
    source: "ITU-T T.81 (a JPEG ends with EOI), TIFF 6.0, W3C PNG; what counts as a print picture is ours",
    samples: RuleExamples {
        holds: "a JPEG whose last row is there",
        fails: "the same JPEG cut at nine tenths of its bytes",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { is_unreadable: true, ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::File(check);

/// Advice for a file that waiting will not complete.
const INCOMPLETE_MEND: &str = "export it again, or fetch it again from where it is whole; what is lost cannot be \
                               brought back from this file, and waiting does not help";

fn check(delivered: &Submission, print: &Print) -> RuleOutcome {
    match (&delivered.header, &delivered.pixels) {
        (HeaderState::Waiting { .. }, _) => RuleOutcome::NotChecked("the file is not read yet".to_owned()),
        (HeaderState::Fault(fault), _) => broken(fault, print),
        (HeaderState::Read(_), Pixels::Waiting) => RuleOutcome::NotChecked("its pixels are not read yet".to_owned()),
        (HeaderState::Read(facts), Pixels::Read(evidence_handle)) if evidence_handle.lost_rows > 0 => {
            lost(facts, evidence_handle.lost_rows)
        }
        (HeaderState::Read(_), Pixels::Read(_)) => RuleOutcome::Passed,
        (HeaderState::Read(facts), Pixels::Fault(fault)) if said_by_colour_model(facts, fault, print) => {
            RuleOutcome::NotChecked(fault.what.clone())
        }
        (HeaderState::Read(_), Pixels::Fault(fault)) => broken(fault, print),
    }
}

/// Returns the failure of a complete file whose picture was cut short before it was saved.
fn lost(facts: &Facts, rows: u32) -> RuleOutcome {
    RuleOutcome::failed(Breach {
        short: "breaks off".to_owned(),
        found: format!(
            "its last {rows} of {} rows are one flat colour that the picture above does not lead to, as where a file \
             broke off and was saved again",
            facts.height_px
        ),
        fix: "export it again from the original, and look at its lower part before it goes out".to_owned(),
        ..Breach::default()
    })
}

/// True if colour.model reports it: a picture in a colour model that no printer accepts cannot be measured either, and
/// one cause is reported once. If the brief ranks colour.model lower, this rule reports it, since an unreadable file is
/// never PASS.
fn said_by_colour_model(facts: &Facts, fault: &Fault, print: &Print) -> bool {
    fault.kind == FaultKind::Unsupported
        && matches!(facts.model, Model::Lab | Model::Palette | Model::Other)
        && print.requirements.levels.get(model::RULE.id).is_none_or(|level| *level == Level::Must)
}

fn broken(fault: &Fault, print: &Print) -> RuleOutcome {
    let required: Vec<&str> =
        Format::ALL.iter().filter(|f| print.requirements.file.formats.contains(&f.word())).map(|f| f.name()).collect();
    let required = either(&required);
    let (short, fix) = match &fault.kind {
        FaultKind::Empty => ("empty file", "export it again: the file has no bytes".to_owned()),
        FaultKind::Truncated => {
            ("cut short", "export or copy it again, and wait until the copy has ended before you go on".to_owned())
        }
        FaultKind::Incomplete => ("breaks off", INCOMPLETE_MEND.to_owned()),
        FaultKind::Damaged => ("damaged", "export it again; if it breaks again, copy it by another way".to_owned()),
        FaultKind::Other { .. } => ("no print picture", format!("export the finished picture as {required}")),
        FaultKind::Unsupported => ("not measurable", format!("export it as {required}, 8 or 16 bit, without layers")),
        FaultKind::TooLarge => ("too large", "export it at the printed size".to_owned()),
        FaultKind::Unreachable => ("not readable", "check that it is still there and that you may read it".to_owned()),
        FaultKind::Internal => {
            ("not checked", "this is plateside's fault, not the picture's; please report it with the file".to_owned())
        }
    };
    RuleOutcome::failed(Breach { short: short.to_owned(), found: fault.what.clone(), fix, ..Breach::default() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, delivered, ids, print, with_evidence, with_facts};
    use crate::judge::{RowState, judge};

    #[test]
    fn whole_pictures_hold_and_broken_ones_say_why() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"");
        let mut file = delivered("a.jpg", 2400, 3000);
        assert_eq!(check(&file, &print), RuleOutcome::Passed);
        file.pixels = Pixels::Waiting;
        assert!(matches!(check(&file, &print), RuleOutcome::NotChecked(_)));
        file.pixels = Pixels::Fault(Fault::truncated("it ends after row 900 of 3000"));
        let RuleOutcome::Failed(breaches) = check(&file, &print) else { panic!("a truncated file must fail") };
        assert_eq!(breaches[0].short, "cut short");
        assert_eq!(breaches[0].found, "it ends after row 900 of 3000");
    }

    #[test]
    fn a_picture_that_breaks_off_says_so_in_words_of_its_own() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"");
        let mut file = delivered("a.jpg", 2400, 3000);
        file.pixels = Pixels::Fault(Fault::new(FaultKind::Incomplete, "its coded blocks end after row 900 of 3000"));
        let RuleOutcome::Failed(breaches) = check(&file, &print) else { panic!("it is not whole") };
        assert_eq!(breaches[0].short, "breaks off");
        let saved_again = with_evidence(delivered("a.jpg", 2400, 3000), |evidence| evidence.lost_rows = 412);
        let row = judge(&brief("[[print]]\nsize = \"8 x 10 in\""), &[saved_again]).rows.swap_remove(0);
        assert_eq!((row.state, ids(&row)), (RowState::Fix, vec!["file.readable"]));
        assert!(row.findings[0].found.starts_with("its last 412 of 3000 rows are one flat colour"));
    }

    #[test]
    fn another_kind_of_file_says_what_to_export() {
        let print = print("[file]\nformats = [\"tiff\"]\n[[print]]\nsize = \"8 x 10 in\"");
        let mut file = delivered("a.webp", 1, 1);
        file.header = HeaderState::Fault(Fault::new(FaultKind::Other { is: "a WebP file" }, "a WebP file"));
        let RuleOutcome::Failed(breaches) = check(&file, &print) else { panic!("a WebP file must fail") };
        assert_eq!(breaches[0].fix, "export the finished picture as TIFF");
    }

    #[test]
    fn a_lab_picture_is_never_pass_whatever_rank_its_colour_model_has() {
        let judged = |rules: &str| {
            let mut file = with_facts(delivered("a.tif", 2400, 3000), |f| f.model = Model::Lab);
            file.pixels =
                Pixels::Fault(Fault::new(FaultKind::Unsupported, "a Lab TIFF: its pixels cannot be measured"));
            judge(&brief(&format!("{rules}[[print]]\nsize = \"8 x 10 in\"")), &[file]).rows.swap_remove(0)
        };
        let usual = judged("");
        assert!(usual.state == RowState::Fix && !ids(&usual).contains(&"file.readable"), "{:?}", usual.findings);
        let lowered = judged("[rules]\n\"colour.model\" = \"note\"\n");
        assert!(lowered.state == RowState::Fix && ids(&lowered).contains(&"file.readable"), "{:?}", lowered.findings);
    }
}
