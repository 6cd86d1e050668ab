//! Pages about what the live table shows: states, levels, outcomes, marks, columns and views.

use super::topic::Topic;

/// The states of a row.
pub static STATES: Topic = Topic {
    names: &["states", "state"],
    about: "Each row of the table is one picture for one print, and has one state.",
    summary: None,
    entries: &[
        ("FIX", "Something that must be right is not, or the file cannot be read. Do not send the picture like this."),
        ("MISSING", "No picture in the folder matches this print yet."),
        ("WARN", "Something that should be right is not. Look at it; fix it, or accept it with a reason."),
        ("EXTRA", "A picture in the folder that no print takes. It is never delivered."),
        ("ARRIVING", "The file is still being written."),
        ("CHECKING", "The picture is being read, or waits its turn. There is no result yet."),
        (
            "PASS",
            "Everything that must or should be right, and could be checked, is right. The row says how much was not \
             checked.",
        ),
    ],
    see: &["levels", "outcomes"],
};

/// The levels of a rule.
pub static LEVELS: Topic = Topic {
    names: &["levels", "level"],
    about: "How much a rule counts. Every rule has a usual level; the brief changes it under [rules].",
    summary: None,
    entries: &[
        (
            "must",
            "A finding makes the row FIX. The picture is not delivered until it is fixed, or accepted with the \
                  permission of the client or the printer.",
        ),
        ("should", "A finding makes the row WARN. The picture can be delivered, but not with --strict."),
        ("note", "A finding is shown and changes no state."),
        ("off", "The rule is not checked."),
    ],
    see: &["states", "rules.*"],
};

/// How a rule can end.
pub static OUTCOMES: Topic = Topic {
    names: &["outcomes", "outcome", "result", "results"],
    about: "What checking a picture against a rule can give.",
    summary: None,
    entries: &[
        ("passed", "It was checked and nothing was found."),
        ("within tolerance", "It is off the limit by no more than the rule allows, for example by one pixel."),
        (
            "not checked",
            "It could not be checked, and the row says why: the brief does not say what is required, or the file does \
             not hold what the check needs. A row can be PASS with rules that were not checked.",
        ),
        (
            "finding",
            "Something is not as required, or not as usual. A finding says what was found, how to fix it, and \
             why it matters on paper.",
        ),
        (
            "accepted",
            "A finding that is intended, with your reason. It no longer changes the state, and stays in every \
             report.",
        ),
    ],
    see: &["states", "required or usual"],
};

/// Where a limit comes from.
pub static REQUIRED_OR_USUAL: Topic = Topic {
    names: &["required or usual", "limit", "limits", "default", "defaults"],
    about: "Every limit says which of the two it is. plateside brief show BRIEF lists every value and where it comes \
            from.",
    summary: None,
    entries: &[
        (
            "required",
            "Your brief says it, or its picture list, or the print, or a named paper, or the printer's sheet, or the \
             printer's profile.",
        ),
        (
            "usual",
            "Nobody has said it. A default or a starter's value stands in until the printer has answered. plateside \
             brief ask BRIEF lists those that a printer can answer.",
        ),
        (
            "layers",
            "Where several say a value, the last of these counts: usual value, starter (like), printer's sheet \
             (sheet), brief, named paper (paper), version, print.",
        ),
    ],
    see: &["brief", "outcomes"],
};

/// The marks of the table.
pub static MARKS: Topic = Topic {
    names: &["marks", "mark", "signs"],
    about: "Signs on the live table. Nothing depends on colour alone.",
    summary: None,
    entries: &[
        ("!", "After a value such as 214!: a rule of level must finds something."),
        ("~", "After a value such as 271~: a rule of level should finds something."),
        ("▌", "The selected row; > where the terminal shows only plain letters."),
        ("+", "A row that you marked with Space, to accept a finding on several rows at once."),
        ("dimmed", "A row in dim letters still has the result of the earlier export; the new one is being checked."),
        ("…", "Words are left out; the details below or beside the table have them all."),
        ("////", "Over the picture, view lost tones: shadows that block up. View lost colours: beyond the space."),
        ("\\\\\\\\", "Over the picture, view lost tones: blown white. View lost colours: beyond the paper."),
        ("── ─", "View cut lines: the most that the cut may take."),
        ("····", "View cut lines: the safe margin."),
        ("·  ·", "View cut lines: the finished edge."),
        ("─·─·", "View cut lines: a fold."),
        ("────", "View cut lines: the box of the subject."),
        ("┌  ┐", "View cut lines: the part that is printed, or a better crop."),
    ],
    see: &["states", "levels", "views"],
};

/// The columns of the table.
pub static COLUMNS: Topic = Topic {
    names: &["columns", "column"],
    about: "A wider window shows more of them. Numbers carry a mark where a rule finds something.",
    summary: None,
    entries: &[
        ("state", "What is to be done about the row."),
        ("page", "The page number of the print, where the brief gives one."),
        ("print", "The print's name in the brief."),
        ("picture", "The file's name."),
        ("ppi", "Pixels per inch at the printed size."),
        ("space", "The colour space that the file names."),
        ("cut off", "The share of the picture that the print's aspect ratio crops away."),
        ("file", "The kind of file, with its JPEG quality or its bits per channel."),
        ("lost", "The share of the picture without detail in the print: blown white and shadows that block up."),
        ("detail", "The finding about sharpness, grain or enlargement; without one, the halo or enlargement measured."),
        (
            "margins",
            "The finding about bleed, cut or safe margin; without one, how much that draws the eye is near \
                     the cut.",
        ),
        ("findings", "The findings in a word or two, the gravest first."),
    ],
    see: &["marks", "states"],
};

/// The views of a picture.
pub static VIEWS: Topic = Topic {
    names: &["views", "view"],
    about: "Ways to look at the selected picture; v steps through them, l makes the picture larger. A terminal shows \
            no true colours: a view warns, and a hard proof decides.",
    summary: None,
    entries: &[
        ("as sent", "The picture as it is in the file."),
        ("lost tones", "Hatched: shadows that block up on this paper, and white without detail."),
        ("lost colours", "Hatched: colours that the required space, or the paper by its own profile, cannot hold."),
        (
            "cut lines",
            "The most that the cut may take, the safe margin, the finished edge, folds, and the box of the subject. \
             What is cut away is dimmed.",
        ),
        (
            "on paper",
            "A soft proof by the printer's profile, relative colorimetric with black point compensation. Where the \
             brief names no profile: by the paper's black alone.",
        ),
        ("on paper, perceptual", "The same, as the profile renders perceptually."),
        (
            "on paper, with paper white",
            "The first soft proof with the paper's white; without a profile, by the paper's black and white alone.",
        ),
    ],
    see: &["marks", "soft proof"],
};
