//! From chosen rows to sheets: which places, whose pixels, in which space, on which sheet.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use crate::brief::Print;
use crate::brief::asked::Space;
use crate::colour::{Encoding, PaperProfile, ProfileSpace, SheetColours, SheetSpace};
use crate::desk::inspect::FileInspector;
use crate::handover::Report;
use crate::judge::lines::{Lines, Rectangle};
use crate::judge::placement::{Fit, Placement};
use crate::judge::test_print::deserving::Deserving;
use crate::judge::test_print::places::places;
use crate::judge::{Delivered, Row};
use crate::measure::Evidence;
use crate::picture::cutout::Cutout;
use crate::picture::{Facts, PictureKey};
use crate::units::words::visible;
use crate::units::{Ppi, Size, show};

use super::file::Container;
use super::layout::Layout;
use super::whole::{fitted, part_at};
use super::{Drawn, Piece, Sheet, Strip, grouped};

/// What is to be laid.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// The paper of a sheet.
    pub onto: Size,
    /// Each picture whole, with a sheet for itself, instead of strips.
    pub whole: bool,
}

/// A picture's file: where it lies and what was read of it.
pub type Files<'a> = HashMap<&'a PictureKey, (&'a PathBuf, &'a Delivered)>;

/// Why no sheets can be made of a picture, or at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoSheet {
    /// The paper is too small.
    #[error("{}: has no room for a picture, a wedge and a ruler of 100 mm; take a larger sheet, such as 8 x 10 in",
        .0.show())]
    TooSmall(Size),
    /// One picture cannot be tested.
    #[error("{picture}: {why}")]
    Picture {
        /// Which.
        picture: PictureKey,
        /// Why not; foreign text, made visible.
        why: String,
    },
}

/// The sheets that are in one space and on one paper.
struct Group<'a> {
    space: SheetSpace<'a>,
    name: String,
    paper: String,
    container: Container,
    pieces: Vec<Piece>,
}

/// A sheet with the bytes of its file.
#[derive(Debug)]
pub struct Finished {
    /// What the file is called.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// What is on it.
    pub sheet: Sheet,
    /// Where it lies there.
    pub drawn: Drawn,
}

/// Makes the sheets of the chosen rows.
///
/// # Errors
/// The paper is too small, or a picture cannot be tested: its space is not known, it cannot be read, or it changed.
pub fn sheets(
    report: &Report,
    files: &Files<'_>,
    chosen: &[Deserving],
    asked: Asked,
) -> Result<Vec<Finished>, NoSheet> {
    let mut inspector = FileInspector::default();
    let mut groups: Vec<Group<'_>> = Vec::new();
    for one in chosen {
        let row = &report.rows[one.row];
        let Some((print, picture)) = report.print(row.key.print.as_ref()).zip(row.key.picture.as_ref()) else {
            continue;
        };
        let wrong = |why: String| NoSheet::Picture { picture: picture.clone(), why };
        let (space, name) = space_of(print).map_err(wrong)?;
        let Some((path, delivered)) = files.get(picture) else { return Err(wrong("it is gone".to_owned())) };
        let subject =
            Subject::of(row, print, path, delivered).ok_or_else(|| wrong("its pixels are not read".to_owned()))?;
        let colours = SheetColours::new(space);
        let piece = match asked.whole {
            true => subject.whole(&mut inspector, &colours, asked.onto, one),
            false => subject.strips(&mut inspector, &colours, asked.onto, one),
        }?;
        let container = Container::of(&print.asked.file.formats, colours.samples());
        let paper = format!("{} {}", print.asked.paper.surface.word(), print.asked.paper.stock.word());
        let is_alike =
            |group: &&mut Group<'_>| (&group.name, &group.paper, group.container) == (&name, &paper, container);
        match groups.iter_mut().find(is_alike) {
            Some(group) => group.pieces.push(piece),
            None => groups.push(Group { space, name, paper, container, pieces: vec![piece] }),
        }
    }
    finished(report, groups, asked.onto)
}

fn finished(report: &Report, groups: Vec<Group<'_>>, onto: Size) -> Result<Vec<Finished>, NoSheet> {
    let layout_of = |ppi: Ppi| Layout::new(onto, ppi);
    let mut parted = Vec::new();
    for group in groups {
        for (ppi, pieces) in grouped(group.pieces, &layout_of) {
            parted.push((group.space, group.name.clone(), group.paper.clone(), group.container, ppi, pieces));
        }
    }
    let of = parted.len();
    let title = report.brief.title.as_deref().map_or_else(String::new, |title| visible(title).into_owned());
    let mut all = Vec::with_capacity(of);
    for (at, (space, name, paper, container, ppi, pieces)) in parted.into_iter().enumerate() {
        let number = (at + 1, of);
        let sheet = Sheet { number, title: title.clone(), space: name, paper, onto, ppi, pieces };
        let layout = layout_of(ppi).ok_or(NoSheet::TooSmall(onto))?;
        let colours = SheetColours::new(space);
        let drawn = sheet.drawn(&layout, &colours);
        let name = format!("test-sheet-{}-{}.{}", at + 1, show::ppi(ppi).replace(' ', ""), container.extension());
        let failed = |why: String| {
            let picture = sheet.pieces.first().map(|piece| piece.caption.clone()).unwrap_or_default();
            NoSheet::Picture { picture: PictureKey::from_text(&picture), why }
        };
        let bytes = container.encoded(&drawn.pixels, &colours, ppi).map_err(failed)?;
        all.push(Finished { name, bytes, sheet, drawn });
    }
    Ok(all)
}

/// The space that the brief asks for, ready for a sheet, and what it is called.
fn space_of(print: &Print) -> Result<(SheetSpace<'_>, String), String> {
    match print.asked.colour.spaces.first() {
        None => Ok((SheetSpace::Rgb(Encoding::Srgb), Encoding::Srgb.name().to_owned())),
        Some(Space::Rgb(encoding)) => Ok((SheetSpace::Rgb(*encoding), encoding.name().to_owned())),
        Some(Space::Grey) => Ok((SheetSpace::Grey, "grey".to_owned())),
        Some(space @ (Space::Cmyk | Space::Paper)) => {
            let fits = |paper: &&PaperProfile| *space == Space::Paper || paper.facts().space == ProfileSpace::Cmyk;
            let Some(paper) = print.asked.paper.printer.as_deref().filter(fits) else {
                let what = "a sheet in the printer's own space takes the printer's profile";
                return Err(format!("{what}: name it as profile in [paper]"));
            };
            Ok((SheetSpace::Paper(paper), visible(&paper.facts().description).into_owned()))
        }
    }
}

/// Where a part begins in its picture, in pixels, and its pixels.
type CutAt = ((u32, u32), Cutout);

/// One picture that is tested.
struct Subject<'a> {
    row: &'a Row,
    print: &'a Print,
    path: &'a Path,
    picture: &'a PictureKey,
    facts: &'a Facts,
    evidence: &'a Evidence,
    placement: &'a Placement,
    fit: &'a Fit,
    /// What is printed of it, within the picture.
    window: Rectangle,
}

impl<'a> Subject<'a> {
    fn of(row: &'a Row, print: &'a Print, path: &'a Path, delivered: &'a Delivered) -> Option<Subject<'a>> {
        let (facts, evidence) = (delivered.facts()?, delivered.evidence()?);
        let placement = row.placement.as_deref()?;
        let fit = placement.fit.as_ref()?;
        let printed = match &row.window {
            Some(plan) => plan.rectangle(placement)?,
            None => Lines::centred(placement)?.window,
        };
        let window = printed.map(|side| side.clamp(0.0, 1.0));
        let picture = row.key.picture.as_ref()?;
        Some(Subject { row, print, path, picture, facts, evidence, placement, fit, window })
    }

    fn wrong(&self, why: String) -> NoSheet {
        NoSheet::Picture { picture: self.picture.clone(), why }
    }

    /// The picture small, and strips at the scale of its print.
    fn strips(
        &self,
        inspector: &mut FileInspector,
        colours: &SheetColours<'_>,
        onto: Size,
        why: &Deserving,
    ) -> Result<Piece, NoSheet> {
        let ppi = self.fit.density;
        let layout = Layout::new(onto, ppi).ok_or(NoSheet::TooSmall(onto))?;
        let (width, height) = self.fit.picture_px;
        let share = |inches: f64, px: u32, low: f64, high: f64| (inches * layout.ppi / f64::from(px)).min(high - low);
        let strip = (
            share(layout.strip.0, width, self.window[0], self.window[2]),
            share(layout.strip.1, height, self.window[1], self.window[3]),
        );
        let found = places(self.row, self.print, (self.facts, self.evidence), (self.window, strip), layout.strips);
        let areas: Vec<Rectangle> = found.iter().map(|place| place.area).collect();
        let cut = self.pixels(inspector, colours, &areas)?;
        let strips =
            found.into_iter().zip(cut).map(|(place, (at_px, pixels))| Strip { place, at_px, pixels }).collect();
        let small = self.small(inspector, colours)?;
        let room = (layout.px(layout.whole.0), layout.px(layout.whole.1));
        Ok(self.piece(why, ppi, fitted(small, colours.channels(), room), strips))
    }

    /// The whole picture, as large as the sheet takes it.
    fn whole(
        &self,
        inspector: &mut FileInspector,
        colours: &SheetColours<'_>,
        onto: Size,
        why: &Deserving,
    ) -> Result<Piece, NoSheet> {
        let own = Layout::new(onto, self.fit.density).ok_or(NoSheet::TooSmall(onto))?;
        let (_, pixels) = self.pixels(inspector, colours, &[self.window])?.remove(0);
        let room = |layout: &Layout| (layout.px(layout.alone().0), layout.px(layout.alone().1));
        if pixels.width <= room(&own).0 && pixels.height <= room(&own).1 {
            return Ok(Piece { whole_is_true: true, ..self.piece(why, self.fit.density, pixels, Vec::new()) });
        }
        let ppi = self.print.asked.density.wanted;
        let layout = Layout::new(onto, ppi).ok_or(NoSheet::TooSmall(onto))?;
        Ok(self.piece(why, ppi, fitted(pixels, colours.channels(), room(&layout)), Vec::new()))
    }

    fn piece(&self, why: &Deserving, ppi: Ppi, whole: Cutout, strips: Vec<Strip>) -> Piece {
        let print = visible(&self.row.print_name);
        let caption = format!("{print}, {}, {}", self.picture, self.placement.finished.show());
        Piece { caption, reasons: why.words(), ppi, whole, whole_is_true: false, window: self.window, strips }
    }

    /// Parts of the picture at its own pixels, in the sheet's space; stops if the file is not the one that was judged.
    fn pixels(
        &self,
        inspector: &mut FileInspector,
        colours: &SheetColours<'_>,
        areas: &[Rectangle],
    ) -> Result<Vec<CutAt>, NoSheet> {
        let parts: Vec<_> = areas.iter().map(|area| part_at(*area, self.fit.picture_px)).collect();
        let read = inspector.cutouts(self.path, self.facts, &parts).map_err(|fault| self.wrong(fault.to_string()))?;
        let (sha256, cut) = read;
        if sha256 != self.evidence.sha256 {
            return Err(self.wrong("it changed after it was checked; nothing was written, check again".to_owned()));
        }
        let onto = inspector.onto_sheet(self.path, self.facts, colours).map_err(|why| self.wrong(why.to_string()))?;
        let own = |cutout: Cutout| Cutout { samples: onto.apply(cutout.samples), ..cutout };
        Ok(parts.iter().map(|part| (part.left, part.top)).zip(cut.into_iter().map(own)).collect())
    }

    /// What is printed of the thumbnail, in the sheet's space.
    fn small(&self, inspector: &FileInspector, colours: &SheetColours<'_>) -> Result<Cutout, NoSheet> {
        let thumbnail = &self.evidence.thumbnail;
        let part = part_at(self.window, (thumbnail.width_px, thumbnail.height_px));
        let channels = thumbnail.model.channels();
        let row = thumbnail.width_px as usize * channels;
        let rows = thumbnail.samples.chunks_exact(row).skip(part.top as usize).take(part.height as usize);
        let across = part.left as usize * channels..(part.left + part.width) as usize * channels;
        let samples = rows.flat_map(|row| row[across.clone()].iter().copied()).collect();
        let onto = inspector.onto_sheet(self.path, self.facts, colours).map_err(|why| self.wrong(why.to_string()))?;
        Ok(Cutout { width: part.width, height: part.height, samples: onto.apply(samples) })
    }
}
