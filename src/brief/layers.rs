//! What each part of a brief says, key by key, and which part counts: starter, printer's sheets and brief are put
//! together as the order's layer; a named paper comes before it, a version before that, and the print's own first.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::units::{Length, Ppi, Share};

use super::key::BriefKey;
use super::key_table;
use super::model::Pages;
use super::origin::Origin;
use super::source::{SourceFile, TextPosition};
use super::values::{MarginValue, Value};

/// Whose part of the brief is being walked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BriefPart {
    /// The order as a whole.
    Order,
    /// One `[[print]]`.
    Print,
    /// One `[[version]]`.
    Version,
}

impl BriefPart {
    /// Whether a key belongs to this part: an order may hold any, a version what each print may hold for itself.
    pub(super) fn holds(self, key: &BriefKey) -> bool {
        match self {
            BriefPart::Order => true,
            BriefPart::Print => key_table::is_in_print(key),
            BriefPart::Version => key.table() == "version" || key_table::is_in_version(key),
        }
    }

    /// The table of its own keys; empty for the order.
    pub(super) const fn own_table(self) -> &'static str {
        match self {
            BriefPart::Order => "",
            BriefPart::Print => "print",
            BriefPart::Version => "version",
        }
    }
}

/// A value with its place and origin.
#[derive(Clone, Debug)]
pub(super) struct LocatedValue {
    pub(super) value: Value,
    /// Of a starter's value, the place where the starter is named.
    pub(super) place: TextPosition,
    pub(super) origin: Origin,
}

impl LocatedValue {
    /// Returns how far its file is from the brief: 0 the brief and its list, then the printer's sheets, the starter
    /// last.
    pub(super) fn distance(&self) -> usize {
        match (&self.origin, self.place.which) {
            (Origin::Starter(_), _) => usize::MAX,
            (_, SourceFile::Sheet(at)) => at + 1,
            (_, SourceFile::Brief | SourceFile::List) => 0,
        }
    }
}

/// Values by the path of their key.
pub(super) type Layer = BTreeMap<String, LocatedValue>;

/// The layers of named papers, by their names.
pub(super) type Papers = BTreeMap<Arc<str>, Layer>;

/// Keys that are measured on one paper: another surface or process makes other values of them.
const MEASURED_ON_PAPER: &[&str] = &["paper.profile", "paper.dmax", "paper.white", "paper.ink_limit"];
const STOCK: &str = "paper.stock";
const MINIMUM: &str = "density.minimum";
/// Keys on which the density of a print rests.
const DENSITY_BASIS: &[&str] = &["density.target", "density.ruling", "density.distance"];

/// Puts a file's values over those of the files before it. What an earlier file says of another paper, from another
/// density or of another spelling of names is left out; a minimum density that somebody has
/// said of the same stock stays.
pub(super) fn put_over(below: &mut Layer, above: Layer) {
    let differs = |key: &str| above.get(key).zip(below.get(key)).is_some_and(|(now, then)| now.value != then.value);
    let is_new =
        |key: &&str| above.get(*key).is_some_and(|now| below.get(*key).is_none_or(|then| now.value != then.value));
    let (other_stock, other_finish) = (differs("paper.stock"), differs("paper.surface") || differs("paper.process"));
    let had_basis = DENSITY_BASIS.iter().any(|key| below.contains_key(*key));
    let other_density = had_basis && DENSITY_BASIS.iter().any(is_new);
    let other_names = NAMES.iter().any(|key| above.contains_key(*key));
    below.retain(|path, value| {
        let follows_target = path != MINIMUM || other_stock || value.origin.is_open();
        let is_left_out = other_stock && path.starts_with("paper.")
            || other_finish && MEASURED_ON_PAPER.contains(&path.as_str())
            || other_density && path.starts_with("density.") && follows_target
            || other_names && NAMES.contains(&path.as_str());
        !is_left_out
    });
    below.extend(above);
}

/// The two ways to say how files are named.
const NAMES: &[&str] = &["file.name", "file.name_pattern"];

/// The layers that hold for a print, or for the order as a whole when there is no print.
#[derive(Clone, Copy)]
pub(super) struct EffectiveLayers<'a> {
    /// The order's: starter, printer's sheets and brief.
    pub(super) order: &'a Layer,
    /// The named paper's.
    pub(super) paper: Option<&'a Layer>,
    /// The version's.
    pub(super) version: Option<&'a Layer>,
    /// The print's own.
    pub(super) print: Option<&'a Layer>,
}

impl<'a> EffectiveLayers<'a> {
    /// Returns the layers above the order's, the one that counts most first.
    pub(super) fn above_order(self) -> impl DoubleEndedIterator<Item = &'a Layer> + Clone {
        [self.print, self.version, self.paper].into_iter().flatten()
    }

    /// Returns all layers, the one that counts least first.
    pub(super) fn lowest_first(self) -> impl Iterator<Item = &'a Layer> {
        std::iter::once(self.order).chain(self.above_order().rev())
    }

    /// Returns the value that the print gives for a key, else its version, else its named paper, else the order. What
    /// is below a layer with a stock of its own speaks of another paper, unless it has the same stock; what is below
    /// one with another density of its own, of that density. A version is printed by the same printer on the same
    /// paper: a minimum that somebody has said holds for it too.
    pub(super) fn entry(self, path: &str) -> Option<&'a LocatedValue> {
        for (at, layer) in self.above_order().enumerate() {
            if let Some(entry) = layer.get(path) {
                return Some(entry);
            }
            let mut below = self.above_order().skip(at + 1).chain([self.order]);
            if path.starts_with("paper.")
                && let Some(own) = layer.get(STOCK)
                && below.clone().find_map(|layer| layer.get(STOCK)).is_none_or(|other| other.value != own.value)
            {
                return None;
            }
            if path.starts_with("density.") && DENSITY_BASIS.iter().any(|key| layer.contains_key(*key)) {
                let is_version = self.version.is_some_and(|version| std::ptr::eq(version, layer));
                let said = below.find_map(|layer| layer.get(path)).filter(|entry| !entry.origin.is_open());
                return said.filter(|_| is_version && path == MINIMUM);
            }
        }
        let names_stock = self.above_order().any(|layer| layer.contains_key(STOCK));
        let may_be_other = |entry: &&LocatedValue| entry.origin.is_open() || names_stock;
        self.order.get(path).filter(|entry| !(may_be_other(entry) && self.is_of_another_paper(path)))
    }

    /// True if a key is measured on a paper, and this print's has another surface or process than the order's.
    fn is_of_another_paper(self, path: &str) -> bool {
        MEASURED_ON_PAPER.contains(&path)
            && ["paper.surface", "paper.process"].iter().any(|key| {
                let own = self.above_order().find_map(|layer| layer.get(*key));
                own.is_some_and(|own| self.order.get(*key).is_none_or(|order| order.value != own.value))
            })
    }

    pub(super) fn value(self, path: &str) -> Option<&'a Value> {
        self.entry(path).map(|entry| &entry.value)
    }

    pub(super) fn text(self, path: &str) -> Option<String> {
        if let Some(Value::Text(text)) = self.value(path) { Some(text.clone()) } else { None }
    }

    pub(super) fn word<T>(self, path: &str, from: impl Fn(&str) -> Option<T>) -> Option<T> {
        if let Some(Value::Word(word)) = self.value(path) { from(word) } else { None }
    }

    pub(super) fn words(self, path: &str) -> Option<Vec<&'static str>> {
        if let Some(Value::Words(words)) = self.value(path) { Some(words.clone()) } else { None }
    }

    /// Returns a text or a list of them.
    pub(super) fn texts(self, path: &str) -> Option<Vec<String>> {
        match self.value(path) {
            Some(Value::Texts(texts)) => Some(texts.clone()),
            Some(Value::Text(text)) => Some(vec![text.clone()]),
            _ => None,
        }
    }

    pub(super) fn yes_no(self, path: &str) -> Option<bool> {
        if let Some(Value::YesNo(yes)) = self.value(path) { Some(*yes) } else { None }
    }

    pub(super) fn count(self, path: &str) -> Option<u32> {
        if let Some(Value::Count(count)) = self.value(path) { Some(*count) } else { None }
    }

    pub(super) fn pages(self, path: &str) -> Option<Pages> {
        if let Some(Value::Pages(pages)) = self.value(path) { Some(*pages) } else { None }
    }

    pub(super) fn number(self, path: &str) -> Option<f64> {
        if let Some(Value::Number(number)) = self.value(path) { Some(*number) } else { None }
    }

    pub(super) fn share(self, path: &str) -> Option<Share> {
        if let Some(Value::Share(share)) = self.value(path) { Some(*share) } else { None }
    }

    pub(super) fn density(self, path: &str) -> Option<Ppi> {
        if let Some(Value::Density(ppi)) = self.value(path) { Some(*ppi) } else { None }
    }

    pub(super) fn length(self, path: &str) -> Option<Length> {
        if let Some(Value::Length(length, _)) = self.value(path) { Some(*length) } else { None }
    }

    pub(super) fn sides(self, path: &str) -> Option<&'a MarginValue> {
        if let Some(Value::Sides(sides)) = self.value(path) { Some(sides) } else { None }
    }
}
