//! Remarks on a sound brief: a profile that is not there, is no profile, or was never named. Pictures are still checked
//! without it, so the brief is not refused.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use num_rational::Ratio;

use crate::colour::{PaperProfile, ProfileSpace, profile};
use crate::files;
use crate::units::words::of_system;
use crate::units::{Share, show};

use super::model::{Brief, BriefFinding};
use super::origin::{Origin, Origins};
use super::prints;
use super::problem::Problem;
use super::requirements::{Level, Paper, Requirements, Space};
use super::sheet::SheetText;
use super::source::SourceText;

/// The key that names the printer's own profile.
const PROFILE: &str = "paper.profile";
/// The key of the paper's black.
const BLACK: &str = "paper.dmax";
/// The key of how it is printed.
const PROCESS: &str = "paper.process";
/// The key that limits ink.
pub(super) const INK_LIMIT: &str = "paper.ink_limit";
/// The key that requires it in every picture.
const SPACE: &str = "colour.space";

/// So much over the limit is rounding of a profile's tables: two hundredths of one full ink. Own choice.
const INK_TOLERANCE: Ratio<i128> = Ratio::new_raw(2, 100);

/// The printers' profiles that a brief names, by their paths: ready, or why not.
pub(super) type Printers = BTreeMap<PathBuf, Result<Arc<PaperProfile>, String>>;

/// Reads the printers' profiles that the brief names, and sets each in the prints on its paper. Where
/// the brief does not say how dense a paper's black is, its profile does.
pub(super) fn printers(brief: &mut Brief) -> Printers {
    let mut printers = Printers::new();
    let mut set = |paper: &mut Paper, origins: &mut Origins| {
        let Some(path) = &paper.profile else { return };
        let read = printers.entry(path.clone()).or_insert_with(|| printer(path).map(Arc::new));
        paper.printer = read.as_ref().ok().cloned();
        if let Some(printer) = paper.printer.as_deref().filter(|_| origins.of(BLACK).is_open()) {
            paper.dmax = printer.dmax(paper.white_l);
            origins.set(BLACK, Origin::Profile);
        }
    };
    set(&mut brief.requirements.paper, &mut brief.origins);
    let mut before: Option<Arc<Requirements>> = None;
    for print in brief.prints.iter_mut().filter(|print| print.requirements.paper.profile.is_some()) {
        let mut required = Requirements::clone(&print.requirements);
        set(&mut required.paper, &mut print.origins);
        print.requirements = prints::share_requirements(before.as_ref(), required);
        before = Some(print.requirements.clone());
    }
    printers
}

/// Returns what the brief names that cannot be used; `text` is the brief's own, `sheets` are its printer's sheets.
pub(super) fn of(brief: &Brief, text: &str, sheets: &[SheetText], printers: &Printers) -> Vec<BriefFinding> {
    let sources = Sources { brief: SourceText::new(&brief.path, text), sheets };
    let mut remarks: Vec<BriefFinding> = Vec::new();
    let order = [(&brief.requirements, &brief.origins)];
    for (required, origins) in
        order.into_iter().chain(brief.prints.iter().map(|print| (&*print.requirements, &print.origins)))
    {
        remarks
            .extend(of_requirements(required, origins, &sources, printers).filter(|remark| !remarks.contains(remark)));
    }
    remarks.sort_by_key(|remark| remark.problem.line);
    remarks
}

/// The files that a value may come from.
struct Sources<'a> {
    brief: SourceText<'a>,
    sheets: &'a [SheetText],
}

impl Sources<'_> {
    /// Returns a problem at the line that a value comes from; at the first of the brief where it has none.
    fn problem(&self, origin: &Origin, what: String, fix: &str) -> Problem {
        let in_sheet = |file: &Arc<str>, line: usize| {
            let sheet = self.sheets.iter().find(|sheet| *sheet.name() == **file)?;
            Some(sheet.source().problem_in(line, what.clone(), fix))
        };
        let (line, of_sheet) = match origin {
            Origin::Brief(line) | Origin::Version(_, line) | Origin::Print(line) => (*line, None),
            Origin::NamedPaper(place) => (place.line, place.sheet.as_ref().and_then(|file| in_sheet(file, place.line))),
            Origin::Sheet(file, line) => (1, in_sheet(file, *line)),
            Origin::Default
            | Origin::Paper
            | Origin::Process
            | Origin::Profile
            | Origin::Spine
            | Origin::Starter(_)
            | Origin::List(_) => (1, None),
        };
        of_sheet.unwrap_or_else(|| self.brief.problem_in(line, what, fix))
    }
}

fn of_requirements(
    required: &Requirements,
    origins: &Origins,
    sources: &Sources<'_>,
    printers: &Printers,
) -> Option<BriefFinding> {
    let (key, what, fix) = match &required.paper.profile {
        Some(path) => match printers.get(path)? {
            Err(why) => (
                PROFILE,
                format!("the printer's profile cannot be used: {}: {why}", path.display()),
                if path.is_file() {
                    "ask the printer for the output profile of this paper, not one of a camera or a screen"
                } else {
                    "put the printer's file there, or correct its path, which is relative to the brief"
                },
            ),
            Ok(printer) if required.paper.ink_limit.is_none() && printer.facts().space == ProfileSpace::Cmyk => (
                PROCESS,
                format!(
                    "the printer's profile is CMYK, but {} with {} has no ink limit, so total ink is not checked",
                    required.paper.stock.word(),
                    required.paper.process.word()
                ),
                "below [paper], write how it is printed (process, stock) or its limit (ink_limit)",
            ),
            Ok(_) => {
                let most = ink_beyond(required).filter(|_| !origins.of(INK_LIMIT).is_open())?;
                let what = format!(
                    "the printer's profile uses up to {} of ink, above the limit of {}: no picture can fix that",
                    show::share(most),
                    required.paper.ink_limit.map(show::share).unwrap_or_default()
                );
                (INK_LIMIT, what, "ask the printer which applies, the profile or the limit (plateside brief ask)")
            }
        },
        None if required.colour.spaces.contains(&Space::Paper) => {
            let what = "the brief requires the printer's own profile, but [paper] names none".to_owned();
            (SPACE, what, "below [paper], write profile = \"FILE.icc\", the file that the printer sent")
        }
        None => return None,
    };
    // Every picture must carry the printer's own profile, and there is none to compare with.
    let nothing_to_compare = required.paper.printer.is_none() && required.colour.spaces == [Space::Paper];
    let level = if nothing_to_compare { Level::Must } else { Level::Should };
    Some(BriefFinding { key, level, problem: sources.problem(&origins.of(key), what, fix) })
}

/// Returns the largest total of ink of the printer's own profile, where it is over the limit.
pub(super) fn ink_beyond(required: &Requirements) -> Option<Share> {
    beyond(required.paper.printer.as_deref()?.ink_most()?, required.paper.ink_limit?)
}

fn beyond(most: f64, limit: Share) -> Option<Share> {
    let most = Share::measured(most);
    (most.ratio() > limit.ratio() + INK_TOLERANCE).then_some(most)
}

/// Returns a printer's profile, or why its file cannot be used.
fn printer(path: &Path) -> Result<PaperProfile, String> {
    let bytes = files::read(path, profile::MAX_BYTES as u64).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        _ => of_system(error),
    })?;
    PaperProfile::new(&bytes).map_err(|fault| fault.to_string())
}

#[cfg(test)]
mod tests {
    use std::fs;

    use crate::colour::Encoding;
    use crate::colour::paper_profile::printer_of;

    #[test]
    fn ink_beyond_the_limit_is_more_than_rounding() {
        let limit = super::Share::percent(300);
        assert_eq!(super::beyond(3.02, limit), None);
        assert_eq!(super::beyond(3.021, limit), Some(super::Share::measured(3.021)));
        assert_eq!(super::beyond(2.9, limit), None);
    }

    fn remarks(text: &str, profile: Option<&[u8]>) -> Vec<(&'static str, usize, String)> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("walls.toml");
        fs::write(&path, text).unwrap();
        if let Some(bytes) = profile {
            fs::write(folder.path().join("press.icc"), bytes).unwrap();
        }
        let brief = crate::brief::read(&path, &[]).unwrap_or_else(|problems| panic!("{problems:#?}"));
        let without_folder = |what: &str| what.replace(&folder.path().display().to_string(), "");
        brief.findings.iter().map(|one| (one.key, one.problem.line, without_folder(&one.problem.what))).collect()
    }

    #[test]
    fn a_profile_that_cannot_be_used_is_said_with_its_path() {
        let text = "[paper]\nprofile = \"press.icc\"\n[[print]]\nsize = \"A4\"\n[[print]]\nsize = \"A5\"\n";
        let absent = "the printer's profile cannot be used: /press.icc: there is no such file";
        assert_eq!(remarks(text, None), [("paper.profile", 2, absent.to_owned())]);
        assert_eq!(remarks(text, Some(&printer_of(Encoding::Srgb))), []);
        let black = |text: &str| {
            let folder = tempfile::tempdir().unwrap();
            fs::write(folder.path().join("press.icc"), printer_of(Encoding::Srgb)).unwrap();
            fs::write(folder.path().join("a.toml"), text).unwrap();
            let brief = crate::brief::read(&folder.path().join("a.toml"), &[]).unwrap();
            (brief.prints[1].requirements.paper.dmax, brief.prints[1].origins.of(super::BLACK))
        };
        // Its black holds no light, and nothing is taken for blacker than D 4.
        assert_eq!(black(text), (4.0, super::Origin::Profile));
        assert_eq!(black(&format!("{text}[print.paper]\ndmax = 1.9\n")), (1.9, super::Origin::Print(8)));
        let display = remarks(text, Some(&Encoding::Srgb.icc_bytes()));
        assert!(display[0].2.ends_with("it is a profile of class display, not of class output, as a printer's is"));
        let broken = remarks(text, Some(b"no profile"));
        assert!(
            matches!(broken.as_slice(), [("paper.profile", 2, what)] if what.contains("/press.icc: ")),
            "{broken:?}"
        );
    }

    #[test]
    fn a_profile_that_is_required_and_not_named_is_said() {
        let text = "[[print]]\nsize = \"A4\"\n[print.colour]\nspace = \"paper\"\n";
        let what = "the brief requires the printer's own profile, but [paper] names none";
        assert_eq!(remarks(text, None), [("colour.space", 4, what.to_owned())]);
    }
}
