//! Invented pictures for tests of reading and of the live table: files of text read by a simulated inspector.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use crate::judge::testing::tone;
use crate::measure::evidence::{BlockSigns, BlownShare, Clipped, Detail, Halo, Overshoot, Resampled};
use crate::measure::{Evidence, Thumbnail};
use crate::picture::facts::ColourModel;
use crate::picture::{Facts, Fault, FaultKind};

use super::inspect::{Inspector, MakeInspector, UprightThumbnail};
use super::proof::ProofRequest;

pub use crate::judge::testing::{brief, facts};

/// The smallest brief: every picture as an 8 x 10 in print.
pub const BRIEF: &str = "[[print]]\nsize = \"8 x 10 in\"\n";

/// Counts how often pixels were read, and how often a worker released the memory that reading needs.
#[derive(Debug, Default)]
pub struct Reads {
    pixels: AtomicUsize,
    rests: AtomicUsize,
}

impl Reads {
    /// Returns how often pixels were read.
    pub fn count(&self) -> usize {
        self.pixels.load(Ordering::SeqCst)
    }

    /// Returns how often a worker released the memory that reading needs.
    pub fn rests(&self) -> usize {
        self.rests.load(Ordering::SeqCst)
    }
}

/// Returns evidence with a small thumbnail, of a picture that stricter briefs would report findings on.
pub fn evidence(sha256: &str) -> Evidence {
    let thumbnail = Thumbnail { width_px: 2, height_px: 1, model: ColourModel::Rgb, samples: vec![9; 6] };
    let isolated = Some(Overshoot { share: 0.11, p90: 0.2, width_px: 2.0, edges: 90 });
    let signs = BlockSigns { mirrored: 0.0, pairs: 0.0, agreement: [0.1, 0.1, 0.2, 0.1] };
    let resampled = Resampled { line: 12.0, at: 0.1, depth: 0.1, doubling: 0.0, signs };
    Evidence {
        thumbnail: Arc::new(thumbnail),
        tone: Some(tone(&[(16, 2.0, 10), (120, 6.0, 90)])),
        clipped: Clipped { blown: 0.004, hard: BlownShare { share: 0.004, largest: 0.004 }, ..Clipped::default() },
        detail: Detail {
            halo: Some(Halo { isolated, swing: None }),
            noise: Some(1.0),
            resampled: Some(resampled),
            detail_ends: Some(0.55),
            ..Detail::default()
        },
        ..Evidence::nothing(sha256)
    }
}

/// Returns inspectors of text files "WIDTH HEIGHT", or naming the failure to simulate.
pub fn inspectors(reads: &Arc<Reads>) -> MakeInspector {
    let reads = reads.clone();
    Arc::new(move || Box::new(MakeBelieve(reads.clone())))
}

/// Waits until the file has other content.
fn hang(path: &Path) {
    while std::fs::read_to_string(path).is_ok_and(|text| text == "hang") {
        std::thread::sleep(Duration::from_millis(1));
    }
}

struct MakeBelieve(Arc<Reads>);

impl Inspector for MakeBelieve {
    fn facts(&mut self, path: &Path) -> Result<Facts, Fault> {
        let text = std::fs::read_to_string(path)?;
        let mut words = text.split_whitespace();
        match words.next() {
            Some("panic") => panic!("it went wrong"),
            Some("hang") => {
                hang(path);
                Err(Fault::truncated("it hung"))
            }
            Some("short") => Err(Fault::truncated("the file ends too early")),
            Some("locked") => Err(std::io::Error::from(std::io::ErrorKind::PermissionDenied).into()),
            Some(width) => {
                let side = |word: Option<&str>| word.and_then(|word| word.parse().ok());
                let (width, height) = (side(Some(width)), side(words.next()));
                let (Some(width), Some(height)) = (width, height) else {
                    return Err(Fault::new(FaultKind::Other { is: "no picture" }, text));
                };
                Ok(facts(width, height))
            }
            None => Err(Fault::new(FaultKind::Empty, "the file is empty")),
        }
    }

    fn memory_bytes(&self, _facts: &Facts) -> u64 {
        1
    }

    fn evidence(&mut self, path: &Path, _facts: &Facts, _helpers: bool) -> Result<Evidence, Fault> {
        self.0.pixels.fetch_add(1, Ordering::SeqCst);
        let text = std::fs::read_to_string(path)?;
        if text == "hang" {
            hang(path);
        }
        Ok(evidence(&text))
    }

    fn release_buffers(&mut self) {
        self.0.rests.fetch_add(1, Ordering::SeqCst);
    }

    fn preview(&mut self, _path: &Path, _facts: &Facts) -> Option<UprightThumbnail> {
        Some(UprightThumbnail { width_px: 1, height_px: 1, rgb: vec![1; 3] })
    }

    fn to_screen(&mut self, _path: &Path, thumbnail: &Thumbnail, _facts: &Facts) -> Option<UprightThumbnail> {
        let rgb = thumbnail.samples.clone();
        Some(UprightThumbnail { width_px: thumbnail.width_px, height_px: thumbnail.height_px, rgb })
    }

    fn on_paper(
        &mut self,
        _path: &Path,
        _of: &Thumbnail,
        _facts: &Facts,
        _asked: &ProofRequest,
    ) -> Option<UprightThumbnail> {
        None
    }
}
