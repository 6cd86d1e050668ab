//! file.depth: bits per channel.

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::file::format::export_format;
use crate::judge::rules::phrases::{join_with_or, limit_words};
use crate::picture::facts::{Format, SampleKind};

pub static RULE: Rule = Rule {
    id: "file.depth",
    group: RuleGroup::File,
    title: "Wrong bit depth",
    question: "Does the file have a bit depth that the printer accepts?",
    level: Level::Note,
    why: "presses and labs print from 8 bits; 16 only double the file",
    page: "The bits per channel are read from the header and compared with the brief's list. Floating point always \
           fails: it is a working format of editors. There is no tolerance.",
    fix: "Export with a bit depth that the brief lists.",
    misses: "It does not see whether a 16-bit file was made from 8 bits.",
    keys: &["file.depth"],
    source: "delivery guides for photographers: nearly always 8 bit; 16 where required",
    samples: RuleExamples {
        passes: "16 bits per channel; 8 or 16 bits required",
        fails: "16 bits per channel; 8 bits required",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::File), export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// A JPEG has 8 bits in any case, and without a requirement both are accepted: then there is nothing to set.
fn export_setting(print: &Print) -> Option<ExportSetting> {
    let is_required = !print.origins.of("file.depth").is_open();
    (is_required && export_format(print) != Some(Format::Jpeg)).then(|| {
        let value = format!("{} per channel", bits_words(print));
        ExportSetting::of(print, "file.depth", "bit depth", value)
    })
}

/// Returns the depths that are allowed: `8 or 16 bits`.
fn bits_words(print: &Print) -> String {
    let depths: Vec<String> = print.requirements.file.depth.iter().map(u32::to_string).collect();
    format!("{} bits", join_with_or(&depths))
}

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.file.depth;
    let bits = u32::from(case.facts.bits);
    let is_float = case.facts.sample == SampleKind::Float;
    if !is_float && required.contains(&bits) {
        return RuleOutcome::Passed;
    }
    let required = bits_words(case.print);
    let found = if is_float { format!("{bits}-bit floating point") } else { format!("{bits} bits per channel") };
    RuleOutcome::failed(Breach {
        short: format!("{bits} bit"),
        found: format!("{found}; {}", limit_words(case.print, "file.depth", &required)),
        fix: format!("export with {required} per channel"),
        is_fixed_by_export: true,
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;

    #[test]
    fn depth_is_compared_with_the_list() {
        let bench = RuleBench::new("[file]\ndepth = [8]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        assert!(matches!(bench.with(|f| f.bits = 16).ask(check), RuleOutcome::Failed(_)));
        assert!(matches!(bench.with(|f| f.sample = SampleKind::Float).ask(check), RuleOutcome::Failed(_)));
    }
}
