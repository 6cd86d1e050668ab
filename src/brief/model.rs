//! A checked brief and its prints.

use std::borrow::Cow;
use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;

use crate::units::{Length, Size};

use super::origin::{Origin, Origins};
use super::picture_patterns::{Pattern, PictureSelector};
use super::problem::Problem;
use super::requirements::{Level, Requirements};

/// A whole brief.
#[derive(Clone, Debug, PartialEq)]
pub struct Brief {
    /// Where it was read from.
    pub path: PathBuf,
    /// SHA-256 of the brief's bytes (and the picture list's and the printer's sheets' after them), lower-case
    /// hexadecimal.
    pub sha256: String,
    /// The starter whose values are its usual ones.
    pub like: Option<&'static str>,
    /// The printer's sheets that it was read with: the one that it names, the one that this one names, and so on.
    pub sheets: Vec<PathBuf>,
    /// What the job is called; foreign text, like the next five.
    pub title: Option<String>,
    /// Who prints.
    pub printer: Option<String>,
    /// Who answers at the printer's, and how to reach them.
    pub contact: Option<String>,
    /// Who sends the pictures, and how to reach them.
    pub from: Option<String>,
    /// When it is due: an ISO date.
    pub due: Option<String>,
    /// What the printer shall do to the colours, for the note.
    pub colour_correction: Option<String>,
    /// The named paper that the order is printed on; foreign text.
    pub paper: Option<Arc<str>>,
    /// The names of all named papers; foreign text.
    pub papers: Vec<Arc<str>>,
    /// The days on which the printer answered.
    pub answered: Vec<AnsweredDay>,
    /// The requirements of the whole order; each print has the ones in effect for it.
    pub requirements: Requirements,
    /// The prints, in the brief's order.
    pub prints: Vec<Print>,
    /// Files that are not of this order, as patterns over the path in the folder.
    pub ignore: Vec<Pattern>,
    /// True if sub-folders belong to the order.
    pub includes_subfolders: bool,
    /// The sheet of the workbook that lists the prints, where the list is a workbook; foreign text.
    pub list_sheet: Option<String>,
    /// What to do with two pictures for one print.
    pub versions: VersionPolicy,
    /// The versions in which every print is wanted, in the brief's order; empty where the order has one form only.
    pub order_versions: Vec<Arc<OrderVersion>>,
    /// Where each value comes from, for the order as a whole.
    pub origins: Origins,
    /// What it names that cannot be used, looked for on disk when it was read; and what of its list is passed over.
    pub findings: Vec<BriefFinding>,
}

/// The day on which the printer answered the question about a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AnsweredDay {
    /// The key's path, or that of a named paper: `papers.body.dmax`.
    pub key: String,
    /// The file of the printer's sheet that says so; the brief itself where there is none. Foreign text.
    pub sheet: Option<Arc<str>>,
    /// The day: an ISO date.
    pub day: String,
}

impl Brief {
    /// Whether pictures may lie in sub-folders of the folder of exports.
    pub fn reads_subfolders(&self) -> bool {
        self.includes_subfolders || !self.order_versions.is_empty()
    }

    /// The version whose folder a picture lies in, by its place among the versions; `path` is relative to the folder of
    /// exports, with `/` between its parts.
    pub fn version_at(&self, path: &str) -> Option<usize> {
        self.order_versions.iter().position(|version| version.path_inside(path).is_some())
    }

    /// Returns the day on which the printer gave the value of a key that comes from `origin`, if that is written down.
    pub fn answered_on(&self, key: &str, origin: &Origin) -> Option<&str> {
        let (key, sheet) = match origin {
            Origin::Sheet(file, _) => (key.to_owned(), Some(file)),
            Origin::NamedPaper(place) => {
                let name = key.rsplit('.').next().unwrap_or(key);
                (format!("papers.{}.{name}", place.paper), place.sheet.as_ref())
            }
            Origin::Brief(_) => (key.to_owned(), None),
            _ => return None,
        };
        let found = self.answered.iter().find(|one| one.key == key && one.sheet.as_ref() == sheet);
        found.map(|one| one.day.as_str())
    }
}

/// What to do with two pictures for one print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum VersionPolicy {
    /// Ask the person.
    #[default]
    Ask,
    /// Take the newest.
    Newest,
}

/// A form in which every print of the order is wanted: `[[version]]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderVersion {
    /// What it is called, which is also the name of its folder in a delivery; foreign text.
    pub name: Arc<str>,
    /// The folder of its pictures, relative to the folder of exports, with `/` between its parts; foreign text.
    pub folder: Arc<str>,
    /// The named paper of its prints, if it has one of its own; foreign text.
    pub paper: Option<Arc<str>>,
}

impl OrderVersion {
    /// A picture's path in the folder of this version; `None` where it lies elsewhere.
    pub fn path_inside<'p>(&self, path: &'p str) -> Option<&'p str> {
        path.strip_prefix(&*self.folder)?.strip_prefix('/')
    }
}

/// A print's lasting name in rows, jobs and accepted findings.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PrintId(pub Arc<str>);

impl fmt::Display for PrintId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for PrintId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", &*self.0)
    }
}

/// A page, or the two facing pages of a spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pages {
    /// The page, or the left-hand one.
    pub first: u32,
    /// The same page, or the right-hand one.
    pub last: u32,
}

impl Pages {
    /// Returns one page.
    pub const fn one(page: u32) -> Pages {
        Pages { first: page, last: page }
    }

    /// In words: `page 12`, `pages 12-13`.
    pub fn words(self) -> String {
        format!("{} {self}", if self.is_spread() { "pages" } else { "page" })
    }

    /// True if it is two facing pages.
    pub const fn is_spread(self) -> bool {
        self.first != self.last
    }
}

impl fmt::Display for Pages {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_spread() { write!(f, "{}-{}", self.first, self.last) } else { write!(f, "{}", self.first) }
    }
}

/// One thing that will be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Print {
    /// Its lasting name: `id`, else its name as a slug, unique in the brief; behind the name of its version and a `/`.
    pub id: PrintId,
    /// The id of the print whatever its version: what all its versions have in common, and the same as `id` in an order
    /// without versions.
    pub base_id: PrintId,
    /// The version of the order that it belongs to.
    pub version: Option<Arc<OrderVersion>>,
    /// What other prints without `id` would be called as well, since they have its name and size: its place in the
    /// brief alone tells it from those.
    pub shared_id: Option<PrintId>,
    /// What it is called; foreign text. Without `name`, its size.
    pub name: String,
    /// Page number, if it is a page or a spread.
    pub page: Option<Pages>,
    /// Which pictures are for it.
    pub pictures: PictureSelector,
    /// Finished size.
    pub size: Size,
    /// How many.
    pub copies: u32,
    /// True if it may be rotated to fit its picture.
    pub may_be_rotated: bool,
    /// Who crops.
    pub crop: Crop,
    /// White that is meant.
    pub background: Option<Background>,
    /// Large, costly or important.
    pub requires_test_print: bool,
    /// Which batch it goes with.
    pub batch: Option<u32>,
    /// Its caption in the picture list; foreign text.
    pub caption: Option<String>,
    /// The named paper that it is printed on: `body` of `[papers.body]`; foreign text.
    pub paper: Option<Arc<str>>,
    /// The credit line that belongs beside it; foreign text.
    pub credit: Option<String>,
    /// The group that it is a part of: prints of one picture, left to right in the brief's order; foreign text.
    pub group: Option<Arc<str>>,
    /// The distance between neighbouring parts of its group; `None` where they meet.
    pub gap: Option<Length>,
    /// The requirements in effect for this print; shared with the prints before it where they have the same.
    pub requirements: Arc<Requirements>,
    /// Where each value comes from, for this print.
    pub origins: Origins,
}

impl Print {
    /// True if a person's word for a print is its name or its id, with or without its version.
    pub fn is_called(&self, word: &str) -> bool {
        self.name == word || &*self.id.0 == word || &*self.base_id.0 == word
    }

    /// Its name with its version's behind it: `plum tart (press)`; foreign text.
    pub fn name_with_version(&self) -> Cow<'_, str> {
        self.version.as_ref().map_or((&*self.name).into(), |version| format!("{} ({})", self.name, version.name).into())
    }
}

/// Who crops the picture to the print's aspect ratio.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Crop {
    /// The photographer: the file has the print's aspect ratio.
    #[default]
    ByPhotographer,
    /// The designer: another aspect ratio is only a note.
    ByDesigner,
}

/// A background that is meant to be featureless.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Background {
    /// White joined to the frame's edge is no lost highlight.
    White,
}

/// One thing that a sound brief names and that cannot be used, or that is passed over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BriefFinding {
    /// The brief's key.
    pub key: &'static str,
    /// A must where nothing can be said of colour without it.
    pub level: Level,
    /// Its place in the brief, what is wrong and what to do.
    pub problem: Problem,
}
