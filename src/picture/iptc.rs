//! IPTC-IIM: creator, copyright, caption and credit line. Source: IPTC-NAA IIM 4.2.
//!
//! Knows no container; the datasets come alone or wrapped in image resource blocks.

use super::limits;

/// The resource that holds the datasets.
const IPTC_RESOURCE: u16 = 0x0404;
/// Resources in which some programs put an Exif block and an XMP packet. Source: from memory.
pub const EXIF_RESOURCE: u16 = 0x0422;
pub const XMP_RESOURCE: u16 = 0x0424;
/// What a resource block begins with.
const RESOURCE_MARK: &[u8] = b"8BIM";
/// Dataset 1:90 of UTF-8: ESC % G.
const UTF8_MARK: &[u8] = b"\x1b%G";
/// Most octets of 2:80, 2:116, 2:120 and 2:110.
const MAX_CREATOR: usize = 32;
const MAX_COPYRIGHT: usize = 128;
const MAX_CAPTION: usize = 2_000;
const MAX_CREDIT: usize = 32;

/// An IPTC text, and whether it fills its field and so may have been cut.
pub type CutText = (String, bool);

/// What the datasets say; each text with whether it fills its field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IptcFacts {
    /// 2:80, several joined by "; ".
    pub creator: Option<CutText>,
    /// 2:116.
    pub copyright: Option<CutText>,
    /// 2:120.
    pub caption: Option<CutText>,
    /// 2:110.
    pub credit_line: Option<CutText>,
}

/// Reads whichever of the two it is: image resource blocks, or the datasets alone.
pub fn read(bytes: &[u8]) -> IptcFacts {
    if bytes.starts_with(RESOURCE_MARK) { read_resources(bytes) } else { read_datasets(bytes) }
}

/// Reads image resource blocks (`8BIM`), as in a JPEG's APP13.
pub fn read_resources(blocks: &[u8]) -> IptcFacts {
    resource(blocks, IPTC_RESOURCE).map(read_datasets).unwrap_or_default()
}

/// Returns the content of the first image resource block with a number.
pub fn resource(mut blocks: &[u8], number: u16) -> Option<&[u8]> {
    while let Some(rest) = blocks.strip_prefix(RESOURCE_MARK) {
        let (id, name) = rest.split_first_chunk::<2>()?;
        // The name is a Pascal string padded to an even length, as is the block.
        let &name_len = name.first()?;
        let (size, block) = name.get((usize::from(name_len) + 1).next_multiple_of(2)..)?.split_first_chunk::<4>()?;
        let size = u32::from_be_bytes(*size) as usize;
        let content = block.get(..size)?;
        if u16::from_be_bytes(*id) == number {
            return Some(content);
        }
        blocks = block.get(size.next_multiple_of(2)..)?;
    }
    None
}

/// Reads datasets (`1C record dataset length`), as in TIFF tag 33723.
pub fn read_datasets(mut bytes: &[u8]) -> IptcFacts {
    let mut found = IptcFacts::default();
    let mut utf8 = false;
    while let [0x1C, record, dataset, high, low, rest @ ..] = bytes {
        let length = usize::from(u16::from_be_bytes([*high, *low]));
        // Lengths above 32 767 announce a longer form, which no text of ours needs.
        let Some(content) = rest.get(..length).filter(|_| high & 0x80 == 0) else { break };
        bytes = &rest[length..];
        match (*record, *dataset) {
            (1, 90) => utf8 = content == UTF8_MARK,
            (2, 80) => join(&mut found.creator, content, utf8, MAX_CREATOR),
            (2, 116) => join(&mut found.copyright, content, utf8, MAX_COPYRIGHT),
            (2, 120) => join(&mut found.caption, content, utf8, MAX_CAPTION),
            (2, 110) => join(&mut found.credit_line, content, utf8, MAX_CREDIT),
            _ => {}
        }
    }
    found
}

fn join(field: &mut Option<CutText>, content: &[u8], utf8: bool, most: usize) {
    let text = if utf8 {
        // A text cut in the middle of a character loses that character only.
        let end = std::str::from_utf8(content).map_or_else(|error| error.valid_up_to(), str::len);
        if end + 4 > content.len() {
            String::from_utf8_lossy(&content[..end]).into_owned()
        } else {
            super::exif::decode_text(content)
        }
    } else {
        super::exif::decode_text(content)
    };
    let Some(text) = limits::text(&text) else { return };
    // Cut means cut within a character of the end.
    let full = content.len() + 4 > most;
    *field = Some(match field.take() {
        Some((before, _)) if before.len() < limits::MAX_TEXT => (format!("{before}; {text}"), false),
        Some(before) => before,
        None => (text, full),
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dataset(record: u8, number: u8, content: &[u8]) -> Vec<u8> {
        let mut bytes = vec![0x1C, record, number];
        bytes.extend((content.len() as u16).to_be_bytes());
        bytes.extend(content);
        bytes
    }

    fn text(field: &Option<CutText>) -> Option<&str> {
        field.as_ref().map(|(text, _)| text.as_str())
    }

    #[test]
    fn accents_are_read_with_and_without_the_utf8_mark() {
        let marked = [dataset(1, 90, UTF8_MARK), dataset(2, 120, "crêpe".as_bytes())].concat();
        assert_eq!(text(&read_datasets(&marked).caption), Some("crêpe"));
        let latin1 = dataset(2, 120, b"cr\xeape");
        assert_eq!(text(&read_datasets(&latin1).caption), Some("crêpe"));
    }

    #[test]
    fn several_creators_are_joined_and_a_full_field_is_said() {
        let two = [dataset(2, 80, b"One"), dataset(2, 80, b"Two")].concat();
        assert_eq!(text(&read_datasets(&two).creator), Some("One; Two"));
        assert!(read_datasets(&dataset(2, 80, &[b'x'; 32])).creator.unwrap().1);
    }

    #[test]
    fn the_datasets_are_found_among_other_resources() {
        let mut blocks = b"8BIM\x03\xed\0\0\0\0\0\x03abc\0".to_vec();
        let content = dataset(2, 116, b"(c) Corrow Lane");
        blocks.extend(b"8BIM\x04\x04\0\0");
        blocks.extend((content.len() as u32).to_be_bytes());
        blocks.extend(&content);
        assert_eq!(text(&read_resources(&blocks).copyright), Some("(c) Corrow Lane"));
        for end in 0..blocks.len() {
            let _ = read_resources(&blocks[..end]);
        }
    }
}
