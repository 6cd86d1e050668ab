//! What each part of a brief says, key by key, and which part counts: the print's own before the order's.

use std::collections::BTreeMap;

use crate::units::{Length, Ppi, Share};

use super::model::Pages;
use super::origin::Origin;
use super::source::TextPosition;
use super::values::{MarginValue, Value};

/// Whose part of the brief is being walked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BriefPart {
    /// The order as a whole.
    Order,
    /// One `[[print]]`.
    Print,
}

/// A value with its place and origin.
#[derive(Clone, Debug)]
pub(super) struct LocatedValue {
    pub(super) value: Value,
    pub(super) place: TextPosition,
    pub(super) origin: Origin,
}

/// Values by the path of their key.
pub(super) type Layer = BTreeMap<String, LocatedValue>;

/// The layers that hold for a print, or for the order as a whole when there is no print.
#[derive(Clone, Copy)]
pub(super) struct EffectiveLayers<'a> {
    pub(super) order: &'a Layer,
    pub(super) print: Option<&'a Layer>,
}

impl<'a> EffectiveLayers<'a> {
    /// The value that the print gives for a key, else the one that the brief gives.
    pub(super) fn entry(self, path: &str) -> Option<&'a LocatedValue> {
        self.print.and_then(|print| print.get(path)).or_else(|| {
            let own = |paths: &[&str]| self.print.is_some_and(|print| paths.iter().any(|one| print.contains_key(*one)));
            let dropped = (path.starts_with("paper.") && own(&["paper.stock"]))
                || (path.starts_with("density.") && own(&["density.target", "density.ruling", "density.distance"]));
            if dropped { None } else { self.order.get(path) }
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

    /// A text or a list of them.
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
