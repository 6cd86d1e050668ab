//! Pictures and prints for the tests of rules.

use std::path::Path;
use std::sync::Arc;

use crate::brief::{Brief, Print};
use crate::colour::{Encoding, ProfileClass, ProfileFacts, ProfileSpace, SampleSource, lightness_of_codes};
use crate::judge::evaluate;
use crate::judge::metrics::last_measured::PrintMeasurement;
use crate::judge::model::check::{Breach, Case, RuleOutcome};
use crate::judge::model::counted::EvidenceHandle;
use crate::judge::model::finding::Finding;
use crate::judge::model::row::Row;
use crate::judge::model::rule::Rule;
use crate::judge::model::submission::{HeaderState, Pixels, Submission};
use crate::judge::rules::{self, ranked_ids};
use crate::judge::subject::{Area, BoxOrigin, Subject, Subjects};
use crate::measure::Evidence;
use crate::measure::evidence::{Cells, SPREAD_STEP, Tone};
use crate::picture::PictureKey;
use crate::picture::facts::{Compression, Facts, Format, JpegFacts, Profile};

/// A brief from its text.
pub fn brief(text: &str) -> Brief {
    crate::brief::parse(text, Path::new("test.toml"), None, &ranked_ids())
        .unwrap_or_else(|problems| panic!("{problems:#?}"))
}

/// The first print of a brief.
pub fn print(text: &str) -> Print {
    brief(text).prints.swap_remove(0)
}

/// A profile that carries an encoding's numbers.
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

/// The facts of a sound sRGB JPEG without a resolution tag.
pub fn facts(width_px: u32, height_px: u32) -> Facts {
    Facts {
        compression: Compression::Jpeg,
        width_px,
        height_px,
        profile: Profile::Embedded(profile(Encoding::Srgb)),
        jpeg: Some(JpegFacts {
            quality: 95,
            exact: true,
            subsampling: "4:4:4".to_owned(),
            progressive: false,
            adobe_transform: None,
            stray_bytes: 0,
        }),
        ..Facts::unknown(Format::Jpeg, 1_000_000)
    }
}

/// A sound file whose pixels were read.
pub fn delivered(name: &str, width_px: u32, height_px: u32) -> Submission {
    Submission {
        key: PictureKey::from_text(name),
        name_is_utf8: true,
        bytes: 1_000_000,
        modified_ns: 0,
        header: HeaderState::Read(Arc::new(facts(width_px, height_px))),
        pixels: read(evidence(&format!("sha of {name}"), None)),
        subjects: Arc::default(),
        acceptances: Arc::default(),
        seen: Arc::default(),
    }
}

fn read(evidence: Evidence) -> Pixels {
    Pixels::Read(Arc::new(EvidenceHandle::here(evidence)))
}

fn evidence(sha256: &str, alpha_hides: Option<f64>) -> Evidence {
    Evidence { alpha_hides, ..Evidence::nothing(sha256) }
}

/// Lightness of sRGB cells: mean code, contrast in codes, how many.
pub fn tone(cells: &[(u8, f64, u32)]) -> Tone {
    let of = |(mean, spread, count): &(u8, f64, u32)| Cells {
        mean: *mean,
        spread: (spread / SPREAD_STEP) as u8,
        count: *count,
    };
    Tone {
        lightness: lightness_of_codes(ProfileSpace::Rgb, SampleSource::Nothing).to_vec(),
        luma: vec![1; 256],
        cells: cells.iter().map(of).collect(),
        counted: cells.iter().map(|cells| cells.2).sum(),
        wider: Vec::new(),
    }
}

/// The file with other facts.
pub fn with_facts(mut file: Submission, change: impl FnOnce(&mut Facts)) -> Submission {
    let HeaderState::Read(facts) = &mut file.header else { panic!("the header is not read") };
    change(Arc::make_mut(facts));
    file
}

/// The file with other evidence.
pub fn with_evidence(mut file: Submission, change: impl FnOnce(&mut Evidence)) -> Submission {
    let mut evidence = file.evidence().expect("the pixels are read").as_ref().clone();
    change(&mut evidence);
    file.pixels = read(evidence);
    file
}

/// The file with another digest.
pub fn with_sha256(mut file: Submission, sha256: &str) -> Submission {
    file.pixels = read(evidence(sha256, None));
    file
}

/// A rule by its id.
pub fn rule(id: &str) -> &'static Rule {
    rules::find(id).unwrap_or_else(|| panic!("there is no rule {id}"))
}

/// A finding of a rule, of its own level, that says nothing yet.
pub fn finding(id: &str) -> Finding {
    evaluate::finding(rule(id), rule(id).level, Vec::new(), Breach::default())
}

/// The rules of a row's findings.
pub fn ids(row: &Row) -> Vec<&'static str> {
    row.findings.iter().map(|finding| finding.rule.id).collect()
}

/// The `about` words of an outcome's breaches; panics where it does not fail.
pub fn abouts(outcome: &RuleOutcome) -> Vec<String> {
    match outcome {
        RuleOutcome::Failed(breaches) => breaches.iter().map(|breach| breach.about.clone()).collect(),
        other => panic!("it should fail, but: {other:?}"),
    }
}

/// A print and a picture on a bench, to be changed and asked.
#[derive(Clone)]
pub struct Bench {
    print: Print,
    file: Submission,
}

impl Bench {
    /// The first print of a brief and a sound JPEG of 2400 x 3000 px.
    pub fn new(text: &str) -> Bench {
        Bench { print: print(text), file: delivered("p012-plum-tart.jpg", 2400, 3000) }
    }

    /// With other facts.
    pub fn with(&self, change: impl FnOnce(&mut Facts)) -> Bench {
        Bench { print: self.print.clone(), file: with_facts(self.file.clone(), change) }
    }

    /// With another print.
    pub fn with_print(&self, change: impl FnOnce(&mut Print)) -> Bench {
        let mut bench = self.clone();
        change(&mut bench.print);
        bench
    }

    /// With a profile that carries an encoding's numbers.
    pub fn encoding(&self, encoding: Encoding) -> Bench {
        self.with(|facts| facts.profile = Profile::Embedded(profile(encoding)))
    }

    /// Under another name.
    pub fn named(&self, name: &str) -> Bench {
        let mut bench = self.clone();
        bench.file.key = PictureKey::from_text(name);
        bench
    }

    /// With another size.
    pub fn px(&self, width_px: u32, height_px: u32) -> Bench {
        self.with(|f| (f.width_px, f.height_px) = (width_px, height_px))
    }

    /// With an alpha channel that hides a share of the picture.
    pub fn alpha_hides(&self, share: f64) -> Bench {
        let mut bench = self.clone();
        bench.file.pixels = read(evidence("alpha", Some(share)));
        bench
    }

    /// With other evidence.
    pub fn evidence(&self, change: impl FnOnce(&mut Evidence)) -> Bench {
        Bench { print: self.print.clone(), file: with_evidence(self.file.clone(), change) }
    }

    /// With a subject's box, drawn: left, top, right, bottom as shares.
    pub fn subject(&self, left: f64, top: f64, right: f64, bottom: f64) -> Bench {
        let mut bench = self.clone();
        let area = Area::new(left, top, right, bottom).expect("a sound box");
        let of_picture = Some(Subject { area, origin: BoxOrigin::Drawn });
        bench.file.subjects = Arc::new(Subjects { of_picture, ..Subjects::default() });
        bench
    }

    /// With pixels that are not read yet.
    pub fn unread(&self) -> Bench {
        let mut bench = self.clone();
        bench.file.pixels = Pixels::Waiting;
        bench
    }

    /// Asks a rule, of the very case that the program would make.
    pub fn ask(&self, ask: fn(&Case) -> RuleOutcome) -> RuleOutcome {
        let evidence = self.file.evidence();
        let measured = PrintMeasurement::of(&self.print, &self.file, evidence.as_deref(), None);
        ask(&Case::of(&self.print, &self.file, evidence.as_deref(), &measured).expect("the header is read"))
    }
}
