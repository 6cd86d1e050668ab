//! file.layers: one flat picture, with nothing hidden or added.

use num_rational::Ratio;

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::picture::Facts;
use crate::units::{Share, show};

/// Share of pixels that an alpha channel may thin before it is reported: one in a thousand. Ours, no source.
const HIDDEN_SHARE: f64 = 0.001;
/// Steps in which a measured share is shown.
const SHARE_STEPS: i128 = 1_000_000;

pub static RULE: Rule = Rule {
    id: "file.layers",
    group: RuleGroup::File,
    title: "",
    question: "Is it one flat picture without layers, extra pages, spare channels or hidden parts?",
    level: Level::Should,
    why: "what lies in layers, spare channels or transparency prints differently from device to device, or not at all",
    page: "Layers, further full pages and channels beyond the colour are read from the header. An alpha channel only \
           counts if it hides or thins something: the share of pixels that are not fully opaque is counted.",
    fix: "",
    misses: "",
    keys: &[],
    source: "delivery guides for photographers: flattened, no layers, channels or paths; the share is ours",
    samples: RuleExamples { holds: "a flattened TIFF", fails: "a TIFF that still carries its editor's layers" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let mut breaches = beside_the_picture(case.facts);
    if case.facts.alpha {
        match case.evidence() {
            Ok(evidence) => breaches.extend(hidden_by_alpha(evidence.alpha_hides.unwrap_or(0.0))),
            Err(no_answer) if breaches.is_empty() => return no_answer,
            Err(_) => {}
        }
    }
    RuleOutcome::of(breaches)
}

/// Returns breaches found in the header: layers, pages, spare channels.
fn beside_the_picture(facts: &Facts) -> Vec<Breach> {
    let mut breaches = Vec::new();
    if facts.layers {
        breaches.push(breach("layers", "layers".to_owned(), "the file carries its editor's layers".to_owned()));
    }
    if facts.pages > 1 {
        let pages = show::count(facts.pages as usize, "page", "pages");
        let found = format!("the file holds {pages}; only the largest was checked");
        breaches.push(breach("pages", pages, found));
    }
    if facts.extra_channels > 0 {
        let spare = show::count(usize::from(facts.extra_channels), "spare channel", "spare channels");
        let found = format!("the file holds {spare} beside the colour");
        breaches.push(breach("channels", spare, found));
    }
    breaches
}

/// Returns the breach found in the pixels: the share that an alpha channel hides or thins.
fn hidden_by_alpha(hides: f64) -> Option<Breach> {
    (hides > HIDDEN_SHARE).then(|| {
        let steps = (hides * SHARE_STEPS as f64).round() as i128;
        let hidden = show::share(Share::from_ratio(Ratio::new(steps, SHARE_STEPS)));
        breach("alpha", format!("alpha {hidden}"), format!("transparency hides or thins {hidden} of the picture"))
    })
}

fn breach(about: &str, short: String, found: String) -> Breach {
    Breach {
        about: about.to_owned(),
        short,
        found,
        fix: "flatten the picture and export it without layers, alpha and spare channels".to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};

    #[test]
    fn flat_pictures_hold_and_everything_else_is_named() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        let loaded = bench.with(|f| {
            f.layers = true;
            f.pages = 2;
            f.extra_channels = 1;
        });
        assert_eq!(abouts(&loaded.ask(check)), ["layers", "pages", "channels"]);
    }

    #[test]
    fn alpha_counts_only_where_it_hides_something() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"").with(|f| f.alpha = true);
        assert_eq!(bench.alpha_hides(0.0).ask(check), RuleOutcome::Passed);
        assert_eq!(bench.alpha_hides(HIDDEN_SHARE).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.alpha_hides(0.0011).ask(check)), ["alpha"]);
        assert!(matches!(bench.unread().ask(check), RuleOutcome::NotChecked(_)));
    }
}
