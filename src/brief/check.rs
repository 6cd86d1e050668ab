//! Errors of values that are well formed but contradict each other on a print.

use std::collections::BTreeSet;

use crate::units::{Length, show};

use super::edge;
use super::effective::usual_minimum;
use super::key_table;
use super::layers::{EffectiveLayers, Layer, LocatedValue};
use super::model::Print;
use super::requirements::{Edge, Requirements};
use super::source::TextPosition;
use super::sources::BriefSources;
use super::toml_value::quote;
use super::trade_terms;
use super::unknown_keys::spelt;
use super::values::{MarginValue, Value};
use crate::units::spelling::nearest;

/// The checks of a brief; one line of the brief is said to be wrong once, however many prints it spoils.
#[derive(Default)]
pub(super) struct Checks {
    said: BTreeSet<(TextPosition, &'static str)>,
    /// Margins of the order and of versions that some print's edge uses.
    used: BTreeSet<TextPosition>,
}

/// Returns a key without its table.
fn name_of(key: &str) -> &str {
    key.rsplit('.').next().unwrap_or(key)
}

/// True if the margins of a print differ by side, so that it cannot be rotated.
pub(super) fn sides_differ(required: &Requirements) -> bool {
    required.margins.bleed.differ() || required.margins.safe.differ()
}

impl Checks {
    /// Checks what the order and its versions say for their prints, once each print was looked at.
    pub(super) fn order<'l>(&mut self, sources: &mut BriefSources<'_>, layers: impl Iterator<Item = &'l Layer>) {
        for (layer, (key, edge)) in layers.flat_map(|layer| edge::KEYS.iter().map(move |key| (layer, key))) {
            // A starter or a printer's sheet serves other orders too, with other edges.
            let of_brief = edge::stated_by(layer, key).filter(|entry| entry.distance() == 0);
            let unused = of_brief.filter(|entry| !self.used.contains(&entry.place));
            let Some(entry) = unused.filter(|entry| self.said.insert((entry.place, key))) else { continue };
            let (name, word) = (name_of(key), edge.word());
            let what = format!("{name} belongs to edge = \"{word}\", and no print has that edge");
            let fix = format!("write edge = \"{word}\" in the prints that have it, or take {name} out");
            sources.report(entry.place, what, fix);
        }
    }

    /// Checks one print against itself.
    pub(super) fn print(
        &mut self,
        sources: &mut BriefSources<'_>,
        print: &Print,
        view: EffectiveLayers<'_>,
        header: TextPosition,
    ) {
        let mut one = OnePrint { checks: self, sources, print, view, header };
        one.density();
        one.edge();
        one.pages();
        one.margins();
        one.folds();
        one.names();
    }

    /// The error for a paper that nobody describes, said once for each place that names it. `names` are those that are
    /// described.
    pub(super) fn unknown_paper(&mut self, sources: &mut BriefSources<'_>, entry: &LocatedValue, names: &[&str]) {
        let Value::Text(paper) = &entry.value else { return };
        if !self.said.insert((entry.place, "papers.*")) {
            return;
        }
        let keys = key_table::table("paper").map_or(&[][..], |table| table.keys);
        let value = keys.iter().find_map(|key| Some((key, trade_terms::value(key, paper)?)));
        let fix = match (value, nearest(paper, names.iter().copied())) {
            (_, Some(near)) => format!("paper = {}", quote(near)),
            (Some((key, word)), None) => {
                format!("write it below [paper], or [print.paper] for one print: {}", key.line(&quote(word)))
            }
            (None, None) => {
                format!("describe it: [papers.{}], and below it, for example, stock = \"coated\"", spelt(paper))
            }
        };
        sources.report(entry.place, format!("there is no paper \"{paper}\": no table [papers.{}]", spelt(paper)), fix);
    }
}

struct OnePrint<'c, 'r, 'a> {
    checks: &'c mut Checks,
    sources: &'r mut BriefSources<'a>,
    print: &'c Print,
    view: EffectiveLayers<'c>,
    header: TextPosition,
}

impl OnePrint<'_, '_, '_> {
    /// Reports an error at the key's value; where the key is not given, at the print's size.
    fn say(&mut self, key: &'static str, what: String, fix: String) {
        let entry = self.view.entry(key).or_else(|| self.view.entry("print.size"));
        self.say_in(entry.map_or(self.header, |entry| entry.place), key, what, fix);
    }

    fn say_in(&mut self, place: TextPosition, key: &'static str, what: String, fix: String) {
        if self.checks.said.insert((place, key)) {
            let name = crate::units::words::visible(&self.print.name).into_owned();
            self.sources.report(place, format!("{what}, for the print \"{name}\""), fix);
        }
    }

    fn show(&self, length: Length) -> String {
        show::length(length, self.print.requirements.margins.unit)
    }

    fn density(&mut self) {
        let density = &self.print.requirements.density;
        if density.minimum > density.target {
            let paper = &self.print.requirements.paper;
            let usual = usual_minimum(density.target, paper.stock, paper.process);
            let (minimum, target) = show::ppi_apart(density.minimum, density.target);
            let what = format!("the minimum ({minimum}) is above the target ({target} ppi)");
            let fix = format!("correct the one that is wrong, for example: minimum = \"{}\"", show::ppi(usual));
            self.say("density.minimum", what, fix);
        }
    }

    /// A margin that only another edge would use. A margin of the order or of a version may be meant for other prints,
    /// unless it was to say the edge of this one.
    fn edge(&mut self) {
        let edge = self.print.requirements.margins.edge;
        for (key, _) in edge::KEYS.iter().filter(|(_, of)| *of == edge) {
            let above = [Some(self.view.order), self.view.version].into_iter().flatten();
            self.checks.used.extend(above.filter_map(|layer| layer.get(*key)).map(|entry| entry.place));
        }
        let Some(said) = edge::find_stated(self.view) else { return };
        let has_margin = |layer: &&Layer| edge::KEYS.iter().any(|(key, _)| edge::stated_by(layer, key).is_some());
        let says_edge = |layer: &Layer| layer.contains_key(edge::EDGE);
        let of_version = self.view.version.filter(|_| !self.view.print.is_some_and(says_edge));
        let layer = match self.view.print.filter(has_margin).or(of_version.filter(has_margin)) {
            Some(own) => own,
            None if said.is_outright() => return,
            None => self.view.order,
        };
        for (key, of) in edge::KEYS.iter().filter(|(_, of)| *of != edge) {
            let Some(entry) = edge::stated_by(layer, key).filter(|entry| entry.distance() == 0) else { continue };
            let (name, by, word) = (name_of(key), name_of(said.key), of.word());
            let (but, fix) = if said.is_outright() {
                (
                    format!("but the edge is \"{}\"", edge.word()),
                    format!("write edge = \"{word}\" here, or take {name} out"),
                )
            } else {
                (
                    format!("{by} to edge = \"{}\"", edge.word()),
                    format!("keep one of the two, {name} or {by}; write what only some prints have in those prints"),
                )
            };
            let what = format!("{name} belongs to edge = \"{word}\", {but} ({})", said.origin.place());
            self.say_in(entry.place, key, what, fix);
        }
    }

    /// `outer` and `spine` need a page.
    fn pages(&mut self) {
        let edge = self.print.requirements.margins.edge;
        let keys = ["margins.bleed", "margins.safe", "margins.border"];
        for key in keys.into_iter().filter(|key| edge::uses(edge, key)) {
            let Some(MarginValue::By(sides, _)) = self.view.sides(key) else { continue };
            let by_page = sides.iter().any(|(side, _)| matches!(*side, "outer" | "spine"));
            if by_page && self.print.page.is_none() {
                let what = "outer and spine mean nothing without a page number".to_owned();
                self.say(key, what, "give the print a page, for example page = 12, or name left and right".to_owned());
            }
        }
    }

    fn margins(&mut self) {
        let margins = &self.print.requirements.margins;
        let (width, height) = (self.print.size.width, self.print.size.height);
        let size = self.print.size.show();
        if margins.safe.across() >= width || margins.safe.down() >= height {
            let what = format!("the safe margin leaves no room in {size}");
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
        if margins.rebate * 2 >= short {
            let what = format!("a frame that covers {} on every side hides all of {size}", self.show(margins.rebate));
            self.say("margins.rebate", what, self.smaller("rebate"));
        }
    }

    /// Returns a remedy with a margin that leaves room: at most an eighth of the short side.
    fn smaller(&self, key: &str) -> String {
        let short = self.print.size.width.min(self.print.size.height);
        let most = Length::from_nm(short.nm() / 8);
        format!("{key} = \"{}\" or less leaves room", self.show(most))
    }

    fn folds(&mut self) {
        let margins = &self.print.requirements.margins;
        let width = self.print.size.width;
        let size = self.print.size.show();
        for fold in &margins.folds {
            if *fold == Length::ZERO || *fold >= width {
                let what = format!("a fold at {} is outside {size}", self.show(*fold));
                let middle = self.show(Length::from_nm(width.nm() / 2));
                self.say("margins.folds", what, format!("folds = [\"{middle}\"] is the middle"));
            } else if margins.gutter > *fold || margins.gutter > width - *fold {
                let what = format!("a gutter of {} is wider than the page beside its fold", self.show(margins.gutter));
                self.say("margins.gutter", what, "gutter = \"10 mm\"".to_owned());
            }
        }
    }

    fn names(&mut self) {
        let both = |layer: &Layer| layer.contains_key("file.name") && layer.contains_key("file.name_pattern");
        if both(self.view.order) || self.view.version.is_some_and(both) || self.view.print.is_some_and(both) {
            let what = "both name and name_pattern say how files are named".to_owned();
            self.say("file.name_pattern", what, "keep one of the two".to_owned());
        }
    }
}
