//! What is well formed but cannot be: values that contradict each other on a print.

use std::collections::BTreeSet;

use crate::units::{Length, show};

use super::asked::{Asked, BarSides, Edge, Fitting, Print};
use super::effective::{View, least_of};
use super::source::{Place, Reading};
use super::values::SidesAsked;

/// The checks of a brief; one line of the brief is said to be wrong once, however many prints it spoils.
#[derive(Default)]
pub(super) struct Checks {
    said: BTreeSet<(Place, &'static str)>,
}

/// Whether the margins of a print differ by side, so that it cannot turn.
pub(super) fn sides_differ(asked: &Asked) -> bool {
    asked.margins.bleed.differ() || asked.margins.safe.differ()
}

impl Checks {
    /// Checks one print against itself.
    pub(super) fn print(&mut self, reading: &mut Reading<'_>, print: &Print, view: View<'_>, header: Place) {
        let mut one = OnePrint { checks: self, reading, print, view, header };
        one.density();
        one.pages();
        one.margins();
        one.edge();
        one.folds();
        one.names();
    }
}

struct OnePrint<'c, 'r, 'a> {
    checks: &'c mut Checks,
    reading: &'r mut Reading<'a>,
    print: &'c Print,
    view: View<'c>,
    header: Place,
}

impl OnePrint<'_, '_, '_> {
    /// Says it where the key's value stands; where nobody said the value, at the print's size.
    fn say(&mut self, key: &'static str, what: String, remedy: String) {
        let entry = self.view.entry(key).or_else(|| self.view.entry("print.size"));
        let place = entry.map_or(self.header, |entry| entry.place);
        if self.checks.said.insert((place, key)) {
            let name = crate::units::words::visible(&self.print.name).into_owned();
            self.reading.wrong(place, format!("{what}, for the print \"{name}\""), remedy);
        }
    }

    fn show(&self, length: Length) -> String {
        show::length(length, self.print.asked.margins.unit)
    }

    fn density(&mut self) {
        let density = &self.print.asked.density;
        if density.least > density.wanted {
            let (least, wanted) = show::ppi_apart(density.least, density.wanted);
            let what = format!("the least density ({least}) is above what is wanted ({wanted} ppi)");
            self.say("density.least", what, format!("least = \"{}\"", show::ppi(least_of(density.wanted))));
        }
    }

    /// `outer` and `spine` need a page.
    fn pages(&mut self) {
        for key in ["margins.bleed", "margins.safe", "margins.border"] {
            let Some(SidesAsked::By(sides, _)) = self.view.sides(key) else { continue };
            let by_page = sides.iter().any(|(side, _)| matches!(*side, "outer" | "spine"));
            if by_page && self.print.page.is_none() {
                let what = "outer and spine cannot be told without a page".to_owned();
                self.say(key, what, "give the print its page = 12, or name left and right".to_owned());
            }
        }
    }

    fn margins(&mut self) {
        let margins = &self.print.asked.margins;
        let (width, height) = (self.print.size.width, self.print.size.height);
        let size = self.print.size.show();
        if margins.safe.across() >= width || margins.safe.down() >= height {
            let what = format!("the safe margin leaves nothing of {size}");
            self.say("margins.safe", what, self.smaller("safe"));
        }
        if margins.bleed.across() >= width || margins.bleed.down() >= height {
            let what = format!("the bleed is as large as the print of {size}");
            self.say("margins.bleed", what, self.smaller("bleed"));
        }
        let short = width.min(height);
        if margins.edge == Edge::Border && margins.border.across().max(margins.border.down()) >= short {
            let border = margins.border.show(margins.unit);
            let what = format!("a border of {border} leaves no picture in {size}");
            self.say("margins.border", what, self.smaller("border"));
        }
        if margins.hidden * 2 >= short {
            let what = format!("a frame's lip of {} hides all of {size}", self.show(margins.hidden));
            self.say("margins.hidden", what, self.smaller("hidden"));
        }
    }

    /// What only one edge knows.
    fn edge(&mut self) {
        let margins = &self.print.asked.margins;
        let edge = margins.edge.word();
        if margins.fit == Fitting::Inside && margins.edge != Edge::Border {
            let what = format!("only within a border a picture keeps its shape, and the edge is \"{edge}\"");
            self.say("margins.fit", what, "take fit away, or write edge = \"border\"".to_owned());
        }
        if margins.sides != BarSides::Picture && margins.edge != Edge::Wrap {
            let what = format!("only a picture round a bar has such sides, and the edge is \"{edge}\"");
            self.say("margins.sides", what, "take sides away, or write edge = \"wrap\"".to_owned());
        }
    }

    /// A remedy with a margin that leaves room: at most an eighth of the short side.
    fn smaller(&self, key: &str) -> String {
        let short = self.print.size.width.min(self.print.size.height);
        let most = Length::from_nm(short.nm() / 8);
        format!("{key} = \"{}\" or less leaves room", self.show(most))
    }

    fn folds(&mut self) {
        let margins = &self.print.asked.margins;
        let width = self.print.size.width;
        let size = self.print.size.show();
        for fold in &margins.folds {
            if *fold == Length::ZERO || *fold >= width {
                let what = format!("a fold at {} lies outside {size}", self.show(*fold));
                let middle = self.show(Length::from_nm(width.nm() / 2));
                self.say("margins.folds", what, format!("folds = [\"{middle}\"] is the middle"));
            } else if margins.gutter > *fold || margins.gutter > width - *fold {
                let what = format!("a gutter of {} is wider than the page beside its fold", self.show(margins.gutter));
                self.say("margins.gutter", what, "gutter = \"10 mm\"".to_owned());
            }
        }
    }

    fn names(&mut self) {
        let both =
            |layer: &super::walk::Layer| layer.contains_key("file.name") && layer.contains_key("file.name_pattern");
        if both(self.view.order) || self.view.print.is_some_and(both) {
            let what = "names are asked for twice, by name and by name_pattern".to_owned();
            self.say("file.name_pattern", what, "keep one of the two".to_owned());
        }
    }
}
