//! Recognises files that are no print picture here, so that the person learns what she exported.
//!
//! Reads nothing but the first bytes.

/// Returns what a file is, by its first bytes: "a WebP file", "no picture".
pub fn recognise(first: &[u8]) -> &'static str {
    if let Some(is) = SIGNATURES.iter().find(|(at, bytes, _)| at_offset(first, *at, bytes)).map(|(_, _, is)| *is) {
        return is;
    }
    if at_offset(first, 4, b"ftyp") {
        return boxed(first.get(8..12).unwrap_or_default());
    }
    if !first.is_empty() && first.iter().all(|&byte| byte == 0) {
        return "a file of zeros";
    }
    let text = std::str::from_utf8(first).map_or_else(|error| error.valid_up_to() + 4 > first.len(), |_| true);
    if text && !first.iter().any(|byte| *byte < 0x20 && !b"\t\n\r\x0c".contains(byte)) {
        return "a text file";
    }
    "no picture"
}

/// Offset, bytes, and what they say. Sources: the formats' own specifications, as registered with IANA.
const SIGNATURES: [(usize, &[u8], &str); 26] = [
    (8, b"WEBP", "a WebP file"),
    (0, b"8BPS\0\x01", "a layered PSD document"),
    (0, b"8BPS\0\x02", "a layered PSB document"),
    (0, b"%PDF-", "a PDF file"),
    (0, b"%!PS", "a PostScript file"),
    (0, b"GIF87a", "a GIF file"),
    (0, b"GIF89a", "a GIF file"),
    (0, b"BM", "a BMP file"),
    (0, b"\xff\x0a", "a JPEG XL file"),
    (0, b"\0\0\0\x0cJXL ", "a JPEG XL file"),
    (0, b"\0\0\0\x0cjP  ", "a JPEG 2000 file"),
    (0, b"\xff\x4f\xff\x51", "a JPEG 2000 file"),
    (0, b"v/1\x01", "an OpenEXR file"),
    (0, b"FUJIFILMCCD-RAW", "a camera raw file"),
    (8, b"CR\x02", "a camera raw file"),
    (8, b"CR\x03", "a camera raw file"),
    (0, b"IIRO", "a camera raw file"),
    (0, b"IIRS", "a camera raw file"),
    (0, b"MMOR", "a camera raw file"),
    (0, b"IIU\0", "a camera raw file"),
    (0, b"\0MRM", "a camera raw file"),
    (0, b"FOVb", "a camera raw file"),
    (0, b"PK\x03\x04", "a zip archive"),
    (0, b"PK\x05\x06", "a zip archive"),
    (0, b"\x1f\x8b", "a gzip archive"),
    (0, b"gimp xcf", "a layered editor file (XCF)"),
];

/// Returns the kind of an ISO base media file, by its major brand. Source: ISO/IEC 14496-12 and the registered brands.
fn boxed(brand: &[u8]) -> &'static str {
    match brand {
        b"heic" | b"heix" | b"hevc" | b"hevx" | b"heim" | b"heis" | b"mif1" | b"msf1" => "a HEIF file (HEIC)",
        b"avif" | b"avis" => "an AVIF file",
        b"crx " => "a camera raw file",
        b"jp2 " | b"jpx " => "a JPEG 2000 file",
        _ => "a video file",
    }
}

fn at_offset(first: &[u8], at: usize, bytes: &[u8]) -> bool {
    first.get(at..).is_some_and(|rest| rest.starts_with(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_known_by_their_first_bytes() {
        assert_eq!(recognise(b"RIFF\x10\0\0\0WEBPVP8 "), "a WebP file");
        assert_eq!(recognise(b"\0\0\0\x18ftypheic\0\0\0\0"), "a HEIF file (HEIC)");
        assert_eq!(recognise(b"\0\0\0\x18ftypavif"), "an AVIF file");
        assert_eq!(recognise(b"8BPS\0\x01\0\0"), "a layered PSD document");
        assert_eq!(recognise(b"%PDF-1.7"), "a PDF file");
        assert_eq!(recognise("crêpe recipe\n".as_bytes()), "a text file");
        assert_eq!(recognise(&[0; 64]), "a file of zeros");
        assert_eq!(recognise(&[1, 2, 3, 200]), "no picture");
    }
}
