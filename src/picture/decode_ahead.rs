//! Decodes bands on threads of their own, a few ahead of the reader, where a processor is idle. The bands are the same,
//! in the same order.

use std::collections::VecDeque;
use std::panic::resume_unwind;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, Builder};

use super::facts::{Facts, Format};
use super::pixels::{Band, Bands, SampleLayout, Samples};
use super::{Fault, limits};

/// Decoded bands queued per thread, beside the one being read and the one being filled.
const AHEAD: usize = 1;

/// True if a picture's bands are small enough for some of them to wait: those of JPEGs are; others by their header.
pub fn has_small_bands(facts: &Facts) -> bool {
    facts.format == Format::Jpeg || facts.held_bytes <= limits::MAX_AHEAD_BYTES
}

/// A decoded band that waits to be read.
struct DecodedBand {
    first_row: u32,
    rows: u32,
    eight: Vec<u8>,
    sixteen: Vec<u16>,
    is_wide: bool,
}

/// One thread's bands.
struct Lane {
    bands: Receiver<Result<DecodedBand, Fault>>,
    /// Bands that were read and may be filled again.
    empty: SyncSender<DecodedBand>,
}

/// Reads the bands of all lanes in the picture's order.
struct BandsInOrder {
    layout: SampleLayout,
    /// The lane of the next band is in front.
    lanes: VecDeque<Lane>,
    /// The band that was read last; its memory goes back to the front lane's thread.
    read: Option<DecodedBand>,
}

/// Works on a picture's bands while they are decoded on other threads: on two, where its bands can be shared.
pub fn decode_ahead<R>(mut bands: Box<dyn Bands + Send + '_>, work: impl FnOnce(&mut dyn Bands) -> R) -> R {
    let layout = bands.layout();
    let second = bands.share();
    // The name says to the panic hook whose work this is.
    let name = thread::current().name().unwrap_or_default().to_owned();
    thread::scope(|scope| {
        let mut lanes = VecDeque::new();
        let mut threads = Vec::new();
        for part in std::iter::once(bands).chain(second) {
            let (to_reader, bands) = sync_channel(AHEAD);
            // Room for the band being read and the one being filled, too: giving a band back never blocks.
            let (empty, used) = sync_channel(AHEAD + 2);
            let not_begun = to_reader.clone();
            let decode = move || decode_lane(part, &to_reader, &used);
            match Builder::new().name(name.clone()).spawn_scoped(scope, decode) {
                Ok(thread) => threads.push(thread),
                Err(error) => not_begun.send(Err(error.into())).unwrap_or_default(),
            }
            lanes.push_back(Lane { bands, empty });
        }
        let mut following = BandsInOrder { layout, lanes, read: None };
        let worked = work(&mut following);
        // A thread that still decodes finds its channel closed, and ends.
        drop(following);
        for thread in threads {
            if let Err(panic) = thread.join() {
                resume_unwind(panic);
            }
        }
        worked
    })
}

/// Decodes until the end, a fault, or the reader's end of the channel is closed.
fn decode_lane(
    mut part: Box<dyn Bands + Send + '_>,
    to: &SyncSender<Result<DecodedBand, Fault>>,
    used: &Receiver<DecodedBand>,
) {
    loop {
        let carried = match part.next_band() {
            Ok(Some(band)) => Ok(fill(used.try_recv().ok(), &band)),
            Ok(None) => return,
            Err(fault) => Err(fault),
        };
        let ends = carried.is_err();
        if to.send(carried).is_err() || ends {
            return;
        }
    }
}

fn fill(used: Option<DecodedBand>, band: &Band<'_>) -> DecodedBand {
    let mut carried =
        used.unwrap_or(DecodedBand { first_row: 0, rows: 0, eight: Vec::new(), sixteen: Vec::new(), is_wide: false });
    (carried.first_row, carried.rows) = (band.first_row, band.rows);
    carried.eight.clear();
    carried.sixteen.clear();
    match band.samples {
        Samples::Eight(samples) => carried.eight.extend_from_slice(samples),
        Samples::Sixteen(samples) => carried.sixteen.extend_from_slice(samples),
    }
    carried.is_wide = matches!(band.samples, Samples::Sixteen(_));
    carried
}

impl Bands for BandsInOrder {
    fn layout(&self) -> SampleLayout {
        self.layout
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        if let (Some(read), Some(lane)) = (self.read.take(), self.lanes.front()) {
            // A thread that ended needs no band back.
            let _unwanted = lane.empty.try_send(read);
            self.lanes.rotate_left(1);
        }
        let Some(lane) = self.lanes.front() else { return Ok(None) };
        let Ok(carried) = lane.bands.recv() else { return Ok(None) };
        let carried = self.read.insert(carried?);
        let samples = if carried.is_wide { Samples::Sixteen(&carried.sixteen) } else { Samples::Eight(&carried.eight) };
        Ok(Some(Band { first_row: carried.first_row, rows: carried.rows, samples }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::FaultKind;
    use crate::picture::facts::ColourModel;

    /// Grey rows that hold their own number, one to a band.
    struct Numbered {
        next: u32,
        step: u32,
        of: u32,
        row: Vec<u8>,
        /// What happens at this row.
        at: Option<(u32, fn() -> Fault)>,
    }

    impl Numbered {
        fn new(of: u32, at: Option<(u32, fn() -> Fault)>) -> Box<Numbered> {
            Box::new(Numbered { next: 0, step: 1, of, row: Vec::new(), at })
        }
    }

    impl Bands for Numbered {
        fn layout(&self) -> SampleLayout {
            SampleLayout { width_px: 3, height_px: self.of, model: ColourModel::Grey, has_alpha: false }
        }

        fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
            let row = self.next;
            if row >= self.of {
                return Ok(None);
            }
            if let Some((at, fault)) = self.at
                && row >= at
            {
                return Err(fault());
            }
            self.next += self.step;
            self.row = vec![row as u8; 3];
            Ok(Some(Band { first_row: row, rows: 1, samples: Samples::Eight(&self.row) }))
        }

        fn share(&mut self) -> Option<Box<dyn Bands + Send>> {
            if self.of.is_multiple_of(2) {
                return None;
            }
            self.step = 2;
            Some(Box::new(Numbered { next: 1, step: 2, of: self.of, row: Vec::new(), at: self.at }))
        }
    }

    /// The first sample of each band, or why they end.
    fn rows(bands: &mut dyn Bands) -> Result<Vec<u8>, Fault> {
        let mut rows = Vec::new();
        while let Some(band) = bands.next_band()? {
            let Samples::Eight(samples) = band.samples else { panic!("8 bits") };
            assert_eq!((samples.len(), u32::from(samples[0])), (3, band.first_row));
            rows.push(samples[0]);
        }
        Ok(rows)
    }

    #[test]
    fn bands_come_in_their_order_from_one_thread_or_two() {
        for of in [1, 2, 3, 100, 101] {
            let found = decode_ahead(Numbered::new(of, None), rows).unwrap();
            assert_eq!(found, (0..of as u8).collect::<Vec<_>>());
        }
    }

    #[test]
    fn a_fault_arrives_where_it_happens_and_a_panic_too() {
        for of in [40, 41] {
            let fault: fn() -> Fault = || Fault::truncated("cut");
            let found = decode_ahead(Numbered::new(of, Some((7, fault))), rows).unwrap_err();
            assert_eq!(found.kind, FaultKind::Truncated);
            let panic: fn() -> Fault = || panic!("row 7");
            let bands = Numbered::new(of, Some((7, panic)));
            let caught = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| decode_ahead(bands, rows)));
            assert_eq!(caught.unwrap_err().downcast_ref::<&str>(), Some(&"row 7"));
        }
    }

    #[test]
    fn whoever_reads_may_stop_early() {
        let first = decode_ahead(Numbered::new(101, None), |bands| bands.next_band().unwrap().unwrap().first_row);
        assert_eq!(first, 0);
    }
}
