//! file.depth: bits a channel.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::phrases::either;
use crate::picture::facts::SampleKind;

pub static RULE: Rule = Rule {
    id: "file.depth",
    group: RuleGroup::File,
    title: "",
    question: "Has it the bits a channel that the printer takes?",
    level: Level::Note,
    why: "8 bits are what presses and labs print from; 16 only help while a picture is still edited, and double the \
          file",
    page: "Bits a channel are read from the header and compared with the brief's list. Floating point and 32 bit are \
           working formats of editors, never of printers.",
    fix: "",
    misses: "",
    keys: &["file.depth"],
    source: "delivery guides for photographers: nearly always 8 bit; 16 where asked",
    samples: RuleExamples { holds: "16 bit where 8 and 16 are asked", fails: "16 bit where 8 are asked" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::File), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.file.depth;
    let bits = u32::from(case.facts.bits);
    let kind = if case.facts.sample == SampleKind::Float { " floating point" } else { "" };
    if kind.is_empty() && required.contains(&bits) {
        return RuleOutcome::Passed;
    }
    let required: Vec<String> = required.iter().map(u32::to_string).collect();
    let required = either(&required);
    RuleOutcome::failed(Breach {
        short: format!("{bits} bit"),
        found: format!("{bits} bits{kind} a channel; {required} asked"),
        fix: format!("export with {required} bits a channel"),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    #[test]
    fn depth_is_compared_with_the_list() {
        let bench = Bench::new("[file]\ndepth = [8]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        assert!(matches!(bench.with(|f| f.bits = 16).ask(check), RuleOutcome::Failed(_)));
        assert!(matches!(bench.with(|f| f.sample = SampleKind::Float).ask(check), RuleOutcome::Failed(_)));
    }
}
