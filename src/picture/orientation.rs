//! Which way round a picture is stored.

/// The orientation tag, 1 to 8. Source: Exif tag 0x0112.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Orientation(u8);

impl Orientation {
    /// Upright as stored.
    pub const UPRIGHT: Orientation = Orientation(1);

    /// Returns the orientation of a tag's value; `None` outside 1 to 8.
    pub const fn from_tag(value: u32) -> Option<Orientation> {
        if value >= 1 && value <= 8 { Some(Orientation(value as u8)) } else { None }
    }

    /// Returns the tag's value, 1 to 8.
    pub const fn tag(self) -> u8 {
        self.0
    }

    /// True if showing it upright swaps width and height (5 to 8).
    pub const fn swaps_sides(self) -> bool {
        self.0 >= 5
    }

    /// Returns where the upright pixel (x, y) of a picture with upright size (w, h) is stored.
    pub const fn stored_at(self, x: u32, y: u32, w: u32, h: u32) -> (u32, u32) {
        match self.0 {
            2 => (w - 1 - x, y),
            3 => (w - 1 - x, h - 1 - y),
            4 => (x, h - 1 - y),
            5 => (y, x),
            6 => (y, w - 1 - x),
            7 => (h - 1 - y, w - 1 - x),
            8 => (h - 1 - y, x),
            _ => (x, y),
        }
    }

    /// Returns what a person would do to a device's wrong picture of it.
    pub const fn words(self) -> &'static str {
        match self.0 {
            2 => "mirrored",
            3 => "upside down",
            4 => "upside down and mirrored",
            5 => "on its side and mirrored",
            6 => "on its side, a quarter turn to the left",
            7 => "on its side and mirrored",
            8 => "on its side, a quarter turn to the right",
            _ => "upright",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_orientation_tag_maps_each_pixel_once() {
        for tag in 1..=8 {
            let orientation = Orientation::from_tag(tag).unwrap();
            let (w, h) = (3, 2);
            let mut seen: Vec<_> =
                (0..h).flat_map(|y| (0..w).map(move |x| orientation.stored_at(x, y, w, h))).collect();
            seen.sort_unstable();
            seen.dedup();
            assert_eq!(seen.len(), 6, "tag {tag}");
        }
    }

    #[test]
    fn a_quarter_turn_puts_the_stored_left_edge_on_top() {
        // Exif 2.3 table of tag 0x0112: 6 = row 0 is the right side, column 0 is the top of the upright picture.
        let six = Orientation::from_tag(6).unwrap();
        // Upright 2 x 3 px; its top left is stored in the lower left corner of a 3 x 2 px picture.
        assert_eq!(six.stored_at(0, 0, 2, 3), (0, 1));
        assert_eq!(six.stored_at(1, 0, 2, 3), (0, 0));
    }
}
