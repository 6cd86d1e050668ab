//! The views of a picture: what each paints over it, and its legend in words. A new view is one line of [`VIEWS`].

use std::sync::Arc;

use crate::colour::ProofRendering;
use crate::judge::Row;
use crate::judge::metrics::changes::ColourChanges;
use crate::judge::metrics::colours::OutOfGamut;
use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::judge::metrics::{Grid, ToneLoss};
use crate::judge::subject::BoxOrigin;
use crate::live::snapshot::Proof;
use crate::tui::numbers;
use crate::tui::picture::overlay::{Dash, Hatch, Mark, Overlay};

/// Quarters of its own value that the picture keeps where it is not printed, and where cutting may remove it. Own
/// choice.
const NOT_PRINTED: u8 = 1;
const CUT_AWAY: u8 = 2;
/// Two lines nearer to each other than this share of the picture count as one. Own choice: a tenth of a thumbnail's
/// pixel.
const SAME_LINE: f64 = 1e-4;

/// One view of a picture.
#[derive(Debug)]
pub struct ViewDefinition {
    /// The view's name.
    pub name: &'static str,
    /// The function that makes the overlay and its legend.
    shown: fn(&Row) -> ShownView,
    /// The proof shown in place of the picture, if any; its legend comes from [`on_paper`].
    rendering: Option<ProofRendering>,
}

impl ViewDefinition {
    const fn over(name: &'static str, shown: fn(&Row) -> ShownView) -> ViewDefinition {
        ViewDefinition { name, shown, rendering: None }
    }

    const fn proof(name: &'static str, rendering: ProofRendering) -> ViewDefinition {
        ViewDefinition { name, shown: |_| ShownView::default(), rendering: Some(rendering) }
    }
}

/// Every view, in the order in which the key steps through them.
pub static VIEWS: &[ViewDefinition] = &[
    ViewDefinition::over("as sent", |_| ShownView::default()),
    ViewDefinition::over("lost tones", lost_tones),
    ViewDefinition::over("lost colours", lost_colours),
    ViewDefinition::over("cut lines", cut_lines),
    ViewDefinition::proof("on paper", ProofRendering::Relative),
    ViewDefinition::proof("on paper, perceptual", ProofRendering::Perceptual),
    ViewDefinition::proof("on paper, with paper white", ProofRendering::PaperWhite),
];

/// An index into [`VIEWS`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PictureView(usize);

/// A view's overlay and legend for a row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShownView {
    /// The painted overlay.
    pub overlay: Overlay,
    /// The legend in words, the most important line first.
    pub legend: Vec<LegendLine>,
}

/// One line of a legend.
#[derive(Clone, Debug, PartialEq)]
pub struct LegendLine {
    /// The sign used for it in the picture.
    pub sign: Sign,
    /// The sign's meaning.
    pub words: String,
}

/// The sign of a legend's entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// No sign, only words.
    None,
    /// A hatching.
    Hatch(Hatch),
    /// A line.
    Dash(Dash),
}

impl PictureView {
    /// Returns the next view.
    #[must_use]
    pub fn next(self) -> PictureView {
        PictureView((self.0 + 1) % VIEWS.len())
    }

    /// Returns the previous view.
    #[must_use]
    pub fn previous(self) -> PictureView {
        PictureView((self.0 + VIEWS.len() - 1) % VIEWS.len())
    }

    /// Returns the view's name.
    pub fn name(self) -> &'static str {
        VIEWS[self.0].name
    }

    /// True if the picture is shown alone, without a legend.
    pub fn is_plain(self) -> bool {
        self.0 == 0
    }

    /// Returns the proof shown in place of the picture, if any.
    pub fn rendering(self) -> Option<ProofRendering> {
        VIEWS[self.0].rendering
    }

    /// Returns the view of a row.
    pub fn shown(self, row: &Row) -> ShownView {
        (VIEWS[self.0].shown)(row)
    }
}

impl Sign {
    /// Returns the sign as line-drawing characters or ASCII.
    pub const fn text(self, line_signs: bool) -> &'static str {
        match (self, line_signs) {
            (Sign::None, _) => "",
            (Sign::Hatch(Hatch::Rising), _) => "////",
            (Sign::Hatch(Hatch::Falling), _) => "\\\\\\\\",
            (Sign::Dash(Dash::Solid), true) => "────",
            (Sign::Dash(Dash::Long), true) => "── ─",
            (Sign::Dash(Dash::Dotted), true) => "····",
            (Sign::Dash(Dash::Sparse), true) => "·  ·",
            (Sign::Dash(Dash::StrokeDot), true) => "─·─·",
            (Sign::Dash(Dash::Corners), true) => "┌  ┐",
            (Sign::Dash(Dash::Solid), false) => "----",
            (Sign::Dash(Dash::Long), false) => "-- -",
            (Sign::Dash(Dash::Dotted), false) => "....",
            (Sign::Dash(Dash::Sparse), false) => ".  .",
            (Sign::Dash(Dash::StrokeDot), false) => "-.-.",
            (Sign::Dash(Dash::Corners), false) => "+  +",
        }
    }
}

impl LegendLine {
    fn new(sign: Sign, words: impl Into<String>) -> LegendLine {
        LegendLine { sign, words: words.into() }
    }

    fn words(words: &str) -> LegendLine {
        LegendLine::new(Sign::None, words)
    }
}

/// The progress of a proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// The proof is being made.
    Working,
    /// The proof is on screen.
    Made(Proof),
    /// The picture's profile cannot be converted to this paper.
    Impossible,
}

/// Returns the legend of a proof, with what is known of the screen's calibration.
pub fn on_paper(rendering: ProofRendering, how: How, calibration: Option<&str>) -> Vec<LegendLine> {
    let (first, how) = match how {
        How::Working => (Some("making the proof"), None),
        How::Impossible => (Some("no proof can be made: shown as sent"), None),
        How::Made(proof) => (
            None,
            Some(match (proof, rendering) {
                (Proof { is_by_profile: false, .. }, ProofRendering::PaperWhite) => {
                    "no paper profile: only the paper's black and white are shown"
                }
                (Proof { is_by_profile: false, .. }, ProofRendering::Perceptual) => {
                    "no paper profile, so not perceptual: only the paper's black is shown"
                }
                (Proof { is_by_profile: false, .. }, ProofRendering::Relative) => {
                    "no paper profile: only the paper's black is shown"
                }
                (_, ProofRendering::Relative) => "relative colorimetric, black point compensation",
                (_, ProofRendering::Perceptual) => "perceptual rendering",
                (_, ProofRendering::PaperWhite) => "relative colorimetric, with paper white",
            }),
        ),
    };
    // The caution comes before the lines that a small window cuts off.
    let caution = [Some("approximate colours"), Some("a hard proof decides")];
    [first].into_iter().chain(caution).chain([how, calibration]).flatten().map(LegendLine::words).collect()
}

fn lost_tones(row: &Row) -> ShownView {
    let Some(tones) = &row.tones else {
        return ShownView { legend: vec![LegendLine::words("not measured yet")], ..ShownView::default() };
    };
    let kinds = [
        (Hatch::Rising, ToneLoss::Shadows, "shadows that block up", row.metrics.shadows_lost),
        (Hatch::Falling, ToneLoss::Highlights, "blown white", row.metrics.highlights_lost),
    ];
    let marks = kinds.iter().map(|(hatch, lost, ..)| {
        let Grid { across, down, fields } = &tones.lost;
        let fields = fields.iter().map(|field| field == lost).collect();
        Mark::Hatched(*hatch, Arc::new(Grid { across: *across, down: *down, fields }))
    });
    let marks = marks.collect();
    let legend = kinds.iter().map(|(hatch, _, words, share)| {
        let share = share.map(|share| format!(" {}", numbers::share(share))).unwrap_or_default();
        LegendLine::new(Sign::Hatch(*hatch), format!("{words}{share}"))
    });
    ShownView { overlay: Overlay { marks }, legend: legend.collect() }
}

fn lost_colours(row: &Row) -> ShownView {
    let Some(lost) = &row.lost_colours else {
        return ShownView { legend: vec![LegendLine::words("not measured for this picture")], ..ShownView::default() };
    };
    let of = |hatch: Hatch, words: [&str; 2], outside: Option<OutOfGamut>, changes: &Option<Arc<ColourChanges>>| {
        match changes {
            Some(changes) => {
                let share = outside.map(|outside| format!(" {}", numbers::share(outside.share))).unwrap_or_default();
                let Grid { across, down, ref fields } = changes.fields;
                let fields = fields.iter().map(|change| *change > 0).collect();
                let marked = Arc::new(Grid { across, down, fields });
                (
                    Some(Mark::Hatched(hatch, marked)),
                    LegendLine::new(Sign::Hatch(hatch), format!("{}{share}", words[0])),
                )
            }
            None => (None, LegendLine::words(words[1])),
        }
    };
    let space = ["outside the colour space", "no RGB space to compare"];
    let (space, space_words) = of(Hatch::Rising, space, row.metrics.outside, &lost.space);
    let paper = ["outside the paper's gamut", "no paper profile"];
    let (paper, paper_words) = of(Hatch::Falling, paper, row.metrics.outside_paper, &lost.paper);
    let caution = LegendLine::words("approximate colours: a hard proof decides");
    let marks = [space, paper].into_iter().flatten().collect();
    ShownView { overlay: Overlay { marks }, legend: vec![space_words, paper_words, caution] }
}

/// Returns the lines that a row's print draws through its picture.
pub fn lines_of(row: &Row) -> Option<CutLines> {
    CutLines::centred(row.placement.as_deref()?)
}

fn cut_lines(row: &Row) -> ShownView {
    let Some(mut shown) = lines_of(row).map(|lines| print_lines(&lines)) else {
        return ShownView { legend: vec![LegendLine::words("no print, so no lines")], ..ShownView::default() };
    };
    let moved = row.crop.filter(|plan| plan.is_moved).and_then(|plan| plan.rectangle(row.placement.as_deref()?));
    if let Some(window) = moved {
        // What the print would take by itself is dimmed all round; the corners show the better crop.
        shown.overlay.marks.retain(|mark| !matches!(mark, Mark::Frame(Dash::Corners, _)));
        shown.overlay.marks.push(Mark::Frame(Dash::Corners, window));
        let corners = shown.legend.iter_mut().filter(|entry| entry.sign == Sign::Dash(Dash::Corners));
        corners.for_each(|entry| entry.words = "better crop".to_owned());
    }
    if let Some(subject) = row.subject {
        let area = subject.area;
        let words = if subject.origin == BoxOrigin::Doubtful { "subject, doubtful" } else { "subject" };
        let at = shown.legend.len().saturating_sub(1);
        shown.legend.insert(at, LegendLine::new(Sign::Dash(Dash::Solid), words));
        shown.overlay.marks.push(Mark::Frame(Dash::Solid, [area.left, area.top, area.right, area.bottom]));
    }
    shown
}

/// Returns the lines of a print without the subject; lines that coincide with a wider one are left out.
pub fn print_lines(lines: &CutLines) -> ShownView {
    let apart = |one: Rectangle, other: Rectangle| one.iter().zip(other).any(|(a, b)| (a - b).abs() > SAME_LINE);
    let cut_off = lines.window.iter().zip([0.0, 0.0, 1.0, 1.0]).enumerate().any(|(side, (at, edge))| {
        let inside = if side < 2 { at - edge } else { edge - at };
        inside > SAME_LINE
    });
    let mut shown = ShownView::default();
    let ShownView { overlay: Overlay { marks }, legend } = &mut shown;
    let cut = apart(lines.trim, lines.window);
    marks.push(Mark::Dimmed(lines.window, NOT_PRINTED));
    marks.push(Mark::Dimmed(lines.trim, CUT_AWAY));
    if cut {
        marks.push(Mark::Frame(Dash::Long, lines.trim));
        legend.push(LegendLine::new(Sign::Dash(Dash::Long), "trim may reach here"));
    }
    if apart(lines.safe, lines.trim) {
        marks.push(Mark::Frame(Dash::Dotted, lines.safe));
        legend.push(LegendLine::new(Sign::Dash(Dash::Dotted), "safe line"));
    }
    if apart(lines.finished, lines.window) && apart(lines.finished, lines.trim) {
        marks.push(Mark::Frame(Dash::Sparse, lines.finished));
        legend.push(LegendLine::new(Sign::Dash(Dash::Sparse), "finished edge"));
    }
    if !lines.folds.is_empty() {
        let ends = (lines.trim[1], lines.trim[3]);
        let strips = lines.folds.iter().flat_map(|(left, right)| [*left, *right]);
        marks.extend(strips.map(|at| Mark::Upright(Dash::StrokeDot, at, ends)));
        legend.push(LegendLine::new(Sign::Dash(Dash::StrokeDot), "fold"));
    }
    if cut_off {
        marks.push(Mark::Frame(Dash::Corners, lines.window));
        legend.push(LegendLine::new(Sign::Dash(Dash::Corners), "printed area"));
    }
    legend.push(LegendLine::words(if cut_off || cut { "dimmed: cut off" } else { "nothing is cut off" }));
    shown
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::RowState;
    use crate::judge::metrics::crop::CropPlan;
    use crate::judge::metrics::lost_colours::LostColours;
    use crate::judge::subject::{Area, Subject};
    use crate::tui::tests::order::{measured, plain_row, tones};

    fn legend(view: PictureView, row: &Row) -> Vec<String> {
        let entries = view.shown(row).legend;
        entries.iter().map(|entry| format!("{} {}", entry.sign.text(false), entry.words)).collect()
    }

    fn named(name: &str) -> PictureView {
        PictureView(VIEWS.iter().position(|way| way.name == name).unwrap())
    }

    #[test]
    fn a_proof_without_a_profile_names_what_is_shown_of_the_paper() {
        let said = |rendering| {
            on_paper(rendering, How::Made(Proof { rendering, is_by_profile: false }), None)
                .last()
                .unwrap()
                .words
                .clone()
        };
        assert_eq!(said(ProofRendering::Relative), "no paper profile: only the paper's black is shown");
        let both = "no paper profile: only the paper's black and white are shown";
        assert_eq!(said(ProofRendering::PaperWhite), both);
    }

    #[test]
    fn the_key_goes_round_and_back() {
        let mut view = PictureView::default();
        assert!(view.is_plain());
        for way in VIEWS {
            assert_eq!(view.name(), way.name);
            assert_eq!(view.next().previous(), view);
            view = view.next();
        }
        assert_eq!(view, PictureView::default());
    }

    #[test]
    fn lost_tones_are_hatched_and_named_with_their_shares() {
        let view = named("lost tones");
        let mut row = Row::clone(&plain_row("plum", RowState::Pass).row);
        assert_eq!(legend(view, &row), [" not measured yet"]);
        row.tones = Some(tones(2, vec![ToneLoss::Shadows, ToneLoss::Highlights]));
        (row.metrics.shadows_lost, row.metrics.highlights_lost) = (Some(0.181), Some(0.004));
        assert_eq!(legend(view, &row), ["//// shadows that block up 18.1 %", "\\\\\\\\ blown white 0.4 %"]);
        let marks = view.shown(&row).overlay.marks;
        assert!(matches!(&marks[0], Mark::Hatched(Hatch::Rising, of) if of.fields == [true, false]), "{marks:?}");
        assert!(matches!(&marks[1], Mark::Hatched(Hatch::Falling, of) if of.fields == [false, true]), "{marks:?}");
    }

    #[test]
    fn lost_colours_are_hatched_by_what_cannot_hold_them() {
        let view = named("lost colours");
        let mut row = Row::clone(&plain_row("plum", RowState::Pass).row);
        assert_eq!(legend(view, &row), [" not measured for this picture"]);
        let fields = Grid { across: 2, down: 1, fields: vec![21, 0] };
        let space = Some(Arc::new(ColourChanges { fields, ..ColourChanges::default() }));
        row.lost_colours = Some(LostColours { space, paper: None });
        row.metrics.outside = Some(OutOfGamut { share: 0.12, ..OutOfGamut::default() });
        let caution = " approximate colours: a hard proof decides";
        let said = legend(view, &row);
        assert_eq!(said, ["//// outside the colour space 12 %", " no paper profile", caution]);
        let marks = view.shown(&row).overlay.marks;
        assert!(matches!(&marks[..], [Mark::Hatched(Hatch::Rising, of)] if of.fields == [true, false]), "{marks:?}");
    }

    #[test]
    fn every_line_of_a_print_has_its_pattern_and_its_word() {
        let view = named("cut lines");
        assert_eq!(legend(view, &plain_row("plum", RowState::Pass).row), [" no print, so no lines"]);
        let mut row = Row::clone(&measured().row);
        let area = Area::new(0.2, 0.2, 0.8, 0.8).unwrap();
        row.subject = Some(Subject { area, origin: BoxOrigin::Doubtful });
        let patterns = ["-- - trim may reach here", ".... safe line", ".  . finished edge", "---- subject, doubtful"];
        assert_eq!(legend(view, &row), [&patterns[..], &[" dimmed: cut off"]].concat());
        let lines = CutLines {
            window: [0.1, 0.0, 0.9, 1.0],
            finished: [0.1, 0.0, 0.9, 1.0],
            trim: [0.1, 0.0, 0.9, 1.0],
            safe: [0.1, 0.0, 0.9, 1.0],
            folds: vec![(0.45, 0.55)],
        };
        let words: Vec<String> = print_lines(&lines).legend.into_iter().map(|entry| entry.words).collect();
        assert_eq!(words, ["fold", "printed area", "dimmed: cut off"]);
        let whole = CutLines { window: [0.0, 0.0, 1.0, 1.0], trim: [0.0, 0.0, 1.0, 1.0], folds: Vec::new(), ..lines };
        assert_eq!(print_lines(&whole).legend.last().unwrap().words, "nothing is cut off");
    }

    #[test]
    fn a_better_crop_takes_the_corners() {
        let mut row = Row::clone(&measured().row);
        let brief = crate::judge::testing::brief("[[print]]\nsize = \"8 x 10 in\"");
        let placement = crate::judge::placement::Placement::of(&brief.prints[0], (2400, 3600));
        row.placement = Some(Arc::new(placement));
        row.crop = Some(CropPlan { left: 0.0, top: 0.15, is_moved: true, keeps_subject: Some(true) });
        let shown = named("cut lines").shown(&row);
        assert!(shown.legend.iter().any(|entry| entry.words == "better crop"), "{:?}", shown.legend);
        // Arithmetic: 3000 of 3600 px from 15 % on.
        let corners = shown.overlay.marks.iter().find_map(|mark| match mark {
            Mark::Frame(Dash::Corners, window) => Some(window),
            _ => None,
        });
        let wanted = [0.0, 0.15, 1.0, 0.15 + 3000.0 / 3600.0];
        assert!(corners.unwrap().iter().zip(wanted).all(|(one, other)| (one - other).abs() < 1e-9), "{corners:?}");
    }
}
