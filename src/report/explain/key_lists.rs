//! Pages about the keys of the live table.

use super::topic::Topic;

/// The keys of the table, as its help has them.
pub static KEYS: Topic = Topic {
    names: &["keys", "shortcuts", "keyboard"],
    about: "The keys of the live table, unless you chose others in settings.toml. For the keys of a brief: plateside \
            explain brief.",
    summary: Some("every key of the live table"),
    entries: &[
        ("o O", "next row to fix, previous one"),
        ("l", "larger picture, and back"),
        ("v V", "next view, previous view"),
        ("b", "draw the subject's box"),
        ("a A", "accept a finding; accept as before"),
        ("Esc", "clear filter, then marks; go back"),
        ("? F1", "the help, and back"),
        ("q Ctrl-C", "quit"),
        ("f", "follow the newest export, or stop"),
        ("/", "filter by name, state or rule"),
        ("s", "sort by brief, state, name, newest"),
        ("d D", "scroll the details down, up"),
        ("p", "possible print sizes, and back"),
        ("h", "deliver the order"),
        ("t", "to do by cause, and back"),
        ("c", "copy export size, name, settings"),
        ("Space", "mark or unmark a row"),
        ("r", "read the folder again and sort"),
        ("Up k Down j", "one row up, down"),
        ("PgUp PgDn", "one page up, down"),
        ("Home End", "first row, last row"),
        ("Ctrl-Z", "suspend; fg in the shell resumes"),
    ],
    see: &["keys of the box", "views"],
};

/// The keys while the box of the subject is drawn.
pub static BOX_KEYS: Topic = Topic {
    names: &["keys of the box", "box keys"],
    about: "While the box of the subject is drawn. The pointer drags an edge or the whole box; a typed 12.5 %, 31 mm \
            or 400 px puts the chosen edge there, counted from the left or top edge of the picture.",
    summary: Some("keys while the box of the subject is drawn"),
    entries: &[
        ("Enter", "save the box"),
        ("Esc", "go back without saving"),
        ("Tab S-Tab", "next edge, previous edge"),
        ("arrows f", "move the edge; finer steps"),
        ("p Del", "for this print only; remove box"),
        ("? F1", "the help, and back"),
        ("Ctrl-Z", "suspend; fg in the shell resumes"),
    ],
    see: &["subject", "keys"],
};
