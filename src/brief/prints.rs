//! The prints: each with its name, its lasting id, its pictures and its requirements.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use crate::units::{Length, LengthUnit, Size};

use super::check;
use super::effective::{self, PrintContext};
use super::groups::Groups;
use super::layers::{EffectiveLayers, Layer, LocatedValue, Papers};
use super::model::{Background, Crop, Print, PrintId};
use super::parsed::HeadedLayer;
use super::picture_patterns::PictureSelector;
use super::problem::Problem;
use super::requirements::Requirements;
use super::source::{SourceFile, TextPosition};
use super::sources::BriefSources;
use super::values::Value;
use super::versions::VersionLayer;

/// The id of a print whose name has no letter or digit.
const NAMELESS: &str = "print";

/// What the brief says beside its prints.
#[derive(Clone, Copy)]
pub(super) struct AroundPrints<'a> {
    pub(super) order: &'a Layer,
    /// The named papers.
    pub(super) papers: &'a Papers,
    /// The versions of the order; empty where it has one form only.
    pub(super) versions: &'a [VersionLayer],
}

/// Returns every print, once for each version, checked; a print that lacks its size is left out and reported.
pub(super) fn prints(sources: &mut BriefSources<'_>, around: AroundPrints<'_>, layers: &[HeadedLayer]) -> Vec<Print> {
    let AroundPrints { order, papers, versions } = around;
    let misread = MisreadSizes::of(sources, layers);
    let mut checks = check::Checks::default();
    let each: Vec<Option<&VersionLayer>> =
        if versions.is_empty() { vec![None] } else { versions.iter().map(Some).collect() };
    let mut groups = Groups::default();
    let mut prints: Vec<(Option<TextPosition>, Print)> = Vec::with_capacity(layers.len() * each.len());
    for ((header, layer), version) in layers.iter().flat_map(|one| each.iter().map(move |version| (one, *version))) {
        let of_version = version.map(|version| &version.layer);
        let named = [layer.get("print.paper"), of_version.and_then(|layer| layer.get("version.paper"))];
        let named = named.into_iter().flatten().next().or_else(|| order.get("paper"));
        let paper = named.and_then(|named| paper_of(papers, named));
        if let Some(unknown) = named.filter(|_| paper.is_none()) {
            checks.unknown_paper(sources, unknown, &names(papers));
        }
        let view = EffectiveLayers { order, paper, version: of_version, print: Some(layer) };
        let picks = picks(sources, *header, layer);
        let Some(size) = effective::size(view) else {
            if !layer.contains_key("print.size") && !misread.is_inside(sources, *header) {
                sources.report(*header, "this print has no size", "size = \"8 x 10 in\"");
            }
            continue;
        };
        // The print before it in the same version.
        let before = prints.len().checked_sub(each.len()).map(|at| &prints[at].1);
        let print = Print {
            version: version.map(|version| version.version.clone()),
            paper: named.and_then(paper_name),
            ..resolve_print(view, size, picks, before)
        };
        checks.print(sources, &print, view, *header);
        groups.add(sources, layer, &print, prints.len());
        prints.push((layer.get("print.id").map(|entry| entry.place), print));
    }
    if let Some(named) = order.get("paper").filter(|named| paper_of(papers, named).is_none()) {
        checks.unknown_paper(sources, named, &names(papers));
    }
    // A list with mistakes may lack the very prints that a key is meant for, and a brief without prints has yet to get
    // them.
    let brief_path = sources.brief.path;
    let list_is_sound = sources.problems.iter().all(|problem| problem.file == brief_path);
    if !prints.is_empty() && prints.len() == layers.len() * each.len() && list_is_sound {
        checks.order(sources, std::iter::once(order).chain(versions.iter().map(|version| &version.layer)));
    }
    groups.share_gaps(sources, &mut prints);
    name_each(sources, &mut prints, each.len());
    prints.into_iter().map(|(_, print)| print).collect()
}

/// Returns a print as its layers have it, without its version and the name of its paper. `before` is another print of
/// the same version, which it shares equal requirements with.
fn resolve_print(view: EffectiveLayers<'_>, size: Size, pictures: PictureSelector, before: Option<&Print>) -> Print {
    let page = view.pages("print.page");
    let (required, origins) = effective::resolve(view, PrintContext { page, width: Some(size.width), unit: size.unit });
    let is_fixed =
        required.paper.process.is_press() || !required.margins.folds.is_empty() || check::sides_differ(&required);
    Print {
        id: PrintId(Arc::from(view.text("print.id").unwrap_or_default())),
        base_id: PrintId(Arc::default()),
        version: None,
        shared_id: None,
        name: view.text("print.name").unwrap_or_else(|| size.show()),
        page,
        pictures,
        size,
        copies: view.count("print.copies").unwrap_or(1),
        may_be_rotated: view.yes_no("print.rotate").unwrap_or(!is_fixed),
        crop: view.word("print.crop", Crop::from_word).unwrap_or_default(),
        background: view.word("print.background", Background::from_word),
        requires_test_print: view.yes_no("print.testprint").unwrap_or(false),
        batch: view.count("print.batch"),
        caption: view.text("print.caption"),
        paper: None,
        credit: view.text("print.credit"),
        group: view.text("print.group").map(Arc::from),
        gap: view.length("print.gap").filter(|gap| *gap > Length::ZERO),
        requirements: share_requirements(before.map(|print| &print.requirements), required),
        origins,
    }
}

/// Returns the names of all named papers.
fn names(papers: &Papers) -> Vec<&str> {
    papers.keys().map(|name| &**name).collect()
}

/// Returns the layer of a named paper, by the value of the key `paper`.
pub(super) fn paper_of<'a>(papers: &'a Papers, named: &LocatedValue) -> Option<&'a Layer> {
    papers.get(&*paper_name(named)?)
}

/// Returns the name in the key `paper`.
pub(super) fn paper_name(named: &LocatedValue) -> Option<Arc<str>> {
    if let Value::Text(name) = &named.value { Some(Arc::from(name.as_str())) } else { None }
}

/// Returns the requirements of a print, kept once where the print before it has the same: an order may have thousands.
pub(super) fn share_requirements(before: Option<&Arc<Requirements>>, now: Requirements) -> Arc<Requirements> {
    match before {
        Some(before) if **before == now => before.clone(),
        _ => Arc::new(now),
    }
}

/// Sizes that were reported as wrong: a print without a size may have one that was misread. A brief may have a hundred
/// thousand prints, so no print looks through all of them.
struct MisreadSizes {
    /// Where prints begin, in order.
    headers: Vec<TextPosition>,
    /// Lines of problems that speak of a size.
    lines: BTreeSet<(SourceFile, usize)>,
}

impl MisreadSizes {
    fn of(sources: &BriefSources<'_>, layers: &[HeadedLayer]) -> MisreadSizes {
        let mut headers: Vec<TextPosition> = layers.iter().map(|(place, _)| *place).collect();
        headers.sort_unstable();
        let names_size = |problem: &&Problem| problem.text.contains("size") || problem.fix.starts_with("size =");
        let file_of = |problem: &Problem| {
            let is_list = problem.file != sources.brief.path;
            (if is_list { SourceFile::List } else { SourceFile::Brief }, problem.line)
        };
        MisreadSizes { headers, lines: sources.problems.iter().filter(names_size).map(file_of).collect() }
    }

    /// True if one is inside this print.
    fn is_inside(&self, sources: &BriefSources<'_>, header: TextPosition) -> bool {
        let next = self.headers.get(self.headers.partition_point(|place| *place <= header));
        let next = next.filter(|place| place.which == header.which);
        let (first, last) = (sources.line_of(header), next.map_or(usize::MAX, |place| sources.line_of(*place)));
        first < last && self.lines.range((header.which, first)..(header.which, last)).next().is_some()
    }
}

fn picks(sources: &mut BriefSources<'_>, header: TextPosition, layer: &Layer) -> PictureSelector {
    let pattern = |path: &str| match layer.get(path).map(|entry| (&entry.value, entry.place)) {
        Some((Value::Pattern(pattern), place)) => Some((pattern.clone(), place)),
        _ => None,
    };
    match (pattern("print.picture"), pattern("print.pictures")) {
        (Some((one, at)), Some((many, _))) => {
            let fix =
                format!("keep one of the two: picture takes exactly one, pictures = \"{}\" any number", many.as_str());
            let place = if at.which == header.which { at } else { header };
            sources.report(place, "a print takes either picture or pictures", fix);
            PictureSelector::One(one)
        }
        (Some((one, _)), None) => PictureSelector::One(one),
        (None, Some((many, _))) => PictureSelector::Many(many),
        (None, None) => PictureSelector::Rest,
    }
}

/// Gives every print its lasting id: the one it says, else its name as a slug; with its size where several prints have
/// that name, so that their order decides nothing; and with a number where that is taken too. There are as many
/// `versions` of each print, one after the other.
fn name_each(sources: &mut BriefSources<'_>, prints: &mut [(Option<TextPosition>, Print)], versions: usize) {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for (place, print) in prints.iter().step_by(versions) {
        let Some(place) = place else { continue };
        let id = print.id.to_string();
        let line = sources.line_of(*place);
        if let Some(earlier) = first.get(&id) {
            let what = format!("the id \"{id}\" is already used by the print of line {earlier}");
            sources.report(*place, what, format!("id = \"{id}-2\""));
        }
        first.entry(id.clone()).or_insert(line);
        taken.insert(id);
    }
    let slugs: Vec<String> = slugs(&prints.iter().step_by(versions).map(|(_, print)| print).collect::<Vec<_>>());
    let without_id = prints.iter().step_by(versions).zip(&slugs).filter(|((place, _), _)| place.is_none());
    let alike = count_words(without_id.map(|(_, slug)| slug.as_str()));
    let mut numbers: HashMap<&str, usize> = HashMap::new();
    for ((place, print), slug) in prints.iter_mut().step_by(versions).zip(&slugs) {
        if place.is_some() {
            continue;
        }
        // From where the last of this name was: a brief may hold thousands of one name.
        let next = numbers.entry(slug).or_insert(1);
        let named = |n: usize| if n == 1 { slug.clone() } else { format!("{slug}-{n}") };
        let number = (*next..).find(|n| !taken.contains(&named(*n))).unwrap_or(*next);
        *next = number + 1;
        let id = named(number);
        print.id = PrintId(Arc::from(id.as_str()));
        print.shared_id = (alike[slug.as_str()] > 1).then(|| PrintId(Arc::from(slug.as_str())));
        taken.insert(id);
    }
    for same in prints.chunks_mut(versions) {
        let (base, shared) = (same[0].1.id.clone(), same[0].1.shared_id.clone());
        for (_, print) in same {
            let of_version = |id: &PrintId| match &print.version {
                Some(version) => PrintId(format!("{}/{id}", version.name).into()),
                None => id.clone(),
            };
            (print.id, print.shared_id) = (of_version(&base), shared.as_ref().map(of_version));
            print.base_id = base.clone();
        }
    }
}

/// Returns the name of each print as a slug, with its size where several prints have that name.
fn slugs(prints: &[&Print]) -> Vec<String> {
    let slugs: Vec<String> = prints.iter().map(|print| slug_of(&print.name)).collect();
    let of_name = count_words(slugs.iter().map(String::as_str));
    let with_size = |(print, slug): (&&Print, &String)| {
        let size = slug_of(&print.size.show());
        if of_name[slug.as_str()] > 1 && *slug != size { format!("{slug}-{size}") } else { slug.clone() }
    };
    prints.iter().zip(&slugs).map(with_size).collect()
}

/// Returns how often each word occurs.
fn count_words<'a>(words: impl Iterator<Item = &'a str>) -> HashMap<&'a str, usize> {
    let mut counts = HashMap::new();
    words.for_each(|word| *counts.entry(word).or_default() += 1);
    counts
}

/// Returns a name in small letters, digits and hyphens.
fn slug_of(name: &str) -> String {
    match slug::slugify(name) {
        empty if empty.is_empty() => NAMELESS.to_owned(),
        slug => slug,
    }
}

/// Returns the unit of the first print's size, in which the order as a whole is shown.
pub(super) fn unit(prints: &[Print]) -> LengthUnit {
    prints.first().map_or(LengthUnit::Millimetre, |print| print.size.unit)
}
