//! Finds which picture that the printer holds a picture of this delivery takes the place of, where names have changed.

use std::collections::{BTreeMap, HashMap};

use super::left_out::LeftOutPart;
use super::names;
use super::plan::PlannedPicture;
use super::record::RecordedPicture;

/// What a held picture and one of this delivery have in common.
#[derive(PartialEq, Eq, Hash)]
enum Likeness<'a> {
    /// The name, on systems that do not know case; folded.
    Name(String),
    /// The content, and the picture's name among the exports.
    ContentAndPicture(&'a str, &'a str),
    /// The content and a print.
    ContentAndPrint(&'a str, &'a str),
    /// The picture's name among the exports, and a print: it was exported again.
    PictureAndPrint(&'a str, &'a str),
    /// The content.
    Content(&'a str),
}

/// A picture of this delivery with the names of its prints.
type WithPrints<'a> = (&'a PlannedPicture, Vec<&'a str>);
/// Returns the likenesses of one strength that a picture may have to a held one.
type Likenesses = for<'a> fn(&WithPrints<'a>) -> Vec<Likeness<'a>>;

/// Every kind of likeness, the strongest first.
const BY_STRENGTH: [Likenesses; 5] = [
    |(sent, _)| vec![Likeness::Name(names::fold_case(&sent.name))],
    |(sent, _)| vec![Likeness::ContentAndPicture(&sent.sha256, sent.picture.as_str())],
    |(sent, prints)| prints.iter().map(|print| Likeness::ContentAndPrint(&sent.sha256, print)).collect(),
    |(sent, prints)| prints.iter().map(|print| Likeness::PictureAndPrint(sent.picture.as_str(), print)).collect(),
    |(sent, _)| vec![Likeness::Content(&sent.sha256)],
];

/// Held pictures of whose names this delivery has none, until what became of each is known.
pub(super) struct HeldPictures<'a> {
    by_name: BTreeMap<&'a str, &'a RecordedPicture>,
    by_likeness: HashMap<Likeness<'a>, Vec<&'a str>>,
}

impl<'a> HeldPictures<'a> {
    pub(super) fn of(pictures: impl Iterator<Item = &'a RecordedPicture>) -> HeldPictures<'a> {
        let by_name: BTreeMap<&str, &RecordedPicture> = pictures.map(|held| (held.name.as_str(), held)).collect();
        let mut by_likeness: HashMap<Likeness, Vec<&str>> = HashMap::new();
        for held in by_name.values() {
            let (content, picture) = (held.sha256.as_str(), held.picture.as_str());
            let of_print =
                |print| [Likeness::ContentAndPrint(content, print), Likeness::PictureAndPrint(picture, print)];
            let likenesses = [
                Likeness::Name(names::fold_case(&held.name)),
                Likeness::ContentAndPicture(content, picture),
                Likeness::Content(content),
            ];
            for likeness in likenesses.into_iter().chain(held.prints.iter().flat_map(|print| of_print(print))) {
                by_likeness.entry(likeness).or_default().push(&held.name);
            }
        }
        HeldPictures { by_name, by_likeness }
    }

    /// Takes for each picture the held one whose place it has now, by the strongest likeness first; returns them by the
    /// names of the pictures. A held one that a picture of the part left out still needs is not taken.
    pub(super) fn take_replaced(
        &mut self,
        sent: Vec<WithPrints<'a>>,
        left_out: &LeftOutPart<'_>,
    ) -> HashMap<&'a str, &'a RecordedPicture> {
        let mut replaced = HashMap::new();
        for likenesses in BY_STRENGTH {
            for one in &sent {
                let (picture, _) = one;
                if replaced.contains_key(picture.name.as_str()) {
                    continue;
                }
                let held = likenesses(one).into_iter().find_map(|likeness| {
                    let is_content_alone = matches!(likeness, Likeness::Content(_));
                    let is_free = |held: &RecordedPicture| match is_content_alone {
                        true => !left_out.has(held),
                        false => !left_out.has_name_of_another(held, picture),
                    };
                    self.take(&likeness, is_free)
                });
                replaced.extend(held.map(|held| (picture.name.as_str(), held)));
            }
        }
        replaced
    }

    /// Returns the pictures that were not taken.
    pub(super) fn into_rest(self) -> impl Iterator<Item = &'a RecordedPicture> {
        self.by_name.into_values()
    }

    fn take(
        &mut self,
        likeness: &Likeness<'a>,
        is_free: impl Fn(&RecordedPicture) -> bool,
    ) -> Option<&'a RecordedPicture> {
        let names = self.by_likeness.get_mut(likeness)?;
        std::iter::from_fn(|| names.pop()).find_map(|name| {
            let is_there = self.by_name.get(name).is_some_and(|held| is_free(held));
            if is_there { self.by_name.remove(name) } else { None }
        })
    }
}
