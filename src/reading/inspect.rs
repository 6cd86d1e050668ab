//! Reads one picture end to end, for the live table and for the check without a screen: header, pixels, thumbnail. The
//! only file here that reads pictures.
//!
//! Knows nothing of rows, rules or threads; its state belongs to the one worker that created it.

use std::path::Path;
use std::sync::Arc;

use crate::colour::{
    NumberConversion, PaperTransform, ProfileFault, ProfileSpace, SampleSource, SheetColours, ToScreen, ToSheet,
    lightness_of_codes,
};
use crate::measure::{Evidence, LineBuffers, SampleMeaning, Thumbnail, measure};
use crate::picture::cutout::{Cutout, Region, cut_out};
use crate::picture::decode_ahead::{decode_ahead, has_small_bands};
use crate::picture::facts::{ColourModel, EmbeddedProfile};
use crate::picture::pixels::Bands;
use crate::picture::{
    Buffers, Facts, Fault, FaultKind, Preview, decoded_bytes, open_pixels, preview, profile_bytes, read_facts,
};
use crate::reading::limits;

use super::proof::ProofRequest;

/// A small upright picture in sRGB, 8 bits a channel.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct UprightThumbnail {
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// Red, green, blue samples, row by row.
    pub rgb: Vec<u8>,
}

/// The operations of a worker on a picture. Each worker has its own, with buffers and transforms that it reuses.
pub trait Inspector {
    /// Reads the facts, from the header alone.
    ///
    /// # Errors
    /// The reason why the header cannot be read.
    fn facts(&mut self, path: &Path) -> Result<Facts, Fault>;

    /// Returns the most memory that reading the pixels takes, in bytes, estimated from the header.
    fn memory_bytes(&self, facts: &Facts) -> u64;

    /// Measures the evidence, with the thumbnail, from all pixels. `helpers`: other processors are idle and may help.
    ///
    /// # Errors
    /// The reason why the pixels cannot be read to the last row.
    fn evidence(&mut self, path: &Path, facts: &Facts, may_use_second_thread: bool) -> Result<Evidence, Fault>;

    /// Releases the memory that only reading needs: no picture is waiting.
    fn release_buffers(&mut self);

    /// Returns the preview embedded in the file, if it has one.
    fn preview(&mut self, path: &Path, facts: &Facts) -> Option<UprightThumbnail>;

    /// Converts a thumbnail for the screen; `None` where its colours cannot be determined.
    fn to_screen(&mut self, path: &Path, thumbnail: &Thumbnail, facts: &Facts) -> Option<UprightThumbnail>;

    /// Converts a thumbnail to its appearance on paper; `None` where that cannot be determined.
    fn on_paper(
        &mut self,
        path: &Path,
        thumbnail: &Thumbnail,
        facts: &Facts,
        request: &ProofRequest,
    ) -> Option<UprightThumbnail>;
}

/// Makes an inspector on the thread that will use it.
pub type MakeInspector = Arc<dyn Fn() -> Box<dyn Inspector> + Send + Sync>;

/// Reads real files. Keeps its buffers and the colour conversions of the last picture.
#[derive(Default)]
pub struct FileInspector {
    buffers: Buffers,
    line_buffers: LineBuffers,
    last: Option<Colours>,
    /// The most recently used conversions to paper, the newest at the end.
    paper_transforms: Vec<(SpaceKey, ProofRequest, PaperTransform)>,
}

/// The colour conversions of a picture.
struct Colours {
    key: SpaceKey,
    to_screen: ToScreen,
    to_numbers: NumberConversion,
    lightness: Box<[f32; 256]>,
}

/// The key of colour conversions: the samples' space and the profile's digest or the encoding's word.
type SpaceKey = (ProfileSpace, String);

impl FileInspector {
    /// Returns a maker of one inspector for each worker.
    pub fn maker() -> MakeInspector {
        Arc::new(|| Box::new(FileInspector::default()))
    }

    /// Returns the picture's colour conversions, rebuilt only if the last picture's differ; `None` where pixels of such
    /// a picture are not read. An unsound profile is treated as no profile.
    fn colours(&mut self, path: &Path, facts: &Facts) -> Option<&Colours> {
        let key = space_key(facts)?;
        let space = key.0;
        if self.last.as_ref().is_none_or(|last| last.key != key) {
            let embedded = embedded(path, facts, space);
            let source = source(facts, embedded.as_deref());
            let to_screen =
                ToScreen::new(space, source).or_else(|_| ToScreen::new(space, SampleSource::Nothing)).ok()?;
            let to_numbers = to_numbers(facts, space, source);
            self.last = Some(Colours { key, to_screen, to_numbers, lightness: lightness_of_codes(space, source) });
        }
        self.last.as_ref()
    }
}

/// For sheets of test prints.
impl FileInspector {
    /// Cuts parts out of a picture at its own resolution; also returns the SHA-256 of the bytes they come from.
    ///
    /// # Errors
    /// The reason why the pixels cannot be read.
    pub fn cutouts(&mut self, path: &Path, facts: &Facts, parts: &[Region]) -> Result<(String, Vec<Cutout>), Fault> {
        self.buffers.shrink_to(limits::KEPT_BUFFER_BYTES);
        let mut opened = open_pixels(path, facts, &mut self.buffers)?;
        let cut = cut_out(opened.bands.as_mut(), facts.orientation, parts)?;
        Ok((opened.sha256, cut))
    }

    /// Returns the conversion of a picture's samples to a sheet. An unsound profile is ignored, as everywhere.
    ///
    /// # Errors
    /// The reason why the samples' colours cannot be determined there.
    pub fn sheet_transform(
        &self,
        path: &Path,
        facts: &Facts,
        sheet: &SheetColours<'_>,
    ) -> Result<ToSheet, ProfileFault> {
        let Some((space, _)) = space_key(facts) else {
            return Err(ProfileFault::new("its colours cannot be worked out"));
        };
        let embedded = embedded(path, facts, space);
        sheet
            .transform_from(space, source(facts, embedded.as_deref()))
            .or_else(|_| sheet.transform_from(space, SampleSource::Nothing))
    }
}

/// Returns the key of a picture's colour conversions; `None` where pixels of such a picture are not read.
fn space_key(facts: &Facts) -> Option<SpaceKey> {
    let space = match facts.model {
        ColourModel::Rgb | ColourModel::Palette => ProfileSpace::Rgb,
        ColourModel::Grey => ProfileSpace::Grey,
        ColourModel::Cmyk => ProfileSpace::Cmyk,
        ColourModel::Lab | ColourModel::Other => return None,
    };
    Some((space, colours_of(facts)))
}

/// Returns the profile in a file, where nothing else determines the samples' colours.
fn embedded(path: &Path, facts: &Facts, space: ProfileSpace) -> Option<Vec<u8>> {
    match (facts.encoding(), &facts.profile) {
        (None, EmbeddedProfile::Embedded(profile)) if profile.space == space => profile_bytes(path),
        _ => None,
    }
}

/// Returns the conversion of sample codes. Grey with an unusable profile may mean anything, as may inks without one;
/// RGB codes stay as they are, and checks that need their colours find them unreadable.
fn to_numbers(facts: &Facts, space: ProfileSpace, source: SampleSource<'_>) -> NumberConversion {
    let unusable = matches!(source, SampleSource::Nothing)
        && facts.profile != EmbeddedProfile::None
        && space == ProfileSpace::Grey;
    let made = if unusable { None } else { NumberConversion::new(space, source).ok() };
    made.unwrap_or(if space == ProfileSpace::Rgb { NumberConversion::Unchanged } else { NumberConversion::Unknown })
}

fn source<'a>(facts: &Facts, embedded: Option<&'a [u8]>) -> SampleSource<'a> {
    match (facts.encoding(), embedded) {
        (Some(encoding), _) => SampleSource::Encoding(encoding),
        (None, Some(bytes)) => SampleSource::Profile(bytes),
        (None, None) => SampleSource::Nothing,
    }
}

/// Returns a text that identifies a picture's colours.
fn colours_of(facts: &Facts) -> String {
    match (facts.encoding(), &facts.profile) {
        (Some(encoding), _) => encoding.word().to_owned(),
        (None, EmbeddedProfile::Embedded(profile)) => profile.sha256.clone(),
        (None, EmbeddedProfile::None | EmbeddedProfile::Broken(_)) => String::new(),
    }
}

impl Inspector for FileInspector {
    fn facts(&mut self, path: &Path) -> Result<Facts, Fault> {
        read_facts(path)
    }

    fn memory_bytes(&self, facts: &Facts) -> u64 {
        decoded_bytes(facts)
    }

    fn evidence(&mut self, path: &Path, facts: &Facts, may_use_second_thread: bool) -> Result<Evidence, Fault> {
        self.buffers.shrink_to(limits::KEPT_BUFFER_BYTES);
        let known = self.colours(path, facts).is_some();
        let mut opened = open_pixels(path, facts, &mut self.buffers)?;
        let Some(Colours { to_screen, to_numbers, lightness, .. }) = self.last.as_ref().filter(|_| known) else {
            return Err(Fault::new(FaultKind::Unsupported, "its colours cannot be worked out"));
        };
        let meaning = SampleMeaning { lightness, to_screen, to_numbers };
        let line_buffers = &mut self.line_buffers;
        let measured = |bands: &mut dyn Bands| {
            measure(opened.sha256, bands, facts.orientation, meaning, may_use_second_thread, line_buffers)
        };
        if may_use_second_thread && has_small_bands(facts) {
            decode_ahead(opened.bands, measured)
        } else {
            measured(&mut *opened.bands)
        }
    }

    fn release_buffers(&mut self) {
        (self.buffers, self.line_buffers) = Default::default();
    }

    fn preview(&mut self, path: &Path, facts: &Facts) -> Option<UprightThumbnail> {
        let Preview { width_px, height_px, rgb } = preview(path, facts)?;
        Some(UprightThumbnail { width_px, height_px, rgb })
    }

    fn to_screen(&mut self, path: &Path, thumbnail: &Thumbnail, facts: &Facts) -> Option<UprightThumbnail> {
        let rgb = self.colours(path, facts)?.to_screen.apply(&thumbnail.samples);
        Some(UprightThumbnail { width_px: thumbnail.width_px, height_px: thumbnail.height_px, rgb })
    }

    fn on_paper(
        &mut self,
        path: &Path,
        thumbnail: &Thumbnail,
        facts: &Facts,
        request: &ProofRequest,
    ) -> Option<UprightThumbnail> {
        let key = space_key(facts)?;
        let known = self.paper_transforms.iter().position(|(of, onto, _)| *of == key && onto == request);
        let transform = match known {
            Some(at) => self.paper_transforms.remove(at).2,
            None => {
                let (space, embedded) = (key.0, embedded(path, facts, key.0));
                let made = |source| PaperTransform::new(space, source, &request.paper, request.rendering);
                made(source(facts, embedded.as_deref())).or_else(|_| made(SampleSource::Nothing)).ok()?
            }
        };
        let rgb = transform.apply(&thumbnail.samples);
        self.paper_transforms.push((key, request.clone(), transform));
        if self.paper_transforms.len() > limits::KEPT_PROOF_TRANSFORMS {
            self.paper_transforms.remove(0);
        }
        Some(UprightThumbnail { width_px: thumbnail.width_px, height_px: thumbnail.height_px, rgb })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jpeg_encoder::{ColorType, Encoder};

    #[test]
    fn released_buffers_are_empty_and_the_same_is_read_afterwards() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.jpg");
        let codes: Vec<u8> = (0..90 * 70 * 3).map(|at: u32| (at * 7 % 251) as u8).collect();
        Encoder::new_file(&path, 90).unwrap().encode(&codes, 90, 70, ColorType::Rgb).unwrap();
        let mut inspector = FileInspector::default();
        let facts = inspector.facts(&path).unwrap();
        let first = inspector.evidence(&path, &facts, false).unwrap();
        assert!(inspector.buffers.bytes() > 0 && inspector.line_buffers != LineBuffers::default());
        inspector.release_buffers();
        assert!(inspector.buffers.bytes() == 0 && inspector.line_buffers == LineBuffers::default());
        assert_eq!(inspector.evidence(&path, &facts, false).unwrap(), first);
    }
}
