//! The house rules that a machine can read: who may use whom, and how large things may grow.

#[path = "layers/imports.rs"]
mod imports;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use imports::{circles, imports, paths_of};
use plateside::brief::key_table;
use plateside::judge::rules;
use regex::Regex;

/// The crate that paints the demo's pictures, as the tables name it.
const PAINTER: &str = "painter";
/// Where its files lie.
const PAINTER_SOURCES: &str = "demo/painter/src/";

/// Who may use whom: each module and the modules of ours that it may name. DEVELOPERS.md explains the order.
const MAY_USE: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("files", &["units"]),
    ("colour", &["units"]),
    ("brief", &["units", "files", "user", "colour"]),
    ("picture", &["units", "files", "colour"]),
    ("measure", &["units", "colour", "picture"]),
    ("judge", &["units", "colour", "brief", "picture", "measure"]),
    ("decisions", &["units", "files", "brief", "picture", "measure", "judge"]),
    ("reading", &["units", "files", "colour", "brief", "picture", "measure", "judge", "decisions"]),
    ("live", &["units", "files", "colour", "brief", "picture", "measure", "judge", "decisions", "reading"]),
    ("tui", &["units", "colour", "brief", "picture", "judge", "decisions", "live"]),
    ("report", &["units", "files", "colour", "brief", "picture", "measure", "judge", "decisions", "reading", "live"]),
    (
        "testprint",
        &["units", "files", "colour", "brief", "picture", "measure", "judge", "decisions", "reading", "report"],
    ),
    (
        "delivery",
        &["units", "files", "colour", "brief", "picture", "measure", "judge", "decisions", "reading", "report"],
    ),
    ("demo", &["units", "files", "colour", "picture"]),
    ("user", &["units", "files"]),
    (
        "cli",
        &[
            "units",
            "files",
            "colour",
            "brief",
            "picture",
            "measure",
            "judge",
            "decisions",
            "reading",
            "live",
            "tui",
            "report",
            "testprint",
            "delivery",
            "demo",
            "user",
        ],
    ),
    ("main", &["cli"]),
    (PAINTER, &[]),
];

/// Words that must not stand in a module's code, with the reason.
const BANNED: &[(&str, &[&str], &str)] = &[
    (
        "judge",
        &["std::fs", "std::thread", "std::time", "SystemTime", "Instant", "std::io", "std::env", "jiff::"],
        "the judge is pure: no clock, no disk, no threads",
    ),
    ("measure", &["std::fs", "std::thread", "SystemTime", "Instant", "std::env"], "measuring knows only pixels"),
    ("units", &["std::fs", "std::thread", "std::io", "std::env"], "units do no I/O"),
    ("decisions", &["crossterm", "ratatui", "viuer"], "only tui touches the terminal"),
    ("reading", &["crossterm", "ratatui", "viuer"], "only tui touches the terminal"),
    ("live", &["crossterm", "ratatui", "viuer"], "only tui touches the terminal"),
    ("report", &["\\x1b", "\\u{1b}["], "only tui writes escape sequences"),
    ("delivery", &["\\x1b", "\\u{1b}["], "only tui writes escape sequences"),
    ("testprint", &["\\x1b", "\\u{1b}["], "only tui writes escape sequences"),
    ("brief", &["SystemTime", "std::thread"], "a brief knows no clock"),
    (
        PAINTER,
        &["plateside", "std::fs", "std::io", "std::env", "std::path", "std::thread", "std::time"],
        "the painter makes pixels of a scene, and knows neither this program nor files",
    ),
];

/// The only modules that may name a library: who decodes, who draws, who manages colour.
const ONLY_USER: &[(&str, &[&str])] = &[
    ("lcms2", &["colour"]),
    ("zune_jpeg", &["picture"]),
    ("weezl", &["picture"]),
    ("flate2", &["picture"]),
    ("crossterm", &["tui"]),
    ("ratatui", &["tui"]),
    ("viuer", &["tui"]),
    ("notify", &["live"]),
    ("tempfile", &["files"]),
];

/// Calls that write to the disk, and who may make them: all others write through `files`, whole or not at all.
const WRITES: &[&str] = &["fs::write(", "fs::rename(", "fs::copy(", "create_dir", "File::create"];
/// See [`WRITES`].
const WRITERS: &[&str] = &["files"];

/// Where rules may be called by their ids, with the reason: everybody else has a rule at hand and asks it.
const NAMES_RULES: &[(&str, &str)] = &[
    ("src/judge/rules/", "a rule's own file gives it its id"),
    ("src/brief/renamed.rs", "ids that rules had before lead to the ones of now"),
    ("src/report/glossary.rs", "pages of the handbook link to each other by what a person types"),
];

/// Lines of code before the tests that a file may hold.
const FILE_LINES: usize = 400;
/// Lines that a function may have.
const FUNCTION_LINES: usize = 70;
/// Characters in a line.
const LINE_CHARACTERS: usize = 120;
/// Files that may be longer than [`FILE_LINES`], each with its reason.
const LONGER_FILES: &[(&str, &str)] = &[];
/// Functions that may be longer than [`FUNCTION_LINES`], as `file:function`, each with its reason.
const LONGER_FUNCTIONS: &[(&str, &str)] = &[];

/// A source file.
struct Source {
    path: String,
    text: String,
}

impl Source {
    /// The module of the crate that it belongs to: the first folder or the file under `src`; or the painter.
    fn module(&self) -> &str {
        if self.path.starts_with(PAINTER_SOURCES) {
            return PAINTER;
        }
        let inside = self.path.strip_prefix("src/").unwrap_or(&self.path);
        inside.split('/').next().unwrap_or(inside).trim_end_matches(".rs")
    }

    /// Whether it holds nothing but tests.
    fn is_tests(&self) -> bool {
        self.path.ends_with("/tests.rs")
            || self.path.contains("/tests/")
            || self.path.ends_with("/testing.rs")
            || self.path.ends_with("/sample.rs")
    }

    /// The code before the tests.
    fn code(&self) -> &str {
        if self.is_tests() {
            return "";
        }
        let starts =
            |at: &usize| self.text[*at..].lines().nth(1).is_some_and(|l| l.contains("mod ") && l.ends_with('{'));
        let tests = self.text.match_indices("#[cfg(test)]\n").map(|(at, _)| at).find(starts);
        &self.text[..tests.unwrap_or(self.text.len())]
    }
}

fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    let mut folders = vec![root.join("src"), root.join(PAINTER_SOURCES)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
        .into_iter()
        .map(|path| Source { text: fs::read_to_string(&path).unwrap(), path: shown(root, &path) })
        .collect()
}

fn shown(root: &Path, path: &Path) -> String {
    path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/")
}

fn no_faults(faults: Vec<String>) {
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

/// Lines that are no comment.
fn code_lines(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter(|line| !line.trim_start().starts_with("//"))
}

#[test]
fn modules_use_only_what_stands_above_them() {
    let allowed: BTreeMap<&str, &[&str]> = MAY_USE.iter().copied().collect();
    let mut faults = Vec::new();
    for source in sources() {
        let module = source.module();
        let Some(may) = allowed.get(module) else { continue };
        for path in paths_of(&source) {
            let Some(used) = path.first().filter(|used| allowed.contains_key(used.as_str())) else { continue };
            if used != module && !may.contains(&used.as_str()) {
                faults.push(format!("{} uses {}", source.path, path.join("::")));
            }
        }
    }
    no_faults(faults);
}

#[test]
fn every_module_of_the_crate_is_in_the_table() {
    let known: Vec<&str> = MAY_USE.iter().map(|(module, _)| *module).collect();
    let sources = sources();
    let strangers = sources.iter().map(Source::module).filter(|module| !known.contains(module) && *module != "lib");
    no_faults(strangers.map(str::to_owned).collect());
}

#[test]
fn no_file_imports_one_that_imports_it() {
    let graph = imports();
    let faults = circles(&graph).into_iter().map(|circle| {
        let ties = circle.iter().flat_map(|from| {
            let to = graph[from].iter().filter(|to| circle.contains(*to));
            to.map(move |to| format!("  {from} -> {to}"))
        });
        format!("{} files import each other:\n{}", circle.len(), ties.collect::<Vec<_>>().join("\n"))
    });
    no_faults(faults.collect());
}

#[test]
fn no_module_hides_what_it_uses() {
    let mut faults = Vec::new();
    for source in sources() {
        for line in code_lines(source.code()) {
            if line.contains("super::super")
                || (line.trim_start().starts_with("use ") && line.contains("::*") && !line.contains("prelude"))
            {
                faults.push(format!("{}: {}", source.path, line.trim()));
            }
        }
    }
    no_faults(faults);
}

#[test]
fn each_module_keeps_to_its_room() {
    let mut faults = Vec::new();
    for source in sources() {
        for (module, words, reason) in BANNED.iter().filter(|(module, ..)| *module == source.module()) {
            for line in code_lines(source.code()) {
                for word in words.iter().filter(|word| line.contains(**word)) {
                    faults.push(format!("{} ({module}) has {word}: {reason}", source.path));
                }
            }
        }
        for (library, users) in ONLY_USER {
            let module = source.module();
            let used = code_lines(source.code()).any(|line| names(line, library));
            if used && !users.contains(&module) && module != "cli" {
                faults.push(format!("{} names {library}, which belongs to {}", source.path, users.join(", ")));
            }
        }
    }
    no_faults(faults);
}

#[test]
fn only_files_writes_to_the_disk() {
    let mut faults = Vec::new();
    for source in sources().iter().filter(|source| !WRITERS.contains(&source.module())) {
        let lines = code_lines(source.code()).filter(|line| WRITES.iter().any(|call| line.contains(call)));
        faults.extend(lines.map(|line| format!("{}: {}", source.path, line.trim())));
    }
    no_faults(faults);
}

#[test]
fn no_rule_is_known_by_its_id_outside_its_own_file() {
    static TEXT: LazyLock<Regex> = LazyLock::new(|| Regex::new(r#""([a-z_]+\.[a-z_]*)""#).unwrap());
    let is_rule = |text: &str| rules::all().any(|rule| rule.id == text || format!("{}.", rule.group.word()) == text);
    let may = |path: &str| NAMES_RULES.iter().any(|(place, _)| path.starts_with(place));
    let mut faults = Vec::new();
    for source in sources().iter().filter(|source| !may(&source.path)) {
        for line in code_lines(source.code()) {
            for text in TEXT.captures_iter(line).map(|found| found.extract::<1>().1[0]).filter(|text| is_rule(text)) {
                // Keys of the brief are called like the rules that read them.
                let is_key = source.module() == "brief"
                    && key_table::all().any(|key| key.path == text || format!("{}.", key.table()) == text);
                if !is_key {
                    faults.push(format!("{}: {}", source.path, line.trim()));
                }
            }
        }
    }
    no_faults(faults);
}

/// Whether a line names a library's path, as `library::` or in a `use`.
fn names(line: &str, library: &str) -> bool {
    line.match_indices(library).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let boundary = before.is_none_or(|c| !c.is_alphanumeric() && c != '_' && c != '"');
        boundary && line[at + library.len()..].starts_with("::")
    })
}

#[test]
fn every_file_opens_with_what_it_holds() {
    let faults = sources().into_iter().filter(|s| !s.text.starts_with("//!")).map(|s| s.path);
    no_faults(faults.collect());
}

#[test]
fn files_functions_and_lines_stay_small() {
    let mut faults = Vec::new();
    for source in sources() {
        let lines = source.code().lines().count();
        let excused = LONGER_FILES.iter().any(|(path, _)| *path == source.path);
        if lines > FILE_LINES && !excused {
            faults.push(format!("{} has {lines} lines of code", source.path));
        }
        for (at, line) in source.text.lines().enumerate() {
            if line.chars().count() > LINE_CHARACTERS {
                faults.push(format!("{}:{} is longer than {LINE_CHARACTERS} characters", source.path, at + 1));
            }
        }
        for (name, length) in functions(source.code()) {
            let place = format!("{}:{name}", source.path);
            if length > FUNCTION_LINES && !LONGER_FUNCTIONS.iter().any(|(excused, _)| *excused == place) {
                faults.push(format!("{place} has {length} lines"));
            }
        }
    }
    no_faults(faults);
}

/// Functions and their lengths, by the indentation that the formatter gives.
fn functions(code: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = code.lines().collect();
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let body = line.trim_start();
        let indent = line.len() - body.len();
        let Some(after) = ["pub fn ", "pub(crate) fn ", "pub(super) fn ", "fn ", "const fn ", "pub const fn "]
            .iter()
            .find_map(|start| body.strip_prefix(start))
        else {
            continue;
        };
        let name: String = after.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
        let close = format!("{}}}", " ".repeat(indent));
        if line.trim_end().ends_with('}') || line.trim_end().ends_with(';') {
            continue;
        }
        if let Some(end) = lines[at..].iter().position(|l| *l == close) {
            found.push((name, end + 1));
        }
    }
    found
}

/// The manifests of both crates, each with the folder of its sources.
const MANIFESTS: [(&str, &str); 2] = [("Cargo.toml", "src/"), ("demo/painter/Cargo.toml", PAINTER_SOURCES)];

fn manifest(path: &str) -> toml::Table {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap().parse().unwrap()
}

#[test]
fn every_dependency_has_its_reason() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let guide = fs::read_to_string(PathBuf::from(root).join("DEVELOPERS.md")).unwrap();
    let manifests = MANIFESTS.map(|(path, _)| manifest(path));
    let faults = manifests
        .iter()
        .flat_map(|manifest| ["dependencies", "dev-dependencies"].map(|table| manifest.get(table)))
        .filter_map(|table| table?.as_table())
        .flat_map(toml::Table::keys)
        .filter(|name| !guide.contains(&format!("| `{name}` |")))
        .map(|name| format!("DEVELOPERS.md gives no reason for {name}"));
    no_faults(faults.collect());
}

#[test]
fn every_dependency_is_used() {
    /// Packages whose crate has another name.
    const OTHER_NAMES: &[(&str, &str)] = &[("kamadak-exif", "exif")];
    let sources = sources();
    let mut faults = Vec::new();
    for (path, own) in MANIFESTS {
        for package in manifest(path)["dependencies"].as_table().unwrap().keys() {
            let other = OTHER_NAMES.iter().find(|(name, _)| name == package).map(|(_, name)| (*name).to_owned());
            let library = other.unwrap_or_else(|| package.replace('-', "_"));
            let mut of_this_crate = sources.iter().filter(|source| source.path.starts_with(own));
            if !of_this_crate.any(|source| code_lines(&source.text).any(|line| names(line, &library))) {
                faults.push(format!("{path}: nothing uses {package}"));
            }
        }
    }
    no_faults(faults);
}

/// Files that the guide invents for its examples.
const INVENTED: &[&str] = &["report/papers.rs", "cli/papers.rs", "tests/program/papers.rs"];

#[test]
fn every_file_that_is_named_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files: Vec<String> = texts(root).into_iter().map(|(path, _)| path).collect();
    let named = Regex::new(r"`([\w./-]+\.(?:rs|py|tsv))`").unwrap();
    let mut faults = Vec::new();
    for (path, text) in texts(root) {
        for found in named.captures_iter(&text).map(|found| found[1].to_owned()) {
            // NAME and GROUP stand for a name.
            let is_pattern = found.contains("NAME") || found.contains("GROUP");
            let is_there = files.iter().any(|file| *file == found || file.ends_with(&format!("/{found}")));
            if !is_pattern && !is_there && !INVENTED.iter().any(|invented| found.ends_with(invented)) {
                faults.push(format!("{path} names {found}"));
            }
        }
    }
    no_faults(faults);
}

/// Every text of the project that a person writes, by its path from the root.
fn texts(root: &Path) -> Vec<(String, String)> {
    let mut folders: Vec<PathBuf> = ["src", "tests", "demo", "briefs"].map(|folder| root.join(folder)).into();
    let mut paths = vec![root.join("README.md"), root.join("DEVELOPERS.md")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            if entry.is_dir() { folders.push(entry) } else { paths.push(entry) }
        }
    }
    let text = |path: PathBuf| Some((shown(root, &path), fs::read_to_string(path).ok()?));
    paths.into_iter().filter_map(text).collect()
}
