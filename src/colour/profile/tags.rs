//! A profile's header and tag table, checked; texts and numbers out of its tags. Source: ICC.1:2022 sections 7 and 10.
//!
//! Knows no encoding.

use super::header::{ProfileClass, ProfileFault, ProfileSpace};
use crate::colour::encoding::Curve;

/// Larger profiles are refused: the largest press profiles in circulation stay below 3 MB (common practice).
pub const MAX_BYTES: usize = 4 << 20;
/// Bytes before the tag table.
const HEADER: usize = 128;
/// Bytes of an entry in the tag table: signature, offset, size.
const ENTRY: usize = 12;
/// More tags than any real profile has; some hold private ones, none holds so many (from experience, no source).
const MAX_TAGS: usize = 256;
/// Tables from samples to colours, one for each rendering intent. Source: ICC.1:2022 section 9.2.
const TABLES: [&[u8; 4]; 7] = [b"A2B0", b"A2B1", b"A2B2", b"D2B0", b"D2B1", b"D2B2", b"D2B3"];
/// The longest description worth showing, in characters.
const MAX_DESCRIPTION: usize = 256;

/// A profile whose header and tag table were found sound: every tag lies within the bytes.
#[derive(Clone, Copy, Debug)]
pub struct CheckedProfile<'a> {
    bytes: &'a [u8],
    count: usize,
}

/// A curve tag's content.
pub enum ToneTag<'a> {
    /// By formula.
    Formula(Curve, f64, f64),
    /// By a table of 16-bit entries, at least 2.
    Table(&'a [u8]),
}

pub(super) fn too_large(bytes: usize) -> ProfileFault {
    ProfileFault::new(format!(
        "the profile has {bytes} bytes, more than the {MAX_BYTES} that we read; embed a smaller one"
    ))
}

impl<'a> CheckedProfile<'a> {
    /// Checks header and tag table.
    ///
    /// # Errors
    /// Says what contradicts the format.
    pub fn new(bytes: &'a [u8]) -> Result<CheckedProfile<'a>, ProfileFault> {
        if bytes.len() > MAX_BYTES {
            return Err(too_large(bytes.len()));
        }
        if bytes.len() < HEADER + 4 {
            return Err(ProfileFault::new(format!("the profile has only {} bytes", bytes.len())));
        }
        if &bytes[36..40] != b"acsp" {
            return Err(ProfileFault::new("the bytes where a profile should be are not an ICC profile"));
        }
        let size = number(bytes, 0)?;
        if size > bytes.len() {
            return Err(ProfileFault::new(format!(
                "the profile says that it has {size} bytes, but {} are there",
                bytes.len()
            )));
        }
        let count = number(bytes, HEADER)?;
        if count == 0 || count > MAX_TAGS || HEADER + 4 + count * ENTRY > size {
            return Err(ProfileFault::new(format!("the profile says that it has {count} tags, which cannot be")));
        }
        let checked = CheckedProfile { bytes: &bytes[..size], count };
        for index in 0..count {
            let entry = checked.entry(index);
            let (offset, length) = (number(entry, 4)?, number(entry, 8)?);
            if (0..index).any(|before| checked.entry(before)[..4] == entry[..4]) {
                return Err(ProfileFault::new(format!("the profile has the tag {} twice", entry[..4].escape_ascii())));
            }
            // Eight bytes are a tag's type and its reserved bytes.
            if offset < HEADER + 4 || length < 8 || offset.checked_add(length).is_none_or(|end| end > size) {
                return Err(ProfileFault::new(format!(
                    "the profile's tag {} lies outside its {size} bytes",
                    entry[..4].escape_ascii()
                )));
            }
        }
        Ok(checked)
    }

    /// Returns the sound bytes.
    pub fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    /// Returns the class in the header.
    pub fn class(&self) -> ProfileClass {
        match &self.bytes[12..16] {
            b"scnr" => ProfileClass::Input,
            b"mntr" => ProfileClass::Display,
            b"prtr" => ProfileClass::Output,
            b"link" => ProfileClass::Link,
            b"spac" => ProfileClass::Space,
            _ => ProfileClass::Other,
        }
    }

    /// Returns the data colour space in the header.
    pub fn space(&self) -> ProfileSpace {
        match &self.bytes[16..20] {
            b"RGB " => ProfileSpace::Rgb,
            b"GRAY" => ProfileSpace::Grey,
            b"CMYK" => ProfileSpace::Cmyk,
            b"Lab " => ProfileSpace::Lab,
            _ => ProfileSpace::Other,
        }
    }

    /// Returns the description: one text (version 2) or the first of several languages (version 4); empty if there is
    /// none.
    pub fn description(&self) -> String {
        let text = match self.tag(b"desc") {
            Some(tag) if tag.starts_with(b"desc") => plain_text(tag),
            Some(tag) if tag.starts_with(b"mluc") => first_language(tag),
            _ => None,
        };
        let text = text.unwrap_or_default();
        text.trim_end_matches('\0').trim().chars().take(MAX_DESCRIPTION).collect()
    }

    /// Returns the D50 colorants, `[red, green, blue][X, Y, Z]`, of a matrix profile.
    pub fn colorants(&self) -> Option<[[f64; 3]; 3]> {
        let colorant = |signature| {
            let tag = self.tag(signature).filter(|tag| tag.starts_with(b"XYZ "))?;
            Some([fixed(tag, 8)?, fixed(tag, 12)?, fixed(tag, 16)?])
        };
        Some([colorant(b"rXYZ")?, colorant(b"gXYZ")?, colorant(b"bXYZ")?])
    }

    /// True if it has tables from samples to colours, which come before matrix and curves.
    pub fn has_tables(&self) -> bool {
        TABLES.iter().any(|signature| self.tag(signature).is_some())
    }

    /// Returns the three curves of a matrix profile.
    pub fn curves(&self) -> Option<[ToneTag<'a>; 3]> {
        let curve = |signature| self.tag(signature).and_then(tone);
        Some([curve(b"rTRC")?, curve(b"gTRC")?, curve(b"bTRC")?])
    }

    fn entry(&self, index: usize) -> &'a [u8] {
        &self.bytes[HEADER + 4 + index * ENTRY..][..ENTRY]
    }

    fn tag(&self, signature: &[u8; 4]) -> Option<&'a [u8]> {
        let entry = (0..self.count).map(|index| self.entry(index)).find(|entry| entry.starts_with(signature))?;
        let (offset, length) = (number(entry, 4).ok()?, number(entry, 8).ok()?);
        self.bytes.get(offset..offset + length)
    }
}

impl ToneTag<'_> {
    /// Returns the linear light of a code value, both 0 to 1.
    pub fn linear(&self, code: f64) -> f64 {
        match self {
            ToneTag::Formula(curve, above, below) => {
                curve.linear(code) + if code >= curve.from { *above } else { *below }
            }
            ToneTag::Table(entries) => {
                let (entries, _) = entries.as_chunks::<2>();
                let at = |index: usize| entries.get(index).map_or(0.0, |&e| f64::from(u16::from_be_bytes(e)) / 65535.0);
                let place = code * (entries.len() - 1) as f64;
                let below = place.floor();
                let (low, high) = (at(below as usize), at(place.ceil() as usize));
                low + (high - low) * (place - below)
            }
        }
    }
}

/// Reads a `curv` or `para` tag. Source: ICC.1:2022 sections 10.6 and 10.18.
fn tone(tag: &[u8]) -> Option<ToneTag<'_>> {
    if tag.starts_with(b"curv") {
        let count = number(tag, 8).ok()?;
        let entries = tag.get(12..12 + count.checked_mul(2)?.min(MAX_BYTES))?;
        return match count {
            0 => Some(ToneTag::Formula(Curve::power(1.0), 0.0, 0.0)),
            // One entry is a power as an unsigned 8.8 number.
            1 => Some(ToneTag::Formula(
                Curve::power(f64::from(u16::from_be_bytes([entries[0], entries[1]])) / 256.0),
                0.0,
                0.0,
            )),
            _ => Some(ToneTag::Table(entries)),
        };
    }
    if !tag.starts_with(b"para") {
        return None;
    }
    let kind = u16::from_be_bytes([*tag.get(8)?, *tag.get(9)?]);
    let p = |index: usize| fixed(tag, 12 + 4 * index);
    let gamma = p(0)?;
    if kind == 0 {
        return Some(ToneTag::Formula(Curve::power(gamma), 0.0, 0.0));
    }
    let (a, b) = (p(1)?, p(2)?);
    let start = if a == 0.0 { 0.0 } else { -b / a };
    let curve = |slope, from| Curve { gamma, a, b, slope, from };
    match kind {
        1 => Some(ToneTag::Formula(curve(0.0, start), 0.0, 0.0)),
        2 => p(3).map(|c| ToneTag::Formula(curve(0.0, start), c, c)),
        3 => Some(ToneTag::Formula(curve(p(3)?, p(4)?), 0.0, 0.0)),
        4 => Some(ToneTag::Formula(curve(p(3)?, p(4)?), p(5)?, p(6)?)),
        _ => None,
    }
}

/// Reads a version 2 description: length with its closing zero, then ASCII.
fn plain_text(tag: &[u8]) -> Option<String> {
    let length = number(tag, 8).ok()?;
    let text = tag.get(12..)?;
    let text = &text[..length.min(text.len())];
    let end = text.iter().position(|&byte| byte == 0).unwrap_or(text.len());
    Some(String::from_utf8_lossy(&text[..end]).into_owned())
}

/// Reads the first text of a version 4 description, UTF-16.
fn first_language(tag: &[u8]) -> Option<String> {
    if number(tag, 8).ok()? == 0 {
        return None;
    }
    let (length, offset) = (number(tag, 20).ok()?, number(tag, 24).ok()?);
    let text = tag.get(offset..offset.checked_add(length)?)?;
    let units: Vec<u16> = text.as_chunks::<2>().0.iter().map(|&pair| u16::from_be_bytes(pair)).collect();
    Some(String::from_utf16_lossy(&units))
}

fn four(bytes: &[u8], at: usize) -> Option<[u8; 4]> {
    bytes.get(at..)?.first_chunk::<4>().copied()
}

fn number(bytes: &[u8], at: usize) -> Result<usize, ProfileFault> {
    four(bytes, at)
        .map(|four| u32::from_be_bytes(four) as usize)
        .ok_or_else(|| ProfileFault::new("the profile ends too early"))
}

/// Reads a signed 16.16 number (s15Fixed16).
fn fixed(bytes: &[u8], at: usize) -> Option<f64> {
    four(bytes, at).map(|four| f64::from(i32::from_be_bytes(four)) / 65536.0)
}
