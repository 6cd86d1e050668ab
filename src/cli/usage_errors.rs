//! What is wrong with a command line, in the words of the program's other errors: what is wrong, and what to type.

use std::path::Path;

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use crate::judge::rules::phrases::{join_with_and, join_with_or};
use crate::units::words::visible;

/// Options that had another name, and the one that they have now.
const RENAMED: &[(&str, &str)] = &[("--choose", "--only")];
/// What the usage says of a brief and a folder without a command.
const OPENS_TABLE: &str = "opens the live table";

/// A command line that cannot be read. Both texts are safe to show.
#[derive(Debug, PartialEq, Eq)]
pub struct UsageError {
    /// What is wrong.
    pub what: String,
    /// What to type.
    pub fix: String,
}

/// Returns what is wrong with a command line; `None` where help or the version was requested. `folder` is the first
/// word typed, if that is a folder.
pub fn usage_error(error: &Error, folder: Option<&Path>) -> Option<UsageError> {
    let UsageError { what, fix } = match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            return None;
        }
        ErrorKind::MissingRequiredArgument => missing(error, folder),
        ErrorKind::UnknownArgument => unknown_argument(error),
        ErrorKind::InvalidSubcommand => unknown_command(error),
        ErrorKind::InvalidValue => wrong_value(error),
        ErrorKind::ArgumentConflict => conflict(error),
        _ => other(error),
    };
    Some(UsageError { what: visible(&what).into_owned(), fix: visible(&fix).into_owned() })
}

fn missing(error: &Error, folder: Option<&Path>) -> UsageError {
    let usage = usage(error);
    if usage.contains(OPENS_TABLE) {
        return match folder {
            Some(folder) => UsageError {
                what: "the brief is missing".to_owned(),
                fix: format!("name the brief first: plateside BRIEF {}", folder.to_string_lossy()),
            },
            None => UsageError {
                what: "the folder is missing".to_owned(),
                fix: "name the folder too: plateside BRIEF FOLDER".to_owned(),
            },
        };
    }
    let bare = |name: &String| bare(name).trim_end_matches("...").to_owned();
    // In the order in which they are typed: the options last.
    let (options, places): (Vec<String>, Vec<String>) =
        texts(error, ContextKind::InvalidArg).iter().map(bare).partition(|name| name.starts_with('-'));
    let names = [places, options].concat();
    let are = if names.len() == 1 { "is" } else { "are" };
    UsageError { what: format!("{}: {} {are} missing", command(error), join_with_and(&names)), fix: write_words(error) }
}

fn unknown_argument(error: &Error) -> UsageError {
    let (name, command) = (text(error, ContextKind::InvalidArg), command(error));
    if !name.starts_with('-') {
        return UsageError { what: format!("{command} takes no further word: {name}"), fix: write_words(error) };
    }
    let renamed = RENAMED.iter().find(|(old, _)| *old == name).map(|(_, now)| (*now).to_owned());
    let near = renamed.or_else(|| texts(error, ContextKind::SuggestedArg).into_iter().next());
    let fix = match near {
        Some(near) => format!("did you mean {near}?"),
        None => format!("{command} --help lists its options"),
    };
    UsageError { what: format!("{command} has no option {name}"), fix }
}

fn unknown_command(error: &Error) -> UsageError {
    let command = command(error);
    let near = texts(error, ContextKind::SuggestedSubcommand).into_iter().next();
    let fix = match near {
        Some(near) => format!("did you mean {command} {near}?"),
        None => format!("{command} --help lists its commands"),
    };
    UsageError { what: format!("{command} has no command {}", text(error, ContextKind::InvalidSubcommand)), fix }
}

fn wrong_value(error: &Error) -> UsageError {
    let (argument, value) = (argument(error), text(error, ContextKind::InvalidValue));
    let values = texts(error, ContextKind::ValidValue);
    let what = match value.as_str() {
        "" => format!("{argument} needs a value"),
        value => format!("{argument} does not take \"{value}\""),
    };
    let fix = match values.as_slice() {
        [] => format!("write {}", bare(&text(error, ContextKind::InvalidArg))),
        values => format!("write {}", join_with_or(values)),
    };
    UsageError { what, fix }
}

fn conflict(error: &Error) -> UsageError {
    let others: Vec<String> = texts(error, ContextKind::PriorArg).iter().map(|name| first_word(name)).collect();
    let argument = argument(error);
    let what = match others.as_slice() {
        [other] if *other == argument => format!("{argument} can be given once only"),
        [] => format!("{argument} does not go with the other options"),
        others => format!("{argument} does not go with {}", join_with_or(others)),
    };
    UsageError { what, fix: "leave one of them out".to_owned() }
}

/// Everything else, such as a number that is none: the first line of the error.
fn other(error: &Error) -> UsageError {
    let (argument, value) = (argument(error), text(error, ContextKind::InvalidValue));
    let help = "add --help to the command to see what it takes".to_owned();
    let Some(cause) = std::error::Error::source(error) else {
        let whole = error.to_string();
        let first = whole.lines().next().unwrap_or_default();
        return UsageError { what: first.trim_start_matches("error: ").to_owned(), fix: help };
    };
    let cause = cause.to_string();
    match cause.split_once(": write ") {
        Some((why, what)) => UsageError { what: format!("{argument} {value}: {why}"), fix: format!("write {what}") },
        None => UsageError { what: format!("{argument} {value}: {cause}"), fix: help },
    }
}

/// How the command is written, as far as what was typed says which one is meant.
fn write_words(error: &Error) -> String {
    // Of several ways to write it the first is the usual one.
    format!("write {}", bare(usage(error).lines().next().unwrap_or_default()))
}

fn usage(error: &Error) -> String {
    let usage = error.get(ContextKind::Usage).map(ToString::to_string).unwrap_or_default();
    usage.trim_start_matches("Usage: ").to_owned()
}

/// The command that the error is about, with the program's name: `plateside brief new`.
fn command(error: &Error) -> String {
    let usage = usage(error);
    let is_name = |word: &&str| !word.is_empty() && word.chars().all(|letter| letter.is_ascii_lowercase());
    let words: Vec<&str> = usage.split_whitespace().take_while(is_name).collect();
    if words.is_empty() { "plateside".to_owned() } else { words.join(" ") }
}

/// The argument that the error is about, without what stands for its value.
fn argument(error: &Error) -> String {
    first_word(&text(error, ContextKind::InvalidArg))
}

fn first_word(argument: &str) -> String {
    bare(argument).split_whitespace().next().unwrap_or_default().trim_end_matches("...").to_owned()
}

/// An argument as it is written in this program's help: without angle brackets.
fn bare(argument: &str) -> String {
    argument.replace(['<', '>'], "")
}

fn text(error: &Error, kind: ContextKind) -> String {
    texts(error, kind).into_iter().next().unwrap_or_default()
}

fn texts(error: &Error, kind: ContextKind) -> Vec<String> {
    match error.get(kind) {
        Some(ContextValue::String(text)) => vec![text.clone()],
        Some(ContextValue::Strings(texts)) => texts.clone(),
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;
    use crate::cli::args::CommandLine;

    /// What is said of a command line, in one line.
    fn said(typed: &str) -> String {
        let words = ["plateside"].into_iter().chain(typed.split(' ').filter(|word| !word.is_empty()));
        let error = CommandLine::try_parse_from(words).expect_err(typed);
        let UsageError { what, fix } = usage_error(&error, None).expect(typed);
        format!("{what} | {fix}")
    }

    #[test]
    fn what_was_typed_wrongly_is_named_with_what_to_type() {
        for (typed, expected) in [
            ("check b.toml x --strickt", "plateside check has no option --strickt | did you mean --strict?"),
            (
                "check b.toml x --blue",
                "plateside check has no option --blue | plateside check --help lists its options",
            ),
            ("deliver b.toml x --into d --choose a", "plateside deliver has no option --choose | did you mean --only?"),
            ("brief shwo b.toml", "plateside brief has no command shwo | did you mean plateside brief show?"),
            ("check b.toml x --format xml", "--format does not take \"xml\" | write text, json, csv or html"),
            ("b.toml", "the folder is missing | name the folder too: plateside BRIEF FOLDER"),
            ("verify d e", "plateside verify takes no further word: e | write plateside verify [OPTIONS] DIR"),
            ("check b.toml", "plateside check: FOLDER|FILES is missing | write plateside check BRIEF FOLDER|FILES..."),
        ] {
            assert_eq!(said(typed), expected, "{typed}");
        }
        let missing =
            "plateside deliver: BRIEF, FOLDER and --into DIR are missing | write plateside deliver BRIEF FOLDER";
        assert!(said("deliver").starts_with(missing) && !said("deliver").contains("\\n"), "{}", said("deliver"));
        let quiet = "--until-quiet 10: \"10\" is not a time | write for example 30s, 10m or 2h";
        assert_eq!(said("watch --lines b.toml x --until-quiet 10"), quiet);
        assert!(said("check b.toml x --jobs 0").starts_with("--jobs 0: "), "{}", said("check b.toml x --jobs 0"));
        assert!(said("check b.toml x --format").starts_with("--format "), "{}", said("check b.toml x --format"));
    }

    #[test]
    fn help_and_version_are_no_errors() {
        for typed in ["--help", "--version", "check --help", "brief"] {
            let words = ["plateside"].into_iter().chain(typed.split(' '));
            assert_eq!(usage_error(&CommandLine::try_parse_from(words).unwrap_err(), None), None, "{typed}");
        }
    }
}
