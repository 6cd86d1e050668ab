//! file.bytes: size on disk.

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{FIX_LINES, limit_words};
use crate::picture::facts::{Compression, Format};
use crate::units::show;

/// Quality of a JPEG that is advised. Source: ours; above it a file grows and the print does not change.
const ADVISED_QUALITY: u32 = 95;

pub static RULE: Rule = Rule {
    id: "file.bytes",
    group: RuleGroup::File,
    title: "File too large",
    question: "Is the file small enough for the printer's upload?",
    level: Level::Should,
    why: "upload forms and mail drop larger files, often without a word",
    page: "The size on disk is compared with the largest that the brief allows. 1 MB is a million bytes. There is no \
           tolerance. Without a limit in the brief nothing is checked.",
    fix: "Export at the printed size and not larger, with compression. If the file is still too large, ask the printer \
          how to send it.",
    misses: "It knows only the limit in the brief, and takes each file alone: a limit on the whole delivery is not \
             checked.",
    keys: &["file.largest"],
    source: "the printer's own upload limit; no default",
    samples: RuleExamples { passes: "98 MB; at most 120 MB required", fails: "180 MB; at most 120 MB required" },
    unit: "bytes",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    let value = format!("at most {}", show::bytes(print.requirements.file.largest?));
    Some(ExportSetting::of(print, "file.largest", "file size", value))
}

fn check(case: &Case) -> RuleOutcome {
    let Some(largest) = case.print.requirements.file.largest else { return RuleOutcome::NotRequired };
    let bytes = case.facts.bytes;
    if bytes <= largest {
        return RuleOutcome::Passed;
    }
    let (size, most) = if show::bytes(bytes) == show::bytes(largest) {
        (format!("{bytes} bytes"), format!("at most {largest} bytes"))
    } else {
        (show::bytes(bytes), format!("at most {}", show::bytes(largest)))
    };
    RuleOutcome::failed(Breach {
        numbers: Some((bytes as f64, largest as f64)),
        short: show::bytes(bytes),
        found: format!("{size}; {}", limit_words(case.print, "file.largest", &most)),
        fix: fix(case),
        ..Breach::default()
    })
}

/// Returns what makes this file smaller and is allowed, then what helps where that is not enough.
fn fix(case: &Case) -> String {
    let (facts, required) = (case.facts, &case.print.requirements);
    let needed = case.placement.needed_px(required.density.target);
    let (w, h) = facts.upright_px();
    let (bits, may_shrink) =
        if required.file.depth.contains(&8) { (" and 8 bits per channel", facts.bits > 8) } else { ("", false) };
    let is_loose = facts.compression == Compression::None || may_shrink;
    let may_be_jpeg = facts.format != Format::Jpeg && required.file.formats.contains(&Format::Jpeg.word());
    let quality = ADVISED_QUALITY.max(required.file.jpeg_quality);
    let actions = [
        (w > needed.0 && h > needed.1)
            .then(|| format!("export at {} ({})", show::pixels(needed), show::ppi(required.density.target))),
        (facts.format == Format::Tiff && is_loose).then(|| format!("save the TIFF with LZW or ZIP compression{bits}")),
        may_be_jpeg.then(|| format!("export a JPEG of quality {quality}")),
        Some("ask the printer how to send a larger file".to_owned()),
    ];
    let actions: Vec<String> = actions.into_iter().flatten().take(FIX_LINES).collect();
    actions.join("\nor ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;

    #[test]
    fn the_limit_itself_is_allowed() {
        let bench = RuleBench::new("[file]\nlargest = \"1 MB\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with(|f| f.bytes = 999_999).ask(check), RuleOutcome::Passed);
        assert_eq!(bench.with(|f| f.bytes = 1_000_000).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.with(|f| f.bytes = 1_000_001).ask(check) else { panic!("must fail") };
        assert_eq!(breaches[0].found, "1000001 bytes; at most 1000000 bytes required");
    }

    #[test]
    fn the_fix_is_what_makes_this_file_smaller() {
        let bench = RuleBench::new("[file]\nlargest = \"1 MB\"\n[[print]]\nsize = \"8 x 10 in\"");
        let fix = |bench: &RuleBench| match bench.with(|f| f.bytes = 2_000_000).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
            other => panic!("{other:?}"),
        };
        assert_eq!(fix(&bench.with_px(2400, 3000)), "ask the printer how to send a larger file");
        let tiff = bench.with_px(4800, 6000).with(|f| (f.format, f.bits) = (Format::Tiff, 16));
        assert_eq!(
            fix(&tiff),
            "export at 2400 x 3000 px (300 ppi)\n\
             or save the TIFF with LZW or ZIP compression and 8 bits per channel\n\
             or export a JPEG of quality 95"
        );
    }

    #[test]
    fn without_a_limit_nothing_is_required() {
        assert_eq!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotRequired);
    }
}
