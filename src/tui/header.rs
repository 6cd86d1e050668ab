//! The header line: the brief's title, the printer, and what is required of the whole order.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use crate::brief::requirements::{Paper, Process, Space, Stock, Surface};
use crate::brief::{Brief, Requirements};
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::units::show;
use crate::units::words::visible;

/// Columns left blank at both ends of the line.
const AIR: u16 = 1;
/// Columns left blank between the title and the requirements.
const GAP: usize = 3;

/// Draws the line. If there is not room for both, requirements give way to the title: first the date, then the process,
/// then the paper.
pub fn draw(buffer: &mut Buffer, area: Rect, brief: &Brief, theme: &Theme) {
    buffer.set_style(area, theme.band_dim);
    let inner = Rect { x: area.x + AIR, width: area.width - 2 * AIR, ..area };
    let file = brief.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let title = brief.title.clone().unwrap_or(file);
    let printer = brief.printer.as_ref().map(|printer| format!("{}{printer}", theme.signs.dot)).unwrap_or_default();
    let wanted = visible(&title).width() + visible(&printer).width() + GAP;
    let fits = |required: &&String| required.width() + wanted <= usize::from(inner.width);
    let all = requirements(brief, theme.signs.dot);
    let required = all.iter().find(fits).or(all.last()).map_or("", |required| required);
    let room = inner.width.saturating_sub(u16::try_from(required.width() + GAP).unwrap_or(u16::MAX));
    let used = strokes::text(buffer, (inner.x, inner.y), room, &title, theme.band, theme);
    strokes::text(buffer, (inner.x + used, inner.y), room.saturating_sub(used), &printer, theme.band_dim, theme);
    strokes::text_right(buffer, (inner.x, inner.y), inner.width, required, theme.band_dim, theme);
}

/// Returns the requirements of the whole order in words, the longest first: date, paper, process, space, density. A
/// requirement that differs between prints is not named.
fn requirements(brief: &Brief, dot: &str) -> Vec<String> {
    let required = brief.prints.first().map_or(&brief.requirements, |print| &print.requirements);
    let all = |is_same: &dyn Fn(&Requirements) -> bool| brief.prints.iter().all(|print| is_same(&print.requirements));
    let spaces: Vec<&str> = required.colour.spaces.iter().map(|space| space_words(*space)).collect();
    let spaces = match all(&|other| other.colour.spaces == required.colour.spaces) {
        true => spaces.join(" or "),
        false => "several colour spaces".to_owned(),
    };
    let density = match all(&|other| other.density.target == required.density.target) {
        true => show::ppi(required.density.target),
        false => "several densities".to_owned(),
    };
    let numbers = format!("{spaces}{dot}{density}");
    let of = |required: &Requirements| (required.paper.surface, required.paper.stock, required.paper.process);
    let (paper, whole) = match all(&|other| of(other) == of(required)) {
        true => {
            let (paper, process) = paper_words(&required.paper);
            (format!("{paper}{dot}{numbers}"), format!("{paper}, {process}{dot}{numbers}"))
        }
        false => (numbers.clone(), format!("several papers{dot}{numbers}")),
    };
    let due = brief.due.as_ref().map(|due| format!("{whole}{dot}due {}", visible(due)));
    due.into_iter().chain([whole, paper, numbers]).collect()
}

const fn space_words(space: Space) -> &'static str {
    match space {
        Space::Rgb(encoding) => encoding.name(),
        Space::Grey => "greyscale",
        Space::Cmyk => "CMYK",
        Space::Paper => "the paper's profile",
    }
}

fn paper_words(paper: &Paper) -> (String, &'static str) {
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
        Process::Toner => "toner",
    };
    (format!("{surface} {stock}"), process)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::brief;

    #[test]
    fn only_what_every_print_asks_is_asked_of_the_order() {
        let print = "[[print]]\nsize = \"8 x 10 in\"\n";
        let lustre = "[print.paper]\nstock = \"photo paper\"\nsurface = \"lustre\"\n";
        let said = |text: &str| requirements(&brief(text), " . ");
        let matte = "[paper]\nstock = \"coated\"\nsurface = \"matte\"\nprocess = \"offset\"\n";
        assert_eq!(said(&format!("{matte}{print}"))[0], "matte coated paper, offset . sRGB . 300 ppi");
        let mixed = said(&format!("{matte}{print}\n[[print]]\nsize = \"5 x 7 in\"\n{lustre}"));
        assert_eq!(mixed, ["several papers . sRGB . 300 ppi", "sRGB . 300 ppi", "sRGB . 300 ppi"]);
        let other = said(&format!("{matte}{print}{lustre}"));
        assert!(other[0].starts_with("lustre photo paper"), "{other:?}");
        let densities =
            said(&format!("{print}\n{print}[print.density]\ntarget = \"200 ppi\"\nminimum = \"150 ppi\"\n"));
        assert!(densities[0].ends_with("sRGB . several densities"), "{densities:?}");
    }
}
