//! The versions of an order: each with a name, a folder of its own, and the values that hold for its prints.

use std::path::{Component, Path};
use std::sync::Arc;

use unicode_normalization::UnicodeNormalization;

use super::layers::{Layer, LocatedValue};
use super::model::OrderVersion;
use super::parsed::HeadedLayer;
use super::source::TextPosition;
use super::sources::BriefSources;
use super::toml_value::quote;
use super::values::Value;
use crate::files::names;
use crate::units::words::visible;

/// Longest name of a version in bytes: it stands in a column of the table and in the names of a delivery's folders. Own
/// choice.
const MAX_NAME_BYTES: usize = 40;

/// A version and its values.
pub(super) struct VersionLayer {
    pub(super) version: Arc<OrderVersion>,
    pub(super) layer: Layer,
}

/// The versions of a brief; one without a name or a folder that can be used is left out and said.
pub(super) fn read(reading: &mut BriefSources<'_>, parsed: Vec<HeadedLayer>) -> Vec<VersionLayer> {
    let mut versions: Vec<(VersionLayer, usize)> = Vec::with_capacity(parsed.len());
    for (header, layer) in parsed {
        let name = name(reading, header, &layer);
        let folder = folder(reading, header, &layer, name.as_deref());
        let (Some(name), Some(folder)) = (name, folder) else { continue };
        let paper = text(&layer, "version.paper").map(|(paper, _)| Arc::from(paper));
        let version = OrderVersion { name: name.into(), folder: folder.into(), paper };
        let others = versions.iter().map(|(other, line)| (&*other.version, *line));
        if let Some((key, what, fix)) = others.filter_map(|other| clash(&version, other)).next() {
            let place = layer.get(key).map_or(header, |entry| entry.place);
            reading.report(place, what, fix);
            continue;
        }
        let line = reading.line_of(header);
        versions.push((VersionLayer { version: Arc::new(version), layer }, line));
    }
    versions.into_iter().map(|(version, _)| version).collect()
}

/// The text of a key, and its place.
fn text<'a>(layer: &'a Layer, path: &str) -> Option<(&'a str, TextPosition)> {
    match layer.get(path) {
        Some(LocatedValue { value: Value::Text(text), place, .. }) => Some((text, *place)),
        _ => None,
    }
}

/// The name of a version, which must do as a folder's on every system.
fn name(reading: &mut BriefSources<'_>, header: TextPosition, layer: &Layer) -> Option<String> {
    let Some((said, place)) = text(layer, "version.name") else {
        reading.report(header, "this version has no name", "name = \"press\"");
        return None;
    };
    let name: String = said.nfc().collect();
    let usable = usable_name(&name);
    if usable == name {
        return Some(name);
    }
    let what =
        format!("\"{}\" cannot be the name of a version, since it cannot be the name of a folder", visible(&name));
    reading.report(place, what, format!("name = {}", quote(&usable)));
    None
}

/// The nearest name that can be a folder's on every system.
fn usable_name(name: &str) -> String {
    let plain = if names::leaves_nothing(name) { "press".to_owned() } else { names::plain(name) };
    let short = plain[..plain.floor_char_boundary(MAX_NAME_BYTES)].trim_end_matches([' ', '.']).to_owned();
    if names::is_reserved(&short) { format!("{short}-version") } else { short }
}

/// The folder of a version, with `/` between its parts; it lies inside the folder of exports, and is not that folder
/// itself.
fn folder(reading: &mut BriefSources<'_>, header: TextPosition, layer: &Layer, name: Option<&str>) -> Option<String> {
    let usual = format!("folder = {}", quote(name.unwrap_or("press")));
    let Some((said, place)) = text(layer, "version.folder") else {
        let what = match name {
            Some(name) => format!("the version \"{}\" has no folder", visible(name)),
            None => "this version has no folder".to_owned(),
        };
        reading.report(header, what, usual);
        return None;
    };
    let said: String = said.nfc().collect();
    let mut parts: Vec<&str> = Vec::new();
    let mut leads_out = false;
    for part in Path::new(&said).components() {
        match part {
            Component::Normal(part) => parts.push(part.to_str().unwrap_or_default()),
            Component::CurDir => {}
            Component::ParentDir | Component::RootDir | Component::Prefix(_) => leads_out = true,
        }
    }
    let what = if leads_out {
        "the folder of a version must lie inside the folder that you export into"
    } else if parts.is_empty() {
        "the folder of a version must be one inside the folder that you export into, not that folder itself"
    } else if parts.iter().any(|part| part.starts_with(['.', '~']) || part.ends_with('~')) {
        "the folder of a version must not be hidden: hidden folders are not read"
    } else {
        return Some(parts.join("/"));
    };
    let last = parts.last().map(|last| names::plain(last));
    reading.report(place, what, last.map_or(usual, |last| format!("folder = {}", quote(&last))));
    None
}

/// What two versions must not share: the key, what is wrong, and the line instead. The other comes with its line.
fn clash(one: &OrderVersion, (other, line): (&OrderVersion, usize)) -> Option<(&'static str, String, String)> {
    let (name, other_name) = (visible(&one.name), visible(&other.name));
    if folded(&one.name) == folded(&other.name) {
        let what = format!("the version of line {line} is already called \"{other_name}\"");
        let fix = format!("name = {}", quote(&format!("{}-2", one.name)));
        return Some(("version.name", what, fix));
    }
    let (folder, other_folder) = (folded(&one.folder), folded(&other.folder));
    let own = format!("folder = {}", quote(&one.name));
    if folder == other_folder {
        let what = format!("the versions \"{name}\" and \"{other_name}\" (line {line}) have one folder");
        return Some(("version.folder", what, format!("give each a folder of its own: {own}")));
    }
    let is_inside = |inner: &str, outer: &str| inner.strip_prefix(outer).is_some_and(|rest| rest.starts_with('/'));
    let (inner, outer) = match () {
        () if is_inside(&folder, &other_folder) => (&name, &other_name),
        () if is_inside(&other_folder, &folder) => (&other_name, &name),
        () => return None,
    };
    let what = format!("the folder of the version \"{inner}\" lies inside that of \"{outer}\" (see line {line})");
    Some(("version.folder", what, format!("put the folders beside each other: {own}")))
}

/// A name as systems compare it that do not tell capitals from small letters.
fn folded(name: &str) -> String {
    name.nfkc().flat_map(char::to_lowercase).nfc().collect()
}
