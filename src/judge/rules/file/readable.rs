//! file.readable: the file decodes to its last row.

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::model::submission::{HeaderState, Pixels, Submission};
use crate::judge::rules::colour::model;
use crate::judge::rules::phrases::join_with_or;
use crate::picture::facts::{ColourModel, Format};
use crate::picture::{Facts, Fault, FaultKind};

pub static RULE: Rule = Rule {
    id: "file.readable",
    group: RuleGroup::File,
    title: "File cannot be read",
    question: "Can the picture be read to its last row?",
    level: Level::Must,
    why: "a file that breaks off prints grey, or stops the printer's queue",
    page: "The whole file is decoded strictly, to its last row. It fails if it is empty, cut short, damaged or not \
           a picture for print, and if a JPEG's data ends before the picture does, even with an end marker after it. \
           It also fails if its last rows are one flat colour, as decoders leave it where data is missing: beginning \
           one row of blocks higher on the right than on the left, or straight and in middle grey. A file that breaks \
           off within seconds of its arrival is read again first, because a copy may still be running. This rule is \
           always a must and cannot be accepted.",
    fix: "Export the picture again from the original, or copy it again and wait until the copy is complete.",
    misses: "A flat end in black or white that begins straight passes as part of the picture. Some changed bytes in a \
             JPEG leave no trace that a decoder notices.",
    keys: &[],
    source: "ITU-T T.81 (a JPEG ends with EOI), TIFF 6.0, W3C PNG; what counts as a print picture is ours",
    samples: RuleExamples {
        passes: "a JPEG that is whole to its last row",
        fails: "a JPEG without the last tenth of its bytes",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { is_unreadable: true, ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::File(check);

/// Advice for a file that waiting will not complete.
const INCOMPLETE_FIX: &str = "export it again\nor copy it again from where it is whole";

fn check(delivered: &Submission, print: &Print) -> RuleOutcome {
    match (&delivered.header, &delivered.pixels) {
        (HeaderState::Waiting { .. }, _) => RuleOutcome::NotChecked("the file is not read yet".to_owned()),
        (HeaderState::Fault(fault), _) => fault_outcome(fault, print),
        (HeaderState::Read(_), Pixels::Waiting) => RuleOutcome::NotChecked("its pixels are not read yet".to_owned()),
        (HeaderState::Read(facts), Pixels::Read(evidence_handle)) if evidence_handle.lost_rows > 0 => {
            lost_rows_outcome(facts, evidence_handle.lost_rows)
        }
        (HeaderState::Read(_), Pixels::Read(_)) => RuleOutcome::Passed,
        (HeaderState::Read(facts), Pixels::Fault(fault)) if said_by_colour_model(facts, fault, print) => {
            RuleOutcome::NotChecked(fault.what.clone())
        }
        (HeaderState::Read(_), Pixels::Fault(fault)) => fault_outcome(fault, print),
    }
}

/// Returns the failure of a complete file whose picture was cut short before it was saved.
fn lost_rows_outcome(facts: &Facts, rows: u32) -> RuleOutcome {
    RuleOutcome::failed(Breach {
        short: "breaks off".to_owned(),
        found: format!(
            "its last {rows} of {} rows are one flat colour, as where a file broke off and was saved again",
            facts.height_px
        ),
        fix: "export it again from the original, and look at its lower part".to_owned(),
        ..Breach::default()
    })
}

/// True if colour.model reports it: a picture in a colour model that no printer accepts cannot be measured either, and
/// one cause is reported once. If the brief gives colour.model a lower level, this rule reports it, since an unreadable
/// file is never PASS.
fn said_by_colour_model(facts: &Facts, fault: &Fault, print: &Print) -> bool {
    fault.kind == FaultKind::Unsupported
        && matches!(facts.model, ColourModel::Lab | ColourModel::Palette | ColourModel::Other)
        && print.requirements.levels.get(model::RULE.id).is_none_or(|level| *level == Level::Must)
}

fn fault_outcome(fault: &Fault, print: &Print) -> RuleOutcome {
    let required: Vec<&str> =
        Format::ALL.iter().filter(|f| print.requirements.file.formats.contains(&f.word())).map(|f| f.name()).collect();
    let required = join_with_or(&required);
    let (short, fix) = match &fault.kind {
        FaultKind::Empty => ("empty file", "export it again".to_owned()),
        FaultKind::Truncated => {
            ("cut short", "export it again\nor copy it again and wait until the copy is complete".to_owned())
        }
        FaultKind::Incomplete => ("breaks off", INCOMPLETE_FIX.to_owned()),
        FaultKind::Damaged => {
            ("damaged", "export it again\nif that is damaged too, copy it by another route".to_owned())
        }
        FaultKind::Other { .. } => ("not for print", format!("export the finished picture as {required}")),
        FaultKind::Unsupported => {
            ("not measurable", format!("export it as {required} with 8 or 16 bits per channel, without layers"))
        }
        FaultKind::TooLarge => ("too large", "export it at the printed size, without layers".to_owned()),
        FaultKind::Unreachable => {
            ("not readable", "check that the file is still there, and that you have permission to read it".to_owned())
        }
        FaultKind::Internal => ("not checked", "report this as an error in plateside, with the file".to_owned()),
    };
    RuleOutcome::failed(Breach { short: short.to_owned(), found: fault.what.clone(), fix, ..Breach::default() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, ids, print, sound_submission, with_evidence, with_facts};
    use crate::judge::{RowState, judge};

    #[test]
    fn whole_pictures_pass_and_broken_ones_say_why() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"");
        let mut file = sound_submission("a.jpg", 2400, 3000);
        assert_eq!(check(&file, &print), RuleOutcome::Passed);
        file.pixels = Pixels::Waiting;
        assert!(matches!(check(&file, &print), RuleOutcome::NotChecked(_)));
        file.pixels = Pixels::Fault(Fault::truncated("it ends after row 900 of 3000"));
        let RuleOutcome::Failed(breaches) = check(&file, &print) else { panic!("a truncated file must fail") };
        assert_eq!(breaches[0].short, "cut short");
        assert_eq!(breaches[0].found, "it ends after row 900 of 3000");
    }

    #[test]
    fn a_truncated_picture_is_reported_in_its_own_words() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"");
        let mut file = sound_submission("a.jpg", 2400, 3000);
        file.pixels = Pixels::Fault(Fault::new(FaultKind::Incomplete, "its coded blocks end after row 900 of 3000"));
        let RuleOutcome::Failed(breaches) = check(&file, &print) else { panic!("it is not whole") };
        assert_eq!(breaches[0].short, "breaks off");
        let saved_again = with_evidence(sound_submission("a.jpg", 2400, 3000), |evidence| evidence.lost_rows = 412);
        let row = judge(&brief("[[print]]\nsize = \"8 x 10 in\""), &[saved_again]).rows.swap_remove(0);
        assert_eq!((row.state, ids(&row)), (RowState::Fix, vec!["file.readable"]));
        assert!(row.findings[0].found.starts_with("its last 412 of 3000 rows are one flat colour"));
    }

    #[test]
    fn another_kind_of_file_is_reported_with_what_to_export() {
        let print = print("[file]\nformats = [\"tiff\"]\n[[print]]\nsize = \"8 x 10 in\"");
        let mut file = sound_submission("a.webp", 1, 1);
        file.header = HeaderState::Fault(Fault::new(FaultKind::Other { is: "a WebP file" }, "a WebP file"));
        let RuleOutcome::Failed(breaches) = check(&file, &print) else { panic!("a WebP file must fail") };
        assert_eq!(breaches[0].fix, "export the finished picture as TIFF");
    }

    #[test]
    fn a_lab_picture_is_never_pass_whatever_level_its_colour_model_has() {
        let judged = |rules: &str| {
            let mut file = with_facts(sound_submission("a.tif", 2400, 3000), |f| f.model = ColourModel::Lab);
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
