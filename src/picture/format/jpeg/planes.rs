//! The planes of a JPEG's components, a stripe of its units at a time, brought to the picture's full size.
//!
//! Samples that are stored coarser lie in the middle of the pixels that they cover, so a pixel takes three parts of
//! the nearest and one of the next. Source of the sites: ITU-T T.871, section 6; ratios other than 1 and 2 repeat.

use zune_jpeg::PlaneInfo;

/// Parts that a sample between two rows and two columns has.
const PARTS: u16 = 16;

/// All components.
pub struct Planes {
    all: Vec<ComponentPlane>,
}

/// Where the next stripe is to be decoded to.
pub struct Stripe<'a> {
    pub planes: Vec<&'a mut [u8]>,
    pub strides: Vec<usize>,
}

/// How many pixels a sample covers along one side.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ratio {
    One,
    Two,
    /// This many samples cover this many pixels.
    Other(usize, usize),
}

impl Ratio {
    fn of(factor: usize, most: usize) -> Ratio {
        match (factor, most) {
            (factor, most) if factor == most => Ratio::One,
            (factor, most) if factor * 2 == most => Ratio::Two,
            (factor, most) => Ratio::Other(factor, most),
        }
    }
}

/// One component: the last row above, the stripe that is returned next, and the one after it.
struct ComponentPlane {
    across: Ratio,
    down: Ratio,
    width: usize,
    above: Vec<u8>,
    here: Vec<u8>,
    following: Vec<u8>,
    rows: usize,
    following_rows: usize,
    /// True if a row above was seen.
    has_begun: bool,
    /// A row of sums between two rows, in four parts, with one more sample at either end.
    between: Vec<u16>,
    /// The row at full size, where it is not stored so.
    full: Vec<u8>,
    /// The row that is asked for, where it is stored at full size.
    at: usize,
}

impl Planes {
    pub fn new(infos: &[PlaneInfo], width_px: usize) -> Planes {
        let most = |of: fn(&PlaneInfo) -> usize| infos.iter().map(of).max().unwrap_or(1).max(1);
        let across_most = most(|info| info.horizontal_sampling_factor);
        let down_most = most(|info| info.vertical_sampling_factor);
        // A component by itself comes in stripes of one block, whatever its factors.
        let plane = |info: &PlaneInfo| {
            let across = Ratio::of(info.horizontal_sampling_factor, across_most);
            let down = Ratio::of(info.vertical_sampling_factor, down_most);
            let stripe = vec![0; info.width * info.vertical_sampling_factor.max(1) * 8];
            ComponentPlane {
                across,
                down,
                width: info.width,
                above: vec![0; info.width],
                here: stripe.clone(),
                following: stripe,
                rows: 0,
                following_rows: 0,
                has_begun: false,
                between: vec![0; info.width + 2],
                full: if (across, down) == (Ratio::One, Ratio::One) { Vec::new() } else { vec![0; width_px] },
                at: 0,
            }
        };
        Planes { all: infos.iter().map(plane).collect() }
    }

    /// Returns the stripe that the rows after the next are decoded into.
    pub fn next_stripe(&mut self) -> Stripe<'_> {
        let strides = self.all.iter().map(|plane| plane.width).collect();
        Stripe { planes: self.all.iter_mut().map(|plane| plane.following.as_mut_slice()).collect(), strides }
    }

    /// Sets how many rows were decoded there, for each component.
    pub fn set_next_rows(&mut self, rows: &[usize]) {
        for (plane, rows) in self.all.iter_mut().zip(rows) {
            plane.following_rows = *rows;
        }
    }

    /// Goes on to the next stripe.
    pub fn step(&mut self) {
        for plane in &mut self.all {
            if let Some(last) = plane.rows.checked_sub(1) {
                plane.above.copy_from_slice(&plane.here[last * plane.width..][..plane.width]);
                plane.has_begun = true;
            }
            std::mem::swap(&mut plane.here, &mut plane.following);
            plane.rows = std::mem::take(&mut plane.following_rows);
        }
    }

    /// Returns the number of rows of pixels of the stripe.
    pub fn rows(&self) -> usize {
        self.all.iter().filter(|plane| plane.down == Ratio::One).map(|plane| plane.rows).max().unwrap_or(0)
    }

    /// Returns how many components there are.
    pub fn count(&self) -> usize {
        self.all.len()
    }

    /// Makes a row of the stripe ready.
    pub fn make_ready(&mut self, row: usize) {
        self.all.iter_mut().for_each(|plane| plane.make_ready(row));
    }

    /// Returns the planes of the row that was made ready, each as wide as the picture.
    pub fn ready_planes(&self) -> impl ExactSizeIterator<Item = &[u8]> {
        self.all.iter().map(|plane| if plane.full.is_empty() { plane.stored(plane.at) } else { &plane.full })
    }
}

impl ComponentPlane {
    fn stored(&self, row: usize) -> &[u8] {
        &self.here[row * self.width..][..self.width]
    }

    fn make_ready(&mut self, row: usize) {
        let last = self.rows.saturating_sub(1);
        if self.full.is_empty() {
            self.at = row.min(last);
            return;
        }
        match self.down {
            Ratio::One => self.sum(row.min(last), row.min(last)),
            Ratio::Other(factor, most) => self.sum((row * factor / most).min(last), (row * factor / most).min(last)),
            Ratio::Two => self.interpolate(row, last),
        }
        self.widen();
    }

    /// Interpolates a row between two that are stored: three parts of the nearest, one of the other.
    fn interpolate(&mut self, row: usize, last: usize) {
        let near = (row / 2).min(last);
        let (is_upper, is_lowest) = (row.is_multiple_of(2), near == last);
        match (is_upper, near) {
            (true, 0) if self.has_begun => {
                let ComponentPlane { here, above, between, width, .. } = self;
                sum(&here[..*width], above, &mut between[1..]);
            }
            (true, _) => self.sum(near, near.saturating_sub(1)),
            (false, _) if is_lowest && self.following_rows > 0 => {
                let ComponentPlane { here, following, between, width, .. } = self;
                sum(&here[near * *width..][..*width], &following[..*width], &mut between[1..]);
            }
            (false, _) => self.sum(near, (near + 1).min(last)),
        }
    }

    fn sum(&mut self, near: usize, far: usize) {
        let row = |row: usize| &self.here[row * self.width..][..self.width];
        sum(row(near), row(far), &mut self.between[1..]);
    }

    /// Widens a row of sums to the picture's width.
    fn widen(&mut self) {
        let ComponentPlane { across, width, between, full, .. } = self;
        between[0] = between[1];
        between[*width + 1] = between[*width];
        match *across {
            Ratio::Two => {
                for (two, three) in full.chunks_mut(2).zip(between.windows(3)) {
                    let [left, near, right] = [three[0], three[1], three[2]];
                    two[0] = ((3 * near + left + PARTS / 2) / PARTS) as u8;
                    if let Some(second) = two.get_mut(1) {
                        *second = ((3 * near + right + PARTS / 2) / PARTS) as u8;
                    }
                }
            }
            Ratio::One => full.iter_mut().zip(&between[1..]).for_each(|(to, sum)| *to = quarter(*sum)),
            Ratio::Other(factor, most) => {
                for (x, to) in full.iter_mut().enumerate() {
                    *to = quarter(between[1 + (x * factor / most).min(*width - 1)]);
                }
            }
        }
    }
}

fn quarter(sum: u16) -> u8 {
    ((sum + 2) / 4) as u8
}

fn sum(near: &[u8], far: &[u8], between: &mut [u16]) {
    for ((near, far), sum) in near.iter().zip(far).zip(between) {
        *sum = 3 * u16::from(*near) + u16::from(*far);
    }
}
