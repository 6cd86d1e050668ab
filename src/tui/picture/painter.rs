//! Decides frame by frame what is shown where the thumbnail belongs: half blocks at once, graphics once the selection
//! rests and its bytes are ready, and nothing left over from the picture before. Graphics are encoded on a thread of
//! their own; where that ends, half blocks are shown from then on.
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
use crate::tui::picture::encode::{EncodeTarget, MOST_PX, encode};
use crate::tui::picture::fit::{USUAL_CELL_PX, fit};
use crate::tui::picture::overlay::Overlay;
use crate::tui::picture::protocol::Protocol;
use crate::tui::picture::{blocks, kitty};

/// How long the selection rests before graphics are drawn; a held key would queue them otherwise. Own trial, 2026-11:
/// 80 to 100 ms for one sixel picture.
const REST: Duration = Duration::from_millis(120);
/// Encoded pictures kept: the pane's and the whole window's for some rows and views back and forth.
const KEPT: NonZeroUsize = NonZeroUsize::new(12).expect("twelve is not zero");

/// A picture, and where it is wanted.
#[derive(Clone, Copy, Debug)]
pub struct PictureRequest<'a> {
    /// The room for it.
    pub area: Rect,
    /// The picture.
    pub thumbnail: &'a Arc<ShownThumbnail>,
    /// Painted over it.
    pub overlay: &'a Arc<Overlay>,
}

/// A thumbnail at a place: what is encoded, kept and compared.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Shot {
    picture: PictureKey,
    version: u64,
    preview: bool,
    proof: Option<Proof>,
    /// Which overlay, see [`Overlay::stamp`].
    overlay: u64,
    area: Rect,
    cell_px: (u16, u16),
}

struct Request {
    shot: Shot,
    thumbnail: Arc<ShownThumbnail>,
    overlay: Arc<Overlay>,
    target: EncodeTarget,
}

/// An encoded picture on its way back; `None` where half blocks must do.
struct Encoded {
    shot: Shot,
    bytes: Option<Arc<[u8]>>,
}

/// What came from the encoder's thread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EncoderNews {
    /// Nothing.
    None,
    /// An encoded picture: the next frame may show it.
    Encoded,
    /// Its end: half blocks are shown from now on.
    Ended,
}

/// What the painter draws next.
struct NextImage {
    shot: Shot,
    since: Instant,
    requested: bool,
}

/// Puts pictures on the terminal.
pub struct Painter {
    protocol: Protocol,
    colours: ColourLevel,
    cell_px: (u16, u16),
    most_bytes: usize,
    requests: Sender<Request>,
    waiting: Receiver<Request>,
    encoded: Receiver<Encoded>,
    encoder_ended: bool,
    kept: LruCache<Shot, Option<Arc<[u8]>>>,
    wanted: Option<NextImage>,
    on_glass: Option<Shot>,
    erase: bool,
    draw: Option<Arc<[u8]>>,
    blocks: Option<(Shot, Vec<[u8; 3]>)>,
}

impl Painter {
    /// A painter with its worker thread.
    ///
    /// # Errors
    /// If the system refuses a thread.
    pub fn new(protocol: Protocol, colours: ColourLevel, most_bytes: usize) -> io::Result<Painter> {
        // One request and one answer at a time: only the newest counts.
        let (requests, waiting) = bounded::<Request>(1);
        let (answers, encoded) = bounded(1);
        let jobs = waiting.clone();
        thread::Builder::new().name("screen pictures".to_owned()).spawn(move || {
            for Request { shot, thumbnail, overlay, target } in jobs {
                let bytes = encode(&thumbnail, &overlay, &target).map(Arc::from);
                if answers.send(Encoded { shot, bytes }).is_err() {
                    return;
                }
            }
        })?;
        Ok(Painter::with(protocol, colours, most_bytes, (requests, waiting), encoded))
    }

    /// A painter whose encoder has ended.
    #[cfg(test)]
    pub fn without_encoder(protocol: Protocol, colours: ColourLevel) -> Painter {
        Painter::with(protocol, colours, usize::MAX, bounded(1), bounded(1).1)
    }

    fn with(
        protocol: Protocol,
        colours: ColourLevel,
        most_bytes: usize,
        (requests, waiting): (Sender<Request>, Receiver<Request>),
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
            encoder_ended: false,
            kept: LruCache::new(KEPT),
            wanted: None,
            on_glass: None,
            erase: false,
            draw: None,
            blocks: None,
        }
    }

    /// Whether pictures are shown at all.
    pub fn shows(&self) -> bool {
        self.protocol != Protocol::Off
    }

    /// Sets the size of a cell in pixels; zero on either side where the terminal does not say.
    pub fn set_cell_px(&mut self, cell_px: (u16, u16)) {
        self.cell_px = if cell_px.0 == 0 || cell_px.1 == 0 { USUAL_CELL_PX } else { cell_px };
    }

    /// The terminal was cleared: what was shown must be drawn again.
    pub fn forget(&mut self) {
        self.erase |= self.on_glass.take().is_some();
    }

    /// Takes the last picture away.
    ///
    /// # Errors
    /// If the terminal cannot be written to.
    pub fn close(&mut self, glass: &mut dyn Write) -> io::Result<()> {
        (self.wanted, self.draw) = (None, None);
        self.forget();
        self.flush(glass)
    }

    /// Waits for news of the encoder beside other channels; `receive` takes them.
    pub fn wait_for_encoder<'a>(&'a self, select: &mut Select<'a>) {
        select.recv(&self.encoded);
    }

    /// Takes what the encoder has sent by now. Its end is reported once, and wakes nobody again.
    pub fn receive(&mut self) -> EncoderNews {
        let mut news = EncoderNews::None;
        loop {
            match self.encoded.try_recv() {
                Ok(Encoded { shot, bytes }) => {
                    self.kept.put(shot, bytes);
                    news = EncoderNews::Encoded;
                }
                Err(TryRecvError::Empty) => return news,
                Err(TryRecvError::Disconnected) => {
                    self.encoded = never();
                    if !self.graphics() {
                        return news;
                    }
                    // The next frame takes away what graphics there are.
                    self.encoder_ended = true;
                    self.kept.clear();
                    return EncoderNews::Ended;
                }
            }
        }
    }

    /// When the next frame is due by itself: once the selection has rested.
    pub fn due(&self) -> Option<Instant> {
        let wanted = self.wanted.as_ref().filter(|wanted| self.graphics() && !wanted.requested)?;
        (self.on_glass.as_ref() != Some(&wanted.shot)).then_some(wanted.since + REST)
    }

    fn graphics(&self) -> bool {
        !self.encoder_ended && matches!(self.protocol, Protocol::Kitty | Protocol::Sixel | Protocol::Iterm)
    }

    /// The room a picture may take: sixel pictures have no more than so many pixels a side.
    fn room(&self, area: Rect) -> Rect {
        if self.protocol != Protocol::Sixel {
            return area;
        }
        let most = |px: u16| u16::try_from(MOST_PX / u32::from(px.max(1))).unwrap_or(u16::MAX);
        let width = area.width.min(most(self.cell_px.0));
        Rect { x: area.x + (area.width - width) / 2, width, height: area.height.min(most(self.cell_px.1)), ..area }
    }

    /// The cells that a thumbnail takes of an area.
    pub fn place(&self, thumbnail: &ShownThumbnail, area: Rect) -> Rect {
        fit((thumbnail.width_px, thumbnail.height_px), self.room(area), self.cell_px)
    }

    /// Paints a thumbnail into its area of the frame, or nothing where there is none.
    pub fn paint(&mut self, buffer: &mut Buffer, wish: Option<PictureRequest>, now: Instant) {
        self.draw = None;
        let wish = wish.filter(|_| self.shows());
        let Some(wish) = wish else {
            self.wanted = None;
            self.erase |= self.on_glass.take().is_some();
            return;
        };
        let thumbnail = wish.thumbnail;
        let area = self.place(thumbnail, wish.area);
        let shot = Shot {
            picture: thumbnail.picture.clone(),
            version: thumbnail.version,
            preview: thumbnail.preview,
            proof: thumbnail.proof,
            overlay: wish.overlay.stamp(),
            area,
            cell_px: self.cell_px,
        };
        let rested = self.want(&shot, now);
        if self.graphics() && rested && self.settle(&shot, &wish) {
            for position in area.positions() {
                buffer[position].set_diff_option(CellDiffOption::Skip);
            }
            return;
        }
        self.erase |= self.on_glass.take().is_some();
        self.paint_blocks(buffer, shot, &wish);
    }

    /// Notes what is wanted; says whether it has rested. Another picture begins a new rest, and another overlay that
    /// was not drawn before, so that a held key does not queue them.
    fn want(&mut self, shot: &Shot, now: Instant) -> bool {
        let since = match &self.wanted {
            Some(wanted) if wanted.shot == *shot => return now >= wanted.since + REST,
            Some(NextImage { shot: before, since, .. })
                if before.picture == shot.picture && (before.overlay == shot.overlay || self.kept.contains(shot)) =>
            {
                *since
            }
            _ => now,
        };
        self.wanted = Some(NextImage { shot: shot.clone(), since, requested: false });
        now >= since + REST
    }

    /// Whether graphics are or will be shown; asks the encoder for them where they are not ready.
    fn settle(&mut self, shot: &Shot, wish: &PictureRequest) -> bool {
        if self.on_glass.as_ref() == Some(shot) {
            return true;
        }
        if let Some(bytes) = self.kept.get(shot) {
            self.draw.clone_from(bytes);
            return self.draw.is_some();
        }
        if let Some(wanted) = self.wanted.as_mut().filter(|wanted| !wanted.requested) {
            wanted.requested = true;
            let target = EncodeTarget {
                protocol: self.protocol,
                cells: (shot.area.width, shot.area.height),
                cell_px: self.cell_px,
                most_bytes: self.most_bytes,
            };
            let (thumbnail, overlay) = (Arc::clone(wish.thumbnail), Arc::clone(wish.overlay));
            self.request(Request { shot: shot.clone(), thumbnail, overlay, target });
        }
        false
    }

    /// Sends a request to the encoder, in place of one that it has not begun.
    fn request(&self, mut request: Request) {
        while let Err(TrySendError::Full(back)) = self.requests.try_send(request) {
            let _older = self.waiting.try_recv();
            request = back;
        }
    }

    fn paint_blocks(&mut self, buffer: &mut Buffer, shot: Shot, wish: &PictureRequest) {
        if self.colours == ColourLevel::None {
            return;
        }
        let area = shot.area;
        if self.blocks.as_ref().is_none_or(|(painted, _)| *painted != shot) {
            self.blocks = Some((shot, blocks::pixels(wish.thumbnail, wish.overlay, (area.width, area.height))));
        }
        if let Some((_, pixels)) = &self.blocks {
            blocks::paint(buffer, area, pixels, self.colours);
        }
    }

    /// Writes what the frame could not: takes old graphics away, draws new ones.
    ///
    /// # Errors
    /// If the terminal cannot be written to.
    pub fn flush(&mut self, glass: &mut dyn Write) -> io::Result<()> {
        let draw = self.draw.take();
        // Text erases sixel and inline pictures; a kitty picture under the same number replaces the old one.
        if std::mem::take(&mut self.erase) && self.protocol == Protocol::Kitty && draw.is_none() {
            glass.write_all(&kitty::erase())?;
        }
        if let (Some(bytes), Some(wanted)) = (draw, &self.wanted) {
            let at = wanted.shot.area;
            if self.protocol == Protocol::Sixel {
                // Whole bands may leave a strip of the last row uncovered, where half blocks would show.
                let blank = " ".repeat(at.width.into());
                write!(glass, "\x1b[0m\x1b[{};{}H{blank}", at.bottom(), at.x + 1)?;
            }
            // Cursor position, counted from 1 (ECMA-48).
            write!(glass, "\x1b[{};{}H", at.y + 1, at.x + 1)?;
            glass.write_all(&bytes)?;
            self.on_glass = Some(wanted.shot.clone());
        }
        glass.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::picture::overlay::{Dash, Mark};
    use crate::tui::tests::order::thumbnail;

    const WINDOW: Rect = Rect::new(0, 0, 40, 20);

    /// One frame; the bytes written after it, and whether its cells were left to graphics.
    fn frame(painter: &mut Painter, thumbnail: Option<&Arc<ShownThumbnail>>, now: Instant) -> (Vec<u8>, bool) {
        viewed(painter, thumbnail, &Arc::default(), now)
    }

    /// The same, with something painted over it.
    fn viewed(
        painter: &mut Painter,
        thumbnail: Option<&Arc<ShownThumbnail>>,
        overlay: &Arc<Overlay>,
        now: Instant,
    ) -> (Vec<u8>, bool) {
        let mut buffer = Buffer::empty(WINDOW);
        painter.paint(&mut buffer, thumbnail.map(|thumbnail| PictureRequest { area: WINDOW, thumbnail, overlay }), now);
        let mut glass = Vec::new();
        painter.flush(&mut glass).unwrap();
        (glass, buffer.content.iter().any(|cell| cell.diff_option == CellDiffOption::Skip))
    }

    /// Waits for the encoder.
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
        assert_eq!(painter.due(), Some(now + REST));
        assert_eq!(frame(&mut painter, Some(&plum), now + REST), (vec![], false));
        assert_eq!(painter.due(), None);
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
        assert_eq!(painter.due(), Some(now + REST + REST));
        // Back again: nothing is encoded twice.
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
        assert_eq!(painter.due(), None);
    }

    #[test]
    fn sixel_pictures_stay_under_the_limit_of_a_side() {
        let mut painter = Painter::new(Protocol::Sixel, ColourLevel::Full, usize::MAX).unwrap();
        painter.set_cell_px((10, 20));
        let room = painter.room(Rect::new(0, 0, 200, 80));
        assert!(u32::from(room.width) * 10 <= MOST_PX && u32::from(room.height) * 20 <= MOST_PX);
    }
}
