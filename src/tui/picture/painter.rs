//! Decides for each frame what is shown in the thumbnail's place: half blocks at once, graphics once the selection has
//! rested and their bytes are ready, and no remains of the previous picture. Graphics are encoded on a separate thread;
//! if that thread ends, half blocks are shown from then on.
//!
//! Order within a frame: `paint` while the frame is drawn, then `flush` after it.

use std::io::{self, Write};
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use crossbeam_channel::{Receiver, Select, Sender, TryRecvError, TrySendError, bounded, never};
use lru::LruCache;
use ratatui::buffer::{Buffer, CellDiffOption};
use ratatui::layout::Rect;

use crate::live::snapshot::{Proof, ShownThumbnail};
use crate::picture::PictureKey;
use crate::tui::capability::ColourLevel;
use crate::tui::picture::encode::{EncodeTarget, MAX_SIDE_PX, encode};
use crate::tui::picture::fit::{USUAL_CELL_PX, fit};
use crate::tui::picture::overlay::Overlay;
use crate::tui::picture::protocol::Protocol;
use crate::tui::picture::{blocks, kitty};

/// How long the selection must rest before graphics are drawn; without this a held key would queue them. Own trial,
/// 2026-11: 80 to 100 ms for one sixel picture.
const REST: Duration = Duration::from_millis(120);
/// Number of encoded pictures kept: pane and whole window, for a few rows and views back and forth.
const KEPT: NonZeroUsize = NonZeroUsize::new(12).expect("twelve is not zero");

/// A picture to show, and where.
#[derive(Clone, Copy, Debug)]
pub struct PictureRequest<'a> {
    /// The available area.
    pub area: Rect,
    /// The thumbnail.
    pub thumbnail: &'a Arc<ShownThumbnail>,
    /// The painted overlay.
    pub overlay: &'a Arc<Overlay>,
}

/// A thumbnail at a position: the unit that is encoded, cached and compared.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct ImageKey {
    picture: PictureKey,
    version: u64,
    is_preview: bool,
    proof: Option<Proof>,
    /// The overlay's stamp, see [`Overlay::stamp`].
    overlay: u64,
    area: Rect,
    cell_px: (u16, u16),
}

struct EncodeRequest {
    key: ImageKey,
    thumbnail: Arc<ShownThumbnail>,
    overlay: Arc<Overlay>,
    target: EncodeTarget,
}

/// An encoded picture from the encoder; `None` where half blocks must be used instead.
struct Encoded {
    key: ImageKey,
    bytes: Option<Arc<[u8]>>,
}

/// News from the encoder's thread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EncoderNews {
    /// There is no news.
    None,
    /// A picture was encoded: the next frame may show it.
    Encoded,
    /// The thread has ended: half blocks are shown from now on.
    Ended,
}

/// The picture that the painter draws next.
struct NextImage {
    key: ImageKey,
    since: Instant,
    is_requested: bool,
}

/// The painter of pictures on the terminal.
pub struct Painter {
    protocol: Protocol,
    colours: ColourLevel,
    cell_px: (u16, u16),
    most_bytes: usize,
    requests: Sender<EncodeRequest>,
    waiting: Receiver<EncodeRequest>,
    encoded: Receiver<Encoded>,
    has_encoder_ended: bool,
    /// Encoded pictures; `None` for those that must be shown in half blocks.
    kept: LruCache<ImageKey, Option<Arc<[u8]>>>,
    /// The picture requested by the last frame.
    wanted: Option<NextImage>,
    /// The picture that the terminal shows as graphics.
    displayed: Option<ImageKey>,
    /// True if `flush` removes the graphics that the terminal shows.
    must_erase: bool,
    /// Bytes that `flush` writes.
    to_draw: Option<Arc<[u8]>>,
    /// The half blocks painted last, with their key.
    blocks: Option<(ImageKey, Vec<[u8; 3]>)>,
}

impl Painter {
    /// Creates a painter and its worker thread.
    ///
    /// # Errors
    /// If the system refuses a thread.
    pub fn new(protocol: Protocol, colours: ColourLevel, most_bytes: usize) -> io::Result<Painter> {
        // One request and one answer at a time: only the newest matters.
        let (requests, waiting) = bounded::<EncodeRequest>(1);
        let (answers, encoded) = bounded(1);
        let jobs = waiting.clone();
        thread::Builder::new().name("screen pictures".to_owned()).spawn(move || {
            for EncodeRequest { key, thumbnail, overlay, target } in jobs {
                let bytes = encode(&thumbnail, &overlay, &target).map(Arc::from);
                if answers.send(Encoded { key, bytes }).is_err() {
                    return;
                }
            }
        })?;
        Ok(Painter::with(protocol, colours, most_bytes, requests, waiting, encoded))
    }

    /// Creates a painter whose encoder has ended.
    #[cfg(test)]
    pub fn without_encoder(protocol: Protocol, colours: ColourLevel) -> Painter {
        let (requests, waiting) = bounded(1);
        Painter::with(protocol, colours, usize::MAX, requests, waiting, bounded(1).1)
    }

    fn with(
        protocol: Protocol,
        colours: ColourLevel,
        most_bytes: usize,
        requests: Sender<EncodeRequest>,
        waiting: Receiver<EncodeRequest>,
        encoded: Receiver<Encoded>,
    ) -> Painter {
        Painter {
            protocol,
            colours,
            cell_px: USUAL_CELL_PX,
            most_bytes,
            requests,
            waiting,
            encoded,
            has_encoder_ended: false,
            kept: LruCache::new(KEPT),
            wanted: None,
            displayed: None,
            must_erase: false,
            to_draw: None,
            blocks: None,
        }
    }

    /// True if pictures are shown at all.
    pub fn shows(&self) -> bool {
        self.protocol != Protocol::Off
    }

    /// Sets the size of a cell in pixels; zero on either side means that the terminal does not report it.
    pub fn set_cell_px(&mut self, cell_px: (u16, u16)) {
        self.cell_px = if cell_px.0 == 0 || cell_px.1 == 0 { USUAL_CELL_PX } else { cell_px };
    }

    /// Marks the picture as lost: the terminal was cleared, and it must be drawn again.
    pub fn forget(&mut self) {
        self.must_erase |= self.displayed.take().is_some();
    }

    /// Removes the last picture.
    ///
    /// # Errors
    /// If the terminal cannot be written to.
    pub fn close(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.wanted = None;
        self.to_draw = None;
        self.forget();
        self.flush(out)
    }

    /// Adds the encoder's news to a `select`; `receive` then reads it.
    pub fn wait_for_encoder<'a>(&'a self, select: &mut Select<'a>) {
        select.recv(&self.encoded);
    }

    /// Reads what the encoder has sent so far. Its end is reported once, and does not wake the loop again.
    pub fn receive(&mut self) -> EncoderNews {
        let mut news = EncoderNews::None;
        loop {
            match self.encoded.try_recv() {
                Ok(Encoded { key, bytes }) => {
                    self.kept.put(key, bytes);
                    news = EncoderNews::Encoded;
                }
                Err(TryRecvError::Empty) => return news,
                Err(TryRecvError::Disconnected) => {
                    self.encoded = never();
                    if !self.shows_graphics() {
                        return news;
                    }
                    // The next frame removes any graphics still shown.
                    self.has_encoder_ended = true;
                    self.kept.clear();
                    return EncoderNews::Ended;
                }
            }
        }
    }

    /// Returns when the next frame is due without other events: once the selection has rested.
    pub fn next_frame_at(&self) -> Option<Instant> {
        let wanted = self.wanted.as_ref().filter(|wanted| self.shows_graphics() && !wanted.is_requested)?;
        (self.displayed.as_ref() != Some(&wanted.key)).then_some(wanted.since + REST)
    }

    fn shows_graphics(&self) -> bool {
        !self.has_encoder_ended && matches!(self.protocol, Protocol::Kitty | Protocol::Sixel | Protocol::Iterm)
    }

    /// Returns the area that a picture may take: a sixel picture has at most [`MAX_SIDE_PX`] pixels a side.
    fn room(&self, area: Rect) -> Rect {
        if self.protocol != Protocol::Sixel {
            return area;
        }
        let most = |px: u16| u16::try_from(MAX_SIDE_PX / u32::from(px.max(1))).unwrap_or(u16::MAX);
        let width = area.width.min(most(self.cell_px.0));
        Rect { x: area.x + (area.width - width) / 2, width, height: area.height.min(most(self.cell_px.1)), ..area }
    }

    /// Returns the cells of an area that a thumbnail takes.
    pub fn place(&self, thumbnail: &ShownThumbnail, area: Rect) -> Rect {
        fit((thumbnail.width_px, thumbnail.height_px), self.room(area), self.cell_px)
    }

    /// Paints a thumbnail into its area of the frame; without a request, removes the picture.
    pub fn paint(&mut self, buffer: &mut Buffer, request: Option<PictureRequest>, now: Instant) {
        self.to_draw = None;
        let request = request.filter(|_| self.shows());
        let Some(request) = request else {
            self.wanted = None;
            self.must_erase |= self.displayed.take().is_some();
            return;
        };
        let thumbnail = request.thumbnail;
        let area = self.place(thumbnail, request.area);
        let key = ImageKey {
            picture: thumbnail.picture.clone(),
            version: thumbnail.version,
            is_preview: thumbnail.is_preview,
            proof: thumbnail.proof,
            overlay: request.overlay.stamp(),
            area,
            cell_px: self.cell_px,
        };
        let rested = self.has_rested(&key, now);
        if self.shows_graphics() && rested && self.show_or_request(&key, &request) {
            for position in area.positions() {
                buffer[position].set_diff_option(CellDiffOption::Skip);
            }
            return;
        }
        self.must_erase |= self.displayed.take().is_some();
        self.paint_blocks(buffer, key, &request);
    }

    /// Records what is wanted, and returns true if it has rested. Another picture starts a new rest, as does an overlay
    /// that has not been drawn before, so that a held key does not queue them.
    fn has_rested(&mut self, key: &ImageKey, now: Instant) -> bool {
        let since = match &self.wanted {
            Some(wanted) if wanted.key == *key => return now >= wanted.since + REST,
            Some(NextImage { key: before, since, .. })
                if before.picture == key.picture && (before.overlay == key.overlay || self.kept.contains(key)) =>
            {
                *since
            }
            _ => now,
        };
        self.wanted = Some(NextImage { key: key.clone(), since, is_requested: false });
        now >= since + REST
    }

    /// Returns true if graphics are or will be shown; requests them from the encoder where they are not ready.
    fn show_or_request(&mut self, key: &ImageKey, request: &PictureRequest) -> bool {
        if self.displayed.as_ref() == Some(key) {
            return true;
        }
        if let Some(bytes) = self.kept.get(key) {
            self.to_draw.clone_from(bytes);
            return self.to_draw.is_some();
        }
        if let Some(wanted) = self.wanted.as_mut().filter(|wanted| !wanted.is_requested) {
            wanted.is_requested = true;
            let target = EncodeTarget {
                protocol: self.protocol,
                cells: (key.area.width, key.area.height),
                cell_px: self.cell_px,
                most_bytes: self.most_bytes,
            };
            let (thumbnail, overlay) = (Arc::clone(request.thumbnail), Arc::clone(request.overlay));
            self.request(EncodeRequest { key: key.clone(), thumbnail, overlay, target });
        }
        false
    }

    /// Sends a request to the encoder, replacing one that it has not begun.
    fn request(&self, mut request: EncodeRequest) {
        while let Err(TrySendError::Full(back)) = self.requests.try_send(request) {
            let _older = self.waiting.try_recv();
            request = back;
        }
    }

    fn paint_blocks(&mut self, buffer: &mut Buffer, key: ImageKey, request: &PictureRequest) {
        if self.colours == ColourLevel::None {
            return;
        }
        let area = key.area;
        if self.blocks.as_ref().is_none_or(|(painted, _)| *painted != key) {
            self.blocks = Some((key, blocks::pixels(request.thumbnail, request.overlay, (area.width, area.height))));
        }
        if let Some((_, pixels)) = &self.blocks {
            blocks::paint(buffer, area, pixels, self.colours);
        }
    }

    /// Writes what the frame cannot hold: removes old graphics and draws new ones.
    ///
    /// # Errors
    /// If the terminal cannot be written to.
    pub fn flush(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let to_draw = self.to_draw.take();
        // Text erases sixel and inline pictures; a kitty picture under the same number replaces the old one.
        if std::mem::take(&mut self.must_erase) && self.protocol == Protocol::Kitty && to_draw.is_none() {
            out.write_all(&kitty::erase())?;
        }
        if let (Some(bytes), Some(wanted)) = (to_draw, &self.wanted) {
            let at = wanted.key.area;
            if self.protocol == Protocol::Sixel {
                // Whole bands may leave a strip of the last row uncovered, where half blocks would show.
                let blank = " ".repeat(at.width.into());
                write!(out, "\x1b[0m\x1b[{};{}H{blank}", at.bottom(), at.x + 1)?;
            }
            // Cursor position, counted from 1 (ECMA-48).
            write!(out, "\x1b[{};{}H", at.y + 1, at.x + 1)?;
            out.write_all(&bytes)?;
            self.displayed = Some(wanted.key.clone());
        }
        out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::picture::overlay::{Dash, Mark};
    use crate::tui::tests::order::thumbnail;

    const WINDOW: Rect = Rect::new(0, 0, 40, 20);

    /// Draws one frame; returns the bytes written after it, and whether its cells were left to graphics.
    fn frame(painter: &mut Painter, thumbnail: Option<&Arc<ShownThumbnail>>, now: Instant) -> (Vec<u8>, bool) {
        viewed(painter, thumbnail, &Arc::default(), now)
    }

    /// Draws one frame with an overlay; see [`frame`].
    fn viewed(
        painter: &mut Painter,
        thumbnail: Option<&Arc<ShownThumbnail>>,
        overlay: &Arc<Overlay>,
        now: Instant,
    ) -> (Vec<u8>, bool) {
        let mut buffer = Buffer::empty(WINDOW);
        painter.paint(&mut buffer, thumbnail.map(|thumbnail| PictureRequest { area: WINDOW, thumbnail, overlay }), now);
        let mut out = Vec::new();
        painter.flush(&mut out).unwrap();
        (out, buffer.content.iter().any(|cell| cell.diff_option == CellDiffOption::Skip))
    }

    /// Waits for one encoded picture.
    fn wait(painter: &mut Painter) {
        let mut select = Select::new();
        painter.wait_for_encoder(&mut select);
        assert!(select.ready_timeout(Duration::from_secs(20)).is_ok(), "nothing is encoded");
        assert_eq!(painter.receive(), EncoderNews::Encoded);
    }

    fn kitty() -> Painter {
        Painter::new(Protocol::Kitty, ColourLevel::Full, usize::MAX).unwrap()
    }

    #[test]
    fn blocks_come_at_once_and_graphics_after_a_rest() {
        let (mut painter, now) = (kitty(), Instant::now());
        let plum = Arc::new(thumbnail("plum.jpg", 60, 40));
        assert_eq!(frame(&mut painter, Some(&plum), now), (vec![], false));
        assert_eq!(painter.next_frame_at(), Some(now + REST));
        assert_eq!(frame(&mut painter, Some(&plum), now + REST), (vec![], false));
        assert_eq!(painter.next_frame_at(), None);
        wait(&mut painter);
        let (bytes, skipped) = frame(&mut painter, Some(&plum), now + REST);
        assert!(skipped && bytes.windows(6).any(|part| part == b"\x1b_Ga=T"));
        assert_eq!(frame(&mut painter, Some(&plum), now + REST), (vec![], true));
    }

    #[test]
    fn another_selection_takes_the_old_picture_away_and_rests_again() {
        let (mut painter, now) = (kitty(), Instant::now());
        let plum = Arc::new(thumbnail("plum.jpg", 60, 40));
        frame(&mut painter, Some(&plum), now);
        frame(&mut painter, Some(&plum), now + REST);
        wait(&mut painter);
        frame(&mut painter, Some(&plum), now + REST);
        let leeks = Arc::new(thumbnail("leeks.jpg", 40, 60));
        let (bytes, skipped) = frame(&mut painter, Some(&leeks), now + REST);
        assert!(!skipped && bytes == kitty::erase());
        assert_eq!(painter.next_frame_at(), Some(now + REST + REST));
        // Back to the first picture: nothing is encoded twice.
        frame(&mut painter, Some(&plum), now + REST);
        let (bytes, skipped) = frame(&mut painter, Some(&plum), now + REST + REST);
        assert!(skipped && !bytes.is_empty());
    }

    #[test]
    fn a_view_is_made_once_and_then_switched_in_one_frame() {
        let (mut painter, now) = (kitty(), Instant::now());
        let plum = Arc::new(thumbnail("plum.jpg", 60, 40));
        let sent = Arc::default();
        let boxed = Arc::new(Overlay { marks: vec![Mark::Frame(Dash::Solid, [0.1, 0.1, 0.9, 0.9])] });
        let mut bytes_of = |overlay: &Arc<Overlay>, now| {
            assert!(!viewed(&mut painter, Some(&plum), overlay, now).1, "blocks at once");
            viewed(&mut painter, Some(&plum), overlay, now + REST);
            wait(&mut painter);
            viewed(&mut painter, Some(&plum), overlay, now + REST).0
        };
        let (first, second) = (bytes_of(&sent, now), bytes_of(&boxed, now + REST));
        assert!(first != second && !second.is_empty());
        assert_eq!(viewed(&mut painter, Some(&plum), &sent, now + REST + REST), (first, true));
        assert_eq!(viewed(&mut painter, Some(&plum), &boxed, now + REST + REST), (second, true));
    }

    #[test]
    fn a_wiped_glass_is_drawn_again_and_a_closed_pane_is_cleared() {
        let (mut painter, now) = (kitty(), Instant::now());
        let plum = Arc::new(thumbnail("plum.jpg", 60, 40));
        frame(&mut painter, Some(&plum), now);
        frame(&mut painter, Some(&plum), now + REST);
        wait(&mut painter);
        frame(&mut painter, Some(&plum), now + REST);
        painter.forget();
        assert!(frame(&mut painter, Some(&plum), now + REST).0.len() > 100);
        assert_eq!(frame(&mut painter, None, now + REST), (kitty::erase(), false));
    }

    #[test]
    fn without_its_encoder_it_says_so_once_and_shows_half_blocks() {
        let mut painter = Painter::without_encoder(Protocol::Kitty, ColourLevel::Full);
        let (plum, now) = (Arc::new(thumbnail("plum.jpg", 60, 40)), Instant::now());
        frame(&mut painter, Some(&plum), now);
        assert_eq!([painter.receive(), painter.receive()], [EncoderNews::Ended, EncoderNews::None]);
        let mut select = Select::new();
        painter.wait_for_encoder(&mut select);
        assert!(select.ready_timeout(Duration::from_millis(1)).is_err(), "a closed channel wakes nobody");
        let mut buffer = Buffer::empty(WINDOW);
        let request = PictureRequest { area: WINDOW, thumbnail: &plum, overlay: &Arc::default() };
        painter.paint(&mut buffer, Some(request), now + REST);
        assert!(buffer.content.iter().any(|cell| cell.symbol() == "▀"));
        assert_eq!(painter.next_frame_at(), None);
    }

    #[test]
    fn sixel_pictures_stay_under_the_limit_of_a_side() {
        let mut painter = Painter::new(Protocol::Sixel, ColourLevel::Full, usize::MAX).unwrap();
        painter.set_cell_px((10, 20));
        let room = painter.room(Rect::new(0, 0, 200, 80));
        assert!(u32::from(room.width) * 10 <= MAX_SIDE_PX && u32::from(room.height) * 20 <= MAX_SIDE_PX);
    }
}
