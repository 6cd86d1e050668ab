//! file.format: an allowed container and compression, with the right file extension.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::phrases::either;
use crate::picture::facts::{Compression, Format};
use crate::units::show;
use crate::units::words::visible;

pub static RULE: Rule = Rule {
    id: "file.format",
    group: RuleGroup::File,
    title: "",
    question: "Is it a kind of file that the printer takes, named as what it is?",
    level: Level::Must,
    why: "the printer's intake sorts by the ending of the name and turns away what it does not know",
    page: "The container is recognised by content, never by name, and compared with the brief's list. A name that ends \
           in another format's extension does not hold either. A TIFF packed in a way that press workflows seldom \
           read (JPEG inside TIFF, or an unusual scheme) is a should, and so is a JPEG with bytes between its headers \
           that belong to none of them.",
    fix: "",
    misses: "",
    keys: &["file.formats"],
    source: "common practice: TIFF or JPEG; extensions as delivery guides for photographers ask",
    samples: RuleExamples { holds: "a TIFF where TIFF and JPEG are asked", fails: "a PNG named plum-tart.jpg" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::File), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.file.formats;
    let names: Vec<&str> = Format::ALL.iter().filter(|f| required.contains(&f.word())).map(|f| f.name()).collect();
    let format = case.facts.format;
    let mut breaches = Vec::new();
    if !required.contains(&format.word()) {
        breaches.push(Breach {
            about: "container".to_owned(),
            short: format.name().to_owned(),
            found: format!("it is a {}; {} asked", format.name(), either(&names)),
            fix: format!("export it as {}", either(&names)),
            ..Breach::default()
        });
    }
    let extension = case.submission.key.extension().unwrap_or_default().to_lowercase();
    if !format.extensions().contains(&extension.as_str()) {
        let ends =
            if extension.is_empty() { "has no ending".to_owned() } else { format!("ends in .{}", visible(&extension)) };
        breaches.push(Breach {
            about: "extension".to_owned(),
            short: format!("{} as .{}", format.name(), visible(&extension)),
            found: format!("it is a {}, but its name {ends}", format.name()),
            fix: format!("export it again as {}, or name it .{}", either(&names), format.extensions()[0]),
            ..Breach::default()
        });
    }
    if format == Format::Tiff && matches!(case.facts.compression, Compression::Jpeg | Compression::Other(_)) {
        breaches.push(Breach {
            about: "compression".to_owned(),
            at_most: Some(Level::Should),
            short: format!("TIFF {}", case.facts.compression.word()),
            found: format!("the TIFF is packed by scheme \"{}\"", case.facts.compression.word()),
            fix: "save the TIFF with LZW, ZIP or no compression".to_owned(),
            ..Breach::default()
        });
    }
    let stray_bytes = case.facts.jpeg.as_ref().map_or(0, |jpeg| jpeg.stray_bytes);
    if stray_bytes > 0 {
        breaches.push(Breach {
            about: "stray bytes".to_owned(),
            at_most: Some(Level::Should),
            short: "stray bytes".to_owned(),
            found: format!("{} between its headers belong to nothing", show::bytes(stray_bytes)),
            fix: "export it again: most programs pass over them, and some refuse the file".to_owned(),
            ..Breach::default()
        });
    }
    RuleOutcome::of(breaches)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};

    #[test]
    fn the_container_is_known_by_content_and_must_match_its_name() {
        let bench = Bench::new("[file]\nformats = [\"tiff\", \"jpeg\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with(|f| f.format = Format::Png).ask(check)), ["container", "extension"]);
        let tiff = bench.with(|f| (f.format, f.compression) = (Format::Tiff, Compression::Lzw));
        assert_eq!(abouts(&tiff.ask(check)), ["extension"]);
        assert_eq!(bench.named("a.JPEG").ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.named("a").ask(check)), ["extension"]);
    }

    #[test]
    fn stray_bytes_between_headers_are_a_should() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        let stray = bench.with(|f| f.jpeg.as_mut().unwrap().stray_bytes = 5).ask(check);
        let RuleOutcome::Failed(breaches) = stray else { panic!("{stray:?}") };
        assert_eq!(breaches[0].found, "5 bytes between its headers belong to nothing");
        assert_eq!(breaches[0].at_most, Some(Level::Should));
    }

    #[test]
    fn unusual_packing_is_a_should() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"").named("a.tif").with(|f| f.format = Format::Tiff);
        assert_eq!(bench.with(|f| f.compression = Compression::Lzw).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with(|f| f.compression = Compression::Other(50_000)).ask(check)), ["compression"]);
    }
}
