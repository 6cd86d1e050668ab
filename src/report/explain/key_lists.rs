//! Pages about the keys of the live table.

use super::topic::Topic;

/// The keys of the table, as its help has them.
pub static KEYS: Topic = Topic {
    names: &["keys", "shortcuts", "keyboard"],
    about: "The keys of the live table, unless you chose others in settings.toml. For the keys of a brief: plateside \
            explain brief.",
    summary: Some("every key of the live table"),
    entries: &[
        ("o O", "next row to fix, the one before"),
        ("l", "larger picture, and back"),
        ("v V", "next view of the picture, back"),
        ("b", "draw the box of the subject"),
        ("a A", "accept, take back; again as before"),
        ("Esc", "clear the filter, or go back"),
        ("? F1", "this help, and back"),
        ("q Ctrl-C", "quit"),
        ("f", "follow the newest export, or stay"),
        ("/", "filter: names, states, rules"),
        ("s", "sort: brief, state, name, newest"),
        ("d D", "details further down, up"),
        ("p", "print sizes it can carry, and back"),
        ("h", "hand the order over"),
        ("Space", "mark a row, or not; Esc: none"),
        ("r", "read the folder, sort again"),
        ("Up k Down j", "one row up, down"),
        ("PgUp PgDn", "one page up, down"),
        ("Home End", "first row, last row"),
        ("Ctrl-Z", "suspend until continued"),
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
        ("Enter", "keep the box"),
        ("Esc", "go back"),
        ("Tab S-Tab", "next edge, the one before"),
        ("arrows f", "move the edge, in finer steps"),
        ("p Del", "for this print alone; remove"),
        ("? F1", "this help, and back"),
        ("Ctrl-Z", "suspend until continued"),
    ],
    see: &["subject", "keys"],
};
