//! A small invented check with every state in it, for the tests of this module.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use crate::brief::asked::{
    Asked, Basis, ColourAsked, Crop, DensityAsked, DetailAsked, Edge, FileAsked, HandoverAsked, Level, LocationAsked,
    Margins, NameAsked, Paper, Process, Sharpened, Sides, Space, Stock, Surface, ToneAsked, Versions,
};
use crate::brief::picks::{Pattern, Picks};
use crate::brief::{Brief, Print, PrintId};
use crate::colour::{Encoding, ProfileClass, ProfileFacts, ProfileSpace};
use crate::handover::Report;
use crate::judge::answers::Answers;
use crate::judge::placement::Placement;
use crate::judge::row::NotAnswered;
use crate::judge::{Finding, Row, RowKey, State, Totals};
use crate::picture::facts::{
    Compression, Credits, Field, Format, Home, JpegFacts, Model, Orientation, Profile, ResolutionTag, SampleKind,
};
use crate::picture::{Facts, PictureKey};
use crate::units::{Length, LengthUnit, Ppi, Share, Size};

/// What the cookbook's printer asks.
pub fn asked() -> Asked {
    Asked {
        paper: Paper {
            stock: Stock::Coated,
            surface: Surface::Matte,
            process: Process::Offset,
            profile: None,
            black_d: 1.9,
            white_l: 94.0,
            ink_limit: Some(Share::percent(300)),
        },
        file: FileAsked {
            formats: vec!["tiff", "jpeg"],
            depth: vec![8, 16],
            jpeg_quality: 90,
            largest: None,
            name: NameAsked::default(),
            credit: vec!["creator"],
            location: LocationAsked::None,
        },
        colour: ColourAsked { spaces: vec![Space::Rgb(Encoding::Srgb)] },
        density: DensityAsked {
            wanted: Ppi::whole(300),
            least: Ppi::whole(240),
            basis: Basis::Number,
            ruling_lpi: None,
            distance: None,
        },
        margins: Margins {
            edge: Edge::Bleed,
            bleed: Sides::all(Length::from_mm(3)),
            safe: Sides::all(Length::from_mm(5)),
            border: Length::ZERO,
            depth: Length::ZERO,
            hidden: Length::ZERO,
            folds: Vec::new(),
            gutter: Length::ZERO,
            cut_tolerance: Length::from_um(1_600),
            includes_bleed: true,
            unit: LengthUnit::Millimetre,
        },
        tone: ToneAsked { lost_highlights: Share::percent(1), lost_shadows: Share::percent(15) },
        detail: DetailAsked { halo: Share::percent(25), enlarged: 1.2, sharpened: Sharpened::ByUs },
        handover: HandoverAsked::default(),
        levels: BTreeMap::new(),
    }
}

/// A page of the cookbook.
pub fn print(name: &str, page: u32) -> Print {
    Print {
        id: PrintId(name.replace(' ', "-").into()),
        name: name.to_owned(),
        page: Some(page),
        picks: Picks::One(Pattern::new(&format!("{}*", &name[..4])).unwrap()),
        size: Size::new(Length::from_mm(210), Length::from_mm(260), LengthUnit::Millimetre),
        copies: 1,
        turn: false,
        crop: Crop::Ours,
        ground: None,
        testprint: false,
        batch: None,
        caption: None,
        asked: asked(),
    }
}

/// An invented cookbook of four pages.
pub fn brief() -> Brief {
    Brief {
        path: PathBuf::from("low-water.toml"),
        sha256: "ab".repeat(32),
        title: Some("Low Water Suppers".to_owned()),
        printer: Some("Corrow Lane Press".to_owned()),
        due: Some("2026-12-18".to_owned()),
        colour_correction: None,
        asked: asked(),
        prints: vec![
            print("p012 plum tart", 12),
            print("p014 barley broth", 14),
            print("p016 leeks", 16),
            print("p018 oyster board", 18),
        ],
        ignore: Vec::new(),
        subfolders: false,
        versions: Versions::Ask,
    }
}

/// A sound JPEG of a page with bleed.
pub fn facts(width_px: u32, height_px: u32) -> Facts {
    Facts {
        format: Format::Jpeg,
        compression: Compression::Jpeg,
        width_px,
        height_px,
        model: Model::Rgb,
        bits: 8,
        sample: SampleKind::Unsigned,
        alpha: false,
        extra_channels: 0,
        layers: false,
        pages: 1,
        orientation: Orientation::UPRIGHT,
        tag: Some(ResolutionTag { x_ppi: 300.0, y_ppi: 300.0 }),
        bytes: 4_213_377,
        profile: Profile::Embedded(ProfileFacts {
            description: "sRGB".to_owned(),
            class: ProfileClass::Display,
            space: ProfileSpace::Rgb,
            bytes: 3_144,
            known_as: Some(Encoding::Srgb),
            sha256: "cd".repeat(32),
        }),
        claim: None,
        exif_colour_space: Some(1),
        jpeg: Some(JpegFacts {
            quality: 92,
            exact: true,
            subsampling: "4:4:4".to_owned(),
            progressive: false,
            adobe_transform: None,
        }),
        credits: Credits {
            creator: Field { homes: vec![(Home::Xmp, "Fennimore Quay".to_owned())] },
            ..Credits::default()
        },
        location: false,
        taken: Some("2026-11-02T10:21:07".to_owned()),
        unmeasurable: None,
    }
}

/// A finding of a rule, with words made from its name.
pub fn finding(rule: &'static str, level: Level, pictures: &[&str]) -> Finding {
    Finding {
        rule,
        about: String::new(),
        level,
        pictures: pictures.iter().map(|picture| PictureKey::from_text(picture)).collect(),
        measured: Some(214.0),
        wanted: Some(240.0),
        unit: "ppi",
        short: "214 ppi".to_owned(),
        what: "214 ppi at 210 x 260 mm; 240 asked".to_owned(),
        why: format!("why {rule} matters"),
        mend: "export at 2551 x 3142 px".to_owned(),
    }
}

/// A row of a print and a picture.
pub fn row(print: Option<&Print>, picture: Option<&str>, state: State) -> Row {
    let facts = facts(2551, 3142);
    let placement = print.map(|print| match picture {
        Some(_) => Placement::of(print, facts.upright_px()),
        None => Placement::of_print(print),
    });
    Row {
        key: RowKey { print: print.map(|print| print.id.clone()), picture: picture.map(PictureKey::from_text) },
        print_name: print.map_or_else(String::new, |print| print.name.clone()),
        page: print.and_then(|print| print.page),
        copies: 1,
        state,
        sha256: picture.map(|_| "ef".repeat(32)),
        answers: placement.as_ref().map(Answers::of).unwrap_or_default(),
        placement: placement.map(Arc::new),
        facts: picture.map(|_| Arc::new(facts)),
        findings: Vec::new(),
        forgiven: Vec::new(),
        passed: vec!["file.readable"],
        not_answered: Vec::new(),
        remark: String::new(),
    }
}

/// A check with every closed state in it.
pub fn report() -> Report {
    let brief = brief();
    let mut fix = row(Some(&brief.prints[0]), Some("p012-plum-tart.jpg"), State::Fix);
    fix.findings = vec![
        finding("density.least", Level::Must, &["p012-plum-tart.jpg"]),
        finding("file.name", Level::Note, &["p012-plum-tart.jpg"]),
    ];
    let mut warn = row(Some(&brief.prints[1]), Some("p014-broth\u{1b}[31m.jpg"), State::Warn);
    warn.findings = vec![finding("file.credit", Level::Should, &["p014-broth\u{1b}[31m.jpg"])];
    let mut pass = row(Some(&brief.prints[2]), Some("p016-leeks.jpg"), State::Pass);
    pass.not_answered =
        vec![NotAnswered { rule: "margins.bleed", reason: "the picture's shape does not tell".to_owned() }];
    let missing = row(Some(&brief.prints[3]), None, State::Missing);
    let mut extra = row(None, Some("=evil().jpg"), State::Extra);
    extra.remark = "no print wants it".to_owned();
    let rows = vec![fix, warn, pass, missing, extra];
    Report {
        totals: Totals::of(&rows),
        order_findings: vec![finding("set.mixed", Level::Should, &["p012-plum-tart.jpg", "p016-leeks.jpg"])],
        brief: Arc::new(brief),
        folder: "exports".to_owned(),
        rows,
        made: "2026-11-25T10:00:00Z".to_owned(),
    }
}
