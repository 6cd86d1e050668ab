//! What to do about an order, in words and as lines, for the prompt, the live table and a page.

use std::collections::BTreeSet;

use crate::brief::requirements::Level;
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::to_do::{Cause, Cure, ToDo};
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

/// Most pictures named for one cause. Own choice: as many as a person goes through in one sitting.
const MAX_NAMED: usize = 24;

/// Width of the level's word and of the label `fix`, in columns.
const LABEL: usize = 8;

impl Cause {
    /// Returns the cause with the number of its pictures: `5 pictures: no creator`.
    pub fn words_with_count(&self) -> String {
        match self.pictures.len() {
            0 => format!("the order: {}", self.words),
            count => format!("{}: {}", show::count(count, "picture", "pictures"), self.words),
        }
    }

    /// Returns the names of its pictures, each with its own value where they differ; safe to show.
    pub fn picture_names(&self) -> String {
        let values: BTreeSet<&String> = self.pictures.values().collect();
        let named = self.pictures.iter().take(MAX_NAMED).map(|(picture, value)| match value.as_str() {
            value if values.len() > 1 && !value.is_empty() => format!("{picture} ({value})"),
            _ => picture.to_string(),
        });
        let more = self.pictures.len().saturating_sub(MAX_NAMED);
        let more = (more > 0).then(|| show::count(more, "more", "more"));
        visible(&named.chain(more).collect::<Vec<String>>().join(", ")).into_owned()
    }
}

impl Cure {
    /// Returns the actions or the settings, one an entry.
    pub fn actions(&self) -> Vec<String> {
        match self {
            Cure::Preset(settings) => settings.iter().map(ExportSetting::words).collect(),
            Cure::Action(action) => vec![action.clone()],
            Cure::EachItsOwn(advice) => vec![(*advice).to_owned()],
        }
    }

    /// Returns what to do, one action or setting a line; `pictures` is the number of pictures.
    pub fn words(&self, pictures: usize) -> Vec<String> {
        let all = if pictures == 1 { "it" } else { "them all" };
        let first = matches!(self, Cure::Preset(_)).then(|| format!("one export preset fixes {all}:"));
        first.into_iter().chain(self.actions()).collect()
    }
}

/// Returns a thing to do as lines: its causes with their pictures, then what to do.
pub fn of_to_do(one: &ToDo) -> Vec<Line> {
    let mut lines = Vec::new();
    for cause in &one.causes {
        let style = if cause.level == Level::Must { Style::Bad } else { Style::Warn };
        let head =
            Line::of(style, format!("{:LABEL$}", cause.level.word())).and(Style::Strong, cause.words_with_count());
        lines.push(head.and(Style::Dim, format!("  [{}]", cause.rule.id)).indented(0, LABEL));
        if !cause.pictures.is_empty() {
            lines.push(Line::plain(cause.picture_names()).indented(LABEL, 0));
        }
    }
    for (at, words) in one.cure.words(one.picture_count()).into_iter().enumerate() {
        let label = if at == 0 { "fix" } else { "" };
        lines.push(Line::of(Style::Dim, format!("{label:LABEL$}")).and(Style::Plain, words).indented(0, LABEL));
    }
    lines
}
