//! Camera metadata as Exif bytes (a little-endian TIFF directory). Knows no container; `export` puts the bytes where
//! they belong.

use super::picture::{CREATOR, RIGHTS, Words};

/// Values of the tags that differ between files, besides the words.
pub struct Shape {
    pub width_px: u32,
    pub height_px: u32,
    /// Orientation: 1 is upright, 6 is stored with the right side on top.
    pub orientation: u16,
    pub ppi: u32,
    /// Colour space: 1 is sRGB, 65535 anything else.
    pub colour_space: u16,
    /// Time of exposure.
    pub taken: &'static str,
}

/// A position on open water; degrees, minutes, seconds (in hundredths).
const NORTH: [(u32, u32); 3] = [(54, 1), (7, 1), (1250, 100)];
const WEST: [(u32, u32); 3] = [(4, 1), (2, 1), (3075, 100)];

enum Value {
    Bytes(Vec<u8>),
    Ascii(&'static str),
    Short(u16),
    Long(u32),
    Rationals(Vec<(u32, u32)>),
    Undefined(&'static [u8]),
}

impl Value {
    /// Returns type number, count and bytes.
    fn encode(&self) -> (u16, u32, Vec<u8>) {
        match self {
            Value::Bytes(bytes) => (1, bytes.len() as u32, bytes.clone()),
            Value::Ascii(text) => (2, text.len() as u32 + 1, [text.as_bytes(), &[0]].concat()),
            Value::Short(number) => (3, 1, number.to_le_bytes().to_vec()),
            Value::Long(number) => (4, 1, number.to_le_bytes().to_vec()),
            Value::Rationals(list) => {
                let both = |(n, d): &(u32, u32)| [n.to_le_bytes(), d.to_le_bytes()].concat();
                (5, list.len() as u32, list.iter().flat_map(both).collect())
            }
            Value::Undefined(bytes) => (7, bytes.len() as u32, bytes.to_vec()),
        }
    }
}

/// Tags in ascending order, as the format requires.
struct Directory(Vec<(u16, Value)>);

impl Directory {
    fn table_bytes(&self) -> usize {
        2 + 12 * self.0.len() + 4
    }

    fn bytes_in_all(&self) -> usize {
        let beyond = self.0.iter().map(|(_, value)| outside(&value.encode().2));
        self.table_bytes() + beyond.sum::<usize>()
    }

    /// Encodes the directory as if it begins at `start`.
    fn encode(&self, start: usize) -> Vec<u8> {
        let mut table = (self.0.len() as u16).to_le_bytes().to_vec();
        let mut beyond = Vec::new();
        for (tag, value) in &self.0 {
            let (kind, count, mut bytes) = value.encode();
            table.extend(tag.to_le_bytes());
            table.extend(kind.to_le_bytes());
            table.extend(count.to_le_bytes());
            if outside(&bytes) == 0 {
                bytes.resize(4, 0);
                table.extend(bytes);
            } else {
                let at = start + self.table_bytes() + beyond.len();
                table.extend((at as u32).to_le_bytes());
                bytes.resize(outside(&bytes), 0);
                beyond.extend(bytes);
            }
        }
        // There is no further directory.
        table.extend([0; 4]);
        table.extend(beyond);
        table
    }
}

/// Returns the bytes that a value takes outside the table: none up to four, otherwise an even number.
fn outside(bytes: &[u8]) -> usize {
    if bytes.len() <= 4 { 0 } else { bytes.len().next_multiple_of(2) }
}

/// Returns Exif bytes from the byte order mark on, without a container's own header.
pub fn exif(words: &Words, shape: &Shape) -> Vec<u8> {
    const START: usize = 8;
    let camera = camera_tags(shape);
    let place = words.is_located.then(place_tags);
    let mut main = main_tags(words, shape);
    let camera_entry = main.len();
    main.push((0x8769, Value::Long(0)));
    if place.is_some() {
        main.push((0x8825, Value::Long(0)));
    }
    let mut main = Directory(main);
    let camera_at = START + main.bytes_in_all();
    let place_at = camera_at + camera.bytes_in_all();
    main.0[camera_entry].1 = Value::Long(camera_at as u32);
    if place.is_some() {
        main.0[camera_entry + 1].1 = Value::Long(place_at as u32);
    }
    let mut bytes = b"II*\0\x08\0\0\0".to_vec();
    bytes.extend(main.encode(START));
    bytes.extend(camera.encode(camera_at));
    if let Some(place) = place {
        bytes.extend(place.encode(place_at));
    }
    bytes
}

fn main_tags(words: &Words, shape: &Shape) -> Vec<(u16, Value)> {
    let ppi = || Value::Rationals(vec![(shape.ppi, 1)]);
    let mut tags = vec![
        (0x010E, Value::Ascii(words.caption)),
        (0x0112, Value::Short(shape.orientation)),
        (0x011A, ppi()),
        (0x011B, ppi()),
        // Pixels per inch.
        (0x0128, Value::Short(2)),
        (0x0132, Value::Ascii(shape.taken)),
    ];
    if words.is_credited {
        tags.push((0x013B, Value::Ascii(CREATOR)));
        tags.push((0x8298, Value::Ascii(RIGHTS)));
    }
    tags
}

fn camera_tags(shape: &Shape) -> Directory {
    Directory(vec![
        (0x9000, Value::Undefined(b"0232")),
        (0x9003, Value::Ascii(shape.taken)),
        (0xA001, Value::Short(shape.colour_space)),
        (0xA002, Value::Long(shape.width_px)),
        (0xA003, Value::Long(shape.height_px)),
    ])
}

fn place_tags() -> Directory {
    Directory(vec![
        (0x0000, Value::Bytes(vec![2, 3, 0, 0])),
        (0x0001, Value::Ascii("N")),
        (0x0002, Value::Rationals(NORTH.to_vec())),
        (0x0003, Value::Ascii("W")),
        (0x0004, Value::Rationals(WEST.to_vec())),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    const TAKEN: &str = "2026:11:02 10:21:07";

    fn read(words: Words) -> exif::Exif {
        let shape = Shape { width_px: 30, height_px: 40, orientation: 6, ppi: 300, colour_space: 1, taken: TAKEN };
        exif::Reader::new().read_raw(super::exif(&words, &shape)).expect("well-formed")
    }

    fn shown(from: &exif::Exif, tag: exif::Tag) -> Option<String> {
        from.get_field(tag, exif::In::PRIMARY).map(|field| field.display_value().to_string())
    }

    #[test]
    fn another_reader_finds_the_words_and_the_place() {
        let found = read(Words { caption: "Leeks", is_credited: true, is_located: true, has_packet: false });
        assert_eq!(shown(&found, exif::Tag::Artist), Some(format!("\"{CREATOR}\"")));
        assert_eq!(shown(&found, exif::Tag::Copyright), Some(format!("\"{RIGHTS}\"")));
        assert_eq!(shown(&found, exif::Tag::Orientation).as_deref(), Some("row 0 at right and column 0 at top"));
        assert_eq!(shown(&found, exif::Tag::PixelYDimension).as_deref(), Some("40"));
        assert_eq!(shown(&found, exif::Tag::GPSLatitude).as_deref(), Some("54 deg 7 min 12.5 sec"));
        assert!(shown(&found, exif::Tag::DateTimeOriginal).is_some_and(|d| d.starts_with("2026-11-")));
    }

    #[test]
    fn what_was_not_asked_for_is_not_there() {
        let found = read(Words { caption: "Leeks", is_credited: false, is_located: false, has_packet: false });
        assert_eq!(shown(&found, exif::Tag::Artist), None);
        assert_eq!(shown(&found, exif::Tag::GPSLatitude), None);
    }
}
