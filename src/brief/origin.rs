//! Where an effective value comes from: a default, the paper, its profile, the brief, the print, the picture list.

use std::borrow::Cow;
use std::collections::BTreeMap;

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Origin {
    /// The key is not given: the usual value.
    Default,
    /// The key is not given: the usual value of the paper's stock, surface and process.
    Paper,
    /// The key is not given: the usual value of the process.
    Process,
    /// The key is not given: the value that the printer's profile has.
    Profile,
    /// The brief, on this line.
    Brief(usize),
    /// The print's own part of the brief, on this line.
    Print(usize),
    /// The picture list, on this line.
    List(usize),
}

impl Origin {
    /// Whether neither the brief nor the printer's profile gives it.
    pub const fn is_open(self) -> bool {
        matches!(self, Origin::Default | Origin::Paper | Origin::Process)
    }

    /// In words: `usual`, `required: brief, line 12`.
    pub fn words(self) -> String {
        match self {
            Origin::Brief(_) | Origin::Print(_) | Origin::List(_) => format!("required: {}", self.place()),
            Origin::Default | Origin::Paper | Origin::Process | Origin::Profile => self.place(),
        }
    }

    /// The place in words, without what it makes of the value: `brief, line 12`.
    pub fn place(self) -> String {
        match self {
            Origin::Default => "usual".to_owned(),
            Origin::Paper => "usual for this paper".to_owned(),
            Origin::Process => "usual for this process".to_owned(),
            Origin::Profile => "from the printer's profile".to_owned(),
            Origin::Brief(line) => format!("brief, line {line}"),
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
    /// The origin of a key's value.
    pub fn of(&self, path: &str) -> Origin {
        self.place(path).map_or(Origin::Default, |at| self.0[at].1)
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
