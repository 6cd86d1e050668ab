//! An invented order for the screen's tests: the book of Fennimore Quay Cookery School, printed by Corrow Lane Press.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use crate::brief::picture_patterns::{Pattern, PictureSelector};
use crate::brief::requirements::{
    BorderFit, ColourRequirements, DeliveryRequirements, DensityBasis, DensityRequirements, DetailRequirements, Edge,
    FileRequirements, Level, LocationRequirement, Margins, NameRequirements, Paper, Process, Requirements, Sharpened,
    Sides, Space, Stock, Surface, ToneRequirements, WrapSides,
};
use crate::brief::{Brief, Origins, Pages, Print, Problem};
use crate::brief::{Crop, PrintId, VersionPolicy};
use crate::colour::Encoding;
use crate::judge::metrics::changes::ColourChanges;
use crate::judge::metrics::colours::OutOfGamut;
use crate::judge::metrics::lost_colours::LostColours;
use crate::judge::metrics::{Grid, PrintMetrics, ToneLoss, ToneMetrics};
use crate::judge::model::row::{NotChecked, WithinTolerance};
use crate::judge::placement::Placement;
use crate::judge::subject::{Area, BoxOrigin, Subject};
use crate::judge::testing;
use crate::judge::{Finding, Row, RowKey, RowState, Rule, Totals, evaluate};
use crate::live::Snapshot;
use crate::live::snapshot::{ExportChange, JudgingStatus, Notice, ShownThumbnail, TableRow, Watching, WorkProgress};
use crate::picture::CaptureTime;
use crate::picture::facts::{Credits, EmbeddedProfile, JpegFacts, MetadataSource, MetadataText, ResolutionTag};
use crate::picture::{Facts, PictureKey};
use crate::units::{Length, LengthUnit, Ppi, Share, Size};

fn requirements() -> Requirements {
    Requirements {
        paper: Paper {
            stock: Stock::Coated,
            surface: Surface::Matte,
            process: Process::Offset,
            profile: None,
            dmax: 1.9,
            white_l: 94.0,
            printer: None,
            ink_limit: Some(Share::percent(300)),
        },
        file: FileRequirements {
            formats: vec!["tiff", "jpeg"],
            depth: vec![8, 16],
            jpeg_quality: 90,
            largest: None,
            name: NameRequirements::default(),
            credit: vec!["creator"],
            location: LocationRequirement::Allowed,
        },
        colour: ColourRequirements { spaces: vec![Space::Rgb(Encoding::Srgb)] },
        density: DensityRequirements {
            target: Ppi::whole(300),
            minimum: Ppi::whole(240),
            basis: DensityBasis::Number,
            ruling_lpi: None,
            distance: None,
        },
        margins: Margins {
            edge: Edge::Bleed,
            bleed: Sides::all(Length::from_mm(3)),
            safe: Sides::all(Length::from_mm(5)),
            border: Sides::default(),
            fit: BorderFit::default(),
            sides: WrapSides::default(),
            wrap: Length::ZERO,
            rebate: Length::ZERO,
            folds: Vec::new(),
            gutter: Length::ZERO,
            cut_tolerance: Length::from_um(1_600),
            includes_bleed: true,
            unit: LengthUnit::Millimetre,
        },
        tone: ToneRequirements { lost_highlights: Share::percent(1), lost_shadows: Share::percent(15) },
        detail: DetailRequirements {
            halo: Share::percent(25),
            enlarged: 1.2,
            noise: 4,
            sharpened: Sharpened::ByPhotographer,
        },
        delivery: DeliveryRequirements::default(),
        levels: BTreeMap::new(),
    }
}

fn print(name: &str, page: u32) -> Print {
    let size = Size::new(Length::from_mm(210), Length::from_mm(260), LengthUnit::Millimetre);
    Print {
        id: PrintId(name.replace(' ', "-").into()),
        base_id: PrintId(name.replace(' ', "-").into()),
        version: None,
        shared_id: None,
        name: name.to_owned(),
        page: Some(Pages::one(page)),
        pictures: PictureSelector::One(Pattern::new("p0*").unwrap()),
        size,
        copies: 1,
        may_be_rotated: false,
        crop: Crop::ByPhotographer,
        background: None,
        requires_test_print: false,
        batch: None,
        caption: None,
        paper: None,
        credit: None,
        group: None,
        gap: None,
        requirements: requirements().into(),
        origins: Origins::default(),
    }
}

/// Returns the brief without prints.
pub fn brief() -> Brief {
    Brief {
        path: PathBuf::from("low-water.toml"),
        like: None,
        sheets: Vec::new(),
        contact: None,
        paper: None,
        papers: Vec::new(),
        answered: Vec::new(),
        sha256: String::new(),
        title: Some("Low Water Suppers: plates, first batch".to_owned()),
        printer: Some("Corrow Lane Press".to_owned()),
        from: None,
        due: None,
        colour_correction: None,
        requirements: requirements(),
        prints: Vec::new(),
        ignore: Vec::new(),
        includes_subfolders: false,
        list_sheet: None,
        order_versions: Vec::new(),
        versions: VersionPolicy::Ask,
        origins: Origins::default(),
        findings: Vec::new(),
    }
}

fn facts(px: (u32, u32), quality: u8, encoding: Encoding) -> Facts {
    let sound = testing::facts(px.0, px.1);
    Facts {
        resolution_tag: Some(ResolutionTag { x_ppi: 300.0, y_ppi: 300.0 }),
        bytes: 4_213_377,
        profile: EmbeddedProfile::Embedded(testing::profile(encoding)),
        exif_colour_space: Some(1),
        jpeg: sound.jpeg.clone().map(|jpeg| JpegFacts { quality, is_exact: false, ..jpeg }),
        credits: Credits {
            creator: MetadataText { sources: vec![(MetadataSource::Xmp, "Ines Farrow".to_owned())] },
            ..Credits::default()
        },
        taken: CaptureTime::from_iso("2026-11-02T10:21:07"),
        ..sound
    }
}

/// Returns a finding of a rule in its own short words: what was found, why it matters, how to fix it.
pub fn finding(id: &str, level: Level, short: &str, [what, why, fix]: [&'static str; 3]) -> Finding {
    Finding {
        rule: Box::leak(Box::new(Rule { why, ..*testing::rule(id) })),
        level,
        short: short.to_owned(),
        found: what.to_owned(),
        fix: fix.to_owned(),
        ..testing::finding(id)
    }
}

/// Returns a finding: too few pixels.
pub fn too_coarse() -> Finding {
    finding(
        "density.minimum",
        Level::Must,
        "214 ppi",
        [
            "214 ppi at 210 x 260 mm with 3 mm bleed; at least 240 ppi required",
            "fine lines turn soft and edges show steps at arm's length",
            "export from the original at 2551 x 3142 px (300 ppi), without enlarging\n\
             or print this file no larger than 186 x 231 mm (240 ppi)",
        ],
    )
}

fn other_space() -> Finding {
    finding(
        "colour.profile",
        Level::Must,
        "Adobe RGB",
        [
            "the picture is in Adobe RGB (1998); sRGB required",
            "a device that takes it for sRGB prints muted colours",
            "convert the colours to sRGB when you export, and embed the profile",
        ],
    )
}

fn low_quality() -> Finding {
    finding(
        "file.jpeg_quality",
        Level::Should,
        "quality 78",
        ["JPEG quality about 78; at least 90 required", "blocks show in smooth areas", "export at quality 90 or more"],
    )
}

fn no_credit() -> Finding {
    finding(
        "file.credit",
        Level::Should,
        "no copyright",
        [
            "no copyright in Exif, IPTC or XMP; required",
            "whoever opens the file later cannot tell whose it is",
            "fill in the copyright before the export",
        ],
    )
}

/// Returns a row of a print and its picture in a state, with nothing else known. It has a picture unless it is MISSING.
pub fn plain_row(name: &str, state: RowState) -> TableRow {
    let picture = format!("{}.jpg", name.replace(' ', "-"));
    let picture = (state != RowState::Missing).then(|| PictureKey::from_text(&picture));
    let print = (state != RowState::Extra).then(|| PrintId(name.replace(' ', "-").into()));
    TableRow {
        row: Arc::new(Row {
            print_name: if state == RowState::Extra { String::new() } else { name.to_owned() },
            copies: 1,
            state,
            findings: if state == RowState::Fix { vec![too_coarse().into()] } else { Vec::new() },
            ..evaluate::empty_row(RowKey { print, picture }, None)
        }),
        is_outdated: false,
        arriving_bytes: None,
        export_change: None,
    }
}

/// Builder of a row whose picture was read and judged: by default with enough pixels for its print, in sRGB, of JPEG
/// quality 92, and with no findings.
struct JudgedRow {
    name: &'static str,
    page: u32,
    px: (u32, u32),
    quality: u8,
    encoding: Encoding,
    findings: Vec<Arc<Finding>>,
}

impl JudgedRow {
    fn of(name: &'static str, page: u32) -> JudgedRow {
        JudgedRow { name, page, px: (2551, 3142), quality: 92, encoding: Encoding::Srgb, findings: Vec::new() }
    }

    fn px(self, px: (u32, u32)) -> JudgedRow {
        JudgedRow { px, ..self }
    }

    fn quality(self, quality: u8) -> JudgedRow {
        JudgedRow { quality, ..self }
    }

    fn encoding(self, encoding: Encoding) -> JudgedRow {
        JudgedRow { encoding, ..self }
    }

    fn finding(mut self, finding: Finding) -> JudgedRow {
        self.findings.push(finding.into());
        self
    }

    fn row(self) -> TableRow {
        let JudgedRow { name, page, px, quality, encoding, findings } = self;
        let print = print(name, page);
        let placement = Arc::new(Placement::of(&print, px));
        let worst = findings.iter().map(|finding| finding.level).max();
        let state = match worst {
            Some(Level::Must) => RowState::Fix,
            Some(Level::Should) => RowState::Warn,
            _ => RowState::Pass,
        };
        let mut row = plain_row(name, state);
        row.row = Arc::new(Row {
            page: Some(Pages::one(page)),
            facts: Some(Arc::new(facts(px, quality, encoding))),
            metrics: PrintMetrics::of(&placement),
            placement: Some(placement),
            findings,
            passed: ["file.readable", "file.format", "file.depth", "size.aspect", "colour.model"]
                .map(testing::rule)
                .into(),
            ..Arc::unwrap_or_clone(row.row)
        });
        row
    }
}

/// Returns where tones are lost: fields row by row, `across` of them in a row; half dark, half light.
pub fn tones(across: usize, fields: Vec<ToneLoss>) -> Arc<ToneMetrics> {
    let histogram = (0_u8..50).map(|step| f32::from(25 - step.abs_diff(25)) / 625.0).collect();
    let mut tones = ToneMetrics { histogram, black_l: 18.0, lost: Default::default() };
    (tones.lost.across, tones.lost.down) = (across, fields.len() / across);
    tones.lost.fields = fields;
    Arc::new(tones)
}

/// Returns a row with everything measured: its lower left blocks up, its middle is blown, and it has no findings.
pub fn measured() -> TableRow {
    let mut row = JudgedRow::of("p008 smoked mackerel", 8).row();
    let field = |at: u32| match (at % 64, at / 64) {
        (x, y) if x < 20 && y > 44 => ToneLoss::Shadows,
        (24..40, 26..40) => ToneLoss::Highlights,
        _ => ToneLoss::Nothing,
    };
    let verdict = Arc::make_mut(&mut row.row);
    verdict.tones = Some(tones(64, (0..64 * 64).map(field).collect()));
    verdict.metrics = PrintMetrics {
        highlights_lost: Some(0.055),
        shadows_lost: Some(0.093),
        halo: Some(0.04),
        enlarged: Some(1.0),
        importance_in_safe: Some(0.02),
        outside: Some(OutOfGamut { share: 0.12, ..OutOfGamut::default() }),
        ..verdict.metrics
    };
    let strong = (0..64 * 64).map(|at| if at % 64 > 44 && at / 64 < 20 { 30 } else { 0 }).collect();
    let fields = Grid { across: 64, down: 64, fields: strong };
    let space = Some(Arc::new(ColourChanges { fields, ..ColourChanges::default() }));
    verdict.lost_colours = Some(LostColours { space, paper: None });
    row
}

/// Returns the measured row with findings: too few pixels, and a drawn box close to the cut.
pub fn faulty() -> TableRow {
    let too_small = JudgedRow::of("p018 leeks", 18).px((1820, 2241)).encoding(Encoding::AdobeRgb);
    let mut row = too_small.finding(too_coarse()).finding(other_space()).row();
    let sound = measured().row;
    let verdict = Arc::make_mut(&mut row.row);
    (verdict.tones, verdict.metrics) = (sound.tones.clone(), sound.metrics);
    let white = Finding {
        measured: Some(0.010_2),
        required: Some(0.01),
        unit: "share",
        ..finding(
            "tone.highlights",
            Level::Should,
            "1.02 % white",
            ["1.02 % blown white; at most 1 % required", "it prints as bare paper", ""],
        )
    };
    verdict.findings.push(white.into());
    let area = Area { left: 0.03, top: 0.3, right: 0.7, bottom: 0.8 };
    verdict.subject = Some(Subject { area, origin: BoxOrigin::Drawn });
    row
}

/// Returns a snapshot of the book, with every state at least once.
pub fn book() -> Snapshot {
    let sound = |name, page| JudgedRow::of(name, page).row();
    let mut tart = sound("p012 plum tart", 12);
    tart.export_change = Some(Arc::new(ExportChange {
        halo: None,
        state_before: RowState::Fix,
        first_state: RowState::Pass,
        density: Some(["214 ppi", "300 ppi"].map(str::to_owned)),
        looks_alike: true,
        fixed: vec![too_coarse().into()],
        new: Vec::new(),
    }));
    Arc::make_mut(&mut tart.row).within_tolerance =
        vec![WithinTolerance { rule: testing::rule("size.aspect"), what: "one pixel an axis".to_owned() }];
    Arc::make_mut(&mut tart.row).not_checked = [NotChecked {
        rule: testing::rule("colour.gamut"),
        reason: "no paper profile".to_owned(),
        brief_lacks_it: false,
    }]
    .into();
    let leeks = JudgedRow::of("p018 brown butter leeks", 18).px((1820, 2241)).encoding(Encoding::AdobeRgb);
    let leeks = leeks.finding(too_coarse()).finding(other_space()).row();
    let beetroot = JudgedRow::of("p022 salt-baked beetroot", 22).quality(78).finding(low_quality()).row();
    let mut oysters = JudgedRow::of("p027 oyster board", 27).quality(94).finding(no_credit()).row();
    oysters.is_outdated = true;
    oysters.arriving_bytes = Some(2_400_000);
    let mut broth = plain_row("p031 barley broth", RowState::Missing);
    Arc::make_mut(&mut broth.row).page = Some(Pages::one(31));
    Arc::make_mut(&mut broth.row).placement = Some(Arc::new(Placement::of_print(&print("p031 barley broth", 31))));
    Arc::make_mut(&mut broth.row).pairing_note = "p13-barley-broth.jpg is nearly its name".to_owned();
    let mut crepes = plain_row("p036 crêpes", RowState::Checking);
    Arc::make_mut(&mut crepes.row).page = Some(Pages::one(36));
    let mut extra = plain_row("p13-barley-broth", RowState::Extra);
    Arc::make_mut(&mut extra.row).pairing_note = "nearly p031*: barley broth".to_owned();
    let mut snapshot =
        snapshot_of([sound("p008 smoked mackerel", 8), tart, leeks, beetroot, oysters, broth, crepes, extra]);
    let mixed = Finding {
        pictures: vec![PictureKey::from_text("p018-brown-butter-leeks.jpg")],
        ..finding(
            "set.mixed",
            Level::Should,
            "",
            [
                "this picture is in Adobe RGB (1998), the others of the order are in sRGB",
                "one setting at the press cannot suit both",
                "export the whole order in one colour space",
            ],
        )
    };
    snapshot.order_findings = Arc::new([mixed.into()]);
    snapshot.newest = snapshot.rows[1].row.key.picture.clone();
    snapshot
}

/// Returns a snapshot of rows.
pub fn snapshot_of(rows: impl IntoIterator<Item = TableRow>) -> Snapshot {
    let rows: Vec<Arc<TableRow>> = rows.into_iter().map(Arc::new).collect();
    let mut brief = brief();
    brief.prints = rows
        .iter()
        .filter(|row| row.row.key.print.is_some())
        .map(|row| Print { page: row.row.page, ..print(&row.row.print_name, 1) })
        .collect();
    Snapshot {
        generation: 1,
        brief: Arc::new(brief),
        brief_problems: Arc::new([]),
        decisions_problems: Arc::new([]),
        folder: PathBuf::from("exports"),
        watching: Watching::Notified,
        is_cut_off: false,
        totals: Totals::of_states(rows.iter().map(|row| (row.state_now(), row.row.accepted.len()))),
        rows: rows.into(),
        order_findings: Arc::new([]),
        work: WorkProgress::default(),
        judging: JudgingStatus::default(),
        newest: None,
        notice: None,
    }
}

/// Returns two problems of a brief.
pub fn problems() -> Arc<[Problem]> {
    let problem = |line, column, text: &str, what: &str, fix: &str| Problem {
        file: PathBuf::from("jobs/low-water.toml"),
        line,
        column,
        cell: None,
        text: text.to_owned(),
        what: what.to_owned(),
        fix: fix.to_owned(),
    };
    Arc::new([
        problem(9, 8, "size = \"8x10\"", "\"8x10\" has no unit", "write \"8 x 10 in\" or \"8 x 10 mm\""),
        problem(14, 1, "bleeed = \"3 mm\"", "[margins] has no key \"bleeed\"", "bleed = \"3 mm\""),
    ])
}

/// Returns a notice of changed rows.
pub fn notice(number: u64) -> Option<Notice> {
    Some(Notice { number, words: "23 rows changed".to_owned() })
}

/// Returns a thumbnail of a picture: a plate on a table, with some grain so that it does not compress to nothing.
pub fn thumbnail(picture: &str, width_px: u32, height_px: u32) -> ShownThumbnail {
    let mut rgb = Vec::with_capacity((width_px * height_px * 3) as usize);
    let (middle_x, middle_y) = (f64::from(width_px) / 2.0, f64::from(height_px) / 2.0);
    let plate = middle_x.min(middle_y) * 0.8;
    let mut grain = 7_u32;
    for y in 0..height_px {
        for x in 0..width_px {
            grain = grain.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = (grain >> 28) as u8;
            let from_middle = (f64::from(x) - middle_x).hypot(f64::from(y) - middle_y) / plate;
            let base = match from_middle {
                d if d < 0.55 => [122, 38, 62],
                d if d < 0.62 => [196, 140, 84],
                d if d < 1.0 => [232, 228, 218],
                _ => [92, 74, 58],
            };
            rgb.extend(base.map(|value: u8| value.saturating_add(noise)));
        }
    }
    let picture = PictureKey::from_text(picture);
    ShownThumbnail { picture, version: 1, width_px, height_px, rgb, is_preview: false, proof: None }
}
