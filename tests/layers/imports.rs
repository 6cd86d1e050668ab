//! What each file of the crate imports, read from its text as the formatter leaves it.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::LazyLock;

use regex::Regex;

use crate::{PAINTER, PAINTER_SOURCES, Source, code_lines, sources};

/// A `use`, with who else may use what it names.
static USE: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"(?m)^\s*(pub(?:\([a-z]+\))? )?use ([^;]+);").unwrap());
/// A module in a file of its own.
static MODULE: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"(?m)^(?:pub(?:\([a-z]+\))? )?mod (\w+);").unwrap());
/// A path of at least two names.
static PATH: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"\b\w+(?:::\w+)+").unwrap());

/// Paths of the crate that a file names, each from the crate's root on. Within the tests at a file's end only those that
/// begin with `crate` are known.
pub fn paths_of(source: &Source) -> Vec<Vec<String>> {
    let of = |text: &str, all: bool| {
        let text: String = code_lines(text).flat_map(|line| [line, "\n"]).collect();
        let module = module_path(&source.path);
        let children = children(source);
        let (mut paths, rest) = (Vec::new(), USE.replace_all(&text, ""));
        USE.captures_iter(&text).for_each(|found| paths.extend(leaves(&found[2])));
        paths.extend(PATH.find_iter(&rest).map(|path| path.as_str().split("::").map(str::to_owned).collect()));
        let known = paths.into_iter().filter(move |path: &Vec<String>| all || path[0] == "crate");
        known.filter_map(|path| from_root(&path, &module, &children)).collect::<Vec<_>>()
    };
    let code = if source.is_tests() { &source.text } else { source.code() };
    [of(code, true), of(&source.text[code.len()..], false)].concat()
}

/// Which files each file imports, tests apart; what a file passes on (`pub use`) counts as the file that defines it.
pub fn imports() -> BTreeMap<String, BTreeSet<String>> {
    let sources: Vec<Source> = sources().into_iter().filter(|source| !source.is_tests()).collect();
    let files: HashMap<Vec<String>, String> =
        sources.iter().map(|source| (module_path(&source.path), source.path.clone())).collect();
    let passed_on: HashMap<Vec<String>, Vec<String>> = sources.iter().flat_map(passed_on).collect();
    let imports = |source: Source| {
        let code = Source { path: source.path.clone(), text: source.code().to_owned() };
        let used = paths_of(&code).into_iter().filter_map(|path| defined_in(path, &files, &passed_on));
        (source.path, used.filter(|file| *file != code.path).collect())
    };
    sources.into_iter().map(imports).collect()
}

/// Groups of files that reach each other.
pub fn circles(graph: &BTreeMap<String, BTreeSet<String>>) -> Vec<BTreeSet<String>> {
    let reached: BTreeMap<&String, BTreeSet<&String>> = graph.keys().map(|from| (from, reach(graph, from))).collect();
    let mut circles: Vec<BTreeSet<String>> = Vec::new();
    for (from, to) in &reached {
        if to.contains(from) && !circles.iter().any(|circle| circle.contains(*from)) {
            circles.push(to.iter().filter(|to| reached[**to].contains(from)).map(|to| (**to).clone()).collect());
        }
    }
    circles
}

fn reach<'g>(graph: &'g BTreeMap<String, BTreeSet<String>>, from: &str) -> BTreeSet<&'g String> {
    let mut reached = BTreeSet::new();
    let mut next: Vec<&String> = graph[from].iter().collect();
    while let Some(file) = next.pop() {
        if reached.insert(file) {
            next.extend(graph.get(file).into_iter().flatten());
        }
    }
    reached
}

/// The file in which the end of a path is defined.
fn defined_in(
    mut path: Vec<String>,
    files: &HashMap<Vec<String>, String>,
    passed_on: &HashMap<Vec<String>, Vec<String>>,
) -> Option<String> {
    /// Files that a name is passed on through at most.
    const MAX_HANDS: usize = 8;
    for _ in 0..MAX_HANDS {
        let Some((at, other)) = (1..=path.len()).rev().find_map(|at| Some((at, passed_on.get(&path[..at])?))) else {
            break;
        };
        path = [other, &path[at..]].concat();
    }
    (1..=path.len()).rev().find_map(|at| files.get(&path[..at]).cloned())
}

/// Names that a file passes on, and where they come from.
fn passed_on(source: &Source) -> Vec<(Vec<String>, Vec<String>)> {
    let (module, children) = (module_path(&source.path), children(source));
    let passed = USE.captures_iter(source.code()).filter(|found| found.get(1).is_some());
    let paths = passed.flat_map(|found| leaves(&found[2]));
    let named = paths.filter_map(|path| Some((path.last()?.clone(), from_root(&path, &module, &children)?)));
    named.map(|(name, path)| ([module.as_slice(), &[name]].concat(), path)).collect()
}

/// A path from the crate's root on; `None` for one of another crate, or of a name that is known otherwise.
fn from_root(path: &[String], module: &[String], children: &[String]) -> Option<Vec<String>> {
    let (first, rest) = path.split_first()?;
    match first.as_str() {
        "crate" => {
            let root = module.split_at(usize::from(module.first().is_some_and(|first| first == PAINTER))).0;
            Some([root, rest].concat())
        }
        "self" => Some([module, rest].concat()),
        "super" => Some([module.split_last()?.1, rest].concat()),
        name if children.iter().any(|child| child == name) => Some([module, path].concat()),
        _ => None,
    }
}

/// Every path of a `use`: `a::{b, c::d}` names two.
fn leaves(tree: &str) -> Vec<Vec<String>> {
    let tree = tree.trim();
    let Some((before, group)) = tree.split_once('{') else {
        let path = tree.split(" as ").next().unwrap_or_default();
        return vec![path.split("::").filter(|name| *name != "self" && *name != "*").map(str::to_owned).collect()];
    };
    let before: Vec<String> = before.split("::").filter(|name| !name.is_empty()).map(str::to_owned).collect();
    let (mut parts, mut depth) = (vec![String::new()], 0);
    for c in group.trim_end_matches('}').chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        match c {
            ',' if depth == 0 => parts.push(String::new()),
            c => parts.last_mut().unwrap().push(c),
        }
    }
    let closed = |part: String| if part.contains('{') { format!("{part}}}") } else { part };
    let named = parts.into_iter().filter(|part| !part.trim().is_empty()).map(closed);
    named.flat_map(|part| leaves(&part)).map(|path| [before.clone(), path].concat()).collect()
}

fn children(source: &Source) -> Vec<String> {
    MODULE.captures_iter(&source.text).map(|found| found[1].to_owned()).collect()
}

/// `src/judge/rules.rs` as `judge`, `rules`; the root is empty, and that of the painter its name.
fn module_path(path: &str) -> Vec<String> {
    let (root, inside) = match path.strip_prefix(PAINTER_SOURCES) {
        Some(inside) => (vec![PAINTER.to_owned()], inside),
        None => (Vec::new(), path.trim_start_matches("src/")),
    };
    match inside.trim_end_matches(".rs") {
        "lib" => root,
        inside => root.into_iter().chain(inside.split('/').map(str::to_owned)).collect(),
    }
}

#[test]
fn a_group_names_each_of_its_paths() {
    let paths = leaves("crate::a::{self, b, c::{D, e as f}}");
    let paths: Vec<String> = paths.iter().map(|path| path.join("::")).collect();
    assert_eq!(paths, ["crate::a", "crate::a::b", "crate::a::c::D", "crate::a::c::e"]);
}

#[test]
fn files_that_reach_each_other_are_a_circle() {
    let graph = |ties: &[(&str, &[&str])]| {
        ties.iter().map(|(from, to)| ((*from).to_owned(), to.iter().map(|to| (*to).to_owned()).collect())).collect()
    };
    assert!(circles(&graph(&[("a", &["b", "c"]), ("b", &["c"]), ("c", &[])])).is_empty());
    let found = circles(&graph(&[("a", &["b"]), ("b", &["c"]), ("c", &["b"]), ("d", &["a"])]));
    assert_eq!(found, [BTreeSet::from(["b".to_owned(), "c".to_owned()])]);
}
