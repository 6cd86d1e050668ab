//! Pictures that look alike: the same picture exported twice, or the next frame.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::Level;
use crate::brief::{Brief, PrintId};
use crate::judge::metrics::impression::Impression;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach};
use crate::judge::model::row::Row;
use crate::picture::{CaptureTime, PictureKey};
use crate::units::show;

mod nearest;

use nearest::nearest_before;

/// One picture, with all the rows of prints that use it.
struct ComparedFrame<'a> {
    /// The version of the order in whose folder it lies, by its place among the versions.
    version: Option<usize>,
    rows: Vec<&'a Row>,
    impression: &'a Impression,
}

/// Reports pictures with different bytes that look alike. The finding is always a question: no fingerprint tells a new
/// export from the next frame on a tripod. Each picture is reported with the nearest one before it only, so that a
/// series makes a chain and not all its pairs.
pub fn check(order: &JudgedOrder, report: BreachSink) {
    let frames = frames(order.brief, order.rows);
    let prints = order.brief.prints.iter();
    let singles: HashSet<&PrintId> =
        prints.filter(|print| matches!(print.pictures, PictureSelector::One(_))).map(|print| &print.id).collect();
    let versions_of: Vec<Option<&PrintId>> = frames.iter().map(|frame| frame.versions_of(&singles)).collect();
    let nearest = nearest_before(frames.iter().map(|frame| frame.impression.keys()), |one, other| {
        // Two pictures for one print are already reported by set.versions.
        let versions = versions_of[one].is_some() && versions_of[one] == versions_of[other];
        // Two halves of a sky are parts of one picture, not the same one.
        let parts = frames[one].group().is_some() && frames[one].group() == frames[other].group();
        !versions
            && !parts
            && frames[one].version == frames[other].version
            && frames[one].impression.is_like(frames[other].impression)
    });
    let series = series(&nearest);
    let pairs = nearest.iter().enumerate().filter_map(|(at, one)| Some((at, (*one)?)));
    pairs.map(|(at, one)| breach(&frames[one], &frames[at], series[at])).for_each(report);
}

/// Returns every picture whose pixels were read, in the order of its first row. Of files with the same bytes only the
/// first: the others are already reported as copies.
fn frames<'a>(brief: &Brief, rows: &'a [Arc<Row>]) -> Vec<ComparedFrame<'a>> {
    let mut frames: Vec<ComparedFrame> = Vec::new();
    let mut places: HashMap<&PictureKey, usize> = HashMap::new();
    let mut contents: HashSet<(Option<usize>, &str)> = HashSet::new();
    for row in rows {
        let (Some(picture), Some(impression), Some(sha256)) = (&row.key.picture, &row.impression, &row.sha256) else {
            continue;
        };
        let version = brief.version_at(picture.as_str());
        if let Some(at) = places.get(picture) {
            frames[*at].rows.push(row);
        } else if contents.insert((version, sha256)) {
            places.insert(picture, frames.len());
            frames.push(ComparedFrame { version, rows: vec![row], impression });
        }
    }
    frames
}

/// Returns for each picture the length of its series: a chain of pictures each like the one before.
fn series(nearest: &[Option<usize>]) -> Vec<usize> {
    let mut firsts: Vec<usize> = Vec::with_capacity(nearest.len());
    let mut counts = vec![0; nearest.len()];
    for (at, one) in nearest.iter().enumerate() {
        let first = one.map_or(at, |one| firsts[one]);
        firsts.push(first);
        counts[first] += 1;
    }
    firsts.into_iter().map(|first| counts[first]).collect()
}

impl<'a> ComparedFrame<'a> {
    /// Returns the picture's print, if it has only one and that print takes exactly one picture.
    fn versions_of(&self, singles: &HashSet<&PrintId>) -> Option<&'a PrintId> {
        let [row] = self.rows.as_slice() else { return None };
        row.key.print.as_ref().filter(|print| singles.contains(print))
    }

    /// Returns the group that it is a part of, for the first of its prints that is one.
    fn group(&self) -> Option<&'a str> {
        self.rows.iter().find_map(|row| row.group.as_deref())
    }

    fn capture_time(&self) -> Option<&'a CaptureTime> {
        self.rows[0].facts.as_ref().and_then(|facts| facts.taken.as_ref())
    }
}

/// Builds the finding. Only a note, even of one moment: one exposure is exported for several sizes on purpose. Capture
/// times, or names where there are no times, decide which question it asks.
fn breach(one: &ComparedFrame, other: &ComparedFrame, series: usize) -> OrderBreach {
    let pictures: Vec<_> = [one, other].into_iter().filter_map(|frame| frame.rows[0].key.picture.clone()).collect();
    let names: Vec<String> = pictures.iter().map(ToString::to_string).collect();
    let question = match (one.capture_time(), other.capture_time()) {
        (Some(one), Some(other)) if one.is_same_moment(other) => {
            " and were taken at the same moment: are they one picture?"
        }
        (Some(_), Some(_)) => " but were taken at different moments: did you mean to send both?",
        _ if names.windows(2).all(|pair| have_same_stem(&pair[0], &pair[1])) => {
            ", and so do their names: are they one picture?"
        }
        _ => ": are they one picture or two frames?",
    };
    let more = match series.saturating_sub(pictures.len()) {
        0 => String::new(),
        more => format!(" {} to this series", show::count(more, "more picture belongs", "more pictures belong")),
    };
    OrderBreach {
        rows: other.rows.iter().map(|row| row.key.clone()).collect(),
        breach: Breach {
            about: "look".to_owned(),
            at_most: Some(Level::Note),
            short: "looks alike".to_owned(),
            found: format!("{} look alike{question}{more}", names.join(" and ")),
            fix:
                "if they are one picture, replace the copy with the picture that was meant\nif both are meant, accept \
                  the finding"
                    .to_owned(),
            ..Breach::default()
        },
        pictures,
    }
}

/// True if one name is the other with something added, such as `p012` and `p012-2`.
fn have_same_stem(one: &str, other: &str) -> bool {
    let stem = |name: &str| name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_lowercase();
    let (one, other) = (stem(one), stem(other));
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    let rest = long.strip_prefix(&short);
    rest.is_some_and(|rest| rest.chars().next().is_none_or(|c| !c.is_alphanumeric()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, sound_submission, with_evidence, with_facts};
    use crate::judge::{Submission, judge};
    use crate::measure::Grid;

    const NOW: &str = "2026-11-02T10:21:07";

    fn picture(at: usize, waves: u64, taken: &str) -> Submission {
        let file =
            with_facts(sound_submission(&format!("p{at}.jpg"), 2400, 3000), |f| f.taken = CaptureTime::from_iso(taken));
        with_evidence(file, |e| (e.appearance.frequency_hash, e.appearance.small) = (waves, Grid::filled(1, 1, 0)))
    }

    fn questions(waves: &[(u64, &str)]) -> Vec<String> {
        let text: String = (0..waves.len())
            .map(|at| format!("[[print]]\nname = \"p{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}*\"\n"))
            .collect();
        let files: Vec<_> = waves.iter().enumerate().map(|(at, (waves, taken))| picture(at, *waves, taken)).collect();
        breaches_of(&text, &files).into_iter().map(|(_, found)| found).collect()
    }

    /// Returns the findings row by row: the picture, and the question.
    fn breaches_of(text: &str, files: &[Submission]) -> Vec<(String, String)> {
        let of_look = |row: &Row| {
            let found = row.findings.iter().find(|f| (f.rule.id, f.about.as_str()) == ("set.duplicate", "look"))?;
            Some((row.key.picture.as_ref()?.to_string(), found.found.clone()))
        };
        judge(&brief(text), files).rows.iter().filter_map(of_look).collect()
    }

    #[test]
    fn pictures_that_look_alike_are_a_question_with_their_times() {
        assert_eq!(
            questions(&[(0, NOW), (0x3f, NOW), (u64::MAX, NOW)]),
            ["p0.jpg and p1.jpg look alike and were taken at the same moment: are they one picture?"]
        );
        let later = questions(&[(0, NOW), (0, "2026-11-02T10:21:09")]);
        assert!(later[0].ends_with("but were taken at different moments: did you mean to send both?"), "{later:?}");
    }

    #[test]
    fn names_of_one_stem_are_recognised() {
        assert!(have_same_stem("p012.jpg", "P012-2.jpg") && have_same_stem("p012.jpg", "p012.tif"));
        assert!(!have_same_stem("p012.jpg", "p0125.jpg") && !have_same_stem("p012.jpg", "p013.jpg"));
    }

    #[test]
    fn a_series_asks_once_a_picture() {
        let asked = questions(&[(0, NOW); 5]);
        assert_eq!(asked.len(), 4);
        assert!(asked[3].starts_with("p3.jpg and p4.jpg look alike"), "{asked:?}");
        assert!(
            asked.iter().all(|found| found.ends_with("one picture? 3 more pictures belong to this series")),
            "{asked:?}"
        );
    }

    #[test]
    fn a_picture_for_two_prints_is_one_frame_and_asks_on_both_rows() {
        let two = "[[print]]\nsize = \"8 x 10 in\"\n[[print]]\nsize = \"16 x 20 in\"";
        let breaches = breaches_of(two, &[picture(0, 0, NOW), picture(1, 0, NOW), picture(2, u64::MAX, NOW)]);
        let pictures: Vec<&str> = breaches.iter().map(|(picture, _)| picture.as_str()).collect();
        assert_eq!(pictures, ["p1.jpg", "p1.jpg"]);
        assert!(breaches[0].1.ends_with("one picture?"), "there are no more: {breaches:?}");
    }

    #[test]
    fn copies_and_versions_of_one_print_are_reported_as_such_and_ask_nothing_more() {
        let rest = "[[print]]\nsize = \"8 x 10 in\"";
        let copy = Submission { key: PictureKey::from_text("p9.jpg"), ..picture(1, 0, NOW) };
        let of = |text: &str, files: &[Submission]| -> Vec<String> {
            breaches_of(text, files).into_iter().map(|(picture, _)| picture).collect()
        };
        assert_eq!(of(rest, &[picture(0, 0, NOW), picture(1, 0, NOW), copy]), ["p1.jpg"]);
        let one = format!("{rest}\npicture = \"p*\"");
        assert!(of(&one, &[picture(0, 0, NOW), picture(1, 0, NOW)]).is_empty());
    }
}
