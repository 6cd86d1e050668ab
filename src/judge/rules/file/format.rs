//! file.format: an allowed container and compression, with the right file extension.

use crate::brief::Print;
use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::phrases::{join_with_or, limit_words};
use crate::picture::Facts;
use crate::picture::facts::{Compression, Format};
use crate::units::show;
use crate::units::words::visible;

pub static RULE: Rule = Rule {
    id: "file.format",
    group: RuleGroup::File,
    title: "Wrong file format",
    question: "Is it a file format that the printer accepts, with the extension of that format?",
    level: Level::Must,
    why: "many upload forms refuse formats that they do not list",
    page: "The format is recognised by the file's content, never by its name, and compared with the brief's list. The \
           extension must belong to the format. Two things are a should at most: a TIFF with a compression that press \
           software seldom reads (JPEG, or an unusual one), and a JPEG with stray bytes between its headers. There is \
           no tolerance.",
    fix: "Export again in a format that the brief lists, and keep the extension that the export gives. Save a TIFF \
          with LZW, ZIP or no compression.",
    misses: "It does not know what the printer's own software can open beyond the brief's list.",
    keys: &["file.formats"],
    source: "common practice: TIFF or JPEG; extensions as delivery guides for photographers ask",
    samples: RuleExamples { passes: "a TIFF; TIFF or JPEG required", fails: "a PNG named plum-tart.jpg" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::File), export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// Returns the formats to export in, the best first: that of the file's name where the brief gives one in full and
/// takes it, else the first that the brief lists.
fn export_formats(print: &Print) -> Vec<Format> {
    let mut formats: Vec<Format> = print.requirements.file.formats.iter().filter_map(|word| named(word)).collect();
    let extension = match &print.pictures {
        PictureSelector::One(pattern) => {
            pattern.as_str().rsplit_once('.').map(|(_, extension)| extension.to_lowercase())
        }
        PictureSelector::Many(_) | PictureSelector::Rest => None,
    };
    formats.sort_by_key(|format| !extension.as_deref().is_some_and(|one| format.extensions().contains(&one)));
    formats
}

/// Returns the format to export in.
pub fn export_format(print: &Print) -> Option<Format> {
    export_formats(print).first().copied()
}

/// Returns the format of a brief's word.
fn named(word: &str) -> Option<Format> {
    Format::ALL.into_iter().find(|format| format.word() == word)
}

fn export_setting(print: &Print) -> Option<ExportSetting> {
    let names: Vec<&str> = export_formats(print).into_iter().map(Format::name).collect();
    let (first, others) = names.split_first()?;
    let value = match others {
        [] => (*first).to_owned(),
        others => format!("{first} ({} is accepted too)", join_with_or(others)),
    };
    Some(ExportSetting::of(print, "file.formats", "format", value))
}

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.file.formats;
    let names: Vec<&str> = Format::ALL.iter().filter(|f| required.contains(&f.word())).map(|f| f.name()).collect();
    let format = case.facts.format;
    let mut breaches = Vec::new();
    let is_allowed = required.contains(&format.word());
    if !is_allowed {
        breaches.push(Breach {
            about: "container".to_owned(),
            short: format.name().to_owned(),
            found: format!(
                "a {} file; {}",
                format.name(),
                limit_words(case.print, "file.formats", &join_with_or(&names))
            ),
            fix: format!("export it as {}", join_with_or(&names)),
            cause: format!("a {} file", format.name()),
            is_fixed_by_export: true,
            ..Breach::default()
        });
    }
    let extension = case.submission.key.extension().unwrap_or_default().to_lowercase();
    if !format.extensions().contains(&extension.as_str()) {
        let (short, named) = if extension.is_empty() {
            ("no extension".to_owned(), "without an extension".to_owned())
        } else {
            let extension = visible(&extension);
            (format!("{} as .{extension}", format.name()), format!("with the extension .{extension}"))
        };
        let own = format.extensions()[0];
        breaches.push(Breach {
            about: "extension".to_owned(),
            short,
            found: format!("a {} file {named}; usual: .{own}", format.name()),
            fix: if is_allowed {
                format!("change the extension to .{own}\nor export it again as {}", join_with_or(&names))
            } else {
                format!("export it as {}, with the extension that the export gives", join_with_or(&names))
            },
            cause: "an extension of another format".to_owned(),
            ..Breach::default()
        });
    }
    breaches.extend(within_the_file(case.facts));
    RuleOutcome::of(breaches)
}

/// Returns what is unusual in a file whatever its format is: the compression of a TIFF, stray data.
fn within_the_file(facts: &Facts) -> Vec<Breach> {
    let mut breaches = Vec::new();
    if facts.format == Format::Tiff && matches!(facts.compression, Compression::Jpeg | Compression::Other(_)) {
        let (short, scheme) = match facts.compression {
            Compression::Other(number) => ("rare compression", format!("by scheme {number}")),
            _ => ("JPEG in a TIFF", "as JPEG".to_owned()),
        };
        breaches.push(Breach {
            about: "compression".to_owned(),
            at_most: Some(Level::Should),
            short: short.to_owned(),
            found: format!("TIFF compressed {scheme}; usual: LZW, ZIP or none"),
            fix: "save the TIFF with LZW, ZIP or no compression".to_owned(),
            cause: "unusual TIFF compression".to_owned(),
            ..Breach::default()
        });
    }
    let stray_bytes = facts.jpeg.as_ref().map_or(0, |jpeg| jpeg.stray_bytes);
    if stray_bytes > 0 {
        breaches.push(Breach {
            about: "stray bytes".to_owned(),
            at_most: Some(Level::Should),
            short: "stray bytes".to_owned(),
            found: format!("{} of stray data between the headers; usual: none", show::bytes(stray_bytes)),
            fix: "export it again".to_owned(),
            cause: "stray data in the file".to_owned(),
            ..Breach::default()
        });
    }
    breaches
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};

    #[test]
    fn the_container_is_known_by_content_and_must_match_its_name() {
        let bench = RuleBench::new("[file]\nformats = [\"tiff\", \"jpeg\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with(|f| f.format = Format::Png).ask(check)), ["container", "extension"]);
        let tiff = bench.with(|f| (f.format, f.compression) = (Format::Tiff, Compression::Lzw));
        assert_eq!(abouts(&tiff.ask(check)), ["extension"]);
        assert_eq!(bench.with_name("a.JPEG").ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with_name("a").ask(check)), ["extension"]);
    }

    #[test]
    fn a_name_that_the_list_gives_in_full_decides_the_format_to_export_in() {
        let format = |picture: &str| {
            let text = "[file]\nformats = [\"tiff\", \"jpeg\"]\n[[print]]\nsize = \"8 x 10 in\"\npicture = ";
            let print = crate::judge::testing::print(&format!("{text}\"{picture}\"\n"));
            (export_format(&print).unwrap(), export_setting(&print).unwrap().value)
        };
        assert_eq!(format("p006-leeks.JPG"), (Format::Jpeg, "JPEG (TIFF is accepted too)".to_owned()));
        assert_eq!(format("p006-leeks*").0, Format::Tiff);
        assert_eq!(format("p006-leeks.png").0, Format::Tiff, "a PNG is refused");
    }

    #[test]
    fn stray_bytes_between_headers_are_a_should() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        let stray = bench.with(|f| f.jpeg.as_mut().unwrap().stray_bytes = 5).ask(check);
        let RuleOutcome::Failed(breaches) = stray else { panic!("{stray:?}") };
        assert_eq!(breaches[0].found, "5 bytes of stray data between the headers; usual: none");
        assert_eq!(breaches[0].at_most, Some(Level::Should));
    }

    #[test]
    fn unusual_compression_is_a_should() {
        let bench =
            RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").with_name("a.tif").with(|f| f.format = Format::Tiff);
        assert_eq!(bench.with(|f| f.compression = Compression::Lzw).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with(|f| f.compression = Compression::Other(50_000)).ask(check)), ["compression"]);
    }
}
