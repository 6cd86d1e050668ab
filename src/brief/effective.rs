//! The requirements in effect for a print: usual value < starter < printer's sheet < brief < named paper < version <
//! print, every value with its origin.
//!
//! Two groups belong together. A print, a version or a named paper that names its own stock starts from that stock's
//! usual values, and nothing else of the brief's `[paper]` holds for it; a print or a version that gives its own target
//! (or its ruling or distance) starts from that, and nothing of the brief's `[density]` holds for it.

use num_rational::Ratio;
use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::colour::Encoding;
use crate::units::{Length, LengthUnit, Ppi, Share, Size};

use super::edge;
use super::key_table;
use super::layers::{EffectiveLayers, Layer};
use super::model::Pages;
use super::origin::{Origin, Origins};
use super::paper_defaults;
use super::requirements::{
    BorderFit, ColourRequirements, DeliveryRequirements, DensityBasis, DensityRequirements, DetailRequirements, Edge,
    FileRequirements, Level, LocationRequirement, Margins, NameRequirements, Paper, Process, Requirements, Sharpened,
    Sides, Space, Stock, Surface, ToneRequirements, WrapSides,
};
use super::values::{self, MarginValue, Value};

/// Usual density at arm's length, in ppi. Source: photographers' delivery guidelines.
pub const USUAL_PPI: u32 = 300;
/// Pixels for each halftone line. Source: the halftone rule, 1.3 to 2.0 x ruling.
const PIXELS_PER_LINE: i128 = 2;
/// Pixels per inch at one centimetre for one pixel per arc minute: 2.54 / (2 tan 0.5'), rounded.
pub const PPI_CM: i128 = 8732;
/// Bounds of a density from distance: people step closer to food. Common practice, no source.
const DISTANCE_PPI: (u32, u32) = (MIN_DISTANCE_PPI, USUAL_PPI);
/// The lowest target that a distance may give. Common practice, no source.
pub const MIN_DISTANCE_PPI: u32 = 150;
/// A usual minimum density is no lower than this. Common practice, no source: large wall prints.
const MIN_USUAL_PPI: u32 = 100;
/// Usual bleed in millimetres; 1/8 in for sizes in inches. Source: four printers' guides.
const BLEED: (Length, Length) = (Length::from_mm(3), Length::from_um(3_175));
/// Usual safe margin on a press; 1/4 in for sizes in inches. Source: printers' guides.
const SAFE_PRESS: (Length, Length) = (Length::from_mm(5), Length::from_um(6_350));
/// Usual safe margin of a photographic print; 1/4 in for sizes in inches. Source: printers' guides.
const SAFE_PHOTO: (Length, Length) = (Length::from_mm(6), Length::from_um(6_350));
/// Usual white border; 1 in for sizes in inches. Common practice, no source.
const BORDER: (Length, Length) = (Length::from_mm(25), Length::from_um(25_400));
/// Usual depth of a stretcher bar; 1 1/2 in for sizes in inches. Source: articles name 3/4 to 1 1/2 in.
const BAR: (Length, Length) = (Length::from_mm(38), Length::from_um(38_100));
/// How far the cut may be off: 1/16 in. Source: printers' guides.
const CUT_TOLERANCE: Length = Length::from_um(1_600);
/// Lowest JPEG quality. Common practice, no source.
const JPEG_QUALITY: u32 = 90;
/// Most featureless white, in per cent. Common practice, no source.
const LOST_HIGHLIGHTS: i128 = 1;
/// Most blocked-up shadow detail, in per cent. Common practice, no source.
const LOST_SHADOWS: i128 = 15;
/// Most overshoot, in per cent. Common practice, no source.
const HALO: i128 = 25;
/// Most enlargement. Common practice, no source.
const ENLARGED: f64 = 1.2;
/// Most grain, standard deviation in levels of 255. Source: see `detail.noise` in the key table.
const NOISE: u32 = 4;

/// The key that states the folds.
const FOLDS: &str = "margins.folds";
/// Keys whose default follows from the paper.
const FROM_PAPER: &[&str] =
    &["paper.surface", "paper.process", "paper.dmax", "paper.white", "paper.ink_limit", "density.minimum"];
/// Keys whose default follows from the process.
const FROM_PROCESS: &[&str] = &["file.formats", "margins.edge", "margins.bleed", "margins.safe", "print.rotate"];

/// What decides the defaults of a print beside its keys.
#[derive(Clone, Copy)]
pub(super) struct PrintContext {
    /// Its page, which decides on which side `outer` and `spine` are; without one it counts as a right-hand page.
    pub(super) page: Option<Pages>,
    /// Its finished width; nothing for the order as a whole.
    pub(super) width: Option<Length>,
    /// The unit its size is written in.
    pub(super) unit: LengthUnit,
}

/// Returns the requirements of a print, or of the order as a whole, and where each value comes from.
pub(super) fn resolve(view: EffectiveLayers<'_>, about: PrintContext) -> (Requirements, Origins) {
    let paper = paper(view);
    let process = paper.process;
    let required = Requirements {
        file: file(view, process),
        colour: ColourRequirements { spaces: spaces(view) },
        density: density(view, &paper),
        margins: margins(view, about, process),
        tone: ToneRequirements {
            lost_highlights: view.share("tone.lost_highlights").unwrap_or(Share::percent(LOST_HIGHLIGHTS)),
            lost_shadows: view.share("tone.lost_shadows").unwrap_or(Share::percent(LOST_SHADOWS)),
        },
        detail: DetailRequirements {
            halo: view.share("detail.halo").unwrap_or(Share::percent(HALO)),
            enlarged: view.number("detail.enlarged").unwrap_or(ENLARGED),
            noise: view.count("detail.noise").unwrap_or(NOISE),
            sharpened: view.word("detail.sharpened", Sharpened::from_word).unwrap_or_default(),
        },
        delivery: DeliveryRequirements {
            transfer: view.text("delivery.transfer"),
            rename: view.text("delivery.rename"),
            tell: view.texts("delivery.tell").unwrap_or_default(),
        },
        levels: levels(view),
        paper,
    };
    let mut origins = origins(view, required.margins.edge);
    if spine(view, about).is_some() {
        origins.set(FOLDS, Origin::Spine);
    }
    (required, origins)
}

fn paper(view: EffectiveLayers<'_>) -> Paper {
    let stock = view.word("paper.stock", Stock::from_word).unwrap_or(Stock::PhotoPaper);
    let surface = view.word("paper.surface", Surface::from_word).unwrap_or(paper_defaults::usual_surface(stock));
    let process = view.word("paper.process", Process::from_word).unwrap_or(paper_defaults::usual_process(stock));
    Paper {
        stock,
        surface,
        process,
        profile: if let Some(Value::Path(path)) = view.value("paper.profile") { Some(path.clone()) } else { None },
        printer: None,
        dmax: view.number("paper.dmax").unwrap_or_else(|| paper_defaults::usual_black_d(stock, surface, process)),
        white_l: view.number("paper.white").unwrap_or_else(|| paper_defaults::usual_white_l(stock)),
        ink_limit: view.share("paper.ink_limit").or_else(|| paper_defaults::usual_ink_limit(stock, process)),
    }
}

fn file(view: EffectiveLayers<'_>, process: Process) -> FileRequirements {
    let usual = if process.is_press() { vec!["jpeg", "tiff"] } else { vec!["jpeg", "tiff", "png"] };
    let depth = if let Some(Value::Counts(depth)) = view.value("file.depth") { depth.clone() } else { vec![8, 16] };
    let largest = if let Some(Value::Bytes(bytes)) = view.value("file.largest") { Some(*bytes) } else { None };
    FileRequirements {
        formats: view.words("file.formats").unwrap_or(usual),
        depth,
        jpeg_quality: view.count("file.jpeg_quality").unwrap_or(JPEG_QUALITY),
        largest,
        name: name(view),
        credit: view.words("file.credit").unwrap_or_default(),
        location: view.word("file.location", LocationRequirement::from_word).unwrap_or_default(),
    }
}

/// Returns the spelling or the pattern of names; a print's own of either kind replaces the brief's of both.
fn name(view: EffectiveLayers<'_>) -> NameRequirements {
    let text = |layer: &Layer, path: &str| match layer.get(path).map(|entry| &entry.value) {
        Some(Value::Text(text)) => Some(text.clone()),
        _ => None,
    };
    let said = |layer: &Layer| Some((text(layer, "file.name"), text(layer, "file.name_pattern")));
    let own = view.above_order().filter_map(said).find(|(words, pattern)| words.is_some() || pattern.is_some());
    match own.or_else(|| said(view.order)).unwrap_or_default() {
        (Some(words), _) => NameRequirements { pattern: values::spelling_pattern(&words).ok(), words: Some(words) },
        (None, pattern) => NameRequirements { words: None, pattern },
    }
}

fn spaces(view: EffectiveLayers<'_>) -> Vec<Space> {
    let words = view.words("colour.space").unwrap_or_default();
    let spaces: Vec<Space> = words.iter().filter_map(|word| Space::from_word(word)).collect();
    if spaces.is_empty() { vec![Space::Rgb(Encoding::Srgb)] } else { spaces }
}

fn density(view: EffectiveLayers<'_>, paper: &Paper) -> DensityRequirements {
    let ruling = if let Some(Value::Ruling(lpi)) = view.value("density.ruling") { Some(*lpi) } else { None };
    let distance = view.length("density.distance").filter(|distance| *distance > Length::ZERO);
    let from_ruling = ruling
        .and_then(|lpi| Ppi::from_ratio(lpi * Ratio::from_integer(PIXELS_PER_LINE)))
        .map(|ppi| (ppi.min(Ppi::whole(USUAL_PPI)), DensityBasis::Ruling));
    let from_distance = distance.and_then(from_distance).map(|ppi| (ppi, DensityBasis::Distance));
    let derived = from_ruling.into_iter().chain(from_distance).min_by_key(|(ppi, _)| *ppi);
    let (target, basis) = match view.density("density.target") {
        Some(target) => (target, DensityBasis::Number),
        None => derived.unwrap_or((Ppi::whole(USUAL_PPI), DensityBasis::Number)),
    };
    let minimum = view.density("density.minimum").unwrap_or_else(|| usual_minimum(target, paper.stock, paper.process));
    let ruling_lpi = ruling.map(|lpi| *lpi.numer() as f64 / *lpi.denom() as f64);
    DensityRequirements { target, minimum, basis, ruling_lpi, distance }
}

/// Returns the usual minimum density on a paper with this target.
pub(super) fn usual_minimum(target: Ppi, stock: Stock, process: Process) -> Ppi {
    target.times(paper_defaults::usual_minimum(stock, process)).max(Ppi::whole(MIN_USUAL_PPI)).min(target)
}

/// Returns one pixel per arc minute at a distance, within bounds.
fn from_distance(distance: Length) -> Option<Ppi> {
    let cm = Ratio::from_integer(i128::from(distance.nm())) / LengthUnit::Centimetre.nm();
    let ppi = Ppi::from_ratio(Ratio::from_integer(PPI_CM) / cm)?;
    Some(ppi.clamp(Ppi::whole(DISTANCE_PPI.0), Ppi::whole(DISTANCE_PPI.1)))
}

fn margins(view: EffectiveLayers<'_>, about: PrintContext, process: Process) -> Margins {
    let usual = |pair: (Length, Length)| if about.unit.is_of_inches() { pair.1 } else { pair.0 };
    let usual_edge = if process.is_press() { Edge::Bleed } else { Edge::Borderless };
    let edge = edge::find_stated(view).map_or(usual_edge, |said| said.edge);
    let with = |kind: Edge, pair| if edge == kind { usual(pair) } else { Length::ZERO };
    let safe = usual(if process.is_press() { SAFE_PRESS } else { SAFE_PHOTO });
    let sides = |path, usual| {
        let said = view.sides(path).filter(|_| edge::uses(edge, path));
        said.map_or(Sides::all(usual), |sides| on_page(sides, about.page))
    };
    let length = |path, usual| view.length(path).filter(|_| edge::uses(edge, path)).unwrap_or(usual);
    let unit = |path| {
        view.sides(path).map(|sides| match sides {
            MarginValue::All(_, unit) | MarginValue::By(_, unit) => *unit,
        })
    };
    let mut folds = match (stated_folds(view), spine(view, about)) {
        (_, Some(spine)) => vec![spine],
        (Some(folds), None) => folds.clone(),
        (None, None) => Vec::new(),
    };
    folds.sort_unstable();
    folds.dedup();
    Margins {
        edge,
        bleed: sides("margins.bleed", with(Edge::Bleed, BLEED)),
        safe: sides("margins.safe", safe),
        border: sides("margins.border", with(Edge::Border, BORDER)),
        fit: view
            .word("margins.fit", BorderFit::from_word)
            .filter(|_| edge::uses(edge, "margins.fit"))
            .unwrap_or_default(),
        wrap: length("margins.wrap", with(Edge::Wrap, BAR)),
        sides: view
            .word("margins.sides", WrapSides::from_word)
            .filter(|_| edge::uses(edge, "margins.sides"))
            .unwrap_or_default(),
        rebate: length("margins.rebate", Length::ZERO),
        folds,
        gutter: length("margins.gutter", Length::ZERO),
        cut_tolerance: length("margins.cut_tolerance", CUT_TOLERANCE),
        includes_bleed: view.yes_no("margins.includes_bleed").unwrap_or(true),
        unit: unit("margins.bleed").or_else(|| unit("margins.safe")).unwrap_or(about.unit),
    }
}

/// The folds that the brief, or whatever comes before it, states.
fn stated_folds(view: EffectiveLayers<'_>) -> Option<&Vec<Length>> {
    if let Some(Value::Lengths(folds)) = view.value(FOLDS) { Some(folds) } else { None }
}

/// The fold of a spread for which nobody has stated folds: its spine, in the middle. A starter has said nothing.
fn spine(view: EffectiveLayers<'_>, about: PrintContext) -> Option<Length> {
    let is_stated = view.entry(FOLDS).is_some_and(|entry| !entry.origin.is_open());
    let is_spread = about.page.is_some_and(Pages::is_spread);
    about.width.filter(|_| is_spread && !is_stated).map(|width| Length::from_nm(width.nm() / 2))
}

/// Returns a margin on its page: an even page lies left, its spine on the right; a spread has its spine inside, and
/// outer edges on both sides.
fn on_page(sides: &MarginValue, page: Option<Pages>) -> Sides {
    let named = match sides {
        MarginValue::All(length, _) => return Sides::all(*length),
        MarginValue::By(named, _) => named,
    };
    let left_hand = page.is_some_and(|page| page.first % 2 == 0);
    let is_spread = page.is_some_and(Pages::is_spread);
    let mut on_page = Sides::default();
    for (side, length) in named {
        match (*side, left_hand) {
            ("outer", _) if is_spread => (on_page.left, on_page.right) = (*length, *length),
            ("spine", _) if is_spread => {}
            ("top", _) => on_page.top = *length,
            ("bottom", _) => on_page.bottom = *length,
            ("left", _) | ("outer", true) | ("spine", false) => on_page.left = *length,
            _ => on_page.right = *length,
        }
    }
    on_page
}

fn levels(view: EffectiveLayers<'_>) -> BTreeMap<String, Level> {
    let said = view.lowest_first().flatten();
    said.filter_map(|(path, entry)| {
        let (Some(id), Value::Word(word)) = (path.strip_prefix("rules."), &entry.value) else { return None };
        Some((id.to_owned(), Level::from_word(word)?))
    })
    .collect()
}

/// Returns where each key's value comes from; a margin that the print's edge does not use comes from nowhere.
fn origins(view: EffectiveLayers<'_>, edge: Edge) -> Origins {
    let mut origins = BTreeMap::new();
    for key in key_table::all().filter(|key| key.name() != "*") {
        let from_paper = FROM_PAPER.contains(&key.path).then_some(Origin::Paper);
        let usual = from_paper.or(FROM_PROCESS.contains(&key.path).then_some(Origin::Process));
        let entry = view.entry(key.path).filter(|_| edge::uses(edge, key.path));
        if let Some(origin) = entry.map(|entry| entry.origin.clone()).or(usual) {
            origins.insert(Cow::Borrowed(key.path), origin);
        }
    }
    // A target that follows from a stated ruling or distance is as binding as they are.
    let bases = ["density.ruling", "density.distance"].into_iter().filter_map(|path| view.entry(path));
    if let Some(basis) = bases.into_iter().next() {
        origins.entry(Cow::Borrowed("density.target")).or_insert_with(|| basis.origin.clone());
    }
    if let Some(said) = edge::find_stated(view) {
        origins.insert(Cow::Borrowed("margins.edge"), said.origin);
    }
    for (path, entry) in view.lowest_first().flatten() {
        if path.starts_with("rules.") {
            origins.insert(Cow::Owned(path.clone()), entry.origin.clone());
        }
    }
    origins.into()
}

/// Returns the size as a print shows it when it has no name.
pub(super) fn size(view: EffectiveLayers<'_>) -> Option<Size> {
    if let Some(Value::Size(size)) = view.value("print.size") { Some(*size) } else { None }
}
