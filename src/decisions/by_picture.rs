//! What is kept of pictures: under their names, and found by their bytes where a file was renamed since.

use std::collections::BTreeMap;

use crate::picture::PictureKey;

/// One thing of each picture.
#[derive(Clone, Debug, PartialEq)]
pub struct ByPicture<T> {
    of: BTreeMap<PictureKey, T>,
    /// Of the pictures that these bytes were decided on, the first by name.
    by_sha256: BTreeMap<String, PictureKey>,
}

impl<T> Default for ByPicture<T> {
    fn default() -> ByPicture<T> {
        ByPicture { of: BTreeMap::new(), by_sha256: BTreeMap::new() }
    }
}

impl<T> ByPicture<T> {
    /// What is kept of a picture: under its name, else of the very same bytes under another.
    pub fn get(&self, picture: &PictureKey, sha256: Option<&str>) -> Option<&T> {
        self.of.get(self.name(picture, sha256))
    }

    /// The name that it is kept under.
    pub fn name<'a>(&'a self, picture: &'a PictureKey, sha256: Option<&str>) -> &'a PictureKey {
        let same_bytes = || sha256.and_then(|sha256| self.by_sha256.get(sha256));
        if self.of.contains_key(picture) { picture } else { same_bytes().unwrap_or(picture) }
    }

    /// All of it, picture by picture.
    pub fn iter(&self) -> impl Iterator<Item = (&PictureKey, &T)> {
        self.of.iter()
    }

    /// The same of each picture in another form.
    pub(crate) fn map<U>(self, form: impl Fn(T) -> U) -> ByPicture<U> {
        let of = self.of.into_iter().map(|(picture, one)| (picture, form(one))).collect();
        ByPicture { of, by_sha256: self.by_sha256 }
    }

    /// The place of a picture's, which was decided on these bytes; without their digest it is found by name alone.
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
