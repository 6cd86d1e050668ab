//! Where an effective value comes from: a default, the paper, its profile, a starter, the printer's sheet, the brief, a
//! named paper, a version, the print, the picture list.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Origin {
    /// The key is not given: the usual value.
    Default,
    /// The key is not given: the usual value of the paper's stock, surface and process.
    Paper,
    /// The key is not given: the usual value of the process.
    Process,
    /// The key is not given: the value that the printer's profile has.
    Profile,
    /// The key is not given: the fold of a spread is its spine.
    Spine,
    /// The starter of this name, which the brief is like: a usual value.
    Starter(&'static str),
    /// A printer's sheet: the name of its file (foreign text), and the line.
    Sheet(Arc<str>, usize),
    /// The brief, on this line.
    Brief(usize),
    /// A named paper: `[papers.body]`.
    NamedPaper(Arc<PaperPlace>),
    /// A version of the order: the name of its `[[version]]` (foreign text), and the line.
    Version(Arc<str>, usize),
    /// The print's own part of the brief, on this line.
    Print(usize),
    /// The picture list, on this line.
    List(usize),
}

/// Where a value of a named paper is written.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct PaperPlace {
    /// The paper's name; foreign text.
    pub paper: Arc<str>,
    /// The file of the printer's sheet, if it is written there and not in the brief; foreign text.
    pub sheet: Option<Arc<str>>,
    /// The line.
    pub line: usize,
}

impl Origin {
    /// True if nobody has said it: neither the brief nor the printer's sheet or profile gives it.
    pub const fn is_open(&self) -> bool {
        matches!(self, Origin::Default | Origin::Paper | Origin::Process | Origin::Starter(_))
    }

    /// In words: `usual`, `required: brief, line 12`.
    pub fn words(&self) -> String {
        match self {
            Origin::Starter(_) => format!("usual: {}", self.place()),
            _ if self.is_open() || matches!(self, Origin::Profile | Origin::Spine) => self.place(),
            _ => format!("required: {}", self.place()),
        }
    }

    /// Returns the place in words, without what it makes of the value: `brief, line 12`.
    pub fn place(&self) -> String {
        match self {
            Origin::Default => "usual".to_owned(),
            Origin::Paper => "usual for this paper".to_owned(),
            Origin::Process => "usual for this process".to_owned(),
            Origin::Profile => "from the printer's profile".to_owned(),
            Origin::Spine => "the spread's spine".to_owned(),
            Origin::Starter(name) => format!("starter {name}"),
            Origin::Sheet(file, line) => format!("printer's sheet {file}, line {line}"),
            Origin::Brief(line) => format!("brief, line {line}"),
            Origin::NamedPaper(place) => match &place.sheet {
                Some(file) => format!("paper {}, printer's sheet {file}, line {}", place.paper, place.line),
                None => format!("paper {}, line {}", place.paper, place.line),
            },
            Origin::Version(version, line) => format!("version {version}, line {line}"),
            Origin::Print(line) => format!("print, line {line}"),
            Origin::List(line) => format!("picture list, line {line}"),
        }
    }
}

/// Where each value comes from, by the path of its key: `density.minimum`, `print.size`, `rules.density.minimum`. A key
/// that is not in it has its default.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Origins(
    /// By their paths' order: thousands of prints carry some ten each, which a map would hold in three times the room.
    Box<[(Cow<'static, str>, Origin)]>,
);

impl Origins {
    /// Returns the origin of a key's value.
    pub fn of(&self, path: &str) -> Origin {
        self.place(path).map_or(Origin::Default, |at| self.0[at].1.clone())
    }

    /// Sets where a value comes from.
    pub fn set(&mut self, path: &'static str, origin: Origin) {
        match self.place(path) {
            Ok(at) => self.0[at].1 = origin,
            Err(at) => {
                let mut all = std::mem::take(&mut self.0).into_vec();
                all.insert(at, (path.into(), origin));
                self.0 = all.into();
            }
        }
    }

    fn place(&self, path: &str) -> Result<usize, usize> {
        self.0.binary_search_by(|(other, _)| (**other).cmp(path))
    }
}

impl From<BTreeMap<Cow<'static, str>, Origin>> for Origins {
    fn from(origins: BTreeMap<Cow<'static, str>, Origin>) -> Origins {
        Origins(origins.into_iter().collect())
    }
}
