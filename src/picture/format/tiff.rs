//! TIFF: facts from the tags of the largest full page, pixels by strips, rows of tiles or plain rows.
//!
//! Source: TIFF 6.0 and its supplements; BigTIFF by its published layout.

use super::descriptor::{Descriptor, HeaderSource};
use crate::colour::profile;
use crate::picture::exif::{self, ExifFacts};
use crate::picture::facts::{EmbeddedProfile, Facts, Format, Orientation};
use crate::picture::metadata::Metadata;
use crate::picture::{CaptureTime, Fault, FaultKind, iptc, xmp};

mod chunks;
mod directory;
mod jpeg_chunks;
mod packed;
mod pages;
mod pixels;
mod positioned_reader;
mod storage;

use pages::{Page, Pages, tag};
use storage::Storage;

pub const DESCRIPTOR: Descriptor =
    Descriptor { format: Format::Tiff, sniff, facts, profile: profile_of, open: pixels::open };

fn sniff(first: &[u8]) -> bool {
    let tiff = [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"].into_iter().any(|magic| first.starts_with(magic));
    // One family of raw files is a TIFF with its own mark behind the header.
    tiff && first.get(8..10) != Some(b"CR")
}

fn profile_of(source: &mut dyn HeaderSource) -> Option<Vec<u8>> {
    let mut pages = Pages::read(source).ok()?;
    let page = pages.picture();
    pages.bytes(&page, tag::ICC)
}

fn facts(source: &mut dyn HeaderSource, bytes: u64) -> Result<Facts, Fault> {
    let mut pages = Pages::read(source)?;
    if pages.is_sensor_data() {
        let is = "a camera raw file";
        return Err(Fault::new(FaultKind::Other { is }, format!("{is}, not a print picture")));
    }
    let page = pages.picture();
    let mut facts = Facts::unknown(Format::Tiff, bytes);
    facts.pages = pages.full_pages();
    (facts.width_px, facts.height_px) = (page.width_px, page.height_px);
    let storage = Storage::read(&mut pages, &page)?;
    storage.put_into(&mut facts);
    facts.has_layers = pages.has(&page, tag::EDITOR_LAYERS);
    facts.profile = match pages.bytes(&page, tag::ICC) {
        None if pages.has(&page, tag::ICC) => EmbeddedProfile::Broken("its bytes are not whole in the file".to_owned()),
        None => EmbeddedProfile::None,
        Some(icc) => profile::read(&icc)
            .map_or_else(|fault| EmbeddedProfile::Broken(fault.to_string()), EmbeddedProfile::Embedded),
    };
    let metadata = Metadata {
        exif: exif_facts(&mut pages, &page),
        xmp: pages.bytes(&page, tag::XMP).map(|packet| xmp::read(&packet)).unwrap_or_default(),
        iptc: pages.bytes(&page, tag::IPTC).map(|sets| iptc::read_datasets(&sets)).unwrap_or_default(),
        ..Metadata::default()
    };
    metadata.put_into(&mut facts, None);
    Ok(facts)
}

/// Returns the tags that a JPEG would have in its Exif block.
fn exif_facts(pages: &mut Pages<'_>, page: &Page) -> ExifFacts {
    let mut found = ExifFacts {
        orientation: pages.number(page, tag::ORIENTATION).and_then(Orientation::from_tag),
        creator: pages.text(page, tag::ARTIST),
        copyright: pages.text(page, tag::COPYRIGHT),
        caption: pages.text(page, tag::DESCRIPTION),
        ..ExifFacts::default()
    };
    // Inch is the default where the unit is missing. Source: TIFF 6.0, tag 296.
    let unit = pages.number(page, tag::RESOLUTION_UNIT).unwrap_or(2);
    found.resolution = pages
        .ratio(page, tag::X_RESOLUTION)
        .zip(pages.ratio(page, tag::Y_RESOLUTION))
        .and_then(|(x, y)| exif::to_ppi(x, y, unit));
    if let Some(exif) = pages.directory(page, tag::EXIF) {
        found.colour_space = pages.number(&exif, tag::COLOUR_SPACE).and_then(|value| u16::try_from(value).ok());
        let offset = pages.text(&exif, tag::OFFSET_TIME_ORIGINAL);
        found.taken = pages
            .text(&exif, tag::DATE_TIME_ORIGINAL)
            .and_then(|when| CaptureTime::from_exif(&when, offset.as_deref()));
        if let Some(interoperability) = pages.directory(&exif, tag::INTEROPERABILITY) {
            found.interoperability = pages.text(&interoperability, tag::INTEROPERABILITY_INDEX);
        }
    }
    if let Some(gps) = pages.directory(page, tag::GPS) {
        let coordinates = [tag::GPS_LATITUDE, tag::GPS_LONGITUDE, tag::GPS_DEST_LATITUDE, tag::GPS_DEST_LONGITUDE];
        found.has_location = coordinates.into_iter().any(|tag| pages.has(&gps, tag));
    }
    found
}

#[cfg(test)]
mod tests;
