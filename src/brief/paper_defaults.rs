//! What a paper usually is: process, surface, black, white and ink limit of each stock.

use num_rational::Ratio;

use crate::units::Share;

use super::requirements::{Process, Stock, Surface};

/// Returns the process that usually prints a stock. Source: common practice, no source.
pub(super) const fn usual_process(stock: Stock) -> Process {
    match stock {
        Stock::PhotoPaper | Stock::Acrylic => Process::SilverHalide,
        Stock::Metal => Process::DyeSublimation,
        Stock::Cotton | Stock::Canvas | Stock::Wood => Process::Inkjet,
        Stock::Coated | Stock::Uncoated | Stock::Newsprint => Process::Offset,
    }
}

/// Returns the surface that a stock usually has. Source: common practice, no source.
pub(super) const fn usual_surface(stock: Stock) -> Surface {
    match stock {
        Stock::PhotoPaper => Surface::Lustre,
        Stock::Metal | Stock::Acrylic | Stock::Coated => Surface::Gloss,
        Stock::Cotton | Stock::Canvas | Stock::Wood | Stock::Uncoated | Stock::Newsprint => Surface::Matte,
    }
}

/// Returns the densest black of a paper, D absolute.
///
/// Sources: coated 1.90 and uncoated 1.28 are the darkest neutral patches within 300 % of published press
/// characterisation data, FOGRA39L (gloss and matt coated) and FOGRA29L; a bluish patch of FOGRA39L reaches 2.06, but a
/// shadow that stays neutral does not. Newsprint 1.12 is the darkest patch of TR 002 within 240 %. Presses of today go
/// by FOGRA51 and FOGRA52, whose figures are not among ours. Inkjet gloss and lustre 2.1, art surfaces 1.7, matte and
/// cotton 1.65, matte canvas 1.45: a published test of a whole paper range (McNamee 2010). Exposed colour paper from
/// memory. Metal, acrylic and wood: common practice, no source.
pub fn usual_black_d(stock: Stock, surface: Surface, process: Process) -> f64 {
    match (stock, surface) {
        (Stock::PhotoPaper, Surface::Matte) if process == Process::SilverHalide => 1.9,
        (Stock::PhotoPaper, Surface::Gloss) if process == Process::SilverHalide => 2.2,
        (Stock::PhotoPaper, Surface::Matte) => 1.65,
        (Stock::PhotoPaper, _) => 2.1,
        (Stock::Cotton, Surface::Gloss) => 2.1,
        (Stock::Cotton, Surface::Lustre) => 1.7,
        (Stock::Cotton, Surface::Matte) => 1.65,
        (Stock::Canvas, Surface::Matte) => 1.45,
        (Stock::Canvas, _) => 1.9,
        (Stock::Metal | Stock::Acrylic, Surface::Gloss) => 2.2,
        (Stock::Metal | Stock::Acrylic, Surface::Lustre) => 2.0,
        (Stock::Metal | Stock::Acrylic, Surface::Matte) => 1.8,
        (Stock::Wood, _) => 1.5,
        (Stock::Coated, _) => 1.9,
        (Stock::Uncoated, _) => 1.28,
        (Stock::Newsprint, _) => 1.12,
    }
}

/// Lightness of the bare paper, L*.
///
/// Sources: coated 95 (FOGRA39L), uncoated 95.7 (FOGRA29L), newsprint 80.1 (TR 002). Photo papers 94 to 98 bright, 92
/// to 95 natural; metal, acrylic and wood: common practice, no source.
pub(super) const fn usual_white_l(stock: Stock) -> f64 {
    match stock {
        Stock::PhotoPaper | Stock::Acrylic | Stock::Coated => 95.0,
        Stock::Cotton | Stock::Canvas => 94.0,
        Stock::Metal => 92.0,
        Stock::Wood => 85.0,
        Stock::Uncoated => 95.7,
        Stock::Newsprint => 80.1,
    }
}

/// Most ink on a paper; `None` where the process has no such limit for its customers.
///
/// Sources: coated 320 %, trade article with industry averages; uncoated 300 %, common practice; newsprint 220 %, a
/// newspaper association's profile page; toner 240 %, a book distributor's file help.
pub(super) fn usual_ink_limit(stock: Stock, process: Process) -> Option<Share> {
    let percent = match (process, stock) {
        (Process::Toner, _) => 240,
        (Process::Offset, Stock::Newsprint) => 220,
        (Process::Offset, Stock::Uncoated | Stock::Cotton) => 300,
        (Process::Offset, _) => 320,
        _ => return None,
    };
    Some(Share::percent(percent))
}

/// Returns the minimum density as a share of the target, by paper: of 300 ppi 180 on photographic papers, panels and
/// cotton, 150 on canvas, 240 on coated, 200 on uncoated and newsprint.
///
/// Sources: labs and guides name 180 to 240 ppi as the minimum of a photographic print; canvas hides more, common
/// practice. On a press by the halftone rule, at least 1.3 pixels for each line: 1.6 of the 2 that are the target on
/// coated, 1.33 on uncoated and newsprint.
pub(super) const fn usual_minimum(stock: Stock, process: Process) -> Ratio<i128> {
    match stock {
        Stock::Uncoated | Stock::Newsprint => Ratio::new_raw(2, 3),
        _ if process.is_press() => Ratio::new_raw(4, 5),
        Stock::Canvas => Ratio::new_raw(1, 2),
        _ => Ratio::new_raw(3, 5),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn press_blacks_are_those_of_the_published_sets() {
        // Source: FOGRA39L and FOGRA29L, darkest neutral patch within 300 %; TR 002, darkest within 240 %.
        let black = |stock| usual_black_d(stock, usual_surface(stock), usual_process(stock));
        assert_eq!((black(Stock::Coated), black(Stock::Uncoated), black(Stock::Newsprint)), (1.9, 1.28, 1.12));
    }

    #[test]
    fn gloss_is_never_weaker_than_matte() {
        for stock in Stock::ALL {
            for process in Process::ALL {
                let black = |surface| usual_black_d(*stock, surface, *process);
                assert!(black(Surface::Gloss) >= black(Surface::Lustre), "{stock:?} {process:?}");
                assert!(black(Surface::Lustre) >= black(Surface::Matte), "{stock:?} {process:?}");
            }
        }
    }

    #[test]
    fn continuous_tone_has_no_ink_limit() {
        assert_eq!(usual_ink_limit(Stock::PhotoPaper, Process::SilverHalide), None);
        assert_eq!(usual_ink_limit(Stock::Newsprint, Process::Offset), Some(Share::percent(220)));
    }
}
