//! Values of pictures: stored under their names, and found by their bytes where a file was renamed since.

use std::collections::BTreeMap;

use crate::picture::PictureKey;

/// A value for each picture.
#[derive(Clone, Debug, PartialEq)]
pub struct ByPicture<T> {
    of: BTreeMap<PictureKey, T>,
    /// For each digest that values were decided on, the first picture by name.
    by_sha256: BTreeMap<String, PictureKey>,
}

impl<T> Default for ByPicture<T> {
    fn default() -> ByPicture<T> {
        ByPicture { of: BTreeMap::new(), by_sha256: BTreeMap::new() }
    }
}

impl<T> ByPicture<T> {
    /// Returns a picture's value: under its name, otherwise that of identical bytes under another.
    pub fn get(&self, picture: &PictureKey, sha256: Option<&str>) -> Option<&T> {
        self.of.get(self.name(picture, sha256))
    }

    /// Returns the name that its value is stored under.
    pub fn name<'a>(&'a self, picture: &'a PictureKey, sha256: Option<&str>) -> &'a PictureKey {
        let same_bytes = || sha256.and_then(|sha256| self.by_sha256.get(sha256));
        if self.of.contains_key(picture) { picture } else { same_bytes().unwrap_or(picture) }
    }

    /// Returns all values, picture by picture.
    pub fn iter(&self) -> impl Iterator<Item = (&PictureKey, &T)> {
        self.of.iter()
    }

    /// Converts the value of each picture.
    pub(crate) fn map<U>(self, form: impl Fn(T) -> U) -> ByPicture<U> {
        let of = self.of.into_iter().map(|(picture, one)| (picture, form(one))).collect();
        ByPicture { of, by_sha256: self.by_sha256 }
    }

    /// Returns a picture's place for a value decided on these bytes; without a digest it is found by name alone.
    pub(crate) fn entry(&mut self, picture: PictureKey, sha256: &str) -> &mut T
    where
        T: Default,
    {
        if !sha256.is_empty() {
            self.by_sha256.entry(sha256.to_owned()).or_insert_with(|| picture.clone());
        }
        self.of.entry(picture).or_default()
    }
}
