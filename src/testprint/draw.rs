//! Drawing of a test sheet.

use crate::colour::{ProfileSpace, SheetColours};
use crate::judge::metrics::cut_lines::Rectangle;
use crate::units::Length;

use super::canvas::SheetCanvas;
use super::layout::{CAPTION_LINES, GAP, MIN_WIDTH, PATCH, RULER, STRIP_LINES, SheetLayout};
use super::sheet::{DrawnSheet, Piece, TestSheet};
use super::targets;

/// Explanation beside the ruler.
const RULER_WORDS: &str = "100 mm: if it measures more or less, the sheet was resized";
/// Explanation beside the grey balance.
const GREY_WORDS: &str = "grey balance: if a patch other than \"neutral\" looks grey, the print has the opposite cast";
/// Width of lines, in inches. Own choice.
const LINE: f64 = 0.008;
/// Width reserved for a wedge label when its step is narrower, in inches.
const LABEL: f64 = 0.4;
/// Least room for words beside the ruler, in inches.
const ROOM: f64 = 1.0;
/// Number of the ruler's divisions.
const RULER_PARTS: u32 = 10;

struct Drawing<'a> {
    layout: &'a SheetLayout,
    canvas: SheetCanvas,
    letters: crate::report::lettering::Lettering,
    drawn: DrawnSheet,
}

/// Draws a sheet; returns its pixels and the positions of its elements.
pub(crate) fn draw(sheet: &TestSheet, layout: &SheetLayout, colours: &SheetColours<'_>) -> DrawnSheet {
    let size = (sheet.ppi.pixels(sheet.onto.width), sheet.ppi.pixels(sheet.onto.height));
    let (white, black) = match colours.sample_space() {
        ProfileSpace::Cmyk => (vec![0; 4], vec![0, 0, 0, 255]),
        _ => (vec![255; colours.channels()], vec![0; colours.channels()]),
    };
    let nothing = crate::picture::cutout::Cutout { width: 0, height: 0, samples: Vec::new() };
    let drawn = DrawnSheet { pixels: nothing, strips: Vec::new(), wedge: Vec::new(), ruler: (0, 0) };
    let mut drawing =
        Drawing { layout, canvas: SheetCanvas::new(size, white, black), letters: layout.letters(), drawn };
    for (at, words) in sheet.head().iter().enumerate() {
        drawing.write(words, (layout.left(), layout.top() + at as f64 * layout.line), layout.width());
    }
    for (at, piece) in sheet.pieces.iter().enumerate() {
        drawing.piece(at, piece, layout.middle() + at as f64 * layout.block);
    }
    drawing.foot(colours);
    DrawnSheet { pixels: drawing.canvas.finish(), ..drawing.drawn }
}

impl Drawing<'_> {
    /// Writes words in one line below `top`, in inches.
    fn write(&mut self, words: &str, (left, top): (f64, f64), width: f64) {
        let ppi = self.layout.ppi;
        let words = self.letters.fit(words, (width * ppi) as f32);
        let base = (top * ppi) as f32 + self.letters.ascent();
        self.canvas.write(&self.letters, &words, ((left * ppi).round() as f32, base.round()));
    }

    fn piece(&mut self, at: usize, piece: &Piece, top: f64) {
        let layout = self.layout;
        let caption = format!("{}  {}", at + 1, piece.caption);
        self.write(&caption, (layout.left(), top), layout.width());
        let second = if piece.strips.is_empty() { piece.scale_words() } else { piece.reasons.clone() };
        self.write(&second, (layout.left(), top + layout.line), layout.width());
        let top = top + CAPTION_LINES as f64 * layout.line + GAP / 2.0;
        let corner = (layout.px(layout.left()), layout.px(top));
        self.canvas.copy(&piece.whole, corner);
        for (number, strip) in piece.strips.iter().enumerate() {
            self.mark_whole(piece, corner, strip.place.area, &TestSheet::mark(at, number));
            let left = layout.left() + layout.whole.0 + GAP + number as f64 * (layout.strip.0 + GAP);
            let corner = (layout.px(left), layout.px(top));
            self.canvas.copy(&strip.pixels, corner);
            self.drawn.strips.push((at, number, corner));
            let below = top + f64::from(strip.pixels.height) / layout.ppi + GAP / 4.0;
            let mark = TestSheet::mark(at, number);
            let head = format!("{mark}  {}, {}", strip.place.risk.word(), strip.place.whereabouts);
            self.write(&head, (left, below), layout.strip.0);
            let width = (layout.strip.0 * layout.ppi) as f32;
            let look_for = self.letters.break_lines(strip.place.risk.look_for(), width, STRIP_LINES - 1);
            for (line, words) in look_for.iter().enumerate() {
                self.write(words, (left, below + (line + 1) as f64 * layout.line), layout.strip.0);
            }
        }
    }

    /// Frames a strip's area in the whole picture.
    fn mark_whole(&mut self, piece: &Piece, corner: (u32, u32), area: Rectangle, mark: &str) {
        let [left, top, right, bottom] = piece.window;
        let within = |share: f64, low: f64, high: f64, px: u32| {
            ((share - low) / (high - low) * f64::from(px)).round().max(0.0) as u32
        };
        let (x, y) =
            (within(area[0], left, right, piece.whole.width), within(area[1], top, bottom, piece.whole.height));
        let far = (within(area[2], left, right, piece.whole.width), within(area[3], top, bottom, piece.whole.height));
        let wide = self.layout.px(LINE).max(1);
        let frame = [corner.0 + x, corner.1 + y, far.0.saturating_sub(x), far.1.saturating_sub(y)];
        self.canvas.frame(frame, wide);
        // Puts the mark on a white ground in the frame's corner.
        let (width, height) = (self.letters.width(mark), self.letters.ascent() + self.letters.descent());
        let ground = [frame[0], frame[1], width.ceil() as u32 + 2 * wide, height.ceil() as u32];
        self.canvas.blank(ground);
        let base = frame[1] as f32 + self.letters.ascent();
        self.canvas.write(&self.letters, mark, ((frame[0] + wide) as f32, base));
    }

    /// Draws wedge, grey balance and ruler.
    fn foot(&mut self, colours: &SheetColours<'_>) {
        let layout = self.layout;
        let steps = targets::wedge(colours);
        let top = layout.foot();
        let width = layout.width() / steps.len().max(1) as f64;
        for (at, light) in steps.iter().enumerate() {
            let area = self.patch((at, width), top, &colours.codes([*light, 0.0, 0.0]));
            self.drawn.wedge.push((*light, area));
            if at + 1 == steps.len() {
                self.close(area);
            }
            let label = if at == 0 { format!("L* {light:.0}") } else { format!("{light:.0}") };
            self.write(&label, (layout.left() + at as f64 * width, top + PATCH), width.max(LABEL));
        }
        let top = top + PATCH + layout.line + GAP;
        // A grey sheet has no colour balance to check.
        if colours.sample_space() != ProfileSpace::Grey {
            let greys = targets::greys();
            let width = layout.width() / greys.len() as f64;
            for (at, (word, colour)) in greys.iter().enumerate() {
                self.patch((at, width), top, &colours.codes(*colour));
                self.write(word, (layout.left() + at as f64 * width, top + PATCH), width);
            }
        }
        let top = top + PATCH + layout.line + GAP;
        self.ruler(top, colours.sample_space() != ProfileSpace::Grey);
    }

    /// Outlines the last patch, inside its edges, where white meets the paper.
    fn close(&mut self, [left, top, width, height]: [u32; 4]) {
        let wide = self.layout.px(LINE).max(1);
        let (right, bottom) = ((left + width).saturating_sub(wide), (top + height).saturating_sub(wide));
        for bar in [[left, top, width, wide], [left, bottom, width, wide], [right, top, wide, height]] {
            self.canvas.bar(bar);
        }
    }

    fn patch(&mut self, (at, width): (usize, f64), top: f64, codes: &[u8]) -> [u32; 4] {
        let layout = self.layout;
        let (left, right) = (layout.left() + at as f64 * width, layout.left() + (at + 1) as f64 * width);
        let (left, top) = (layout.px(left), layout.px(top));
        let area = [left, top, layout.px(right) - left, layout.px(PATCH)];
        self.canvas.fill(area, codes);
        area
    }

    fn ruler(&mut self, top: f64, greys: bool) {
        let layout = self.layout;
        let (left, wide) = (layout.px(layout.left()), layout.px(LINE).max(1));
        let mark = |part: u32| {
            let length = Length::from_mm(10 * i64::from(part));
            left + layout.px(length.mm() / 25.4)
        };
        let (top_px, high) = (layout.px(top), layout.px(RULER));
        for part in 0..=RULER_PARTS {
            let high = if part % RULER_PARTS == 0 { high } else { high / 2 };
            self.canvas.bar([mark(part), top_px, wide, high]);
        }
        self.canvas.bar([left, top_px, mark(RULER_PARTS) - left, wide]);
        self.drawn.ruler = (left, mark(RULER_PARTS));
        let beside = layout.left() + MIN_WIDTH + GAP;
        let room = layout.left() + layout.width() - beside;
        if greys && room > ROOM {
            let width = (room * layout.ppi) as f32;
            for (line, words) in self.letters.break_lines(GREY_WORDS, width, 2).iter().enumerate() {
                self.write(words, (beside, top + line as f64 * layout.line), room);
            }
        }
        self.write(RULER_WORDS, (layout.left(), top + RULER), if room > ROOM { MIN_WIDTH } else { layout.width() });
    }
}
