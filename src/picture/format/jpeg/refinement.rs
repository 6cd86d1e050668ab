//! How finely the scans of a progressive JPEG have sent each coefficient. Source: ITU-T T.81, section G.1.1.1.

use super::markers::FrameHeader;

/// Coefficients of a block.
const COEFFICIENTS: usize = 64;

/// The lowest bit that was sent of each coefficient, of each component of the frame.
#[derive(Default)]
pub struct Refinement {
    lowest: Vec<[u8; COEFFICIENTS]>,
}

impl Refinement {
    /// Takes a scan's header; whether it holds means, or what refines them.
    pub fn add(&mut self, frame: &FrameHeader, scan: &[u8]) -> bool {
        let [count, rest @ ..] = scan else { return false };
        let Some((ids, [first, last, bits])) = rest.split_at_checked(2 * usize::from(*count)) else { return false };
        self.lowest.resize(frame.components.len(), [0; COEFFICIENTS]);
        for id in ids.iter().step_by(2) {
            let places = frame.components.iter().zip(&mut self.lowest).filter(|(component, _)| component.id == *id);
            for (_, lowest) in places {
                let band = usize::from(*first)..=usize::from(*last);
                lowest.get_mut(band).into_iter().flatten().for_each(|bit| *bit = bits & 0x0F);
            }
        }
        *first == 0
    }

    /// True if each coefficient that was begun was sent to its last bit. One that was never sent is taken for zero.
    pub fn is_complete(&self) -> bool {
        self.lowest.iter().flatten().all(|bit| *bit == 0)
    }
}
