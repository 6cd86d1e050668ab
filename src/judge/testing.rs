//! Pictures and prints for the tests of rules.

use std::path::Path;
use std::sync::Arc;

use crate::brief::{Brief, Print};
use crate::colour::{Encoding, ProfileClass, ProfileFacts, ProfileSpace, SampleSource, lightness_of_codes};
use crate::judge::evaluate;
use crate::judge::metrics::last_measured::PrintMeasurement;
use crate::judge::model::check::{Breach, Case, RuleOutcome};
use crate::judge::model::evidence_handle::EvidenceHandle;
use crate::judge::model::finding::Finding;
use crate::judge::model::row::Row;
use crate::judge::model::rule::Rule;
use crate::judge::model::submission::{HeaderState, Pixels, Submission};
use crate::judge::rules::{self, configurable_ids};
use crate::judge::subject::{Area, BoxOrigin, Subject, Subjects};
use crate::measure::Evidence;
use crate::measure::evidence::{CellBin, DEVIATION_STEP, Tone};
use crate::picture::PictureKey;
use crate::picture::facts::{Compression, EmbeddedProfile, Facts, Format, JpegFacts};

/// Parses a brief from its text.
pub fn brief(text: &str) -> Brief {
    crate::brief::parse(text, Path::new("test.toml"), None, &configurable_ids())
        .unwrap_or_else(|problems| panic!("{problems:#?}"))
}

/// Returns the first print of a brief.
pub fn print(text: &str) -> Print {
    brief(text).prints.swap_remove(0)
}

/// Returns a profile with an encoding's numbers.
pub fn profile(encoding: Encoding) -> ProfileFacts {
    ProfileFacts {
        description: encoding.name().to_owned(),
        class: ProfileClass::Display,
        space: ProfileSpace::Rgb,
        bytes: 3144,
        known_as: Some(encoding),
        sha256: encoding.word().to_owned(),
        grid: None,
    }
}

/// Returns the facts of a sound sRGB JPEG without a resolution tag.
pub fn facts(width_px: u32, height_px: u32) -> Facts {
    Facts {
        compression: Compression::Jpeg,
        width_px,
        height_px,
        profile: EmbeddedProfile::Embedded(profile(Encoding::Srgb)),
        jpeg: Some(JpegFacts {
            quality: 95,
            is_exact: true,
            subsampling: "4:4:4".to_owned(),
            is_progressive: false,
            adobe_transform: None,
            stray_bytes: 0,
        }),
        ..Facts::unknown(Format::Jpeg, 1_000_000)
    }
}

/// Returns a sound file whose pixels were read.
pub fn sound_submission(name: &str, width_px: u32, height_px: u32) -> Submission {
    Submission {
        key: PictureKey::from_text(name),
        name_is_utf8: true,
        bytes: 1_000_000,
        modified_ns: 0,
        header: HeaderState::Read(Arc::new(facts(width_px, height_px))),
        pixels: read(evidence(&format!("sha of {name}"), None)),
        subjects: Arc::default(),
        acceptances: Arc::default(),
        test_print_remarks: Arc::default(),
    }
}

fn read(evidence: Evidence) -> Pixels {
    Pixels::Read(Arc::new(EvidenceHandle::in_memory(evidence)))
}

fn evidence(sha256: &str, alpha_hides: Option<f64>) -> Evidence {
    Evidence { alpha_hides, ..Evidence::nothing(sha256) }
}

/// Returns the lightness of sRGB cells, given as mean code, contrast in codes and number of cells.
pub fn tone(cells: &[(u8, f64, u32)]) -> Tone {
    let of = |(mean, spread, count): &(u8, f64, u32)| CellBin {
        mean: *mean,
        deviation_steps: (spread / DEVIATION_STEP) as u8,
        count: *count,
    };
    Tone {
        lightness: lightness_of_codes(ProfileSpace::Rgb, SampleSource::Nothing).to_vec(),
        luma: vec![1; 256],
        cells: cells.iter().map(of).collect(),
        cell_count: cells.iter().map(|cells| cells.2).sum(),
        wider: Vec::new(),
    }
}

/// Returns the file with changed facts.
pub fn with_facts(mut file: Submission, change: impl FnOnce(&mut Facts)) -> Submission {
    let HeaderState::Read(facts) = &mut file.header else { panic!("the header is not read") };
    change(Arc::make_mut(facts));
    file
}

/// Returns the file with changed evidence.
pub fn with_evidence(mut file: Submission, change: impl FnOnce(&mut Evidence)) -> Submission {
    let mut evidence = file.evidence().expect("the pixels are read").as_ref().clone();
    change(&mut evidence);
    file.pixels = read(evidence);
    file
}

/// Returns the file with another digest.
pub fn with_sha256(mut file: Submission, sha256: &str) -> Submission {
    file.pixels = read(evidence(sha256, None));
    file
}

/// Returns a rule by its id.
pub fn rule(id: &str) -> &'static Rule {
    rules::find(id).unwrap_or_else(|| panic!("there is no rule {id}"))
}

/// Returns a finding of a rule, at the rule's own level, with empty texts.
pub fn finding(id: &str) -> Finding {
    evaluate::finding_from(rule(id), rule(id).level, Vec::new(), Breach::default())
}

/// Returns the rule ids of a row's findings.
pub fn ids(row: &Row) -> Vec<&'static str> {
    row.findings.iter().map(|finding| finding.rule.id).collect()
}

/// Returns the `about` words of an outcome's breaches; panics if it did not fail.
pub fn abouts(outcome: &RuleOutcome) -> Vec<String> {
    match outcome {
        RuleOutcome::Failed(breaches) => breaches.iter().map(|breach| breach.about.clone()).collect(),
        other => panic!("it should fail, but: {other:?}"),
    }
}

/// A print and a picture, to be changed and checked.
#[derive(Clone)]
pub struct RuleBench {
    print: Print,
    file: Submission,
}

impl RuleBench {
    /// Returns the first print of a brief with a sound JPEG of 2400 x 3000 px.
    pub fn new(text: &str) -> RuleBench {
        RuleBench { print: print(text), file: sound_submission("p012-plum-tart.jpg", 2400, 3000) }
    }

    /// Changes a copy's facts.
    pub fn with(&self, change: impl FnOnce(&mut Facts)) -> RuleBench {
        RuleBench { print: self.print.clone(), file: with_facts(self.file.clone(), change) }
    }

    /// Changes a copy's print.
    pub fn with_print(&self, change: impl FnOnce(&mut Print)) -> RuleBench {
        let mut bench = self.clone();
        change(&mut bench.print);
        bench
    }

    /// Gives a copy a profile with an encoding's numbers.
    pub fn encoding(&self, encoding: Encoding) -> RuleBench {
        self.with(|facts| facts.profile = EmbeddedProfile::Embedded(profile(encoding)))
    }

    /// Renames a copy's file.
    pub fn with_name(&self, name: &str) -> RuleBench {
        let mut bench = self.clone();
        bench.file.key = PictureKey::from_text(name);
        bench
    }

    /// Changes a copy's size.
    pub fn with_px(&self, width_px: u32, height_px: u32) -> RuleBench {
        self.with(|f| (f.width_px, f.height_px) = (width_px, height_px))
    }

    /// Gives a copy an alpha channel that hides a share of the picture.
    pub fn alpha_hides(&self, share: f64) -> RuleBench {
        let mut bench = self.clone();
        bench.file.pixels = read(evidence("alpha", Some(share)));
        bench
    }

    /// Changes a copy's evidence.
    pub fn evidence(&self, change: impl FnOnce(&mut Evidence)) -> RuleBench {
        RuleBench { print: self.print.clone(), file: with_evidence(self.file.clone(), change) }
    }

    /// Gives a copy a drawn subject's box: left, top, right, bottom as shares.
    pub fn subject(&self, left: f64, top: f64, right: f64, bottom: f64) -> RuleBench {
        let mut bench = self.clone();
        let area = Area::new(left, top, right, bottom).expect("a sound box");
        let of_picture = Some(Subject { area, origin: BoxOrigin::Drawn });
        bench.file.subjects = Arc::new(Subjects { of_picture, ..Subjects::default() });
        bench
    }

    /// Gives a copy pixels that are not read yet.
    pub fn unread(&self) -> RuleBench {
        let mut bench = self.clone();
        bench.file.pixels = Pixels::Waiting;
        bench
    }

    /// Checks a rule on the same case that the program would make.
    pub fn ask(&self, ask: fn(&Case) -> RuleOutcome) -> RuleOutcome {
        let evidence = self.file.evidence();
        let measured = PrintMeasurement::of(&self.print, &self.file, evidence.as_deref(), None);
        ask(&Case::of(&self.print, &self.file, evidence.as_deref(), &measured).expect("the header is read"))
    }
}
