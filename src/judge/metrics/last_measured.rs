//! Measurements of a picture on a print's paper, kept for the next print with the same requirements: several prints may
//! use one picture.

use std::sync::Arc;

use parking_lot::Mutex;

use crate::brief::Background;
use crate::brief::Print;
use crate::brief::requirements::Requirements;
use crate::judge::metrics::crop;
use crate::judge::metrics::crop::CropPlan;
use crate::judge::metrics::lost_colours::LostColours;
use crate::judge::metrics::tones::PaperBlack;
use crate::judge::metrics::{PrintMetrics, ToneMetrics};
use crate::judge::model::submission::Submission;
use crate::judge::placement::Placement;
use crate::judge::subject::Subject;
use crate::measure::Evidence;

/// Measurements of a picture for the previous print, for use with the next.
pub type LastMetrics = Mutex<Option<Box<PrintMeasurement>>>;

/// The measurements of a row, and what they depend on besides the picture.
#[derive(Clone, Debug)]
pub struct PrintMeasurement {
    requirements: Arc<Requirements>,
    background: Option<Background>,
    /// The picture's geometry on the print.
    pub placement: Arc<Placement>,
    /// The part of the picture that must survive.
    pub subject: Option<Subject>,
    /// The numbers that the rules compare.
    pub metrics: PrintMetrics,
    /// Places where it loses shadows and highlights.
    pub tones: Option<Arc<ToneMetrics>>,
    /// Colours that it loses.
    pub lost_colours: Option<LostColours>,
    /// The best crop to the print's shape.
    pub crop: Option<CropPlan>,
}

impl PrintMeasurement {
    /// Measures a picture for a print, as far as it is read.
    pub fn of(
        print: &Print,
        submission: &Submission,
        evidence: Option<&Evidence>,
        last: Option<&LastMetrics>,
    ) -> PrintMeasurement {
        let placement = match submission.facts() {
            Some(facts) => Placement::of(print, facts.upright_px()),
            None => Placement::of_print(print),
        };
        let subject = submission.subjects.for_print(&print.id);
        let Some(last) = last else {
            return PrintMeasurement::measure(print, submission, evidence, placement, subject);
        };
        let mut last = last.lock();
        let is_the_same = |last: &PrintMeasurement| {
            (Arc::ptr_eq(&last.requirements, &print.requirements) || last.requirements == print.requirements)
                && last.background == print.background
                && *last.placement == placement
                && last.subject == subject
        };
        match &*last {
            Some(last) if is_the_same(last) => PrintMeasurement::clone(last),
            _ => {
                let measured = PrintMeasurement::measure(print, submission, evidence, placement, subject);
                *last = Some(Box::new(measured.clone()));
                measured
            }
        }
    }

    fn measure(
        print: &Print,
        submission: &Submission,
        evidence: Option<&Evidence>,
        placement: Placement,
        subject: Option<Subject>,
    ) -> PrintMeasurement {
        let mut metrics = PrintMetrics::of(&placement);
        let (mut tones, mut lost_colours) = (None, None);
        if let (Some(evidence), Some(facts)) = (evidence, submission.facts()) {
            let evidence_handle = submission.evidence_handle();
            lost_colours = evidence_handle.and_then(|handle| LostColours::of(print, facts, handle, evidence));
            metrics = metrics.measured(print, &placement, (facts, evidence), lost_colours.as_ref());
            let black = PaperBlack::of(&print.requirements.paper);
            tones = evidence.tone.as_ref().map(|tone| Arc::new(black.tones(evidence, tone, print.background)));
        }
        let crop = crop::plan_crop(&placement, subject, evidence);
        let (requirements, background) = (print.requirements.clone(), print.background);
        PrintMeasurement {
            requirements,
            background,
            placement: Arc::new(placement),
            subject,
            metrics,
            tones,
            lost_colours,
            crop,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, sound_submission};

    #[test]
    fn measurements_are_reused_only_for_equal_requirements() {
        let same = "[[print]]\nname = \"a\"\nsize = \"8 x 10 in\"\n[[print]]\nname = \"b\"\nsize = \"8 x 10 in\"\n";
        let others = [
            "[[print]]\nsize = \"5 x 7 in\"\n",
            "[[print]]\nsize = \"8 x 10 in\"\nbackground = \"white\"\n",
            "[[print]]\nsize = \"8 x 10 in\"\n[print.paper]\nstock = \"uncoated\"\n",
            "[[print]]\nsize = \"8 x 10 in\"\n[print.density]\ndistance = \"2 m\"\n",
        ];
        let order = brief(&format!("{same}{}", others.concat()));
        let (file, last) = (sound_submission("a.jpg", 2400, 3000), LastMetrics::default());
        let evidence = file.evidence();
        let [first, second] =
            [0, 1].map(|at| PrintMeasurement::of(&order.prints[at], &file, evidence.as_deref(), Some(&last)).placement);
        assert!(Arc::ptr_eq(&first, &second), "the very same");
        for print in &order.prints[2..] {
            let kept = PrintMeasurement::of(print, &file, evidence.as_deref(), Some(&last));
            let anew = PrintMeasurement::of(print, &file, evidence.as_deref(), None);
            assert!(!Arc::ptr_eq(&first, &kept.placement));
            assert_eq!((kept.metrics, kept.tones, kept.crop), (anew.metrics, anew.tones, anew.crop));
        }
    }
}
