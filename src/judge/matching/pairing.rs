//! Pairs the folder's pictures with the brief's prints.

use std::collections::HashMap;

use crate::brief::VersionPolicy;
use crate::brief::picture_patterns::{Pattern, PictureSelector};
use crate::brief::{Brief, Print};
use crate::judge::model::submission::Submission;

/// Pictures paired with prints, as indices into the brief's prints and the folder's files.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pairing {
    /// For each print, its pictures in the folder's order.
    pub of_print: Vec<Vec<usize>>,
    /// Pictures that no print wants, each with the reason.
    pub extra: Vec<(usize, UnpairedReason)>,
    /// What was left out, if there would be more than [`MAX_ROWS`] rows.
    pub cut_rows: Option<CutRows>,
}

/// Most rows of pictures for prints in one order: twice the most files that a folder may hold. More is a mistake in the
/// brief, such as `*` for each of thousands of prints. Own choice.
pub const MAX_ROWS: usize = 100_000;

/// The size of an order that would have more rows than [`MAX_ROWS`], and of what was kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutRows {
    /// Rows that the brief would give.
    pub wanted_rows: usize,
    /// Number of prints whose pictures are not all there.
    pub prints: usize,
    /// Number of pictures that each of them keeps.
    pub each: usize,
}

/// The reason why no print wants a picture.
#[derive(Clone, Debug, PartialEq)]
pub enum UnpairedReason {
    /// No pattern matches its name.
    Unasked,
    /// A newer picture is used for the same print.
    Older {
        /// The print's index.
        print: usize,
        /// The index of the picture used instead.
        newest: usize,
    },
}

/// Pairs prints with pictures. A picture may serve several prints.
pub fn pair(brief: &Brief, folder: &[Submission]) -> Pairing {
    let names = SortedNames::of(folder);
    let mut claimed = vec![false; folder.len()];
    let mut older: Vec<(usize, UnpairedReason)> = Vec::new();
    let mut of_print: Vec<Vec<usize>> = Vec::with_capacity(brief.prints.len());
    // Thousands of prints may have the same pattern.
    let mut known: HashMap<&str, Vec<usize>> = HashMap::new();
    for (number, print) in brief.prints.iter().enumerate() {
        let mut pictures = match &print.pictures {
            PictureSelector::One(pattern) | PictureSelector::Many(pattern) => {
                known.entry(pattern.as_str()).or_insert_with(|| names.matching(pattern)).clone()
            }
            PictureSelector::Rest => Vec::new(),
        };
        pictures.iter().for_each(|&at| claimed[at] = true);
        if matches!(print.pictures, PictureSelector::One(_)) && brief.versions == VersionPolicy::Newest {
            let newest = newest(&pictures, folder);
            let left = pictures.iter().filter(|at| !newest.contains(at));
            let reason = |&newest: &usize| UnpairedReason::Older { print: number, newest };
            older.extend(left.filter_map(|&at| Some((at, newest.first().map(reason)?))));
            pictures = newest;
        }
        of_print.push(pictures);
    }
    let rest: Vec<usize> = (0..folder.len()).filter(|&at| !claimed[at]).collect();
    let mut somebody_takes_the_rest = false;
    for (print, pictures) in brief.prints.iter().zip(&mut of_print) {
        if takes_rest(print) {
            pictures.clone_from(&rest);
            somebody_takes_the_rest = true;
        }
    }
    let mut taken = vec![false; folder.len()];
    of_print.iter().flatten().for_each(|&at| taken[at] = true);
    let mut extra: Vec<(usize, UnpairedReason)> = older.into_iter().filter(|(at, _)| !taken[*at]).collect();
    if !somebody_takes_the_rest {
        extra.extend(rest.into_iter().map(|at| (at, UnpairedReason::Unasked)));
    }
    extra.sort_by_key(|(at, _)| *at);
    extra.dedup_by_key(|(at, _)| *at);
    let cut = cut_to(&mut of_print, MAX_ROWS);
    Pairing { of_print, extra, cut_rows: cut }
}

/// Removes pictures beyond `most` rows: prints with many pictures lose their last ones, until all prints keep at most
/// the same number.
fn cut_to(of_print: &mut [Vec<usize>], most: usize) -> Option<CutRows> {
    let wanted_rows: usize = of_print.iter().map(Vec::len).sum();
    if wanted_rows <= most {
        return None;
    }
    let mut counts: Vec<usize> = of_print.iter().map(Vec::len).collect();
    counts.sort_unstable();
    // Starts with the print with the fewest pictures: the room that it leaves is shared by the others.
    let (mut room, mut each) = (most, 1);
    for (at, count) in counts.iter().enumerate() {
        each = (room / (counts.len() - at)).max(1);
        if *count > each {
            break;
        }
        room -= count;
    }
    let mut prints = 0;
    for pictures in of_print.iter_mut().filter(|pictures| pictures.len() > each) {
        prints += 1;
        pictures.truncate(each);
        pictures.shrink_to_fit();
    }
    Some(CutRows { wanted_rows, prints, each })
}

/// Returns the newest of some pictures: several where they were last written at the same moment, as those that were
/// unpacked or got their times from the capture; which one is newer is not known then.
fn newest(pictures: &[usize], folder: &[Submission]) -> Vec<usize> {
    let latest = pictures.iter().map(|&at| folder[at].modified_ns).max();
    pictures.iter().copied().filter(|&at| Some(folder[at].modified_ns) == latest).collect()
}

fn takes_rest(print: &Print) -> bool {
    matches!(print.pictures, PictureSelector::Rest)
}

/// The names of a folder, sorted, so that each of thousands of patterns is compared only with names that share its
/// beginning.
struct SortedNames {
    /// Lower-case, each with the index of its file.
    names: Vec<(String, usize)>,
    /// Paths, lower-case, likewise.
    paths: Vec<(String, usize)>,
}

impl SortedNames {
    fn of(folder: &[Submission]) -> SortedNames {
        let sorted = |part: fn(&str) -> &str| {
            let lower = |(at, file): (usize, &Submission)| (part(file.key.as_str()).to_lowercase(), at);
            let mut all: Vec<(String, usize)> = folder.iter().enumerate().map(lower).collect();
            all.sort_unstable();
            all
        };
        SortedNames { names: sorted(|path| path.rsplit('/').next().unwrap_or(path)), paths: sorted(|path| path) }
    }

    /// Returns the files that a pattern matches, in the folder's order.
    fn matching(&self, pattern: &Pattern) -> Vec<usize> {
        let all = if pattern.is_over_path() { &self.paths } else { &self.names };
        let beginning = pattern.beginning();
        let from = all.partition_point(|(name, _)| *name < beginning);
        let near = all[from..].iter().take_while(|(name, _)| name.starts_with(&beginning));
        let matched = near.filter(|(name, _)| pattern.matches_lower(name)).map(|(_, at)| *at);
        let mut matched: Vec<usize> = matched.collect();
        matched.sort_unstable();
        matched
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, sound_submission};
    use crate::units::growth::grows_less_than_square;

    fn folder(names: &[&str]) -> Vec<Submission> {
        names
            .iter()
            .enumerate()
            .map(|(at, name)| Submission { modified_ns: at as i128, ..sound_submission(name, 2400, 3000) })
            .collect()
    }

    #[test]
    fn a_picture_may_serve_two_prints_and_the_rest_goes_to_the_print_without_a_pattern() {
        let brief = brief(
            "[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"\n[[print]]\nsize = \"4 x 5 in\"\npictures = \"p*\"\n\
             [[print]]\nsize = \"5 x 7 in\"",
        );
        let paired = pair(&brief, &folder(&["p012-tart.jpg", "p014-broth.jpg", "wall.jpg"]));
        assert_eq!(paired.of_print, [vec![0], vec![0, 1], vec![2]]);
        assert!(paired.extra.is_empty());
    }

    #[test]
    fn comparing_only_near_names_gives_the_same_matches() {
        let folder = folder(&["B/p1.tif", "P12-Tart.jpg", "a/wall.jpg", "p1.jpg", "p12.jpg", "p120.jpg", "q.jpg"]);
        let names = SortedNames::of(&folder);
        for text in ["p1*", "p12*", "*", "*tart*", "b/*", "B/p1", "a/wall*", "p?.jpg", "p[12]*", "?1*", "z*", "wall"] {
            let pattern = Pattern::new(text).unwrap();
            let all: Vec<usize> = (0..folder.len()).filter(|&at| pattern.matches(folder[at].key.as_str())).collect();
            assert_eq!(names.matching(&pattern), all, "{text}");
        }
    }

    #[test]
    fn rows_beyond_the_limit_are_cut_from_the_prints_with_the_most_pictures() {
        let cut_of = |counts: &[usize], most: usize| {
            let mut of_print: Vec<Vec<usize>> = counts.iter().map(|count| (0..*count).collect()).collect();
            let cut = cut_to(&mut of_print, most);
            (of_print.iter().map(Vec::len).collect::<Vec<_>>(), cut)
        };
        assert_eq!(cut_of(&[1, 8, 0, 20], 29), (vec![1, 8, 0, 20], None));
        assert_eq!(
            cut_of(&[1, 8, 0, 20], 28),
            (vec![1, 8, 0, 19], Some(CutRows { wanted_rows: 29, prints: 1, each: 19 }))
        );
        assert_eq!(
            cut_of(&[1, 8, 0, 20], 9),
            (vec![1, 4, 0, 4], Some(CutRows { wanted_rows: 29, prints: 2, each: 4 }))
        );
        assert_eq!(cut_of(&[3; 4], 2).0, [1; 4], "no print goes without");
    }

    #[test]
    fn pictures_that_nobody_asks_for_are_extra() {
        let brief = brief("[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"");
        let paired = pair(&brief, &folder(&["p012.jpg", "p120.jpg"]));
        assert_eq!(paired.extra, [(1, UnpairedReason::Unasked)]);
    }

    #[test]
    fn the_newest_version_is_taken_only_where_the_brief_says_so() {
        let names = ["p012-a.jpg", "p012-b.jpg"];
        let text = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"";
        assert_eq!(pair(&brief(text), &folder(&names)).of_print, [vec![0, 1]]);
        let paired = pair(&brief(&format!("versions = \"newest\"\n{text}")), &folder(&names));
        assert_eq!(paired.of_print, [vec![1]]);
        assert_eq!(paired.extra, [(0, UnpairedReason::Older { print: 0, newest: 1 })]);
    }

    #[test]
    fn of_versions_written_at_the_same_moment_none_is_older() {
        let text = "versions = \"newest\"\n[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"";
        let mut folder = folder(&["p012-v1.jpg", "p012-v10.jpg", "p012-v9.jpg"]);
        folder[2].modified_ns = folder[1].modified_ns;
        let paired = pair(&brief(text), &folder);
        assert_eq!(paired.of_print, [vec![1, 2]]);
        assert_eq!(paired.extra, [(0, UnpairedReason::Older { print: 0, newest: 1 })]);
    }

    #[test]
    fn older_versions_cost_by_their_number_and_not_by_its_square() {
        let two_each = |count: usize| {
            let print = |at| format!("[[print]]\nname = \"{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}*\"\n");
            let text: String = (0..count).map(print).collect();
            let one = sound_submission("a.jpg", 2400, 3000);
            let named = |name: String, modified_ns| {
                let key = crate::picture::PictureKey::from_text(&name);
                Submission { key, modified_ns, ..one.clone() }
            };
            let folder: Vec<Submission> = (0..count)
                .flat_map(|at| [("a", 1), ("b", 2)].map(|(of, ns)| named(format!("p{at}-{of}.jpg"), ns)))
                .collect();
            (brief(&format!("versions = \"newest\"\n{text}")), folder)
        };
        grows_less_than_square(500, two_each, |(brief, folder)| {
            assert_eq!(pair(&brief, &folder).extra.len(), brief.prints.len());
        });
    }
}
