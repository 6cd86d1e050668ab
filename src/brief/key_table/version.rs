//! Keys of `[[version]]`: the forms in which a whole order is wanted.

use super::wording::NOT_SAID;
use crate::brief::key::{BriefKey, Shown, ValueKind};

pub(super) static VERSION: &[BriefKey] = &[
    BriefKey {
        path: "version.name",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "your own choice",
        about: "what this version of the order is called, on the table, on the note, and as the name of its folder in \
                the delivery; each [[version]] has every print once. Below it a version may have every table that a \
                print may have, such as [version.colour] or colour.space = \"paper\": paper, file, colour, \
                density, margins, tone, detail, rules and delivery.rename. A print's own value comes before it",
        example: "\"press\"",
        question: None,
        shown: Shown::Print(|print| print.version.as_ref().map(|version| version.name.to_string())),
    },
    BriefKey {
        path: "version.folder",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "your own choice",
        about: "the folder of this version's pictures, inside the folder that you export into. It is read and watched \
                whatever subfolders says; a pattern of a print is compared with the names in it, and a picture outside \
                the folders of all versions is EXTRA",
        example: "\"cmyk\"",
        question: None,
        shown: Shown::Print(|print| print.version.as_ref().map(|version| version.folder.to_string())),
    },
    BriefKey {
        path: "version.paper",
        kind: ValueKind::Text,
        default: "the paper of the order",
        source: "your own choice",
        about: "the named paper of this version's prints, where a print names no other: body for [papers.body]",
        example: "\"body\"",
        question: None,
        shown: Shown::Print(|print| {
            print.version.as_ref().and_then(|version| version.paper.as_deref().map(str::to_owned))
        }),
    },
];
