//! What to do about the order, by cause, in JSON.

use serde::Serialize;

use crate::judge::to_do::{Cause, Cure, ToDo};

/// One thing to do.
#[derive(Serialize)]
pub struct ToDoOut {
    level: &'static str,
    /// Number of pictures.
    pictures: usize,
    causes: Vec<CauseOut>,
    /// True if the settings in `fix` belong into one export preset.
    preset: bool,
    fix: Vec<String>,
}

#[derive(Serialize)]
struct CauseOut {
    rule: &'static str,
    level: &'static str,
    cause: String,
    pictures: Vec<String>,
}

impl ToDoOut {
    /// Returns a thing to do.
    pub fn of(one: ToDo) -> ToDoOut {
        let cause = |Cause { rule, level, words, pictures }: Cause| CauseOut {
            rule: rule.id,
            level: level.word(),
            cause: words,
            pictures: pictures.keys().map(ToString::to_string).collect(),
        };
        ToDoOut {
            level: one.level.word(),
            pictures: one.picture_count(),
            preset: matches!(one.cure, Cure::Preset(_)),
            fix: one.cure.actions(),
            causes: one.causes.into_iter().map(cause).collect(),
        }
    }
}
