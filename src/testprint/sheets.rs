//! Makes sheets from chosen rows: selects places, reads pixels in the sheet's colour space, and groups them by sheet.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::brief::Print;
use crate::brief::requirements::Space;
use crate::colour::{Encoding, PaperProfile, ProfileSpace, SheetColours, SheetSpace};
use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::judge::placement::{Fit, Placement};
use crate::judge::{Row, Submission};
use crate::measure::Evidence;
use crate::picture::cutout::Cutout;
use crate::picture::{Facts, PictureKey};
use crate::reading::check_report::CheckReport;
use crate::reading::inspect::FileInspector;
use crate::testprint::places::find_risk_locations;
use crate::testprint::ranking::RankedRow;
use crate::units::words::visible;
use crate::units::{Ppi, Size, show};

use super::draw::draw;
use super::file::Container;
use super::layout::SheetLayout;
use super::overview::{part_at, shrink_to_fit};
use super::sheet::{DrawnSheet, Piece, TestSheet, TestStrip};

/// Largest sheet, in megapixels: 11 x 14 in at 1,000 ppi. Own choice; takes half a gigabyte while it is drawn.
const MAX_SHEET_MP: u64 = 160;
/// Lowest density at which the small print of a sheet can be read, in pixels per inch. Own choice.
const MIN_SHEET_PPI: f64 = 40.0;

/// Reason given for a picture without a print.
const NO_PRINT: &str = "it is for no print; give it one in the brief";
/// Reason given for a picture whose file is not there.
const GONE: &str = "it has gone from the folder; write the sheets again";
/// Reason given for a picture whose pixels are not read.
const UNREAD: &str = "its pixels cannot be read; export it again";

/// The options for making sheets.
#[derive(Clone, Copy, Debug)]
pub struct SheetRequest {
    /// The paper size of a sheet.
    pub onto: Size,
    /// What is printed of each picture.
    pub kind: SheetKind,
}

/// What a sheet shows of its pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetKind {
    /// Strips at the scale of the print, several pictures on a sheet.
    Strips,
    /// The whole picture, on a sheet of its own.
    Whole,
}

/// The files of pictures: path and what was read from each.
pub type ReadFiles<'a> = HashMap<&'a PictureKey, (&'a PathBuf, &'a Submission)>;

/// Why sheets cannot be made, of one picture or at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// The paper is too small.
    #[error("{}: has no room for a picture, a wedge and a ruler of 100 mm; take a larger sheet, such as 8 x 10 in",
        .0.show())]
    TooSmall(Size),
    /// The sheet would be too large.
    #[error(
        "{picture}: at {}, a sheet of {} would have {} megapixels; the limit is {MAX_SHEET_MP}; take a smaller sheet",
        show::ppi(*.ppi), .onto.show(), .megapixels
    )]
    TooLarge {
        /// The picture of that density.
        picture: PictureKey,
        /// The density.
        ppi: Ppi,
        /// The paper size.
        onto: Size,
        /// The sheet's size in megapixels.
        megapixels: u64,
    },
    /// A sheet's file cannot be encoded.
    #[error("a sheet cannot be written as a file: {0}; take a smaller sheet")]
    CannotWrite(String),
    /// A picture cannot be tested.
    #[error("{picture}: {why}")]
    Picture {
        /// The picture.
        picture: PictureKey,
        /// The reason; foreign text is escaped.
        why: String,
    },
}

/// Properties that all pictures of one sheet share.
#[derive(Clone)]
struct SheetGroup<'a> {
    space: SheetSpace<'a>,
    /// The colour space's name.
    name: String,
    /// The profile's bytes, which distinguish colour spaces of the same name.
    profile: Vec<u8>,
    paper: String,
    container: Container,
}

/// A sheet with its encoded file.
#[derive(Debug)]
pub struct FinishedSheet {
    /// The file's name.
    pub name: String,
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// The sheet's content.
    pub sheet: TestSheet,
    /// Positions on the sheet.
    pub drawn: DrawnSheet,
}

/// Makes the sheets of the chosen rows.
///
/// # Errors
/// The paper is too small, or a picture cannot be tested: its colour space is unknown, it cannot be read, or it
/// changed.
pub fn make_sheets(
    report: &CheckReport,
    files: &ReadFiles<'_>,
    chosen: &[RankedRow],
    request: SheetRequest,
) -> Result<Vec<FinishedSheet>, SheetError> {
    let prints = report.prints();
    let mut inspector = FileInspector::default();
    let mut groups: Vec<(SheetGroup<'_>, Vec<Piece>)> = Vec::new();
    for one in chosen {
        let row = &report.rows[one.row];
        let Some(picture) = row.key.picture.as_ref() else { continue };
        let wrong = |why: String| SheetError::Picture { picture: picture.clone(), why };
        let Some(print) = prints.get(row.key.print.as_ref()) else { return Err(wrong(NO_PRINT.to_owned())) };
        let group = SheetGroup::of(print).map_err(wrong)?;
        let Some((path, submission)) = files.get(picture) else { return Err(wrong(GONE.to_owned())) };
        let subject = TestedPicture::of(row, print, path, submission).ok_or_else(|| wrong(UNREAD.to_owned()))?;
        let colours = SheetColours::new(group.space);
        let piece = match request.kind {
            SheetKind::Strips => subject.make_strip_piece(&mut inspector, &colours, request.onto, one),
            SheetKind::Whole => subject.make_whole_piece(&mut inspector, &colours, request.onto, one),
        }?;
        match groups.iter_mut().find(|(other, _)| other.is_same_sheet(&group)) {
            Some((_, pieces)) => pieces.push(piece),
            None => groups.push((group, vec![piece])),
        }
    }
    finish_sheets(report, groups, request.onto)
}

/// Parts groups of pieces into sheets, draws and encodes them.
fn finish_sheets(
    report: &CheckReport,
    groups: Vec<(SheetGroup<'_>, Vec<Piece>)>,
    onto: Size,
) -> Result<Vec<FinishedSheet>, SheetError> {
    let layout_of = |ppi: Ppi| SheetLayout::new(onto, ppi);
    let mut parted = Vec::new();
    for (group, pieces) in groups {
        let sheets = group_pieces(pieces, &layout_of);
        parted.extend(sheets.into_iter().map(|(ppi, pieces)| (group.clone(), ppi, pieces)));
    }
    let of = parted.len();
    let file = || report.brief.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let title = visible(&report.brief.title.clone().unwrap_or_else(file)).into_owned();
    let mut all = Vec::with_capacity(of);
    for (at, (group, ppi, pieces)) in parted.into_iter().enumerate() {
        let SheetGroup { space, name, paper, container, .. } = group;
        let mut sheet = TestSheet { number: (at + 1, of), title: title.clone(), space: name, paper, onto, ppi, pieces };
        let layout = layout_of(ppi).ok_or(SheetError::TooSmall(onto))?;
        let colours = SheetColours::new(space);
        let mut drawn = draw(&sheet, &layout, &colours);
        let name = format!("test-sheet-{}-{}.{}", at + 1, show::ppi(ppi).replace(' ', ""), container.extension());
        let bytes = container.encode(&drawn.pixels, &colours, ppi).map_err(SheetError::CannotWrite)?;
        // From here on only the positions are needed.
        drawn.pixels.samples = Vec::new();
        let strips = sheet.pieces.iter_mut().flat_map(|piece| &mut piece.strips);
        strips.for_each(|strip| strip.pixels.samples = Vec::new());
        all.push(FinishedSheet { name, bytes, sheet, drawn });
    }
    Ok(all)
}

/// Groups pieces by density into sheets, each with as many pieces as it has room for. Densities so close that no strip
/// is off by more than half a pixel share a sheet.
fn group_pieces(pieces: Vec<Piece>, layout_of: &dyn Fn(Ppi) -> Option<SheetLayout>) -> Vec<(Ppi, Vec<Piece>)> {
    let mut groups: Vec<(Ppi, Vec<Piece>)> = Vec::new();
    for piece in pieces {
        let room = |(ppi, group): &(Ppi, Vec<Piece>)| {
            let layout = layout_of(*ppi);
            layout.is_some_and(|layout| layout.is_same_scale(*ppi, piece.ppi) && group.len() < layout.per_sheet(&piece))
        };
        match groups.iter_mut().find(|group| room(group)) {
            Some((_, group)) => group.push(piece),
            None => groups.push((piece.ppi, vec![piece])),
        }
    }
    groups
}

impl<'a> SheetGroup<'a> {
    fn of(print: &'a Print) -> Result<SheetGroup<'a>, String> {
        let (space, name) = space_of(print)?;
        let colours = SheetColours::new(space);
        Ok(SheetGroup {
            space,
            name,
            profile: colours.profile().to_vec(),
            paper: format!("{} {}", print.requirements.paper.surface.word(), print.requirements.paper.stock.word()),
            container: Container::of(&print.requirements.file.formats, colours.sample_space()),
        })
    }

    fn is_same_sheet(&self, other: &SheetGroup<'_>) -> bool {
        (&self.profile, &self.paper, self.container) == (&other.profile, &other.paper, other.container)
    }
}

/// Returns the colour space that the brief requires, ready for a sheet, and its name.
fn space_of(print: &Print) -> Result<(SheetSpace<'_>, String), String> {
    match print.requirements.colour.spaces.first() {
        None => Ok((SheetSpace::Rgb(Encoding::Srgb), Encoding::Srgb.name().to_owned())),
        Some(Space::Rgb(encoding)) => Ok((SheetSpace::Rgb(*encoding), encoding.name().to_owned())),
        Some(Space::Grey) => Ok((SheetSpace::Grey, "grey".to_owned())),
        Some(space @ (Space::Cmyk | Space::Paper)) => {
            let fits = |paper: &&PaperProfile| *space == Space::Paper || paper.facts().space == ProfileSpace::Cmyk;
            let Some(paper) = print.requirements.paper.printer.as_deref().filter(fits) else {
                let what = "a sheet in the printer's own colour space needs the printer's profile";
                return Err(format!("{what}; name it as profile in [paper]"));
            };
            Ok((SheetSpace::Paper(paper), visible(&paper.facts().description).into_owned()))
        }
    }
}

/// The top left corner of a part of a picture, in pixels, and its samples.
type CutAt = ((u32, u32), Cutout);

/// A picture to be tested.
struct TestedPicture<'a> {
    row: &'a Row,
    print: &'a Print,
    path: &'a Path,
    picture: &'a PictureKey,
    facts: &'a Facts,
    evidence: Arc<Evidence>,
    placement: &'a Placement,
    fit: &'a Fit,
    /// The printed part, in the picture's coordinates.
    window: Rectangle,
}

impl<'a> TestedPicture<'a> {
    fn of(row: &'a Row, print: &'a Print, path: &'a Path, submission: &'a Submission) -> Option<TestedPicture<'a>> {
        let (facts, evidence) = (submission.facts()?, submission.evidence()?);
        let placement = row.placement.as_deref()?;
        let fit = placement.fit.as_ref()?;
        let printed = match &row.crop {
            Some(plan) => plan.rectangle(placement)?,
            None => CutLines::centred(placement)?.window,
        };
        let window = printed.map(|side| side.clamp(0.0, 1.0));
        let picture = row.key.picture.as_ref()?;
        Some(TestedPicture { row, print, path, picture, facts, evidence, placement, fit, window })
    }

    fn picture_error(&self, why: String) -> SheetError {
        SheetError::Picture { picture: self.picture.clone(), why }
    }

    /// Returns the layout of a sheet at a density, or why there is none.
    fn layout(&self, onto: Size, ppi: Ppi) -> Result<SheetLayout, SheetError> {
        if ppi.as_f64() < MIN_SHEET_PPI {
            let words = format!("at {} it has too few pixels for a test print", show::ppi(ppi));
            return Err(self.picture_error(format!("{words}; export it larger, or choose others")));
        }
        let megapixels = u64::from(ppi.pixels(onto.width)) * u64::from(ppi.pixels(onto.height)) / 1_000_000;
        if megapixels > MAX_SHEET_MP {
            return Err(SheetError::TooLarge { picture: self.picture.clone(), ppi, onto, megapixels });
        }
        SheetLayout::new(onto, ppi).ok_or(SheetError::TooSmall(onto))
    }

    /// Makes a piece with the picture small and strips at its print's scale.
    fn make_strip_piece(
        &self,
        inspector: &mut FileInspector,
        colours: &SheetColours<'_>,
        onto: Size,
        why: &RankedRow,
    ) -> Result<Piece, SheetError> {
        let ppi = self.fit.density;
        let layout = self.layout(onto, ppi)?;
        let (width, height) = self.fit.picture_px;
        let share = |inches: f64, px: u32, low: f64, high: f64| (inches * layout.ppi / f64::from(px)).min(high - low);
        let strip = (
            share(layout.strip.0, width, self.window[0], self.window[2]),
            share(layout.strip.1, height, self.window[1], self.window[3]),
        );
        let found = find_risk_locations(self.row, self.print, &self.evidence, self.window, strip, layout.strips);
        let areas: Vec<Rectangle> = found.iter().map(|place| place.area).collect();
        let cut = self.read_parts(inspector, colours, &areas)?;
        let strips =
            found.into_iter().zip(cut).map(|(place, (at_px, pixels))| TestStrip { place, at_px, pixels }).collect();
        let room = (layout.px(layout.whole.0), layout.px(layout.whole.1));
        let mut small = self.cut_thumbnail(inspector, colours)?;
        if small.width < room.0 && small.height < room.1 {
            // Dense prints have room for more pixels than the thumbnail has.
            small = self.read_parts(inspector, colours, &[self.window])?.remove(0).1;
        }
        Ok(self.make_piece(why, ppi, shrink_to_fit(small, colours.channels(), room), strips))
    }

    /// Makes a piece with the whole picture, as large as the sheet allows.
    fn make_whole_piece(
        &self,
        inspector: &mut FileInspector,
        colours: &SheetColours<'_>,
        onto: Size,
        why: &RankedRow,
    ) -> Result<Piece, SheetError> {
        let own = self.layout(onto, self.fit.density)?;
        let (_, pixels) = self.read_parts(inspector, colours, &[self.window])?.remove(0);
        let room = |layout: &SheetLayout| (layout.px(layout.alone().0), layout.px(layout.alone().1));
        if pixels.width <= room(&own).0 && pixels.height <= room(&own).1 {
            return Ok(Piece { scale: 1.0, ..self.make_piece(why, self.fit.density, pixels, Vec::new()) });
        }
        let (ppi, inches) =
            (self.print.requirements.density.target, f64::from(pixels.width) / self.fit.density.as_f64());
        let layout = self.layout(onto, ppi)?;
        let small = shrink_to_fit(pixels, colours.channels(), room(&layout));
        let scale = f64::from(small.width) / ppi.as_f64() / inches;
        Ok(Piece { scale, ..self.make_piece(why, ppi, small, Vec::new()) })
    }

    fn make_piece(&self, why: &RankedRow, ppi: Ppi, whole: Cutout, strips: Vec<TestStrip>) -> Piece {
        let print = self.row.name_with_version();
        let print = visible(&print);
        let scale = if strips.is_empty() { "" } else { ", strips at the scale of the print" };
        let caption = format!("{print}, {}, {}{scale}", self.picture, self.placement.finished.show());
        Piece { caption, reasons: why.words(), ppi, whole, scale: 0.0, window: self.window, strips }
    }

    /// Reads parts of the picture at full resolution, in the sheet's space; fails if the file is not the one that was
    /// judged.
    fn read_parts(
        &self,
        inspector: &mut FileInspector,
        colours: &SheetColours<'_>,
        areas: &[Rectangle],
    ) -> Result<Vec<CutAt>, SheetError> {
        let parts: Vec<_> = areas.iter().map(|area| part_at(*area, self.fit.picture_px)).collect();
        let read =
            inspector.cutouts(self.path, self.facts, &parts).map_err(|fault| self.picture_error(fault.to_string()))?;
        let (sha256, cut) = read;
        if sha256 != self.evidence.sha256 {
            return Err(
                self.picture_error("it changed after it was checked; nothing was written; run it again".to_owned())
            );
        }
        let transform = inspector
            .sheet_transform(self.path, self.facts, colours)
            .map_err(|why| self.picture_error(why.to_string()))?;
        let own = |cutout: Cutout| Cutout { samples: transform.apply(cutout.samples), ..cutout };
        Ok(parts.iter().map(|part| (part.left, part.top)).zip(cut.into_iter().map(own)).collect())
    }

    /// Returns the printed part of the thumbnail, in the sheet's space.
    fn cut_thumbnail(&self, inspector: &FileInspector, colours: &SheetColours<'_>) -> Result<Cutout, SheetError> {
        let thumbnail = &self.evidence.thumbnail;
        let part = part_at(self.window, (thumbnail.width_px, thumbnail.height_px));
        let channels = thumbnail.model.channels();
        let row = thumbnail.width_px as usize * channels;
        let rows = thumbnail.samples.chunks_exact(row).skip(part.top as usize).take(part.height as usize);
        let across = part.left as usize * channels..(part.left + part.width) as usize * channels;
        let samples = rows.flat_map(|row| row[across.clone()].iter().copied()).collect();
        let transform = inspector
            .sheet_transform(self.path, self.facts, colours)
            .map_err(|why| self.picture_error(why.to_string()))?;
        Ok(Cutout { width: part.width, height: part.height, samples: transform.apply(samples) })
    }
}
