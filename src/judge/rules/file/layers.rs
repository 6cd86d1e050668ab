//! file.layers: one flat picture, with nothing hidden or added.

use num_rational::Ratio;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::file::format::export_format;
use crate::picture::Facts;
use crate::picture::facts::Format;
use crate::units::{Share, show};

/// Share of pixels that an alpha channel may thin before it is reported: one in a thousand. Ours, no source.
const HIDDEN_SHARE: f64 = 0.001;
/// Steps in which a measured share is shown.
const SHARE_STEPS: i128 = 1_000_000;

pub static RULE: Rule = Rule {
    id: "file.layers",
    group: RuleGroup::File,
    title: "Not a flat picture",
    question: "Is it one flat picture, without layers, extra pages, spare channels or transparency?",
    level: Level::Should,
    why: "layers, spare channels and transparency print differently from device to device",
    page: "Layers, further full pages, the frames of an animated PNG and channels beyond the colour are read from the \
           header. An alpha channel counts only if it makes more than 0.1 % of the pixels less than fully opaque.",
    fix: "Flatten the picture and export it alone, without layers, transparency and spare channels.",
    misses: "It does not look for clipping paths, nor at what the layers and the spare channels hold.",
    keys: &[],
    source: "delivery guides for photographers: flattened, no layers, channels or paths; the share is ours",
    samples: RuleExamples { passes: "a flattened TIFF", fails: "a TIFF with its editor's layers" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// A JPEG holds neither layers nor transparency.
fn export_setting(print: &Print) -> Option<ExportSetting> {
    (export_format(print) != Some(Format::Jpeg)).then(|| ExportSetting {
        name: "layers",
        value: "none: flattened, without transparency and spare channels".to_owned(),
        is_usual: true,
    })
}

fn check(case: &Case) -> RuleOutcome {
    let mut breaches = beside_the_picture(case.facts);
    if case.facts.has_alpha {
        match case.evidence {
            Some(evidence) => breaches.extend(hidden_by_alpha(evidence.alpha_hides.unwrap_or(0.0))),
            None if breaches.is_empty() => return case.without_evidence(),
            None => {}
        }
    }
    RuleOutcome::of(breaches)
}

/// Returns breaches found in the header: layers, pages, spare channels.
fn beside_the_picture(facts: &Facts) -> Vec<Breach> {
    let mut breaches = Vec::new();
    if facts.has_layers {
        let found = "layers in the file; usual: none".to_owned();
        breaches.push(breach("layers", "layers".to_owned(), found, "flatten the picture and export it again"));
    }
    if facts.pages > 1 {
        breaches.push(pages(facts));
    }
    if facts.extra_channels > 0 {
        let spare = show::count(usize::from(facts.extra_channels), "spare channel", "spare channels");
        let found = format!("{spare} beside the colour; usual: none");
        breaches.push(breach("channels", spare, found, "delete the spare channels and export it again"));
    }
    breaches
}

/// Returns the breach of further pictures: pages of a TIFF, frames of an animated PNG.
fn pages(facts: &Facts) -> Breach {
    if facts.format == Format::Png {
        let pictures = show::count(facts.pages as usize, "picture", "pictures");
        let found = format!("an animation of {pictures}, only the first was checked; usual: 1 picture");
        return breach("pages", "animated".to_owned(), found, "export this picture alone, without animation");
    }
    let pages = show::count(facts.pages as usize, "page", "pages");
    let found = format!("{pages} in the file, only the largest was checked; usual: 1 page");
    breach("pages", pages, found, "export this picture alone, as one page")
}

/// Returns the breach found in the pixels: the share that an alpha channel hides or thins.
fn hidden_by_alpha(hides: f64) -> Option<Breach> {
    (hides > HIDDEN_SHARE).then(|| {
        let steps = (hides * SHARE_STEPS as f64).round() as i128;
        let hidden = Share::from_ratio(Ratio::new(steps, SHARE_STEPS));
        let (hidden, most) = show::shares_apart(hidden, Share::measured(HIDDEN_SHARE));
        let found = format!("{hidden} of the picture is not fully opaque; usual: at most {most}");
        let fix = "flatten the picture onto its background and export it without transparency";
        breach("alpha", format!("{hidden} see-through"), found, fix)
    })
}

fn breach(about: &str, short: String, found: String, fix: &str) -> Breach {
    Breach { about: about.to_owned(), short, found, fix: fix.to_owned(), is_fixed_by_export: true, ..Breach::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};

    #[test]
    fn flat_pictures_hold_and_everything_else_is_named() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        let loaded = bench.with(|f| {
            f.has_layers = true;
            f.pages = 2;
            f.extra_channels = 1;
        });
        assert_eq!(abouts(&loaded.ask(check)), ["layers", "pages", "channels"]);
    }

    #[test]
    fn an_animated_png_is_no_flat_picture() {
        let still = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").with(|f| f.format = Format::Png);
        assert_eq!(still.ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = still.with(|f| f.pages = 3).ask(check) else { panic!("it is animated") };
        assert_eq!(breaches[0].about, "pages");
        assert_eq!(breaches[0].found, "an animation of 3 pictures, only the first was checked; usual: 1 picture");
    }

    #[test]
    fn alpha_counts_only_where_it_hides_something() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").with(|f| f.has_alpha = true);
        assert_eq!(bench.alpha_hides(0.0).ask(check), RuleOutcome::Passed);
        assert_eq!(bench.alpha_hides(HIDDEN_SHARE).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.alpha_hides(0.0011).ask(check)), ["alpha"]);
        assert!(matches!(bench.unread().ask(check), RuleOutcome::NotChecked(_)));
    }
}
