//! file.bytes: size on disk.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::units::show;

pub static RULE: Rule = Rule {
    id: "file.bytes",
    group: RuleGroup::File,
    title: "",
    question: "Is the file small enough for the printer's intake?",
    level: Level::Should,
    why: "upload forms and mail drop files over their limit, often without a word",
    page: "The file's size on disk is compared with the brief's largest, if it names one. MB are millions of bytes, as \
           operating systems and upload forms count them.",
    fix: "",
    misses: "",
    keys: &["file.largest"],
    source: "the printer's own intake; no default",
    samples: RuleExamples { holds: "98 MB where 120 MB are allowed", fails: "180 MB where 120 MB are allowed" },
    unit: "bytes",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(largest) = case.print.requirements.file.largest else { return RuleOutcome::NotRequired };
    let bytes = case.facts.bytes;
    if bytes <= largest {
        return RuleOutcome::Passed;
    }
    let over = if show::bytes(bytes) == show::bytes(largest) {
        format!("{bytes} bytes; at most {largest} bytes asked")
    } else {
        format!("{}; at most {} asked", show::bytes(bytes), show::bytes(largest))
    };
    RuleOutcome::failed(Breach {
        numbers: Some((bytes as f64, largest as f64)),
        short: show::bytes(bytes),
        found: over,
        fix: "export at the printed size and not larger; a TIFF with LZW or ZIP, 8 bits a channel, or a JPEG of \
               quality 95 takes less"
            .to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    #[test]
    fn the_limit_itself_is_allowed() {
        let bench = Bench::new("[file]\nlargest = \"1 MB\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with(|f| f.bytes = 999_999).ask(check), RuleOutcome::Passed);
        assert_eq!(bench.with(|f| f.bytes = 1_000_000).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.with(|f| f.bytes = 1_000_001).ask(check) else { panic!("must fail") };
        assert_eq!(breaches[0].found, "1000001 bytes; at most 1000000 bytes asked");
    }

    #[test]
    fn without_a_limit_nothing_is_asked() {
        assert_eq!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotRequired);
    }
}
