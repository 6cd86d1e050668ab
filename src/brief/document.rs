//! Reads the TOML document of a brief, a printer's sheet or a starter by the key table: each value by the kind of its
//! key. An unknown key is an error.

use std::path::Path;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::key::{BriefKey, ValueKind};
use super::key_table::{self, Table};
use super::layers::{BriefPart, Layer, LocatedValue, Papers};
use super::origin::{Origin, PaperPlace};
use super::parsed::{FileRole, HeadedLayer, ParsedBrief, is_of_one_order};
use super::renamed;
use super::size_names;
use super::source::{SourceFile, TextPosition};
use super::sources::BriefSources;
use super::toml_value::ValueReader;
use super::trade_terms;
use super::unknown_keys;
use super::values::{SizeNames, Value};
use crate::units::spelling::nearest;

/// Walks a whole file; `rule_ids` are the rules there are, `sizes` the names for sizes that it finds.
pub(super) fn walk(
    sources: &mut BriefSources<'_>,
    brief: &DeTable<'_>,
    rule_ids: &[&str],
    role: &FileRole,
    mut sizes: SizeNames,
) -> ParsedBrief {
    // A starter's sizes are examples, to be replaced by one's own.
    let (is_starter, is_sheet) = (matches!(role, FileRole::Starter(..)), matches!(role, FileRole::Sheet(..)));
    if !is_starter {
        sizes.append(&mut size_names::read(sources, brief));
    }
    let mut walker = Walker { sources, sizes: &sizes, rule_ids, part: BriefPart::Order, named: None, role };
    let (mut order, mut papers, mut prints, mut versions) = (Layer::new(), Papers::new(), Vec::new(), Vec::new());
    for (name, value) in brief {
        match name.get_ref().as_ref() {
            "sizes" => {}
            "print" | "version" if is_starter => {}
            one if is_sheet && is_of_one_order(one) => walker.of_one_order(one, name, value),
            "papers" => walker.papers(name, value, &mut papers),
            "print" => prints.append(&mut walker.parts(BriefPart::Print, name, value)),
            "version" => versions.append(&mut walker.parts(BriefPart::Version, name, value)),
            "versions" if !value.get_ref().is_str() => walker.misnamed_versions(name),
            "prints" if !value.get_ref().is_str() => prints.append(&mut walker.misnamed_prints(name, value)),
            _ => walker.entry("", name, value, &mut order),
        }
    }
    ParsedBrief { order, papers, prints, versions, sizes }
}

fn brief_place(at: usize) -> TextPosition {
    TextPosition { which: SourceFile::Brief, at }
}

struct Walker<'r, 'a> {
    sources: &'r mut BriefSources<'a>,
    sizes: &'r SizeNames,
    rule_ids: &'r [&'r str],
    part: BriefPart,
    /// The name of the paper or the version that is being walked.
    named: Option<Arc<str>>,
    role: &'r FileRole,
}

type KeyName<'i> = Spanned<std::borrow::Cow<'i, str>>;

impl Walker<'_, '_> {
    /// A name of one order in a printer's sheet, which serves all of them.
    fn of_one_order(&mut self, one: &str, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>) {
        let place = brief_place(name.span().start);
        if matches!(one, "print" | "prints" | "prints_sheet") {
            let what = "a printer's sheet has no prints: it serves all your orders with this printer";
            return self.sources.report(place, what, "move the prints to the brief that names this sheet");
        }
        let line = match one {
            "version" => "[[version]]".to_owned(),
            _ => format!("{one} = {}", self.raw(value).unwrap_or("...")),
        };
        let what = format!("{one} belongs to one order, and this sheet serves all of them");
        self.sources.report(place, what, format!("move the line to the brief that names this sheet: {line}"));
    }

    /// `[papers.body]`: each a table with the keys of `[paper]`.
    fn papers(&mut self, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>, papers: &mut Papers) {
        let Some(table) = key_table::table("paper") else { return };
        let DeValue::Table(named) = value.get_ref() else {
            let fix = "[papers.body] on a line of its own, and below it, for example, stock = \"coated\"";
            return self.sources.report(brief_place(name.span().start), "papers is a table of papers by name", fix);
        };
        for (name, value) in named {
            let paper: Arc<str> = Arc::from(name.get_ref().as_ref());
            let DeValue::Table(keys) = value.get_ref() else {
                let is_key = table.keys.iter().any(|key| key.name() == &*paper);
                let (what, fix) = if is_key {
                    let fix = "write [paper] for the paper of the whole order, or [papers.body] for one by name";
                    (format!("{paper} is a key of a paper, and [papers] holds papers by name"), fix)
                } else {
                    let fix = "[papers.body] on a line of its own, and its keys below it";
                    (format!("papers.{} is a table with the keys of [paper]", unknown_keys::spelt(&paper)), fix)
                };
                self.sources.report(brief_place(name.span().start), what, fix);
                continue;
            };
            self.named = Some(paper.clone());
            let layer = papers.entry(paper).or_default();
            for (name, value) in keys {
                let path = format!("paper.{}", name.get_ref());
                match table.keys.iter().find(|key| key.path == path) {
                    Some(key) => self.value(key, name, value, path, layer),
                    None => self.unknown_key("paper", name, value),
                }
            }
            self.named = None;
        }
    }

    /// Returns every print, or every version; a `[print]` written once is walked too, to show its other mistakes.
    fn parts(&mut self, part: BriefPart, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>) -> Vec<HeadedLayer> {
        let place = brief_place(name.span().start);
        let own = part.own_table();
        let header = format!("[[{own}]]");
        let found: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(parts) => parts.iter().collect(),
            DeValue::Table(_) => {
                let what = format!("a {own} needs double brackets, since there may be several");
                self.sources.report(place, what, header.as_str());
                vec![value]
            }
            _ => {
                self.sources.report(place, format!("{own} must be a table in double brackets"), header.as_str());
                Vec::new()
            }
        };
        self.part = part;
        let mut parts = Vec::with_capacity(found.len());
        for one in found {
            let place = brief_place(one.span().start);
            let DeValue::Table(table) = one.get_ref() else {
                self.sources.report(place, format!("a {own} must be a table"), header.as_str());
                continue;
            };
            let version = table.get("name").filter(|_| part == BriefPart::Version);
            self.named = version.and_then(|name| name.get_ref().as_str()).map(Arc::from);
            let mut layer = Layer::new();
            for (name, value) in table {
                self.entry(own, name, value, &mut layer);
            }
            // A name or a folder that is no text was reported already: without it there is no version.
            let is_misread = |key: &str| table.contains_key(key) && !layer.contains_key(&format!("{own}.{key}"));
            if part == BriefPart::Version && ["name", "folder"].into_iter().any(is_misread) {
                continue;
            }
            parts.push((place, layer));
        }
        (self.part, self.named) = (BriefPart::Order, None);
        parts
    }

    /// Versions below `[[versions]]`, which is the key of several files for one print.
    fn misnamed_versions(&mut self, name: &KeyName<'_>) {
        let what = "each version of the order belongs below [[version]]; versions is the key that says what to do \
                    where several files fit one print";
        self.sources.report(brief_place(name.span().start), what, "[[version]]");
    }

    /// Prints below `[[prints]]`, which is the key of a picture list.
    fn misnamed_prints(&mut self, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>) -> Vec<HeadedLayer> {
        let tables = match value.get_ref() {
            DeValue::Array(list) => list.iter().filter(|one| one.get_ref().is_table()).map(Spanned::span).collect(),
            DeValue::Table(_) => vec![name.span()],
            _ => Vec::new(),
        };
        if tables.is_empty() {
            self.entry("", name, value, &mut Layer::new());
            return Vec::new();
        }
        for table in tables {
            let what = "each print belongs below [[print]]; prints is the key that names a picture list";
            self.sources.report(brief_place(table.start), what, "[[print]]");
        }
        if value.get_ref().is_array() { self.parts(BriefPart::Print, name, value) } else { Vec::new() }
    }

    /// One name with its value, above the first table or at the head of a print or a version.
    fn entry(&mut self, own: &str, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>, layer: &mut Layer) {
        let text = name.get_ref().as_ref();
        let path = if own.is_empty() { text.to_owned() } else { format!("{own}.{text}") };
        // `file = "p012*"` in a print is its picture, and no table.
        let is_key_by_another_name =
            value.get_ref().is_str() && trade_terms::key(own, text).is_some_and(|key| key.table() == own);
        // `paper` is a key with the name of a paper, and a table.
        let is_table = value.get_ref().is_table() && key_table::table(text).is_some();
        if let Some(key) = key_table::all().find(|key| key.path == path && !is_table) {
            self.value(key, name, value, path, layer);
        } else if let Some(table) =
            key_table::table(text).filter(|table| self.may_hold(table) && !is_key_by_another_name)
        {
            self.table(table, name, value, layer);
        } else {
            self.unknown_key(own, name, value);
        }
    }

    fn may_hold(&self, table: &Table) -> bool {
        !["", "print", "version", "papers"].contains(&table.name)
            && (self.part == BriefPart::Order || table.is_in_print)
    }

    /// A table of the brief, or the own one of a print or a version.
    fn table(&mut self, table: &Table, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>, layer: &mut Layer) {
        let header = match self.part {
            BriefPart::Order => format!("[{}]", table.name),
            part => format!("[{}.{}]", part.own_table(), table.name),
        };
        let entries = match value.get_ref() {
            DeValue::Table(entries) => entries,
            DeValue::Array(list) if list.iter().any(|one| one.get_ref().is_table()) => {
                let what = format!("{} is written once, in single brackets", table.name);
                return self.sources.report(brief_place(name.span().start), what, header);
            }
            _ => {
                let own: Vec<&str> = table.keys.iter().map(BriefKey::name).collect();
                let what = format!("{} is a table, not a value", table.name);
                let fix = format!("write {header} on a line of its own, and its keys below it: {}", own.join(", "));
                return self.sources.report(brief_place(name.span().start), what, fix);
            }
        };
        match table.name {
            "rules" => return self.rules(entries, "", layer),
            "answered" => return self.read_answers(entries, "", layer),
            _ => {}
        }
        for (name, value) in entries {
            let path = format!("{}.{}", table.name, name.get_ref());
            let is_here = |key: &&BriefKey| self.part.holds(key);
            match table.keys.iter().find(|key| key.path == path).filter(is_here) {
                Some(key) => self.value(key, name, value, path, layer),
                None => self.unknown_key(table.name, name, value),
            }
        }
    }

    /// Levels of rules: `"density.minimum" = "must"`, and without quotes, where TOML makes tables of the dots.
    fn rules(&mut self, table: &DeTable<'_>, before: &str, layer: &mut Layer) {
        let Some(key) = key_table::find("rules.*") else { return };
        for (name, value) in table {
            let id = format!("{before}{}", name.get_ref());
            if let DeValue::Table(inner) = value.get_ref() {
                self.rules(inner, &format!("{id}."), layer);
            } else if self.rule_ids.contains(&id.as_str()) {
                self.value(key, name, value, format!("rules.{id}"), layer);
            } else {
                let now = renamed::rule(&id);
                let what = match now {
                    Some(now) => format!("the rule \"{id}\" is now called {now}"),
                    None => format!("there is no rule \"{id}\""),
                };
                let fix = match now.or_else(|| nearest(&id, self.rule_ids.iter().copied())) {
                    Some(near) => self.explain_renamed_rule(near, before, name, value),
                    None => "plateside explain lists the rules".to_owned(),
                };
                self.sources.report(brief_place(name.span().start), what, fix);
            }
        }
    }

    /// The days of the printer's answers: `"paper.dmax" = 2026-11-30`, also without quotes.
    fn read_answers(&mut self, table: &DeTable<'_>, before: &str, layer: &mut Layer) {
        let Some(key) = key_table::find("answered.*") else { return };
        for (name, value) in table {
            let of = format!("{before}{}", name.get_ref());
            // The key of a named paper is written as that of every paper: papers.body.dmax.
            let own = match of.strip_prefix("papers.").and_then(|rest| rest.rsplit_once('.')) {
                Some((_, own)) => format!("paper.{own}"),
                None => of.clone(),
            };
            if let DeValue::Table(inner) = value.get_ref() {
                self.read_answers(inner, &format!("{of}."), layer);
            } else if key_table::all().any(|key| key.path == own && key.name() != "*") {
                self.value(key, name, value, format!("answered.{of}"), layer);
            } else {
                let keys = key_table::all().map(|key| key.path);
                let fix = match nearest(&own, keys).and_then(|near| self.explain_renamed_key(name, value, near)) {
                    Some(line) => line,
                    None => "name the key that was answered, in quotes: \"paper.dmax\" = 2026-11-30".to_owned(),
                };
                self.sources.report(brief_place(name.span().start), format!("there is no key \"{of}\""), fix);
            }
        }
    }

    /// Returns the line with the rule that was meant: in place where it has the same group, else where it belongs.
    fn explain_renamed_rule(
        &self,
        near: &str,
        before: &str,
        name: &KeyName<'_>,
        value: &Spanned<DeValue<'_>>,
    ) -> String {
        let own = near.strip_prefix(before).and_then(|rest| self.explain_renamed_key(name, value, rest));
        own.unwrap_or_else(|| format!("write it below [rules]: \"{near}\" = {}", self.raw(value).unwrap_or("\"must\"")))
    }

    /// Returns the line of a value of one line, with its name replaced.
    fn explain_renamed_key(&self, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>, instead: &str) -> Option<String> {
        self.raw(value)?;
        self.sources.brief.line_with(name.span(), &unknown_keys::spelt(instead))
    }

    fn value(
        &mut self,
        key: &'static BriefKey,
        name: &KeyName<'_>,
        value: &Spanned<DeValue<'_>>,
        path: String,
        layer: &mut Layer,
    ) {
        let mut pen =
            ValueReader { sources: self.sources, sizes: self.sizes, key, name: name.get_ref(), whole: value.span() };
        let Some(mut read) = pen.read(value) else { return };
        if let (ValueKind::File, Value::Text(file)) = (key.kind, &read) {
            read = Value::Path(self.sources.brief.path.parent().unwrap_or(Path::new("")).join(file));
        }
        match &read {
            Value::Texts(names) => names.iter().for_each(|name| self.expect_rule(name, value)),
            Value::Text(name) if key.kind == ValueKind::Rules => self.expect_rule(name, value),
            _ => {}
        }
        let (place, origin) = self.place_and_origin(name, value);
        layer.insert(path, LocatedValue { value: read, place, origin });
    }

    /// Returns where a value is written, and where it therefore comes from.
    fn place_and_origin(&self, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>) -> (TextPosition, Origin) {
        let (which, sheet) = match self.role {
            FileRole::Starter(starter, place) => return (*place, Origin::Starter(starter)),
            FileRole::Sheet(at, file) => (SourceFile::Sheet(*at), Some(file.clone())),
            FileRole::Brief => (SourceFile::Brief, None),
        };
        let line = self.sources.line_of(brief_place(name.span().start));
        let origin = match (self.part, &self.named, sheet) {
            (BriefPart::Order, Some(paper), sheet) => {
                Origin::NamedPaper(Arc::new(PaperPlace { paper: paper.clone(), sheet, line }))
            }
            (BriefPart::Order, None, Some(file)) => Origin::Sheet(file, line),
            (BriefPart::Order, None, None) => Origin::Brief(line),
            (BriefPart::Version, named, _) => Origin::Version(named.clone().unwrap_or_default(), line),
            (BriefPart::Print, ..) => Origin::Print(line),
        };
        (TextPosition { which, at: value.span().start }, origin)
    }

    /// Reports a name that is neither a rule nor a group of rules.
    fn expect_rule(&mut self, name: &str, value: &Spanned<DeValue<'_>>) {
        let groups = self.rule_ids.iter().filter_map(|id| id.split('.').next());
        let known: Vec<&str> = self.rule_ids.iter().copied().chain(groups).collect();
        if known.contains(&name) {
            return;
        }
        let now = renamed::rule(name);
        let what = match now {
            Some(now) => format!("the rule \"{name}\" is now called {now}"),
            None => format!("there is no rule or group of rules \"{name}\""),
        };
        let fix = match now.or_else(|| nearest(name, known.iter().copied())) {
            Some(near) => format!("write \"{near}\" in its place"),
            None => "plateside explain rules lists the rules and their groups".to_owned(),
        };
        self.sources.report(brief_place(value.span().start), what, fix);
    }

    /// Returns the value as written, if it is on one line and so can be repeated in an error.
    fn raw(&self, value: &Spanned<DeValue<'_>>) -> Option<&str> {
        self.sources.brief.slice(value.span())
    }

    /// A name that is no key here.
    fn unknown_key(&mut self, table: &str, name: &KeyName<'_>, value: &Spanned<DeValue<'_>>) {
        let is_table = match value.get_ref() {
            DeValue::Array(list) => list.iter().any(|one| one.get_ref().is_table()),
            one => one.is_table(),
        };
        let raw = if is_table { None } else { self.raw(value) };
        let renamed = |near: &str| self.explain_renamed_key(name, value, near);
        let (mut what, fix) = unknown_keys::explain(self.part, table, name.get_ref(), (raw, is_table), renamed);
        if let Some(paper) = self.named.as_ref().filter(|_| self.part == BriefPart::Order) {
            what = what.replace("[paper]", &format!("[papers.{}]", unknown_keys::spelt(paper)));
        }
        self.sources.report(brief_place(name.span().start), what, fix);
    }
}
