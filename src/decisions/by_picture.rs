//! Values of pictures: stored under their names, and found by their bytes where a file was renamed since.

use std::collections::BTreeMap;

use crate::picture::PictureKey;

/// A value for each picture.
#[derive(Clone, Debug, PartialEq)]
pub struct ByPicture<T> {
    values: BTreeMap<PictureKey, T>,
    /// For each digest that values were decided on, the pictures, by name.
    by_sha256: BTreeMap<String, Vec<PictureKey>>,
}

impl<T> Default for ByPicture<T> {
    fn default() -> ByPicture<T> {
        ByPicture { values: BTreeMap::new(), by_sha256: BTreeMap::new() }
    }
}

impl<T> ByPicture<T> {
    /// Returns a picture's value: what was decided on these very bytes, under whatever name, otherwise what is under
    /// its name. Two files that swapped their names thus keep what was decided on each.
    pub fn get(&self, picture: &PictureKey, sha256: Option<&str>) -> Option<&T> {
        self.values.get(self.stored_name(picture, sha256))
    }

    /// Returns the name that its value is stored under.
    pub fn stored_name<'a>(&'a self, picture: &'a PictureKey, sha256: Option<&str>) -> &'a PictureKey {
        match sha256.and_then(|sha256| self.by_sha256.get(sha256)) {
            Some(names) if names.binary_search(picture).is_err() => names.first().unwrap_or(picture),
            Some(_) | None => picture,
        }
    }

    /// Returns all values, picture by picture.
    pub fn iter(&self) -> impl Iterator<Item = (&PictureKey, &T)> {
        self.values.iter()
    }

    /// Converts the value of each picture.
    pub(crate) fn map<U>(self, form: impl Fn(T) -> U) -> ByPicture<U> {
        let values = self.values.into_iter().map(|(picture, one)| (picture, form(one))).collect();
        ByPicture { values, by_sha256: self.by_sha256 }
    }

    /// Returns a picture's place for a value decided on these bytes; without a digest it is found by name alone.
    /// Pictures come in the order of their names.
    pub(crate) fn entry(&mut self, picture: PictureKey, sha256: &str) -> &mut T
    where
        T: Default,
    {
        if !sha256.is_empty() {
            let names = self.by_sha256.entry(sha256.to_owned()).or_default();
            if names.last() != Some(&picture) {
                names.push(picture.clone());
            }
        }
        self.values.entry(picture).or_default()
    }
}
