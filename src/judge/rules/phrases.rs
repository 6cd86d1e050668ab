//! Phrases shared by several rules, so that one thing always has one name.

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::{BorderFit, Edge, Space, Stock};
use crate::brief::{Origin, Print};
use crate::colour::ProfileFacts;
use crate::judge::placement::{Fit, Placement};
use crate::picture::PictureKey;
use crate::units::words::{shorten, visible};
use crate::units::{LengthUnit, Share, Size, show};

/// Most pictures of the same cause named in a finding; the others are counted, since every one of them carries the
/// finding. Common practice, no source.
pub const NAMED: usize = 4;

/// Most actions that a finding's `fix` has, one a line.
pub const FIX_LINES: usize = 3;

/// Lists pictures with the words for each, `a.jpg and b.jpg`: the first few by name, the others as a number.
pub fn name_pictures(pictures: &[PictureKey], words: impl Fn(&PictureKey) -> String) -> String {
    let mut names: Vec<String> = pictures.iter().take(NAMED).map(words).collect();
    if pictures.len() > NAMED {
        names.push(show::count(pictures.len() - NAMED, "more", "more"));
    }
    match names.pop() {
        Some(last) if !names.is_empty() => format!("{} and {last}", names.join(", ")),
        last => last.unwrap_or_default(),
    }
}

/// Keeps the pictures that a finding names.
pub fn first_named(mut pictures: Vec<PictureKey>) -> Vec<PictureKey> {
    pictures.truncate(NAMED);
    pictures
}

/// Returns a limit as what it is: required, where the brief, its list, the printer's sheet or profile gives it; usual,
/// where nobody said it. `words` is the limit, such as `at least 240 ppi`, and `key` the key that gives it.
pub fn limit_words(print: &Print, key: &str, words: &str) -> String {
    match print.origins.of(key) {
        Origin::Sheet(..) => format!("{words} required by the printer's sheet"),
        origin if origin.is_open() => format!("usual: {words}"),
        _ => format!("{words} required"),
    }
}

/// Returns the printed size with what goes beyond it: `210 x 260 mm with 3 mm bleed`.
pub fn printed_size(print: &Print, placement: &Placement) -> String {
    let margins = &print.requirements.margins;
    let size = placement.finished.show();
    let rotated = if placement.is_turned { ", rotated" } else { "" };
    match margins.edge {
        Edge::Bleed if !placement.outset.is_zero() => {
            let widest = placement.outset.each().into_iter().max().unwrap_or_default();
            format!("{size}{rotated} with {} bleed", show::length(widest, margins.unit))
        }
        Edge::Wrap if margins.goes_round() => {
            format!("{size}{rotated} wrapped round a bar of {}", show::length(margins.wrap, margins.unit))
        }
        Edge::Wrap => format!("{size}{rotated} on a bar with {} sides", margins.sides.word()),
        Edge::Border if margins.fit == BorderFit::Inside => format!(
            "{size}{rotated} with a border of at least {}, the picture {}",
            margins.border.show(margins.unit),
            placement.frame().show()
        ),
        Edge::Border => format!("{size}{rotated} with a border of {}", margins.border.show(margins.unit)),
        Edge::Bleed | Edge::Borderless => format!("{size}{rotated}"),
    }
}

/// Returns the advice to rotate a print that the brief does not let rotate, where that loses less and fixes the
/// finding; else nothing.
pub fn other_way(print: &Print, placement: &Placement, cures: impl Fn(&Fit) -> bool) -> Option<String> {
    let other = placement.other_way(print)?;
    let fit = other.fit.filter(&cures)?;
    let lost = if fit.lost == Share::zero() { "nothing".to_owned() } else { show::share(fit.lost) };
    let (size, ppi) = (other.finished.show(), show::ppi(fit.density));
    Some(match print.pictures {
        PictureSelector::One(_) => format!(
            "rotate the print, if the layout allows it: size = \"{size}\" in the brief ({ppi}, the crop loses {lost})"
        ),
        // Its other pictures may be right as they are.
        PictureSelector::Many(_) | PictureSelector::Rest => format!(
            "rotate the print, if the layout allows it: rotate = true in the brief ({size} at {ppi}, the crop loses \
             {lost})"
        ),
    })
}

/// Share of a side by which a background can be extended: more would be an invented picture. Source: ours.
const EXTENDED_PERCENT: i128 = 10;

/// True if `more` pixels can be added to a side of `px` by extending the background.
pub fn can_be_extended(more: u32, px: u32) -> bool {
    i128::from(more) * 100 <= i128::from(px) * EXTENDED_PERCENT
}

/// Advice for a canvas whose picture is too small to go round the bar: other sides.
pub const OTHER_SIDES: &str = "ask for mirrored or plain sides: sides = \"mirrored\" or \"plain\" below [margins] in \
                               the brief";

/// Most characters shown of a profile's own name.
const PROFILE_CHARACTERS: usize = 48;

/// Returns a profile's name, safe to show.
pub fn profile_name(profile: &ProfileFacts) -> String {
    visible(&shorten(profile.name(), PROFILE_CHARACTERS)).into_owned()
}

/// Returns a print's viewing distance: `at arm's length`, `from 90 cm`.
pub fn seen_from(print: &Print) -> String {
    match print.requirements.density.distance {
        Some(distance) => format!("from {}", show::length(distance, LengthUnit::Centimetre)),
        None => "at arm's length".to_owned(),
    }
}

/// Returns the paper with its black: `matte uncoated paper (Dmax 1.28)`, `lustre photo paper (Dmax 2.1)`.
pub fn paper(print: &Print) -> String {
    let dmax = print.requirements.paper.dmax;
    let black = show::decimal(num_rational::Ratio::new((dmax * 100.0).round() as i128, 100), 2);
    format!("{} (Dmax {black})", paper_name(print))
}

/// Returns the paper: `matte uncoated paper`, `lustre photo paper`.
pub fn paper_name(print: &Print) -> String {
    let paper = &print.requirements.paper;
    let stock = match paper.stock {
        Stock::Coated | Stock::Uncoated | Stock::Cotton => format!("{} paper", paper.stock.word()),
        other => other.word().to_owned(),
    };
    format!("{} {stock}", paper.surface.word())
}

/// Returns the aspect ratio of a size in the trade's small whole numbers if it has them, else to two decimals: `4:5`,
/// `1:1.24`.
pub fn shape(size: Size) -> String {
    const MAX_TERM: i64 = 20;
    let (w, h) = (size.width.nm(), size.height.nm());
    let divisor = greatest_common_divisor(w, h).max(1);
    let (w_term, h_term) = (w / divisor, h / divisor);
    if w_term.max(h_term) <= MAX_TERM {
        return format!("{w_term}:{h_term}");
    }
    let long_over_short = num_rational::Ratio::new(i128::from(w.max(h)), i128::from(w.min(h)).max(1));
    let long = show::decimal(long_over_short, 2);
    if w > h { format!("{long}:1") } else { format!("1:{long}") }
}

fn greatest_common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

/// Returns the name of a space, as in an export dialog.
pub fn space(space: Space) -> &'static str {
    match space {
        Space::Rgb(encoding) => encoding.name(),
        Space::Grey => "greyscale",
        Space::Cmyk => "CMYK",
        Space::Paper => "the printer's own profile",
    }
}

/// Lists alternatives: `sRGB`, `sRGB or Adobe RGB (1998)`.
pub fn join_with_or<S: AsRef<str>>(words: &[S]) -> String {
    join_words(words, "or")
}

/// Lists words joined by `and`: `top, right and left`.
pub fn join_with_and<S: AsRef<str>>(words: &[S]) -> String {
    join_words(words, "and")
}

fn join_words<S: AsRef<str>>(words: &[S], by: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} {by} {}", first.join(", "), last.as_ref())
        }
    }
}

/// Lists spaces: `sRGB or greyscale`.
pub fn spaces(spaces: &[Space]) -> String {
    let names: Vec<&str> = spaces.iter().map(|required| space(*required)).collect();
    join_with_or(&names)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn aspect_ratios_use_small_whole_numbers() {
        let shape = |text: &str| super::shape(text.parse().unwrap());
        assert_eq!(shape("8 x 10 in"), "4:5");
        assert_eq!(shape("24 x 36 in"), "2:3");
        assert_eq!(shape("210 x 297 mm"), "1:1.41");
        assert_eq!(shape("297 x 210 mm"), "1.41:1");
    }

    #[test]
    fn many_pictures_are_named_by_a_few_and_a_count() {
        let keys: Vec<PictureKey> = (0..1_500).map(|n| PictureKey::from_text(&format!("{n}.jpg"))).collect();
        let named = |count: usize| name_pictures(&keys[..count], ToString::to_string);
        assert_eq!((named(0), named(1), named(2)), (String::new(), "0.jpg".to_owned(), "0.jpg and 1.jpg".to_owned()));
        assert_eq!(named(4), "0.jpg, 1.jpg, 2.jpg and 3.jpg");
        assert_eq!(named(1_500), "0.jpg, 1.jpg, 2.jpg, 3.jpg and 1496 more");
        assert_eq!(first_named(keys).len(), 4);
    }

    #[test]
    fn lists_read_like_a_sentence() {
        assert_eq!(join_with_or(&["TIFF"]), "TIFF");
        assert_eq!(join_with_or(&["TIFF", "JPEG", "PNG"]), "TIFF, JPEG or PNG");
    }
}
