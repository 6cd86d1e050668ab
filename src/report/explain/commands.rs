//! Pages on the commands and on the files of a delivery.

use super::topic::Topic;

/// Every command, in the order of the work.
pub static COMMANDS: Topic = Topic {
    names: &["commands", "command"],
    about: "What each command does, in the order of the work. plateside COMMAND --help has every option. plateside \
            BRIEF FOLDER, without a command, opens the live table.",
    summary: Some("what each command does, in the order of the work"),
    entries: &[
        ("demo", "Paints an invented order and opens the live table on it."),
        (
            "brief new",
            "Lists the starters. With a name it writes a brief like that starter; --like LAST.toml writes the brief \
             of the next order; --from LIST takes the prints from the designer's list.",
        ),
        ("brief show", "Lists every value of a brief and where it comes from."),
        ("brief ask", "Lists what to ask the printer; --message writes it as a mail."),
        (
            "brief answer",
            "Asks at the prompt what is open, checks each answer, and writes it with its date. Answers may be typed in \
             everyday words: it shows how it understood them before it writes them.",
        ),
        ("spec", "Lists what to export for each print: pixels, name, and the settings of one preset."),
        ("guide", "Writes transparent frames to overlay on the camera's picture, with cut, safe margin and folds."),
        ("calibrated", "Records the day on which this screen was calibrated, or shows the day recorded."),
        ("check", "Checks pictures once, as text, JSON, CSV or a page for a client, with an exit status."),
        ("watch", "Writes a line for each change: plateside watch --lines BRIEF FOLDER."),
        ("subject", "Draws, shows or removes the box of a picture's subject."),
        ("look", "Shows a picture and the facts of its file."),
        ("sizes", "Lists the print sizes that a picture can carry, and how much each crops."),
        (
            "accept",
            "Accepts a finding that is intended, with your reason: plateside accept BRIEF PICTURE RULE --reason TEXT. \
             A finding of level must also needs --allowed-by, the name of the client or the printer. --on-note names \
             it on the printer's note, --list lists what is accepted, --withdraw takes it back.",
        ),
        ("contact", "Writes a contact sheet for the client or the designer, with boxes to tick."),
        (
            "testprint",
            "Lists the pictures that deserve a test print, and why; --into DIR writes sheets of them; --seen TEXT \
             records what you saw.",
        ),
        (
            "deliver",
            "Checks everything once more and writes the delivery: the pictures that were checked, their checksums and \
             a note for the printer. --since last delivers only what is new or changed.",
        ),
        ("verify", "Proves that a delivery arrived unchanged, or names what is changed, missing or added."),
        ("explain", "Opens the handbook: plateside explain and a name; without a name, the contents."),
        ("completions", "Writes the completions for a shell to standard output."),
        ("man", "Writes the man page to standard output."),
    ],
    see: &["status", "keys", "delivery files"],
};

/// The files in a delivery.
pub static DELIVERY_FILES: Topic = Topic {
    names: &["delivery files", "files of a delivery"],
    about: "What plateside deliver writes into the folder of a delivery.",
    summary: None,
    entries: &[
        ("pictures", "A folder with exactly the files that were checked, under the names of delivery.rename."),
        (
            "NOTE.html",
            "The note for the printer, which opens anywhere and prints well: first what to do, then every picture with \
             its prints.",
        ),
        ("NOTE.txt", "The note for the printer as plain text."),
        (
            "MESSAGE.txt",
            "The covering mail: what is attached, what changed, what not to print any more, which earlier files to \
             delete, which questions are open. Read it before you send it.",
        ),
        ("pictures.csv", "The editor's list, one line for each picture and print: page, size, caption, credit."),
        (
            "orders.csv",
            "The lab's list, one line for each print: file, size, border, bar and folds in mm, copies, paper, edge, \
             exceptions. After an earlier delivery, copies_before is the number that copies replaces. In a delivery \
             that sends everything again, already_ordered says which lines are not ordered a second time.",
        ),
        ("SHA256SUMS", "The checksums of all files, for plateside verify or sha256sum -c."),
        ("delivery.json", "The record of what the printer then has, for programs and for --since DIR."),
    ],
    see: &["deliver", "verify", "delivery"],
};
