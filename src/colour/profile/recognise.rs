//! Which encoding a profile's numbers are, whatever its name says.
//!
//! Looks at colorants and curves only: the media white differs between versions of the same profile.

use super::header::{ProfileClass, ProfileSpace};
use super::tags::CheckedProfile;
use crate::colour::Encoding;
use crate::colour::encoding::Curve;

/// Largest difference of a colorant's X, Y or Z. Source: own comparison of some 35 matrix profiles; those of one space
/// lie within 0.00022 of the computed numbers, those of the nearest other space 0.019 away.
const COLORANT_TOLERANCE: f64 = 0.001;
/// Largest difference in linear light at each code. Source: own comparison; separates sRGB from BT.709 and eciRGB v1
/// from v2, which share their colorants.
const CURVE_TOLERANCE: f64 = 0.003;
/// Steps in which curves are compared, from black to white. Own choice: closer than any bend of a curve in use.
const CURVE_STEPS: u8 = 51;
/// Many files carry ROMM RGB with a plain power instead of the standard's two pieces (common practice).
const PROPHOTO_PLAIN: Curve = Curve::power(1.8);

/// Returns the encoding whose numbers the profile carries; `None` where a table of its own comes before its matrix
/// (ICC.1:2022 section 8.10), or where its class is none that a picture can carry.
pub fn encoding(profile: &CheckedProfile<'_>) -> Option<Encoding> {
    let is_of_picture = !matches!(profile.class(), ProfileClass::Link | ProfileClass::Other);
    if profile.space() != ProfileSpace::Rgb || !is_of_picture || profile.has_tables() {
        return None;
    }
    let (colorants, curves) = (profile.colorants()?, profile.curves()?);
    let same_curve = |wanted: Curve| {
        curves.iter().all(|curve| {
            (0..=CURVE_STEPS).all(|step| {
                let code = f64::from(step) / f64::from(CURVE_STEPS);
                (curve.linear(code) - wanted.linear(code)).abs() <= CURVE_TOLERANCE
            })
        })
    };
    Encoding::ALL.into_iter().find(|encoding| {
        let wanted = encoding.colorants_d50();
        let near = colorants.iter().zip(&wanted).all(|(found, wanted)| {
            found.iter().zip(wanted).all(|(found, wanted)| (found - wanted).abs() <= COLORANT_TOLERANCE)
        });
        near && (same_curve(encoding.curve()) || (*encoding == Encoding::ProPhoto && same_curve(PROPHOTO_PLAIN)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::profile::read;

    /// A version 2 matrix profile with the given s15Fixed16 colorants (rows X, Y, Z; columns red, green, blue).
    fn matrix_profile(rows: [[u32; 3]; 3], curve: &[u8], name: &str) -> Vec<u8> {
        let mut body: Vec<(&[u8; 4], Vec<u8>)> = Vec::new();
        for (column, signature) in [b"rXYZ", b"gXYZ", b"bXYZ"].into_iter().enumerate() {
            let mut tag = b"XYZ \0\0\0\0".to_vec();
            rows.iter().for_each(|row| tag.extend(row[column].to_be_bytes()));
            body.push((signature, tag));
        }
        for signature in [b"rTRC", b"gTRC", b"bTRC"] {
            body.push((signature, curve.to_vec()));
        }
        let mut desc = b"desc\0\0\0\0".to_vec();
        desc.extend((name.len() as u32 + 1).to_be_bytes());
        desc.extend(name.bytes().chain([0; 79]));
        body.push((b"desc", desc));
        let mut bytes = vec![0; 128];
        bytes[8..12].copy_from_slice(&[2, 0x10, 0, 0]);
        bytes[12..24].copy_from_slice(b"mntrRGB XYZ ");
        bytes[36..40].copy_from_slice(b"acsp");
        bytes.extend((body.len() as u32).to_be_bytes());
        let mut offset = bytes.len() + body.len() * 12;
        for (signature, tag) in &body {
            bytes.extend_from_slice(*signature);
            bytes.extend((offset as u32).to_be_bytes());
            bytes.extend((tag.len() as u32).to_be_bytes());
            offset += tag.len().next_multiple_of(4);
        }
        for (_, tag) in &body {
            bytes.extend(tag);
            bytes.resize(bytes.len().next_multiple_of(4), 0);
        }
        let size = bytes.len() as u32;
        bytes[..4].copy_from_slice(&size.to_be_bytes());
        bytes
    }

    fn table(entries: usize, curve: impl Fn(f64) -> f64) -> Vec<u8> {
        let mut tag = b"curv\0\0\0\0".to_vec();
        tag.extend((entries as u32).to_be_bytes());
        for index in 0..entries {
            let code = index as f64 / (entries - 1) as f64;
            tag.extend(((curve(code) * 65535.0).round() as u16).to_be_bytes());
        }
        tag
    }

    fn gamma(hex: u16) -> Vec<u8> {
        [b"curv\0\0\0\0\0\0\0\x01".as_slice(), &hex.to_be_bytes()].concat()
    }

    const SRGB_SEEN: [[[u32; 3]; 3]; 2] = [
        [[0x6FA2, 0x38F5, 0x0390], [0x6299, 0xB785, 0x18DA], [0x24A0, 0x0F84, 0xB6CF]],
        [[0x6F94, 0x38EE, 0x0390], [0x62A5, 0xB790, 0x18DE], [0x249D, 0x0F83, 0xB6BE]],
    ];
    const ECI_SEEN: [[u32; 3]; 3] = [[0xA678, 0x51FE, 0], [0x2D94, 0x9A20, 0x115D], [0x22C9, 0x13E2, 0xC1D0]];
    const ROMM: [[u32; 3]; 3] = [[0xCC34, 0x49BD, 0], [0x229C, 0xB63E, 0], [0x0806, 6, 0xD32D]];

    /// Rows of a profile are stored colorant by colorant: transposed against the sets above.
    fn known(set: [[u32; 3]; 3], curve: &[u8]) -> Option<Encoding> {
        let rows = [0, 1, 2].map(|axis| [set[0][axis], set[1][axis], set[2][axis]]);
        read(&matrix_profile(rows, curve, "some name")).unwrap().known_as
    }

    #[test]
    fn the_sets_that_circulate_are_recognised() {
        // Source: colorants read from widespread profiles; eciRGB's from its publisher's public list, 2020-03-20.
        let srgb = table(1024, |code| Encoding::Srgb.curve().linear(code));
        for set in SRGB_SEEN {
            assert_eq!(known(set, &srgb), Some(Encoding::Srgb));
        }
        let adobe = [
            [[0x9C18, 0x4FA5, 0x04FC], [0x348D, 0xA02C, 0x0F95], [0x2631, 0x102F, 0xBE9C]],
            [[0x9C11, 0x4FA0, 0x04FC], [0x3495, 0xA032, 0x0F97], [0x2630, 0x102D, 0xBE99]],
        ];
        for set in adobe {
            assert_eq!(known(set, &gamma(0x0233)), Some(Encoding::AdobeRgb));
        }
        let l_star = table(1024, |code| Encoding::EciRgbV2.curve().linear(code));
        assert_eq!(known(ECI_SEEN, &l_star), Some(Encoding::EciRgbV2));
        // Red's Z is negative in Display P3: -0.00105.
        let p3 = [[0x83DF, 0x3DBF, 0xFFFF_FFBB], [0x4ABF, 0xB137, 0x0AB9], [0x2838, 0x110B, 0xC8B9]];
        assert_eq!(known(p3, &srgb), Some(Encoding::DisplayP3));
        assert_eq!(known(ROMM, &gamma(0x01CD)), Some(Encoding::ProPhoto));
    }

    #[test]
    fn the_same_colorants_with_another_curve_are_another_space() {
        // Source: ITU-R BT.709, the camera's curve turned round.
        let bt709 =
            table(1024, |code| if code < 0.081 { code / 4.5 } else { ((code + 0.099) / 1.099).powf(1.0 / 0.45) });
        assert_eq!(known(SRGB_SEEN[0], &bt709), None);
        // eciRGB v1 is 1.8 on the same colorants.
        assert_eq!(known(ECI_SEEN, &gamma(0x01CD)), None);
    }

    #[test]
    fn a_curve_that_is_right_at_some_codes_only_is_another_space() {
        let bent = table(256, |code| {
            let linear = Encoding::Srgb.curve().linear(code);
            if (0.3..0.45).contains(&code) { linear / 2.0 } else { linear }
        });
        assert_eq!(known(SRGB_SEEN[0], &bent), None);
    }

    #[test]
    fn a_table_of_its_own_or_a_class_for_no_picture_makes_it_another_space() {
        let srgb = table(1024, |code| Encoding::Srgb.curve().linear(code));
        let rows = [0, 1, 2].map(|axis| [SRGB_SEEN[0][0][axis], SRGB_SEEN[0][1][axis], SRGB_SEEN[0][2][axis]]);
        let sound = matrix_profile(rows, &srgb, "sRGB");
        let with = |at: usize, bytes: &[u8]| {
            let mut profile = sound.clone();
            profile[at..at + bytes.len()].copy_from_slice(bytes);
            read(&profile)
        };
        assert_eq!(with(12, b"mntr").unwrap().known_as, Some(Encoding::Srgb));
        for class in [b"link", b"abst", b"nmcl"] {
            assert_eq!(with(12, class).unwrap().known_as, None, "{}", class.escape_ascii());
        }
        // The last tag, the description, under the name of a table, then of the first tag.
        let last = 132 + 6 * 12;
        assert_eq!(with(last, b"A2B0").unwrap().known_as, None);
        assert!(with(last, b"rXYZ").unwrap_err().to_string().contains("rXYZ twice"));
    }

    #[test]
    fn a_name_alone_convinces_nobody() {
        let rows = [0, 1, 2].map(|axis| [ROMM[0][axis], ROMM[1][axis], ROMM[2][axis]]);
        let facts = read(&matrix_profile(rows, &gamma(0x0233), "sRGB IEC61966-2.1")).unwrap();
        assert_eq!((facts.description.as_str(), facts.known_as), ("sRGB IEC61966-2.1", None));
    }

    #[test]
    fn cut_and_flipped_profiles_never_panic() {
        let whole = [Encoding::Srgb.icc_bytes(), matrix_profile(ROMM, &gamma(0x01CD), "ROMM")];
        for bytes in &whole {
            for end in 0..bytes.len() {
                assert!(read(&bytes[..end]).is_err(), "cut at {end}");
            }
            let mut seed = 0x5EED_u32;
            for at in 0..bytes.len() {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let mut flipped = bytes.clone();
                flipped[at] ^= (seed >> 24) as u8 | 1;
                let _ = read(&flipped);
            }
        }
    }

    #[test]
    fn a_tag_beyond_the_end_and_absurd_counts_are_faults() {
        let mut bytes = Encoding::Srgb.icc_bytes();
        bytes[132 + 4..132 + 8].copy_from_slice(&u32::MAX.to_be_bytes());
        assert!(read(&bytes).unwrap_err().to_string().contains("lies outside"));
        let mut bytes = Encoding::Srgb.icc_bytes();
        bytes[128..132].copy_from_slice(&5000_u32.to_be_bytes());
        assert!(read(&bytes).unwrap_err().to_string().contains("5000 tags"));
        assert!(read(&vec![0; 5 << 20]).unwrap_err().to_string().contains("smaller"));
    }
}
