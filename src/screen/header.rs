//! The line on top: the brief's title, the printer, and what is asked of the whole order.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use crate::brief::Brief;
use crate::brief::asked::{Paper, Process, Space, Stock, Surface};
use crate::screen::brush;
use crate::screen::theme::Theme;
use crate::units::show;
use crate::units::words::visible;

/// Columns left blank at both ends of the line.
const AIR: u16 = 1;

/// Draws the line.
pub fn draw(buffer: &mut Buffer, area: Rect, brief: &Brief, theme: &Theme) {
    buffer.set_style(area, theme.band_dim);
    let asked = asked(brief, theme.signs.dot);
    let taken = u16::try_from(asked.width()).unwrap_or(u16::MAX);
    let inner = Rect { x: area.x + AIR, width: area.width - 2 * AIR, ..area };
    let room = inner.width.saturating_sub(taken.saturating_add(2));
    let file = brief.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let title = brief.title.clone().unwrap_or(file);
    let used = brush::text(buffer, (inner.x, inner.y), room, &title, theme.band, theme);
    let printer = brief.printer.as_ref().map(|printer| format!("{}{printer}", theme.signs.dot)).unwrap_or_default();
    brush::text(buffer, (inner.x + used, inner.y), room.saturating_sub(used), &printer, theme.band_dim, theme);
    brush::text_right(buffer, (inner.x, inner.y), inner.width, &asked, theme.band_dim, theme);
}

/// What is asked of the whole order, in words: paper, space, density.
fn asked(brief: &Brief, dot: &str) -> String {
    let asked = &brief.asked;
    let spaces: Vec<&str> = asked.colour.spaces.iter().map(|space| space_words(*space)).collect();
    let mut words = vec![paper_words(&asked.paper), spaces.join(" or "), show::ppi(asked.density.wanted)];
    words.extend(brief.due.as_ref().map(|due| format!("due {}", visible(due))));
    words.join(dot)
}

const fn space_words(space: Space) -> &'static str {
    match space {
        Space::Rgb(encoding) => encoding.name(),
        Space::Grey => "greyscale",
        Space::Cmyk => "CMYK",
        Space::Paper => "the paper's profile",
    }
}

fn paper_words(paper: &Paper) -> String {
    let surface = match paper.surface {
        Surface::Gloss => "gloss",
        Surface::Lustre => "lustre",
        Surface::Matte => "matte",
    };
    let stock = match paper.stock {
        Stock::PhotoPaper => "photo paper",
        Stock::Cotton => "cotton",
        Stock::Canvas => "canvas",
        Stock::Metal => "metal",
        Stock::Acrylic => "acrylic",
        Stock::Wood => "wood",
        Stock::Coated => "coated paper",
        Stock::Uncoated => "uncoated paper",
        Stock::Newsprint => "newsprint",
    };
    let process = match paper.process {
        Process::SilverHalide => "silver halide",
        Process::Inkjet => "inkjet",
        Process::DyeSublimation => "dye sublimation",
        Process::Offset => "offset",
        Process::Electrophotography => "electrophotography",
    };
    format!("{surface} {stock}, {process}")
}
